"""plan.json: the keys of the design, no NaN, the metric figures beside the US ones."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import Made, made_plan, with_scouting

from zoning.plan import NO_PRICE_PAYS, SOURCES, Plan
from zoning.prescription.as_json.plan_json import as_object, as_text, sums_of
from zoning.returns.terms import Flip

ZONE = [
    "zone",
    "name",
    "block",
    "area_ac",
    "planted",
    "maturity_group",
    "stage",
    "spray_from",
    "spray_by",
    "action",
    "rate_gal_ac",
    "pass",
    "spray_on",
    "sprayed_on",
    "provisional",
    "net_usd_ac",
    "chance_pays",
    "break_even_price_usd_bu",
    "break_even_response_bu_ac",
    "response_bu_ac",
    "by_source",
    "perfect_information_usd_ac",
    "toss_up",
    "no_contrast_usd_ac",
    "steps",
    "rests_on_frac",
    "delay",
    "flips",
    "reason",
    "override",
]
PASS = [
    *("pass", "sprayer", "day", "half", "rate_gal_ac", "area_ac", "treated_ac", "map_id"),
    *("not_followed", "loads"),
    *("visit_costs_usd", "zones"),
    *("later_usd", "hours_h", "parts", "due", "in_time_frac", "in_time_years", "load_sheet"),
]
TOTALS = [
    *("spray_ac", "skip_ac", "net_usd", "visit_costs_usd", "carrier_gal", "net_p10_usd", "net_p90_usd"),
    *("chance_pays", "break_even_price_usd_bu", "perfect_information_usd", "rests_on_frac", "costs", "flips"),
    "nearest_net_usd",
]
FLIPS = ["price_usd_bu", "cost_usd_ac", "response_bu_ac", "day", "tracks_bu_ac", "severity_pct"]
WHOLE = [
    "schema_version",
    "run_id",
    "zones_id",
    "field",
    "today",
    "crs",
    "area_ac",
    "no_spray_ac",
    "schedule",
    "response_source",
    "zones",
    "no_spray",
    "passes",
    "check_strips",
    "zoning",
    "scouting",
    "walks",
    "totals",
    "since",
    "since_zones",
    "notes",
    "files",
]


def plan_of(**wanted) -> Plan:
    return made_plan(Made(labels=[[1, 2], [3, 3]], **wanted))


def with_money(plan: Plan, **changes: object) -> Plan:
    zone = plan.zones[0]
    return replace(plan, zones=(replace(zone, money=replace(zone.money, **changes)), *plan.zones[1:]))


def test_keys_are_those_of_the_design():
    found = as_object(plan_of(), ["map.png"])
    assert list(found) == WHOLE
    assert list(found["zones"][0]) == ZONE
    assert list(found["zones"][0]["stage"]) == ["r1", "r3_early", "r3_likely", "r3_late", "closes", "sd_d"]
    assert list(found["zones"][0]["net_usd_ac"]) == ["mean", "p10", "p90"]
    assert list(found["zones"][0]["response_bu_ac"]) == ["mean", "sd"]
    assert list(found["zones"][0]["by_source"]) == list(SOURCES)
    assert list(found["zones"][0]["reason"]) == ["code", "text"]
    assert list(found["passes"][0]) == PASS
    assert list(found["totals"]) == TOTALS
    assert list(found["totals"]["costs"][0]) == ["name", "cost_usd_ac", "cost_usd", "counted"]
    assert list(found["totals"]["flips"]) == list(found["zones"][0]["flips"]) == FLIPS
    assert list(found["zones"][0]["steps"][0]) == ["name", "kind", "evidence", "change_bu_ac"]
    assert list(found["zones"][0]["delay"]) == ["from", "net_usd_ac", "pays_until"]
    assert found["files"] == ["map.png"]
    assert found["schema_version"] == 1
    assert found["crs"] == "EPSG:32615"
    assert found["zones"][0]["stage"]["r3_likely"] == "2026-07-08"


@pytest.mark.parametrize("level", [1, 2, 3])
def test_what_was_scouted_stands_in_the_plan_at_every_level(level):
    plan = with_scouting(plan_of(level=level), counted=[1], low=[3])
    count, pressure = as_object(plan)["scouting"]
    written = ["stage", "severity_pct", "note", "photo", "observer", "source"]  # as the scout wrote it down
    assert list(count) == ["date", "lon", "lat", "zone", "kind", "text", *written]
    assert (count["date"], count["zone"], count["kind"]) == ("2026-06-28", 1, "count")
    assert count["text"] == "20 plants: 14 R2, 6 R3"
    assert (pressure["date"], pressure["zone"], pressure["kind"]) == ("2026-06-29", 3, "pressure")
    # six decimals of a degree are 0.11 m at most
    assert (count["lon"], count["lat"]) == pytest.approx(
        (plan.scouting[0].lon, plan.scouting[0].lat), abs=5.1e-7
    )
    assert [zone["provisional"] for zone in as_object(plan)["zones"]] == [False, True, True]
    assert as_object(plan_of(level=level))["scouting"] == []


@pytest.mark.parametrize("level", [1, 2])
def test_what_a_level_does_not_know_is_null(level):
    found = as_object(plan_of(level=level, dates=level > 1))
    zone = found["zones"][0]
    assert zone["rate_gal_ac"] is zone["pass"] is zone["spray_on"] is None
    assert found["passes"] == []
    if level == 1:
        assert found["totals"] is zone["action"] is zone["net_usd_ac"] is zone["by_source"] is None
        assert zone["stage"] is None
    else:
        assert zone["action"] == "spray"
        assert zone["by_source"]["own trials"] is None
        assert zone["by_source"]["pooled trials"]["action"] == "skip"


def test_metric_figures_stand_beside():
    # by hand: 1 ha = 2.471054 ac, 1 t = 36.7437 bu, 10 gal/ac = 93.53956 L/ha, 1 bu/ac = 67.25107 kg/ha
    found = as_object(plan_of(units="metric"))
    zone, visit, totals = found["zones"][0], found["passes"][0], found["totals"]
    assert found["area_ha"] == pytest.approx(found["area_ac"] / 2.471054, rel=1e-6)
    assert zone["rate_l_ha"] == pytest.approx(zone["rate_gal_ac"] * 9.353956, rel=1e-6)
    assert zone["net_usd_ha"]["p10"] == pytest.approx(zone["net_usd_ac"]["p10"] * 2.471054, rel=1e-6)
    assert zone["break_even_price_usd_t"] == pytest.approx(
        zone["break_even_price_usd_bu"] * 36.7437, rel=1e-5
    )
    assert zone["response_kg_ha"]["sd"] == pytest.approx(zone["response_bu_ac"]["sd"] * 67.25107, rel=1e-6)
    assert zone["by_source"]["practice series"]["net_usd_ha"] == pytest.approx(17.0 * 2.471054, rel=1e-6)
    assert visit["area_ha"] == pytest.approx(visit["area_ac"] / 2.471054, rel=1e-6)
    assert totals["carrier_l"] == pytest.approx(totals["carrier_gal"] * 3.785412, rel=1e-6)
    # every figure inside lists and objects too
    assert zone["no_contrast_usd_ha"] == pytest.approx(zone["no_contrast_usd_ac"] * 2.471054, rel=1e-6)
    assert zone["delay"]["net_usd_ha"][2] == pytest.approx(
        zone["delay"]["net_usd_ac"][2] * 2.471054, rel=1e-6
    )
    assert zone["steps"][0]["change_kg_ha"] == pytest.approx(1.64 * 67.25107, rel=1e-6)
    flips = zone["flips"]
    assert flips["price_usd_t"] == pytest.approx(flips["price_usd_bu"] * 36.7437, rel=1e-5)
    assert flips["cost_usd_ha"] == pytest.approx(flips["cost_usd_ac"] * 2.471054, rel=1e-6)
    assert flips["response_kg_ha"] == pytest.approx(2.69 * 67.25107, rel=1e-6)
    costs = totals["costs"]
    assert costs[0]["cost_usd_ha"] == pytest.approx(19 * 2.471054, rel=1e-6)  # a price, not an area
    assert "cost_usd_ha" in costs[2]
    assert costs[2]["cost_usd_ac"] is costs[2]["cost_usd_ha"] is None  # billed by the visit
    keys = list(zone)
    assert keys.index("area_ha") == keys.index("area_ac") + 1


def test_no_price_pays_is_null_and_told_from_level_1_by_the_net():
    zone = as_object(with_money(plan_of(), break_even_price_usd_bu=NO_PRICE_PAYS))["zones"][0]
    assert zone["break_even_price_usd_bu"] is None
    assert zone["net_usd_ac"] is not None


def test_a_response_that_no_bushel_reaches_is_null():
    zone = as_object(with_money(plan_of(), break_even_response_bu_ac=float("inf")))["zones"][0]
    assert zone["break_even_response_bu_ac"] is None


def test_shares_of_every_kind_of_evidence_stand_there_and_sum_to_one():
    found = as_object(plan_of())
    for one in (found["totals"], *found["zones"]):
        shares = one["rests_on_frac"]
        assert list(shares) == (
            ["yours", "published", "standard", "computed", "common practice", "from memory", "assumption"]
        )
        assert sum(shares.values()) == pytest.approx(1)


def test_what_turns_nothing_is_null():
    flips = as_object(plan_of())["zones"][0]["flips"]
    assert flips["day"] is flips["tracks_bu_ac"] is flips["severity_pct"] is None
    by_day = with_money(plan_of(), flips=(Flip(name="day", value=739812.0),))
    assert as_object(by_day)["zones"][0]["flips"]["day"] == "2026-07-15"  # date.fromordinal(739812)


def test_sums_of_fields_add_only_what_adds_up():
    # 10 and 90 % of two fields are not those of both together
    together = sums_of([plan_of(), plan_of()])
    one = as_object(plan_of())["totals"]
    assert list(together) == ["area_ac", "no_spray_ac", *TOTALS[:5]]
    assert together["net_usd"] == pytest.approx(2 * one["net_usd"], abs=1e-5)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_a_figure_that_must_exist_is_never_written_as_nan(value):
    with pytest.raises(ValueError, match=r"net_usd_ac\.mean"):
        as_object(with_money(plan_of(), net_mean_usd_ac=value))


@settings(max_examples=30, deadline=None)
@given(
    net=st.floats(-1e6, 1e6),
    price=st.floats(0, 1e9),
    chance=st.floats(0, 1),
    field=st.text(max_size=300),
    units=st.sampled_from(["us", "metric"]),
)
def test_text_is_strict_json_and_keeps_the_figures(net, price, chance, field, units):
    plan = with_money(
        plan_of(units=units), net_mean_usd_ac=net, break_even_price_usd_bu=price, chance_pays=chance
    )
    plan = replace(plan, field=field)

    def refuse(word):
        raise AssertionError(word)

    text = as_text(as_object(plan))
    back = json.loads(text, parse_constant=refuse)
    assert back == as_object(plan)
    assert back["field"] == field
    zone = back["zones"][0]
    assert zone["net_usd_ac"]["mean"] == pytest.approx(net, abs=1e-6)
    assert (zone["break_even_price_usd_bu"] is None) == (price >= NO_PRICE_PAYS)
    assert "-0.0," not in text
    assert "-0.0\n" not in text
