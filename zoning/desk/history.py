"""Earlier plans of a field: each kept before a run replaced it, listed, and compared with the plan of now."""

import re
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path

from zoning.desk import last_plan
from zoning.desk.last_plan import LastPlan
from zoning.desk.log import Log
from zoning.desk.opened import Opened, content, remove
from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import store
from zoning.prescription import handed, since
from zoning.show.figures import Units
from zoning.show.figures import day as written
from zoning.show.since_told import how_many, zone_changes
from zoning.words import Said

FOLDER = "history"
_NAME = re.compile(r"(\d{4}-\d{2}-\d{2})_(\d{6})_([0-9a-f]{4,64})\.json")
_WEEK_D = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """An earlier plan: the name of its file, and the moment at which another took its place."""

    name: str
    until: datetime
    run_id: str


def kept(home: Opened, folder: Path) -> list[Kept]:
    """List the earlier plans, the newest first."""
    within = home.inside(folder / FOLDER)
    found = []
    for path in within.glob("*.json"):
        parts = _NAME.fullmatch(path.name)
        if parts is not None and path.is_file() and not path.is_symlink():
            day, hour = date.fromisoformat(parts[1]), time.fromisoformat(parts[2])
            found.append(Kept(name=path.name, until=datetime.combine(day, hour), run_id=parts[3]))
    return sorted(found, key=lambda one: one.name, reverse=True)


def keep(log: Log, plan: LastPlan, today: date) -> Path | None:
    """Put a plan aside before another takes its place; the oldest goes where there are too many.

    Parameters
    ----------
    log : Log
        Of the field; its clock gives the time of day.
    plan : LastPlan
    today : date
        The day that the next plan is made for.

    Returns
    -------
    Path or None
        The file; None where this very plan is kept already.

    Raises
    ------
    InputError
        Code 4 where the disk refuses.
    """
    before = kept(log.home, log.folder)
    if before and content(log.folder / FOLDER / before[0].name) == plan.raw:
        return None
    name = f"{today.isoformat()}_{log.clock():%H%M%S}_{plan.run_id}.json"
    path = log.home.inside(log.folder / FOLDER / name)
    if not _NAME.fullmatch(name):
        raise InputError("the last plan has no name", where="out/plan.json", mend="Run the field again.")
    store.write_bytes(path, plan.raw)
    for old in before[int(number("desk.history_most")) - 1 :]:
        remove(log.folder / FOLDER / old.name)
    return path


def compared(home: Opened, folder: Path, name: object) -> dict[str, object]:
    """Say what changed since an earlier plan, in words.

    Parameters
    ----------
    home : Opened
    folder : Path
    name : str
        One of those that `kept` lists.

    Raises
    ------
    InputError
        Where there is no such plan, or one of the two cannot be read.
    """
    one = next((one for one in kept(home, folder) if one.name == name), None)
    now = last_plan.of_field(home, folder)
    if one is None or now is None:
        mend = "Choose one of the list."
        raise InputError("there is no such earlier plan", where=FOLDER, mend=mend)
    before = last_plan.of_bytes(content(home.inside(folder / FOLDER / one.name)))
    try:
        if before is None:
            raise ValueError("it is broken")
        was, is_now = handed.of_object(before.whole), handed.of_object(now.whole)
    except ValueError as error:
        mend = "Take the file away, or choose another."
        raise InputError(f"this is not a plan.json ({error})", where=one.name, mend=mend) from error
    day = _called(one, was.today, now.today)
    if was.zones_id != is_now.zones_id:
        return {
            "headline": Said("desk.zones_redrawn", day=day).text,
            "machine": since.between(was, is_now).text,
            "zones": [],
        }
    zones, units = {zone.zone: zone for zone in was.of_zones}, Units(metric=is_now.is_metric)
    told = [
        {"zone": zone.zone, "text": ", ".join(said.text for said in said_of)}
        for zone in is_now.of_zones
        if zone.zone in zones and (said_of := list(zone_changes(zones[zone.zone], zone, units)))
    ]
    return {
        "headline": how_many(len(told), day),
        "machine": since.between(was, is_now).text,
        "zones": told,
    }


def _called(one: Kept, planned: date, today: date) -> str:
    """Name an earlier plan by the day it was made for: the day of the week, if that is enough."""
    age_d = (today - planned).days
    if age_d == 0:
        return f"{one.until:%H:%M} today"
    return f"{planned:%A}" if 0 < age_d < _WEEK_D else written(planned)
