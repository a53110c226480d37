"""What a plan.json has the machine do: as it was handed over once, or as it is now. Compares nothing."""

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, TypeVar, get_args

from zoning.errors import CONTENT, SETTINGS, WORLD, InputError
from zoning.plan import SCHEMA_VERSION, Action, ZoneSince

_Kind = TypeVar("_Kind")
_NUMBER = (int, float)
_ACTIONS = (*get_args(Action), None)
_MEND = "Name the plan.json that a run wrote into the field's out folder, or a copy of it."


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedPass:
    """One pass. `treated_ac` and `map_id` are None in a plan.json that does not have them yet.

    `mix` is product and dose as typed, empty where there is no load sheet.
    """

    number: int
    sprayer: str
    day: date
    half: str
    rate_gal_ac: float
    area_ac: float
    treated_ac: float | None
    map_id: str | None
    zones: tuple[int, ...]
    mix: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """What the machine was to do: passes, and which zones were sprayed. `digest` is the file's SHA-256.

    `is_metric` says in which unit the rates stand in the operator's files. `strips` has how many pairs of
    check strips there are, and the seed of their lay-out.
    """

    field: str
    today: date
    zones_id: str
    zones: tuple[int, ...]
    passes: tuple[HandedPass, ...]
    net_usd: float
    is_metric: bool = False
    strips: tuple[int, int] = (0, 0)
    digest: str = ""
    of_zones: tuple[ZoneSince, ...] = ()  # in the order of `zones`


def read(path: Path, field: str) -> Handed:
    """Read the plan.json of an earlier run.

    Parameters
    ----------
    path : Path
    field : str
        Name of the field that it must be of.

    Raises
    ------
    InputError
        Code 2 where there is no such file; 3 where it is no plan.json, of another field, or of a newer
        version; 4 where it may not be read.
    """
    content = _content(path)
    try:
        handed = of_object(json.loads(content.decode("utf-8")))
    except RecursionError as error:
        raise InputError("this is not a plan.json", where=path, mend=_MEND) from error
    except _TooNewError as error:
        mend = "Bring sprayworth up to date, or leave --since out."
        raise InputError(str(error), where=path, mend=mend) from error
    except ValueError as error:  # no JSON, no text, or not the keys of a plan
        what = f"this is not a plan.json ({error})"
        raise InputError(what, where=path, mend=_MEND, code=CONTENT) from error
    if handed.field != field:
        what = f"this is the plan of {handed.field!r}, not of {field!r}"
        raise InputError(what, where=path, mend=_MEND, code=CONTENT)
    return replace(handed, digest=hashlib.sha256(content).hexdigest())


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError as error:
        raise InputError("there is no such file", where=path, mend=_MEND, code=SETTINGS) from error
    except (IsADirectoryError, NotADirectoryError) as error:
        raise InputError("this is no file", where=path, mend=_MEND, code=SETTINGS) from error
    except OSError as error:
        what = f"the file cannot be read ({error.strerror or error})"
        raise InputError(what, where=path, mend="Get permission to read it.", code=WORLD) from error


class _TooNewError(ValueError):
    """The file follows rules that this version does not know."""


def of_object(whole: object) -> Handed:
    """Take what the machine does from the object that plan.json holds.

    Raises
    ------
    ValueError
        Where a key is missing or holds something else than it should.
    """
    plan = _as(whole, dict, "the whole")
    version = _get(plan, "schema_version", int)
    if version > SCHEMA_VERSION:
        raise _TooNewError(f"a newer version made this plan (schema_version {version})")
    totals = plan.get("totals")
    zones = [_as(one, dict, "zones") for one in _get(plan, "zones", list)]
    passes = [_as(one, dict, "passes") for one in _get(plan, "passes", list)]
    return Handed(
        field=_get(plan, "field", str),
        today=_day(plan, "today"),
        zones_id=_get(plan, "zones_id", str),
        zones=tuple(_get(one, "zone", int) for one in zones),
        of_zones=tuple(_zone(one) for one in zones),
        passes=tuple(_pass(one) for one in passes),
        net_usd=0.0 if totals is None else _number(_as(totals, dict, "totals"), "net_usd"),
        is_metric="area_ha" in plan,
        strips=_strips(plan.get("check_strips")),
    )


def _zone(one: Mapping[str, Any]) -> ZoneSince:
    stage = one.get("stage")
    likely = None if stage is None else _as(stage, dict, "stage").get("r3_likely")
    action = one.get("action")
    if action not in _ACTIONS:
        raise ValueError("action is not what it should be")
    return ZoneSince(
        zone=_get(one, "zone", int),
        r3_likely=None if likely is None else date.fromisoformat(_as(likely, str, "r3_likely")),
        spray_on=None if one.get("spray_on") is None else _day(one, "spray_on"),
        action=action,
        rate_gal_ac=None if one.get("rate_gal_ac") is None else _number(one, "rate_gal_ac"),
    )


def _strips(told: object) -> tuple[int, int]:
    if told is None:
        return (0, 0)
    strips = _as(told, dict, "check_strips")
    return _get(strips, "pairs", int), _get(strips, "seed", int)


def _pass(one: Mapping[str, Any]) -> HandedPass:
    sheet = one.get("load_sheet")
    mix = ""
    if sheet is not None:
        known = _as(sheet, dict, "load_sheet")
        mix = f"{_get(known, 'product', str)} {_get(known, 'dose', str)}"
    numbers = _get(one, "zones", list)
    return HandedPass(
        number=_get(one, "pass", int),
        sprayer=_get(one, "sprayer", str),
        day=_day(one, "day"),
        half=_get(one, "half", str),
        rate_gal_ac=_number(one, "rate_gal_ac"),
        area_ac=_number(one, "area_ac"),
        treated_ac=_number(one, "treated_ac") if one.get("treated_ac") is not None else None,
        map_id=_get(one, "map_id", str) if one.get("map_id") is not None else None,
        zones=tuple(_as(zone, int, "zones") for zone in numbers),
        mix=mix,
    )


def _get(thing: Mapping[str, Any], key: str, kind: type[_Kind]) -> _Kind:
    if key not in thing:
        raise ValueError(f"it has no {key}")
    return _as(thing[key], kind, key)


def _as(value: object, kind: type[_Kind], key: str) -> _Kind:
    if not isinstance(value, kind) or isinstance(value, bool):
        raise ValueError(f"{key} is not what it should be")
    return value


def _number(thing: Mapping[str, Any], key: str) -> float:
    value = _get(thing, key, object)
    if not isinstance(value, _NUMBER) or isinstance(value, bool) or not math.isfinite(value):
        raise ValueError(f"{key} is not a number")
    return float(value)


def _day(thing: Mapping[str, Any], key: str) -> date:
    return date.fromisoformat(_get(thing, key, str))
