"""How many zones: nothing is found in noise, and what is there is found. Simulated truth, by seed."""

import numpy as np
import pytest
from made_ground import LIMITS, ground_of, smooth_patches, square_field
from shapely import box
from sklearn.metrics import adjusted_rand_score

from zoning.evidence import number
from zoning.zones.cells import cells_of
from zoning.zones.cluster import first, grown, teachers
from zoning.zones.delineate import delineate
from zoning.zones.held_out import board_of, score
from zoning.zones.why import why_whole
from zoning.zones.zoning import Limits

UP_TO_SIX = Limits(max_zones_per_block=6, min_area_ac=1.0)


def _counts(make, cells, seeds=100):
    ground = square_field(cells)
    found = []
    for seed in range(seeds):
        layers = make(np.random.default_rng(seed), ground.grid.shape)
        found.append(len(delineate(layers, ground, UP_TO_SIX, seed=seed).zones))
    return np.bincount(found, minlength=7)


@pytest.mark.parametrize(("cells", "seeds"), [(16, 400), (30, 200), (80, 100)])
def test_white_noise_gives_one_zone(cells, seeds):
    # the fewer squares judge, the more seeds are needed to see how often they err
    counts = _counts(lambda rng, shape: {"noise": rng.normal(size=shape)}, cells, seeds)
    print(f"zones found in white noise on {cells} x {cells} cells: {counts[1:]}")
    assert counts[1] >= 0.99 * seeds, counts


def test_skewed_noise_in_three_layers_gives_one_zone():
    counts = _counts(lambda rng, shape: {name: rng.exponential(size=shape) for name in "abc"}, 40)
    assert counts[1] >= 99, counts


@pytest.mark.parametrize("value", [0.4, 0.0, -3e5])
def test_a_uniform_field_gives_one_zone(value):
    ground = square_field(40)
    zoning = delineate({"canopy": np.full(ground.grid.shape, value)}, ground, UP_TO_SIX, seed=1)
    assert [zone.outline for zone in zoning.zones] == list(ground.block_outlines)
    assert zoning.quality[0].stopped == "no_layer"


@pytest.mark.parametrize(("noise", "seeds"), [(0.3, 100), (0.6, 20)])
def test_three_smooth_patches_give_three_zones(noise, seeds):
    def make(rng, shape):
        return {"canopy": smooth_patches(rng, shape, 3, 8) + noise * rng.normal(size=shape)}

    counts = _counts(make, 50, seeds)
    print(f"zones found where there are three, noise {noise} of a step: {counts[1:]}")
    assert counts[3] >= 0.95 * seeds, counts


def test_the_zones_are_the_patches():
    ground = square_field(60)
    agreement = []
    for seed in range(10):
        rng = np.random.default_rng(seed)
        truth = smooth_patches(rng, ground.grid.shape, 3, 8)
        layers = {"canopy": truth + 0.3 * rng.normal(size=truth.shape)}
        zoning = delineate(layers, ground, UP_TO_SIX, seed=seed)
        agreement.append(adjusted_rand_score(truth.ravel(), zoning.number_of_cell.ravel()))
    assert np.median(agreement) > 0.85


def test_patches_that_only_two_layers_together_tell_apart():
    # a | b | c in quarters and a half: the first layer sees b + c against a, the second c against a + b.
    ground = square_field(60)
    rng = np.random.default_rng(3)
    east = np.arange(60)[None, :] + np.zeros((60, 1))
    layers = {
        "one": (east >= 20) + 0.3 * rng.normal(size=(60, 60)),
        "two": (east >= 40) + 0.3 * rng.normal(size=(60, 60)),
    }
    assert len(delineate(layers, ground, UP_TO_SIX, seed=1).zones) == 3


def test_a_spot_that_is_too_small_does_not_hide_two_halves():
    # A drowned spot of 4 % of the block takes one cluster to itself; the halves are still found.
    ground = square_field(60)
    rng = np.random.default_rng(5)
    canopy = np.where(np.arange(60)[None, :] < 30, 0.0, 1.0) + 0.2 * rng.normal(size=(60, 60))
    canopy[5:17, 5:17] = -9.0
    zoning = delineate({"canopy": canopy}, ground, LIMITS, seed=1)
    assert len(zoning.zones) == 2
    left = zoning.number_of_cell[:, :28]
    assert np.mean(left == zoning.number_of_cell[50, 5]) > 0.98


def test_the_most_zones_allowed_are_not_exceeded():
    ground = square_field(60)
    stairs = np.repeat(np.arange(6), 10)[None, :] + np.zeros((60, 1))
    for most in (1, 2, 3):
        limits = Limits(max_zones_per_block=most, min_area_ac=1.0)
        zoning = delineate({"canopy": stairs}, ground, limits, seed=1)
        assert len(zoning.zones) == most
        assert zoning.quality[0].stopped == "most"


def scores(board, most):
    """Score of one cluster, two, ..., as the search makes them: each from the one before."""
    white = np.flatnonzero(board.white)
    values = board.features.values[:-1].reshape(len(board.features.values) - 1, -1)
    taught = teachers([(values, white)])
    centres, found = first(taught), []
    for _ in range(most):
        found.append(score(board, centres[0]))
        centres = grown(taught, centres)
    return found


def test_patches_wider_than_the_squares_explain_most():
    # What is missing are black cells at the edge, nearer to white cells of the other half than of their own.
    ground = square_field(48)
    halves = np.where(np.arange(48)[None, :] < 24, 0.0, 1.0) + np.zeros((48, 1))
    board = board_of(cells_of({"canopy": halves}, ground, 0))
    (one, _), (two, alive) = scores(board, 2)
    assert one == pytest.approx(0, abs=1e-12)
    assert 0.8 < two < 1
    assert alive == 2


def test_noise_is_not_explained_on_held_out_cells():
    ground = square_field(80)
    fracs = []
    for seed in range(20):
        noise = np.random.default_rng(seed).normal(size=(80, 80))
        board = board_of(cells_of({"noise": noise}, ground, 0))
        fracs += [frac for frac, _ in scores(board, 4)[1:]]
    assert -0.06 < np.mean(fracs) < 0
    assert max(fracs) < number("zones.least_rise_frac")


def test_what_was_tried_is_reported():
    ground = square_field(60)
    rng = np.random.default_rng(1)
    truth = smooth_patches(rng, (60, 60), 3, 8)
    quality = delineate({"canopy": truth * 1.0}, ground, UP_TO_SIX, seed=1).quality[0]
    assert quality.explained_frac[0] == 0
    assert quality.tried == tuple(range(1, len(quality.explained_frac) + 1))
    rise = np.diff(quality.explained_frac)
    assert rise[:2].min() >= 0.05
    assert max(rise[2:], default=0) < 0.05
    assert quality.chosen == 3


def test_a_block_too_small_for_two_zones_stays_whole_and_says_so():
    ground = ground_of([box(0, 0, 90, 80)])  # 0.72 ha = 1.78 ac: no room for two of 1 ac
    layers = {"canopy": np.arange(72.0).reshape(8, 9)}
    zoning = delineate(layers, ground, LIMITS, seed=1)
    assert len(zoning.zones) == 1
    assert why_whole(zoning.quality[0], "A").code == "zones.small"


def test_few_cells_that_teach_are_said():
    # Each layer was seen on half of the block, but both together only on one row.
    ground = square_field(40)
    canopy = np.full((40, 40), np.nan)
    canopy[:21] = np.random.default_rng(1).normal(size=(21, 40))
    other = np.full((40, 40), np.nan)
    other[20:] = np.random.default_rng(2).normal(size=(20, 40))
    zoning = delineate({"canopy": canopy, "other": other}, ground, LIMITS, seed=1)
    assert why_whole(zoning.quality[0], "A").code == "zones.few_cells"


def test_blocks_with_other_numbers_of_layers_are_divided_side_by_side():
    # the second layer is noise in one block and tells the parts of the other: their clusters have one and two
    # layers; a block may begin its clusters elsewhere than alone, but comes out alike
    ground = ground_of([box(0, 0, 500, 500), box(500, 0, 1000, 500)])
    found, alone = [], []
    for seed in range(12):
        rng = np.random.default_rng(seed)
        one = np.concatenate(
            [smooth_patches(rng, (50, 50), 3, 8), smooth_patches(rng, (50, 50), 3, 8)], axis=1
        )
        two = np.concatenate([rng.normal(size=(50, 50)), smooth_patches(rng, (50, 50), 2, 8)], axis=1)
        layers = {name: layer + 0.3 * rng.normal(size=(50, 100)) for name, layer in (("a", one), ("b", two))}
        found.append([q.chosen for q in delineate(layers, ground, UP_TO_SIX, seed=seed).quality])
        alone.append([])
        for block in range(2):
            mine = {
                name: np.where(ground.block_of_cell == block, layer, np.nan) for name, layer in layers.items()
            }
            alone[-1].append(delineate(mine, ground, UP_TO_SIX, seed=seed).quality[block].chosen)
    apart = np.abs(np.array(found) - np.array(alone))
    print(f"zones more or fewer side by side than alone: {np.bincount(apart.ravel())}")
    assert apart.max() <= 1
    assert apart.mean() <= 0.25
    assert max(map(max, found)) > 1


@pytest.mark.parametrize("count", [3, 7, 40, 41, 49, 107])
def test_cells_that_were_seen_in_every_layer_teach_however_many_layers_there_are(count):
    ground = square_field(12)
    rng = np.random.default_rng(1)
    layers = {f"layer {at}": rng.normal(size=(12, 12)) for at in range(count)}
    cells = cells_of(layers, ground, 0)
    assert (cells.teach == ground.fit[cells.window]).all()
