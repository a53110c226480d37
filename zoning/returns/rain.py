"""Whether the rain since planting was above, below or near normal for this place."""

from datetime import date
from functools import lru_cache

import numpy as np

from zoning.evidence import number, numbers
from zoning.inputs.given import Weather
from zoning.returns.sources import RainClass
from zoning.returns.terms import Floats


def rain_class(weather: Weather | None, planted: date, until: date) -> RainClass:
    """Class of the rain from planting to a day, against the same span of past years.

    Parameters
    ----------
    weather : Weather or None
        Daily rain. [mm]
    planted : date
        First day of the span.
    until : date
        Last day of the span: today, or the day on which R3 began if that is earlier.

    Returns
    -------
    {"above", "normal", "below"}
        The upper or the lower third of past years; "normal" also where too little is known: no weather, under
        30 days since planting, under 10 complete past years, or gaps.

    Examples
    --------
    >>> rain_class(None, date(2026, 5, 5), date(2026, 7, 8))
    'normal'
    """
    return _known_class(weather, planted, until) or "normal"


def is_missing(weather: Weather | None, planted: date, until: date) -> bool:
    """Tell whether daily weather is there, and enough time has passed, but too little of the rain is known.

    Parameters
    ----------
    weather, planted, until
        As of `rain_class`.

    Examples
    --------
    >>> is_missing(None, date(2026, 5, 5), date(2026, 7, 8))
    False
    """
    asked = weather is not None and (until - planted).days >= number("returns.rain_least_span_d")
    return asked and _known_class(weather, planted, until) is None


@lru_cache(maxsize=4)  # method: blocks, before and after they are divided
def _known_class(weather: Weather | None, planted: date, until: date) -> RainClass | None:
    """Give the class, None where too little is known."""
    if weather is None or (until - planted).days < number("returns.rain_least_span_d"):
        return None
    span_d = (until - planted).days + 1
    this_year = _mean_rain_mm(weather, planted.toordinal(), span_d)
    first_year = date.fromordinal(int(weather.day[0])).year if weather.day.size else planted.year
    past = [
        _mean_rain_mm(weather, _same_day(planted, year).toordinal(), span_d)
        for year in range(first_year, planted.year)
    ]
    known: Floats = np.array([rain for rain in past if not np.isnan(rain)])
    if np.isnan(this_year) or known.size < number("returns.rain_least_years"):
        return None
    low, high = np.quantile(known, numbers("returns.rain_class_quantiles"))
    if this_year > high:
        return "above"
    return "below" if this_year < low else "normal"


def _mean_rain_mm(weather: Weather, first_day: int, span_d: int) -> float:
    """Mean daily rain of a span, NaN where too many of its days are unknown [mm]."""
    inside = (weather.day >= first_day) & (weather.day < first_day + span_d)
    rain = weather.rain_mm[inside]
    known = rain[~np.isnan(rain)]
    enough = known.size >= number("returns.rain_least_known_frac") * span_d
    return float(known.mean()) if enough else float("nan")


def _same_day(day: date, year: int) -> date:
    if (day.month, day.day) == (2, 29):  # eq. 29 February counts as the 28th in other years
        return date(year, 2, 28)  # eq. as above
    return day.replace(year=year)
