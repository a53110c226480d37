"""What a machine cannot treat by itself is no part of a zone: labels opened with the machine's footprint."""

from functools import cache

import numpy as np

from zoning.zones.smooth import nearest_label
from zoning.zones.zoning import Bools, Footprint, Ints8

Offsets = tuple[tuple[int, int], ...]

_SLACK = 1e-9  # method: a cell's centre on the edge of the footprint is inside, whatever its rounding errors


@cache
def footprint_cells(footprint: Footprint, cell_m: float) -> Offsets:
    """Give the cells that a footprint holds, as steps down and to the right.

    A side shorter than a cell counts as one cell. Of the rectangle's places against the grid (its middle on
    a cell's centre, side or corner) the one counts that holds the number of cells nearest to its area.

    Examples
    --------
    >>> footprint_cells(Footprint(across_m=20, along_m=30, heading_deg=90), 10.0)
    ((0, -1), (0, 0), (0, 1), (1, -1), (1, 0), (1, 1))
    """
    across, along = max(footprint.across_m / cell_m, 1), max(footprint.along_m / cell_m, 1)
    heading = np.radians(footprint.heading_deg)
    reach = int(np.ceil(np.hypot(across, along)))
    down, right = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    held = []
    for middle in ((0, 0), (0.5, 0), (0, 0.5), (0.5, 0.5)):
        south, east = down - middle[0], right - middle[1]
        # eq. rotation of the grid's axes onto the heading, clockwise from north
        ahead = east * np.sin(heading) - south * np.cos(heading)
        aside = east * np.cos(heading) + south * np.sin(heading)
        held.append((np.abs(ahead) <= along / 2 + _SLACK) & (np.abs(aside) <= across / 2 + _SLACK))
    nearest = min(held, key=lambda cells: abs(max(int(cells.sum()), 1) - across * along))
    return tuple((int(row), int(column)) for row, column in np.argwhere(nearest) - reach)


def reached(planes: Bools, cells: Offsets) -> Bools:
    """Say which cells some footprint reaches that lies wholly inside their plane: a morphological opening.

    Parameters
    ----------
    planes : ndarray of bool, shape (..., rows, columns)
    cells : tuple of (int, int)
        See `footprint_cells`.
    """
    fits = np.ones_like(planes)
    for row, column in cells:
        fits &= _moved(planes, -row, -column)
    found = np.zeros_like(planes)
    for row, column in cells:
        found |= _moved(fits, row, column)
    return found


def _moved(planes: Bools, down: int, right: int) -> Bools:
    """Move what is in the planes; False comes in from beyond them."""
    found = np.zeros_like(planes)
    rows, columns = planes.shape[-2:]
    to = slice(max(down, 0), rows + min(down, 0)), slice(max(right, 0), columns + min(right, 0))
    out_of = slice(max(-down, 0), rows - max(down, 0)), slice(max(-right, 0), columns - max(right, 0))
    found[..., *to] = planes[..., *out_of]
    return found


def opened(labels: Ints8, number: int, footprint: Footprint | None, cell_m: float) -> Ints8:
    """Give what no footprint inside its label reaches to the nearest label that one reaches.

    Parameters
    ----------
    labels : ndarray of int8, shape (rows, columns)
        0 to number - 1, -1 outside the block.
    number : int
    footprint : Footprint or None
        None, or one that is no larger than a cell, changes nothing.
    cell_m : float
        [m]

    Returns
    -------
    ndarray of int8, shape (rows, columns)
        Cells that a footprint reached keep their label, so one still reaches them. Where none fits in any
        label, nothing is changed.

    Notes
    -----
    The machine's smallest area as the kernel of a morphological opening is that of [1]_.

    References
    ----------
    .. [1] Tisseyre and McBratney 2008, "A technical opportunity index based on mathematical morphology for
       site-specific management", Precision Agriculture 9:101-113, doi 10.1007/s11119-008-9053-5.
    """
    cells = footprint_cells(footprint, cell_m) if footprint is not None else ()
    if len(cells) < 2:
        return labels
    inside = labels >= 0
    kept = reached(labels == np.arange(number, dtype=np.int8)[:, None, None], cells).any(axis=0)
    if kept.any() and (inside & ~kept).any():
        return nearest_label(np.where(kept, labels, np.int8(-1)), inside)
    return labels
