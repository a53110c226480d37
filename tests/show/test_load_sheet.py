"""The load sheet as a page: everything is on it, nothing is guessed, and it fits a page."""

import re
from dataclasses import replace
from datetime import date

import pytest
from made_plans import Made, made_plan
from made_sheets import DRONE, MONEY, made_cover, made_sheet
from made_strips import with_strips

from zoning.show.load_sheet import WIDTH, texts
from zoning.words import SENTENCES, Said, cautions

LONGEST_PAGE = 66  # lines of a page at six to the inch
FULL = {
    "product": {
        "adjuvant": "1 pt/ac", "foliar_feed": "1 qt/ac", "droplet": "medium", "hay_grazing_d": 14,
        "rainfast_h": 1,
    },
    "rig": {"overage": "25 gal"},
    "entrance": "north gate off the county road",
    "wires": "power line along the east edge",
    "contact": "Ana, 555 0100",
    "neighbours": {"north": "hives, 200 ft", "east": "none", "south": "organic farm", "west": "school"},
}  # fmt: skip


def plan_with(sheet, *, units="us", country="US"):
    plan = made_plan(Made(labels=[[1, 2], [3, 3]], cell_m=100, units=units))
    one = replace(plan.passes[0], sheet=sheet)
    return replace(plan, passes=(one,), country=country, cautions=cautions(country))


def page_of(sheet, **wanted):
    return texts(plan_with(sheet, **wanted))["passes/P1/load_sheet.txt"]


def joined(page):
    """The words of a page without the breaks of its lines."""
    return " ".join(page.split())


def row(page, name):
    return next(line for line in page.splitlines() if line.startswith(name))


def test_names_of_the_files_are_beside_the_operators_set():
    assert list(texts(plan_with(made_sheet()))) == ["passes/P1/load_sheet.txt", "passes/P1/record.txt"]
    assert texts(plan_with(None)) == {}


def test_by_hand_the_loads_of_case_e():
    # tests/passes/test_loads.py: 1,000 and 800 gal, 533.3 and 426.7 fl oz = 4.17 and 3.33 gal
    page = page_of(made_sheet())
    assert row(page, "mix").split("  ")[-1].strip() == (
        "1,800 gal for 120.0 ac at 15 gal/ac, in 2 loads; overage 0 gal"
    )
    assert row(page, "spray mix").split("  ")[-1].strip() == "800.0 gal"
    assert "1,000 gal" in row(page, "spray mix")
    assert row(page, "treats").split() == ["treats", "66.7", "ac", "53.3", "ac"]
    assert "533.3 fl oz = 4.17 gal" in row(page, "Invented Fungicide A")
    assert "426.7 fl oz = 3.33 gal" in row(page, "Invented Fungicide A")
    assert row(page, "water").split() == ["water", "995.8", "gal", "796.7", "gal"]
    assert "first load" in page
    assert "1: 40.0 ac at 11.9 mph; 3: 80.0 ac at 11.9 mph" in page
    assert "nozzle 04, 90 psi" in joined(page)


def test_the_speed_has_its_pressure_and_the_nozzles_chart():
    # 5940 x .4 x sqrt(30 / 40) / (15 x 20) = 6.86, so the machine's own 7 mph; with
    # pressure control less flow is less pressure, pulsed nozzles keep theirs
    chart = "check in the nozzle's chart that these pressures give the droplets the label asks for"
    held = (
        "15 gal/ac is held from 7.0 mph to 11.9 mph; nozzle 04, 90 psi at the higher speed, less at the lower"
    )
    assert f"speed {held}; {chart}" in joined(page_of(made_sheet()))
    pulsed = made_sheet(rig={"pressure": "60 psi", "duty": [0.25, 0.95]})
    assert re.search(
        rf"nozzle 04, 60 psi at any speed, duty \d+ % at the higher speed; {chart}", joined(page_of(pulsed))
    )
    one_speed = replace(made_sheet(), slowest_mph=max(one.speed_mph for one in made_sheet().zones))
    assert f"nozzle 04, 90 psi; {chart}" in joined(page_of(one_speed))
    assert chart not in joined(page_of(made_sheet({1: 4.2}, 5.0, base=DRONE)))


def test_by_hand_the_same_in_metric():
    # 1,800 gal = 6,814 L; 120 ac = 48.6 ha; 15 gal/ac = 140 L/ha; 11.88 mph = 19.1 km/h; 90 psi = 6.2 bar;
    # 600 mL/ha on 66.67 ac = 26.979 ha are 16,187 mL = 16.19 L
    page = page_of(
        made_sheet(
            product={"dose": "600 mL/ha", "max_dose": "1200 mL/ha", "max_wind": "16 km/h"}, units="metric"
        ),
        units="metric",
        country="AR",
    )
    assert "6,814 L for 48.6 ha at 140 L/ha" in page
    assert "16,187 mL = 16.19 L" in row(page, "Invented Fungicide A")
    assert "19.1 km/h" in page
    assert "6.2 bar" in joined(page)
    # 15 gal/ac is 140.3 L/ha, 10 is 93.54: 600 x 93.54 / 140.3 = 400
    assert "mixed for 140.3 L/ha, sprayed at 93.54 L/ha: 400 mL/ha instead of 600" in joined(page)
    assert not {"gal", "ac", "mph", "psi", "lb"} & set(page.replace("/", " ").split())


def test_what_is_weighed_is_shown_in_pounds_or_kilograms():
    # 66.67 ac x 4 oz = 266.7 oz = 16.67 lb = 7.56 kg
    sheet = made_sheet(product={"dose": "4 oz/ac", "max_dose": "8 oz/ac"})
    assert "266.7 oz = 16.67 lb" in row(page_of(sheet), "Invented Fungicide A")
    assert "266.7 oz = 7.56 kg" in row(page_of(sheet, units="metric"), "Invented Fungicide A")


def test_an_amount_that_nobody_gave_is_a_blank_and_never_0():
    page = page_of(made_sheet())
    for name in ("adjuvant", "foliar feed"):
        assert row(page, name).count("amount not given ________") == 2
    page = page_of(made_sheet(**FULL))
    # 66.67 ac x 1 pt = 66.67 pt = 8.33 gal
    assert "66.67 pt = 8.33 gal" in row(page, "adjuvant 1 pt/ac")
    assert "amount not given" not in page


def test_what_nobody_typed_is_left_to_the_pen():
    page = page_of(made_sheet())
    for name in ("calls it off", "entrance", "wires", "next field"):
        assert row(page, name).endswith("________"), name
    for side in ("north", "east", "south", "west"):
        assert f"{side} ___" in page
    assert "ask about hives, organic or sensitive crops, homes and schools" in joined(page)
    for blank in ("droplets ____", "hay and grazing ____", "rainfast after ____"):
        assert blank in joined(page)
    full = page_of(made_sheet(**FULL))
    assert "north hives, 200 ft; east none; south organic farm; west school" in joined(full)
    assert "ask about hives" not in joined(full)
    for typed in ("north gate off", "power line along", "Ana, 555 0100", "droplets medium"):
        assert typed in joined(full)
    assert "no hay, no grazing for 14 d" in joined(full)
    assert "no rain for 1 h" in joined(full)


def test_lines_that_every_sheet_has():
    page = joined(page_of(made_sheet(**FULL)))
    assert "last product in tank ____________ rinsed by ________ date" in page
    assert "wind speed _____ from _____ distance _____ decision ____" in page
    assert "depends on the wind at spraying" in page
    assert "jar test" in page
    assert "as the label in hand says" in page
    # 30 d after Jul 6
    assert "no harvest for 30 d, before Aug 5" in page
    assert "wind at most 10 mph" in page
    assert "nobody goes in for 12 h" in page
    assert "from Jul 4 by Jul 11" in page
    assert "application 1 of this product" in page
    for caution in cautions("US"):
        assert caution in page
    assert "breaks federal law" not in joined(page_of(made_sheet(), country="AR"))


def test_the_next_field_is_named_where_it_is_known():
    assert row(page_of(replace(made_sheet(), next_field="Loma Larga")), "next field").endswith("Loma Larga")
    other = replace(made_sheet(), next_field="Loma Larga", next_same_mix=False)
    assert "Loma Larga, with another mix: what is left here does not go into it" in joined(page_of(other))
    assert "another mix" not in page_of(replace(other, next_field=""))


def test_by_hand_the_product_to_order_and_by_when():
    # 120 ac x 8 fl oz = 960 fl oz = 960 / 128 gal = 7.5 gal; 25 gal more hold 25 / 15 x 8 = 13.3 fl oz
    assert row(page_of(made_sheet()), "dose").endswith("960.0 fl oz = 7.50 gal in all")
    assert "973.3 fl oz = 7.60 gal in all" in row(page_of(made_sheet(rig={"overage": "25 gal"})), "dose")
    one_load = page_of(made_sheet({1: 40.0}))  # 320 fl oz = 2.5 gal
    assert "320.0 fl oz = 2.50 gal in all" in row(one_load, "dose")
    plan = plan_with(made_sheet())
    assert "before" not in [
        line.split(" ")[0] for line in texts(plan)["passes/P1/load_sheet.txt"].splitlines()
    ]
    ahead = replace(plan.passes[0], order_by=date(2026, 6, 27), call_by=date(2026, 7, 2))
    page = texts(replace(plan, passes=(ahead,)))["passes/P1/load_sheet.txt"]
    assert row(page, "before").endswith("order product by Jun 27; call the applicator by Jul 2")


def test_the_interval_runs_from_the_last_day_of_the_pass():
    plan = plan_with(made_sheet())
    one = replace(plan.passes[0], day=date(2026, 7, 20))
    page = texts(replace(plan, passes=(one,)))["passes/P1/load_sheet.txt"]
    assert "before Aug 19" in joined(page)


def test_zones_whose_best_days_do_not_meet_are_told():
    plan = plan_with(made_sheet())
    late = replace(plan.zones[2], spray_from=date(2026, 7, 20), spray_by=date(2026, 7, 27))
    page = texts(replace(plan, zones=(*plan.zones[:2], late)))["passes/P1/load_sheet.txt"]
    assert "from Jul 4 by Jul 27, no one day being best for all zones" in joined(page)


def test_a_drone_has_many_loads_and_no_nozzle():
    page = page_of(made_sheet({1: 4.2}, 5.0, base=DRONE))
    assert "each of first 2 loads" in page
    assert "nozzle" not in page
    assert "battery" in page


def test_another_pass_has_its_blank_and_an_insecticide_its_threshold():
    insects = joined(page_of(made_sheet(money=MONEY | {"other_pass": "insecticide"})))
    assert "also in tank insecticide ________; its threshold was met, seen by ________ on" in insects
    assert "never from this one" in insects
    weeds = joined(page_of(made_sheet(money=MONEY | {"other_pass": "late herbicide"})))
    assert "also in tank late herbicide ________ label" in weeds
    assert "threshold" not in weeds
    assert "also in tank" not in page_of(made_sheet())


def test_a_triazole_on_a_dry_crop_is_said():
    assert "can burn the leaves" in joined(page_of(made_sheet(drought=True)))
    assert "can burn the leaves" not in joined(page_of(made_sheet()))
    only_11 = made_sheet(drought=True, product={"groups": ["11"]})
    assert "can burn the leaves" not in joined(page_of(only_11))


def test_injected_product_is_marked():
    page = page_of(made_sheet(rig={"injection": True}))
    assert "* injected, not in the tank" in page
    assert row(page, "Invented Fungicide A *")


def edges_of(cover, *, units="us", **wanted):
    """The row of the edges, without the breaks of its lines; empty where there is none."""
    rest = joined(page_of(replace(made_sheet(**wanted), cover=cover), units=units)).split(" edges ")
    return rest[1].split(" dose ")[0] if len(rest) > 1 else ""


def test_by_hand_what_is_sprayed_beyond_the_ground_of_the_pass():
    # 1.5 + 0.7 = 2.2 ac, of 120 ac 1.83 %; 2.2 ac x 15 gal/ac = 33 gal; 45 - 33 = 12
    cover = made_cover(1.5, 0.7)
    said = (
        "sections of 10 ft spray 1.8 % more than is to be sprayed: 1.5 ac on ground to be left, 0.7 ac off "
    )
    said += "the crop; that takes 33 gal of mix more"
    missing = " than the loads hold: have it ready, or add it to `overage`"
    assert edges_of(cover) == f"{said}{missing} (0 gal here)"
    assert edges_of(cover, rig={"overage": "25 gal"}) == f"{said}{missing} (25 gal here)"
    assert edges_of(cover, rig={"overage": "45 gal"}) == (
        f"{said}: the overage of 45 gal holds it if no more than 12 gal stay in lines and pump"
    )


def test_by_hand_the_edges_in_metric():
    # 1.5 ac = 0.607 ha, 0.7 ac = 0.283 ha; 33 gal = 124.9 L; 45 gal = 170.3 L, less 124.9 L 45.4 L
    found = edges_of(made_cover(1.5, 0.7), units="metric", rig={"overage": "45 gal"})
    assert found.startswith("sections of 3.0 m spray 1.8 % more")
    assert "0.6 ha on ground to be left, 0.3 ha off the crop; that takes 125 L of mix more" in found
    assert found.endswith("the overage of 170 L holds it if no more than 45 L stay in lines and pump")


def test_by_hand_what_stays_dry_beside_setbacks_takes_no_mix():
    # 1.0 ac beyond and 0.4 ac dry: 0.6 ac x 15 = 9 gal
    found = edges_of(made_cover(0.0, 1.0, 0.4))
    assert "more than is to be sprayed: 1.0 ac off the crop; 0.4 ac beside setbacks stay dry" in found
    assert "that takes 9 gal of mix more" in found
    assert edges_of(made_cover(missed_ac=0.4)) == "0.4 ac beside setbacks stay dry"
    assert "takes" not in edges_of(made_cover(0.1, 0.1, 0.4))


def test_a_boom_without_sections_is_not_called_one():
    found = edges_of(made_cover(4.0, 2.0, sections=1))
    assert found.startswith(
        "a boom or swath of 90 ft without sections sprays 5.0 % more than is to be sprayed:"
    )


def test_edges_too_small_to_be_written_are_not_told():
    assert edges_of(made_cover(0.04, 0.04, 0.04)) == ""
    assert edges_of(made_cover(0.04, 0.06)).split(": ")[1].startswith("0.1 ac off the crop;")
    assert edges_of(None) == ""
    # 0.1 ac are 0.04 ha
    assert edges_of(made_cover(0.1, 0.1, 0.1), units="metric") == ""


def test_the_edges_change_no_load():
    with_edges = page_of(replace(made_sheet(), cover=made_cover(1.5, 0.6)))
    for name in ("dose", "mix", "spray mix", "treats", "water"):
        assert row(with_edges, name) == row(page_of(made_sheet()), name)


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize(
    "wanted", [{}, FULL, {"irrigated": True, "money": MONEY | {"other_pass": "insecticide"}}]
)
def test_it_is_one_page_of_eighty_letters(units, wanted):
    page = page_of(replace(made_sheet(**wanted), cover=made_cover(1.5, 0.8, 0.4)), units=units)
    assert max(map(len, page.splitlines())) <= WIDTH == 80
    assert len(page.splitlines()) <= LONGEST_PAGE
    assert page.isascii()


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_fullest_sheet_is_one_page_with_strips_and_what_changed(units):
    made = Made(labels=[[1] * 6, [2] * 6], cell_m=100, units=units)
    plan = with_strips(made, {1: ([1], [2]), 2: ([4], [3])})
    wanted = {"irrigated": True, "money": MONEY | {"other_pass": "insecticide"}}
    sheet = replace(made_sheet(**wanted), cover=made_cover(1.5, 0.8, 0.4))
    since = Said("since.pass_rate", number=1, now="15", before="20", unit="gal/ac")
    one = replace(plan.passes[0], sheet=sheet)
    plan = replace(plan, passes=(one,), cautions=cautions("US"), since=since)
    page = texts(plan)["passes/P1/load_sheet.txt"]
    assert row(page, "strips").startswith("strips        S1 to S2 on the map")
    assert row(page, "changed").endswith("20 gal/ac")
    assert len(page.splitlines()) <= LONGEST_PAGE
    # what was left out are empty lines only
    lines = [line for line in page.splitlines() if line]
    assert len(lines) >= LONGEST_PAGE - 5


def test_it_promises_nothing():
    both = "".join(texts(plan_with(made_sheet(**FULL))).values()).casefold()
    assert "safe" not in both
    assert not [text for code, text in SENTENCES.items() if code.startswith("loads.") and "safe" in text]
    assert "does not claim to meet" in both
    assert "crop insurance" in joined(both)


def test_the_record_knows_what_the_sheet_knows():
    record = texts(plan_with(made_sheet()))["passes/P1/record.txt"]
    for known in ("Invented Fungicide A", "8 fl oz/ac", "15 gal/ac", "120.0 ac", "ground rig", "12 h"):
        assert known in record
    for blank in ("registration number", "licence number", "applicator"):
        assert row(record, blank).endswith("____")
