"""The calendar in letters: read back letter by letter, it says what the plan says, in any width."""

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_farm_plans import (
    HIRED,
    RIG,
    TODAY,
    MadePass,
    bare_farm,
    farm_of,
    part_done,
    seeded_farm,
    small_farm,
    with_passes,
)
from made_plans import Made, made_plan

from zoning.show.calendar import calendar
from zoning.show.calendar_rows import period, rows
from zoning.show.figures import hours as written

WEEKDAYS = "Mo|Tu|We|Th|Fr|Sa|Su"
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def parts(text):
    """For each part of a calendar its days, and its lines as (name, what stands at each day)."""
    found = []
    lines = text.splitlines()
    heads = [index for index, line in enumerate(lines) if re.fullmatch(rf" +({WEEKDAYS})[ |].*", line)]
    for place, head in enumerate(heads):
        room = re.search(WEEKDAYS, lines[head]).start()
        count = len(re.findall(WEEKDAYS, lines[head]))
        months, dates = lines[head - 1].ljust(room + 4 * count), lines[head + 1].ljust(room + 4 * count)
        days = []
        month, year = 0, 0
        for index in range(count):
            at = room + 4 * index
            told = re.match(r"([A-Z][a-z]{2})(?: (\d{4}))?(?: |$)", months[at : at + 9])
            if told and told[1] in MONTHS and (index == 0 or months[at - 1] == " "):
                month = MONTHS.index(told[1]) + 1
                year = int(told[2]) if told[2] else year or 2026
            days.append(date(year, month, int(dates[at : at + 3])))
            assert WEEKDAYS.split("|")[days[-1].weekday()] == lines[head][at : at + 2]
        until = heads[place + 1] - 1 if place + 1 < len(heads) else len(lines)
        body = [line.ljust(room + 4 * count) for line in lines[head + 2 : until] if line]
        cells = [
            (line[:room].rstrip(), [line[room + 4 * i : room + 4 * i + 4] for i in range(count)])
            for line in body
        ]
        found.append((days, cells))
    return found


def shown(text, number_of_rows):
    """What stands on each day of each row of a field: a list of dicts from (day, half) to two letters."""
    found = [{} for _ in range(number_of_rows)]
    for days, cells in parts(text):
        for row, (_, texts) in zip(found, cells[:number_of_rows], strict=True):
            for day, four in zip(days, texts, strict=True):
                row[day, "AM"], row[day, "PM"] = four[:2], four[2:]
    return found


def wanted(plan, zones):
    """Half-days of the passes that spray some of the zones, with the pass's number and its sprayer."""
    return {
        (date.fromordinal(part.day), part.half): (one.number, one.sprayer)
        for one in plan.passes
        if set(one.zones) & set(zones)
        for part in one.parts
    }


def by_row(farm):
    """Plan and zones of each row, worked out anew: blocks of a field that differ in days or in passes."""
    found = []
    for plan in farm.plans:
        of_block = {}
        for zone in plan.zones:
            of_block.setdefault(zone.block, []).append(zone)
        groups = {}
        for zones in of_block.values():
            key = tuple(
                sorted(
                    {
                        (zone.window.r3_likely, zone.window.closes, zone.spray_from, zone.spray_by)
                        for zone in zones
                    },
                    key=str,
                )
            )
            alike = (key, str(wanted(plan, [zone.zone for zone in zones])))
            groups.setdefault(alike, []).extend(zones)
        found += [(plan, zones) for zones in groups.values()]
    return found


@pytest.mark.parametrize("width", [120, 100, 80, 60, 40, 24])
@pytest.mark.parametrize("seed", range(6))
def test_every_pass_stands_on_its_half_days_and_no_other(seed, width):
    farm = seeded_farm(seed, fields=6, sprayers=2)
    groups = by_row(farm)
    rigs = {"a": RIG, "b": HIRED}
    table = shown(calendar(farm, width), len(groups))
    assert len(rows(farm)) == len(groups)
    for (plan, zones), row in zip(groups, table, strict=True):
        passes = wanted(plan, [zone.zone for zone in zones])
        numbers = {at: text.strip(" |.=-<>") for at, text in row.items()}
        both = {at for at, text in numbers.items() if text.endswith("+")}
        assert {at: read(text, rigs) for at, text in numbers.items() if text and at not in both} == {
            at: each for at, each in passes.items() if at not in both
        }


def read(text, rigs):
    """Number and sprayer of what stands in a half-day."""
    number, letter = re.fullmatch(r"(\d)([a-z])", text).groups()
    return int(number), rigs[letter]


def covered(zones, first, last):
    days = set()
    for zone in zones:
        begin, end = first(zone), last(zone)
        while begin is not None and begin <= end:
            days.add(begin)
            begin += timedelta(days=1)
    return days


@pytest.mark.parametrize("width", [120, 40])
@pytest.mark.parametrize("seed", range(4))
def test_bars_cover_the_days_of_r3_and_of_the_best_return(seed, width):
    farm = seeded_farm(seed, fields=5)
    groups = by_row(farm)
    for (_, zones), row in zip(groups, shown(calendar(farm, width), len(groups)), strict=True):
        window = covered(zones, lambda zone: zone.window.r3_likely, lambda zone: zone.window.closes)
        near = covered(zones, lambda zone: zone.spray_from, lambda zone: zone.spray_by)
        for day in {day for day, _ in row}:
            signs = re.sub(r"[\da-z+<>| ]", "", row[day, "AM"] + row[day, "PM"][:1])
            sign = "=" if day in window & near else "-" if day in window else "." if day in near else ""
            if signs:  # a pass in both halves hides some
                assert set(signs) == {sign}, (day, row[day, "AM"], row[day, "PM"])
            elif sign:
                assert re.search(r"\d", row[day, "AM"])


@pytest.mark.parametrize("width", [120, 80, 40, 24])
@pytest.mark.parametrize(
    "farm", [small_farm(), bare_farm(), seeded_farm(1, 9, sprayers=3)], ids=["small", "bare", "seeded"]
)
def test_no_line_is_too_long_and_none_ends_with_a_space(farm, width):
    for line in calendar(farm, width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()


@settings(max_examples=60, deadline=None)
@given(
    field=st.text(max_size=60),
    block=st.text(max_size=40),
    rig=st.text(max_size=50),
    width=st.integers(24, 140),
)
def test_no_name_breaks_the_page(field, block, rig, width):
    farm = small_farm()
    first = farm.plans[0]
    zones = tuple(
        replace(zone, block=block + zone.block if zone.block == "B" else block) for zone in first.zones
    )
    farm = replace(
        farm,
        plans=(replace(first, field=field, zones=zones), *farm.plans[1:]),
        hours=tuple(replace(use, sprayer=rig) for use in farm.hours),
    )
    text = calendar(farm, width)
    assert all(len(line) <= width for line in text.split("\n"))
    assert all(letter.isprintable() for letter in text.replace("\n", ""))


@pytest.mark.parametrize("width", [120, 80, 40])
def test_every_day_is_shown_once_and_parts_are_whole_weeks(width):
    farm = small_farm()
    told = [days for days, _ in parts(calendar(farm, width))]
    every = [day for days in told for day in days]
    assert every == [date.fromordinal(day) for day in period(farm, rows(farm))]
    assert all(len(days) % 7 == 0 for days in told[:-1])
    assert len(told) == {120: 1, 80: 2, 40: 3}[width]


def test_hours_add_up_to_those_of_the_passes():
    farm = seeded_farm(5, fields=8, sprayers=2)
    ((days, cells),) = parts(calendar(farm, 120))
    names = [name for name, _ in cells]
    for index, rig in enumerate((RIG, HIRED)):
        assert any(rig in name + "".join(texts) for name, texts in cells)
        used = cells[[place for place, name in enumerate(names) if name == "  used"][index]][1]
        for day, text in zip(days, used, strict=True):
            hours_h = sum(
                part.hours_h
                for plan in farm.plans
                for one in plan.passes
                for part in one.parts
                if one.sprayer == rig and part.day == day.toordinal()
            )
            assert text.strip(" |") == (written(hours_h) if hours_h else "-")


def test_by_hand_the_small_farm():
    # Three Dates, block A: R3 Jul 8 to 17, near its best Jul 4 to 11; so dots from the 4th, both (=) from the
    # 8th, only R3 (-) from the 12th. Pass 1 is on the 6th PM and the 7th AM. Block B lies nine days later,
    # pass 2 on the 14th AM. North forty: pass 1 on the 7th PM, by the second sprayer (b). Gravel: no return,
    # only R3. 1 July is a Wednesday; hours are 2 and 3 a half-day, the forecast reaches seven days.
    assert calendar(small_farm(), 120).split("\n\n")[:2] == [
        "               Jul 2026\n"
        "               We  Th  Fr  Sa  Su |Mo  Tu  We  Th  Fr  Sa  Su |Mo  Tu  We  Th  Fr  Sa  Su |Mo  Tu\n"
        "                1   2   3   4   5 | 6   7   8   9  10  11  12 |13  14  15  16  17  18  19 |20  21\n"
        "Three Dates: A             ..........1a1a..================-----------------------\n"
        "Three Dates: B                    |                           |....2a..........================---\n"
        "North forty                ..............1b================-----------------------\n"
        "Gravel                            |        ---------------------------------------",
        "spray hours a day, ground rig\n"
        "  used         -   -   -   -   -  |2.5 1.5 -   -   -   -   -  |-   1.2 -   -   -   -   -  |-   -\n"
        "  of           5   5   5   5   5  |5   5   5   5   5   5   5  |5   5   5   5   5   5   5  |5   5\n"
        "  from         f   f   f   f   f  |f   f   y   y   y   y   y  |y   y   y   y   y   y   y  |y   y",
    ]


def test_the_key_explains_what_is_shown_and_nothing_else():
    key = calendar(small_farm(), 120).split("\n\n")[-1]
    assert "a: ground rig, b: hired rig" in key
    alone = calendar(seeded_farm(1), 120)
    assert "letter" not in alone
    assert not re.search(r"\d[a-z]", alone)
    assert "f forecast, y past years, p planning figure" in key
    assert "= R3" in key
    bare = calendar(bare_farm(), 120).split("\n\n")[-1]
    assert bare == "- R3, from its likely day to the day on which it closes"


@pytest.mark.parametrize(("later_d", "first_d"), [(0, 0), (7, 0), (8, 8), (40, 40)])
def test_the_calendar_begins_today_unless_the_coming_week_is_empty(later_d, first_d):
    # R3 likely 71 days after planting; nothing is sprayed
    planted = TODAY + timedelta(days=later_d - 71)
    plan = made_plan(Made(labels=[[1]], pass_of_zone={}, first_planted=planted))
    farm = farm_of([with_passes(plan, [])], {})
    days = period(farm, rows(farm))
    assert days[0] == TODAY.toordinal() + first_d
    assert 14 <= len(days) <= 21


def test_a_pass_after_three_weeks_is_shown_too():
    plan = with_passes(made_plan(Made(labels=[[1, 2]])), [MadePass((1,), ((33, "PM", 1.0, 1.0),))])
    farm = farm_of([plan], {})
    (row,) = shown(calendar(farm, 60), 1)
    assert row[TODAY + timedelta(days=33), "PM"].startswith("1")


def test_two_passes_of_one_half_day_are_told_and_explained():
    plan = with_passes(
        made_plan(Made(labels=[[1, 2]])),
        [MadePass((1,), ((2, "AM", 1.0, 1.0),)), MadePass((2,), ((2, "AM", 1.0, 1.0),))],
    )
    text = calendar(farm_of([plan], {}), 120)
    (row,) = shown(text, 1)
    assert row[TODAY + timedelta(days=2), "AM"] == "1+"
    assert "+ more passes than there is room for, see the list" in text


def test_by_hand_what_was_sprayed_stands_on_its_day_within_two_weeks():
    # zone 3 (block B) was sprayed on Jun 29, a Monday; zone 2 (block A) on Jun 15, more than two weeks ago.
    # Each day has four letters after 15 of the names; the mark is on the second.
    text = calendar(part_done(), 120)
    months, weekdays, dates, block_a, block_b, *_ = text.splitlines()
    assert months.split() == ["Jun", "Jul", "2026"]
    assert weekdays.split()[:3] == ["Mo", "Tu", "We"]
    assert dates.split()[:3] == ["29", "30", "1"]
    assert block_b.startswith("Three Dates: B  *  ")
    assert text.count("*") == 2  # on its day, and in the key
    assert "*" not in block_a
    assert "* sprayed already, on that day" in text.split("\n\n")[-1]
    assert "sprayed already" not in calendar(small_farm(), 120)


@pytest.mark.parametrize(("half", "told"), [("AM", "1*  "), ("PM", " *1 ")])
def test_what_was_sprayed_today_stands_beside_a_pass_of_today(half, told):
    plan = with_passes(made_plan(Made(labels=[[1, 2]])), [MadePass((1,), ((0, half, 1.0, 1.0),))])
    zones = tuple(replace(zone, sprayed_on=TODAY) if zone.zone == 2 else zone for zone in plan.zones)
    (row,) = shown(calendar(farm_of([replace(plan, zones=zones)], {}), 120), 1)
    assert row[TODAY, "AM"] + row[TODAY, "PM"] == told


def test_the_key_names_only_sources_of_hours_that_are_shown():
    # R3 lies in August: the calendar begins when the forecast of the first week is over
    plan = made_plan(
        Made(labels=[[1]], pass_of_zone={}, first_planted=TODAY - timedelta(days=71) + timedelta(days=20))
    )
    farm = farm_of([with_passes(plan, [])], {RIG: ["forecast"] * 7 + ["past years"] * 21})
    text = calendar(farm, 120)
    assert parts(text)[0][0][0] > TODAY + timedelta(days=7)
    assert "from: y past years" in text
    assert "forecast" not in text


def test_windows_outside_and_unknown_dates_are_marked():
    told = {"labels": [[1]], "pass_of_zone": {}}
    over = made_plan(Made(**told, field="Over", first_planted=TODAY - timedelta(days=120)))
    soon = made_plan(Made(**told, field="Soon", first_planted=TODAY - timedelta(days=70)))
    later = made_plan(Made(**told, field="Later", first_planted=TODAY))
    none = made_plan(Made(**told, field="None", dates=False))
    farm = farm_of([with_passes(plan, []) for plan in (over, soon, later, none)], {})
    lines = {line.split()[0]: line for line in calendar(farm, 120).splitlines() if line}
    assert lines["Over"].split()[1] == "<"
    assert lines["Later"].endswith(">")
    assert lines["None"].split()[1] == "-"
    assert not set("<>") & set(lines["Soon"])
    key = calendar(farm, 120).split("\n\n")[-1]
    for told_of in ("< over by then", "> comes later", "- no date is known"):
        assert told_of in key


def test_across_new_year_months_have_their_year():
    plan = made_plan(Made(labels=[[1]], pass_of_zone={}, first_planted=date(2026, 10, 20)))
    farm = replace(farm_of([with_passes(plan, [])], {}), today=date(2026, 12, 24))
    ((days, _),) = parts(calendar(farm, 120))
    assert days[0] == date(2026, 12, 24)
    assert days[-1].year == 2027


def test_a_farm_without_fields_has_no_calendar():
    assert calendar(farm_of([], {}), 80) == ""
