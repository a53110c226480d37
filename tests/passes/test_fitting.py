"""Maps fitted to old terminals: within the limits, still the field, never on ground to keep off."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import acres, outlines_m, to_lonlat

from zoning.passes.coverage import edges_match
from zoning.passes.fitting import fitted, shp_bytes
from zoning.passes.pass_map import MapPart

STEP = 0.001  # degrees: a cell of the boards, some 80 x 111 m
RATE = 15.0


def cell(row, col):
    return shapely.box(-95 + col * STEP, 44 + row * STEP, -95 + (col + 1) * STEP, 44 + (row + 1) * STEP)


def parts_of(board):
    """A board of 1 = sprayed, 0 = not, -1 = no ground of the field, as parts of a map, a cell each."""
    return [
        MapPart(outline=cell(row, col), rate_gal_ac=RATE * value)
        for (row, col), value in np.ndenumerate(np.asarray(board))
        if value >= 0
    ]


def checkerboard(size):
    return np.add.outer(np.arange(size), np.arange(size)) % 2


def treated(parts):
    return shapely.union_all([part.outline for part in parts if part.rate_gal_ac > 0])


def ground(parts):
    return shapely.union_all([part.outline for part in parts])


def rate_at(parts, place):
    [rate] = {part.rate_gal_ac for part in parts if part.outline.contains(place)}
    return rate


def test_by_hand_what_fits_is_left_alone_but_for_neighbours_of_one_rate():
    # by hand: the middle column is sprayed, so three polygons of 3 x 1 cells
    parts, told = fitted(parts_of([[0, 1, 0]] * 3), keep_off=[])
    assert told is None
    assert [part.rate_gal_ac for part in parts] == [RATE, 0.0, 0.0]
    # a column of three cells keeps the four corners of each cell along its sides: 8 corners, the first twice
    assert shp_bytes(parts) == 100 + 3 * (52 + 4) + 3 * 9 * 16


def test_by_hand_a_checkerboard_of_15_by_15():
    # by hand: 225 cells touch in corners only, so 225 polygons; one cell inside that takes the rate of its
    # four neighbours makes one polygon of five, so 4 fewer; 125 too many / 4 = 31.25, so 32 cells or more
    before = parts_of(checkerboard(15))
    parts, told = fitted(before, keep_off=[])
    assert (told.polygons, told.fits, told.moved_m) == (225, True, 0.0)
    assert told.size_bytes == 100 + 225 * (52 + 4 + 5 * 16)
    assert told.joined == 32
    assert len(parts) <= 100
    places = [part.outline.representative_point() for part in before]
    other = [rate_at(parts, at) != one.rate_gal_ac for one, at in zip(before, places, strict=True)]
    assert sum(other) == 32
    changed_ac = sum(acres(one.outline) for one, is_other in zip(before, other, strict=True) if is_other)
    assert told.joined_ac == pytest.approx(changed_ac, rel=1e-9)


def test_cells_of_a_checkerboard_that_must_not_be_sprayed_stay_dry():
    before = parts_of(checkerboard(15))
    dry = [part.outline for part in before if part.rate_gal_ac == 0]
    parts, told = fitted(before, keep_off=dry)
    assert told.fits
    assert len(parts) <= 100
    assert treated(parts).intersection(shapely.union_all(dry)).area == 0
    lost_ac = acres(shapely.MultiPolygon([one.outline for one in before if one.rate_gal_ac > 0]))
    lost_ac -= sum(acres(part.outline) for part in parts if part.rate_gal_ac > 0)
    assert told.joined_ac == pytest.approx(lost_ac, rel=1e-9)


def test_more_islands_than_a_terminal_takes_cannot_be_helped():
    # 10 x 10 setbacks, each in sprayed ground of its own: 100 islands and the ground around them are 101
    board = np.ones((21, 21), dtype=int)
    board[1::2, 1::2] = 0
    before = parts_of(board)
    dry = [part.outline for part in before if part.rate_gal_ac == 0]
    parts, told = fitted(before, keep_off=dry)
    assert (told.polygons, told.fits, told.joined, told.joined_ac, told.moved_m) == (101, False, 0, 0.0, 0.0)
    assert len(parts) == 101
    assert treated(parts).symmetric_difference(treated(before)).area < 1e-15
    # were one of them no setback but ground that is skipped, that one would go
    parts, told = fitted(before, keep_off=dry[1:])
    assert (len(parts), told.fits, told.joined) == (100, True, 1)
    assert treated(parts).symmetric_difference(shapely.union_all([treated(before), dry[0]])).area < 1e-15


def test_not_more_than_a_quarter_of_the_field_gets_another_rate():
    parts, told = fitted(parts_of(np.tile([0, 1], (1, 120))), keep_off=[])
    # by hand: 240 strips; one that is joined saves 2, so 70 strips, 29 % of the ground
    assert (len(parts), told.fits, told.joined) == (240, False, 0)
    parts, told = fitted(parts_of(np.tile([0, 1], (1, 90))), keep_off=[])
    # by hand: 180 strips, 40 joined, 22 %
    assert (len(parts), told.fits, told.joined) == (100, True, 40)


@pytest.mark.parametrize("setback", [1, 2], ids=["its west cell", "its east cell"])
def test_skipped_ground_with_a_setback_in_it_gets_no_rate(setback):
    # by hand: 10 x 10 islands of two cells, one of them a setback, and the ground around them: 101 polygons
    board = np.ones((21, 31), dtype=int)
    board[1::2, 1::3] = board[1::2, 2::3] = 0
    board[:, 30] = 1
    before = parts_of(board)
    dry = [cell(row, col) for row, col in np.argwhere(board == 0) if col % 3 == setback]
    parts, told = fitted(before, keep_off=dry)
    assert (told.polygons, told.fits, len(parts)) == (101, False, 101)
    assert treated(parts).intersection(shapely.union_all(dry)).area == 0
    parts, told = fitted(before, keep_off=dry[1:])
    assert (told.fits, told.joined, len(parts)) == (True, 1, 100)


def test_treated_strips_are_kept():
    board = np.tile([0, 1], (1, 90))
    before = parts_of(board)
    keep = [before[place].outline for place in (1, 3, 5, 171, 173)]
    parts, told = fitted(before, keep_off=[], keep_on=keep)
    assert told.fits
    assert treated(parts).intersection(shapely.union_all(keep)).area == pytest.approx(5 * STEP**2, rel=1e-6)
    [*_, last] = keep
    assert rate_at(parts, last.representative_point()) == RATE


# most have 100 to 250 polygons: at half and half, about one for every seven or eight cells
BOARDS = st.tuples(st.integers(0, 10**6), st.integers(25, 40), st.floats(0.35, 0.65), st.floats(0, 0.1))


def board_of(drawn):
    seed, size, share, dry_frac = drawn
    chance = np.random.default_rng(seed)
    board = (chance.random((size, size)) < share).astype(int)
    board[chance.random((size, size)) < 0.03] = -1
    dry = (board == 0) & (chance.random((size, size)) < dry_frac)
    wet = (board == 1) & (chance.random((size, size)) < 0.02)
    return board, [cell(*at) for at in np.argwhere(dry)], [cell(*at) for at in np.argwhere(wet)]


@settings(max_examples=15, deadline=None)
@given(drawn=BOARDS)
def test_limits_cover_and_report_hold(drawn):
    board, dry, wet = board_of(drawn)
    before = parts_of(board)
    parts, told = fitted(before, keep_off=dry, keep_on=wet)
    outlines = [part.outline for part in parts]
    assert shapely.is_valid(outlines).all()
    assert edges_match(outlines)
    assert ground(parts).symmetric_difference(ground(before)).area < 1e-12
    assert treated(parts).intersection(shapely.union_all(dry)).area < 1e-15
    assert shapely.union_all(wet).difference(treated(parts)).area < 1e-15
    if told is None or told.fits:
        assert len(parts) <= 100
        assert shp_bytes(parts) <= 250_000
    at = {id(one): rate_at(parts, one.outline.representative_point()) for one in before}
    changed = [one for one in before if at[id(one)] != one.rate_gal_ac]
    joined_ac = sum(acres(one.outline) for one in changed)
    assert joined_ac == pytest.approx(told.joined_ac if told else 0.0, rel=1e-9)
    assert joined_ac <= 0.25 * sum(acres(one.outline) for one in before)
    whole = [one for rate in (0.0, RATE) for one in polygons(before, rate)]
    moved = shapely.union_all([one.outline for one in changed])
    assert sum(one.intersection(moved).area > 1e-15 for one in whole) == (told.joined if told else 0)


def polygons(parts, rate):
    """Polygons of one rate, found by joining and not by the edges of cells."""
    own = shapely.union_all([part.outline for part in parts if part.rate_gal_ac == rate])
    return [] if own.is_empty else shapely.get_parts(own)


@pytest.fixture(scope="module")
def fine():
    """20 wavy bands of a field in an image of 1 m: few polygons, with more corners than 250 KB hold."""
    rows, cols = np.mgrid[0:400, 0:400]
    bands = 1 + ((rows + 6 * np.sin(cols / 9) + 3 * np.sin(cols / 4)) // 21).clip(0, 18).astype(int)
    found = outlines_m(bands, 1.0, (270_000.0, 4_900_000.0))
    return [
        MapPart(outline=polygon, rate_gal_ac=RATE * (band % 2))
        for band, outline in found.items()
        for polygon in shapely.get_parts(to_lonlat(outline, 32615))
    ]


def test_fine_edges_are_made_coarser_but_not_those_of_setbacks(fine):
    dry = next(part.outline for part in fine if part.rate_gal_ac == 0)
    parts, told = fitted(fine, keep_off=[dry])
    outlines = [part.outline for part in parts]
    assert (told.fits, told.joined, told.joined_ac) == (True, 0, 0.0)
    assert told.size_bytes == shp_bytes(fine) > 250_000 >= shp_bytes(parts)
    assert len(parts) == len(fine) == told.polygons
    assert 0 < told.moved_m <= 3.0
    assert shapely.coverage_is_valid(outlines)
    assert ground(parts).symmetric_difference(ground(fine)).area <= 1e-9 * ground(fine).area
    assert treated(parts).intersection(dry).area <= 1e-12 * dry.area
    assert any(one.equals(dry) for one in outlines)
    known = {tuple(at) for at in shapely.get_coordinates([part.outline for part in fine])}
    assert {tuple(at) for at in shapely.get_coordinates(outlines)} <= known


def test_fine_edges_move_no_farther_than_is_said(fine):
    parts, told = fitted(fine, keep_off=[])
    # measured another way: here and there along the old edges, in the metres of the UTM zone, whose scale
    # is within 0.1 %
    before, after = (edges_in_metres(one) for one in (fine, parts))
    shapely.prepare(after)
    places = shapely.points(shapely.get_coordinates(shapely.segmentize(before, 0.5))[::11])
    assert 0.5 * told.moved_m <= shapely.distance(places, after).max() <= told.moved_m * 1.001
    moved_ac = before.length * told.moved_m / 4046.8564224
    assert 0 < abs(acres(treated(parts)) - acres(treated(fine))) <= moved_ac


def edges_in_metres(parts):
    from pyproj import Transformer

    step = Transformer.from_crs(4326, 32615, always_xy=True)
    lines = shapely.union_all([part.outline.boundary for part in parts])
    return shapely.transform(lines, lambda xy: np.column_stack(step.transform(xy[:, 0], xy[:, 1])))
