"""Where a plan sends people to count: what `sprayworth scout` says of the same field, and no other."""

import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import shapely

from zoning import farm, field, scout
from zoning.evidence import number
from zoning.inputs.decisions import Decision
from zoning.offers import walks
from zoning.settings.read import load
from zoning.units import date_from_day

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"
CLOCK = date(2026, 7, 8)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    copy = tmp_path_factory.mktemp("walks") / "heron_slough"
    shutil.copytree(DEMO, copy, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    return copy


@pytest.fixture(scope="module")
def offers(demo):
    names = ("three_dates", "level_eighty", "gravel_forty")
    return {name: field.offer(demo / name, seed=0, clock=CLOCK) for name in names}


@pytest.mark.parametrize("name", ["three_dates", "level_eighty", "gravel_forty"])
def test_the_walks_of_a_plan_are_those_of_scout(demo, offers, name):
    ranked = scout.rank(demo / name, today=None, seed=0, clock=CLOCK)
    worth = [row for row in ranked.rows if (row.walk.usd or 0) > number("passes.walk_worth_usd")]
    worth = sorted(worth, key=lambda row: -row.walk.usd)[:3]
    found = walks.of_plan(offers[name], 0)
    assert [(one.zone, one.usd, one.plants) for one in found] == [
        (row.zone, row.walk.usd, row.walk.plants) for row in worth
    ]
    for one, row in zip(found, worth, strict=True):
        assert one.day == date_from_day(row.walk.day) >= CLOCK
        assert (one.lon, one.lat) == row.lonlat
        assert {(ranked.name, zone) for zone in one.informs} == set(row.informs)
    assert bool(found) == (name != "gravel_forty")  # there no count is worth a walk


def test_the_place_to_stand_lies_in_the_zone(offers):
    (best, *_) = walks.of_plan(offers["level_eighty"], 0)
    zones = {one.zone: one.outline for one in offers["level_eighty"].zones}
    assert zones[best.zone].contains(shapely.Point(best.lon, best.lat))


def test_no_count_is_worth_anything_for_a_zone_that_the_user_skips(offers):
    offer = offers["level_eighty"]
    skip = {
        one.zone: Decision(zone=one.zone, action="skip", rate_gal_ac=None, reason="wet", decided_on=None)
        for one in offer.zones
    }
    (best, *_) = walks.of_plan(offer, 0)
    for now in walks.of_plan(replace(offer, decisions={best.zone: skip[best.zone]}), 0):
        assert best.zone not in now.informs
        assert now.usd < best.usd
    assert walks.of_plan(replace(offer, decisions=skip), 0) == ()


def test_nobody_is_sent_without_money_or_into_a_field_that_was_sprayed(demo, offers):
    offer = offers["level_eighty"]
    assert walks.of_plan(replace(offer, options=None), 0) == ()
    copy = demo.parent / "sprayed" / "level_eighty"
    shutil.copytree(demo, copy.parent)
    (copy.parent / "done.csv").write_text(
        "field,end,product\nLevel Eighty,2026-07-07 09:00,Something Else\n", encoding="utf-8"
    )
    assert walks.of_plan(replace(offer, settings=load(copy)), 0) == ()


def test_a_run_and_a_farm_have_them(demo):
    two = demo.parent / "two"
    shutil.copytree(demo, two)
    for name in ("gravel_forty", "point_rows", "three_dates"):
        shutil.rmtree(two / name)
    found = {one.field: one.walks for one in farm.run(two, clock=CLOCK).plans}
    alone = field.run(two / "level_eighty", clock=CLOCK).plan.walks
    assert alone
    # the fields' other counts weigh in on both, and each field is weighed by itself
    assert [one.zone for one in found["Level Eighty"]] == [one.zone for one in alone]
    assert found["Level Eighty"][0].usd == pytest.approx(alone[0].usd)
