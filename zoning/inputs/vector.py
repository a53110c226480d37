"""Polygons, lines and points with their columns, from GeoJSON, GeoPackage or shapefile.

Knows CRSs and broken files; does not know what a boundary or a planting day is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import CRS
from pyproj.exceptions import CRSError, ProjError
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from zoning.errors import InputError, raise_all
from zoning.evidence import number
from zoning.inputs import area, declared, files, signature, vector_file, vector_shapes

Shapes = npt.NDArray[np.object_]

_SHAPEFILE_NAME = 10  # a shapefile cuts the names of its columns to this length
FORMATS, LOOKS = vector_file.FORMATS, vector_file.LOOKS
_WIDEST_M, _LONGEST_LINE_M = 300_000.0, 5_000_000.0  # of one shape with an area, of a line such as a river
_MANY_CORNERS, _THIN_M = 20_000, 0.01  # of one shape: every edge would be cut with every other for minutes
DRIVERS = {".geojson": "GeoJSON", ".json": "GeoJSON", ".gpkg": "GPKG", ".shp": "ESRI Shapefile"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Feature:
    """One shape with its columns; `number` counts from 1, as a person does."""

    number: int
    shape: BaseGeometry
    columns: Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Vector:
    """What a file holds, still in the file's own CRS; `lonlat` are the same shapes in EPSG:4326."""

    file: str
    crs_wkt: str
    features: tuple[Feature, ...]
    lonlat: Shapes

    def projected(self, epsg: int) -> Shapes:
        """Bring every shape straight from the file's CRS to a projected one, in metres.

        Of a shape with a very great many corners those go that lie within 1 cm of a straight line.

        Raises
        ------
        InputError
            When a corner lies where the plane does not reach, as on the other side of the earth.
        """
        found = area.reproject(
            vector_shapes.array([feature.shape for feature in self.features]), self.crs_wkt, epsg
        )
        nowhere = np.flatnonzero(~np.isfinite(_bounds(found)).all(axis=0))
        if nowhere.size:
            what = f"shape {nowhere[0] + 1} lies far from the field"
            raise InputError(what, where=self.file, mend="Draw it again, or delete the row.")
        many = shapely.get_num_coordinates(found) > _MANY_CORNERS
        found[many] = shapely.simplify(found[many], _THIN_M)
        return found


def read(path: Path, file: str, *, layer: str) -> Vector:
    """Read a vector file, with long edges divided, so that they are the same line in every CRS.

    Parameters
    ----------
    path : Path
        The file.
    file : str
        How the user calls it.
    layer : str
        The layer to take when a GeoPackage holds several: "boundary", "planting".

    Raises
    ------
    InputError
        Unknown format, unreadable, without shapes, without CRS, or with coordinates that its CRS cannot have.
    """
    driver = DRIVERS.get(path.suffix.lower())
    if driver is None:
        mend = "Save it as GeoJSON (.geojson), GeoPackage (.gpkg) or shapefile (.shp)."
        raise InputError(f'a file that ends with "{path.suffix}" is not read here', where=file, mend=mend)
    if not signature.is_of(path, driver):
        raise vector_file.unreadable(file, driver)
    if driver == "GeoJSON":
        declared.check(path, file)
    vector_file.refuse_grid_files(path, file, driver)
    found = vector_file.read(path, file, driver, lambda names: layer_of(names, path, file, layer))
    if not found.rows:
        raise InputError("the file holds no shapes", where=file, mend="Save or export it again.")
    if not found.wkt:
        beside = "Add its .prj file, or save" if driver == "ESRI Shapefile" else "Save"
        raise declared.no_crs(file, f"{beside} it again with its CRS.")
    columns = [columns for _, columns in found.rows]
    numbered = range(1, len(columns) + 1)
    return _placed(vector_shapes.of_rows(found.rows, file), found.wkt, file, columns, numbered)


def of_lonlat(
    shapes: Shapes, file: str, columns: Sequence[Mapping[str, object]], numbers: Sequence[int]
) -> Vector:
    """Give shapes that are in memory as a file of them would be read.

    Parameters
    ----------
    shapes : ndarray of geometry
        In EPSG:4326, longitude first; none of them empty.
    file : str
        What faults call it.
    columns, numbers : sequence
        Of each shape: its columns, and its number in what it was taken from.

    Raises
    ------
    InputError
        With coordinates that no farm has.
    """
    return _placed(shapes, _lonlat_wkt(), file, columns, numbers)


@lru_cache(maxsize=1)
def _lonlat_wkt() -> str:
    return str(CRS.from_epsg(area.LONLAT).to_wkt())


def _placed(
    raw: Shapes, wkt: str, file: str, columns: Sequence[Mapping[str, object]], numbers: Sequence[int]
) -> Vector:
    """Divide long edges, and refuse what lies nowhere near a farm."""
    unit_m = _unit_m(wkt, file)
    lonlat = _to_lonlat(raw, wkt, file)
    _refuse_wide(raw, lonlat, unit_m, file)
    shapes = _divided(raw, number("inputs.edge_longest_m") / unit_m)
    if shapely.get_num_coordinates(shapes).sum() > shapely.get_num_coordinates(raw).sum():
        lonlat = _to_lonlat(shapes, wkt, file)
    features = (
        Feature(number=at, shape=one, columns=cells)
        for at, one, cells in zip(numbers, shapes, columns, strict=True)
    )
    return Vector(file=file, crs_wkt=wkt, features=tuple(features), lonlat=lonlat)


def has_layer(path: Path, layer: str) -> bool:
    """Tell whether a GeoPackage holds a layer of this name. A broken one holds none: `read` says why."""
    try:
        return path.is_file() and signature.is_of(path, "GPKG") and layer in vector_file.layers(path, "GPKG")
    except vector_file.FAILURES:
        return False


def column(theirs: Sequence[str], wanted: str) -> str | None:
    """Find a column: by its very name, whatever the case of its letters, or cut as a shapefile cuts it.

    Examples
    --------
    >>> column(["FID", "MANAGEMENT"], "management_zone"), column(["FID"], "zone")
    ('MANAGEMENT', None)
    """
    lower = {name.lower(): name for name in reversed(theirs)}
    found = lower.get(wanted.lower(), lower.get(wanted.lower()[:_SHAPEFILE_NAME]))
    return wanted if wanted in theirs else found


def layer_of(names: list[str], path: Path, file: str, wanted: str) -> str | None:
    """Choose the layer to read; None where the format has none."""
    chosen = names[0] if len(names) == 1 else next((one for one in (wanted, path.stem) if one in names), None)
    if chosen is not None:
        vector_file.refuse_view(path, file, chosen)
    if chosen is not None or not names:
        return chosen
    mend = f'Keep one layer, or call the right one "{wanted}".'
    raise InputError(f"the file holds the layers {', '.join(names)}", where=file, mend=mend)


def _unit_m(wkt: str, file: str) -> float:
    try:
        return _of_axis_m(wkt)
    except (CRSError, IndexError) as error:
        raise vector_file.crs_not_understood(file) from error


@lru_cache(maxsize=64)
def _of_axis_m(wkt: str) -> float:
    crs = CRS.from_wkt(wkt)
    unit = crs.axis_info[0].unit_conversion_factor  # radians or metres in one unit of the axis
    return unit * area.EARTH_RADIUS_M if crs.is_geographic else unit


def _refuse_wide(shapes: Shapes, lonlat: Shapes, unit_m: float, file: str) -> None:
    """Refuse shapes larger than any ground near a field: a corner of theirs lies elsewhere.

    Divided and mended they would take minutes, or all memory.
    """
    kinds = shapely.get_dimensions(shapes)
    west, _, east, _ = _bounds(lonlat)
    if (east[kinds > 1] - west[kinds > 1] > 180).any():
        raise across_180(file)
    west, south, east, north = _bounds(shapes)
    across_m = np.maximum(east - west, north - south) * unit_m
    most_m = np.array([np.inf, _LONGEST_LINE_M, _WIDEST_M])[kinds]
    mend = "Draw it again, or cut it to the surroundings of the field."
    faults = [
        InputError(f"shape {at + 1} is {across_m[at] / 1000:,.0f} km across", where=file, mend=mend)
        for at in np.flatnonzero(across_m > most_m).tolist()
    ]
    raise_all(files.at_most(faults, file))


def _bounds(shapes: Shapes) -> npt.NDArray[np.float64]:
    """Give west, south, east and north of all corners of each shape; holes may lie outside of it."""
    corners, of_shape = shapely.get_coordinates(shapes, return_index=True)
    first = np.searchsorted(of_shape, np.arange(len(shapes)))
    return np.concatenate([np.minimum.reduceat(corners, first).T, np.maximum.reduceat(corners, first).T])


def _divided(shapes: Shapes, step: float) -> Shapes:
    """Give long edges vertices in between; a ring that crosses itself keeps all of its edges.

    The library's own division mends such a ring on the way, and loses ground without a word.
    """
    divided = shapely.segmentize(shapes, step)
    for place in np.flatnonzero(~shapely.is_valid(shapes)):
        parts = [
            Polygon(
                shapely.segmentize(part.exterior, step),
                [shapely.segmentize(hole, step) for hole in part.interiors],
            )
            if isinstance(part, Polygon)
            else shapely.segmentize(part, step)
            for part in shapely.get_parts(shapes[place])
        ]
        polygons = all(isinstance(part, Polygon) for part in parts)
        divided[place] = MultiPolygon(parts) if polygons else shapely.GeometryCollection(parts)
    return divided


def _to_lonlat(shapes: Shapes, wkt: str, file: str) -> Shapes:
    try:
        lonlat = area.reproject(shapes, wkt, area.LONLAT)
    except ProjError as error:
        mend = "Save it again with a CRS that has an EPSG code."
        what = "the file's CRS cannot be turned into longitude and latitude"
        raise InputError(what, where=file, mend=mend) from error
    west, south, east, north = _bounds(lonlat)
    highest = number("inputs.latitude_most_deg")
    good = (west >= -180) & (east <= 180) & (south >= -highest) & (north <= highest)
    if not good.all():
        _refuse_beyond(file, (west, east), np.abs([south, north]).max(axis=0) <= highest)
        first = shapely.get_coordinates(shapes[int(np.argmin(good))])[0]
        corner = ", ".join(f"{value:.6g}" for value in first)
        mend = "Save it again with the CRS that its numbers belong to; GeoJSON has longitude first."
        raise InputError(f"({corner}) is no place on a farm in the file's CRS", where=file, mend=mend)
    return lonlat


def _refuse_beyond(file: str, sides: tuple[Shapes, Shapes], on_a_farm: Shapes) -> None:
    """Refuse shapes that go on beyond longitude 180 instead of starting anew at -180, or the other way."""
    west, east = sides
    beyond = ((west <= 180) & (east > 180)) | ((west < -180) & (east >= -180))
    if (on_a_farm & beyond & (east - west < 180)).any():
        raise across_180(file)


def across_180(file: str) -> InputError:
    """Give the fault of ground on both sides of longitude 180: its halves lie at both ends of a map."""
    what = "it lies on both sides of longitude 180"
    return InputError(what, where=file, mend="Cut it at longitude 180 and make two fields of it.")


def only_polygons(found: Vector, mend: str) -> None:
    """Refuse a file that holds anything but polygons, every shape by its number.

    Raises
    ------
    InputError
        With `mend` as what to do about it.
    """
    faults = [
        InputError(
            f"shape {feature.number} is a {feature.shape.geom_type}, not a polygon",
            where=found.file,
            mend=mend,
        )
        for feature in found.features
        if feature.shape.geom_type not in ("Polygon", "MultiPolygon")
    ]
    raise_all(files.at_most(faults, found.file))
