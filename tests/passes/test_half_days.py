"""Hours of the days to come: forecast, past years, the triple; and what is planned from them."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from made_hours import LATITUDE, LONGITUDE, at, hours, those, together, usual_limits

from zoning.inputs.given import Hourly
from zoning.passes.half_days import HalfDays
from zoning.passes.hours.ahead import Futures, HoursGiven, half_days_of, joined
from zoning.passes.hours.past import row_of_draw
from zoning.passes.hours.triple import planning_hours_per_day, triple_week_h

FIRST = date(2026, 7, 8)
DRAWS = 512


def place(hourly: Hourly | None, forecast: Hourly | None = None) -> HoursGiven:
    return HoursGiven(
        hourly=hourly,
        forecast=forecast,
        latitude_deg=LATITUDE,
        longitude_deg=LONGITUDE,
        limits=usual_limits(),
    )


def futures(**more: object) -> Futures:
    usual: dict[str, object] = {"draws": DRAWS, "seed": 1, "quantile_frac": 0.3, "season": 2026}
    return Futures(**(usual | more))  # type: ignore[arg-type]


def julys(years: dict[int, float], days: int = 60) -> Hourly:
    """Hours from June 20 on of several years, each with its own wind."""
    return together(*(hours(date(year, 6, 20), days, wind_m_s=wind) for year, wind in years.items()))


def weeks_h(half_days: HalfDays, first: int = 0) -> np.ndarray:
    """Totals of each whole week from a row on, in every future."""
    kept = half_days.futures_h[:, first:]
    whole = kept.shape[1] // 7 * 7
    return kept[:, :whole].reshape(len(kept), -1, 14).sum(axis=2)


def planned_weeks_h(half_days: HalfDays, first: int = 0) -> np.ndarray:
    kept = half_days.planned_h[first:]
    whole = len(kept) // 7 * 7
    return kept[:whole].reshape(-1, 14).sum(axis=1)


# -- the planning triple -------------------------------------------------------------------------------------


@pytest.mark.parametrize("quantile", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_the_triple_is_the_planning_figure(quantile: float) -> None:
    made, notes = half_days_of(FIRST.toordinal(), 21, place(None), futures(quantile_frac=quantile))
    assert set(made.source) == {"planning triple"}
    # futures lie on quantiles 1/512 apart, and a week of them spans up to 62 h per unit of the quantile
    assert planned_weeks_h(made) == pytest.approx(7 * planning_hours_per_day(quantile), abs=62 / 512)
    assert [note.code for note in notes] == ["hours.triple"]
    assert "no forecast" in notes[0].text


def test_by_hand_a_week_of_the_triple() -> None:
    # at the quantile .5: 5.7 days fit, of 6 h each: five whole days, one of 4.2 h, one of none
    week = triple_week_h(3, 5, 0)  # the middle future of three lies at .5
    middle = week[np.argsort(week.sum(axis=1))[1]]
    assert sorted(middle) == pytest.approx([0, 4.2, 6, 6, 6, 6, 6])


def test_weeks_of_the_triple_follow_each_other_by_chance() -> None:
    first, second = triple_week_h(DRAWS, 1, 0), triple_week_h(DRAWS, 1, 1)
    assert abs(np.corrcoef(first.sum(axis=1), second.sum(axis=1))[0, 1]) < 0.15
    assert (triple_week_h(DRAWS, 1, 0) == first).all()
    assert not (triple_week_h(DRAWS, 2, 0) == first).all()
    # every day of the week is as good as any other
    assert first.mean(axis=0) == pytest.approx(first.mean(), abs=0.4)
    assert sorted(first.sum(axis=1)) == pytest.approx(sorted(second.sum(axis=1)))


def test_halves_of_the_triple_are_alike() -> None:
    made, _ = half_days_of(FIRST.toordinal(), 9, place(None), futures())
    assert (made.futures_h[..., 0] == made.futures_h[..., 1]).all()
    assert made.planned_h.shape == (9, 2)
    assert made.futures_h.shape == (DRAWS, 9, 2)


# -- past years ----------------------------------------------------------------------------------------------

# winds at 2 m: calm under 1.34 m/s, fair to 4.47, windy above
YEARS = {2020: 3.0, 2021: 0.5, 2022: 3.0, 2023: 6.0, 2024: 3.0, 2025: 3.0}


def test_by_hand_a_future_takes_its_own_past_year() -> None:
    made, notes = half_days_of(FIRST.toordinal(), 14, place(julys(YEARS)), futures(years=tuple(YEARS)))
    assert set(made.source) == {"past years"}
    assert made.past_years == 6
    # of six years 2021 is calm and 2023 windy throughout; a fair 8 July has 5 and 7 hours
    assert made.futures_h[:6, 0].tolist() == [[5, 7], [0, 0], [5, 7], [0, 0], [5, 7], [5, 7]]
    assert made.futures_h[6:12].tolist() == made.futures_h[:6].tolist()
    # a third of the futures has none, so at the quantile .3 there are none to plan with
    assert made.planned_h.sum() == 0
    assert [note.code for note in notes] == ["hours.past_years"]
    assert "6 past years (2020, 2021, 2022, 2023, 2024, 2025)" in notes[0].text


def test_one_past_year_is_no_chance_and_is_called_one() -> None:
    made, notes = half_days_of(FIRST.toordinal(), 7, place(julys({2024: 3.0})), futures(years=(2024,)))
    assert made.planned_h == pytest.approx(made.futures_h[0])  # as it was, whatever the quantile
    assert [note.code for note in notes] == ["hours.one_past_year"]
    assert "those of the same days of 2024 alone" in notes[0].text
    assert "chance of" not in notes[0].text
    assert "past years" not in notes[0].text


def test_past_years_that_no_future_takes_are_not_counted() -> None:
    # dates of two years, of which 2019 has no hours: its futures take all six in turn, those of 2023 its own
    for years, count in (((2023,), 1), ((2019, 2023), 6), ((), 6)):
        made, _ = half_days_of(FIRST.toordinal(), 7, place(julys(YEARS)), futures(years=years))
        assert made.past_years == count
    assert half_days_of(FIRST.toordinal(), 7, place(None), futures())[0].past_years == 0


def test_by_hand_planned_hours_where_enough_futures_have_them() -> None:
    # mean of a week 4/6 of the fair one's, quantile .4: the fair one's whole; so each half is planned as fair
    made, _ = half_days_of(
        FIRST.toordinal(), 7, place(julys(YEARS)), futures(years=tuple(YEARS), quantile_frac=0.4)
    )
    assert made.planned_h == pytest.approx(made.futures_h[0])


def test_month_and_day_are_kept_in_leap_years() -> None:
    # rain that keeps the ground wet on 10 July of 2024 alone, a leap year, and on no other day
    made = julys(YEARS)
    rain = made.rain_mm.copy()
    rain[at(made, date(2024, 7, 10), 4)] = 20.0
    found, _ = half_days_of(
        FIRST.toordinal(), 7, place(replace(made, rain_mm=rain)), futures(years=tuple(YEARS))
    )
    assert found.futures_h[4].sum(axis=1).tolist() == [12, 12, 0, 12, 12, 12, 12]
    # in spring the day after 28 February counts on: 1 March of a common year is that of a leap year
    spring = together(*(hours(date(year, 2, 20), 20) for year in (2023, 2024)))
    found, _ = half_days_of(date(2026, 2, 26).toordinal(), 7, place(spring), futures(years=(2023, 2024)))
    assert found.futures_h[0].tolist() == found.futures_h[1].tolist()


def test_a_year_without_hours_is_replaced_in_turn_and_said() -> None:
    known = {year: wind for year, wind in YEARS.items() if year not in (2020, 2022)}
    made, notes = half_days_of(FIRST.toordinal(), 7, place(julys(known)), futures(years=tuple(YEARS)))
    # 2020 -> 2021 (calm), 2022 -> 2023 (windy), in the next round 2020 -> 2024, 2022 -> 2025 (both fair)
    assert (made.futures_h[:6, 0, 0] > 0).tolist() == [False, False, False, False, True, True]
    assert (made.futures_h[6:12, 0, 0] > 0).tolist() == [True, False, True, False, True, True]
    assert "hours of 2020, 2022 are not known" in notes[1].text


def test_a_year_with_few_hours_is_dropped_and_few_gaps_are_none() -> None:
    made = julys(YEARS)
    gap = (made.day >= date(2024, 7, 8).toordinal()) & (made.day <= date(2024, 7, 12).toordinal())
    small = (made.day == date(2025, 7, 9).toordinal()) & (made.hour == 12)
    found, notes = half_days_of(
        FIRST.toordinal(), 14, place(those(made, ~gap & ~small)), futures(years=tuple(YEARS))
    )
    by_code = {note.code: note.text for note in notes}
    assert "too many hours of 2024" in by_code["hours.years_dropped"]
    assert "1 hours of the past years are not known" in by_code["hours.past_gaps"]
    # rain of noon on 9 July 2025 is not known: it may rain on the four hours before, the 24 after may be wet
    assert found.futures_h[5, :4].tolist() == [[5, 7], [1, 0], [0, 6], [5, 7]]


def test_hours_of_this_season_are_no_past_year() -> None:
    # a record of the last weeks only, as the demo has
    made, notes = half_days_of(FIRST.toordinal(), 14, place(hours(date(2026, 6, 8), 30)), futures())
    assert set(made.source) == {"planning triple"}
    assert [note.code for note in notes] == ["hours.triple"]


def test_south_of_the_equator_years_are_named_by_the_end_of_their_season() -> None:
    # season 2026 begins in 2025: 20 December of the season 2024 is that of 2023
    record = together(hours(date(2022, 12, 10), 40), hours(date(2023, 12, 10), 40, wind_m_s=0.5))
    made, notes = half_days_of(date(2025, 12, 20).toordinal(), 7, place(record), futures(years=(2023, 2024)))
    assert made.futures_h[0].sum() > 0
    assert made.futures_h[1].sum() == 0
    assert "2 past years (2023, 2024)" in notes[0].text


def test_without_years_of_the_stage_the_known_ones_come_in_turn() -> None:
    assert row_of_draw([2020, 2021, 2022], [], 5).tolist() == [0, 1, 2, 0, 1]
    assert row_of_draw([2020, 2021], [2018, 2019], 5).tolist() == [0, 1, 0, 1, 0]


@settings(max_examples=25)
@given(
    winds=st.lists(st.floats(0.5, 6.0), min_size=1, max_size=8),
    quantile=st.floats(0.02, 0.98),
    seed=st.integers(0, 1000),
    draws=st.integers(1, 24),  # few, so that a quantile between two of them would be found out
)
@example(winds=[2.0, 2.5, 3.0, 4.0], quantile=0.34, seed=0, draws=4)
def test_what_is_planned_for_a_week_is_reached_in_one_less_the_quantile(
    winds: list[float], quantile: float, seed: int, draws: int
) -> None:
    rng = np.random.default_rng(seed)
    parts = []
    for year, wind in enumerate(winds, 2010):
        part = hours(date(year, 7, 1), 40)
        parts.append(replace(part, wind_m_s=np.abs(rng.normal(wind, 1.5, part.hour.size))))
    made, _ = half_days_of(
        FIRST.toordinal(), 21, place(together(*parts)), futures(quantile_frac=quantile, draws=draws)
    )
    assert set(made.source) == {"past years"}
    reached = (weeks_h(made) >= planned_weeks_h(made) - 1e-9).mean(axis=0)
    assert (reached >= 1 - quantile - 1e-9).all()
    # and no more is held back than one future: with a little more the share falls short
    short = (weeks_h(made) > planned_weeks_h(made) + 1e-9).mean(axis=0)
    assert (short <= 1 - quantile + 1e-9).all()


# -- the forecast --------------------------------------------------------------------------------------------


def test_a_forecast_is_the_same_in_every_future_and_then_years_follow() -> None:
    record = together(julys(YEARS), hours(date(2026, 6, 20), 18))
    ahead = hours(FIRST, 7)
    windy = replace(ahead, wind_m_s=np.where(ahead.day == FIRST.toordinal() + 1, 9.0, ahead.wind_m_s))
    made, notes = half_days_of(
        FIRST.toordinal(), 16, place(record, windy), futures(years=tuple(YEARS), quantile_frac=0.5)
    )
    assert made.source == ("forecast",) * 7 + ("past years",) * 9
    assert made.planned_h[:7].tolist() == [[5, 7], [0, 0], *[[5, 7]] * 5]
    assert (made.futures_h[:, :7] == made.planned_h[:7]).all()
    assert [note.code for note in notes] == ["hours.forecast", "hours.past_years"]
    assert "spray hours of Jul 8 to Jul 14" in notes[0].text
    assert "from Jul 15 on" in notes[1].text
    # weeks of seven days from the first day beyond the forecast
    assert planned_weeks_h(made, 7) == pytest.approx(np.median(weeks_h(made, 7), axis=0))


def test_the_record_counts_where_both_know_an_hour() -> None:
    record = hours(FIRST - timedelta(3), 4, wind_m_s=0.5)
    ahead = hours(FIRST, 3)
    both = joined(record, ahead)
    assert both is not None
    assert both.utc_h.size == 6 * 24
    assert (np.diff(both.utc_h) == 1).all()
    made, _ = half_days_of(FIRST.toordinal(), 3, place(record, ahead), futures())
    assert made.planned_h[0].sum() == 0
    assert made.planned_h[1].sum() == 12


def test_the_first_day_of_a_forecast_alone_has_no_hours() -> None:
    # nobody knows whether it rained the day before
    made, notes = half_days_of(FIRST.toordinal(), 3, place(None, hours(FIRST, 3)), futures())
    assert made.source == ("forecast",) * 3
    assert made.planned_h.sum(axis=1).tolist() == [0, 12, 12]
    assert notes[0].code == "hours.forecast"


def test_a_day_that_the_forecast_hardly_knows_is_left_to_the_years() -> None:
    record = hours(FIRST - timedelta(3), 3)
    ahead = hours(FIRST, 4)
    rows = np.ones(ahead.hour.size, dtype=bool)
    rows[24 + 6 : 24 + 16] = False  # ten hours of the second day
    rows[72 + 10 :] = False  # and the last day ends at ten in the morning
    made, notes = half_days_of(FIRST.toordinal(), 5, place(record, those(ahead, rows)), futures())
    assert made.source == ("forecast", "planning triple", "forecast", "planning triple", "planning triple")
    by_code = {note.code: note.text for note in notes}
    assert "2 days of the hourly forecast, the first 2026-07-09" in by_code["hours.forecast_days_unknown"]
    # one hour that is missing is none, and said
    rows[:] = True
    rows[12] = False
    made, notes = half_days_of(FIRST.toordinal(), 2, place(record, those(ahead, rows)), futures())
    assert made.source == ("forecast",) * 2
    assert made.planned_h[0].tolist() == [1, 0]
    assert "1 hours of the forecast days are not known" in notes[1].text


def test_three_hourly_hours_give_no_forecast() -> None:
    ahead = hours(FIRST, 5)
    made, notes = half_days_of(
        FIRST.toordinal(), 5, place(None, those(ahead, ahead.hour % 3 == 0)), futures()
    )
    assert set(made.source) == {"planning triple"}
    assert "hours.forecast_days_unknown" in {note.code for note in notes}


def test_wind_that_no_column_holds_gives_no_hours_and_no_years() -> None:
    record = together(julys(YEARS), hours(date(2026, 6, 20), 18))
    without = replace(record, wind_m_s=np.full(record.hour.size, np.nan))
    made, notes = half_days_of(FIRST.toordinal(), 7, place(without), futures(years=tuple(YEARS)))
    assert set(made.source) == {"planning triple"}
    assert notes[0].text.startswith("the hourly file holds no wind")


# -- shared by neighbours ------------------------------------------------------------------------------------


def test_neighbours_whose_hours_are_equal_hold_the_same_ones() -> None:
    known = julys({2024: 3.0, 2025: 9.0, 2026: 3.0})
    here = place(known)
    near = replace(here, latitude_deg=LATITUDE + 0.01, longitude_deg=LONGITUDE + 0.01)
    far = replace(here, longitude_deg=LONGITUDE + 15)  # an hour by the sun
    asked = futures(years=(2024, 2025))
    made = [half_days_of(FIRST.toordinal(), 21, one, asked)[0] for one in (here, near, far, here)]
    assert made[0] is made[1] is made[3]
    assert not np.array_equal(made[2].futures_h, made[0].futures_h)
    unlike = replace(here, limits=replace(here.limits, wind_most_mph=4.0))
    assert half_days_of(FIRST.toordinal(), 21, unlike, asked)[0] is not made[0]
    for values in (made[0].planned_h, made[0].futures_h):
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 1
