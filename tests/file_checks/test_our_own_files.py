"""What the project's own writers make gives no finding: whole plans, grids, and farms."""

from dataclasses import replace

import numpy as np
import pytest
import rasterio
from made_farm_plans import seeded_farm, small_farm
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, smooth_field, with_scouting

from zoning.file_checks import check
from zoning.prescription import farm_layers, taskdata
from zoning.prescription.formats import write_all


def plan_of(units="us", level=3, iso_grid=0):
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    made = Made(
        labels=labels,
        block_of_zone=blocks,
        cell_m=20,
        pass_of_zone={1: 1, 3: 1, 4: 2},
        units=units,
        level=level,
    )
    plan = with_no_spray(with_scouting(made_plan(made), counted=[1]), {6: "setback"})
    return replace(plan, iso_grid=iso_grid)


def codes(path):
    return {one.code.removeprefix("file_checks.") for one in check(path).findings}


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize(("level", "iso_grid"), [(1, 0), (2, 0), (3, 0), (3, 1), (3, 2)])
def test_a_plan_of_ours_gives_no_finding(units, level, iso_grid, tmp_path):
    names = write_all(plan_of(units, level, iso_grid), tmp_path)
    checked = check(tmp_path)
    assert [str(one) for one in checked.findings] == []
    wanted = (".shp", ".gpkg", ".tif", ".geojson", "TASKDATA.XML", ".BIN", ".zip")
    assert {name for name in names if name.endswith(wanted)} <= set(checked.files)


@pytest.mark.parametrize("farm", [small_farm(), small_farm("metric"), seeded_farm(3, sprayers=2)])
def test_a_farm_of_ours_gives_no_finding(farm, tmp_path):
    names = (*farm_layers.write(farm, tmp_path), *taskdata.write_farm(farm, tmp_path))
    checked = check(tmp_path)
    assert [str(one) for one in checked.findings] == []
    assert {name for name in names if not name.endswith(".csv")} <= set(checked.files)


@pytest.mark.parametrize("name", ["zone", "r3_day", "net_return"])
def test_rows_of_our_rasters_turned_round_are_told(name, tmp_path):
    write_all(plan_of(), tmp_path)
    path = tmp_path / "rasters" / f"{name}.tif"
    with rasterio.open(path, "r+", IGNORE_COG_LAYOUT_BREAK="YES") as file:
        file.write(np.flipud(file.read(1)), 1)
    assert "tiff_upside_down" in codes(tmp_path)


@pytest.mark.parametrize(("name", "factor"), [("net_return", 0.9), ("zone", 2), ("r3_day", 0.5)])
def test_values_of_our_rasters_that_are_not_the_plans_are_told(name, factor, tmp_path):
    write_all(plan_of(), tmp_path)
    path = tmp_path / "rasters" / f"{name}.tif"
    with rasterio.open(path, "r+", IGNORE_COG_LAYOUT_BREAK="YES") as file:
        cells = file.read(1)
        file.write(np.where(cells == file.nodata, cells, cells * factor).astype(cells.dtype), 1)
    assert "tiff_other_values" in codes(tmp_path)


@pytest.mark.parametrize("iso_grid", [1, 2])
def test_rows_of_our_grids_turned_round_are_told(iso_grid, tmp_path):
    write_all(plan_of(iso_grid=iso_grid), tmp_path)
    path = tmp_path / "passes" / "P1" / "TASKDATA" / "GRD00001.BIN"
    cells = np.frombuffer(path.read_bytes(), dtype="u1" if iso_grid == 1 else "<i4")
    text = (path.parent / "TASKDATA.XML").read_text()
    columns = int(text.partition("<GRD")[2].partition(' E="')[2].partition('"')[0])
    path.write_bytes(np.flipud(cells.reshape(-1, columns)).tobytes())
    assert "iso_upside_down" in codes(tmp_path / "passes" / "P1")
