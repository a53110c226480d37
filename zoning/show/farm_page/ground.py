"""The ground of a farm's fields in metres, y southwards, as its map draws it. Draws nothing.

All fields lie in one plane, that of the UTM zone of the farm's middle, unless they are too far apart for it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import cast

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.area import LONLAT, reproject, utm_epsg
from zoning.plan import Area, Plan

_MOST_APART_DEG = 4.0  # of longitude or latitude: one plane is true to scale within some tenths of a percent
_FINE = 900  # steps that the longer side of a drawing is rounded to: finer than a screen shows


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldGround:
    """One field: its outline, and what of it is sprayed, None where nothing is. [m]."""

    outline: Area
    sprayed: Area | None

    @property
    def box(self) -> tuple[float, float, float, float]:
        """West, top, east and bottom. [m]."""
        west, top, east, bottom = self.outline.bounds
        return float(west), float(top), float(east), float(bottom)


def _moved(shape: shapely.Geometry, west: float, north: float) -> Area:
    def local(xy: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return np.column_stack([xy[:, 0] - west, north - xy[:, 1]])

    return cast(Area, shapely.transform(shape, local))


Shapes = tuple[npt.NDArray[np.object_], list[shapely.Geometry | None]]


def _shapes(plans: Sequence[Plan], epsg: int) -> Shapes:
    """Bring outlines and sprayed ground of fields to a plane, y northwards."""
    sprayed = [[zone.outline for zone in plan.zones if zone.action == "spray"] for plan in plans]
    every = [plan.boundary for plan in plans] + [outline for zones in sprayed for outline in zones]
    found = reproject(np.array(every, dtype=np.object_), LONLAT, epsg)
    ends = np.cumsum([len(plans), *map(len, sprayed)])
    unions: list[shapely.Geometry | None] = [
        shapely.coverage_union_all(found[begin:end]) if end > begin else None for begin, end in pairwise(ends)
    ]
    return found[: len(plans)], unions


def _ground(
    outline: shapely.Geometry, sprayed: shapely.Geometry | None, corner: tuple[float, float], step_m: float
) -> FieldGround:
    """Move a field to its corner, and leave out what is smaller than a step."""
    both = (
        None if shape is None else _moved(shapely.simplify(shape, step_m), *corner)
        for shape in (outline, sprayed)
    )
    return FieldGround(outline=cast(Area, next(both)), sprayed=next(both))


def together(plans: Sequence[Plan]) -> list[FieldGround] | None:
    """Bring all fields to one plane; None where they lie too far apart for it.

    Parameters
    ----------
    plans : sequence of Plan
        At least one.
    """
    west, south, east, north = shapely.total_bounds([plan.boundary for plan in plans])
    if max(east - west, north - south) > _MOST_APART_DEG:
        return None
    epsg = utm_epsg((west + east) / 2, (south + north) / 2)
    outlines, sprayed = _shapes(plans, epsg)
    west, south, east, north = shapely.total_bounds(outlines)
    step_m = max(east - west, north - south) / _FINE
    return [
        _ground(outline, own, (west, north), step_m) for outline, own in zip(outlines, sprayed, strict=True)
    ]


def alone(plans: Sequence[Plan]) -> list[FieldGround]:
    """Bring each field to its own plane, its middle at 0, 0."""
    found = []
    for plan in plans:
        (outline,), (sprayed,) = _shapes([plan], plan.epsg)
        west, south, east, north = shapely.total_bounds(outline)
        middle = ((west + east) / 2, (south + north) / 2)
        found.append(_ground(outline, sprayed, middle, max(east - west, north - south) / _FINE))
    return found
