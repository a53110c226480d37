"""Yields at the standard moisture, from whatever a file gives."""

from dataclasses import replace

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_passes import HEADER_M, Made, as_yields, harvest, points_of

from zoning.strips.cleaned.along import runs_of
from zoning.strips.cleaned.tracks import tracks
from zoning.strips.cleaned.yields import Grain, measured, soybeans
from zoning.units import KG_PER_LB, M_PER_IN

UNIT = pint.UnitRegistry()
CORN = Grain(bushel_kg=56 * KG_PER_LB, moisture_frac=0.155)
ROW = {  # 10 lb/s for 1 s at 12 % over 80 in x 360 in
    "flow_kg_s": 10 * KG_PER_LB,
    "interval_s": 1.0,
    "moisture_frac": 0.12,
    "distance_m": 80 * M_PER_IN,
    "swath_m": 360 * M_PER_IN,
}


def seen(points, header_m=HEADER_M, grain=None):
    passes = tracks(points, header_m)
    return measured(points, passes, runs_of(passes.number), header_m, grain or soybeans())


def a_pass(count=20, **columns):
    """A pass north, 2 m and a second a point."""
    full = {
        name: np.full(count, value) if isinstance(value, float) else value for name, value in columns.items()
    }
    return points_of(
        east_m=np.zeros(count), north_m=2.0 * np.arange(count), **({"time_s": np.arange(float(count))} | full)
    )


@pytest.mark.parametrize(("grain", "expected"), [(soybeans(), 36.717), (CORN, 40.504)])
def test_published_row_of_a_combine(grain, expected):
    # mass x seconds x (100 - moist)/(100 - standard) / bushel / (dist x swath / 6272640): the form in the
    # documentation of gartner.corn (R package agridat), which has 56 lb and 15.5 %. The row, by either grain:
    # 10 x 88/87 / 60 / (80 x 360/6272640) = 36.717; 10 x 88/84.5 / 56 / (80 x 360/6272640) = 40.504
    yields = seen(a_pass(**ROW), grain=grain).yield_bu_ac
    np.testing.assert_allclose(yields, expected, atol=0.0005)


@given(
    lb_s=st.floats(0.1, 60), moisture=st.floats(0.05, 0.3), inches=st.floats(10, 200), feet=st.floats(5, 50)
)
def test_pint_gives_the_same_yield(lb_s, moisture, inches, feet):
    unit = UNIT
    dry = lb_s * unit.lb / unit.s * (1 - moisture) / 0.87
    ground = inches * unit.inch / unit.s * feet * unit.foot
    acre = 43_560 * unit.foot**2  # pint's own acre is that of surveyors' feet
    witness = (dry / ground * acre).to(unit.lb).magnitude / 60
    points = a_pass(
        flow_kg_s=lb_s * KG_PER_LB,
        moisture_frac=moisture,
        interval_s=1.0,
        distance_m=inches * M_PER_IN,
        swath_m=feet * 12 * M_PER_IN,
    )
    np.testing.assert_allclose(seen(points).yield_bu_ac, witness, rtol=1e-9)


def test_by_hand_a_distance_is_that_of_the_interval_in_which_it_was_driven():
    # twice the way in twice the time, with as much grain a second
    twice = ROW | {"interval_s": 2.0, "distance_m": 160 * M_PER_IN}
    np.testing.assert_allclose(seen(a_pass(**twice)).yield_bu_ac, 36.717, atol=0.0005)


def test_by_hand_a_missing_distance_is_speed_times_time():
    # 80 in a second
    without = {name: value for name, value in ROW.items() if name != "distance_m"}
    given = seen(a_pass(**without, speed_m_s=80 * M_PER_IN))
    np.testing.assert_allclose(given.yield_bu_ac, 36.717, atol=0.0005)
    assert [one.code for one in given.notes] == ["cleaning.speed_for_distance"]
    assert given.is_speed_given


def test_by_hand_a_missing_distance_and_speed_come_from_the_places():
    # points 2 m apart instead of 80 in = 2.032 m: 36.7172 x 2.032/2 = 37.3047
    without = {name: value for name, value in ROW.items() if name not in ("distance_m", "interval_s")}
    given = seen(a_pass(**without))
    np.testing.assert_allclose(given.yield_bu_ac, 37.3047, atol=0.00005)
    assert [one.code for one in given.notes] == ["cleaning.place_for_distance"]
    assert not given.is_speed_given


def test_without_distance_speed_and_time_a_flow_gives_no_yield():
    given = seen(a_pass(flow_kg_s=5.0, moisture_frac=0.12, time_s=np.nan, swath_m=9.0))
    assert np.isnan(given.yield_bu_ac).all()
    assert [one.code for one in given.notes] == ["cleaning.no_distance"]


def test_a_distance_that_is_missing_here_and_there_comes_from_the_speed():
    distance_m = np.full(20, 2.0)
    distance_m[5:8] = np.nan
    given = seen(a_pass(**(ROW | {"distance_m": distance_m, "speed_m_s": 2.0})))
    np.testing.assert_allclose(given.yield_bu_ac, given.yield_bu_ac[0])
    assert given.notes == ()


def test_a_missing_swath_is_the_header():
    without = {name: value for name, value in ROW.items() if name != "swath_m"}
    given = seen(a_pass(**without), header_m=360 * M_PER_IN)
    np.testing.assert_allclose(given.yield_bu_ac, 36.717, atol=0.0005)
    assert [one.code for one in given.notes] == ["cleaning.no_swath"]


def test_by_hand_yields_of_a_file_dry_wet_and_without_moisture():
    # 50 bu/ac as harvested at 20 %: 50 x 0.80/0.87 = 45.977
    wet = a_pass(yield_bu_ac=50.0, moisture_frac=0.20, is_dry=False)
    np.testing.assert_allclose(seen(wet).yield_bu_ac, 45.977, atol=0.0005)
    np.testing.assert_array_equal(seen(replace(wet, is_dry=True)).yield_bu_ac, 50)
    unknown = replace(wet, moisture_frac=np.full(20, np.nan))
    np.testing.assert_array_equal(seen(unknown).yield_bu_ac, 50)
    assert [one.code for one in seen(unknown).notes] == ["cleaning.no_moisture"]
    assert seen(replace(unknown, is_dry=True)).notes == ()


def test_a_moisture_that_is_missing_here_and_there_is_that_of_the_file():
    moisture_frac = np.full(20, 0.12)
    moisture_frac[3] = np.nan
    given = seen(a_pass(**(ROW | {"moisture_frac": moisture_frac})))
    np.testing.assert_allclose(given.yield_bu_ac, 36.717, atol=0.0005)
    assert np.isnan(given.moisture_frac[3])


@pytest.mark.parametrize("distance_m", [0.0, -1.0])
def test_no_ground_gives_no_yield(distance_m):
    points = a_pass(**(ROW | {"distance_m": distance_m}))
    assert np.isnan(seen(points).yield_bu_ac).all()


def test_flow_and_yields_of_the_same_harvest_agree():
    points, _, number = harvest(1, Made(passes=4))
    by_flow = seen(replace(points, distance_m=np.full(points.count, np.nan))).yield_bu_ac
    by_yield = as_yields(points).yield_bu_ac[number >= 0]
    np.testing.assert_allclose(by_flow, by_yield)
