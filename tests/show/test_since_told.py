"""Which zones changed since an earlier plan: what they were, through plan.json and back."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from made_plans import Made, made_plan

from zoning.prescription import handed
from zoning.prescription.as_json import plan_json
from zoning.prescription.since import changed, zones_before
from zoning.show.since_told import since_lines


def plan_of(**wanted):
    return made_plan(Made(labels=[[1, 2], [3, 4]], pass_of_zone={1: 1, 3: 1}, cell_m=250.0, **wanted))


def against(before, now):
    told = handed.of_object(json.loads(plan_json.as_text(plan_json.as_object(before))))
    return replace(now, since=changed(told, now), since_zones=zones_before(told, now))


def with_zone(plan, number, **changes):
    zones = tuple(replace(one, **changes) if one.zone == number else one for one in plan.zones)
    return replace(plan, zones=zones)


def later(plan, number, days):
    (one,) = (one for one in plan.zones if one.zone == number)
    moved = replace(one.window, r3_likely=one.window.r3_likely + timedelta(days=days))
    return with_zone(plan, number, window=moved)


def test_each_zone_is_as_the_earlier_plan_had_it():
    plan = plan_of()
    found = against(plan, plan).since_zones
    assert [one.zone for one in found] == [one.zone for one in plan.zones]
    for was, one in zip(found, plan.zones, strict=True):
        assert was.r3_likely == one.window.r3_likely
        assert (was.spray_on, was.action) == (one.spray_on, one.action)
        assert (
            was.rate_gal_ac == pytest.approx(one.rate_gal_ac) if one.rate_gal_ac else was.rate_gal_ac is None
        )


def test_nothing_changed_is_said_in_one_line():
    plan = plan_of()
    assert since_lines(against(plan, plan)) == ("no zone has changed since Jul 1, 2026",)


def test_without_an_earlier_plan_nothing_is_said():
    assert since_lines(plan_of()) == ()


def test_of_other_zones_nothing_is_said():
    plan = plan_of()
    now = against(replace(plan, zones_id="other"), plan)
    assert now.since is not None
    assert now.since_zones == ()
    assert since_lines(now) == ()


def test_a_date_that_moved_is_told_with_what_it_was():
    plan = plan_of()
    was = plan.zones[1].window.r3_likely
    now = later(later(plan, 2, -3), 4, 2)
    lines = since_lines(against(plan, now))
    assert lines[0] == "2 zones changed since Jul 1, 2026"
    moved = was - timedelta(days=3)
    assert lines[1] == f"zone 2: R3 likely {moved:%b} {moved.day}, was {was:%b} {was.day}"
    assert lines[2].startswith("zone 4: R3 likely ")
    assert len(lines) == 3


def test_what_is_done_otherwise_is_told():
    plan = plan_of()
    day, rate = plan.zones[0].spray_on, plan.zones[0].rate_gal_ac
    skipped = with_zone(plan, 1, action="skip", spray_on=None, rate_gal_ac=None)
    assert since_lines(against(plan, skipped)) == (
        "1 zone changed since Jul 1, 2026",
        "zone 1: skipped now, was sprayed",
    )
    assert since_lines(against(skipped, plan))[1] == "zone 1: sprayed now, was skipped"
    other = with_zone(plan, 3, spray_on=date(2026, 7, 20), rate_gal_ac=rate + 5)
    said = f"zone 3: spray Jul 20, was {day:%b} {day.day}; {rate + 5:g} gal/ac, was {rate:g} gal/ac"
    assert since_lines(against(plan, other))[1] == said


def test_a_zone_that_had_no_date_says_so():
    plan = plan_of()
    without = with_zone(plan, 2, window=None)
    likely = plan.zones[1].window.r3_likely
    assert since_lines(against(without, plan))[1] == (
        f"zone 2: R3 likely {likely:%b} {likely.day}, was without a date"
    )


@pytest.mark.parametrize(
    ("key", "value"), [("action", "burn"), ("spray_on", 3), ("rate_gal_ac", "15"), ("stage", [])]
)
def test_a_zone_that_is_no_zone_of_a_plan_is_refused(key, value):
    whole = json.loads(plan_json.as_text(plan_json.as_object(plan_of())))
    whole["zones"][0][key] = value
    with pytest.raises(ValueError, match=key):
        handed.of_object(whole)
