"""Worked decisions through price, schedule and settle: 0.05 USD/ac and 0.01 in chance.

P 10.40 USD/bu, product 19, adjuvant 2, pass 9: 30 USD/ac, break-even response 30 / 10.40 = 2.885 bu/ac.
"""

from dataclasses import replace

import numpy as np
import pytest
from made_offers import DRAWS, FROGEYE, MID_R3, settled_zone, terms

from zoning.returns import curve
from zoning.returns.draws import response_draws
from zoning.returns.mixture import from_parts
from zoning.returns.rule import chance, passes
from zoning.returns.sources import severity
from zoning.returns.terms import Mixture, Part

MONEY = 0.05
CHANCE = 0.01
# Two parts, 67 % N(0.7, 0.6) and 33 % N(3.5, 1.0): mean .67 x .7 + .33 x 3.5 = 1.624 bu/ac.
TWO_PARTS = Mixture(
    (
        Part(weight=0.67, low_bu_ac=0.7, responding_bu_ac=0.0, sd_bu_ac=0.6),
        Part(weight=0.33, low_bu_ac=0.0, responding_bu_ac=3.5, sd_bu_ac=1.0),
    )
)


@pytest.mark.parametrize(
    ("track_loss", "pass_usd_ac", "net", "chance", "needed", "price"),
    [
        # 10.40 x (1.624 - 1.025) - 30 = -23.77; 30 / (1.624 - 1.025) = 50.06
        (1.025, 9.0, -23.77, 0.1126, 3.909, 50.06),
        # 10.40 x 1.624 - 30 = -13.11; 30 / 1.624 = 18.47
        (0.0, 9.0, -13.11, 0.2413, 2.885, 18.47),
        # by air at 15: 10.40 x 1.624 - 36 = -19.11; 36 / 10.40 = 3.462
        (0.0, 15.0, -19.11, 0.1701, 3.462, 36 / 1.624),
    ],
    ids=["new tracks", "existing tracks", "air"],
)
def test_by_hand_nothing_pays(track_loss, pass_usd_ac, net, chance, needed, price):
    zone, plan = settled_zone(
        TWO_PARTS,
        area_ac=78.0,
        yield_bu_ac=58.0,
        track_loss_bu_ac=track_loss,
        pass_usd_ac=pass_usd_ac,
    )
    assert zone.action == "skip"
    assert plan.passes == ()
    assert plan.totals.net_usd == 0
    assert zone.money.net_mean_usd_ac == pytest.approx(net, abs=MONEY)
    assert zone.money.chance_pays == pytest.approx(chance, abs=CHANCE)
    assert zone.money.break_even_response_bu_ac == pytest.approx(needed, abs=0.001)
    # the price is a ratio: half a cent in the response moves 50.06 by .4
    assert zone.money.break_even_price_usd_bu == pytest.approx(price, rel=0.005 / (1.624 - track_loss))


def test_by_hand_nothing_pays_in_dollars_of_the_field():
    # 78 ac x -23.77 = -1,854 USD: what a pass with new tracks would lose
    zone, plan = settled_zone(TWO_PARTS, area_ac=78.0, yield_bu_ac=58.0, track_loss_bu_ac=58 * 1.59 / 90)
    assert plan.totals.nearest_net_usd == pytest.approx(-1854, abs=78 * MONEY)
    assert zone.area_ac * zone.money.net_mean_usd_ac == pytest.approx(-1854, abs=78 * MONEY)


@pytest.mark.parametrize(
    ("track_loss", "knowing", "price", "needed", "percent"),
    [
        # mean of max(0, net) less max(0, mean net); frogeye: (3.909 - .7) / (58 x .0051 x .6) = 18.08 %
        (58 * 1.59 / 90, 0.78, 50.06, 3.909, 18.08),
        # 78 ac x 2.68 = 209 USD on existing tracks; (2.885 - .7) / .1775 = 12.31 %
        (0.0, 2.68, 18.47, 2.885, 12.31),
    ],
    ids=["new tracks", "existing tracks"],
)
def test_by_hand_nothing_pays_but_what_would_turn_it(track_loss, knowing, price, needed, percent):
    zone, _ = settled_zone(
        TWO_PARTS,
        area_ac=78.0,
        yield_bu_ac=58.0,
        track_loss_bu_ac=track_loss,
        damage=FROGEYE,
    )
    assert zone.money.perfect_information_usd_ac == pytest.approx(knowing, abs=MONEY)
    turned = {flip.name: flip.value for flip in zone.money.flips}
    assert turned["price"] == pytest.approx(price, rel=0.005 / (1.624 - track_loss))
    assert turned["response"] == pytest.approx(needed, abs=0.001)
    # 0.05 USD/ac are .03 %
    assert turned["severity"] == pytest.approx(percent, abs=0.03)
    # the cost that the response would carry: 10.40 x (1.624 - tracks)
    assert turned["cost"] == pytest.approx(10.40 * (1.624 - track_loss), abs=MONEY)


@pytest.mark.parametrize(("percent", "action"), [(12.2, "skip"), (12.4, "spray")])
def test_by_hand_nothing_pays_unless_frogeye_will_end_high_enough(percent, action):
    # (2.885 - .7) / (58 x .0051 x .6) = 12.3 % on existing tracks
    zone, _ = settled_zone(severity(58, percent, 0.6), area_ac=78.0, yield_bu_ac=58.0)
    assert zone.action == action


@pytest.mark.parametrize(
    ("track_loss", "pass_usd_ac", "net", "chance", "action"),
    [
        # .7 + 60 x .0051 x 20 x .6 = 4.372; 10.40 x 4.372 - 30 = 15.47
        (0.0, 9.0, 15.47, 0.809, "spray"),
        (0.0, 15.0, 9.47, 0.704, "spray"),
        (1.06, 9.0, 4.44, 0.599, "spray"),
    ],
    ids=["existing tracks", "air", "new tracks"],
)
def test_by_hand_frogeye_found(track_loss, pass_usd_ac, net, chance, action):
    zone, plan = settled_zone(
        severity(60, 20, 0.6),
        area_ac=120.0,
        yield_bu_ac=60.0,
        track_loss_bu_ac=track_loss,
        pass_usd_ac=pass_usd_ac,
    )
    assert zone.action == action
    assert zone.money.net_mean_usd_ac == pytest.approx(net, abs=MONEY)
    assert zone.money.chance_pays == pytest.approx(chance, abs=CHANCE)
    assert zone.spray_on.toordinal() == MID_R3
    assert plan.totals.net_usd == pytest.approx(120 * zone.money.net_mean_usd_ac)


def test_by_hand_a_product_that_the_fungus_resists_is_skipped():
    # efficacy 0 leaves the low response: 10.40 x .7 - 30 = -22.72
    zone, _ = settled_zone(severity(60, 20, 0.0), area_ac=120.0, yield_bu_ac=60.0)
    assert zone.action == "skip"
    assert zone.money.net_mean_usd_ac == pytest.approx(-22.72, abs=MONEY)


@pytest.fixture
def shares_of_the_case(monkeypatch):
    """Put .90 at mid R4 and .45 at R5 where disease is building, which the case is reckoned with."""
    position = np.array([1, 2.5, 3, 3.5, 4.5, 5, 6])
    low = np.array([0.44, 0.96, 0.98, 1, 0.40, 0.35, 0])
    disease = np.array([0.50, 0.90, 1, 1, 0.90, 0.45, 0])
    monkeypatch.setattr(curve, "points", lambda _name: (position, low, position, disease))


def frogeye_after(days_after_r3: float):
    """Net return of frogeye found if sprayed so many days after the first day of R3, and the action."""
    # R3 begins 4.5 d before its middle
    middle = MID_R3 + 4.5 - days_after_r3
    zone, _ = settled_zone(severity(60, 20, 0.6), area_ac=120.0, yield_bu_ac=60.0, mid_r3=middle)
    return zone.money.net_mean_usd_ac, zone.action


@pytest.mark.usefixtures("shares_of_the_case")
@pytest.mark.parametrize(
    ("days_after_r3", "net", "action"),
    [
        # 10.40 x (.7 g + 3.672 g_d) - 30
        (4.5, 15.47, "spray"),
        (9.0, 11.38, "spray"),
        (13.5, 7.28, "spray"),
        (15.34, 0.11, "spray"),
        (15.40, -0.13, "skip"),  # 13.5 + 7.282 / 3.900 = 15.367: the last day that pays
        (18.0, -10.27, "skip"),
    ],
)
def test_by_hand_frogeye_found_and_sprayed_late(days_after_r3, net, action):
    ours, decided = frogeye_after(days_after_r3)
    assert ours == pytest.approx(net, abs=MONEY)
    assert decided == action


@pytest.mark.usefixtures("shares_of_the_case")
def test_by_hand_frogeye_found_what_a_day_costs():
    # (15.47 - 7.28) / 9 = .91 USD/ac a day up to day 13.5, then (7.28 + 10.27) / 4.5 = 3.90
    nets = [frogeye_after(days)[0] for days in (4.5, 13.5, 18.0)]
    assert (nets[0] - nets[1]) / 9 == pytest.approx(0.91, abs=MONEY)
    assert (nets[1] - nets[2]) / 4.5 == pytest.approx(3.90, abs=MONEY)


@pytest.mark.usefixtures("shares_of_the_case")
def test_by_hand_frogeye_found_what_waiting_costs_in_the_plan():
    # days 4.5, 5.5, ... 17.5 after R3 begins: .91 USD/ac a day, 3.90 from 13.5 on; 14.5 is the last that pays
    zone, _ = settled_zone(
        severity(60, 20, 0.6), area_ac=120.0, yield_bu_ac=60.0, days=range(MID_R3, MID_R3 + 14)
    )
    assert zone.spray_on.toordinal() == MID_R3
    delay = zone.money.delay
    assert delay.days == tuple(range(MID_R3, MID_R3 + 14))
    assert delay.pays_until == MID_R3 + 10
    early, late = np.split(np.array(delay.net_usd_ac), [10])
    assert (early[0], early[9]) == pytest.approx((15.47, 7.28), abs=MONEY)
    assert -np.diff(early) == pytest.approx(np.full(9, 0.91), abs=MONEY)
    assert -np.diff(late) == pytest.approx(np.full(3, 3.90), abs=MONEY)


@pytest.mark.parametrize(
    ("track_loss", "percent", "action"),
    [
        # (2.885 - .7) / (60 x .0051 x .6) = 11.9 %
        (0.0, 11.8, "skip"),
        (0.0, 12.0, "spray"),
        # 1.06 bu of new tracks: (3.945 - .7) / .1836 = 17.7 %
        (1.06, 17.6, "skip"),
        (1.06, 17.8, "spray"),
    ],
)
def test_by_hand_frogeye_needs_an_end_severity(track_loss, percent, action):
    zone, _ = settled_zone(
        severity(60, percent, 0.6), area_ac=120.0, yield_bu_ac=60.0, track_loss_bu_ac=track_loss
    )
    assert zone.action == action


# An insecticide pass is going anyway: 19 USD/ac of fungicide is all that is avoidable.
GOING_ANYWAY = replace(terms(0.0), adjuvant_usd_ac=0.0)
HALF = from_parts([0.5, 0.5], [[0.7, 0.6], [3.5, 1.0]])
TENTH = from_parts([0.9, 0.1], [[0.7, 0.6], [3.5, 1.0]])


@pytest.mark.parametrize(
    ("mixture", "area_ac", "net", "pays", "action"),
    [
        # 10.40 x 2.10 - 19 = 2.84; x 100 ac = 284 USD
        (HALF, 100.0, 2.84, 0.4915, "spray"),
        # 10.40 x .98 - 19 = -8.81
        (TENTH, 60.0, -8.81, 0.1224, "skip"),
    ],
    ids=["zone 1", "zone 2"],
)
def test_by_hand_the_pass_is_going_anyway(mixture, area_ac, net, pays, action):
    zone, plan = settled_zone(mixture, area_ac=area_ac, yield_bu_ac=58.0, money=GOING_ANYWAY)
    assert zone.money.net_mean_usd_ac == pytest.approx(net, abs=MONEY)
    assert zone.money.chance_pays == pytest.approx(pays, abs=CHANCE)
    assert zone.money.break_even_response_bu_ac == pytest.approx(1.827, abs=0.001)
    assert zone.action == action
    assert plan.totals.net_usd == pytest.approx(max(0.0, area_ac * net), abs=area_ac * MONEY)


@pytest.mark.parametrize(
    ("rule", "code"),
    [
        ({"rule": "expected", "min_net_usd_ac": 0.0}, "returns.spray"),
        ({"rule": "expected", "min_net_usd_ac": 3.0}, "returns.toss_up"),  # 0 < 2.84 <= 3
        ({"rule": "chance", "min_chance_frac": 0.5}, "returns.chance_low"),  # .4915 < .5
        ({"rule": "chance", "min_chance_frac": 0.45}, "returns.spray"),
        ({"rule": "cautious", "loss_weight": 2.0}, "returns.cautious"),
    ],
)
def test_by_hand_the_pass_is_going_anyway_under_each_rule(rule, code):
    zone, plan = settled_zone(HALF, area_ac=100.0, yield_bu_ac=58.0, money=replace(GOING_ANYWAY, **rule))
    assert zone.reason.code == code
    assert zone.action == ("spray" if code == "returns.spray" else "skip")
    assert zone.money.net_mean_usd_ac == pytest.approx(2.84, abs=MONEY)
    assert bool(plan.passes) == (zone.action == "spray")
    assert zone.money.toss_up == (code == "returns.toss_up")


def test_by_hand_the_pass_is_going_anyway_for_both_zones():
    # a blanket pass: 100 x 2.84 - 60 x 8.81 = -244.48 USD; the rule on draws skips zone 2 under all rules
    nets = [
        10.40 * response_draws(mixture, seed=3, field="case", zone=number, draws=DRAWS) - 19
        for number, mixture in enumerate((HALF, TENTH), start=1)
    ]
    assert 100 * nets[0].mean() + 60 * nets[1].mean() == pytest.approx(-244.48, abs=160 * MONEY)
    assert chance(nets[1]) == pytest.approx(0.1224, abs=CHANCE)
    for rule in ("expected", "chance", "cautious"):
        assert not passes(nets[1], replace(GOING_ANYWAY, rule=rule))


def test_by_hand_without_the_other_pass():
    # 30 USD/ac and 58 x 159/90 % = 1.025 bu of new tracks: 10.40 x (2.10 - 1.025) - 30 = -18.82
    zone, _ = settled_zone(HALF, area_ac=100.0, yield_bu_ac=58.0, track_loss_bu_ac=58 * 1.59 / 90)
    assert zone.action == "skip"
    assert zone.money.net_mean_usd_ac == pytest.approx(-18.82, abs=MONEY)
