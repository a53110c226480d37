"""The verdict in words: what it says, in which unit, and what it never says."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zoning.strips.answer.response import response
from zoning.strips.answer.told import told_text, zones_text
from zoning.strips.terms import ByZone, Money, PairSeen, ZoneResponse


def said_of(differences, break_even=None, **how) -> str:
    money = (
        None if break_even is None else Money(price_usd_bu=10, cost_usd_ac=10 * break_even, tracks_bu_ac=0)
    )
    pairs = [
        PairSeen(
            pair=pair,
            length_m=400,
            points=300,
            treated_bu_ac=60 + difference,
            untreated_bu_ac=60,
            moisture_difference_frac=0.0,
        )
        for pair, difference in enumerate(differences, start=1)
    ]
    return told_text(response(pairs, money), **how).text


def test_verdicts():
    assert said_of([3, 5, 4, 4], 2.8) == (
        "the pass paid: +4.0 bu/ac (90 % +3.0 to +5.0) against a break-even of 2.8, from 4 pairs of strips"
    )
    assert said_of([0.1, -0.3, 0.2], 2.8).startswith("the pass did not pay: +0.0 bu/ac (90 % -0.4 to +0.4)")
    assert said_of([1, 4, 6], 2.8).startswith("cannot tell whether the pass paid: +3.7 bu/ac")
    assert "of strips; about " in said_of([1, 4, 6], 2.8)
    assert "no number of strips that a farm lays would" in said_of([1, 3, 2], 2.0)
    assert "from one pair of strips" in said_of([4], 2.8)


def test_without_money_the_yield_is_told_and_no_verdict():
    text = said_of([3, 5, 4, 4])
    assert text.startswith("treated strips yielded +4.0 bu/ac")
    assert "break-even" not in text
    assert "without price and cost" in text


def test_metric():
    # 4 bu/ac = 4 x 60 lb of .45359237 kg over .40468564 ha = 269.0 kg/ha; 2.8 = 188.3
    text = said_of([3, 5, 4, 4], 2.8, is_metric=True)
    assert "+269 kg/ha" in text
    assert "break-even of 188," in text


@given(
    differences=st.lists(st.floats(-12, 12), min_size=1, max_size=6), break_even=st.none() | st.floats(0, 6)
)
@settings(max_examples=40, deadline=None)
def test_no_verdict_without_its_interval(differences, break_even):
    text = said_of(differences, break_even)
    assert "90 %" in text
    assert "-0.0" not in text
    assert "nan" not in text
    assert len(text) < 240


def zone(number: int, **other) -> ZoneResponse:
    made = ZoneResponse(
        zone=number, pairs=4, length_m=900, seen_bu_ac=5.0, mean_bu_ac=4.2, se_bu_ac=0.9, low_bu_ac=2.4,
        high_bu_ac=6.0, chance_pays=0.9, told="cannot tell",
    )  # fmt: skip
    return replace(made, **other)


@pytest.mark.parametrize(
    ("p", "differ", "phrase"),
    [
        (
            0.012,
            True,
            "zones responded differently: where all respond alike, they differ as much in 1 of 100",
        ),
        (
            0.002,
            True,
            "zones responded differently: where all respond alike, they differ as much in fewer than 1",
        ),
        (0.4, False, "no sign that zones responded differently"),
        (math.nan, False, "too few pairs cross two zones"),
    ],
)
def test_zones(p, differ, phrase):
    zones = (zone(1), zone(2, pairs=1, seen_bu_ac=-0.01, mean_bu_ac=0.8))
    found = ByZone(
        zones=zones, zone_sd_bu_ac=1.0, pair_sd_bu_ac=1.0, rest_sd_bu_ac=1.0, differ_p=p, differ=differ
    )
    first, *each = [one.text for one in zones_text(found)]
    assert first.startswith(phrase)
    assert (
        each[0] == "zone 1: +5.0 bu/ac seen in 4 pairs, +4.2 when drawn towards the field (90 % +2.4 to +6.0)"
    )
    assert each[1].startswith("zone 2: +0.0 bu/ac seen in one pair, +0.8")
    assert zones_text(replace(found, zones=zones[:1])) == ()
