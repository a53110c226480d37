"""The dose: as typed, never changed, held against a season's maximum."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning import units
from zoning.errors import InputError
from zoning.passes.loads.dose import dose_of, refused, season_allows, sprayed_at
from zoning.settings.model import Product


def label(**changes):
    keys = {
        "name": "Invented Fungicide A", "groups": ["3", "11"],
        "dose": "8 fl oz/ac", "max_dose": "16 fl oz/ac",
        "min_carrier_ground": "10 gal/ac", "pre_harvest_interval_d": 30, "re_entry_h": 12,
        "max_applications": 2, "latest_stage": "R5", "max_wind": "10 mph",
    }  # fmt: skip
    return Product.model_validate(keys | changes)


@pytest.mark.parametrize(
    ("text", "unit", "gal_ac", "lb_ac"),
    [
        # 128 fl oz, 8 pt and 4 qt are a gallon; 16 oz are a pound
        ("8 fl oz/ac", "fl oz", 8 / 128, 0),
        ("1 pt/ac", "pt", 1 / 8, 0),
        ("1.5 qt/acre", "qt", 1.5 / 4, 0),
        ("0.5 gal/ac", "gal", 0.5, 0),
        ("4 oz/ac", "oz", 0, 4 / 16),
        ("2 lb/ac", "lb", 0, 2),
        # 1 L = 1/3.785411784 gal, 1 kg = 1/0.45359237 lb, 1 ha = 10000/4046.8564224 ac
        ("600 mL/ha", "mL", 0.6 / 3.785411784 * 0.40468564224, 0),
        ("0.6 L/ha", "L", 0.6 / 3.785411784 * 0.40468564224, 0),
        ("500 g/ha", "g", 0, 0.5 / 0.45359237 * 0.40468564224),
        ("5e-1 kg/ha", "kg", 0, 0.5 / 0.45359237 * 0.40468564224),
        (" 8  FL OZ / ac ", "FL OZ", 8 / 128, 0),
    ],
)
def test_by_hand_every_unit_of_a_label(text, unit, gal_ac, lb_ac):
    dose = dose_of(text)
    assert dose.unit == unit
    assert (dose.gal_ac, dose.lb_ac) == pytest.approx((gal_ac, lb_ac), rel=1e-12)


def test_by_hand_case_e_the_15_gallon_mix_at_10_and_at_20():
    # 8 fl oz in 15 gal: 8 x 10/15 = 5.33 in 10 gal, 8 x 20/15 = 10.67 in 20 gal
    eight = dose_of("8 fl oz/ac")
    assert sprayed_at(eight, 15, 10).value == pytest.approx(5.33, abs=0.005)
    assert sprayed_at(eight, 15, 20).value == pytest.approx(10.67, abs=0.005)
    for volume, got in ((10, "5.33 fl oz/ac"), (20, "10.67 fl oz/ac")):
        said = refused(eight, 15, volume, injects=False)
        assert got in said.text
        assert "instead of 8 fl oz/ac" in said.text
        assert "two passes" in said.text
        assert "injection" in said.text
        assert refused(eight, 15, volume, injects=True) is None


def test_by_hand_case_e_a_load_and_its_product():
    # 1000 gal / 15 gal/ac = 66.7 ac; x 8 fl oz = 533.3 fl oz; / 128 = 4.17 gal
    amount = dose_of("8 fl oz/ac").on(1000 / 15)
    assert (amount.value, amount.gal) == pytest.approx((533.3, 4.17), rel=1e-3)
    assert amount.lb == 0


@pytest.mark.parametrize("text", ["8 fl oz/ac", "13.125 fl oz/ac", "1169.24 mL/ha", "0.00625 gal/ac"])
def test_a_dose_is_told_as_it_was_typed(text):
    assert dose_of(text).text == text


def test_one_volume_typed_in_two_units_is_one_volume():
    ten = units.parse("93.5395622880 L/ha", "gal_ac")
    assert refused(dose_of("8 fl oz/ac"), 10.0, ten, injects=False) is None
    assert refused(dose_of("8 fl oz/ac"), 10.0, 10.01, injects=False) is not None


@given(st.floats(1, 40), st.floats(1, 40), st.floats(0.01, 500))
def test_a_dose_goes_with_the_volume_and_back_again(mixed, sprayed, amount):
    dose = dose_of(f"{amount:.6f} mL/ha")
    there = sprayed_at(dose, mixed, sprayed)
    assert there.gal_ac / dose.gal_ac == pytest.approx(sprayed / mixed, rel=1e-9)
    assert sprayed_at(there, sprayed, mixed).gal_ac == pytest.approx(dose.gal_ac, rel=1e-9)


@given(st.floats(0.01, 500), st.floats(0.01, 500))
def test_an_amount_is_the_same_in_its_own_unit_and_in_ours(dose, area):
    amount = dose_of(f"{dose:.6f} fl oz/ac").on(area)
    assert amount.gal == pytest.approx(units.parse(f"{amount.value!r} fl oz", "gal"), rel=1e-9)


@pytest.mark.parametrize(
    "text", ["8 fl oz", "8", "", "-8 fl oz/ac", "0 fl oz/ac", "8 bu/ac", "eight fl oz/ac"]
)
def test_what_is_no_dose_is_refused_in_one_line(text):
    with pytest.raises(InputError, match="is not a dose of product on an area") as caught:
        dose_of(text)
    assert caught.value.code == 2
    assert '"8 fl oz/ac"' in str(caught.value)


# -- the season ----------------------------------------------------------------------------------------------


def test_by_hand_a_season_by_number_and_by_amount():
    # 8 fl oz x 2 = 16: two fit; the third is one too many
    assert season_allows(label(), 0) == (True, None)
    assert season_allows(label(), 1) == (True, None)
    allowed, why = season_allows(label(), 2)
    assert not allowed
    assert why.code == "loads.season_applications"
    # 8 fl oz x 3 = 24 > 20, though four are allowed by number
    more = label(max_dose="20 fl oz/ac", max_applications=4)
    assert season_allows(more, 1)[0]
    allowed, why = season_allows(more, 2)
    assert not allowed
    assert why.code == "loads.season_dose"
    assert "24 fl oz/ac" in why.text
    assert "20 fl oz/ac" in why.text


def test_one_limit_typed_in_another_unit_is_the_same_limit():
    # 16 fl oz = 1 pt; 16 fl oz/ac = 16 x 73.07778304 mL/ha
    assert season_allows(label(max_dose="1 pt/ac"), 1)[0]
    assert season_allows(label(max_dose="1169.24452864 mL/ha"), 1)[0]
    assert not season_allows(label(max_dose="1168 mL/ha"), 1)[0]


def test_weights_are_counted_too():
    dry = label(dose="4 oz/ac", max_dose="0.5 lb/ac")
    assert season_allows(dry, 1)[0]
    assert season_allows(label(dose="4 oz/ac", max_dose="0.4 lb/ac"), 1)[1].code == "loads.season_dose"


@given(st.integers(1, 10), st.integers(0, 12), st.integers(1, 20), st.integers(0, 60))
def test_a_season_allows_while_number_and_amount_last(most, applied, dose, more):
    season = label(dose=f"{dose} fl oz/ac", max_dose=f"{dose + more} fl oz/ac", max_applications=most)
    allowed, why = season_allows(season, applied)
    assert allowed == (applied + 1 <= most and (applied + 1) * dose <= dose + more)
    assert (why is None) == allowed
