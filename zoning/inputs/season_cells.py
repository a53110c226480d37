"""Cells of the farm's season.csv: what each may hold, read one at a time. Knows no rows."""

import math
from collections.abc import Callable
from datetime import date
from functools import partial

from zoning.evidence import numbers
from zoning.inputs import dates, table
from zoning.settings.model import GROUPS_IN_WORDS

_YES, _NO = ("yes", "true", "1"), ("no", "false", "0")


class CellError(ValueError):
    """What is wrong with a cell, and how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(what)
        self.what, self.mend = what, mend


def _season(text: str, _sheet: table.Sheet) -> int:
    mend = "Write the year of harvest, as 2025."
    low, high = dates.YEARS
    if not text:
        raise CellError("is empty", mend)
    if not (text.isascii() and text.isdigit() and low <= int(text) <= high):
        raise CellError(f'"{text}" is no year', mend)
    return int(text)


def _field(text: str, _sheet: table.Sheet) -> str:
    if not text:
        raise CellError("is empty", "Write the name of the field's folder.")
    return text


def _text(text: str, _sheet: table.Sheet) -> str:
    return text


def _zone(text: str, _sheet: table.Sheet) -> int:
    if not (text.isascii() and text.isdigit()):
        raise CellError(f'"{text}" is no number of a zone', "Write it as 3, or leave the cell empty.")
    return int(text)


def _day(text: str, _sheet: table.Sheet) -> date:
    try:
        return dates.day(text)
    except ValueError as error:
        raise CellError(f'"{text}" is not a date', 'Write it as "2026-07-06".') from error


def _number(text: str, sheet: table.Sheet, low: float = -math.inf, high: float = math.inf) -> float:
    try:
        value = sheet.number(text)
    except ValueError as error:
        raise CellError(f'"{text}" is not a number', "Write it as 2.5, or leave the cell empty.") from error
    if not (math.isfinite(value) and low <= value <= high):
        limits = f"from {low:g}" if math.isinf(high) else f"from {low:g} to {high:g}"
        mend = "Leave the cell empty." if math.isinf(low) else f"Write a number {limits}, or leave it empty."
        raise CellError(f"{text} cannot be", mend)
    return value


def _sd(text: str, sheet: table.Sheet) -> float:
    value = _number(text, sheet, low=0)
    if value == 0:
        raise CellError("0 cannot be", "No day of R3 is known to the hour: write its SD, or leave it empty.")
    return value


def _group(text: str, sheet: table.Sheet) -> float:
    low, high = numbers("inputs.maturity_group_range")
    words = text.upper()
    return GROUPS_IN_WORDS[words] if words in GROUPS_IN_WORDS else _number(text, sheet, low, high)


def _action(text: str, _sheet: table.Sheet) -> str:
    if text.lower() not in ("spray", "skip"):
        raise CellError(f'"{text}" is neither spray nor skip', "Write one of them, or leave it empty.")
    return text.lower()


def _sprayed(text: str, _sheet: table.Sheet) -> bool:
    if text.lower() not in (*_YES, *_NO):
        raise CellError(f'"{text}" is neither yes nor no', "Write one of them, or leave it empty.")
    return text.lower() in _YES


_CHANCE = partial(_number, low=0, high=1)
READERS: dict[str, Callable[[str, table.Sheet], object]] = {
    "season": _season,
    "field": _field,
    "zone": _zone,
    "block": _text,
    "variety": _text,
    "maturity_group": _group,
    "planted": _day,
    "r3_forecast": _day,
    "r3_forecast_sd_d": _sd,
    "r3_seen": _day,
    "r3_seen_sd_d": _sd,
    "action": _action,
    "sprayed": _sprayed,
    "chance_pays": _CHANCE,
    "net_usd_ac": _number,
    "response_bu_ac": _number,
    "response_se_bu_ac": partial(_number, low=0),
    "chance_paid": _CHANCE,
}
