"""Hourly weather of a farm: its record up to today, and a forecast that reaches further.

One column or clock at a time is read elsewhere; here both files meet, and what cannot be is refused.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, tzinfo
from functools import lru_cache
from pathlib import Path

import numpy as np

from zoning.errors import InputError, raise_all
from zoning.inputs import dates
from zoning.inputs.given import Hourly
from zoning.inputs.grid import frozen
from zoning.inputs.weather_files import hourly, hourly_doubts
from zoning.settings.model import Settings
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which files, how their columns are called, and the clock and longitude of the farm.

    `longitude_deg` is None where no place is known; then the clock is not judged.
    """

    record: Path | None
    forecast: Path | None
    today: date
    clock: tzinfo
    longitude_deg: float | None
    columns: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hours:
    """The record up to today, the hours of the forecast after its end, and what is doubtful."""

    record: Hourly | None
    forecast: Hourly | None
    notes: tuple[Said, ...]


def of_settings(
    settings: Settings, today: date, longitude_deg: float | None, find: Callable[[str, str], Path]
) -> Asked:
    """Ask for the files that were named.

    Parameters
    ----------
    settings : Settings
        Which files, which clock.
    today : date
        Later rows of the record are ignored.
    longitude_deg : float or None
        East positive, None where it is not known. [deg]
    find : callable
        Gives the path of a file by its key and its name.
    """
    wanted = settings.weather
    named = wanted.hourly or wanted.hourly_forecast
    return Asked(
        record=find("weather.hourly", wanted.hourly) if wanted.hourly else None,
        forecast=find("weather.hourly_forecast", wanted.hourly_forecast) if wanted.hourly_forecast else None,
        today=today,
        # a clock that nobody reads by need not be known
        clock=dates.clock(settings.time_zone, longitude_deg or 0.0) if named else UTC,
        longitude_deg=longitude_deg,
        columns=wanted.hourly_columns,
    )


def read(asked: Asked) -> Hours:
    """Read record and forecast.

    Raises
    ------
    InputError
        What is wrong with either: a column, a time, values that show another unit or zone.
    """
    faults = list[InputError]()
    notes = list[Said]()
    record = _one(asked, asked.record, asked.today, faults, notes)
    ahead = _one(asked, asked.forecast, None, faults, notes)
    raise_all(faults)
    if ahead is None or asked.forecast is None:
        return Hours(record=record, forecast=None, notes=tuple(notes))
    ends = record.utc_h[-1] if record is not None and record.utc_h.size else -np.inf
    after = _after(ahead, float(ends))
    last = date.fromordinal(int(ahead.day[-1])) if ahead.day.size else None
    if last is None or last < asked.today or not after.utc_h.size:
        notes.append(Said("inputs.hourly_forecast_over", file=asked.forecast.name, last=last))
    return Hours(record=record, forecast=after, notes=tuple(notes))


def _one(
    asked: Asked, path: Path | None, today: date | None, faults: list[InputError], notes: list[Said]
) -> Hourly | None:
    if path is None:
        return None
    try:
        found, said = hourly.shared(path, today, asked.clock, columns=asked.columns)
    except InputError as error:
        faults.extend(error.faults)
        return None
    notes.extend(said)
    wrong = [hourly_doubts.of_wind(found, path.name)]
    if asked.longitude_deg is not None:
        wrong.append(hourly_doubts.of_clock(found, path.name, asked.longitude_deg))
    faults.extend(fault for fault in wrong if fault is not None)
    step = hourly_doubts.of_step(found, path.name)
    notes.extend([step] if step else [])
    return found


@lru_cache(maxsize=8)
def _after(ahead: Hourly, ends_utc_h: float) -> Hourly:
    """Give the hours of a forecast behind the end of the record; fields that share files share these too."""
    names = ("utc_h", "day", "hour", "temp_c", "rh_pct", "wind_m_s", "rain_mm")
    later = ahead.utc_h > ends_utc_h
    return Hourly(**{name: frozen(getattr(ahead, name)[later]) for name in names})
