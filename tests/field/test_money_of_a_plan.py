"""What a plan's money must hold, on two demo farms: with and without new wheel tracks, US and metric."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from zoning import field
from zoning.show.report import report

DEMO = Path(__file__).parents[2] / "demo_fields"
FIELDS = (
    "heron_slough/three_dates",
    "heron_slough/gravel_forty",
    "ombu_bend/loma_larga",
    "ombu_bend/bajo_chico",
)


@pytest.fixture(scope="module", params=FIELDS)
def plan(request, tmp_path_factory):
    farm, name = request.param.split("/")
    copy = tmp_path_factory.mktemp("demo") / farm
    shutil.copytree(DEMO / farm, copy, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    return field.run(copy / name, clock=date(2026, 7, 8))


def test_zones_tell_how_their_number_comes_about_and_what_would_turn_it(plan):
    for zone in plan.plan.zones:
        money = zone.money
        gained = sum(step.change_bu_ac for step in money.steps)
        tracks = sum(step.change_bu_ac for step in money.steps if step.name == "tracks")
        assert gained - tracks == pytest.approx(money.response_mean_bu_ac, abs=1e-9)
        assert money.steps[0].name == "published_mean"
        assert sum(money.rests_on_frac.values()) == pytest.approx(1)
        assert money.delay.net_usd_ac[0] == pytest.approx(money.net_mean_usd_ac, abs=1e-9)
        assert money.perfect_information_usd_ac >= 0
        assert {"price", "cost", "response"} <= {one.name for one in money.flips}
        assert zone.action == "spray" or not money.toss_up or money.net_mean_usd_ac > 0


def test_the_field_adds_up(plan):
    totals, zones = plan.plan.totals, plan.plan.zones
    assert totals.net_p10_usd < totals.net_p90_usd
    assert 0 < totals.chance_pays < 1
    assert totals.perfect_information_usd > 0
    assert sum(totals.rests_on_frac.values()) == pytest.approx(1)
    flips = {one.name: one.value for one in totals.flips}
    assert flips["price"] >= totals.break_even_price_usd_bu - 1e-9
    if plan.plan.passes:
        assert totals.net_p10_usd < totals.net_usd < totals.net_p90_usd
        assert totals.nearest_net_usd is None
        for one in plan.plan.passes:
            assert one.later_usd[0] < 5  # a pass is on its best day, or within a toss-up of it
    else:
        assert totals.net_usd == 0
        assert totals.net_p10_usd < totals.nearest_net_usd < totals.net_p90_usd
        assert not any(zone.action == "spray" for zone in zones)
        assert "severity" in flips


def test_json_is_exact_and_the_page_whole(plan):
    text = json.dumps(field.as_object(plan), allow_nan=False)
    whole = json.loads(text)
    for zone, written in zip(plan.plan.zones, whole["zones"], strict=True):
        assert written["net_usd_ac"]["mean"] == pytest.approx(zone.money.net_mean_usd_ac, abs=1e-6)
        assert written["perfect_information_usd_ac"] == pytest.approx(
            zone.money.perfect_information_usd_ac, abs=1e-6
        )
    for width in (44, 80, 120):
        for why in (False, True):
            lines = report(plan.plan, width, why=why).splitlines()
            assert max(map(len, lines)) <= width
    assert len(report(plan.plan).splitlines()) < 70
