"""season.csv of a farm: what was forecast and what came, a row for each zone of each season."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, Literal

from zoning import once_read
from zoning.errors import InputError, raise_all
from zoning.evidence import number
from zoning.inputs import files, season_cells, spreadsheet, table
from zoning.inputs.given import as_compared
from zoning.inputs.season_cells import CellError
from zoning.settings.model import Settings

FILE = "season.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """One zone of one season in the farm's season.csv; what is not known is None or "".

    `r3_forecast` is the model's likely day before any count, `r3_seen` the day after the counts made
    in the zone's block; each with its SD. A day of R3 that somebody wrote down has no SD. `zone` is 0 where
    the row is of a whole field or block. `chance_paid` is how sure the strips are that the pass paid there.
    `more` holds columns that somebody added, name and cell.
    """

    season: int
    field: str  # name of its folder
    zone: int = 0
    block: str = ""
    variety: str = ""
    maturity_group: float | None = None
    planted: date | None = None
    r3_forecast: date | None = None
    r3_forecast_sd_d: float | None = None
    r3_seen: date | None = None
    r3_seen_sd_d: float | None = None
    action: Literal["spray", "skip", ""] = ""
    sprayed: bool | None = None
    chance_pays: float | None = None
    net_usd_ac: float | None = None
    response_bu_ac: float | None = None
    response_se_bu_ac: float | None = None
    chance_paid: float | None = None
    more: tuple[tuple[str, str], ...] = ()


COLUMNS = tuple(one.name for one in fields(BookRow) if one.name != "more")
_NEEDED = ("season", "field")


def path_of(settings: Settings) -> Path:
    """Give the path of the farm's season.csv, which need not be there."""
    return (settings.farm_folder or settings.folder) / FILE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Book:
    """The rows of a season.csv; the same one for all fields of a farm, while the file stays as it is."""

    rows: tuple[BookRow, ...] = ()


def book_of(settings: Settings) -> Book:
    """Read the seasons of a field's farm; see `read`."""
    path = path_of(settings)
    make = partial(_read_book, path)
    return once_read.of_file(path, "book", make) if path.exists() else Book()


def _read_book(path: Path) -> Book:
    return Book(rows=read(path))


def read(path: Path) -> tuple[BookRow, ...]:
    """Read the seasons of a farm.

    Parameters
    ----------
    path : Path
        The farm's season.csv; one that is not there has no seasons.

    Returns
    -------
    tuple of BookRow
        In the order of the file. Columns may be missing, all but season and field, and cells empty.

    Raises
    ------
    InputError
        For all cells of all rows together: what cannot be, by its line; a missing column.
    """
    return once_read.of_file(path, "seasons", partial(_read, path)) if path.exists() else ()


def _read(path: Path) -> tuple[BookRow, ...]:
    sheet = table.read(path, path.name, may_be_empty=True)
    lacking = [name for name in _NEEDED if name not in sheet.columns]
    if lacking:
        mend = f"Add it to the header; the file has {table.listed(tuple(sheet.columns))}."
        raise InputError(f"there is no column {' or '.join(lacking)}", where=path.name, mend=mend)
    table.refuse_twice(sheet, COLUMNS)
    found: list[BookRow] = []
    faults = table.too_wide(sheet)
    for row in sheet.rows:
        where = f"{path.name}:{row.line}"
        cells = {name: spreadsheet.as_meant(row.cells[place]) for name, place in sheet.columns.items()}
        made, wrong = _row(cells, sheet, where)
        faults += wrong
        found += [made] if made is not None else []
    raise_all(files.at_most([*faults, *_twice(found, path.name)], path.name))
    return tuple(found)


def _row(
    cells: dict[str, str], sheet: table.Sheet, where: str
) -> tuple[BookRow | None, tuple[InputError, ...]]:
    faults: list[InputError] = []
    known: dict[str, Any] = {}
    for name in COLUMNS:
        text = cells.get(name, "")
        if not text and name not in _NEEDED:
            continue
        try:
            known[name] = season_cells.READERS[name](text, sheet)
        except CellError as error:
            faults.append(InputError(f"{name} {error.what}", where=where, mend=error.mend))
    if faults:
        return None, tuple(faults)
    more = tuple((name, cells[name]) for name in sheet.columns if name and name not in COLUMNS)
    made = BookRow(**known, more=more)
    return made, tuple(InputError(what, where=where, mend=mend) for what, mend in _doubts(made))


def _doubts(row: BookRow) -> list[tuple[str, str]]:
    """Name what the cells of a row cannot be together."""
    found = []
    for name in ("planted", "r3_forecast", "r3_seen"):
        day = getattr(row, name)
        if day is not None and day.year not in (row.season - 1, row.season):
            what = f"{name} {day} is in another season than {row.season}"
            found.append((what, "A season is the year of its harvest; correct one of the two."))
    if row.r3_forecast is not None and row.r3_seen is not None:
        apart_d, most_d = abs((row.r3_seen - row.r3_forecast).days), number("inputs.r3_off_most_d")
        if apart_d > most_d:
            what = f"r3_seen lies {apart_d} days from r3_forecast, more than {most_d:.0f}"
            found.append((what, "Correct one of the two."))
    return found


def _twice(rows: Sequence[BookRow], file: str) -> list[InputError]:
    """Name zones that stand twice in a season."""
    seen: set[tuple[object, ...]] = set()
    found = []
    for row in rows:
        key = (*_of(row), row.zone, row.block, row.variety)
        if key in seen:
            zone = f"zone {row.zone}" if row.zone else "the field"
            what = f"{zone} of {row.field} stands twice in season {row.season}"
            found.append(InputError(what, where=file, mend="Take one of the two rows away."))
        seen.add(key)
    return found


def _of(row: BookRow) -> tuple[int, str]:
    return row.season, as_compared(row.field)


def _place(row: BookRow) -> tuple[int, str, int, str]:
    """Name the zone of a row, or the block where it is of no zone."""
    return *_of(row), row.zone, "" if row.zone else row.block


def with_rows(old: Sequence[BookRow], new: Sequence[BookRow]) -> tuple[BookRow, ...]:
    """Put rows into a book: they take the place of all rows of the same season and field.

    Parameters
    ----------
    old, new : sequence of BookRow

    Returns
    -------
    tuple of BookRow
        Season by season; in one season fields stay in their order, a new one comes last. Columns that
        somebody added stay with their zone, or block.

    Examples
    --------
    >>> book = with_rows((), [BookRow(season=2025, field="north", zone=1)])
    >>> [one.zone for one in with_rows(book, [BookRow(season=2025, field="north", zone=2)])]
    [2]
    """
    replaced = {_of(row) for row in new}
    added = {_place(row): row.more for row in old if row.more}
    fresh = [row if row.more else replace(row, more=added.get(_place(row), ())) for row in new]
    order = {key: place for place, key in enumerate(dict.fromkeys(_of(row) for row in (*old, *new)))}
    kept = [row for row in old if _of(row) not in replaced]
    return tuple(sorted([*kept, *fresh], key=lambda row: (row.season, order[_of(row)])))


def as_text(rows: Sequence[BookRow]) -> str:
    """Write a book as season.csv; `read` gives the same rows back.

    Examples
    --------
    >>> print(as_text([BookRow(season=2025, field="north", r3_seen=date(2025, 7, 8))]).splitlines()[1])
    2025,north,,,,,,,,2025-07-08,,,,,,,,
    """
    more = list(dict.fromkeys(name for row in rows for name, _ in row.more))
    sheet = io.StringIO()
    writer = csv.writer(sheet, lineterminator="\n")
    writer.writerow([*COLUMNS, *more])
    for row in rows:
        added = dict(row.more)
        cells = [_cell(getattr(row, name)) for name in COLUMNS]
        cells[COLUMNS.index("zone")] = str(row.zone) if row.zone else ""
        writer.writerow([*cells, *(_cell(added.get(name, "")) for name in more)])
    return sheet.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(float(value))
    return value.isoformat() if isinstance(value, date) else spreadsheet.guarded(" ".join(str(value).split()))
