"""Neighbouring blocks that are alike become one; no date is averaged, and chains do not creep."""

from datetime import date
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_inputs import EAST, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import Point, Polygon, box

from zoning.inputs import read
from zoning.inputs.given import FieldInputs
from zoning.offers.joined import is_wanted, joined
from zoning.words import Said

MIDDLE = (SOUTH + NORTH) / 2
Row = dict[str, object]


def fields(path: Path, shapes: list[Polygon], rows: list[Row]) -> FieldInputs:
    folder = Folder(path / f"farm{len(list(path.iterdir()))}")
    folder.shapes("boundary.geojson", [FIELD])
    folder.shapes("planting.geojson", shapes, rows)
    return read.field(folder.settings(), TODAY)


def side_by_side(path: Path, widths_m: list[float], rows: list[Row]) -> FieldInputs:
    """Blocks from west to east."""
    west = WEST + np.cumsum([0.0, *widths_m[:-1]])
    shapes = [box(left, SOUTH, left + wide, NORTH) for left, wide in zip(west, widths_m, strict=True)]
    return fields(path, shapes, rows)


def planted(*days: int, **more: object) -> list[Row]:
    return [{"planted": f"2026-05-{day:02d}", "variety": "P"} | more for day in days]


def assert_whole(found: FieldInputs) -> None:
    outlines = [block.outline for block in found.blocks]
    assert shapely.coverage_is_valid(outlines)
    assert sum(one.area for one in outlines) == pytest.approx(found.boundary.area, rel=1e-12)
    assert sum(one.area_ac for one in found.blocks) == pytest.approx(found.area_ac, rel=1e-9)
    for place, outline in enumerate(outlines):
        rows, columns = np.nonzero(found.block_of_cell == place)
        centres = shapely.points(found.grid.east_m()[columns], found.grid.north_m()[rows])
        assert shapely.covers(outline, centres).all()
    assert ((found.block_of_cell >= 0) == found.inside).all()
    assert [block.name for block in found.blocks] == [chr(ord("A") + one) for one in range(len(outlines))]


def test_by_hand_two_neighbours_a_day_apart(tmp_path: Path) -> None:
    # 100 m of 400 planted on 6 May, 300 m on 7 May: the larger part is that of 7 May. R3: 0.7 d.
    rows = planted(6, emerged="2026-05-13") + planted(7, emerged="2026-05-14")
    before = side_by_side(tmp_path, [100, 300], rows)
    found, told = joined(before, [190.2, 190.9], True)
    (block,) = found.blocks
    assert (block.name, block.planted, block.emerged) == ("A", date(2026, 5, 7), date(2026, 5, 14))
    assert block.outline.equals(found.boundary)
    assert [note.text for note in told] == [
        "block A was planted on May 6 and May 7, 1 day apart, and its parts reach R3 within 0.7 days: it is "
        "counted by its largest part, May 7"
    ]
    assert_whole(found)


@pytest.mark.parametrize(
    ("days", "r3_day", "blocks"),
    [
        ((6, 8), (190.0, 191.0), 1),  # at both limits
        ((6, 9), (190.0, 190.5), 2),  # three days apart
        ((6, 7), (190.0, 191.01), 2),
        ((6, 6), (190.3, 191.3), 1),  # 1.0000000000000142 by their difference
        ((6, 7), (190.0, float("nan")), 2),
        ((6, 7), (float("nan"), float("nan")), 2),
    ],
)
def test_limits(tmp_path: Path, days: tuple[int, int], r3_day: tuple[float, float], blocks: int) -> None:
    rows = planted(*days)
    rows[0]["emerged"] = "2026-05-20"  # so that blocks of one day are two
    found, told = joined(side_by_side(tmp_path, [200, 200], rows), r3_day, True)
    assert (len(found.blocks), len(told)) == (blocks, 2 - blocks)


@pytest.mark.parametrize(
    ("other", "blocks"), [({"variety": "Q"}, 2), ({"maturity_group": 2.4}, 2), ({"variety": " p"}, 1)]
)
def test_only_one_variety_and_group(tmp_path: Path, other: Row, blocks: int) -> None:
    rows = [*planted(6, maturity_group=1.9), planted(7, maturity_group=1.9)[0] | other]
    found, _ = joined(side_by_side(tmp_path, [200, 200], rows), [190, 190], True)
    assert len(found.blocks) == blocks


def test_blocks_that_meet_in_a_corner_only_stay_two(tmp_path: Path) -> None:
    middle_m = (WEST + EAST) / 2
    quarters = [
        box(WEST, MIDDLE, middle_m, NORTH),
        box(middle_m, SOUTH, EAST, MIDDLE),
        box(middle_m, MIDDLE, EAST, NORTH),
        box(WEST, SOUTH, middle_m, MIDDLE),
    ]
    rows = [*planted(6, 7), *planted(20, 21, variety="Q")]
    before = fields(tmp_path, quarters, rows)
    found, told = joined(before, [190.0, 190.5, 200.0, 200.5], True)
    assert found is before
    assert told == ()


def test_by_hand_a_chain_does_not_creep(tmp_path: Path) -> None:
    # R3 on 190, 190.9, 191.8: each neighbour within a day, the ends 1.8 days apart. The first two are as near
    # as the last two; the longer common edge cannot tell, so the first are joined. Then no more.
    before = side_by_side(tmp_path, [120, 140, 140], planted(6, 7, 8))
    found, told = joined(before, [190.0, 190.9, 191.8], True)
    assert [block.planted.day for block in found.blocks] == [7, 8]
    assert found.blocks[0].outline.area == pytest.approx(260 * 300, rel=1e-4)
    assert len(told) == 1
    # Nearer in R3 goes first, wherever it stands.
    found, _ = joined(before, [190.0, 190.9, 191.2], True)
    assert [round(block.outline.area / 300) for block in found.blocks] == [120, 280]
    assert_whole(found)


def test_letters_cells_and_notes_follow(tmp_path: Path) -> None:
    # Emergence of the last block lies after today: that is said of block D, which becomes C.
    rows = [*planted(1), *planted(6, 7, variety="Q"), *planted(28, emerged="2026-07-20")]
    before = side_by_side(tmp_path, [100, 120, 80, 100], rows)
    assert [note.text for note in before.notes] == [
        "the emergence of block D on 2026-07-20 lies after today and is not used"
    ]
    found, told = joined(before, [180.0, 190.0, 190.1, 200.0], True)
    assert [(block.name, block.planted.day) for block in found.blocks] == [("A", 1), ("B", 6), ("C", 28)]
    assert [note.text for note in found.notes] == [
        "the emergence of block C on 2026-07-20 lies after today and is not used"
    ]
    assert [note.values["block"] for note in told] == ["B"]
    assert_whole(found)


def test_by_hand_yields_are_weighted_by_area_and_unknown_where_one_is(tmp_path: Path) -> None:
    # 100 m with 60 bu/ac, 300 m with 40: (60 + 3 x 40) / 4 = 45 bu/ac.
    rows = planted(6, expected_yield="60 bu/ac") + planted(7, expected_yield="40 bu/ac")
    found, _ = joined(side_by_side(tmp_path, [100, 300], rows), [190, 190], True)
    assert found.blocks[0].expected_yield_bu_ac == pytest.approx(45, rel=1e-4)
    rows[1]["expected_yield"] = ""
    found, _ = joined(side_by_side(tmp_path, [100, 300], rows), [190, 190], True)
    assert found.blocks[0].expected_yield_bu_ac is None


def test_unless_it_is_not_wanted(tmp_path: Path) -> None:
    before = side_by_side(tmp_path, [200, 200], planted(6, 7))
    assert joined(before, [190, 190], False) == (before, ())


@pytest.mark.parametrize("said", ["", "join_alike = true", "join_alike = false"])
@pytest.mark.parametrize("drawn", [True, False])
def test_drawn_polygons_stay_as_drawn_and_records_are_joined_unless_said_otherwise(
    tmp_path: Path, said: str, drawn: bool
) -> None:
    folder = Folder(tmp_path / "farm")
    folder.shapes("boundary.geojson", [FIELD])
    shape = FIELD if drawn else Point(WEST + 200, MIDDLE)
    folder.shapes("planting.geojson", [shape], planted(6))
    folder.add(f"[planting]\n{said}")
    chosen = folder.settings()
    found = read.field(chosen, TODAY)
    assert found.blocks_drawn == drawn
    assert is_wanted(chosen, found) == (not drawn if not said else said.endswith("true"))


@pytest.fixture(scope="module")
def checkered(tmp_path_factory: pytest.TempPathFactory) -> FieldInputs:
    """Twelve blocks of one variety, four by three, planted within three days."""
    shapes = [
        box(WEST + 100 * one, SOUTH + 100 * other, WEST + 100 * (one + 1), SOUTH + 100 * (other + 1))
        for one in range(4)
        for other in range(3)
    ]
    rows = [planted(6 + place % 3, emerged=f"2026-05-{14 + place}")[0] for place in range(12)]
    return fields(tmp_path_factory.mktemp("checkered"), shapes, rows)


@given(r3_day=st.lists(st.floats(190, 193), min_size=12, max_size=12))
@settings(max_examples=40, deadline=None)
def test_whatever_the_forecast_all_parts_are_alike_and_no_more_can_be_joined(
    checkered: FieldInputs, r3_day: list[float]
) -> None:
    found, told = joined(checkered, r3_day, True)
    assert_whole(found)
    place_of_part = [
        next(place for place, block in enumerate(found.blocks) if block.outline.covers(part.outline.centroid))
        for part in checkered.blocks
    ]
    groups = [np.flatnonzero(np.array(place_of_part) == place) for place in range(len(found.blocks))]
    for block, group in zip(found.blocks, groups, strict=True):
        parts = [checkered.blocks[one] for one in group]
        assert (block.planted, block.emerged) in {(part.planted, part.emerged) for part in parts}
        assert block.outline.geom_type == "Polygon"
        assert np.ptp([r3_day[one] for one in group]) <= 1 + 1e-9
        assert np.ptp([part.planted.toordinal() for part in parts]) <= 2
    for one, other in combinations(range(len(groups)), 2):
        both = [*groups[one], *groups[other]]
        share = shapely.length(
            found.blocks[one].outline.boundary.intersection(found.blocks[other].outline.boundary)
        )
        apart = np.ptp([r3_day[part] for part in both]) > 1
        apart |= np.ptp([checkered.blocks[part].planted.toordinal() for part in both]) > 2
        assert apart or share == 0
    assert len(told) == sum(len(group) > 1 for group in groups)
    assert all(isinstance(note, Said) for note in told)
