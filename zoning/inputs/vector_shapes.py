"""Records of a vector file as shapes; what is empty, nowhere or a spot is refused or left out.

Knows neither CRSs nor columns.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiLineString, MultiPolygon, Polygon
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from zoning.errors import InputError, raise_all
from zoning.inputs import files

Shapes = npt.NDArray[np.object_]


def of_rows(rows: Sequence[tuple[Any, dict[str, object]]], file: str) -> Shapes:
    """Make shapes of records.

    Raises
    ------
    InputError
        For every record whose shape is empty or broken.
    """
    points = _points(rows)
    if points is not None:
        return points
    faults: list[InputError] = []
    shapes: list[BaseGeometry] = []
    for count, (geometry, _) in enumerate(rows, 1):
        try:
            with np.errstate(invalid="ignore"):  # a corner that is no number is told below
                found = _without_spots(shape(geometry)) if geometry is not None else None
        except (ValueError, TypeError, shapely.errors.ShapelyError):
            found = None
        if found is None or found.is_empty or not _is_finite(found) or _is_spot(found):
            mend = "Draw it again, or delete the row."
            faults.append(InputError(f"shape {count} is empty or broken", where=file, mend=mend))
        else:
            shapes.append(found)
    raise_all(files.at_most(faults, file))
    return np.asarray(shapely.force_2d(array(shapes)), dtype=object)


def _points(rows: Sequence[tuple[Any, dict[str, object]]]) -> Shapes | None:
    """Give points all at once, as a planter's many are; None where a shape is another one, or is nowhere."""
    if not all(geometry is not None and geometry.type == "Point" for geometry, _ in rows):
        return None
    places = [geometry.coordinates[:2] for geometry, _ in rows]
    if not all(len(place) == 2 for place in places):
        return None
    at = np.array(places, dtype=np.float64)
    return np.asarray(shapely.points(at), dtype=object) if np.isfinite(at).all() else None


def _without_spots(found: BaseGeometry) -> BaseGeometry:
    """Leave out parts and holes that are spots, as of a line that somebody began and did not drive."""
    if isinstance(found, Polygon) and any(map(_is_spot, found.interiors)):
        return Polygon(found.exterior, [hole for hole in found.interiors if not _is_spot(hole)])
    if isinstance(found, MultiLineString | MultiPolygon):
        parts: list[Any] = [_without_spots(part) for part in found.geoms if not _is_spot(part)]
        return type(found)(parts)
    return found


def _is_finite(found: BaseGeometry) -> bool:
    """Tell whether every corner is somewhere; the bounds of a shape leave out those that are nowhere."""
    return bool(np.isfinite(shapely.get_coordinates(found)).all())


def _is_spot(found: BaseGeometry) -> bool:
    """Tell whether a line or polygon has all of its corners in one place; the library cannot divide it."""
    west, south, east, north = found.bounds
    return found.geom_type not in ("Point", "MultiPoint") and (west, south) == (east, north)


def array(shapes: list[BaseGeometry]) -> Shapes:
    """Put shapes into an array, parts and all."""
    return np.array(shapes, dtype=object)
