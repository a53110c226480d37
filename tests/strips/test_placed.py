"""Which points count: by hand on one pair, against a slow count point by point, and what must not matter."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_trial_ground import (
    BOOM_M,
    DRY_M,
    FIELD,
    WEST,
    WET_M,
    cleaned_as,
    driven,
    ground_with,
    moved_trial,
    points_at,
    reasons,
    reasons_of,
    strips_of,
)
from shapely import box

from zoning.inputs.given import Strip
from zoning.strips.paired.placed import bins_of, place, strip_of


def why(at: list[tuple[float, float]], ground, beside: float = WET_M, **cleaned: object) -> list[str]:
    """Reasons of points, each with a partner on the middle of the other strip."""
    places = [*at, *((beside, north) for _, north in at)]
    points = points_at(*zip(*places, strict=True))
    return reasons(points, cleaned_as([60.0] * len(places), **cleaned), ground)[: len(at)]


def test_by_hand_a_90_ft_boom_and_a_35_ft_header_leave_35_ft_in_the_middle():
    # (90 - 35) / 2 = 27.5 ft come off each side: 17.5 ft, 5.334 m, on either side of the middle are left.
    at = [(DRY_M + off, 250.0) for off in (0.0, 5.3, -5.3, 5.4, -5.4, 13.0)]
    assert why(at, ground_with()) == ["counts"] * 3 + ["off centre"] * 3


def test_by_hand_the_whole_header_lies_inside_a_strip_that_is_hardly_wider():
    # (12 - 10.668) / 2 = 0.666 m, and the header may reach 0.5 m over the edge: 1.166 m.
    strips = strips_of(width_m=12.0)
    at = [(WEST + 6.0 + off, 250.0) for off in (1.1, -1.1, 1.2, -1.2)]
    expected = ["counts"] * 2 + ["off centre"] * 2
    assert why(at, ground_with(strips, width_m=12.0), beside=WEST + 18.0) == expected


def test_a_header_wider_than_the_strip_leaves_nothing():
    points, _ = driven(ground_with())
    wide = ground_with(header_m=30.0)
    assert "counts" not in reasons(points, cleaned_as([60.0] * points.count), wide)


def test_by_hand_headlands_are_one_boom_and_one_header():
    # 27.432 + 10.668 = 38.1 m from either end of the crop
    at = [(DRY_M, north) for north in (38.0, 38.2, 461.8, 462.0)]
    assert why(at, ground_with()) == ["headland", "counts", "counts", "headland"]


def test_by_hand_ground_near_a_change_of_treatment_is_left_out_along_the_track():
    # Sprayed up to 300 m, and dry beyond: 15 m come off on either side
    sprayed = box(0, 0, 200, 300) - strips_of()[0].outline
    at = [(WET_M, north) for north in (284.9, 285.1, 299.0, 301.0, 314.9, 315.1)]
    expected = ["counts", "change", "change", "change", "change", "no partner"]  # beyond it both are dry
    assert why(at, ground_with(treated=sprayed), beside=DRY_M) == expected


def test_by_hand_a_header_half_on_sprayed_ground_counts_for_neither():
    shifted = FIELD - shapely.affinity.translate(
        strips_of()[0].outline, 12.0, 0.0
    )  # sprayed 12 m further east
    # the dry strip is sprayed up to 72 m, and the header reaches from 68.4 to 79.1 m
    assert why([(DRY_M, 250.0)], ground_with(treated=shifted)) == ["change"]


def test_by_hand_a_strip_ends_inside_the_field():
    strips = strips_of(south_m=100.0)
    at = [(DRY_M, north) for north in (99.0, 101.0, 114.9, 115.1)]
    assert why(at, ground_with(strips)) == ["no strip", "strip end", "strip end", "counts"]


def test_by_hand_a_waterway_is_an_end_and_no_headland():
    crop = FIELD - box(0, 200, 200, 205)
    at = [(DRY_M, north) for north in (184.9, 185.1, 219.9, 220.1)]
    assert why(at, ground_with(crop=crop)) == ["counts", "strip end", "strip end", "counts"]


def test_by_hand_a_gap_wider_than_a_headland_is_turned_at():
    # 40 m are wider than 38.1 m: the combine turns 38.1 m before it
    crop = FIELD - box(0, 200, 200, 240)
    at = [(DRY_M, north) for north in (161.8, 162.0, 278.0, 278.2)]
    assert why(at, ground_with(crop=crop)) == ["counts", "headland", "headland", "counts"]


def test_by_hand_a_pass_across_the_strips_counts_nowhere():
    # 24 m of strip at 45 degrees: as far across as along, and so beyond 20 degrees; at 10 degrees 24 m across
    # are 136 m along.
    off = np.arange(-12.0, 13.0, 1.0)
    ways = {turn: off / np.tan(np.radians(turn)) for turn in (90, 45, 10)}
    for turn, along in ways.items():
        places = [(DRY_M + one, 250 + two) for one, two in zip(off, along, strict=True)]
        points = points_at(*zip(*places, strict=True))
        found = reasons(points, cleaned_as([60.0] * len(off), track=[3] * len(off)), ground_with())
        assert found[12] == ("no partner" if turn == 10 else "across")
    # a point of another pass in the same place is not touched
    places = [(DRY_M, 250.0), *((DRY_M + one, 250.0) for one in off)]
    points = points_at(*zip(*places, strict=True))
    found = reasons(points, cleaned_as([60.0] * 26, track=[1] + [3] * 25), ground_with())
    assert (found[0], found[13]) == ("no partner", "across")


def test_what_is_removed_lies_beside_strips_or_in_no_zone_says_so():
    ground = ground_with(zones={3: box(0, 0, 200, 240)})
    at = [(DRY_M, 200.0), (DRY_M, 260.0), (10.0, 200.0)]
    assert why(at, ground) == ["counts", "no zone", "no strip"]
    removed = [2, 0, 0, 0, 0, 0]
    assert why(at, ground, removed=removed) == ["removed", "no zone", "no strip"]


def test_a_yield_that_is_not_known_does_not_count():
    points = points_at([DRY_M, WET_M], [250.0, 250.0])
    assert reasons(points, cleaned_as([np.nan, 60.0]), ground_with()) == ["removed", "no partner"]


def test_by_hand_the_partner_lies_beside_within_a_header():
    # Pieces begin where the strips do, 1 m south of the crop: 23 x 10.668 - 1 = 244.4, 24 x 10.668 - 1 = 255.
    points = points_at([DRY_M, WET_M, DRY_M], [245.0, 254.9, 255.2])
    cleaned = cleaned_as([60.0] * 3)
    assert reasons(points, cleaned, ground_with()) == ["counts", "counts", "no partner"]
    assert bins_of(place(points, cleaned, ground_with()), ground_with()).tolist() == [23, 23, 24]


def test_a_partner_in_another_zone_is_none():
    zones = {1: box(0, 0, WEST + BOOM_M, 500), 2: box(WEST + BOOM_M, 0, 200, 500)}
    assert why([(DRY_M, 250.0)], ground_with(zones=zones)) == ["no partner"]


@pytest.mark.parametrize("both", [FIELD, shapely.Polygon()])
def test_strips_that_were_treated_alike_have_no_partners(both):
    assert why([(DRY_M, 250.0)], ground_with(treated=both)) == ["no partner"]


def test_what_was_sprayed_counts_not_what_was_laid():
    swapped = FIELD - strips_of()[1].outline
    points = points_at([DRY_M, WET_M], [250.0, 250.0])
    placed = place(points, cleaned_as([60.0, 61.0]), ground_with(treated=swapped))
    assert reasons_of(placed) == ["counts", "counts"]
    assert placed.is_treated.tolist() == [True, False]


def test_drawn_strips_a_little_askew_have_their_own_middle():
    turned = [
        replace(one, outline=shapely.affinity.rotate(one.outline, -3, origin=(100, 250)))
        for one in strips_of()
    ]
    # the middle of the first lies 26.284 m west of the turning point; 150 m further along it, at 3 degrees
    turn = np.radians(3)
    off = np.array([DRY_M - 100, 150.0])
    at = (
        100 + off[0] * np.cos(turn) + off[1] * np.sin(turn),
        250 - off[0] * np.sin(turn) + off[1] * np.cos(turn),
    )
    ground = ground_with(turned)
    points = points_at([at[0], at[0] + 5.6], [at[1]] * 2)
    assert reasons(points, cleaned_as([60.0] * 2), ground) == ["no partner", "off centre"]


def test_no_points_and_no_strips_are_no_fault():
    empty = points_at([], [])
    assert place(empty, cleaned_as([]), ground_with()).why.tolist() == []
    points = points_at([DRY_M], [250.0])
    assert reasons(points, cleaned_as([60.0]), ground_with(strips=[])) == ["no strip"]


# -- point by point ------------------------------------------------------------------------------------------


def slow(east: float, north: float, ground, less_m: float) -> str:
    """Say of one point on a trial that is driven north what it is, with every distance shorter by a bit.

    Partners are not looked for.
    """
    header_m, step_m = ground.header_m - less_m, ground.step_m - less_m
    strip = next((one for one in ground.strips if one.outline.contains(shapely.Point(east, north))), None)
    if strip is None:
        return "no strip"
    west, south, right, top = strip.outline.bounds
    if min(north - FIELD.bounds[1], FIELD.bounds[3] - north) < ground.headland_m - less_m:
        return "headland"
    off = abs(east - (west + right) / 2)
    if off > min(header_m / 2, (right - west - header_m) / 2 + 0.5):
        return "off centre"
    if min(north - south, top - north) < step_m:
        return "strip end"
    half = max(header_m / 2 - 0.5, header_m / 4)
    long_m = step_m / 0.9  # so that at the blur a twentieth of the ground is the other one
    west, south, right, top = ground.treated.bounds  # a rectangle
    across = max(0.0, min(right, east + half) - max(west, east - half)) / (2 * half)
    along = max(0.0, min(top, north + long_m) - max(south, north - long_m)) / (2 * long_m)
    return "change" if 0.05 < across * along < 0.95 else "other"


@given(
    header_m=st.floats(4, 26),
    step_m=st.floats(2, 30),
    width_m=st.floats(8, 30),
    ends=st.tuples(st.floats(-1, 200), st.floats(300, 501)),
    sprayed=st.tuples(st.floats(0, 60), st.floats(-1, 250), st.floats(260, 501)),
    seed=st.integers(0, 1000),
)
def test_all_at_once_is_as_one_by_one(header_m, step_m, width_m, ends, sprayed, seed):
    strips = strips_of(1, *ends, width_m=width_m)
    east, south, north = sprayed
    treated = box(WEST + east, south, 200, north)
    ground = ground_with(
        strips, treated, width_m=width_m, header_m=header_m, step_m=step_m, headland_m=width_m + header_m
    )
    rng = np.random.default_rng(seed)
    points = points_at(rng.uniform(WEST - 3, WEST + 2 * width_m + 3, 20), rng.uniform(0, 500, 20))
    found = reasons(points, cleaned_as([60.0] * 20), ground)
    for reason, east, north in zip(found, points.east_m, points.north_m, strict=True):
        plain = "other" if reason in ("counts", "no partner", "no zone") else reason
        # a point that lies within half a metre of a limit may fall on either side of it
        may = {slow(east, north, ground, less_m) for less_m in (-0.7, -0.3, 0.0, 0.3, 0.7)}
        assert plain in may


# -- what must not matter ------------------------------------------------------------------------------------


@cache
def trial():
    zones = {1: box(0, 0, 200, 260.3), 2: box(0, 260.3, 200, 500)}
    ground = ground_with(strips_of(pairs=2), zones=zones, crop=FIELD)
    points, _ = driven(ground, every_m=5.0)
    return points, ground


@settings(max_examples=20)
@given(turn_deg=st.floats(0, 360), east_m=st.floats(-1e5, 1e5), north_m=st.floats(0, 5e6))
def test_it_does_not_matter_where_a_field_lies_and_how_it_is_driven(turn_deg, east_m, north_m):
    points, ground = trial()
    cleaned = cleaned_as([60.0] * points.count)
    here = place(points, cleaned, ground)
    moved_points, moved_ground = moved_trial(points, ground, turn_deg, east_m, north_m)
    there = place(moved_points, cleaned, moved_ground)
    assert (here.why == there.why).mean() > 0.999  # a point on a limit may fall to either side
    assert (here.pair == there.pair).all()
    assert (here.zone == there.zone).all()
    assert there.along_m == pytest.approx(here.along_m, abs=1e-6)


@settings(max_examples=20)
@given(seed=st.integers(0, 10_000))
def test_the_order_of_points_does_not_matter(seed):
    points, ground = trial()
    order = np.random.default_rng(seed).permutation(points.count)
    cleaned = cleaned_as([60.0] * points.count)
    here = place(points, cleaned, ground)
    shuffled = place(
        replace(points, east_m=points.east_m[order], north_m=points.north_m[order]), cleaned, ground
    )
    assert (here.why[order] == shuffled.why).all()
    assert (here.is_treated[order] == shuffled.is_treated).all()


def test_driving_the_other_way_along_the_strips_does_not_matter():
    points, ground = trial()
    cleaned = cleaned_as([60.0] * points.count)
    here, back = place(points, cleaned, ground), place(points, cleaned, replace(ground, heading_deg=180.0))
    partnered = [reason for reason in reasons_of(here) if reason == "no partner"]
    assert not partnered  # else pieces counted from the other end might differ
    assert (here.why == back.why).all()


def test_a_seam_between_two_polygons_of_a_machine_is_no_change():
    seam = (FIELD - strips_of()[0].outline) - box(WET_M, 250, WET_M + 3, 250.5)
    assert why([(WET_M, 245.0)], ground_with(treated=seam), beside=DRY_M) == ["counts"]
    # nor is a point right in it a dry one
    points = points_at([WET_M + 0.1, DRY_M], [250.25, 250.25])
    found = place(points, cleaned_as([60.0, 60.0]), ground_with(treated=seam))
    assert found.is_treated.tolist() == [True, False]
    assert not found.why.any()


def test_strips_that_share_a_hair_of_ground_share_no_point():
    first, second = strips_of()
    wider = Strip(pair=1, treatment="treated", outline=box(WEST + BOOM_M - 0.05, -1, WEST + 2 * BOOM_M, 501))
    points = points_at([WEST + BOOM_M - 0.02, DRY_M, WET_M], [250.0] * 3)
    assert strip_of(points, ground_with([first, wider])).tolist() == [0, 0, 1]
    assert second.outline.bounds[0] == pytest.approx(WEST + BOOM_M)
