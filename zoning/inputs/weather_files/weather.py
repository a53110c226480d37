"""Daily weather from a CSV file, in our units, with gaps as NaN and every refused value said.

Knows columns and impossible values; which days a field needs is the business of `read` and the stage.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

import numpy as np

from zoning import once_read, units
from zoning.errors import InputError, raise_all
from zoning.evidence import number, numbers
from zoning.inputs import dates, files, table
from zoning.inputs.given import Weather
from zoning.inputs.grid import Floats, frozen_in
from zoning.inputs.weather_files import columns as columns_of
from zoning.words import Said

# What we keep -> the names that it may have, and what turns each into our unit.
_COLUMNS: dict[str, dict[str, Callable[[float], float]]] = {
    "tmin_c": {"tmin_c": float, "tmin_f": units.c_from_f},
    "tmax_c": {"tmax_c": float, "tmax_f": units.c_from_f},
    "rain_mm": {"rain_mm": float, "rain_in": units.mm_from_in},
}
_KIND = columns_of.Kind(
    renamed_in="[weather] columns", stamp="date", values=_COLUMNS, needed=("tmin_c", "tmax_c")
)
NAMES = _KIND.names


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rows:
    """One file's rows, sorted by day, at most one a day, each column as ours."""

    day: list[int]
    columns: dict[str, list[float]]
    notes: tuple[Said, ...]


def read(
    path: Path, today: date, *, columns: Mapping[str, str] | None = None, forecast: Path | None = None
) -> Weather:
    """Read daily weather; see `with_notes`, which also gives what is to be said."""
    return with_notes(path, today, columns=columns, forecast=forecast)[0]


def with_notes(
    path: Path, today: date, *, columns: Mapping[str, str] | None = None, forecast: Path | None = None
) -> tuple[Weather, tuple[Said, ...]]:
    """Read daily weather and what is doubtful about it.

    Parameters
    ----------
    path : Path
        CSV with a header: `date`, `tmin_c` or `tmin_f`, `tmax_c` or `tmax_f`, and, if known, `rain_mm` or
        `rain_in`, in any order.
    today : date
        Later rows are ignored.
    columns : mapping of str to str, optional
        Our name -> the file's name, for columns that are called otherwise.
    forecast : Path, optional
        A file of the same kind whose rows after the last day of the first may lie after today.

    Returns
    -------
    (Weather, tuple of Said)
        [C, mm]

    Raises
    ------
    InputError
        A column is missing, a date cannot be read, or so many temperatures are impossible that the unit
        must be wrong.
    """
    own = _rows(path, columns or {})
    notes = list(own.notes)
    keep = [row for row, day in enumerate(own.day) if day <= today.toordinal()]
    if len(keep) < len(own.day):
        later = len(own.day) - len(keep)
        notes.append(Said("inputs.weather_later", file=path.name, rows=later, today=today))
    day = [own.day[row] for row in keep]
    values = {name: [own.columns[name][row] for row in keep] for name in _COLUMNS}
    until = None
    if forecast is not None:
        ahead = _rows(forecast, columns or {})
        notes += ahead.notes
        last = day[-1] if day else 0
        new = [row for row, when in enumerate(ahead.day) if when > last]
        day += [ahead.day[row] for row in new]
        for name in _COLUMNS:
            values[name] += [ahead.columns[name][row] for row in new]
        until = date.fromordinal(day[-1]) if new else None
    return (
        Weather(
            day=np.array(day, dtype=np.int64),
            tmin_c=_floats(values["tmin_c"]),
            tmax_c=_floats(values["tmax_c"]),
            rain_mm=_floats(values["rain_mm"]),
            forecast_until=until,
        ),
        tuple(notes),
    )


def shared(
    path: Path, today: date, *, columns: Mapping[str, str] | None = None, forecast: Path | None = None
) -> tuple[Weather, tuple[Said, ...]]:
    """Read as `with_notes` does, but once for all fields that share a file: nobody may write into this."""
    asked = ("daily weather", today, tuple(sorted((columns or {}).items())))
    make = partial(with_notes, path, today, columns=columns, forecast=forecast)
    paths = (path,) if forecast is None else (path, forecast)
    return once_read.of_files(paths, asked, lambda: frozen_in(make()))


def missing_days(weather: Weather, first: date, today: date) -> tuple[date, ...]:
    """Name the days from `first` to today whose temperatures are not known.

    Daily records end a little before today: a few days at the end are no gap.

    Examples
    --------
    >>> week = np.arange(7) + date(2026, 5, 1).toordinal()
    >>> cold = np.array([5.0, 5, np.nan, 5, 5, 5, 5])
    >>> known = Weather(day=week, tmin_c=cold, tmax_c=cold + 9, rain_mm=cold * np.nan)
    >>> missing_days(known, date(2026, 5, 1), date(2026, 5, 9))
    (datetime.date(2026, 5, 3),)
    """
    known = weather.day[np.isfinite(weather.tmin_c) & np.isfinite(weather.tmax_c)]
    asked = np.arange(first.toordinal(), today.toordinal() + 1)
    missing = asked[~np.isin(asked, known)].tolist()
    lag = 0
    while lag < len(missing) and missing[-1 - lag] == today.toordinal() - lag:
        lag += 1
    if lag and lag <= number("inputs.weather_lag_most_d"):
        missing = missing[:-lag]
    return tuple(date.fromordinal(day) for day in missing)


def no_gap(daily: Weather, file: str, first: date, today: date) -> tuple[Said, ...]:
    """Say where the records of this season end; refuse such as leave out days of it.

    Parameters
    ----------
    daily : Weather
        What was read.
    file : str
        How the user calls it.
    first, today : date
        The days that must be known: from the first planting on.

    Raises
    ------
    InputError
        When a day between them has no temperatures.
    """
    missing = missing_days(daily, first, today)
    last = daily.day[daily.day <= today.toordinal()].max(initial=0)
    if missing and last and missing[0].toordinal() > last:
        ends = date.fromordinal(int(last))
        what = f"its last day is {ends}, {(today - ends).days} days before {today}"
        mend = "Add the days since with both temperatures, or plan as of an earlier day with --today."
        raise InputError(what, where=file, mend=mend)
    if missing:
        shown = ", ".join(str(day) for day in missing[:5]) + (
            f" and {len(missing) - 5} more" if missing[5:] else ""
        )
        what = f"a gap in this season, no temperatures on {shown}"
        raise InputError(what, where=file, mend="Add these days, with both temperatures.")
    if 0 < last < today.toordinal() - 1:  # yesterday's row is the newest that a station gives
        return (Said("inputs.weather_ends", file=file, last=date.fromordinal(int(last))),)
    return ()


def _floats(values: Sequence[float]) -> Floats:
    return np.array(values, dtype=np.float64)


def _rows(path: Path, renamed: Mapping[str, str]) -> _Rows:
    """Read a file once, however many fields of a farm share it and whatever their day is."""
    asked = ("rows of daily weather", tuple(sorted(renamed.items())))
    return once_read.of_file(path, asked, partial(_rows_read, path, renamed))


def _rows_read(path: Path, renamed: Mapping[str, str]) -> _Rows:
    sheet = table.read(path, path.name)
    found = columns_of.matched(sheet, renamed, _KIND)
    faults, twice, refused = list[InputError](), list[date](), list[str]()
    by_day: dict[int, tuple[float, ...]] = {}
    impossible: list[str] = []
    for row in sheet.rows:
        try:
            day = dates.of_records(row.cells[sheet.columns[found["date"]]])
        except ValueError as error:
            faults.append(InputError(str(error), where=f"{sheet.file}:{row.line}", mend=dates.HOW))
            continue
        values, wrong = columns_of.values(sheet, row, found, _KIND)
        _possible(values, wrong)
        refused += [f"{one} on {day}" for one in wrong]
        faulty = [f"{one} on {day}" for one in wrong if "tm" in one]
        impossible += faulty[:1]
        if day.toordinal() in by_day:
            twice.append(day)
        by_day.setdefault(day.toordinal(), tuple(values.values()))
    if len(impossible) > max(1, number("inputs.impossible_weather_most_frac") * len(sheet.rows)):
        what = f"{len(impossible)} rows have impossible temperatures, the first {impossible[0]}"
        mend = (
            "Check the columns and their unit (a column in Fahrenheit is called tmin_f or tmax_f), and leave "
            "cells without a value empty."
        )
        faults.append(InputError(what, where=sheet.file, mend=mend))
    raise_all(files.at_most(faults, sheet.file))
    notes = columns_of.twice(sheet, found)
    if refused:
        notes.append(Said("inputs.weather_refused", file=sheet.file, count=len(refused), first=refused[0]))
    if twice:
        notes.append(Said("inputs.weather_twice", file=sheet.file, count=len(twice), first=twice[0]))
    days = sorted(by_day)
    columns = {name: [by_day[day][place] for day in days] for place, name in enumerate(_COLUMNS)}
    return _Rows(day=days, columns=columns, notes=tuple(notes))


def _possible(values: dict[str, float], wrong: list[str]) -> None:
    """Refuse what cannot be; NaN stands for it, as for what is absent."""
    low, high = numbers("inputs.temperature_range_c")
    for name in ("tmin_c", "tmax_c"):
        if not math.isnan(values[name]) and not low <= values[name] <= high:
            wrong.append(f"{name} {values[name]:.4g}")
            values[name] = math.nan
    if values["tmin_c"] > values["tmax_c"]:
        wrong.append(f"tmin_c {values['tmin_c']:.4g} above tmax_c {values['tmax_c']:.4g}")
        values["tmin_c"] = values["tmax_c"] = math.nan
    if not math.isnan(values["rain_mm"]) and not 0 <= values["rain_mm"] <= number("inputs.rain_most_mm"):
        wrong.append(f"rain_mm {values['rain_mm']:.4g}")
        values["rain_mm"] = math.nan
