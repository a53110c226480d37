"""Rain since planting against the same span of past years."""

from datetime import date, timedelta

import numpy as np
import pytest

from zoning.inputs.given import Weather
from zoning.returns.rain import is_missing, rain_class

PLANTED, UNTIL = date(2026, 5, 5), date(2026, 7, 8)


def weather(mm_by_year, first=(1, 1), last=(12, 31), planted_year=2026):
    """Every day of a year has the same rain; the season's own year ends on 8 July."""
    days, rain = [], []
    for year, mm in mm_by_year.items():
        day, end = date(year, *first), date(year, *last)
        while day <= end and not (year == planted_year and day > UNTIL):
            days.append(day.toordinal())
            rain.append(mm)
            day += timedelta(days=1)
    blank = np.full(len(days), 20.0)
    return Weather(day=np.array(days), tmin_c=blank, tmax_c=blank, rain_mm=np.array(rain, dtype=float))


PAST = {
    year: float(year - 2013) for year in range(2014, 2026)
}  # 1, 2, ... 12 mm a day: thirds at 4.67 and 8.33


@pytest.mark.parametrize(
    ("mm", "expected"), [(4.6, "below"), (4.7, "normal"), (8.3, "normal"), (8.4, "above"), (0.0, "below")]
)
def test_by_hand_thirds_of_twelve_years(mm, expected):
    assert rain_class(weather(PAST | {2026: mm}), PLANTED, UNTIL) == expected


def test_too_little_known_counts_as_normal():
    wet = weather(PAST | {2026: 30.0})
    assert rain_class(wet, PLANTED, UNTIL) == "above"
    assert rain_class(None, PLANTED, UNTIL) == "normal"
    assert rain_class(wet, PLANTED, PLANTED + timedelta(days=29)) == "normal"
    assert not is_missing(wet, PLANTED, PLANTED + timedelta(days=29))  # too early to tell is no gap
    assert not is_missing(None, PLANTED, UNTIL)
    assert not is_missing(wet, PLANTED, UNTIL)
    nine = {year: mm for year, mm in PAST.items() if year > 2016}
    assert rain_class(weather(nine | {2026: 30.0}), PLANTED, UNTIL) == "normal"
    assert is_missing(weather(nine | {2026: 30.0}), PLANTED, UNTIL)
    gap = wet.rain_mm.copy()
    gap[wet.day >= date(2026, 7, 3).toordinal()] = np.nan  # 6 of 65 days are more than a twentieth
    assert rain_class(
        Weather(day=wet.day, tmin_c=wet.tmin_c, tmax_c=wet.tmax_c, rain_mm=gap), PLANTED, UNTIL
    ) == ("normal")


def test_rain_after_the_last_day_does_not_count():
    season = weather(PAST | {2026: 6.0})
    later = season.rain_mm.copy()
    later[season.day > date(2026, 6, 20).toordinal()] = 90.0
    wet_later = Weather(day=season.day, tmin_c=season.tmin_c, tmax_c=season.tmax_c, rain_mm=later)
    assert rain_class(wet_later, PLANTED, date(2026, 6, 20)) == "normal"
    assert rain_class(wet_later, PLANTED, UNTIL) == "above"


def test_a_season_across_new_year():
    days = np.arange(date(2010, 7, 1).toordinal(), date(2026, 1, 20).toordinal())
    season = np.array([date.fromordinal(int(day) + 184).year for day in days])  # the harvest year
    rain = np.where(season == 2026, 9.0, season - 2010.0)
    blank = np.full(days.size, 20.0)
    south = Weather(day=days, tmin_c=blank, tmax_c=blank, rain_mm=rain)
    assert rain_class(south, date(2025, 11, 10), date(2026, 1, 19)) == "normal"
    dry = Weather(day=days, tmin_c=blank, tmax_c=blank, rain_mm=np.where(season == 2026, 2.0, rain))
    assert rain_class(dry, date(2025, 11, 10), date(2026, 1, 19)) == "below"


def test_planted_on_29_february_is_no_error():
    assert rain_class(weather(PAST | {2024: 6.0}), date(2024, 2, 29), date(2024, 5, 1)) == "normal"
