"""Rasters and grids of ours with their rows turned round or other values: told by the plan beside them."""

from dataclasses import replace

import numpy as np
import pytest
import rasterio
from made_plans import Made, made_plan, smooth_field

from zoning.file_checks import check
from zoning.prescription.formats import write_all


def plan_of(iso_grid=0):
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    made = Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1, 4: 2})
    return replace(made_plan(made), iso_grid=iso_grid)


def codes(path):
    return {one.code.removeprefix("file_checks.") for one in check(path).findings}


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
