"""Strips that somebody drew: what their columns may say, and every fault of the file at once."""

from pathlib import Path

import pytest
import shapely
from made_inputs import EPSG, FIELD, NORTH, SOUTH, WEST, Folder
from made_sprayed_strips import (
    BOOM_M,
    PRODUCT_NAME,
    ZONES,
    codes,
    ground,
    ground_of_strips,
    put_applied,
    put_design,
    put_done,
    put_zones,
    strips_laid,
    trial_folder,
)
from shapely import MultiPolygon, box

from zoning.errors import InputError
from zoning.inputs.harvest.ground import drawn_strips

DAY = "2026-07-24"
LESS_M2 = 30.0  # of ground that rounding costs


@pytest.fixture
def trial(tmp_path) -> Folder:
    made = Folder(tmp_path / "farm")
    made.shapes("boundary.geojson", [FIELD])
    return trial_folder(made)


def put(folder: Folder, rows, shapes=None, name: str = "strips.geojson") -> Path:
    """Write strips; rows are pairs and what their column says."""
    outlines = shapes or [one.outline for one in strips_laid()]
    folder.shapes(name, outlines, [{"pair": pair, "treatment": word} for pair, word in rows])
    return folder.field / name


ROWS = [(1, "untreated"), (1, "treated"), (2, "untreated"), (2, "treated")]


def refused(path: Path) -> list[str]:
    with pytest.raises(InputError) as error:
        drawn_strips.read(path, EPSG, FIELD, is_metric=False)
    assert {one.code for one in error.value.faults} == {3}
    return [f"{one.where}: {one.what}" for one in error.value.faults]


def alike(one, other) -> bool:
    return shapely.symmetric_difference(one, other).area < LESS_M2


def test_whoever_drew_the_strips_says_what_was_sprayed(trial):
    found = ground(trial, drawn=put(trial, ROWS))
    assert (found.source, found.treated_source, found.treated_on) == ("drawn", "drawn", ())
    assert alike(found.treated, ground_of_strips("treated") & FIELD)
    assert found.width_m == pytest.approx(BOOM_M, abs=0.02)
    assert min(found.heading_deg, 180 - found.heading_deg) < 0.1
    assert "by_drawn" in codes(found)
    assert "strips.geojson" in found.files


def test_a_drawn_file_goes_before_the_design(trial):
    put_design(trial)
    put_done(trial, f",,{DAY},{PRODUCT_NAME},typed")
    swapped = [(1, "treated"), (1, "untreated"), (2, "treated"), (2, "untreated")]
    found = ground(trial, drawn=put(trial, swapped))
    dry = shapely.union_all([strips_laid()[1].outline, strips_laid()[3].outline])
    assert (found.source, found.treated_source) == ("drawn", "drawn")
    assert alike(found.treated, FIELD - dry)
    assert "drawn_and_done" in codes(found)


def test_a_drawn_treated_strip_is_sprayed_in_zones_that_were_not(trial):
    put_zones(trial.field / "applied" / "zones.gpkg")
    put_done(trial, f",1,{DAY},{PRODUCT_NAME},typed")
    found = ground(trial, drawn=put(trial, ROWS))
    expected = (ZONES[1] - ground_of_strips("untreated")) | (ground_of_strips("treated") & FIELD)
    assert alike(found.treated, expected)


def test_the_machine_knows_better_than_whoever_drew(trial):
    applied = put_applied(trial, FIELD - strips_laid()[0].outline)
    found = ground(trial, drawn=put(trial, ROWS), applied=applied)
    assert (found.source, found.treated_source) == ("drawn", "as-applied")
    assert alike(found.treated, FIELD - strips_laid()[0].outline)


def test_words_for_a_treatment_and_kinds_of_numbers(trial):
    rows = [("1", " Check "), ("1", "SPRAYED"), ("2", "unsprayed"), ("2", "treated")]
    found = drawn_strips.read(put(trial, rows), EPSG, FIELD, is_metric=False)
    assert [(one.pair, one.treatment) for one in found.strips] == [
        (one.pair, one.treatment) for one in strips_laid()
    ]


def test_all_rows_at_fault_are_said_at_once(trial):
    rows = [("first", "untreated"), ("1", "half"), ("0", ""), (None, "treated")]
    assert refused(put(trial, rows)) == [
        "strips.geojson: row 1: pair first is no number of a pair",
        "strips.geojson: row 2: treatment half is none",
        "strips.geojson: row 3: treatment is empty",
        "strips.geojson: row 3: pair 0 is no number of a pair",
        "strips.geojson: row 4: pair is empty",
    ]


def test_files_that_are_no_strips(trial):
    trial.shapes("strips.geojson", [strips_laid()[0].outline], [{"name": "a"}])
    path = trial.field / "strips.geojson"
    assert refused(path) == ["strips.geojson: there is no column treatment and no column pair"]
    trial.shapes(
        "strips.geojson", [shapely.Point(WEST + 9, SOUTH + 9)], [{"pair": 1, "treatment": "treated"}]
    )
    assert refused(path) == ["strips.geojson: shape 1 is a Point, not a polygon"]
    with pytest.raises(InputError) as error:
        ground(trial, drawn=trial.field / "no.gpkg")
    assert (error.value.code, error.value.what) == (2, "there is no such file")


def test_strips_that_overlap_run_otherwise_or_lie_elsewhere(trial):
    first, second, *_ = (one.outline for one in strips_laid())
    over = put(trial, ROWS[:2], [first, shapely.affinity.translate(first, 5, 0)])
    assert refused(over) == ["strips.geojson: strips 1 and 2 overlap"]
    across = box(WEST + 200, SOUTH + 50, WEST + 390, SOUTH + 50 + BOOM_M)
    (fault,) = refused(put(trial, ROWS[:2], [first, across]))
    assert "strip 2 runs at 90 degrees from north" in fault
    away = [shapely.affinity.translate(one, 3000, 0) for one in (first, second)]
    assert refused(put(trial, ROWS[:2], away)) == ["strips.geojson: none of its strips lies in the field"]


def test_what_is_doubtful_is_said(trial):
    first, second, third, _ = (one.outline for one in strips_laid())
    narrow = box(WEST + 330, SOUTH, WEST + 340, NORTH)
    away = shapely.affinity.translate(second, 3000, 0)
    rows = [(1, "untreated"), (1, "treated"), (2, "untreated"), (2, "treated"), (3, "treated")]
    found = drawn_strips.read(
        put(trial, rows, [first, second, third, narrow, away]), EPSG, FIELD, is_metric=False
    )
    assert [one.text for one in found.notes] == [
        "strip 5 of strips.geojson lies outside the field and is not used",
        "the strips of strips.geojson are 33 ft to 90 ft wide; each counts with its own width",
        "the strips of pair 2 in strips.geojson lie 271 ft from each other: soil may change between them",
    ]  # 330 - 247.432 = 82.568 m = 270.9 ft


def test_a_strip_in_two_parts_is_one_of_its_pair(trial):
    first, second, *_ = (one.outline for one in strips_laid())
    parts = MultiPolygon([first & box(WEST, SOUTH - 1, WEST + 400, SOUTH + 140), first & ZONES[2]])
    found = drawn_strips.read(put(trial, ROWS[:2], [parts, second]), EPSG, FIELD, is_metric=False)
    assert [(one.pair, one.treatment) for one in found.strips] == [
        (1, "untreated"),
        (1, "untreated"),
        (1, "treated"),
    ]


def test_a_pair_may_lack_a_strip(trial):
    found = drawn_strips.read(put(trial, ROWS[:1], [strips_laid()[0].outline]), EPSG, FIELD, is_metric=False)
    assert [(one.pair, one.treatment) for one in found.strips] == [(1, "untreated")]


def test_a_header_wider_than_the_strips_is_said(trial):
    narrow = [box(WEST + 100 + 9 * place, SOUTH, WEST + 109 + 9 * place, NORTH) for place in range(2)]
    found = ground(trial, drawn=put(trial, ROWS[:2], narrow))
    said = next(note for note in found.notes if note.code == "trial_ground.header_wider")
    assert said.text.startswith("the header (35 ft) is wider than the strips (30 ft)")  # 9 m = 29.5 ft


@pytest.mark.parametrize("ending", ["gpkg", "shp"])
def test_other_formats_are_read_too(trial, ending):
    import geopandas

    names, words = zip(*ROWS, strict=True)
    frame = geopandas.GeoDataFrame(
        {"pair": names, "treatment": words}, geometry=[one.outline for one in strips_laid()], crs=EPSG
    )
    path = trial.field / f"mine.{ending}"
    frame.to_file(path, engine="fiona")
    found = drawn_strips.read(path, EPSG, FIELD, is_metric=False)
    for one, laid in zip(found.strips, strips_laid(), strict=True):
        assert (one.pair, one.treatment) == (laid.pair, laid.treatment)
        assert alike(one.outline, laid.outline)


def test_what_cannot_be_placed_is_the_readers_fault(trial):
    path = trial.field / "strips.txt"
    path.write_text("x")
    assert refused(path) == ['strips.txt: a file that ends with ".txt" is not read here']
