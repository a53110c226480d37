"""Visits that run on over half-days: whole loads, and one visit over each border."""

import numpy as np
import pytest
from made_farms import FIRST_DAY, half_days_of
from made_problems import problem

from zoning.passes.problem import FarmProblem, FieldOptions, Limits, Machine
from zoning.passes.schedule.farm import alone, schedule


def rig_with(hours, load_ac, set_up_h=0.0):
    return Machine(
        name="rig",
        acres_per_hour=(100.0,),
        acres_per_load=(load_ac,),
        set_up_h=set_up_h,
        hours=half_days_of(hours),
    )


def field(area_ac, days, name="home"):
    dates = np.arange(FIRST_DAY, FIRST_DAY + days)
    return problem(np.full((1, days, 1), 10.0), [area_ac], days=dates, field=name)


def parts(chosen):
    return [(part.day - FIRST_DAY, part.half, part.hours_h) for part in chosen.visits[0].parts]


def test_by_hand_over_noon_a_sprayer_runs_on_with_one_visit():
    # 0.2 h of set-up and three loads of 0.4 h. Two visits with one load each before noon would take 1.2 and
    # 1.6 h, all there is, but the sprayer would be in two fields at noon. With one at noon: at most 1.0 h
    # before it and 0.4 h after it, and the other field needs 1.4 h of the 1.2 h left. So one field only.
    rig = rig_with([[1.2, 1.6]], 40.0, 0.2)
    fields = (
        FieldOptions(problems=(field(120.0, 1, name),), machines=(0,), machine_here=(rig,)) for name in "ab"
    )
    plan = schedule(FarmProblem(fields=tuple(fields), machines=(rig,)), Limits(gap_frac=0.0, nodes=100))
    assert [len(chosen.visits) for chosen in plan.chosen].count(1) == 1
    assert plan.value_usd == pytest.approx(1200)


def test_by_hand_a_load_under_way_is_finished_and_the_next_waits():
    # two loads of 0.8 h. 0.3 h of the first before noon, 0.5 h after it; of 0.9 h there 0.4 h are left, too
    # few for the second, which a whole half-day would hold: it waits for the next morning.
    chosen = alone(field(160.0, 2), rig_with([[0.3, 0.9], [0.9, 0.9]], 80.0))
    assert [part[:2] for part in parts(chosen)] == [(0, "AM"), (0, "PM"), (1, "AM")]
    assert [part[2] for part in parts(chosen)] == pytest.approx([0.3, 0.5, 0.8])


def test_by_hand_a_load_that_no_half_day_holds_runs_through_them():
    # one load of 1.6 h in half-days of 0.7, 0, 0.7 and 0.7 h
    chosen = alone(field(160.0, 2), rig_with([[0.7, 0.0], [0.7, 0.7]], 200.0))
    assert [part[:2] for part in parts(chosen)] == [(0, "AM"), (1, "AM"), (1, "PM")]
    assert [part[2] for part in parts(chosen)] == pytest.approx([0.7, 0.7, 0.2])


def test_by_hand_a_load_may_be_under_way_for_several_half_days():
    # of the first load of 0.8 h 0.3 h and 0.3 h are done on the first day and 0.2 h on the next morning; of
    # the 0.9 h there 0.7 h are left: the second waits for the afternoon
    chosen = alone(field(160.0, 2), rig_with([[0.3, 0.3], [0.9, 0.9]], 80.0))
    assert [part[:2] for part in parts(chosen)] == [(0, "AM"), (0, "PM"), (1, "AM"), (1, "PM")]
    assert [part[2] for part in parts(chosen)] == pytest.approx([0.3, 0.3, 0.2, 0.8])
