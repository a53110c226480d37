"""Counts of judged hours: by half-day, by rule, and how many hours are not known.

A half-day ends at noon of the farm's clock; a day has 23, 24 or 25 hours by it.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.passes.hours.rules import RULES, Judged

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

_NOON = 12  # eq. hour of the clock


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCount:
    """What one rule does to some hours.

    `out_h` hours it takes out by itself, `left_h` would remain if it were the only rule, `alone_h` are out
    for no other reason.
    """

    rule: str
    out_h: int
    left_h: int
    alone_h: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayCounts:
    """Spray hours of consecutive days from `first_day` on, and what is not known of them.

    `usable_h` (days, 2) before noon and from noon on; `hours_h` (days,) how long the day is by the clock,
    `unknown_h` (days,) for how many of its hours a value is missing in the file.
    """

    first_day: int
    usable_h: Floats
    hours_h: Floats
    unknown_h: Floats

    def rows(self, days: npt.ArrayLike) -> npt.NDArray[np.int64]:
        """Rows of some days, -1 where a day lies outside."""
        row = np.asarray(days, dtype=np.int64) - self.first_day
        return np.where((row >= 0) & (row < len(self.hours_h)), row, -1)


def by_day(judged: Judged) -> DayCounts:
    """Count the spray hours of every half-day.

    An hour counts as unknown where one of its own values is missing; it is out, too, where rain before or
    after it is not known.
    """
    hourly = judged.hourly
    if hourly.utc_h.size == 0:
        nothing = np.zeros(0)
        return DayCounts(first_day=0, usable_h=np.zeros((0, 2)), hours_h=nothing, unknown_h=nothing)
    first = int(hourly.day[0])
    days = int(hourly.day[-1]) - first + 1
    row = hourly.day - first
    half = 2 * row + (hourly.hour >= _NOON)
    usable_h = np.bincount(half, weights=judged.usable, minlength=2 * days).reshape(days, 2)
    missing = ~known(judged)
    return DayCounts(
        first_day=first,
        usable_h=np.asarray(usable_h, dtype=np.float64),
        hours_h=np.bincount(row, minlength=days).astype(np.float64),
        unknown_h=np.asarray(np.bincount(row, weights=missing, minlength=days), dtype=np.float64),
    )


def known(judged: Judged) -> Flags:
    """Hours of which the file has every value that the limits ask for."""
    hourly = judged.hourly
    read = (hourly.temp_c, hourly.rh_pct, hourly.wind_m_s, *((hourly.rain_mm,) if judged.asks_rain else ()))
    return np.asarray(np.logical_and.reduce([np.isfinite(one) for one in read]))


def by_rule(judged: Judged, inside: Flags) -> tuple[RuleCount, ...]:
    """Count what every rule does by itself to the hours that are asked for.

    Parameters
    ----------
    judged : Judged
        The hours.
    inside : ndarray of bool
        Which of them are counted.
    """
    reasons = np.sum([judged.out[rule] for rule in RULES], axis=0)
    total = int(inside.sum())
    found = []
    for rule in RULES:
        out = judged.out[rule] & inside
        found.append(
            RuleCount(
                rule=rule,
                out_h=int(out.sum()),
                left_h=total - int(out.sum()),
                alone_h=int((out & (reasons == 1)).sum()),
            )
        )
    return tuple(found)


def main_reasons(judged: Judged, inside: Flags, rules: Iterable[str] = RULES) -> dict[str, int]:
    """Count the hours that each rule takes out, most first; rules that take none are left out."""
    counts = {rule: int((judged.out[rule] & inside).sum()) for rule in rules}
    return {rule: hours for rule, hours in sorted(counts.items(), key=lambda one: -one[1]) if hours}
