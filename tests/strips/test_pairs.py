"""Pairs from points: by hand, against a slow count, and what may and may not move a difference."""

from collections import defaultdict
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_laid_strips import with_laid_strips
from made_plans import Made, outlines_m
from made_trial_ground import (
    BOOM_M,
    DRY_M,
    FIELD,
    HEADER_M,
    WEST,
    WET_M,
    cleaned_as,
    driven,
    ground_with,
    moved_trial,
    points_at,
    strips_of,
)
from shapely import box

from zoning.inputs.area import from_lonlat
from zoning.inputs.given import Strip
from zoning.inputs.harvest.given import TrialGround
from zoning.strips.paired.pairs import paired
from zoning.strips.paired.pieces import partnered
from zoning.strips.paired.placed import place
from zoning.strips.paired.why_not import notes_of
from zoning.strips.terms import Cleaned, Paired


def pairs_of(points, cleaned: Cleaned, ground: TrialGround) -> Paired:
    return paired(points, cleaned, place(points, cleaned, ground), ground)


@cache
def trial():
    """Two pairs across two zones, all passes of a combine."""
    zones = {1: box(0, 0, 320, 260.3), 2: box(0, 260.3, 320, 500)}
    strips = strips_of(pairs=2)
    field = box(0, 0, 320, 500)
    treated = field - shapely.union_all([one.outline for one in strips if one.treatment == "untreated"])
    ground = ground_with(strips, treated, zones, crop=field)
    points, track = driven(ground, every_m=5.0)
    rng = np.random.default_rng(1)
    cleaned = cleaned_as(
        60 + rng.normal(0, 3, points.count), moisture=rng.normal(0.13, 0.005, points.count), track=track
    )
    return points, cleaned, ground


# -- by hand -------------------------------------------------------------------------------------------------


def column(bins: list[int]) -> list[float]:
    """The middle of pieces of the way, which begin 1 m south of the crop and are a header long."""
    return [(one + 0.5) * HEADER_M - 1 for one in bins]


def test_by_hand_pieces_weigh_alike_however_many_points_they_hold():
    # Pieces 10, 11, 12. Treated 62 and 64 in the first, 60, 61; untreated 58, 60, 57.
    # Treated (63 + 60 + 61) / 3 = 61.333, untreated (58 + 60 + 57) / 3 = 58.333: 3.0 over 3 x 10.668 m
    north = column([10, 10, 11, 12, 10, 11, 12])
    points = points_at([WET_M] * 4 + [DRY_M] * 3, north)
    cleaned = cleaned_as([62, 64, 60, 61, 58, 60, 57], moisture=[0.14] * 4 + [0.13] * 3)
    (pair,) = pairs_of(points, cleaned, ground_with()).pairs
    assert pair.why_not is None
    assert pair.length_m == pytest.approx(32.004)
    assert (pair.treated_bu_ac, pair.untreated_bu_ac) == pytest.approx((61.3333, 58.3333), abs=1e-4)
    assert pair.difference_bu_ac == pytest.approx(3.0)
    assert pair.moisture_difference_frac == pytest.approx(0.01)
    assert pair.points == 7


def test_by_hand_ground_that_only_one_strip_has_does_not_count():
    # The treated strip has points in pieces 13 and 14 as well, where the other has none: 90 and 95 stay out.
    north = column([10, 11, 12, 13, 14, 10, 11, 12])
    points = points_at([WET_M] * 5 + [DRY_M] * 3, north)
    found = pairs_of(points, cleaned_as([61, 61, 61, 90, 95, 60, 60, 60]), ground_with())
    assert found.pairs[0].difference_bu_ac == pytest.approx(1.0)
    assert found.pairs[0].points == 6
    assert found.strips[1].mean_bu_ac == pytest.approx(61.0)


def test_by_hand_a_piece_in_two_zones_is_shared_by_the_points():
    # Zones meet in the middle of piece 12. Of its points three of four lie in zone 1 on the treated strip,
    # one of two on the other: half of it goes to zone 1, a quarter to zone 2.
    edge = column([12])[0]
    zones = {1: box(0, 0, 200, edge), 2: box(0, edge, 200, 500)}
    north = [*column([9, 10, 11]), edge - 3, edge - 2, edge - 1, edge + 2]
    beside = [*column([9, 10, 11]), edge - 2, edge + 2]
    points = points_at([WET_M] * 7 + [DRY_M] * 5, [*north, *beside])
    moisture = [0.13] * 3 + [0.15] * 3 + [0.17] + [0.13] * 5
    cleaned = cleaned_as([62] * 3 + [66, 66, 66, 70] + [60] * 3 + [60, 60], moisture=moisture)
    found = pairs_of(points, cleaned, ground_with(zones=zones))
    first, second = found.parts
    assert (first.zone, second.zone) == (1, 2)
    assert first.length_m == pytest.approx(3.5 * HEADER_M)
    assert second.length_m == pytest.approx(0.25 * HEADER_M)
    # (3 x 2 + .5 x 6) / 3.5 = 2.571; with a quarter of 10: (9 + 2.5) / 3.75 = 3.0667
    assert first.difference_bu_ac == pytest.approx(9 / 3.5)
    assert second.difference_bu_ac == pytest.approx(10.0)
    assert found.pairs[0].difference_bu_ac == pytest.approx(11.5 / 3.75)
    # (3 x 0 + .5 x .02 + .25 x .04) / 3.75
    assert found.pairs[0].moisture_difference_frac == pytest.approx(0.02 / 3.75)


def test_a_piece_in_which_a_strip_was_treated_both_ways_has_no_partners():
    # a strip wet and dry at its two ends of a piece, beside a dry one; and a piece of which each has one
    cell = np.array([[1, 1, 7]] * 3 + [[1, 1, 8]] * 2)
    strip, is_treated = np.array([0, 0, 1, 0, 1]), np.array([True, False, False, True, False])
    assert partnered(cell, strip, is_treated).tolist() == [False, False, False, True, True]


def test_by_hand_strips_say_how_much_was_sprayed_and_how_often_they_were_driven():
    half = FIELD - box(WEST, 250, WEST + BOOM_M, 501)  # the dry strip is sprayed in its southern half
    points = points_at([WET_M] * 3 + [DRY_M] * 3, column([30, 31, 32] * 2))
    cleaned = cleaned_as([62] * 3 + [60] * 3, track=[4, 4, 5, 6, 6, 6])
    found = pairs_of(points, cleaned, ground_with(treated=half))
    dry, wet = found.strips
    assert (dry.sprayed_frac, wet.sprayed_frac) == pytest.approx((0.5, 1.0))
    assert (dry.passes, wet.passes) == (1, 2)
    assert (dry.points, wet.points) == (3, 3)
    assert [one.code for one in found.notes] == ["trial_ground.laid_dry"]


# -- what does not count -------------------------------------------------------------------------------------


def why_not(ground: TrialGround, bins: range = range(10, 20), **where: float) -> str:
    points = points_at(
        [where.get("wet", WET_M)] * len(bins) + [where.get("dry", DRY_M)] * len(bins), column([*bins, *bins])
    )
    (pair,) = pairs_of(points, cleaned_as([60.0] * points.count), ground).pairs
    assert pair.why_not is not None
    return pair.why_not.text


def test_a_pair_says_why_it_does_not_count():
    assert why_not(ground_with(strips_of()[:1], FIELD)) == "pair 1 has no treated strip"
    assert why_not(ground_with(treated=FIELD)) == "both strips of pair 1 were sprayed"
    assert why_not(ground_with(treated=shapely.Polygon())) == "neither strip of pair 1 was sprayed"
    assert "only 21 m in common" in why_not(ground_with(), range(10, 12))
    assert "most are out because of the headland" in why_not(ground_with(), range(1, 3))
    assert "not lying whole on the middle" in why_not(ground_with(), dry=DRY_M + 9, wet=WET_M + 9)
    assert "lying in no zone" in why_not(ground_with(zones={1: box(0, 0, 200, 50)}))
    assert "wider than the strips" in why_not(ground_with(header_m=40.0))
    assert "no usable point" in why_not(ground_with(), dry=20.0, wet=20.0)


def test_a_pair_that_does_not_count_gives_no_parts():
    points = points_at([WET_M, DRY_M], column([10, 10]))
    found = pairs_of(points, cleaned_as([60.0, 59.0]), ground_with())
    assert found.parts == ()
    assert found.counted == ()
    assert len(found.strips) == 2


def test_swapped_strips_count_by_what_was_sprayed_and_say_so():
    ground = ground_with(treated=FIELD - strips_of()[1].outline)
    points = points_at([WET_M] * 4 + [DRY_M] * 4, column([10, 11, 12, 13] * 2))
    found = pairs_of(points, cleaned_as([60.0] * 4 + [63.0] * 4), ground)
    assert found.pairs[0].difference_bu_ac == pytest.approx(3.0)
    assert [one.text for one in found.notes] == [
        "the strips of pair 1 were swapped: the one that was laid dry was sprayed, the other was not; they "
        "count by what was sprayed"
    ]


def test_strips_that_were_swapped_in_part_are_not_said_to_be_swapped():
    seen = pairs_of(*trial()).strips
    assert [one.code for one in notes_of(1, 1.0, seen)] == ["trial_ground.swapped"]
    assert notes_of(1, 0.5, seen) == []


def test_a_treated_strip_that_a_closed_zone_left_dry_counts_elsewhere():
    zones = {1: box(0, 0, 200, 250), 2: box(0, 250, 200, 500)}
    treated = zones[1] - strips_of()[0].outline
    ground = ground_with(treated=treated, zones=zones)
    points, track = driven(ground)
    cleaned = cleaned_as(np.where(ground_truth(points, ground), 63.0, 60.0), track=track)
    found = pairs_of(points, cleaned, ground)
    assert [part.zone for part in found.parts] == [1]
    assert found.pairs[0].difference_bu_ac == pytest.approx(3.0)
    assert [one.code for one in found.notes] == ["trial_ground.laid_treated"]


# -- as it should be whatever the field ----------------------------------------------------------------------


def slow(points, cleaned, placed, ground) -> dict[int, float]:
    """The difference of each pair, summed point by point in plain Python."""
    yields, counts, totals = defaultdict(list), defaultdict(int), defaultdict(int)
    for at in range(points.count):
        if placed.why[at] in (0, 8):
            piece = int(placed.along_m[at] // ground.header_m)
            side = bool(placed.is_treated[at])
            totals[placed.pair[at], piece, side] += 1
            if placed.why[at] == 0:
                key = (placed.pair[at], piece, placed.zone[at])
                yields[key, side].append(cleaned.yield_bu_ac[at])
                counts[key] += 1
    weighed, length = defaultdict(float), defaultdict(float)
    for key in counts:
        pair, piece, _ = key
        share = min(len(yields[key, side]) / totals[pair, piece, side] for side in (False, True))
        apart = np.mean(yields[key, True]) - np.mean(yields[key, False])
        weighed[pair] += share * apart
        length[pair] += share
    return {pair: weighed[pair] / length[pair] for pair in length}


@settings(max_examples=20)
@given(seed=st.integers(0, 10_000), kept_frac=st.floats(0.5, 1.0))
def test_all_at_once_is_as_one_by_one(seed, kept_frac):
    points, cleaned, ground = trial()
    rng = np.random.default_rng(seed)
    removed = (rng.random(points.count) > kept_frac).astype(int)
    some = replace(cleaned, removed_by=removed, yield_bu_ac=rng.normal(60, 5, points.count))
    placed = place(points, some, ground)
    found = paired(points, some, placed, ground)
    expected = slow(points, some, placed, ground)
    assert {one.pair: one.difference_bu_ac for one in found.pairs} == pytest.approx(expected)
    for one in found.pairs:
        parts = [part for part in found.parts if part.pair == one.pair]
        whole = sum(part.length_m * part.difference_bu_ac for part in parts)
        assert sum(part.length_m for part in parts) == pytest.approx(one.length_m)
        assert whole / one.length_m == pytest.approx(one.difference_bu_ac)


@settings(max_examples=20)
@given(turn_deg=st.floats(0, 360), east_m=st.floats(-1e5, 1e5), north_m=st.floats(0, 5e6))
def test_it_does_not_matter_where_a_field_lies(turn_deg, east_m, north_m):
    points, cleaned, ground = trial()
    here = pairs_of(points, cleaned, ground)
    moved_points, moved_ground = moved_trial(points, ground, turn_deg, east_m, north_m)
    there = pairs_of(moved_points, cleaned, moved_ground)
    for one, other in zip(here.pairs, there.pairs, strict=True):
        assert one.difference_bu_ac == pytest.approx(other.difference_bu_ac, abs=1e-6)
        assert one.length_m == pytest.approx(other.length_m)


@settings(max_examples=20)
@given(seed=st.integers(0, 10_000))
def test_the_order_of_points_does_not_matter(seed):
    points, cleaned, ground = trial()
    order = np.random.default_rng(seed).permutation(points.count)
    shuffled = cleaned_as(
        cleaned.yield_bu_ac[order], moisture=cleaned.moisture_frac[order], track=cleaned.tracks.number[order]
    )
    there = points_at(points.east_m[order], points.north_m[order])
    for one, other in zip(
        pairs_of(points, cleaned, ground).pairs, pairs_of(there, shuffled, ground).pairs, strict=True
    ):
        assert one.difference_bu_ac == pytest.approx(other.difference_bu_ac)
        assert one.moisture_difference_frac == pytest.approx(other.moisture_difference_frac)
        assert (one.points, one.length_m) == (other.points, pytest.approx(other.length_m))


@settings(max_examples=20)
@given(more_bu_ac=st.floats(-30, 30))
def test_what_both_strips_have_more_changes_nothing(more_bu_ac):
    points, cleaned, ground = trial()
    more = replace(cleaned, yield_bu_ac=cleaned.yield_bu_ac + more_bu_ac)
    for one, other in zip(
        pairs_of(points, cleaned, ground).pairs, pairs_of(points, more, ground).pairs, strict=True
    ):
        assert one.difference_bu_ac == pytest.approx(other.difference_bu_ac, abs=1e-9)
        assert one.treated_bu_ac + more_bu_ac == pytest.approx(other.treated_bu_ac)


@settings(max_examples=20)
@given(slope=st.floats(-0.1, 0.1))
def test_a_trend_along_the_strips_changes_hardly_anything(slope):
    # Both strips have the trend, and are compared piece by piece; points of a pass up and one down lie up to
    # a header apart within a piece, and on average not at all.
    points, cleaned, ground = trial()
    trend = replace(cleaned, yield_bu_ac=cleaned.yield_bu_ac + slope * points.north_m)
    for one, other in zip(
        pairs_of(points, cleaned, ground).pairs, pairs_of(points, trend, ground).pairs, strict=True
    ):
        assert abs(one.difference_bu_ac - other.difference_bu_ac) <= abs(slope) * HEADER_M


def test_other_labels_with_the_same_ground_sprayed_change_nothing_but_the_note():
    points, cleaned, ground = trial()
    turned = {"treated": "untreated", "untreated": "treated"}
    labels = tuple(replace(one, treatment=turned[one.treatment]) for one in ground.strips)
    here, there = pairs_of(points, cleaned, ground), pairs_of(points, cleaned, replace(ground, strips=labels))
    assert here.pairs == there.pairs
    assert [one.code for one in there.notes] == ["trial_ground.swapped"] * 2


def test_the_other_strip_sprayed_turns_the_sign():
    points, cleaned, ground = trial()
    wet = shapely.union_all([one.outline for one in ground.strips if one.treatment == "treated"])
    here = pairs_of(points, cleaned, ground)
    there = pairs_of(points, cleaned, replace(ground, treated=ground.crop - wet))
    for one, other in zip(here.pairs, there.pairs, strict=True):
        assert one.difference_bu_ac == pytest.approx(-other.difference_bu_ac)
        assert one.length_m == pytest.approx(other.length_m)


# -- from the strips that a run lays -------------------------------------------------------------------------


def ground_truth(points, ground: TrialGround) -> np.ndarray:
    return shapely.contains_xy(ground.treated, points.east_m, points.north_m)


@pytest.mark.parametrize("heading_deg", [0.0, 90.0, 30.0])
def test_strips_that_a_run_lays_give_back_the_response_of_each_zone(heading_deg):
    # 840 m x 600 m in cells of 20 m: zone 1 in the west is sprayed, zone 2 is not
    made = Made(labels=[[1] * 28 + [2] * 14] * 30, cell_m=20.0)
    plan = with_laid_strips(made, 3, boom_m=BOOM_M, heading_deg=heading_deg)
    assert plan.strips is not None
    zones = outlines_m(made.labels, made.cell_m, made.origin_m)
    crop = shapely.union_all(list(zones.values()))
    ground = ground_with(
        [
            Strip(pair=one.pair, treatment=one.treatment, outline=from_lonlat(one.outline, made.epsg))
            for one in plan.strips.strips
        ],
        shapely.union_all(
            [from_lonlat(one.outline, made.epsg) for one in plan.strips.pieces if one.pass_number]
        ),
        zones,
        heading_deg=heading_deg,
        crop=crop,
    )
    middle = crop.centroid
    across, along = np.meshgrid(np.arange(-600, 600, HEADER_M), np.arange(-600, 600, 2.0))
    turn = np.radians(heading_deg)
    east = middle.x + across * np.cos(turn) + along * np.sin(turn)
    north = middle.y - across * np.sin(turn) + along * np.cos(turn)
    inside = shapely.contains_xy(crop, east, north)
    points = points_at(east[inside], north[inside])
    response = np.where(shapely.contains_xy(zones[1], points.east_m, points.north_m), 4.0, 1.0)
    soil = 60 + 5 * np.sin(along[inside] / 50)  # alike across the strips
    cleaned = cleaned_as(soil + response * ground_truth(points, ground))
    found = pairs_of(points, cleaned, ground)
    assert [one.why_not for one in found.pairs] == [None] * 3
    assert {part.zone for part in found.parts} >= {1}
    for part in found.parts:
        assert part.difference_bu_ac == pytest.approx({1: 4.0, 2: 1.0}[part.zone], abs=0.05)
    assert found.notes == ()
    for one in found.strips:
        assert one.sprayed_frac == pytest.approx(float(one.treatment == "treated"), abs=1e-4)
