"""Many fields: an offer of each, one schedule over all, a plan for each; one that fails stops no other."""

import csv
import io
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Literal

from zoning import field as one_field
from zoning.errors import SETTINGS, InputError, raise_all
from zoning.inputs import season_book
from zoning.offers import unfollowed, walks
from zoning.offers.choices import with_choice
from zoning.offers.choose import Together, choose, limits_of
from zoning.offers.farm_plan import Settled, farm_plan
from zoning.offers.in_time import in_time
from zoning.offers.next_field import next_field
from zoning.offers.offered import Offer
from zoning.offers.provenance import Provenance
from zoning.passes.half_days import HalfDays
from zoning.passes.problem import Chosen, Limits
from zoning.passes.schedule.skipped import HourWorth, hour_worth
from zoning.plan import FarmPlan, Plan
from zoning.prescription import farm_layers, taskdata
from zoning.prescription import folder as out_folder
from zoning.prescription.as_json import farm_json
from zoning.prescription.as_json.plan_json import as_text
from zoning.seen import gather
from zoning.settings.model import Sprayer
from zoning.settings.read import faults_of_farm, fields_of, name_of_farm
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """What came of one field: a plan and the files written, or the fault that stopped it."""

    field: str  # name of its folder
    plan: Plan | None = None
    files: tuple[str, ...] = ()
    fault: InputError | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FarmRun:
    """What came of every field of a farm, in the order of their folders, and the plan of those that came.

    `kept` says what stays in `out` where no field came through, None where that was replaced.
    """

    outcomes: tuple[Outcome, ...]
    plan: FarmPlan
    kept: Said | None = None

    @property
    def plans(self) -> tuple[Plan, ...]:
        """The plans that were made."""
        return tuple(one.plan for one in self.outcomes if one.plan is not None)

    @property
    def failures(self) -> tuple[tuple[str, InputError], ...]:
        """Field and fault of each field that failed."""
        return tuple((one.field, one.fault) for one in self.outcomes if one.fault is not None)


def run(  # noqa: PLR0913  (keywords, each with its own default)
    folder: Path,
    *,
    today: date | None = None,
    seed: int = 0,
    clock: date | None = None,
    tell: one_field.Tell = one_field.silent,
    each: Callable[[Outcome], None] = lambda _outcome: None,
    measured_by: one_field.Measure = one_field.measure_here,
) -> FarmRun:
    """Plan every field of a farm, with one schedule over all of them, and write the results.

    Parameters
    ----------
    folder : Path
        With farm.toml and a folder for each field.
    today, seed, clock, measured_by
        As for `zoning.field.run`.
    tell : callable
        Is told the name of each field when it starts, and the steps of the farm.
    each : callable
        Is told the outcome of each field when it is known.

    Raises
    ------
    InputError
        When the farm has no fields, every field has the same faults of farm.toml, or season.csv has some; a
        field's own faults are in the result.
    """
    fields = fields_of(folder)
    if not fields:
        raise InputError(
            "no field in this farm",
            where=folder,
            mend="Put each field into a folder of its own with a field.toml; `sprayworth new` makes one.",
            code=SETTINGS,
        )
    raise_all(faults_of_farm(fields))
    season_book.read(folder / season_book.FILE)  # its faults are the farm's too
    tell("gathering the counts")
    seen = gather(fields, today=today, clock=clock, seed=seed)
    offers: dict[Path, Offer] = {}
    outcomes: dict[Path, Outcome] = {}
    for path in fields:
        tell(path.name)
        offer = partial(one_field.offer, path, today=today, seed=seed, clock=clock, seen=seen)
        try:
            offers[path] = offer(measured_by=measured_by)
        except InputError as fault:
            outcomes[path] = _told(Outcome(field=path.name, fault=fault), each)
    tell("one schedule for all fields")
    day = next((offer.today for offer in offers.values()), today or clock)
    scheduled = _scheduled(offers)
    while faults := _unfollowed(scheduled):
        for path, why in faults.items():  # its hours are free for the others now
            outcomes[path] = _told(Outcome(field=path.name, fault=why), each)
            del offers[path]
        scheduled = _scheduled(offers)
    planned = {path: _with_walks(one, offers[path], seed) for path, one in scheduled.fields.items()}
    for path, one in planned.items():
        outcomes[path] = _told(_written(path, one, offers[path].provenance), each)
    # what is not in a field's folder must not be in the farm's files either: machines follow them
    written = [one for path, one in planned.items() if outcomes[path].plan is not None]
    name = name_of_farm(folder, fields)
    plan = farm_plan(name, written, scheduled.together, scheduled.limits, today=day)
    result = FarmRun(outcomes=tuple(outcomes[path] for path in fields), plan=plan)
    return replace(result, kept=_write(result, folder / "out"))


def _told(outcome: Outcome, each: Callable[[Outcome], None]) -> Outcome:
    each(outcome)
    return outcome


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Scheduled:
    """The settled fields of a farm, and the schedule that they share."""

    fields: dict[Path, Settled]
    together: Together
    limits: Limits


def _scheduled(offers: dict[Path, Offer]) -> _Scheduled:
    """Choose the passes of all fields together, and settle the plan of each."""
    with_options = [path for path, offer in offers.items() if offer.choices]
    limits = limits_of(next(iter(offers.values()), None))
    together = choose([offers[path].choices for path in with_options], limits)
    chosen: dict[Path, Chosen] = dict(zip(with_options, together.schedule.chosen, strict=True))
    plans = [_settle(offer, chosen.get(path), together) for path, offer in offers.items()]
    hours = [_hours_here(offer, chosen.get(path)) for path, offer in offers.items()]
    timed = next_field(in_time(plans, together.machines, hours))
    settled = {
        path: Settled(folder=path.name, plan=plan, sprayers=_sprayers(offer))
        for (path, offer), plan in zip(offers.items(), timed, strict=True)
    }
    return _Scheduled(fields=settled, together=together, limits=limits)


def _sprayers(offer: Offer) -> tuple[Sprayer, ...]:
    return tuple(offer.settings.sprayers) if offer.settings is not None else ()


def _with_walks(one: Settled, offer: Offer, seed: int) -> Settled:
    """Add where a count is worth the way, each field by itself: among all the work would be its square."""
    return replace(one, plan=replace(one.plan, walks=walks.of_plan(offer, seed)))


def _unfollowed(scheduled: _Scheduled) -> dict[Path, InputError]:
    """Find the fields with a map that the machine cannot follow."""
    faults = {}
    for path, one in scheduled.fields.items():
        try:
            unfollowed.check(one.plan, path / "out")
        except InputError as fault:
            faults[path] = fault
    return faults


def _settle(offer: Offer, chosen: Chosen | None, together: Together) -> Plan:
    """Settle one field with the sprayer that the schedule took."""
    if chosen is None:
        return one_field.settle(offer, None)
    # without a sprayer nothing is shared
    shared: Literal["farm", "alone"] = "farm" if offer.level > 2 else "alone"
    with_sprayer = with_choice(offer, chosen.place)
    hours = _hours(with_sprayer, together)
    return one_field.settle(with_sprayer, chosen, schedule=shared, hours=hours)


def _hours_here(offer: Offer, chosen: Chosen | None) -> HalfDays | None:
    """Give the spray hours of a field with the sprayer that the schedule took."""
    options = with_choice(offer, chosen.place).options if chosen is not None else None
    return options.machine.hours if options is not None else None


def _hours(offer: Offer, together: Together) -> HourWorth | None:
    """Give what an hour of the field's sprayer is worth to the farm."""
    names = [machine.name for machine in together.machines]
    name = offer.options.machine.name if offer.options is not None else ""
    return hour_worth(together.schedule, names.index(name)) if name else None


def _written(path: Path, one: Settled, made_of: Provenance) -> Outcome:
    try:
        files = one_field.write(one_field.run_of(one.plan, made_of), path / "out")
    except InputError as fault:
        return Outcome(field=path.name, fault=fault)
    return Outcome(field=path.name, plan=one.plan, files=files)


def as_object(result: FarmRun) -> dict[str, object]:
    """Give the object that farm.json holds: the schedule, the plans, and what failed."""
    files = {one.field: one.files for one in result.outcomes}
    return farm_json.as_object(result.plan, files, result.failures)


def _planned_on(out: Path) -> str | None:
    """Give the day of the plan in a farm's `out`; None where there is none with a field."""
    last = out_folder.last_object(out, "farm.json")
    return str(last.get("today")) if last.get("fields") else None


def _write(result: FarmRun, out: Path) -> Said | None:
    """Write the farm's files; where no field came through, only failures.csv, and the last plan stays."""
    # imported late: no step before needs to wait for the library that draws
    from zoning.show import calendar_picture, farm_page

    last_day = None if result.plans else _planned_on(out)

    def fill(new: Path) -> None:
        if last_day is not None:
            shutil.copytree(out, new, dirs_exist_ok=True)
            _write_failures(result, new)
            return
        (new / "farm.json").write_text(as_text(as_object(result)), encoding="utf-8")
        _write_failures(result, new)
        (new / farm_json.SCHEDULE_CSV).write_text(farm_json.schedule_csv(result.plan), encoding="utf-8")
        taskdata.write_farm(result.plan, new)
        if result.plans:
            calendar_picture.write(result.plan, new / "calendar.png")
            farm_page.write(result.plan, new / "farm.html")
            farm_layers.write(result.plan, new)

    out_folder.replace(out, fill)
    return None if last_day is None else Said("schedule.kept", out=str(out), day=last_day)


def _write_failures(result: FarmRun, folder: Path) -> None:
    table = io.StringIO()
    rows = csv.writer(table, lineterminator="\n")
    rows.writerow(("field", "what", "where", "mend"))
    for name, fault in result.failures:
        rows.writerows((name, single.what, single.where, single.mend) for single in fault.faults)
    (folder / "failures.csv").write_text(table.getvalue(), encoding="utf-8")
