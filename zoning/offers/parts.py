"""The fields of a farm fall into parts that share no sprayer: each part has a schedule of its own.

Split and joined here; each part is chosen by `choose.choose`, wherever that runs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from zoning.offers.choose import Together, shared
from zoning.offers.offered import Choice
from zoning.passes.problem import Chosen, Machine, Schedule

Floats = npt.NDArray[np.float64]
_One = TypeVar("_One")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Fields that share sprayers with one another and with no other field.

    `fields` are their places in the farm, in order. `machines` are the places of their sprayers among those
    of the farm, in the order in which `choose` lists those of the part.
    """

    fields: tuple[int, ...]
    machines: tuple[int, ...]


def parts(fields: Sequence[Sequence[Choice]]) -> tuple[Part, ...]:
    """Split a farm into its parts.

    Parameters
    ----------
    fields : sequence of sequences of Choice
        As for `choose`; each field has one choice at least.

    Returns
    -------
    tuple of Part
        In the order of their first fields. Fields that name one sprayer are in one part; one without a
        sprayer is a part of its own.
    """
    place: dict[object, int] = {}  # of each sprayer, as `choose` would list them
    of_field = []
    for number, choices in enumerate(fields):
        names = (shared(choice.options.machine, number) for choice in choices)
        of_field.append([place.setdefault(name, len(place)) for name in names])
    head = list(range(len(place)))

    def top(machine: int) -> int:
        while head[machine] != machine:
            head[machine] = head[head[machine]]
            machine = head[machine]
        return machine

    for machines in of_field:
        for one in machines[1:]:
            low, high = sorted((top(machines[0]), top(one)))
            head[high] = low
    found: dict[int, list[int]] = {}
    for number, machines in enumerate(of_field):
        found.setdefault(top(machines[0]), []).append(number)
    return tuple(
        Part(
            fields=tuple(numbers),
            machines=tuple(dict.fromkeys(machine for number in numbers for machine in of_field[number])),
        )
        for numbers in found.values()
    )


def joined(found: Sequence[Together], of: Sequence[Part]) -> Together:
    """Put the schedules of the parts of a farm together.

    Parameters
    ----------
    found : sequence of Together
        What `choose` gave for the fields of each part.
    of : sequence of Part
        All parts of the farm, as `parts` gives them, in the order of `found`.

    Returns
    -------
    Together
        As one schedule of the whole farm: `chosen` and `field_usd` in the order of its fields, machines in
        the order in which `choose` would list them. The schedule of a farm that is one part is that part's.

    Notes
    -----
    No plan of the farm returns more than the sum of the parts' bounds, for no part takes an hour of another's
    sprayer. Where each part is within the gap, so is the sum. `solver` is "exact" and `every_set` True where
    they are so for every part.
    """
    if len(found) == 1:
        return found[0]
    schedules = [one.schedule for one in found]
    first = min((one.first_day for one in schedules), default=0)
    days = max((one.first_day + len(rows) for one in schedules for rows in one.used_h), default=first) - first
    machines: dict[int, Machine] = {}
    hour_usd: dict[int, Floats] = {}
    used_h: dict[int, Floats] = {}
    chosen: dict[int, Chosen] = {}
    field_usd: dict[int, float] = {}
    for part, together, one in zip(of, found, schedules, strict=True):
        machines |= zip(part.machines, together.machines, strict=True)
        row = one.first_day - first
        hour_usd |= zip(part.machines, (_rows(usd, row, days) for usd in one.hour_usd), strict=True)
        used_h |= zip(part.machines, (_rows(hours, row, days) for hours in one.used_h), strict=True)
        chosen |= zip(part.fields, one.chosen, strict=True)
        field_usd |= zip(part.fields, one.field_usd, strict=True)
    value_usd = sum(one.value_usd for one in schedules)
    bound_usd = sum(one.bound_usd for one in schedules)
    apart_usd = bound_usd - value_usd
    in_order = tuple(machines[at] for at in sorted(machines))
    return Together(
        schedule=Schedule(
            chosen=_by_place(chosen),
            value_usd=value_usd,
            bound_usd=bound_usd,
            gap_frac=apart_usd / abs(bound_usd) if apart_usd > 0 and bound_usd else 0.0,
            nodes=sum(one.nodes for one in schedules),
            solver="greedy" if any(one.solver == "greedy" for one in schedules) else "exact",
            first_day=first,
            hour_usd=_by_place(hour_usd),
            used_h=_by_place(used_h),
            worth_usd=_worth_usd(schedules, in_order),
            field_usd=_by_place(field_usd),
            every_set=all(one.every_set for one in schedules),
        ),
        machines=in_order,
    )


def _by_place(found: Mapping[int, _One]) -> tuple[_One, ...]:
    return tuple(found[place] for place in sorted(found))


def _rows(of_part: Floats, row: int, days: int) -> Floats:
    """Lay the days of a part among those of the farm: on the others its sprayers do nothing."""
    rows = np.zeros((days, *of_part.shape[1:]))
    rows[row : row + len(of_part)] = of_part
    return rows


def _worth_usd(schedules: Sequence[Schedule], machines: Sequence[Machine]) -> dict[tuple[str, str], float]:
    """Put together what changes are worth: change by change, in the order of the sprayers."""
    found = {key: usd for one in schedules for key, usd in one.worth_usd.items()}
    changes = dict.fromkeys(change for change, _ in found)
    names = dict.fromkeys(machine.name for machine in machines)
    return {
        (change, name): found[change, name] for change in changes for name in names if (change, name) in found
    }
