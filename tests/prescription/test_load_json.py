"""The load sheet in plan.json: units in keys, metric twins, and the keys that the page names."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from made_plans import Made, made_plan
from made_sheets import made_cover, made_sheet

from zoning.prescription.as_json.load_json import sheet_object
from zoning.prescription.as_json.plan_json import as_object, as_text

PAGE = (Path(__file__).parents[2] / "docs/reference/files.md").read_text(encoding="utf-8")


def test_by_hand_the_figures_of_case_e():
    # see tests/passes/test_loads.py: 120 ac at 15 gal/ac, 8 fl oz/ac = 0.0625 gal/ac
    found = sheet_object(made_sheet(), metric=False)
    assert found["dose"] == "8 fl oz/ac"
    assert (found["dose_gal_ac"], found["dose_lb_ac"]) == (0.0625, None)
    assert (found["mix_gal"], found["full_loads"]) == (1800, 1)
    full, last = found["full_load"], found["last_load"]
    assert (full["mix_gal"], full["product_gal"], full["product_lb"]) == (1000, 4.166667, None)
    assert full["water_gal"] == pytest.approx(995.833333)
    assert last["area_ac"] == pytest.approx(53.333333)
    assert full["adjuvant_gal"] is full["adjuvant_lb"] is None
    assert [one["zone"] for one in found["zones"]] == [1, 3]
    assert found["neighbours"] == {"north": None, "east": None, "south": None, "west": None}
    assert "load_sheet" in as_object(made_plan(Made(labels=[[1, 2], [3, 3]])))["passes"][0]


def test_metric_twins_by_hand():
    # 1 gal = 3.785412 L, 1 ac = .4046856 ha, 1 lb = .4535924 kg, 1 mph = 1.609344 km/h, 1 psi = .0689476 bar
    found = sheet_object(made_sheet(product={"dose": "4 oz/ac", "max_dose": "8 oz/ac"}), metric=True)
    assert found["dose_kg_ha"] == pytest.approx(0.25 * 0.4535924 / 0.4046856, rel=1e-5)
    assert found["dose_l_ha"] is None
    assert found["mix_l"] == pytest.approx(1800 * 3.785412, rel=1e-6)
    assert found["full_load"]["product_kg"] == pytest.approx(1000 / 15 * 0.25 * 0.4535924, rel=1e-5)
    assert found["full_load"]["water_l"] == pytest.approx(3785.412, rel=1e-6)
    assert found["zones"][0]["area_ha"] == pytest.approx(40 * 0.4046856, rel=1e-6)
    assert found["zones"][0]["speed_kmh"] == pytest.approx(found["zones"][0]["speed_mph"] * 1.609344)
    assert found["pressure_bar"] == pytest.approx(90 * 0.0689476, rel=1e-5)


def test_a_plan_with_a_sheet_is_json():
    plan = made_plan(Made(labels=[[1, 2], [3, 3]]))
    with_sheet = replace(plan, passes=(replace(plan.passes[0], sheet=made_sheet()),))
    assert '"load_sheet": {' in as_text(as_object(with_sheet))
    assert sheet_object(None, metric=True) is None


def test_by_hand_the_edges():
    # 120 - .4 + 1.5 + .6 = 121.7 ac = 49.2502 ha; 90 ft / 9 = 3.048 m
    sheet = replace(made_sheet(), cover=made_cover(1.5, 0.6, 0.4))
    found = sheet_object(sheet, metric=True)["edges"]
    assert (found["section_m"], found["sections"]) == (3.048, 9)
    assert [found[f"{key}_ac"] for key in ("sprayed", "over", "off_crop", "missed")] == [121.7, 1.5, 0.6, 0.4]
    assert found["sprayed_ha"] == pytest.approx(121.7 * 0.40468564)
    assert found["off_crop_ha"] == pytest.approx(0.6 * 0.40468564, abs=1e-6)
    assert "sprayed_ha" not in sheet_object(sheet, metric=False)["edges"]
    assert sheet_object(made_sheet(), metric=True)["edges"] is None


def test_the_page_names_every_key_and_no_other():
    table = PAGE.split("Its `load_sheet`.")[1].split("\n\n")[1]
    rows = [line for line in table.splitlines() if line.startswith("| `")]
    named = [key for row in rows for key in re.findall(r"`([^`]+)`", row.split("|")[1])]
    found = sheet_object(replace(made_sheet(), cover=made_cover()), metric=False)
    flat = [key for key in found if key != "last_load"]
    assert [key for key in named if key != "last_load"] == flat
    for inner in (found["last_load"], found["label"], found["neighbours"], found["zones"][0], found["edges"]):
        assert all(f"`{key}`" in table for key in inner)
