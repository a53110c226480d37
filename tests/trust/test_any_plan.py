"""Any plan as plan.json: read by a plain reader of JSON it is the plan, and our own reader takes the same."""

import json

import pytest
from any_plan import any_plan
from hypothesis import given, settings

from zoning.prescription import handed
from zoning.prescription.as_json import plan_json


def no_number(text: str) -> None:
    raise AssertionError(f"{text} is no number that all programs read")


@settings(max_examples=60)
@given(any_plan())
def test_plan_json_read_back_is_the_plan(plan):
    text = plan_json.as_text(plan_json.as_object(plan, ["zones.gpkg"]))
    whole = json.loads(text.encode("utf-8"), parse_constant=no_number)
    assert (whole["field"], whole["today"], whole["crs"]) == (plan.field, "2026-07-01", f"EPSG:{plan.epsg}")
    assert whole["area_ac"] == pytest.approx(plan.area_ac, abs=0.01)
    assert [one["zone"] for one in whole["zones"]] == [zone.zone for zone in plan.zones]
    for one, zone in zip(whole["zones"], plan.zones, strict=True):
        assert (one["action"], one["pass"], one["block"]) == (zone.action, zone.pass_number, zone.block)
        assert one["rate_gal_ac"] == zone.rate_gal_ac
        assert one["planted"] == zone.planted.isoformat()
        assert one["spray_on"] == (zone.spray_on and zone.spray_on.isoformat())
        assert (one["stage"] is None) == (zone.window is None)
        assert one["reason"]["text"] == zone.reason.text
        if plan.units == "metric" and zone.rate_gal_ac:
            assert one["rate_l_ha"] == pytest.approx(zone.rate_gal_ac * 9.35395607, rel=1e-3)
    for one, visit in zip(whole["passes"], plan.passes, strict=True):
        assert (one["pass"], one["zones"]) == (visit.number, list(visit.zones))
        assert (one["day"], one["rate_gal_ac"]) == (visit.day.isoformat(), visit.rate_gal_ac)
    again = handed.of_object(whole)
    assert (again.field, again.zones, again.today) == (
        plan.field,
        tuple(z.zone for z in plan.zones),
        plan.today,
    )
    assert [one.rate_gal_ac for one in again.passes] == [one.rate_gal_ac for one in plan.passes]
