"""A plan reckoned again: at its own figures it is the plan, and other figures move it as they should."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_fields import make_field
from made_offers import MID_R3, choose_alone, made_offer, terms
from made_small_offers import Bargain, Ground, decided
from made_what_if import FIELDS, copy_of, planned, settled
from made_whole import options_of, zone_of

from zoning.offers.what_if import what_if
from zoning.offers.whole_field import whole_field
from zoning.passes.half_days import HalfDays
from zoning.passes.what_if import judge
from zoning.plan.zones import Override
from zoning.returns.mixture import from_parts
from zoning.returns.price import price
from zoning.returns.sources import pooled
from zoning.returns.terms import Mixture, Part

CLOSE = 1e-9


def holds(plan):
    """At the plan's own figures the answer is the plan: actions, and every figure."""
    answer = judge(plan.what_if, plan.what_if.base)
    assert [one.action for one in answer.zones] == [one.action for one in plan.zones]
    for mine, zone in zip(answer.zones, plan.zones, strict=True):
        if zone.money is None:
            assert mine.net_mean_usd_ac is None
            continue
        assert mine.net_mean_usd_ac == pytest.approx(zone.money.net_mean_usd_ac, abs=CLOSE)
        assert mine.net_p10_usd_ac == pytest.approx(zone.money.net_p10_usd_ac, abs=CLOSE)
        assert mine.net_p90_usd_ac == pytest.approx(zone.money.net_p90_usd_ac, abs=CLOSE)
        assert mine.chance_frac == zone.money.chance_pays
        needed = zone.money.break_even_response_bu_ac
        assert mine.break_even_response_bu_ac == pytest.approx(needed, abs=CLOSE)
    totals = plan.totals
    assert (answer.spray_ac, answer.skip_ac) == pytest.approx((totals.spray_ac, totals.skip_ac), abs=CLOSE)
    assert answer.net_usd == pytest.approx(totals.net_usd, abs=1e-6)
    if totals.spray_ac:  # else those of the totals are of the pass that comes nearest
        assert answer.net_p10_usd == pytest.approx(totals.net_p10_usd, abs=1e-6)
        assert answer.net_p90_usd == pytest.approx(totals.net_p90_usd, abs=1e-6)
        assert answer.chance_frac == totals.chance_pays
    made = {one.number: one.zones for one in answer.visits if one.stands}
    assert plan.level < 3 or made == {one.number: one.zones for one in plan.passes}
    return answer


@pytest.mark.parametrize("name", FIELDS)
def test_at_its_own_figures_every_demo_field_is_its_plan(name, tmp_path):
    plan = planned(copy_of(name, tmp_path, {})).plan
    holds(plan)
    assert all(one.stands is None for one in plan.what_if.zones)


@pytest.mark.parametrize("seed", [4, 5, 74])
def test_at_its_own_figures_a_made_field_is_its_plan(seed, tmp_path):
    truth = make_field(tmp_path / "field", seed)
    of = planned(tmp_path / "field", truth.today)
    assert of.plan.level == truth.level > 1
    holds(of.plan)


grounds = st.builds(
    Ground,
    pressure=st.sampled_from(["unknown", "low", "medium", "high", "seen"]),
    area_ac=st.sampled_from([6.0, 25.0, 60.0]),
    later_d=st.just(0.0),
    track_loss_bu_ac=st.sampled_from([0.0, 0.4, 1.0]),
)
bargains = st.builds(
    lambda rule, least, volumes, visit, bill, shared, hours: Bargain(
        terms=replace(terms(), rule=rule, min_net_usd_ac=least),
        volumes_gal_ac=volumes,
        per_visit_usd=visit,
        minimum_bill_usd=bill,
        shared_frac=shared,
        hours_per_day=hours,
    ),
    st.sampled_from(["expected", "chance", "cautious"]),
    st.sampled_from([0.0, 4.0]),
    st.sampled_from([(15.0,), (10.0, 15.0, 20.0)]),
    st.sampled_from([0.0, 60.0, 300.0]),
    st.sampled_from([0.0, 500.0]),
    st.sampled_from([0.0, 0.5, 1.0]),
    st.sampled_from([0.4, 5.0]),
)


@given(st.lists(grounds, min_size=1, max_size=4), bargains)
@settings(max_examples=40, deadline=None)
def test_at_its_own_figures_a_field_is_its_plan_whatever_it_costs(grounds, bargain):
    alike = [replace(one, block=at, later_d=3.0 * at) for at, one in enumerate(grounds)]
    holds(decided(alike, bargain))


@given(st.lists(grounds, min_size=1, max_size=4), bargains, st.data())
@settings(max_examples=30, deadline=None)
def test_a_better_price_or_a_lower_cost_never_takes_a_zone_out(grounds, bargain, data):
    alike = [replace(one, block=at) for at, one in enumerate(grounds)]
    what_if = decided(alike, bargain).what_if
    what_if = replace(what_if, zones=tuple(replace(one, stands=None) for one in what_if.zones))
    name, factors = data.draw(
        st.sampled_from(
            [
                ("grain_price_usd_bu", (0.5, 0.8, 1.0, 1.4, 2.0, 3.0)),
                ("product_usd_ac", (2.0, 1.4, 1.0, 0.7, 0.3, 0.0)),
                ("pass_usd_ac", (2.0, 1.4, 1.0, 0.7, 0.3, 0.0)),
            ]
        )
    )
    before: set[int] = set()
    for factor in factors:
        figures = replace(what_if.base, **{name: factor * getattr(what_if.base, name)})
        answer = judge(what_if, figures)
        sprayed = {one.zone for one in answer.zones if one.action == "spray"}
        assert before <= sprayed
        before = sprayed


@given(st.lists(grounds, min_size=2, max_size=4), bargains, st.data())
@settings(max_examples=30, deadline=None)
def test_what_the_user_decides_is_followed_and_counted(grounds, bargain, data):
    alike = [replace(one, block=at) for at, one in enumerate(grounds)]
    what_if = decided(alike, bargain).what_if
    action = st.sampled_from(["spray", "skip"])
    forced = data.draw(st.dictionaries(st.integers(1, len(grounds)), action, min_size=1))
    answer = judge(what_if, what_if.base, forced)
    for one in answer.zones:
        if one.zone in forced:
            assert (one.action, one.by) == (forced[one.zone], "you")
        else:
            assert one.by in ("figures", "plan")
    sprayed = [one for one in what_if.zones if answer.zones[one.zone - 1].action == "spray"]
    assert answer.spray_ac == pytest.approx(sum(one.area_ac for one in sprayed))
    assert {zone for visit in answer.visits for zone in visit.zones} == {one.zone for one in sprayed}


def flat(bu_ac):
    return from_parts([1.0], [[bu_ac, 0.0]])


def made(zones, options):
    return settled(made_offer(zones, options), choose_alone(zones, options))


def at(of, forced=None, **figures):
    return judge(of.what_if, replace(of.what_if.base, **figures), forced)


def test_by_hand_a_visit_that_no_longer_pays_is_left_out():
    # 40 ac at 4 bu/ac: (10.40 x 4 - 30) x 40 = 464 USD, 404 with a visit of 60; at 8.00 USD/bu 80 - 60 = 20,
    # at 7.80 48 - 60 is a loss, though the zone by itself is still wanted
    zones = (zone_of(1, flat(4.0), 40.0),)
    of = made(zones, options_of(zones, visit_usd=60.0))
    holds(of.plan)
    assert at(of).net_usd == pytest.approx(404)
    assert at(of, grain_price_usd_bu=8.0).net_usd == pytest.approx(20)
    out = at(of, grain_price_usd_bu=7.8)
    assert (out.net_usd, out.chance_frac, [one.stands for one in out.visits]) == (0, 0, [False])
    assert (out.zones[0].action, out.zones[0].wanted, out.zones[0].by) == ("skip", True, "figures")
    # 48 - 60 where the user wants it
    forced = at(of, {1: "spray"}, grain_price_usd_bu=7.8)
    assert forced.net_usd == pytest.approx(-12)
    assert (forced.zones[0].action, forced.zones[0].by) == ("spray", "you")


def test_by_hand_tracks_of_a_neighbour_are_free():
    # both zones share the second swath. Zone 2 (20 ac, 3.2 bu/ac, all of it there) by itself:
    # 10.40 x (3.2 - 0.5) - 30 = -1.92 USD/ac; beside zone 1 its tracks are made anyway: +3.28
    zones = (zone_of(1, flat(5.0), 40.0, loss_bu_ac=0.5), zone_of(2, flat(3.2), 20.0, loss_bu_ac=0.5))
    of = made(zones, options_of(zones))
    holds(of.plan)
    both = at(of)
    assert [one.action for one in both.zones] == ["spray", "spray"]
    assert both.zones[1].net_mean_usd_ac == pytest.approx(3.28)
    # 40 x (52 - 30) + 20 x 3.28 less 60 ac x 0.5 bu/ac x 10.40: 880 + 65.6 - 312
    assert both.net_usd == pytest.approx(633.6)
    without = at(of, {1: "skip"})
    assert [one.action for one in without.zones] == ["skip", "skip"]
    assert without.zones[1].net_mean_usd_ac == pytest.approx(-1.92)


def test_by_hand_the_field_on_which_nothing_pays():
    # handbook case A on existing tracks: 67 % N(0.7, 0.6) and 33 % N(3.5, 1.0), mean 1.624 bu/ac:
    # 10.40 x 1.624 - 30 = -13.11 USD/ac, chance .2413; 30 / 10.40 = 2.885 bu/ac needed; 30 / 1.624 = 18.47
    # USD/bu turns it. From the air at 15 USD/ac, cost 36: -19.11, chance .1701, 3.462 bu/ac needed
    mixture = Mixture(
        (
            Part(weight=0.67, low_bu_ac=0.7, responding_bu_ac=0.0, sd_bu_ac=0.6),
            Part(weight=0.33, low_bu_ac=0.0, responding_bu_ac=3.5, sd_bu_ac=1.0),
        )
    )
    zones = (zone_of(1, mixture, 78.0),)
    of = made(zones, options_of(zones))
    [zone] = at(of).zones
    assert zone.net_mean_usd_ac == pytest.approx(-13.11, abs=0.05)
    assert zone.chance_frac == pytest.approx(0.2413, abs=0.01)
    assert zone.break_even_response_bu_ac == pytest.approx(2.885, abs=0.0005)
    [by_air] = at(of, pass_usd_ac=15.0).zones
    assert by_air.net_mean_usd_ac == pytest.approx(-19.11, abs=0.05)
    assert by_air.chance_frac == pytest.approx(0.1701, abs=0.01)
    assert by_air.break_even_response_bu_ac == pytest.approx(3.462, abs=0.0005)
    assert at(of, grain_price_usd_bu=18.41).spray_ac == 0
    assert at(of, grain_price_usd_bu=18.53).spray_ac == pytest.approx(78)


def test_a_field_that_skips_all_is_sprayed_from_the_price_and_the_cost_that_the_plan_names():
    zones = (zone_of(1, pooled("unknown"), 78.0),)
    of = made(zones, options_of(zones, visit_usd=120.0))
    answer = holds(of.plan)
    assert answer.spray_ac == 0
    [turns] = [one.value for one in of.plan.totals.flips if one.name == "price"]
    assert at(of, grain_price_usd_bu=turns - 1e-6).spray_ac == 0
    above = at(of, grain_price_usd_bu=turns + 1e-6)
    assert above.spray_ac == pytest.approx(78)
    assert above.net_usd == pytest.approx(0, abs=0.01)
    [turns] = [one.value for one in of.plan.totals.flips if one.name == "cost"]
    product = of.what_if.base.product_usd_ac - (30 - turns)
    assert at(of, product_usd_ac=product + 1e-6).spray_ac == 0
    assert at(of, product_usd_ac=product - 1e-6).spray_ac == pytest.approx(78)


def test_by_hand_beside_another_pass_one_load_for_all_may_be_cheaper():
    # 4 bu/ac on 40 ac: +464; 2 bu/ac on 20 ac: -184. A load for a part costs 150: 464 - 150 beats 280
    zones = (zone_of(1, flat(4.0), 40.0), zone_of(2, flat(2.0), 20.0))
    of = made(zones, options_of(zones, split_load_usd=150.0))
    assert holds(of.plan).net_usd == pytest.approx(314)
    # product 12 USD/ac: 744 - 150 = 594 against 744 - 44 = 700
    filled = at(of, product_usd_ac=12.0)
    assert [one.action for one in filled.zones] == ["spray", "spray"]
    assert filled.net_usd == pytest.approx(700)
    assert not filled.zones[1].wanted
    # the user takes zone 2 out of it
    assert at(of, {2: "skip"}, product_usd_ac=12.0).net_usd == pytest.approx(594)


def test_by_hand_what_hours_forbid_stands():
    # it pays, but 40 ac at 78 ac/h and 0.1 h a day are more than a visit may last
    zones = (zone_of(1, flat(4.0), 40.0),)
    of = made(zones, options_of(zones, hours_per_day=0.1))
    [zone] = holds(of.plan).zones
    assert (zone.action, zone.by, zone.wanted) == ("skip", "plan", True)
    assert at(of, grain_price_usd_bu=30.0).spray_ac == 0
    assert at(of, {1: "spray"}).net_usd == pytest.approx(464)


def test_what_the_user_decided_before_the_run_stands():
    zones = (zone_of(1, flat(4.0), 40.0),)
    of = made(zones, options_of(zones))
    as_agreed = replace(
        of.plan.zones[0],
        override=Override(
            action="spray",
            rate_gal_ac=None,
            reason="as agreed",
            decided_on=date(2026, 7, 1),
            computed="spray",
        ),
    )
    whole = whole_field(of.offer.zones, of.options, of.chosen)
    kept = what_if(of.offer, of.chosen, whole, [as_agreed])
    assert kept.zones[0].stands == "spray"
    [zone] = judge(kept, replace(kept.base, grain_price_usd_bu=2.0)).zones
    assert (zone.action, zone.by) == ("spray", "plan")
    refused = replace(as_agreed, override=replace(as_agreed.override, refused=as_agreed.reason))
    assert what_if(of.offer, of.chosen, whole, [refused]).zones[0].stands is None


def test_closed_ground_has_no_figures_and_its_tracks_count():
    zones = (zone_of(1, flat(5.0), 40.0, loss_bu_ac=0.5), zone_of(2, flat(9.0), 20.0, loss_bu_ac=0.5))
    closed = np.zeros((2, 14), dtype=bool)
    closed[1] = True
    of = made(zones, options_of(zones, closed=closed))
    answer = holds(of.plan)
    assert (answer.zones[1].action, answer.zones[1].by) == ("skip", "plan")
    assert at(of, {2: "spray"}).zones[1].by == "plan"  # no day is open to it
    # by hand: 40 x 22 USD, less 60 ac x 0.5 bu/ac x 10.40
    assert answer.net_usd == pytest.approx(880 - 312)


def test_a_pass_after_noon_lacks_what_the_morning_brings():
    # by hand: 5 bu/ac in the morning, 4 after noon, and there are hours only then
    zones = tuple(
        replace(zone_of(number, flat(5.0), 40.0), afternoon=zone_of(number, flat(4.0), 40.0))
        for number in (1, 2)
    )
    options = options_of(zones)
    late = [one.afternoon.case for one in zones]
    less = options.problem.net_usd_ac - price(late, options.priced.days, (15.0,), options.terms).net_usd_ac
    hours = options.machine.hours
    planned_h = hours.planned_h * np.array([0.0, 2.0])
    after = HalfDays(
        first_day=hours.first_day,
        planned_h=planned_h,
        futures_h=hours.futures_h,
        source=hours.source,
        past_years=hours.past_years,
    )
    options = replace(
        options,
        problem=replace(options.problem, afternoon_less_usd_ac=less),
        machine=replace(options.machine, hours=after),
    )
    of = made(zones, options)
    assert {one.half for one in of.chosen.visits} == {"PM"}
    answer = holds(of.plan)
    assert answer.net_usd == pytest.approx(80 * (41.6 - 30))


def test_other_days_of_a_visit_count_for_the_field_and_its_middle_for_the_zone():
    # 0.2 h a half-day at 78 ac/h: 40 ac take three half-days
    zones = (zone_of(1, pooled("seen"), 40.0), zone_of(2, pooled("seen"), 10.0, late_d=6.0))
    of = made(zones, options_of(zones, hours_per_day=0.4))
    assert any(one.last_day > one.day for one in of.chosen.visits)
    holds(of.plan)
    assert max(one.visit_days for one in of.what_if.zones) > 1


def test_sources_without_figures_are_not_asked():
    zones = (zone_of(1, flat(4.0), 40.0),)
    of = made(zones, options_of(zones))
    answer = at(of, source="own trials")
    assert (answer.spray_ac, answer.zones[0].net_mean_usd_ac, answer.zones[0].by) == (0, None, "plan")


def test_a_bushel_that_brings_nothing_is_never_sprayed():
    zones = (zone_of(1, pooled("seen"), 40.0),)
    of = made(zones, options_of(zones, replace(terms(), haul_usd_bu=1.0, price_usd_bu=9.4)))
    answer = at(of, grain_price_usd_bu=0.5)
    assert answer.spray_ac == 0
    [zone] = answer.zones
    assert zone.chance_frac == 0
    assert zone.break_even_response_bu_ac == float("inf")
    assert zone.net_p10_usd_ac < zone.net_mean_usd_ac < zone.net_p90_usd_ac


def test_a_day_of_its_own_is_a_visit_of_its_own():
    late_d = 20.0
    zones = (zone_of(1, flat(5.0), 40.0), zone_of(2, flat(1.0), 40.0, late_d=late_d))
    of = made(zones, options_of(zones, visit_usd=60.0))
    holds(of.plan)
    assert MID_R3 in range(of.what_if.visits[0].day - 20, of.what_if.visits[0].day + 20)
    assert [zone for visit in of.what_if.visits for zone in visit.zones] == [1, 2]
