"""The passes of one field: worked cases, and exactness against plain enumeration."""

import itertools
import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_problems import machine, problem
from plain_farms import choices

from zoning.evidence import number
from zoning.passes.half_days import HALVES, even
from zoning.passes.problem import FarmProblem, FieldOptions, Limits, Machine
from zoning.passes.schedule import settled
from zoning.passes.schedule.columns import Calendar, every_visit
from zoning.passes.schedule.farm import alone, schedule
from zoning.passes.schedule.skipped import why_skipped

AMPLE = Machine(
    name="rig",
    acres_per_hour=(78.0,),
    acres_per_load=(66.7,),
    set_up_h=1 / 3,
    hours=even(0, 400, 12),
)


# -- three planting dates -----------------------------------------------------------------------------------

R3_DAYS = (190.6, 201.8, 212.6)
# days from the first day of R3 -> share of the response (Iowa stage means, Mueller and Robertson 2010)
CURVE = ((-13, -5, 0, 4.5, 13.5, 18, 30), (0.44, 0.96, 0.98, 1.0, 0.40, 0.35, 0.0))


def three_dates(per_visit_usd):
    """3 x 40 ac, 10.40 USD/bu, cost 30 USD/ac, response 4.0 bu/ac at its best, existing tracks."""
    days = np.arange(180, 235)
    since = days - np.array(R3_DAYS)[:, np.newaxis]
    share = np.interp(since, *CURVE)
    net = np.where((since >= -13) & (since <= 30), 10.40 * 4.0 * share - 30, np.nan)[:, :, np.newaxis]
    # no rule here: a zone below zero is left out by its own value
    return problem(
        net,
        [40, 40, 40],
        days=days,
        volumes_gal_ac=(15.0,),
        per_visit_usd=per_visit_usd,
        worth_it=np.isfinite(net),
    )


def test_by_hand_everything_on_one_day():
    # day 201: t = 10.4, -0.8, -11.6 -> g .607, .977, .531: 41.6 g - 30 = -4.76, 10.63, -7.91 USD/ac = -82 USD
    case = three_dates(0)
    on_201 = case.net_usd_ac[:, list(case.days).index(201), 0]
    assert on_201 == pytest.approx([-4.76, 10.63, -7.91], abs=0.005)
    assert on_201.sum() * 40 == pytest.approx(-82, abs=0.5)


@pytest.mark.parametrize(
    ("per_visit", "visits", "value"),
    [
        # 719 - 300 = 419 for one, 1,182 - 600 = 582 for two, 1,388 - 900 = 488 for three
        (300, [(195, (1,)), (207, (2, 3))], 582),
        # 938 for three against 882 for two
        (150, [(195, (1,)), (206, (2,)), (217, (3,))], 938),
        # 1,182 - 719 = 463: above it the second visit does not pay
        (464, [(207, (2, 3))], 719 - 464),
    ],
)
def test_by_hand_three_dates_how_many_visits(per_visit, visits, value):
    chosen = alone(three_dates(per_visit), AMPLE)
    assert [(visit.day, visit.zones) for visit in chosen.visits] == visits
    assert chosen.value_usd == pytest.approx(value, abs=0.5)
    assert chosen.estimate_usd == pytest.approx(chosen.value_usd)


def test_by_hand_the_second_visit_turns_at_463_usd():
    # 1,182 - 2 x == 719 - x at x = 463
    assert len(alone(three_dates(462), AMPLE).visits) == 2
    assert len(alone(three_dates(464), AMPLE).visits) == 1


# -- ties, hours, costs -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("nets", "volume"),
    [
        ((10.0, 10.0, 10.0), 15.0),  # equal: 15
        ((10.4, 10.0, 10.3), 15.0),  # 15 is 0.40 behind: still a toss-up
        ((10.6, 10.0, 10.0), 10.0),  # 0.60 behind: no toss-up
        ((10.5, 10.0, 10.0), 10.0),  # 0.50 behind: only less than that is a toss-up
        ((10.49, 10.0, 10.0), 15.0),
        ((10.6, 10.0, 10.2), 20.0),  # 15 is out, 20 is within 0.40: the higher volume
    ],
)
def test_by_hand_ties_go_to_15_then_to_more(nets, volume):
    chosen = alone(problem([[nets]], [40]), machine(volumes=3))
    assert chosen.visits[0].volume_gal_ac == volume


def test_by_hand_a_tie_is_per_sprayed_acre():
    # 100 ac, 0.45 USD/ac behind = 45 USD behind, and still a toss-up
    chosen = alone(problem([[(10.45, 10.0)]], [100]), machine(volumes=2))
    assert chosen.visits[0].volume_gal_ac == 15


def test_a_round_metric_volume_counts_as_15():
    # 140 L/ha = 14.97 gal/ac
    case = problem([[(10.0, 10.0, 10.0)]], [40], volumes_gal_ac=(10.0, 14.967, 20.0))
    assert alone(case, machine(volumes=3)).visits[0].volume_gal_ac == 14.967


def test_by_hand_a_visit_runs_on_and_earns_the_mean_of_its_days():
    # 1/3 h + 98 / 98 h = 1.33 h at 1 h a day: 2 days; best two days in a row are 9 and 8 -> 8.5 x 98 = 833
    case = problem([[[1.0], [9.0], [8.0], [2.0]]], [98])
    chosen = alone(case, machine(hours=1.0))
    visit = chosen.visits[0]
    assert (visit.day, visit.last_day) == (201, 202)
    assert chosen.value_usd == pytest.approx(833)


def test_by_hand_a_visit_that_would_take_four_days_is_not_offered():
    # 1/3 + 196 / 98 = 2.33 h at 0.7 h a day: 3.3 days
    case = problem([[[9.0]] * 6], [196])
    chosen = alone(case, machine(hours=0.7))
    assert chosen.visits == ()
    assert why_skipped(case, machine(hours=0.7), chosen)[1].code == "passes.visit_too_long"
    # of 0.7 h on the three days on which it pays, whatever the hours of the other days
    some = even(200, 6, 0.7)
    rich = replace(some, planned_h=np.array([[0.0, 0.0]] * 2 + [[0.7, 0.0]] * 3 + [[9.0, 9.0]]))
    late = problem([[[-1.0], [-1.0], [9.0], [9.0], [9.0], [-1.0]]], [196])
    said = why_skipped(late, replace(machine(), hours=rich), alone(late, replace(machine(), hours=rich)))[1]
    assert said.code == "passes.visit_too_long"
    assert said.values["hours"] == pytest.approx(0.7)
    # at 0.8 h a day it is 2.9 days
    assert alone(case, machine(hours=0.8)).visits[0].last_day == 202


def test_a_zone_that_pays_on_days_without_hours_is_told_so():
    case = problem([[[-1.0], [9.0], [9.0]]], [98])
    dry = replace(even(200, 3, 5.0), planned_h=np.array([[5.0, 5.0], [0.0, 0.0], [0.0, 0.0]]))
    rig = replace(machine(), hours=dry)
    assert alone(case, rig).visits == ()
    assert why_skipped(case, rig, alone(case, rig))[1].code == "passes.no_hours"


def test_a_run_needs_every_one_of_its_days():
    case = problem([[[9.0], [np.nan], [9.0], [8.0]]], [98])
    assert alone(case, machine(hours=1.0)).visits[0].day == 202


def test_by_hand_a_gap_in_the_days_is_not_run_over():
    case = problem([[[9.0], [9.0], [1.0], [1.0]]], [98], days=np.array([200, 202, 203, 204]))
    assert alone(case, machine(hours=1.0)).visits[0].day == 202


def test_by_hand_minimum_bill_is_topped_up():
    # 9 USD/ac x 10 ac = 90, minimum 150: 60 more; net 10 x 10 = 100 -> 40 left
    case = problem([[[10.0]]], [10], pass_usd_ac=9.0, minimum_bill_usd=150.0)
    chosen = alone(case, AMPLE)
    assert chosen.value_usd == pytest.approx(40)
    assert chosen.visits[0].visit_costs_usd == pytest.approx(60)
    # net 5 x 10 = 50 < 60: not entered
    skipped = problem([[[5.0]]], [10], pass_usd_ac=9.0, minimum_bill_usd=150.0)
    none = alone(skipped, AMPLE)
    assert none.visits == ()
    assert why_skipped(skipped, AMPLE, none)[1].text == (
        "pays by itself, but the whole pass with it would lose 10 USD once visit and wheel tracks are paid"
    )


def test_by_hand_a_bill_for_the_whole_field_is_paid_each_visit():
    # field 60 ac x 9 = 540 a visit; zone 1 pays 20 x 40 = 800, zone 2 is skipped: 800 + 20 - 540
    case = problem([[[20.0]], [[-5.0]]], [40, 20], bill_usd_ac=9.0, per_visit_usd=20.0)
    chosen = alone(case, AMPLE)
    assert chosen.visits[0].zones == (1,)
    assert chosen.visits[0].visit_costs_usd == pytest.approx(560)
    assert chosen.value_usd == pytest.approx(240)


def test_a_zone_that_does_not_pay_is_left_out_and_loads_are_whole():
    case = problem([[[10.0]], [[-1.0]], [[8.0]]], [100, 30, 60.2], block_of_zone=(0, 0, 1))
    chosen = alone(case, AMPLE)
    assert chosen.visits[0].zones == (1, 3)
    assert chosen.visits[0].area_ac == pytest.approx(160.2)
    assert chosen.visits[0].loads == 3  # 160.2 / 66.7 = 2.4
    just_so = problem([[[10.0]], [[8.0]]], [80.04, 120.06], block_of_zone=(0, 0))
    assert alone(just_so, AMPLE).visits[0].loads == 3  # 200.1 / 66.7 = 3: no fourth one


def test_nothing_pays_nothing_is_planned():
    chosen = alone(problem([[[-1.0]], [[-2.0]]], [40, 40]), AMPLE)
    assert (chosen.visits, chosen.value_usd, chosen.driven_off_ac) == ((), 0, 0)


def test_no_hours_or_no_reach_no_visit():
    case = problem([[[10.0]]], [40])
    assert alone(case, machine(hours=0)).visits == ()
    assert alone(case, machine(pace=(0.0,))).visits == ()


def test_with_ample_hours_fields_do_not_know_each_other():
    # fields share the sprayer's hours; 40 ac take an hour of 6, so there is nothing to share here
    fields = [three_dates(300), problem([[[10.0]]], [40])]
    farm = FarmProblem(
        fields=tuple(FieldOptions(problems=(one,), machines=(0,), machine_here=(AMPLE,)) for one in fields),
        machines=(AMPLE,),
    )
    plan = schedule(farm, Limits(gap_frac=0.0, nodes=1000))
    assert plan.chosen == tuple(alone(one, AMPLE) for one in fields)


# -- tracks -------------------------------------------------------------------------------------------------


def test_by_hand_a_swath_is_driven_in_whole_once_a_season():
    # two swaths across blocks A and B, 10 ac of each on each swath, 1 USD of crop an acre.
    # A alone drives both swaths: 40 ac = 40 USD; so does B. Net A 10 x 20 = 200 on day 200, B 200 on day 201.
    net = [[[10.0], [-9.0]], [[-9.0], [10.0]]]
    case = problem(net, [20, 20], swath_area_ac=np.full((2, 2), 10.0), track_loss_usd_ac=np.ones(2))
    chosen = alone(case, AMPLE)
    assert len(chosen.visits) == 2
    assert chosen.estimate_usd == pytest.approx(400 - 40 - 40)
    assert chosen.value_usd == pytest.approx(400 - 40)
    assert chosen.driven_off_ac == 0


def test_by_hand_skipped_crop_that_is_driven_over_counts():
    # swath 1 holds 10 ac of zone 1 and 5 ac of zone 2, swath 2 holds 15 ac of zone 2 alone.
    # Zone 1 is sprayed: swath 1 is driven, 15 ac x 2 USD = 30; zone 2 has 5 ac driven boom-off = 10 USD.
    case = problem(
        [[[10.0]], [[-1.0]]],
        [10, 20],
        swath_area_ac=np.array([[10.0, 5.0], [0.0, 15.0]]),
        track_loss_usd_ac=np.full(2, 2.0),
    )
    chosen = alone(case, AMPLE)
    assert chosen.value_usd == pytest.approx(100 - 30)
    assert chosen.driven_off_ac == pytest.approx(5)
    assert chosen.driven_off_usd == pytest.approx(10)


def test_by_hand_a_small_zone_behind_much_crop_is_left_out_with_the_reason():
    # zone 2 returns 1 x 10 = 10 USD, but its swath presses down 40 ac of zone 3 at 1 USD
    case = problem(
        [[[10.0]], [[1.5]], [[-5.0]]],
        [20, 10, 40],
        swath_area_ac=np.array([[20.0, 0, 0], [0, 10.0, 40.0]]),
        track_loss_usd_ac=np.ones(3),
    )
    chosen = alone(case, AMPLE)
    assert chosen.visits[0].zones == (1,)
    # a pass of its own: 1.5 x 10 - 1 x (10 + 40) = -35, so nobody says that it pays by itself
    said = why_skipped(case, AMPLE, chosen)[2]
    assert said.code == "passes.own_pass_loses"
    assert "a pass of its own would lose 35 USD" in said.text
    assert 3 not in why_skipped(case, AMPLE, chosen)


def test_by_hand_tracks_of_the_plan_are_no_cost_of_a_pass_of_its_own():
    # as above, but 5 ac of zone 2's swath are zone 1: the plan drives it, and pays its 55 ac. A pass of its
    # own then presses nothing down: 1.5 x 10 = 15 USD, less the visit of 20: -5. With a visit of 10: +5.
    keys = {
        "swath_area_ac": np.array([[15.0, 0, 0], [5.0, 10.0, 40.0]]),
        "track_loss_usd_ac": np.ones(3),
        "block_of_zone": (0, 0, 0),
    }
    chosen = alone(problem([[[10.0]], [[-1.0]], [[-5.0]]], [20, 10, 40], **keys), AMPLE)
    assert chosen.visits[0].zones == (1,)
    told = {}
    for visit_usd in (20.0, 10.0):
        case = problem([[[10.0]], [[1.5]], [[-5.0]]], [20, 10, 40], per_visit_usd=visit_usd, **keys)
        told[visit_usd] = why_skipped(case, AMPLE, chosen)[2]
    assert told[20.0].text.endswith("would lose 5 USD once visit and wheel tracks are paid")
    assert told[10.0].code == "passes.left_out_of_visit"


def test_by_hand_two_zones_that_only_together_lose_are_both_left_out():
    # on one swath with zone 4: each of zones 2 and 3 pays for its own crop, together 2 x 15 - 50 = -20
    case = problem(
        [[[10.0]], [[1.5]], [[1.5]], [[-5.0]]],
        [20, 10, 10, 30],
        swath_area_ac=np.array([[20.0, 0, 0, 0], [0, 10.0, 10.0, 30.0]]),
        track_loss_usd_ac=np.ones(4),
        block_of_zone=(0, 0, 0, 0),
    )
    chosen = alone(case, AMPLE)
    assert chosen.visits[0].zones == (1,)
    assert chosen.value_usd == pytest.approx(200 - 20)


def test_by_hand_a_zone_that_is_driven_anyway_is_judged_without_its_tracks():
    # both zones lie on one swath. Zone 2 brings 3 USD/ac and would press down 4 USD/ac of its own, but zone 1
    # has it driven: spraying it adds 3 x 10 = 30.
    # Both: 20 x 10 + 30 - 4 x 30 = 110; zone 1 alone: 200 - 120 = 80.
    case = problem(
        [[[10.0]], [[3.0]]],
        [20, 10],
        block_of_zone=(0, 0),
        swath_area_ac=np.array([[20.0, 10.0]]),
        track_loss_usd_ac=np.full(2, 4.0),
    )
    chosen = alone(case, AMPLE)
    assert chosen.visits[0].zones == (1, 2)
    assert chosen.value_usd == pytest.approx(110)


def test_by_hand_min_net_stands_against_all_that_a_zone_still_costs():
    # alone on its swath zone 2 adds (6 - 4) x 10 = 20 USD, 2 USD/ac: a min_net of 3 leaves it out, 1 does not
    keys = {
        "block_of_zone": (0, 0),
        "swath_area_ac": np.array([[20.0, 0.0], [0.0, 10.0]]),
        "track_loss_usd_ac": np.full(2, 4.0),
    }
    strict = alone(problem([[[10.0]], [[6.0]]], [20, 10], min_net_usd_ac=3.0, **keys), AMPLE)
    loose = alone(problem([[[10.0]], [[6.0]]], [20, 10], min_net_usd_ac=1.0, **keys), AMPLE)
    assert strict.visits[0].zones == (1,)
    assert strict.value_usd == pytest.approx(20 * (10 - 4))
    assert loose.visits[0].zones == (1, 2)
    assert loose.value_usd == pytest.approx(20 * (10 - 4) + 10 * (6 - 4))


def test_by_hand_a_pass_below_min_net_is_a_toss_up_and_says_so():
    # 5 x 40 - 150 = 50 USD, 1.25 USD/ac
    case = problem([[[5.0]]], [40], per_visit_usd=150.0, min_net_usd_ac=2.0)
    chosen = alone(case, AMPLE)
    assert chosen.visits == ()
    said = why_skipped(case, AMPLE, chosen)[1]
    assert said.code == "passes.pass_below_min_net"
    assert "50 USD" in said.text


def test_swath_areas_are_scaled_to_the_zone():
    # cells give 19 ac where the outline has 20: the pressed-down crop is that of 20 ac
    case = problem([[[10.0]]], [20], swath_area_ac=np.array([[19.0]]), track_loss_usd_ac=np.ones(1))
    assert alone(case, AMPLE).value_usd == pytest.approx(200 - 20)


def test_many_zones_that_pay_are_all_sprayed():
    # 14 zones in one block: beyond the number whose sets are all tried
    net = np.full((14, 2, 1), 5.0)
    net[3] = -1.0
    case = problem(
        net, [10.0] * 14, block_of_zone=(0,) * 14, track_loss_usd_ac=np.full(14, 1.0), per_visit_usd=50.0
    )
    chosen = alone(case, AMPLE)
    assert len(chosen.visits[0].zones) == 13
    assert chosen.value_usd == pytest.approx(13 * 10 * (5 - 1) - 50)


def test_dropping_agrees_with_trying_all_sets(monkeypatch):
    rng = np.random.default_rng(5)
    for _ in range(20):
        net = rng.normal(4, 6, (6, 4, 2))
        case = problem(
            net,
            rng.uniform(5, 30, 6),
            block_of_zone=(0, 0, 1, 1, 2, 2),
            swath_area_ac=np.diag(np.ones(6)),  # each zone on its own swaths: dropping one by one is exact
            track_loss_usd_ac=np.full(6, 0.5),
            per_visit_usd=30.0,
        )
        tried = best_of_each(case, machine(volumes=2))
        monkeypatch.setattr("zoning.passes.schedule.zone_sets.MOST_TRIED", 0)
        dropped = best_of_each(case, machine(volumes=2))
        monkeypatch.undo()
        assert dropped == pytest.approx(tried)


def best_of_each(case, rig):
    """The best visit by volume and half-day of begin, of those that bring something."""
    visits = every_visit(case, rig, Calendar(first_day=int(case.days[0]), days=len(case.days)))
    best = {}
    for at, value in enumerate(visits.value_usd):
        key = int(visits.volume[at]), int(visits.start[at])
        best[key] = max(float(value), best.get(key, 0.0))
    return best


def test_by_hand_a_short_visit_leaves_a_day_for_another_one():
    # 20 ac an hour, an hour a day. Block 0: 20 ac at 10 USD and 10 ac at 2 USD, on both days; block 1: 20 ac
    # at 10 USD, on the second day only. All of block 0 takes both days: 200 + 20 = 220 USD. Without its
    # 10 ac it takes one, and block 1 has the other: 200 + 200 = 400 USD.
    case = problem(
        [[[10.0], [10.0]], [[2.0], [2.0]], [[-1.0], [10.0]]],
        [20.0, 10.0, 20.0],
        block_of_zone=(0, 0, 1),
    )
    rig = machine(hours=1.0, set_up_h=0.0, pace=(20.0,))
    chosen = alone(case, rig)
    assert [(visit.day, visit.last_day, visit.zones) for visit in chosen.visits] == [
        (200, 200, (1,)),
        (201, 201, (3,)),
    ]
    assert chosen.value_usd == pytest.approx(400)


# -- plain enumeration --------------------------------------------------------------------------------------


def best_of_all(case, rig):
    """The most that up to three visits without a shared block or day add up to."""
    found = choices(case, rig, int(case.days[0]), len(case.days))
    return max((value for value, _ in found), default=0.0)


@st.composite
def small_farms(draw, volumes=2):
    """Up to 4 blocks, 5 zones and 6 days, with tracks, bills and short hours."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    blocks, days = draw(st.integers(1, 4)), draw(st.integers(1, 6))
    block_of_zone = tuple(sorted([*range(blocks), *rng.integers(0, blocks, rng.integers(0, 6 - blocks))]))
    zones = len(block_of_zone)
    net = rng.normal(3, 8, (zones, days, volumes))
    net[rng.random(net.shape) < 0.1] = np.nan
    swaths = rng.uniform(0, 10, (rng.integers(1, 7), zones)) * (rng.random((1, zones)) < 0.9)
    swaths *= rng.random(swaths.shape) < 0.6
    swaths = np.vstack([swaths, np.full((1, zones), 0.5)])
    case = problem(
        net,
        rng.uniform(5, 60, zones),
        block_of_zone=block_of_zone,
        worth_it=np.nan_to_num(net, nan=-1) > 0.2,
        swath_area_ac=swaths,
        track_loss_usd_ac=rng.uniform(0, 3, zones) * draw(st.booleans()),
        bill_usd_ac=draw(st.sampled_from([0.0, 1.0])),
        pass_usd_ac=9.0,
        per_visit_usd=float(rng.uniform(0, 80)),
        minimum_bill_usd=draw(st.sampled_from([0.0, 400.0])),
        min_net_usd_ac=draw(st.sampled_from([0.0, 2.0])),
    )
    return case, machine(hours=draw(st.sampled_from([0.4, 0.8, 3.0])), volumes=volumes)


@settings(max_examples=60, deadline=None)
@given(small_farms())
def test_the_search_finds_what_plain_enumeration_finds(farm):
    case, rig = farm
    case = replace(case, volumes_gal_ac=(15.0, 15.0))  # of equal volumes the better one is taken: no ties
    chosen = alone(case, rig)
    acres = sum(visit.area_ac for visit in chosen.visits)
    found = chosen.estimate_usd - case.min_net_usd_ac * acres
    assert found == pytest.approx(best_of_all(case, rig), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(small_farms())
def test_every_plan_keeps_the_rules(farm):
    case, rig = farm
    chosen = alone(case, rig)
    best = best_of_all(case, rig)
    acres = sum(visit.area_ac for visit in chosen.visits)
    beyond = chosen.estimate_usd - case.min_net_usd_ac * acres
    assert best - number("passes.toss_up_usd_ac") * acres - 1e-6 <= beyond <= best + 1e-6
    assert chosen.value_usd >= chosen.estimate_usd - 1e-6
    taken = [zone for visit in chosen.visits for zone in visit.zones]
    assert len(taken) == len(set(taken))
    assert [visit.number for visit in chosen.visits] == list(range(1, len(chosen.visits) + 1))
    for one, two in itertools.pairwise(chosen.visits):
        assert one.last_day < two.day
    for visit in chosen.visits:
        volume = case.volumes_gal_ac.index(visit.volume_gal_ac)
        for zone in visit.zones:
            for day in range(visit.day, visit.last_day + 1):
                assert case.worth_it[case.zones.index(zone), list(case.days).index(day), volume]
        # a visit may take a longer run of half-days where the mean of its days is better for it: no fixed
        # number of days follows from its hours any more, but its hours and loads do
        hours = rig.set_up_h + visit.area_ac / rig.acres_per_hour[volume]
        assert visit.last_day - visit.day < 3
        assert sum(part.hours_h for part in visit.parts) == pytest.approx(hours)
        assert sum(part.loads for part in visit.parts) == pytest.approx(
            visit.area_ac / rig.acres_per_load[volume]
        )
        for part in visit.parts:
            assert part.hours_h <= rig.hours.of(np.array([part.day]))[0, HALVES.index(part.half)] + 1e-9
        assert visit.loads == math.ceil(visit.area_ac / rig.acres_per_load[volume])
    assert len(chosen.visits) <= 3
    # the value again, season-wide: net of the sprayed, visit costs, every driven swath once
    gain = 0.0
    for visit in chosen.visits:
        volume, runs = case.volumes_gal_ac.index(visit.volume_gal_ac), visit.last_day - visit.day + 1
        first = list(case.days).index(visit.day)
        for zone in visit.zones:
            z = case.zones.index(zone)
            gain += case.net_usd_ac[z, first : first + runs, volume].mean() * case.area_ac[z]
        gain -= visit.visit_costs_usd
    scale = case.area_ac / case.swath_area_ac.sum(axis=0)
    sprayed = [case.zones.index(zone) for zone in taken]
    on = [swath for swath in case.swath_area_ac if any(swath[z] > 0 for z in sprayed)]
    crop = sum(float((swath * scale * case.track_loss_usd_ac).sum()) for swath in on)
    off = sum(float((swath * scale)[z]) for swath in on for z in range(len(case.zones)) if z not in sprayed)
    assert chosen.value_usd == pytest.approx(gain - crop)
    assert chosen.driven_off_ac == pytest.approx(off)
    reasons = why_skipped(case, rig, chosen)
    could = {zone for zone, worth in zip(case.zones, case.worth_it, strict=True) if worth.any()}
    assert set(reasons) == could - set(taken)


@pytest.mark.parametrize(
    ("start", "end", "shares"),
    [(1, 1, False), (1, 2, True), (1, 3, True), (4, 4, False), (3, 4, True), (0, 5, True)],
)
def test_by_hand_two_visits_of_a_field_share_no_day(start, end, shares):
    # half-days 0 and 1 are the first day, 2 and 3 the second, on which the other visit is under way
    one = SimpleNamespace(start=np.array([start]), end=np.array([end]))
    other = SimpleNamespace(start=np.array([2]), end=np.array([3]))
    assert settled._shares_a_day(one, 0, [other]) is shares
    assert settled._shares_a_day(other, 0, [one]) is shares
    assert not settled._shares_a_day(one, 0, [])
