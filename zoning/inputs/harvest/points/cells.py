"""Cells of a combine's file in our units: amounts, passes, the header's state. Empty or impossible is NaN."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from zoning import units
from zoning.errors import InputError
from zoning.inputs.harvest.given import Bools, Floats, Ints
from zoning.inputs.harvest.points.asked import Asked
from zoning.inputs.harvest.points.columns import Found
from zoning.inputs.harvest.points.rows import Rows, one_line
from zoning.settings.harvest import QUANTITY_OF
from zoning.words import Said

# What is measured, and how its unit is called where nobody says it: US, metric.
AMOUNTS = ("yield", "flow", "moisture", "speed", "distance", "swath", "interval")
_OF_THE_FARM = {
    **{"yield": ("bu/ac", "t/ha"), "flow": ("lb/s", "kg/s"), "speed": ("mph", "km/h")},
    **{"distance": ("ft", "m"), "swath": ("ft", "m"), "interval": ("s", "s")},
}
_UP = frozenset({"up", "u", "raised", "lifted"})
_DOWN = frozenset({"down", "d", "lowered", "low"})
_BINARY = ({"1", "0"}, {"true", "false"}, {"yes", "no"}, {"on", "off"}, {"y", "n"}, {"t", "f"})
_LARGEST = 1e300  # so that two of them have a mean
_MOST = 1e9  # of any amount in our unit: sums and quotients of more may overflow
_LARGEST_PASS = 2**31
_MEANS_YES = frozenset({"1", "true", "yes", "on", "y", "t"})
Source = Literal["told", "name", "farm"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Amount:
    """One column in our unit: `unit` is the one that it was read in, `source` who says so.

    `typical` is the median of what is above 0, impossible cells included, NaN where nothing is.
    """

    role: str
    column: str
    unit: str
    source: Source
    values: Floats
    typical: float


def factor(role: str, unit: str) -> float:
    """Give how many of our unit one of these is; a moisture is a share.

    Examples
    --------
    >>> factor("moisture", "%"), factor("interval", "min")
    (0.01, 60.0)
    """
    if role == "moisture":
        return 0.01 if unit == "%" else 1.0
    return units.factor(unit, QUANTITY_OF[role])


def median(values: Floats) -> float:
    """Give the median of what is above 0, NaN where nothing is."""
    good = values[np.isfinite(values) & (values > 0)]
    return float(np.median(np.minimum(good, _LARGEST))) if len(good) else float("nan")


def amounts(
    rows: Rows, found: Mapping[str, Found], asked: Asked
) -> tuple[dict[str, Amount], list[Said], list[InputError]]:
    """Read every column that holds an amount.

    Returns
    -------
    dict of str to Amount
        By role.
    list of Said
    list of InputError
        Cells that are no numbers, of all columns.
    """
    read: dict[str, Amount] = {}
    notes: list[Said] = []
    faults: list[InputError] = []
    for role in AMOUNTS:
        if role not in found:
            continue
        name = found[role].name
        numbers, wrong = rows.numbers(found[role].place)
        faults += [no_number(rows, at, found[role]) for at in wrong]
        if wrong:
            continue
        unit, source = unit_of(role, found[role], median(numbers), asked)
        values = numbers * factor(role, unit)
        typical = median(values)
        impossible = (values < 0) | (values > _MOST) | ((role == "moisture") & (values >= 1))
        empty = int(np.isnan(values).sum())
        if impossible.any():
            notes.append(Said("harvest.impossible", column=name, count=int(impossible.sum())))
            values = np.where(impossible, np.nan, values)
        if empty:
            notes.append(Said("harvest.empty", column=name, count=empty, whole=rows.count))
        read[role] = Amount(role=role, column=name, unit=unit, source=source, values=values, typical=typical)
    return read, notes, faults


def no_number(rows: Rows, at: int, found: Found) -> InputError:
    """Give the fault of a cell that should hold a number."""
    what = f'{found.name} "{rows.shown(found.place, at)}" is no number'
    return InputError(what, where=rows.where(at), mend="Correct the cell, or leave it empty.")


def unit_of(role: str, found: Found, typical: float, asked: Asked) -> tuple[str, Source]:
    """Say in which unit a column is, and who says so; `typical` is what its numbers are like."""
    if role in asked.units:
        return asked.units[role], "told"
    if found.unit:
        return found.unit, "name"
    if role == "moisture":  # in percent and as a share no grain has the same number
        return ("%" if typical > 1 else "share"), "name"
    return _OF_THE_FARM[role][asked.is_metric], ("name" if role == "interval" else "farm")


def tracks(rows: Rows, found: Found) -> tuple[Ints, Said | None]:
    """Give a number to each pass that a column names, -1 where it names none.

    Whole numbers are kept; other names are numbered from 1 in the order in which they sort.
    """
    texts = rows.texts(found.place)
    names = sorted(set(texts) - {""})
    if len(names) > 1 and len(names) > rows.count / 2:
        return _no_tracks(rows), Said("harvest.track_unused", column=found.name)
    try:
        numbers = {name: int(float(name)) for name in names}
    except (ValueError, OverflowError):
        numbers = {}
    ordinary = all(0 <= one < _LARGEST_PASS for one in numbers.values())
    if len(set(numbers.values())) < len(names) or not ordinary:
        numbers = {name: count for count, name in enumerate(names, 1)}
    numbers[""] = -1
    return np.array([numbers[text] for text in texts], dtype=np.int64), None


def _no_tracks(rows: Rows) -> Ints:
    return np.full(rows.count, -1, dtype=np.int64)


def header_up(rows: Rows, found: Found) -> tuple[Bools, Said | None]:
    """Tell where the header is up; nowhere, with the reason, where the column does not say it."""
    texts = [text.lower() for text in rows.texts(found.place)]
    names = set(texts) - {""}
    nowhere = np.zeros(rows.count, dtype=np.bool_)
    name = found.name.lower()
    if names <= _UP | _DOWN:
        is_up = np.array([text in _UP for text in texts])
    elif any(names <= pair for pair in _BINARY):
        is_yes = np.array([text in _MEANS_YES for text in texts])
        known = np.array([text != "" for text in texts])
        if "up" in name or "raised" in name:
            is_up = is_yes
        elif "down" in name or "lowered" in name:
            is_up = known & ~is_yes
        else:  # a combine writes most of its points while it cuts
            is_up = known & (is_yes != (2 * is_yes.sum() >= known.sum()))
    else:
        shown = ", ".join(one_line(one) for one in sorted(names)[:3])
        return nowhere, Said("harvest.header_unknown", column=found.name, shown=shown)
    if len(is_up) and is_up.all():
        return nowhere, Said("harvest.header_all_up", column=found.name)
    return is_up, None
