"""A field with check strips, from its folder to the operator's file and to the next run."""

import json
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import shapefile
import shapely
from made_inputs import reproject
from made_sprayed import sprayed_farm
from shapely.geometry import shape

from zoning import field, field_out
from zoning.errors import InputError
from zoning.inputs.area import geodesic_ac
from zoning.inputs.strips import design
from zoning.plan import Plan
from zoning.prescription.polygons import check_cover, edges_match

EPSG = 32615
TODAY = date(2026, 7, 8)
LATER = date(2026, 7, 10)
# Edges are put onto 1 mm: along 25 km of edges at most 25 m2, of 480,000.
MOVED = 1e-5


@pytest.fixture(params=["", "treatment = 'swath cells'"], ids=["zones", "swath cells"])
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Three Dates with three pairs of strips, and a ditch across it that is never sprayed."""
    farm, plan = sprayed_farm(tmp_path)
    made = farm / "three_dates"
    west, south, east, _ = reproject(plan.boundary, 4326, EPSG).bounds
    ditch = shapely.LineString(
        [(west - 50, south + 100), (west + 300, south + 250), (east + 30, south + 420)]
    )
    lonlat = shapely.to_geojson(reproject(ditch, EPSG, 4326))
    whole = {"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {}}]}
    whole["features"][0]["geometry"] = json.loads(lonlat)
    (made / "ditch.geojson").write_text(json.dumps(whole))
    text = re.sub(r"\[check_strips\]\npairs = .*\n", "", (made / "field.toml").read_text())
    text = re.sub(r"\[zones\]\n", f"[zones]\n{request.param}\n", text)
    text += "\n[[setback]]\nfile = 'ditch.geojson'\nwidth = '30 ft'\n[check_strips]\npairs = 3\n"
    (made / "field.toml").write_text(text)
    return made


def run(folder: Path, **asked: object) -> tuple[field.Run, Plan]:
    made = field.run(folder, measured_by=lambda *_, **__: lambda: None, **({"today": TODAY} | asked))
    return made, made.plan


def in_metres(area):
    return reproject(area, 4326, EPSG)


def whole_of(shapes):
    return shapely.union_all([in_metres(one) for one in shapes])


def test_strips_and_what_lies_between_are_the_field(folder: Path) -> None:
    _, plan = run(folder)
    check_cover(plan)
    pieces = plan.strips.pieces
    assert edges_match([one.outline for one in pieces])
    assert sum(one.area_ac for one in pieces) == pytest.approx(plan.area_ac, rel=MOVED)
    for zone in plan.zones:
        mine = [one.outline for one in pieces if one.zone == zone.zone]
        assert sum(geodesic_ac(one) for one in mine) == pytest.approx(zone.area_ac, rel=MOVED)
    assert {one.pair for one in pieces if one.kind == "strip"} == {1, 2, 3}
    # on a strip no other ground: a piece of it lies in its strip and in its zone
    strips = {(one.pair, one.treatment): in_metres(one.outline) for one in plan.strips.strips}
    zones = {zone.zone: in_metres(zone.outline) for zone in plan.zones}
    for one in pieces:
        if one.kind == "strip":
            there = shapely.intersection(strips[one.pair, one.treatment], zones[one.zone])
            here = in_metres(one.outline)
            assert here.symmetric_difference(there).area < 2e-3 * here.length + 1e-2  # 1 mm either side


def test_machine_leaves_and_treats_what_strips_say(folder: Path) -> None:
    made, plan = run(folder)
    names = field.write(made, folder / "out")
    one = plan.passes[0]
    (name,) = (name for name in names if name.startswith("passes/P1/") and name.endswith(".shp"))
    with shapefile.Reader(str(folder / "out" / name)) as reader:
        rows = [(shape(record.shape.__geo_interface__), record.record[0]) for record in reader.shapeRecords()]
    sprayed = whole_of([polygon for polygon, rate in rows if rate > 0])
    never = whole_of([spot.outline for spot in plan.no_spray])
    assert sprayed.intersection(never).area < 1  # of 13,000 m2; edges moved by 1 mm
    by_zone = {zone.zone: zone for zone in plan.zones}
    for piece in plan.strips.pieces:
        ground = in_metres(piece.outline)
        here = sprayed.intersection(ground).area
        if piece.treatment == "untreated":
            assert here < 2e-3 * ground.length
        elif piece.treatment == "treated" and len(plan.passes) == 1:
            assert piece.pass_number == one.number, f"zone {piece.zone} is open to the pass"
            assert here > ground.area - 2e-3 * ground.length
    skipped = {zone.zone for zone in plan.zones if zone.action == "skip"}
    assert skipped
    assert plan.strips.treated_ac == pytest.approx(
        sum(
            piece.area_ac
            for piece in plan.strips.pieces
            if piece.treatment == "treated" and piece.zone in skipped
        )
    )
    assert plan.strips.untreated_ac == pytest.approx(
        sum(
            piece.area_ac
            for piece in plan.strips.pieces
            if piece.treatment == "untreated" and by_zone[piece.zone].action == "spray"
        )
    )


def test_load_sheet_mixes_for_what_the_map_treats(folder: Path) -> None:
    _, plan = run(folder)
    for one in plan.passes:
        on = [geodesic_ac(part.outline) for part in one.map.parts if part.rate_gal_ac > 0]
        assert one.sheet.area_ac == pytest.approx(sum(on), rel=1e-9)
        assert one.sheet.mix_gal == pytest.approx(sum(on) * one.rate_gal_ac + one.sheet.overage_gal, rel=1e-9)


def test_strips_change_no_decision_and_no_return(folder: Path) -> None:
    _, with_strips = run(folder)
    (folder / "field.toml").write_text((folder / "field.toml").read_text().replace("pairs = 3", "pairs = 0"))
    _, without = run(folder)
    assert without.strips is None
    assert repr(with_strips.totals) == repr(without.totals)  # NaN among them is not equal to itself
    assert with_strips.zones == without.zones
    assert [
        replace(one, map=two.map, sheet=two.sheet, loads=two.loads)
        for one, two in zip(with_strips.passes, without.passes, strict=True)
    ] == list(without.passes)


def test_the_next_run_reads_what_this_one_laid(folder: Path) -> None:
    first, plan = run(folder)
    names = field.write(first, folder / "out")
    before = {name: (folder / "out" / name).read_bytes() for name in names}
    text = (folder / design.FILE).read_text()
    assert text == plan.strips.new_design
    again, read = run(folder)
    assert read.strips.new_design == ""
    assert field.write(again, folder / "out") == names
    assert {name: (folder / "out" / name).read_bytes() for name in names} == before
    assert json.loads((folder / "out" / "run.json").read_text())["run_id"] == plan.run_id == read.run_id
    assert (folder / design.FILE).read_text() == text
    # another seed and another day do not move them
    _, other = run(folder, seed=5, today=LATER)
    assert [one.outline for one in other.strips.strips] == [one.outline for one in plan.strips.strips]


def test_fewer_pairs_than_asked_for_are_told_of_in_every_run(folder: Path) -> None:
    (folder / "field.toml").write_text((folder / "field.toml").read_text().replace("pairs = 3", "pairs = 20"))
    first, plan = run(folder)
    field.write(first, folder / "out")
    fewer = [note for note in plan.notes if note.code == "passes.strips_fewer"]
    assert len(fewer) == 1
    _, read = run(folder)
    assert read.strips.new_design == ""
    assert read.notes == plan.notes
    # a pair that somebody takes out is no want of room
    whole = json.loads((folder / design.FILE).read_text())
    whole["features"] = [one for one in whole["features"] if one["properties"]["pair"] != 1]
    (folder / design.FILE).write_text(json.dumps(whole))
    _, less = run(folder)
    assert less.strips.pairs == plan.strips.pairs - 1
    assert "passes.strips_fewer" not in {note.code for note in less.notes}


def test_new_strips_with_another_seed_lie_elsewhere(folder: Path) -> None:
    first, plan = run(folder)
    field.write(first, folder / "out")
    again, other = run(folder, seed=3, new_strips=True)
    assert other.strips.new_design
    assert other.run_id != plan.run_id
    field.write(again, folder / "out")
    assert (folder / design.FILE).read_text() == other.strips.new_design != plan.strips.new_design
    assert (folder / f"{design.FILE}.bak").read_text() == plan.strips.new_design


def test_results_that_cannot_be_written_leave_no_design(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, _ = run(folder)
    before = (folder / "out" / "plan.json").read_bytes()

    def full(*_: object) -> tuple[str, ...]:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(field_out.formats, "write_all", full)
    with pytest.raises(InputError, match="could not be written"):
        field.write(made, folder / "out")
    assert not (folder / design.FILE).exists()
    assert (folder / "out" / "plan.json").read_bytes() == before


def test_strips_of_another_season_are_replaced_only_on_request(folder: Path) -> None:
    first, plan = run(folder)
    field.write(first, folder / "out")
    old = plan.strips.new_design.replace('"season": 2026', '"season": 2025').replace(
        "2026-07-08", "2025-07-08"
    )
    (folder / design.FILE).write_text(old)
    made, without = run(folder)
    assert without.strips is None
    assert "inputs.strips_of_other_season" in {note.code for note in without.notes}
    field.write(made, folder / "out")
    assert (folder / design.FILE).read_text() == old
    _, anew = run(folder, new_strips=True)
    assert anew.strips.new_design == plan.strips.new_design


def test_no_new_strips_once_the_field_was_sprayed(folder: Path) -> None:
    first, plan = run(folder)
    field.write(first, folder / "out")
    (folder.parent / "done.csv").write_text(
        "field,end,product\nThree Dates,2026-07-09,Invented Fungicide A\n"
    )
    with pytest.raises(InputError, match=r"--new-strips: the field was sprayed on 2026-07-09") as error:
        run(folder, today=LATER, seed=3, new_strips=True)
    assert error.value.code == 2
    assert (folder / design.FILE).read_text() == plan.strips.new_design
