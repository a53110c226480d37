"""Every format of the table, read back by a reader that shares no code with its writer, and held to the plan.

For each rate of the plan, area x rate: in vectors within 0.01 %, drawn into cells of 1 m within 0.5 %.
"""

import json
import os
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyarrow.parquet
import pytest
import read_geopackage
import shapely
from any_plan import any_plan
from hypothesis import given, settings
from made_farm_plans import farm_of
from made_no_spray import with_no_spray
from made_plans import Made, acres, made_plan, smooth_field
from made_strips import with_strips, with_swath_cells
from pyproj import Transformer
from rasterio import Affine
from rasterio.features import rasterize
from read_formats import BESIDE, READERS, Carried

from zoning.plan import Plan
from zoning.prescription import farm_layers
from zoning.prescription.formats import FORMATS, Format

VECTOR_FRAC, CELLS_FRAC = 1e-4, 5e-3
SLACK = 0.0101  # a file's rates are rounded up to hundredths


def _made(seed: int, hole: bool = False, **wanted: object) -> Made:
    labels, blocks = smooth_field(seed, shape=(30, 30), hole=hole)
    told = {"cell_m": 20, "pass_of_zone": {1: 1, 3: 1, 4: 2, 6: 3}} | wanted
    return Made(labels=labels, block_of_zone=blocks, **told)


def _swaths(**wanted: object) -> Plan:
    made = _made(5, **wanted)
    rows, columns = np.indices(np.shape(made.labels))
    return with_swath_cells(made, ((rows // 7 + columns // 3) % 3) * (columns % 9 < 7))


def _checkered():
    """More polygons than old terminals take: 225 squares that meet in their corners only."""
    rows, columns = np.indices((15, 15))
    return (rows + columns) % 2 + 1


PLANS = {
    "smooth": lambda: made_plan(_made(1, simplify_m=20.0)),
    "hole": lambda: made_plan(_made(2, hole=True)),
    "metric": lambda: made_plan(_made(3, hole=True, units="metric", simplify_m=15.0)),
    "south": lambda: made_plan(_made(4, epsg=32720, origin_m=(700_000.0, 6_400_000.0))),
    "no spray": lambda: with_no_spray(made_plan(_made(6, hole=True)), {2: "setback", 5: "dead ground"}),
    "swath cells": _swaths,
    "swath cells, metric": lambda: _swaths(units="metric"),
    "strips": lambda: with_strips(_made(7), {1: ([4, 5], [6, 7]), 2: ([20, 21], [18, 19])}),
    "fitted to old terminals": lambda: made_plan(Made(labels=_checkered())),
    "grid 1": lambda: replace(made_plan(_made(9, hole=True)), iso_grid=1),
    "grid 2": lambda: replace(_swaths(units="metric"), iso_grid=2),
    "skipped": lambda: made_plan(_made(8, pass_of_zone={})),
}
OF_A_PASS = {"operator's sets", "TASKDATA", "GeoJSON of a pass", "GeoPackage of a pass"}


@pytest.fixture(scope="module")
def plans():
    made = {name: make() for name, make in PLANS.items()}
    assert made["fitted to old terminals"].passes[0].map.fitted is not None
    return made


def ground(plan: Plan, found: Carried):
    """Polygons and rates that a file must carry: of the whole plan, or of one pass, from what is followed."""
    rate_of = {one.number: one.rate_gal_ac for one in plan.passes}
    zones = [(zone.outline, zone.pass_number or 0) for zone in plan.zones]
    zones += [(one.outline, 0) for one in plan.no_spray]
    if plan.strips is not None and found.strips:
        zones = [(piece.outline, piece.pass_number) for piece in plan.strips.pieces]
    if found.number == 0:
        return [(outline, rate_of.get(mine, 0.0)) for outline, mine in zones]
    (one,) = [one for one in plan.passes if one.number == found.number]
    if one.map.fitted is not None:  # simpler for old terminals: the map says what is followed
        return [(part.outline, part.rate_gal_ac) for part in one.map.parts]
    if plan.treatment is not None:
        zones = plan.treatment.parts
    return [(outline, one.rate_gal_ac if mine == one.number else 0.0) for outline, mine in zones]


def volumes(plan: Plan, found: Carried) -> list[tuple[float, float, float, list[int]]]:
    """For each rate of the plan: its area, its rate in the file's unit, and the file's rows of that rate."""
    wanted: dict[float, float] = {}
    for outline, rate in ground(plan, found):
        wanted[rate] = wanted.get(rate, 0.0) + acres(outline)
    if found.only_sprayed:
        wanted.pop(0.0, None)
    rates = np.asarray(found.rates, dtype=float) / found.per_gal_ac
    classes = [
        (area, rate * found.per_gal_ac, np.flatnonzero(np.abs(rates - rate) < SLACK).tolist())
        for rate, area in wanted.items()
    ]
    rows = sorted(row for *_, those in classes for row in those)
    if found.only_sprayed:
        rows = sorted({*rows, *np.flatnonzero(rates == 0).tolist()})
    assert rows == list(range(len(rates))), "a rate that the plan does not have, or that two classes share"
    return classes


def check(plan: Plan, found: Carried) -> None:
    if found.polygons is not None:
        assert shapely.is_valid(list(found.polygons)).all()
    for area_ac, rate, rows in volumes(plan, found):
        within = VECTOR_FRAC if found.polygons is not None else CELLS_FRAC
        areas = np.asarray(found.areas_ac)[rows]
        assert areas.sum() == pytest.approx(area_ac, rel=within)
        volume = (areas * np.asarray(found.rates, dtype=float)[rows]).sum()
        assert volume == pytest.approx(area_ac * rate, rel=within)
        if found.polygons is None:
            continue
        cells_ac = drawn_m2([found.polygons[row] for row in rows], plan.epsg) / 4046.8564224
        assert cells_ac == pytest.approx(area_ac, rel=CELLS_FRAC)


def drawn_m2(polygons, epsg: int) -> float:
    """Area of polygons by cells of 1 m, less the scale of the UTM grid: no more than 0.08 % beside it."""
    to_m = Transformer.from_crs(4326, epsg, always_xy=True)
    flat = shapely.transform(polygons, lambda xy: np.column_stack(to_m.transform(xy[:, 0], xy[:, 1])))
    west, south, east, north = shapely.total_bounds(flat)
    shape = int(np.ceil(north - south)), int(np.ceil(east - west))
    return float(rasterize(flat, out_shape=shape, transform=Affine(1, 0, west, 0, -1, north)).sum())


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("one", FORMATS, ids=lambda one: one.name)
def test_what_is_read_back_is_the_plan(tmp_path, plans, one, name):
    back(one, plans[name], tmp_path)


@settings(max_examples=6)
@given(any_plan())
def test_any_plan_is_read_back_as_it_is(tmp_path_factory, plan):
    for one in FORMATS:
        back(one, plan, tmp_path_factory.mktemp("any"))


def back(one: Format, plan: Plan, folder: Path) -> None:
    """Write a plan in one format, read every file back, and hold it to the plan."""
    names = one.write(plan, folder)
    read = list(READERS[one.name](plan, folder, names))
    files = {found.name for found in read}
    beside = {
        each for each in names if each.endswith((*BESIDE, *(() if one.name != "rasters" else (".tif",))))
    }
    assert files | beside == set(names), "a file that no reader reads"
    if one.name in OF_A_PASS:
        assert {found.number for found in read} == {each.number for each in plan.passes}
    else:
        assert files
    for found in read:
        check(plan, found)


def test_every_format_has_a_reader():
    assert [one.name for one in FORMATS] == list(READERS)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_files_of_the_farm_hold_the_rates_of_its_fields(tmp_path, plans, units):
    fields = [plan for plan in plans.values() if plan.units == units and not plan.no_spray]
    farm_layers.write(farm_of(fields, {}), tmp_path)
    table = pyarrow.parquet.read_table(tmp_path / "farm.parquet").to_pylist()
    parquet = [(shapely.from_wkb(row["geometry"]), row) for row in table]
    layer = [
        (shapely.MultiPolygon([(rings[0], rings[1:]) for rings in blob.polygons]), row)
        for blob, row in read_geopackage.rows(tmp_path / "farm.gpkg", "zones")
    ]
    wanted = [zone for plan in fields for zone in plan.zones]
    for rows in (parquet, layer):
        assert len(rows) == len(wanted)
        for column, factor in (("rate_gal_ac", 1.0), ("rate_l_ha", 9.35395607)):
            if column == "rate_l_ha" and units == "us":
                continue
            for rate in {zone.rate_gal_ac for zone in wanted if zone.rate_gal_ac}:
                volume = sum(
                    acres(outline) * row[column]
                    for outline, row in rows
                    if row[column] is not None and abs(row[column] / factor - rate) < SLACK
                )
                area_ac = sum(acres(zone.outline) for zone in wanted if zone.rate_gal_ac == rate)
                assert volume == pytest.approx(area_ac * rate * factor, rel=VECTOR_FRAC)


def with_node():
    """Environment in which node finds the package `shapefile`; skips the test where it cannot."""
    folder = Path(os.environ.get("SPRAYWORTH_NODE_MODULES", "")) / "node_modules"
    if shutil.which("node") is None:
        pytest.skip("node is not installed here")
    if not (folder / "shapefile").is_dir():
        pytest.skip(
            "SPRAYWORTH_NODE_MODULES names no folder whose node_modules hold the npm package shapefile"
        )
    return {**os.environ, "NODE_PATH": str(folder)}


@pytest.mark.parametrize("name", ["hole", "metric", "strips"])
def test_a_second_reader_without_gdal_reads_the_same(tmp_path, plans, name):
    environment = with_node()
    plan = plans[name]
    written = [file for one in FORMATS[:2] for file in one.write(plan, tmp_path) if file.endswith(".shp")]
    assert len(written) == 1 + len(plan.passes)
    script = Path(__file__).parents[1] / "made" / "read_shapefile.cjs"
    done = subprocess.run(
        ["node", str(script), *(str(tmp_path / file) for file in written)],
        capture_output=True, text=True, check=True, env=environment,
    )  # fmt: skip
    found = [json.loads(line) for line in done.stdout.splitlines()]
    for file, theirs in zip(written, found, strict=True):
        (ours,) = READERS["operator's sets"](plan, tmp_path, [file])
        assert len(theirs["features"]) == len(ours.rates)
        column = next(key for key in theirs["features"][0]["properties"] if key.startswith("RATE_"))
        for feature, rate, area_ac in zip(theirs["features"], ours.rates, ours.areas_ac, strict=True):
            assert feature["properties"][column] == rate
            assert feature["geometry"]["type"] == "Polygon"  # a single part, holes found in their exterior
            assert acres(shapely.geometry.shape(feature["geometry"])) == pytest.approx(area_ac, rel=1e-12)
        assert sum(acres(shapely.geometry.shape(one["geometry"])) for one in theirs["features"]) == (
            pytest.approx(plan.area_ac, rel=VECTOR_FRAC)
        )
