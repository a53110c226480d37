"""The page of a farm of many fields: small, every field on its map, the first in its table, sums of all."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from functools import cache
from html import unescape

import browser
import pytest
from made_farm_plans import bare_farm, seeded_farm, spread
from read_farm_page import figure, rows, words

from zoning.plan import decided
from zoning.show.calendar_rows import hours
from zoning.show.farm_page import MOST_PASSES, MOST_ROWS, many_map, text, write
from zoning.show.farm_page.ranked import ranked
from zoning.show.farm_page.rig_rows import rig_rows
from zoning.show.figures import dollars, whole
from zoning.show.many import rigs


@cache
def farm_of_many(fields=250, units="us"):
    """Fields side by side, some sprayed whole, some in part, some not at all, with many sprayers."""
    farm = spread(seeded_farm(3, fields=fields, sprayers=fields // 8, units=units), a_row=20)
    plans = [
        plan if place % 4 and plan.passes else all_of(plan, "spray" if plan.passes else "skip")
        for place, plan in enumerate(farm.plans)
    ]
    return replace(farm, plans=tuple(plans))


def all_of(plan, action):
    """The same field with one action in all of its zones."""
    sprayed = action == "spray"
    areas = {"spray_ac": plan.area_ac * sprayed, "skip_ac": plan.area_ac * (not sprayed)}
    totals = replace(plan.totals, net_usd=plan.totals.net_usd * sprayed, **areas)
    return replace(plan, zones=tuple(replace(zone, action=action) for zone in plan.zones), totals=totals)


def map_of(page):
    return ET.fromstring(re.search(r'<svg id="farm-map".*?</svg>', page, flags=re.S)[0])


def test_two_thousand_fields_and_eighty_sprayers_stay_small():
    farm = spread(seeded_farm(5, fields=2000, sprayers=80), a_row=45)
    page = text(farm)
    assert len(page.encode()) <= 1_000_000
    assert len(re.findall('class="ground"', page)) == 2000
    assert len(rows(page)) == MOST_ROWS


def test_the_table_holds_the_first_and_names_the_file_of_all():
    farm = farm_of_many()
    page = text(farm)
    table = rows(page)
    assert [row[1] for row in table] == [one.name for one in ranked(farm)[:MOST_ROWS]]
    assert f"The {MOST_ROWS} fields with the best return; all 250 stand in farm.csv" in words(page)
    assert 'href="farm.csv"' in page
    few = text(farm_of_many(MOST_ROWS))
    assert len(rows(few)) == MOST_ROWS
    assert "farm.csv" not in few


@pytest.mark.parametrize("units", ["us", "metric"])
def test_sums_are_those_of_all_fields(units):
    farm = farm_of_many(80, units)
    page, written = text(farm), 1.0 if units == "us" else 0.40468564224
    spray = sum(plan.totals.spray_ac for plan in farm.plans) * written
    assert figure(page, "t-spray") == f"{spray:,.1f}"
    assert figure(page, "t-net") == dollars(sum(plan.totals.net_usd for plan in farm.plans))
    passes = [one for plan in farm.plans for one in plan.passes]
    assert figure(page, "t-passes") == whole(len(passes))
    table = rows(page, "rig-table")
    assert [row[0] for row in table] == [*(one.name for one in rigs(farm)), "all"]
    for at in (1, 2, 4):
        numbers = [int(row[at].replace(",", "")) for row in table]
        assert sum(numbers[:-1]) == numbers[-1] or at == 1  # a field may have passes of two sprayers
    assert table[-1][2] == whole(len(passes))
    counted = [decided.in_a_word(plan) for plan in farm.plans]
    told = f"80 fields: {counted.count('spray')} to spray, {counted.count('part')} to spray in part, "
    assert f"{told}{counted.count('skip')} to skip" in words(page)
    assert f"first {MOST_PASSES} of {len(passes)} passes; all of them stand in schedule.csv" in words(page)
    first = sorted(passes, key=lambda one: (one.day, one.half, one.sprayer))[:MOST_PASSES]
    assert [row[4] for row in rows(page, "pass-table")] == [one.sprayer for one in first]


def test_every_field_is_on_the_map_in_the_colour_of_its_decision():
    farm = farm_of_many(90)
    drawn = map_of(text(farm))
    shown = {}
    for one in drawn.iter("path"):
        if one.get("class") == "ground":
            title = one.find("title").text
            shown[re.sub(r"^\d+, ", "", title).split(":")[0]] = one
    by_fill = {"spray": "#0b4f80", "part": "url(#skip-all)", "skip": "url(#skip-all)", "none": "#ffffff"}
    assert set(shown) == {plan.field for plan in farm.plans}
    for plan in farm.plans:
        assert shown[plan.field].get("fill") == by_fill[decided.in_a_word(plan)]
        assert re.fullmatch(r"#[0-9a-f]{6}", shown[plan.field].get("data-return"))
        assert re.fullmatch(r"#[0-9a-f]{6}", shown[plan.field].get("data-date"))
    parts = sum(decided.in_a_word(plan) == "part" for plan in farm.plans)
    assert sum(one.get("class") == "sprayed" for one in drawn.iter("path")) == parts > 0
    numbers = [one.text for one in drawn.iter("text") if one.get("class") == "name"]
    assert numbers == [str(number) for number in range(1, 11)]


def test_of_very_many_fields_those_that_look_alike_are_one_shape(monkeypatch):
    farm = farm_of_many(90)
    apart = map_of(text(farm))
    monkeypatch.setattr(many_map, "MOST_NAMED", 50)
    joined = map_of(text(farm))

    def ground(drawn):
        found = {}
        for one in drawn.iter("path"):
            if one.get("class") in ("ground", "sprayed"):
                look = (one.get("class"), one.get("fill"), one.get("data-return"), one.get("data-date"))
                found[look] = found.get(look, "") + one.get("d")
        return found

    assert ground(joined) == ground(apart)
    assert len(list(joined.iter("path"))) < len(list(apart.iter("path")))


@pytest.mark.parametrize("fields", [5, 80])
def test_links_lead_only_to_pages_that_were_written(fields):
    farm = farm_of_many(fields) if fields > 8 else spread(seeded_farm(1, fields=fields))
    every, none, some = text(farm), text(farm, ()), text(farm, farm.folders[:2])

    def links(page):
        return {unescape(one) for one in re.findall(r'href="(\.\./[^"]*)"', page)}

    assert links(every) == {f"../{folder}/out/page.html" for folder in farm.folders}
    assert links(none) == set()
    assert links(some) == {f"../{folder}/out/page.html" for folder in farm.folders[:2]}
    assert "Each name leads to the page of its field" in words(every)
    assert "with --pictures each has a page too" in words(none)
    assert "Names that are links lead to the page of the field" in words(some)
    for one, row in zip(ranked(farm, ()), rows(none), strict=True):
        assert row[1] == f"{one.name} {one.results}"
    assert "Links work where" not in words(none)


def test_bars_are_the_hours_of_the_sprayer():
    farm = farm_of_many(80)
    told = rig_rows(farm)
    names = [row[0] for row in told.table.rows][:-1]
    known = hours(farm)
    most_h = max(h for days in known.values() for one in days.values() for h in one.planned_h + one.used_h)
    for name, bars in zip(names, told.bars, strict=True):
        used = re.search(r'class="use" d="([^"]*)"', bars)[1]
        high = {int(x): int(h) for x, h in re.findall(r"M(\d+) 20v-(\d+)h1", used)}
        wanted = {
            2 * (day - farm.today.toordinal()) + pm: round(20 * one.used_h[pm] / most_h)
            for day, one in known[name].items()
            for pm in (0, 1)
        }
        assert high == {x: h for x, h in wanted.items() if h}
    first = farm.today.toordinal()
    mondays = [f"M{2 * at} 0" for at in range(14) if date.fromordinal(first + at).weekday() == 0]
    assert all(one in told.bars[0] for one in mondays)


def test_many_fields_without_a_pass_or_a_price():
    for level in (1, 2, 3):
        page = text(spread(bare_farm(70, level=level), a_row=10))
        assert 'id="rig-table"' not in page
        assert len(rows(page)) == 70
        assert f"70 fields: 70 {'with dates only' if level == 1 else 'to skip'}" in words(page)


def test_many_fields_too_far_apart_are_the_first_drawn():
    page = text(spread(seeded_farm(1, fields=70), apart_deg=3.0))
    assert 'id="farm-map"' not in page
    assert page.count('class="frame"') == 60
    assert "the first 60 are drawn by themselves" in words(page)


def test_same_bytes_and_no_more_than_asked_of_the_network(tmp_path):
    farm = farm_of_many(80)
    write(farm, tmp_path / "farm.html", ())
    page = text(farm, ())
    assert (tmp_path / "farm.html").read_bytes() == page.encode()
    assert not re.search(r"\son\w+=|style=\"|https?:|@import|url\((?!#)", page)


def test_hostile_names_are_letters():
    farm = farm_of_many(80)
    hostile = "</title><script>alert(1)</script>\"'&<b>"
    plans = [replace(plan, field=f"{hostile}{number}") for number, plan in enumerate(farm.plans)]
    plans = [
        replace(plan, passes=tuple(replace(one, sprayer=hostile) for one in plan.passes)) for plan in plans
    ]
    page = text(replace(farm, plans=tuple(plans)))
    assert page.count("<script") == 1
    assert "<b>" not in page.replace("<b>Order", "").replace("<b>Call", "")


@pytest.mark.parametrize("size", [browser.DESK, browser.PHONE])
def test_in_a_browser_quiet_and_no_wider_than_the_screen(open_page, tmp_path, size):
    write(farm_of_many(), tmp_path / "farm.html", ())
    opened = open_page(tmp_path / "farm.html", size)
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    fills = "Array.from(document.querySelectorAll('#farm-map .ground')).map(p => p.getAttribute('fill'))"
    before = opened.page.evaluate(fills)
    opened.page.check("input[value=date]")
    assert opened.page.evaluate(fills) != before
    opened.page.check("input[value=decision]")
    assert opened.page.evaluate(fills) == before
    opened.check_quiet()
    script = browser.axe()
    if script is not None:
        assert opened.violations(script) == []
