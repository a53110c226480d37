"""The lag of a file: found where it is there, not invented where it is not."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_passes import HEADER_M, Made, as_yields, harvest

from zoning.strips.cleaned.along import clock_s, places_of, runs_of
from zoning.strips.cleaned.lag import apart, lag, shifted
from zoning.strips.cleaned.tracks import tracks
from zoning.strips.cleaned.yields import measured, soybeans


def lag_of(points, header_m=HEADER_M):
    passes = tracks(points, header_m)
    runs = runs_of(passes.number)
    seen = measured(points, passes, runs, header_m, soybeans())
    return lag(places_of(points, runs.at), passes.heading_deg[runs.at], runs, seen, clock_s(points, runs))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("residual_s", [4.0, 8.0, 12.0, -2.0, 3.0])
def test_a_simulated_lag_is_found_within_a_logging_interval(residual_s, seed):
    found = lag_of(harvest(seed, Made(residual_s=residual_s))[0])
    assert found.amount == pytest.approx(residual_s, abs=1.0)
    assert found.unit == "s"
    assert found.why is None
    assert found.likeness > found.likeness_before


@pytest.mark.parametrize("residual_s", [4.0, 12.0])
@pytest.mark.parametrize(
    "made",
    [
        Made(interval_s=5.0, length_m=500, passes=40),
        Made(gps_m=1.0),
        Made(turns=False, heading_deg=37),
        Made(effects=(0, 4, 4, 0), drift_frac=0.06),
        Made(length_m=200, passes=60),
    ],
    ids=["every 5 s", "receiver off by 1 m", "turns not logged", "treatments and drift", "short passes"],
)
def test_a_lag_is_found_in_other_files(made, residual_s):
    found = lag_of(harvest(11, replace(made, residual_s=residual_s))[0])
    assert found.amount == pytest.approx(residual_s, abs=made.interval_s)


@pytest.mark.parametrize(("column", "factor"), [("flow_kg_s", 20.0), ("distance_m", 1 / 30)])
def test_a_lag_is_found_where_one_point_in_a_hundred_is_wrong_by_far(column, factor):
    points = harvest(1, Made(residual_s=8.0))[0]
    values = getattr(points, column).copy()
    values[np.random.default_rng(1).random(points.count) < 0.01] *= factor
    assert lag_of(replace(points, **{column: values})).amount == pytest.approx(8.0, abs=1.0)


@pytest.mark.parametrize("is_dry", [True, False])
def test_a_lag_is_found_where_the_file_gives_yields(is_dry):
    found = lag_of(as_yields(harvest(5, Made(residual_s=8.0))[0], is_dry))
    assert found.amount == pytest.approx(8.0, abs=1.0)


def test_a_lag_is_told_in_points_where_there_are_no_times():
    points = harvest(4, Made(residual_s=6.0))[0]
    nothing = np.full(points.count, np.nan)
    found = lag_of(replace(points, time_s=nothing, interval_s=nothing))
    assert found.unit == "points"
    assert found.amount == pytest.approx(6.0, abs=1.0)  # a point a second


def test_intervals_of_the_file_stand_in_for_times():
    points = harvest(4, Made(residual_s=6.0, interval_s=2.0, length_m=600))[0]
    found = lag_of(replace(points, time_s=np.full(points.count, np.nan)))
    assert found.unit == "s"
    assert found.amount == pytest.approx(6.0, abs=2.0)


def test_no_lag_is_invented_where_there_is_none():
    found = [lag_of(harvest(100 + seed, Made(passes=24, signal_bu_ac=signal))[0])
             for seed in range(15) for signal in (2.0, 5.0)]  # fmt: skip
    amounts = np.array([one.amount for one in found])
    assert np.abs(amounts).max() <= 1.0
    assert np.mean(amounts != 0) <= 0.1


def test_noise_alone_tells_no_lag():
    found = [
        lag_of(harvest(seed, Made(passes=24, signal_bu_ac=0.0, residual_s=8.0))[0]) for seed in range(10)
    ]
    assert {one.amount for one in found} == {0.0}
    assert {one.why.code for one in found} == {"cleaning.lag_flat"}


@pytest.mark.parametrize("residual_s", [-13.0, 22.0])
def test_a_lag_beyond_those_that_are_tried_is_not_told_as_the_last_of_them(residual_s):
    found = lag_of(harvest(3, Made(residual_s=residual_s))[0])
    assert found.amount == 0
    assert found.why.code == "cleaning.lag_flat"


@pytest.mark.parametrize(
    ("made", "pairs"), [(Made(one_way=True), 0), (Made(passes=4), 3), (Made(passes=1), 0)]
)
def test_one_direction_or_few_passes_tell_no_lag(made, pairs):
    found = lag_of(harvest(2, replace(made, residual_s=8.0))[0])
    assert found.amount == 0
    assert found.why.code == "cleaning.lag_few"
    assert found.why.values == {"pairs": pairs}


@pytest.mark.parametrize("value", [np.nan, 0.0, 3.0])
def test_a_sensor_that_always_says_the_same_tells_no_lag(value):
    points = harvest(2, Made(passes=10))[0]
    constant = replace(points, flow_kg_s=np.full(points.count, value), distance_m=np.full(points.count, 2.0))
    found = lag_of(constant)
    assert found.amount == 0
    assert found.why is not None


@given(effects=st.tuples(*[st.floats(0, 8)] * 4), seed=st.integers(0, 5))
@settings(max_examples=8)
def test_what_is_added_to_whole_passes_moves_the_lag_little(effects, seed):
    # yields: what is added to a flow grows and falls with the speed, and is noisier with it
    made = Made(residual_s=6.0, passes=20)
    points, _, number = harvest(seed, made)
    plain = as_yields(points)
    more = np.where(number >= 0, np.array(effects)[number % 4], 0)
    treated = replace(plain, yield_bu_ac=plain.yield_bu_ac + more)
    assert lag_of(treated).amount == pytest.approx(lag_of(plain).amount, abs=0.25)


@given(
    amount=st.floats(-9, 9),
    slope=st.floats(-3, 3),
    step_s=st.sampled_from([0.2, 1.0, 5.0]),
    count=st.integers(1, 40),
)
def test_shifting_takes_what_was_measured_later_on_the_same_pass(amount, slope, step_s, count):
    runs = runs_of(np.repeat([0, 1], count))
    time_s = np.tile(np.arange(count) * step_s, 2) + np.repeat([0, 500.0], count)
    along = apart(runs, time_s)
    values = 40 + slope * np.tile(np.arange(count) * step_s, 2)
    moved = shifted(values, along, runs, amount)
    then = along - along[runs.first] + amount
    inside = (then >= 1e-6) & (then <= (count - 1) * step_s - 1e-6)
    np.testing.assert_allclose(moved[inside], values[inside] + slope * amount, atol=1e-6)
    outside = (then < -1e-6) | (then > (count - 1) * step_s + 1e-6)
    assert amount == 0 or np.isnan(moved[outside]).all()


def test_the_likeness_is_about_what_numpy_says_of_each_pair():
    points, _, number = harvest(
        3, Made(passes=8, noise_frac=0, drift_frac=0, mixing_s=0, gps_m=0, signal_bu_ac=6)
    )
    found = lag_of(points)
    assert found.amount == 0
    dry = as_yields(points).yield_bu_ac
    alike = []
    for one in range(7):
        here, there = (np.flatnonzero(number == which) for which in (one, one + 1))
        north = points.north_m[here]
        order = np.argsort(points.north_m[there])
        beside = np.interp(north, points.north_m[there][order], dry[there][order])
        inner = slice(20, -20)
        alike.append(np.corrcoef(dry[here][inner], beside[inner])[0, 1])
    assert found.likeness == pytest.approx(np.mean(alike), abs=0.06)
