"""A fault in any row of any map is told, and of that row: random maps, written by the test itself."""

import shutil
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import Made, made_plan, smooth_field
from made_sets import Table, number, read, write

from zoning.file_checks import checks
from zoning.prescription import shapefile
from zoning.prescription.of_a_pass import operator


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """A field of several polygons a pass, with its plan's set above: west of Greenwich, in the south."""
    folder = tmp_path_factory.mktemp("whole")
    labels, blocks = smooth_field(11, shape=(40, 39), hole=True)
    wanted = Made(
        labels=labels,
        block_of_zone=blocks,
        cell_m=20,
        pass_of_zone=dict.fromkeys((1, 3, 5), 1),
        epsg=32720,
        origin_m=(730_000.0, 6_400_000.0),
    )
    plan = made_plan(wanted)
    shapefile.write(plan, folder)
    operator.write(plan, folder)
    return folder


def found(whole, change):
    """Change the map of the pass, and give what is said of it, as (rule, sentence)."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(shutil.copytree(whole, Path(place) / "out"))
        (shp,) = (folder / "passes" / "P1").glob("*.shp")
        write(shp, change(read(shp)))
        return [(one.code.removeprefix("file_checks."), one.text) for one in checks(shp)]


ROW = st.integers(0, 1000)


def test_the_map_is_good_and_has_rows(whole):
    (shp,) = (whole / "passes" / "P1").glob("*.shp")
    assert len(read(shp).shapes) >= 4
    assert found(whole, lambda table: table) == []


@settings(max_examples=10, deadline=None)
@given(draw=ROW, text=st.sampled_from(["        ", "********", "     NaN", "   1 5  "]))
def test_a_row_without_a_rate(whole, draw, text):
    def change(table):
        return table.with_text(draw % len(table.texts), text)

    rows = []
    said = found(whole, lambda table: rows.append(len(table.texts)) or change(table))
    assert said == [("no_rate", f"row {draw % rows[0] + 1}: no rate")]


@settings(max_examples=10, deadline=None)
@given(draw=ROW)
def test_a_row_that_runs_the_other_way_round(whole, draw):
    rows = []

    def change(table):
        row = draw % len(table.shapes)
        rows.append(row + 1)
        return table.with_shape(row, [ring[::-1] for ring in table.shapes[row]])

    said = found(whole, change)
    assert said
    assert all(code in ("ring_order", "more") for code, _ in said)
    assert said[0][1].startswith(f"row {rows[0]}: ")


@settings(max_examples=10, deadline=None)
@given(draw=ROW)
def test_a_row_less_leaves_ground_bare(whole, draw):
    def change(table):
        row = draw % len(table.shapes)
        return Table(
            [one for at, one in enumerate(table.shapes) if at != row],
            [one for at, one in enumerate(table.texts) if at != row],
        )

    codes = {code for code, _ in found(whole, change)}
    assert codes & {"gap", "not_covered"}
    assert codes <= {"gap", "not_covered", "all_off", "more"}


@settings(max_examples=10, deadline=None)
@given(draw=ROW)
def test_a_row_twice(whole, draw):
    def change(table):
        row = draw % len(table.shapes)
        return table.with_row(table.shapes[row], *table.texts[row])

    ((code, text),) = found(whole, change)
    assert code == "duplicate"
    assert text.startswith("row ")


@settings(max_examples=10, deadline=None)
@given(draw=ROW, factor=st.sampled_from([100.0, 10_000.0, 0.01]))
def test_a_rate_with_a_factor(whole, draw, factor):
    def change(table):
        row = draw % len(table.texts)
        rate = max(float(table.texts[row][0]), 15.0) * factor
        return table.with_text(row, number(rate))

    assert {code for code, _ in found(whole, change)} == {"implausible_rate"}


def test_latitude_first_is_told_by_the_field_where_both_could_be_latitudes(whole):
    # about 33 S, 61 W: turned round it is a place in the south of the sea, and no range is left
    def change(table):
        return replace(
            table, shapes=[[[(y, x) for x, y in ring] for ring in shape] for shape in table.shapes]
        )

    (shp,) = (whole / "passes" / "P1").glob("*.shp")
    assert all(abs(x) < 90 for x, _ in read(shp).shapes[0][0])
    assert [code for code, _ in found(whole, change)] == ["swapped"]
