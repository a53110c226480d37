"""From text to settings: every fault in one line at its place, all at once, and both systems of units."""

import re
import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_folders import (
    AIRCRAFT,
    FIELD,
    MONEY,
    PRODUCT,
    RESPONSE,
    SPRAYER,
    TOP,
    faults,
    field_folder,
    read,
    refused,
)

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.settings.keys import keys
from zoning.settings.read import fields_of, is_farm, load

FARM = (TOP, MONEY, PRODUCT, SPRAYER, RESPONSE)
METRIC = (
    TOP,
    """[money]
grain_price = "382.1346 USD/t"
product = "46.95002 USD/ha"
pass = "22.23948 USD/ha"
""",
    PRODUCT.replace("8 fl oz/ac", "584.6223 mL/ha").replace("10 gal/ac", "93.53956 L/ha"),
    """[[sprayer]]
name = "ground rig"
boom = "27.432 m"
nozzle_spacing = "50.8 cm"
nozzle = "04"
pressure = ["2.068427 bar", "6.205282 bar"]
speed = ["8.04672 km/h", "22.530816 km/h"]
tank = "3785.411784 L"
fill_min = 20
tracks_exist = true
""",
    RESPONSE,
)


def numbers_in(value):
    if isinstance(value, dict):
        return [one for part in value.values() for one in numbers_in(part)]
    if isinstance(value, list | tuple):
        return [one for part in value for one in numbers_in(part)]
    return [value] if isinstance(value, int | float) and not isinstance(value, bool) else []


def test_a_us_and_a_metric_farm_are_equal(tmp_path):
    us = read(tmp_path / "us", *FARM).model_dump()
    metric = read(tmp_path / "metric", *METRIC).model_dump()
    assert numbers_in(us) == pytest.approx(numbers_in(metric), rel=1e-6)
    assert us["money"]["grain_price_usd_bu"] == 10.4
    assert us["sprayers"][0]["boom_m"] == pytest.approx(27.432)


def test_the_line_that_people_see(tmp_path):
    farm = 'name = "x"\n' * 1 + "\n" * 9 + MONEY.replace("10.40 USD/bu", "10.4") + RESPONSE
    assert faults(tmp_path, farm) == [
        'farm.toml:12: money.grain_price = "10.4": a unit is missing. Write it as "10.4 USD/bu".'
    ]


def test_all_faults_of_both_files_are_told_at_once(tmp_path):
    farm = (TOP, MONEY.replace("19 USD/ac", "19 EUR/ac"), PRODUCT, SPRAYER, RESPONSE, 'sourse = "x"\n')
    field = FIELD.replace("1.9", "14") + '[zones]\ncell = "10 ac"\n'
    assert faults(tmp_path, *farm, field=field) == [
        'farm.toml:4: money.product = "19 EUR/ac": '
        "money is in USD here, not EUR. Convert it to USD yourself.",
        'farm.toml:29: response.sourse = "x": unknown key. Did you mean source?',
        "field.toml:2: maturity_group = 14: out of range. Give at most 10.",
        'field.toml:6: zones.cell = "10 ac": "ac" is the wrong kind of unit. Use ft, in or m.',
    ]


def test_the_second_sprayers_fault_is_found_at_its_line(tmp_path):
    second = SPRAYER.replace("ground rig", "old rig").replace('"90 ft"', '"900 ft"')
    text = "".join((TOP, MONEY, SPRAYER, second, RESPONSE))
    line = text[: text.index("900 ft")].count("\n") + 1
    assert faults(tmp_path, text) == [
        f'farm.toml:{line}: sprayer[2].boom = "900 ft": out of range. Give at most 197 ft.'
    ]


GOOD = {
    "TOP": TOP,
    "MONEY": MONEY,
    "PRODUCT": PRODUCT,
    "SPRAYER": SPRAYER,
    "RESPONSE": RESPONSE,
    "FIELD": FIELD,
}
TABLE = tomllib.loads((Path(__file__).parent / "one_fault.toml").read_text(encoding="utf-8"))["fault"]


def changed_by(one):
    """The parts of the farm, then the field, with one of them changed."""
    assert one["old"] in GOOD[one["part"]], "the change must change something"
    changed = {**GOOD, one["part"]: GOOD[one["part"]].replace(one["old"], one["new"])}
    return list(changed.values())


@pytest.mark.parametrize("one", TABLE, ids=[one["said"][:40] for one in TABLE])
def test_one_fault_is_one_line_in_plain_words(tmp_path, one):
    *farm, field = changed_by(one)
    lines = faults(tmp_path, *farm, field=field)
    told = [re.sub(r"^(farm|field)\.toml(:\d+)?: ", "", line) for line in lines]
    assert told == [one["said"]]


@pytest.mark.parametrize("one", TABLE, ids=[one["said"][:40] for one in TABLE])
def test_a_fault_stands_at_the_line_where_its_key_was_typed(tmp_path, one):
    *farm, field = changed_by(one)
    (line,) = faults(tmp_path, *farm, field=field)
    name, number, named = re.match(r"(farm|field)\.toml(?::(\d+))?: ([^:= ]+)", line).groups()
    text = "".join(farm) if name == "farm" else field
    typed = text.splitlines()[int(number or 1) - 1]
    if ": missing" in line:
        assert number is None or f"[{named.rpartition('.')[0].partition('[')[0]}]" in typed
        return
    key = re.sub(r"\[\d+\]", "", named).rpartition(".")[2]
    assert key in typed


def test_a_doubled_sprayer_name_is_refused(tmp_path):
    assert [line.partition(": ")[2] for line in faults(tmp_path, *FARM, SPRAYER)] == [
        'sprayer[2].name = "ground rig": two sprayers have this name. Give each its own name.'
    ]


# -- the files themselves ------------------------------------------------------------------------------------


def fault_of(folder):
    with pytest.raises(InputError) as caught:
        load(folder)
    assert caught.value.code == 2
    return str(caught.value)


def test_missing_folder_missing_file_and_a_farm_are_told_apart(tmp_path):
    assert "there is no such folder" in fault_of(tmp_path / "nowhere")
    empty = field_folder(tmp_path, None, None)
    assert "there is no field.toml in this folder" in fault_of(empty)
    field_folder(tmp_path, TOP, None)
    assert "this is a farm, not a field" in fault_of(empty.parent)


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("", "field.toml: the file is empty. "),
        ("\n# nothing but this\n", "field.toml: the file is empty. "),
        (
            'name = "x"\nmaturity_group 1.9\n',
            "field.toml:2: this line cannot be read (expected '=' after a key",
        ),
        ('name = "x', "field.toml:1: this line cannot be read ("),
        ('name = "x"\nname = "y"\n', "field.toml:2: this stands twice in the file. "),
        ("[zones]\n[zones]\n", "field.toml:2: this stands twice in the file. "),
    ],
)
def test_a_file_that_cannot_be_read_is_one_line(tmp_path, field, said):
    text = fault_of(field_folder(tmp_path, TOP, field))
    assert text.startswith(said)
    assert "\n" not in text


def test_a_folder_in_the_place_of_a_settings_file_is_said(tmp_path):
    folder = field_folder(tmp_path, TOP)
    (folder.parent / "farm.toml").unlink()
    (folder.parent / "farm.toml").mkdir()
    assert fault_of(folder).startswith("farm.toml: this is a folder, not a file. ")
    (folder / "field.toml").unlink()
    (folder / "field.toml").mkdir()
    assert fault_of(folder).startswith("field.toml: this is a folder, not a file. ")


def test_a_settings_file_that_may_not_be_read_is_one_line(tmp_path, monkeypatch):
    # The tests may run as a user to whom nothing is forbidden, so the system's answer is replaced.
    folder = field_folder(tmp_path, TOP)

    def refuse(path):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(InputError) as caught:
        load(folder)
    assert caught.value.code == WORLD
    said = "the file cannot be read (permission denied). Get permission to read it, and run again."
    assert [str(one) for one in caught.value.faults] == [f"{name}.toml: {said}" for name in ("farm", "field")]


def test_a_field_folder_that_may_not_be_looked_into_is_named(tmp_path, monkeypatch):
    folder = field_folder(tmp_path, TOP)
    is_file = Path.is_file

    def refuse(path):
        if path.parent == folder:
            raise PermissionError(13, "Permission denied", str(path))
        return is_file(path)

    monkeypatch.setattr(Path, "is_file", refuse)
    assert fields_of(folder.parent) == (folder,)
    with pytest.raises(InputError, match="you are not allowed into this folder") as caught:
        load(folder)
    assert caught.value.code == WORLD


def test_a_folder_in_letters_that_no_file_can_hold_is_named(tmp_path):
    """As the archive of an old system makes them: `Müller` in Latin-1 is no UTF-8."""
    folder = field_folder(tmp_path, TOP)
    odd = folder.with_name("M\udcfcller")
    try:
        folder.rename(odd)
    except OSError:
        pytest.skip("this disk holds no such names")
    for ask in (load, lambda path: fields_of(path.parent)):
        with pytest.raises(InputError, match=r"M\\udcfcller: its letters are not UTF-8. Rename it") as caught:
            ask(odd)
        assert caught.value.code == SETTINGS


def test_both_files_unreadable_are_told_together(tmp_path):
    text = fault_of(field_folder(tmp_path, "name =\n", "also ="))
    assert [line.partition(":")[0] for line in text.splitlines()] == ["farm.toml", "field.toml"]


def test_a_file_in_another_encoding_is_refused_and_a_byte_order_mark_is_not(tmp_path):
    folder = field_folder(tmp_path, None)
    (folder / "field.toml").write_bytes(FIELD.replace("Field", "Féld").encode("latin-1"))
    assert "not UTF-8 text (byte 15)" in fault_of(folder)
    (folder / "field.toml").write_bytes(FIELD.replace("\n", "\r\n").encode("utf-8-sig"))
    assert load(folder).name == "Some Field"


def test_farm_and_fields(tmp_path):
    folder = field_folder(tmp_path, TOP)
    farm = folder.parent
    (farm / "another").mkdir()
    (farm / "another" / "field.toml").write_text(FIELD)
    (farm / "notes").mkdir()
    (farm / "field.txt").write_text("no folder")
    assert fields_of(farm) == (farm / "another", folder)
    assert is_farm(farm)
    assert not is_farm(folder)
    assert not is_farm(tmp_path)
    with pytest.raises(InputError, match="no such folder"):
        fields_of(tmp_path / "nowhere")


def test_a_farm_file_in_the_fields_own_folder_comes_first(tmp_path):
    folder = field_folder(tmp_path, TOP)
    (folder / "farm.toml").write_text('name = "Nearer"\n')
    settings = load(folder)
    assert settings.farm_name == "Nearer"
    assert settings.farm_folder == folder


def test_a_relative_folder_finds_its_farm(tmp_path, monkeypatch):
    folder = field_folder(tmp_path, TOP)
    monkeypatch.chdir(folder)
    assert load(type(folder)(".")).farm_name == "Some Farm"


# -- merging and origins -------------------------------------------------------------------------------------


def test_the_fields_own_value_wins_tables_merge_and_lists_are_replaced(tmp_path):
    field = FIELD + '[money]\nproduct = "25 USD/ac"\n[carrier]\nvolumes = ["12 gal/ac"]\n' + AIRCRAFT
    settings = read(tmp_path, *FARM, "[carrier]\nvolumes = ['10 gal/ac', '20 gal/ac']\n", field=field)
    assert settings.money.product_usd_ac == 25
    assert settings.money.grain_price_usd_bu == 10.4
    assert [sprayer.name for sprayer in settings.sprayers] == ["aircraft"]
    assert settings.carrier.volumes_gal_ac == (12.0,)
    assert settings.name == "Some Field"
    assert settings.farm_name == "Some Farm"
    assert settings.origin["money.product"] == "field.toml:6"
    assert settings.given["money.product"] == '"25 USD/ac"'
    assert settings.origin["money.grain_price"] == "farm.toml:3"
    assert settings.origin["sprayer[1].boom"].startswith("field.toml:")
    assert "sprayer[1].nozzle" not in settings.origin
    assert "carrier.volumes[2]" not in settings.origin


def test_where_and_path_lead_to_the_file_that_names_it(tmp_path):
    field = FIELD + "[[imagery]]\nfile = 'a.tif'\nbands = { red = 1, nir = 2 }\nindex = 'NDVI'\n"
    settings = read(tmp_path, TOP, '[weather]\nforecast = "next.csv"\n', field=field)
    farm = tmp_path / "farm"
    assert settings.where("weather.forecast") == 'farm.toml:3: weather.forecast = "next.csv"'
    assert settings.path("weather.forecast", "next.csv") == farm / "next.csv"
    assert settings.where("imagery[1].file") == 'field.toml:6: imagery[1].file = "a.tif"'
    assert settings.path("imagery[1].file", "a.tif") == farm / "field" / "a.tif"
    assert settings.path("weather.daily", "weather.csv") == farm / "field" / "weather.csv"  # in neither
    (farm / "weather.csv").write_text("x")
    assert settings.path("weather.daily", "weather.csv") == farm / "weather.csv"
    (farm / "field" / "weather.csv").write_text("x")
    assert settings.path("weather.daily", "weather.csv") == farm / "field" / "weather.csv"


def test_no_origin_holds_a_folder_of_this_machine(tmp_path):
    settings = read(tmp_path, *FARM)
    assert all(re.fullmatch(r"(farm|field)\.toml:\d+", place) for place in settings.origin.values())
    assert str(tmp_path) not in settings.model_dump_json()


def test_an_adjuvant_as_a_share_of_the_tank_costs_by_the_gallon(tmp_path):
    money = MONEY + 'adjuvant = "0.25 % v/v"\nadjuvant_price = "20 USD/gal"\nwater = "0.01 USD/gal"\n'
    settings = read(tmp_path, TOP, money, SPRAYER, RESPONSE)
    # by hand: 0.0025 x 20 USD/gal = 0.05 USD in a gallon of carrier; the water is a line of its own
    assert settings.money.adjuvant_usd_gal == pytest.approx(0.05, abs=1e-12)
    assert settings.money.water_usd_gal == 0.01
    assert settings.money.adjuvant_usd_ac == 0
    with pytest.raises(InputError, match=r"adjuvant_frac = 0\.5: unknown key"):
        read(tmp_path / "typed", TOP, MONEY + "adjuvant_frac = 0.5\n", SPRAYER, RESPONSE)


@pytest.mark.parametrize(
    ("typed", "group"),
    [("1.9", 1.9), ('"00"', -1), ('"000"', -2), ('"0"', 0), ('"III"', 3), ('"viii"', 8), ("0", 0)],
)
def test_maturity_groups_as_people_write_them(tmp_path, typed, group):
    assert read(tmp_path, field=FIELD.replace("1.9", typed)).maturity_group == group


def test_planting_is_a_file_by_its_usual_name_unless_a_date_or_another_is_given(tmp_path):
    assert read(tmp_path / "a").planting.on == date(2026, 5, 6)
    assert read(tmp_path / "a").planting.file is None
    bare = FIELD.partition("[planting]")[0]
    assert read(tmp_path / "b", field=bare).planting.file == "planting.geojson"
    named = bare + '[planting]\nfile = "sown.gpkg"\n'
    assert read(tmp_path / "c", field=named).planting.file == "sown.gpkg"


# -- anything at all -----------------------------------------------------------------------------------------

SCALARS = st.one_of(
    st.sampled_from(["", "10 gal/ac", "5", "ground", "own trials", "1e999 psi", "0.5 % v/v"]),
    st.integers(-5, 5),
    st.floats(),
    st.booleans(),
    st.just(date(2026, 5, 6)),
)
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["kind", "name", "x"]), inner)
    ),
    max_leaves=4,
)


def toml_of(value):
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return f"[{', '.join(map(toml_of, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{key} = {toml_of(part)}' for key, part in value.items())}}}"
    return str(value)


NAMES = sorted({*keys(), "money", "sprayer", "product", "response"})


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(typed=st.dictionaries(st.sampled_from(NAMES), ANYTHING, max_size=6))
def test_whatever_is_typed_is_read_or_refused_with_its_line(tmp_path, typed):
    text = ""
    for key, value in typed.items():
        if not any(key.startswith(f"{other}.") or other.startswith(f"{key}.") for other in typed):
            text += f"{key} = {toml_of(value)}\n"
    given_name = "" if "name" in typed else 'name = "x"\n'
    folder = field_folder(tmp_path, None, given_name + text)
    for fault in refused(folder):
        assert re.match(r"field\.toml(:\d+)?: ", str(fault))
        assert fault.mend.endswith((".", "?"))
        assert not re.search(r"Input should|function-|tuple\[|is not understood", str(fault))
