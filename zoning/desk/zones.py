"""The zones that a field gets: how many at most, two made one, one made two by a line, and back again.

Zones that were changed by hand are written beside the field as zones that somebody drew; the run cuts them at
the edges of the planting blocks, which stay. Each step before is kept, so that each can be taken back.
"""

import json
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from zoning.desk import drawn_file, field_toml, last_plan
from zoning.desk.asked import Point
from zoning.desk.drawn_file import DrawnZone
from zoning.desk.last_plan import LastPlan
from zoning.desk.log import Change, Log
from zoning.desk.opened import content, remove, set_aside
from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import decisions, done, store
from zoning.settings.model import Settings, Zones
from zoning.settings.read import load
from zoning.words import amounts

FILE = "zones_by_hand.gpkg"
STEPS = "history/zones"
_FIRST = "before.json"  # what [zones] in field.toml said before the first step
_KEYS = ("file", "zone_column")
_NAME_MOST = 60  # letters


def number_of_zones(log: Log, most: object, reason: str) -> str:
    """Set how many zones a planting block may get, at most.

    Raises
    ------
    InputError
        Where the number is none that can be, or the zones are drawn: then none are counted.
    """
    settings = load(log.folder)
    if settings.zones.file:
        mend = "Take the changes by hand back first, or take `file` out of [zones]."
        raise InputError("the zones of this field are drawn", where="field.toml", mend=mend)
    try:
        asked = Zones.model_validate({"max_zones_per_block": most}, strict=True).max_zones_per_block
    except ValidationError as error:
        raise InputError(
            f"{str(most)[:20]} is no number of zones", where="zones", mend="Give 1 to 6."
        ) from error
    _may_change(log, settings)
    before = settings.zones.max_zones_per_block
    if asked == before:
        raise InputError(f"it is {before} already", where="zones", mend="Give another number.")
    change = Change(what="number of zones", zone=None, before=before, after=asked, reason=reason)
    with log.of(change, *_undecided(log)), set_aside(_decided(log)):
        field_toml.write_zones(log, {"max_zones_per_block": asked})
    return f"at most {asked} zones in a block"


def merged(log: Log, zones_id: object, pair: Sequence[object], reason: str) -> str:
    """Make one zone of two that lie side by side in the same planting block.

    Raises
    ------
    InputError
        Where they are not two such zones.
    """
    plan = last_plan.wanted(log.home, log.folder, zones_id)
    one, other = (_zone(plan, each) for each in (pair if len(pair) == 2 else (None, None)))
    if one["zone"] == other["zone"]:
        raise InputError("these are not two zones", where="merge", mend="Choose two that lie side by side.")
    if one["block"] != other["block"]:
        mend = "Choose two zones of one block; blocks keep their edges."
        raise InputError("these zones were not planted together", where="merge", mend=mend)
    drawn = drawn_file.of_plan(log.home, log.folder, plan)
    numbers = sorted((int(one["zone"]), int(other["zone"])))
    joined = drawn_file.joined(drawn[numbers[0]], drawn[numbers[1]])
    if joined is None:
        raise InputError("these zones do not lie side by side", where="merge", mend="Choose neighbours.")
    names = " + ".join(drawn[each].name for each in numbers)
    after = {**drawn, numbers[0]: DrawnZone(name=_short(names, drawn), outline=joined)}
    del after[numbers[1]]
    change = Change(what="zones merged", zone=None, before=numbers, after=names, reason=reason)
    _write(log, plan, after, change)
    return f"zones {numbers[0]} and {numbers[1]} are one"


def split(log: Log, zones_id: object, zone: object, line: tuple[Point, Point], reason: str) -> str:
    """Make two zones of one, along the line through two points.

    Raises
    ------
    InputError
        Where the line does not cut the zone in two that are large enough.
    """
    settings = load(log.folder)
    plan = last_plan.wanted(log.home, log.folder, zones_id)
    of_plan = int(_zone(plan, zone)["zone"])
    drawn = drawn_file.of_plan(log.home, log.folder, plan)
    west, north = drawn_file.corner(log.home, log.folder, plan)
    ends = [(west + point.x, north - point.y) for point in line]
    parts = drawn_file.parts(drawn[of_plan], (ends[0], ends[1]))
    if min((drawn_file.acres(part, plan.epsg) for part in parts), default=0.0) < settings.zones.min_area_ac:
        least = amounts.area(settings.zones.min_area_ac, is_metric=settings.units == "metric")
        small = f"a part would be smaller than the smallest zone, {least}"
        what = small if parts else "the line misses the zone"
        raise InputError(what, where=f"zone {of_plan}", mend="Draw it again, further inside.")
    after: dict[int, DrawnZone] = {}
    for each, was in drawn.items():
        if each != of_plan:
            after[2 * each] = was
            continue
        for place, part in enumerate(parts):
            after[2 * each + place] = DrawnZone(name=_short(f"{was.name} {'ab'[place]}", drawn), outline=part)
    text = [f"{east:.1f} {to_north:.1f}" for east, to_north in ends]
    change = Change(what="zone split", zone=of_plan, before=None, after=text, reason=reason)
    _write(log, plan, after, change)
    return f"zone {of_plan} is two"


def taken_back(log: Log, reason: str) -> str:
    """Take the last change by hand back; after the first one the zones are found by the layers again.

    Raises
    ------
    InputError
        Where nothing was changed by hand.
    """
    steps = log.home.inside(log.folder / STEPS)
    kept = _kept(log)
    if not (steps / _FIRST).is_file():
        raise InputError("no zone was changed by hand", where="zones", mend="There is nothing to take back.")
    _may_change(log, load(log.folder))
    change = Change(what="zones taken back", zone=None, before=None, after=None, reason=reason)
    with log.of(change, *_undecided(log)), set_aside(_decided(log)):
        if kept:
            store.write_bytes(log.home.inside(log.folder / FILE), kept[-1].read_bytes())
            remove(kept[-1])
        else:
            field_toml.write_zones(log, _first(log))
            remove(log.home.inside(log.folder / FILE))
            remove(steps / _FIRST)
    return "the last change by hand is taken back"


def most_zones(folder: Path) -> int | None:
    """Give how many zones a block may get; None where they are drawn and nobody counts them."""
    settings = load(folder)
    return None if settings.zones.file else settings.zones.max_zones_per_block


def steps_by_hand(log: Log) -> int:
    """Count the changes by hand that can be taken back."""
    is_changed = (log.home.inside(log.folder / STEPS) / _FIRST).is_file()
    return len(_kept(log)) + 1 if is_changed else 0


# -- writing -------------------------------------------------------------------------------------------------


def _write(log: Log, plan: LastPlan, zones: Mapping[int, DrawnZone], change: Change) -> None:
    """Keep the step before, then write the zones and name them in the settings."""
    settings = load(log.folder)
    _may_change(log, settings)
    path, steps = log.home.inside(log.folder / FILE), log.home.inside(log.folder / STEPS)
    made = drawn_file.as_bytes([zones[each] for each in sorted(zones)], plan.epsg, plan.today)
    with log.of(change, *_undecided(log)), set_aside(_decided(log)):
        if not (steps / _FIRST).is_file() or settings.zones.file != FILE:  # a crash may have left the first
            typed = field_toml.zones_of(log.folder)
            first = {key: typed.get(key) for key in _KEYS}
            store.write_text(log.home.inside(steps / _FIRST), json.dumps(first))
        elif content(path):
            _keep_step(log, content(path))
        store.write_bytes(path, made)
        field_toml.write_zones(log, {"file": FILE, "zone_column": drawn_file.COLUMN})


def _keep_step(log: Log, stands: bytes) -> None:
    """Keep the zones as they stand, unless a change that did not come to its end kept them already."""
    kept = _kept(log)
    if kept and content(kept[-1]) == stands:
        return
    last = int(kept[-1].stem) if kept else 0
    store.write_bytes(log.home.inside(log.folder / STEPS / f"{last + 1:04}.gpkg"), stands)
    for old in kept[: len(kept) + 1 - int(number("desk.history_most"))]:
        remove(old)


def _decided(log: Log) -> Path:
    return log.home.inside(log.folder / decisions.FILE)


def _kept(log: Log) -> list[Path]:
    steps = log.home.inside(log.folder / STEPS)
    return sorted(one for one in steps.glob("[0-9][0-9][0-9][0-9].gpkg") if not one.is_symlink())


def _first(log: Log) -> dict[str, object]:
    whole = json.loads((log.folder / STEPS / _FIRST).read_text(encoding="utf-8"))
    return {key: whole.get(key) for key in _KEYS}


def _undecided(log: Log) -> list[Change]:
    """Say which decisions go, because they are for zones that will be others."""
    path = _decided(log)
    if not path.is_file():
        return []
    return [
        Change(
            what="decision taken back",
            zone=one.zone,
            before={"action": one.action, "rate_gal_ac": one.rate_gal_ac},
            after=None,
            reason="the zones are others now",
        )
        for one in decisions.read(path, decisions.FILE).made
    ]


def _may_change(log: Log, settings: Settings) -> None:
    """Refuse to change the zones of a field of which a part is sprayed: its record names them."""
    plan = last_plan.of_field(log.home, log.folder)
    days = [date.fromisoformat(one["planted"]) for one in plan.zones.values()] if plan else []
    if days and any(one.zone_numbers and one.on > max(days) for one in done.of_field(settings)):
        mend = "Leave the zones as they are until after harvest."
        raise InputError("a part of this field is sprayed, zone by zone", where=done.FILE, mend=mend)


def _zone(plan: LastPlan, zone: object) -> Mapping[str, Any]:
    found = plan.zones.get(zone) if isinstance(zone, int) and not isinstance(zone, bool) else None
    if found is None:
        has = ", ".join(map(str, plan.zones))
        raise InputError(f"there is no zone {str(zone)[:20]}", where="zones", mend=f"The field has {has}.")
    return found


def _short(name: str, taken: Mapping[int, DrawnZone]) -> str:
    """Shorten a name that has grown by many changes, and keep it the only one of its kind."""
    names = {one.name for one in taken.values()}
    short = name if len(name) <= _NAME_MOST else f"{name[: _NAME_MOST - 4]} ..."
    count = 1
    while short in names:
        count += 1
        short = f"{name[: _NAME_MOST - 8]} ... {count}"
    return short
