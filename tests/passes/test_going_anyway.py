"""Another pass goes over the whole field anyway: one visit, and a load of its own for a part of the field."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_problems import machine
from made_problems import problem as made_problem
from plain_farms import choices

from zoning.passes.schedule.farm import alone
from zoning.passes.schedule.skipped import why_skipped
from zoning.passes.schedule.visits import split_load_usd


def problem(net, area, **changes):
    """One zone a block, no tracks and no bill: they are the other pass's."""
    return made_problem(net, area, **{"goes_anyway": True, "may_fill_up": True} | changes)


def test_by_hand_the_other_pass_comes_once():
    # two blocks, each best on a day of its own: 10 x 10 + 10 x 10 in two visits, 10 x 10 + 10 x 4 in one
    case = problem([[[10.0], [4.0]], [[4.0], [9.0]]], [10, 10])
    assert len(alone(replace(case, goes_anyway=False), machine()).visits) == 2
    chosen = alone(case, machine())
    assert [(visit.day, visit.zones) for visit in chosen.visits] == [(200, (1, 2))]
    assert chosen.value_usd == pytest.approx(140)


def test_by_hand_a_part_of_the_field_needs_a_load_of_its_own():
    # zone 2 loses 20 x 2 = 40: cheaper than a load of 50, dearer than one of 30
    case = problem([[[5.0]], [[-2.0]]], [40, 20])
    dear = alone(replace(case, split_load_usd=50.0), machine())
    assert (dear.visits[0].zones, dear.value_usd, dear.visits[0].visit_costs_usd) == ((1, 2), 160, 0)
    cheap = alone(replace(case, split_load_usd=30.0), machine())
    assert (cheap.visits[0].zones, cheap.value_usd, cheap.visits[0].visit_costs_usd) == ((1,), 170, 30)
    strict = alone(replace(case, split_load_usd=50.0, may_fill_up=False), machine())
    assert (strict.visits[0].zones, strict.value_usd) == ((1,), 150)
    # a part that brings less than its load: 40 x 5 = 200; all zones 160
    none = alone(replace(case, split_load_usd=210.0, may_fill_up=False), machine())
    assert none.visits == ()


def test_the_load_is_charged_for_a_part_only_and_only_beside_another_pass():
    case = problem([[[5.0]], [[5.0]]], [40, 20], split_load_usd=60.0)
    assert split_load_usd(case, np.array([20.0, 40.0, 60.0])).tolist() == [60, 60, 0]
    assert split_load_usd(replace(case, goes_anyway=False), np.array([20.0, 60.0])).tolist() == [0, 0]


def test_ground_that_the_label_closes_is_never_filled_up():
    case = problem([[[5.0]], [[np.nan]]], [40, 20], split_load_usd=500.0)
    chosen = alone(case, machine())
    assert chosen.visits == ()
    assert why_skipped(case, machine(), chosen)[1].code == "passes.pass_loses"


def test_many_zones_are_filled_up_too():
    # 14 zones that pay 1 x 10 each and one that loses 3 x 10, against a load of 50
    case = problem([[[1.0]]] * 14 + [[[-3.0]]], [10.0] * 15, block_of_zone=(0,) * 15, split_load_usd=50.0)
    chosen = alone(case, machine())
    assert len(chosen.visits[0].zones) == 15
    assert chosen.value_usd == pytest.approx(110)


def best_of_all(case, rig):
    """The most that one visit brings beyond min_net, by plain loops over every set of zones."""
    found = choices(case, rig, int(case.days[0]), len(case.days))
    return max((value for value, _ in found), default=0.0)


@st.composite
def small_fields(draw):
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    blocks, days = draw(st.integers(1, 3)), draw(st.integers(1, 4))
    block_of_zone = tuple(sorted([*range(blocks), *rng.integers(0, blocks, rng.integers(0, 5 - blocks))]))
    zones = len(block_of_zone)
    net = rng.normal(2, 4, (zones, days, 2))
    net[rng.random(net.shape) < 0.05] = np.nan
    case = problem(
        net,
        rng.uniform(5, 60, zones),
        block_of_zone=block_of_zone,
        worth_it=np.nan_to_num(net, nan=-1) > draw(st.sampled_from([0.0, 1.0])),
        min_net_usd_ac=draw(st.sampled_from([0.0, 1.0])),
        split_load_usd=draw(st.sampled_from([0.0, 30.0, 100.0, 400.0])),
        may_fill_up=draw(st.booleans()),
    )
    return case, machine(hours=draw(st.sampled_from([0.6, 3.0])), volumes=2)


@settings(max_examples=150, deadline=None)
@given(small_fields())
def test_the_search_finds_what_plain_enumeration_finds(farm):
    case, rig = farm
    case = replace(case, volumes_gal_ac=(15.0, 15.0))  # of equal volumes the better one is taken: no ties
    chosen = alone(case, rig)
    acres = sum(visit.area_ac for visit in chosen.visits)
    found = chosen.estimate_usd - case.min_net_usd_ac * acres
    assert found == pytest.approx(best_of_all(case, rig), abs=1e-6)
    assert len(chosen.visits) <= 1
    for visit in chosen.visits:
        is_part = len(visit.zones) < len(case.zones)
        assert visit.visit_costs_usd == (case.split_load_usd if is_part else 0)
        assert chosen.value_usd == pytest.approx(chosen.estimate_usd)
