"""One schedule over all fields of a farm, and the plan of each settled with what it chose."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from zoning.errors import InputError
from zoning.farm import of_fields
from zoning.farm.asked import Asked, FieldOffered, FieldSettled, ToSettle
from zoning.farm.chunks import Result
from zoning.offers.choose import Together
from zoning.offers.in_time import in_time
from zoning.offers.next_field import next_field
from zoning.offers.parts import joined, parts
from zoning.passes.half_days import HalfDays
from zoning.passes.problem import Chosen, Limits
from zoning.passes.schedule.skipped import HourWorth, hour_worth

Failed = Callable[[Path, InputError], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scheduled:
    """The settled fields of a farm, in their order, and the schedule that they share."""

    fields: dict[Path, FieldSettled]
    together: Together
    limits: Limits


def scheduled(
    offers: Mapping[Path, FieldOffered],
    limits: Limits,
    work: Callable[..., Iterator[Result]],
    asked: Asked,
    failed: Failed,
) -> Scheduled:
    """Choose the passes of all fields together, and settle the plan of each.

    Parameters
    ----------
    offers : mapping of Path to FieldOffered
        By the folder of the field.
    limits : Limits
        When the search may stop.
    work : callable
        Does a step for many tasks: `Workers.each`, or what tells how far it is.
    asked : Asked
    failed : callable
        Is told the folder and fault of a field that cannot be settled. The others are chosen again without
        it, as its hours are free for them then.
    """
    left = dict(offers)
    known: dict[tuple[Path, ...], Together] = {}  # parts that a field less elsewhere does not touch
    while True:
        together, faults = _chosen(left, limits, work, known)
        if together is not None:
            tasks = _to_settle(left, together)
            results = in_order(work(of_fields.settled, tasks, asked), len(tasks))
            settled = dict(zip(left, results, strict=True))
            faults = {path: one.fault for path, one in settled.items() if one.fault is not None}
            if not faults:
                fields: dict[Path, FieldSettled] = {path: one.value for path, one in settled.items()}
                timed = _timed(fields, left, together, tasks)
                return Scheduled(fields=timed, together=together, limits=limits)
        for path, fault in faults.items():
            failed(path, fault)
            del left[path]


def in_order(results: Iterator[Result], number: int) -> list[Result]:
    """Put results into the order of their tasks.

    Raises
    ------
    RuntimeError
        When a result is missing: then somebody lost a task, a bug of ours.
    """
    found: list[Result | None] = [None] * number
    for one in results:
        found[one.place] = one
    missing = [place for place, one in enumerate(found) if one is None]
    if missing:
        raise RuntimeError(f"no result of tasks {missing[:5]}")
    return [one for one in found if one is not None]


def _chosen(
    offers: Mapping[Path, FieldOffered],
    limits: Limits,
    work: Callable[..., Iterator[Result]],
    known: dict[tuple[Path, ...], Together],
) -> tuple[Together | None, dict[Path, InputError]]:
    """Choose the passes, by parts that share no sprayer; or give the fields of the parts that failed."""
    folders = [path for path, one in offers.items() if one.choices]
    fields = [offers[path].choices for path in folders]
    apart = parts(fields)
    names = [tuple(folders[place] for place in part.fields) for part in apart]
    asked = [at for at, name in enumerate(names) if name not in known]
    tasks = [tuple(fields[place] for place in apart[at].fields) for at in asked]
    faults: dict[Path, InputError] = {}
    for at, one in zip(asked, in_order(work(of_fields.chosen, tasks, limits), len(tasks)), strict=True):
        if one.fault is not None:
            faults |= dict.fromkeys(names[at], one.fault)
        else:
            known[names[at]] = one.value
    return (None, faults) if faults else (joined([known[name] for name in names], apart), {})


def _to_settle(offers: Mapping[Path, FieldOffered], together: Together) -> list[ToSettle]:
    chosen = iter(together.schedule.chosen)
    machine_of = {machine.name: place for place, machine in enumerate(together.machines)}
    return [
        _task(path, one, next(chosen) if one.choices else None, together, machine_of)
        for path, one in offers.items()
    ]


def _task(
    folder: Path, one: FieldOffered, chosen: Chosen | None, together: Together, machine_of: Mapping[str, int]
) -> ToSettle:
    # without a sprayer nothing is shared
    shared: Literal["farm", "alone"] = "farm" if chosen is not None and one.level > 2 else "alone"
    hours: HourWorth | None = None
    if chosen is not None and (name := one.choices[chosen.place].options.machine.name):
        hours = hour_worth(together.schedule, machine_of[name])
    return ToSettle(folder=folder, offer=one.offer, chosen=chosen, hours=hours, schedule=shared)


def _timed(
    fields: Mapping[Path, FieldSettled],
    offers: Mapping[Path, FieldOffered],
    together: Together,
    tasks: Sequence[ToSettle],
) -> dict[Path, FieldSettled]:
    """Play the plans of the sprayers through the weather futures, and say where each goes next."""
    hours = [_hours_here(one, task.chosen) for one, task in zip(offers.values(), tasks, strict=True)]
    timed = next_field(in_time([one.plan for one in fields.values()], together.machines, hours))
    return {path: replace(one, plan=plan) for (path, one), plan in zip(fields.items(), timed, strict=True)}


def _hours_here(one: FieldOffered, chosen: Chosen | None) -> HalfDays | None:
    """Give the spray hours of a field with the sprayer that the schedule took."""
    return None if chosen is None else one.choices[chosen.place].options.machine.hours
