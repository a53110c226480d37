"""One field from Python: the figures and bytes of a run, nothing written unasked, faults in one line."""

import dataclasses
import json
import shutil
from datetime import date, datetime

import numpy as np
import pytest
from made_plans import Made, made_plan

from zoning import field as one_field
from zoning.errors import InputError
from zoning.field_out import Run
from zoning.inputs.strips import design
from zoning.offers.provenance import Provenance
from zoning.service import PlannedField, plan_field

TODAY = date(2026, 7, 8)


def tree(folder):
    """Every file below a folder with its bytes."""
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def of_plan(plan, folder):
    made_of = Provenance(version="1", today=plan.today, seed=0, settings={}, inputs={}, evidence={})
    return PlannedField(folder=folder, run=Run(plan=plan, provenance=made_of))


def test_nothing_is_written_until_it_is_asked_for(field, planned):
    before = tree(field.parent)
    assert planned.plan.strips is not None
    assert planned.plan.strips.new_design
    planned.zones, planned.passes, planned.map_png(), planned.page_html(), planned.sheet_pdf()
    planned.as_dict(), repr(planned), planned._repr_html_()
    plan_field(field, today=TODAY)
    assert tree(field.parent) == before
    assert not design.is_laid(field)


def test_what_it_gives_is_what_a_run_writes(field, planned, tmp_path):
    farm = shutil.copytree(field.parent, tmp_path / "farm")
    here = farm / field.name
    one_field.write(one_field.run(here, today=TODAY), here / "out")
    out = here / "out"
    assert planned.map_png() == (out / "map.png").read_bytes()
    assert planned.page_html().encode() == (out / "page.html").read_bytes()
    assert planned.sheet_pdf() == (out / "sheet.pdf").read_bytes()
    written = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert planned.as_dict() == {**written, "files": []}
    again = dataclasses.replace(planned, folder=farm / "again")
    (farm / "again").mkdir()
    assert tree(out).keys() == {*map(type(out), again.write())}
    assert tree(farm / "again" / "out") == tree(out)
    assert design.path_of(farm / "again").read_bytes() == design.path_of(here).read_bytes()


@pytest.mark.parametrize("layer", ["zones", "passes"])
@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_table_is_the_layer_that_another_library_reads_from_the_file(tmp_path, layer, units):
    geopandas = pytest.importorskip("geopandas")
    from zoning.prescription import geopackage

    plan = made_plan(Made(labels=[[1, 2], [3, 3]], units=units))
    geopackage.write(plan, tmp_path)
    read = geopandas.read_file(tmp_path / "zones.gpkg", layer=layer)
    made = getattr(of_plan(plan, tmp_path), layer)
    assert list(made.columns) == list(read.columns)
    assert made.crs == read.crs
    assert made.geometry.geom_equals(read.geometry).all()
    for name in set(made.columns) - {"geometry"}:
        ours, theirs = made[name], read[name]
        assert ours.isna().tolist() == theirs.isna().tolist(), name
        if ours.dtype.kind == "M":
            theirs = theirs.astype("datetime64[s]")
        assert ours.dropna().tolist() == theirs.dropna().tolist(), name


def test_a_table_is_the_callers_own(planned):
    zones = planned.zones
    zones["action"] = "changed"
    assert set(planned.zones["action"]) <= {"spray", "skip"}
    with pytest.raises(dataclasses.FrozenInstanceError):
        planned.run = None


def test_a_plan_without_a_pass_has_a_table_of_passes_without_rows(tmp_path):
    plan = made_plan(Made(labels=[[1, 2]], level=1))
    made = of_plan(plan, tmp_path).passes
    assert len(made) == 0
    assert made["area_ac"].sum() == 0
    assert made.crs == "EPSG:4326"


def test_a_planned_field_says_in_one_line_what_it_is(planned):
    assert repr(planned).startswith("<PlannedField Three Dates: spray ")
    assert "\n" not in repr(planned)


@pytest.mark.parametrize("today", ["2026-07-08", datetime(2026, 7, 8, 15, 30)])
def test_a_day_may_be_written_in_several_ways(field, planned, today):
    assert plan_field(str(field), today=today, seed=np.int64(0)).plan.run_id == planned.plan.run_id


def test_without_a_day_it_is_as_of_of_the_settings_and_never_the_clock(field, planned, tmp_path):
    farm = shutil.copytree(field.parent, tmp_path / "farm")
    assert "as_of" in (farm / "farm.toml").read_text(encoding="utf-8")
    assert plan_field(farm / field.name).plan.today == TODAY
    text = (farm / "farm.toml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("as_of")]
    (farm / "farm.toml").write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(InputError, match=r"today=date\.today\(\)") as caught:
        plan_field(farm / field.name)
    assert caught.value.code == 2


@pytest.mark.parametrize(
    ("wrong", "word"),
    [
        ({"today": "8 July"}, "'8 July' is not a day"),
        ({"today": 20260708}, "is not a day"),
        ({"seed": -1}, "seed: -1 cannot be"),
        ({"seed": 0.5}, "seed: 0.5 cannot be"),
    ],
)
def test_arguments_that_cannot_be_are_faults(field, wrong, word):
    with pytest.raises(InputError, match=word) as caught:
        plan_field(field, **{"today": TODAY, **wrong})
    assert caught.value.code == 2


def test_a_folder_that_is_not_there_is_a_fault(tmp_path):
    with pytest.raises(InputError, match="no such folder"):
        plan_field(tmp_path / "nowhere", today=TODAY)
    with pytest.raises(InputError, match="no such folder"):
        plan_field(tmp_path / "nowhere")


def test_new_strips_are_kept_beside_the_field_wherever_the_files_go(field, planned, tmp_path):
    here = shutil.copytree(field.parent, tmp_path / "farm") / field.name
    elsewhere = tmp_path / "results"
    assert "plan.json" in dataclasses.replace(planned, folder=here).write(str(elsewhere))
    assert design.path_of(here).read_text(encoding="utf-8") == planned.plan.strips.new_design
    assert [path.name for path in tmp_path.iterdir()].count("strips") == 0
    assert plan_field(here, today=TODAY).plan.run_id == planned.plan.run_id  # the file gives the same plan


def test_write_replaces_nothing_but_a_result_of_the_same_field(planned, tmp_path):
    def refused(out, word):
        before = tree(tmp_path)
        with pytest.raises(InputError, match=word) as caught:
            here.write(out)
        assert caught.value.code == 2
        assert tree(tmp_path) == before

    here = dataclasses.replace(planned, folder=tmp_path)
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "letter.txt").write_text("dear", encoding="utf-8")
    refused(tmp_path / "home", "no result of a field")
    refused(tmp_path / "home" / "letter.txt", "no result of a field")
    (tmp_path / "mine.last").mkdir()
    (tmp_path / "mine.last" / "letter.txt").write_text("dear", encoding="utf-8")
    refused(tmp_path / "mine", "no result of a field")
    refused(tmp_path / "not there" / "out", "no such folder")
    out = tmp_path / "out"
    here.write()
    here.write(out)  # again
    other = dataclasses.replace(planned.plan, field="Other")
    with pytest.raises(InputError, match="result of field Three Dates"):
        of_plan(other, tmp_path).write(out)
    run = out / "run.json"
    run.write_text(json.dumps({**json.loads(run.read_text()), "schedule": "farm"}), encoding="utf-8")
    refused(out, "shared schedule")
