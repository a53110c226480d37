from datetime import date

import numpy as np
import pandas as pd
import pytest
from astral import LocationInfo
from astral.sun import sun
from hypothesis import given
from hypothesis import strategies as st
from pvlib.solarposition import (
    declination_spencer71,
    sun_rise_set_transit_geometric,
    sun_rise_set_transit_spa,
)

from zoning.stage.daylength import day_of_year, daylength_h, numpy_dates, ordinal

LATITUDES = (30, 35, 40, 42, 45, 48)
# Geometric daylength by day of year and latitude, computed by an independent script with the formula of
# Goudriaan and van Laar 1978, printed to 0.001 h.
GEOMETRIC_H = {
    80: (11.962, 11.954, 11.945, 11.941, 11.935, 11.927),
    111: (12.879, 13.067, 13.280, 13.375, 13.529, 13.701),
    136: (13.510, 13.837, 14.211, 14.377, 14.651, 14.959),
    172: (13.934, 14.357, 14.846, 15.065, 15.427, 15.840),
    196: (13.749, 14.130, 14.568, 14.764, 15.086, 15.451),
    227: (13.071, 13.301, 13.563, 13.679, 13.868, 14.080),
    266: (11.932, 11.918, 11.901, 11.894, 11.882, 11.869),
}


@pytest.mark.parametrize("doy", GEOMETRIC_H)
def test_witness_table_of_geometric_daylength(doy):
    ours = [float(daylength_h(latitude, doy)) for latitude in LATITUDES]
    assert ours == pytest.approx(GEOMETRIC_H[doy], abs=0.001)


def test_published_daylight_hours_of_fao_56():
    # FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), example 9: 20 S, 3 September (day 246),
    # printed as 11.7 h. That formula too takes the sun's centre.
    assert float(daylength_h(-20.0, 246)) == pytest.approx(11.7, abs=0.05)


@pytest.mark.parametrize("latitude", LATITUDES)
@pytest.mark.parametrize("month_day", [(4, 20), (5, 15), (6, 20), (7, 15), (8, 15)])
def test_witness_astral_sunrise_to_sunset(latitude, month_day):
    # Largest difference that was measured on these dates: 0.09 h (48 N, 15 August). The formula knows no leap
    # years and rounds the tilt; astral follows the true sun.
    when = date(2024, *month_day)
    place = LocationInfo(latitude=latitude, longitude=0.0)
    sky = sun(place.observer, date=when)
    astral_h = (sky["sunset"] - sky["sunrise"]).total_seconds() / 3600
    doy = when.timetuple().tm_yday
    assert float(daylength_h(latitude, doy, -0.833)) == pytest.approx(astral_h, abs=0.095)


@pytest.mark.parametrize("latitude", LATITUDES)
def test_witness_astral_at_midsummer(latitude):
    # At midsummer the two agree within 0.02 h, sunrise to sunset and civil twilight alike.
    place = LocationInfo(latitude=latitude, longitude=0.0)
    sky = sun(place.observer, date=date(2024, 6, 20))
    for below, start, end in ((-0.833, "sunrise", "sunset"), (-6.0, "dawn", "dusk")):
        astral_h = (sky[end] - sky[start]).total_seconds() / 3600
        assert float(daylength_h(latitude, 172, below)) == pytest.approx(astral_h, abs=0.025)


@pytest.mark.parametrize("latitude", [-38, 0, *LATITUDES, 55])
def test_witness_pvlib_sun_on_the_horizon(latitude):
    # The centre of the sun on the horizon, declination after Spencer 1971. Ours moves round the year evenly,
    # the earth does not: in autumn it is up to three days ahead, so up to three times the largest change of
    # daylength in one day, 0.17 h at 48 N.
    doy = np.arange(1, 366)
    declination = declination_spencer71(doy)
    half_day = np.arccos(np.clip(-np.tan(np.radians(latitude)) * np.tan(declination), -1, 1))
    when = pd.DatetimeIndex(np.datetime64("2025-01-01") + (doy - 1).astype("timedelta64[D]")).tz_localize(
        "UTC"
    )
    rise, set_, _ = sun_rise_set_transit_geometric(when, latitude, 0.0, declination, 0 * declination)
    pvlib_h = np.asarray((set_ - rise).total_seconds()) / 3600
    assert pvlib_h == pytest.approx(24 / np.pi * half_day, abs=0.001)
    three_days_h = 3 * np.abs(np.diff(pvlib_h)).max()
    assert np.abs(daylength_h(latitude, doy) - pvlib_h).max() <= three_days_h + 0.001
    # through the growing season of the coefficients, planting to R3, it is at most 0.15 h even at 55 N
    season = slice(109, 227) if latitude >= 0 else slice(0, 45)
    assert np.abs(daylength_h(latitude, doy) - pvlib_h)[season].max() <= 0.155


@pytest.mark.parametrize("latitude", [-38, 0, *LATITUDES])
def test_witness_pvlib_sunrise_to_sunset(latitude):
    # The solar position algorithm of Reda and Andreas 2004, sunrise to sunset as almanacs print it. Again up
    # to three days' change of daylength.
    doy = np.arange(1, 366)
    when = pd.DatetimeIndex(np.datetime64("2025-01-01") + (doy - 1).astype("timedelta64[D]")).tz_localize(
        "UTC"
    )
    sky = sun_rise_set_transit_spa(when, latitude, 0.0)
    spa_h = np.asarray((sky["sunset"] - sky["sunrise"]).dt.total_seconds()) / 3600
    three_days_h = 3 * np.abs(np.diff(spa_h)).max()
    assert np.abs(daylength_h(latitude, doy, -0.833) - spa_h).max() <= three_days_h + 0.005


@given(st.floats(-65, 65), st.integers(1, 366))
def test_property_north_and_south_share_24_hours(latitude, doy):
    assert float(daylength_h(latitude, doy) + daylength_h(-latitude, doy)) == pytest.approx(24.0, abs=1e-9)
    assert 0 <= float(daylength_h(latitude, doy)) <= 24


def test_by_hand_equator_and_poles():
    assert daylength_h(0.0, np.arange(1, 366)) == pytest.approx(12.0)  # the sun's path is cut in half
    assert float(daylength_h(80.0, 172)) == 24.0
    assert float(daylength_h(80.0, 355)) == 0.0


def test_by_hand_day_of_year_around_29_february():
    days = np.array(
        [date(2024, 2, 29).toordinal(), date(2024, 12, 31).toordinal(), date(2025, 1, 1).toordinal()]
    )
    assert day_of_year(days).tolist() == [60, 366, 1]
    assert ordinal(numpy_dates(days)).tolist() == days.tolist()
