"""Good files of every kind that the program reads, in one small farm, for the fuzzer to change.

The farm is the demo farm after harvest, its long tables shortened, and beside its own files those that it
lacks: the same ground in other formats, setbacks, guidance lines, points, and all that a run writes.
"""

import json
import shutil
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from pathlib import Path

import fiona
import numpy as np
import pyogrio
import shapely
from made_harvested import FIELD, PLANNED, copied_farm
from made_inputs import write_image
from made_layers import gpkg_bytes, parquet_bytes, tiff_bytes
from made_planter import Record, as_task_data, csv
from made_sets import zip_of
from made_taskdata import with_grid, with_polygons
from pyproj import Transformer
from rasterio import Affine
from shapely.geometry import LineString, Point, box, mapping, shape

from zoning import field as one_field
from zoning.farm.kept import files as kept_files
from zoning.field_out import write
from zoning.settings.read import load

TODAY = date(2026, 10, 20)
EPSG = 32614
SETTINGS = """
[[layer]]
name = "height"
file = "layers/height.tif"

[[setback]]
file = "setbacks.geojson"
width = "30 ft"

[[dead_ground]]
file = "dead.gpkg"

[guidance]
file = "lines.geojson"

[[scouting]]
file = "walk.geojson"

[[scouting]]
file = "walk.gpx"
"""
DECISIONS = [{"zone": 1, "action": "skip", "reason": "wet"}, {"zone": 2, "action": "spray", "reason": "ill"}]
GPX = """<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="made" xmlns="http://www.topografix.com/GPX/1/1">
 <wpt lat="{lat:.6f}" lon="{lon:.6f}"><time>2026-07-15T15:00:00Z</time><name>R3 4/20</name>
  <desc>wet corner</desc></wpt>
 <wpt lat="{lat:.6f}" lon="{lon:.5f}"><time>2026-07-16T15:00:00Z</time><cmt>r2=12 r3=8</cmt></wpt>
</gpx>
"""


def made_kit(folder: Path) -> Path:
    """Make the farm, and what stands beside it; the folder."""
    farm = copied_farm(folder)
    field = farm / FIELD
    for name, lines in (("weather.csv", 460), ("long_eighty/harvest/yield.csv", 240)):
        _shorten(farm / name, lines)
    beside = folder / "beside"
    beside.mkdir()
    _hours(farm)
    _of_field(field)
    _same_ground(field)
    _points(field)
    _planter(field)
    (field / "field.toml").write_text((field / "field.toml").read_text("utf-8") + SETTINGS, "utf-8")
    run = one_field.run(field, today=PLANNED)
    write(run, field / "out")
    kept_files.keep(field / "kept.npz", {"made of": "this"}, run.plan)
    kept_files.keep(field / "settings.npz", {"made of": "this"}, load(field))
    shutil.copy(field / "out" / "zones.gpkg", field / "zones.gpkg")
    zones_id = json.loads((field / "out" / "plan.json").read_text("utf-8"))["zones_id"]
    told = {
        "schema_version": 1,
        "kind": "sprayworth decisions",
        "zones_id": zones_id,
        "field": run.plan.field,
    }
    (field / "decisions.json").write_text(json.dumps({**told, "decisions": DECISIONS}), "utf-8")
    _for_terminals(beside)
    return folder


def _shorten(path: Path, lines: int) -> None:
    whole = path.read_text("utf-8").splitlines(keepends=True)
    path.write_text("".join([*whole[:1], *whole[-lines:]]), "utf-8")


def _hours(farm: Path) -> None:
    """Hours of some days of July, and a forecast after them."""
    rows = ["time,temp_c,rh_pct,wind_m_s,rain_mm"]
    for hour in range(24 * 6):
        day, at = divmod(hour, 24)
        rows.append(f"2026-07-{18 + day}T{at:02d}:00,{15 + at % 13},{50 + at},{2 + at % 5 / 2},0")
    (farm / "hourly.csv").write_text("\n".join(rows) + "\n", "utf-8")
    (farm / "hourly_forecast.csv").write_text("\n".join([rows[0], *rows[100:]]) + "\n", "utf-8")
    text = (farm / "farm.toml").read_text("utf-8")
    named = '[weather]\nhourly = "hourly.csv"\nhourly_forecast = "hourly_forecast.csv"\n'
    (farm / "farm.toml").write_text(text.replace("[weather]\n", named), "utf-8")


def ground_of(field: Path) -> shapely.Polygon:
    """Give the field's ground, in degrees."""
    whole = json.loads((field / "boundary.geojson").read_text("utf-8"))
    return shape(whole["features"][0]["geometry"])


def _vector(path: Path, rows: Sequence[tuple[object, Mapping[str, object]]], epsg: int = 4326) -> None:
    types = {str: "str:40", int: "int", float: "float"}
    driver = {".geojson": "GeoJSON", ".gpkg": "GPKG", ".shp": "ESRI Shapefile"}[path.suffix]
    columns = {name: types[type(value)] for name, value in rows[0][1].items()}
    schema = {"geometry": rows[0][0].geom_type, "properties": columns}
    with fiona.open(path, "w", driver=driver, crs=f"EPSG:{epsg}", schema=schema) as file:
        for one, about in rows:
            file.write({"geometry": mapping(one), "properties": about})


def _of_field(field: Path) -> None:
    """Write what the field lacks: planting, setback, dead ground, lines, height."""
    ground = ground_of(field)
    west, south, east, north = ground.bounds
    middle = (south + north) / 2
    halves = [(box(west, south, east, middle), "2026-05-14"), (box(west, middle, east, north), "2026-05-20")]
    sown = [(one, {"planted": day, "maturity_group": 1.2, "variety": "Made 1"}) for one, day in halves]
    drawn = [(one, {"zone": number + 1, "name": f"half {number}"}) for number, (one, _) in enumerate(halves)]
    for ending in ("geojson", "gpkg", "shp"):
        _vector(field / f"planting.{ending}", sown)
        _vector(field / f"drawn.{ending}", drawn)
    _vector(field / "setbacks.geojson", [(LineString([(west, south), (west, north)]), {"name": "ditch"})])
    _vector(field / "dead.gpkg", [(Point(east, north).buffer(0.0004), {"name": "drowned"})])
    _vector(field / "lines.geojson", [(LineString([(west, south), (west, north)]), {"name": "AB"})])
    strips = [(halves[0][0], {"pair": 1, "treatment": "treated"})]
    _vector(field / "strips.geojson", [*strips, (halves[1][0], {"pair": 1, "treatment": "untreated"})])
    to_m = Transformer.from_crs(4326, EPSG, always_xy=True)
    left, bottom = to_m.transform(west, south)
    values = np.add.outer(np.arange(60.0), np.arange(120.0))[None].astype("float32")
    place = Affine(15, 0, left - 50, 0, -15, bottom + 850)
    (field / "layers").mkdir()
    crs = f"EPSG:{EPSG}"
    write_image(field / "layers/height.tif", values, crs=crs, transform=place, compress="deflate")


def _same_ground(field: Path) -> None:
    """Write the boundary in the other formats and in metres."""
    ground = ground_of(field)
    to_m = Transformer.from_crs(4326, EPSG, always_xy=True)
    flat = shapely.transform(ground, lambda xy: np.column_stack(to_m.transform(xy[:, 0], xy[:, 1])))
    _vector(field / "edge.shp", [(flat, {"name": "edge"})], EPSG)
    _vector(field / "edge.gpkg", [(flat, {"name": "edge"})], EPSG)


def _points(field: Path) -> None:
    """Write counts as GeoJSON and GPX, and the combine's points in the formats of shapes."""
    middle = ground_of(field).centroid
    counts = [(Point(middle.x, middle.y), {"date": "2026-07-15", "r2": 12, "r3": 8, "note": "wet"})]
    _vector(field / "walk.geojson", counts)
    (field / "walk.gpx").write_text(GPX.format(lat=middle.y, lon=middle.x), "utf-8")
    lines = (field / "harvest/yield.csv").read_text("utf-8").splitlines()
    names = lines[0].split(",")
    rows = [dict(zip(names, line.split(","), strict=True)) for line in lines[1:60]]
    east, north = (next(one for one in names if one.lower()[:3] in found) for found in (("lon",), ("lat",)))
    points = shapely.to_wkb([Point(float(row[east]), float(row[north])) for row in rows])
    others = [name for name in names if name not in (east, north)]
    cells = [np.array([_cell(row[name]) for row in rows]) for name in others]
    for ending in ("geojson", "gpkg", "shp"):
        pyogrio.raw.write(
            field / f"points.{ending}", points, cells, [name[:10] for name in others],
            geometry_type="Point", crs="EPSG:4326",
        )  # fmt: skip


def _planter(field: Path) -> None:
    """Write what a planter would have: a table, task data, and a zip of each."""
    middle = ground_of(field).centroid
    made = [
        Record(
            middle.x + (k % 10 - 5) / 5000,
            middle.y + (k // 10 - 2) / 5000,
            datetime(2026, 5, 14 + 6 * (k // 20), 8, k),
            f"Made {k // 20}",
        )
        for k in range(40)
    ]
    home = as_task_data(field / "planted", made)
    table = csv(field / "planted" / "planter.csv", made)
    zip_of(field / "planted" / "table.zip", {"planter.csv": table.read_bytes()})
    zip_of(field / "planted" / "tasks.zip", {f"T/{one.name}": one.read_bytes() for one in home.iterdir()})


def _cell(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _for_terminals(beside: Path) -> None:
    """Write files for terminals that somebody else made."""
    with_polygons().write(beside / "polygons")
    for kind in (1, 2):
        with_grid(kind).write(beside / f"grid{kind}")
    (beside / "zones.gpkg").write_bytes(gpkg_bytes())
    (beside / "rate.tif").write_bytes(tiff_bytes())
    (beside / "zones.parquet").write_bytes(parquet_bytes())
    zip_of(beside / "set.zip", {"TASKDATA/TASKDATA.XML": b"<ISO11783_TaskData/>", "README.txt": b"gal/ac"})
