"""Spray hours of days to come as past years had them: which years are known, and whose turn it is.

Draw i takes all its weather from one past year, its hours too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.passes.hours.counts import DayCounts
from zoning.stage.years import year_of_draw, years_back

Floats = npt.NDArray[np.float64]
Days = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PastHours:
    """Spray hours of the asked days in each past year that is known, shape (years, days, 2).

    `gaps_h` counts by year the hours that are not known and so are none; `dropped` are years of which there
    is something, but too little.
    """

    years: tuple[int, ...]
    hours_h: Floats
    gaps_h: tuple[int, ...]
    dropped: tuple[int, ...]


def past_hours(counts: DayCounts, days: Days, season: int) -> PastHours:
    """Look the days up in every past year of a record.

    Parameters
    ----------
    counts : DayCounts
        Of the whole record.
    days : ndarray of int
        The days to come, of less than a year; month and day are kept, 29 February becomes 28 February.
    season : int
        Year in which this season ends: a past year is named by the year in which its season ended.
    """
    if days.size == 0 or counts.hours_h.size == 0:
        return PastHours(years=(), hours_h=np.zeros((0, days.size, 2)), gaps_h=(), dropped=())
    found: dict[int, Floats] = {}
    gaps_h, dropped = [], []
    back = 1
    while True:
        then = years_back(days, back)
        if then[-1] < counts.first_day:
            break
        rows = counts.rows(then)
        seen = rows >= 0
        day_h = counts.hours_h[rows]
        missing = np.where(seen, counts.unknown_h[rows], day_h).sum() / max(day_h.sum(), 1)
        # of days outside the record nothing is known
        if missing <= number("passes.hours_unknown_most_frac"):
            found[season - back] = np.where(seen[:, np.newaxis], counts.usable_h[rows], 0.0)
            gaps_h.append(round(float(missing * day_h.sum())))
        elif missing < 1:
            dropped.append(season - back)
        back += 1
    years = tuple(sorted(found))
    order = [list(found).index(year) for year in years]
    return PastHours(
        years=years,
        hours_h=np.array([found[year] for year in years]).reshape(len(years), days.size, 2),
        gaps_h=tuple(gaps_h[place] for place in order),
        dropped=tuple(sorted(dropped)),
    )


def row_of_draw(have: Sequence[int], wanted: Sequence[int], draws: int) -> Days:
    """Row of `have` for each draw: the year that its stage days come from, or another one in turn.

    Parameters
    ----------
    have : sequence of int
        Years of which the hours are known, at least one.
    wanted : sequence of int
        Years of the draws, as `zoning.stage.years.year_of_draw` deals them out; may be empty.
    draws : int
        How many.

    Examples
    --------
    >>> row_of_draw([2020, 2021], [2019, 2020, 2021], 6).tolist()  # 2019 is not known: both in turn
    [0, 0, 1, 1, 0, 1]
    """
    if not wanted:
        return year_of_draw(len(have), draws)
    row_of_year = {year: row for row, year in enumerate(have)}
    mine = np.array([row_of_year.get(year, -1) for year in wanted])[year_of_draw(len(wanted), draws)]
    lacking = np.flatnonzero(mine < 0)
    mine[lacking] = np.arange(lacking.size) % len(have)
    return np.asarray(mine)
