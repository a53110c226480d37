"""A pass's map as a grid in degrees: row 0 is the southernmost, each row runs from west to east.

Writes no file. A cell gets what its centre gets; a cell whose centre is outside the field is boom off.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from rasterio import Affine
from shapely import Polygon

from zoning.inputs.area import EARTH_RADIUS_M
from zoning.inputs.given import Area

DIGITS = 9  # behind the point of a degree, the most that the format takes
_MOST_CELLS = 1_000_000  # method: a file of at most 1 MB, or 4 MB where a cell has four bytes
_WITHIN = 0.0025  # method: share of the ground of each rate; half of what a file may be off, the rest is room
_FINER = 0.8  # method: the next cell to try where one is too coarse
_STEPS = 10**DIGITS
_HALF_TURN_DEG = 180
_TURN_DEG = 360

Floats = npt.NDArray[np.float64]
Bytes = npt.NDArray[np.uint8]
Rated = Sequence[tuple[int, Polygon]]  # zone code, above 0, and ground in EPSG:4326


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """A grid: its south-west corner, the size of a cell, and the zone code of each cell, 0 for boom off."""

    south_deg: float
    west_deg: float
    cell_north_deg: float
    cell_east_deg: float
    codes: Bytes

    @property
    def shape(self) -> tuple[int, int]:
        """How many rows and columns there are."""
        rows, columns = self.codes.shape
        return rows, columns


def laid(rated: Rated, boundary: Area, cell_m: float) -> Grid:
    """Lay a grid over a field.

    Parameters
    ----------
    rated : sequence of (int, Polygon)
        Zone code and ground of what is sprayed.
    boundary : Polygon or MultiPolygon
        Of the field.
    cell_m : float
        Wanted edge of a cell. Cells are made a little smaller, so that a whole number fits the field, and
        smaller again until the ground of each code is kept; never so small that they are too many. [m]
    """
    boundary, rated = _on_one_side(boundary, rated)
    while _count(boundary, cell_m) > _MOST_CELLS:
        cell_m /= _FINER
    best = _burnt(rated, boundary, cell_m)
    least = _off_frac(best, rated)
    while least > _WITHIN and _count(boundary, cell_m * _FINER) <= _MOST_CELLS:
        cell_m *= _FINER
        grid = _burnt(rated, boundary, cell_m)
        off = _off_frac(grid, rated)
        if off < least:
            best, least = grid, off
    return best


def _on_one_side(boundary: Area, rated: Rated) -> tuple[Area, Rated]:
    """Bring a field on both sides of the 180th meridian together: its west lies beyond 180 degrees then."""
    west, _, east, _ = boundary.bounds
    if east - west <= _HALF_TURN_DEG:
        return boundary, rated

    def eastwards(lonlat: Floats) -> Floats:
        return np.where(lonlat < 0, lonlat + np.array([_TURN_DEG, 0]), lonlat)

    moved = [(code, shapely.transform(polygon, eastwards)) for code, polygon in rated]
    return shapely.transform(boundary, eastwards), moved


def _shape(boundary: Area, cell_m: float) -> tuple[int, int]:
    """Give how many rows and columns of whole cells, no larger than `cell_m`, a field takes."""
    west, south, east, north = boundary.bounds
    north_m = math.radians(north - south) * EARTH_RADIUS_M
    east_m = math.radians(east - west) * EARTH_RADIUS_M * math.cos(math.radians((north + south) / 2))
    return max(1, math.ceil(north_m / cell_m)), max(1, math.ceil(east_m / cell_m))


def _count(boundary: Area, cell_m: float) -> int:
    return math.prod(_shape(boundary, cell_m))


def _burnt(rated: Rated, boundary: Area, cell_m: float) -> Grid:
    from rasterio.features import rasterize

    rows, columns = _shape(boundary, cell_m)
    west, south, east, north = boundary.bounds
    low, left = (math.floor(at * _STEPS) / _STEPS for at in (south, west))
    # rounded up, so that the grid still reaches the north and the east of the field
    high, wide = (
        math.ceil(reach / count * _STEPS) / _STEPS
        for reach, count in ((north - low, rows), (east - left, columns))
    )
    shapes: list[tuple[Area, int]] = [(polygon, code) for code, polygon in rated]
    codes = rasterize(
        shapes or [(boundary, 0)],
        out_shape=(rows, columns),
        transform=Affine(wide, 0, left, 0, high, low),  # its first row is the southernmost one
        fill=0,
        dtype="uint8",
    )
    return Grid(south_deg=low, west_deg=left, cell_north_deg=high, cell_east_deg=wide, codes=codes)


def _off_frac(grid: Grid, rated: Rated) -> float:
    """Say how far the ground of the worst code is off, as a share of it.

    Both grounds are in square degrees: over one field they stand for the same area everywhere, but for a few
    parts in ten thousand that cells and polygons have in common.
    """
    of_code: dict[int, float] = {}
    for code, polygon in rated:
        of_code[code] = of_code.get(code, 0.0) + polygon.area
    cell = grid.cell_north_deg * grid.cell_east_deg
    cells = np.bincount(grid.codes.ravel(), minlength=max(of_code, default=0) + 1)
    return max((abs(cells[code] * cell / area - 1) for code, area in of_code.items()), default=0.0)
