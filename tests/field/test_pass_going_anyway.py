"""Another pass goes over the whole field anyway: handbook case D through price, schedule and settle.

160 ac, 10.40 USD/bu, product 19, adjuvant 2 (in the tank anyway), pass 9. Zone 1 100 ac, zone 2 60 ac.
"""

import numpy as np
import pytest
from made_offers import MID_R3, choose_alone, made_offer, made_rig, made_zone

from zoning.field import settle
from zoning.offers.bill import bill
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import FieldProblem
from zoning.returns import costs
from zoning.returns.price import price
from zoning.returns.terms import Mixture, Part
from zoning.settings.model import Money

MONEY = 0.05
CHANCE = 0.01
AREAS_AC = (100.0, 60.0)
RESPONDING = (0.50, 0.10)
NEW_TRACKS_BU_AC = 1.025
KEYS = {"grain_price": "10.40 USD/bu", "product": "19 USD/ac", "adjuvant": "2 USD/ac", "pass": "9 USD/ac"}
ANYWAY = {"other_pass": "insecticide", "adjuvant_already_bought": True}


def zone_of(number: int, track_loss_bu_ac: float) -> OfferedZone:
    """Two parts: N(.7, .6), and N(3.5, 1.0) with the weight of its zone."""
    weight, area_ac = RESPONDING[number - 1], AREAS_AC[number - 1]
    mixture = Mixture(
        (
            Part(weight=1 - weight, low_bu_ac=0.7, responding_bu_ac=0.0, sd_bu_ac=0.6),
            Part(weight=weight, low_bu_ac=0.0, responding_bu_ac=3.5, sd_bu_ac=1.0),
        )
    )
    return made_zone(number, mixture, area_ac, field="d", track_loss_bu_ac=track_loss_bu_ac)


def decided(track_loss_bu_ac: float = 0.0, **keys):
    """The plan of the field, its passes and its bill."""
    money = Money.model_validate(KEYS | keys)
    zones = tuple(zone_of(number, track_loss_bu_ac) for number in (1, 2))
    terms, by_visit = costs.terms(money), costs.by_visit(money, None)
    cases = [zone.case for zone in zones]
    priced = price(cases, [MID_R3], (15.0,), terms)
    loss_usd_ac = np.full(2, track_loss_bu_ac * terms.price_usd_bu)
    problem = FieldProblem(
        field="d",
        zones=(1, 2),
        block_of_zone=(0, 0),
        area_ac=np.array(AREAS_AC),
        days=priced.days,
        volumes_gal_ac=(15.0,),
        net_usd_ac=priced.net_usd_ac + loss_usd_ac[:, np.newaxis, np.newaxis],
        worth_it=priced.passes_rule,
        swath_area_ac=np.diag(AREAS_AC),
        track_loss_usd_ac=loss_usd_ac,
        bill_usd_ac=by_visit.bill_usd_ac,
        pass_usd_ac=terms.pass_usd_ac,
        per_visit_usd=by_visit.per_visit_usd,
        minimum_bill_usd=by_visit.minimum_bill_usd,
        min_net_usd_ac=terms.min_net_usd_ac,
        goes_anyway=money.goes_anyway,
        split_load_usd=by_visit.split_load_usd,
        may_fill_up=money.rule == "expected",
    )
    options = Options(
        priced=priced,
        terms=(terms,),
        problem=problem,
        machine=made_rig(),
        spent_by_visit=costs.spent_by_visit(money, None),
    )
    chosen = choose_alone(zones, options)
    return settle(made_offer(zones, options, "d"), chosen), chosen, bill(options, chosen)


def actions(plan):
    return [zone.action for zone in plan.zones]


def test_by_hand_only_the_zone_that_pays_for_the_product_gets_it():
    plan, _, _ = decided(**ANYWAY)
    one, two = (zone.money for zone in plan.zones)
    # 19 / 10.40 = 1.827 needed; means .5 x .7 + .5 x 3.5 = 2.10 and .9 x .7 + .1 x 3.5 = .98
    assert one.break_even_response_bu_ac == pytest.approx(1.827, abs=0.0005)
    assert (one.response_mean_bu_ac, two.response_mean_bu_ac) == pytest.approx((2.10, 0.98), abs=0.005)
    assert one.net_mean_usd_ac == pytest.approx(2.84, abs=MONEY)
    assert one.chance_pays == pytest.approx(0.4915, abs=CHANCE)
    assert two.net_mean_usd_ac == pytest.approx(-8.81, abs=MONEY)
    assert two.chance_pays == pytest.approx(0.1224, abs=CHANCE)
    assert actions(plan) == ["spray", "skip"]
    assert plan.totals.net_usd == pytest.approx(284, abs=100 * MONEY)


def test_by_hand_a_load_of_its_own_is_charged_once():
    # 284 - 60; both zones would return 284 - 60 ac x 8.81 = -245
    plan, chosen, lines = decided(**ANYWAY, split_load="60 USD")
    assert actions(plan) == ["spray", "skip"]
    assert plan.totals.net_usd == pytest.approx(224, abs=100 * MONEY)
    assert chosen.visits[0].visit_costs_usd == 60
    assert [(one.name, round(one.usd)) for one in lines if one.counted] == [
        ("product", 1900),
        ("split_load", 60),
    ]
    # the other pass is driven over all 160 ac, whatever is decided
    assert {one.name: round(one.usd) for one in lines if not one.counted} == {"adjuvant": 200, "pass": 1440}


def test_by_hand_one_load_for_all_where_its_own_load_costs_more_than_the_poor_zone_loses():
    # zone 2 loses 60 x 8.81 = 529; the field together loses 245, so nothing is sprayed rather than all of it
    plan, _, _ = decided(**ANYWAY, split_load="540 USD")
    assert actions(plan) == ["skip", "skip"]
    assert plan.zones[0].reason.code == "passes.pass_loses"
    # a product of 17 USD/ac: zone 1 +4.84 = 484, zone 2 -6.81 = -409; all +75 against 484 - 450 = 34
    plan, chosen, _ = decided(**ANYWAY, product="17 USD/ac", split_load="450 USD")
    assert actions(plan) == ["spray", "spray"]
    assert plan.totals.net_usd == pytest.approx(75, abs=160 * MONEY)
    assert chosen.visits[0].visit_costs_usd == 0
    assert plan.zones[1].reason.code == "offers.pass_returns_more"
    # 409 is more than 400
    plan, _, _ = decided(**ANYWAY, product="17 USD/ac", split_load="400 USD")
    assert actions(plan) == ["spray", "skip"]


def test_a_rule_that_refuses_a_zone_is_kept_where_a_load_would_be_spared():
    plan, _, _ = decided(**ANYWAY, product="17 USD/ac", split_load="450 USD", rule="chance", min_chance=0.2)
    assert actions(plan) == ["spray", "skip"]


def test_by_hand_a_toss_up_is_skipped_and_said():
    plan, _, _ = decided(**ANYWAY, min_net="3 USD/ac")
    assert actions(plan) == ["skip", "skip"]
    assert plan.zones[0].reason.code == "returns.toss_up"
    assert plan.totals.net_usd == 0


def test_by_hand_a_chance_of_a_half_is_not_reached():
    plan, _, _ = decided(**ANYWAY, rule="chance", min_chance=0.5)
    assert actions(plan) == ["skip", "skip"]
    assert plan.zones[0].reason.code == "returns.chance_low"


def test_by_hand_without_the_other_pass_nothing_pays():
    # 10.40 x (2.10 - 1.025) - 30 = -18.82
    plan, _, lines = decided(NEW_TRACKS_BU_AC)
    assert plan.zones[0].money.net_mean_usd_ac == pytest.approx(-18.82, abs=MONEY)
    assert actions(plan) == ["skip", "skip"]
    assert [(one.name, one.usd_ac, one.usd) for one in lines] == [
        ("product", 19, 0),
        ("adjuvant", 2, 0),
        ("pass", 9, 0),
    ]
