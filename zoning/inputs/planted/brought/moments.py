"""The day, and where it is known the time of day, of each row of a planter's file, on the farm's clock."""

import re
from datetime import date, tzinfo

import numpy as np

from zoning.errors import InputError, raise_all
from zoning.inputs import files
from zoning.inputs.harvest.given import Floats, Ints
from zoning.inputs.harvest.points import times
from zoning.inputs.harvest.points.columns import words_of
from zoning.inputs.harvest.points.rows import Rows
from zoning.inputs.planted.brought import stamps
from zoning.inputs.planted.brought.columns import Column

_SPREADSHEET_ZERO = date(1899, 12, 30).toordinal()  # day 0 of the numbers that spreadsheets keep dates as
_SPREADSHEET = (40_000.0, 80_000.0)  # such numbers, of the years 2009 to 2119: no other form of a date
_NUMBER = re.compile(r"\d{5}(?:[.,]\d+)?$")
_UTC = frozenset({"utc", "gmt"})  # in the name of a column
_WITHOUT_ZONE = re.compile(r":\d\d(?:[.,]\d+)?\s*(?:[AaPp]\.?[Mm]\.?)?$")  # ends with a time of day
_LOOKED_AT = 100  # cells that show whether dates have a time of day with them


def read(rows: Rows, column: Column, unit: str, clock: tzinfo, role: str) -> tuple[str, ...]:
    """Read a column of dates, or one of dates and one of times.

    Parameters
    ----------
    rows : Rows
    column : Column
    unit : str
        "month first", "day first", or "".
    clock : tzinfo
        Of the farm, for times that name their zone, or whose column says that they are UTC.
    role : str
        "date" or "emerged".

    Returns
    -------
    tuple of str
        As "2026-05-06T14:30:05", as "2026-05-06" where no row has a time, "" where nothing stands.

    Raises
    ------
    InputError
        For every cell that is no date; for dates of which nobody knows whether the month stands first.
    """
    cells = rows.columns[column.place]
    counted = _of_spreadsheet(rows, column)
    if counted is not None:
        return stamps.written(*counted)
    beside = None if column.beside is None else rows.texts(column.beside)
    given = rows.texts(column.place) if isinstance(cells, tuple) else cells
    if not isinstance(given, np.ndarray) and words_of(column.name) & _UTC:
        given = tuple(f"{one}Z" if _WITHOUT_ZONE.search(one) else one for one in given)
    if beside is not None and any(":" in one for one in beside[:_LOOKED_AT]):
        given, beside = beside, None  # the dates have their times with them
    where = f"{rows.file}: {column.name}"
    found = times.read(given, beside, unit, clock, (where, role))
    faults = [
        InputError(
            f'{column.name} "{rows.shown(column.place, at)}" is no date',
            where=rows.where(at),
            mend='Write it as "2026-05-06" or "2026-05-06 14:30", or leave it empty.',
        )
        for at in found.wrong
    ]
    raise_all(files.at_most(faults, rows.file))
    return stamps.written(found.days, found.of_day_s)


def _of_spreadsheet(rows: Rows, column: Column) -> tuple[Ints, Floats] | None:
    """Read days as spreadsheets count them; None where they are not of that form."""
    cells = rows.columns[column.place]
    is_text = isinstance(cells, tuple) and not _NUMBER.match(next((one for one in cells if one), ""))
    if is_text or column.beside is not None:
        return None
    numbers, wrong = rows.numbers(column.place)
    known = np.isfinite(numbers)
    low, high = _SPREADSHEET
    if wrong or not known.any() or not ((numbers[known] >= low) & (numbers[known] < high)).all():
        return None
    whole = np.floor(np.where(known, numbers, 0))
    days = np.where(known, whole.astype(np.int64) + _SPREADSHEET_ZERO, 0)
    part = np.where(known, numbers - whole, 0.0)
    of_day_s = np.round(part * 86_400) if part.any() else np.full(len(part), np.nan)
    return days, of_day_s
