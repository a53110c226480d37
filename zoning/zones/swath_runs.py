"""Which treatment cells to treat, so that no run along a swath is too short for the machine: exactly.

Takes what each cell is worth; does not know of what.
"""

from dataclasses import dataclass

import numpy as np

from zoning.zones.swath_cells import SwathCells
from zoning.zones.zoning import Bools, Floats, Ints

_SLACK = 1e-9  # method: rounding of floats, as a share of a cell


def actions(value_of_cell: Floats, cells: SwathCells, least_run_m: float) -> Bools:
    """Choose the cells to treat whose sum of worth is the greatest that the machine can do.

    Parameters
    ----------
    value_of_cell : ndarray of float, shape (cells,)
        What treating each cell is worth; negative where it costs.
    cells : SwathCells
    least_run_m : float
        A machine does not follow a run along a swath that is shorter. [m]

    Returns
    -------
    ndarray of bool, shape (cells,)
        True for the cells to treat. Where treating is worth nothing, nothing is treated.

    Notes
    -----
    A swath falls into stretches where the field has gaps. Beyond the ends of a stretch the machine is
    switched off. So an untreated run that touches an end goes on out there and may have any length; a treated
    run at an end is switched on and off like any other and needs its full length, unless it is all of a
    stretch that is itself shorter than that: there the field's own edge switches, whatever the map says. A
    cell counts with its full length, also where the field fills only a part of it.

    The best sum over the first cells of a stretch, with the last of them treated or not, follows from those
    of fewer cells: dynamic programming over all stretches at once, exact.
    """
    if not len(value_of_cell):
        return np.zeros(0, dtype=bool)
    starts = (np.diff(cells.swath, prepend=-1) != 0) | (np.diff(cells.place, prepend=-2) != 1)
    stretch = np.cumsum(starts) - 1
    first = np.flatnonzero(starts)
    place = np.arange(len(stretch)) - first[stretch]
    length = np.bincount(stretch)
    value = np.zeros((length.max(), len(first)))
    value[place, stretch] = value_of_cell
    shortest = max(1, int(np.ceil(least_run_m / cells.swaths.step_m - _SLACK)))
    return np.asarray(best_runs(value, length, shortest)[place, stretch])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sums:
    """Best sums over the first cells of each stretch, shape (cells + 1, stretches), in three cases.

    `on`: the last of the cells is treated, in a run that has its length. `off`: it is not, and the same; or
    nothing is treated before it. `on_new`, `off_new`: the run that ends there is just as long as it must be.
    """

    on: Floats
    off: Floats
    on_new: Bools
    off_new: Bools


def best_runs(value: Floats, length: Ints, shortest: int) -> Bools:
    """Choose in every stretch the runs with the greatest sum; see `actions`.

    Parameters
    ----------
    value : ndarray of float, shape (cells, stretches)
        By place; 0 beyond the end of a stretch.
    length : ndarray of int, shape (stretches,)
        Cells of each stretch.
    shortest : int
        Cells of the shortest run.

    Examples
    --------
    >>> value = np.array([[-1.0, 3.0, -1.0, 3.0, -1.0, -1.0]]).T
    >>> best_runs(value, np.array([6]), 2).ravel().tolist()
    [False, True, True, True, False, False]
    """
    sums = _sums(value, shortest)
    stretches = np.arange(value.shape[1])
    # the last run may be untreated and end at the end of the stretch, short of its length
    back = np.arange(min(shortest, len(value)))[:, np.newaxis]
    ends = np.where(length >= back, sums.on[np.maximum(length - back, 0), stretches], -np.inf)
    best = ends.argmax(axis=0)
    is_on = ends[best, stretches] > sums.off[length, stretches]
    end = np.where(is_on, length - best, length)
    treated = _followed(sums, end, is_on, shortest)
    whole = (length < shortest) & (value.sum(axis=0) > 0)
    treated |= whole & (np.arange(len(value))[:, np.newaxis] < length)
    return treated


def _sums(value: Floats, shortest: int) -> _Sums:
    cells, stretches = value.shape
    total = np.vstack([np.zeros(stretches), np.cumsum(value, axis=0)])
    on, off = np.full((cells + 1, stretches), -np.inf), np.zeros((cells + 1, stretches))
    on_new, off_new = (np.zeros((cells + 1, stretches), dtype=bool) for _ in range(2))
    for last in range(1, cells + 1):
        before = last - shortest
        if before >= 0:
            # eq. sum of a run = difference of the sums up to its two ends
            on[last] = off[before] + total[last] - total[before]
            off[last] = on[before]
        else:
            off[last] = -np.inf
        on_new[last] = on[last] > on[last - 1] + value[last - 1]
        off_new[last] = off[last] > off[last - 1]
        on[last] = np.where(on_new[last], on[last], on[last - 1] + value[last - 1])
        off[last] = np.where(off_new[last], off[last], off[last - 1])
    return _Sums(on=on, off=off, on_new=on_new, off_new=off_new)


def _followed(sums: _Sums, end: Ints, is_on: Bools, shortest: int) -> Bools:
    """Follow the best sums back from the ends of the stretches to the cells that made them."""
    cells = len(sums.on) - 1
    treated = np.zeros((cells, len(end)), dtype=bool)
    state, left = is_on.copy(), np.zeros(len(end), dtype=np.int64)
    for last in range(cells, 0, -1):
        here = last <= end
        begins = here & (left == 0) & np.where(state, sums.on_new[last], sums.off_new[last])
        left[begins] = shortest
        treated[last - 1] = here & state
        state ^= left == 1
        np.maximum(left - 1, 0, out=left)
    return treated
