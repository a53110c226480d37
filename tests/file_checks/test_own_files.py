"""What this project writes gives no finding, neither refused nor doubtful, whatever the plan."""

import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_demo import three_dates
from made_farm_plans import seeded_farm, small_farm
from made_laid_strips import with_laid_strips
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, smooth_field, with_scouting
from made_sheets import made_cover, made_sheet

from cli.main import _code
from zoning.file_checks import check
from zoning.prescription import farm_layers, taskdata
from zoning.prescription.formats import FORMATS, write_all
from zoning.prescription.of_a_pass.bundle import write_sums


def told(folder):
    return [str(one) for one in check(folder).findings]


def smooth(seed, **wanted):
    labels, blocks = smooth_field(seed, shape=(40, 39), hole=True)
    return Made(labels=labels, block_of_zone=blocks, cell_m=20, **wanted)


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("passes", [{1: 1}, {1: 1, 3: 1, 4: 2, 5: 3}])
def test_made_plans(units, passes, tmp_path):
    names = write_all(made_plan(smooth(3, units=units, pass_of_zone=passes)), tmp_path)
    assert len([name for name in names if name.endswith(".shp")]) == 1 + len(set(passes.values()))
    assert told(tmp_path) == []


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    seed=st.integers(0, 10_000),
    units=st.sampled_from(["us", "metric"]),
    epsg=st.sampled_from([32615, 32720]),
    passes=st.dictionaries(st.integers(1, 6), st.integers(1, 3), min_size=1, max_size=5),
)
def test_any_made_plan(seed, units, epsg, passes):
    plan = made_plan(smooth(seed, units=units, epsg=epsg, pass_of_zone=passes))
    with tempfile.TemporaryDirectory() as place:
        write_all(plan, Path(place))
        assert told(Path(place)) == []


def test_a_plan_in_which_nothing_is_sprayed(tmp_path):
    write_all(made_plan(smooth(3, pass_of_zone={})), tmp_path)
    assert (tmp_path / "prescription.shp").exists()
    assert told(tmp_path) == []


@pytest.mark.parametrize("level", [1, 2])
def test_plans_without_rates(level, tmp_path):
    write_all(made_plan(smooth(3, level=level)), tmp_path)
    assert told(tmp_path) == []


def test_ground_that_is_never_sprayed(tmp_path):
    plan = with_no_spray(made_plan(smooth(3)), {2: "setback", 4: "dead ground"})
    assert plan.no_spray
    write_all(plan, tmp_path)
    assert told(tmp_path) == []


def test_check_strips(tmp_path):
    plan = with_laid_strips(smooth(3), pairs=2)
    assert plan.strips
    write_all(plan, tmp_path)
    assert told(tmp_path) == []


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize(("level", "iso_grid"), [(1, 0), (2, 0), (3, 0), (3, 1), (3, 2)])
def test_scouting_setbacks_and_grids_at_every_level(units, level, iso_grid, tmp_path):
    made = smooth(3, units=units, level=level, pass_of_zone={1: 1, 3: 1, 4: 2})
    plan = with_no_spray(with_scouting(made_plan(made), counted=[1]), {6: "setback"})
    names = write_all(replace(plan, iso_grid=iso_grid), tmp_path)
    checked = check(tmp_path)
    assert [str(one) for one in checked.findings] == []
    wanted = (".shp", ".gpkg", ".tif", ".geojson", "TASKDATA.XML", ".BIN", ".zip")
    assert {name for name in names if name.endswith(wanted)} <= set(checked.files)


@pytest.mark.parametrize("farm", [small_farm(), small_farm("metric"), seeded_farm(3, sprayers=2)])
def test_farms(farm, tmp_path):
    names = (*farm_layers.write(farm, tmp_path), *taskdata.write_farm(farm, tmp_path))
    checked = check(tmp_path)
    assert [str(one) for one in checked.findings] == []
    assert {name for name in names if not name.endswith(".csv")} <= set(checked.files)


@pytest.mark.parametrize("one", FORMATS, ids=lambda one: one.name)
def test_each_format_by_itself(one, tmp_path):
    if one.write(made_plan(smooth(5)), tmp_path):
        assert told(tmp_path) == []


def test_a_run_of_the_demo_farm(tmp_path, capsys):
    field = three_dates(tmp_path)
    assert _code(["run", str(field), "--quiet"]) == 0
    capsys.readouterr()
    assert _code(["check", str(field / "out")]) == 0
    printed = capsys.readouterr().out
    assert printed.endswith("files checked, 0 findings\n")
    assert check(field / "out").findings == ()


@pytest.mark.parametrize("section_m", [0.381, 0.508, 3.048])
@pytest.mark.parametrize("cell_m", [3, 20])
def test_grids_of_nozzles_that_switch_one_by_one(section_m, cell_m, tmp_path):
    plan = replace(made_plan(replace(smooth(3), cell_m=cell_m)), iso_grid=1)
    cover = replace(made_cover(), section_m=section_m)
    passes = tuple(replace(one, sheet=replace(made_sheet(), cover=cover)) for one in plan.passes)
    write_all(replace(plan, passes=passes), tmp_path)
    assert told(tmp_path) == []


def test_each_file_of_a_pass_by_itself(tmp_path):
    plan = made_plan(smooth(3))
    write_all(plan, tmp_path)
    write_sums(plan, tmp_path)
    for one in ("*.shp", "*.zip", "*.geojson", "*.gpkg", "TASKDATA/TASKDATA.XML", "SHA256SUMS"):
        (path,) = (tmp_path / "passes" / "P1").glob(one)
        assert told(path) == [], path.name
