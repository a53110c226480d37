"""The words of the page against the two lists that end the handbook's page on practice, a test for each line.

What makes a grower trust the page, and what makes a grower throw it away.
"""

import math
import re
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
import shapely
from demo_plan import demo_plan
from made_laid_strips import with_laid_strips
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, smooth_field
from read_page import at, figures, read, said, words

from zoning.inputs.area import from_lonlat
from zoning.plan import PlanWalk
from zoning.show import page
from zoning.show.figures import Units, day, dollars, of_day
from zoning.show.zones import block_lines
from zoning.units import m2_from_ac
from zoning.words import Said, cautions

LABELS, BLOCKS = smooth_field(3, shape=(20, 20))


def plan_of(**wanted):
    given = {"labels": LABELS, "block_of_zone": BLOCKS, "cell_m": 30, "pass_of_zone": {1: 1, 3: 1, 4: 2}}
    return made_plan(Made(**(given | wanted)))


@pytest.fixture(scope="module")
def plan():
    return demo_plan()


@pytest.fixture(scope="module")
def tree(plan):
    return read(page.text(plan))


def tree_of(plan):
    return read(page.text(plan))


# ---- what makes a grower trust the page ----


def test_the_first_line_is_the_decision_and_the_money_at_stake(plan, tree):
    (head,) = tree.xpath("//h1")
    assert head.get("id") == "decision"
    before = [one for one in tree.xpath("//body//text()[following::h1]") if one.strip()]
    assert (
        len(before) <= 4
    )  # the way past the top, the banner, the field and the day: nothing else comes first
    acres = f"{plan.totals.spray_ac:.0f} of {plan.area_ac:.0f} acres"
    assert words(head).startswith(f"Spray {acres}")
    assert dollars(plan.totals.net_usd) in words(head)
    low, high = dollars(plan.totals.net_p10_usd), dollars(plan.totals.net_p90_usd)
    assert f"{low} to {high}" in said(tree, "range")


def test_the_first_line_of_a_skipped_field_names_what_would_pay():
    told = said(tree_of(plan_of(pass_of_zone={})), "decision")
    assert told.startswith("Skip all")
    assert "no pass is worth it" in told


MOST_DO_NOT = "Most of these acres do not pay for a pass"


@pytest.mark.parametrize("sprayed", [{1: 1}, dict.fromkeys(BLOCKS, 1)])
def test_that_most_acres_do_not_pay_is_said_where_it_is_true(sprayed):
    one = plan_of(pass_of_zone=sprayed)
    top = words(tree_of(one).xpath("//header")[0])
    assert (MOST_DO_NOT in top) == (2 * one.totals.skip_ac > one.area_ac)
    assert (MOST_DO_NOT in top) == (len(sprayed) == 1)


def test_what_was_seen_is_on_it_and_which_zones_moved(plan, tree):
    seen = said(tree, "seen")
    assert plan.scouting
    for one in plan.scouting:
        assert f"{day(one.on)}, zone {one.zone}: {one.text}" in seen
    moved = [note for note in plan.notes if note.code == "offers.count_moved"]
    assert moved
    for note in moved:
        assert f"zone {note.values['zone']}: {note.text.partition(': ')[2]}".lower() in seen.lower()


def test_an_unscouted_field_says_so():
    assert "Nobody has scouted this field" in said(tree_of(plan_of()), "seen")


def test_cost_lines_can_be_checked_against_a_bill(plan, tree):
    bill = at(tree, "bill")
    rows = [list(figures(row)) for row in bill.xpath(".//tbody/tr")]
    assert len(rows) == sum(one.counted and not one.name.startswith("tracks_") for one in plan.totals.costs)
    for row in rows:
        if len(row) == 2:  # a price by the acre, and what it comes to on the acres of the first line
            (_, usd_ac, _), (_, usd, _) = row
            assert usd == pytest.approx(usd_ac * plan.totals.spray_ac, abs=0.01)
    (total,) = figures(bill.xpath(".//tfoot")[0])
    assert total[1] == pytest.approx(math.fsum(row[-1][1] for row in rows), abs=0.01)
    shown = [int(row[-1][2].replace("$", "").replace(",", "")) for row in rows]
    assert int(total[2].replace("$", "").replace(",", "")) == pytest.approx(sum(shown), abs=len(rows) / 2)


def test_each_skip_says_what_would_flip_it(plan, tree):
    skipped = [zone for zone in plan.zones if zone.action == "skip"]
    assert skipped
    for zone in skipped:
        told = said(tree, f"zone-{zone.zone}")
        assert "A spray would be worth it" in told
        price = next(one.value for one in zone.money.flips if one.name == "price")
        assert f"{Units(metric=False).price(price)} $/bu" in told


def test_it_says_where_to_look_by_when_and_what_that_is_worth():
    walk = PlanWalk(zone=2, lon=-95.4, lat=44.3, day=date(2026, 7, 7), plants=20, usd=209.4, informs=(2, 5))
    told = said(tree_of(replace(plan_of(), walks=(walk,))), "walks")
    assert told.startswith(
        "Where to look next Go and look in zone 2 by Jul 7: stage 20 plants there, worth $209"
    )
    assert "it may change zones 2, 5" in told


def test_the_day_of_the_first_pass_stands_among_the_first_numbers(plan, tree):
    first = min(plan.passes, key=lambda one: one.day)
    told = said(tree, "numbers")
    assert f"{day(first.day)} {first.half}" in told
    assert len(plan.passes) > 1 or "1 pass planned, " in told
    assert "no pass planned" in said(tree_of(plan_of(pass_of_zone={})), "numbers")


def test_by_hand_what_check_strips_leave_of_the_money_and_add_to_the_bill_is_said():
    # 500.0 - 61.4 = 438.6 USD; the passes treat 38.5 ac with their strips, their zones have more
    labels, of_zone = smooth_field(3, 3, 2, (40, 39))
    made = Made(labels=labels, block_of_zone=of_zone, cell_m=20, simplify_m=8, pass_of_zone={1: 1, 3: 1})
    plan = with_laid_strips(made, 4)
    (one,) = plan.passes
    plan = replace(
        plan,
        passes=(replace(one, map=replace(one.map, treated_ac=38.5)),),
        strips=replace(plan.strips, cost_usd=61.4),
        totals=replace(plan.totals, net_usd=500.0),
    )
    tree = tree_of(plan)
    assert "with the check strips $439" in said(tree, "numbers")
    assert "with check strips 38.5 ac are sprayed" in said(tree, "bill")
    without = tree_of(replace(plan, strips=None))
    assert "check strips" not in said(without, "numbers") + said(without, "bill")


def test_what_changed_and_where_to_look_come_before_the_stories_of_the_zones(plan):
    since = replace(plan, since=Said("since.nothing", today="Jul 1, 2026"))
    sections = [one.get("id") for one in tree_of(since).xpath("//main//section")]
    assert sections.index("since") < sections.index("walks") < sections.index("stories")


# ---- what makes a grower throw it away ----


def test_no_date_without_a_spread(plan, tree):
    for zone in plan.zones:
        window = zone.window
        (row,) = tree.xpath(f"//tr[@data-zone='{zone.zone}']")
        early, late = day(window.r3_early), day(window.r3_late)
        ends = late.split()[1] if early.split()[0] == late.split()[0] else late
        for told in (words(row), said(tree, f"zone-{zone.zone}")):
            assert f"{early}–{ends}" in told
    assert f"early {day(min(one.window.r3_early for one in plan.zones))}" in said(tree, "numbers")
    assert f"late {day(max(one.window.r3_late for one in plan.zones))}" in said(tree, "numbers")


def test_no_spray_date_is_past(plan, tree):
    shown = [zone.spray_on for zone in plan.zones if zone.spray_on]
    assert shown
    assert min(shown) >= plan.today
    cells = {words(cell) for cell in tree.xpath("//td[starts-with(@class, 'c-day')]")}
    assert cells == {day(on) for on in shown} | {"-"}


def test_a_page_that_is_opened_later_says_that_its_days_are_past(plan, tree, open_page, tmp_path):
    assert at(tree, "past").get("hidden") is not None
    page.write(plan, tmp_path / "page.html")
    last = max(zone.spray_on for zone in plan.zones if zone.spray_on)
    for late_d, is_past in ((0, False), (1, True)):
        opened = open_page(tmp_path / "page.html")
        opened.page.clock.set_fixed_time(f"{last + timedelta(days=late_d)}T12:00:00")
        opened.page.reload()
        assert opened.page.is_visible("#past") == is_past


def test_pods_low_on_the_stem_are_not_taken_for_r3():
    note = Said("inputs.count_low_plants", where="scouting.csv:4", node=9, top=4, plants=6)
    told = said(tree_of(replace(plan_of(), notes=(note,))), "seen")
    assert "pods at node 9 make no R3 or R4" in told
    assert "6 plants taken as R2" in told


def test_zones_are_no_prettier_than_the_evidence(plan, tree):
    """How much of the field's differences they hold, and that no trial has measured how responses differ."""
    about = said(tree, "about")
    for one in plan.quality.layers:
        assert f"{100 * one.explained_frac:.0f} % of {of_day(one.name, ' of ')}" in about
    assert "no trial has measured how the response differs within a field" in said(tree, "sources")
    mixed = Said("zones.impure", zone=2, percent=61.0)
    assert "zone 2 is mixed" in said(tree_of(replace(plan, notes=(mixed,))), "about").lower()


def test_every_rate_is_one_that_the_tips_can_make(plan, tree):
    possible = {one.rate_gal_ac for one in plan.passes}
    assert possible <= set(plan.volumes_gal_ac)
    shown = {value for quantity, value, _ in figures(tree) if quantity == "rate_gal_ac"} - {None}
    assert shown == possible
    texts = set(re.findall(r"(\d[\d.]*) gal/ac", words(tree)))
    known = {f"{rate:g}" for rate in plan.volumes_gal_ac}
    assert texts <= known


def test_no_island_under_an_acre_is_sprayed(plan, tree):
    acre_m2 = m2_from_ac(1.0)
    for zone in plan.zones:
        if zone.action == "spray":
            ground = shapely.get_parts(from_lonlat(zone.outline, plan.epsg))
            assert np.all(shapely.area(ground) > acre_m2)
    sprayed = {zone.zone for zone in plan.zones if zone.action == "spray"}
    drawn = {int(one.get("data-zone")) for one in at(tree, "map").xpath(".//*[@data-zone]")}
    assert sprayed <= drawn


def test_the_sprayed_area_leaves_out_the_waterway():
    before = plan_of()
    dry = next(zone for zone in before.zones if zone.action == "skip")
    plan = with_no_spray(before, {dry.zone: "setback"})
    tree = tree_of(plan)
    told = said(tree, "about")
    assert f"Never sprayed: {dry.area_ac:.1f} ac (setbacks)" in told
    (spray,) = [value for _, value, _ in figures(at(tree, "n-spray").getparent())]
    (skip,) = [value for _, value, _ in figures(at(tree, "n-skip").getparent())]
    assert spray + skip == pytest.approx(plan.area_ac - dry.area_ac, abs=1e-4)
    assert "setback" in said(tree, "map-box")


def test_no_cents_on_a_guess(tree):
    for quantity, _, text in figures(tree):
        if quantity in ("net_usd_ac", "usd"):
            assert re.fullmatch(r"[+-]?-?\$?[\d,]+", text), text
    # prices by the bushel are no guesses, nor the lines of a bill
    elsewhere = [one for one in tree.xpath("//main/*") if not one.xpath(".//*[@id='bill']")]
    for one in elsewhere:
        assert not re.search(r"\$\d[\d,]*\.\d", words(one))
        assert not re.search(r"\d\.\d+ \$/ac", words(one))


FORBIDDEN = (
    r"\bsafe(ly|ty|r)?\b|\bharmless|\bguarantee|\bno risk|\bapproved\b|\bmust be applied\b|\brecommended\b"
)


def test_nothing_reads_like_the_label_or_promises_that_a_spray_does_no_harm(plan, tree):
    everything = words(tree)
    assert not re.search(FORBIDDEN, everything, re.IGNORECASE)
    sheet = plan.passes[0].sheet
    assert sheet.dose.text not in everything  # the dose stands on the label and on the operator's sheet
    assert not re.search(r"fl oz|\bpt/ac|re-entry interval (of|is) \d", everything)
    for caution in cautions(plan.country):
        assert caution.lower() in said(tree, "cautions").lower()
    assert "A prediction, not an instruction" in words(tree.xpath("//footer")[0])


def test_how_well_zones_hold_is_kept_for_those_who_ask(plan, tree):
    told = [one for one in block_lines(plan) if one]
    assert told
    drawer = at(tree, "drawn")
    assert drawer.tag == "details"
    for one in told:
        assert one[1:] in words(drawer)
