"""One chart of the daily weather: this season's temperatures over those of past years, and its rain."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from zoning import colours, units
from zoning.inputs import files
from zoning.inputs.given import Weather
from zoning.inputs.grid import Floats
from zoning.inputs.planted.sown import season_of
from zoning.inputs.weather_files import weather
from zoning.preview.drawn import framed
from zoning.preview.known import Known

KIND = "12_weather"
_NORTH, _SOUTH = (4, 10), (10, 4)  # first and last month that are shown
_BOX, _BELOW = (0.08, 0.33, 0.88, 0.44), (0.08, 0.12, 0.88, 0.16)  # of temperatures, of rain


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Season:
    """Days of a season, its values on each, and the lowest and highest of past years; NaN is not known."""

    days: tuple[date, ...]
    tmin_c: Floats
    tmax_c: Floats
    rain_mm: Floats
    lowest_c: Floats
    highest_c: Floats
    years: int


def chart(known: Known) -> tuple[str, tuple[str, ...], bytes] | None:
    """Draw the daily weather; None where there is none.

    Returns
    -------
    str, tuple of str, bytes
        The file, what is said of it, and a PNG.

    Raises
    ------
    InputError
        When the file cannot be read.
    """
    wanted = known.settings.weather
    named = "weather.daily" in known.settings.origin
    if not named and not known.settings.path("weather.daily", wanted.daily).exists():
        return None
    path = files.find(known.settings, "weather.daily", wanted.daily)
    ahead = files.find(known.settings, "weather.forecast", wanted.forecast) if wanted.forecast else None
    daily, _ = weather.shared(path, known.today, columns=wanted.columns, forecast=ahead)
    latitude = known.edge.latitude_deg
    season = season_of(known.settings, known.today, latitude)
    found = of_season(daily, season, is_south=latitude < 0)
    lines = _lines(known, daily, found, season)
    return wanted.daily, lines, _png(wanted.daily, lines, found, is_metric=known.is_metric)


def of_season(daily: Weather, season: int, *, is_south: bool) -> Season:
    """Lay the records of a season over those of other years, day by day of the calendar.

    Parameters
    ----------
    daily : Weather
    season : int
        Year of harvest.
    is_south : bool
        South of the equator the season begins in the year before.
    """
    first_month, last_month = _SOUTH if is_south else _NORTH
    first = date(season - is_south, first_month, 1)
    last = date(season, last_month + 1, 1) - timedelta(days=1)
    days = tuple(first + timedelta(days=step) for step in range((last - first).days + 1))
    by_day = {int(day): row for row, day in enumerate(daily.day)}
    rows = [by_day.get(day.toordinal()) for day in days]
    past = [_past(by_day, daily, day) for day in days]
    known_past = [np.array(one) for one in past]
    return Season(
        days=days,
        tmin_c=_at(daily.tmin_c, rows),
        tmax_c=_at(daily.tmax_c, rows),
        rain_mm=_at(daily.rain_mm, rows),
        lowest_c=np.array([_known(one[:, 0]).min(initial=np.inf) for one in known_past]),
        highest_c=np.array([_known(one[:, 1]).max(initial=-np.inf) for one in known_past]),
        years=max((len(_known(one[:, 0])) for one in known_past), default=0),
    )


def _past(by_day: Mapping[int, int], daily: Weather, day: date) -> list[tuple[float, float]]:
    """Give the temperatures of one day of the calendar in every earlier year."""
    first = date.fromordinal(int(daily.day[0])).year if len(daily.day) else day.year
    found = [(np.nan, np.nan)]
    for year in range(first, day.year):
        row = by_day.get(date(year, day.month, min(day.day, 28) if day.month == 2 else day.day).toordinal())
        if row is not None:
            found.append((float(daily.tmin_c[row]), float(daily.tmax_c[row])))
    return found


def _at(values: Floats, rows: list[int | None]) -> Floats:
    return np.array([np.nan if row is None else values[row] for row in rows], dtype=np.float64)


def _known(values: Floats) -> Floats:
    return values[np.isfinite(values)]


def _lines(known: Known, daily: Weather, found: Season, season: int) -> tuple[str, ...]:
    there = np.isfinite(found.tmin_c) & np.isfinite(found.tmax_c)
    if not there.any():
        return ("daily weather", f"no day of season {season} is in it")
    shown = [day for day, one in zip(found.days, there, strict=True) if one]
    inside = sum(shown[0] <= day <= shown[-1] for day in found.days) - len(shown)
    gap = f", {inside} days between are not known" if inside else ""
    past = f"; grey: {found.years} earlier years" if found.years else "; no earlier year"
    if daily.forecast_until is not None:
        past += f"; forecast until {daily.forecast_until}"
    return ("daily weather", f"{shown[0]} to {shown[-1]}{gap}{past}")


def _png(file: str, lines: tuple[str, ...], found: Season, *, is_metric: bool) -> bytes:
    turned = np.vectorize(lambda one: one if is_metric else units.f_from_c(one), otypes=[float])
    at = np.arange(len(found.days))
    with framed(file, lines) as (frame, drawn):
        axes = frame.figure.add_axes(_BOX)
        past = np.isfinite(found.lowest_c) & np.isfinite(found.highest_c)
        low, high = (np.where(past, one, np.nan) for one in (found.lowest_c, found.highest_c))
        axes.fill_between(at, turned(low), turned(high), color=colours.LINE, linewidth=0)
        axes.plot(at, turned(found.tmax_c), color=colours.ZONES[5], linewidth=1.3)
        axes.plot(at, turned(found.tmin_c), color=colours.ZONES[0], linewidth=1.3)
        _tidy(axes, found, "C" if is_metric else "F")
        axes.set_xticklabels([])
        if np.isfinite(found.rain_mm).any():
            below = frame.figure.add_axes(_BELOW)
            rain = found.rain_mm if is_metric else np.vectorize(units.in_from_mm)(found.rain_mm)
            below.bar(at, np.nan_to_num(rain), width=1.0, color=colours.ZONES[0])
            _tidy(below, found, "rain, mm" if is_metric else "rain, in")
        else:
            axes.set_xticklabels(_months(found)[1])
        keys = (
            ("highest of the day", colours.ZONES[5]),
            ("lowest", colours.ZONES[0]),
            ("earlier years", colours.LINE),
        )
        left = 0.5
        for text, fill in keys:
            look: dict[str, Any] = {"color": fill, "linewidth": 3}
            frame.page.axes.plot([left, left + 0.25], [0.18, 0.18], **look)
            frame.page.write((left + 0.32, 0.14), text, 8.5)
            left += 0.6 + frame.page.width(text, 8.5)
    return drawn.getvalue()


def _months(found: Season) -> tuple[list[int], list[str]]:
    firsts = [(at, day) for at, day in enumerate(found.days) if day.day == 1]
    return [at for at, _ in firsts], [f"{day:%b}" for _, day in firsts]


def _tidy(axes: Axes, found: Season, unit: str) -> None:
    places, names = _months(found)
    axes.set_xlim(-0.5, len(found.days) - 0.5)
    axes.set_xticks(places)
    axes.set_xticklabels(names)
    axes.tick_params(labelsize=8, colors=colours.INK, width=0.6, length=3)
    axes.grid(axis="y", color=colours.LINE, linewidth=0.5)
    axes.set_axisbelow(True)
    axes.set_title(unit, size=8.5, loc="left", color=colours.SECONDARY, pad=3)
    for side in axes.spines.values():
        side.set_color(colours.LINE)
