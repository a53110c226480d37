"""Which hours are spray hours by an hourly file or by the files of a farm: asked, read, judged.

Nothing is planned here, and how the answer is written is decided elsewhere.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from pathlib import Path

import numpy as np
import numpy.typing as npt

from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import dates, files
from zoning.inputs.ground import boundary
from zoning.inputs.weather_files import hourly_files
from zoning.passes.hours.ahead import joined
from zoning.passes.hours.counts import DayCounts, RuleCount, by_day, by_rule
from zoning.passes.hours.limits import HourLimits, limits_for, limits_of
from zoning.passes.hours.rules import CAUTIONS, Judged, judge
from zoning.settings.model import Settings
from zoning.settings.read import fields_of, is_farm, load
from zoning.words import Said

WHERE = "sprayworth hours"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursTyped:
    """What was typed: a place and a label for a file; for a folder its own files say both.

    None and "" where nothing was typed.
    """

    latitude_deg: float | None = None
    longitude_deg: float | None = None
    time_zone: str = ""
    wind_height_m: float | None = None
    max_wind_mph: float | None = None
    droplet: str = ""
    rainfast_h: float | None = None
    first: date | None = None
    last: date | None = None
    metric: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoursAnswer:
    """The judged hours of some days, and what the judgement rests on.

    `inside` marks the hours of the asked days among those that were judged. `files` are those that were read,
    `labelled` tells whether any limit is that of a label.
    """

    judged: Judged
    inside: npt.NDArray[np.bool_]
    first: date
    last: date
    limits: HourLimits
    latitude_deg: float
    longitude_deg: float
    metric: bool
    files: str
    labelled: bool
    notes: tuple[Said, ...]

    @property
    def days(self) -> tuple[date, ...]:
        """The asked days."""
        count = (self.last - self.first).days + 1
        return tuple(self.first + timedelta(place) for place in range(count))

    @property
    def counts(self) -> DayCounts:
        """Spray hours of every day that was judged."""
        return by_day(self.judged)

    @property
    def rules(self) -> tuple[RuleCount, ...]:
        """What every rule does to the asked hours."""
        return by_rule(self.judged, self.inside)

    @property
    def cautions(self) -> dict[str, int]:
        """Spray hours with each caution."""
        mine = self.inside & self.judged.usable
        found = {one: int((self.judged.cautions[one] & mine).sum()) for one in CAUTIONS}
        return {one: hours for one, hours in found.items() if hours}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    latitude_deg: float
    longitude_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _By:
    files: str
    labelled: bool
    notes: tuple[Said, ...]


def hours_of(path: Path, typed: HoursTyped, *, today: date | None, clock: date) -> HoursAnswer:
    """Judge the hours of a file, or of the files of a farm or field.

    Parameters
    ----------
    path : Path
        An hourly CSV file; then a place must be typed. Or a folder; then nothing but days may be.
    typed : HoursTyped
        What was typed.
    today : date or None
        Rows of the record after it are ignored (not those of a file that is asked by itself).
    clock : date
        Today, where nobody says otherwise.

    Raises
    ------
    InputError
        What is missing or contradicts itself, and what is wrong with the files.
    """
    if path.is_dir():
        return _of_folder(path, typed, today, clock)
    return _of_file(path, typed)


def _of_file(path: Path, typed: HoursTyped) -> HoursAnswer:
    if typed.latitude_deg is None or typed.longitude_deg is None:
        mend = "Give --lat and --lon of the place, for sunrise and sunset."
        raise InputError("a file does not say where it was measured", where=WHERE, mend=mend, code=SETTINGS)
    place = _Place(latitude_deg=typed.latitude_deg, longitude_deg=typed.longitude_deg)
    read = hourly_files.read(
        hourly_files.Asked(
            record=None,
            forecast=path,  # asked by itself, every row counts, whatever day it is
            today=date.min,
            clock=dates.clock(typed.time_zone, place.longitude_deg),
            longitude_deg=place.longitude_deg,
        )
    )
    height_m = number("settings.wind_height") if typed.wind_height_m is None else typed.wind_height_m
    limits = limits_of(
        wind_height_m=height_m,
        max_wind_mph=typed.max_wind_mph,
        droplet=typed.droplet,
        rainfast_h=typed.rainfast_h,
    )
    by = _By(
        files=path.name,
        labelled=typed.max_wind_mph is not None or typed.rainfast_h is not None,
        notes=_clock_said(typed.time_zone),
    )
    return _answer(read, place, limits, typed, by)


def _of_folder(folder: Path, typed: HoursTyped, today: date | None, clock: date) -> HoursAnswer:
    _refuse_beside(typed)
    many = is_farm(folder) and not (folder / "field.toml").exists()
    fields = fields_of(folder) if many else (folder,)
    if not fields:
        mend = "Put each field into a folder of its own with a field.toml, or name the hourly file itself."
        raise InputError("the farm has no field", where=folder.name, mend=mend, code=SETTINGS)
    settings = load(fields[0])
    on = today or settings.as_of or clock
    place = _place(settings, many)
    asked = hourly_files.of_settings(settings, on, place.longitude_deg, partial(files.find, settings))
    if asked.record is None and asked.forecast is None:
        mend = "Name it there (time, temp_c, rh_pct, wind_m_s, rain_mm), or ask for a file by itself."
        raise InputError("no hourly file is named", where="[weather] hourly", mend=mend, code=SETTINGS)
    read = hourly_files.read(asked)
    limits = limits_for(settings)
    named = [one for one in (settings.weather.hourly, settings.weather.hourly_forecast) if one]
    notes = [*_clock_said(settings.time_zone)]
    apart = [one.name for one in fields[1:] if _differs(load(one), settings)] if many else []
    notes += [Said("hours.fields_apart", fields=", ".join(apart), first=fields[0].name)] if apart else []
    from_today = typed.first or (on if read.forecast is not None and read.forecast.day.size else None)
    wanted = HoursTyped(first=from_today, last=typed.last, metric=settings.units == "metric" or typed.metric)
    by = _By(files=" and ".join(named), labelled=settings.product is not None, notes=tuple(notes))
    return _answer(read, place, limits, wanted, by)


def _refuse_beside(typed: HoursTyped) -> None:
    beside = {
        "--lat": typed.latitude_deg is not None,
        "--lon": typed.longitude_deg is not None,
        "--time-zone": bool(typed.time_zone),
        "--wind-height": typed.wind_height_m is not None,
        "--max-wind": typed.max_wind_mph is not None,
        "--droplet": bool(typed.droplet),
        "--rainfast": typed.rainfast_h is not None,
    }
    given = [name for name, is_given in beside.items() if is_given]
    if given:
        what = f"a folder is given and also {', '.join(given)}"
        mend = "Leave one of them out; the files of a farm or field say all this."
        raise InputError(what, where=WHERE, mend=mend, code=SETTINGS)


def _place(settings: Settings, many: bool) -> _Place:
    """Where the farm's sprayer stands, or the field."""
    base = next((one.base for one in settings.sprayers if one.base is not None), None) if many else None
    if base is not None:
        return _Place(latitude_deg=base[0], longitude_deg=base[1])
    file = settings.boundary.file
    edge = boundary.read(files.find(settings, "boundary.file", file), file)
    return _Place(latitude_deg=edge.latitude_deg, longitude_deg=edge.longitude_deg)


def _differs(one: Settings, other: Settings) -> bool:
    """Whether another field of the farm has weather or label limits of its own."""
    mine, theirs = (
        (
            each.weather,
            each.path("weather.hourly", each.weather.hourly or ""),
            each.product and (each.product.max_wind_mph, each.product.droplet, each.product.rainfast_h),
        )
        for each in (one, other)
    )
    return mine != theirs


def _clock_said(time_zone: str) -> tuple[Said, ...]:
    return () if time_zone else (Said("hours.clock_by_longitude"),)


def _answer(
    read: hourly_files.Hours, place: _Place, limits: HourLimits, typed: HoursTyped, by: _By
) -> HoursAnswer:
    hourly = joined(read.record, read.forecast)
    if hourly is None or hourly.utc_h.size == 0:
        mend = "Give a file that holds hours of the days that are asked for."
        raise InputError("there are no hours up to today", where=WHERE, mend=mend)
    judged = judge(hourly, place.latitude_deg, place.longitude_deg, limits)
    begins, ends = (date.fromordinal(int(judged.hourly.day[at])) for at in (0, -1))
    last = min(typed.last or ends, ends)
    shown_d = int(number("passes.hours_shown_d"))
    first = max(typed.first or last - timedelta(shown_d - 1), begins)
    if first > last:
        what = f"no hour lies in the days that are asked for: the file holds {begins} to {ends}"
        raise InputError(what, where=WHERE, mend="Ask for other days with --from and --to.", code=SETTINGS)
    inside = (judged.hourly.day >= first.toordinal()) & (judged.hourly.day <= last.toordinal())
    part = [] if typed.first or first == begins else [Said("hours.last_days", days=shown_d)]
    return HoursAnswer(
        judged=judged,
        inside=inside,
        first=first,
        last=last,
        limits=limits,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        metric=typed.metric,
        files=by.files,
        labelled=by.labelled,
        notes=(*read.notes, *by.notes, *part),
    )
