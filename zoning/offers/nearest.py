"""Which zone or block a scouted place belongs to: the one it lies in, or the nearest one.

Knows only cells and places.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.given import Count, Remark, Sighting
from zoning.inputs.grid import Grid

Numbers = npt.NDArray[np.integer]  # of the zone or block of each cell, 0 where there is none

_EDGE_FRAC = 1e-6  # of a cell: what lies so near to its edge lies on it


def numbers_nearest(seen: Sequence[Count | Sighting], number_of_cell: Numbers, grid: Grid) -> tuple[int, ...]:
    """Give the number of the zone or block that each place lies in, or else of the nearest.

    Returns
    -------
    tuple of int
        One for each of `seen`; all 0 where the field has no zone or block at all.
    """
    rows, columns = np.nonzero(number_of_cell > 0)
    if not seen or not rows.size:
        return (0,) * len(seen)
    # inside its own cell a place is nearer to the middle of that one than of any other
    found = [number_inside(one, number_of_cell, grid) if _off_edges(one, grid) else 0 for one in seen]
    if all(found):
        return tuple(found)
    east_m = grid.left_m + (columns + 0.5) * grid.cell_m
    north_m = grid.top_m - (rows + 0.5) * grid.cell_m
    cells = shapely.STRtree(np.asarray(shapely.points(east_m, north_m)))
    nearest = cells.nearest(shapely.points([(one.east_m, one.north_m) for one in seen]))
    near = number_of_cell[rows[nearest], columns[nearest]].tolist()
    return tuple(inside or number for inside, number in zip(found, near, strict=True))


def _off_edges(one: Count | Sighting, grid: Grid) -> bool:
    """Whether a place lies inside a cell of the grid, and not on an edge, where rounding decides."""
    parts = ((one.east_m - grid.left_m) / grid.cell_m % 1, (grid.top_m - one.north_m) / grid.cell_m % 1)
    return all(_EDGE_FRAC < part < 1 - _EDGE_FRAC for part in parts)


def number_inside(one: Count | Sighting | Remark, number_of_cell: Numbers, grid: Grid) -> int:
    """Give the number of the zone or block that a place lies in, 0 where it lies in none."""
    row = int((grid.top_m - one.north_m) // grid.cell_m)
    column = int((one.east_m - grid.left_m) // grid.cell_m)
    is_inside = 0 <= row < grid.shape[0] and 0 <= column < grid.shape[1]
    return max(int(number_of_cell[row, column]), 0) if is_inside else 0
