"""The ground of a farm's fields in metres, y southwards, as its map draws it. Draws nothing.

All fields lie in one plane, that of the UTM zone of the farm's middle, unless they are too far apart for it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
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


def _sprayed(plan: Plan) -> list[Area]:
    return [zone.outline for zone in plan.zones if zone.action == "spray"]


def _shapes(plan: Plan, epsg: int) -> tuple[shapely.Geometry, shapely.Geometry | None]:
    """Bring a field's outline and its sprayed ground to a plane, y northwards."""
    found = np.array([plan.boundary, *_sprayed(plan)], dtype=np.object_)
    outline, *zones = reproject(found, LONLAT, epsg)
    return outline, shapely.coverage_union_all(zones) if zones else None


def _ground(
    shapes: tuple[shapely.Geometry, shapely.Geometry | None], corner: tuple[float, float], step_m: float
) -> FieldGround:
    """Move a field to its corner, and leave out what is smaller than a step."""
    outline, sprayed = (
        None if shape is None else _moved(shapely.simplify(shape, step_m), *corner) for shape in shapes
    )
    return FieldGround(outline=cast(Area, outline), sprayed=sprayed)


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
    shapes = [_shapes(plan, epsg) for plan in plans]
    west, south, east, north = shapely.total_bounds([outline for outline, _ in shapes])
    step_m = max(east - west, north - south) / _FINE
    return [_ground(one, (west, north), step_m) for one in shapes]


def alone(plans: Sequence[Plan]) -> list[FieldGround]:
    """Bring each field to its own plane, its middle at 0, 0."""
    found = []
    for plan in plans:
        shapes = _shapes(plan, plan.epsg)
        west, south, east, north = shapely.total_bounds(shapes[0])
        middle = ((west + east) / 2, (south + north) / 2)
        found.append(_ground(shapes, middle, max(east - west, north - south) / _FINE))
    return found
