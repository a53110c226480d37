"""Passes as runs of points: where each begins and ends, and what lies around a point on its own pass."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.inputs.harvest.given import YieldPoints

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

Places = npt.NDArray[np.complex128]  # east + i north, in metres

LEFT = complex(0, 1)  # a quarter turn to the left
_AT_ONCE = 1 << 16  # method: windows that are held in memory at a time


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """Points that lie on some pass, pass after pass: arrays of shape (m,).

    `at` is their place among all points, in the order of driving; `first` and `last` are, for each, the
    places in `at` where its pass begins and ends.
    """

    at: Ints
    first: Ints
    last: Ints

    @property
    def starts(self) -> Ints:
        """Where in `at` each pass begins; shape (passes,)."""
        return np.flatnonzero(self.first == np.arange(len(self.at)))

    @property
    def which(self) -> Ints:
        """For each point the pass it is on, counted from 0."""
        return np.asarray(np.cumsum(self.first == np.arange(len(self.at))) - 1, dtype=np.int64)

    @property
    def is_step(self) -> Bools:
        """Whether a point and the one before it are on the same pass; the first has none before it."""
        return np.asarray(self.first < np.arange(len(self.at)))


def runs_of(number: Ints, among: Bools | None = None) -> Runs:
    """Find where passes begin and end among points in the order of driving.

    Parameters
    ----------
    number : array of shape (n,)
        Number of each point's pass, -1 for none; points of a pass follow each other.
    among : array of shape (n,), optional
        Which points to look at; all by default.

    Examples
    --------
    >>> runs = runs_of(np.array([0, 0, -1, 1, 1, 1]))
    >>> runs.at.tolist(), runs.first.tolist(), runs.last.tolist()
    ([0, 1, 3, 4, 5], [0, 0, 2, 2, 2], [1, 1, 4, 4, 4])
    """
    on_a_pass = number >= 0 if among is None else (number >= 0) & among
    at = np.flatnonzero(on_a_pass)
    begins = np.diff(number[at], prepend=-1) != 0
    starts = np.flatnonzero(begins)
    which = np.cumsum(begins) - 1
    ends = np.append(starts[1:], len(at)) - 1
    if not len(at):
        return Runs(at=at, first=at, last=at)
    return Runs(at=at, first=starts[which], last=ends[which])


def places_of(points: YieldPoints, at: Ints) -> Places:
    """Give places as numbers with which directions can be turned and compared."""
    return np.asarray(points.east_m[at] + LEFT * points.north_m[at])


def directions(heading_deg: Floats) -> Places:
    """Turn headings into steps of length 1.

    Examples
    --------
    >>> directions(np.array([0.0, 90.0])).round(6).tolist()
    [1j, (1+0j)]
    """
    return np.asarray(np.exp(LEFT * np.deg2rad(90 - heading_deg)))  # eq. bearing to direction


def windows(runs: Runs, half: int) -> tuple[Ints, Ints]:
    """Give for each point the first of the points around it on its pass, and the one after their last.

    They are `half` before and after it; towards the end of a pass the window stays as wide and moves inwards.

    Examples
    --------
    >>> start, stop = windows(runs_of(np.zeros(4, dtype=np.int64)), 1)
    >>> start.tolist(), stop.tolist()
    ([0, 0, 1, 1], [3, 3, 4, 4])
    """
    here = np.arange(len(runs.at))
    start = np.clip(here - half, runs.first, np.maximum(runs.last - 2 * half, runs.first))
    return start, np.minimum(start + 2 * half, runs.last) + 1


def medians(values: Floats, runs: Runs, half: int) -> Floats:
    """Give the median of each value and those around it (`windows`); values are those of `runs.at`.

    Examples
    --------
    >>> medians(np.array([1.0, 9.0, 2.0, 3.0]), runs_of(np.zeros(4, dtype=np.int64)), 1).tolist()
    [2.0, 2.0, 3.0, 3.0]
    """
    out = np.empty(len(values))
    start, stop = windows(runs, half)
    for low in range(0, len(values), _AT_ONCE):
        part = slice(low, low + _AT_ONCE)
        around = np.minimum(start[part, None] + np.arange(2 * half + 1), stop[part, None] - 1)
        out[part] = np.median(values[around], axis=1)
    return out


def window_means(values: Floats, runs: Runs, half: int) -> Floats:
    """Give the mean of each value and those around it (`windows`)."""
    start, stop = windows(runs, half)
    sums = np.concatenate(([0.0], np.cumsum(values)))
    return np.asarray((sums[stop] - sums[start]) / (stop - start))


def means(values: Floats, runs: Runs, half: int) -> Floats:
    """Give the mean of each value and as many before as after it on the same pass, `half` at most."""
    here = np.arange(len(values))
    reach = np.minimum(np.minimum(here - runs.first, runs.last - here), half)
    sums = np.concatenate(([0.0], np.cumsum(values)))
    return np.asarray((sums[here + reach + 1] - sums[here - reach]) / (2 * reach + 1))


def per_pass(values: Floats, runs: Runs) -> Floats:
    """Give each point the median of its pass, over values that are there; NaN where none is."""
    order = np.lexsort((values, runs.which))  # NaN last within a pass
    there = np.add.reduceat(np.isfinite(values[order]), runs.starts) if len(values) else np.zeros(0, np.int64)
    low, high = runs.starts + np.maximum(there - 1, 0) // 2, runs.starts + there // 2
    middle = (values[order][low] + values[order][np.minimum(high, len(values) - 1)]) / 2
    return np.asarray(np.where(there > 0, middle, np.nan)[runs.which])


def clock_s(points: YieldPoints, runs: Runs) -> Floats | None:
    """Give the time of the points of passes, or None where the file has none that tells them apart. [s].

    From the times of the file, or the intervals that it logged; a time that is missing lies between its
    neighbours. Never runs backwards on a pass.
    """
    time_s = points.time_s[runs.at]
    if not _tells(time_s, runs):
        interval_s = points.interval_s[runs.at]
        is_there = np.isfinite(interval_s) & (interval_s > 0)
        if not is_there.any():
            return None
        time_s = np.cumsum(np.where(is_there, interval_s, np.median(interval_s[is_there])))
    there = np.flatnonzero(np.isfinite(time_s))
    return np.asarray(np.interp(np.arange(len(time_s)), there, time_s[there]))


def _tells(time_s: Floats, runs: Runs) -> bool:
    steps = np.diff(time_s, prepend=np.nan)[runs.is_step]
    return len(steps) > 0 and bool(np.mean(steps > 0) > 0.5)  # NaN is not above 0
