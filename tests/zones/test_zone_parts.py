"""The small steps: scaling, smoothing, clustering, merging."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import smooth_patches, square_field
from sklearn.cluster import KMeans
from sklearn.preprocessing import RobustScaler

from zoning.zones.cells import cells_of
from zoning.zones.cluster import centres, nearest
from zoning.zones.merge import Patches, settle
from zoning.zones.scaling import is_constant, robust
from zoning.zones.smooth import mean_of_seen, nearest_label, votes


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


def test_votes_and_means_draw_on_weighted_cells_only():
    values = np.array([[1.0, np.nan, 3.0]])
    weight = np.array([[1.0, 0.0, 0.0]])
    assert mean_of_seen(values, weight, 1.0) == pytest.approx(np.array([[1.0, 1.0, 1.0]]))
    say = votes(np.array([[0, 1, 1]]), weight, 2, 1.0)
    assert say[1].max() == 0
    assert say[0, 0, 0] > say[0, 0, 1] > say[0, 0, 2] > 0


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
    features = cells.values[cells.teach]
    for number in (2, 3, 4, 5):
        ours = nearest(features, centres(features, number, seed=3, key=("witness",)))
        theirs = KMeans(number, n_init=10, random_state=0).fit_predict(features)
        assert explained_frac(features, ours) == pytest.approx(explained_frac(features, theirs), abs=0.02)


def test_fewer_different_cells_than_clusters():
    features = np.array([[0.0], [0.0], [1.0]])
    assert centres(features, 4, seed=1, key=("few",)).tolist() == [[0.0], [1.0]]


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
