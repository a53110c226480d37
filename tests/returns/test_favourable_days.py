"""Favourable days around R3: the rule by hand, hours that are not known, and real hours against pandas."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.evidence import entry, named
from zoning.inputs.given import Hourly
from zoning.returns.favourable import odds_of_response, weather_class

R3 = date(2026, 7, 14).toordinal()
FIRST, LAST = R3 - 14, R3 + 14


def hours_of(first: int, days: int, temp_c: float = 22.0, humid_h: int = 0) -> Hourly:
    """Days that are all alike: the first hours of each humid, the others at 60 %."""
    day = np.repeat(np.arange(first, first + days), 24)
    hour = np.tile(np.arange(24), days)
    return Hourly(
        utc_h=day * 24.0 + hour,
        day=day,
        hour=hour,
        temp_c=np.full(day.size, temp_c),
        rh_pct=np.where(hour < humid_h, 95.0, 60.0),
        wind_m_s=np.full(day.size, np.nan),
        rain_mm=np.full(day.size, np.nan),
    )


def with_humid(first: int, days: int, humid_days: list[int], humid_h: int = 10) -> Hourly:
    """Make dry days, of which some are humid."""
    made = hours_of(first, days)
    humid = np.isin(made.day, humid_days) & (made.hour < humid_h)
    made.rh_pct[humid] = 95.0
    return made


def without(made: Hourly, gone: np.ndarray) -> Hourly:
    return Hourly(**{name: getattr(made, name)[~gone] for name in Hourly.__slots__})


# -- the rule, by hand ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("temp_c", "humid_h", "favourable"),
    [
        (18.0, 10, 29),  # both limits belong to it
        (26.0, 10, 29),
        (17.9, 24, 0),
        (26.1, 24, 0),
        (22.0, 9, 0),  # an hour short
        (22.0, 24, 29),
    ],
)
def test_by_hand_a_day_is_favourable_by_its_mean_and_ten_humid_hours(temp_c, humid_h, favourable):
    # 14 days before R3, R3 itself and 14 after: 29 days, all alike
    found, count, known = weather_class(hours_of(FIRST - 5, 40, temp_c, humid_h), R3, LAST + 3)
    assert (count, known) == (favourable, 29)
    assert found == ("favourable" if favourable else "unfavourable")


def test_by_hand_94_percent_is_not_humid():
    made = hours_of(FIRST, 29, 22.0, 24)
    made.rh_pct[:] = 94.9
    assert weather_class(made, R3, LAST) == ("unfavourable", 0, 29)


def test_by_hand_the_mean_is_that_of_the_day_not_of_its_humid_hours():
    # 12 h at 16 C and humid, 12 h at 30 C and dry: mean 23, within 18 to 26
    made = hours_of(FIRST, 29, 30.0, 12)
    made.temp_c[made.hour < 12] = 16.0
    assert weather_class(made, R3, LAST) == ("favourable", 29, 29)


@pytest.mark.parametrize(
    ("days", "found"),
    [
        ([R3], "unfavourable"),  # one is not enough
        ([R3, R3 + 1], "favourable"),
        ([R3, R3 + 6], "favourable"),  # first and last day of a week
        ([R3, R3 + 7], "unfavourable"),  # eight days
        ([FIRST - 1, FIRST], "unfavourable"),  # the first lies before the time that counts
        ([FIRST, FIRST + 1], "favourable"),
        ([LAST - 1, LAST], "favourable"),
        ([LAST, LAST + 1], "unfavourable"),
    ],
)
def test_by_hand_two_days_of_a_week_around_r3(days, found):
    assert weather_class(with_humid(FIRST - 5, 45, days), R3, LAST + 10)[0] == found


def test_the_part_of_r3s_day_that_has_passed_is_nothing():
    made = with_humid(FIRST - 5, 45, [FIRST, FIRST + 1])
    assert weather_class(made, R3 + 0.9, LAST + 10.5) == weather_class(made, R3, LAST + 10)


# -- today ---------------------------------------------------------------------------------------------------


def test_what_comes_after_today_is_not_looked_at():
    made = with_humid(FIRST - 5, 45, [R3 + 2, R3 + 3])
    assert weather_class(made, R3, R3 + 2) == ("unfavourable", 1, 17)
    assert weather_class(made, R3, R3 + 3) == ("favourable", 2, 18)


def test_before_the_time_begins_and_without_hours_nothing_is_known():
    made = hours_of(FIRST - 30, 60, 22.0, 24)
    assert weather_class(made, R3, FIRST - 1) == ("unknown", 0, 0)
    assert weather_class(None, R3, R3) == ("unknown", 0, 0)
    assert weather_class(hours_of(FIRST - 400, 60), R3, R3) == ("unknown", 0, 0)


def test_by_hand_a_week_must_have_passed_to_call_it_unfavourable():
    made = hours_of(FIRST, 29)
    assert weather_class(made, R3, FIRST + 5) == ("unknown", 0, 6)
    assert weather_class(made, R3, FIRST + 6) == ("unfavourable", 0, 7)


# -- what is not known ---------------------------------------------------------------------------------------


def test_missing_hours_are_not_dry():
    made = hours_of(FIRST, 29, 22.0, 9)  # an hour short of favourable, with two hours gone
    made.rh_pct[made.hour >= 22] = np.nan
    assert weather_class(made, R3, LAST) == ("unknown", 0, 0)
    made.rh_pct[made.hour < 2] = 60.0  # now 7 + 2 cannot make 10
    assert weather_class(made, R3, LAST) == ("unfavourable", 0, 29)


def test_missing_rows_are_as_missing_values():
    made = hours_of(FIRST, 29, 22.0, 9)
    gone = made.hour >= 22
    assert weather_class(without(made, gone), R3, LAST) == ("unknown", 0, 0)


def test_by_hand_a_mean_needs_twenty_hours_but_a_dry_day_none():
    humid, dry = hours_of(FIRST, 29, 22.0, 12), hours_of(FIRST, 29, 22.0, 0)
    for made in (humid, dry):
        made.temp_c[made.hour >= 19] = np.nan
    assert weather_class(humid, R3, LAST) == ("unknown", 0, 0)
    assert weather_class(dry, R3, LAST) == ("unfavourable", 0, 29)
    humid.temp_c[humid.hour == 19] = 22.0
    assert weather_class(humid, R3, LAST) == ("favourable", 29, 29)


def test_two_unknown_days_of_a_week_may_have_been_favourable():
    made = hours_of(FIRST, 29)
    assert weather_class(without(made, made.day == R3), R3, LAST) == ("unfavourable", 0, 28)
    pair = (made.day == R3) | (made.day == R3 + 6)
    assert weather_class(without(made, pair), R3, LAST) == ("unknown", 0, 27)
    apart = (made.day == R3) | (made.day == R3 + 7)
    assert weather_class(without(made, apart), R3, LAST) == ("unfavourable", 0, 27)
    beside = with_humid(FIRST, 29, [R3 + 1])
    assert weather_class(without(beside, beside.day == R3), R3, LAST) == ("unknown", 1, 28)


def test_the_hours_of_today_that_are_still_to_come_are_no_gap():
    made = with_humid(FIRST, 29, [R3 - 1])
    so_far = without(made, (made.day > R3) | ((made.day == R3) & (made.hour >= 8)))
    assert weather_class(so_far, R3, R3) == ("unfavourable", 1, 14)
    assert weather_class(so_far, R3, R3 + 1) == ("unknown", 1, 14)


def test_two_favourable_days_are_enough_whatever_else_is_missing():
    made = hours_of(R3, 2, 22.0, 12)
    assert weather_class(made, R3, LAST) == ("favourable", 2, 2)


@given(st.lists(st.booleans(), min_size=29, max_size=29), st.integers(0, 2**29 - 1), st.integers(0, 28))
def test_an_hour_less_never_turns_the_class_into_its_opposite(humid, gone, today):
    made = with_humid(FIRST, 29, [FIRST + at for at, one in enumerate(humid) if one])
    full = weather_class(made, R3, FIRST + today)
    holes = np.array([bool(gone >> at & 1) for at in range(29)])[made.day - FIRST] & (made.hour % 3 == 0)
    holes &= made.day < FIRST + today
    part = weather_class(without(made, holes), R3, FIRST + today)
    assert part[0] in (full[0], "unknown")
    assert part[1] <= full[1]
    assert part[2] <= full[2]


@given(st.permutations(range(29 * 24)))
def test_the_order_of_hours_does_not_matter(order):
    made = with_humid(FIRST, 29, [R3, R3 + 3])
    mixed = Hourly(**{name: getattr(made, name)[list(order)] for name in Hourly.__slots__})
    assert weather_class(mixed, R3, LAST) == weather_class(made, R3, LAST)


# -- how little it says --------------------------------------------------------------------------------------


def test_by_hand_the_odds_are_those_of_the_counts():
    # 20 of 21 places met the rule, 7 of 21 responded (Zhou 2018, abstract, APS). If all 7 met it, so did 13
    # of the other 14. One place added to each cell: 8/9 over 14/16, and 1/9 over 2/16.
    assert odds_of_response("favourable") == pytest.approx((8 / 9) / (14 / 16))
    assert odds_of_response("unfavourable") == pytest.approx((1 / 9) / (2 / 16))
    assert odds_of_response("unknown") == 1


def test_published_the_rule_is_that_of_the_advisory_and_its_low_specificity_is_told():
    # Mehl, Holshouser, Zhou, Virginia Tech advisory 2019; Zhou 2018: 18-26 C, 10 h at 95 %, 2 days a week
    rule = named("returns.favourable_rule")
    assert rule == {
        "low_c": 18, "high_c": 26, "hours": 10, "rh_pct": 95, "days": 2, "week_d": 7, "reach_d": 14
    }  # fmt: skip
    assert entry("returns.favourable_rule").kind == "published"
    assert "20 of 21 places met it, 7 of 21 responded" in entry("returns.favourable_rule").note
    assert named("returns.favourable_counts") == {"sites": 21, "met": 20, "responded": 7}
    assert entry("returns.favourable_added_sites").kind == "assumption"


# -- real hours ----------------------------------------------------------------------------------------------


def test_real_hours_of_greensboro_against_pandas(tmp_path: Path) -> None:
    """A typical year of Greensboro NC, through a file and our reader, against pandas."""
    pvlib = pytest.importorskip(
        "pvlib", reason="pvlib, which carries the hours of Greensboro, is not installed"
    )
    pd = pytest.importorskip("pandas")
    from datetime import timedelta, timezone

    from zoning.inputs.weather_files import hourly

    source = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    frame, _ = pvlib.iotools.read_tmy3(source, map_variables=True, coerce_year=2001)
    # stamps end the hour and are in standard time: an hour earlier is its beginning
    began = frame.index.tz_localize(None) - pd.Timedelta(hours=1)
    table = pd.DataFrame(
        {
            "temp": frame["temp_air"].to_numpy(),
            "rh": frame["relative_humidity"].to_numpy(),
        },
        index=began,
    ).loc["2001-04-01":"2001-10-31"]
    path = tmp_path / "hours.csv"
    rows = [f"{when:%Y-%m-%d %H:%M},{row.temp},{row.rh}" for when, row in table.iterrows()]
    path.write_text("\n".join(["time,temp_c,rh_pct", *rows]) + "\n")
    clock = timezone(timedelta(hours=-5))
    given, notes = hourly.with_notes(path, date(2001, 12, 31), clock)
    assert notes == ()
    assert given.temp_c.size == len(table) == 214 * 24

    by_day = table.groupby(table.index.date)
    good = by_day["temp"].mean().between(18, 26) & by_day["rh"].apply(lambda rh: (rh >= 95).sum() >= 10)
    good.index = pd.DatetimeIndex(good.index)
    assert good["2001-06-01":"2001-08-31"].sum() == 2  # of 92, as the note of the rule says
    classes = []
    for r3 in pd.date_range("2001-04-15", "2001-10-10", freq="D"):
        around = good[r3 - pd.Timedelta(days=14) : r3 + pd.Timedelta(days=14)]
        high_risk = around.astype(int).rolling(7, min_periods=1).sum().max() >= 2
        found = weather_class(given, r3.date().toordinal(), date(2001, 10, 31).toordinal())
        assert found == ("favourable" if high_risk else "unfavourable", around.sum(), 29)
        classes.append(found[0])
    assert set(classes) == {"favourable", "unfavourable"}
