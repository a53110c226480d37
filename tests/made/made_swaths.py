"""Zones by hand for the tests of treatment along swaths."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from zoning.inputs.grid import Grid
from zoning.zones.zoning import Area, Zone, Zoning


def zoning_of(outlines: Sequence[Area], cell_m: float = 10.0, epsg: int = 32615) -> tuple[Zoning, Grid]:
    """Zones 1, 2, ... with these outlines, and their grid."""
    grid = Grid.covering(tuple(shapely.total_bounds(outlines)), epsg, cell_m)
    east, north = np.meshgrid(grid.east_m(), grid.north_m())
    number = np.zeros(grid.shape, dtype=np.int16)
    for one, outline in enumerate(outlines, 1):
        number[shapely.contains_xy(outline, east, north) & (number == 0)] = one
    zones = tuple(
        Zone(number=one, block=0, outline=outline, cells=int((number == one).sum()), means={})
        for one, outline in enumerate(outlines, 1)
    )
    return Zoning(number_of_cell=number, zones=zones, quality=()), grid


def rectangle(place: int, swath: int, corner_m: tuple[float, float], swaths) -> Polygon:
    """The ground of one treatment cell, by plain trigonometry."""
    angle = np.radians(swaths.heading_deg)
    across, along = np.array([np.cos(angle), -np.sin(angle)]), np.array([np.sin(angle), np.cos(angle)])
    left, near = corner_m[0] + swath * swaths.swath_m, corner_m[1] + place * swaths.step_m
    right, far = left + swaths.swath_m, near + swaths.step_m
    return Polygon(
        [u * across + v * along for u, v in ((left, near), (right, near), (right, far), (left, far))]
    )
