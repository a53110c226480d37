"""Sprayers that are alike, what each kind could do in each field, and what must be planned together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.passes.problem import FarmProblem, FieldProblem, Machine
from zoning.passes.schedule.columns import Calendar, Columns, every_visit, undominated
from zoning.passes.schedule.model import Offers, Sprayers

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Kind:
    """Sprayers that would do the same in every field: places of the machines, and the hours of each."""

    machines: tuple[int, ...]
    hours_h: Floats

    def sprayers(self, extra: int = 0) -> Sprayers:
        """Give how many there are, with so many more."""
        return Sprayers(count=len(self.machines) + extra, hours_h=self.hours_h)


def calendar_of(farm: FarmProblem) -> Calendar:
    """Give the calendar that holds all days of all fields; that of the machines where there is no field."""
    spans = [problem.days for field in farm.fields for problem in field.problems if problem.days.size]
    spans = spans or [machine.hours.days for machine in farm.machines]
    first = min((int(days[0]) for days in spans), default=0)
    last = max((int(days[-1]) for days in spans), default=-1)
    return Calendar(first_day=first, days=last - first + 1)


def kinds(farm: FarmProblem, calendar: Calendar) -> tuple[Kind, ...]:
    """Put sprayers together that are alike in pace, hours, hub and what they return in every field."""
    of_machine: list[list[object]] = [[] for _ in farm.machines]
    for place, field in enumerate(farm.fields):
        for problem, at, here in zip(field.problems, field.machines, field.machine_here, strict=True):
            of_machine[at].append((place, _mark(problem), here.acres_per_hour, here.acres_per_load))
    found: dict[object, list[int]] = {}
    hours = [calendar.hours_h(machine) for machine in farm.machines]
    for at, machine in enumerate(farm.machines):
        mark = machine.hub, machine.set_up_h, hours[at].tobytes(), tuple(of_machine[at])
        found.setdefault(mark, []).append(at)
    return tuple(Kind(machines=tuple(alike), hours_h=hours[alike[0]]) for alike in found.values())


def _mark(problem: FieldProblem) -> object:
    """Give what tells a problem from others: equal for problems that are asked the same."""
    values = (getattr(problem, name) for name in FieldProblem.__dataclass_fields__)
    return tuple(
        (value.shape, hash(value.tobytes())) if isinstance(value, np.ndarray) else value for value in values
    )


Known = Mapping[tuple[int, int], Columns]  # visits by place of the field and of the machine


def offers_of(
    farm: FarmProblem, alike: Sequence[Kind], calendar: Calendar, known: Known | None = None
) -> list[Offers]:
    """List what each kind of sprayer could do in each field; nothing is listed where nothing pays.

    Parameters
    ----------
    farm : FarmProblem
        The farm.
    alike : sequence of Kind
        Its sprayers.
    calendar : Calendar
        Of the farm.
    known : mapping, optional
        Visits that are listed already and that no other one beats, for this calendar.
    """
    known = known or {}
    kind_of = {at: index for index, kind in enumerate(alike) for at in kind.machines}
    found = []
    for place, field in enumerate(farm.fields):
        seen = set()
        for problem, at, here in zip(field.problems, field.machines, field.machine_here, strict=True):
            kind = kind_of[at]
            if kind in seen or not may_pay(problem):
                continue
            seen.add(kind)
            visits = known.get((place, at))
            if visits is None:
                visits = undominated(every_visit(problem, here, calendar))
            if len(visits):
                found.append(Offers(field=place, kind=kind, once=problem.goes_anyway, columns=visits))
    return found


def may_pay(problem: FieldProblem) -> bool:
    """Whether any option is worth it: nothing pays on most fields, and need not be searched."""
    return problem.goes_anyway or bool((problem.worth_it & np.isfinite(problem.net_usd_ac)).any())


def apart(offers: Sequence[Offers]) -> list[list[Offers]]:
    """Split into parts that share neither a field nor a sprayer."""
    head: dict[tuple[str, int], tuple[str, int]] = {}

    def top(node: tuple[str, int]) -> tuple[str, int]:
        while head.setdefault(node, node) != node:
            node = head[node]
        return node

    for one in offers:
        head[top(("field", one.field))] = top(("kind", one.kind))
    parts: dict[tuple[str, int], list[Offers]] = {}
    for one in offers:
        parts.setdefault(top(("kind", one.kind)), []).append(one)
    return list(parts.values())


def machine_here(farm: FarmProblem, field: int, machine: int) -> tuple[int, FieldProblem, Machine]:
    """Give a sprayer's place, problem and paces in a field."""
    place = farm.fields[field].machines.index(machine)
    return place, farm.fields[field].problems[place], farm.fields[field].machine_here[place]
