"""sheet.pdf: every zone, reason and figure is on it, one page for each reader, and its form is sound.

What a page says is read back with pypdf, which shares nothing with what wrote it. Words are compared without
spaces and hyphens, because a page breaks its lines where it likes.
"""

import io
import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from made_no_spray import with_no_spray
from made_page_plans import page_plan
from made_plans import Made, made_plan, with_scouting
from made_sheets import MONEY, made_cover, made_sheet
from made_strips import with_strips
from PIL import Image
from pypdf import PdfReader

from zoning import colours
from zoning.plan import Override, Plan, PlanWalk, ZoneSince
from zoning.show import load_rows, money
from zoning.show.figures import Units, day, dollars
from zoning.show.sheet import maps, pdf, write
from zoning.show.sheet.look import paper
from zoning.show.sheet.seen import by_zone
from zoning.show.since_told import since_lines
from zoning.show.table import headline
from zoning.words import Said, cautions
from zoning.words.bill import COST_LINES

THREE = Made(labels=[[1, 1, 2, 2], [1, 1, 2, 2], [3, 3, 2, 2]], cell_m=150)
SITE = {
    "entrance": "north gate off the county road", "wires": "power line along the east edge",
    "contact": "Ana, 555 0100",
    "neighbours": {"north": "hives, 200 ft", "east": "none", "south": "organic farm", "west": "school"},
}  # fmt: skip


def plan_of(made: Made = THREE, *, country="US", sheets=True, **site) -> Plan:
    """A plan with a load sheet for each pass, and its country's cautions."""
    plan = made_plan(made)
    passes = tuple(
        replace(
            one,
            sheet=made_sheet(
                {zone.zone: zone.area_ac for zone in plan.zones if zone.zone in one.zones},
                one.rate_gal_ac,
                units=made.units,
                **site,
            ),
        )
        for one in plan.passes
    )
    return replace(
        plan, passes=passes if sheets else plan.passes, country=country, cautions=cautions(country)
    )


def packed(text: str) -> str:
    """Text as it is compared."""
    return re.sub(r"[\s\u200b-]+", "", text)


class Read:
    """A sheet, read back."""

    def __init__(self, plan: Plan) -> None:
        self.bytes = pdf(plan)
        self.reader = PdfReader(io.BytesIO(self.bytes))
        self.texts = [page.extract_text() for page in self.reader.pages]
        self.pages = [packed(text) for text in self.texts]
        self.all = "".join(self.pages)

    def has(self, text: str, page: int | None = None) -> bool:
        where = self.all if page is None else self.pages[page]
        return packed(text) in where

    @property
    def maps(self):
        """West, south, east, north of each map on its page. [points]."""
        root = self.reader.trailer["/Root"]["/StructTreeRoot"]
        return [node["/A"][0]["/BBox"] for node in _nodes(root) if node.get("/S") == "/Figure"]

    @property
    def fonts(self):
        found = {}
        for page in self.reader.pages:
            for resources in _resources(page["/Resources"]):
                for font in resources.get("/Font", {}).values():
                    font = font.get_object()
                    found[font["/BaseFont"]] = font
        return found


def _resources(resources):
    """The resources of a page and of all drawings on it."""
    yield resources
    for thing in resources.get("/XObject", {}).values():
        inner = thing.get_object().get("/Resources")
        if inner is not None:
            yield from _resources(inner)


def _nodes(node):
    """All nodes of the structure of a file."""
    node = node.get_object()
    if isinstance(node, list):
        for one in node:
            yield from _nodes(one)
    elif isinstance(node, dict):
        yield node
        if "/K" in node:
            yield from _nodes(node["/K"])


@pytest.fixture(scope="module")
def three():
    plan = plan_of(**SITE)
    return plan, Read(plan)


def test_one_page_for_the_grower_and_one_for_each_pass():
    assert len(Read(plan_of()).pages) == 2
    two = replace(THREE, pass_of_zone={1: 1, 3: 2})
    read = Read(plan_of(two))
    assert len(read.pages) == 3
    assert read.has("Heron Slough, Three Dates, pass 1", 1)
    assert read.has("Heron Slough, Three Dates, pass 2", 2)
    assert len(Read(plan_of(replace(THREE, pass_of_zone={}))).pages) == 1


def test_the_grower_reads_the_words_of_the_report(three):
    plan, read = three
    assert read.has("Three Dates", 0)
    assert read.has("Heron Slough, as of Jul 1, 2026", 0)
    # the bill is a table here, its first line in cells; what stands on no bill are lines, as in the report
    said = [headline(plan), *money.field_lines(plan), *money.bill_lines(plan)[1:], *money.turn_lines(plan)]
    for line in said:
        assert read.has(line[1:], 0), line
    for one in money.on_paper(plan.totals):
        by_area = "" if one.name == "per_visit" else money.cents(one.usd_ac)
        assert read.has(f"{COST_LINES[one.name]} {by_area} {dollars(one.usd)}", 0), one.name
    for caution in plan.cautions:
        assert read.has(caution[1:], 0), caution


def test_by_hand_the_bill_is_a_table(three):
    # 634 + 300 + 36 = 970
    _, read = three
    rows = "The bill $/ac in all product 19 $634 pass, treated ground 9 $300 coming to the field $36"
    assert read.has(f"{rows} together $970", 0)
    assert read.all.count("$970") == 1


def test_where_nothing_is_sprayed_an_acre_has_its_price():
    plan = plan_of(replace(THREE, pass_of_zone={}))
    read = Read(plan)
    assert not [line for line in money.bill_lines(plan) if not read.has(line[1:], 0)]
    assert not read.has("The bill $/ac in all")


@cache
def many(zones: int) -> tuple[Plan, Read]:
    plan = page_plan(zones, pictures=0)
    return plan, Read(plan)


@pytest.mark.parametrize("zones", [3, 20, 30, 200])
def test_every_zone_has_its_row_and_its_reason(zones):
    plan, read = many(zones)
    written = Units(metric=False)
    for zone in plan.zones:
        best = f"{day(zone.spray_from)}–{zone.spray_by.day}" if zone.spray_from else "-"
        row = f"{zone.zone} {zone.action} "
        row += f"P1 {day(zone.spray_on)} {written.rate(zone.rate_gal_ac)}" if zone.spray_on else "- -"
        row += f"{written.area(zone.area_ac)} {day(zone.window.r3_likely)} Jul 3–14 Jul 17 {best}"
        assert read.has(row), zone.zone
        assert read.has(zone.reason.text[1:])
        assert re.search(rf"Zones?(?:\d+,)*{zone.zone}(?!\d)", read.all), zone.zone
    # what would flip it: from what price, of each skipped zone that some price turns
    for zone in plan.zones:
        if zone.action == "skip" and zone.money.flips[0].value < 40:
            assert read.has(f"{zone.money.flips[0].value:.2f} $/bu"), zone.zone


@pytest.mark.parametrize("zones", [3, 20])
def test_twenty_zones_leave_page_1_one_page(zones):
    assert len(many(zones)[1].pages) == 2  # the other is of the pass


def test_more_zones_go_on_on_a_page_that_says_so():
    _, read = many(200)
    assert re.search(r"\d+ more zones on the next page", " ".join(read.texts[0].split()))
    assert read.has("Three Dates: all further zones", 1)
    # every page of zones repeats the head of the table
    assert read.has("zone action pass", 0)
    assert read.has("zone action pass", 1)


def test_zones_stand_by_action_then_day():
    plan = made_plan(Made(labels=[[1, 2, 3, 4]], cell_m=200, pass_of_zone={2: 2, 4: 1}))
    text = Read(plan).pages[0]
    rows = re.findall(r"(\d)(spray|skip)(?:P|)", text[text.index("zoneaction") :])
    assert [int(zone) for zone, _ in rows[:4]] == [4, 2, 1, 3]


def test_the_operator_reads_what_the_load_sheet_says(three):
    plan, read = three
    [one] = plan.passes
    rows = [*load_rows.dose_and_mix(plan, one.sheet), *load_rows.rules(one, one.sheet)]
    rows += [row for row in load_rows.place(plan, one, one.sheet) if row[0] != "neighbours"]
    for name, text in rows:
        assert read.has(name + text, 1), name
    loads = load_rows.table(plan, one.sheet)
    assert read.has("".join(loads.columns), 1)
    for name, cells in loads.rows:
        assert read.has(name + "".join(cells), 1), name
    for note in load_rows.notes(plan, one.sheet):
        assert read.has(note, 1), note
    for side, text in one.sheet.site.neighbours:
        assert read.has(f"{side[1:]}: {text}", 1), side


def test_by_hand_what_the_operator_sets_first():
    # case e of tests/passes/test_loads.py: 120 ac at 15 gal/ac, a tank of 1,000 gal, 11.88 mph, 90 psi
    plan = plan_of()
    [one] = plan.passes
    read = Read(replace(plan, passes=(replace(one, sheet=made_sheet()),)))
    text = read.pages[1]
    for fact in ("when Jul 6 AM", "rate 15 gal/ac", "ground 120.0 ac", "loads 2", "nozzle 04"):
        assert packed(fact) in text, fact
    assert packed("speed 7–11.9 mph pressure at the top speed 90 psi, less below") in text
    assert packed("11.9 mph") in text
    assert packed("1,800 gal for 120.0 ac at 15 gal/ac, in 2 loads") in text


def test_pulsed_nozzles_have_one_pressure_at_any_speed():
    plan = plan_of(rig={"pressure": "60 psi", "duty": [0.25, 0.95]})
    assert Read(plan).has("pressure at any speed 60 psi duty at the top speed", 1)


def test_what_nobody_typed_is_left_to_the_pen():
    read = Read(plan_of())
    assert len(re.findall("_{8,}", read.texts[1])) >= 10
    assert read.has("wind speed _____ from _____ distance _____ decision", 1)


def test_a_warning_that_the_machine_cannot_follow_stands_on_top(three):
    plan, _ = three
    [one] = plan.passes
    said = Said("loads.another_mix")
    read = Read(replace(plan, passes=(replace(one, map=replace(one.map, not_followed=(said,))),)))
    for text in load_rows.warnings(replace(one, map=replace(one.map, not_followed=(said,)))):
        assert read.has(text, 1)


def test_metric_and_south_is_a4_and_says_no_american_unit():
    made = replace(THREE, units="metric", epsg=32720, origin_m=(400_000.0, 6_400_000.0))
    plan = plan_of(made, country="AR", product={"dose": "600 mL/ha", "max_dose": "1200 mL/ha"})
    [one] = plan.passes
    typed = replace(one.sheet.label, max_wind="16 km/h")  # as a farmer there types it
    plan = replace(plan, passes=(replace(one, sheet=replace(one.sheet, label=typed)),))
    read = Read(plan)
    assert [round(float(side)) for side in read.reader.pages[0].mediabox[2:]] == [595, 842]
    assert not re.search(r"gal/ac|\bac\b|\bmph\b|\bpsi\b|bu/ac", " ".join(read.texts))
    assert read.has("140 L/ha")
    assert "federal" not in read.all


def test_letter_where_offices_have_it():
    assert [round(float(side)) for side in Read(plan_of()).reader.pages[0].mediabox[2:]] == [612, 792]
    assert [paper(country) for country in ("US", "CA", "MX", "AR", "BR", "DE", "ZA")] == [
        *["us-letter"] * 3,
        *["a4"] * 4,
    ]


@pytest.mark.parametrize("dates", [True, False])
def test_level_1_has_zones_and_dates_and_no_money(dates):
    plan = replace(made_plan(replace(THREE, level=1, dates=dates)), cautions=cautions("US"))
    read = Read(plan)
    assert len(read.pages) == 1
    assert read.has(headline(plan)[1:])
    text = read.all.replace(packed(cautions("US")[0]), "")
    assert "$" not in text
    assert "skip" not in text
    assert ("Jul8" in text) == dates


def test_level_2_has_money_and_no_pass():
    plan = replace(made_plan(replace(THREE, level=2)), cautions=cautions("US"))
    read = Read(plan)
    assert len(read.pages) == 1
    assert read.has(headline(plan)[1:])
    assert "gal/ac" not in read.all
    assert read.has("chance")


def test_what_was_seen_and_where_to_walk():
    plan = with_scouting(plan_of(), counted=[1], low=[2, 3])
    seen = replace(plan.scouting[0], note="leaves wet till noon", observer="Ben", severity_pct=4.0)
    walk = PlanWalk(zone=2, lon=-93.88, lat=44.21, day=date(2026, 7, 7), plants=20, usd=208.6, informs=(2, 3))
    since = ZoneSince(zone=1, r3_likely=date(2026, 7, 2), spray_on=None, action="skip", rate_gal_ac=None)
    plan = replace(plan, scouting=(seen, *plan.scouting[1:]), walks=(walk,), since_zones=(since,))
    plan = replace(plan, since=Said("since.nothing", today="Jun 29"))
    read = Read(plan)
    for text in (seen.text, "leaves wet till noon", "seen by Ben", "4 % of the leaf", "Jun 28, zone 1"):
        assert read.has(text, 0), text
    # 7 July 2026 is a Tuesday
    assert read.has("by Tuesday, Jul 7: 20 plants, worth $209, also tells of zone 3", 0)
    assert len(since_lines(plan)) == 2
    assert all(read.has(line[1:], 0) for line in since_lines(plan))


@pytest.mark.parametrize("schedule", ["alone", "farm"])
def test_page_1_says_whether_the_sprayer_is_shared(schedule):
    read = Read(replace(plan_of(), schedule=schedule))
    assert read.has("to this field alone", 0) == (schedule == "alone")
    assert read.has("for all fields of the farm", 0) == (schedule == "farm")


def test_much_that_was_seen_is_told_in_short_and_the_rest_is_on_page_html():
    plan = plan_of()
    first = with_scouting(plan, low=[1]).scouting[0]
    # 40 things in one zone: 3 are told; things in 7 zones: 4 zones are told
    seen = tuple(replace(first, text=f"observation {number}") for number in range(40))
    read = Read(replace(plan, scouting=seen))
    assert len(read.pages) == 2  # the other is of the pass
    told = "Zone 1: observation 0 (Jun 28); observation 1 (Jun 28); observation 2 (Jun 28); 37 more"
    assert read.has(told, 0)
    assert "observation3" not in read.all
    seen = tuple(
        replace(first, text=f"seen {place} in {zone}", zone=zone) for zone in range(1, 8) for place in (1, 2)
    )
    read = Read(replace(plan, scouting=seen))
    assert read.has("Zone 4: seen 1 in 4 (Jun 28); seen 2 in 4 (Jun 28). 3 more zones on page.html", 0)
    assert "in5" not in read.all


def test_what_was_seen_alike_is_one_entry_the_newest_first():
    plan = plan_of()
    first = with_scouting(plan, low=[1]).scouting[0]
    alike = [replace(first, text="low", zone=zone) for zone in (1, 1, 3)]
    newer = replace(first, text="high", zone=2, on=date(2026, 6, 30))
    assert by_zone(replace(plan, scouting=(*alike, newer))) == [
        "Zone 2: high (Jun 30)",
        "Zones 1, 3: low (Jun 28, 3 places)",
    ]


def test_a_crowded_page_says_in_short_what_was_seen_and_keeps_the_zones():
    plan, _ = many(20)
    first = with_scouting(plan, low=[1]).scouting[0]
    seen = tuple(replace(first, text="low", note=f"noted {number} " * 20) for number in range(8))
    read = Read(replace(plan, scouting=seen))
    assert len(read.pages) == 2  # the other is of the pass
    assert read.has("Zone 1: low (Jun 28, 8 places)", 0)
    alone = Read(replace(plan_of(), scouting=seen[:2]))
    assert alone.has("noted 0", 0)
    assert alone.has("noted 1", 0)


def crowded(zones: int) -> Plan:
    """A plan with all that a page may have to say: strips, scouting, a decision, what changed, a walk."""
    laid = with_strips(Made(labels=[[1] * 8 + [2] * 8] * 8, cell_m=40), {1: ([2], [3]), 2: ([10], [11])})
    plan = with_scouting(page_plan(zones, pictures=0), counted=[1], low=[2, 3, 5])
    walk = PlanWalk(zone=2, lon=-93.88, lat=44.21, day=date(2026, 7, 7), plants=20, usd=208.6, informs=(2, 3))
    own = Override(
        action="spray",
        rate_gal_ac=15.0,
        reason="buyer asks for it",
        decided_on=date(2026, 6, 30),
        computed="skip",
    )
    decided = tuple(replace(zone, override=own if zone.zone == 1 else None) for zone in plan.zones)
    since = tuple(
        ZoneSince(zone=zone.zone, r3_likely=date(2026, 7, 2), spray_on=None, action="skip", rate_gal_ac=None)
        for zone in plan.zones
    )
    changed = Said("since.changed", today="Jun 29", what="zones now sprayed: 1, 3; 12.1 ac more to spray")
    known = {"since": changed, "since_zones": since, "strips": laid.strips, "cautions": cautions("US")}
    return replace(plan, zones=decided, walks=(walk,), **known)


@pytest.mark.parametrize("zones", [6, 10])
def test_a_crowded_page_of_ten_zones_keeps_all_on_page_1_beside_a_large_map(zones):
    plan = crowded(zones)
    read = Read(plan)
    assert len(read.pages) == 2  # the other is of the pass
    assert all(read.has(zone.reason.text[1:], 0) for zone in plan.zones)
    for text in (
        "buyer asks for it",
        "20 plants, worth $209",
        "Check strips: 2 pairs",
        "zones now sprayed: 1, 3",
    ):
        assert read.has(text, 0), text
    west, _, east, _ = read.maps[0]
    assert (east - west) / 536 >= 0.45  # of the width of the text [points]


def test_every_zone_has_its_number_on_a_large_map_however_narrow_it_is():
    # zone 2 is an 18th of 241 points wide, 13.4: a number of the usual 9.4 points wants 1.55 x 9.4 = 14.6,
    # one of 0.86 of it 12.5
    plan = plan_of(Made(labels=[[1] * 8 + [2] + [3] * 9] * 9, cell_m=33))
    svg = maps.of_field(plan, (246.0, 295.0)).svg
    assert [zone for zone in (1, 2, 3) if f'data-of="{zone}"' not in svg] == [2]
    assert re.search(r'font-size="[0-9.]+"[^>]*>2</text>', svg)


def test_the_fullest_page_of_a_pass_is_one_page():
    plan = with_strips(Made(labels=[[1] * 6, [2] * 6], cell_m=100), {1: ([1], [2]), 2: ([4], [3])})
    wanted = {"irrigated": True, "money": MONEY | {"other_pass": "insecticide"}}
    sheet = replace(made_sheet(**wanted), cover=made_cover(1.5, 0.8, 0.4))
    since = Said("since.changed", today="Jun 29", what="zones now sprayed: 1, 3; 181 gal of spray mix more")
    plan = replace(plan, passes=(replace(plan.passes[0], sheet=sheet),), cautions=cautions("US"), since=since)
    read = Read(plan)
    assert len(read.pages) == 2  # the other is the grower's
    for name, text in load_rows.place(plan, plan.passes[0], sheet):
        assert name == "neighbours" or read.has(name + text, 1), name


def test_a_zone_whose_change_is_told_is_not_told_again():
    plan = plan_of()
    dates = {zone.zone: zone.window.r3_likely for zone in plan.zones}
    was = {"spray_on": None, "action": "skip", "rate_gal_ac": None}
    same = ZoneSince(zone=1, r3_likely=dates[1], **was)
    moved = [ZoneSince(zone=zone, r3_likely=date(2026, 7, 2), **was) for zone in (2, 3)]
    changed = Said("since.changed", today="Jun 29", what="zones now sprayed: 1, 3")
    read = Read(replace(plan, since=changed, since_zones=(same, *moved)))
    told = "Since the plan of Jun 29: zones now sprayed: 1, 3 3 zones changed since Jun 29: "
    assert read.has(f"{told}zones 2, 3: R3 likely {day(dates[3])}, was Jul 2 spray", 0)
    read = Read(replace(plan, since=changed, since_zones=(same,)))
    assert not read.has("changed since Jun 29")
    # where nothing that the machine does has changed, nobody said it before
    nothing = Said("since.nothing", today="Jun 29")
    assert Read(replace(plan, since=nothing, since_zones=(same,))).has("zone 1: sprayed now, was skipped", 0)


def test_what_the_user_decided_stands_with_its_reason():
    plan = plan_of()
    reasons = {1: "neighbour's hives moved in", 2: "buyer asks for it"}
    refused = Said("loads.another_mix")
    zones = tuple(
        replace(
            zone,
            override=Override(
                action="spray",
                rate_gal_ac=20.0,
                reason=reasons[zone.zone],
                decided_on=date(2026, 6, 30),
                computed="skip",
                refused=refused if zone.zone == 2 else None,
            ),
        )
        if zone.zone in reasons
        else zone
        for zone in plan.zones
    )
    read = Read(replace(plan, zones=zones))
    assert read.has("1 spray! P1", 0)  # the mark of one that is followed
    assert read.has("2 skip - -", 0)
    for zone, reason in reasons.items():
        assert read.has(f"Zone {zone}: spray, 20 gal/ac, decided on Jun 30: {reason}", 0)
    assert read.has(f"buyer asks for it; not followed: {refused.text}", 0)


def test_strips_and_ground_never_sprayed_are_on_both_pages():
    plan = with_strips(Made(labels=[[1] * 8 + [2] * 8] * 8, cell_m=40), {1: ([2], [3]), 2: ([10], [11])})
    plan = replace(plan, passes=tuple(replace(one, sheet=made_sheet()) for one in plan.passes))
    read = Read(plan)
    for page in (0, 1):
        assert "S1" in read.texts[page]
    assert read.has("check strip: drive it, boom off", 1)
    assert read.has("Check strips: 2 pairs", 0)
    never = with_no_spray(plan_of(Made(labels=[[1, 2, 3]] * 3, cell_m=150)), {2: "setback"})
    read = Read(never)
    assert read.has("never sprayed", 0)
    assert read.has("never sprayed", 1)


HOSTILE = [
    '#panic("x")',
    "$ x^2 $ *bold* _it_ `raw` = head",
    '#image("/etc/passwd") #include "a.typ"',
    "</svg><script>alert(1)</script>",
    "\\u{41} \\ // comment /* open",
    "漢字 😀 ‮right‬ \x1b[31m\x00",
    "W" * 300,
]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_printed_and_do_nothing(name):
    read = Read(named(name))
    known = packed("".join(letter for letter in name if letter.isprintable() and ord(letter) < 0x2000))
    assert known[:30] in read.all
    assert "\ufffd" not in read.all


def named(name: str) -> Plan:
    """A plan in which everything that a user may name has that name."""
    typed = "".join(letter for letter in name if letter.isprintable())  # settings refuse the others
    plan = plan_of(**SITE | {"entrance": typed, "neighbours": {"north": typed}})
    own = Override(action="spray", rate_gal_ac=None, reason=name, decided_on=None, computed=None)
    zones = tuple(replace(zone, name=name, block=name, override=own) for zone in plan.zones)
    passes = tuple(replace(one, sprayer=name) for one in plan.passes)
    plan = replace(plan, zones=zones, passes=passes, field=name, farm=name, product=name)
    plan = with_scouting(plan, low=[1])
    return replace(plan, scouting=tuple(replace(one, text=name, note=name) for one in plan.scouting))


def test_a_word_that_is_longer_than_a_line_stays_on_the_page():
    plan = named("W" * 300)
    for page in range(1, 5):
        sheet = grey(plan, page, dpi=72)  # a dot a point
        assert (sheet[:, 38:-38] < 128).any()
        assert (sheet[:, :36] == 255).all()
        assert (sheet[:, -36:] == 255).all()


def test_it_is_tagged_and_says_what_it_is(three):
    _, read = three
    root = read.reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712
    assert b"pdfuaid" in root["/Metadata"].get_object().get_data()
    assert read.reader.metadata.title == "Heron Slough, Three Dates: spray sheet of Jul 1, 2026"
    kinds = _structure(root["/StructTreeRoot"])
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/Figure"} <= {kind for kind, _ in kinds}
    alts = [alt for kind, alt in kinds if kind == "/Figure"]
    assert len(alts) == 2  # both maps
    assert "Map of Three Dates, grid north up, with 3 zones. Spray: 1, 3. Skip: 2." in alts
    assert all(alts)


def _structure(root):
    return [(node["/S"], node.get("/Alt", "")) for node in _nodes(root) if "/S" in node]


def test_all_fonts_are_inside_and_no_letter_is_missing(three):
    _, read = three
    assert read.fonts
    for name, font in read.fonts.items():
        assert "DejaVuSans" in name
        [inner] = font["/DescendantFonts"]
        described = inner.get_object()["/FontDescriptor"].get_object()
        assert {"/FontFile2", "/FontFile3"} & set(described), name
        assert "\ufffd" not in font["/ToUnicode"].get_object().get_data().decode("latin-1")
    # glyph 0 is the box of a missing letter; no text shows it
    assert not any("\x00" in text for text in read.texts)


def test_same_plan_same_bytes_and_the_day_of_the_plan(three, tmp_path):
    plan, read = three
    write(plan, tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes() == read.bytes == pdf(plan)
    assert read.reader.metadata.creation_date.date() == plan.today
    later = replace(plan, today=date(2026, 7, 2))
    assert PdfReader(io.BytesIO(pdf(later))).metadata.creation_date.date() == later.today


def test_every_page_says_what_it_is_and_who_decides(three):
    plan, read = three
    for number in range(2):
        assert read.has(f"page {number + 1} / 2", number)
        assert read.has(plan.run_id, number)
        assert read.has(plan.zones_id, number)
        assert read.has(f"EPSG:{plan.epsg}", number)
        assert read.has(cautions("US")[0], number)


def test_no_letter_is_smaller_than_can_be_read(three):
    _, read = three
    for page in read.reader.pages:
        sizes = []
        page.extract_text(
            visitor_text=lambda text, cm, tm, _font, size, sizes=sizes: (
                sizes.append(abs(size * tm[3] * cm[3])) if text.strip() else None
            )
        )
        assert min(sizes) > 7.9


def grey(plan: Plan, page: int, dpi: int = 100) -> np.ndarray:
    if shutil.which("pdftoppm") is None:
        pytest.skip("no pdftoppm here: install Debian's package poppler-utils")
    command = ["pdftoppm", "-gray", "-r", str(dpi), "-f", str(page), "-l", str(page), "-"]
    done = subprocess.run(command, input=pdf(plan), capture_output=True, check=True)
    return np.asarray(Image.open(io.BytesIO(done.stdout)))


def test_spray_and_skip_are_told_apart_on_a_grey_copy():
    # the left half of the field is sprayed, the right half is not; the map is as wide as half the page
    plan = plan_of(Made(labels=[[1] * 4 + [2] * 4] * 6, cell_m=100))
    sheet = grey(plan, 1).astype(int)
    dark = np.abs(sheet - 255 * colours.luminance(colours.SPRAY_MOST) ** (1 / 2.2)) < 25
    rows, columns = np.nonzero(dark)
    rows, columns = rows[columns < 400], columns[columns < 400]
    top, bottom = np.percentile(rows, [25, 75]).astype(int)
    left, right = np.percentile(columns, [5, 95]).astype(int)
    wide = right - left
    sprayed = sheet[top:bottom, left : left + wide]
    skipped = sheet[top:bottom, right + wide // 8 : right + 7 * wide // 8]
    assert np.median(skipped) - np.median(sprayed) > 100
    # hatched: its lines stay, whatever the fill becomes
    assert skipped.std() > 15
    assert (skipped < 160).mean() > 0.05


def test_colours_of_fill_and_hatch_differ_in_lightness():
    assert colours.contrast(colours.SPRAY_MOST, colours.SKIP) > 4.5
    assert colours.contrast(colours.SKIP_HATCH, colours.SKIP) > 3
