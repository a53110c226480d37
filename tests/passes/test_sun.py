"""Sunrise and sunset against a library, and at places where there is none."""

from datetime import date, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning.passes.hours.sun import sun_times


@pytest.mark.parametrize("latitude", [-45, -31, -15, 0, 20, 36, 42, 47, 55, 60])
@pytest.mark.parametrize("longitude", [-150.0, -95.4, 0.0, 139.7])
def test_sun_times_against_astral(latitude: int, longitude: float) -> None:
    """Astral as a witness: within 2 minutes, over the whole year."""
    astral = pytest.importorskip("astral", reason="astral is not installed")
    from astral.sun import sun

    observer = astral.Observer(latitude, longitude)
    clock = timezone(timedelta(hours=round(longitude / 15)))
    days = [date(2026, 1, 1) + timedelta(n) for n in range(0, 365, 9)]
    mine = sun_times(latitude, longitude, [day.toordinal() for day in days])
    for row, day in enumerate(days):
        theirs = sun(observer, date=day, tzinfo=clock)
        assert mine.rise_utc_h[row] == pytest.approx(theirs["sunrise"].timestamp() / 3600, abs=2 / 60)
        assert mine.set_utc_h[row] == pytest.approx(theirs["sunset"].timestamp() / 3600, abs=2 / 60)


def test_length_of_days_by_three_libraries() -> None:
    # sunrise to sunset in 2026 by astral and pvlib; these and ephem agree to 0.02 h, which is the tolerance
    for latitude, on, low_h, high_h in (
        (36.10, date(2026, 5, 1), 13.650, 13.671),
        (42.03, date(2026, 6, 21), 15.234, 15.247),
        (42.03, date(2026, 8, 15), 13.870, 13.895),
        (47.02, date(2026, 6, 21), 15.887, 15.900),
    ):
        sun = sun_times(latitude, -93.6, on.toordinal())
        assert low_h - 0.02 < float(sun.set_utc_h - sun.rise_utc_h) < high_h + 0.02


def test_polar_day_and_night() -> None:
    sun = sun_times(75, 20, [date(2026, 6, 21).toordinal(), date(2026, 12, 21).toordinal()])
    assert (sun.set_utc_h - sun.rise_utc_h).tolist() == pytest.approx([24, 0])
    assert sun.never_sets.tolist() == [True, False]
    for pole in (-90, 90):
        lengths = sun_times(pole, 0, np.arange(365) + date(2026, 1, 1).toordinal())
        assert set(np.round(lengths.set_utc_h - lengths.rise_utc_h, 6)) == {0.0, 24.0}


def test_no_place_beyond_the_poles() -> None:
    with pytest.raises(ValueError, match="latitude_deg must be within"):
        sun_times(91, 0, 739000)


@given(latitude=st.floats(-66, 66), longitude=st.floats(-180, 180), day=st.integers(730_000, 750_000))
def test_the_sun_rises_before_it_sets_and_stands_highest_near_noon(
    latitude: float, longitude: float, day: int
) -> None:
    sun = sun_times(latitude, longitude, day)
    noon_h = (float(sun.rise_utc_h) + float(sun.set_utc_h)) / 2
    mean_noon_h = (day - date(1970, 1, 1).toordinal()) * 24 + 12 - longitude / 15
    assert sun.rise_utc_h <= sun.set_utc_h
    assert abs(noon_h - mean_noon_h) < 0.3  # the equation of time is 16.5 min at most
