"""The plan that a harvest judges, and the rows that go into the farm's book."""

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from made_demo import TODAY, three_dates

from zoning import field
from zoning.errors import InputError
from zoning.harvest.book import book_rows
from zoning.harvest.planned import other_zones, planned_of, which
from zoning.inputs import read, season_book
from zoning.offers import spots
from zoning.seen import known_of
from zoning.settings.read import load
from zoning.stage.likelihood import GRID
from zoning.stage.past_seasons import past
from zoning.strips.learned.judged import judge
from zoning.strips.terms import ByZone, Money, Response, ZoneResponse

SPRAYED, PLANTED = TODAY + timedelta(days=6), date(2026, 5, 4)
COUNT = "date,lat,lon,n,r1,r2,r3,r4\n2026-07-07,44.306080,-95.408371,20,0,15,5,0\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """The demo field with one count, and the plan of its run."""
    folder = three_dates(tmp_path_factory.mktemp("planned"))
    settings = folder / "field.toml"
    text = settings.read_text().split("[[scouting]]")[0]
    settings.write_text(f'variety = "P19"\n{text}\n[[scouting]]\nfile = "counts.csv"\n')
    (folder / "counts.csv").write_text(COUNT)
    field.write(field.run(folder, today=TODAY, seed=3), folder / "out")
    return folder


@pytest.fixture
def plan(folder, tmp_path) -> dict:
    """What plan.json holds, and a folder of its own to keep changed ones in."""
    whole = json.loads((folder / "out" / "plan.json").read_text())
    (tmp_path / "out").mkdir()
    (tmp_path / "history").mkdir()
    return whole | {"at": tmp_path}


def put(plan: dict, name: str, day: date, **changed) -> Path:
    home = plan["at"]
    whole = {key: value for key, value in plan.items() if key != "at"} | {"today": day.isoformat()} | changed
    (home / name).write_text(json.dumps(whole))
    return home


# -- which plan ---------------------------------------------------------------------------------------------


def test_the_plan_is_read_as_it_was_written(folder):
    made = field.run(folder, today=TODAY, seed=3).plan
    found = planned_of(folder, SPRAYED, PLANTED)
    assert (found.file, found.today, found.run_id) == ("out/plan.json", TODAY, made.run_id)
    assert len(found.zones) == len(made.zones) > 1
    for one, zone in zip(found.zones, made.zones, strict=True):
        assert (one.zone, one.block, one.action) == (zone.zone, zone.block, zone.action)
        assert (one.planted, one.maturity_group) == (zone.planted, zone.maturity_group)
        assert one.area_ac == pytest.approx(zone.area_ac)
        assert one.forecast_net_usd_ac == pytest.approx(zone.money.net_mean_usd_ac, abs=1e-3)
        assert one.forecast_chance == pytest.approx(zone.money.chance_pays, abs=1e-3)
    assert "Jul 8 (out/plan.json)" in which(found, SPRAYED).text


def test_the_last_plan_made_by_the_day_counts(plan):
    for back, name in ((2, "2026-07-08_090000_aaaa.json"), (5, "2026-07-06_090000_bbbb.json")):
        put(plan, f"history/{name}", TODAY - timedelta(days=back))
    home = put(plan, "out/plan.json", TODAY)
    assert planned_of(home, TODAY, PLANTED).file == "out/plan.json", "a plan of the very day counts"
    assert planned_of(home, SPRAYED, PLANTED).file == "out/plan.json"
    assert planned_of(home, TODAY - timedelta(days=1), PLANTED).file == "history/2026-07-08_090000_aaaa.json"
    assert planned_of(home, TODAY - timedelta(days=3), PLANTED).file == "history/2026-07-06_090000_bbbb.json"
    assert planned_of(home, TODAY - timedelta(days=6), PLANTED) is None
    assert "no plan was made by Jul 2" in which(None, TODAY - timedelta(days=6)).text


def test_decisions_for_other_zones_are_doubted(plan):
    found = planned_of(put(plan, "out/plan.json", TODAY), SPRAYED, PLANTED)
    (said,) = other_zones(found, "0" * 16)
    assert "plan of Jul 8" in said.text
    assert other_zones(found, plan["zones_id"]) == other_zones(found, None) == other_zones(None, "0") == ()


def test_a_plan_of_another_crop_does_not_count(plan):
    home = put(plan, "out/plan.json", TODAY - timedelta(days=400))
    put(plan, "history/2025-07-01_090000_aaaa.json", TODAY - timedelta(days=380))
    assert planned_of(home, SPRAYED, PLANTED) is None
    put(plan, "history/2026-05-01_090000_bbbb.json", TODAY - timedelta(days=70))
    assert planned_of(home, SPRAYED, PLANTED).today == TODAY - timedelta(days=70)
    put(plan, "out/plan.json", PLANTED - timedelta(days=250))  # the summer before, less than a year ago
    (plan["at"] / "history" / "2026-05-01_090000_bbbb.json").unlink()
    assert planned_of(home, SPRAYED, PLANTED) is None


def test_no_plan_and_broken_ones(plan):
    assert planned_of(plan["at"], SPRAYED, PLANTED) is None
    (plan["at"] / "history" / "2026-07-01_090000_aaaa.json").write_text("{]")
    (plan["at"] / "history" / "2026-07-01_090000_bbbb.json").write_text("[1]")
    put(plan, "history/2026-07-01_090000_cccc.json", TODAY, schema_version=99)
    assert planned_of(plan["at"], SPRAYED, PLANTED) is None
    for broken in (
        "{]",
        "[1]",
        "null",
        '{"schema_version": 1}',
        '{"schema_version": 99}',
        '{"schema_version": 1e999}',
    ):
        (plan["at"] / "out" / "plan.json").write_text(broken)
        with pytest.raises(InputError) as caught:
            planned_of(plan["at"], SPRAYED, PLANTED)
        assert caught.value.code == 3
        assert "out/plan.json" in str(caught.value)


def test_a_plan_without_money_has_zones_without_a_decision(plan):
    nothing = {"action": None, "pass": None, "net_usd_ac": None, "chance_pays": None, "response_bu_ac": None}
    zones = [zone | nothing | {"stage": None} for zone in plan["zones"]]
    found = planned_of(put(plan, "out/plan.json", TODAY, zones=zones), SPRAYED, PLANTED)
    assert {one.action for one in found.zones} == {""}
    assert {one.forecast_net_usd_ac for one in found.zones} == {None}
    assert judge(found.zones, None, None, None, {}) == ()


# -- rows of the book ---------------------------------------------------------------------------------------


def rows_of(folder, zones, judged=()):
    settings = load(folder)
    given = read.field(settings, TODAY, layers=False)
    return given, book_rows(settings, given, (TODAY, 3), zones, judged)


def judged_of(zones):
    money = Money(price_usd_bu=10.0, cost_usd_ac=25.0, tracks_bu_ac=0.0)
    told = ZoneResponse(
        zone=zones[0].zone, pairs=4, length_m=300.0, seen_bu_ac=5.0, mean_bu_ac=4.123456, se_bu_ac=1.0,
        low_bu_ac=2.4, high_bu_ac=5.8, chance_pays=0.93, told="cannot tell",
    )  # fmt: skip
    whole = Response(
        pairs=4, mean_bu_ac=4.0, sd_bu_ac=2.0, se_bu_ac=1.0, low_bu_ac=1.0, high_bu_ac=7.0, p_two_sided=0.1,
        relabelled_p=0.1, from_pooled_sd=False, money=money, chance_pays=0.8, told="cannot tell",
        pairs_needed=9, se_to_learn_bu_ac=1.0,
    )  # fmt: skip
    by_zone = ByZone(
        zones=(told,), zone_sd_bu_ac=1.0, pair_sd_bu_ac=1.0, rest_sd_bu_ac=1.0, differ_p=0.01, differ=True
    )
    return judge(zones, by_zone, whole, money, {zones[0].zone: 1.0})


def test_a_row_holds_forecast_and_outcome(folder):
    zones = planned_of(folder, SPRAYED, PLANTED).zones
    given, rows = rows_of(folder, zones, judged_of(zones))
    assert [row.zone for row in rows] == [zone.zone for zone in zones]
    assert {(row.season, row.field, row.variety) for row in rows} == {(2026, "three_dates", "P19")}
    blocks = {block.name: block for block in given.blocks}
    for row, zone in zip(rows, zones, strict=True):
        assert (row.block, row.action, row.planted) == (zone.block, zone.action, blocks[row.block].planted)
        assert row.chance_pays == pytest.approx(zone.forecast_chance, abs=1e-4)
        assert row.net_usd_ac == pytest.approx(zone.forecast_net_usd_ac, abs=1e-4)
        assert row.r3_forecast_sd_d >= 3.8
    first, *others = rows
    assert (first.sprayed, first.response_bu_ac, first.chance_paid) == (True, 4.1235, 0.93)
    assert {(one.sprayed, one.response_bu_ac, one.chance_paid) for one in others} == {(False, None, None)}


def test_only_blocks_with_counts_of_their_own_were_seen(folder):
    """A count is one witness: it must not speak once more for the blocks that it moved beside its own."""
    _, rows = rows_of(folder, planned_of(folder, SPRAYED, PLANTED).zones)
    seen = {row.block: row for row in rows if row.r3_seen is not None}
    assert len(seen) == 1
    assert len({row.block for row in rows}) > 1
    (row,) = seen.values()
    # a quarter of the plants at R3 on 7 July, before the forecast: R3 came earlier
    assert row.r3_seen < row.r3_forecast
    assert row.r3_seen_sd_d < 2.2 < row.r3_forecast_sd_d


def test_next_season_hears_of_a_row_what_the_count_said(folder):
    """Book and back: the normal of the row against the likelihood of the count itself."""
    settings = load(folder)
    given, rows = rows_of(folder, planned_of(folder, SPRAYED, PLANTED).zones)
    (count,) = spots.heard_in(known_of(settings, given, TODAY, 3))
    text = season_book.as_text(rows)
    path = folder.parent / "season.csv"
    path.write_text(text)
    back = season_book.read(path)
    path.unlink()
    assert back == rows
    (told,) = past(back, 2027, settings.habit, {"three_dates": settings.name})
    assert told.place == replace(count.place, season="2026")

    def moments(logs):
        weight = np.exp(logs - logs.max() - (GRID / told.place.sd_d) ** 2 / 2)
        mean_d = weight @ GRID / weight.sum()
        return mean_d, np.sqrt(weight @ (GRID - mean_d) ** 2 / weight.sum())

    (mean_d, sd_d), (own_mean_d, own_sd_d) = moments(told.log_likelihood), moments(count.log_likelihood)
    assert mean_d == pytest.approx(own_mean_d, abs=0.7)  # days are whole, and weather to come widens a little
    assert sd_d == pytest.approx(own_sd_d, abs=0.4)


def test_without_a_plan_each_block_has_a_row(folder):
    given, rows = rows_of(folder, ())
    assert [row.block for row in rows] == [block.name for block in given.blocks]
    assert {(row.zone, row.action, row.chance_pays) for row in rows} == {(0, "", None)}
    assert all(row.r3_forecast is not None for row in rows)


def test_a_block_that_goes_by_another_letter_is_found_by_its_planting(folder):
    zones = planned_of(folder, SPRAYED, PLANTED).zones
    _, rows = rows_of(folder, zones)
    days = {zone.planted for zone in zones}
    assert len(days) == len({zone.block for zone in zones}), "each block of the demo has a day of its own"
    other = [replace(zone, block="Z") for zone in zones]
    _, found = rows_of(folder, other)
    assert [row.r3_forecast for row in found] == [row.r3_forecast for row in rows]
    _, lost = rows_of(folder, [replace(zone, planted=date(2026, 5, 31)) for zone in zones])
    assert {row.r3_forecast for row in lost} == {None}
