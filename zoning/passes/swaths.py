"""The swaths of the boom across a field, and how much of each zone lies on each.

Where guidance lines say it, swaths lie as the operator drives; else the first one lies along the field's
edge. Headlands are not drawn. Money is not known here.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import Heading
from zoning.inputs.grid import Grid
from zoning.zones.swath_cells import first_side_m, side_of_swath_m

Floats = npt.NDArray[np.float64]


def swath_area_ac(
    number_of_cell: npt.NDArray[np.int16],
    grid: Grid,
    zones: Sequence[int],
    heading: Heading,
    boom_m: float,
) -> Floats:
    """Area of each zone on each swath.

    Parameters
    ----------
    number_of_cell : ndarray of int, shape of the grid
        Zone of each cell, 0 outside the field.
    grid : Grid
        The grid of `number_of_cell`.
    zones : sequence of int
        Zone numbers, in the order of the columns of the result.
    heading : Heading
        Direction of driving, and where a swath lies where that is known; 90 degrees is east, and so is 270.
    boom_m : float
        Width of a swath. [m]

    Returns
    -------
    ndarray of float, shape (swaths, zones)
        A column sums to the zone's cells x the area of a cell. [ac]

    Notes
    -----
    A cell that lies on two swaths is shared between them exactly: across the heading, a square of side s
    weighs as a trapezoid of half widths s (|cos| + |sin|) / 2 and s ||cos| - |sin|| / 2.

    Examples
    --------
    >>> field = np.array([[1, 1], [2, 2]], dtype=np.int16)
    >>> grid = Grid(32615, 0, 20, 10.0, (2, 2))
    >>> (swath_area_ac(field, grid, (1, 2), Heading(90.0, "edge"), 10.0) / grid.cell_ac).round(9).tolist()
    [[2.0, 0.0], [0.0, 2.0]]

    The middle of a swath on the edge between both: half of each zone lies on it, and half beside it.

    >>> along = Heading(90.0, "guidance", (0.0, 10.0))
    >>> (swath_area_ac(field, grid, (1, 2), along, 10.0) / grid.cell_ac).round(9).tolist()
    [[1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
    """
    rows, columns = np.nonzero(np.isin(number_of_cell, np.asarray(zones)))
    if rows.size == 0:
        return np.zeros((0, len(zones)))
    turn = np.radians(heading.deg)
    across = np.cos(turn), np.sin(turn)
    cross_m = grid.east_m()[columns] * across[0] - grid.north_m()[rows] * across[1]
    outer = grid.cell_m * (abs(across[0]) + abs(across[1])) / 2
    inner = grid.cell_m * abs(abs(across[0]) - abs(across[1])) / 2
    start = first_side_m(cross_m.min() - outer, boom_m, side_of_swath_m(heading, boom_m))
    swaths = int(np.ceil((cross_m.max() + outer - start) / boom_m - _SLACK))
    order = np.zeros(max(zones) + 1, dtype=np.int64)
    order[list(zones)] = np.arange(len(zones))
    column = order[number_of_cell[rows, columns]]
    area = np.zeros((swaths, len(zones)))
    first = np.floor((cross_m - outer - start) / boom_m + _SLACK).astype(int)
    for step in range(int(np.ceil(2 * outer / boom_m)) + 1):
        swath = np.minimum(first + step, swaths - 1)
        edge = start + (first + step) * boom_m - cross_m
        share = _below(edge + boom_m, outer, inner) - _below(edge, outer, inner)
        np.add.at(area, (swath, column), share)
    area[area < _SLACK] = 0
    return area * grid.cell_ac


_SLACK = 1e-9  # method: rounding of floats, as a share of a cell or swath


def _below(offset_m: Floats, outer_m: float, inner_m: float) -> Floats:
    """Share of a turned square that lies below an offset from its centre, across the heading."""
    down = -np.abs(offset_m)
    middle = 0.5 + down / (outer_m + inner_m)
    tail = np.clip(down + outer_m, 0, None) ** 2 / (2 * (outer_m**2 - inner_m**2) or 1)
    low = np.where(down > -inner_m, middle, np.where(outer_m > inner_m, tail, 0))
    return np.asarray(np.where(offset_m > 0, 1 - low, low))
