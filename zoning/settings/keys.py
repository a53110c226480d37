"""Every key that may be typed: its table, its quantity, its default and what it means in words.

The list is taken from the models; the words stand in keys.toml. Reads no file of the user's.
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from zoning import evidence, units
from zoning.settings.given import as_toml
from zoning.settings.lines import Steps
from zoning.settings.model import Settings
from zoning.settings.quantities import Part

# Attributes that the reader fills in; nobody types them.
FILLED_IN = (
    "farm_name",
    "folder",
    "farm_folder",
    "level",
    "missing",
    "origin",
    "given",
    "adjuvant_frac",
    "learned",
    "allow_unreachable",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key that may be typed.

    `choices` are the words that may be written, empty where any may. `default` is the text that stands in
    when it is left out, "" where nothing does; `kind` says what that default rests on (see keys.toml), an
    evidence kind where it has a passport.
    """

    table: str
    name: str
    attribute: str
    is_list: bool  # of a list of tables, [[...]]
    quantity: str | None
    default: str
    kind: str
    words: str
    example: str
    choices: tuple[str, ...]

    @property
    def pattern(self) -> str:
        """The key without item numbers, as "sprayer.boom"."""
        return f"{self.table}.{self.name}" if self.table else self.name


@cache
def keys() -> dict[str, Key]:
    """List every key by its pattern.

    Examples
    --------
    >>> keys()["money.grain_price"].quantity
    'usd_bu'
    >>> keys()["row_spacing"].default, keys()["row_spacing"].kind
    ('"30 in"', 'assumption')
    """
    text = resources.files(__package__).joinpath("keys.toml").read_text(encoding="utf-8")
    told = tomllib.loads(text)
    found = {}
    for table, is_list, attribute, info in _typed(Settings):
        name = info.alias or attribute
        said = told[table][name]
        kind = evidence.entry(f"settings.{_entry(name)}").kind if said["kind"] == "evidence" else said["kind"]
        key = Key(
            table=table,
            name=name,
            attribute=attribute,
            is_list=is_list,
            quantity=quantity_of(attribute),
            default=said.get("stands") or _default(info, kind),
            kind=kind,
            words=said["words"],
            example=said.get("example", ""),
            choices=tuple(as_toml(word) for word in _words_in(info.annotation) if word != ""),
        )
        found[key.pattern] = key
    return found


def tables() -> dict[str, bool]:
    """List the tables, and whether each is a list of tables, as [[sprayer]].

    Examples
    --------
    >>> tables()["sprayer"], tables()["money"]
    (True, False)
    """
    return {key.table: key.is_list for key in keys().values() if key.table}


def key_of(steps: Steps) -> Key | None:
    """Find the key that a place in the files belongs to.

    Examples
    --------
    >>> key_of(("sprayer", 1, "speed", 0)).name
    'speed'
    """
    names = [step for step in steps if isinstance(step, str)]
    return keys().get(".".join(names[:2])) or (keys().get(names[0]) if names else None)


def quantity_of(attribute: str) -> str | None:
    """Give the quantity that the ending of a name says, None for a pure number or a text.

    Examples
    --------
    >>> quantity_of("grain_price_usd_bu"), quantity_of("rule")
    ('usd_bu', None)
    """
    fits = [ending for ending in units.quantities() if attribute.endswith(f"_{ending}")]
    return max(fits, key=len, default=None)


def _typed(
    model: type[Part], table: str = "", is_list: bool = False
) -> Iterator[tuple[str, bool, str, FieldInfo]]:
    for attribute, info in model.model_fields.items():
        if attribute in FILLED_IN:
            continue
        part = _part_in(info.annotation)
        if part is None:
            yield table, is_list, attribute, info
        else:
            yield from _typed(part, info.alias or attribute, str(info.annotation).startswith("tuple"))


def _part_in(annotation: Any) -> type[Part] | None:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        return annotation
    inside = (_part_in(one) for one in get_args(annotation))
    return next((part for part in inside if part is not None), None)


def _words_in(annotation: Any) -> tuple[object, ...]:
    return get_args(annotation) if get_origin(annotation) is Literal else ()


def _entry(name: str) -> str:
    """Name of the evidence entry: the key without its unit."""
    return name.removesuffix("_min").removesuffix("_s").removesuffix("_d").removesuffix("_deg")


def _default(info: FieldInfo, kind: str) -> str:
    if kind == "asked" or info.default is None or info.default in ("", (), {}):
        return ""
    return as_toml(info.default)
