"""The page as a file: the same bytes, every figure that of plan.json, names that people wrote harmless."""

import base64
import hashlib
import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from demo_plan import demo_plan
from made_page_plans import page_plan
from made_plans import Made, made_plan, smooth_field, with_scouting
from read_page import at, data, figures, read, said, words

from zoning.evidence import entry, find
from zoning.plan import Override, VisitPart, ZoneSince
from zoning.plan.decided import MARK
from zoning.prescription.as_json import plan_json
from zoning.show import page
from zoning.show.figures import Units, chance, day, dollars, signed
from zoning.show.money import cents
from zoning.show.page.evidence_drawer import drawer, name_of
from zoning.show.page.notes_sorted import sort
from zoning.show.table import headline
from zoning.words import SENTENCES, Said, cautions

LABELS, BLOCKS = smooth_field(3, shape=(20, 20))


def plan_of(**wanted):
    given = {"labels": LABELS, "block_of_zone": BLOCKS, "cell_m": 30, "pass_of_zone": {1: 1, 3: 1, 4: 2}}
    return made_plan(Made(**(given | wanted)))


EVERY_KIND = {
    **{f"level {level}": {"level": level} for level in (1, 2, 3)},
    **{f"level {level}, metric": {"level": level, "units": "metric"} for level in (1, 2, 3)},
    "without dates": {"level": 1, "dates": False},
    "skipped": {"pass_of_zone": {}},
    "sprayed": {"pass_of_zone": dict.fromkeys(BLOCKS, 1)},
}  # fmt: skip


@pytest.fixture(params=sorted(EVERY_KIND))
def plan(request):
    return plan_of(**EVERY_KIND[request.param])


# ---- the file ----


def test_a_page_of_every_kind_is_well_formed(plan):
    text = page.text(plan)
    tree = read(text)
    assert text.startswith("<!doctype html>")
    assert tree.get("lang") == "en"
    assert len(tree.xpath("//h1")) == len(tree.xpath("//main")) == len(tree.xpath("//title")) == 1
    assert words(tree.xpath("//title")[0]) == f"{plan.field}, plan of Jul 1, 2026"
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))
    for target in tree.xpath("//a/@href"):
        assert target.startswith("#")
        assert target[1:] in ids
    for name in ("for", "aria-labelledby"):
        for one in tree.xpath(f"//@{name}"):
            assert one in ids
    assert not re.search(r"\b(None|nan|inf|undefined|Undefined)\b", words(tree.xpath("//body")[0]))


def test_nothing_is_loaded_and_nothing_foreign_can_run(plan):
    text = page.text(plan)
    tree = read(text)
    for name in tree.xpath("//@*/.."):
        assert not [one for one in name.keys() if one.startswith("on") or one == "style"]  # noqa: SIM118
    for address in tree.xpath("//@src | //@href | //@srcset | //@action"):
        assert address.startswith(("#", "data:image/png;base64,"))
    assert "url(http" not in text
    assert "@import" not in text
    (style,) = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    (script,) = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)
    (policy,) = tree.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")
    for kind, inside in (("style", style), ("script", script)):
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in policy
    assert policy.startswith("default-src 'none'; img-src data:;")
    assert "connect-src" not in policy
    assert "unsafe" not in policy
    assert "form-action 'none'" in policy
    assert not re.search(
        r"\bfetch\(|XMLHttpRequest|WebSocket|sendBeacon|innerHTML|\beval\(|new Function", script
    )


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    page.write(plan_of(), tmp_path / "one.html")
    page.write(plan_of(), tmp_path / "two.html")
    one = (tmp_path / "one.html").read_bytes()
    assert one == (tmp_path / "two.html").read_bytes()
    assert one.decode("utf-8") == page.text(plan_of())
    assert page.text(plan_of(units="metric")) != one.decode("utf-8")


@pytest.mark.parametrize(("zones", "most_kb"), [(30, 300), (200, 1500)])
def test_a_page_is_small(zones, most_kb):
    """30 zones with draws of three sources and two pictures of 3 m cells; 200 zones of the same kind."""
    assert len(page.text(page_plan(zones)).encode()) <= 1000 * most_kb


# ---- its figures ----


def in_words(quantity, value, units):
    write = {
        "area_ac": units.area,
        "whole_area_ac": units.whole_area,
        "rate_gal_ac": units.rate,
        "net_usd_ac": lambda net: signed(units.net(net)),
        "cost_usd_ac": lambda cost: cents(units.net(cost)),
        "usd": dollars,
        "response_bu_ac": units.response,
        "price_usd_bu": units.price,
        "chance": chance,
    }
    return write[quantity](value)


def test_every_figure_says_what_its_exact_value_is(plan):
    units = Units(metric=plan.units == "metric")
    found = list(figures(read(page.text(plan))))
    assert len(found) > (10 if plan.level == 1 else 60)
    for quantity, value, text in found:
        # on the map and its legend a loss has the longer minus
        assert text.replace("−", "-") == ("-" if value is None else in_words(quantity, value, units))


@pytest.mark.parametrize("units", ["us", "metric"])
def test_figures_of_zones_and_field_are_those_of_plan_json(units):
    plan = replace(demo_plan(), units=units)
    tree, held = read(page.text(plan)), plan_json.as_object(plan, ())
    totals = held["totals"]
    for name, key in (("n-spray", "spray_ac"), ("n-skip", "skip_ac"), ("n-net", "net_usd")):
        assert float(at(tree, name).get("data-v")) == pytest.approx(totals[key], abs=1e-6)
    ends = [value for _, value, _ in figures(at(tree, "n-range"))]
    assert ends == pytest.approx([totals["net_p10_usd"], totals["net_p90_usd"]], abs=1e-6)
    for zone in held["zones"]:
        (row,) = tree.xpath(f"//tr[@data-zone='{zone['zone']}']")
        shown = [value for _, value, _ in figures(row)]
        net = zone["net_usd_ac"]
        wanted = [
            zone["area_ac"],
            zone["rate_gal_ac"],
            net["mean"],
            net["p10"],
            net["p90"],
            zone["chance_pays"],
        ]
        assert (
            shown == pytest.approx(wanted, abs=1e-6)
            if None not in wanted
            else shown[2:] == pytest.approx(wanted[2:], abs=1e-6)
        )
        assert words(row.find_class("c-action")[0]) == zone["action"]
        story = at(tree, f"zone-{zone['zone']}")
        needs = next(figures(story.find_class("c-needs")[0]))
        assert needs[1] == pytest.approx(zone["break_even_response_bu_ac"], abs=1e-6)


def test_the_share_to_spray_and_what_is_counted_are_those_of_the_plan():
    plan = demo_plan()
    tree = read(page.text(plan))
    spray_ac = sum(zone.area_ac for zone in plan.zones if zone.action == "spray")
    assert said(tree, "n-spray-share") == f"{100 * spray_ac / sum(zone.area_ac for zone in plan.zones):.0f} %"
    counted = [zone.zone for zone in plan.zones if not zone.provisional]
    assert 0 < len(counted) < len(plan.zones) / 2
    assert f"{len(counted)} of {len(plan.zones)} zones counted" in said(tree, "numbers")


def test_a_story_has_the_days_of_its_zone_and_names_the_source_of_the_plan():
    plan = demo_plan()
    tree = read(page.text(plan))
    for zone in plan.zones:
        told = said(tree, f"zone-{zone.zone}")
        assert f"over {day(zone.window.closes)}" in told
        if zone.action == "spray":
            assert f"{day(zone.spray_from)} to {day(zone.spray_by)}" in told
        for source, one in zone.money.by_source.items():
            assert one is None or source in told
            assert (f"{source} (" in told) == (source == plan.source)


def test_the_data_says_the_same_as_the_plan(plan):
    held = data(read(page.text(plan)))
    assert held["run_id"] == plan.run_id
    assert held["zones_id"] == plan.zones_id
    assert held["level"] == plan.level
    assert [one["zone"] for one in held["zones"]] == [zone.zone for zone in plan.zones]
    assert [one["action"] for one in held["zones"]] == [zone.action for zone in plan.zones]
    dates = [zone.window.r3_likely.isoformat() if zone.window else None for zone in plan.zones]
    assert [one["r3_likely"] for one in held["zones"]] == dates
    # 1 ac = 0.40468564224 ha; 1 gal/ac = 9.35395763 L/ha (definitions of the acre and the gallon)
    assert held["factors"]["ha_per_ac"] == pytest.approx(0.40468564224)
    assert held["factors"]["l_ha_per_gal_ac"] == pytest.approx(9.35395763)


# ---- its words ----


def test_the_page_says_what_the_report_says(plan):
    tree = read(page.text(plan))
    head, *more = headline(plan).split("; ")
    top = words(tree.xpath("//header")[0]).lower()
    # the reader of pages puts a blank behind every element, also behind a unit that can be switched
    assert said(tree, "decision").lower().replace(" :", ":") == head.lower()
    assert all(one.lower() in top for one in more)


def test_zones_are_sorted_by_action_and_day():
    tree = read(page.text(plan_of()))
    order = [int(one) for one in tree.xpath("//table[@id='zone-table']//tr/@data-zone")]
    # zones 1, 3 are in pass 1, zone 4 in pass 2; the others follow by the day of R3, then by number
    assert order[:3] == [1, 3, 4]
    assert order == [1, 3, 4, 2, 5, 6]
    assert [int(one.get("data-zone")) for one in tree.find_class("story")] == order


def test_every_note_stands_on_the_page_once():
    notes = [
        Said("offers.no_yield"),
        Said("zones.small", block="A"),
        Said("offers.counts_elsewhere", zones="zones 2, 6", days="2 d earlier"),
        Said("returns.disagree_late_spray", low=65, building=30),
    ]
    tree = read(page.text(replace(plan_of(), notes=tuple(notes))))
    everything = words(tree.xpath("//main")[0])
    for note in notes:
        assert everything.count(note.text[1:]) == 1
    assert notes[0].text[1:] in said(tree, "missing")
    assert notes[2].text[1:] in said(tree, "seen")


def test_no_note_is_lost_whatever_its_code():
    class Note:
        def __init__(self, code):
            self.code = self.text = code
            self.values = {}

    notes = [Note(code) for code in SENTENCES]
    lists = sort(notes)
    assert sum(len(one) for one in lists) == len(notes)
    assert sorted(one.lower() for kind in lists for one in kind) == sorted(SENTENCES)


def with_override(plan, **changes):
    given = {
        "action": "skip",
        "rate_gal_ac": None,
        "reason": "no buyer",
        "decided_on": date(2026, 7, 1),
        "computed": "spray",
    }
    override = Override(**(given | changes))
    zones = tuple(replace(one, override=override) if one.zone == 2 else one for one in plan.zones)
    return read(page.text(replace(plan, zones=zones)))


def test_an_override_stands_beside_what_was_computed():
    tree = with_override(plan_of())
    told = said(tree, "zone-2")
    assert "Decided on Jul 1: skip" in told
    assert "The figures by themselves say spray" in told
    (row,) = tree.xpath("//tr[@data-zone='2']")
    assert words(row.find_class("c-action")[0]) == f"skip{MARK}"
    (other,) = tree.xpath("//tr[@data-zone='4']")
    assert words(other.find_class("c-action")[0]) == "spray"


def test_an_override_that_is_not_followed_says_why():
    refused = Said("decisions.not_sprayed")
    tree = with_override(plan_of(), action=None, rate_gal_ac=20.0, reason="dense leaves", refused=refused)
    told = said(tree, "zone-2")
    assert "Decided on Jul 1: 20 gal/ac" in told
    assert f'Not followed, though "dense leaves": {refused.text}' in told
    (row,) = tree.xpath("//tr[@data-zone='2']")
    assert words(row.find_class("c-action")[0]) == "skip"


def test_what_changed_since_an_earlier_plan_is_said():
    plan = plan_of()
    since = Said("since.nothing", today="2026-06-29")
    before = tuple(
        ZoneSince(zone=one.zone, r3_likely=date(2026, 7, 1), spray_on=None, action="skip", rate_gal_ac=None)
        for one in plan.zones[:1]
    )
    told = said(read(page.text(replace(plan, since=since, since_zones=before))), "since")
    assert "2026-06-29" in told
    assert f"{day(plan.zones[0].window.r3_likely)}" in told
    assert "Jul 1" in told
    assert not read(page.text(plan)).xpath("//*[@id='since']")


def test_a_plan_is_past_after_its_last_pass_or_last_good_day():
    """A pass that runs on ends later than the day of its zones; without a sprayer the days to spray count."""
    plan = plan_of()
    last = max(plan.passes, key=lambda one: one.day)
    on = VisitPart(day=last.day.toordinal() + 2, half="AM", hours_h=1.0, loads=1.0)
    longer = replace(
        plan,
        passes=tuple(replace(one, parts=(*one.parts, on)) if one is last else one for one in plan.passes),
    )
    assert longer.passes[plan.passes.index(last)].last_day == last.day + timedelta(days=2)
    level_2 = plan_of(level=2)
    spray_by = max(zone.spray_by for zone in level_2.zones if zone.spray_by)
    for one, day_of in ((longer, last.day + timedelta(days=2)), (level_2, spray_by)):
        banner = at(read(page.text(one)), "past")
        assert banner.get("data-day") == day_of.isoformat()
        assert day(day_of) in words(banner)


def test_what_is_missing_says_what_it_costs():
    plan = demo_plan()
    told = said(read(page.text(plan)), "missing")
    assert plan.walks
    assert "No count yet" not in told  # what a count would gain stands with the walks, once
    knowing = dollars(plan.totals.perfect_information_usd)
    assert knowing != dollars(plan.totals.net_usd)
    assert f"costs {knowing} at most" in told


@pytest.mark.parametrize("level", [1, 2, 3])
def test_cautions_on_spraying_stand_where_somebody_is_to_spray(level):
    """The first one, that all of it is a prediction, stands everywhere."""
    every = cautions("US")
    plan = replace(plan_of(level=level), cautions=every)
    nothing = tuple(replace(zone, action="skip") for zone in plan.zones)
    told = said(read(page.text(plan)), "cautions").lower()
    assert [one.lower() in told for one in every] == [True, *[level > 1] * (len(every) - 1)]
    if level > 1:
        told = said(read(page.text(replace(plan, zones=nothing))), "cautions").lower()
        assert [one.lower() in told for one in every] == [True, *[False] * (len(every) - 1)]


@pytest.mark.parametrize("schedule", ["alone", "farm"])
def test_the_page_says_whether_the_sprayer_is_shared(schedule):
    for level in (1, 2, 3):
        told = said(read(page.text(replace(plan_of(level=level), schedule=schedule))), "calendar")
        assert ("to this field alone" in told) == (level == 3 and schedule == "alone")
        assert ("for all fields of the farm" in told) == (level == 3 and schedule == "farm")


def test_the_drawer_holds_every_entry_behind_the_zones_with_its_passport():
    plan = demo_plan()
    drawn = read(page.text(plan)).xpath("//*[@id='evidence']//*[@data-entry]")
    keys = [one.get("data-entry") for one in drawn]
    asked = {key for zone in plan.zones for step in zone.money.steps for key in step.evidence}
    assert asked <= set(keys)
    # figures that the page shows beside those of its zones: the other source, spray hours, strips
    assert {"returns.practice_parts_bu_ac", "passes.spray_wind_mph", "returns.pair_sd_bu_ac"} <= set(keys)
    assert f"all {len(find())} " in drawer(plan).counted
    assert len(keys) == len(set(keys))
    for one in drawn:
        passport = entry(one.get("data-entry"))
        told = words(one)
        assert passport.kind in told
        assert " ".join(passport.note.split()) in told
        assert " ".join(passport.source.split()) in told
        assert name_of(passport.key) in told
    kinds = [entry(key).kind for key in keys]
    assert f"{len(keys)} figures" in drawer(plan).counted
    for kind in set(kinds):
        assert f"{kinds.count(kind)} {kind}" in drawer(plan).counted


# ---- names that other people wrote ----

HOSTILE = '</script><b onload="x()">&amp; "quoted" \'one\' <!-- {{ 7*7 }} \u2028 \x1b[31m \u202e'


def test_hostile_names_are_shown_as_text_and_do_nothing():
    plan = with_scouting(plan_of(field=HOSTILE, farm=HOSTILE), counted=[1])
    zones = tuple(replace(one, name=HOSTILE, block=HOSTILE) for one in plan.zones)
    seen = tuple(
        replace(one, text=HOSTILE, note=HOSTILE, photo=HOSTILE, observer=HOSTILE) for one in plan.scouting
    )
    hostile = replace(
        plan,
        zones=zones,
        scouting=seen,
        product=HOSTILE,
        notes=(Said("zones.one_response", block=HOSTILE),),
        cautions=cautions("US"),
    )
    text = page.text(hostile)
    tree, tame = read(text), read(page.text(with_scouting(plan_of(), counted=[1])))
    for kind in ("script", "style", "b", "i", "img", "iframe", "h1", "section", "table"):
        counted = [len(one.xpath(f"//*[local-name()='{kind}']")) for one in (tree, tame)]
        assert counted[0] == counted[1] or kind in ("b",), kind
    assert not [one for one in tree.iter("b") if one.attrib]
    assert "</script><b" not in text
    assert "\x1b" not in text.replace("\\u001b", "")
    assert data(tree)["field"] == HOSTILE
    assert '</script><b onload="x()">&amp; "quoted"' in words(tree.xpath("//header")[0])
    assert "49" not in words(tree.xpath("//header")[0])


# ---- words for people ----


def test_no_name_of_a_setting_stands_on_the_page():
    """Notes name the setting to change for who reads the report; the page leaves that out."""
    codes = [code for code, text in SENTENCES.items() if "(setting: " in text]
    assert len(codes) > 8
    values = {"passes.strips_none": {}, "passes.strips_one_pair": {}, "settings.no_sprayer": {}}
    notes = tuple(Said(code, **given) for code, given in values.items())
    told = words(read(page.text(replace(plan_of(), notes=notes))).xpath("//main")[0])
    assert "Four pairs would, and the plan then says what they cost" in told.replace("four", "Four")
    for word in ("check_strips", "[[", "setting:", "pairs ="):
        assert word not in told
    assert "pairs = 4 in [check_strips]" in notes[0].text


def test_a_layer_is_named_with_its_day_as_people_write_days():
    tree = read(page.text(demo_plan()))
    told = words(tree.xpath("//main")[0]) + words(tree.xpath("//footer")[0])
    assert any(one.name == "NDRE 2026-06-28" for one in demo_plan().pictures)
    assert "2026-06-28" not in told
    assert words(at(tree, "layers")).count("NDRE, Jun 28") == 1
    assert "NDRE of Jun 28 leaves out" in told
