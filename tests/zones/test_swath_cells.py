"""Treatment cells along swaths: areas by hand and against cut polygons, runs against trying everything."""

from functools import cache
from itertools import groupby, product

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import random_outlines
from made_survey_fields import survey_field
from made_swaths import rectangle, zoning_of
from made_zoned import survey_ground
from shapely import Point, affinity, box

from zoning.units import ac_from_m2
from zoning.zones.delineate import delineate
from zoning.zones.swath_cells import Swaths, differs_frac, swath_cells, values
from zoning.zones.swath_outlines import outlines
from zoning.zones.swath_runs import actions, best_runs
from zoning.zones.zoning import Limits

WEST, SOUTH = 500_000, 4_900_000
NORTHWARD = Swaths(heading_deg=0.0, swath_m=20.0, step_m=20.0)


def at(west, south, east, north):
    return box(WEST + west, SOUTH + south, WEST + east, SOUTH + north)


# -- cells ---------------------------------------------------------------------------------------------------


def test_by_hand_areas():
    # 80 m x 40 m, cells of 20 m; zone 1 is the western 50 m: half of the third swath
    cells = swath_cells(*zoning_of([at(0, 0, 50, 40), at(50, 0, 80, 40)]), NORTHWARD)
    assert cells.shape == (2, 4)
    assert cells.swath.tolist() == [0, 0, 1, 1, 2, 2, 3, 3]
    assert cells.place.tolist() == [0, 1] * 4
    expected = ac_from_m2(np.array([[400, 0]] * 4 + [[200, 200]] * 2 + [[0, 400]] * 2))
    assert cells.area_ac == pytest.approx(expected)
    # 3 USD an acre in zone 1, -1 in zone 2: a mixed cell is worth 200 m2 x (3 - 1)
    worth = values(cells, {1: 3.0, 2: -1.0})
    assert worth == pytest.approx(ac_from_m2(np.array([1200] * 4 + [400] * 2 + [-400] * 2)))


def test_by_hand_the_heading_turns_swaths_and_places():
    # the same field driven east: two swaths of four places; the first swath is the northern one (on the left)
    turned = Swaths(heading_deg=90.0, swath_m=20.0, step_m=20.0)
    cells = swath_cells(*zoning_of([at(0, 0, 50, 40), at(50, 0, 80, 40)]), turned)
    assert cells.shape == (4, 2)
    first = cells.area_ac[cells.swath == 0] / ac_from_m2(400)
    assert first == pytest.approx(np.array([[1, 0], [1, 0], [0.5, 0.5], [0, 1]]))
    assert cells.cell_of_grid[0, 0] == cells.cell_of_grid[1, 1] == 0
    assert cells.cell_of_grid[3, 0] == 4


def test_by_hand_a_gap_of_the_field_is_no_cell():
    ring = shapely.difference(at(0, 0, 60, 60), at(20, 20, 40, 40))
    cells = swath_cells(*zoning_of([ring]), NORTHWARD)
    assert cells.place[cells.swath == 1].tolist() == [0, 2]
    assert (cells.cell_of_grid[2:4, 2:4] == -1).all()
    assert (cells.cell_of_grid >= 0).sum() == 32


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 500),
    heading=st.floats(0, 359.9),
    swath_m=st.floats(5, 40),
    step_m=st.floats(8, 40),
    side_m=st.one_of(st.none(), st.floats(-5e6, 5e6)),
)
def test_areas_agree_with_cut_polygons(seed, heading, swath_m, step_m, side_m):
    zones = random_outlines(seed)
    swaths = Swaths(heading_deg=heading, swath_m=swath_m, step_m=step_m, side_m=side_m)
    zoning, grid = zoning_of(zones)
    cells = swath_cells(zoning, grid, swaths)
    xy = shapely.get_coordinates(zones)
    edge_m = (xy @ [np.cos(np.radians(heading)), -np.sin(np.radians(heading))]).min()
    if side_m is None:
        assert cells.corner_m[0] == pytest.approx(edge_m, abs=1e-6)
    else:
        assert -1e-6 < edge_m - cells.corner_m[0] < swath_m + 1e-6
        assert abs((cells.corner_m[0] - side_m + swath_m / 2) % swath_m - swath_m / 2) < 1e-6
    shapely.prepare(zones)
    rng = np.random.default_rng(seed)
    for cell in rng.choice(len(cells.swath), min(40, len(cells.swath)), replace=False):
        ground = rectangle(cells.place[cell], cells.swath[cell], cells.corner_m, swaths)
        exact_m2 = shapely.area(shapely.intersection(np.array(zones), ground))
        assert cells.area_ac[cell] == pytest.approx(ac_from_m2(1) * exact_m2, abs=1e-9)
    # a rim of the boundary that fills less than a hundredth of a cell is no cell
    least_m2 = 0.01 * swath_m * step_m
    rims_m2 = shapely.area(zones).sum() - cells.area_ac.sum() / ac_from_m2(1)
    assert -1e-6 <= rims_m2 <= least_m2 * shapely.length(zones).sum() / min(swath_m, step_m)
    assert cells.area_ac.sum(axis=1).min() >= ac_from_m2(least_m2) * (1 - 1e-9)
    # the centre of a grid cell lies in its treatment cell
    for row, column in rng.permutation(np.argwhere(zoning.number_of_cell > 0))[:40]:
        cell = cells.cell_of_grid[row, column]
        centre = Point(grid.east_m()[column], grid.north_m()[row])
        if cell >= 0:
            ground = rectangle(cells.place[cell], cells.swath[cell], cells.corner_m, swaths)
            assert ground.distance(centre) < 1e-6
    assert (cells.cell_of_grid[zoning.number_of_cell == 0] == -1).all()
    assert (cells.cell_of_grid[zoning.number_of_cell > 0] >= 0).mean() > 0.99


def test_turning_field_and_heading_together_changes_nothing():
    zones = [at(0, 0, 137, 211), shapely.difference(at(137, 0, 300, 211), at(200, 50, 240, 90))]
    swaths = Swaths(heading_deg=10.0, swath_m=18.0, step_m=12.0)
    before = swath_cells(*zoning_of(zones), swaths)
    turned = [affinity.rotate(zone, -31.0, origin=(WEST, SOUTH)) for zone in zones]
    after = swath_cells(*zoning_of(turned), Swaths(heading_deg=41.0, swath_m=18.0, step_m=12.0))
    assert after.shape == before.shape
    assert (after.swath == before.swath).all()
    assert after.area_ac == pytest.approx(before.area_ac, abs=1e-9)


def test_a_field_too_small_for_a_cell():
    sliver = at(3.0, 0, 5.0, 1.5)  # 3 of 400 m2
    zoning, grid = zoning_of([sliver])
    cells = swath_cells(zoning, grid, NORTHWARD)
    assert len(cells.swath) == 0
    treated = actions(values(cells, {1: 5.0}), cells, 20.0)
    assert treated.shape == (0,)
    assert differs_frac(cells, treated, {1}) == 0
    (part,) = outlines(cells, treated.astype(int), sliver)
    assert part.label == 0
    assert part.outline.equals(sliver)


def test_worth_must_be_a_number():
    cells = swath_cells(*zoning_of([at(0, 0, 50, 40)]), NORTHWARD)
    with pytest.raises(ValueError, match="must be a number"):
        values(cells, {1: float("nan")})


# -- runs ----------------------------------------------------------------------------------------------------


def can_be_done(treated, shortest):
    """Whether a machine can do this on a stretch: off at both ends, no switch too soon after another."""
    runs = [(on, len(list(cells))) for on, cells in groupby(treated)]
    if len(runs) == 1:
        return True  # all or nothing, however short the stretch
    inner_off = all(length >= shortest for on, length in runs[1:-1] if not on)
    return inner_off and all(length >= shortest for on, length in runs if on)


@cache
def every_way(cells, shortest):
    ways = (one for one in product([False, True], repeat=cells) if can_be_done(one, shortest))
    return np.array(list(ways), dtype=float)


@settings(max_examples=150, deadline=None)
@given(
    value=st.lists(st.integers(-9, 9) | st.floats(-5, 5, allow_subnormal=False), min_size=1, max_size=14),
    shortest=st.integers(1, 6),
)
def test_no_way_that_can_be_done_is_worth_more(value, shortest):
    found = best_runs(np.array(value, dtype=float)[:, np.newaxis], np.array([len(value)]), shortest)[:, 0]
    assert can_be_done(found.tolist(), shortest)
    assert float(np.dot(found, value)) == pytest.approx(
        float((every_way(len(value), shortest) @ np.array(value, dtype=float)).max()), abs=1e-9
    )


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), shortest=st.integers(1, 5))
def test_stretches_do_not_mind_one_another(seed, shortest):
    rng = np.random.default_rng(seed)
    length = rng.integers(1, 12, 7)
    value = rng.normal(size=(length.max(), 7))
    value[np.arange(length.max())[:, np.newaxis] >= length] = 0
    together = best_runs(value, length, shortest)
    for one, cells in enumerate(length):
        alone = best_runs(value[:cells, [one]], np.array([cells]), shortest)
        assert (together[:cells, one] == alone[:, 0]).all()
        assert not together[cells:, one].any()


@pytest.mark.parametrize(
    ("value", "shortest", "expected"),
    [
        ("+1 -1 +3", 1, "# . #"),
        ("+3 -1 +3", 2, "# # #"),  # the gap is too short, and is worth less than what it parts
        ("+3 -5 +3 +3", 2, ". . # #"),  # one cell at the end is too short a run to be treated
        ("-5 +3 +3 +3 -5", 2, ". # # # ."),  # one cell at the end may be left out: it goes on outside
        ("+3 +3 -9 -9 +3 +3", 2, "# # . . # #"),
        ("+3 +3 -9 +3 +3", 2, ". . . # #"),  # the gap may not be short: a cell of one side goes with it
        ("+2", 3, "#"),  # the whole stretch is shorter than a run
        ("+2 -1", 3, "# #"),
        ("-2 +1", 3, ". ."),
        ("0 0 0", 2, ". . ."),
    ],
)
def test_by_hand_runs(value, shortest, expected):
    numbers = np.array(value.split(), dtype=float)
    found = best_runs(numbers[:, np.newaxis], np.array([len(numbers)]), shortest)[:, 0]
    worth = float(numbers @ [sign == "#" for sign in expected.split()])
    assert float(numbers @ found) == worth
    if value != "+3 +3 -9 +3 +3":  # either side can stay
        assert ["#" if one else "." for one in found] == expected.split()


def test_by_hand_a_gap_of_the_field_ends_a_run():
    # a field of one swath with a hole in it: places 0, 1, gap, 3, 4, 5
    ring = shapely.difference(at(0, 0, 20, 120), at(-1, 40, 21, 60))
    cells = swath_cells(*zoning_of([ring]), NORTHWARD)
    assert cells.place.tolist() == [0, 1, 3, 4, 5]
    value = np.array([1.0, -3.0, -9.0, 2.0, 2.0])
    # runs of 40 m are 2 cells: below the gap 1 - 3 < 0, above it the two last
    assert actions(value, cells, 40.0).tolist() == [False, False, False, True, True]
    # runs of 60 m: the lower stretch is shorter than that, all of it or nothing; above it 2 + 2 - 9 < 0
    assert not actions(value, cells, 60.0).any()
    # 2.5 - 1.5 > 0 below, 3.5 + 3.5 - 7.5 < 0 above
    assert actions(value + 1.5, cells, 60.0).tolist() == [True, True, False, False, False]
    assert actions(value, cells, 20.0).tolist() == [True, False, False, True, True]


def test_by_hand_the_share_that_differs():
    # cells of 20 m on 80 m; zone 1, the western 50 m, is sprayed: half of the third swath is not as its zone
    cells = swath_cells(*zoning_of([at(0, 0, 50, 40), at(50, 0, 80, 40)]), NORTHWARD)
    treated = cells.swath < 3
    assert differs_frac(cells, treated, {1}) == pytest.approx(10 * 40 / (80 * 40))
    assert differs_frac(cells, treated, {1, 2}) == pytest.approx(20 * 40 / (80 * 40))
    assert differs_frac(cells, ~treated, {1}) == pytest.approx(70 * 40 / (80 * 40))


# -- outlines ------------------------------------------------------------------------------------------------


def test_by_hand_outlines():
    # the middle 40 m of three swaths: one treated polygon of 60 m x 40 m, and the rest around it
    field = at(0, 0, 100, 100)
    cells = swath_cells(*zoning_of([field]), NORTHWARD)
    treated = (cells.swath >= 1) & (cells.swath <= 3) & (cells.place >= 1) & (cells.place <= 2)
    rest, part = outlines(cells, treated.astype(int), field)
    assert (rest.label, part.label) == (0, 1)
    assert shapely.symmetric_difference(part.outline, at(20, 20, 80, 60)).area < 1e-4
    assert rest.outline.area == pytest.approx(100 * 100 - 60 * 40)
    # two labels side by side, and cells that meet at a corner only
    label = np.where(treated, 1 + (cells.swath == 3), 0)
    assert [one.label for one in outlines(cells, label, field)] == [0, 1, 2]
    corners = (cells.swath == cells.place).astype(int)
    assert [one.label for one in outlines(cells, corners, field)].count(1) == 5


@settings(max_examples=30, deadline=None)
@given(
    seed=st.integers(0, 500),
    heading=st.floats(0, 359.9) | st.sampled_from([0.0, 30.0, 60.0, 90.0, 180.0]),
    swath_m=st.floats(8, 40),
    least_run_m=st.floats(5, 90),
)
def test_outlines_are_a_coverage_of_the_field(seed, heading, swath_m, least_run_m):
    zones = random_outlines(seed)
    field = shapely.coverage_union_all(zones)
    swaths = Swaths(heading_deg=heading, swath_m=swath_m, step_m=12.0)
    cells = swath_cells(*zoning_of(zones), swaths)
    worth = dict(enumerate(np.random.default_rng(seed).normal(0, 5, len(zones)), 1))
    treated = actions(values(cells, worth), cells, least_run_m)
    parts = outlines(cells, treated.astype(int), field)
    shapes = [part.outline for part in parts]
    assert all(shape.geom_type == "Polygon" and shape.is_valid for shape in shapes)
    assert shapely.coverage_is_valid(shapes)
    assert shapely.area(shapes).sum() == pytest.approx(field.area, rel=1e-9)
    assert shapely.symmetric_difference(shapely.coverage_union_all(shapes), field).area < 1e-3
    corners = {tuple(xy) for xy in shapely.get_coordinates(field)}
    assert corners <= {tuple(xy) for xy in shapely.get_coordinates(shapes)}
    assert all(shape.area > 0.01 for shape in shapes), "no slivers"
    # what each part does is what its cells do
    for cell in np.random.default_rng(seed).choice(len(treated), min(30, len(treated)), replace=False):
        ground = rectangle(cells.place[cell], cells.swath[cell], cells.corner_m, swaths).intersection(field)
        other = [part.outline for part in parts if bool(part.label) != treated[cell]]
        assert shapely.area(shapely.intersection(np.array(other, dtype=object), ground)).sum() < 1e-3
    # neighbours of one action are one polygon
    for label in (0, 1):
        mine = [part.outline for part in parts if part.label == label]
        lines = [one.boundary for one in mine]
        assert all(
            one.intersection(two).length < 1e-6 for at_, one in enumerate(lines) for two in lines[at_ + 1 :]
        )


# -- how far whole cells are from smooth zones ---------------------------------------------------------------

# cells of a trial on another field of 64 ha, and the share of the area on which they agreed with its zones
TRIAL = {(36.58, 36.58): 0.933, (36.58, 18.29): 0.942, (27.43, 9.14): 0.957, (12.19, 9.14): 0.978}


def test_cells_agree_with_smooth_zones_about_as_in_a_trial():
    found = {size: [] for size in TRIAL}
    for seed in range(6):
        field = survey_field(seed)
        ground = survey_ground(field)
        limits = Limits(max_zones_per_block=4, min_area_ac=1.0)
        zoning = delineate(field.layers, ground, limits, seed=seed)
        for swath_m, step_m in TRIAL:
            swaths = Swaths(heading_deg=17.0, swath_m=swath_m, step_m=step_m)
            cells = swath_cells(zoning, ground.grid, swaths)
            found[swath_m, step_m].append(cells.area_ac.max(axis=1).sum() / cells.area_ac.sum())
    means = [float(np.mean(of_size)) for of_size in found.values()]
    for size, share, mean in zip(TRIAL, TRIAL.values(), means, strict=True):
        print(f"{size[0]:.2f} x {size[1]:.2f} m: {100 * mean:.1f} % (trial {100 * share:.1f} %)")
    assert means == sorted(means)
    assert means == pytest.approx(list(TRIAL.values()), abs=0.015)


@pytest.mark.parametrize("seed", [1, 2])
def test_areas_by_outlines_agree_with_counting_cells_of_the_grid(seed):
    field = survey_field(seed)
    ground = survey_ground(field)
    zoning = delineate(field.layers, ground, Limits(max_zones_per_block=3, min_area_ac=1.0), seed=seed)
    swaths = Swaths(heading_deg=17.0, swath_m=36.58, step_m=36.58)
    cells = swath_cells(zoning, ground.grid, swaths)
    here = cells.cell_of_grid >= 0
    counted = np.zeros_like(cells.area_ac)
    np.add.at(counted, (cells.cell_of_grid[here], zoning.number_of_cell[here] - 1), ground.grid.cell_ac)
    by_counting, by_outlines = counted.max(axis=1).sum(), cells.area_ac.max(axis=1).sum()
    assert by_counting == pytest.approx(by_outlines, rel=0.015)


@pytest.mark.parametrize("least_run_m", [36.58, 73.16])
def test_longer_runs_and_coarser_cells_are_never_worth_more(least_run_m):
    field = survey_field(2)
    ground = survey_ground(field)
    zoning = delineate(field.layers, ground, Limits(max_zones_per_block=4, min_area_ac=1.0), seed=2)
    worth = {zone.number: 8.0 * (-1) ** zone.number for zone in zoning.zones}

    def best(step_m: float, run_m: float) -> float:
        swaths = Swaths(heading_deg=17.0, swath_m=36.58, step_m=step_m)
        cells = swath_cells(zoning, ground.grid, swaths)
        value = values(cells, worth)
        return float(value[actions(value, cells, run_m)].sum())

    fine, as_long = best(36.58 / 3, least_run_m), best(36.58 / 3, 0.0)
    assert best(36.58, least_run_m) <= fine <= as_long
    whole = sum(ac_from_m2(zone.outline.area) * max(worth[zone.number], 0) for zone in zoning.zones)
    assert 0.8 * whole < fine < as_long < whole
