"""Every agronomic number, with its passport: value, unit, source, kind, note.

The numbers live in the TOML tables beside this file, one table a room; code asks for them by name and has
none of its own. An entry without a passport is refused when its table is first read.
"""

import hashlib
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np
import numpy.typing as npt

KINDS = ("published", "standard", "computed", "common practice", "from memory", "assumption")
_WITH_SOURCE = ("published", "standard", "computed")
_KEYS = {"value", "unit", "kind", "source", "note"}

Value = float | str | list[float] | list[list[float]] | dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One number (or one short table of numbers) and where it comes from.

    `source` is author, year and title or doi for "published" and "standard", the entries or the rule it
    is computed from for "computed", and empty for "common practice".
    """

    key: str
    value: Value
    unit: str
    kind: str
    source: str
    note: str


class PassportError(ValueError):
    """An evidence table holds an entry that does not say where its number comes from."""


def _numbers_in(value: object) -> Iterator[object]:
    if isinstance(value, Mapping):
        value = list(value.values())
    if isinstance(value, list):
        for part in value:
            yield from _numbers_in(part)
    else:
        yield value


def read_entry(key: str, raw: object) -> Entry:
    """Check one entry's passport.

    Raises
    ------
    PassportError
        When a part is missing, the kind is unknown, or a source is missing or not allowed.
    """
    if not isinstance(raw, dict) or set(raw) != _KEYS:
        raise PassportError(f"{key}: needs exactly {', '.join(sorted(_KEYS))}")
    if raw["kind"] not in KINDS:
        raise PassportError(f"{key}: kind {raw['kind']!r} is not one of {', '.join(KINDS)}")
    if raw["kind"] in _WITH_SOURCE and not str(raw["source"]).strip():
        raise PassportError(f"{key}: kind {raw['kind']!r} needs a source")
    if raw["kind"] == "common practice" and raw["source"]:
        raise PassportError(f"{key}: common practice has no source")
    if not str(raw["unit"]).strip():
        raise PassportError(f"{key}: needs a unit, 1 for a pure number")
    for number in _numbers_in(raw["value"]):
        if isinstance(number, bool) or not isinstance(number, int | float | str):
            raise PassportError(f"{key}: {number!r} is not a number")
    return Entry(key=key, **raw)


@cache
def table(room: str) -> Mapping[str, Entry]:
    """All entries of one room: "stage", "returns", "sprayer", "passes", "zones", "inputs"."""
    text = resources.files(__package__).joinpath(f"{room}.toml").read_text(encoding="utf-8")
    return {name: read_entry(f"{room}.{name}", raw) for name, raw in tomllib.loads(text).items()}


def rooms() -> tuple[str, ...]:
    """List the rooms that have a table."""
    files = resources.files(__package__).iterdir()
    return tuple(sorted(file.name.removesuffix(".toml") for file in files if file.name.endswith(".toml")))


def entry(key: str) -> Entry:
    """One entry by its full name, `room.name`."""
    room, _, name = key.partition(".")
    return table(room)[name]


@cache
def number(key: str) -> float:
    """Give the value of an entry that holds one number.

    Examples
    --------
    >>> number("passes.toss_up_usd_ac") >= 0
    True
    """
    value = entry(key).value
    if isinstance(value, list | dict | str):
        raise TypeError(f"{key} holds {type(value).__name__}, not one number")
    return float(value)


def numbers(key: str) -> npt.NDArray[np.float64]:
    """Give the values of an entry that holds a list or a list of rows."""
    value = entry(key).value
    if not isinstance(value, list):
        raise TypeError(f"{key} holds one value, not a list")
    return np.asarray(value, dtype=np.float64)


def named(key: str) -> dict[str, float]:
    """Give the values of an entry that holds one number for each of several names."""
    value = entry(key).value
    if not isinstance(value, dict):
        raise TypeError(f"{key} holds no named values")
    return {name: float(part) for name, part in value.items()}


def find(beginning: str = "") -> tuple[Entry, ...]:
    """List the entries whose full name starts with these letters, all of them by default."""
    entries = (one for room in rooms() for one in table(room).values())
    return tuple(one for one in entries if one.key.startswith(beginning))


def as_object(one: Entry) -> dict[str, object]:
    """Give an entry as an object for JSON."""
    return {name: getattr(one, name) for name in ("key", "value", "unit", "kind", "source", "note")}


def as_text(one: Entry) -> str:
    """Write an entry in words, on a few lines.

    Examples
    --------
    >>> one = Entry(key="a.b", value=2.0, unit="d", kind="assumption", source="", note="a guess")
    >>> print(as_text(one))
    a.b = 2.0 d
        assumption; a guess
    """
    unit = "" if one.unit == "1" else f" {one.unit}"
    origin = f"{one.kind}: {one.source}" if one.source else one.kind
    return f"{one.key} = {one.value}{unit}\n    {origin}" + (f"; {one.note}" if one.note else "")


def digest() -> dict[str, str]:
    """Hash each table, so that a result can say with which numbers it was made."""
    files = resources.files(__package__)
    return {room: hashlib.sha256(files.joinpath(f"{room}.toml").read_bytes()).hexdigest() for room in rooms()}
