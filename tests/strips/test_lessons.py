"""What to do better next season: each lesson where it is due, and none where all went well."""

import math
from dataclasses import replace

import numpy as np
import pytest

from zoning.strips.answer.response import response
from zoning.strips.learned.lessons import lessons
from zoning.strips.terms import Cleaned, Lag, Money, Paired, PairSeen, Tracks, ZonePart
from zoning.words import Said

MONEY = Money(price_usd_bu=10.0, cost_usd_ac=25.0, tracks_bu_ac=0.0)


def cleaned(removed=0, count=100) -> Cleaned:
    none = np.zeros(0)
    return Cleaned(
        yield_bu_ac=none,
        moisture_frac=none,
        removed_by=np.repeat([1, 0], [removed, count - removed]),
        rules=(),
        tracks=Tracks(number=none.astype(int), along_m=none, heading_deg=none),
        lag=Lag(amount=0.0, unit="s", likeness=0.5, likeness_before=0.5),
    )


def trial(*differences, moist=0.0, lost=()) -> Paired:
    """Pairs that all cross zones 1 and 2."""
    pairs = [
        PairSeen(
            pair=pair, length_m=300.0, points=200, treated_bu_ac=60.0 + one, untreated_bu_ac=60.0,
            moisture_difference_frac=moist,
            why_not=Said("trial.zones_not_compared") if pair in lost else None,
        )
        for pair, one in enumerate(differences, start=1)
    ]  # fmt: skip
    parts = [
        ZonePart(
            pair=one.pair, zone=zone, length_m=150.0, points=100, treated_bu_ac=one.treated_bu_ac,
            untreated_bu_ac=60.0,
        )
        for one in pairs
        for zone in (1, 2)
    ]  # fmt: skip
    return Paired(strips=(), pairs=tuple(pairs), parts=tuple(parts))


def told(paired, *, clean=None, zones=(1, 2), source="as-applied", **how):
    said = lessons(paired, response(paired.pairs, MONEY), clean or cleaned(), zones, source, **how)
    return {one.code.removeprefix("lessons."): one for one in said}


def test_nothing_is_to_be_learned_where_all_went_well():
    assert told(trial(6.0, 7.0, 6.5)) == {}


def test_more_pairs_where_it_could_not_be_told():
    unsure = trial(1.0, 6.0, 4.0)
    needed = response(unsure.pairs, MONEY).pairs_needed
    assert f"about {needed} pairs in all" in told(unsure)["more_pairs"].text
    assert set(told(trial(1.0, 4.0, 2.5))) == {"too_close"}
    assert set(told(unsure, zones_differ=True)) == {"zones_by_themselves"}


def test_zones_that_no_counting_pair_crosses_are_named():
    # pair 3 alone crosses zone 3, and does not count
    found = trial(6.0, 7.0, 6.5, lost=(3,))
    found = replace(found, parts=(*found.parts, replace(found.parts[-1], zone=3)))
    said = told(found, zones=(1, 2, 3))
    assert "zone 3" in said["cross_zones"].text
    assert said["pairs_lost"].text.startswith("1 of 3 pairs")


def test_the_file_is_asked_for_where_a_row_of_done_stood_in():
    assert set(told(trial(6.0, 7.0, 6.5), source="done")) == {"keep_file"}


@pytest.mark.parametrize(
    ("moist", "is_said"), [(0.006, True), (0.004, False), (-0.006, False), (math.nan, False)]
)
def test_only_wetter_grain_of_treated_strips_is_spoken_of(moist, is_said):
    said = told(trial(6.0, 7.0, 6.5, moist=moist))
    assert ("wetter" in said) is is_said
    if is_said:
        assert "0.6 points of moisture" in said["wetter"].text


@pytest.mark.parametrize(("removed", "is_said"), [(36, True), (35, False)])
def test_much_that_told_nothing_is_spoken_of(removed, is_said):
    said = told(trial(6.0, 7.0, 6.5), clean=cleaned(removed))
    assert ("calibrate" in said) is is_said
