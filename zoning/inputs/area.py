"""The one area of a field, and the way between longitude/latitude and its UTM zone. Reads no files."""

from functools import cache
from typing import Any, TypeVar, cast

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import Geod, Transformer
from shapely.geometry.base import BaseGeometry

from zoning.inputs.given import Area
from zoning.units import ac_from_m2

Floats = npt.NDArray[np.float64]

_EARTH = Geod(ellps="WGS84")
LONLAT = 4326
Shapes = TypeVar("Shapes", bound=BaseGeometry | npt.NDArray[np.object_])
_SIDE_OF_180 = {1: -180.0, 60: 180.0}  # of UTM zones: where the meridian lies for them
_ROUNDING_DEG = 1e-9  # 0.1 mm: what a way there and back may move a corner
EARTH_RADIUS_M = float(_EARTH.a)


def geodesic_ac(lonlat: Area) -> float:
    """Area on the WGS84 ellipsoid: every area that a user sees comes from here.

    Parameters
    ----------
    lonlat : Polygon or MultiPolygon
        In EPSG:4326, longitude first. [degree]

    Returns
    -------
    float
        Never negative; holes are taken off whatever way their rings run. [ac]

    Notes
    -----
    Edges are geodesics. An area in UTM differs by up to some 0.08 % from this.

    Examples
    --------
    >>> from shapely import box
    >>> round(geodesic_ac(box(-95.39, 44.30, -95.38, 44.31)), 1)  # 886,658.5 m2 over 4,046.856
    219.1

    References
    ----------
    .. [1] C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87, 2013, doi 10.1007/s00190-012-0578-z.
    """
    area_m2, _ = _EARTH.geometry_area_perimeter(shapely.orient_polygons(lonlat))
    return ac_from_m2(abs(area_m2))


def utm_epsg(longitude_deg: float, latitude_deg: float) -> int:
    """EPSG code of the UTM zone (WGS84) of a place, without the exceptions around Norway.

    Examples
    --------
    >>> utm_epsg(-95.38, 44.31), utm_epsg(-60.2, -32.4)
    (32615, 32720)
    """
    zone = int((longitude_deg + 180) // 6) % 60 + 1
    return (32600 if latitude_deg >= 0 else 32700) + zone


@cache
def _transformer(source: int | str, target: int | str) -> Transformer:
    return Transformer.from_crs(source, target, always_xy=True)


def reproject(shapes: Shapes, source: int | str, target: int | str) -> Shapes:
    """Bring a geometry, or an array of them, vertex by vertex to another CRS; east or longitude first.

    Parameters
    ----------
    shapes : geometry or array of geometries
        In the CRS `source`.
    source, target : int or str
        EPSG code or WKT: where they are, and where they go.
    """
    change = _transformer(source, target)
    moved: Any = shapely.transform(
        cast(Any, shapes), lambda xy: np.column_stack(change.transform(xy[:, 0], xy[:, 1]))
    )
    return cast(Shapes, moved)


def moved(east: Floats, north: Floats, source: int | str, target_epsg: int) -> tuple[Floats, Floats]:
    """Bring places from one CRS to another, arrays in and out; one that cannot be there is not finite.

    Examples
    --------
    >>> [round(float(one[0])) for one in moved(np.array([-93.0]), np.array([44.0]), LONLAT, 32615)]
    [500000, 4871873]
    """
    there = _transformer(source, target_epsg).transform(east, north)
    return np.asarray(there[0], dtype=np.float64), np.asarray(there[1], dtype=np.float64)


def to_lonlat(area: Area, epsg: int) -> Area:
    """Bring an area from a projected CRS to EPSG:4326, vertex by vertex.

    A corner on longitude 180 stays on the side of its UTM zone, so that a field may end there.

    Examples
    --------
    >>> from shapely import box
    >>> to_lonlat(from_lonlat(box(-95.39, 44.30, -95.38, 44.31), 32615), 32615).equals_exact(
    ...     box(-95.39, 44.30, -95.38, 44.31), 1e-9)
    True
    """
    moved = reproject(area, epsg, LONLAT)
    side = _SIDE_OF_180.get(epsg % 100)
    if side is None:
        return moved

    def kept(lonlat: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        at_180 = np.abs(np.abs(lonlat[:, 0]) - 180) < _ROUNDING_DEG
        return np.column_stack([np.where(at_180, side, lonlat[:, 0]), lonlat[:, 1]])

    return cast(Area, shapely.transform(cast(Any, moved), kept))


def from_lonlat(area: Area, epsg: int) -> Area:
    """Bring an area from EPSG:4326 to a projected CRS, vertex by vertex."""
    return reproject(area, LONLAT, epsg)
