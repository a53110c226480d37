"""Decisions of the user in the search of passes: followed as far as label and hours let, at the least cost.

The witness tries every plan of small farms by plain loops: of those that spray most of the zones that are to
be sprayed, the one that returns most.
"""

import itertools
import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_problems import machine, problem
from plain_farms import can_follow, clash, half_days, trips

from zoning.inputs.decisions import Decision
from zoning.offers import forced
from zoning.offers.choose import choose
from zoning.offers.offered import Choice, Options
from zoning.offers.overruled import overruled
from zoning.passes.half_days import even
from zoning.passes.problem import Limits

LIMITS = Limits(gap_frac=0.0, nodes=100_000)


def choice_of(case, rig, rule="expected"):
    """What one sprayer offers a field; nothing in it is asked but the problem and the sprayer."""
    terms = (SimpleNamespace(rule=rule),)
    options = Options(priced=None, terms=terms, problem=case, machine=rig)
    return Choice(sprayer=None, zones=(), options=options, notes=())


def decision(zone, action, rate_gal_ac=None):
    return Decision(zone=zone, action=action, rate_gal_ac=rate_gal_ac, reason="because", decided_on=None)


def followed(fields, limits=LIMITS):
    """Give the schedule of fields of (problem, sprayer, decisions)."""
    choices = [
        (overruled(choice_of(case, rig), {one.zone: one for one in decisions}),)
        for case, rig, decisions in fields
    ]
    return choose(choices, limits, extras=False).schedule


def passes(chosen):
    return [(visit.zones, visit.volume_gal_ac, visit.day) for visit in chosen.visits]


# -- by hand -------------------------------------------------------------------------------------------------


def two_zones(**changes):
    """40 ac that return 5 $/ac and 10 ac that lose 20, in one block; 60 $ a visit."""
    net = [[[5.0, 4.0]], [[-20.0, -21.0]]]
    keys = {"block_of_zone": (0, 0), "per_visit_usd": 60.0, **changes}
    return problem(net, [40, 10], **keys)


def test_by_hand_a_zone_that_loses_is_sprayed_and_the_loss_stands():
    # 40 x 5 - 60 = 140 by itself; with the other 10 x 20 = 200 less: -60
    rig = machine(volumes=2)
    plain = followed([(two_zones(), rig, [])])
    assert plain.chosen[0].value_usd == pytest.approx(140)
    now = followed([(two_zones(), rig, [decision(2, "spray")])])
    assert passes(now.chosen[0]) == [((1, 2), 10.0, 200)]
    assert now.chosen[0].value_usd == pytest.approx(-60)
    assert now.value_usd == pytest.approx(-60)
    assert now.chosen[0].estimate_usd == pytest.approx(-60)
    assert now.field_usd == pytest.approx([-60])
    assert now.bound_usd == pytest.approx(-60, abs=1e-3)
    assert now.gap_frac == pytest.approx(0, abs=1e-4)


def test_by_hand_the_only_zone_is_sprayed_though_no_pass_pays():
    # 10 x -20 - 60 = -260
    case = two_zones()
    case = replace(case, worth_it=np.zeros_like(case.worth_it))
    now = followed([(case, machine(volumes=2), [decision(2, "spray"), decision(1, "skip")])])
    assert passes(now.chosen[0]) == [((2,), 10.0, 200)]
    assert now.chosen[0].value_usd == pytest.approx(-260)


def test_by_hand_a_minimum_bill_and_a_hurdle_keep_no_decided_zone_out():
    # the bill is made up to 500: 60 + (500 - 9 x 10) = 470, and 10 x -20 = -200: -670; min_net is no cost
    case = two_zones(minimum_bill_usd=500.0, pass_usd_ac=9.0, min_net_usd_ac=1000.0)
    now = followed([(case, machine(volumes=2), [decision(2, "spray"), decision(1, "skip")])])
    assert now.chosen[0].value_usd == pytest.approx(-670)


def test_by_hand_a_zone_that_pays_is_skipped():
    now = followed([(two_zones(), machine(volumes=2), [decision(1, "skip")])])
    assert now.chosen[0].visits == ()
    assert now.value_usd == 0


def test_by_hand_the_pass_takes_the_volume_of_its_zone():
    # 40 x 4 - 60 = 100 at 15 gal/ac, though 10 would return 140
    now = followed([(two_zones(), machine(volumes=2), [decision(1, None, 15.0)])])
    assert passes(now.chosen[0]) == [((1,), 15.0, 200)]
    assert now.chosen[0].value_usd == pytest.approx(100)


def test_a_volume_alone_sprays_no_zone():
    now = followed([(two_zones(), machine(volumes=2), [decision(2, None, 15.0)])])
    assert passes(now.chosen[0]) == [((1,), 10.0, 200)]


def test_by_hand_two_volumes_in_a_block_are_two_passes_on_two_days():
    # 40 x 5 - 60 on the one day, 10 x -21 - 60 on the other: 140 - 270 = -130
    case = two_zones()
    net = np.repeat(case.net_usd_ac, 2, axis=1)
    worth = np.repeat(case.worth_it, 2, axis=1)
    case = replace(case, days=np.array([200, 201]), net_usd_ac=net, worth_it=worth)
    decisions = [decision(1, "spray", 10.0), decision(2, "spray", 15.0)]
    now = followed([(case, machine(volumes=2), decisions)])
    assert sorted(passes(now.chosen[0]))[0][:2] == ((1,), 10.0)
    assert sorted(passes(now.chosen[0]))[1][:2] == ((2,), 15.0)
    assert now.chosen[0].value_usd == pytest.approx(-130)


def test_two_volumes_on_one_day_or_where_another_pass_goes_are_one_pass():
    decisions = [decision(1, "spray", 10.0), decision(2, "spray", 15.0)]
    for case in (two_zones(), two_zones(goes_anyway=True)):
        now = followed([(case, machine(volumes=2), decisions)])
        assert len(now.chosen[0].visits) == 1


def test_a_day_that_the_label_closes_is_never_opened():
    case = two_zones()
    case.net_usd_ac[1] = np.nan
    made = overruled(choice_of(case, machine(volumes=2)), {2: decision(2, "spray")})
    assert made.options.decided.forced == frozenset()
    assert not made.options.problem.worth_it[1].any()


def test_no_hours_no_pass_and_the_rest_of_the_plan_is_as_it_was():
    # 10 ac take 0.1 h; 40 ac 0.41 h and setting up 0.33 h: 0.8 h hold the one zone, never both
    case = two_zones(days=np.array([200]))
    rig = replace(machine(volumes=2), hours=even(0, 400, 0.8))
    assert case.net_usd_ac.shape[1] == 1
    free = followed([(case, rig, [decision(2, "spray")])])
    assert {zone for visit in free.chosen[0].visits for zone in visit.zones} == {2}
    none = replace(machine(volumes=2), hours=even(0, 400, 0.0))
    now = followed([(case, none, [decision(2, "spray")])])
    assert now.chosen[0].visits == ()
    assert now.value_usd == 0


def test_by_hand_where_another_pass_fills_up_a_zone_to_be_skipped_stays_out():
    # 40 x 5 - 150 for a load of its own = 50; with the other 200 - 10 x 2 = 180, and no such load
    net = [[[5.0, 4.0]], [[-2.0, -3.0]]]
    case = problem(
        net, [40, 10], block_of_zone=(0, 0), goes_anyway=True, may_fill_up=True, split_load_usd=150.0
    )
    plain = followed([(case, machine(volumes=2), [])])
    assert passes(plain.chosen[0]) == [((1, 2), 10.0, 200)]
    assert plain.chosen[0].value_usd == pytest.approx(180)
    now = followed([(case, machine(volumes=2), [decision(2, "skip")])])
    assert passes(now.chosen[0]) == [((1,), 10.0, 200)]
    assert now.chosen[0].value_usd == pytest.approx(50)


# -- witness -------------------------------------------------------------------------------------------------


def as_decided(case, decisions):
    """State the problem as the user wants it, by plain loops."""
    net, worth = case.net_usd_ac.copy(), case.worth_it.copy()
    for one in decisions:
        row = case.zones.index(one.zone)
        for day, volume in itertools.product(range(net.shape[1]), range(net.shape[2])):
            wrong = one.rate_gal_ac is not None and case.volumes_gal_ac[volume] != one.rate_gal_ac
            if one.action == "skip" or wrong:
                net[row, day, volume] = np.nan
            elif one.action == "spray" and np.isfinite(net[row, day, volume]):
                worth[row, day, volume] = True
    return replace(case, net_usd_ac=net, worth_it=worth & np.isfinite(net))


def plans_of(case, rig, decisions):
    """Every plan for a field: how many zones that must be sprayed are, what it returns, and its work."""
    decided = as_decided(case, decisions)
    must = {one.zone for one in decisions if one.action == "spray"}
    best = {}
    for one in trips(decided, rig, int(case.days[0]), len(case.days), least=-np.inf):
        key = one.zones, one.work
        if key not in best or one.value > best[key].value:
            best[key] = one
    singles = list(best.values())
    plans = [(0, 0.0, [])]
    for count in range(1, 4):
        for now in itertools.combinations(singles, count):
            if any(clash(one, other) for one, other in itertools.combinations(now, 2)):
                continue
            sprayed = {case.zones[row] for one in now for row in one.zones}
            plans.append((len(must & sprayed), sum(one.value for one in now), [one.work for one in now]))
    return plans


def best_of(fields):
    """Give the most zones that can be sprayed as decided, and the most that such a plan returns."""
    case, rig, _ = fields[0]
    hours = half_days(rig, int(case.days[0]), len(case.days))
    best = (0, 0.0)
    for plan in itertools.product(*(plans_of(*field) for field in fields)):
        score = sum(one[0] for one in plan), sum(one[1] for one in plan)
        if score > best and can_follow([work for one in plan for work in one[2]], hours):
            best = score
    return best


MONEY = st.integers(-30, 30)
ACTIONS = st.sampled_from(["spray", "spray", "skip", None])


@st.composite
def small_fields(draw, most=3, fields=1):
    days = 2
    volumes = draw(st.integers(1, 2))
    hours = draw(st.sampled_from([0.7, 1.1, 2.0, 6.0]))
    rig = replace(machine(volumes=volumes), hours=even(0, 400, 2 * hours))
    made = []
    for _ in range(fields):
        count = draw(st.integers(1, most))
        shape = (count, days, volumes)
        size = math.prod(shape)
        net = np.array(draw(st.lists(MONEY, min_size=size, max_size=size)), dtype=float)
        case = problem(
            net.reshape(shape),
            draw(st.lists(st.sampled_from([10.0, 25.0, 40.0]), min_size=count, max_size=count)),
            block_of_zone=tuple(sorted(draw(st.lists(st.integers(0, 1), min_size=count, max_size=count)))),
            per_visit_usd=float(draw(st.sampled_from([0, 60, 150]))),
            minimum_bill_usd=float(draw(st.sampled_from([0, 300]))),
            pass_usd_ac=9.0,
            min_net_usd_ac=float(draw(st.sampled_from([0, 5]))),
        )
        case = replace(
            case, block_of_zone=tuple(np.unique(case.block_of_zone, return_inverse=True)[1].tolist())
        )
        decisions = []
        for zone in case.zones:
            action = draw(ACTIONS)
            rate = draw(st.sampled_from([None, None, *case.volumes_gal_ac])) if action == "spray" else None
            if action is not None:
                decisions.append(decision(zone, action, rate))
        of_block = {}
        for one in decisions:  # two volumes in a block are tried above, by hand
            if one.rate_gal_ac is not None:
                of_block.setdefault(case.block_of_zone[one.zone - 1], set()).add(one.rate_gal_ac)
        if any(len(rates) > 1 for rates in of_block.values()):
            decisions = [replace(one, rate_gal_ac=None) for one in decisions]
        made.append((case, rig, decisions))
    return made


def sprayed_as_decided(found, fields):
    return sum(
        len(
            {one.zone for one in decisions if one.action == "spray"}
            & {zone for visit in chosen.visits for zone in visit.zones}
        )
        for chosen, (_, _, decisions) in zip(found.chosen, fields, strict=True)
    )


def hold_against_every_plan(fields):
    found = followed(fields)
    count, usd = best_of(fields)
    assert sprayed_as_decided(found, fields) == count
    # the search counts min_net as a cost of the acre, and so do the visits of the witness
    assert found.value_usd == pytest.approx(usd, abs=1e-3)
    assert found.bound_usd >= found.value_usd - 1e-6
    assert found.bound_usd == pytest.approx(usd, abs=1e-2)
    for chosen, (case, _, decisions) in zip(found.chosen, fields, strict=True):
        skipped = {one.zone for one in decisions if one.action == "skip"}
        rate_of = {one.zone: one.rate_gal_ac for one in decisions if one.rate_gal_ac is not None}
        for visit in chosen.visits:
            assert not skipped & set(visit.zones)
            assert all(rate_of.get(zone, visit.volume_gal_ac) == visit.volume_gal_ac for zone in visit.zones)
        assert case.net_usd_ac.max() <= 30  # nobody wrote the bonus into the field's own figures


@settings(deadline=None)
@given(fields=small_fields())
def test_of_all_plans_that_follow_the_decisions_the_best_is_found(fields):
    hold_against_every_plan(fields)


@settings(deadline=None)
@given(fields=small_fields(most=2, fields=2))
def test_so_it_is_where_two_fields_share_the_hours(fields):
    hold_against_every_plan(fields)


@settings(deadline=None)
@given(fields=small_fields())
def test_what_a_bonus_must_outweigh_is_bounded(fields):
    (case, rig, decisions) = fields[0]
    must = {one.zone for one in decisions if one.action == "spray"}
    decided = as_decided(case, decisions)
    plans = plans_of(case, rig, decisions)
    assert max(one[1] for one in plans) <= forced.most_gained_usd(decided) + 1e-9
    of_forced = [
        one for one in trips(decided, rig, 200, 2, least=-np.inf) if {z + 1 for z in one.zones} <= must
    ]
    assert all(one.value >= -forced.most_lost_usd(decided, must) - 1e-9 for one in of_forced)
