"""In how many weather futures each visit of a sprayer is over in time.

Plays the plan through and changes nothing of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.passes.half_days import HALVES, Half, HalfDays

Floats = npt.NDArray[np.float64]
_EPSILON_H = 1e-9  # method: a work that ends this much later is in time


@dataclass(frozen=True, slots=True, kw_only=True)
class DueVisit:
    """One visit of a sprayer: when it is planned to begin, how long it takes, by when it should be over.

    `work_h` holds the way and the set-up too; `due_day` may be used to its end. `hours` are those of the
    field, where they are not the sprayer's: a label with limits of its own has fewer.
    """

    day: int
    half: Half
    work_h: float
    due_day: int
    hours: HalfDays | None = None


def made_in_time_frac(visits: Sequence[DueVisit], hours: HalfDays) -> Floats:
    """Play a sprayer's visits through every future; share of the futures in which each is over when due.

    Parameters
    ----------
    visits : sequence of DueVisit
        All visits of one sprayer, in the order in which it makes them.
    hours : HalfDays
        Spray hours of this sprayer. A day outside them has none.

    Returns
    -------
    ndarray
        Shape (visits,). A visit begins with its planned half-day, or when the one before it is over if that
        is later, and takes the hours that the future gives: nothing is left out and nothing re-planned.
        Where a field has hours of its own, they are taken to lie evenly among those of the half-day.

    Examples
    --------
    >>> from zoning.passes.half_days import even
    >>> two = [
    ...     DueVisit(day=200, half="AM", work_h=3.0, due_day=200),
    ...     DueVisit(day=200, half="PM", work_h=2.0, due_day=200),
    ... ]
    >>> made_in_time_frac(two, even(200, 3, 4.0)).tolist()  # four hours a day: the second runs over
    [1.0, 0.0]
    """
    futures, days, halves = hours.futures_h.shape
    # hours gone by the beginning of each half-day, and by the end of the last
    gone_h = np.zeros((futures, days * halves + 1))
    np.cumsum(hours.futures_h.reshape(futures, -1), axis=1, out=gone_h[:, 1:])
    free_h = np.zeros(futures)
    found = np.zeros(len(visits))
    for place, visit in enumerate(visits):
        begins = (visit.day - hours.first_day) * halves + HALVES.index(visit.half)
        ends = (visit.due_day + 1 - hours.first_day) * halves
        begins, ends = (int(np.clip(at, 0, days * halves)) for at in (begins, ends))
        free_h = np.maximum(free_h, gone_h[:, begins])
        if visit.hours is None:
            free_h = free_h + visit.work_h
            found[place] = (free_h <= gone_h[:, ends] + _EPSILON_H).mean()
            continue
        own_gone_h = _own_gone_h(visit.hours, hours)
        done_h = _there(own_gone_h, _at(gone_h, free_h, begins)) + visit.work_h
        found[place] = (done_h <= own_gone_h[:, ends] + _EPSILON_H).mean()
        free_h = _there(gone_h, _at(own_gone_h, done_h, begins))
    return found


def _own_gone_h(own: HalfDays, hours: HalfDays) -> Floats:
    """Hours of a field gone by the beginning of each half-day of the sprayer, and by the end of the last."""
    futures, days, halves = hours.futures_h.shape
    row = hours.days - own.first_day
    known = (row >= 0) & (row < len(own.planned_h))
    own_h = np.zeros((futures, days, halves))
    own_h[:, known] = own.futures_h[:, row[known]]
    gone_h = np.zeros((futures, days * halves + 1))
    np.cumsum(own_h.reshape(futures, -1), axis=1, out=gone_h[:, 1:])
    return gone_h


def _at(gone_h: Floats, done_h: Floats, begins: int) -> Floats:
    """When so many hours are gone, not before `begins`: counted in half-days, one for each future."""
    last = gone_h.shape[1] - 1
    after = (gone_h < done_h[:, np.newaxis] - _EPSILON_H).sum(axis=1)
    row, before = np.arange(len(gone_h)), np.clip(after - 1, 0, last)
    step_h = gone_h[row, np.minimum(after, last)] - gone_h[row, before]
    part = np.divide(done_h - gone_h[row, before], step_h, out=np.zeros(len(row)), where=step_h > 0)
    at = np.where(after > last, last, before + np.where(after > 0, np.clip(part, 0, 1), 0))
    return np.asarray(np.maximum(at, begins))


def _there(gone_h: Floats, at: Floats) -> Floats:
    """Hours that are gone at a time counted in half-days, one for each future."""
    row, before = np.arange(len(gone_h)), np.floor(at).astype(np.int64)
    after = np.minimum(before + 1, gone_h.shape[1] - 1)
    return np.asarray(gone_h[row, before] + (at - before) * (gone_h[row, after] - gone_h[row, before]))
