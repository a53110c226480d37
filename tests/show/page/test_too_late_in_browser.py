"""A field that is past every pass: what-ifs without visits, on the page and in its scripts."""

from dataclasses import asdict, replace

from made_page_plans import page_plan
from node import evaluate

from zoning.passes.what_if import judge
from zoning.show import page
from zoning.show.page.map_data import map_data
from zoning.show.page.what_if_data import what_if_data


def too_late():
    """Zones that no visit reaches any more, beside another pass that goes anyway."""
    plan = page_plan(3)
    zones = tuple(replace(one, action="skip", pass_number=None, rate_gal_ac=None) for one in plan.zones)
    asked = replace(
        plan.what_if,
        zones=tuple(replace(one, visit=-1) for one in plan.what_if.zones),
        visits=(),
        goes_anyway=True,
        split_load_usd=80.0,
    )
    return replace(plan, zones=zones, passes=(), what_if=asked)


def test_a_page_past_every_pass_opens_and_its_boxes_move_nothing(open_page, tmp_path):
    plan = too_late()
    path = tmp_path / "page.html"
    page.write(plan, path)
    opened = open_page(path)
    opened.page.click("#figures summary")
    opened.page.fill("#f-price", "40")
    opened.page.evaluate(
        "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    )
    assert float(opened.page.get_attribute("#n-spray", "data-v")) == 0
    assert opened.page.inner_text("#n-net") == "$0"
    opened.check_quiet()


def test_no_zone_gets_the_rate_of_a_visit_that_is_not_its_own():
    plan = too_late()
    assert [one["rate_gal_ac"] for one in map_data(plan)["zones"]] == [None] * 3
    mixed = replace(plan, what_if=replace(plan.what_if, visits=page_plan(3).what_if.visits))
    assert [one["rate_gal_ac"] for one in map_data(mixed)["zones"]] == [None] * 3


def test_both_languages_spray_nothing_past_every_pass():
    asked = too_late().what_if
    figures = replace(asked.base, grain_price_usd_bu=40.0)
    given = {"data": what_if_data(asked), "figures": asdict(figures)}
    there = evaluate(["what_if"], "whatIf.judge(given.data, given.figures, {1: 'spray'})", given)
    here = judge(asked, figures, {1: "spray"})
    assert there["net_usd"] == here.net_usd == 0
    assert there["spray_ac"] == here.spray_ac == 0
    assert there["skip_ac"] == here.skip_ac > 0
