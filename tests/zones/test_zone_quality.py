"""How good zones are: by hand, on simulated truth, and what must not move the figures."""

from collections.abc import Mapping

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import ground_of, smooth_patches, square_field
from made_survey_fields import survey_field
from made_zoned import survey_ground
from shapely import MultiPolygon, box

from zoning.evidence import number
from zoning.zones.cells import cells_of
from zoning.zones.delineate import delineate
from zoning.zones.doubts import zones_said
from zoning.zones.measured import measure
from zoning.zones.quality import Agreement, Quality, ZonePatches
from zoning.zones.resampled import RESAMPLES, agreements, drawn_again, squares_of
from zoning.zones.yardstick import _has_more, clustered, explained, inside_blocks, squares
from zoning.zones.zoning import Ground, Limits, Zone, Zoning

LIMITS = Limits(max_zones_per_block=4, min_area_ac=1.0)
# Six cells in a row: two zones in the first block, one in the second.
ZONES = np.array([1, 1, 2, 2, 3, 3])
VALUES = np.array([0.0, 2.0, 10.0, 12.0, 20.0, 24.0])


def _row() -> Ground:
    """Six cells of 10 m in a row: a block of four, a block of two."""
    west, south = 500_000, 4_900_000
    return ground_of([box(west, south, west + 40, south + 10), box(west + 40, south, west + 60, south + 10)])


def _zoning(numbers: np.ndarray, ground: Ground, raw: np.ndarray | None = None) -> Zoning:
    """Zones with these numbers, one box a cell; each lies in the block of its first cell."""
    west, top, side = ground.grid.left_m, ground.grid.top_m, ground.grid.cell_m
    zones = []
    for one in range(1, int(numbers.max()) + 1):
        rows, columns = np.nonzero(numbers == one)
        parts = [box(west + side * c, top - side * (r + 1), west + side * (c + 1), top - side * r)
                 for r, c in zip(rows, columns, strict=True)]  # fmt: skip
        outline = shapely.union_all(parts)
        block = int(ground.block_of_cell[rows[0], columns[0]])
        zones.append(Zone(number=one, block=block, outline=outline, cells=len(rows), means={}))
    return Zoning(
        number_of_cell=numbers.astype(np.int16),
        zones=tuple(zones),
        quality=(),
        raw_of_cell=None if raw is None else raw.astype(np.int16),
    )


def _measured(
    numbers: np.ndarray,
    layers: Mapping[str, np.ndarray],
    unused: Mapping[str, np.ndarray] | None = None,
) -> Quality:
    ground = _row()
    zoning = _zoning(numbers[None, :], ground)
    cut = {name: layer[None, :] for name, layer in layers.items()}
    left = {name: layer[None, :] for name, layer in (unused or {}).items()}
    return measure(zoning, cut, left, ground, LIMITS, seed=1)


# -- by hand ----------------------------------------------------------------------------------------------


def test_by_hand_shares_of_a_layer():
    # Mean 68 / 6; squares about it 0 + 4 + 100 + 144 + 400 + 576 - 68^2 / 6 = 1224 - 770.667 = 453.333.
    # Within the zones (0, 2), (10, 12), (20, 24): 2 + 2 + 8 = 12, so 1 - 12 / 453.333 = 0.973529.
    # About the means of the blocks, 6 and 22: 36 + 16 + 16 + 36 + 4 + 4 = 112, so 1 - 12 / 112 = 0.892857.
    (layer,) = _measured(ZONES, {}, {"yield": VALUES}).layers
    assert (layer.name, layer.used) == ("yield", False)
    assert layer.explained_frac == pytest.approx(0.973529, abs=5e-7)
    assert layer.within_blocks_frac == pytest.approx(0.892857, abs=5e-7)


def test_by_hand_cells_that_were_not_seen_do_not_count():
    # Seen: 0, 2 in zone 1 and 10 in zone 2: mean 4, squares 16 + 4 + 36 = 56, within 2: 1 - 2 / 56.
    holed = np.where(np.arange(6) < 3, VALUES, np.nan)
    (layer,) = _measured(ZONES, {}, {"yield": holed}).layers
    assert layer.explained_frac == pytest.approx(54 / 56)
    assert layer.within_blocks_frac == pytest.approx(54 / 56)


def test_by_hand_all_three_yardsticks():
    # Zones (0, 12), (2, 10), (20, 24): within 72 + 32 + 8 = 112, so 1 - 112 / 453.333 = 0.752941.
    # Two clusters of 0, 2, 10, 12 and one of 20, 24 leave 12, and so do three of all six: 0.973529.
    quality = _measured(np.array([1, 2, 2, 1, 3, 3]), {"canopy": VALUES})
    assert quality.explained_frac == pytest.approx(0.752941, abs=5e-6)
    assert quality.uncleaned_frac == pytest.approx(0.973529, abs=5e-6)
    assert quality.unconstrained_frac == pytest.approx(0.973529, abs=5e-6)


def test_by_hand_blocks_cost_what_clusters_across_them_would_have_gained():
    # Block 1 holds 0, 0, 6, 6 as one zone, block 2 holds 0, 6 as one: mean 3, all squares 54, within 36 + 18.
    # Two clusters across the blocks, the zeros and the sixes, leave nothing.
    quality = _measured(np.array([1, 1, 1, 1, 2, 2]), {"canopy": np.array([0.0, 0, 6, 6, 0, 6])})
    assert quality.explained_frac == pytest.approx(0, abs=1e-12)
    assert quality.uncleaned_frac == pytest.approx(0, abs=1e-12)
    assert quality.unconstrained_frac == pytest.approx(1)


def test_by_hand_two_layers_count_alike_whatever_their_units():
    # The zones explain 12 of 12 parts of one layer and nothing of the other: the half of both together.
    one = np.array([0.0, 0, 1, 1, 0, 1])
    other = np.array([0.0, 1000, 0, 1000, 500, 500])
    ground = ground_of([box(500_000, 4_900_000, 500_060, 4_900_010)])
    zoning = _zoning(np.array([[1, 1, 2, 2, 1, 2]]), ground)
    layers = {"one": one[None, :], "other": other[None, :]}
    quality = measure(zoning, layers, {}, ground, LIMITS, seed=1)
    assert [layer.explained_frac for layer in quality.layers] == pytest.approx([1, 0])
    # On the robust scale the squares are 6 x 0.5^2 over the quartile range 1 squared, 1.5; and 4 x 500^2
    # over that of (0, 0, 500, 500, 1000, 1000), 750 squared, 1.7778: 1.5 / 3.2778.
    assert quality.explained_frac == pytest.approx(1.5 / (1.5 + 16 / 9), abs=1e-6)


def test_by_hand_patches_and_purity():
    # Zone 1: cells 0, 1 and 3, of which 3 lies apart; of its four values one was never seen (cell 0), and of
    # the two left one asks for it. Zone 2: its one cell asks for nothing. Zone 3: both ask for it.
    ground = _row()
    raw = np.array([[0, 1, 0, 2, 3, 3]])
    layers = {"canopy": np.where(np.arange(6) == 0, np.nan, VALUES)[None, :]}
    zoning = _zoning(np.array([[1, 1, 2, 1, 3, 3]]), ground, raw)
    quality = measure(zoning, layers, {}, ground, LIMITS, seed=1)
    assert [zone.patches for zone in quality.zones] == [2, 1, 1]
    assert [zone.purity_frac for zone in quality.zones] == [0.5, 0, 1]


def test_by_hand_patches_that_meet_at_a_corner_are_two():
    ground = square_field(2)
    quality = measure(_zoning(np.array([[1, 2], [2, 1]]), ground), {}, {}, ground, LIMITS, seed=1)
    assert [zone.patches for zone in quality.zones] == [2, 2]
    assert isinstance(_zoning(np.array([[1, 2], [2, 1]]), ground).zones[0].outline, MultiPolygon)


def test_by_hand_squares_about_group_means():
    # (1, 3): 2; (10, 14): 8; a second layer twice the first: four times that. 10 + 40 = 50.
    values = np.array([1.0, 3.0, 10.0, 14.0])
    assert squares(np.stack([values, 2 * values], axis=1), np.array([0, 0, 1, 1])) == pytest.approx(50)


def test_by_hand_squares_of_the_checkerboard():
    # 13 cells of a row are cut into 6 + 6 + 1 at the multiples of 6, rows alike.
    cells = cells_of({"canopy": np.arange(169.0).reshape(13, 13)}, square_field(13), 0)
    assert number("zones.checkerboard_cells") == 6
    assert np.bincount(squares_of(cells)).tolist() == [36, 36, 6, 36, 36, 6, 6, 6, 1]


def test_a_resample_holds_whole_squares():
    square = np.repeat([0, 1, 2], [3, 5, 2])
    places = drawn_again(square, np.random.default_rng(4))
    count = np.bincount(places, minlength=10)
    for one in range(3):
        assert len(set(count[square == one])) == 1  # all cells of a square are drawn equally often


# -- where there is nothing to measure --------------------------------------------------------------------


def test_zones_that_somebody_drew_have_no_purity_and_no_agreement():
    quality = _measured(ZONES, {"canopy": VALUES})
    assert quality.agreement == ()
    assert [zone.purity_frac for zone in quality.zones] == [None, None, None]
    assert quality.uncleaned_frac is not None


def test_without_layers_there_are_no_shares():
    ground = square_field(30)
    zoning = delineate({}, ground, LIMITS, seed=1)
    quality = measure(zoning, {}, {}, ground, LIMITS, seed=1)
    assert (quality.explained_frac, quality.uncleaned_frac, quality.unconstrained_frac) == (None, None, None)
    assert quality.zones == (ZonePatches(zone=1, patches=1, purity_frac=None),)
    assert (quality.layers, quality.agreement) == ((), ())


@pytest.mark.parametrize("value", [0.4, 0.0, -3e5])
def test_a_layer_of_one_value_has_nothing_to_explain(value):
    quality = _measured(ZONES, {"canopy": VALUES, "flat": np.full(6, value)})
    flat = quality.layers[1]
    assert (flat.explained_frac, flat.within_blocks_frac) == (None, None)
    assert quality.explained_frac == pytest.approx(0.973529, abs=5e-6)  # that of the other layer


def test_a_layer_seen_nowhere_or_hardly_anywhere_is_left_out_of_the_whole():
    hardly = np.where(np.arange(6) < 2, VALUES, np.nan)
    quality = _measured(ZONES, {"canopy": VALUES, "hardly": hardly, "never": np.full(6, np.nan)})
    assert quality.explained_frac == pytest.approx(0.973529, abs=5e-6)
    assert quality.layers[2].explained_frac is None


def test_a_block_that_is_one_zone_is_pure_and_one_that_was_never_seen_is_neither():
    ground = ground_of(
        [box(500_000, 4_900_000, 500_300, 4_900_300), box(500_300, 4_900_000, 500_600, 4_900_300)]
    )
    noise = np.random.default_rng(1).normal(size=ground.grid.shape)
    layers = {"canopy": np.where(ground.block_of_cell == 0, noise, np.nan)}
    zoning = delineate(layers, ground, LIMITS, seed=1)
    quality = measure(zoning, layers, {}, ground, LIMITS, seed=1)
    assert [zone.purity_frac for zone in quality.zones] == [1, None]


# -- properties -------------------------------------------------------------------------------------------


@given(st.integers(0, 10_000), st.integers(1, 40), st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_shares_lie_between_nothing_and_all_and_finer_groups_explain_no_less(seed, count, groups):
    rng = np.random.default_rng(seed)
    values = rng.normal(rng.uniform(-1e3, 1e3), 1, size=(count, 2))
    coarse = rng.integers(groups, size=count)
    fine = coarse * 3 + rng.integers(3, size=count)
    shares = [explained(values, group) for group in (coarse, fine)]
    if shares[0] is None:
        assert count == 1
        return
    assert -1e-9 <= shares[0] <= shares[1] + 1e-9
    assert shares[1] <= 1
    within = explained(values, fine, coarse)
    assert within is None or -1e-9 <= within <= 1
    if within is not None:
        # What is left is the same, of a smaller whole: 1 - fine = (1 - coarse) (1 - within).
        assert 1 - shares[1] == pytest.approx((1 - shares[0]) * (1 - within), abs=1e-9)


def test_zones_as_small_as_cells_explain_everything():
    ground = square_field(4)
    numbers = np.arange(1, 17).reshape(4, 4)
    layers = {name: np.random.default_rng(place).normal(size=(4, 4)) for place, name in enumerate("ab")}
    quality = measure(_zoning(numbers, ground), layers, {}, ground, LIMITS, seed=1)
    assert [layer.explained_frac for layer in quality.layers] == [1, 1]
    assert (quality.explained_frac, quality.uncleaned_frac, quality.unconstrained_frac) == (1, 1, 1)


def _survey(seed: int) -> tuple[Zoning, dict[str, np.ndarray], dict[str, np.ndarray], Ground]:
    field = survey_field(seed)
    ground = survey_ground(field)
    zoning = delineate(field.layers, ground, LIMITS, seed=1)
    return zoning, field.layers, {"yield": field.unused}, ground


def test_units_and_the_order_of_layers_change_no_figure():
    zoning, layers, unused, ground = _survey(3)
    one = measure(zoning, layers, unused, ground, LIMITS, seed=1)
    other = {name: 3e4 * layer - 7 for name, layer in reversed(layers.items())}
    two = measure(zoning, other, unused, ground, LIMITS, seed=1)
    for name in ("explained_frac", "uncleaned_frac", "unconstrained_frac"):
        assert getattr(one, name) == pytest.approx(getattr(two, name), abs=1e-5)
    by_name = {layer.name: layer.explained_frac for layer in two.layers}
    assert {layer.name: layer.explained_frac for layer in one.layers} == pytest.approx(by_name)
    assert (one.zones, one.agreement) == (two.zones, two.agreement)


def test_the_same_seed_gives_the_same_figures():
    zoning, layers, unused, ground = _survey(1)
    assert measure(zoning, layers, unused, ground, LIMITS, seed=5) == measure(
        zoning, layers, unused, ground, LIMITS, seed=5
    )


def test_many_cells_are_divided_as_by_all_of_them():
    # 6,400 cells: 2,000 of them find the centres, and the others move them on. Three clouds of points.
    rng = np.random.default_rng(8)
    truth = rng.integers(3, size=6400)
    values = np.array([[0.0, 0.0], [6.0, 0.0], [0.0, 6.0]])[truth] + rng.normal(size=(6400, 2))
    found = clustered(values, 3, seed=1, key=("test",))
    assert explained(values, found) == pytest.approx(explained(values, truth), abs=2e-3)


@given(
    rows=st.lists(st.tuples(st.integers(0, 3), st.integers(0, 2)), min_size=1, max_size=40),
    most=st.integers(1, 6),
)
def test_witness_a_glance_at_the_first_cells_counts_as_all_of_them_do(rows, most):
    assert _has_more(np.array(rows, dtype=float), most) == (len(set(rows)) > most)


def test_no_cluster_lies_in_two_blocks():
    rng = np.random.default_rng(2)
    block = np.repeat([0, 1, 2], 50)
    label = inside_blocks(rng.normal(size=(150, 2)), block, {0: 3, 1: 1, 2: 2}, seed=1)
    assert [len(np.unique(label[block == one])) for one in range(3)] == [3, 1, 2]
    assert len(np.unique(label)) == 6


# -- simulated truth --------------------------------------------------------------------------------------


def _drawn(seed: int, noise: float) -> Quality | None:
    """Zones of three true patches under noise; None where not three were found."""
    ground = square_field(60)
    rng = np.random.default_rng(seed)
    layers = {"canopy": smooth_patches(rng, ground.grid.shape, 3, 8) + noise * rng.normal(size=(60, 60))}
    zoning = delineate(layers, ground, LIMITS, seed=seed)
    quality = measure(zoning, layers, {}, ground, LIMITS, seed=seed)
    return quality if len(zoning.zones) == 3 else None


def _all_drawn(noise: float) -> list[Quality]:
    found = [quality for seed in range(8) if (quality := _drawn(seed, noise)) is not None]
    assert len(found) >= 6, f"three zones at noise {noise}"
    return found


def test_true_zones_come_again_from_resampled_ground_and_purity_falls_with_noise():
    clear, noisy = _all_drawn(0.1), _all_drawn(0.7)
    agreement, purity = (
        [np.mean([one.agreement[0].mean for one in some]) for some in (clear, noisy)],
        [np.mean([zone.purity_frac for one in some for zone in one.zones]) for some in (clear, noisy)],
    )
    print(
        "three patches, noise 0.1 and 0.7 of a step: agreement {:.3f} {:.3f}, purity {:.3f} {:.3f}".format(
            *agreement, *purity
        )
    )
    assert agreement[0] > 0.95
    assert agreement[1] < agreement[0]
    assert purity[0] > 0.95
    assert purity[1] < purity[0]
    assert all(one.agreement[0].resamples == RESAMPLES for one in clear)


def test_zones_forced_into_noise_do_not_come_again():
    ground = square_field(60)
    least = []
    for seed in range(4):
        noise = {"noise": np.random.default_rng(seed).normal(size=(60, 60))}
        cells = cells_of(noise, ground, 0)
        # stripes stand for zones that somebody wants to see in it
        forced = np.where(cells.mask, np.arange(cells.mask.shape[1])[None, :] // 20, -1)
        least.append(np.mean(agreements(cells, forced, LIMITS, seed=seed, block=0)))
    print(f"three stripes forced on noise: agreement {least}")
    assert max(least) < 0.1


# -- words ------------------------------------------------------------------------------------------------


def _quality(*, pure: float | None, patches: int, mean: float) -> Quality:
    return Quality(
        layers=(),
        zones=(ZonePatches(zone=1, patches=patches, purity_frac=pure),),
        agreement=(Agreement(block=0, mean=mean, least=mean, resamples=10),),
        explained_frac=None,
        uncleaned_frac=None,
        unconstrained_frac=None,
    )


def test_a_user_hears_only_what_asks_for_something():
    assert zones_said(_quality(pure=0.8, patches=6, mean=0.6), ["A"], ["1"]) == ()
    assert zones_said(_quality(pure=None, patches=1, mean=1.0), ["A"], ["1"]) == ()


def test_mixed_scattered_and_unsure_zones_are_named():
    said = zones_said(_quality(pure=0.714, patches=7, mean=0.59), ["north"], ["hill"])
    assert [one.code for one in said] == ["zones.impure", "zones.patches", "zones.unsure"]
    assert "zone hill is mixed: only 71 %" in said[0].text
    assert "zone hill lies in 7 separate patches" in said[1].text
    assert "block north" in said[2].text
