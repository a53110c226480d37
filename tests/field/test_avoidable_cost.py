"""Zones at the cost that is still avoidable: the rule with wheel tracks, the minimum bill, every source.

10.40 USD/bu, 30 USD/ac; new tracks take .5 bu/ac = 5.20 USD/ac. Zones of 40 ac whose response is normal.
"""

from dataclasses import replace

import numpy as np
import pytest
from made_offers import MID_R3, choose_alone, made_offer, made_rig, made_zone, terms

from zoning.field import settle
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import FieldProblem
from zoning.returns.price import price
from zoning.returns.terms import Mixture, Part

AREA_AC = 40.0
TRACK_LOSS_BU_AC = 0.5


def zone_of(number: int, mean_bu_ac: float, sd_bu_ac: float) -> OfferedZone:
    """A zone whose response is normal, on which new tracks are made."""
    mixture = Mixture((Part(weight=1.0, low_bu_ac=mean_bu_ac, responding_bu_ac=0.0, sd_bu_ac=sd_bu_ac),))
    return made_zone(number, mixture, AREA_AC, field="f", yield_bu_ac=60.0, track_loss_bu_ac=TRACK_LOSS_BU_AC)


def planned(means_bu_ac, *, swaths=None, minimum_bill_usd=0.0, hours_per_day=24.0, **rule):
    """The plan of zones with these mean responses; all on one swath unless `swaths` says otherwise."""
    sd_bu_ac = 2.0
    days = [MID_R3 + step for step in range(6)]
    zones = tuple(zone_of(number, mean, sd_bu_ac) for number, mean in enumerate(means_bu_ac, start=1))
    money = replace(terms(), **rule)
    cases = [zone.case for zone in zones]
    priced = price(cases, days, (15.0,), money)
    bare = price([replace(case, track_loss_bu_ac=0.0) for case in cases], days, (15.0,), money)
    problem = FieldProblem(
        field="f",
        zones=priced.zones,
        block_of_zone=(0,) * len(zones),
        area_ac=np.full(len(zones), AREA_AC),
        days=priced.days,
        volumes_gal_ac=(15.0,),
        net_usd_ac=bare.net_usd_ac,
        worth_it=bare.passes_rule,
        swath_area_ac=np.full((1, len(zones)), AREA_AC) if swaths is None else np.asarray(swaths),
        track_loss_usd_ac=np.full(len(zones), TRACK_LOSS_BU_AC * money.price_usd_bu),
        bill_usd_ac=0.0,
        pass_usd_ac=money.pass_usd_ac,
        per_visit_usd=0.0,
        minimum_bill_usd=minimum_bill_usd,
    )
    machine = made_rig(hours_per_day)
    options = Options(priced=priced, terms=(money,), problem=problem, machine=machine)
    return settle(made_offer(zones, options, "f"), choose_alone(zones, options))


def actions(plan) -> list[str]:
    return [zone.action for zone in plan.zones]


def codes(plan) -> list[str]:
    return [zone.reason.code for zone in plan.zones]


def test_by_hand_zones_do_not_pay_because_of_one_another_s_tracks():
    # without tracks 10.40 x 4 - 30 = 11.60, chance that N(11.60, 20.8) > 0 is .71; with them 6.40 and .62
    asked = planned([4.0, 4.0], rule="chance", min_chance_frac=0.65)
    assert actions(asked) == ["skip", "skip"]
    assert codes(asked) == ["returns.chance_low"] * 2
    assert asked.zones[0].money.net_mean_usd_ac == pytest.approx(6.40, abs=0.05)
    assert asked.zones[0].money.chance_pays == pytest.approx(0.62, abs=0.01)
    assert asked.totals.net_usd == 0
    less = planned([4.0, 4.0], rule="chance", min_chance_frac=0.60)
    assert actions(less) == ["spray", "spray"]


def test_by_hand_a_zone_that_pays_for_the_tracks_takes_its_neighbours_along():
    # zone 1 with its tracks: 10.40 x 5.5 - 30 = 27.20, chance .90; the others' tracks are then made anyway
    plan = planned([6.0, 4.0, 4.0], rule="chance", min_chance_frac=0.65)
    assert actions(plan) == ["spray"] * 3
    assert codes(plan) == ["returns.spray", "offers.driven_anyway", "offers.driven_anyway"]
    # 40 x (32.40 + 11.60 + 11.60) - 120 x 5.20 = 1600
    assert plan.totals.net_usd == pytest.approx(1600, abs=6)
    (shared,) = [note for note in plan.notes if note.code == "offers.shared_tracks"]
    in_zones_usd = sum(AREA_AC * zone.money.net_mean_usd_ac for zone in plan.zones)
    assert shared.values["usd"] == pytest.approx(2 * AREA_AC * 5.20)
    assert in_zones_usd - shared.values["usd"] == pytest.approx(plan.totals.net_usd)


def test_a_cautious_rule_sees_the_tracks_too():
    # mean gain and loss of N(11.60, 20.8): 15.2 and 3.6; of N(6.40, 20.8): 11.9 and 5.5
    assert actions(planned([4.0], rule="cautious", loss_weight=3.0)) == ["skip"]
    assert actions(planned([4.0], rule="cautious", loss_weight=1.5)) == ["spray"]


def test_by_hand_a_zone_that_loses_by_itself_can_be_worth_it_to_the_pass():
    # zone 2 with its tracks, on swaths of its own: 10.40 x (3.2 - .5) - 30 = -1.92; but its 40 ac x 9 USD
    # come off the top-up to the minimum bill of 1000 USD
    own_swaths = [[AREA_AC, 0.0], [0.0, AREA_AC]]
    plan = planned([6.0, 3.2], swaths=own_swaths, minimum_bill_usd=1000.0)
    assert actions(plan) == ["spray", "spray"]
    assert codes(plan) == ["returns.spray", "offers.pass_returns_more"]
    assert plan.zones[1].money.net_mean_usd_ac == pytest.approx(-1.92, abs=0.05)
    assert actions(planned([6.0, 3.2], swaths=own_swaths)) == ["spray", "skip"]


@pytest.mark.parametrize("means", [[6.0, 4.0, 2.0], [4.0, 4.0], [6.0, 3.2, 3.2]])
def test_the_chosen_source_says_what_the_plan_does(means):
    plan = planned(means)
    for zone in plan.zones:
        chosen = zone.money.by_source["pooled trials"]
        assert chosen.action == zone.action
        assert chosen.net_usd_ac == pytest.approx(zone.money.net_mean_usd_ac)
        assert zone.money.by_source["own trials"] is None


def test_a_pass_of_several_days_says_so_and_the_figures_add_up():
    # 80 ac at 78 ac/h are 1.03 h: two days of .6 h, the second one later in the stage and worth less
    plan = planned([6.0, 6.0], hours_per_day=0.6)
    (said,) = [note for note in plan.notes if note.code == "offers.several_days"]
    assert said.values["days"] == 2
    assert said.values["last"].toordinal() == plan.passes[0].day.toordinal() + 1
    in_zones_usd = sum(AREA_AC * zone.money.net_mean_usd_ac for zone in plan.zones)
    known = {note.code: note.values["usd"] for note in plan.notes if "usd" in note.values}
    assert "offers.shared_tracks" not in known
    assert known["offers.middle_day"] > 0
    assert in_zones_usd - known["offers.middle_day"] == pytest.approx(plan.totals.net_usd)
