"""What is known before a pass is recorded: the fields, the plan of each, and what was recorded so far."""

import json
import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from zoning.errors import SETTINGS, InputError
from zoning.inputs import done
from zoning.inputs.given import Sprayed, as_compared
from zoning.prescription import folder as out_folder
from zoning.settings.model import Settings
from zoning.settings.read import fields_of, is_farm, load
from zoning.show.sprayed import OpenPass

PLAN_ID_LETTERS = 8  # of a plan's run_id, in the column source
_OF_A_PLAN = re.compile(rf"\bplan ([0-9a-f]{{{PLAN_ID_LETTERS}}})\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPlan:
    """The plan of a field as plan.json holds it; `zone_ac` is the area of each zone by its number."""

    run_id: str
    today: date
    zone_ac: dict[int, float]
    passes: tuple[OpenPass, ...]

    @property
    def short_id(self) -> str:
        """What a row of done.csv calls it."""
        return self.run_id[:PLAN_ID_LETTERS]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownField:
    """A field with its plan, None where it has none, and the passes over it that are recorded."""

    settings: Settings
    plan: KnownPlan | None
    rows: tuple[Sprayed, ...]

    @property
    def product(self) -> str:
        """The product of its plan."""
        return self.settings.product.name if self.settings.product else ""

    def recorded_of(self, one: OpenPass) -> frozenset[int]:
        """Give the zones of a pass of the plan that are recorded already."""
        rows = [row for row in self.rows if self._is_of(row, one)]
        if any(not row.zone_numbers for row in rows):
            return frozenset(one.zones)
        return frozenset[int]().union(*(row.zone_numbers for row in rows)) & frozenset(one.zones)

    def _is_of(self, row: Sprayed, one: OpenPass) -> bool:
        """Tell whether a row records a pass of this plan.

        A row that names its plan speaks of no other. One that somebody typed is of this plan if it was
        sprayed since the plan was made, with its product, and does not say another number.
        """
        if self.plan is None:
            return False
        named = _OF_A_PLAN.search(row.source)
        if named is not None:
            return named[1] == self.plan.short_id and row.pass_number == one.number
        same = as_compared(row.product) == as_compared(self.product)
        return same and row.on >= self.plan.today and row.pass_number in (None, one.number)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownFarm:
    """The fields of a farm, or one field by itself; `name` is for people, `table` is its done.csv."""

    name: str
    table: Path
    today: date
    fields: tuple[KnownField, ...]
    failures: tuple[tuple[str, InputError], ...] = ()

    @property
    def is_metric(self) -> bool:
        """Whether all of it is shown in metric units."""
        return bool(self.fields) and all(one.settings.units == "metric" for one in self.fields)


def known_farm(folder: Path, *, today: date | None, clock: date) -> KnownFarm:
    """Read settings, plans and done.csv of a farm, or of one field.

    Raises
    ------
    InputError
        Where done.csv is at fault, or no field can be read; fields that cannot are named in the result.
    """
    folders = fields_of(folder) if is_farm(folder) else (folder,)
    if not folders:
        mend = "Put each field into a folder of its own with a field.toml; `sprayworth new` makes one."
        raise InputError("no field in this farm", where=folder, mend=mend, code=SETTINGS)
    loaded: list[Settings] = []
    failures: list[tuple[str, InputError]] = []
    for path in folders:
        try:
            loaded.append(load(path))
        except InputError as fault:
            failures.append((path.name, fault))
    if not loaded:
        raise InputError.together([fault for _, fault in failures])
    first = loaded[0]
    table = done.path_of(first)
    rows = done.read(table, first.time_zone, is_metric=first.units == "metric")
    fields: list[KnownField] = []
    for settings in loaded:
        mine = tuple(row for row in rows if done.is_of(row.field, settings))
        try:
            fields.append(KnownField(settings=settings, plan=plan_of(settings), rows=mine))
        except InputError as fault:
            failures.append((settings.folder.name, fault))
    name = (first.farm_name or folder.resolve().name) if is_farm(folder) else first.name
    return KnownFarm(
        name=name,
        table=table,
        today=today or first.as_of or clock,
        fields=tuple(fields),
        failures=tuple(failures),
    )


def plan_of(settings: Settings) -> KnownPlan | None:
    """Read the plan of a field; None where it has none yet.

    Raises
    ------
    InputError
        When plan.json is not what was written.
    """
    out = settings.folder / "out"
    out_folder.heal(out)
    path = out / "plan.json"
    if not path.is_file():
        return None
    try:
        whole = json.loads(path.read_text(encoding="utf-8"))
        return KnownPlan(
            run_id=str(whole["run_id"]),
            today=date.fromisoformat(whole["today"]),
            zone_ac={int(zone["zone"]): float(zone["area_ac"]) for zone in whole["zones"]},
            passes=tuple(_pass(one, settings.name) for one in whole["passes"]),
        )
    except (ValueError, KeyError, TypeError) as error:
        where, mend = f"{settings.folder.name}/out/plan.json", "Run the field again."
        raise InputError("it is not what a run writes", where=where, mend=mend) from error


def _pass(one: dict[str, Any], field: str) -> OpenPass:
    return OpenPass(
        field=field,
        number=int(one["pass"]),
        day=date.fromisoformat(one["day"]),
        half=str(one["half"]),
        sprayer=str(one["sprayer"]),
        rate_gal_ac=float(one["rate_gal_ac"]),
        area_ac=float(one.get("treated_ac", one["area_ac"])),  # as on load sheet and record, strips included
        loads=int(one["loads"]),
        zones=tuple(int(zone) for zone in one["zones"]),
    )
