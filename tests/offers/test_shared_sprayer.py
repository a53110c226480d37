"""Fields that share a sprayer, whose hours differ: a label's own wind limit, sun times, how far they look."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from made_farm_plans import RIG, TODAY, MadePass, with_passes
from made_plans import Made, made_plan
from made_whole import DAYS, options_of, zone_of

from zoning.offers.choose import choose, longest
from zoning.offers.farm_plan import farm_plan
from zoning.offers.in_time import in_time
from zoning.offers.offered import Choice
from zoning.passes.half_days import HalfDays
from zoning.passes.problem import Limits
from zoning.returns.mixture import from_parts

PAYS = from_parts([1.0], [[4.0, 0.0]])  # bu/ac
LIMITS = Limits(gap_frac=0.0, nodes=1000)


def hours_of(planned_h, first_day=int(DAYS[0]), source="past years"):
    planned_h = np.asarray(planned_h, dtype=float)
    return HalfDays(
        first_day=first_day,
        planned_h=planned_h,
        futures_h=np.stack([planned_h, planned_h / 2]),
        source=(source,) * len(planned_h),
    )


def choice_of(name, morning_h, sprayer="shared rig"):
    """One zone of 78 ac that pays and takes an hour; the sprayer can work some hours in each morning."""
    zone = zone_of(1, PAYS, 78.0)
    options = options_of((zone,))
    machine = replace(options.machine, name=sprayer, hours=hours_of([[morning_h, 0.0]] * len(DAYS)))
    problem = replace(options.problem, field=name)
    return Choice(
        sprayer=None, zones=(zone,), options=replace(options, problem=problem, machine=machine), notes=()
    )


@pytest.mark.parametrize("order", [1, -1])
def test_a_field_with_few_hours_of_its_own_takes_none_from_the_others(order):
    # 0.4 h a morning by a label of its own: three mornings for an hour of work; the others have 2.5 h
    fields = [[choice_of("strict", 0.4)], [choice_of("one", 2.5)], [choice_of("two", 2.5)]][::order]
    plan = choose(fields, LIMITS).schedule
    strict, *others = plan.chosen[::order]
    (visit,) = strict.visits
    assert [part.hours_h for part in visit.parts] == pytest.approx([0.4, 0.4, 0.2])
    for chosen in others:
        (visit,) = chosen.visits
        assert [part.hours_h for part in visit.parts] == pytest.approx([1.0])
    assert (plan.used_h[0] <= 2.5 + 1e-9).all()


def test_hours_of_two_fields_are_the_longer_ones_of_each_half_day():
    one = hours_of([[1.0, 4.0], [2.0, 0.0]])
    other = hours_of([[2.0, 3.0], [0.0, 1.0], [5.0, 0.0]], source="forecast")
    both = longest(one, other)
    assert both.planned_h.tolist() == [[2.0, 4.0], [2.0, 1.0], [5.0, 0.0]]
    assert both.futures_h[1].tolist() == [[1.0, 2.0], [1.0, 0.5], [2.5, 0.0]]
    assert both.source == ("past years", "past years", "forecast")
    assert (both.planned_h == longest(other, one).planned_h).all()


def test_hours_of_fields_that_look_at_different_days_have_none_between():
    one, other = hours_of([[1.0, 1.0]]), hours_of([[2.0, 2.0]], first_day=int(DAYS[0]) + 2)
    assert longest(one, other).planned_h.tolist() == [[1.0, 1.0], [0.0, 0.0], [2.0, 2.0]]


def test_nothing_is_said_to_be_added_to_a_sprayer_that_nobody_gave():
    # one field with a sprayer, one with prices only
    together = choose([[choice_of("one", 2.5)], [choice_of("two", 2.5, sprayer="")]], LIMITS)
    plan = farm_plan("farm", (), together, LIMITS, today=date(2026, 7, 8))
    assert {one.sprayer for one in plan.worth} == {"shared rig"}


def test_extras_are_worked_out_once_however_often_the_rule_refuses(monkeypatch):
    rounds, worked_out = [], []

    def refused(_, chosen):
        rounds.append(chosen)
        return {0: "refused"} if len(rounds) < 3 else {}

    def worth_usd(*_):
        worked_out.append(len(rounds))
        return {("an extra sprayer", "shared rig"): 1.0}

    monkeypatch.setattr("zoning.offers.choose.may_refuse", lambda _: True)
    monkeypatch.setattr("zoning.offers.choose._refused", refused)
    monkeypatch.setattr("zoning.offers.choose._without", lambda _, problem, __: problem)
    monkeypatch.setattr("zoning.passes.schedule.farm.worth_usd", worth_usd)
    together = choose([[choice_of("one", 2.5)]], LIMITS)
    assert len(rounds) == 3
    assert worked_out == [3]  # after the last of three
    assert together.schedule.worth_usd == {("an extra sprayer", "shared rig"): 1.0}
    choose([[choice_of("one", 2.5)]], LIMITS, extras=False)
    assert worked_out == [3]


def test_by_hand_a_pass_is_in_time_by_the_hours_of_its_own_field():
    # 1 h of work from the first morning on: the sprayer has 4 h a morning (2 h in the other future)
    first = TODAY.toordinal()
    plan = made_plan(Made(labels=[[1, 2]], field="strict"))
    passes = [MadePass((1,), ((0, "AM", 0.5, 1.0), (1, "AM", 0.5, 1.0)), due_d=1)]
    plan = with_passes(plan, passes)
    rig = replace(options_of((zone_of(1, PAYS, 78.0),)).machine, name=RIG)
    rig = replace(rig, hours=hours_of([[4.0, 0.0]] * 5, first))
    (alike,) = in_time([plan], [rig], [hours_of([[4.0, 0.0]] * 3, first)])
    assert alike.passes[0].in_time_frac == 1.0
    # a label that leaves 0.5 h a morning: 1 h in two mornings, in the other future half of it
    (strict,) = in_time([plan], [rig], [hours_of([[0.5, 0.0]] * 5, first)])
    assert strict.passes[0].in_time_frac == 0.5
    assert strict.passes[0].in_time_years == 0  # nobody said how many


def test_a_share_in_time_says_how_many_past_years_it_rests_on():
    first = TODAY.toordinal()
    rig = replace(options_of((zone_of(1, PAYS, 78.0),)).machine, name=RIG)
    days = hours_of([[4.0, 0.0]] * 5, first)
    source = ("forecast", "forecast", "past years", "past years", "past years")
    rig = replace(rig, hours=replace(days, source=source, past_years=3))
    for due_d, years in ((1, 0), (2, 3), (9, 3)):  # the forecast knows the first two days
        passes = [MadePass((1,), ((0, "AM", 0.5, 1.0), (1, "AM", 0.5, 1.0)), due_d=due_d)]
        plan = with_passes(made_plan(Made(labels=[[1, 2]], field="strict")), passes)
        (told,) = in_time([plan], [rig])
        assert told.passes[0].in_time_years == years
    both = longest(rig.hours, replace(rig.hours, past_years=2))
    assert both.past_years == 3
