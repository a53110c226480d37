"""The page of a farm holds every field, pass and day of farm.json and the same total, and loads nothing."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date, timedelta
from html import unescape
from math import fsum
from urllib.parse import unquote

import browser
import pytest
from made_farm_plans import (
    HIRED,
    MadePass,
    bare_farm,
    farm_of,
    part_done,
    seeded_farm,
    small_farm,
    spread,
    with_passes,
)
from made_laid_strips import with_laid_strips
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, renamed, smooth_field
from pypdf import PdfReader
from pyproj import Geod
from read_farm_page import figure, rows, words

from zoning import units
from zoning.plan import LeftOut, PlanWalk
from zoning.prescription.as_json import farm_json
from zoning.show.farm_page import text, write
from zoning.show.farm_page.ground import together
from zoning.show.farm_page.ranked import ranked
from zoning.show.figures import Units, day, dollars
from zoning.words import Said

HOSTILE = "</title><script>alert(1)</script>\"'&<b>\x1b[31m"
FOLDER = 'a "b" <i>&#%/..'


def mixed_farm():
    """Fields of level 1, 2 and 3 on one farm."""
    plans = [
        made_plan(Made(labels=[[1, 2], [3, 3]], level=level, field=f"Level {level}", pass_of_zone={1: 1}))
        for level in (1, 2, 3)
    ]
    return spread(farm_of(plans, {}))


@pytest.mark.parametrize("seed", range(3))
def test_everything_of_farm_json_is_on_the_page(seed):
    farm = spread(seeded_farm(seed, fields=7, sprayers=2))
    page, told = text(farm), farm_json.as_object(farm)
    shown = words(page)
    table, passes = rows(page), rows(page, "pass-table")
    assert len(table) == len(told["fields"])
    for folder, one in told["fields"].items():
        row = next(row for row in table if row[1] == one["field"])
        assert row[2] == f"{one['area_ac']:.1f}"
        assert row[3].startswith(f"{one['totals']['spray_ac']:.1f} ")
        assert row[4].startswith(f"{len(one['passes'])}")
        assert row[5].startswith(dollars(one["totals"]["net_usd"]))
        assert f'href="../{folder}/out/page.html"' in page
        for single in one["passes"]:
            line = next(row for row in passes if row[1] == one["field"] and row[2] == str(single["pass"]))
            assert line[0].startswith(f"{day(date.fromisoformat(single['day']))} {single['half']}")
            assert line[3] == ", ".join(map(str, single["zones"]))
            assert line[4] == single["sprayer"]
    for row in farm_json.schedule_rows(farm):  # each half-day of each pass, in the words beside the calendar
        assert f"{day(date.fromisoformat(row['day']))} {row['half']}" in shown
    assert figure(page, "t-spray") == f"{told['totals']['spray_ac']:,.1f}"
    assert figure(page, "t-skip") == f"{told['totals']['skip_ac']:,.1f}"
    assert figure(page, "t-net") == dollars(told["totals"]["net_usd"])
    assert figure(page, "t-passes") == str(sum(len(one["passes"]) for one in told["fields"].values()))
    for one in told["left_out"]:
        assert one["why"]["text"][:40] in shown
    for note in told["notes"]:
        assert note["text"][1:] in shown


def test_fields_stand_in_the_order_of_their_return():
    farm = seeded_farm(5, fields=12)
    plans = [
        replace(plan, totals=replace(plan.totals, net_usd=100.0 * (7 * place % 12)))  # 0, 700, 200, 900 ...
        for place, plan in enumerate(farm.plans)
    ]
    farm = replace(farm, plans=tuple(plans))
    usd = [one.plan.totals.net_usd for one in ranked(farm)]
    assert usd == [100.0 * place for place in range(11, -1, -1)]
    assert [one.rank for one in ranked(farm)] == list(range(1, 13))


def test_fields_without_a_pass_follow_by_what_the_nearest_would_bring():
    farm = bare_farm(3)
    nearest = {"Field 1": -300.0, "Field 2": -10.0, "Field 3": -90.0}
    plans = [
        replace(plan, totals=replace(plan.totals, net_usd=0.0, nearest_net_usd=nearest[plan.field]))
        for plan in farm.plans
    ]
    dates_only = made_plan(Made(labels=[[1, 2]], level=1, field="Dates"))
    farm = replace(farm, plans=(dates_only, *plans), folders=("dates", *farm.folders))
    assert [one.name for one in ranked(farm)] == ["Field 2", "Field 3", "Field 1", "Dates"]
    assert "nearest pass -$10" in rows(text(farm))[0][5]


def test_range_of_the_farm_is_said_where_it_is_known():
    farm = spread(small_farm())
    assert "do not add up" in words(text(farm))
    known = replace(farm, net_p10_usd=-1234.4, net_p90_usd=4567.8, chance_pays=0.7)
    shown = words(text(known))
    assert "between -$1,234 and $4,568" in shown
    assert "pays with a chance of 70 %" in shown


def test_hours_worth_dates_walks_and_what_is_left_out_are_said():
    farm = spread(small_farm())
    walk = PlanWalk(zone=2, lon=-95.4, lat=44.3, day=date(2026, 7, 7), plants=20, usd=209.0, informs=(2,))
    farm = replace(farm, plans=(replace(farm.plans[0], walks=(walk,)), *farm.plans[1:]))
    shown = words(text(farm))
    assert "Order product for the first pass by Jul 3" in shown
    assert "Call the applicator for the first pass by Jul 1, today" in shown
    assert "A second sprayer like ground rig would add $640 at most" in shown
    assert "one more spray hour of ground rig on Jul 7 AM would be worth $212" in shown
    assert "Three Dates, zone 2: count 20 plants by Jul 7, worth $209" in shown
    assert "$209 zone 2 by Jul 7, 20 plants" in shown  # in its row
    assert "Left out, though it would pay by itself" in shown
    assert "Left out" not in words(text(replace(farm, left_out=())))
    assert "min_net" not in shown
    assert "Due: last day on which every zone of the pass still returns nearly what it can" in shown
    assert "Least sure to be in time: Three Dates, pass 1: over by Jul 11 with a chance of 83 %" in shown
    for caution in farm.plans[0].cautions:
        assert caution[1:] in shown
    assert not re.search(r"\bsafe", shown)


def test_sprayed_already_is_said():
    farm = part_done()
    why = Said("passes.treated", days="Jun 29")
    done = [
        replace(zone, action="skip", reason=why) if zone.zone == 3 else zone for zone in farm.plans[0].zones
    ]
    told = replace(farm, plans=(replace(farm.plans[0], zones=tuple(done)), *farm.plans[1:]))
    assert "Sprayed already Three Dates, zone 3" in words(text(spread(told)))
    assert "Sprayed already Three Dates" not in words(text(spread(farm)))
    assert "sprayed already on Jun 29" in words(text(spread(farm)))  # in the calendar's words


def test_levels_may_be_mixed():
    page = text(mixed_farm())
    by_name = {row[1]: row for row in rows(page)}
    assert [by_name["Level 1"][at] for at in (3, 4, 5, 6)] == ["-"] * 4
    assert by_name["Level 2"][4] == "-"
    assert by_name["Level 3"][4].startswith("1 ")
    assert "1 field without prices: dates only" in words(page)
    assert "dates only" in re.search(r'data-legend="decision".*?</p>', page, flags=re.S)[0]


@pytest.mark.parametrize("level", [1, 2])
def test_farms_of_dates_or_without_a_pass(level):
    farm = bare_farm(2, level=level)
    page = text(farm)
    assert len(rows(page)) == 2
    assert (figure(page, "t-net") is None) == (level == 1)
    assert 'id="pass-table"' not in page


def test_a_farm_without_a_field_has_a_page():
    farm = replace(bare_farm(1), plans=(), folders=())
    assert "No field could be planned" in words(text(farm))


def test_metric_farm():
    farm = spread(small_farm("metric"))
    page = text(farm)
    ha = fsum(units.ha_from_ac(plan.totals.spray_ac) for plan in farm.plans)
    assert figure(page, "t-spray") == f"{ha:.1f}"
    assert "Area ha" in words(page)
    assert "gal/ac" not in words(page)
    assert " ac " not in words(page)
    assert Units(metric=True).rate_unit in words(page)


def test_hostile_names_are_letters():
    farm = small_farm()
    plans = [renamed(plan, HOSTILE, HOSTILE) for plan in farm.plans]
    plans[0] = with_passes(plans[0], [MadePass((1,), ((1, "AM", 1.0, 1.0),), sprayer=HOSTILE)])
    left = (LeftOut(field=HOSTILE, zone=2, area_ac=3.0, why=Said("zones.one_response", block=HOSTILE)),)
    farm = farm_of(plans, {HIRED: ["forecast"] * 9}, left_out=left, farm=HOSTILE, folders=(FOLDER, "b", "c"))
    page = text(spread(farm))
    assert page.count("<script") == 1
    assert "<b>\x1b" not in page
    assert "\x1b" not in page
    link = next(link for link in re.findall(r'href="([^"]*)"', page) if link.startswith("../a"))
    assert unquote(link) == f"../{FOLDER}/out/page.html"
    assert re.fullmatch(r"\.\./[\w%.-]+/out/page\.html", link)  # one folder, whatever its name holds


def test_nothing_is_asked_for_and_only_our_own_script_may_run():
    page = text(spread(small_farm()))
    assert "default-src 'none'" in unescape(page)
    assert not re.search(r"\son\w+=|style=\"|https?:|@import|url\((?!#)", page)


def test_same_bytes(tmp_path):
    farm = spread(seeded_farm(2, fields=4))
    write(farm, tmp_path / "farm.html")
    assert (tmp_path / "farm.html").read_bytes() == text(farm).encode()


def test_a_hundred_fields_stay_small():
    page = text(spread(seeded_farm(1, fields=100, sprayers=3)))
    assert len(page.encode()) <= 1_000_000
    assert len(rows(page)) == 100


def test_map_is_true_to_scale():
    # a witness of the project's own plane: geodesic distances between the corners of two fields
    farm = spread(seeded_farm(1, fields=12), apart_deg=0.05)
    lying = together(farm.plans)
    first, last = lying[0].box, lying[-1].box
    drawn_m = ((first[0] - last[0]) ** 2 + (first[1] - last[1]) ** 2) ** 0.5
    corners = [plan.boundary.bounds for plan in (farm.plans[0], farm.plans[-1])]
    geodesic_m = Geod(ellps="WGS84").inv(corners[0][0], corners[0][3], corners[1][0], corners[1][3])[2]
    # UTM stretches by up to 0.1 %; a corner of a box is that of a field turned by at most 2 degrees
    assert drawn_m == pytest.approx(geodesic_m, rel=2e-3, abs=15)


def test_fields_on_two_continents_are_drawn_one_by_one():
    farm = spread(small_farm(), apart_deg=30.0)
    page = text(farm)
    assert 'id="farm-map"' not in page
    assert "too far apart for one map" in words(page)
    assert page.count('class="frame"') == 3


def test_a_single_field_needs_no_second_picture():
    farm = farm_of([made_plan(Made(labels=[[1, 2]]))], {})
    page = text(farm)
    assert page.count('class="frame"') == 0
    assert page.count('class="field"') == 1


def test_pictures_are_well_formed():
    page = text(spread(seeded_farm(4, fields=5)))
    for one in re.findall(r'<svg (?:id="farm-map"|class="frame").*?</svg>', page, flags=re.S):
        ET.fromstring(one)


@pytest.mark.parametrize("size", [browser.DESK, browser.PHONE, (700, 900)])
def test_in_a_browser_quiet_and_no_wider_than_the_screen(open_page, tmp_path, size):
    farm = spread(small_farm())
    long = renamed(farm.plans[0], "Longfieldnamewithoutanyspace" * 3, "B" * 50)
    write(replace(farm, plans=(long, *farm.plans[1:])), tmp_path / "farm.html")
    opened = open_page(tmp_path / "farm.html", size)
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    opened.check_quiet()
    script = browser.axe()
    if script is not None:
        assert opened.violations(script) == []


def test_in_a_browser_table_sorts_and_map_changes_colour(open_page, tmp_path):
    farm = spread(seeded_farm(3, fields=6))
    write(farm, tmp_path / "farm.html")
    opened = open_page(tmp_path / "farm.html")
    column = "Array.from(document.querySelectorAll('#field-table tbody tr')).map(r => r.cells[{}].dataset.s)"
    opened.page.click("th[data-key=area] button")
    areas = [float(one) for one in opened.page.evaluate(column.format(2))]
    assert areas == sorted(areas, reverse=True)
    opened.page.click("th[data-key=area] button")
    assert [float(one) for one in opened.page.evaluate(column.format(2))] == sorted(areas)
    assert opened.page.get_attribute("th[data-key=area]", "aria-sort") == "ascending"
    fills = "Array.from(document.querySelectorAll('#farm-map .ground')).map(p => p.getAttribute('fill'))"
    before = opened.page.evaluate(fills)
    opened.page.check("input[value=date]")
    assert opened.page.evaluate(fills) != before
    assert not opened.page.is_visible("[data-legend=decision]")
    opened.page.check("input[value=decision]")
    assert opened.page.evaluate(fills) == before
    opened.check_quiet()


def test_in_a_browser_scale_bars_are_as_long_as_they_say(open_page, tmp_path):
    farm = spread(small_farm())
    write(farm, tmp_path / "farm.html")
    for size in (browser.DESK, browser.PHONE):
        page = open_page(tmp_path / "farm.html", size).page
        px_per_m = page.evaluate("document.getElementById('farm-map').getScreenCTM().a")
        long_px = page.evaluate("document.querySelector('#farm-map .scale').getBoundingClientRect().width")
        said = page.text_content("#farm-map .foot text")
        metres = float(said.split()[0]) * (1000 if said.endswith("km") else 1)
        assert long_px / px_per_m == pytest.approx(metres, rel=1e-3)
        frame = page.evaluate("document.querySelector('svg.frame').getScreenCTM().a")
        bar = page.evaluate("document.querySelector('.frame-bar .scale').getBoundingClientRect().width")
        said = page.text_content(".frame-bars span")
        assert bar / frame == pytest.approx(float(said.split()[0]), rel=1e-3)


def test_works_without_scripts(open_page, tmp_path):
    farm = spread(small_farm())
    write(farm, tmp_path / "farm.html")
    page = open_page(tmp_path / "farm.html", browser.PHONE, scripts=False).page
    assert page.is_visible("#field-table")
    assert page.is_visible("#farm-map")
    assert not page.is_visible("#themes")


def test_prints_on_two_sheets(open_page, tmp_path):
    farm = spread(small_farm())
    write(farm, tmp_path / "farm.html")
    opened = open_page(tmp_path / "farm.html")
    opened.page.pdf(path=str(tmp_path / "farm.pdf"), prefer_css_page_size=True)
    sheets = [page.extract_text() for page in PdfReader(tmp_path / "farm.pdf").pages]
    assert len(sheets) <= 2
    printed = re.sub(r"\s+", " ", " ".join(sheets))
    for plan in farm.plans:
        assert plan.field in printed
        for one in plan.passes:
            assert f"{day(one.day)} {one.half}" in printed
    assert "Before anybody sprays" in printed


@pytest.mark.parametrize(("late_d", "is_past"), [(0, False), (1, True)])
def test_in_a_browser_a_plan_whose_days_are_over_says_so(open_page, tmp_path, late_d, is_past):
    farm = spread(small_farm())
    last = max(one.last_day for plan in farm.plans for one in plan.passes)
    write(farm, tmp_path / "farm.html")
    opened = open_page(tmp_path / "farm.html")
    opened.page.clock.set_fixed_time(f"{last + timedelta(days=late_d)}T12:00:00")
    opened.page.reload()
    assert opened.page.is_visible("#past") == is_past
    assert day(last) in opened.page.text_content("#past")


def test_by_hand_what_check_strips_leave_of_the_farms_money_is_said():
    # four pairs at 61.4 USD: 500.0 - 61.4 = 438.6 USD
    labels, of_zone = smooth_field(3, 3, 2, (40, 39))
    made = Made(labels=labels, block_of_zone=of_zone, cell_m=20, simplify_m=8, pass_of_zone={1: 1, 3: 1})
    one = with_laid_strips(made, 4)
    one = replace(one, strips=replace(one.strips, cost_usd=61.4), totals=replace(one.totals, net_usd=500.0))
    assert "with the check strips $439" in text(farm_of([one], {}))
    assert "with the check strips" not in text(farm_of([replace(one, strips=None)], {}))


def test_net_by_the_acre_is_that_of_sprayed_ground():
    sprayed = [one for one in ranked(mixed_farm()) if one.decision == "spray"]
    assert any(one.plan.totals.spray_ac < 0.9 * one.plan.area_ac for one in sprayed)
    for one in sprayed:
        by_acre = dollars(one.plan.totals.net_usd / one.plan.totals.spray_ac)
        assert one.net.small.startswith(f"{by_acre} a sprayed acre")


def test_ground_that_is_never_sprayed_is_not_skipped():
    level_1, *others = mixed_farm().plans
    plans = [with_no_spray(one, {2: "setback"}) for one in others]
    skip_ac = fsum(one.totals.skip_ac for one in plans)
    sprayed_ac = fsum(one.totals.spray_ac for one in plans)
    assert skip_ac < fsum(one.area_ac for one in plans) - sprayed_ac - 0.1
    assert figure(text(spread(farm_of([level_1, *plans], {}))), "t-skip") == f"{skip_ac:.1f}"


def test_in_a_browser_names_and_money_of_fields_stand_on_few_lines(open_page, tmp_path):
    """At 1280 pixels a name of two words has one line, and what a pass brings no more than three."""
    farm = spread(seeded_farm(4, fields=5))
    names = [one.name for one in ranked(farm)]
    assert any(" " in one for one in names)
    write(farm, tmp_path / "farm.html")
    lines = """(place) => [...document.querySelectorAll(place)].map((cell) => {
        const all = document.createRange();
        all.selectNodeContents(cell); const [first] = all.getClientRects();
        return Math.round(all.getBoundingClientRect().height / first.height); })"""
    page = open_page(tmp_path / "farm.html").page
    assert set(page.evaluate(lines, "#field-table tbody th a")) == {1}
    assert max(page.evaluate(lines, "#field-table tbody td:nth-child(6)")) <= 3
    heads, cells = (
        page.evaluate("(row) => [...document.querySelector(row).cells].map((one) => one.clientWidth)", row)
        for row in ("#field-table thead tr", "#field-table tbody tr")
    )
    assert heads == cells
    assert heads[5] > heads[6]
    assert heads[1] >= 0.12 * sum(heads)
