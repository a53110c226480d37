"""Settings drawn for properties: what a user could type for any key, with what it means, or anything at all.

Which keys there are, of what kind and within which limits, is taken from the settings model itself, so that a
new setting is drawn without a line here. How a value is written in TOML is our own, not the program's.
"""

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from hypothesis import strategies as st
from pydantic.fields import FieldInfo

from zoning import units
from zoning.settings.keys import FILLED_IN, quantity_of
from zoning.settings.model import Settings
from zoning.settings.quantities import Part

NASTY = "'\"\\#[]{}=,;\t\n\r\0\x1b\u202e\u200b\ufeff\u2028é\u0301ß🌾<>&$%/.. "
# Where a number of a quantity stands as it is: the unit in which it is kept.
KEPT_IN = {
    "usd": "USD", "usd_bu": "USD/bu", "usd_ac": "USD/ac", "usd_gal": "USD/gal", "usd_h": "USD/h",
    "bu_ac": "bu/ac", "gal_ac": "gal/ac", "gal": "gal", "ac": "ac", "m": "m", "mph": "mph", "psi": "psi",
}  # fmt: skip
_KINDS = {"usd": "money", "bu": "grain", "ac": "area", "gal": "volume", "h": "time", "m": "length",
          "mph": "speed", "psi": "pressure"}  # fmt: skip


@dataclass(frozen=True)
class Setting:
    """One key: its table ("" for none), its name, what it is in the model, and its limits."""

    table: str
    is_list: bool
    name: str
    attribute: str
    annotation: Any
    low: float = -math.inf
    high: float = math.inf
    without_low: bool = False  # the lowest value itself is not allowed
    without_high: bool = False

    def __repr__(self) -> str:
        return f"{self.table}.{self.name}"

    @property
    def quantity(self) -> str | None:
        return quantity_of(self.attribute)


def every() -> tuple[Setting, ...]:
    """List every key that may be typed."""
    return tuple(_keys(Settings, "", False))


def _keys(model: type[Part], table: str, is_list: bool) -> Iterator[Setting]:
    for attribute, info in model.model_fields.items():
        if attribute in FILLED_IN:
            continue
        part = _part(info.annotation)
        if part is not None:
            yield from _keys(part, info.alias or attribute, get_origin(info.annotation) is tuple)
        else:
            limits = _limits([*info.metadata, *_metadata(info.annotation)])
            yield Setting(table, is_list, info.alias or attribute, attribute, info.annotation, **limits)


def _part(annotation: Any) -> type[Part] | None:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        return annotation
    return next((found for one in get_args(annotation) if (found := _part(one))), None)


def _metadata(annotation: Any) -> list[Any]:
    """List the limits that stand within a type, as of the items of a list."""
    own = list(annotation.__metadata__) if get_origin(annotation) is Annotated else []
    own += [one for info in own if isinstance(info, FieldInfo) for one in info.metadata]
    return own + [found for one in get_args(annotation) for found in _metadata(one)]


def _limits(metadata: list[Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for one in metadata:
        for name, key in (("ge", "low"), ("gt", "low"), ("le", "high"), ("lt", "high")):
            value = getattr(one, name, None)
            if value is not None:
                found[key] = float(value)
                if name in ("gt", "lt"):
                    found[f"without_{key}"] = True
    return found


# -- values with what they mean ----------------------------------------------------------------------------


def lowest(key: Setting) -> float:
    return math.nextafter(key.low, math.inf) if key.without_low else key.low


def highest(key: Setting) -> float:
    return math.nextafter(key.high, -math.inf) if key.without_high else key.high


def _core(annotation: Any) -> Any:
    """Give the type without None and without what is said beside it."""
    while True:
        if get_origin(annotation) is Annotated:
            annotation = get_args(annotation)[0]
        elif get_origin(annotation) in (Union, UnionType):
            annotation = next(one for one in get_args(annotation) if one is not type(None))
        else:
            return annotation


def _numbers(key: Setting, *, whole: bool) -> st.SearchStrategy[float]:
    low, high = max(lowest(key), -1e9), min(highest(key), 1e9)
    if whole:
        return st.sampled_from([int(low), int(high)]) | st.integers(int(low), int(high))
    edges = st.sampled_from([one for one in (low, high, (low + high) / 2, 0.0, 1.0) if low <= one <= high])
    return edges | st.floats(low, high)


def spelled(quantity: str) -> st.SearchStrategy[str]:
    """Draw a way to write the unit of a quantity: any spelling of any unit that fits, in capitals too."""
    known = units.spellings()
    over, _, under = quantity.partition("_")
    kinds = [_KINDS[over], *([_KINDS[under]] if under else [])]
    if quantity in _KINDS:
        kinds = [_KINDS[quantity]]
    of_kind = [known[kind] + (known["mass"] if kind == "grain" else ()) for kind in kinds]
    parts = [
        st.sampled_from(names).flatmap(lambda one: st.sampled_from([one, one.upper()])) for names in of_kind
    ]
    slash = st.sampled_from(["/", " / ", "/ "])
    return st.tuples(*parts, slash).map(lambda drawn: drawn[-1].join(drawn[:-1]))


@st.composite
def amounts(draw: st.DrawFn, key: Setting) -> tuple[str, float]:
    """Draw a quantity in words, in any unit, and what it is in ours."""
    meant = draw(_numbers(key, whole=False))
    unit = draw(spelled(key.quantity or "") | st.just(KEPT_IN[key.quantity or ""]))
    number = meant / units.factor(unit, key.quantity or "")
    read = number * units.factor(unit, key.quantity or "")
    if not lowest(key) <= read <= highest(key):  # on the way there and back it left its limits
        unit, number, read = KEPT_IN[key.quantity or ""], meant, meant
    space = draw(st.sampled_from([" ", "  ", ""])) if not unit.startswith("e") else " "
    return f"{number!r}{space}{unit}", read


TEXTS = st.text(min_size=1, max_size=12) | st.text(NASTY, min_size=1, max_size=6) | st.just("a" * 300)
_SHOWN = st.characters(exclude_categories=["C", "Z"]) | st.just(" ")  # what settings take in a text
_ODD = "".join(one for one in NASTY if one.isprintable())
_LINES = (
    st.text(_SHOWN, min_size=1, max_size=12) | st.text(_ODD, min_size=1, max_size=6) | st.just("a" * 300)
).filter(lambda one: bool(one.strip()))
DAYS = st.dates() | st.sampled_from([date.min, date.max, date(2024, 2, 29), date(2026, 7, 8)])


def meant(key: Setting) -> st.SearchStrategy[tuple[Any, Any]] | None:
    """Draw what may be typed for a key, and what it means; None for what only makes sense with other keys."""
    core, quantity = _core(key.annotation), key.quantity
    if get_origin(core) is Literal:
        return st.sampled_from(get_args(core)).map(lambda one: (one, one))
    if core is bool:
        return st.booleans().map(lambda one: (one, one))
    if core is date:
        return DAYS.map(lambda one: (one, one))
    if core is int:
        return _numbers(key, whole=True).map(lambda one: (one, one))
    if core is float and quantity:
        return amounts(key)
    if core is float:
        return _numbers(key, whole=False).map(lambda one: (one, one))
    if core is str and key.name != "nozzle":
        return _LINES.map(lambda one: (one, one))
    if key.name == "volumes":
        lists = st.lists(amounts(key), min_size=1, max_size=5)
        return lists.map(lambda found: ([one for one, _ in found], tuple(two for _, two in found)))
    if key.name in ("groups", "groups_used", "resistant"):
        return st.lists(_LINES, min_size=1, max_size=3).map(lambda found: (found, tuple(found)))
    return None


# -- anything at all ---------------------------------------------------------------------------------------

_ANY_NUMBER = st.integers(-(2**63), 2**63 - 1) | st.floats() | st.sampled_from([0, -0.0, 1e308, 5e-324])
_ANY_TEXT = (
    TEXTS | st.text(max_size=3) | st.sampled_from(["1e400 USD/ac", "nan ft", "-1 gal/ac", "5 %", "90", "ft"])
)
_ANY_PLAIN = st.one_of(st.booleans(), _ANY_NUMBER, _ANY_TEXT, DAYS)
ANYTHING = st.recursive(
    _ANY_PLAIN,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_ANY_TEXT, inner, max_size=2),
    max_leaves=4,
)


@st.composite
def any_amount(draw: st.DrawFn, quantity: str) -> str:
    """Draw a number of any size with a unit that fits, or does not."""
    number = draw(_ANY_NUMBER)
    return f"{number}{draw(st.sampled_from(['', ' ']))}{draw(spelled(quantity) | _ANY_TEXT)}"


def anything(key: Setting) -> st.SearchStrategy[Any]:
    """Draw what somebody may type for a key: right, nearly right, or nonsense."""
    right = meant(key)
    drawn = (
        [ANYTHING]
        if right is None
        else [right.map(lambda pair: pair[0]), right.map(lambda pair: pair[0]), ANYTHING]
    )
    return st.one_of(*drawn, any_amount(key.quantity)) if key.quantity else st.one_of(*drawn)


# -- as text -----------------------------------------------------------------------------------------------


def as_toml(value: Any) -> str:
    """Write a value in TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        shown = (one if one.isprintable() and one not in '"\\' else _escaped(one) for one in value)
        return f'"{"".join(shown)}"'
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(as_toml, value))}]"
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{as_toml(str(key))} = {as_toml(one)}' for key, one in value.items())} }}"
    return str(value)


def _escaped(letter: str) -> str:
    return f"\\U{ord(letter):08x}" if not 0xD800 <= ord(letter) < 0xE000 else "?"


def tables_of(text: str, shared: str, typed: Mapping[Setting, Any]) -> dict[str, dict[str, Any]]:
    """Give the tables of a field.toml with keys typed otherwise.

    A list of tables that a key belongs to is taken over from the farm's text `shared`: it is replaced whole.
    """
    own, theirs = _tables(tomllib.loads(text)), _tables(tomllib.loads(shared))
    for key, value in typed.items():
        start = theirs.get(key.table, {}) if key.is_list else {}
        own.setdefault(key.table, dict(start))[key.name] = value
    return own


def _tables(whole: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {"": {}}
    for name, value in whole.items():
        if isinstance(value, Mapping):
            found[name] = dict(value)
        elif isinstance(value, list) and value and isinstance(value[0], Mapping):
            found[name] = dict(value[0])
        else:
            found[""][name] = value
    return found


Tables = Mapping[str, Mapping[str, Any]]


def text_of(tables: Tables) -> str:
    """Write settings: the table "" first, lists of tables as of one item."""
    lists = {key.table for key in every() if key.is_list}
    lines: list[str] = []
    for table in sorted(tables):
        if table:
            lines.append(f"[[{table}]]" if table in lists else f"[{table}]")
        lines += [f"{name} = {as_toml(value)}" for name, value in tables[table].items()]
    return "\n".join(lines) + "\n"
