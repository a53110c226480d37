"""Maps that the machine cannot follow, through whole runs: refused, or written with the warning inside."""

import csv
import json
import shutil
import sqlite3
from contextlib import closing

import geopandas
import pytest
from lxml import etree
from made_demo import TODAY, three_dates
from shapely import box

from cli.main import _code
from zoning import farm, field
from zoning.errors import SETTINGS, WORLD, InputError

QUICK = {"today": TODAY, "measured_by": lambda *_, **__: lambda: None}


def changed(folder, name, *pairs):
    path = folder / name
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


def out_of_reach(root):
    """The demo field with nozzles that cannot hold its one volume: 10 gal/ac take more than 14 mph."""
    folder = three_dates(root)
    changed(
        folder.parent,
        "farm.toml",
        ('nozzle = "04"', 'nozzle = "06"'),
        ('volumes = ["10 gal/ac", "15 gal/ac", "20 gal/ac"]', 'volumes = ["10 gal/ac"]'),
    )
    return folder


def combed(folder):
    """Ditches of 3 m across the way, 15 m apart: none is as long as the machine takes to close and open."""
    bounds = geopandas.read_file(folder / "boundary.geojson").to_crs(32615).total_bounds
    west, south, east, north = bounds
    ditches = [box(x, south, x + 3, north) for x in range(int(west) + 20, int(east) - 20, 15)]
    geopandas.GeoSeries(ditches, crs=32615).to_crs(4326).to_file(folder / "ditches.geojson")
    changed(folder, "field.toml", ("[zones]", '[[setback]]\nfile = "ditches.geojson"\n\n[zones]'))
    return folder


def written(folder):
    return sorted(path.relative_to(folder) for path in folder.rglob("*"))


def test_a_volume_out_of_reach_is_refused_and_the_option_is_named(tmp_path):
    folder = out_of_reach(tmp_path)
    with pytest.raises(InputError, match="--allow-unreachable") as refused:
        field.run(folder, **QUICK)
    assert refused.value.code == SETTINGS
    assert "needs at least 15.4 mph" in str(refused.value)
    # by the label it stays refused: no option lets that pass
    changed(folder.parent, "farm.toml", ('min_carrier_ground = "10', 'min_carrier_ground = "12'))
    with pytest.raises(InputError, match="below the label minimum") as refused:
        field.run(folder, **QUICK, allow_unreachable=True)
    assert "--allow-unreachable" not in str(refused.value)


@pytest.fixture(scope="module")
def allowed(tmp_path_factory):
    folder = out_of_reach(tmp_path_factory.mktemp("allowed"))
    run = field.run(folder, **QUICK, allow_unreachable=True)
    with pytest.raises(InputError, match="the machine cannot follow the map of pass 1") as refused:
        field.write(run, folder / "out")
    assert refused.value.code == SETTINGS
    assert not (folder / "out").exists()
    field.write(run, folder / "out", allow_unreachable=True)
    return run.plan, folder / "out"


def test_with_the_option_every_file_carries_the_warning(allowed):
    plan, out = allowed
    (one,) = plan.passes
    (why,) = one.map.not_followed
    assert one.rate_gal_ac == 10
    assert any(why.text in note.text for note in plan.notes)
    place = out / "passes" / "P1"
    about = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert about["passes"][0]["not_followed"] == [{"code": why.code, "text": why.text}]
    words = "NEEDS AT LEAST 15.4 MPH"
    for name in ("README.txt", "load_sheet.txt"):
        told = (place / name).read_text(encoding="utf-8").replace("!!", "")
        assert words in " ".join(told.split())
        assert told.index("15.4 MPH") < told.index("gal/ac")
    assert "is held" not in (place / "load_sheet.txt").read_text(encoding="utf-8")
    tree = etree.parse(place / "TASKDATA" / "TASKDATA.XML")
    assert tree.find("TSK").get("B").startswith("UNREACHABLE")
    (geojson,) = place.glob("*.geojson")
    assert why.text in geojson.read_text(encoding="utf-8")
    (gpkg,) = place.glob("*.gpkg")
    with closing(sqlite3.connect(gpkg)) as base:
        tables = [name for (name,) in base.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        told = str([base.execute(f'SELECT * FROM "{name}"').fetchall() for name in tables])
    assert why.text in told


def test_the_command_ends_with_2_and_takes_the_option(tmp_path, capsys):
    folder = out_of_reach(tmp_path)
    assert _code(["run", str(folder), "--quiet"]) == SETTINGS
    told = capsys.readouterr()
    assert told.out == ""
    assert "--allow-unreachable" in told.err
    assert not (folder / "out").exists()
    assert _code(["run", str(folder), "--quiet", "--json", "--allow-unreachable"]) == 0
    (one,) = json.loads(capsys.readouterr().out)["passes"]
    assert [why["code"] for why in one["not_followed"]] == ["sprayer.needs_more_speed"]
    assert _code(["run", str(folder), "--quiet", "--allow-unreachable"]) == 0
    assert "needs at least 15.4 mph" in " ".join(capsys.readouterr().out.split())


def test_a_map_of_short_gaps_is_refused_and_the_last_result_stays(tmp_path):
    folder = three_dates(tmp_path)
    field.write(field.run(folder, **QUICK), folder / "out")
    before = {path: path.read_bytes() for path in (folder / "out").rglob("*") if path.is_file()}
    run = field.run(combed(folder), **QUICK)
    with pytest.raises(InputError, match="swath cells") as refused:
        field.write(run, folder / "out")
    assert refused.value.code == SETTINGS
    assert "\n" not in str(refused.value)
    assert {path: path.read_bytes() for path in (folder / "out").rglob("*") if path.is_file()} == before
    assert not list(folder.glob("out.*"))


def with_twin(root):
    """A farm of two fields, one a copy of the other."""
    folder = three_dates(root)
    twin = folder.parent / "twin"
    shutil.copytree(folder, twin)
    changed(twin, "field.toml", ('name = "Three Dates"', 'name = "Twin"'))
    return folder, twin


def only_three_dates(out):
    """The files of a farm hold one field, and name the other as failed."""
    about = json.loads((out / "farm.json").read_text(encoding="utf-8"))
    assert list(about["fields"]) == ["three_dates"]
    assert [one["field"] for one in about["failures"]] == ["twin"]
    with (out / "farm.csv").open(encoding="utf-8") as table:
        assert {row["field"] for row in csv.DictReader(table)} == {"Three Dates"}
    with (out / "schedule.csv").open(encoding="utf-8") as table:
        assert {row["field"] for row in csv.DictReader(table)} == {"Three Dates"}
    assert set(geopandas.read_parquet(out / "farm.parquet")["field"]) == {"Three Dates"}
    (xml,) = out.glob("taskdata/*/TASKDATA/TASKDATA.XML")
    assert [one.get("C") for one in etree.parse(xml).iter("PFD")] == ["Three Dates"]


def test_on_a_farm_such_a_field_fails_by_itself(tmp_path):
    folder, twin = with_twin(tmp_path)
    combed(twin)
    result = farm.run(folder.parent, today=TODAY)
    assert [name for name, _ in result.failures] == ["twin"]
    assert not (twin / "out").exists()
    assert (folder / "out" / "plan.json").exists()
    only_three_dates(folder.parent / "out")
    # the hours of the field that failed are free again
    (plan,) = result.plans
    planned_h = sum(one.hours_h for one in plan.passes)
    assert sum(use.used_h for use in result.plan.hours) == pytest.approx(planned_h) != 0


def test_a_field_that_cannot_be_written_is_in_no_file_of_the_farm(tmp_path, monkeypatch):
    folder, twin = with_twin(tmp_path)
    write = field.write

    def refused(run, out, **more):
        if out.parent == twin:
            raise InputError("No space left on device", where=out, mend="Free some.", code=WORLD)
        return write(run, out, **more)

    monkeypatch.setattr(field, "write", refused)
    result = farm.run(folder.parent, today=TODAY)
    assert [name for name, _ in result.failures] == ["twin"]
    assert [plan.field for plan in result.plan.plans] == ["Three Dates"]
    only_three_dates(folder.parent / "out")
