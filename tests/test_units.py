"""Units: definitions against pint and published figures, round trips, every spelling, every refusal."""

import re
from datetime import date
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zoning import units

ROOT = Path(__file__).parents[1]
ORDINARY = st.floats(min_value=1e-3, max_value=1e6)


@pytest.fixture(scope="module")
def witness() -> pint.UnitRegistry:
    registry = pint.UnitRegistry()
    registry.define("ac_ours = 43560 * foot ** 2")  # international foot; pint's own acre is the survey acre
    registry.define("bu_ours = 60 * pound")  # soybean
    registry.define("fl_oz_ours = gallon / 128")
    registry.define("USD = [money]")
    return registry


PINT = {
    "bu": "bu_ours", "ac": "ac_ours", "fl oz": "fl_oz_ours", "L": "liter", "mL": "milliliter",
    "gal": "gallon", "qt": "quart", "pt": "pint", "t": "tonne", "kg": "kilogram", "g": "gram", "lb": "pound",
    "oz": "ounce", "ha": "hectare",
    "m2": "meter ** 2", "m": "meter", "cm": "centimeter", "mm": "millimeter", "in": "inch", "ft": "foot",
    "mph": "mile / hour", "km/h": "kilometer / hour", "m/s": "meter / second", "s": "second", "psi": "psi",
    "bar": "bar", "kPa": "kilopascal", "h": "hour", "min": "minute", "USD": "USD",
}  # fmt: skip
INSIDE = {
    "usd": ("USD", None), "usd_bu": ("USD", "bu"), "usd_ac": ("USD", "ac"), "usd_gal": ("USD", "gal"),
    "usd_h": ("USD", "h"), "bu_ac": ("bu", "ac"), "lb_ac": ("lb", "ac"), "gal_ac": ("gal", "ac"),
    "gal": ("gal", None), "ac": ("ac", None), "m": ("m", None), "mph": ("mph", None), "psi": ("psi", None),
    "m_s": ("m/s", None), "kg_s": ("kg", "s"),
}  # fmt: skip
KIND = {unit: kind for kind, spelled in units.spellings().items() for unit in spelled}
WORD_OF = {
    "usd": ("money", None), "usd_bu": ("money", "grain"), "usd_ac": ("money", "area"),
    "usd_gal": ("money", "volume"), "usd_h": ("money", "time"), "bu_ac": ("grain", "area"),
    "lb_ac": ("mass", "area"), "gal_ac": ("volume", "area"), "gal": ("volume", None), "ac": ("area", None),
    "m": ("length", None), "mph": ("speed", None), "psi": ("pressure", None), "m_s": ("speed", None),
    "kg_s": ("grain", "time"),
}  # fmt: skip


def spelled(kind: str) -> list[str]:
    also = ["mass"] if kind == "grain" else []
    return [unit for one in [kind, *also] for unit in units.spellings()[one]]


def every_unit() -> list[tuple[str, str]]:
    found = []
    for quantity, (upper, lower) in WORD_OF.items():
        for over in spelled(upper):
            found += (
                [(quantity, f"{over}/{under}") for under in spelled(lower)] if lower else [(quantity, over)]
            )
    return found


def canonical(spelling: str) -> str:
    """The unit that stands before this spelling in the table of the docs."""
    latest = ""
    for one in units.spellings()[KIND[spelling]]:
        latest = one if one in PINT else latest
        if one == spelling:
            return latest
    raise AssertionError(spelling)


def test_the_table_of_this_file_names_every_quantity():
    assert set(WORD_OF) == set(units.quantities()) == set(INSIDE)
    assert {canonical(one) for one in KIND} == set(PINT)


@pytest.mark.parametrize(("quantity", "unit"), every_unit())
def test_every_accepted_unit_agrees_with_pint(witness, quantity, unit):
    over, _, under = (unit, "", "") if unit in KIND else unit.partition("/")
    theirs = witness.Quantity(7.5, PINT[canonical(over)])
    top, bottom = INSIDE[quantity]
    target = witness.Unit(PINT[top])
    if bottom:
        theirs = theirs / witness.Quantity(1, PINT[canonical(under)])
        target = target / witness.Unit(PINT[bottom])
    if quantity in ("usd_bu", "bu_ac"):  # a weight of grain is so many bushels: both are masses to pint
        assert theirs.is_compatible_with(target)
    assert units.parse(f"7.5 {unit}", quantity) == pytest.approx(theirs.to(target).magnitude, rel=1e-12)
    assert units.parse(f" 7.5{unit.upper()} ", quantity) == units.parse(f"7.5 {unit}", quantity)


def test_published_definitions():
    # Federal Register 2020-21902, 5 October 2020 (NIST/NOAA): international foot; acre = 43 560 ft2.
    assert pytest.approx(4046.8564224, abs=5e-8) == units.M2_PER_AC


def test_by_hand_definitions():
    # 231 in3 x (2.54 cm)^3 = 3785.411784 cm3
    assert pytest.approx(3.785411784, abs=5e-10) == units.L_PER_GAL
    # 60 lb x 0.45359237 kg
    assert pytest.approx(27.2155422, abs=5e-8) == units.KG_PER_BU
    # 5280 ft x 0.3048 m
    assert pytest.approx(1.609344, abs=5e-7) == units.KMH_PER_MPH
    # 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)^2 = 6894.75729 Pa
    assert pytest.approx(0.0689475729, abs=5e-11) == 1 / units.PSI_PER_BAR
    # 10 000 m2 / 4046.8564224 m2
    assert pytest.approx(2.471053815, abs=5e-10) == units.AC_PER_HA


def test_by_hand_figures_that_people_know():
    # 10 gal/ac x 3.785411784 L / 0.40468564224 ha = 93.53956 L/ha; twice that at 20
    assert units.l_ha_from_gal_ac(10) == pytest.approx(93.53956, abs=5e-6)
    assert units.l_ha_from_gal_ac(20) == pytest.approx(187.07912, abs=5e-6)
    # 1 L/ha = 1 000 000 mm3 / 10 000 m2 = 100 mm3/m2; 10 gal/ac = 93.53956 L/ha = 9353.956 mm3/m2
    assert units.mm3_m2_from_l_ha(1) == pytest.approx(100, abs=1e-9)
    assert units.mm3_m2_from_l_ha(units.l_ha_from_gal_ac(10)) == pytest.approx(9353.956, abs=5e-4)
    # 60 lb x 0.45359237 kg / 0.40468564224 ha = 67.25106937 kg/ha
    assert units.kg_ha_from_bu_ac(1) == pytest.approx(67.25106937, abs=5e-9)
    # 1000 kg / 27.2155422 kg = 36.74371 bu in a tonne
    assert units.usd_t_from_usd_bu(1) == pytest.approx(36.74371, abs=5e-6)
    # 8 fl oz/ac = 1/16 gal/ac
    assert units.parse("8 fl oz/ac", "gal_ac") == 0.0625
    # 40 psi x 0.0689475729 = 2.75790 bar; 3 bar / 0.0689475729 = 43.5113 psi
    assert units.bar_from_psi(40) == pytest.approx(2.75790, abs=5e-6)
    assert units.parse("3 bar", "psi") == pytest.approx(43.5113, abs=5e-5)
    assert units.c_from_f(32) == 0
    assert units.c_from_f(212) == 100
    assert units.c_from_f(-40) == -40
    assert units.mm_from_in(1) == pytest.approx(25.4, abs=1e-12)


def test_by_hand_the_table_of_units():
    # 12 x 0.0254 m; 5280 x 0.3048 m = 1609.344 m
    assert units.parse("1 ft", "m") == pytest.approx(12 * units.parse("1 in", "m"), rel=1e-12)
    assert 1 / units.mi_from_m(1) == pytest.approx(1609.344, abs=5e-10)
    # 4046.8564224 m2 = 0.40468564224 ha
    assert units.ha_from_ac(1) == pytest.approx(0.40468564224, abs=5e-12)
    # 3.785411784 L / 128 = 29.5735295625 mL
    assert units.l_from_gal(units.parse("1 fl oz", "gal")) * 1000 == pytest.approx(29.5735295625, abs=5e-11)
    # 3.785411784 / 0.40468564224 = 9.353956229 L/ha; 29.5735295625 / 0.40468564224 = 73.07778304 mL/ha
    assert units.l_ha_from_gal_ac(1) == pytest.approx(9.353956229, abs=5e-10)
    fl_oz_ac = units.parse("1 fl oz/ac", "gal_ac")
    assert units.l_ha_from_gal_ac(fl_oz_ac) * 1000 == pytest.approx(73.07778304, abs=5e-9)
    # 0.45359237 / 0.40468564224 = 1.120851156 kg/ha
    assert 1 / units.parse("1 kg/ha", "lb_ac") == pytest.approx(1.120851156, abs=5e-10)
    # 5280 / 3600 = 1.466667 ft/s
    assert units.ft_from_m(units.m_s_from_mph(1)) == pytest.approx(1.466667, abs=5e-7)


@given(ORDINARY)
def test_there_and_back_again(amount):
    assert units.gal_ac_from_l_ha(units.l_ha_from_gal_ac(amount)) == pytest.approx(amount, rel=1e-12)
    assert units.bu_ac_from_t_ha(units.kg_ha_from_bu_ac(amount) / 1000) == pytest.approx(amount, rel=1e-12)
    assert units.ac_from_m2(units.m2_from_ac(amount)) == pytest.approx(amount, rel=1e-12)
    assert units.parse(f"{units.usd_t_from_usd_bu(amount)!r} USD/t", "usd_bu") == pytest.approx(
        amount, rel=1e-12
    )
    assert units.parse(f"{units.usd_ha_from_usd_ac(amount)!r} USD/ha", "usd_ac") == pytest.approx(
        amount, rel=1e-12
    )
    assert units.parse(f"{units.ha_from_ac(amount)!r} ha", "ac") == pytest.approx(amount, rel=1e-12)
    assert units.parse(f"{units.l_from_gal(amount)!r} L", "gal") == pytest.approx(amount, rel=1e-12)
    assert units.parse(f"{units.ft_from_m(amount)!r} ft", "m") == pytest.approx(amount, rel=1e-12)
    assert units.parse(f"{units.in_from_m(amount)!r} in", "m") == pytest.approx(amount, rel=1e-12)
    assert units.parse(f"{units.m_s_from_mph(amount)!r} m/s", "mph") == pytest.approx(amount, rel=1e-12)
    assert units.parse(f"{units.kmh_from_mph(amount)!r} km/h", "mph") == pytest.approx(amount, rel=1e-12)
    assert units.parse(f"{units.bar_from_psi(amount)!r} bar", "psi") == pytest.approx(amount, rel=1e-12)


@given(st.dates(), st.floats(min_value=0, max_value=0.999))
def test_a_day_number_falls_on_its_date(day, part):
    assert units.date_from_day(units.day_from_date(day) + part) == day


def test_by_hand_day_number():
    # 1 January of the year 1 is day 1
    assert units.day_from_date(date(1, 1, 1)) == 1.0


REFUSED = [
    ("10.4", "usd_bu", "a unit is missing", 'Write it as "10.4 USD/bu".'),
    (10.4, "usd_bu", "a unit is missing", 'Write it as "10.4 USD/bu".'),
    (90, "m", "a unit is missing", 'Write it as "90 ft".'),
    ("90", "m", "a unit is missing", 'Write it as "90 ft".'),
    ("twenty gal/ac", "gal_ac", "not a number with a unit", 'Write it as "12 gal/ac".'),
    ("", "gal_ac", "not a number with a unit", 'Write it as "12 gal/ac".'),
    (True, "gal_ac", "not a number with a unit", 'Write it as "12 gal/ac".'),
    (["10 gal/ac"], "gal_ac", "not a number with a unit", 'Write it as "12 gal/ac".'),
    ("nan gal/ac", "gal_ac", "not a number with a unit", 'Write it as "12 gal/ac".'),
    ("10 gal", "gal_ac", '"gal" is the wrong kind of unit', "Use gal/ac or L/ha."),
    ("10 ac/gal", "gal_ac", '"ac/gal" is the wrong kind of unit', "Use gal/ac or L/ha."),
    ("10 bu/ac", "gal_ac", '"bu/ac" is the wrong kind of unit', "Use gal/ac or L/ha."),
    ("10 gal/ac", "gal", '"gal/ac" is the wrong kind of unit', "Use gal or L."),
    ("10 km/h", "m", '"km/h" is the wrong kind of unit', "Use ft, in or m."),
    ("3 bu/ac", "lb_ac", '"bu/ac" is the wrong kind of unit', "Use lb/ac or kg/ha."),
    ("10 USD", "usd_bu", '"USD" is the wrong kind of unit', "Use USD/bu or USD/t."),
    ("10 USD/ac", "usd_bu", '"USD/ac" is the wrong kind of unit', "Use USD/bu or USD/t."),
    ("10 yd", "m", '"yd" is not a unit known here', "Use ft, in or m."),
    ("10 USD/ton", "usd_bu", '"USD/ton" is not a unit known here', "Use USD/bu or USD/t."),
    ("10 gal/ac/h", "gal_ac", '"gal/ac/h" is not a unit known here', "Use gal/ac or L/ha."),
    ("10 gal//ac", "gal_ac", '"gal//ac" is not a unit known here', "Use gal/ac or L/ha."),
    ("386 EUR/t", "usd_bu", "money is in USD here, not EUR", "Convert it to USD yourself."),
    ("386 R$/t", "usd_bu", "money is in USD here, not R$", "Convert it to USD yourself."),
    ("60 €", "usd", "money is in USD here, not €", "Convert it to USD yourself."),
    ("9 ARS/ha", "usd_ac", "money is in USD here, not ARS", "Convert it to USD yourself."),
    ("1,000 gal", "gal", "a comma stands in the number", 'Write it with a point only, as "1200.5 gal".'),
    (
        "10,40 USD/bu",
        "usd_bu",
        "a comma stands in the number",
        'Write it with a point only, as "1200.5 USD/bu".',
    ),
    ("$10.40/bu", "usd_bu", "the unit stands before the number", 'Write it as "10.40 USD/bu".'),
    ("$ 60", "usd", "the unit stands before the number", 'Write it as "60 USD".'),
    ("$9", "usd_ac", "the unit stands before the number", 'Write it as "9 USD/ac".'),
]


@pytest.mark.parametrize(("text", "quantity", "what", "mend"), REFUSED)
def test_what_cannot_be_read_is_refused_with_what_to_write(text, quantity, what, mend):
    with pytest.raises(units.UnitError) as caught:
        units.parse(text, quantity)
    assert (caught.value.what, caught.value.mend) == (what, mend)


@given(st.text(max_size=20), st.sampled_from(sorted(WORD_OF)))
def test_any_text_is_read_or_refused(text, quantity):
    mend = "Read."
    try:
        assert isinstance(units.parse(text, quantity), float)
    except units.UnitError as fault:
        mend = fault.mend
    assert mend.endswith(".")


def test_what_the_mend_says_can_be_read():
    for text, quantity, _, mend in REFUSED:
        told = re.search(r'Write it as "(.+)"', mend)
        if told:
            assert units.parse(told[1], quantity) >= 0, text


def test_no_conversion_stands_elsewhere():
    rounded = re.compile(r"(?<![\d.])(?:3\.785|4046|0?\.4047|0?\.4046|2\.471|67\.25|9\.354|9\.353)")
    elsewhere = [*(ROOT / "zoning").glob("**/*.py"), *(ROOT / "cli").glob("**/*.py")]
    elsewhere += (ROOT / "demo_fields").glob("**/*.py")
    assert len(elsewhere) > 20
    for path in elsewhere:
        if path != ROOT / "zoning" / "units.py":
            found = rounded.search(path.read_text(encoding="utf-8"))
            assert not found, f"{path.relative_to(ROOT)} converts units itself: {found[0]}"
    assert rounded.search("1 / 0.40468")
    assert rounded.search("x * 3.785411784")


def test_the_docs_name_every_unit_and_no_other():
    text = (ROOT / "docs/reference/units.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| (\w+) \| (`.+`) \|$", text, re.MULTILINE))
    told = {kind: tuple(re.findall(r"`([^`]+)`", row)) for kind, row in rows.items()}
    assert told == units.spellings()
    typed = dict(re.findall(r"^\| `_(\w+)` \| .+? \| (.+?) \| .+ \|$", text, re.MULTILINE))
    assert typed == units.quantities()
