"""Where something lies against a field: on it, beside it, or far away; in words, and as a picture of both."""

from functools import cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from pyproj import Transformer
from shapely.geometry.base import BaseGeometry

from zoning import colours, units
from zoning.preview.picture import ROOM, Bounds, Key, Picture, Shape

_WINDS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
_FAR_M = 1_000.0  # in km and miles from here on
_MARGIN = 0.15  # of the longer side, around what is shown
_LEAST_M = 40.0
_SPOT = 0.025  # of the view: smaller things are drawn as a square of this side


def around(bounds_m: Bounds) -> Bounds:
    """Give what is shown of the surroundings: a margin, and what the shape of a picture leaves beside it.

    Examples
    --------
    >>> west, south, east, north = around((0.0, 0.0, 1000.0, 500.0))
    >>> west, east, round(south), round(north), round((north - south) / (east - west), 3)
    (-150.0, 1150.0, -285, 785, 0.822)
    """
    west, south, east, north = bounds_m
    more = max(_MARGIN * max(east - west, north - south), _LEAST_M)
    wide, high = east - west + 2 * more, north - south + 2 * more
    metres_an_inch = max(wide / ROOM[0], high / ROOM[1])
    x, y = (west + east) / 2, (south + north) / 2
    reach_x, reach_y = metres_an_inch * ROOM[0] / 2, metres_an_inch * ROOM[1] / 2
    return x - reach_x, y - reach_y, x + reach_x, y + reach_y


def wind(east_m: float, north_m: float) -> str:
    """Name the direction of a step.

    Examples
    --------
    >>> wind(-3, 0.2), wind(1, 1)
    ('west', 'northeast')
    """
    return _WINDS[round(np.degrees(np.arctan2(east_m, north_m)) / 45) % 8]


def distance(far_m: float, *, is_metric: bool) -> str:
    """Write how far something is.

    Examples
    --------
    >>> distance(412_345, is_metric=True), distance(412_345, is_metric=False), distance(82, is_metric=False)
    ('412 km', '256 miles', '269 ft')
    """
    if far_m < _FAR_M:
        return f"{far_m:,.0f} m" if is_metric else f"{units.ft_from_m(far_m):,.0f} ft"
    number, unit = (far_m / 1000, "km") if is_metric else (units.mi_from_m(far_m), "miles")
    return f"{number:,.0f} {unit}" if number >= 10 else f"{number:.1f} {unit}"


class Plane:
    """The plane around a field: distances and directions from its middle are true, however far."""

    def __init__(self, field_lonlat: BaseGeometry) -> None:
        middle = field_lonlat.centroid
        self._way = _way(round(middle.x, 6), round(middle.y, 6))
        self.field = self.at(field_lonlat)

    def at(self, lonlat: BaseGeometry) -> BaseGeometry:
        """Bring a shape to the plane."""

        def turned(corners: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
            return np.column_stack(self._way.transform(corners[:, 0], corners[:, 1]))

        return shapely.transform(lonlat, turned)

    def beside(self, lonlat: BaseGeometry) -> "Beside | None":
        """Say how far from the field something lies, and where; None where it touches it."""
        there = self.at(lonlat)
        far_m = float(shapely.distance(self.field, there))
        if not far_m > 0:
            return None
        _, place = shapely.get_coordinates(shapely.shortest_line(self.field, there))
        east_m, north_m = place - shapely.get_coordinates(self.field.centroid)[0]
        return Beside(far_m, wind(east_m, north_m))


class Beside(NamedTuple):
    """How far from a field something lies, and in which direction."""

    far_m: float
    direction: str

    def words(self, *, is_metric: bool) -> str:
        """Say it.

        Examples
        --------
        >>> Beside(412_345.0, "west").words(is_metric=True)
        'lies 412 km west of the field'
        """
        return f"lies {distance(self.far_m, is_metric=is_metric)} {self.direction} of the field"


@cache
def _way(lon_deg: float, lat_deg: float) -> Transformer:
    plane = f"+proj=aeqd +lat_0={lat_deg} +lon_0={lon_deg} +datum=WGS84 +units=m +no_defs"
    return Transformer.from_crs("EPSG:4326", plane, always_xy=True)


def elsewhere(plane: Plane, lonlat: BaseGeometry, about: Picture) -> Picture:
    """Draw the field and something that lies far from it, both as outlines.

    Parameters
    ----------
    plane : Plane
    lonlat : geometry
        What lies elsewhere.
    about : Picture
        Kind, name, title and words of the picture that cannot be drawn.
    """
    there = shapely.envelope(plane.at(lonlat))
    west, south, east, north = around(_bounds(plane.field, there))
    side_m = _SPOT * max(east - west, north - south)
    middle = shapely.shortest_line(plane.field.centroid, there.centroid)
    file = Shape(outline=_seen(there, side_m), fill=colours.ZONES[1], edge=colours.INK, width=1.2)
    way = Shape(outline=middle, edge=colours.SECONDARY, width=1.2, dashed=True)
    keys = (Key(text="the field", fill=colours.WHITE), Key(text="the file", fill=colours.ZONES[1]))
    return Picture(
        kind=about.kind,
        name=about.name,
        title=about.title,
        lines=about.lines,
        field=_seen(plane.field, side_m),
        bounds_m=(west, south, east, north),
        shapes=(way, file),
        keys=keys,
        north="N",
    )


def _bounds(*shapes: BaseGeometry) -> Bounds:
    west, south, east, north = shapely.total_bounds(shapes).tolist()
    return west, south, east, north


def _seen(shape: BaseGeometry, side_m: float) -> BaseGeometry:
    """Give a square in place of what would be too small to be seen."""
    west, south, east, north = shape.bounds
    if max(east - west, north - south) >= side_m:
        return shape
    x, y = (west + east) / 2, (south + north) / 2
    return shapely.box(x - side_m / 2, y - side_m / 2, x + side_m / 2, y + side_m / 2)
