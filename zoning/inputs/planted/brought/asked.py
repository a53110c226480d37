"""What is asked of a planter's file: which column is what, in which units, and which tasks of several."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import tzinfo

from zoning.errors import InputError, raise_all
from zoning.inputs import typed_pairs
from zoning.inputs.given import as_compared
from zoning.inputs.planted.brought import counts
from zoning.settings.model import Settings

ROLES = ("date", "emerged", "variety", "group", "population", "yield", "east", "north")
ORDERS = ("month first", "day first")  # how dates such as 05/06 are meant
POPULATION = "population_ac"  # our own name of that column


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """How a file is meant.

    `columns` gives roles their columns ("" for none) and `units` their units, where they were told; `names`
    are those that [planting] gives the columns. `tasks` are names or numbers of tasks, `field` the names that
    the field may have in task data.
    """

    columns: Mapping[str, str]
    units: Mapping[str, str]
    names: Mapping[str, str]
    tasks: tuple[str, ...]
    field: frozenset[str]
    is_metric: bool
    clock: tzinfo


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What was typed: "variety=Hybrid", "population=seeds/ha", names of tasks."""

    columns: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    tasks: tuple[str, ...] = ()


def asked_of(settings: Settings, typed: Typed, clock: tzinfo) -> Asked:
    """Put together what the settings say and what was typed.

    Raises
    ------
    InputError
        Exit 2, all at once: text that is no pair, an unknown role, a unit that the role cannot have, a column
        or a role twice.
    """
    faults: list[InputError] = []
    columns = typed_pairs.read("--column", typed.columns, "variety=Hybrid", _role_fault, faults)
    told = typed_pairs.read("--unit", typed.units, "population=seeds/ac", _role_fault, faults)
    units = {role: _unit(role, text, faults) for role, text in told.items()}
    faults += typed_pairs.twice(columns)
    raise_all(faults)
    planting = settings.planting
    return Asked(
        columns=columns,
        units=units,
        names={
            "date": planting.date_column,
            "emerged": planting.emerged_column,
            "variety": planting.variety_column,
            "group": planting.group_column,
            "yield": planting.yield_column,
        },
        tasks=typed.tasks,
        field=frozenset({as_compared(settings.name), as_compared(settings.folder.name)}),
        is_metric=settings.units == "metric",
        clock=clock,
    )


def _role_fault(role: str) -> tuple[str, str] | None:
    if role in ROLES:
        return None
    near = difflib.get_close_matches(role.lower(), ROLES, n=1)
    mend = f"Did you mean {near[0]}?" if near else f"Known are {', '.join(ROLES)}."
    return f'"{role}" is nothing that a column can be', mend


def _unit(role: str, text: str, faults: list[InputError]) -> str:
    """Give a unit as it is kept; what is wrong with it goes to `faults`."""
    where = f"--unit {role}={text}"
    if role in ("date", "emerged"):
        if text not in ORDERS:
            faults.append(
                typed_pairs.fault(
                    where, f'"{text}" is no order of a date', 'Use "month first" or "day first".'
                )
            )
        return text
    if role != "population":
        faults.append(typed_pairs.fault(where, f"{role} has no unit", "Take it out."))
        return text
    unit = counts.unit_in(text)
    if not unit:
        mend = f"Use {', '.join(counts.UNITS)}."
        faults.append(typed_pairs.fault(where, f'"{text}" is no unit of a population', mend))
    return unit
