"""What a scout saw where: date, place, pressure class and cause. Other columns are left for later parts."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import cast, get_args

import shapely

from zoning.errors import InputError, raise_all
from zoning.inputs import area, dates, files, table
from zoning.inputs.boundary import Boundary
from zoning.inputs.given import Sighting
from zoning.settings.quantities import Pressure
from zoning.words import Said

NEEDED = ("date", "lat", "lon", "pressure")
_OTHER = "other"  # a cause that a fungicide does not reach: pressure low, whatever was seen


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scouted:
    """The sightings inside the field up to today, in the order of the file, and what is to be said."""

    sightings: tuple[Sighting, ...]
    notes: tuple[Said, ...]


def read(path: Path, file: str, boundary: Boundary, today: date) -> Scouted:
    """Read the sightings of a field.

    Rows without a pressure class hold counts for the stage and are passed over here.

    Raises
    ------
    InputError
        For all rows together: an unreadable date or place, an unknown pressure class; a missing column.
    """
    sheet = table.read(path, file)
    lacking = [name for name in NEEDED if name not in sheet.columns]
    if lacking:
        mend = f"Add it to the header; the file has {', '.join(sheet.columns)}."
        raise InputError(f"there is no column {' or '.join(lacking)}", where=file, mend=mend)
    faults: list[InputError] = []
    found: list[Sighting] = []
    for row in sheet.rows:
        wrong = _wrong(sheet, row)
        faults += [InputError(what, where=f"{file}:{row.line}", mend=mend) for what, mend in wrong]
        if not wrong and _cell(sheet, row, "pressure"):
            found.append(_sighting(sheet, row, boundary.epsg))
    raise_all(files.at_most(faults, file))
    return _kept(found, file, boundary, today)


def _cell(sheet: table.Sheet, row: table.Row, name: str) -> str:
    place = sheet.columns.get(name)
    return "" if place is None else row.cells[place]


def _wrong(sheet: table.Sheet, row: table.Row) -> list[tuple[str, str]]:
    wrong = []
    try:
        dates.day(_cell(sheet, row, "date"))
    except ValueError as error:
        wrong.append((str(error) if _cell(sheet, row, "date") else "the date is empty", dates.HOW))
    for name, highest in (("lat", 90), ("lon", 180)):
        text = _cell(sheet, row, name)
        try:
            good = abs(sheet.number(text)) <= highest
        except ValueError:
            good = False
        if not good:
            wrong.append((f'{name} "{text}" is no place', "Write decimal degrees, as 44.305 and -95.38."))
    pressure = _cell(sheet, row, "pressure").lower()
    if pressure and pressure not in get_args(Pressure):
        wrong.append((f'pressure "{pressure}" is not known', f"Use {', '.join(get_args(Pressure))}."))
    return wrong


def _sighting(sheet: table.Sheet, row: table.Row, epsg: int) -> Sighting:
    place = shapely.Point(*(sheet.number(_cell(sheet, row, name)) for name in ("lon", "lat")))
    east_m, north_m = shapely.get_coordinates(area.reproject(place, area.LONLAT, epsg))[0].tolist()
    cause = _cell(sheet, row, "cause").lower()
    pressure = "low" if cause == _OTHER else _cell(sheet, row, "pressure").lower()
    return Sighting(
        on=dates.day(_cell(sheet, row, "date")),
        east_m=east_m,
        north_m=north_m,
        pressure=cast(Pressure, pressure),
        cause=cause,
    )


def _kept(found: Sequence[Sighting], file: str, boundary: Boundary, today: date) -> Scouted:
    seen = [one for one in found if one.on <= today]
    inside = [one for one in seen if boundary.area.covers(shapely.Point(one.east_m, one.north_m))]
    notes = []
    if len(seen) < len(found):
        notes.append(Said("inputs.scouting_later", file=file, rows=len(found) - len(seen), today=today))
    if len(inside) < len(seen):
        notes.append(Said("inputs.scouting_outside", file=file, rows=len(seen) - len(inside)))
    return Scouted(sightings=tuple(inside), notes=tuple(notes))
