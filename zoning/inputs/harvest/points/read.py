"""The combine's points of one field, from CSV, shapefile, GeoPackage or GeoJSON, in our units.

Nothing is cleaned here, and nothing is dropped without a word.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np

from zoning.errors import InputError, raise_all
from zoning.inputs import area, dates, files
from zoning.inputs.harvest.given import Floats, YieldPoints
from zoning.inputs.harvest.points import cells, choice, columns, doubts, fits, own, rows, times
from zoning.inputs.harvest.points.asked import Asked
from zoning.inputs.harvest.points.cells import Amount
from zoning.inputs.harvest.points.columns import Found
from zoning.inputs.harvest.points.rows import Rows
from zoning.words import Said


@np.errstate(over="ignore", invalid="ignore", divide="ignore")  # impossible cells are told by their names
def read(path: Path, file: str, asked: Asked) -> YieldPoints:
    """Read a combine's points.

    Parameters
    ----------
    path : Path
        CSV with longitude and latitude (EPSG:4326), or points of a shapefile, GeoPackage or GeoJSON.
    file : str
        How the user calls it.
    asked : Asked

    Returns
    -------
    YieldPoints
        In the order of the file, or of their times where the file's own order is none; `notes` say what is
        doubtful.

    Raises
    ------
    InputError
        Exit 2: a column that is not there, or several that may be one thing. Exit 3: what cannot be read, a
        unit that does not fit, no moisture where one is needed, no point inside the field.

    Notes
    -----
    Of a file that holds flows and yields the flows are read where their unit and the way from point to point
    are known, so that nothing unknown lies between; else the yields.
    """
    whole = rows.read(path, file, asked.epsg)
    found = columns.matched(whole.names, asked.columns, file, asked.yields, has_places=not whole.is_table)
    found, notes = _with_content(whole, found)
    _check_columns(whole, found)
    ours, said = own.rows_of(whole, found, asked.field)
    notes += said
    ours = _placed(ours, found, asked.epsg)
    clock = _clock(ours, found, asked)
    order, doubt = doubts.in_order(clock.seconds, ours.row)
    notes += [] if doubt is None else [doubt]
    if order is not None:
        ours, clock = ours.at(order), clock.at(order)
    used, is_dry, said = choice.chosen(found, asked, file, has_time=clock.is_known)
    notes += said
    measured, said, faults = cells.amounts(ours, used, asked)
    raise_all(files.at_most(faults, file))
    notes += [*said, *_units_assumed(measured, asked), *_way(ours, measured, clock, asked)]
    points = _points(ours, used, measured, clock, asked)
    notes += doubts.of_places(points.is_inside, points.east_m, points.north_m, asked, file)
    raise_all(doubts.of_pace(points))
    return replace(points, is_dry=is_dry, notes=(*notes, *points.notes))


def _with_content(whole: Rows, found: Mapping[str, Found]) -> tuple[dict[str, Found], list[Said]]:
    """Leave out columns in which nothing stands, and say so."""
    empty = {role for role, one in found.items() if whole.is_empty(one.place)}
    notes = [Said("harvest.column_empty", column=one.name) for role, one in found.items() if role in empty]
    return {role: one for role, one in found.items() if role not in empty}, notes


def _check_columns(whole: Rows, found: Mapping[str, Found]) -> None:
    """Ask for what every file must have: places, and a yield or a flow."""
    faults: list[InputError] = []
    has = f"The file has {', '.join(whole.names) or 'no columns'}."
    if whole.is_table and not {"east", "north"} <= set(found):
        what = "no columns of longitude and latitude are found"
        mend = f"Name them with --column east=NAME and --column north=NAME. {has}"
        if any(role.startswith("plane ") for role in found):
            what = "its places lie in a plane that nobody names"
            mend = "Export it with longitude and latitude in degrees, or as a shapefile with its CRS."
        faults.append(InputError(what, where=whole.file, mend=mend))
    if not {"yield", "flow"} & set(found):
        mend = f"Name it with --column yield=NAME or --column flow=NAME. {has}"
        faults.append(InputError("no column of yields or flows is found", where=whole.file, mend=mend))
    raise_all(faults)


def _placed(ours: Rows, found: Mapping[str, Found], epsg: int) -> Rows:
    """Bring longitude and latitude of a table to the plane; shapes have their places already.

    Raises
    ------
    InputError
        Cells that are no numbers, or columns in which no number is a longitude or a latitude.
    """
    if not ours.is_table:
        return ours
    faults: list[InputError] = []
    degrees: list[Floats] = []
    for role in ("east", "north"):
        numbers, wrong = ours.numbers(found[role].place)
        faults += [cells.no_number(ours, at, found[role]) for at in wrong]
        degrees.append(numbers)
    raise_all(files.at_most(faults, ours.file))
    longitude, latitude = degrees
    there = (np.abs(longitude) <= 180) & (np.abs(latitude) <= 90)
    if not there.any():
        turned = ((np.abs(latitude) <= 180) & (np.abs(longitude) <= 90)).any()
        names = f"{found['east'].name} and {found['north'].name}"
        mend = "Export it with longitude and latitude in degrees, or as a shapefile with its CRS."
        mend = doubts.TURNED if turned else mend
        what = f"{names} hold no longitudes and latitudes in degrees"
        raise InputError(what, where=ours.file, mend=mend)
    longitude, latitude = np.where(there, longitude, np.nan), np.where(there, latitude, np.nan)
    return ours.placed(*area.moved(longitude, latitude, area.LONLAT, epsg))


def _clock(ours: Rows, found: Mapping[str, Found], asked: Asked) -> times.Clock:
    """Read the times of the rows, if a column has them."""
    if "time" not in found:
        return times.Clock(seconds=np.full(ours.count, np.nan), days=np.zeros(ours.count, dtype=np.int64))
    one = found["time"]
    stands = ours.columns[one.place]
    middle = area.to_lonlat(asked.boundary, asked.epsg).centroid
    clock = times.read(
        ours.texts(one.place) if isinstance(stands, tuple) else stands,
        None if one.beside is None else ours.texts(one.beside),
        asked.units.get("time", ""),
        dates.clock(asked.time_zone, middle.x),
        (f"{ours.file}: {one.name}", "time"),
    )
    faults = [
        InputError(
            f'{one.name} "{ours.shown(one.place, at)}" is no time',
            where=ours.where(at),
            mend='Write it as "2026-10-05 14:30:05", or leave it empty.',
        )
        for at in clock.wrong
    ]
    raise_all(files.at_most(faults, ours.file))
    return clock


def _units_assumed(measured: Mapping[str, Amount], asked: Asked) -> list[Said]:
    """Say which columns were read in the units of the farm, because nobody says theirs."""
    assumed = [f"{one.column} in {one.unit}" for one in measured.values() if one.source == "farm"]
    kind = "metric" if asked.is_metric else "US"
    return [Said("harvest.units_assumed", columns=", ".join(assumed), kind=kind)] if assumed else []


def _way(ours: Rows, measured: Mapping[str, Amount], clock: times.Clock, asked: Asked) -> list[Said]:
    """Judge amounts by the way from row to row, and say where only their order tells the way.

    Raises
    ------
    InputError
        All at once: units that do not fit, an order that is none.
    """
    steps_m = np.hypot(np.diff(ours.east_m, prepend=np.nan), np.diff(ours.north_m, prepend=np.nan))
    gaps_s = np.diff(clock.seconds, prepend=np.nan)
    faults = fits.faults(measured, steps_m, gaps_s, asked.header_m, ours.file)
    if not clock.is_known:
        faults += doubts.of_order(steps_m, ours.file)
    raise_all(faults)
    return [] if clock.is_known else [Said("harvest.no_time")]


def _points(
    ours: Rows, used: Mapping[str, Found], measured: Mapping[str, Amount], clock: times.Clock, asked: Asked
) -> YieldPoints:
    """Put the points together; what is only known of the whole comes later."""
    nothing = np.full(ours.count, np.nan)
    values = {role: one.values for role, one in measured.items()}
    if asked.moisture_frac is not None:
        values["moisture"] = np.full(ours.count, asked.moisture_frac)
    notes: list[Said | None] = []
    track, is_up = np.full(ours.count, -1, dtype=np.int64), np.zeros(ours.count, dtype=np.bool_)
    if "track" in used:
        track, said = cells.tracks(ours, used["track"])
        notes.append(said)
    if "header" in used:
        is_up, said = cells.header_up(ours, used["header"])
        notes.append(said)
    is_inside = doubts.inside(asked.boundary, ours.east_m, ours.north_m)
    first_s = clock.seconds[np.isfinite(clock.seconds)][:1]
    amount = values.get("flow", values.get("yield", nothing))
    notes.append(doubts.twice(ours.east_m, ours.north_m, clock.seconds, amount))
    return YieldPoints(
        file=ours.file,
        epsg=asked.epsg,
        row=ours.row,
        east_m=ours.east_m,
        north_m=ours.north_m,
        time_s=clock.seconds - first_s if len(first_s) else clock.seconds,
        flow_kg_s=values.get("flow", nothing),
        yield_bu_ac=values.get("yield", nothing),
        moisture_frac=values.get("moisture", nothing),
        speed_m_s=values.get("speed", nothing),
        distance_m=values.get("distance", nothing),
        swath_m=values.get("swath", nothing),
        interval_s=values.get("interval", nothing),
        track=track,
        is_header_up=is_up,
        is_inside=is_inside,
        is_dry=False,
        harvested=tuple(date.fromordinal(int(day)) for day in np.unique(clock.days[is_inside]) if day),
        columns={role: one.name for role, one in used.items()},
        units={role: one.unit for role, one in measured.items()},
        notes=tuple(one for one in notes if one is not None),
    )
