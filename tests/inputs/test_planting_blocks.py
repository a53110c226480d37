"""Planting: blocks fill the boundary exactly, and no date is ever averaged across an edge."""

from datetime import date, datetime, timedelta

import numpy as np
import pytest
import shapely
from coverage_witness import is_coverage
from hypothesis import example, given, settings
from hypothesis import strategies as st
from made_inputs import EAST, FIELD, GRID, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import LineString, MultiPolygon, Point, Polygon, box

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import dates, read
from zoning.inputs.given import FieldInputs
from zoning.inputs.ground import blocks
from zoning.inputs.planted import asplanted
from zoning.inputs.planted.planting import letters

MIDDLE = (WEST + EAST) / 2
HALF = FIELD.area / 2


def planted(
    folder: Folder, shapes: list, columns: list[dict[str, object]], today: date = TODAY
) -> FieldInputs:
    folder.shapes("planting.geojson", shapes, columns)
    folder.add("[planting]\nfile = 'planting.geojson'")
    return read.field(folder.settings(), today)


def assert_fills(found: FieldInputs) -> None:
    """Blocks are a valid coverage of the boundary: no gap, no overlap, the same vertices on shared edges."""
    outlines = [block.outline for block in found.blocks]
    assert all(outline.is_valid for outline in outlines)
    assert is_coverage(outlines)
    assert shapely.union_all(outlines).symmetric_difference(found.boundary).area < 1e-6
    assert sum(outline.area for outline in outlines) == pytest.approx(found.boundary.area, rel=1e-12)
    assert sum(block.area_ac for block in found.blocks) == pytest.approx(found.area_ac, rel=1e-9)
    assert found.inside.sum() == (found.block_of_cell >= 0).sum()


def codes(found: FieldInputs) -> list[str]:
    return [note.code for note in found.notes]


def test_one_date_for_the_whole_field(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06")
    found = read.field(folder.settings(), TODAY)
    assert [(one.name, one.planted, one.emerged) for one in found.blocks] == [("A", date(2026, 5, 6), None)]
    assert found.blocks[0].outline.equals(found.boundary)
    assert_fills(found)


def test_by_hand_two_polygons_of_half_the_field(folder: Folder) -> None:
    # Drawn 20 m beyond the boundary; the later one stands first in the file, but blocks go by planting day.
    east = box(MIDDLE, SOUTH - 20, EAST + 20, NORTH + 20)
    west = box(WEST - 20, SOUTH - 20, MIDDLE, NORTH + 20)
    rows = [
        {"planted": "2026-05-20", "emerged": "2026-05-28", "maturity_group": "2.4", "variety": "Late"},
        {"planted": "2026-05-06", "maturity_group": "00", "expected_yield": "3.3625535 t/ha"},
    ]
    found = planted(folder, [east, west], rows)
    first, second = found.blocks
    assert (first.planted, second.planted) == (date(2026, 5, 6), date(2026, 5, 20))
    assert (first.maturity_group, first.emerged, first.variety) == (-1.0, None, "")
    assert (second.maturity_group, second.emerged, second.variety) == (2.4, date(2026, 5, 28), "Late")
    assert first.expected_yield_bu_ac == pytest.approx(50, rel=1e-6)  # 67.25107 kg/ha a bushel, 50 of them
    assert second.expected_yield_bu_ac is None
    assert first.outline.area == pytest.approx(HALF, rel=1e-5)
    assert shapely.centroid(first.outline).x < MIDDLE
    assert codes(found) == []
    assert_fills(found)


def test_rows_that_say_the_same_are_one_block(folder: Folder) -> None:
    thirds = [box(WEST + 400 / 3 * n, SOUTH, WEST + 400 / 3 * (n + 1), NORTH) for n in range(3)]
    days = ["2026-05-06", "2026-05-20", "2026-05-06"]
    found = planted(folder, thirds, [{"planted": day} for day in days])
    assert [block.planted.day for block in found.blocks] == [6, 20]
    assert isinstance(found.blocks[0].outline, MultiPolygon)
    assert_fills(found)


def test_by_hand_a_gap_goes_to_the_longest_common_edge_and_is_said(folder: Folder) -> None:
    # 40 m of the middle belong to nobody: 40 x 300 m2 = 1.2 ha = 2.97 ac. It meets the west along 300 m and
    # the east along 100 m only.
    west = box(WEST, SOUTH, MIDDLE - 20, NORTH)
    east = box(MIDDLE + 20, SOUTH, EAST, NORTH).difference(box(MIDDLE + 20, SOUTH, MIDDLE + 60, SOUTH + 200))
    middle = box(MIDDLE + 20, SOUTH, MIDDLE + 60, SOUTH + 200)
    rows = [{"planted": f"2026-05-{day}"} for day in ("06", "20", "25")]
    found = planted(folder, [west, east, middle], rows)
    by_day = {block.planted.day: block.outline.area for block in found.blocks}
    assert by_day[6] == pytest.approx(180 * 300 + 40 * 300, rel=1e-4)
    assert by_day[25] == pytest.approx(40 * 200, rel=1e-3)
    assert codes(found) == ["inputs.planting_gap"]
    assert "2.97 ac" in found.notes[0].text
    assert_fills(found)


def test_by_hand_where_polygons_overlap_the_first_has_the_ground_and_it_is_said(folder: Folder) -> None:
    # 30 m of overlap: 30 x 300 m2 = 0.9 ha = 2.22 ac.
    west, east = box(WEST, SOUTH, MIDDLE + 30, NORTH), box(MIDDLE, SOUTH, EAST, NORTH)
    found = planted(folder, [east, west], [{"planted": "2026-05-20"}, {"planted": "2026-05-06"}])
    assert found.blocks[1].outline.area == pytest.approx(HALF, rel=1e-4)
    assert codes(found) == ["inputs.planting_overlap"]
    assert "2.22 ac" in found.notes[0].text
    assert_fills(found)


def test_a_polygon_that_crosses_itself_is_mended_and_said_when_it_matters(folder: Folder) -> None:
    # A bow tie over the west half: its two lobes of 300 x 100 / 2 m2 each stay; its ring sums to nothing.
    tie = Polygon([(WEST, SOUTH), (MIDDLE, NORTH), (MIDDLE, SOUTH), (WEST, NORTH)])
    # A corner 1 cm beyond the edge that ends there: nobody would call it a fault.
    corners = [(MIDDLE, SOUTH), (EAST, SOUTH), (EAST, NORTH), (MIDDLE, NORTH), (MIDDLE + 0.01, SOUTH - 0.01)]
    nick = Polygon(corners)
    assert not nick.is_valid
    rest = FIELD.difference(shapely.make_valid(tie)).difference(box(MIDDLE, SOUTH, EAST, NORTH))
    rows = [{"planted": f"2026-05-{day}"} for day in ("06", "20", "25")]
    found = planted(folder, [tie, nick, rest], rows)
    assert [note.text for note in found.notes] == ["row 1 of planting.geojson crosses itself and was mended"]
    assert found.blocks[0].outline.area == pytest.approx(200 * 300 / 2, rel=0.01)
    assert_fills(found)


def test_slivers_of_inexact_drawing_vanish(folder: Folder) -> None:
    # The neighbour's polygon reaches 2 m into this field; the common edge is drawn twice, 0.5 m apart.
    rows = [{"planted": f"2026-05-{day}"} for day in ("01", "06", "20")]
    shapes = [
        box(EAST - 2, SOUTH, EAST + 300, NORTH),
        box(WEST, SOUTH, MIDDLE, NORTH),
        box(MIDDLE + 0.5, SOUTH, EAST, NORTH),
    ]
    found = planted(folder, shapes, rows)
    assert [block.planted.day for block in found.blocks] == [6, 20]
    assert [len(shapely.get_parts(block.outline)) for block in found.blocks] == [1, 1]
    assert_fills(found)


def test_a_boundary_with_hole_and_parts_is_filled(folder: Folder) -> None:
    hole = box(MIDDLE - 40, SOUTH + 100, MIDDLE + 40, SOUTH + 200)
    part = box(EAST + 50, SOUTH, EAST + 150, SOUTH + 100)
    folder.shapes("boundary.geojson", [FIELD.difference(hole), part])
    west = box(WEST, SOUTH, MIDDLE, NORTH)
    east = Polygon([(MIDDLE, SOUTH), (EAST, SOUTH), (EAST, NORTH), (MIDDLE, NORTH)])
    found = planted(folder, [west, east], [{"planted": "2026-05-06"}, {"planted": "2026-05-20"}])
    assert_fills(found)
    # The far part touches no polygon: it goes to the nearest block, and is said.
    assert codes(found) == ["inputs.planting_gap"]
    assert found.blocks[1].outline.covers(Point(EAST + 100, SOUTH + 50))
    assert not found.boundary.covers(Point(MIDDLE, SOUTH + 150))


def test_a_piece_short_of_the_boundary_does_not_let_its_neighbour_run_behind_it(folder: Folder) -> None:
    # The middle ends 1 m short of the boundary north and south; its neighbours on both sides are one block.
    west, east = box(WEST, SOUTH, WEST + 130, NORTH), box(WEST + 270, SOUTH, EAST, NORTH)
    middle = box(WEST + 130, SOUTH + 1, WEST + 270, NORTH - 1)
    rows = [{"planted": f"2026-05-{day}"} for day in ("06", "20", "06")]
    found = planted(folder, [west, middle, east], rows)
    assert isinstance(found.blocks[0].outline, MultiPolygon)
    assert found.blocks[1].outline.area == pytest.approx(140 * 300, rel=1e-4)
    assert_fills(found)


corner = st.tuples(st.floats(-60, 460), st.floats(-60, 360))


@given(
    pieces=st.lists(st.lists(corner, min_size=3, max_size=6), min_size=1, max_size=6),
    holed=st.booleans(),
)
@example(  # a hole of the middle one touches its rim in a corner of both others
    pieces=[
        [(0.0, 0.0), (0.0, 4.0), (26.0, 0.0)],
        [(0.0, 0.0), (0.0, 8.0), (26.0, 0.0)],
        [(0.0, 0.0), (21.0, 5.0), (26.0, 0.0)],
    ],
    holed=False,
)
@settings(max_examples=80, deadline=None)
def test_any_pieces_partition_the_boundary(pieces: list[list[tuple[float, float]]], holed: bool) -> None:
    whole = FIELD.difference(box(WEST + 150, SOUTH + 100, WEST + 230, SOUTH + 180)) if holed else FIELD
    drawn = [
        shapely.convex_hull(shapely.MultiPoint([(WEST + x, SOUTH + y) for x, y in piece])) for piece in pieces
    ]
    drawn = [piece for piece in drawn if isinstance(piece, Polygon) and piece.intersection(whole).area > 50]
    if not drawn:
        return
    parted = blocks.partition(whole, drawn, list(range(len(drawn))), blocks.Smallest(3.0))
    outlines = [outline for outline in parted.outlines if outline is not None]
    assert outlines
    assert is_coverage(outlines)
    assert all(outline.is_valid for outline in outlines)
    assert sum(outline.area for outline in outlines) == pytest.approx(whole.area, rel=1e-6)
    assert (
        parted.whole.symmetric_difference(whole).area < 2
    )  # vertices move by up to 1 mm along 1.7 km of edges
    # The first piece has all of its ground: nobody before it wanted it.
    mine = drawn[0].intersection(whole).buffer(-3)
    if parted.outlines[0] is not None and mine.area > 500:
        assert mine.intersection(parted.outlines[0]).area > 0.95 * mine.area


# -- as-planted records -----------------------------------------------------------------------------------


def passes(west: float, east: float, start: datetime, **more: object) -> tuple[list, list]:
    """Points every 5 m along passes 10 m apart, two minutes a pass."""
    shapes, rows = [], []
    for count, x in enumerate(np.arange(west + 5, east, 10)):
        for y in np.arange(SOUTH + 2.5, NORTH, 15):
            shapes.append(Point(x, y))
            rows.append({"planted": (start + timedelta(minutes=2 * count)).isoformat()} | more)
    return shapes, rows


def test_points_make_sharp_blocks_and_no_new_dates(folder: Folder) -> None:
    # An oblique edge would be drawn in stairs; this one is straight, so blocks are exact to a cell.
    left, right = (
        passes(WEST, WEST + 160, datetime(2026, 5, 6, 9)),
        passes(WEST + 160, EAST, datetime(2026, 5, 21, 9)),
    )
    found = planted(folder, left[0] + right[0], left[1] + right[1])
    assert [block.planted for block in found.blocks] == [date(2026, 5, 6), date(2026, 5, 21)]
    assert found.blocks[0].outline.area == pytest.approx(160 * 300, rel=0.01)
    assert_fills(found)


def test_pass_lines_make_the_same_blocks_as_points(folder: Folder) -> None:
    xs = np.arange(WEST + 5, EAST, 10)
    lines = [LineString([(x, SOUTH + 1), (x, NORTH - 1)]) for x in xs]
    rows = [{"planted": "2026-05-06" if x < WEST + 160 else "2026-05-21"} for x in xs]
    found = planted(folder, lines, rows)
    assert [block.planted.day for block in found.blocks] == [6, 21]
    assert found.blocks[0].outline.area == pytest.approx(160 * 300, rel=0.01)
    assert_fills(found)


def test_an_oblique_edge_is_no_staircase(folder: Folder) -> None:
    points = [Point(x, y) for x in np.arange(WEST + 5, EAST, 8) for y in np.arange(SOUTH + 5, NORTH, 8)]
    late = [(point.x - WEST) > 100 + 0.6 * (point.y - SOUTH) for point in points]
    found = planted(folder, points, [{"planted": "2026-05-21" if one else "2026-05-06"} for one in late])
    truth = Polygon([(WEST, SOUTH), (WEST + 100, SOUTH), (WEST + 280, NORTH), (WEST, NORTH)])
    wrong = found.blocks[0].outline.symmetric_difference(truth).area
    assert wrong < 4 * np.hypot(300, 180)  # half the distance between records, along the edge
    edge = shapely.intersection(found.blocks[0].outline.boundary, found.blocks[1].outline.boundary)
    assert shapely.length(edge) < 1.2 * np.hypot(300, 180)  # stairs would be 480 / 350 = 1.37 times as long
    assert_fills(found)


def test_a_variety_change_is_an_edge_at_the_same_hour(folder: Folder) -> None:
    start = datetime(2026, 5, 6, 9)
    left, right = passes(WEST, MIDDLE, start, variety="P"), passes(MIDDLE, EAST, start, variety="Q")
    found = planted(folder, left[0] + right[0], left[1] + right[1])
    assert {(block.variety, block.planted) for block in found.blocks} == {
        ("P", date(2026, 5, 6)),
        ("Q", date(2026, 5, 6)),
    }
    assert_fills(found)


def test_stray_records_make_no_specks(folder: Folder) -> None:
    shapes, rows = passes(WEST, EAST, datetime(2026, 5, 6, 9))
    rng = np.random.default_rng(4)
    for one in rng.choice(len(rows), 25, replace=False):  # a clock that was wrong now and then
        rows[one] = {"planted": "2026-05-14"}
    found = planted(folder, shapes, rows)
    assert [block.planted.day for block in found.blocks] == [6]
    assert_fills(found)


def test_ground_without_records_is_said_and_records_of_the_neighbour_do_not_count(folder: Folder) -> None:
    near, rows = passes(WEST, MIDDLE, datetime(2026, 5, 6, 9))
    away, more = passes(EAST + 100, EAST + 200, datetime(2026, 6, 6, 9))
    found = planted(folder, near + away, rows + more)
    assert [block.planted for block in found.blocks] == [date(2026, 5, 6)]
    assert codes(found) == ["inputs.planting_far"]
    # the last pass runs at MIDDLE - 5: ground beyond MIDDLE + 45 is far from it: 155 of 400 m = 38.75 %
    assert float(found.notes[0].values["percent"]) == pytest.approx(38.75, abs=1.5)


def test_by_hand_runs_are_cut_at_pauses() -> None:
    # Hours: 0-2, a night of 13 h, 15-16. Then days without a long pause: cut so that none lasts over 2 days.
    start = datetime(2026, 5, 6, 8)
    one = [start + timedelta(hours=hour) for hour in (0, 2, 15, 16)]
    assert asplanted.runs(one).tolist() == [0, 0, 1, 1]
    nights = [start + timedelta(hours=24 * day + hour) for day in range(5) for hour in range(0, 16, 4)]
    found = asplanted.runs(nights)  # pauses of 12 h from 12:00 to 24:00 are not longer than 12 h
    spans = [
        np.ptp([nights.index(nights[row]) // 4 for row in np.flatnonzero(found == run)])
        for run in set(found.tolist())
    ]
    assert max(spans) <= 2
    assert len(set(found.tolist())) >= 3


@given(st.lists(st.floats(0, 500), min_size=1, max_size=60))
@settings(max_examples=60, deadline=None)
def test_runs_keep_their_length_and_their_order(hours: list[float]) -> None:
    stamps = [datetime(2026, 4, 20) + timedelta(hours=hour) for hour in hours]
    found = asplanted.runs(stamps)
    order = np.argsort(hours, kind="stable")
    assert (np.diff(found[order]) >= 0).all()
    for run in np.unique(found):
        mine = np.array(hours)[found == run]
        assert mine.max() - mine.min() <= 48 + 1e-6


def test_a_median_day_is_a_day_that_was_planted() -> None:
    days = [date(2026, 5, 6)] * 3 + [date(2026, 5, 7)] * 3
    assert days[asplanted.middle(np.array(days))] == date(2026, 5, 6)


def test_a_night_in_utc_belongs_to_the_day_on_the_farm(folder: Folder) -> None:
    # 02:30 UTC on 7 May is 21:30 on 6 May in Minnesota; without a named zone, by longitude, 20:30.
    when = datetime.fromisoformat("2026-05-07T02:30:00+00:00")
    assert dates.local(when, "America/Chicago", -95.4) == datetime(2026, 5, 6, 21, 30)
    assert dates.local(when, "", -95.4) == datetime(2026, 5, 6, 20, 30)
    with pytest.raises(InputError, match="not a known time zone"):
        dates.local(when, "Minnesota/Somewhere", -95.4)


# -- what is refused --------------------------------------------------------------------------------------


def test_all_faults_of_all_rows_at_once(folder: Folder) -> None:
    quarters = [box(WEST + 100 * n, SOUTH, WEST + 100 * (n + 1), NORTH) for n in range(4)]
    rows = [
        {"planted": "05/06/2026", "maturity_group": 1.9},
        {"planted": "2025-05-06", "maturity_group": 1.9},
        {"planted": "2026-05-06", "maturity_group": 14, "expected_yield": "58"},
        {"planted": "2026-05-06", "emerged": "2026-05-01"},
    ]
    with pytest.raises(InputError) as caught:
        planted(folder, quarters, rows)
    lines = [str(fault) for fault in caught.value.faults]
    assert caught.value.code == CONTENT
    assert lines[0].startswith("planting.geojson: row 1: 05/06/2026 is not a date. Write it as")
    assert lines[1].startswith("planting.geojson: row 2: planted 2025-05-06 is in another season.")
    assert "2025-10-01 to 2026-12-31" in lines[1]
    assert "row 3: expected yield 58: a unit is missing" in lines[2]
    assert "row 3: maturity group 14 is out of range" in lines[3]
    assert "row 4: emerged 2026-05-01 does not follow planted 2026-05-06" in lines[4]
    assert len(lines) == 5


def test_thousands_of_bad_rows_stay_readable(folder: Folder) -> None:
    shapes, _ = passes(WEST, EAST, datetime(2026, 5, 6))
    with pytest.raises(InputError) as caught:
        planted(folder, shapes, [{"planted": "yesterday"}] * len(shapes))
    assert len(caught.value.faults) == 21
    assert f"{len(shapes) - 20} more faults" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "words", "code"),
    [
        ("", "there is no file planting.geojson", SETTINGS),
        ("[planting]\ndate = 2025-05-06", "planted 2025-05-06 is in another season", CONTENT),
        ("[planting]\nfile = 'lost.gpkg'", "there is no file lost.gpkg", SETTINGS),
    ],
)
def test_planting_settings_that_cannot_be(folder: Folder, text: str, words: str, code: int) -> None:
    folder.add(text)
    with pytest.raises(InputError) as caught:
        read.field(folder.settings(), TODAY)
    assert words in str(caught.value)
    assert caught.value.code == code


def test_planting_files_that_cannot_be(folder: Folder) -> None:
    cases = [
        (
            [Point(EAST + 900, NORTH)],
            [{"planted": "2026-05-06"}],
            "nothing in the file lies inside the boundary",
        ),
        (
            [box(EAST + 9, SOUTH, EAST + 99, NORTH)],
            [{"planted": "2026-05-06"}],
            "nothing in the file lies inside",
        ),
        (
            [FIELD],
            [{"sown": "2026-05-06"}],
            'there is no column "planted". Name it in [planting] date_column',
        ),
        ([FIELD, Point(WEST, SOUTH)], [{"planted": "2026-05-06"}] * 2, "mixes Point and Polygon"),
        ([FIELD], [{"planted": None, "variety": "x"}], "the date is empty"),
        (
            [FIELD, FIELD],
            [
                {"planted": "2026-05-06", "maturity_group": "00"},
                {"planted": "2026-05-06", "maturity_group": 2},
            ],
            "a column mixes text and numbers",
        ),
    ]
    folder.add("[planting]\nfile = 'planting.geojson'")
    for shapes, rows, words in cases:
        folder.shapes("planting.geojson", shapes, rows)
        with pytest.raises(InputError) as caught:
            read.field(folder.settings(), TODAY)
        assert words in str(caught.value)
        assert caught.value.code == CONTENT


def test_a_block_that_is_still_to_be_planted_is_fine_and_later_emergence_is_not_used(folder: Folder) -> None:
    halves = [box(WEST, SOUTH, MIDDLE, NORTH), box(MIDDLE, SOUTH, EAST, NORTH)]
    rows = [{"planted": "2026-05-06", "emerged": "2026-05-14"}, {"planted": "2026-06-01"}]
    found = planted(folder, halves, rows, today=date(2026, 5, 10))
    assert [block.planted for block in found.blocks] == [date(2026, 5, 6), date(2026, 6, 1)]
    assert found.blocks[0].emerged is None
    assert codes(found) == ["inputs.emerged_later"]


def test_a_column_may_be_named_in_the_settings_or_cut_by_a_shapefile(folder: Folder) -> None:
    rows = [{"Seeding_Da": "2026-05-06", "MATURITY_G": 2.2}]
    folder.shapes("planting.geojson", [FIELD], rows)
    folder.add("[planting]\nfile = 'planting.geojson'\ndate_column = 'seeding_date'")
    found = read.field(folder.settings(), TODAY)
    assert (found.blocks[0].planted, found.blocks[0].maturity_group) == (date(2026, 5, 6), 2.2)


def test_block_letters_and_order() -> None:
    assert [letters(count) for count in (0, 1, 25, 26, 701, 702)] == ["A", "B", "Z", "AA", "ZZ", "AAA"]
    assert GRID.shape == (30, 40)


@pytest.mark.parametrize(
    "text", ["6 May 2026", "06.05.2026", "2026-13-01", "46148", "", "2026-02-30", True, 3.5]
)
def test_ambiguous_dates_are_refused(text: object) -> None:
    with pytest.raises(ValueError, match="is not a date"):
        dates.stamp(text)


def test_a_southern_field_is_planted_in_the_year_before_harvest(folder: Folder) -> None:
    south = Folder(folder.path.parent / "south")
    lonlat = box(-60.21, -31.92, -60.205, -31.915)
    (south.field / "boundary.geojson").write_text(shapely.to_geojson(lonlat))
    south.add("[planting]\ndate = 2025-11-18")
    found = read.field(south.settings(), date(2026, 1, 10))
    assert found.grid.epsg == 32720
    assert found.latitude_deg == pytest.approx(-31.9175, abs=1e-4)
    south.toml = south.toml.replace("2025-11-18", "2026-11-18")
    with pytest.raises(InputError, match="2025-04-01 to 2026-06-30"):
        read.field(south.settings(), date(2026, 1, 10))
