"""Spray hours of every half-day: what to plan with, and what each weather future holds. Values only.

How they come about (rules of the air and ground, past years, the planning triple) stands elsewhere.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Half = Literal["AM", "PM"]
HALVES: tuple[Half, Half] = ("AM", "PM")
HoursFrom = Literal["forecast", "past years", "planning triple", "no limit"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HalfDays:
    """Spray hours of consecutive days, each in two halves: before noon and from noon on.

    `planned_h` (days, 2) is what the schedule counts on, `futures_h` (futures, days, 2) what each weather
    future holds; future i is the weather of draw i. `source` says of each day where its hours come from, and
    `past_years` how many there are behind the days whose hours are those of past years.
    """

    first_day: int  # day number
    planned_h: Floats
    futures_h: Floats
    source: tuple[HoursFrom, ...]
    past_years: int = 0

    @property
    def days(self) -> npt.NDArray[np.int64]:
        """Day numbers, shape (days,)."""
        return self.first_day + np.arange(len(self.planned_h))

    def of(self, days: npt.NDArray[np.int64]) -> Floats:
        """Hours to plan with on some days, shape (days, 2); 0 where a day is not known.

        Examples
        --------
        >>> even(200, 3, 4.0).of(np.array([201, 209])).tolist()
        [[2.0, 2.0], [0.0, 0.0]]
        """
        row = np.asarray(days) - self.first_day
        known = (row >= 0) & (row < len(self.planned_h))
        return np.where(known[:, np.newaxis], self.planned_h[np.where(known, row, 0)], 0.0)


def even(first_day: int, days: int, hours_per_day: float, source: HoursFrom = "no limit") -> HalfDays:
    """Give the same hours to every half-day, known for sure.

    Examples
    --------
    >>> even(200, 2, 5.0).planned_h.tolist()
    [[2.5, 2.5], [2.5, 2.5]]
    """
    planned_h = np.full((days, 2), hours_per_day / 2)
    return HalfDays(
        first_day=first_day, planned_h=planned_h, futures_h=planned_h[np.newaxis], source=(source,) * days
    )
