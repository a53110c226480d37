"""A planter's file -> sowings: places and cells as [planting] reads them, and what each was taken from."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely

from zoning.errors import InputError, raise_all
from zoning.inputs import files
from zoning.inputs.grid import Floats
from zoning.inputs.harvest.given import Bools
from zoning.inputs.harvest.points.rows import Rows
from zoning.inputs.planted.brought import columns, counts, moments, opened
from zoning.inputs.planted.brought.asked import Asked
from zoning.inputs.planted.brought.columns import Column
from zoning.inputs.planted.brought.given import Opened, Sowings, Taken
from zoning.inputs.planted.brought.places import points_at
from zoning.inputs.vector import Shapes
from zoning.words import Said

Cells = tuple[str | float | None, ...]
_MOST = 1e9  # of seeds on any area
_NOWHERE_DEG = 1e-6  # a receiver without a place writes 0, 0: no soybean grows there


def read(path: Path, file: str, asked: Asked) -> Sowings:
    """Read what was planted where.

    Parameters
    ----------
    path : Path
        CSV with longitude and latitude, shapefile, GeoPackage, GeoJSON, task data, or a zip of one of them.
    file : str
        How the user calls it.
    asked : Asked

    Returns
    -------
    Sowings
        Without rows that have no place, and those at which nothing was planted; `notes` say how many.

    Raises
    ------
    InputError
        Exit 2: a column that is not there, several that may be one thing, tasks to choose from. Exit 3: what
        cannot be read, no dates, no places, a population whose unit is not known.
    """
    found = opened.read(path, file, asked)
    rows = found.rows
    names = tuple("" if rows.is_empty(place) else name for place, name in enumerate(rows.names))
    has_places = found.shapes is not None
    matched = columns.matched(names, asked, found.known, file, has_places=has_places)
    _check(rows, matched, has_places=has_places)
    shapes = _on_earth(rows, matched) if found.shapes is None else found.shapes
    dates, counted, taken = _read(rows, matched, asked)
    notes = list(found.notes)
    keep = _placed(shapes, rows, notes) & _planted(found, counted, notes)
    whole = Sowings(
        file=file,
        kind=found.kind,
        shapes=shapes,
        row=rows.row,
        cells=dates,
        population_ac=np.full(rows.count, np.nan) if counted is None else counted.seeds_ac,
        taken=taken,
        tasks=found.tasks,
        paths=found.paths,
        notes=(*notes, *_doubts(counted)),
    )
    return whole.those(keep)


def _check(rows: Rows, found: Mapping[str, Column], *, has_places: bool) -> None:
    """Ask for what every file must have: places and dates."""
    faults: list[InputError] = []
    has = f"The file has {', '.join(name for name in rows.names if name) or 'no columns'}."
    if not has_places and not {"east", "north"} <= set(found):
        what = "no columns of longitude and latitude are found"
        mend = f"Name them with --column east=NAME and --column north=NAME. {has}"
        if columns.is_plane(rows.names):
            what = "its places lie in a plane that nobody names"
            mend = "Export it with longitude and latitude in degrees, or as a shapefile with its CRS."
        faults.append(InputError(what, where=rows.file, mend=mend))
    if "date" not in found:
        mend = f"Name it with --column date=NAME. {has}"
        faults.append(InputError("no column of planting dates is found", where=rows.file, mend=mend))
    raise_all(faults)


def _on_earth(rows: Rows, found: Mapping[str, Column]) -> Shapes:
    """Give the places of a table, empty points where there is none.

    Raises
    ------
    InputError
        Cells that are no numbers, or columns in which no number is a longitude or a latitude.
    """
    degrees: list[Floats] = []
    faults: list[InputError] = []
    for role in ("east", "north"):
        degrees.append(_numbers(rows, found[role], "Correct the cell, or leave it empty.", faults))
    raise_all(files.at_most(faults, rows.file))
    longitude, latitude = degrees
    there = (np.abs(longitude) <= 180) & (np.abs(latitude) <= 90)
    if not there.any():
        what = f"{found['east'].name} and {found['north'].name} hold no longitudes and latitudes in degrees"
        mend = "Export it with longitude and latitude in degrees, or as a shapefile with its CRS."
        if ((np.abs(latitude) <= 180) & (np.abs(longitude) <= 90)).any():
            east, north = (found[role].name for role in ("north", "east"))
            mend = f'They are exchanged: name them with --column "east={east}" --column "north={north}".'
        raise InputError(what, where=rows.file, mend=mend)
    return points_at(np.where(there, longitude, np.nan), np.where(there, latitude, np.nan))


def _numbers(rows: Rows, column: Column, mend: str, faults: list[InputError]) -> Floats:
    """Read a column of numbers, NaN where nothing stands; each cell that is none goes to `faults`."""
    numbers, wrong = rows.numbers(column.place)
    faults += [
        InputError(
            f'{column.name} "{rows.shown(column.place, at)}" is no number', where=rows.where(at), mend=mend
        )
        for at in wrong
    ]
    return numbers


def _read(
    rows: Rows, found: Mapping[str, Column], asked: Asked
) -> tuple[dict[str, Cells], counts.Population | None, tuple[Taken, ...]]:
    """Read the cells of every role; faults of all of them are told together."""
    cells: dict[str, Cells] = {}
    taken: list[Taken] = []
    faults: list[InputError] = []
    counted = None
    ways: dict[str, Callable[[Column], Cells]] = {
        "date": lambda one: moments.read(rows, one, asked.units.get("date", ""), asked.clock, "date"),
        "emerged": lambda one: _days(rows, one, asked),
        "group": lambda one: _as_read(rows, one),
        "variety": lambda one: rows.texts(one.place),
        "yield": lambda one: rows.texts(one.place),
    }
    for role, way in ways.items():
        if role not in found:
            continue
        try:
            cells[role] = tuple(one if one != "" else None for one in way(found[role]))
        except InputError as error:
            faults += error.faults
            continue
        taken.append(_taken(role, found[role], cells[role]))
    if "population" in found:
        try:
            counted = _counted(rows, found["population"], asked)
        except InputError as error:
            faults += error.faults
        else:
            shown = counted.seeds_ac[np.isfinite(counted.seeds_ac)]
            one = _taken("population", found["population"], tuple(shown.tolist()))
            taken.append(replace(one, unit=counted.unit, source=counted.source))
    raise_all(faults)
    return cells, counted, tuple(taken)


def _days(rows: Rows, column: Column, asked: Asked) -> Cells:
    return tuple(
        one[:10] for one in moments.read(rows, column, asked.units.get("emerged", ""), asked.clock, "emerged")
    )


def _as_read(rows: Rows, column: Column) -> Cells:
    """Give numbers as numbers, where all of a column are, else texts such as "III"."""
    numbers, wrong = rows.numbers(column.place)
    if wrong:
        return rows.texts(column.place)
    return tuple(None if np.isnan(one) else float(one) for one in numbers)


def _counted(rows: Rows, column: Column, asked: Asked) -> counts.Population:
    faults: list[InputError] = []
    mend = "Correct the cell, or take the column out with --column population= ."
    numbers = _numbers(rows, column, mend, faults)
    raise_all(files.at_most(faults, rows.file))
    numbers = np.where((numbers >= 0) & (numbers <= _MOST), numbers, np.nan)  # no count is another
    told = asked.units.get("population", "")
    return counts.read(numbers, column.name, told, is_metric=asked.is_metric, where=rows.file)


def _taken(role: str, column: Column, cells: Cells) -> Taken:
    known = [one for one in cells if one is not None]
    first, last = (_shown(one) for one in ((known[0], known[-1]) if known else ("", "")))
    return Taken(role=role, column=column.name, how=column.how, first=first, last=last)


def _shown(cell: object) -> str:
    return counts.shown(cell) if isinstance(cell, float) else str(cell)


def _placed(shapes: Shapes, rows: Rows, notes: list[Said]) -> Bools:
    """Tell which rows have a place; who has none is counted."""
    empty = np.asarray(shapely.is_empty(shapes))
    at_zero = np.zeros(len(shapes), dtype=np.bool_)
    points = ~empty & (shapely.get_type_id(shapes) == 0)
    x, y = shapely.get_x(shapes[points]), shapely.get_y(shapes[points])
    at_zero[points] = (np.abs(x) < _NOWHERE_DEG) & (np.abs(y) < _NOWHERE_DEG)
    nowhere = empty | at_zero
    if nowhere.all():
        mend = "Export it with the places at which the planter was."
        raise InputError("none of its records has a place", where=rows.file, mend=mend)
    if nowhere.any():
        notes.append(Said("brought.nowhere", file=rows.file, count=int(nowhere.sum()), whole=rows.count))
    return ~nowhere


def _planted(found: Opened, counted: counts.Population | None, notes: list[Said]) -> Bools:
    """Tell at which rows something was planted: with a population of 0 the planter was lifted or off."""
    rows = found.rows
    is_off = np.zeros(rows.count, dtype=np.bool_) if found.is_off is None else found.is_off
    if counted is not None:
        is_off = is_off | (counted.seeds_ac == 0)
    if is_off.all() or not is_off.any():
        return np.ones(rows.count, dtype=np.bool_)
    notes.append(Said("brought.lifted", file=rows.file, count=int(is_off.sum()), whole=rows.count))
    return ~is_off


def _doubts(counted: counts.Population | None) -> list[Said]:
    if counted is None:
        return []
    good = counted.seeds_ac[counts.is_planted(counted.seeds_ac)]
    if not len(good) or counts.is_usual(float(np.median(good))):
        return []
    median = f"{np.median(good):,.0f} seeds/ac"
    return [Said("brought.population_odd", population=median, unit=counted.unit)]
