"""What is printed of many fields: short, and every sum that of the fields."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_farm_plans import TODAY, MadePass, bare_farm, farm_of, seeded_farm, small_farm, with_passes
from made_plans import Made, made_plan

from zoning.plan import LeftOut, WorthOf, decided
from zoning.show.farm_report import headline, whole_page
from zoning.show.figures import dollars
from zoning.show.many import MANY, all_rigs, first_fields, rig_table, rigs, several, sprayers
from zoning.words import Said


def cells(text, first):
    """Cells of the line of a table that begins with a word, at two spaces or more."""
    line = next(line for line in text.splitlines() if re.match(rf"{re.escape(first)}\s", line))
    return re.split(r"\s+", line.removeprefix(first).strip())


def test_few_fields_are_told_one_by_one_and_many_are_not():
    few, many = seeded_farm(1, fields=MANY), seeded_farm(1, fields=MANY + 1)
    assert all(plan.field in whole_page(few, 120) for plan in few.plans)
    assert "out/farm.csv" not in whole_page(few, 120)
    told = whole_page(many, 120)
    named = {plan.field for plan in many.plans if re.search(rf"{plan.field}\b(?! \d)", told)}
    assert 10 <= len(named) <= 30
    assert "every field stands in out/farm.csv, every pass in out/schedule.csv" in told
    assert headline(many) in re.sub(r"\s+", " ", told)


@pytest.mark.parametrize("fields", [60, 300])
def test_it_is_no_longer_however_many_fields_there_are(fields):
    lines = whole_page(seeded_farm(2, fields=fields, sprayers=min(fields // 5, 40)), 120).splitlines()
    assert len(lines) <= 100


@pytest.mark.parametrize("width", [120, 80, 40])
@pytest.mark.parametrize(
    "farm",
    [
        seeded_farm(3, 60, sprayers=20, units="metric"),
        bare_farm(60),
        bare_farm(60, level=1),
        seeded_farm(4, 60, sprayers=3),
    ],
    ids=["metric", "bare", "level 1", "few sprayers"],
)
def test_no_line_is_too_long(farm, width):
    for line in whole_page(farm, width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 1000), fields=st.integers(MANY + 1, 60), sprayers=st.integers(1, 20))
def test_sums_are_those_of_the_fields(seed, fields, sprayers):
    farm = seeded_farm(seed, fields=fields, sprayers=sprayers)
    told = whole_page(farm, 120)
    passes = [one for plan in farm.plans for one in plan.passes]
    area, zones, _, spray, skip, count, *_, net = cells(told, "all")
    assert area == f"{sum(plan.area_ac for plan in farm.plans):,.1f}"
    assert int(zones) == sum(len(plan.zones) for plan in farm.plans)
    assert spray == f"{sum(plan.totals.spray_ac for plan in farm.plans):,.1f}"
    assert skip == f"{sum(plan.totals.skip_ac for plan in farm.plans):,.1f}"
    assert int(count) == len(passes)
    assert net == dollars(sum(plan.totals.net_usd for plan in farm.plans))
    words = [decided.in_a_word(plan) for plan in farm.plans]
    for word, text in (("spray", "to spray"), ("part", "to spray in part"), ("skip", "to skip")):
        number = re.search(rf"([\d,]+) {text}(,|$)", told, flags=re.M)
        assert words.count(word) == (0 if number is None else int(number[1].replace(",", "")))
    every = rigs(farm)
    total = all_rigs(farm, every)
    assert total.passes == sum(one.passes for one in every) == len(passes)
    assert total.loads == sum(one.loads for one in every) == sum(one.loads for one in passes)
    assert total.area_ac == pytest.approx(sum(one.area_ac for one in every))
    assert total.used_h == pytest.approx(sum(one.hours_h for one in passes))
    assert total.late == sum(one.last_day > one.due for one in passes)
    for rig in every:
        own = [one for one in passes if one.sprayer == rig.name]
        assert rig.used_h == pytest.approx(sum(one.hours_h for one in own))
        assert (rig.first, rig.last) == (min(one.day for one in own), max(one.last_day for one in own))
        assert rig.fields == sum(any(one.sprayer == rig.name for one in plan.passes) for plan in farm.plans)


def test_the_busiest_sprayers_stand_for_all():
    farm = seeded_farm(5, 90, sprayers=30)
    (said, *_), table = sprayers(farm)
    assert said == f"the passes of the 12 busiest of {len(rigs(farm))} sprayers, and the sum of all:"
    assert [row[0] for row in table.rows][-1] == "all"
    assert len(table.rows) == 13
    least_h = min(one.used_h for one in rigs(farm) if one.name in {row[0] for row in table.rows})
    others_h = [one.used_h for one in rigs(farm) if one.name not in {row[0] for row in table.rows}]
    assert max(others_h) <= least_h


def test_by_hand_the_sprayers_of_the_small_farm():
    # ground rig: pass 1 on 0.395 ac (Jul 6 PM to 7 AM, 4 h, 3 loads) and pass 2 on 0.79 ac (Jul 14, 1.2 h, 2
    # loads), both in one field; hired rig: 1 h on 1.19 ac on Jul 7. 14 and 7 days of 5 h are to plan on
    farm = small_farm()
    assert rig_table(farm, rigs(farm), rigs(farm)).rows == (
        ("ground rig", "1", "2", "1.2", "5", "5.2", "70", "Jul 6", "Jul 14", "-"),
        ("hired rig", "1", "1", "1.2", "1", "1", "35", "Jul 7", "Jul 7", "-"),
        ("all", "2", "3", "2.4", "6", "6.2", "105", "Jul 6", "Jul 14", "-"),
    )


def test_the_first_fields_are_those_with_the_most_at_stake():
    farm = seeded_farm(6, fields=50)
    _, chosen = first_fields(farm)
    usd = sorted((plan.totals.net_usd for plan in farm.plans), reverse=True)
    assert [plan.totals.net_usd for plan in chosen] == usd[:10]
    plans = [
        made_plan(
            Made(
                labels=[[1]], level=1, field=str(later_d), first_planted=TODAY - timedelta(days=70 - later_d)
            )
        )
        for later_d in (5, 1, 9, 3)
    ]
    said, chosen = first_fields(farm_of(plans, {}))
    assert [plan.field for plan in chosen] == ["1", "3", "5", "9"]
    assert "in which R3 comes first" in said


def test_many_zones_left_out_are_the_largest_and_a_count():
    farm = seeded_farm(7, fields=50)
    why = Said("passes.only_another_day")
    left = tuple(
        LeftOut(field=plan.field, zone=1, area_ac=1.0 + place, why=why)
        for place, plan in enumerate(farm.plans)
    )
    told = whole_page(replace(farm, left_out=left), 120)
    assert told.count("pays on another day") == 10
    assert f"{farm.plans[49].field}, zone 1 (50.0 ac)" in told
    assert f"{farm.plans[39].field}, zone 1 (40.0 ac)" not in told
    assert "40 more zones, 820.0 ac" in told  # 1 + 2 + ... + 40


def test_many_late_passes_are_named_in_part():
    plan = made_plan(Made(labels=[[1]]))
    late = MadePass((1,), ((5, "PM", 1.0, 1.0), (7, "AM", 1.0, 1.0)), due_d=6)
    plans = [replace(with_passes(plan, [late]), field=f"F{number:02d}") for number in range(50)]
    told = re.sub(r"\s+", " ", whole_page(farm_of(plans, {}), 120))
    assert "after its due day: F00 pass 1, F01 pass 1" in told
    assert "F11 pass 1 and 38 more" in told


def test_of_many_changes_those_that_add_most_are_told():
    worth = tuple(
        WorthOf(change="an extra sprayer", sprayer=f"rig {place}", usd=10.0 * place) for place in range(40)
    )
    told = re.sub(r"\s+", " ", whole_page(replace(small_farm(), worth=worth), 120))
    assert told.count("would add $") == 8
    assert "a second sprayer like rig 39 would add $390 at most" in told
    assert "none of 32 other changes of sprayers or filling would add more than $320" in told
    none = replace(small_farm(), worth=tuple(replace(one, usd=0.2) for one in worth))
    assert "none of 40 changes of sprayers or filling would add anything" in whole_page(none, 120)


@given(count=st.integers(0, 40), most=st.integers(1, 12))
def test_names_are_all_told_or_counted(count, most):
    names = [f"n{number}" for number in range(count)]
    told = several(names, most=most)
    more = re.search(r" and ([\d,]+) more$", told)
    shown = re.findall(r"n\d+", told)
    assert shown == names[: min(count, most)]
    assert len(shown) + (int(more[1]) if more else 0) == count
