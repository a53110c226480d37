"""In how many weather futures each pass is over in time: the sprayers' plans played through all of them."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from zoning.passes.half_days import HALVES, HalfDays
from zoning.passes.hours.in_time import DueVisit, made_in_time_frac
from zoning.passes.problem import Machine
from zoning.plan import Plan, PlanPass

_Key = tuple[int, int]  # place of the plan, number of its pass


def in_time(
    plans: Sequence[Plan], machines: Sequence[Machine], of_field: Sequence[HalfDays | None] = ()
) -> tuple[Plan, ...]:
    """Say of each pass in which share of the weather futures it is over by the day on which it is due.

    Parameters
    ----------
    plans : sequence of Plan
        Fields that share sprayers.
    machines : sequence of Machine
        The sprayers, with their hours.
    of_field : sequence of HalfDays or None
        The hours of each field; left out where no field has fewer than the sprayers.

    Returns
    -------
    tuple of Plan
        The same plans; a pass without a day on which it is due is left as it is.
    """
    shares: dict[_Key, tuple[float, int]] = {}
    passes = in_order(plans)
    for name, machine in {machine.name: machine for machine in machines}.items():
        made = passes.get(name, [])
        own = [of_field[place] if of_field else None for (place, _), _ in made]
        visits = [_visit(one, hours) for (_, one), hours in zip(made, _fewer(own, machine), strict=True)]
        found = made_in_time_frac(visits, machine.hours)
        shares |= {
            key: (float(share), _past_years(one, machine.hours))
            for (key, one), share in zip(made, found, strict=True)
        }
    return tuple(
        replace(plan, passes=tuple(_with_share(one, shares.get((place, one.number))) for one in plan.passes))
        for place, plan in enumerate(plans)
    )


def in_order(plans: Sequence[Plan]) -> dict[str, list[tuple[_Key, PlanPass]]]:
    """List the passes of each sprayer as it makes them, each with the place of its plan and its number."""
    found: dict[str, list[tuple[_Key, PlanPass]]] = {}
    for place, plan in enumerate(plans):
        for one in plan.passes:
            if one.parts:
                found.setdefault(one.sprayer, []).append(((place, one.number), one))
    return {name: sorted(passes, key=lambda pair: _begins(pair[1])) for name, passes in found.items()}


def _begins(one: PlanPass) -> tuple[int, int, int, int]:
    """Order of a sprayer's passes: in a half-day first what ends in it, last what runs on."""
    first, last = one.parts[0], one.parts[-1]
    return first.day, HALVES.index(first.half), last.day, HALVES.index(last.half)


def _fewer(own: Sequence[HalfDays | None], machine: Machine) -> list[HalfDays | None]:
    """Give the hours of fields, None where they are the sprayer's on the days that the field looks at."""
    of_fields = {id(hours): hours for hours in own if hours is not None}  # many fields share theirs
    alike = {key: _alike(hours, machine.hours) for key, hours in of_fields.items()}
    return [None if hours is None or alike[id(hours)] else hours for hours in own]


def _alike(own: HalfDays, hours: HalfDays) -> bool:
    row = own.days - hours.first_day
    known = (row >= 0) & (row < len(hours.planned_h))
    return bool(known.all()) and np.array_equal(own.futures_h, hours.futures_h[:, row[known]])


def _visit(one: PlanPass, hours: HalfDays | None) -> DueVisit:
    first = one.parts[0]
    # a pass without a due day still takes its hours
    due_day = one.due.toordinal() if one.due is not None else first.day
    return DueVisit(day=first.day, half=first.half, work_h=one.hours_h, due_day=due_day, hours=hours)


def _past_years(one: PlanPass, hours: HalfDays) -> int:
    """Count the past years that the share rests on; 0 where other hours fill the days up to the due one."""
    due_day = one.due.toordinal() if one.due is not None else one.parts[0].day
    first, last = one.parts[0].day - hours.first_day, due_day - hours.first_day
    return hours.past_years if "past years" in hours.source[max(first, 0) : max(last + 1, 0)] else 0


def _with_share(one: PlanPass, share: tuple[float, int] | None) -> PlanPass:
    if share is None or one.due is None:
        return one
    return replace(one, in_time_frac=share[0], in_time_years=share[1])
