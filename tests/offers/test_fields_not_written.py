"""A field whose plan could not be written is in no figure of the farm's plan."""

from datetime import date

import pytest
from made_hubs import made_hubs

from zoning.offers.choose import choose
from zoning.offers.farm_plan import farm_plan
from zoning.passes.problem import Limits

LIMITS = Limits(gap_frac=0.001, nodes=2000)
DAY = date(2026, 7, 8)


def plan_of(together, lost_usd=0.0):
    return farm_plan("farm", (), together, LIMITS, today=DAY, lost_usd=lost_usd)


@pytest.mark.parametrize("seed", range(30))
def test_value_and_bound_are_those_of_the_fields_in_the_plan(seed):
    fields = made_hubs(seed, 1)
    together = choose(fields, LIMITS, extras=False)
    schedule = together.schedule
    for lost, usd in enumerate(schedule.field_usd):
        plan = plan_of(together, usd)
        others = [one for at, one in enumerate(schedule.field_usd) if at != lost]
        assert plan.value_usd == pytest.approx(sum(others))
        assert 0 <= plan.bound_usd - plan.value_usd == pytest.approx(schedule.bound_usd - schedule.value_usd)
        assert plan.gap_frac * plan.bound_usd == pytest.approx(plan.bound_usd - plan.value_usd, abs=1e-9)


def test_nothing_changes_where_every_field_is_written():
    together = choose(made_hubs(3, 2), LIMITS, extras=False)
    plan, schedule = plan_of(together), together.schedule
    assert (plan.value_usd, plan.bound_usd, plan.gap_frac) == (
        schedule.value_usd,
        schedule.bound_usd,
        schedule.gap_frac,
    )
