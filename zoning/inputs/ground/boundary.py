"""The boundary of a field: one area in its own UTM zone, with holes and parts.

Does not know what grows there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from zoning.errors import InputError
from zoning.inputs import area, vector
from zoning.inputs.given import Area
from zoning.inputs.vector import Shapes
from zoning.words import Said

SNAP_M = 0.001  # corners closer than this are one corner
_LEAST_M2 = 10.0  # less is no field, but a slip of the hand, or degrees in a file that counts in metres
_HALF_TURN_DEG = 180.0  # no field is wider: it lies on both sides of longitude 180


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Boundary:
    """`area` is in the UTM zone `epsg` of the centroid."""

    area: Area
    epsg: int
    longitude_deg: float
    latitude_deg: float
    notes: tuple[Said, ...]


def read(path: Path, file: str) -> Boundary:
    """Read a field's boundary from GeoJSON, GeoPackage or shapefile.

    Several polygons are joined; a ring that crosses itself is mended and said.

    Raises
    ------
    InputError
        When a shape is no polygon, the ground lies on both sides of longitude 180 or is smaller than a room,
        or the file cannot be placed (see `vector.read`).
    """
    found = vector.read(path, file, layer="boundary")
    vector.only_polygons(found, "Save the boundary as one or more polygons.")
    west, _, east, _ = shapely.total_bounds(found.lonlat)
    if east - west > _HALF_TURN_DEG:
        raise vector.across_180(file)
    # A ring that crosses itself may enclose nothing in sum, and then its own centroid lies anywhere.
    centre = shapely.GeometryCollection(list(shapely.make_valid(found.lonlat))).centroid
    epsg = area.utm_epsg(centre.x, centre.y)
    notes: list[Said] = []
    parts: list[Area] = []
    for feature, drawn, lonlat in zip(found.features, found.projected(epsg), found.lonlat, strict=True):
        if not drawn.is_valid:
            notes.append(_said_mended(file, drawn, lonlat, epsg))
        parts.append(mended(drawn, file, feature.number))
    whole = polygons_of(shapely.union_all(parts, grid_size=SNAP_M)) if len(parts) > 1 else parts[0]
    if whole.area < _LEAST_M2:
        what = f"it encloses {whole.area:.2g} m2, which is no field"
        mend = "Draw it again, or save it with the CRS that its numbers belong to."
        raise InputError(what, where=file, mend=mend)
    middle = shapely.centroid(area.to_lonlat(whole, epsg))
    return Boundary(area=whole, epsg=epsg, longitude_deg=middle.x, latitude_deg=middle.y, notes=tuple(notes))


def mended(drawn: BaseGeometry, file: str, count: int) -> Area:
    """Give a valid polygon for one that may cross itself; what is only a line or a point falls away.

    Raises
    ------
    InputError
        When nothing with an area is left, or a hole lies outside of its outline: it may be ground or none.
    """
    if not drawn.is_valid and str(shapely.is_valid_reason(drawn)).startswith("Hole lies outside"):
        mend = "Draw it as a shape of its own if it is ground, else delete it."
        raise InputError(f"shape {count} has a hole outside of its outline", where=file, mend=mend)
    valid = drawn if drawn.is_valid else shapely.make_valid(drawn, method="structure", keep_collapsed=False)
    whole = polygons_of(valid)
    if whole.is_empty or not whole.is_valid:  # lines driven there and back: the other method finds the ground
        whole = polygons_of(shapely.union_all(shapely.get_parts(polygons_of(shapely.make_valid(drawn)))))
    if whole.is_empty or whole.area <= 0:
        raise InputError(f"shape {count} has no area", where=file, mend="Draw it again as a polygon.")
    return whole


def faces_of(lines: Sequence[BaseGeometry] | Shapes) -> Shapes:
    """Give the patches that lines enclose, cut at all crossings on the grid of 1 mm of drawn fields.

    Patches that touch have the same corners; lines that run within a hair of each other become one.
    """
    cut = shapely.union_all(lines, grid_size=SNAP_M)
    return np.asarray(shapely.get_parts(shapely.polygonize(shapely.get_parts(cut))))


def polygons_of(found: BaseGeometry) -> Area:
    """Keep the polygons of a geometry of any kind, as Polygon if there is one, else as MultiPolygon."""
    parts = [part for part in _flat(found) if isinstance(part, Polygon) and not part.is_empty]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _flat(found: BaseGeometry) -> list[BaseGeometry]:
    parts = list(shapely.get_parts(found))
    if len(parts) == 1 and parts[0].geom_type == found.geom_type:
        return parts
    return [single for part in parts for single in _flat(part)]


def _said_mended(file: str, drawn: BaseGeometry, lonlat: BaseGeometry, epsg: int) -> Said:
    """Say where a ring crosses itself, and what mending did to the area."""
    before = area.geodesic_ac(cast(Area, lonlat))
    after = area.geodesic_ac(area.to_lonlat(mended(drawn, file, 1), epsg))
    fault, _, place = str(shapely.is_valid_reason(lonlat)).rstrip("]").partition("[")
    return Said(
        "inputs.boundary_mended",
        file=file,
        before_ac=before,
        after_ac=after,
        fault=fault.lower(),
        place=place,
    )
