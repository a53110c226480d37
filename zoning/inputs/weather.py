"""Daily weather from a CSV file, in our units, with gaps as NaN and every refused value said.

Knows columns and impossible values; which days a field needs is the business of `read` and the stage.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path

import numpy as np

from zoning import units
from zoning.errors import SETTINGS, InputError, raise_all
from zoning.evidence import number, numbers
from zoning.inputs import dates, files, table
from zoning.inputs.given import Weather
from zoning.inputs.grid import Floats
from zoning.words import Said

_ABSENT = {"", "na", "n/a", "nan", "null", "none", "m", "-", "--"}
_ABSENT |= {f"{code}{zeros}" for code in ("-99", "-999", "-9999") for zeros in ("", ".0", ".00", ",0")}
_TRACE = "t"  # rain too little to measure

# What we keep -> the names that it may have, and what turns each into our unit.
_COLUMNS: dict[str, dict[str, Callable[[float], float]]] = {
    "tmin_c": {"tmin_c": float, "tmin_f": units.c_from_f},
    "tmax_c": {"tmax_c": float, "tmax_f": units.c_from_f},
    "rain_mm": {"rain_mm": float, "rain_in": units.mm_from_in},
}
NAMES = ("date", *(name for names in _COLUMNS.values() for name in names))


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
    known = set(weather.day[np.isfinite(weather.tmin_c) & np.isfinite(weather.tmax_c)].tolist())
    missing = [day for day in range(first.toordinal(), today.toordinal() + 1) if day not in known]
    lag = 0
    while lag < len(missing) and missing[-1 - lag] == today.toordinal() - lag:
        lag += 1
    if lag and lag <= number("inputs.weather_lag_most_d"):
        missing = missing[:-lag]
    return tuple(date.fromordinal(day) for day in missing)


def _floats(values: Sequence[float]) -> Floats:
    return np.array(values, dtype=np.float64)


def _rows(path: Path, renamed: Mapping[str, str]) -> _Rows:
    """Read a file once, however many fields of a farm share it, unless it changes."""
    state = path.stat() if path.is_file() else None
    if state is None:
        return _rows_read(path, renamed)
    return _rows_of_state(path, tuple(sorted(renamed.items())), state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=8)
def _rows_of_state(path: Path, renamed: tuple[tuple[str, str], ...], _mtime_ns: int, _size: int) -> _Rows:
    return _rows_read(path, dict(renamed))


def _rows_read(path: Path, renamed: Mapping[str, str]) -> _Rows:
    sheet = table.read(path, path.name)
    found = _matched(sheet, renamed)
    faults, twice, refused = list[InputError](), list[date](), list[str]()
    by_day: dict[int, tuple[float, ...]] = {}
    impossible: list[str] = []
    for row in sheet.rows:
        try:
            day = dates.day(row.cells[sheet.columns[found["date"]]])
        except ValueError as error:
            faults.append(InputError(str(error), where=f"{sheet.file}:{row.line}", mend=dates.HOW))
            continue
        values, wrong = _values(sheet, row, found)
        refused += [f"{one} on {day}" for one in wrong]
        faulty = [f"{one} on {day}" for one in wrong if "tm" in one]
        impossible += faulty[:1]
        if day.toordinal() in by_day:
            twice.append(day)
        by_day.setdefault(day.toordinal(), values)
    if len(impossible) > max(1, number("inputs.impossible_weather_most_frac") * len(sheet.rows)):
        what = f"{len(impossible)} rows have impossible temperatures, the first {impossible[0]}"
        mend = (
            "Check the columns and their unit (a column in Fahrenheit is called tmin_f or tmax_f), and leave "
            "cells without a value empty."
        )
        faults.append(InputError(what, where=sheet.file, mend=mend))
    raise_all(files.at_most(faults, sheet.file))
    notes = []
    if refused:
        notes.append(Said("inputs.weather_refused", file=sheet.file, count=len(refused), first=refused[0]))
    if twice:
        notes.append(Said("inputs.weather_twice", file=sheet.file, count=len(twice), first=twice[0]))
    days = sorted(by_day)
    columns = {name: [by_day[day][place] for day in days] for place, name in enumerate(_COLUMNS)}
    return _Rows(day=days, columns=columns, notes=tuple(notes))


def _matched(sheet: table.Sheet, renamed: Mapping[str, str]) -> dict[str, str]:
    """Match our names to the file's columns; of two units of one thing the metric one is taken."""
    faults = []
    found: dict[str, str] = {}
    for ours, theirs in renamed.items():
        if ours not in NAMES:
            mend = f"Use {', '.join(NAMES)}."
            faults.append(
                InputError(
                    f'"{ours}" is not one of our columns', where="[weather] columns", mend=mend, code=SETTINGS
                )
            )
        elif theirs.lower() not in sheet.columns:
            mend = f"The file has {', '.join(sheet.columns)}."
            faults.append(
                InputError(f'there is no column "{theirs}" for {ours}', where=sheet.file, mend=mend)
            )
        else:
            found[ours] = theirs.lower()
    for names in (("date",), *_COLUMNS.values()):
        if not any(name in found or name in renamed for name in names):
            found |= {name: name for name in list(names)[:2] if name in sheet.columns}
    for names in (("date",), *(_COLUMNS[name] for name in ("tmin_c", "tmax_c"))):
        if not any(name in found or name in renamed for name in names):
            mend = f"Name it in [weather] columns; the file has {', '.join(sheet.columns)}."
            faults.append(InputError(f"there is no column {' or '.join(names)}", where=sheet.file, mend=mend))
    raise_all(faults)
    return found


def _values(
    sheet: table.Sheet, row: table.Row, found: Mapping[str, str]
) -> tuple[tuple[float, ...], list[str]]:
    """Give one row in our units, and what was refused in it."""
    wrong: list[str] = []
    values = dict.fromkeys(_COLUMNS, math.nan)
    for ours, names in _COLUMNS.items():
        for name, to_ours in names.items():
            if name not in found:
                continue
            text = row.cells[sheet.columns[found[name]]]
            if text.lower() in _ABSENT:
                break
            if ours == "rain_mm" and text.lower() == _TRACE:
                values[ours] = 0.0
                break
            try:
                values[ours] = to_ours(sheet.number(text))
            except ValueError:
                wrong.append(f'{name} "{text}"')
            break
    return tuple(_possible(values, wrong).values()), wrong


def _possible(values: dict[str, float], wrong: list[str]) -> dict[str, float]:
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
    return values
