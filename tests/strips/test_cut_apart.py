"""Strips of a pair that were cut on other days, or by another combine, are told of."""

from dataclasses import replace
from functools import cache

import numpy as np
from made_harvests import HEADER_M, made
from shapely import contains_xy

from zoning.strips.cleaned.cleaning import clean
from zoning.strips.cleaned.tracks import taken
from zoning.strips.paired.pairs import paired
from zoning.strips.paired.placed import place


@cache
def harvest():
    found = made(3, turns="told", points_in_strips_only=True, quiet=True)
    return found.points, found.ground, found.truth.treated_frac > 0.5


def found_of(points, ground):
    cleaned = clean(points, HEADER_M)
    return paired(points, cleaned, place(points, cleaned, ground), ground)


def told(points, ground) -> list[str]:
    notes = found_of(points, ground).notes
    return [str(one.values["pairs"]) for one in notes if one.code == "trial_ground.cut_apart"]


def test_strips_that_are_cut_in_one_go_are_not_told_of():
    points, ground, _ = harvest()
    assert told(points, ground) == []


def test_strips_that_are_cut_a_day_apart_are_told_of():
    points, ground, is_treated = harvest()
    late = replace(points, time_s=points.time_s + np.where(is_treated, 86_400.0, 0.0))
    assert told(taken(late, np.argsort(late.time_s, kind="stable")), ground) == ["1, 2, 3, 4"]


def test_strips_that_two_combines_cut_at_a_time_are_told_of():
    points, ground, is_treated = harvest()
    two = np.concatenate([np.flatnonzero(~is_treated), np.flatnonzero(is_treated)])
    assert told(taken(points, two), ground) == ["1, 2, 3, 4"]


def test_a_clock_that_is_set_back_a_little_is_no_other_combine():
    points, ground, _ = harvest()
    half = points.count // 2
    back = replace(points, time_s=points.time_s - np.where(np.arange(points.count) > half, 5.0, 0.0))
    assert told(back, ground) == []


def test_without_times_nothing_is_told():
    points, ground, is_treated = harvest()
    two = np.concatenate([np.flatnonzero(~is_treated), np.flatnonzero(is_treated)])
    none = replace(points, time_s=np.full(points.count, np.nan))
    assert told(taken(none, two), ground) == []


def test_where_each_treated_strip_was_cut_later_no_pair_counts():
    # eight percent more on the later day would pass for a response
    points, ground, is_treated = harvest()
    late = replace(points, time_s=points.time_s + np.where(is_treated, 86_400.0, 0.0))
    found = found_of(taken(late, np.argsort(late.time_s, kind="stable")), ground)
    assert {one.why_not.code for one in found.pairs} == {"trial_ground.pair_cut_apart"}
    assert found.parts == ()


def test_where_the_order_differs_pairs_count_and_it_is_told():
    points, ground, is_treated = harvest()
    of_first = np.zeros(points.count, dtype=bool)
    for one in ground.strips:
        if one.pair == 1:
            of_first |= contains_xy(one.outline, points.east_m, points.north_m)
    is_later = np.where(of_first, ~is_treated, is_treated)
    late = replace(points, time_s=points.time_s + np.where(is_later, 86_400.0, 0.0))
    late = taken(late, np.argsort(late.time_s, kind="stable"))
    assert told(late, ground) == ["1, 2, 3, 4"]
    assert [one.why_not for one in found_of(late, ground).pairs] == [None] * 4
