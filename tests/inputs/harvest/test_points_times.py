"""Times in the forms in which they are written, told from the moment that was meant."""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pandas
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from made_points import COUNT, as_csv, asked, dry, truth, with_places

from zoning.errors import InputError
from zoning.inputs.harvest.points import times
from zoning.inputs.harvest.points.read import read

CHICAGO = ZoneInfo("America/Chicago")
FORMS = {
    "%Y-%m-%d %H:%M:%S": "", "%Y-%m-%dT%H:%M:%S": "", "%Y/%m/%d %H:%M:%S": "", "%Y%m%d%H%M%S": "",
    "%Y%m%d %H:%M:%S": "", "%Y%m%dT%H%M%S": "", "%Y.%m.%d %H:%M:%S": "",
    "%m/%d/%Y %H:%M:%S": "month first", "%m/%d/%Y %I:%M:%S %p": "month first",
    "%m-%d-%Y %I:%M:%S%p": "month first", "%m/%d/%y %H:%M:%S": "month first",
    "%d/%m/%Y %H:%M:%S": "day first", "%d-%m-%Y %H:%M:%S": "day first", "%d.%m.%Y %H:%M:%S": "",
    "%d %b %Y %H:%M:%S": "", "%d-%b-%Y %H:%M:%S": "", "%b %d, %Y %I:%M:%S %p": "", "%B %d %Y %H:%M:%S": "",
    "%d %B %Y, %H:%M:%S": "",
}  # fmt: skip
MOMENTS = st.datetimes(datetime(2001, 1, 1), datetime(2068, 12, 31)).map(
    lambda one: one.replace(microsecond=0)
)


def told(cells, unit="", dates=None, clock=CHICAGO):
    return times.read(cells, dates, unit, clock, ("p.csv: Time", "time"))


@given(st.lists(MOMENTS, min_size=1, max_size=5), st.sampled_from(sorted(FORMS)))
@example([datetime(2026, 10, 5, 0, 0, 1), datetime(2026, 10, 5, 12, 0, 0)], "%m/%d/%Y %I:%M:%S %p")
def test_every_form_gives_the_moment_that_was_written(moments, form):
    assume(any(one.time() != datetime.min.time() for one in moments))
    clock = told([one.strftime(form) for one in moments], FORMS[form])
    witness = pandas.to_datetime([one.strftime(form) for one in moments], format=form)
    expected = [(one.to_pydatetime() - datetime(1, 1, 1)).total_seconds() for one in witness]
    assert clock.wrong == ()
    np.testing.assert_allclose(clock.seconds - clock.seconds[0], np.array(expected) - expected[0], atol=1e-4)
    assert clock.days.tolist() == [one.toordinal() for one in moments]


@given(MOMENTS, st.integers(-12 * 60, 14 * 60))
def test_a_zone_is_brought_to_the_clock_of_the_farm(moment, offset_min):
    assume(abs(offset_min) % 60 in (0, 30, 45))
    zoned = moment.replace(tzinfo=timezone(timedelta(minutes=offset_min)))
    clock = told([zoned.isoformat(), (zoned + timedelta(seconds=7)).astimezone(UTC).isoformat()])
    assert clock.seconds[1] - clock.seconds[0] == pytest.approx(7)
    assert clock.days[0] == zoned.astimezone(CHICAGO).toordinal()
    utc = zoned.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S")
    for ending in ("Z", " UTC", " GMT", "+00:00", "+0000"):
        same = told([f"{utc}{ending}"])
        assert same.days[0] == clock.days[0]
        assert same.seconds[0] == pytest.approx(clock.seconds[0])


def test_by_hand_the_hour_that_comes_twice_in_autumn():
    # in Chicago 1 November 2026 has 01:30 twice, at 06:30Z and 07:30Z
    clock = told(["2026-11-01T06:30:00Z", "2026-11-01T07:30:00Z"])
    assert clock.seconds[1] - clock.seconds[0] == 3600
    assert [date.fromordinal(day) for day in clock.days] == [date(2026, 11, 1)] * 2
    # with a row that has no zone all go by the farm's clock, on which the two are one
    mixed = told(["2026-11-01T06:30:00Z", "2026-11-01T07:30:00Z", "2026-11-01 01:31:00"])
    assert (mixed.seconds - mixed.seconds[0]).tolist() == [0, 0, 60]


@given(
    st.lists(st.integers(0, 10**6), min_size=1, max_size=6),
    st.sampled_from(["s", "ms", "", "epoch", "epoch ms"]),
)
def test_numbers_count_seconds_or_milliseconds(steps, kind):
    began = 1_791_208_800  # 5 October 2026, 14:00Z
    step = 0.001 if "ms" in kind else 1.0
    first = began / step if kind.startswith("epoch") else 0
    unit = kind if kind in ("s", "ms") else ""
    numbers = first + np.array(sorted(steps), dtype=float)
    for cells in (numbers, [f"{one:.0f}" for one in numbers]):
        clock = told(cells, unit)
        np.testing.assert_allclose(clock.seconds - clock.seconds[0], (numbers - numbers[0]) * step, atol=1e-3)
        if kind.startswith("epoch"):
            meant = [datetime.fromtimestamp(one * step, CHICAGO).toordinal() for one in numbers]
            assert clock.days.tolist() == meant
        else:
            assert not clock.days.any()


def test_dates_that_may_be_two_days_are_refused_until_it_is_told():
    cells = ["05/06/2026 10:00:00", "05/07/2026 10:00:00"]
    with pytest.raises(
        InputError, match="05/06/2026 is one day for some readers and another for others"
    ) as caught:
        told(cells)
    assert caught.value.code == 3
    assert "\n" not in str(caught.value)
    assert date.fromordinal(told(cells, "month first").days[0]) == date(2026, 5, 6)
    assert date.fromordinal(told(cells, "day first").days[0]) == date(2026, 6, 5)


@pytest.mark.parametrize(
    ("cells", "first"),
    [
        (["10/13/2026 09:00", "10/05/2026 09:00"], date(2026, 10, 13)),
        (["13/10/2026 09:00", "05/10/2026 09:00"], date(2026, 10, 13)),
        (["10/10/2026 09:00"], date(2026, 10, 10)),  # both ways the same day
    ],
)
def test_a_day_that_is_no_month_says_which_is_which(cells, first):
    assert date.fromordinal(told(cells).days[0]) == first


@pytest.mark.parametrize(
    "wrong",
    [
        *("noon", "25:00:00", "2026-02-30 10:00", "2026-10-05 10:61", "13:00 PM", "99/99/2026 10:00"),
        *("1:2:3:4", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59-07:00"),  # none on the farm's clock
    ],
)
def test_what_is_no_time_is_named(wrong):
    assert told(["2026-10-05 10:00:00", wrong]).wrong == (1,)


@given(st.lists(st.text(max_size=25), max_size=5))
def test_any_text_is_a_time_or_is_named(texts):
    try:
        clock = told(texts)
    except InputError as error:
        told_code = error.code
    else:
        told_code = 3
        assert set(clock.wrong) <= {at for at, text in enumerate(texts) if text}
    assert told_code == 3


def test_a_date_and_a_time_beside_it():
    dates = ["2026-10-05", "2026-10-05", "2026-10-06", ""]
    for cells in (["23:59:58", "23:59:59", "0:00:00", "0:00:01"], np.array([86398.0, 86399.0, 0.0, 1.0])):
        clock = told(cells, dates=dates)
        assert (clock.seconds - clock.seconds[0])[:3].tolist() == [0, 1, 2]
        assert np.isnan(clock.seconds[3])
        assert [date.fromordinal(day).day for day in clock.days[:3]] == [5, 5, 6]
    whole = told(["2026-10-05 10:00:00"] * 4, dates=dates)  # the time has its date already
    assert not np.isnan(whole.seconds).any()


def test_dates_alone_are_no_times():
    clock = told(["2026-10-05", "2026-10-06"])
    assert np.isnan(clock.seconds).all()
    assert not clock.is_known
    assert [date.fromordinal(day) for day in clock.days] == [date(2026, 10, 5), date(2026, 10, 6)]


def test_parts_of_a_second_and_times_without_a_day():
    clock = told(["9:00:00.25", "9:00:01,75", "", "9:01"])
    assert (clock.seconds - clock.seconds[0])[[1, 3]].tolist() == [1.5, 59.75]
    assert np.isnan(clock.seconds[2])
    assert not clock.days.any()


def test_days_of_the_points_inside_are_the_days_of_harvest(tmp_path):
    made = truth()
    table = with_places(dry())
    del table["Time"]
    table["Date"] = ["10/05/2026"] * 120 + ["10/13/2026"] * 120
    table["Time of day"] = [
        f"{9 + int(one // 3600)}:{int(one % 3600 // 60):02}:{one % 60:04.1f}" for one in made["time_s"]
    ]
    points = read(as_csv(tmp_path / "p.csv", table), "p", asked())
    assert points.harvested == (date(2026, 10, 5), date(2026, 10, 13))
    assert points.columns["time"] == "Date + Time of day"
    gaps = np.diff(points.time_s)
    assert gaps[119] == pytest.approx(8 * 86_400 + np.diff(made["time_s"])[119])
    named = read(tmp_path / "p.csv", "p", asked(columns={"time": "date + time of day"}))
    np.testing.assert_array_equal(named.time_s, points.time_s)


def test_one_time_missing_is_one_missing(tmp_path):
    table = with_places(dry())
    table["Time"] = [*table["Time"][:4], "", *table["Time"][5:]]
    points = read(as_csv(tmp_path / "p.csv", table), "p", asked())
    assert np.flatnonzero(np.isnan(points.time_s)).tolist() == [4]
    assert points.count == COUNT
