"""Hourly weather from a CSV file, hour by hour on the farm's clock, with what is not known as NaN.

Knows columns, clocks and impossible values; what the hours mean for disease or spraying is decided elsewhere.
"""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import partial
from itertools import pairwise
from pathlib import Path

import numpy as np

from zoning import once_read, units
from zoning.errors import InputError, raise_all
from zoning.evidence import number, numbers
from zoning.inputs import dates, files, table
from zoning.inputs.given import Hourly
from zoning.inputs.grid import frozen_in
from zoning.inputs.weather_files import columns as columns_of
from zoning.words import Said

# What we keep -> the names that it may have, and what turns each into our unit.
_COLUMNS: dict[str, dict[str, Callable[[float], float]]] = {
    "temp_c": {"temp_c": float, "temp_f": units.c_from_f},
    "rh_pct": {"rh_pct": float},
    "wind_m_s": {"wind_m_s": float, "wind_mph": units.m_s_from_mph, "wind_km_h": units.m_s_from_kmh},
    "rain_mm": {"rain_mm": float, "rain_in": units.mm_from_in},
}
_KIND = columns_of.Kind(
    renamed_in="[weather] hourly_columns", stamp="time", values=_COLUMNS, needed=("temp_c", "rh_pct")
)
NAMES = _KIND.names
_HOW = 'Write it as "2026-07-06 05:00", or with its zone, as "2026-07-06T10:00Z".'
_END_OF_DAY = re.compile(r"(?<=[T ])24:00")
_SECONDS = 3600  # of an hour
_HOURS = 24  # of a day


@dataclass(frozen=True, slots=True)
class _Row:
    """One row: when it is of, on the farm's clock and with that clock's zone, and its values as ours."""

    when: datetime
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Hours:
    """A file's hours in order: beginning, on the farm's clock, and the values of each."""

    begins: tuple[datetime, ...]
    values: tuple[tuple[float, ...], ...]
    notes: tuple[Said, ...]


def with_notes(
    path: Path, today: date | None, clock: tzinfo, *, columns: Mapping[str, str] | None = None
) -> tuple[Hourly, tuple[Said, ...]]:
    """Read hourly weather and what is doubtful about it.

    Parameters
    ----------
    path : Path
        CSV with a header: `time`, `temp_c` or `temp_f`, `rh_pct` and, if known, `wind_m_s`, `wind_mph` or
        `wind_km_h`, `rain_mm` or `rain_in`, in any order. A row speaks for the hour in which its time lies.
    today : date or None
        Rows of later days are ignored; None: none is, as in a forecast.
    clock : tzinfo
        The farm's, as `zoning.inputs.dates.clock` gives it: of times without a zone, and of the days.
    columns : mapping of str to str, optional
        Our name -> the file's name, for columns that are called otherwise.

    Returns
    -------
    (Hourly, tuple of Said)
        Several rows of one hour are averaged, their rain is added.

    Raises
    ------
    InputError
        A column is missing, a time cannot be read, or so many values are impossible that the unit must be
        wrong; all of them at once.
    """
    renamed = tuple(sorted((columns or {}).items()))
    # read once, however many fields of a farm share it, unless it changes
    hours = once_read.of_file(path, ("hours", clock, renamed), partial(_hours, path, renamed, clock))
    those = [place for place, begins in enumerate(hours.begins) if today is None or begins.date() <= today]
    notes = list(hours.notes)
    if len(those) < len(hours.begins):
        later = len(hours.begins) - len(those)
        notes.append(Said("inputs.hourly_later", file=path.name, hours=later, today=today))
    begins = [hours.begins[place] for place in those]
    values = np.array([hours.values[place] for place in those], dtype=np.float64).reshape(-1, len(_COLUMNS))
    by_name = {name: values[:, place] for place, name in enumerate(_COLUMNS)}
    hourly = Hourly(
        utc_h=np.array([one.timestamp() / _SECONDS for one in begins], dtype=np.float64),
        day=np.array([one.toordinal() for one in begins], dtype=np.int64),
        hour=np.array([one.hour for one in begins], dtype=np.int64),
        **by_name,
    )
    return hourly, tuple(notes)


def shared(
    path: Path, today: date | None, clock: tzinfo, *, columns: Mapping[str, str] | None = None
) -> tuple[Hourly, tuple[Said, ...]]:
    """Read as `with_notes` does, but once for all fields that share a file: nobody may write into this."""
    asked = ("hourly weather", today, clock, tuple(sorted((columns or {}).items())))
    make = partial(with_notes, path, today, clock, columns=columns)
    return once_read.of_file(path, asked, lambda: frozen_in(make()))


def of_season(hourly: Hourly, file: str, first: date, today: date) -> tuple[Said, ...]:
    """Say which hours of a season are not known.

    Parameters
    ----------
    hourly : Hourly
        What was read.
    file : str
        How the user calls it.
    first, today : date
        From the first planting on. A file that begins later has no gap there: nobody asked for more.
    """
    mine = hourly.day >= first.toordinal()
    if not mine.any():
        return (Said("inputs.hourly_none", file=file, first=first),)
    utc_h, local_h = hourly.utc_h[mine], hourly.day[mine] * _HOURS + hourly.hour[mine]
    known_h = utc_h[np.isfinite(hourly.temp_c[mine]) & np.isfinite(hourly.rh_pct[mine])]
    whole = round(float(utc_h[-1] - utc_h[0])) + 1
    notes = []
    if known_h.size < whole:
        edges = np.concatenate(([utc_h[0] - 1], known_h, [utc_h[-1] + 1]))
        at = int(np.diff(edges).argmax())
        row = min(int(utc_h.searchsorted(edges[at] + 1)), utc_h.size - 1)
        begins_h = int(local_h[row] - (utc_h[row] - (edges[at] + 1)))  # by the farm's clock
        notes.append(
            Said(
                "inputs.hourly_gap",
                file=file,
                unknown=whole - known_h.size,
                whole=whole,
                longest=round(float(edges[at + 1] - edges[at])) - 1,
                day=date.fromordinal(begins_h // _HOURS),
            )
        )
    last = date.fromordinal(int(hourly.day[mine][-1]))
    if (today - last).days > 1:  # yesterday's rows are the newest that a station gives
        notes.append(Said("inputs.hourly_ends", file=file, last=last))
    return tuple(notes)


def _hours(path: Path, renamed: tuple[tuple[str, str], ...], clock: tzinfo) -> _Hours:
    sheet = table.read(path, path.name)
    found = columns_of.matched(sheet, dict(renamed), _KIND)
    rows, notes = _rows(sheet, found)
    placed, of_clock = _placed(rows, clock, sheet.file)
    hours, of_hours = _by_hour(placed, sheet.file)
    return _Hours(
        begins=tuple(one.astimezone(clock) for one in hours),
        values=tuple(hours.values()),
        notes=(*notes, *of_clock, *of_hours),
    )


def _rows(sheet: table.Sheet, found: Mapping[str, str]) -> tuple[list[_Row], list[Said]]:
    """Read each row; refuse the file where times cannot be read, or a unit must be wrong."""
    faults, refused = list[InputError](), list[str]()
    impossible: dict[str, list[str]] = {"temp_": [], "rh_pct": []}
    rows, ranges = [], _ranges()
    for row in sheet.rows:
        try:
            when = _moment(row.cells[sheet.columns[found["time"]]])
        except ValueError as error:
            faults.append(InputError(str(error), where=f"{sheet.file}:{row.line}", mend=_HOW))
            continue
        values, wrong = columns_of.values(sheet, row, found, _KIND)
        _possible(values, wrong, ranges)
        refused += [f"{one} at {when:%Y-%m-%d %H:%M}" for one in wrong]
        for name, those in impossible.items():
            those += [f"{one} at {when:%Y-%m-%d %H:%M}" for one in wrong if one.startswith(name)]
        rows.append(_Row(when, tuple(values.values())))
    mends = {
        "temp_": "Check the column and its unit: one in Fahrenheit is called temp_f.",
        "rh_pct": "Write relative humidity in percent, as 95 and not 0.95.",
    }
    words = {"temp_": "temperatures", "rh_pct": "humidities"}
    for name, those in impossible.items():
        if len(those) > max(1, number("inputs.impossible_weather_most_frac") * len(sheet.rows)):
            what = f"{len(those)} rows have impossible {words[name]}, the first {those[0]}"
            mend = f"{mends[name]} Leave cells without a value empty."
            faults.append(InputError(what, where=sheet.file, mend=mend))
    raise_all(files.at_most(faults, sheet.file))
    notes = columns_of.twice(sheet, found)
    if refused:
        notes.append(Said("inputs.weather_refused", file=sheet.file, count=len(refused), first=refused[0]))
    return rows, notes


def _moment(text: str) -> datetime:
    """Read a day and its hour; the hour 24:00 ends the day."""
    if ":" not in text and "T" not in text:
        raise ValueError(f"{dates.shown(text)} is no day with its hour")
    ends_the_day = _END_OF_DAY.search(text) is not None
    try:
        dates.of_records(_END_OF_DAY.sub("00:00", text))  # in no other year does every clock know it
        found = dates.stamp(_END_OF_DAY.sub("00:00", text))
        return found + timedelta(days=1) if ends_the_day else found
    except (ValueError, OverflowError):
        raise ValueError(f"{dates.shown(text)} is no day with its hour") from None


def _ranges() -> dict[str, tuple[float, float]]:
    temp_low, temp_high = numbers("inputs.temperature_range_c").tolist()
    rh_low, rh_high = numbers("inputs.rh_range_pct").tolist()
    return {
        "temp_c": (temp_low, temp_high),
        "rh_pct": (rh_low, rh_high),
        "wind_m_s": (0.0, number("inputs.wind_most_m_s")),
        "rain_mm": (0.0, number("inputs.rain_most_mm_h")),
    }


def _possible(values: dict[str, float], wrong: list[str], ranges: Mapping[str, tuple[float, float]]) -> None:
    """Refuse what cannot be; NaN stands for it. A little above 100 % is a wet sensor's 100 %."""
    for name, (low, high) in ranges.items():
        if not math.isnan(values[name]) and not low <= values[name] <= high:
            wrong.append(f"{name} {values[name]:.4g}")
            values[name] = math.nan
    values["rh_pct"] = min(values["rh_pct"], 100.0) if values["rh_pct"] > 100 else values["rh_pct"]


def _placed(rows: Sequence[_Row], clock: tzinfo, file: str) -> tuple[list[_Row], list[Said]]:
    """Bring each row to the farm's clock, which skips an hour once a year and shows one twice.

    A skipped hour is no time. Of two rows of one time in the doubled hour the earlier is the first in the
    file, or the second in a file that runs backwards.
    """
    placed: list[_Row] = []
    skipped: list[datetime] = []
    seen: set[datetime] = set()
    plain = [row.when.replace(tzinfo=None) for row in rows]
    runs_back = sum(later < one for one, later in pairwise(plain)) > len(plain) / 2
    for row in rows:
        if row.when.tzinfo is not None:
            placed.append(_Row(row.when.astimezone(clock), row.values))
            continue
        first, second = (row.when.replace(tzinfo=clock, fold=fold) for fold in (0, 1))
        if first.utcoffset() == second.utcoffset():
            placed.append(_Row(first, row.values))
        elif first.astimezone(UTC).astimezone(clock).replace(tzinfo=None, fold=0) != row.when:
            skipped.append(row.when)
        else:
            placed.append(_Row(second if (row.when in seen) != runs_back else first, row.values))
            seen.add(row.when)
    if not skipped:
        return placed, []
    return placed, [Said("inputs.hourly_skipped", file=file, rows=len(skipped), first=min(skipped))]


def _by_hour(rows: Sequence[_Row], file: str) -> tuple[dict[datetime, tuple[float, ...]], list[Said]]:
    """Put the rows in order, and those of one hour together; the key is the hour's beginning in UTC."""
    at_once: dict[datetime, _Row] = {}
    twice: list[datetime] = []
    for row in rows:
        moment = row.when.astimezone(UTC)
        if moment in at_once:
            twice.append(row.when)
        at_once.setdefault(moment, row)
    hours: dict[datetime, list[tuple[float, ...]]] = {}
    for moment in sorted(at_once):
        row = at_once[moment]
        past = timedelta(minutes=row.when.minute, seconds=row.when.second, microseconds=row.when.microsecond)
        hours.setdefault(moment - past, []).append(row.values)
    notes = []
    if twice:
        notes.append(Said("inputs.hourly_twice", file=file, count=len(twice), first=min(twice)))
    several = sum(len(those) > 1 for those in hours.values())
    if several:
        notes.append(Said("inputs.hourly_averaged", file=file, hours=several))
    return {begins: _together(those) for begins, those in hours.items()}, notes


def _together(those: Sequence[tuple[float, ...]]) -> tuple[float, ...]:
    """Average what is known of one hour; its rain is known only if all of it is."""
    if len(those) == 1:
        return those[0]
    found = []
    for name, values in zip(_COLUMNS, zip(*those, strict=True), strict=True):
        known = values if name == "rain_mm" else [one for one in values if not math.isnan(one)]
        total = math.fsum(known)
        found.append(total if name == "rain_mm" else total / len(known) if known else math.nan)
    return tuple(found)
