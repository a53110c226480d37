"""Spray hours that a sprayer has used already on a day: taken off what that day's half-days still hold."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.passes.half_days import HalfDays

Floats = npt.NDArray[np.float64]
Span = tuple[float, float]  # from and to, hours of the clock of one day

_NOON, _MIDNIGHT = 12.0, 24.0  # eq. hours of the clock


def used_h(spans: Iterable[Span]) -> Floats:
    """Hours of some spans before noon and from noon on; what several cover counts once.

    Examples
    --------
    >>> used_h([(10.5, 12.5), (9.0, 11.0)]).tolist()
    [3.0, 0.5]
    """
    found = np.zeros(2)
    covered_to = 0.0
    for begin, end in sorted(spans):
        first = max(begin, covered_to)
        for half, (opens, closes) in enumerate(((0.0, _NOON), (_NOON, _MIDNIGHT))):
            found[half] += max(0.0, min(end, closes) - max(first, opens))
        covered_to = max(covered_to, end)
    return found


def less_used(hours: HalfDays, day: int, taken_h: Floats) -> HalfDays:
    """Give the hours that are left on one day, to plan with and in every future; other days stay.

    Parameters
    ----------
    hours : HalfDays
    day : int
        Day number; one outside the horizon changes nothing.
    taken_h : ndarray of float, shape (2,)
        What was used before noon and from noon on. [h]
    """
    row = day - hours.first_day
    if not 0 <= row < len(hours.planned_h):
        return hours
    planned_h, futures_h = hours.planned_h.copy(), hours.futures_h.copy()
    planned_h[row] = np.maximum(planned_h[row] - taken_h, 0)
    futures_h[:, row] = np.maximum(futures_h[:, row] - taken_h, 0)
    return replace(hours, planned_h=planned_h, futures_h=futures_h)
