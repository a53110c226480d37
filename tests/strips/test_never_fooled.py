"""Nobody is told of a response that is not there: strips of simulated fields whose truth is known.

A/A fields, on which the pass returned nothing, are judged as real ones are. The many runs start from points
that are clean; the whole way with cleaning is run less often here, and a thousand times by
tests/benchmarks/bench_never_fooled.py. Bounds are those of the binomial about the promised rate.
"""

from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest
from made_chain import Seen, break_even, seen, seen_when_clean
from made_harvests import made
from wrong_ways import p_of_points, p_of_two_strips

RUNS = 1000
FIRST = 1_000  # the seeds are taken as they come
SMALL = {"points_in_strips_only": True, "interval_s": 4.0, "length_m": 260.0}
WHOLE = {"interval_s": 2.0, "length_m": 300.0}


def pairs_of(run: int) -> int:
    return 3 + run % 4


@cache
def runs_when_clean(effect_bu_ac: float, runs: int, zones: bool = False) -> tuple[Seen, ...]:
    """Judge fields from clean points; break-even lies at the truth, so that nothing is to be claimed."""
    money = break_even(effect_bu_ac)
    return tuple(
        seen_when_clean(
            made(FIRST + run, effect_bu_ac=effect_bu_ac, pairs=pairs_of(run), **SMALL), money, zones=zones
        )
        for run in range(runs)
    )


def frac(found: Sequence[bool]) -> float:
    return float(np.mean(found))


@pytest.fixture(scope="module")
def nothing() -> list[Seen]:
    """What strips say where the pass returned nothing; with one pair or none that counts they say nothing."""
    found = [one for one in runs_when_clean(0.0, RUNS) if one.response and not one.response.from_pooled_sd]
    assert len(found) > 0.98 * RUNS
    return found


def test_a_response_that_is_not_there_is_found_one_time_in_twenty(nothing: list[Seen]) -> None:
    assert 0.03 < frac([one.response.p_two_sided < 0.05 for one in nothing]) < 0.08
    # exact, and cautious with few pairs: 3 pairs have 8 labellings only
    assert frac([one.response.relabelled_p <= 0.05 for one in nothing]) < 0.05


def test_paid_is_said_wrongly_one_time_in_twenty(nothing: list[Seen]) -> None:
    assert 0.03 < frac([one.response.told == "paid" for one in nothing]) < 0.065
    assert 0.03 < frac([one.response.told == "did not pay" for one in nothing]) < 0.065


@pytest.mark.parametrize("pairs", [3, 4, 5, 6])
def test_so_it_is_with_few_pairs_and_many(nothing: list[Seen], pairs: int) -> None:
    of_so_many = [one for one in nothing if one.response.pairs == pairs]
    assert len(of_so_many) > 200
    assert 0.01 < frac([one.response.p_two_sided < 0.05 for one in of_so_many]) < 0.10


@pytest.mark.parametrize(("effect_bu_ac", "runs"), [(0.0, RUNS), (2.0, 200), (4.0, 200)])
def test_nine_intervals_of_ten_hold_the_truth(effect_bu_ac: float, runs: int) -> None:
    told = [one.response for one in runs_when_clean(effect_bu_ac, runs) if one.response]
    assert 0.85 < frac([one.low_bu_ac <= effect_bu_ac <= one.high_bu_ac for one in told]) < 0.95


@pytest.mark.parametrize("effect_bu_ac", [2.0, 4.0])
def test_what_was_returned_is_found_whole_from_clean_points(effect_bu_ac: float) -> None:
    # the same fields without and with the effect: the difference is free of their luck
    both = zip(runs_when_clean(0.0, RUNS), runs_when_clean(effect_bu_ac, 200), strict=False)
    found = [
        after.response.mean_bu_ac - before.response.mean_bu_ac
        for before, after in both
        if before.response and after.response and before.response.pairs == after.response.pairs
    ]
    assert len(found) > 190
    assert np.mean(found) == pytest.approx(effect_bu_ac, abs=0.05)


def test_strips_lean_to_no_side(nothing: list[Seen]) -> None:
    means = np.array([one.response.mean_bu_ac for one in nothing])
    assert abs(means.mean()) < 3 * means.std() / np.sqrt(len(means))


def test_zones_that_respond_alike_are_called_different_one_time_in_twenty() -> None:
    for effect_bu_ac in (0.0, 4.0):
        found = [one.by_zone for one in runs_when_clean(effect_bu_ac, 150, zones=True) if one.by_zone]
        assert frac([one.differ for one in found]) < 0.1  # 0.05 and 2.8 standard errors
    of_zones = [zone for one in found for zone in one.zones]
    assert frac([zone.low_bu_ac <= 4.0 <= zone.high_bu_ac for zone in of_zones]) > 0.85
    assert frac([zone.told == "paid" for zone in of_zones]) < 0.07
    assert frac([zone.told == "did not pay" for zone in of_zones]) < 0.07


def test_points_taken_for_repeats_are_fooled_far_more_often(nothing: list[Seen]) -> None:
    assert frac([p_of_points(one) < 0.05 for one in nothing[:300]]) > 4 * 0.05
    assert frac([p_of_two_strips(one) < 0.05 for one in nothing[:300]]) > 4 * 0.05


@cache
def runs_of_the_whole(effect_bu_ac: float, runs: int) -> tuple[Seen, ...]:
    money = break_even(effect_bu_ac)
    return tuple(
        seen(made(FIRST + run, effect_bu_ac=effect_bu_ac, pairs=pairs_of(run), **WHOLE), money, zones=False)
        for run in range(runs)
    )


def test_cleaning_lag_and_edges_take_next_to_nothing_of_the_response() -> None:
    both = zip(runs_of_the_whole(0.0, 30), runs_of_the_whole(4.0, 30), strict=True)
    found = [
        after.response.mean_bu_ac - before.response.mean_bu_ac
        for before, after in both
        if before.response and after.response and before.response.pairs == after.response.pairs
    ]
    assert len(found) > 25
    assert np.mean(found) == pytest.approx(4.0, abs=0.15)


def test_the_whole_way_is_fooled_no_more_often() -> None:
    told = [one.response for one in runs_of_the_whole(0.0, 30) if one.response]
    assert frac([one.p_two_sided < 0.05 for one in told]) <= 5 / 30  # more would come one time in 300
    assert frac([one.low_bu_ac <= 0 <= one.high_bu_ac for one in told]) >= 0.75


def test_cleaning_takes_as_much_from_treated_ground_as_from_untreated() -> None:
    for one in runs_of_the_whole(4.0, 30)[:15]:
        placed, kept = one.placed, one.cleaned.kept
        on_strips = placed.pair > 0
        treated, untreated = on_strips & placed.is_treated, on_strips & ~placed.is_treated
        assert kept[treated].mean() == pytest.approx(kept[untreated].mean(), abs=0.15)
