"""Passes of the combine: what ends one and what does not."""

import os
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import made_passes
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from made_passes import HEADER_M, Made, harvest, points_of

from zoning.strips.cleaned.tracks import driving_order, taken, tracks


def line(*places, step_m=2.0):
    """Points a step apart along a line through places."""
    legs = [np.array(places[0], dtype=float)[None]]
    for start, end in pairwise(places):
        start, end = np.array(start, dtype=float), np.array(end, dtype=float)
        count = max(1, round(np.hypot(*(end - start)) / step_m))
        legs.append(start + (end - start) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(legs)


def points_at(places, **columns):
    return points_of(east_m=places[:, 0], north_m=places[:, 1], **columns)


def lengths(passes):
    """How many points each pass has."""
    return np.bincount(passes.number[passes.number >= 0]).tolist()


def test_by_hand_two_passes_side_by_side_without_times():
    # 51 points north, a jump of 9 m to the side, 51 points south
    places = np.concatenate((line((0, 0), (0, 100)), line((9, 100), (9, 0))))
    passes = tracks(points_at(places), HEADER_M)
    assert passes.number.tolist() == [0] * 51 + [1] * 51
    np.testing.assert_allclose(passes.along_m, np.tile(np.arange(0, 101, 2.0), 2), atol=1e-9)
    np.testing.assert_allclose(passes.heading_deg[:51], 0, atol=1e-9)
    np.testing.assert_allclose(passes.heading_deg[51:], 180, atol=1e-9)


@pytest.mark.parametrize(("end", "heading"), [((100, 0), 90.0), ((-80, 80), 315.0), ((-30, -40), 216.87)])
def test_by_hand_headings_are_clockwise_from_north(end, heading):
    # atan2(-30, -40) = 216.87 degrees from north
    passes = tracks(points_at(line((0, 0), end)), HEADER_M)
    np.testing.assert_allclose(passes.heading_deg, heading, atol=0.005)
    assert passes.along_m[-1] == pytest.approx(np.hypot(*end))


def test_points_with_the_header_up_are_on_no_pass_and_end_one():
    places = line((0, 0), (0, 100))
    up = np.zeros(51, dtype=bool)
    up[20:24] = True
    passes = tracks(points_at(places, is_header_up=up), HEADER_M)
    assert passes.number.tolist() == [0] * 20 + [-1] * 4 + [1] * 27
    assert np.isnan(passes.along_m[up]).all()
    assert passes.along_m[24] == 0


def test_a_point_without_a_place_is_on_no_pass_and_ends_none():
    places = line((0, 0), (0, 100))
    places[10] = np.nan
    passes = tracks(points_at(places), HEADER_M)
    assert passes.number.tolist() == [0] * 10 + [-1] + [0] * 40


@pytest.mark.parametrize("off_m", [12.0, 60.0, 1e5])
def test_a_place_far_off_is_on_no_pass_and_ends_none(off_m):
    places = line((0, 0), (0, 100))
    places[20, 0] = off_m
    assert tracks(points_at(places), HEADER_M).number.tolist() == [0] * 20 + [-1] + [0] * 30


def test_a_receiver_that_lost_some_points_ends_no_pass_but_a_pause_does():
    time_s = np.arange(51.0)
    places = line((0, 0), (0, 100))
    lost = np.delete(np.arange(51), [20, 21, 22])
    passes = tracks(points_at(places[lost], time_s=time_s[lost]), HEADER_M)
    assert lengths(passes) == [48]
    paused = np.where(time_s < 25, time_s, time_s + 60)
    assert lengths(tracks(points_at(places, time_s=paused), HEADER_M)) == [25, 26]


def test_a_new_track_of_the_file_begins_a_pass():
    track = np.repeat([4, 7], [30, 21])
    assert lengths(tracks(points_at(line((0, 0), (0, 100)), track=track), HEADER_M)) == [30, 21]


def test_the_corners_of_rounds_end_passes():
    rounds = line((0, 0), (0, 200), (150, 200), (150, 0), (10, 0))
    assert lengths(tracks(points_at(rounds), HEADER_M)) == pytest.approx([101, 75, 100, 70], abs=2)


@pytest.mark.parametrize("radius_m", [60.0, 200.0])
def test_a_curve_of_the_land_is_one_pass(radius_m):
    angle = np.arange(0, np.pi, 2 / radius_m)
    places = radius_m * np.column_stack((np.cos(angle), np.sin(angle)))
    passes = tracks(points_at(places), HEADER_M)
    assert lengths(passes) == [len(places)]
    assert passes.along_m[-1] == pytest.approx(np.pi * radius_m, rel=0.02)


def test_a_stop_ends_no_pass_and_adds_no_way():
    # a minute of standing still, the receiver off by 0.3 m now and then
    rng = np.random.default_rng(3)
    places = np.concatenate(
        (line((0, 0), (0, 100)), np.tile([0.0, 100.0], (60, 1)), line((0, 102), (0, 200)))
    )
    places += 0.3 * rng.normal(size=places.shape)
    passes = tracks(points_at(places), HEADER_M)
    assert lengths(passes) == [len(places)]
    assert passes.along_m[-1] == pytest.approx(200, abs=10)


@given(
    seed=st.integers(0, 99),
    heading_deg=st.floats(0, 360),
    gps_m=st.sampled_from([0.02, 0.3, 0.8]),
    interval_s=st.sampled_from([1.0, 2.0, 5.0]),
    turns=st.booleans(),
    has_time=st.booleans(),
)
@settings(max_examples=40)
@example(seed=0, heading_deg=0.0, gps_m=0.8, interval_s=5.0, turns=False, has_time=False)
def test_simulated_passes_are_told_apart(seed, heading_deg, gps_m, interval_s, turns, has_time):
    made = Made(
        passes=8, length_m=300, heading_deg=heading_deg, gps_m=gps_m, interval_s=interval_s, turns=turns
    )
    points, _, number = harvest(seed, made)
    if not has_time:
        points = replace(points, time_s=np.full(points.count, np.nan))
    passes = tracks(points, HEADER_M)
    np.testing.assert_array_equal(passes.number, number)
    turned = (passes.heading_deg - heading_deg - 180 * (number % 2) + 180) % 360 - 180
    assert np.abs(turned[number >= 0]).max() < 40
    assert np.median(np.abs(turned[number >= 0])) < 5


@given(seed=st.integers(0, 20))
@settings(max_examples=5)
def test_a_file_that_is_sorted_by_something_else_is_put_in_order_by_its_times(seed):
    points, _, _ = harvest(seed, Made(passes=4, length_m=200))
    shuffled = taken(points, np.random.default_rng(seed).permutation(points.count))
    order = driving_order(shuffled)
    np.testing.assert_array_equal(shuffled.time_s[order], points.time_s)


def test_two_combines_in_one_file_are_told_apart_by_the_track():
    points, _, number = harvest(1, Made(passes=6, length_m=200, turns=False))
    second = points.count // 2 + np.arange(points.count // 2)
    first = np.arange(points.count // 2)
    time_s = points.time_s.copy()
    time_s[second] -= time_s[second[0]]  # both drive at once
    both = replace(points, time_s=time_s, track=(number >= 3).astype(np.int64))
    by_time = taken(both, np.argsort(time_s, kind="stable"))
    order = driving_order(by_time)
    assert len(np.unique(tracks(taken(by_time, order), HEADER_M).number)) == 6
    np.testing.assert_array_equal(by_time.east_m[order][first], points.east_m[first])


def test_two_places_off_to_the_side_end_no_pass():
    # 9 m to the side for two points: the way turns by 69 degrees there, for 4 m of it
    places = line((0, 0), (0, 100))
    places[25:27, 0] += 9
    assert lengths(tracks(points_at(places), HEADER_M)) == [51]


def test_the_order_of_a_file_is_kept_where_times_are_little_better():
    # steps of 2, 6, 2 and 4 m in the file, of 2 m by the times
    rows = np.array([1, 0, 3, 2, 4])
    points = taken(points_at(line((0, 0), (0, 8)), time_s=np.arange(5.0)), rows)
    np.testing.assert_array_equal(driving_order(points), np.arange(5))


def test_the_order_of_a_file_is_kept_where_it_is_good():
    points, _, _ = harvest(2, Made(passes=3, length_m=100))
    np.testing.assert_array_equal(driving_order(points), np.arange(points.count))


@pytest.mark.parametrize("count", [0, 1, 2])
def test_few_points_make_no_fuss(count):
    passes = tracks(points_at(np.zeros((count, 2))), HEADER_M)
    assert len(passes.number) == count
    assert (passes.number >= 0).all()
    assert np.isnan(passes.heading_deg).all()


def test_published_strips_of_las_rosas_are_the_passes_of_the_combine():
    # Anselin, Bongiovanni, Lowenberg-DeBoer 2004, doi:10.1111/j.0002-9092.2004.00610.x: in 2001 six rates of
    # nitrogen in three blocks, a strip each: 18 strips
    folder = os.environ.get("SPRAYWORTH_REFERENCE")
    if not folder:
        pytest.skip("SPRAYWORTH_REFERENCE is not set: the observed points are not part of this repository")
    east_m, north_m, labels, _ = made_passes.las_rosas(Path(folder), 2001)
    passes = tracks(points_of(east_m=east_m, north_m=north_m), 9.8)
    assert len(np.unique(passes.number)) == 18
    assert len({(one, label) for one, label in zip(passes.number.tolist(), labels, strict=True)}) == 18
