"""One reader for each format of the table, for tests: none shares code with the writer of its format.

A shapefile is read by pyshp, GeoJSON by json, a GeoPackage by sqlite and its own bytes, TASKDATA by lxml, a
raster by rasterio. Each gives, for every file that carries rates, ground and rate in the file's own unit.
"""

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

import numpy as np
import rasterio
import read_geopackage
import read_taskdata
import shapefile
from pyproj import Geod
from shapely import Polygon

from zoning.plan import Plan

GEOD = Geod(ellps="WGS84")
M2_PER_AC = 4046.8564224
L_HA_PER_GAL_AC = 3.785411784 / 0.40468564224


@dataclass(frozen=True)
class Carried:
    """What one file carries: rates in US gal/ac times `per_gal_ac`, each with its acres and its polygon.

    `number` is the pass that it is for, 0 for the whole plan. `only_sprayed`: the file has no row for ground
    that gets nothing. `polygons` is None where it holds cells. `strips`: check strips are cut out of zones.
    """

    name: str
    number: int
    per_gal_ac: float
    rates: Sequence[float]
    areas_ac: Sequence[float]
    polygons: Sequence[Polygon] | None
    only_sprayed: bool = False
    strips: bool = True


def _pass(name: str) -> int:
    """Number of the pass that a file in passes/P1/ is for, 0 of others."""
    parts = PurePosixPath(name).parts
    return int(parts[1].removeprefix("P")) if parts[0] == "passes" else 0


def _acres(polygon: Polygon) -> float:
    """Signed by the way that each ring runs: a hole that ran as its exterior does would add ground."""
    rings = [polygon.exterior, *polygon.interiors]
    signed = [GEOD.polygon_area_perimeter(*ring.coords.xy)[0] for ring in rings]
    assert all(np.sign(one) != np.sign(signed[0]) for one in signed[1:])
    return abs(sum(signed)) / M2_PER_AC


def _carried(name: str, column: str, rows: Sequence[tuple[Polygon, float]], **more: object) -> Carried:
    units = {"RATE_GPA": 1.0, "rate_gal_ac": 1.0, "RATE_LHA": L_HA_PER_GAL_AC, "rate_l_ha": L_HA_PER_GAL_AC}
    return Carried(
        name=name,
        number=_pass(name),
        per_gal_ac=units[column],
        rates=[rate for _, rate in rows],
        areas_ac=[_acres(polygon) for polygon, _ in rows],
        polygons=[polygon for polygon, _ in rows],
        **more,
    )


def shapefiles(_plan: Plan, folder: Path, names: Sequence[str]) -> Iterator[Carried]:
    for name in names:
        if not name.endswith(".shp"):
            continue
        with shapefile.Reader(str(folder / name)) as file:
            column = next(one[0] for one in file.fields if one[0].startswith("RATE_"))
            rows = []
            for each in file.iterShapeRecords():
                ends = [*each.shape.parts[1:], len(each.shape.points)]
                rings = [each.shape.points[a:b] for a, b in zip(each.shape.parts, ends, strict=True)]
                rows.append((Polygon(rings[0], rings[1:]), each.record[column]))
        yield _carried(name, column, rows)


def geojson(plan: Plan, folder: Path, names: Sequence[str]) -> Iterator[Carried]:
    for name in names:
        whole = json.loads((folder / name).read_text(encoding="utf-8"))
        for column in ("rate_gal_ac", "rate_l_ha")[: 2 if plan.units == "metric" else 1]:
            rows = [
                (Polygon(rings[0], rings[1:]), one["properties"][column])
                for one in whole["features"]
                for rings in [one["geometry"]["coordinates"]]
            ]
            yield _carried(name, column, rows)


def _layer(folder: Path, name: str, layer: str, columns: Sequence[str], **more: object) -> Iterator[Carried]:
    found = read_geopackage.rows(folder / name, layer)
    for column in columns:
        rows = [
            (Polygon(rings[0], rings[1:]), row[column] or 0.0)
            for blob, row in found
            for rings in blob.polygons
        ]
        yield _carried(name, column, rows, **more)


def pass_geopackages(plan: Plan, folder: Path, names: Sequence[str]) -> Iterator[Carried]:
    for name in names:
        column = "rate_l_ha" if plan.units == "metric" else "rate_gal_ac"
        yield from _layer(folder, name, "prescription", [column])


def zones_geopackage(plan: Plan, folder: Path, names: Sequence[str]) -> Iterator[Carried]:
    """The layer of zones: what is never sprayed is a layer of its own."""
    columns = ("rate_gal_ac", "rate_l_ha")[: 2 if plan.units == "metric" else 1]
    for name in names:
        yield from _layer(folder, name, "zones", columns, only_sprayed=True, strips=False)


def taskdata(plan: Plan, folder: Path, names: Sequence[str]) -> Iterator[Carried]:
    for name in names:
        if not name.endswith("TASKDATA.XML"):
            continue
        path = folder / name
        task = read_taskdata.root_of(path).find("TSK")
        raw_per_gal_ac = read_taskdata.RAW_PER_GAL_AC
        if plan.iso_grid:
            found = read_taskdata.lattice(task, path.parent)
            cell = found.high, found.wide
            souths = found.south + cell[0] * np.arange(len(found.raw))
            row_m2 = [
                GEOD.polygon_area_perimeter(
                    [found.west, found.west + cell[1], found.west + cell[1], found.west],
                    [south, south, south + cell[0], south + cell[0]],
                )[0]
                for south in souths
            ]
            areas = np.repeat(np.array(row_m2) / M2_PER_AC, found.raw.shape[1])
            yield Carried(
                name, _pass(name), raw_per_gal_ac, found.raw.ravel(), areas, None, only_sprayed=True
            )
            continue
        rows = [(polygon, raw) for raw, polygons in read_taskdata.zones(task) for polygon in polygons]
        yield Carried(
            name=name,
            number=_pass(name),
            per_gal_ac=raw_per_gal_ac,
            rates=[raw for _, raw in rows],
            areas_ac=[_acres(polygon) for polygon, _ in rows],
            polygons=[polygon for polygon, _ in rows],
            only_sprayed=True,
        )


def rasters(plan: Plan, folder: Path, names: Sequence[str]) -> Iterator[Carried]:
    """The raster of zone numbers; the others hold no rates, but cover the same cells."""
    with rasterio.open(folder / "rasters/zone.tif") as file:
        zones = file.read(1)
        cell_ac = file.res[0] * file.res[1] / M2_PER_AC
    for name in names:
        if name.endswith(".tif"):
            with rasterio.open(folder / name) as file:
                assert ((file.read(1) == file.nodata) == (zones == 0)).all()
    numbers, counts = np.unique(zones[zones > 0], return_counts=True)
    rate_of = {zone.zone: zone.rate_gal_ac or 0.0 for zone in plan.zones}
    yield Carried(
        name="rasters/zone.tif",
        number=0,
        per_gal_ac=1.0,
        rates=[rate_of[number] for number in numbers.tolist()],
        areas_ac=[count * cell_ac for count in counts.tolist()],
        polygons=None,
        only_sprayed=True,
        strips=False,
    )


READERS: dict[str, Callable[[Plan, Path, Sequence[str]], Iterator[Carried]]] = {
    "prescription": shapefiles,
    "operator's sets": shapefiles,
    "TASKDATA": taskdata,
    "GeoPackage": zones_geopackage,
    "GeoJSON of a pass": geojson,
    "GeoPackage of a pass": pass_geopackages,
    "rasters": rasters,
}
# What goes with a file that carries rates, by the end of its name.
BESIDE = (".shx", ".dbf", ".prj", ".cpg", ".qml", ".sld", ".BIN", ".zip", "README.txt", "SHA256SUMS")
