"""The small steps: scaling, smoothing, clustering, merging."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import smooth_patches, square_field
from scipy import ndimage
from sklearn.cluster import KMeans
from sklearn.preprocessing import RobustScaler

from zoning.zones.cells import cells_of
from zoning.zones.cluster import first, grown, nearness, teachers
from zoning.zones.merge import Patches, settle
from zoning.zones.scaling import is_constant, robust
from zoning.zones.smooth import box, nearest_label, spread


def test_scaling_without_outliers_is_that_of_another_library():
    values = np.random.default_rng(1).uniform(10, 20, 500)
    theirs = RobustScaler().fit_transform(values[:, None])[:, 0]
    assert robust(values, np.ones(500, dtype=bool)) == pytest.approx(theirs, abs=1e-6)


def test_by_hand_an_outlier_is_held():
    # Median 3, deviations 2 1 0 1 97: MAD 1, so held at 3 + 4 x 1.4826 = 8.9304; quartiles 2 and 4.
    scaled = robust(np.array([1.0, 2.0, 3.0, 4.0, 100.0]), np.ones(5, dtype=bool))
    assert scaled[-1] == pytest.approx(4 * 1.4826 / 2, abs=1e-6)


def test_a_rare_class_is_not_taken_for_an_outlier():
    classes = np.array([0.0] * 80 + [1.0] * 20)
    assert np.ptp(robust(classes, np.ones(100, dtype=bool))) > 1


def test_constant_means_constant_but_for_rounding():
    assert is_constant(np.array([1e6, 1e6 + 1e-6]))
    assert not is_constant(np.array([1e6, 1e6 + 1]))


def test_windows_and_votes_are_those_of_another_library():
    planes = np.random.default_rng(3).normal(size=(2, 40, 57)).astype(np.float32)
    for ours, plane in zip(spread(planes, 1.3), planes, strict=True):
        theirs = ndimage.gaussian_filter(plane.astype(float), 1.3, mode="constant", truncate=4)
        assert ours[8:-8, 8:-8] == pytest.approx(theirs[8:-8, 8:-8], abs=2e-3)
    for ours, plane in zip(box(planes, 3.0), planes, strict=True):
        theirs = 9 * ndimage.uniform_filter(plane.astype(float), 3, mode="constant")
        assert ours == pytest.approx(theirs, abs=1e-4)


def test_nearest_label_leaves_labels_alone():
    labels = np.array([[0, -1], [-1, 1]])
    assert nearest_label(labels)[0, 0] == 0
    assert nearest_label(labels)[1, 1] == 1


def explained_frac(values, labels):
    """Share of the variance that group means explain: 1 - squares about them / squares about the mean."""
    groups = [values[labels == label] for label in np.unique(labels)]
    left = sum(((group - group.mean(axis=0)) ** 2).sum() for group in groups)
    return 1 - left / ((values - values.mean(axis=0)) ** 2).sum()


def test_clusters_explain_what_another_library_s_do():
    # Witness: scikit-learn by itself, ten starts, on the same scaled cells, before any tidying.
    ground = square_field(50)
    rng = np.random.default_rng(2)
    layers = {name: smooth_patches(rng, (50, 50), 4, 6) + 0.2 * rng.normal(size=(50, 50)) for name in "ab"}
    cells = cells_of(layers, ground, 0)
    features = cells.values[:, cells.teach]
    taught = teachers([(features, np.arange(features.shape[1]))])
    centres = first(taught)
    for number in (2, 3, 4, 5):
        centres = grown(taught, centres)
        rows = np.vstack([features, np.ones(features.shape[1], dtype=np.float32)])
        ours = nearness(rows, None, centres[0]).argmax(axis=0)
        theirs = KMeans(number, n_init=10, random_state=0).fit_predict(features.T)
        assert explained_frac(features.T, ours) == pytest.approx(explained_frac(features.T, theirs), abs=0.02)


def test_more_clusters_than_different_cells_are_some_of_them_twice():
    taught = teachers([(np.array([[0.0, 0.0, 1.0]], dtype=np.float32), np.arange(3))])
    centres = first(taught)
    for _ in range(3):
        centres = grown(taught, centres)
    assert {round(float(one), 6) for one in centres[0, :, 0]} >= {0.0, 1.0}
    assert centres.shape == (1, 4, 1)


def _line(label, area_ac, border_m):
    count = len(label)
    pairs = np.stack([np.arange(count - 1), np.arange(1, count)], axis=1).reshape(-1, 2)
    return Patches(
        label=np.array(label),
        area_ac=np.array(area_ac),
        pairs=pairs,
        border_m=np.array(border_m, dtype=float),
    )


def test_by_hand_a_patch_that_joins_fuses_its_neighbours():
    # 0 - 1 - 0: the small middle goes to a 0, and all three are one patch of 1.5 ac: large enough.
    row = _line([0, 1, 0, 2], [0.6, 0.3, 0.6, 5.0], [10, 20, 1])
    assert settle(row, least_patch_ac=1.0, least_zone_ac=1.0).tolist() == [0, 0, 0, 2]


def test_by_hand_a_zone_that_is_too_small_is_dissolved():
    # Both patches of zone 1 are large enough, but together they are not 4 ac.
    row = _line([0, 1, 2, 1], [9.0, 1.5, 8.0, 1.5], [10, 20, 5])
    assert settle(row, least_patch_ac=1.0, least_zone_ac=4.0).tolist() == [0, 2, 2, 2]


def test_a_lonely_part_keeps_its_label_or_goes_to_the_largest_zone():
    lonely = Patches(
        label=np.array([0, 1]),
        area_ac=np.array([9.0, 0.5]),
        pairs=np.zeros((0, 2), dtype=int),
        border_m=np.zeros(0),
    )
    assert settle(lonely, least_patch_ac=1.0, least_zone_ac=0.1).tolist() == [0, 1]
    assert settle(lonely, least_patch_ac=1.0, least_zone_ac=1.0).tolist() == [0, 0]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6), count=st.integers(1, 25))
def test_after_merging_every_patch_and_zone_is_large_enough(seed, count):
    rng = np.random.default_rng(seed)
    label, area_ac = rng.integers(0, 4, count), rng.exponential(1.0, count)
    pairs = np.array([(i, j) for i in range(count) for j in range(i) if rng.random() < 3 / count]).reshape(
        -1, 2
    )
    patches = Patches(label=label, area_ac=area_ac, pairs=pairs, border_m=rng.uniform(1, 9, len(pairs)))
    settled = settle(patches, least_patch_ac=0.8, least_zone_ac=2.0)
    assert set(settled.tolist()) <= set(label.tolist())
    zones = np.unique(settled)
    assert len(zones) == 1 or min(area_ac[settled == zone].sum() for zone in zones) >= 2.0 - 1e-9
    group = list(range(count))
    for one, other in pairs.tolist():
        if settled[one] == settled[other]:
            keep, gone = group[one], group[other]
            group = [keep if member == gone else member for member in group]
    has_other = {
        group[side] for pair in pairs.tolist() for side in pair if settled[pair[0]] != settled[pair[1]]
    }
    for patch in has_other:
        assert area_ac[np.array(group) == patch].sum() >= 0.8 - 1e-9
