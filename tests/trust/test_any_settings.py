"""Any settings: what is typed is what is meant, what is written again is the same, the rest is told."""

import tomllib

import pytest
from any_settings import KEPT_IN, Setting, anything, as_toml, every, highest, lowest, meant, text_of
from clear_faults import check
from hypothesis import event, given
from hypothesis import strategies as st
from made_folders import FIELD, MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, field_folder

from zoning.errors import InputError
from zoning.settings.model import Settings
from zoning.settings.read import load

WHOLE = tomllib.loads(TOP + MONEY + PRODUCT + SPRAYER + RESPONSE) | tomllib.loads(FIELD)
BASE = {"": {name: one for name, one in WHOLE.items() if not isinstance(one, dict | list)}} | {
    name: one[0] if isinstance(one, list) else one
    for name, one in WHOLE.items()
    if isinstance(one, dict | list)
}
MORE = {  # what a table needs before one of its keys can be typed
    "imagery": {"file": "imagery/2026-06-28_canopy.tif", "bands": {"red": 1, "nir": 2}, "index": "NDVI"},
    "layer": {"name": "height", "file": "height.tif"},
    "setback": {"file": "setbacks.geojson"},
    "dead_ground": {"file": "dead.geojson"},
}
DRAWN = {key: drawn for key in every() if (drawn := meant(key)) is not None}


def load_text(tmp_path_factory, text: str) -> Settings:
    """Load what stands in one field.toml."""
    return load(field_folder(tmp_path_factory.getbasetemp() / "any", None, text))


def with_keys(typed: dict[Setting, object]) -> str:
    """Write the whole settings with some keys typed otherwise."""
    tables = {name: dict(one) for name, one in BASE.items()}
    for key, value in typed.items():
        tables.setdefault(key.table, dict(MORE.get(key.table, {})))[key.name] = value
    return text_of(tables)


def found(settings: Settings, key: Setting) -> object:
    """Give what the settings hold for a key."""
    if not key.table:
        return getattr(settings, key.attribute)
    by_name = {info.alias or name: name for name, info in Settings.model_fields.items()}
    part = getattr(settings, by_name[key.table])
    return getattr(part[0] if isinstance(part, tuple) else part, key.attribute)


def written(settings: Settings) -> str:
    """Write settings as text again, what was typed of them, each quantity in the unit in which it is kept."""
    tables: dict[str, dict[str, object]] = {}
    for key in every():
        named = f"{key.table}[1].{key.name}" if key.is_list else f"{key.table}.{key.name}".lstrip(".")
        if named not in settings.origin:
            continue
        value = found(settings, key)
        unit = KEPT_IN.get(key.quantity or "")
        if unit and isinstance(value, tuple):
            value = [f"{one!r} {unit}" for one in value]
        tables.setdefault(key.table, {})[key.name] = (
            f"{value!r} {unit}" if isinstance(value, float) and unit else value
        )
    return text_of(tables)


@given(st.data())
def test_what_is_typed_is_what_is_meant_and_is_the_same_when_written_again(tmp_path_factory, data):
    keys = data.draw(st.lists(st.sampled_from(list(DRAWN)), max_size=5, unique=True))
    typed = {key: data.draw(DRAWN[key], label=repr(key)) for key in keys}
    text = with_keys({key: one for key, (one, _) in typed.items()})
    try:
        settings = load_text(tmp_path_factory, text)
    except InputError as error:  # keys that do not fit together
        event("refused")
        check(error, (2,))
        return
    event("loaded")
    for key, (_, wanted) in typed.items():
        assert found(settings, key) == (pytest.approx(wanted, rel=1e-12) if key.quantity else wanted), key
    again = load_text(tmp_path_factory, written(settings))
    assert again.model_dump() == settings.model_dump()


@given(st.data())
def test_whatever_is_typed_is_read_or_told_with_its_line(tmp_path_factory, data):
    keys = data.draw(st.lists(st.sampled_from(every()), min_size=1, max_size=4, unique=True))
    text = with_keys({key: data.draw(anything(key), label=repr(key)) for key in keys})
    try:
        load_text(tmp_path_factory, text)
    except InputError as error:
        check(error, (2,))
        for fault in error.faults:
            name, _, rest = fault.where.partition(":")
            assert name in ("field.toml", "farm.toml")
            assert not rest or rest.partition(":")[0].isdigit() or rest.startswith(" "), fault.where


@given(st.binary(max_size=60) | st.text(max_size=80).map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes_for_settings_are_read_or_told(tmp_path_factory, content):
    folder = field_folder(tmp_path_factory.getbasetemp() / "bytes", None, FIELD)
    (folder / "field.toml").write_bytes(content)
    with pytest.raises(InputError) as caught:  # none so short holds a name and a group
        load(folder)
    check(caught.value, (2,))


LIMITED = [key for key in DRAWN if key.low > -1e9 or key.high < 1e9]


@pytest.mark.parametrize("key", LIMITED, ids=repr)
def test_a_value_at_the_limit_is_taken_and_one_beyond_is_told_to_be_out_of_range(tmp_path_factory, key):
    unit = KEPT_IN.get(key.quantity or "")
    is_list = key.name == "volumes"

    def said(value: float) -> str:
        whole = as_whole(key, value)
        amount = f"{whole!r} {unit}" if unit else whole
        try:
            load_text(tmp_path_factory, with_keys({key: [amount] if is_list else amount}))
        except InputError as error:
            return "\n".join(str(one) for one in error.faults if f"{key.name} =" in one.where or is_list)
        return ""

    step = 1 if _is_whole(key) else 1e-9
    if key.low > -1e9:
        assert "out of range" not in said(lowest(key))
        beyond = key.low if key.without_low else key.low - step
        assert "out of range" in said(beyond), beyond
    if key.high < 1e9:
        assert "out of range" not in said(highest(key))
        beyond = key.high if key.without_high else key.high + max(step, key.high * 1e-9)
        assert "out of range" in said(beyond), beyond


def _is_whole(key: Setting) -> bool:
    return "int" in str(key.annotation) and not key.quantity


def as_whole(key: Setting, value: float) -> float:
    return round(value) if _is_whole(key) else value


@given(st.text(max_size=20) | st.floats() | st.integers() | st.booleans())
def test_the_way_in_which_values_are_written_here_is_toml(value):
    text = as_toml(value)
    read = tomllib.loads(f"value = {text}")["value"]
    assert repr(read) == repr(value)
