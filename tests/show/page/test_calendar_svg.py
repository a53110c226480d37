"""The weeks to come on the page of a field: each zone, day and pass in its place, and the same in words."""

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date, timedelta

import pytest
from made_farm_plans import TODAY, MadePass, part_done, seeded_farm, small_farm, with_passes
from made_plans import Made, made_plan, renamed, with_scouting

from zoning import colours
from zoning.show.figures import day, when
from zoning.show.page.calendar_svg import svg, together
from zoning.show.page.lanes import Inks, Lane, draw, period

HOSTILE = "</title><script>alert(1)</script>\"'&\x1b[31m"


def parsed(text):
    return ET.fromstring(text)


def lane_svgs(text):
    """The lanes of a picture, from top to bottom."""
    picture = parsed(text).find("svg")
    return [one for one in picture.findall("svg") if one.find("use") is not None]


def percent(text):
    assert text.endswith("%")
    return float(text[:-1])


def words(text):
    return ["".join(one.itertext()) for one in parsed(text).findall("details/ul/li")]


def pass_boxes(lane, fill):
    return [one for one in lane.findall("rect") if one.get("fill") == fill and one.get("y") is None]


@pytest.mark.parametrize("seed", range(4))
def test_every_zone_has_one_lane_with_its_dates_and_passes_in_words(seed):
    for plan in seeded_farm(seed, fields=3, sprayers=2).plans:
        groups = together(plan)
        assert sorted(one.zone for zones in groups for one in zones) == [one.zone for one in plan.zones]
        told = words(svg(plan))
        assert len(told) == len(groups) == len(lane_svgs(svg(plan)))
        for line, zones in zip(told, groups, strict=True):
            for zone in zones:
                window = zone.window
                for one in (window.r3_early, window.r3_likely, window.r3_late, window.closes):
                    assert day(one) in line
                assert ("provisional" in line) == zone.provisional
                its = [one for one in plan.passes if zone.zone in one.zones]
                for one in its:
                    assert when(one) in line
                    for part in one.parts:
                        assert f"{day(date.fromordinal(part.day))} {part.half}" in line
                assert ("pass" in line.lower().split("return")[0]) == bool(its)


def test_by_hand_a_pass_that_runs_on_lies_on_its_half_days():
    # Three Dates, pass 1: Jul 6 PM and Jul 7 AM; the picture runs from Jul 1 (today) to Jul 27: the window of
    # block B closes on Jul 26, and one day follows: 27 days
    plan = small_farm().plans[0]
    lane = lane_svgs(svg(plan))[0]
    box, *others = pass_boxes(lane, colours.spray_with_number(0, 2))
    assert not others  # both halves are one box
    assert percent(box.get("x")) == pytest.approx(100 * 5.5 / 27, abs=0.006)
    assert percent(box.get("width")) == pytest.approx(100 * 1.0 / 27, abs=0.006)
    number = [one for one in lane.findall("svg") if one.find("text") is not None]
    assert [one.find("text").text for one in number] == ["1"]
    assert percent(number[0].get("x")) == pytest.approx(100 * 5.75 / 27, abs=0.006)  # on its first half


def test_by_hand_window_near_best_and_r3_lie_on_their_days():
    # block A: R3 likely Jul 8, early Jul 3, late Jul 14, closes Jul 17; near its best from Jul 4 to Jul 11
    plan = small_farm().plans[0]
    lane = lane_svgs(svg(plan))[0]
    boxes = {one.get("y"): one for one in lane.findall("rect")}
    assert percent(boxes["5"].get("x")) == pytest.approx(100 * 7 / 27, abs=0.006)
    assert percent(boxes["5"].get("width")) == pytest.approx(100 * 10 / 27, abs=0.006)
    assert percent(boxes["18"].get("x")) == pytest.approx(100 * 3 / 27, abs=0.006)
    assert percent(boxes["18"].get("width")) == pytest.approx(100 * 8 / 27, abs=0.006)
    line = lane.find("g/line")
    assert percent(line.get("x1")) == pytest.approx(100 * 2.5 / 27, abs=0.006)
    assert percent(line.get("x2")) == pytest.approx(100 * 13.5 / 27, abs=0.006)
    assert percent(lane.find("g/svg").get("x")) == pytest.approx(100 * 7.5 / 27, abs=0.006)


def test_counted_dates_are_filled_and_said():
    plan = with_scouting(made_plan(Made(labels=[[1, 2]], pass_of_zone={})), counted=[1])  # else alike
    text = svg(plan)
    fills = [lane.find("g/svg/path").get("fill") for lane in lane_svgs(text)]
    assert fills == [colours.INK, colours.WHITE]
    assert ["counted" in line for line in words(text)] == [True, False]


def test_by_hand_weekends_and_today():
    # Jul 1, 2026 is a Wednesday: weekends begin 3 and 10 days later
    text = draw([Lane(name="a", told="")], TODAY.toordinal(), Inks(fills={}, letters={}), label="", name="x")
    ground = ET.fromstring(text).find("defs/g")
    days = period([Lane(name="a", told="")], TODAY.toordinal())
    found = [percent(one.get("x")) * len(days) / 100 for one in ground.findall("g[1]/rect")]
    assert found == pytest.approx([3.0], abs=0.01)
    assert len(days) == 9
    today = ground.findall("line")[-1]
    assert percent(today.get("x1")) == pytest.approx(100 * 0.5 / 9, abs=0.006)


def test_a_day_far_off_is_pointed_to():
    plan = made_plan(Made(labels=[[1, 2]]))
    far = replace(plan, today=plan.today - timedelta(days=60))
    assert "← today, May 2" in svg(far)
    assert "→" in svg(replace(plan, today=plan.today + timedelta(days=90)))
    assert "←" not in svg(plan)
    assert "→" not in svg(plan)


def test_what_was_sprayed_is_shown_and_said():
    plan = part_done().plans[0]
    told = words(svg(plan))
    for zone in plan.zones:
        line = next(line for zones, line in zip(together(plan), told, strict=True) if zone in zones)
        assert ("Sprayed already" in line) == (zone.sprayed_on is not None)


@pytest.mark.parametrize("level", [1, 2, 3])
def test_every_level_and_no_date(level):
    plan = made_plan(Made(labels=[[1, 2], [3, 3]], level=level))
    assert ("dates only" in svg(plan)) == (level == 1)
    without = made_plan(Made(labels=[[1, 2]], level=level, dates=False))
    assert "no model gives a date here" in svg(without)


def test_metric_volume_in_the_key():
    assert "140 L/ha" in svg(small_farm("metric").plans[0])
    assert "15 gal/ac" in svg(small_farm().plans[0])


def test_hostile_names_are_letters():
    plan = renamed(made_plan(Made(labels=[[1, 2]])), HOSTILE, HOSTILE)
    plan = with_passes(plan, [MadePass((1,), ((5, "AM", 1.0, 1.0), (6, "AM", 1.0, 1.0)), sprayer=HOSTILE)])
    text = svg(plan)
    assert "<script" not in text
    assert "\x1b" not in text
    assert not [one for one in parsed(text).iter() if any(key.startswith("on") for key in one.attrib)]
    assert "style=" not in text


def test_same_bytes_and_small():
    plan = made_plan(
        Made(labels=[[1, 2, 3], [4, 5, 6]], block_of_zone=dict(zip(range(1, 7), "AABBCC", strict=True)))
    )
    assert svg(plan) == svg(plan)
    assert len(svg(plan).encode()) < 15_000
    assert parsed(svg(plan)).find("svg").get("role") == "img"
    assert parsed(svg(plan)).find("svg").get("aria-label")
