"""Past years for the days to come: which are complete, and what one season looks like under each.

Weather that was seen (and a forecast file's rows) comes first; after the last known day each past year takes
over as a whole, month and day kept. 29 February of past years is dropped. It runs no stage model.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.given import Weather
from zoning.stage.daylength import Days, Floats, numpy_dates, ordinal

_COMMON_YEAR = 2001  # method: any year without 29 February, to turn a day of the year into month and day
_DAYS_AFTER_END = 92  # method: how far past the season's end rows are still used where there are any


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Season:
    """One season's temperatures, a row for each past year that stands in for the days to come.

    `tmin_c` and `tmax_c` have shape (years, days), one row if `years` is empty; NaN where nothing is known.
    `years` names each row by the year in which its season ends. `known_until` is the last day of this
    season's own weather, `complete_to` the day up to which a past year must have no gap; both day numbers.
    """

    first_day: int
    tmin_c: Floats
    tmax_c: Floats
    years: tuple[int, ...]
    known_until: int
    complete_to: int

    def gaps(self) -> tuple[date, ...]:
        """Days of this season, up to the last known one, on which a temperature is missing."""
        seen = slice(0, max(0, self.known_until - self.first_day + 1))
        missing = np.isnan(self.tmin_c[0, seen]) | np.isnan(self.tmax_c[0, seen])
        return tuple(date.fromordinal(self.first_day + int(column)) for column in np.flatnonzero(missing))


def season_end(last_planted: date, latitude_deg: float) -> date:
    """Find the first end of a season after a planting day: 30 September, in the south 31 March.

    Examples
    --------
    >>> season_end(date(2026, 5, 6), 44.3).isoformat(), season_end(date(2026, 11, 6), -31.9).isoformat()
    ('2026-09-30', '2027-03-31')
    """
    doy = int(number("stage.season_end_doy"))
    if latitude_deg < 0:
        doy -= 365 // 2 + 1  # eq. half a year
    end = date.fromordinal(date(_COMMON_YEAR, 1, 1).toordinal() + doy - 1)
    this_year = end.replace(year=last_planted.year)
    return this_year if this_year > last_planted else end.replace(year=last_planted.year + 1)


def years_back(day: Days, back: int) -> Days:
    """Day numbers of the same month and day, `back` years earlier; 29 February becomes 28 February.

    Examples
    --------
    >>> date.fromordinal(int(years_back(np.array([date(2028, 2, 29).toordinal()]), 4)[0])).isoformat()
    '2024-02-28'
    """
    when = numpy_dates(day)
    month = when.astype("datetime64[M]")
    day_in_month = (when - month).astype(np.int64)
    is_february = month.astype(np.int64) % 12 == 1  # eq. months count from January = 0
    leap_day = is_february & (day_in_month == 28)  # eq. days count from 0
    months_back = np.timedelta64(12 * back, "M")  # eq. months of a year
    first_of_month = ordinal((month - months_back).astype("datetime64[D]"))
    return np.asarray(first_of_month + day_in_month - leap_day)


def _lookup(weather: Weather, day: Days) -> tuple[Floats, Floats]:
    """Minimum and maximum of each day, NaN for both where either is missing."""
    if len(weather.day) == 0:
        nothing = np.full(day.shape, np.nan)
        return nothing, nothing
    row = np.minimum(np.searchsorted(weather.day, day), len(weather.day) - 1)
    known = (weather.day[row] == day) & np.isfinite(weather.tmin_c[row]) & np.isfinite(weather.tmax_c[row])
    return np.where(known, weather.tmin_c[row], np.nan), np.where(known, weather.tmax_c[row], np.nan)


def _known_until(weather: Weather, first_day: int, today: date) -> int:
    """Last day from `first_day` on with both temperatures; the day before `first_day` where there is none."""
    limit = max(today, weather.forecast_until or today).toordinal()
    known = np.isfinite(weather.tmin_c) & np.isfinite(weather.tmax_c)
    seen = weather.day[known & (weather.day >= first_day) & (weather.day <= limit)]
    return int(seen.max()) if len(seen) else first_day - 1


def _complete_years(weather: Weather, needed: Days, end: date) -> dict[int, int]:
    """Name each past year whose days are all known, oldest first, and how many years back it lies."""
    if len(weather.day) == 0:
        return {}
    oldest = date.fromordinal(int(weather.day[0])).year
    found: dict[int, int] = {}
    for back in range(end.year - oldest, 0, -1):
        tmin_c, _ = _lookup(weather, years_back(needed, back))
        if np.isfinite(tmin_c).all():
            found[end.year - back] = back
    return found


def season(weather: Weather, starts: Sequence[date], today: date, latitude_deg: float) -> Season:
    """One season from its first planting on, under each complete past year.

    Parameters
    ----------
    weather : Weather
        Daily temperatures of this season to date and of past years.
    starts : sequence of date
        Planting (or observed emergence) of each block.
    today : date
        Rows after it count only up to the last day of a forecast file.
    latitude_deg : float
        South is negative. [deg]

    Returns
    -------
    Season
        A past year is in it if no day is missing between the day after the last known one and the season's
        end: the same years for every field with the same weather file and season.
    """
    first = min(starts).toordinal()
    end = season_end(max(starts), latitude_deg)
    known_until = _known_until(weather, first, today)
    past_end = max(end.toordinal(), known_until + 1)
    day = np.arange(first, past_end + _DAYS_AFTER_END + 1)
    ahead = day > known_until
    years = _complete_years(weather, day[ahead & (day <= past_end)], end)
    tmin_c, tmax_c = _lookup(weather, np.where(ahead, -1, day))
    rows_min, rows_max = np.tile(tmin_c, (max(1, len(years)), 1)), np.tile(tmax_c, (max(1, len(years)), 1))
    for row, back in enumerate(years.values()):
        rows_min[row, ahead], rows_max[row, ahead] = _lookup(weather, years_back(day[ahead], back))
    return Season(
        first_day=first,
        tmin_c=rows_min,
        tmax_c=rows_max,
        years=tuple(years),
        known_until=known_until,
        complete_to=past_end,
    )


def year_of_draw(years: int, draws: int) -> npt.NDArray[np.int64]:
    """Row of the past year of each draw: draw i takes year i modulo the number of years, shape (draws,).

    Examples
    --------
    >>> year_of_draw(3, 5).tolist()
    [0, 1, 2, 0, 1]
    """
    return np.arange(draws) % max(1, years)
