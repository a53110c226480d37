"""The plan that a harvest judges: the last one made before the first spraying day, as plan.json holds it.

That is out/plan.json, or where it was made later, the newest in `history` that was not. Judges nothing.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Literal

from zoning.errors import InputError
from zoning.plan import SCHEMA_VERSION
from zoning.prescription import folder as out_folder
from zoning.strips.learned.judged import PlannedZone
from zoning.words import Said

PLAN, HISTORY = "out/plan.json", "history"
_HALF_YEAR = timedelta(days=183)  # from planting back: an older plan is of the crop before


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A plan as it stood on `today`; `file` is where it was read, relative to the field's folder."""

    file: str
    today: date
    run_id: str
    zones_id: str
    zones: tuple[PlannedZone, ...]


def planned_of(folder: Path, before: date, planted: date) -> Planned | None:
    """Find and read the plan that counts for a harvest.

    Parameters
    ----------
    folder : Path
        Of the field.
    before : date
        First day of spraying, or of harvest where nothing was sprayed: the plan was made on it or before.
    planted : date
        First planting day. A plan may be older than that, but not by half a year.

    Returns
    -------
    Planned or None
        None where no plan was made by then.

    Raises
    ------
    InputError
        Code 3 where out/plan.json is not what a run writes. A broken file in `history` is passed over.
    """
    first = planted - _HALF_YEAR
    out_folder.heal(folder / "out")
    now = folder / PLAN
    if now.is_file():
        try:
            found = _read(now, PLAN)
        except ValueError as error:
            where, mend = f"{folder.name}/{PLAN}", "Run the field again."
            raise InputError(f"it is not what a run writes ({error})", where=where, mend=mend) from error
        if first <= found.today <= before:
            return found
    earlier = [one for one in _history(folder) if first <= one.today <= before]
    return max(earlier, key=lambda one: (one.today, one.file), default=None)


def which(found: Planned | None, before: date) -> Said:
    """Say which plan is judged, or that there is none."""
    if found is None:
        return Said("season.no_plan", before=before)
    return Said("season.plan_used", today=found.today, file=found.file, before=before)


def other_zones(found: Planned | None, zones_id: str | None) -> tuple[Said, ...]:
    """Doubt decisions for zones that are not those of the ground, where both say which they are."""
    if found is None or zones_id is None or found.zones_id == zones_id:
        return ()
    return (Said("harvest.other_zones", today=found.today),)


def _history(folder: Path) -> Iterator[Planned]:
    for path in sorted((folder / HISTORY).glob("*.json")):
        if path.is_file() and not path.is_symlink():
            try:
                yield _read(path, f"{HISTORY}/{path.name}")
            except ValueError:
                continue


def _read(path: Path, file: str) -> Planned:
    """Read a plan; ValueError where it is none, or follows rules of a later version."""
    try:
        whole = json.loads(path.read_text(encoding="utf-8"))
        if int(whole["schema_version"]) > SCHEMA_VERSION:
            raise ValueError("a newer version made it")
        return Planned(
            file=file,
            today=date.fromisoformat(whole["today"]),
            run_id=str(whole["run_id"]),
            zones_id=str(whole["zones_id"]),
            zones=tuple(_zone(one) for one in whole["zones"]),
        )
    except KeyError as error:
        raise ValueError(f"no {error.args[0]}") from error
    except (TypeError, AttributeError, RecursionError, OverflowError) as error:
        raise ValueError("another kind of file") from error


_ACTIONS: dict[str | None, Literal["spray", "skip", ""]] = {"spray": "spray", "skip": "skip", None: ""}


def _zone(one: Mapping[str, Any]) -> PlannedZone:
    return PlannedZone(
        zone=int(one["zone"]),
        block=str(one["block"]),
        action=_ACTIONS[one["action"]],
        forecast_net_usd_ac=_mean(one["net_usd_ac"]),
        forecast_chance=_number(one["chance_pays"]),
        area_ac=float(one["area_ac"]),
        planted=date.fromisoformat(one["planted"]),
        maturity_group=float(one["maturity_group"]),
    )


def _mean(told: Mapping[str, Any] | None) -> float | None:
    return None if told is None else _number(told["mean"])


def _number(value: object) -> float | None:
    return None if value is None else float(str(value))
