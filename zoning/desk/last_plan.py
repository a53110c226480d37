"""The last plan of a field as its plan.json says it: what the desk shows and compares without running."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from zoning.desk.opened import Opened, content
from zoning.errors import InputError

FILE = "plan.json"
_UTM = {*range(32601, 32661), *range(32701, 32761)}  # EPSG codes: the planes of maps of fields
_TOTALS = ("spray_ac", "skip_ac", "net_usd")


@dataclass(frozen=True, slots=True, kw_only=True)
class LastPlan:
    """What plan.json holds, and its bytes."""

    whole: Mapping[str, Any]
    raw: bytes

    @property
    def run_id(self) -> str:
        """Which run made it."""
        return str(self.whole["run_id"])

    @property
    def zones_id(self) -> str:
        """Which zones it is of."""
        return str(self.whole["zones_id"])

    @property
    def today(self) -> date:
        """The day that it was made for."""
        return date.fromisoformat(self.whole["today"])

    @property
    def epsg(self) -> int:
        """The plane of its map."""
        return int(str(self.whole["crs"]).rpartition(":")[2])

    @property
    def zones(self) -> dict[int, Mapping[str, Any]]:
        """Its zones by number."""
        return {int(one["zone"]): one for one in self.whole["zones"]}

    @property
    def is_of_farm(self) -> bool:
        """Whether one schedule for the farm made it."""
        return bool(self.whole.get("schedule") == "farm")

    def does(self) -> Mapping[str, Any]:
        """Give all that it says but which run said it."""
        return {key: value for key, value in self.whole.items() if key not in ("run_id", "files")}


def of_field(home: Opened, folder: Path) -> LastPlan | None:
    """Read the last plan of a field; None where there is none, or none that can be read."""
    return of_bytes(content(home.inside(folder / "out" / FILE)))


def of_bytes(raw: bytes) -> LastPlan | None:
    """Take a plan from the bytes of a plan.json; None where they hold none."""
    try:
        whole = json.loads(raw.decode("utf-8"))
        found = LastPlan(whole=whole, raw=raw)
        _ = found.run_id, found.zones_id, found.today, found.zones
        if found.epsg not in _UTM or not _has_totals(whole):
            return None
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return None
    return found


def _has_totals(whole: Mapping[str, Any]) -> bool:
    """Tell whether what a plan comes to is numbers, or left out as without prices."""
    totals = whole.get("totals") or {}
    return isinstance(totals, dict) and all(
        isinstance(totals.get(name), int | float) for name in _TOTALS if totals
    )


def wanted(home: Opened, folder: Path, zones_id: object) -> LastPlan:
    """Give the last plan, if it is of the zones that the browser shows.

    Raises
    ------
    InputError
        Where there is no plan, or the zones are others now.
    """
    found = of_field(home, folder)
    if found is None:
        raise InputError("there is no plan yet", where=folder.name, mend="Run the field first.")
    if found.zones_id != zones_id:
        what = "the page shows other zones than the last plan has"
        raise InputError(what, where=folder.name, mend="Load the page again, and try again.")
    return found
