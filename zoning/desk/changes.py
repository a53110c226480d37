"""What the page may change, by the name of the request: what was sent goes in, what was done comes out."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from zoning.desk import asked, last_plan
from zoning.desk.log import Log, reason_of

# What does the work is imported in each, so that the first page does not wait for it.


def save_decisions(log: Log, whole: Mapping[str, Any], _today: date) -> str:
    """Save what was decided against the figures."""
    from zoning.desk import decided

    return decided.saved(log, whole)


def add_count(log: Log, whole: Mapping[str, Any], today: date) -> str:
    """Add a count."""
    from zoning.desk import counts

    plan = last_plan.of_field(log.home, log.folder)
    return f"a count is added to {counts.added(log, asked.cells(whole), today, plan)}"


def correct_count(log: Log, whole: Mapping[str, Any], today: date) -> str:
    """Correct a row of a scouting file."""
    from zoning.desk import counts

    where = counts.corrected(log, asked.row(whole), asked.cells(whole), today, _reason(whole))
    return f"{where} is corrected"


def strike_count(log: Log, whole: Mapping[str, Any], _today: date) -> str:
    """Strike a row of a scouting file out."""
    from zoning.desk import counts

    return f"{counts.struck(log, asked.row(whole), _reason(whole))} is struck out"


def number_zones(log: Log, whole: Mapping[str, Any], _today: date) -> str:
    """Set the number of zones."""
    from zoning.desk import zones

    return zones.number_of_zones(log, whole.get("most"), _reason(whole))


def merge_zones(log: Log, whole: Mapping[str, Any], _today: date) -> str:
    """Make one zone of two."""
    from zoning.desk import zones

    return zones.merged(log, whole.get("zones_id"), asked.pair(whole), _reason(whole))


def split_zone(log: Log, whole: Mapping[str, Any], _today: date) -> str:
    """Make two zones of one."""
    from zoning.desk import zones

    line = asked.line(whole)
    return zones.split(log, whole.get("zones_id"), whole.get("zone"), line, _reason(whole))


def take_back(log: Log, whole: Mapping[str, Any], _today: date) -> str:
    """Take the last change of zones back."""
    from zoning.desk import zones

    return zones.taken_back(log, _reason(whole))


def _reason(whole: Mapping[str, Any]) -> str:
    return reason_of(whole.get("reason"))


CHANGES: dict[str, Callable[[Log, Mapping[str, Any], date], str]] = {
    "decisions": save_decisions,
    "counts/add": add_count,
    "counts/correct": correct_count,
    "counts/strike": strike_count,
    "zones/number": number_zones,
    "zones/merge": merge_zones,
    "zones/split": split_zone,
    "zones/back": take_back,
}
