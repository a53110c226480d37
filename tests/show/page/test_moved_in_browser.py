"""What stands beside figures that the reader moved: it follows them, or says that it is the plan's."""

from dataclasses import replace

import pytest
from demo_plan import demo_plan
from made_page_plans import what_if
from made_plans import Made, made_plan

from zoning.passes.what_if import judge
from zoning.show import page
from zoning.show.figures import day, dollars
from zoning.units import date_from_day

SETTLED = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
AFTER = """(place) => Array.from(document.querySelectorAll(place),
    (one) => getComputedStyle(one, '::after').content)"""
OF_THE_PLAN = '" (at the plan\'s figures)"'
# Sentences whose figures only a run reckons again.
STAY = (
    *(
        "#sources h2",
        "#turns h2",
        "#strips h2",
        "#walks h2",
        "#missing h2",
        "#stories details details summary",
    ),
    *("#stories .why", "#stories .turn", "#stories .by-source dd"),
)


@pytest.fixture
def opened(open_page, tmp_path):
    def opener(plan):
        page.write(plan, tmp_path / "page.html")
        found = open_page(tmp_path / "page.html")
        found.page.click("#figures summary")
        return found

    return opener


def move(shown, price):
    shown.page.fill("#f-price", price)
    shown.page.evaluate(SETTLED)


def test_what_only_a_run_reckons_says_that_it_is_the_plans(opened):
    shown = opened(demo_plan())
    for moved in (False, True):
        if moved:
            move(shown, "14")
        for place in STAY:
            after = shown.page.evaluate(AFTER, place)
            assert after, place
            assert set(after) == {OF_THE_PLAN if moved else "none"}, place
    shown.check_quiet()


def test_a_decision_makes_no_sentence_untrue(opened):
    shown = opened(demo_plan())
    shown.page.click("#zone-table tr[data-zone='3']")
    shown.page.check('#overrule input[value="spray"]')
    shown.page.fill("#overrule-reason", "road")
    shown.page.click('#overrule button[type="submit"]')
    shown.page.evaluate(SETTLED)
    assert shown.page.is_visible("#stays")
    assert set(shown.page.evaluate(AFTER, "#stories .turn, #sources h2")) == {"none"}


def test_a_pass_that_a_zone_leaves_is_said_to_be_the_plans(opened):
    shown = opened(demo_plan())
    planned = shown.page.locator("#stories .what dd").all_inner_texts()
    assert planned
    assert all(one.startswith("pass 1, Jul 23") for one in planned)
    move(shown, "4")
    done = shown.page.locator("#stories .what dd").all_inner_texts()
    assert done == [f"nothing; in the plan: {one}" for one in planned]
    days = shown.page.locator("#zone-table .c-day").all_inner_texts()
    assert {one.strip() for one in days} == {"-"}
    assert shown.page.inner_text("#decision").startswith("Spray nothing")
    assert shown.page.text_content("#range") == ""
    shown.check_quiet()


def test_the_nearest_pass_is_no_longer_spoken_of_where_one_pays(opened):
    plan = made_plan(Made(labels=[[1, 2], [3, 4]], cell_m=200, pass_of_zone={}))
    shown = opened(replace(plan, what_if=what_if(plan), volumes_gal_ac=(15.0,)))
    nearest = "The pass that comes nearest to it: 8 seasons of 10 bring "
    assert shown.page.inner_text("#range").startswith(nearest)
    move(shown, "50")
    assert float(shown.page.get_attribute("#n-net", "data-v")) > 0
    assert shown.page.inner_text("#range").startswith("8 seasons of 10 bring ")
    shown.page.click("#f-reset")
    shown.page.evaluate(SETTLED)
    assert shown.page.inner_text("#range").startswith(nearest)
    shown.check_quiet()


def test_a_zone_that_is_sprayed_now_says_on_which_day_and_that_the_plan_has_no_such_pass(opened):
    """Zone 6 alone would have a pass of its own, on the day that its visit in the plan's offers has."""
    plan = demo_plan()
    answer = judge(plan.what_if, replace(plan.what_if.base, grain_price_usd_bu=40.0), {})
    (visit,) = [one for one in answer.visits if 6 in one.zones]
    assert (visit.number, visit.stands) == (0, True)
    (place,) = [one.visit for one in plan.what_if.zones if one.zone == 6]
    rate = plan.what_if.visits[place].rate_gal_ac
    shown = opened(plan)
    move(shown, "40")
    on = day(date_from_day(visit.day))
    assert shown.page.inner_text("#zone-table tr[data-zone='6'] .c-day").split("\n") == [
        on,
        "not in the plan",
    ]
    assert shown.page.inner_text("#zone-6 .what dd") == f"{on}, {rate:g} gal/ac, not in the plan"
    label = shown.page.text_content("#map-labels [data-of='6']")
    assert on in label
    assert label.endswith("not in the plan")
    assert f"on {on}, not in the plan" in shown.page.get_attribute("#map a.zone[data-zone='6']", "aria-label")
    assert "not in the plan" not in shown.page.inner_text("#zone-table tr[data-zone='1']")
    shown.page.click("#f-reset")
    shown.page.evaluate(SETTLED)
    assert not shown.page.is_visible("#zone-6 .what")
    assert shown.page.inner_text("#zone-table tr[data-zone='6'] .c-day").strip() == "-"
    shown.check_quiet()


def test_check_strips_are_painted_where_they_can_still_be_driven(opened):
    """At 4 $/bu no pass comes and no strip is left; at 40 pass 1 still comes, and the strips with it."""
    shown = opened(demo_plan())
    painted = """() => [...document.querySelectorAll('#map-strips g, #map-labels [data-strip]')]
        .map((one) => getComputedStyle(one).display !== 'none')"""
    struck = """() => [...document.querySelectorAll('#legend [data-key="strips"]')]
        .map((one) => getComputedStyle(one).textDecorationLine === 'line-through')"""
    assert len(shown.page.evaluate(painted)) >= 3
    for price, wanted in (("4", False), ("40", True), ("10.4", True)):
        move(shown, price)
        assert set(shown.page.evaluate(painted)) == {wanted}, price
        assert set(shown.page.evaluate(struck)) == {not wanted}, price
    shown.check_quiet()


def test_the_source_that_the_plan_has_is_called_the_plans_whichever_is_chosen(opened):
    plan = demo_plan()
    other = next(one for one in plan.what_if.zones[0].steps if one != plan.source)
    shown = opened(plan)
    shown.page.select_option("#f-source", other)
    shown.page.evaluate(SETTLED)
    for place in ("#stories", "#sources"):
        assert "chosen" not in shown.page.inner_text(place)
    for told in shown.page.locator("#stories .by-source dd").all_inner_texts():
        assert f"{plan.source} (in the plan)" in told
        assert f"{other} (" not in told
    heads = shown.page.locator("#sources th[scope=col]").all_inner_texts()
    assert [one for one in heads if one.endswith("*")] == [f"{plan.source} *"]
    assert "* in the plan" in shown.page.inner_text("#sources")


def test_the_range_stands_with_the_net_and_in_the_sentence_above_it(opened):
    plan = demo_plan()
    range_ = f"{dollars(plan.totals.net_p10_usd)} to {dollars(plan.totals.net_p90_usd)}"
    shown = opened(plan)
    places = ("#range", "#n-range")
    assert all(range_ in shown.page.inner_text(place) for place in places)
    assert "with the check strips" in shown.page.inner_text("#numbers")
    move(shown, "14")
    moved = [shown.page.inner_text(place) for place in places]
    assert moved[1] != range_
    assert moved[1] in moved[0]
    assert "with the check strips" not in shown.page.inner_text("#numbers")
