from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from zoning.inputs.given import Weather
from zoning.stage.years import season, season_end, year_of_draw, years_back

TODAY = date(2026, 6, 20)
PLANTED = [date(2026, 5, 6)]
NORTH, SOUTH = 44.3, -31.9


def only(weather: Weather, keep) -> Weather:
    """The rows whose date is kept."""
    rows = np.array([keep(date.fromordinal(int(day))) for day in weather.day])
    return replace(weather, day=weather.day[rows], tmin_c=weather.tmin_c[rows], tmax_c=weather.tmax_c[rows])


def column(one, when: date) -> int:
    return when.toordinal() - one.first_day


@pytest.fixture
def record(make_weather):
    return make_weather(date(2015, 1, 1), TODAY)


def test_by_hand_all_past_years_oldest_first(record):
    given = season(record, PLANTED, TODAY, NORTH)
    assert given.years == tuple(range(2015, 2026))
    assert date.fromordinal(given.known_until) == TODAY
    assert given.complete_to == date(2026, 9, 30).toordinal()
    assert given.gaps() == ()


def test_by_hand_seen_days_are_seen_and_later_ones_come_from_one_past_year(record):
    given = season(record, PLANTED, TODAY, NORTH)
    seen = record.tmin_c[record.day == date(2026, 6, 1).toordinal()][0]
    assert (given.tmin_c[:, column(given, date(2026, 6, 1))] == seen).all()
    for row, year in enumerate(given.years):
        for month, day in ((6, 21), (7, 15), (9, 30), (12, 5)):
            then = record.tmax_c[record.day == date(year, month, day).toordinal()][0]
            assert given.tmax_c[row, column(given, date(2026, month, day))] == then


@pytest.mark.parametrize("missing", [date(2019, 6, 21), date(2019, 9, 30), date(2019, 8, 1)])
def test_by_hand_a_year_with_one_day_missing_in_the_window_is_left_out(record, missing):
    given = season(only(record, lambda day: day != missing), PLANTED, TODAY, NORTH)
    assert given.years == (2015, 2016, 2017, 2018, 2020, 2021, 2022, 2023, 2024, 2025)


@pytest.mark.parametrize("missing", [date(2019, 6, 20), date(2019, 1, 5), date(2019, 10, 1)])
def test_by_hand_days_outside_the_window_may_be_missing(record, missing):
    given = season(only(record, lambda day: day != missing), PLANTED, TODAY, NORTH)
    assert 2019 in given.years


def test_by_hand_a_missing_maximum_counts_as_a_missing_day(record):
    tmax = record.tmax_c.copy()
    tmax[record.day == date(2020, 7, 4).toordinal()] = np.nan
    assert 2020 not in season(replace(record, tmax_c=tmax), PLANTED, TODAY, NORTH).years


def test_by_hand_summers_only_are_enough(record):
    given = season(only(record, lambda day: 4 <= day.month <= 9), PLANTED, TODAY, NORTH)
    assert given.years == tuple(range(2015, 2026))


def test_by_hand_no_past_year(make_weather):
    given = season(make_weather(date(2026, 1, 1), TODAY), PLANTED, TODAY, NORTH)
    assert given.years == ()
    assert given.tmin_c.shape[0] == 1
    assert np.isnan(given.tmin_c[0, column(given, TODAY + timedelta(days=1))])


def test_by_hand_the_window_begins_after_the_last_forecast_day(make_weather):
    weather = replace(make_weather(date(2015, 1, 1), date(2026, 6, 27)), forecast_until=date(2026, 6, 27))
    without = only(weather, lambda day: day != date(2019, 6, 25))
    given = season(without, PLANTED, TODAY, NORTH)
    assert date.fromordinal(given.known_until) == date(2026, 6, 27)
    assert 2019 in given.years  # 25 June is not needed any more


def test_by_hand_rows_after_today_do_not_count(make_weather):
    weather = make_weather(date(2015, 1, 1), date(2026, 9, 1))
    assert date.fromordinal(season(weather, PLANTED, TODAY, NORTH).known_until) == TODAY


def test_by_hand_a_file_that_ends_early_hands_over_early(make_weather):
    given = season(make_weather(date(2015, 1, 1), date(2026, 6, 1)), PLANTED, TODAY, NORTH)
    assert date.fromordinal(given.known_until) == date(2026, 6, 1)


def test_by_hand_a_gap_of_this_season_is_named(record):
    holes = (date(2026, 5, 20), date(2026, 5, 21))
    assert season(only(record, lambda day: day not in holes), PLANTED, TODAY, NORTH).gaps() == holes


def test_by_hand_past_weather_only_stands_in_from_planting(make_weather):
    given = season(make_weather(date(2015, 1, 1), date(2025, 12, 31)), PLANTED, TODAY, NORTH)
    assert given.known_until == PLANTED[0].toordinal() - 1
    assert len(given.years) == 11
    assert np.isfinite(given.tmin_c).all()


def test_by_hand_29_february_is_dropped():
    # 28 February, 1 and 2 March 2026 stand for the same days of 2024, a leap year; 29 February is not used.
    days = np.array([date(2026, 2, 28).toordinal() + step for step in range(3)])
    then = [date.fromordinal(int(day)).isoformat() for day in years_back(days, 2)]
    assert then == ["2024-02-28", "2024-03-01", "2024-03-02"]
    # and the other way round 29 February 2028 takes the day before it
    leap = np.array([date(2028, 2, 29).toordinal(), date(2028, 3, 1).toordinal()])
    then = [date.fromordinal(int(day)).isoformat() for day in years_back(leap, 1)]
    assert then == ["2027-02-28", "2027-03-01"]


@pytest.mark.parametrize("back", range(1, 30))
def test_property_every_day_keeps_its_month_and_day(back):
    days = np.arange(date(2027, 1, 1).toordinal(), date(2028, 12, 31).toordinal())
    for now, then in zip(days, years_back(days, back), strict=True):
        today, past = date.fromordinal(int(now)), date.fromordinal(int(then))
        kept = (2, 28) if (today.month, today.day) == (2, 29) else (today.month, today.day)
        assert (past.year, past.month, past.day) == (today.year - back, *kept)


def test_by_hand_a_southern_season_crosses_new_year(make_weather):
    today, planted = date(2026, 12, 20), [date(2026, 11, 10)]
    weather = make_weather(date(2018, 7, 1), today, south=True)
    given = season(weather, planted, today, SOUTH)
    # Named by the year in which the season ends. The first is 20 Dec 2018 - 31 March 2019.
    assert given.years == (2019, 2020, 2021, 2022, 2023, 2024, 2025, 2026)
    assert date.fromordinal(given.complete_to) == date(2027, 3, 31)
    row = given.years.index(2021)
    for now, then in ((date(2026, 12, 31), date(2020, 12, 31)), (date(2027, 1, 1), date(2021, 1, 1))):
        past = weather.tmin_c[weather.day == then.toordinal()][0]
        assert given.tmin_c[row, column(given, now)] == past
    # a hole on either side of New Year takes the whole season out
    for hole in (date(2020, 12, 28), date(2021, 2, 3)):
        holed = season(only(weather, lambda day, hole=hole: day != hole), planted, today, SOUTH)
        assert 2021 not in holed.years
        assert len(holed.years) == 7


def test_by_hand_after_new_year_in_the_south(make_weather):
    today, planted = date(2027, 1, 15), [date(2026, 11, 10)]
    given = season(make_weather(date(2018, 7, 1), today, south=True), planted, today, SOUTH)
    assert given.years == (2019, 2020, 2021, 2022, 2023, 2024, 2025, 2026)


def test_by_hand_season_ends():
    assert season_end(date(2026, 5, 6), NORTH) == date(2026, 9, 30)
    assert season_end(date(2026, 11, 10), SOUTH) == date(2027, 3, 31)
    assert season_end(date(2027, 1, 20), SOUTH) == date(2027, 3, 31)
    assert season_end(date(2026, 9, 30), NORTH) == date(2027, 9, 30)


def test_every_field_of_a_file_uses_the_same_years(record):
    holed = only(record, lambda day: day not in (date(2017, 8, 20), date(2022, 5, 30)))
    one = season(holed, [date(2026, 4, 25)], TODAY, NORTH)
    other = season(holed, [date(2026, 5, 20), date(2026, 6, 15)], TODAY, NORTH)
    assert one.years == other.years
    assert 2017 not in one.years
    assert 2022 in one.years


def test_by_hand_draws_take_years_in_turn():
    assert year_of_draw(4, 10).tolist() == [0, 1, 2, 3, 0, 1, 2, 3, 0, 1]
    assert year_of_draw(0, 3).tolist() == [0, 0, 0]


def test_an_empty_weather_table_knows_nothing():
    nothing = np.array([])
    empty = Weather(day=nothing.astype(np.int64), tmin_c=nothing, tmax_c=nothing, rain_mm=nothing)
    given = season(empty, PLANTED, TODAY, NORTH)
    assert given.years == ()
    assert np.isnan(given.tmin_c).all()
