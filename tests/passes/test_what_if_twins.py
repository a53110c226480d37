"""One golden table, two languages: a field judged again in Python and in the page, held to a plan's path.

Every expected figure comes from what makes a plan (`returns.price.settle` with changed terms, tracks as
`judged_together` counts them, sums of the field by `whole_field`); see tests/made/made_what_if.py.
"""

import json
from base64 import b64encode
from dataclasses import asdict, replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_page_plans import page_plan
from made_page_plans import what_if as made_what_if
from made_what_if import FIELDS, copy_of, expected, planned
from node import evaluate

from zoning.passes.what_if import WhatIfZone, judge
from zoning.plan import SOURCES
from zoning.settings.learned import FILE, LearnedTrial, as_text
from zoning.show.page.what_if_data import what_if_data

CHANCE = 1e-9  # asked: 1e-6
MONEY = 1e-6  # asked: 0.01 USD; sums of a field are of the order of 1e4
FIELD_FIGURES = ("net_usd", "net_p10_usd", "net_p90_usd", "spray_ac")
ZONE_FIGURES = ("net_mean_usd_ac", "net_p10_usd_ac", "net_p90_usd_ac", "break_even_response_bu_ac")

PRICES = (0.55, 0.8, 1.0, 1.3, 2.6)  # of the plan's own
COSTS = ((0.4, 1.0), (0.8, 0.5), (1.0, 1.0), (1.1, 1.6), (1.7, 1.2))  # product and pass, of the plan's own
THRESHOLDS = ((0.0, 0.3), (None, None), (8.0, 0.7))  # least net return and least chance; None: the plan's own

OWN_MACHINE = {
    'pass = "9 USD/ac"                   # custom bill for ground\n': "",
    "fill_min = 20": 'fill_min = 20\nmachine = "420 USD/h"',
}
NEW_TRACKS = {"tracks_exist = true ": "tracks_exist = false "}
VARIANTS = {
    "billed by the field": (
        "three_dates",
        {'billed = "treated"': 'billed = "field"', '"9 USD/ac"': '"2 USD/ac"'},
    ),
    "smallest bill": (
        "three_dates",
        NEW_TRACKS | {'per_visit = "60 USD"': 'per_visit = "60 USD"\nminimum_bill = "900 USD"'},
    ),
    "new tracks": ("wet_corner", NEW_TRACKS | {'"10.40 USD/bu"': '"15 USD/bu"'}),
    "another pass goes anyway": (
        "three_dates",
        {'billed = "treated"': 'billed = "treated"\nother_pass = "insecticide"\nsplit_load = "150 USD"'},
    ),
    "by chance, new tracks": ("three_dates", NEW_TRACKS | {'rule = "expected"': 'rule = "chance"'}),
    "shares, bought product": (
        "three_dates",
        {
            'billed = "treated"': 'billed = "treated"\nshare_of_grain = 0.6\nshare_of_cost = 0.5\n'
            'haul = "0.35 USD/bu"\nproduct_already_bought = true\nwater = "0.02 USD/gal"'
        },
    ),
    "own machine": ("three_dates", OWN_MACHINE),
    "the morning returns more, few hours": (
        "three_dates",
        {"[schedule]": "[effects]\nmorning = true\n\n[schedule]", "efficiency = 0.85": "efficiency = 0.15"},
    ),
}


def table(of):
    """The plan's own figures, and those around them."""
    base = of.what_if.base
    rows = [base]
    for by_price, (by_product, by_pass), (net, chance) in product(PRICES, COSTS, THRESHOLDS):
        moved = replace(
            base,
            grain_price_usd_bu=by_price * base.grain_price_usd_bu,
            product_usd_ac=by_product * base.product_usd_ac,
            pass_usd_ac=by_pass * base.pass_usd_ac,
            min_net_usd_ac=base.min_net_usd_ac if net is None else net,
            min_chance_frac=base.min_chance_frac if chance is None else chance,
        )
        rows += [replace(moved, rule=rule) for rule in ("expected", "chance", "cautious")]
        others = [source for source in SOURCES if source != base.source]
        rows += [replace(moved, source=source) for source in others if has(of, source)]
    return rows


def has(of, source):
    return any(source in one.steps for one in of.what_if.zones)


def check(of, every=1):
    rows = table(of)[::every]
    given = {"data": what_if_data(of.what_if), "rows": [asdict(one) for one in rows]}
    pages = evaluate(["what_if"], "given.rows.map((row) => whatIf.judge(given.data, row, {}))", given)
    seen = set()
    for figures, page in zip(rows, pages, strict=True):
        right = expected(of, figures)
        here = asdict(judge(of.what_if, figures))
        for answer in (here, page):
            one_row(right, answer)
        assert [tuple(visit["zones"]) for visit in page["visits"]] == [one["zones"] for one in here["visits"]]
        assert [one["by"] for one in page["zones"]] == [one["by"] for one in here["zones"]]
        seen.add(tuple(right.actions))
    return seen


def one_row(right, answer):
    assert [one["action"] for one in answer["zones"]] == right.actions
    for name in FIELD_FIGURES:
        assert answer[name] == pytest.approx(getattr(right, name), abs=MONEY)
    assert answer["chance_frac"] == pytest.approx(right.chance_frac, abs=CHANCE)
    for zone, mine in zip(right.zones, answer["zones"], strict=True):
        if zone is None:
            assert mine["net_mean_usd_ac"] is None
            continue
        assert mine["wanted"] == zone.worth_it
        assert mine["chance_frac"] == pytest.approx(zone.chance_frac, abs=CHANCE)
        for name in ZONE_FIGURES:
            assert mine[name] == pytest.approx(getattr(zone, name), abs=MONEY)


@pytest.mark.parametrize("name", FIELDS)
def test_every_demo_field_is_judged_in_the_page_as_the_plan_would(name, tmp_path):
    seen = check(planned(copy_of(name, tmp_path, {})))
    assert len(seen) > 1  # the table turns some decision of every field


@pytest.mark.parametrize("variant", VARIANTS)
def test_other_bills_rules_and_tracks_are_judged_in_the_page_as_the_plan_would(variant, tmp_path):
    name, edits = VARIANTS[variant]
    of = planned(copy_of(f"heron_slough/{name}", tmp_path, edits))
    assert len(check(of, every=3)) > 1


@pytest.mark.parametrize("source", ["own trials", "pooled trials"])
def test_what_strips_taught_is_judged_in_the_page_as_the_plan_would(source, tmp_path):
    edits = {'source = "pooled trials"': f'source = "{source}"'}
    folder = copy_of("heron_slough/three_dates", tmp_path, edits)
    one = LearnedTrial(season=2025, field="a", pressure="unknown", mean_bu_ac=4.4, se_bu_ac=0.9, pairs=6)
    other = replace(one, season=2024, pressure="low", mean_bu_ac=0.4)
    (folder.parent / FILE).write_text(as_text([one, other]), encoding="utf-8")
    of = planned(folder)
    assert has(of, "own trials")
    assert len(check(of, every=3)) > 1


@given(st.lists(st.integers(-32768, 32767), min_size=1, max_size=40))
@settings(max_examples=10, deadline=None)
def test_draws_come_through_the_page_as_they_are(steps):
    # two days of one draw at least, so that the page has to part them; scripts run in a process of their own
    rows = np.array([steps, steps[::-1]], dtype=np.int16)
    one = tiny(rows)
    handed = json.loads(json.dumps(what_if_data(one)))
    found = evaluate(
        ["what_if"], "Array.from(whatIf.read(given).zones[0].sources['pooled trials'].steps)", handed
    )
    assert found == rows.reshape(-1).tolist()


def test_responses_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="16 bits"):
        what_if_data(tiny(np.array([[40000]], dtype=np.int32)))


def test_by_hand_seven_draws_take_23_bits():
    # -3 ... 3 from the middle one, 1; folded 5 3 1 0 2 4 6. One low bit is best: 9 zeros, 7 ones, 7 low bits
    # (none: 21 zeros, 7 ones; two: 3, 7, 14). 0011 011 11 10 010 0010 00010 and one left over: 0x37 0xc8 0x84
    packed = what_if_data(tiny(np.arange(-2, 5, dtype=np.int16)[np.newaxis]))["zones"][0]["steps"]
    assert packed["pooled trials"] == (7, 1, 1, b64encode(bytes([0x37, 0xC8, 0x84])).decode())


def test_at_a_price_of_next_to_nothing_no_draw_pays_and_the_page_does_not_search_for_ever():
    of = made_what_if(page_plan(3))
    rows = [replace(of.base, grain_price_usd_bu=10.0**-digits) for digits in range(4, 40, 3)]
    given = {"data": what_if_data(of), "rows": [asdict(one) for one in rows]}
    pages = evaluate(["what_if"], "given.rows.map((row) => whatIf.judge(given.data, row, {}))", given)
    for figures, page in zip(rows, pages, strict=True):
        here = judge(of, figures)
        assert page["spray_ac"] == here.spray_ac == 0
        assert [one["chance_frac"] for one in page["zones"]] == [0, 0, 0]
        mean = [one.net_mean_usd_ac for one in here.zones]
        assert [one["net_mean_usd_ac"] for one in page["zones"]] == pytest.approx(mean, abs=MONEY)


def tiny(steps):
    """One zone without money to speak of."""
    zone = WhatIfZone(
        zone=1,
        area_ac=1.0,
        visit=0,
        judged_on=0,
        track_loss_bu_ac=0.0,
        steps={"pooled trials": steps},
        visit_days=len(steps),
    )
    return replace(made_what_if(page_plan(1)), zones=(zone,), swaths=())
