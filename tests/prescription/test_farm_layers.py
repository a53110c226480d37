"""The files of a whole farm, read back by pyarrow and sqlite, and held to the plans."""

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date

import fiona
import pyarrow.parquet
import pytest
import shapely
from made_farm_plans import bare_farm, farm_of, seeded_farm, small_farm
from made_no_spray import with_no_spray
from made_plans import Made, acres, made_plan, with_scouting
from pyproj import CRS

from zoning import __version__
from zoning.prescription import farm_layers, geopackage
from zoning.prescription.as_json.farm_json import as_object
from zoning.prescription.as_json.plan_json import flat


def full_farm(units="us"):
    """Fields with every layer, and one at level 1 that knows neither action nor rate."""
    first = with_no_spray(
        with_scouting(made_plan(Made(labels=[[1, 2, 4], [3, 3, 6]], units=units)), counted=[1]),
        {4: "setback", 6: "dead ground"},
    )
    second = made_plan(Made(labels=[[1, 2]], level=1, units=units, field='Ünal; "40", =1+1'))
    return farm_of([first, replace(second, run_id="00aa11bb")], {})


def zones_of(farm):
    """Rows that the files must hold, from farm.json's own object."""
    for folder, plan in zip(farm.folders, farm.plans, strict=True):
        for row, zone in zip(as_object(farm)["fields"][folder]["zones"], plan.zones, strict=True):
            yield plan, zone, flat(row)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_parquet_holds_every_zone_of_every_field(tmp_path, units):
    farm = full_farm(units)
    farm_layers.write(farm, tmp_path)
    table = pyarrow.parquet.read_table(tmp_path / "farm.parquet")
    wanted = list(zones_of(farm))
    assert table.num_rows == len(wanted) == 5  # zones 1, 2, 3 of the first field, 1 and 2 of the second
    names = [name for name in table.column_names if name not in ("geometry", "bbox")]
    assert names == list(farm_layers.columns(metric=units == "metric"))
    for row, (plan, zone, known) in zip(table.to_pylist(), wanted, strict=True):
        assert (row["farm"], row["field"], row["run_id"]) == (farm.farm, plan.field, plan.run_id)
        outline = shapely.from_wkb(row["geometry"])
        assert outline.equals(zone.outline)
        assert tuple(row["bbox"][side] for side in ("xmin", "ymin", "xmax", "ymax")) == outline.bounds
        for name in names[3:]:
            value = row[name].isoformat() if isinstance(row[name], date) else row[name]
            assert value == known.get(name), name


def test_published_metadata_of_geoparquet(tmp_path):
    # GeoParquet 1.1.0, "File metadata" and "Column metadata": version, primary_column, columns; encoding,
    # geometry_types, crs as PROJJSON, bbox, covering
    farm = full_farm()
    farm_layers.write(farm, tmp_path)
    told = pyarrow.parquet.read_schema(tmp_path / "farm.parquet").metadata
    geo = json.loads(told[b"geo"])
    assert (geo["version"], geo["primary_column"], list(geo["columns"])) == (
        "1.1.0",
        "geometry",
        ["geometry"],
    )
    column = geo["columns"]["geometry"]
    assert column["encoding"] == "WKB"
    assert set(column["geometry_types"]) <= {"Polygon", "MultiPolygon"}
    assert CRS.from_json_dict(column["crs"]) == CRS("EPSG:4326")
    shapes = [zone.outline for plan in farm.plans for zone in plan.zones]
    assert tuple(column["bbox"]) == tuple(shapely.total_bounds(shapes))
    assert set(column["covering"]["bbox"]) == {"xmin", "ymin", "xmax", "ymax"}
    assert json.loads(told[b"PANDAS_ATTRS"]) == {
        "schema_version": "1",
        "farm": farm.farm,
        "made_on": farm.today.isoformat(),
        "crs": "EPSG:4326",
        "units": "us",
        "version": f"sprayworth {__version__}",
    }


def test_types_stay_where_a_column_is_empty(tmp_path):
    farm_layers.write(farm_of([full_farm().plans[1]], {}), tmp_path)  # level 1: no action, no rate, no day
    schema = pyarrow.parquet.read_schema(tmp_path / "farm.parquet")
    assert str(schema.field("action").type) in ("string", "large_string")
    assert str(schema.field("rate_gal_ac").type) == "double"
    assert str(schema.field("pass").type) == "int32"
    assert str(schema.field("spray_on").type) == "date32[day]"
    assert str(schema.field("provisional").type) == "bool"


def test_geopackage_has_the_layers_of_all_fields(tmp_path):
    farm = full_farm()
    farm_layers.write(farm, tmp_path)
    path = tmp_path / "farm.gpkg"
    found = set(fiona.listlayers(path)) - {"layer_styles"}
    assert found == {layer.name for plan in farm.plans for layer in geopackage.layers(plan) if layer.rows}
    with closing(sqlite3.connect(path)) as base:
        for name in found:
            rows = base.execute(f"select farm, field, run_id from {name} order by fid").fetchall()
            assert rows == [
                (farm.farm, plan.field, plan.run_id)
                for plan in farm.plans
                for layer in geopackage.layers(plan)
                if layer.name == name
                for _ in layer.rows
            ]
        about = {row[0] for row in base.execute("select description from gpkg_contents")}
    (line,) = about
    assert f"farm: {farm.farm}; made_on: 2026-07-01; crs: EPSG:4326; units: us" in line
    with fiona.open(path, layer="zones") as file:
        sums = sum(acres(shapely.geometry.shape(one.geometry)) for one in file)
    assert sums == pytest.approx(sum(zone.area_ac for plan in farm.plans for zone in plan.zones), rel=1e-9)


def test_same_farm_same_bytes(tmp_path):
    for name in "ab":
        (tmp_path / name).mkdir()
        farm_layers.write(seeded_farm(7), tmp_path / name)
    for name in ("farm.parquet", "farm.gpkg", "farm.csv"):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_a_farm_without_a_field_has_no_files(tmp_path):
    assert farm_layers.write(farm_of([], {}), tmp_path) == ()
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("farm", [bare_farm(level=1), bare_farm(), small_farm()], ids=["1", "bare", "small"])
def test_every_farm_is_written(tmp_path, farm):
    names = farm_layers.write(farm, tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == set(names)
