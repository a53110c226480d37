"""Hours and the rules that take them out: each by itself, all at once, at the clock's odd days, with gaps."""

from dataclasses import replace
from datetime import date, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_hours import CHICAGO, LATITUDE, LONGITUDE, at, hours, those, usual_limits

from zoning.inputs.given import Hourly
from zoning.passes.hours.counts import by_day, by_rule, main_reasons
from zoning.passes.hours.limits import HourLimits
from zoning.passes.hours.rules import CAUTIONS, RULES, Judged, judge, whole_days, wind_at_boom_frac
from zoning.passes.hours.sun import sun_times

DAY = date(2026, 7, 8)


def judged(hourly: Hourly, limits: HourLimits | None = None) -> Judged:
    return judge(hourly, LATITUDE, LONGITUDE, limits or usual_limits())


def changed(hourly: Hourly, name: str, row: int, value: float) -> Hourly:
    values = getattr(hourly, name).copy()
    values[row] = value
    return replace(hourly, **{name: values})


# -- one rule at a time --------------------------------------------------------------------------------------


def test_by_hand_the_window_of_a_fair_day() -> None:
    # 44.3 N, 95.4 W on 8 July: sun from 5:44 to 21:07 by the clock; so from 6:44, hours from 7:00 on, to
    # 19:07, hours up to that which ends at 19:00: 12 hours, 5 of them before noon. The first day has none:
    # whether it rained the day before is not known.
    found = judged(hours(DAY - timedelta(1), 3))
    mine = found.hourly.day == DAY.toordinal()
    assert found.hourly.hour[mine & found.usable].tolist() == list(range(7, 19))
    counts = by_day(found)
    assert counts.usable_h[1].tolist() == [5, 7]
    assert counts.usable_h[0].tolist() == [0, 0]
    assert found.why(at(found.hourly, DAY - timedelta(1), 12)) == ("not_known",)
    assert found.why(at(found.hourly, DAY, 3)) == ("inversion",)


def test_the_inversion_window_is_that_of_the_sun() -> None:
    found = judged(hours(DAY, 1))
    sun = sun_times(LATITUDE, LONGITUDE, DAY.toordinal())
    open_h = (found.hourly.utc_h >= sun.rise_utc_h + 1) & (found.hourly.utc_h + 1 <= sun.set_utc_h - 2)
    assert (found.out["inversion"] == ~open_h).all()
    assert 0 < found.out["inversion"].sum() < 24


@pytest.mark.parametrize(
    ("wind_mph", "reason"), [(2.9, ("calm",)), (3.01, ()), (9.99, ()), (10.1, ("windy",))]
)
def test_by_hand_wind_at_the_boom(wind_mph: float, reason: tuple[str, ...]) -> None:
    # 1 mph = 0.44704 m/s; measured at 10 m it is 0.748 of that at the boom
    made = hours(DAY - timedelta(1), 2, wind_m_s=wind_mph * 0.44704)
    found = judged(made)
    noon = at(found.hourly, DAY, 12)
    assert found.why(noon) == reason
    assert found.wind_mph[noon] == pytest.approx(wind_mph)
    higher = judged(made, usual_limits(wind_height_m=10))
    assert higher.wind_mph[noon] == pytest.approx(0.748 * wind_mph, abs=0.0005 * wind_mph)


def test_wind_grows_with_height() -> None:
    shares = [wind_at_boom_frac(height) for height in (0.1, 0.5, 1, 2, 3, 10, 30)]
    assert shares == sorted(shares, reverse=True)
    assert wind_at_boom_frac(2) == 1
    assert wind_at_boom_frac(0.1) == wind_at_boom_frac(0.5) > 1


@pytest.mark.parametrize(
    ("label_mph", "droplet", "most_mph"),
    [
        (None, "", 10), (None, "coarse", 10), (8.0, "", 8), (8.0, "coarse", 8), (13.0, "", 10),
        (13.0, "coarse", 13), (25.0, "coarse", 15), (13.0, "  ", 10),
    ],
)  # fmt: skip
def test_by_hand_more_wind_only_with_label_and_droplet(
    label_mph: float | None, droplet: str, most_mph: float
) -> None:
    assert usual_limits(max_wind_mph=label_mph, droplet=droplet).wind_most_mph == most_mph


def test_wind_that_only_the_label_allows_is_a_caution() -> None:
    made = hours(DAY - timedelta(1), 2, wind_m_s=12 * 0.44704)
    found = judged(made, usual_limits(max_wind_mph=15.0, droplet="coarse"))
    noon = at(found.hourly, DAY, 12)
    assert found.usable[noon]
    assert found.cautions_at(noon) == ("strong_wind",)
    assert judged(made, usual_limits(max_wind_mph=15.0)).why(noon) == ("windy",)


@pytest.mark.parametrize(("rainfast_h", "out"), [(None, 4), (1.0, 1), (1.5, 2), (0.0, 0), (6.0, 6)])
def test_by_hand_rain_takes_out_its_hour_and_those_before(rainfast_h: float | None, out: int) -> None:
    made = hours(DAY - timedelta(1), 3)
    rain = at(made, DAY, 15)
    found = judged(changed(made, "rain_mm", rain, 2.0), usual_limits(rainfast_h=rainfast_h))
    assert found.why(rain) == ("rain",)
    assert [found.why(rain - back) == ("rain_after",) for back in range(1, 9)] == [
        back <= out for back in range(1, 9)
    ]
    assert found.why(rain + 1) == ()  # 2 mm do not make the ground too wet


def test_by_hand_much_rain_keeps_the_ground_wet_for_a_day() -> None:
    # 13 mm from 2 to 3 in the morning: the 24 hours after it are out, the 25th is not
    made = hours(DAY - timedelta(1), 4)
    rain = at(made, DAY, 2)
    found = judged(changed(made, "rain_mm", rain, 13.0))
    wet = np.flatnonzero(found.out["wet_ground"])
    assert wet.tolist() == list(range(rain + 1, rain + 25))
    assert not judged(changed(made, "rain_mm", rain, 11.0)).out["wet_ground"].any()


def test_a_trace_of_rain_is_none() -> None:
    made = changed(hours(DAY - timedelta(1), 2), "rain_mm", at(hours(DAY - timedelta(1), 2), DAY, 12), 0.05)
    assert judged(made).usable[at(made, DAY, 12)]


def test_limits_of_temperature_and_humidity_hold_where_given() -> None:
    made = hours(DAY - timedelta(1), 2, temp_c=31.0, rh_pct=45.0)
    noon = at(made, DAY, 12)
    assert judged(made).why(noon) == ()
    strict = replace(usual_limits(), temp_most_c=30.0, rh_least_pct=50.0)
    assert judged(made, strict).why(noon) == ("hot", "dry_air")


def test_all_rules_of_an_hour_are_told() -> None:
    made = hours(DAY - timedelta(1), 2, wind_m_s=8.0)
    row = at(made, DAY, 3)
    found = judged(changed(made, "rain_mm", row, 13.0))
    assert found.why(row) == ("inversion", "rain", "windy")
    assert found.why(row + 1) == ("inversion", "wet_ground", "windy")
    assert set(found.out) == set(RULES)
    assert set(found.cautions) == set(CAUTIONS)


# -- cautions take nothing out -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("temp_c", "rh_pct", "cautions"),
    [
        # delta T by the table in test_wet_bulb
        (20, 50, ()),  # 6.30
        (24, 95, ("delta_t_low",)),  # 0.63; dew is over by noon
        (25, 40, ("delta_t_marginal",)),  # 8.62
        (20, 30, ("delta_t_marginal",)),  # 9.18
        (30, 50, ("beside_a_limit",)),  # 7.70
        (25, 30, ("delta_t_high", "beside_a_limit")),  # 10.41; Ontario's rule begins above 25 C
        (35, 40, ("delta_t_high", "heat", "beside_a_limit")),  # 10.49: Ontario's rule begins below 40 %
        (30, 30, ("delta_t_high", "hot_and_dry")),  # 11.63
    ],
)
def test_by_hand_cautions(temp_c: float, rh_pct: float, cautions: tuple[str, ...]) -> None:
    found = judged(hours(DAY - timedelta(1), 2, temp_c=temp_c, rh_pct=rh_pct))
    noon = at(found.hourly, DAY, 12)
    assert found.usable[noon]
    assert set(found.cautions_at(noon)) == set(cautions)


def test_by_hand_dew_until_two_hours_after_sunrise_unless_windy() -> None:
    # sunrise at 5:44: dew in the hours that begin by 7:43; above 5 mph the wind dries it
    still = judged(hours(DAY - timedelta(1), 2, rh_pct=92.0, wind_m_s=2.0))
    hours_with = still.hourly.hour[still.cautions["dew"] & (still.hourly.day == DAY.toordinal())]
    assert hours_with.tolist() == [0, 1, 2, 3, 4, 5, 6, 7, 21, 22, 23]
    windy = judged(hours(DAY - timedelta(1), 2, rh_pct=92.0, wind_m_s=3.0))
    hours_with = windy.hourly.hour[windy.cautions["dew"] & (windy.hourly.day == DAY.toordinal())]
    assert hours_with.tolist() == [0, 1, 2, 3, 4, 5, 21, 22, 23]
    assert not judged(hours(DAY, 1, rh_pct=85.0)).cautions["dew"].any()  # 2.6 C above its dew point


# -- what is not known ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["temp_c", "rh_pct", "wind_m_s", "rain_mm"])
def test_an_hour_with_a_missing_value_is_out_as_not_known(name: str) -> None:
    made = hours(DAY - timedelta(1), 3)
    row = at(made, DAY, 12)
    assert judged(made).usable[row]
    found = judged(changed(made, name, row, np.nan))
    assert "not_known" in found.why(row)
    assert by_day(found).unknown_h.tolist() == [0, 1, 0]


def test_rain_that_is_not_known_is_never_dry() -> None:
    # the four hours before it may be rained on, the 24 after it may be too wet
    made = hours(DAY - timedelta(1), 4)
    row = at(made, DAY + timedelta(1), 12)
    found = judged(changed(made, "rain_mm", row, np.nan))
    doubt = np.flatnonzero(found.out["not_known"] & (np.arange(made.hour.size) >= 24))
    last = made.hour.size - 1  # and of the last four hours nobody knows what follows
    assert doubt.tolist() == sorted({*range(row - 4, row + 25), *range(last - 3, last + 1)})


def test_hours_without_a_row_are_not_known() -> None:
    made = hours(DAY - timedelta(1), 3)
    rows = np.ones(made.hour.size, dtype=bool)
    rows[at(made, DAY, 9) : at(made, DAY, 12)] = False
    found = judged(those(made, rows))
    assert found.hourly.hour.tolist() == made.hour.tolist()
    assert by_day(found).unknown_h.tolist() == [0, 3, 0]
    assert "not_known" in found.why(at(made, DAY, 10))


@given(seed=st.integers(0, 10_000), missing=st.floats(0, 0.6))
def test_less_known_never_gives_more_hours(seed: int, missing: float) -> None:
    rng = np.random.default_rng(seed)
    made = hours(DAY, 6)
    made = replace(
        made,
        wind_m_s=rng.uniform(0, 7, made.hour.size),
        rain_mm=rng.choice([0, 0, 0, 0, 0, 0, 3.0], made.hour.size),
    )
    rows = rng.random(made.hour.size) >= missing
    rows[[0, -1]] = True
    full, part = judged(made), judged(those(made, rows))
    assert not (part.usable & ~full.usable).any()
    assert not part.usable[~rows].any()


def test_no_hours_at_all() -> None:
    nothing = those(hours(DAY, 1), np.zeros(24, dtype=bool))
    found = judged(nothing)
    assert found.usable.size == by_day(found).hours_h.size == 0


# -- the clock -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("on", "length"), [(date(2026, 3, 8), 23), (date(2026, 3, 11), 24), (date(2026, 11, 1), 25)]
)
def test_days_of_23_and_25_hours(on: date, length: int) -> None:
    made = hours(on - timedelta(1), 3)
    found = judged(made, replace(usual_limits(), before_sunset_h=None))
    counts = by_day(found)
    assert counts.hours_h.tolist() == [24, length, 24]
    # every hour but those of the first day and the last four is usable: the odd hour lies before noon
    assert counts.usable_h[1].tolist() == [length - 12, 12]
    # the same where rows are missing over the change
    rows = np.ones(made.hour.size, dtype=bool)
    rows[at(made, on, 4) : at(made, on, 9)] = False
    assert by_day(judged(those(made, rows))).hours_h.tolist() == [24, length, 24]


def test_morning_ends_at_noon_of_the_farms_clock() -> None:
    # the same moments by two clocks, an hour apart: 5 and 7 hours become 6 and 6 where noon comes later
    made = hours(DAY - timedelta(1), 3)
    standard = hours(DAY - timedelta(1), 3, clock=timezone(timedelta(hours=-6)))
    assert by_day(judged(made)).usable_h[1].tolist() == [5, 7]
    assert by_day(judged(standard)).usable_h[1].tolist() == [6, 6]
    assert CHICAGO.utcoffset(None) is None


def test_a_clock_half_an_hour_off() -> None:
    india = timezone(timedelta(hours=5, minutes=30))
    made = hours(DAY, 2, clock=india)
    found = whole_days(those(made, np.arange(48) % 2 == 0))
    assert found.utc_h.tolist() == made.utc_h.tolist()
    assert found.hour.tolist() == made.hour.tolist()


# -- counts --------------------------------------------------------------------------------------------------


@given(seed=st.integers(0, 10_000))
def test_counts_under_every_rule_add_up(seed: int) -> None:
    rng = np.random.default_rng(seed)
    made = hours(DAY, 5)
    made = replace(
        made,
        wind_m_s=rng.uniform(0, 7, made.hour.size),
        rain_mm=rng.choice([0, 0, 0, 0, 0, 0, 0, 8.0], made.hour.size),
    )
    found = judged(made)
    inside = made.hour >= 6
    counts = {one.rule: one for one in by_rule(found, inside)}
    for rule in RULES:
        one = counts[rule]
        assert one.out_h + one.left_h == inside.sum()
        others = np.logical_or.reduce([found.out[other] for other in RULES if other != rule])
        assert one.alone_h == (inside & ~others).sum() - (inside & found.usable).sum()
    reasons = main_reasons(found, inside)
    assert list(reasons.values()) == sorted(reasons.values(), reverse=True)
    assert all(reasons[rule] == counts[rule].out_h for rule in reasons)


def test_july_of_greensboro_as_counted_with_another_library() -> None:
    """A witness: pvlib's typical year; pandas counted 465 hours and 254 of them."""
    pvlib = pytest.importorskip(
        "pvlib", reason="pvlib, which carries the hours of Greensboro, is not installed"
    )
    source = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    frame, _ = pvlib.iotools.read_tmy3(source, map_variables=True, coerce_year=2001)
    begins = frame.index - timedelta(hours=1)  # stamps end the hour, in standard time
    made = Hourly(
        utc_h=np.array([one.timestamp() / 3600 for one in begins]),
        day=np.array([one.toordinal() for one in begins], dtype=np.int64),
        hour=np.array([one.hour for one in begins], dtype=np.int64),
        temp_c=frame["temp_air"].to_numpy(dtype=float),
        rh_pct=frame["relative_humidity"].to_numpy(dtype=float),
        wind_m_s=frame["wind_speed"].to_numpy(dtype=float),
        rain_mm=np.full(len(frame), np.nan),  # not asked here
    )
    # the thresholds of that count: wind 1.34-4.47 m/s as measured, below 30 C, 50 % or more
    limits = HourLimits(
        wind_least_mph=1.34 / 0.44704,
        wind_most_mph=4.47 / 0.44704,
        wind_caution_mph=10,
        wind_height_m=2,
        rainfast_h=None,
        wet_ground_mm=None,
        before_sunset_h=None,
        after_sunrise_h=0,
        temp_most_c=np.nextafter(30, 0),
        rh_least_pct=50,
    )
    found = judge(made, 36.1, -79.95, limits)
    july = range(date(2001, 7, 1).toordinal(), date(2001, 8, 1).toordinal())
    # stamps 06 to 20 are the hours that begin at 5 to 19
    inside = np.isin(found.hourly.day, july) & (found.hourly.hour >= 5) & (found.hourly.hour < 20)
    assert inside.sum() == 465
    assert (inside & found.usable).sum() == 254
