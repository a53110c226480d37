"""The days and hours as rows of a file: gaps, what fills them, the rows of a file of the user's own."""

import csv
import io
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from zoning import units
from zoning.fetch.weather.daily import Day
from zoning.fetch.weather.forecast import Hour
from zoning.fetch.weather.services import DAILY, HOURLY
from zoning.inputs.given import Weather

OWN, FILLED = "own", "filled"  # in the column `source`, beside the name of a service
_DIGITS = 2
# A name that a column may have -> what makes its unit of ours; the others hold our units.
_WRITTEN: dict[str, Callable[[float], float]] = {
    "tmin_f": units.f_from_c,
    "tmax_f": units.f_from_c,
    "temp_f": units.f_from_c,
    "rain_in": units.in_from_mm,
    "wind_mph": lambda wind_m_s: wind_m_s / units.m_s_from_mph(1),
    "wind_km_h": lambda wind_m_s: wind_m_s / units.m_s_from_kmh(1),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One day [C, mm]; `source` is the name of a service, `own` or `filled`."""

    values: Day
    source: str

    @property
    def has_temperatures(self) -> bool:
        """Whether both are known."""
        return not (math.isnan(self.values[0]) or math.isnan(self.values[1]))


Rows = Mapping[date, Row]


def of_service(by_day: Mapping[date, Day], name: str) -> dict[date, Row]:
    """Give the days of a service as rows, up to the last one of which it knows the temperatures.

    Examples
    --------
    >>> unknown = (math.nan, math.nan, math.nan)
    >>> july = {date(2026, 7, 1): (12.0, 25.0, 0.0), date(2026, 7, 2): unknown}
    >>> [day.day for day in of_service(july, "nasa_power")]
    [1]
    """
    every = {day: Row(values=values, source=name) for day, values in sorted(by_day.items())}
    last = max((day for day, row in every.items() if row.has_temperatures), default=None)
    return {day: row for day, row in every.items() if last is not None and day <= last}


def with_own(rows: Rows, own: Weather) -> dict[date, Row]:
    """Keep the days of a file of the user's own; others, and what it lacks of a day, are taken from `rows`.

    A day without both of its temperatures takes both from the service, so that none lies above the other.
    """
    found = dict(rows)
    columns = zip(
        own.day.tolist(), own.tmin_c.tolist(), own.tmax_c.tolist(), own.rain_mm.tolist(), strict=True
    )
    for ordinal, tmin_c, tmax_c, rain_mm in columns:
        day = date.fromordinal(ordinal)
        mine = Row(values=(tmin_c, tmax_c, rain_mm), source=OWN)
        other = found.get(day, mine)
        rain_mm = other.values[2] if math.isnan(rain_mm) else rain_mm
        used = other if other.has_temperatures and not mine.has_temperatures else mine
        found[day] = Row(values=(used.values[0], used.values[1], rain_mm), source=used.source)
    return dict(sorted(found.items()))


def gaps(rows: Rows) -> tuple[date, ...]:
    """List the days without temperatures between the first and the last row; there is at least one."""
    first, last = min(rows), max(rows)
    every = (first + timedelta(days=at) for at in range((last - first).days + 1))
    return tuple(day for day in every if day not in rows or not rows[day].has_temperatures)


def filled(rows: Rows, most_d: int) -> dict[date, Row]:
    """Fill gaps of some days by a straight line between the days around them; rain stays unknown.

    Parameters
    ----------
    rows : mapping of date to Row
    most_d : int
        Longer gaps stay.

    Examples
    --------
    >>> def row(low, high): return Row(values=(low, high, 0.0), source="nasa_power")
    >>> june = {date(2026, 6, 1): row(10.0, 20.0), date(2026, 6, 4): row(13.0, 26.0)}
    >>> filled(june, 2)[date(2026, 6, 2)].values[:2], filled(june, 1) == june
    ((11.0, 22.0), True)
    """
    found, known = dict(rows), [day for day, row in rows.items() if row.has_temperatures]
    for day in gaps(rows):
        before = max((one for one in known if one < day), default=None)
        after = min((one for one in known if one > day), default=None)
        if before is None or after is None or (after - before).days - 1 > most_d:
            continue
        share = (day - before) / (after - before)
        ends = zip(rows[before].values[:2], rows[after].values[:2], strict=True)
        tmin_c, tmax_c = (one + share * (other - one) for one, other in ends)
        rain_mm = rows[day].values[2] if day in rows else math.nan
        found[day] = Row(values=(tmin_c, tmax_c, rain_mm), source=FILLED)
    return dict(sorted(found.items()))


def daily_text(rows: Rows, columns: Mapping[str, str]) -> str:
    """Write days as CSV, under the names and in the units that the settings expect.

    Parameters
    ----------
    rows : mapping of date to Row
    columns : mapping of str to str
        `[weather] columns`: ours, with its unit, -> the name in the file.

    Examples
    --------
    >>> july = {date(2026, 7, 1): Row(values=(10.0, 25.0, math.nan), source="nasa_power")}
    >>> print(daily_text(july, {"tmin_f": "Low", "tmax_f": "High"}), end="")
    date,Low,High,rain_mm,source
    2026-07-01,50,77,,nasa_power
    """
    names = _names("date", (("tmin_c", "tmin_f"), ("tmax_c", "tmax_f"), ("rain_mm", "rain_in")), columns)
    lines = ((str(day), dict(zip(DAILY, row.values, strict=True)), row.source) for day, row in rows.items())
    return _text(names, lines)


def hourly_text(hours: Mapping[datetime, Hour], columns: Mapping[str, str], name: str) -> str:
    """Write hours as CSV, their times in UTC, as `daily_text` writes days."""
    several = (
        ("temp_c", "temp_f"),
        ("rh_pct",),
        ("wind_m_s", "wind_mph", "wind_km_h"),
        ("rain_mm", "rain_in"),
    )
    names = _names("time", several, columns)
    lines = (
        (f"{when:%Y-%m-%dT%H:%MZ}", dict(zip(HOURLY, values, strict=True)), name)
        for when, values in hours.items()
    )
    return _text(names, lines)


def _names(
    stamp: str, several: tuple[tuple[str, ...], ...], columns: Mapping[str, str]
) -> dict[str, tuple[str, str]]:
    """Give the columns of a file: the name there -> which of our names that is, and what it is of."""
    found = {columns.get(stamp, stamp): (stamp, stamp)}
    for ours in several:
        typed = [name for name in ours if name in columns] or [ours[0]]
        found |= {columns.get(name, name): (name, ours[0]) for name in typed}
    return found


def _text(names: Mapping[str, tuple[str, str]], lines: Iterable[tuple[str, dict[str, float], str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*names, "source"])
    for stamp, values, source in lines:
        cells = [
            stamp if of not in values else _cell(_WRITTEN.get(name, float)(values[of]))
            for name, of in names.values()
        ]
        writer.writerow([*cells, source])
    return out.getvalue()


def _cell(value: float) -> str:
    return "" if math.isnan(value) else f"{round(value, _DIGITS) + 0.0:.{_DIGITS}f}".rstrip("0").rstrip(".")
