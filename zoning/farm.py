"""Many fields: each planned and written in turn; one that fails is named and stops no other.

For now each field has the sprayer to itself; the schedule over all fields comes with a later part.
"""

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from zoning import field as one_field
from zoning.errors import SETTINGS, InputError
from zoning.plan import SCHEMA_VERSION, Plan
from zoning.prescription import folder as out_folder
from zoning.prescription import plan_json
from zoning.seen import gather
from zoning.settings.read import fields_of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """What came of one field: a plan and the files written, or the fault that stopped it."""

    field: str  # name of its folder
    plan: Plan | None = None
    files: tuple[str, ...] = ()
    fault: InputError | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FarmRun:
    """What came of every field of a farm, in the order of their folders."""

    farm: str
    outcomes: tuple[Outcome, ...]

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
    """Plan and write every field of a farm.

    Parameters
    ----------
    folder : Path
        With farm.toml and a folder for each field.
    today, seed, clock, measured_by
        As for `zoning.field.run`.
    tell : callable
        Is told the name of each field when it starts.
    each : callable
        Is told the outcome of each field when it is known.

    Raises
    ------
    InputError
        When the farm has no fields; a field's own faults are in the result.
    """
    fields = fields_of(folder)
    if not fields:
        raise InputError(
            "no field in this farm",
            where=folder,
            mend="Put each field into a folder of its own with a field.toml; `sprayworth new` makes one.",
            code=SETTINGS,
        )
    tell("gathering the counts")
    seen = gather(fields, today=today, clock=clock, seed=seed)
    outcomes = []
    for path in fields:
        tell(path.name)
        plan = partial(one_field.run, path, today=today, seed=seed, clock=clock, seen=seen)
        outcomes.append(_one(path, partial(plan, measured_by=measured_by)))
        each(outcomes[-1])
    result = FarmRun(farm=folder.resolve().name, outcomes=tuple(outcomes))
    _write(result, folder / "out")
    return result


def _one(path: Path, plan: Callable[[], one_field.Run]) -> Outcome:
    try:
        made = plan()
        files = one_field.write(made, path / "out")
    except InputError as fault:
        return Outcome(field=path.name, fault=fault)
    return Outcome(field=path.name, plan=made.plan, files=files)


def as_object(result: FarmRun) -> dict[str, object]:
    """Give the object that farm.json holds: totals, the plans, and what failed."""
    return {
        "schema_version": SCHEMA_VERSION,
        "farm": result.farm,
        "schedule": "alone",
        "totals": plan_json.sums_of(result.plans),
        "fields": {
            one.field: plan_json.as_object(one.plan, one.files)
            for one in result.outcomes
            if one.plan is not None
        },
        "failures": [
            {"field": name, "what": single.what, "where": single.where, "mend": single.mend}
            for name, fault in result.failures
            for single in fault.faults
        ],
    }


def _write(result: FarmRun, out: Path) -> None:
    def fill(new: Path) -> None:
        (new / "farm.json").write_text(plan_json.as_text(as_object(result)), encoding="utf-8")
        table = io.StringIO()
        rows = csv.writer(table, lineterminator="\n")
        rows.writerow(("field", "what", "where", "mend"))
        for name, fault in result.failures:
            rows.writerows((name, single.what, single.where, single.mend) for single in fault.faults)
        (new / "failures.csv").write_text(table.getvalue(), encoding="utf-8")

    out_folder.replace(out, fill)
