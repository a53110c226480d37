"""As-planted strips by hand: what becomes one mixed block, what stays, and what is said."""

from datetime import date, datetime, timedelta

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_folders import SPRAYER
from made_inputs import EAST, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import LineString, Point

from zoning.inputs import read
from zoning.inputs.given import FieldInputs
from zoning.inputs.planted import asplanted
from zoning.inputs.planted.interleaved import Measure, settled
from zoning.inputs.planted.mixture import MixedOf, blended, said
from zoning.inputs.planted.sown import Sown

MORNING = datetime(2026, 5, 6, 9)
Row = dict[str, object]


def passes(of_pass) -> tuple[list[Point], list[Row]]:
    """Forty passes of 10 m from west to east, a record every 10 m; `of_pass` gives the columns of each."""
    shapes, rows = [], []
    for count in range(40):
        for y in np.arange(SOUTH + 5, NORTH, 10):
            shapes.append(Point(WEST + 5 + 10 * count, y))
            rows.append(of_pass(count))
    return shapes, rows


def sown(variety: str, group: float = 1.9, when: datetime = MORNING) -> Row:
    return {"planted": when.isoformat(), "variety": variety, "maturity_group": group}


def found_in(folder: Folder, shapes: list, rows: list[Row]) -> FieldInputs:
    folder.shapes("planting.geojson", shapes, rows)
    return read.field(folder.settings(), TODAY)


def codes(found: FieldInputs) -> list[str]:
    return [note.code for note in found.notes]


def assert_fills(found: FieldInputs) -> None:
    outlines = [block.outline for block in found.blocks]
    assert shapely.coverage_is_valid(outlines)
    assert sum(one.area for one in outlines) == pytest.approx(found.boundary.area, rel=1e-12)


def alternating(count: int) -> Row:
    """P on the western 200 m; then a pass of P (group 1.8) after every two of Q (group 2.4)."""
    if count < 20:
        return sown("P", 1.8)
    return sown("P", 1.8) if count % 3 == 1 else sown("Q", 2.4)


def test_by_hand_varieties_in_narrow_strips_are_one_mixed_block(folder: Folder) -> None:
    # East of 200 m: Q 20-21, P 22, Q 23-24, P 25, ... Q 38-39: of 20 passes 6 are P (22, 25, ..., 37), 14 Q.
    # By area the group is (6 x 1.8 + 14 x 2.4) / 20 = 2.22. Strips of 10 and 20 m.
    found = found_in(folder, *passes(alternating))
    pure, mixed = sorted(found.blocks, key=lambda block: block.outline.centroid.x)
    assert (pure.variety, pure.maturity_group) == ("P", 1.8)
    assert mixed.variety == "P and Q, in strips"
    assert mixed.maturity_group == pytest.approx(2.22, abs=0.01)
    assert mixed.planted == date(2026, 5, 6)
    assert mixed.outline.area == pytest.approx(200 * 300, rel=0.01)
    assert codes(found) == ["inputs.mixed_varieties"]
    (note,) = found.notes
    assert f"block {mixed.name} is mixed: P and Q lie in strips" in note.text
    assert "2.22, is their mean by area" in note.text
    width_ft = float(str(note.values["width"]).removesuffix(" ft"))
    assert 10 / 0.3048 < width_ft < 20 / 0.3048
    assert_fills(found)


def test_by_hand_a_trial_of_many_varieties_is_one_mixed_block(folder: Folder) -> None:
    # Twelve varieties of groups 1.5, 1.6, ... 2.6, a pass each, over 40 passes: none has much of the ground.
    # The first four have 4 passes, the others 3: (4 x 6.6 + 3 x 18.0) / 40 = 2.01.
    found = found_in(folder, *passes(lambda count: sown(f"V{count % 12:02d}", 1.5 + 0.1 * (count % 12))))
    (block,) = found.blocks
    assert block.variety == "V00, V01, V02, V03, V04, V05 and 6 more, in strips"
    assert block.maturity_group == pytest.approx(2.01, abs=0.01)
    assert codes(found) == ["inputs.mixed_varieties"]


def test_by_hand_a_pass_a_day_is_one_mixed_block_of_the_middle_day(folder: Folder) -> None:
    # 40 passes on 40 days from 1 May: of the two middle records the first is of pass 19, on 20 May.
    days = [datetime(2026, 5, 1, 9) + timedelta(days=count) for count in range(40)]
    found = found_in(folder, *passes(lambda count: sown("P", when=days[count])))
    (block,) = found.blocks
    assert block.planted == date(2026, 5, 20)
    assert codes(found) == ["inputs.mixed_days"]
    assert "34 more" in found.notes[0].text


def test_strips_wider_than_the_boom_of_the_sprayer_stay(folder: Folder) -> None:
    # A boom of 30 ft is 9.1 m: strips of 10 m are wider.
    folder.add(SPRAYER.replace('boom = "90 ft"', 'boom = "30 ft"'))
    found = found_in(folder, *passes(alternating))
    assert sorted(block.variety for block in found.blocks) == ["P", "Q"]
    assert codes(found) == []
    of_q = next(block for block in found.blocks if block.variety == "Q")
    assert of_q.outline.area == pytest.approx(14 * 10 * 300, rel=0.02)
    assert_fills(found)


def test_metric_farms_read_the_width_in_metres(folder: Folder) -> None:
    folder.add('units = "metric"')
    found = found_in(folder, *passes(lambda count: sown("P" if count % 2 else "Q")))
    assert [block.variety for block in found.blocks] == ["P and Q, in strips"]
    assert found.notes[0].values["width"] == "10 m"


@pytest.mark.parametrize(("passes_wide", "areas"), [(1, [400 * 300]), (2, [20 * 300, 380 * 300])])
def test_by_hand_one_strip_alone_is_no_mixture(folder: Folder, passes_wide: int, areas: list[float]) -> None:
    # A boom of 90 ft is 27.4 m, half of it 13.7 m: 10 m is a slip and joins, 20 m stays. 10 m x 300 m are
    # 3,000 m2 = 0.74 ac.
    found = found_in(folder, *passes(lambda count: sown("Q" if 10 <= count < 10 + passes_wide else "P")))
    assert sorted(block.outline.area for block in found.blocks) == pytest.approx(areas, rel=0.01)
    assert codes(found) == (["inputs.planting_slips"] if passes_wide == 1 else [])
    if passes_wide == 1:
        assert found.notes[0].text.startswith("0.74 ac of planting.geojson are slips")
    assert_fills(found)


def test_a_strip_along_the_edge_is_no_slip(folder: Folder) -> None:
    # As wide as a pass, but the boom may hang over the fence there.
    found = found_in(folder, *passes(lambda count: sown("P" if count else "Q")))
    assert sorted(block.variety for block in found.blocks) == ["P", "Q"]


def every_second(count: int) -> Row:
    """Every third pass on the next day, which is a run of its own after 15 h; emergence of each day."""
    next_day = count % 3 == 0
    row = sown("P", when=MORNING + timedelta(hours=24 * next_day))
    return row | {"emerged": "2026-05-15" if next_day else "2026-05-14"}


@pytest.mark.parametrize("as_lines", [False, True])
def test_by_hand_days_that_interleave_are_one_block_of_the_median_record(
    folder: Folder, as_lines: bool
) -> None:
    # Passes 0, 3, ..., 39 are 14 of 40: the median record is of the first day, and so is its emergence.
    shapes, rows = passes(every_second)
    if as_lines:
        xs = [WEST + 5 + 10 * count for count in range(40)]
        shapes = [LineString([(x, SOUTH + 1), (x, NORTH - 1)]) for x in xs]
        rows = [every_second(count) for count in range(40)]
    found = found_in(folder, shapes, rows)
    (block,) = found.blocks
    assert (block.planted, block.emerged, block.variety) == (date(2026, 5, 6), date(2026, 5, 14), "P")
    assert codes(found) == ["inputs.mixed_days"]
    assert "block A is mixed: passes of May 6 and May 7 lie between one another" in found.notes[0].text
    assert found.notes[0].text.endswith("its day, May 6, is that of the middle record")


def test_days_and_varieties_that_change_together_do_not_hide_an_edge_between_days(folder: Folder) -> None:
    # P and Q alternate all over the field; the east was planted two weeks later. Two mixed blocks.
    def row(count: int) -> Row:
        when = MORNING if count < 20 else MORNING + timedelta(days=14)
        return sown("P" if count % 2 else "Q", 1.8 if count % 2 else 2.4, when)

    found = found_in(folder, *passes(row))
    assert [(block.planted.day, block.variety) for block in found.blocks] == [
        (6, "P and Q, in strips"),
        (20, "P and Q, in strips"),
    ]
    assert [block.maturity_group for block in found.blocks] == pytest.approx([2.1, 2.1], abs=0.01)
    assert found.blocks[0].outline.area == pytest.approx(200 * 300, rel=0.01)
    assert codes(found) == ["inputs.mixed_varieties"] * 2


def test_the_order_of_rows_and_rows_that_stand_twice_change_nothing(folder: Folder) -> None:
    shapes, rows = passes(lambda count: alternating(count) | {"planted": f"2026-05-0{6 + count // 30}T09:00"})
    once = found_in(folder, shapes, rows)
    order = np.random.default_rng(5).permutation(len(rows) + 300) % len(rows)
    again = found_in(folder, [shapes[one] for one in order], [rows[one] for one in order])
    assert len(once.blocks) == 3
    for first, second in zip(once.blocks, again.blocks, strict=True):
        assert first.outline.equals(second.outline)
        assert (first.planted, first.variety, first.maturity_group) == (
            second.planted,
            second.variety,
            second.maturity_group,
        )
    assert once.notes == again.notes


def test_rows_of_the_field_across_the_fence_do_not_count(folder: Folder) -> None:
    # Our last pass ends 15 m before the fence, the neighbour's first runs 2 m behind it.
    shapes, rows = passes(lambda count: sown("P"))
    ours = [at for at, one in enumerate(shapes) if one.x < EAST - 15]
    theirs = [Point(EAST + 4 + 10 * count, y) for count in range(4) for y in np.arange(SOUTH, NORTH, 10)]
    other = [sown("Z", when=MORNING + timedelta(days=5))] * len(theirs)
    found = found_in(folder, [shapes[at] for at in ours] + theirs, [rows[at] for at in ours] + other)
    assert [block.variety for block in found.blocks] == ["P"]
    assert codes(found) == []


def test_records_beside_a_field_count_where_none_lies_inside(folder: Folder) -> None:
    found = found_in(folder, [Point(WEST - 10, y) for y in np.arange(SOUTH, NORTH, 10)], [sown("P")] * 30)
    assert [block.variety for block in found.blocks] == ["P"]
    assert codes(found) == ["inputs.planting_far"]


def test_by_hand_a_few_wrong_clocks_do_not_bridge_a_night() -> None:
    # 200 records from 8 to 20 h, 200 on the next day; of the night's 12.06 h three records halve the pause.
    first = [MORNING + timedelta(minutes=3.6 * one) for one in range(200)]
    second = [one + timedelta(hours=24.2) for one in first]
    night = [first[-1] + timedelta(hours=6, minutes=minutes) for minutes in (0, 1, 2)]
    assert len(set(asplanted.runs(first + second).tolist())) == 2
    assert asplanted.runs(first + second + night).tolist() == [0] * 200 + [2] * 200 + [1] * 3
    # Ten of them are somebody who worked: 1 % of 403 is 4.03 records.
    worked = [night[0] + timedelta(minutes=one) for one in range(10)]
    assert len(set(asplanted.runs(first + second + worked).tolist())) == 1


def test_a_frayed_edge_is_no_mixture(folder: Folder) -> None:
    # Passes of two days end alternately 10 m before and behind their common edge.
    def shape_and_row(count: int, y: float) -> Row:
        ends = (SOUTH + NORTH) / 2 + (10 if count % 2 else -10)
        return sown("P", when=MORNING if y < ends else MORNING + timedelta(days=9))

    shapes, _ = passes(lambda count: {})
    rows = [shape_and_row(at // 30, shape.y) for at, shape in enumerate(shapes)]
    found = found_in(folder, shapes, rows)
    assert [block.planted.day for block in found.blocks] == [6, 15]
    assert codes(found) == []


@given(
    wide=st.lists(st.integers(6, 12), min_size=1, max_size=5),
    owners=st.permutations(range(5)),
    flip=st.booleans(),
)
@settings(max_examples=30, deadline=None)
def test_ground_wider_than_a_boom_is_never_touched(wide: list[int], owners: list[int], flip: bool) -> None:
    row = np.concatenate([np.full(width, owner) for width, owner in zip(wide, owners, strict=False)])
    labels = np.tile(row.astype(np.int32), (20, 1))
    labels = np.ascontiguousarray(labels.T) if flip else labels
    found = settled(labels, np.ones(labels.shape, dtype=bool), Measure(5.0, 27.0, 40))  # 6 cells are 30 m
    assert (found.labels == labels).all()
    assert not found.strips


@given(wide=st.integers(1, 5), strips=st.integers(6, 12), flip=st.booleans())
@settings(max_examples=30, deadline=None)
def test_narrow_strips_are_one_part_whichever_way_they_run(wide: int, strips: int, flip: bool) -> None:
    row = np.repeat(np.arange(strips) % 2, wide)
    labels = np.tile(row.astype(np.int32), (40, 1))
    labels = np.ascontiguousarray(labels.T) if flip else labels
    found = settled(labels, np.ones(labels.shape, dtype=bool), Measure(5.0, 27.0, 10))
    assert [one.owners for one in found.strips] == ([(0, 1)] if wide * strips >= 6 else [])
    if found.strips:
        assert found.strips[0].width_m == pytest.approx(5 * wide, rel=0.15)
        assert (found.labels == 2).mean() > 0.9


@pytest.mark.parametrize(
    ("kinds", "name"),
    [
        ([("P", 1.8), ("Q", 2.4)], "P and Q, in strips"),
        ([("P", 1.8), ("Q", 2.4), ("R", 2.0)], "P, Q and R, in strips"),
        ([("", 1.8), ("", 2.4)], "group 1.8 and group 2.4, in strips"),
        ([("P", 1.8), ("P", 2.4)], "P (group 1.8) and P (group 2.4), in strips"),
        ([("P", 1.8), ("P", 1.8)], "P"),
    ],
)
def test_a_mixed_block_is_called_by_what_is_in_it(kinds: list[tuple[str, float]], name: str) -> None:
    of = tuple(Sown(date(2026, 5, 6), None, group, variety, 50.0) for variety, group in kinds)
    mixed = MixedOf(days=(), days_width_m=0.0, kinds=of, kinds_width_m=12.2)
    found = blended(of[0], mixed, np.full(len(of), 1 / len(of)))
    assert found.variety == name
    assert found.expected_yield_bu_ac == pytest.approx(50)
    notes = said("B", found, mixed, metric=False)
    assert [note.values["width"] for note in notes] == (["40 ft"] if name != "P" else [])  # 12.2 / 0.3048


def test_by_hand_a_yield_that_is_known_of_one_variety_only_is_not_known() -> None:
    first = Sown(date(2026, 5, 6), None, 1.8, "P", 60.0)
    second = Sown(date(2026, 5, 6), None, 2.4, "Q", 40.0)
    mixed = MixedOf(days=(), days_width_m=0.0, kinds=(first, second), kinds_width_m=9.0)
    # 0.75 x 60 + 0.25 x 40 = 55 bu/ac
    assert blended(first, mixed, np.array([0.75, 0.25])).expected_yield_bu_ac == pytest.approx(55)
    unknown = MixedOf(days=(), days_width_m=0.0, kinds=(first, Sown(*_but_yield(second))), kinds_width_m=9.0)
    assert blended(first, unknown, np.array([0.75, 0.25])).expected_yield_bu_ac is None


def _but_yield(one: Sown) -> tuple[date, date | None, float, str, None]:
    return one.planted, one.emerged, one.maturity_group, one.variety, None


def test_a_field_narrower_than_a_cell_of_records_has_its_block(folder: Folder) -> None:
    folder.shapes("boundary.geojson", [shapely.box(WEST, SOUTH, WEST + 1.0, NORTH)])
    found = found_in(folder, [Point(WEST + 0.5, y) for y in np.arange(SOUTH, NORTH, 10)], [sown("P")] * 30)
    assert [block.variety for block in found.blocks] == ["P"]
    assert FIELD.covers(found.blocks[0].outline.centroid)


def test_by_hand_a_few_records_are_no_block_but_a_file_of_few_records_has_its_blocks(folder: Folder) -> None:
    # A record every 15 m on passes of 20 m is 300 m2. Six wrong ones side by side are 1,800 m2 = 0.44 ac,
    # under the 3,000 m2 of ten records; twelve of them are 3,600 m2 = 0.89 ac and a block.
    for wrong, blocks in ((6, 1), (12, 2)):
        shapes, rows = [], []
        for count in range(20):
            for place in range(20):
                shapes.append(Point(WEST + 10 + 20 * count, SOUTH + 7.5 + 15 * place))
                is_wrong = 8 <= count < 10 and 5 <= place < 5 + wrong // 2
                rows.append(sown("P", when=MORNING + timedelta(days=9 * is_wrong)))
        assert len(found_in(folder, shapes, rows).blocks) == blocks
    # Four records of 7.4 ac each are four blocks.
    corners = [Point(WEST + x, SOUTH + y) for x in (100, 300) for y in (75, 225)]
    days = [sown("P", when=MORNING + timedelta(days=3 * count)) for count in range(4)]
    assert len(found_in(folder, corners, days).blocks) == 4
