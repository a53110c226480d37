"""What was sprayed when, from the farm's done.csv.

It keeps people out of a field, leaves tracks, and closes zones that a later plan must not spray again.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import lru_cache, partial
from pathlib import Path
from typing import TypeVar

from zoning import once_read
from zoning.errors import InputError, raise_all
from zoning.inputs import dates, done_cells, files, spreadsheet, table
from zoning.inputs.done_cells import CellError
from zoning.inputs.given import FieldInputs, as_compared
from zoning.inputs.given import Sprayed as Sprayed
from zoning.settings.model import Settings

T = TypeVar("T")
FILE = "done.csv"
COLUMNS = (
    *("field", "pass", "zones", "start", "end", "half", "rate", "loads", "area", "sprayer"),
    *("wind", "temperature", "applicator", "product", "source"),
)
_NEEDED = ("field", "product")
_WHEN = ("end", "start")  # the first that a row has


@dataclass(frozen=True, slots=True)
class Farm:
    """What a row cannot be read without: the farm's clock ("" where nobody named it) and its units."""

    time_zone: str = ""
    is_metric: bool = False


def path_of(settings: Settings) -> Path:
    """Give the path of the farm's done.csv, which need not be there."""
    return (settings.farm_folder or settings.folder) / FILE


def of_field(settings: Settings) -> tuple[Sprayed, ...]:
    """Read the passes over one field, which goes by its name or by that of its folder; see `read`."""
    passes = read(path_of(settings), settings.time_zone, is_metric=settings.units == "metric")
    mine = names_of({one.field for one in passes}, settings)
    return tuple(one for one in passes if one.field in mine)


def is_of(name: str, settings: Settings) -> bool:
    """Tell whether a name means this field: its own name or that of its folder."""
    return bool(names_of([name], settings))


def names_of(names: Iterable[str], settings: Settings) -> frozenset[str]:
    """Pick the names that mean this field, as `is_of`."""
    mine = {_plain(settings.name), _plain(settings.folder.resolve().name)}
    return frozenset(name for name in names if _plain(name) in mine)


def beside(given: FieldInputs, settings: Settings, today: date) -> FieldInputs:
    """Add what was sprayed in this crop up to today, and the file's hash, to what is known of a field."""
    planted = max(block.planted for block in given.blocks)
    rows = read(path_of(settings), settings.time_zone, is_metric=settings.units == "metric")
    names = names_of({one.field for one in rows}, settings)
    mine = tuple(one for one in rows if one.field in names and planted < one.on <= today)
    hashes = files.hashes(settings, [path_of(settings)])
    return replace(
        given,
        sprayed=mine,
        made_today=tuple(one for one in rows if one.on == today),
        files={**given.files, **hashes},
    )


@lru_cache(maxsize=16_384)
def _plain(name: str) -> str:
    return as_compared(name.replace("_", " "))


def read(path: Path, time_zone: str = "", *, is_metric: bool = False) -> tuple[Sprayed, ...]:
    """Read what was sprayed.

    Parameters
    ----------
    path : Path
        The farm's done.csv; one that is not there says that nothing was sprayed.
    time_zone : str
        Of the farm, for times that carry a zone.
    is_metric : bool
        Numbers without a unit are metric.

    Returns
    -------
    tuple of Sprayed
        In the order of the file. A day without its hour, or a pass of which only the start is known, counts
        as over when that day is over.

    Raises
    ------
    InputError
        For all cells of all rows together: no field, no time, or something that cannot be; a missing column.
    """
    farm = Farm(time_zone, is_metric)
    files.watch(path, path.name)
    return once_read.of_file(path, ("passes", farm), partial(_read, path, farm)) if path.exists() else ()


def _read(path: Path, farm: Farm) -> tuple[Sprayed, ...]:
    sheet = table.read(path, path.name, may_be_empty=True)
    lacking = [name for name in _NEEDED if name not in sheet.columns]
    lacking += [] if any(name in sheet.columns for name in _WHEN) else ["end"]
    if lacking:
        mend = f"Add it to the header; the file has {table.listed(tuple(sheet.columns))}."
        raise InputError(f"there is no column {' or '.join(lacking)}", where=path.name, mend=mend)
    table.refuse_twice(sheet, COLUMNS)
    found: list[Sprayed] = []
    faults = table.too_wide(sheet)
    for row in sheet.rows:
        cells = {name: spreadsheet.as_meant(row.cells[place]) for name, place in sheet.columns.items()}
        try:
            found.append(sprayed(cells, farm, partial(_at, f"{path.name}:{row.line}")))
        except InputError as fault:
            faults += fault.faults
    raise_all(files.at_most(faults, path.name))
    return tuple(found)


@dataclass(slots=True)
class _Row:
    """The cells of one row, where each stands, and what is wrong with them so far."""

    cells: Mapping[str, str]
    where: Callable[[str], str]
    faults: list[InputError] = field(default_factory=list)

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")

    def read(self, column: str, reader: Callable[[str], T]) -> T | None:
        """Read a cell; None where it is empty or at fault."""
        try:
            return reader(self[column]) if self[column] else None
        except CellError as error:
            self.refuse(column, f"{column} {error.what}", error.mend)
            return None

    def refuse(self, column: str, what: str, mend: str) -> None:
        """Remember a fault."""
        self.faults.append(InputError(what, where=self.where(column), mend=mend))


def sprayed(cells: Mapping[str, str], farm: Farm, where: Callable[[str], str]) -> Sprayed:
    """Read one row, or what the options of a command say.

    Parameters
    ----------
    cells : mapping of str to str
        By the names of the columns; what is not known is empty or left out.
    farm : Farm
    where : callable
        Names the place of a column, for its faults.

    Raises
    ------
    InputError
        All faults of the row together.
    """
    row = _Row(cells, where)
    if not row["field"]:
        row.refuse("field", "the field is empty", "Write its name.")
    over, start = _times(row, farm)
    zones = row.read("zones", done_cells.zone_numbers)
    amount = partial(done_cells.amount, is_metric=farm.is_metric)
    rate_gal_ac = row.read("rate", partial(amount, quantity="gal_ac"))
    area_ac = row.read("area", partial(amount, quantity="ac"))
    loads, number = row.read("loads", done_cells.count), row.read("pass", done_cells.pass_number)
    wind = row.read("wind", partial(done_cells.wind, is_metric=farm.is_metric))
    temperature = row.read("temperature", partial(done_cells.temperature, is_metric=farm.is_metric))
    half = row.read("half", done_cells.half)
    raise_all(row.faults)
    if over is None:
        raise AssertionError("a row without a time was let through")
    return Sprayed(
        field=row["field"],
        end=over,
        product=row["product"],
        sprayer=row["sprayer"],
        zones=" ".join(map(str, zones or ())),
        pass_number=number,
        start=start,
        half=half or "",
        rate_gal_ac=rate_gal_ac,
        loads=loads,
        area_ac=area_ac,
        wind=wind or "",
        temperature=temperature or "",
        applicator=row["applicator"],
        source=row["source"],
    )


def _times(row: _Row, farm: Farm) -> tuple[datetime | None, datetime | None]:
    """Say when people can count on its being over, at its end or when that day is over; and its start."""
    clock = partial(done_cells.moment, time_zone=farm.time_zone)
    start, end = row.read("start", clock), row.read("end", clock)
    if not any(row[name] for name in _WHEN):
        row.refuse("end", "neither end nor start is given", dates.HOW)
    if start and end and done_cells.is_backwards(start, end):
        what = f"it ends ({row['end']}) before it starts ({row['start']})"
        row.refuse("end", what, "Compare both with what was noted.")
    day = end or start
    over = None if day is None else end.local if end and end.has_time else dates.day_after(day.local)
    return over, start.local if start and start.has_time else None


def _at(place: str, _column: str) -> str:
    return place
