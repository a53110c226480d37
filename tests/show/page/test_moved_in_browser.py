"""What stands beside figures that the reader moved: it follows them, or says that it is the plan's."""

from dataclasses import replace

import pytest
from demo_plan import demo_plan
from made_page_plans import what_if
from made_plans import Made, made_plan

from zoning.show import page

SETTLED = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
AFTER = """(place) => Array.from(document.querySelectorAll(place),
    (one) => getComputedStyle(one, '::after').content)"""
OF_THE_PLAN = '" (at the plan\'s figures)"'
# Sentences whose figures only a run reckons again.
STAY = (
    *("#sources h2", "#turns h2", "#strips h2", "#walks h2", "#missing h2", "#stories summary"),
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
    assert set(shown.page.evaluate(AFTER, "#stories .what dd")) == {"none"}
    move(shown, "4")
    assert set(shown.page.evaluate(AFTER, "#stories .what dd")) == {'" (in the plan)"'}
    days = shown.page.locator("#zone-table .c-day").all_inner_texts()
    assert {one.strip() for one in days} == {"-"}
    assert shown.page.inner_text("#n-seasons") == "nothing is sprayed"
    shown.check_quiet()


def test_the_nearest_pass_is_no_longer_spoken_of_where_one_pays(opened):
    plan = made_plan(Made(labels=[[1, 2], [3, 4]], cell_m=200, pass_of_zone={}))
    shown = opened(replace(plan, what_if=what_if(plan), volumes_gal_ac=(15.0,)))
    assert shown.page.inner_text("#n-seasons") == "the nearest pass, 8 seasons of 10"
    move(shown, "50")
    assert float(shown.page.get_attribute("#n-net", "data-v")) > 0
    assert shown.page.inner_text("#n-seasons") == "8 seasons of 10"
    shown.page.click("#f-reset")
    shown.page.evaluate(SETTLED)
    assert shown.page.inner_text("#n-seasons") == "the nearest pass, 8 seasons of 10"
    shown.check_quiet()
