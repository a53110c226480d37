"""The one scale on which all responses of a trial stand: pairs, their mean, zones, and what would pay.

Knows no drawing; a place on it is a share of its width.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

from zoning.plan.trial import TrialResult
from zoning.show.trial.trial_units import TrialUnits

_STEPS = (1.0, 2.0, 5.0, 10.0)
_MOST_TICKS = 6
_FREE = 0.04  # of the width, at both ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """A scale from `low` to `high`, in the farm's unit; `per_bu_ac` turns a response into it."""

    low: float
    high: float
    ticks: tuple[float, ...]
    per_bu_ac: float

    def share(self, response_bu_ac: float) -> float:
        """Place of a response: 0 at the left end, 1 at the right end, never outside.

        Examples
        --------
        >>> Axis(low=0.0, high=10.0, ticks=(), per_bu_ac=1.0).share(2.5)
        0.25
        """
        return min(max((response_bu_ac * self.per_bu_ac - self.low) / (self.high - self.low), 0.0), 1.0)

    def marks(self, minus: str = "-") -> tuple[tuple[float, str], ...]:
        """Give the place of each tick and what stands there."""
        wide = self.high - self.low
        return tuple(((tick - self.low) / wide, f"{tick:,.10g}".replace("-", minus)) for tick in self.ticks)


def axis_of(values: Iterable[float], per_bu_ac: float) -> Axis:
    """Make a scale that holds all values and 0.

    Parameters
    ----------
    values : iterable of float
        [bu/ac]; those that are not finite are left out.
    per_bu_ac : float
        The farm's unit for 1 bu/ac.

    Examples
    --------
    >>> axis_of([2.1, 7.9], 1.0).ticks
    (0.0, 2.0, 4.0, 6.0, 8.0)
    """
    held = [0.0, *(one * per_bu_ac for one in values if isfinite(one))]
    low, high = min(held), max(held)
    if high - low < per_bu_ac:  # so little is no width
        high = low + per_bu_ac
    free = _FREE * (high - low)
    low, high = low - free, high + free
    step = _step(high - low)
    first, last = ceil(low / step), floor(high / step)
    ticks = tuple(step * at for at in range(first, last + 1))
    return Axis(low=low, high=high, ticks=ticks, per_bu_ac=per_bu_ac)


def _step(wide: float) -> float:
    """Give the smallest of 1, 2, 5 times a power of ten that leaves few ticks."""
    power = 10.0 ** floor(log10(wide / _MOST_TICKS))
    return next(step * power for step in _STEPS if wide / (step * power) <= _MOST_TICKS)


def axis(result: TrialResult) -> Axis:
    """Make the scale of a trial.

    Parameters
    ----------
    result : TrialResult
        Any.
    """
    held = [one.difference_bu_ac for one in result.pairs if one.why_not is None]
    whole = result.response
    if whole is not None:
        held += [whole.low_bu_ac, whole.high_bu_ac]
        held += [whole.money.break_even_bu_ac] if whole.money is not None else []
    for one in result.by_zone.zones if result.by_zone is not None else ():
        held += [one.low_bu_ac, one.high_bu_ac, one.seen_bu_ac]
    written = TrialUnits(metric=result.units == "metric")
    return axis_of(held, written.per_bu_ac)
