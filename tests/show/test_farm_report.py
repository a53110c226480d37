"""What stands below the calendar: every pass in order of time, and no claim that the plan does not carry."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_farm_plans import (
    HIRED,
    RIG,
    TODAY,
    MadePass,
    bare_farm,
    farm_of,
    seeded_farm,
    small_farm,
    with_passes,
)
from made_plans import Made, made_plan

from zoning.plan import LeftOut, WorthOf
from zoning.show.farm_report import (
    farm_report,
    gap_line,
    headline,
    in_order,
    pass_table,
    percent_up,
    whole_page,
)
from zoning.show.figures import when
from zoning.show.report import report
from zoning.words import Said


def joined(text):
    """The text without its line breaks."""
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("seed", range(5))
def test_every_pass_has_a_row_in_order_of_time(seed):
    farm = seeded_farm(seed, fields=9, sprayers=3)
    table = pass_table(farm)
    assert len(table.rows) == sum(len(plan.passes) for plan in farm.plans)
    ranks = [
        (one.parts[0].day, ["AM", "PM"].index(one.parts[0].half), one.sprayer) for _, one in in_order(farm)
    ]
    assert ranks == sorted(ranks)
    told = {(row[1], row[2]): row for row in table.rows}
    for plan in farm.plans:
        for one in plan.passes:
            row = dict(zip(table.head, told[plan.field, str(one.number)], strict=True))
            assert row["when"] == when(one)
            assert row["gal/ac"] == f"{one.rate_gal_ac:g}"
            assert row["hours"] == f"{round(one.hours_h, 1):g}"
            assert row["which zones"] == ", ".join(map(str, one.zones))


def test_by_hand_when_a_pass_is_made():
    plan = made_plan(Made(labels=[[1, 2], [3, 4]]))

    def of(*parts):
        return when(with_passes(plan, [MadePass((1,), tuple((*part, 1.0, 1.0) for part in parts))]).passes[0])

    # today is 1 July, so day 13 is 14 July
    assert of((13, "AM")) == "Jul 14 AM"
    assert of((13, "AM"), (13, "PM")) == "Jul 14 AM to PM"
    assert of((13, "PM"), (14, "AM")) == "Jul 14 PM to Jul 15 AM"
    assert of((30, "PM"), (32, "PM")) == "Jul 31 PM to Aug 2 PM"
    assert when(made_plan(Made(labels=[[1]])).passes[0]) == "Jul 6 AM"  # no parts are known


@pytest.mark.parametrize("width", [120, 80, 40])
@pytest.mark.parametrize(
    "farm", [small_farm("metric"), bare_farm(), seeded_farm(2, 12)], ids=["small", "bare", "seeded"]
)
def test_no_line_is_too_long(farm, width):
    for line in whole_page(farm, width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()


def test_by_hand_the_small_farm():
    text = joined(farm_report(small_farm(), 120))
    # three passes: Jul 6 PM and Jul 7 AM take 2.5 + 1.5 h; of both rigs 5 h are at hand each day, so up to
    # Jul 14, its last, 14 x 5 = 70 h of the ground rig and 7 x 5 = 35 h of the other
    for part in (
        "Jul 6 PM to Jul 7 AM Three Dates 1 1 ground rig 15 0.4 3 4 Jul 11 83 %",
        "Jul 14 AM Three Dates 2 3 ground rig 20 0.8 2 1.2 Jul 20 >99 %",
        "least sure to be in time: Three Dates, pass 1: over by Jul 11 with a chance of 83 %",
        "order product for the first pass by Jul 3, 2 days from now",
        "call the applicator for the first pass by Jul 1, today",
        # its gap_frac is 0.00062: up to the next hundredth of a percent
        "within 0.07 % of the best possible schedule: after min_net, and with wheel tracks in full for every "
        "pass, this one is worth $4,322 and none is worth more than $4,324",
        "ground rig: 5.2 of 70 spray hours in use up to Jul 14",
        "hired rig: 1 of 35 spray hours in use up to Jul 7",
        "one more spray hour of ground rig on Jul 7 AM would be worth $212",
        "a second sprayer like ground rig would add $640 at most",
        "filling ground rig in half the time would add $75 at most",
        "Three Dates, zone 2 (0.4 ac): pays on another day",
        "- the way to the fields costs no hours where a sprayer has no base: rig",
        "the product label, local rules and a licensed applicator decide",
    ):
        assert part in text
    assert "safe" not in text.lower()


def test_a_day_that_is_past_is_said_plainly():
    farm = replace(small_farm(), order_by=TODAY - timedelta(days=4), call_by=TODAY - timedelta(days=1))
    text = joined(farm_report(farm, 120))
    assert "the last day to order product for the first pass was Jun 27: order now" in text
    assert "the last day to call the applicator for the first pass was Jun 30: call now" in text
    assert "order product for the first pass by" not in text
    unknown = joined(farm_report(replace(farm, order_by=None, call_by=None), 120))
    assert "order" not in unknown
    assert "applicator by" not in unknown


def test_a_greedy_schedule_is_called_so_and_a_stopped_search_too():
    exact = small_farm()
    greedy = joined(farm_report(replace(exact, solver="greedy", gap_frac=0.124), 120))
    assert "a greedy schedule" in greedy
    assert "12.4 % below the best possible" in greedy
    assert "within" not in greedy.split("a greedy schedule: the search found none within")[1].split(";")[0]
    assert "greedy" not in farm_report(exact, 120)
    assert "stopped" not in farm_report(exact, 120)
    stopped = joined(farm_report(replace(exact, gap_frac=0.02, nodes=2000), 120))
    assert "stopped at its limit of 2,000 nodes before it came within 0.1 %" in stopped
    # 31 nodes in all: no part of the farm came to its limit, so it is the dealing out that cost the gap
    dealt = joined(farm_report(replace(exact, gap_frac=0.02, nodes=31), 120))
    assert "stopped" not in dealt
    assert "dealt out over its sprayers before the search, which did not come within 0.1 %" in dealt
    best = joined(farm_report(replace(exact, gap_frac=0.0, value_usd=exact.bound_usd), 120))
    assert "no other schedule brings more" in best


def test_a_small_gap_is_told_as_small_as_it_is():
    exact = small_farm()

    def said(gap_frac, bound_usd=10_000_000.0):
        value_usd = bound_usd * (1 - gap_frac)
        farm = replace(exact, gap_frac=gap_frac, bound_usd=bound_usd, value_usd=value_usd)
        return gap_line(farm)

    assert said(0.0312).startswith("within 3.2 % of the best possible schedule")
    assert said(0.00012).startswith("within 0.02 % of the best possible schedule")
    assert said(1e-6).startswith("within 0.001 % of the best possible schedule")
    # 1e-6 of 4,322 USD is less than a cent, and 2e-4 is 86 cents; of 6,000 USD it is 1.20
    assert said(1e-6, 4322.0) == said(2e-4, 4322.0)
    assert said(1e-6, 4322.0).startswith("no other schedule brings a dollar more, after min_net")
    assert said(2e-4, 6000.0).startswith("within 0.02 %")
    assert said(0.0).startswith("no other schedule brings more, after min_net")


@pytest.mark.parametrize("gap_frac", [0.0, 1e-9, 0.01])
@pytest.mark.parametrize("solver", ["exact", "greedy"])
def test_no_schedule_is_called_the_best_where_not_every_set_of_zones_is_weighed(gap_frac, solver):
    farm = replace(small_farm(), gap_frac=gap_frac, solver=solver)
    more = "not every set of zones is weighed, so one with another set may bring more"
    assert more not in gap_line(farm)
    assert gap_line(replace(farm, every_set=False)) == (
        f"{gap_line(farm)}; of a field with many zones {more}"
    )


@pytest.mark.parametrize(
    ("years", "cell", "line"),
    [
        (0, "<1 %", "over by Jul 7 with a chance of <1 %"),
        (1, "0 of 1", "over by Jul 7 with the weather of 0 of 1 past year"),
        (4, "0 of 4", "over by Jul 7 with the weather of 0 of 4 past years"),
        (5, "<1 %", "over by Jul 7 with a chance of <1 %"),
    ],
)
def test_few_past_years_are_counted_and_make_no_chance(years, cell, line):
    made = MadePass((1,), ((5, "PM", 1.0, 1.0),), due_d=6, in_time_frac=0.0)
    plan = with_passes(made_plan(Made(labels=[[1]])), [made])
    plan = replace(plan, passes=tuple(replace(one, in_time_years=years) for one in plan.passes))
    text = joined(farm_report(farm_of([plan], {RIG: ["past years"] * 21}), 120))
    assert f"Jul 7 {cell}" in text
    assert f"pass 1: {line}" in text
    assert ("few past years are known" in text) == (0 < years < 5)
    assert line in joined(report(plan, 120))


@given(share=st.floats(0, 1))
def test_a_gap_is_never_told_smaller_than_it_is(share):
    told = float(percent_up(share).removesuffix(" %"))
    assert told >= 100 * share - 1e-7
    assert told < 100 * share + 0.1 + 1e-7


def test_hours_to_spare_are_worth_nothing():
    farm = small_farm()
    idle = replace(farm, hours=tuple(replace(use, hour_usd=0.2) for use in farm.hours))
    assert "no half-day is short of spray hours" in farm_report(idle, 120)
    assert "tightest" not in farm_report(idle, 120)


@pytest.mark.parametrize(
    ("code", "worth", "is_said"),
    [
        ("passes.visit_too_long", "an extra sprayer", True),
        ("passes.visit_too_long", "filling in half the time", False),
        ("passes.hours_taken", "an extra sprayer", False),
    ],
)
def test_where_a_field_is_too_long_for_one_a_second_sprayer_is_said_not_to_help_there(code, worth, is_said):
    values = {"passes.visit_too_long": {"days": 3, "hours": 2.0}, "passes.hours_taken": {"usd": 900.0}}
    out = LeftOut(field="Gravel", zone=1, area_ac=2.0, why=Said(code, **values[code]))
    farm = replace(small_farm(), left_out=(out,), worth=(WorthOf(change=worth, sprayer=RIG, usd=0.0),))
    text = joined(farm_report(farm))
    assert "would add nothing" in text
    assert ("a field belongs to one sprayer" in text) == is_said


@pytest.mark.parametrize("code", ["passes.visit_too_long", "passes.no_hours", "passes.hours_taken"])
def test_hours_are_not_called_enough_where_a_field_is_left_out_for_them(code):
    # the worth of an hour is that of visits that fit; of a field too large for the hours there is none
    why = Said(code, days=3, hours=0.3, usd=900.0)
    left = (LeftOut(field="North forty", zone=1, area_ac=79.0, why=why),)
    farm = small_farm()
    idle = replace(farm, hours=tuple(replace(use, hour_usd=0.0) for use in farm.hours), left_out=left)
    assert "no half-day is short" not in farm_report(idle, 120)
    assert "what is left out below for its hours is not in the worth of an hour" in farm_report(idle, 120)
    assert "is not in the worth of an hour" not in farm_report(replace(idle, left_out=()), 120)


def test_changes_of_any_name_are_told():
    farm = replace(
        small_farm(),
        worth=(
            WorthOf(change="a wider boom", sprayer=HIRED, usd=12.0),
            WorthOf(change="an extra sprayer", sprayer=RIG, usd=0.3),
        ),
    )
    text = farm_report(farm, 120)
    assert "a wider boom, hired rig: would add $12 at most" in text
    assert "a second sprayer like ground rig would add nothing\n" in text


def test_zones_left_out_for_one_reason_are_told_together():
    why = Said("passes.only_another_day")
    left = [LeftOut(field="North forty", zone=zone, area_ac=10.25, why=why) for zone in (2, 5)]
    other = LeftOut(field="North forty", zone=3, area_ac=4.0, why=Said("passes.pass_without_it"))
    text = farm_report(replace(small_farm(), left_out=(*left, other)), 120)
    assert "  North forty, zones 2, 5 (20.5 ac): pays on another day" in text
    assert "  North forty, zone 3 (4.0 ac): pays by itself" in text
    assert "left out" not in farm_report(replace(small_farm(), left_out=()), 120)


def test_passes_that_end_after_their_due_day_are_named():
    plan = made_plan(Made(labels=[[1, 2]], field="North forty"))
    late = MadePass((1,), ((5, "PM", 1.0, 1.0), (7, "AM", 1.0, 1.0)), due_d=6, in_time_frac=0.4)
    kept = MadePass((2,), ((5, "PM", 1.0, 1.0),), due_d=6, in_time_frac=0.9)
    text = joined(farm_report(farm_of([with_passes(plan, [late, kept])], {}), 120))
    assert "planned to end after its due day: North forty pass 1 " in text + " "
    assert "pass 2" not in text


def test_the_first_line_is_the_decision_and_the_money():
    farm = small_farm()
    # 1.2 of 1.6 ac, 1.2 ac and 0 of 0.8 ac are sprayed
    assert headline(farm) == "spray 2 of 4 acres in 3 passes, expected net $55"
    assert headline(bare_farm()) == "skip all 2 acres: no pass is worth it"
    assert headline(bare_farm(level=1)) == "6 zones on 2 acres; zones and dates only"
    assert headline(farm_of([], {})) == "no field could be planned"
    few = replace(farm, plans=(*farm.plans, *(replace(farm.plans[2], field=f"G{i}") for i in range(3))))
    assert headline(few).endswith("most of these acres do not pay for a pass")
    # 0.8 ac of the last three fields had their pass: nobody says of them that they do not pay
    had = Said("passes.treated", days="Jun 30")
    done = [
        replace(plan, zones=tuple(replace(zone, reason=had) for zone in plan.zones)) for plan in few.plans[3:]
    ]
    seen = headline(replace(few, plans=(*few.plans[:3], *done)))
    assert "most of these" not in seen
    assert seen.endswith("; 2 acres were sprayed already")
    below = joined(farm_report(replace(few, plans=(*few.plans[:3], *done)), 120))
    assert "sprayed already: G0, zone 1 (0.8 ac): sprayed on Jun 30" in below
    assert "sprayed already:" not in farm_report(farm, 120)
    # 2.4 ac more are left out though they pay: the rest, 4.0 - 2.0 - 2.4 ac, is less than what is sprayed
    left = LeftOut(field="G0", zone=1, area_ac=2.4, why=Said("passes.only_another_day"))
    seen = headline(replace(few, left_out=(left,)))
    assert "most of these" not in seen
    assert seen.endswith("; 2 acres that would pay by themselves are left out")
    # 1.4 of the 2 ac that are all skipped would pay, had they the hours
    short = replace(left, area_ac=1.4, why=Said("passes.no_hours"))
    assert headline(replace(bare_farm(), left_out=(short,))) == (
        "skip all 2 acres: 1 acres would pay by themselves, but no pass there would be done in time"
    )
    assert headline(replace(bare_farm(), left_out=(left,))) == "skip all 2 acres: no pass is worth it"
    rest = replace(bare_farm(), plans=(*bare_farm().plans, *done))
    assert headline(rest) == "skip the rest of 5 acres: no pass is worth it; 2 acres were sprayed already"
    assert whole_page(farm, 120).splitlines()[:2] == ["Heron Slough, Jul 1, 2026", headline(farm)]


def test_a_farm_without_a_pass_says_so_and_names_no_gap():
    text = farm_report(bare_farm(), 120)
    assert text.startswith("no pass is planned on this farm")
    for word in ("best possible", "at most", "expected net"):
        assert word not in text
    assert whole_page(farm_of([], {}, notes=()), 80).splitlines()[1] == "no field could be planned"


def test_metric_farms_get_metric_figures():
    text = farm_report(small_farm("metric"), 120)
    assert "L/ha" in text
    assert "hectares" in text
    assert "gal" not in text
    assert " ac" not in text.replace(" acc", "")


def test_the_report_of_one_field_tells_half_days_hours_and_chances():
    plan = small_farm().plans[0]
    text = report(plan, 120)
    assert "pass 1: Jul 6 PM to Jul 7 AM, ground rig, 15 gal/ac, 0.4 ac, 3 loads, 4 h, zone 1" in text
    assert "  over by Jul 11 with a chance of 83 %" in text
    assert "  over by Jul 20 with a chance of >99 %" in text
    bare = report(made_plan(Made(labels=[[1, 2]])), 120)
    assert "pass 1: Jul 6 AM, ground rig, 15 gal/ac, 0.4 ac, 2 loads, zone 1" in bare
    assert "over by" not in bare
