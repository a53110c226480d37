"""How plans of a made region are carried out before the truth scores them."""

import numpy as np
import pytest
from made_region import made_region
from made_region_values import (
    Job,
    carried_out,
    chosen_jobs,
    each_alone,
    every_field,
    offered,
    planned_hours,
    sprayed_frac,
    together,
    true_usd,
    whole_or_none,
)

from zoning.offers.choose import choose, limits_of

FIELDS = 6


@pytest.fixture(scope="module")
def of(tmp_path_factory):
    folder = tmp_path_factory.mktemp("played") / "region"
    return offered(made_region(folder, FIELDS, seed=1, small=True, fields_a_hub=FIELDS))


def _job(**changed):
    about = {"field": 0, "zones": (1,), "not_before": 0, "too_late": 9, "hours_h": 1.0, "rigs": (0, 1)}
    return Job(**(about | changed))


def _days(plan):
    return [dict(one.days) for one in plan]


def test_the_planners_own_schedule_fits_its_hours(of):
    found = choose([one.choices for one in of.offers], limits_of(of.offers[0]), extras=False)
    visits = [one.visits for one in found.schedule.chosen]
    assert sum(map(len, visits)) > 2
    plans = carried_out(of, chosen_jobs(of, visits, own_rig=True), planned_hours(of))
    for of_field, plan in zip(visits, plans, strict=True):
        assert len(plan) == len(of_field)
        for visit, sprayed in zip(sorted(of_field, key=lambda one: one.day), plan, strict=True):
            days = [int(day) for day, _ in sprayed.days]
            assert (days[0], days[-1]) == (visit.day, visit.last_day)


@pytest.mark.parametrize("rule", [together, each_alone, whole_or_none, every_field])
def test_no_rule_returns_more_than_the_clairvoyant(of, rule):
    plans = carried_out(of, rule(of), planned_hours(of))
    assert true_usd(of, plans) <= sum(field.clairvoyant_usd() for field in of.region.fields)
    assert 0 < sprayed_frac(of, plans) <= 1 + 1e-9


def test_every_field_whole_is_every_acre(of):
    endless = np.full(120, 5.0)
    assert sprayed_frac(of, carried_out(of, every_field(of), endless)) == pytest.approx(1.0, abs=2e-3)


def test_by_hand_two_sprayers_share_the_work(of):
    # 2 h a half-day: the first takes 2 of its 3 h in the first and 1 in the second; meanwhile the other
    # sprayer is done with the second job; the third finds 1 h left of the first sprayer's second half-day
    jobs = [_job(hours_h=3.0), _job(field=1, hours_h=2.0), _job(field=2, hours_h=1.0, rigs=(0,))]
    plans = carried_out(of, jobs, np.full(9, 2.0))
    today = of.region.today.toordinal()
    morning, afternoon = today + 0.25, today + 0.75
    assert _days(plans[0]) == [pytest.approx({morning: 2 / 3, afternoon: 1 / 3})]
    assert _days(plans[1]) == [pytest.approx({morning: 1.0})]
    assert _days(plans[2]) == [pytest.approx({afternoon: 1.0})]


def test_what_comes_too_late_is_left_and_takes_no_hours(of):
    jobs = [_job(hours_h=5.0, too_late=2, rigs=(0,)), _job(field=1, rigs=(0,))]
    plans = carried_out(of, jobs, np.full(9, 2.0))
    assert plans[0] == []
    assert _days(plans[1]) == [{of.region.today.toordinal() + 0.25: 1.0}]
