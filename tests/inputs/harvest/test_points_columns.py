"""Names of columns and their units: common words in every way of writing them, and what is ambiguous."""

import numpy as np
import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from made_points import as_csv, asked, dry, truth, us, with_places

from zoning.errors import InputError
from zoning.inputs.harvest.given import ROLES
from zoning.inputs.harvest.points import cells
from zoning.inputs.harvest.points.columns import matched, may_be, parted, understood
from zoning.inputs.harvest.points.read import read
from zoning.settings.harvest import QUANTITY_OF

STEMS = {
    "yield": ["yield", "yld", "dry yield", "yield wet", "crop yield"],
    "flow": ["flow", "grain flow", "mass flow", "crop flow"],
    "moisture": ["moisture", "moist", "grain moisture", "mst"],
    "speed": ["speed", "ground speed", "gps speed", "velocity"],
    "distance": ["distance", "dist", "pass distance"],
    "swath": ["swath", "width", "swath width", "header width", "cut width"],
    "interval": ["interval", "time interval", "logging interval", "cycle"],
}
UNITS = {
    "yield": ["bu/ac", "t/ha", "kg/ha", "lb/ac"],
    "flow": ["lb/s", "kg/s", "t/h", "bu/h", "lb/sec"],
    "moisture": ["%"],
    "speed": ["mph", "km/h", "m/s", "kph"],
    "distance": ["ft", "m", "in", "cm"],
    "swath": ["ft", "m", "in", "feet"],
    "interval": ["s", "min", "sec"],
}
OTHERS = {
    "track": ["pass", "track", "pass number", "PassNum"],
    "header": ["header", "header status", "hdr", "HeaderUp"],
    "time": ["time", "date", "timestamp", "gps time", "UTC", "Local Time", "datetime"],
    "east": ["longitude", "lon", "Long", "lng"],
    "north": ["latitude", "LAT"],
    "field": ["field", "field name"],
    "crop": ["crop", "crop type", "commodity"],
    "": [
        *("elevation", "altitude", "heading", "target yield", "average speed", "flow delay", "swath number"),
        *("moisture offset", "field area", "crop year", "header height", "loss", "satellites", "variety"),
        "x offset",
    ],
    "plane east": ["x", "easting", "East"],
    "plane north": ["y", "northing", "north m"],
}
STYLES = {
    "(": lambda stem, unit: f"{stem} ({unit})",
    "[": lambda stem, unit: f"{stem}[{unit}]",
    " ": lambda stem, unit: f"{stem} {unit}",
    "_": lambda stem, unit: f"{stem}_{unit}".replace(" ", "_").replace("/", "_"),
    "camel": lambda stem, unit: stem.title().replace(" ", "") + f"({unit})",
    "per": lambda stem, unit: f"{stem}_{unit.replace('/', '_per_')}".replace(" ", "_"),
    "upper": lambda stem, unit: f"{stem}_{unit}".upper().replace(" ", "_").replace("/", "_"),
    "squeezed": lambda stem, unit: f"{stem}_{unit.replace('/', '')}",
}
NAMES = [(role, stem, unit) for role in STEMS for stem in STEMS[role] for unit in UNITS[role]]
SQUEEZED = {"bu/ac", "t/ha", "kg/ha", "lb/ac", "kg/s", "%", "mph", "kph", "ft", "m", "in", "cm", "s", "min"}


@given(st.sampled_from(NAMES), st.sampled_from(sorted(STYLES)), st.sampled_from([str, str.upper, str.title]))
def test_a_column_is_known_by_its_words_and_its_unit(one, style, case):
    role, stem, unit = one
    if style == "squeezed" and unit not in SQUEEZED:
        return
    name = STYLES[style](case(stem), unit)
    assert may_be(name, has_places=False) == role, name
    read_in = parted(name, role)[1]
    assert cells.factor(role, read_in) == pytest.approx(cells.factor(role, unit), rel=1e-12), name


@pytest.mark.parametrize(("role", "stem"), [(role, stem) for role in STEMS for stem in STEMS[role]])
def test_a_name_without_a_unit_has_none(role, stem):
    assert may_be(stem, has_places=False) == role
    assert parted(stem, role)[1] == ""


@pytest.mark.parametrize(("role", "name"), [(role, name) for role in OTHERS for name in OTHERS[role]])
def test_other_columns(role, name):
    assert may_be(name, has_places=False) == role
    if role in ("east", "north", "plane east", "plane north"):  # shapes have their places
        assert may_be(name, has_places=True) == ""


@given(st.text(max_size=30))
@example("")
@example("((")
@example("%")
@example("bu/ac")
def test_any_name_is_one_thing_or_nothing(name):
    found = may_be(name, has_places=False)
    assert found in (*ROLES, "", "plane east", "plane north")
    for role in QUANTITY_OF:
        unit = parted(name, role)[1]
        assert unit == "" or cells.factor(role, unit) > 0


@given(
    st.lists(st.sampled_from([stem for role in STEMS for stem in STEMS[role]] + OTHERS["time"]), max_size=8)
)
def test_no_column_is_two_things_and_none_is_guessed_among_several(names):
    try:
        found = matched(names, {}, "points", has_places=True)
    except InputError as error:
        faults = error.faults
    else:
        faults = ()
    for fault in faults:
        listed = fault.what.partition(": ")[2].split(", ")
        role = fault.what.partition(": ")[0].removeprefix("several columns may be the ")
        assert fault.code == 2
        assert len(listed) > 1
        assert {may_be(name, has_places=True) for name in listed} == {role}
    if faults:
        return
    places = [place for one in found.values() for place in (one.place, one.beside) if place is not None]
    assert len(set(places)) == len(places)
    for role in STEMS:
        assert (role in found) == any(may_be(name, has_places=True) == role for name in names)


@pytest.fixture(scope="module")
def witness():
    registry = pint.UnitRegistry()
    registry.define("ac_ours = 43560 * foot ** 2")  # international foot
    registry.define("bu_ours = 60 * pound")
    return registry


PINT = {
    "bu/ac": "bu_ours / ac_ours", "t/ha": "tonne / hectare", "kg/ha": "kilogram / hectare",
    "lb/ac": "pound / ac_ours", "lb/s": "pound / second", "kg/s": "kilogram / second", "t/h": "tonne / hour",
    "bu/h": "bu_ours / hour", "lb/sec": "pound / second", "mph": "mile / hour", "km/h": "kilometer / hour",
    "kph": "kilometer / hour", "m/s": "meter / second", "ft": "foot", "feet": "foot", "m": "meter",
    "in": "inch", "cm": "centimeter", "s": "second", "sec": "second", "min": "minute", "%": "percent",
}  # fmt: skip
OURS = {
    "yield": "bu_ours / ac_ours", "flow": "kilogram / second", "moisture": "dimensionless",
    "speed": "meter / second", "distance": "meter", "swath": "meter", "interval": "second",
}  # fmt: skip


@pytest.mark.parametrize(("role", "unit"), [(role, unit) for role in UNITS for unit in UNITS[role]])
def test_conversions_agree_with_pint(witness, role, unit):
    theirs = witness.Quantity(7.5, PINT[unit]).to(OURS[role]).magnitude
    assert 7.5 * cells.factor(role, understood(role, unit)) == pytest.approx(theirs, rel=1e-12)


def faults_of(tmp_path, table, **other):
    with pytest.raises(InputError) as caught:
        read(as_csv(tmp_path / "p.csv", table), "p.csv", asked(**other))
    return caught.value.code, [str(fault) for fault in caught.value.faults]


def test_all_that_is_ambiguous_is_told_at_once(tmp_path):
    more = {"Yield wet": truth()["yield_bu_ac"].tolist(), "GPS speed": [1] * 240, "Speed": [1] * 240}
    code, told = faults_of(tmp_path, with_places(dry() | more))
    assert code == 2
    assert told == [
        "p.csv: several columns may be the yield: Dry_yield_bu_ac, Yield wet. Say which with --column "
        'yield=NAME or in [harvest.columns], yield = "" for none.',
        "p.csv: several columns may be the speed: GPS speed, Speed. Say which with --column speed=NAME or in "
        '[harvest.columns], speed = "" for none.',
    ]


def test_dry_or_wet_chooses_between_columns_that_say_so(tmp_path):
    wet = {"Yield wet (bu/ac)": (truth()["yield_bu_ac"] * 1.01).tolist(), "moisture": [12.0] * 240}
    path = as_csv(tmp_path / "p.csv", with_places(dry() | wet))
    points = read(path, "p.csv", asked(yields="dry"))
    assert (points.columns["yield"], points.is_dry) == ("Dry_yield_bu_ac", True)
    points = read(path, "p.csv", asked(yields="wet"))
    assert (points.columns["yield"], points.is_dry) == ("Yield wet (bu/ac)", False)


def test_nothing_is_that_what_is_told_to_be_nothing(tmp_path):
    table = with_places(dry() | {"Speed": [1] * 240, "Speed 2": [1] * 240})
    points = read(as_csv(tmp_path / "p.csv", table), "p.csv", asked(columns={"speed": ""}))
    assert "speed" not in points.columns
    assert np.isnan(points.speed_m_s).all()


def test_columns_that_are_not_there_are_told_with_what_is(tmp_path):
    told = {"yield": "Yld", "moisture": "H2O"}
    code, lines = faults_of(tmp_path, with_places(dry()), columns=told)
    assert code == 2
    assert lines == [
        f'p.csv: there is no column "{name}" for {role}. '
        "The file has Longitude, Latitude, Time, Dry_yield_bu_ac."
        for role, name in told.items()
    ]


def test_a_flow_with_all_it_needs_goes_before_a_yield(tmp_path):
    both = us() | dry()
    points = read(as_csv(tmp_path / "p.csv", with_places(both)), "p.csv", asked())
    assert np.isfinite(points.flow_kg_s).all()
    assert np.isnan(points.yield_bu_ac).all()
    assert [note.code for note in points.notes] == ["harvest.took_flow"]


@pytest.mark.parametrize(
    ("without", "other"),
    [
        ("Moist_pct", {}),
        ("Swath_ft", {}),
        ("", {"yields": "dry"}),
        ("", {"columns": {"yield": "Dry_yield_bu_ac"}}),
    ],
)
def test_a_yield_goes_before_a_flow_that_lacks_something(tmp_path, without, other):
    both = {name: column for name, column in (us() | dry()).items() if name != without}
    points = read(as_csv(tmp_path / "p.csv", with_places(both)), "p.csv", asked(**other))
    np.testing.assert_allclose(points.yield_bu_ac, truth()["yield_bu_ac"])
    assert np.isnan(points.flow_kg_s).all()
    assert points.is_dry
    assert [note.code for note in points.notes] == ["harvest.took_yield"]


def test_a_yield_that_does_not_say_whether_it_is_dry_is_dry_and_that_is_said(tmp_path):
    table = with_places({"Yield (bu/ac)": truth()["yield_bu_ac"].tolist(), "Time": us()["Time"]})
    path = as_csv(tmp_path / "p.csv", table)
    points = read(path, "p.csv", asked())
    assert points.is_dry
    assert [note.code for note in points.notes] == ["harvest.dry_assumed"]
    told = read(path, "p.csv", asked(yields="wet", moisture_frac=0.13))
    assert not told.is_dry
    assert told.notes == ()
    assert (told.moisture_frac == 0.13).all()


def test_one_moisture_for_all_points_goes_before_a_column(tmp_path):
    points = read(as_csv(tmp_path / "p.csv", with_places(us())), "p.csv", asked(moisture_frac=0.125))
    assert (points.moisture_frac == 0.125).all()
    assert [note.text for note in points.notes] == [
        "all grain is taken to have 12.5 % of moisture, as [harvest] moisture says; the column Moist_pct is "
        "not used"
    ]
