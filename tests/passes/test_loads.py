"""The load sheet: sums, loads, what is in them, and what is said beside them."""

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from made_sheets import DRONE, MONEY, sheet_of
from made_sheets import sheet_settings as made

from zoning import units


def loads_of(sheet):
    return [sheet.full] * sheet.full_loads + [sheet.last]


def codes(sheet):
    return [note.code for note in sheet.notes]


def test_by_hand_case_e_one_field_of_120_acres():
    # 120 ac x 15 gal/ac = 1,800 gal: one tank of 1,000 gal on 66.7 ac, and 800 gal on 53.3 ac.
    # 66.7 ac x 8 fl oz = 533.3 fl oz = 4.17 gal, so 995.83 gal of water; 53.3 ac: 426.7 fl oz = 3.33 gal
    sheet = sheet_of(made())
    assert sheet.mix_gal == pytest.approx(1800)
    assert (sheet.loads, sheet.full_loads) == (2, 1)
    assert (sheet.full.mix_gal, sheet.full.area_ac) == pytest.approx((1000, 66.667), abs=5e-4)
    assert (sheet.full.product.value, sheet.full.product.gal) == pytest.approx((533.333, 4.16667), rel=2e-6)
    assert sheet.full.water_gal == pytest.approx(995.83, abs=0.005)
    assert (sheet.last.mix_gal, sheet.last.area_ac) == pytest.approx((800, 53.333), abs=5e-4)
    assert (sheet.last.product.value, sheet.last.product.gal) == pytest.approx((426.667, 3.33333), rel=2e-6)
    # 04 tips 20 in apart at 90 psi: .60 gpm, so 5940 x .6 / (15 x 20) = 11.88 mph; 30 psi would be 6.86, but
    # the rig goes no slower than 7
    assert [one.speed_mph for one in sheet.zones] == pytest.approx([11.88, 11.88], abs=0.005)
    assert (sheet.nozzle, sheet.slowest_mph) == ("04", 7)
    assert sheet.pressure_psi == pytest.approx(90)
    assert sheet.duty_frac is None


def test_by_hand_additives_on_the_acre_and_as_a_share():
    # 66.7 ac x 1 pt = 66.7 pt = 8.33 gal; 0.25 % of 1,000 gal = 2.5 gal; water 1000 - 4.17 - 8.33 - 2.5
    sheet = sheet_of(made({"adjuvant": "1 pt/ac", "foliar_feed": "0.25 % v/v"}))
    assert (sheet.full.adjuvant.value, sheet.full.adjuvant.gal) == pytest.approx((66.667, 8.3333), rel=1e-4)
    assert (sheet.full.foliar_feed.gal, sheet.full.foliar_feed.unit) == (pytest.approx(2.5), "")
    assert sheet.full.foliar_feed.value == pytest.approx(2.5)
    assert sheet.full.water_gal == pytest.approx(985.0)


def test_the_share_that_is_typed_with_the_money_is_used():
    money = MONEY | {"adjuvant_frac": 0.0025, "adjuvant_price": "20 USD/gal"}
    sheet = sheet_of(made(money=money))
    assert sheet.adjuvant == "0.25 % v/v"
    assert sheet.full.adjuvant.gal == pytest.approx(2.5)
    own = sheet_of(made({"adjuvant": "0.25 % v/v"}))
    assert own.full.adjuvant == sheet.full.adjuvant


def test_what_nobody_gave_is_unknown_and_not_0():
    sheet = sheet_of(made())
    assert sheet.adjuvant == sheet.foliar_feed == ""
    assert sheet.full.adjuvant is sheet.full.foliar_feed is sheet.last.adjuvant is None


def test_what_is_weighed_takes_no_volume():
    # 120 ac x 4 oz = 480 oz = 30 lb
    sheet = sheet_of(made({"dose": "4 oz/ac", "max_dose": "8 oz/ac"}))
    assert sum(load.product.lb for load in loads_of(sheet)) == pytest.approx(30)
    assert all(load.water_gal == load.mix_gal for load in loads_of(sheet))


def test_by_hand_overage_has_its_product_in_it():
    # 1,800 gal + 30: the last load 830 gal, still on 53.3 ac; 830 / 15 x 8 = 442.7 fl oz
    sheet = sheet_of(made(rig={"overage": "30 gal"}))
    assert (sheet.mix_gal, sheet.last.mix_gal) == pytest.approx((1830, 830))
    assert sheet.last.area_ac == pytest.approx(53.333, abs=5e-4)
    assert sheet.last.product.value == pytest.approx(442.67, abs=0.005)
    assert "loads.overage" in codes(sheet)
    assert "loads.no_overage" not in codes(sheet)
    assert "loads.overage" in codes(sheet_of(made(rig={"overage": "0.5 gal"})))
    assert "loads.no_overage" in codes(sheet_of(made()))


def test_injected_product_is_not_in_the_tank():
    sheet = sheet_of(made(rig={"injection": True, "overage": "30 gal"}))
    assert sheet.injected
    assert all(load.water_gal == load.mix_gal for load in loads_of(sheet))
    # 120 ac x 8 fl oz, and none for the overage
    assert sum(load.product.value for load in loads_of(sheet)) == pytest.approx(960)
    assert "loads.injected" in codes(sheet)
    assert "loads.other_volume" not in codes(sheet)


def test_other_volumes_of_the_farm_are_refused_for_this_mix():
    sheet = sheet_of(made())
    others = [note.text for note in sheet.notes if note.code == "loads.other_volume"]
    assert len(others) == 2  # of 10, 15 and 20 gal/ac
    assert "5.33 fl oz/ac" in others[0]  # 8 x 10 / 15
    assert "10.67 fl oz/ac" in others[1]


def test_next_to_nothing_is_not_a_load_of_its_own():
    # 67 ac x 15 = 1,005 gal: two loads of 502.5 gal instead of 1,000 and 5
    sheet = sheet_of(made(), {1: 67.0})
    assert sheet.loads == 2
    assert sheet.full.mix_gal == sheet.last.mix_gal == pytest.approx(502.5)
    # 100 gal, a tenth of the tank, is one
    assert sheet_of(made(), {1: 1101 / 15}).last.mix_gal == pytest.approx(101)


def test_a_tank_that_fits_just_so_is_one_load():
    sheet = sheet_of(made(), {1: 1000 / 15})
    assert (sheet.loads, sheet.full) == (1, None)
    assert sheet.last.mix_gal == pytest.approx(1000)


AREAS = st.lists(st.floats(0.1, 300), min_size=1, max_size=6)


@given(AREAS, st.sampled_from([10.0, 12.5, 15.0, 17.0]), st.floats(0, 500), st.sampled_from([True, False]))
@example([66.66666666666667], 15.0, 500.0, False)
@example([66.6667], 15.0, 40.0, False)
def test_sums_equal_area_times_rate(areas, volume, overage, is_metric):
    typed = f"{units.l_from_gal(overage):.3f} L" if is_metric else f"{overage:.3f} gal"
    settings = made({"adjuvant": "0.5 % v/v", "foliar_feed": "1 qt/ac"}, {"overage": typed})
    assume(settings.sprayers[0].overage_gal <= 500)
    zones = dict(enumerate(areas, start=1))
    sheet = sheet_of(settings, zones, volume)
    loads, area, over = loads_of(sheet), sum(areas), settings.sprayers[0].overage_gal
    assert sum(load.mix_gal for load in loads) == pytest.approx(area * volume + over, rel=1e-9)
    assert sum(load.area_ac for load in loads) == pytest.approx(area, rel=1e-9)
    # the product on the acres is area x dose to the last drop; the overage holds its own
    product = sum(load.product.value for load in loads)
    assert product == pytest.approx(8 * (area + over / volume), rel=1e-9)
    assert product - 8 * over / volume == pytest.approx(8 * area, rel=1e-9)
    assert sum(load.foliar_feed.value for load in loads) == pytest.approx(area + over / volume, rel=1e-9)
    assert sum(load.adjuvant.gal for load in loads) == pytest.approx(0.005 * sheet.mix_gal, rel=1e-9)
    for load in loads:
        assert load.mix_gal <= 1000 * (1 + 1e-9)
        assert load.area_ac >= 0
        parts = load.water_gal + load.product.gal + load.adjuvant.gal + load.foliar_feed.gal
        assert parts == pytest.approx(load.mix_gal, rel=1e-9)
    assert loads[-1].mix_gal <= loads[0].mix_gal * (1 + 1e-9)
    assert loads[-1].mix_gal >= over * (1 - 1e-9)  # so that all that is left over is in the last load
    assert len(loads) == -(-(area * volume + over) // 1000) or (area * volume + over) % 1000 < 1e-6


@given(AREAS)
def test_without_overage_the_product_is_area_times_dose(areas):
    sheet = sheet_of(made(), dict(enumerate(areas, start=1)))
    assert sum(load.product.value for load in loads_of(sheet)) == pytest.approx(8 * sum(areas), rel=1e-12)


def test_a_map_that_does_not_follow_the_zones_is_mixed_for_what_it_treats():
    sheet = sheet_of(made(), treated_ac=110.0)
    assert sheet.area_ac == 110
    assert sheet.mix_gal == pytest.approx(1650)
    assert sum(one.area_ac for one in sheet.zones) == pytest.approx(120)


def test_limits_are_handed_on_as_typed():
    typed = {"droplet": "medium", "hay_grazing_d": 14, "rainfast_h": 1, "max_wind": "16 km/h"}
    sheet = sheet_of(made(typed, given={"product.max_wind": '"16 km/h"'}))
    limits = sheet.label
    assert (limits.max_wind, limits.droplet) == ("16 km/h", "medium")
    assert (limits.re_entry_h, limits.pre_harvest_interval_d, limits.hay_grazing_d) == (12, 30, 14)
    assert (limits.rainfast_h, limits.latest_stage) == (1, "R5")
    assert (limits.max_dose, limits.max_applications) == ("16 fl oz/ac", 2)
    none = sheet_of(made()).label
    assert none.hay_grazing_d is none.rainfast_h is None
    assert none.droplet == ""
    assert none.max_wind == "10 mph"


def test_the_place_is_handed_on_by_side():
    around = {"north": "hives", "west": "none"}
    sheet = sheet_of(made(entrance="gate", wires="east edge", contact="Ana", neighbours=around))
    assert (sheet.site.entrance, sheet.site.wires, sheet.site.contact) == ("gate", "east edge", "Ana")
    assert sheet.site.neighbours == (("north", "hives"), ("east", ""), ("south", ""), ("west", "none"))


def test_what_practice_wants_said_is_said_only_where_it_matters():
    quiet = codes(sheet_of(made()))
    assert not {"loads.irrigated", "loads.own_load", "loads.little_by_air", "loads.battery"} & set(quiet)
    wet = sheet_of(made({"rainfast_h": 2}, irrigated=True))
    assert "rainfast (2 h)" in wet.notes[-1].text
    assert "pivot" in wet.notes[-1].text
    anyway = sheet_of(made(money=MONEY | {"other_pass": "insecticide"}))
    assert "the insecticide goes over the whole field" in anyway.notes[-1].text
    flying = made(base=DRONE)
    assert codes(sheet_of(flying, {1: 4.0}, 2.0))[-2:] == ["loads.little_by_air", "loads.battery"]
    assert codes(sheet_of(flying, {1: 4.0}, 5.0))[-1] == "loads.battery"
    assert "loads.little_by_air" not in codes(sheet_of(flying, {1: 4.0}, 5.0))


def test_by_hand_a_drone_of_ten_gallons():
    # 4.2 ac x 5 gal/ac = 21 gal: two of 10 gal on 2 ac and one of 1 gal on 0.2 ac, each with 16 fl oz
    sheet = sheet_of(made(base=DRONE), {1: 4.2}, 5.0)
    assert (sheet.full_loads, sheet.full.area_ac, sheet.full.product.value) == (2, 2, pytest.approx(16))
    assert sheet.last.mix_gal == pytest.approx(1)
    assert sheet.nozzle == ""
    assert sheet.pressure_psi is None


def test_pulsed_nozzles_show_their_duty_at_the_one_pressure():
    sheet = sheet_of(made(rig={"pressure": "50 psi", "duty": [0.3, 1.0], "nozzle": "06"}))
    assert sheet.pressure_psi == 50
    assert 0.3 <= sheet.duty_frac <= 1


def test_an_application_too_many_is_said_in_place_of_its_number():
    assert "application 2 of this product" in next(
        note.text for note in sheet_of(made(), applied=1).notes if note.code == "loads.application"
    )
    assert "loads.season_applications" in codes(sheet_of(made(), applied=2))


def test_a_volume_out_of_reach_gets_no_sheet():
    with pytest.raises(ValueError, match="out of reach"):
        sheet_of(made(rig={"nozzle": "08"}), volume_gal_ac=10.0)
