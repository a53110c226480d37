"""`sprayworth get weather`: the place, the days, the hours, the files, in this order."""

import math
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path

from zoning import __version__
from zoning.errors import WORLD, InputError
from zoning.evidence import number
from zoning.fetch.session import Session
from zoning.fetch.weather import asking, rows, written
from zoning.fetch.weather.asking import Asker
from zoning.fetch.weather.forecast import Hour
from zoning.fetch.weather.place import Home, Place, home_of
from zoning.fetch.weather.services import Service, chosen, table
from zoning.inputs.weather_files import weather
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked for.

    `years` past ones, None for as many as tell the spread; `keep` the rows of a file of the user's own,
    `fill` short gaps, `hourly` forecast too; `service` by its name, `services` a table of the user's own.
    """

    years: int | None = None
    keep: bool = False
    fill: bool = False
    hourly: bool = False
    service: str | None = None
    services: Path | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """The hours to come that were got."""

    service: str
    first: datetime
    last: datetime
    hours: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The days that were got, from `first` to `last`: those without temperatures, filled, and of an own file.

    `answers` counts what was wanted of the service, `kept` what of it lay there from before.
    """

    service: str
    place: Place
    file: str
    first: date
    last: date
    days: int
    gaps: tuple[date, ...]
    filled: tuple[date, ...]
    own_days: int
    answers: int
    kept: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Got:
    """What came of it; `files` names those that changed."""

    home: Home
    today: date
    daily: Days
    hourly: Hours | None
    requests: int
    files: tuple[str, ...]
    notes: tuple[Said, ...]


@dataclass(slots=True, kw_only=True)
class _Run:
    """One call: what is known before anything is asked, and what is to be said."""

    home: Home
    wish: Wish
    today: date
    clock: date
    tell: Callable[[str], None]
    open_session: Callable[[int], Session]
    notes: list[Said] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    requests: int = 0

    def asker(self, service: Service) -> Asker:
        """Make ready to ask a service about the middle of the fields."""
        return Asker(
            service=service,
            place=self.home.place.rounded(service.decimals),
            home=self.home.folder,
            clock=self.clock,
            session=self.open_session(service.most_requests),
            tell=self.tell,
        )

    def about(self, asker: Asker) -> dict[str, object]:
        """Say where something came from; an address is written down without what it was asked."""
        return {
            "written_by": f"sprayworth {__version__}",
            "service": asker.service.key,
            "address": asking.question(asker.service, asker.place, None)[0],
            "terms": asker.service.terms,
            "got": str(self.clock),
            "latitude_deg": asker.place.latitude_deg,
            "longitude_deg": asker.place.longitude_deg,
            "fields": self.home.fields,
        }


def get(
    folder: Path,
    wish: Wish,
    *,
    today: date | None,
    clock: date,
    tell: Callable[[str], None],
    open_session: Callable[[int], Session] = Session,
) -> Got:
    """Get the weather of a farm, or of a field without one, into its folder.

    Parameters
    ----------
    folder : Path
        The farm's or the field's; for a field of a farm that of the farm is got.
    wish : Wish
        What is asked for.
    today : date or None
        The last day; else `as_of` of the settings, else the clock's.
    clock : date
        The day on which it is asked.
    tell : callable
        Is told each step.
    open_session : callable
        Opens a session of so many requests at most.

    Raises
    ------
    InputError
        Code 2: settings, a table of services, a file of the user's own that would be overwritten; 3: a
        boundary; 4: no network, no service, or an answer that is none. What came before is kept in
        `.fetched`, and a file that had to be written is as it was.
    """
    home = home_of(folder)
    services = table(wish.services)
    get_from, where = home.settings.get, home.settings.where
    named, at = (wish.service, "--service") if wish.service else (get_from.weather, where("get.weather"))
    daily = chosen(services, "daily", named, at)
    hourly = chosen(services, "hourly forecast", get_from.hourly_forecast, where("get.hourly_forecast"))
    target = written.daily_target(home, keep=wish.keep)
    hours_to = written.hourly_target(home) if wish.hourly else None
    run = _Run(
        home=home,
        wish=wish,
        today=home.today(today, clock),
        clock=clock,
        tell=tell,
        open_session=open_session,
        notes=list(home.notes),
    )
    days = _days(run, daily, target)
    hours = None if hours_to is None else _hours(run, hourly, hours_to)
    return Got(
        home=home,
        today=run.today,
        daily=days,
        hourly=hours,
        requests=run.requests,
        files=tuple(dict.fromkeys(run.files)),
        notes=tuple(run.notes),
    )


def _days(run: _Run, service: Service, target: written.Target) -> Days:
    """Get the days into their file."""
    asker, own = run.asker(service), target.own
    years = int(number("stage.wanted_years")) if run.wish.years is None else run.wish.years
    wanted = asking.spans(service, years, run.today, run.home.place.latitude_deg)
    came = asking.days(asker, wanted)
    found = _rows(run, rows.of_service(came.by_day, service.key), asker, target)
    days = Days(
        service=service.key,
        place=asker.place,
        file=target.path.name,
        first=min(found),
        last=max(found),
        days=len(found),
        gaps=rows.gaps(found),
        filled=tuple(day for day, row in found.items() if row.source == rows.FILLED),
        own_days=sum(row.source == rows.OWN for row in found.values()),
        answers=came.answers,
        kept=came.kept,
    )
    _say(run, service, years, days)
    about = {
        **run.about(asker),
        "first": str(days.first),
        "last": str(days.last),
        "days": days.days,
        "without_temperatures": [str(day) for day in days.gaps],
        "filled": [str(day) for day in days.filled],
        "own_file": None if own is None else Path(os.path.relpath(own, run.home.folder)).as_posix(),
        "own_days": days.own_days,
    }
    text = rows.daily_text(found, run.home.settings.weather.columns)
    run.files += [path.name for path in written.write(run.home, target, text, "daily", about)]
    run.requests += asker.session.asked
    return days


def _rows(
    run: _Run, found: dict[date, rows.Row], asker: Asker, target: written.Target
) -> dict[date, rows.Row]:
    """Put the days of the service and of the user's own file together, and fill what is to be filled."""
    if target.own is not None:
        own, said = weather.with_notes(target.own, run.today, columns=run.home.settings.weather.columns)
        run.notes += said
        found = rows.with_own(found, own)
        own_days = sum(row.source == rows.OWN for row in found.values())
        run.notes.append(
            Said(
                "fetch.weather_own",
                own=own_days,
                own_file=target.own.name,
                got=len(found) - own_days,
                service=asker.service.key,
                file=target.path.name,
                toml=run.home.toml.name,
            )
        )
    if not found:
        at = f"{asker.place.latitude_deg:g}, {asker.place.longitude_deg:g}"
        what, mend = f"the service knows no day of these years at {at}", "Ask another one (--service)."
        raise InputError(what, where=asker.service.key, mend=mend, code=WORLD)
    return rows.filled(found, int(number("fetch.weather_fill_most_d"))) if run.wish.fill else found


def _say(run: _Run, service: Service, years: int, days: Days) -> None:
    """Say what is doubtful about the days."""
    late_d = (run.today - days.last).days
    if service.oldest.year > run.today.year - years:
        run.notes.append(Said("fetch.weather_oldest", service=service.key, first=service.oldest))
    if late_d > number("inputs.weather_lag_most_d"):
        run.notes.append(Said("fetch.weather_ends", last=days.last, days=late_d, today=run.today))
    if days.gaps:
        code = "fetch.weather_gaps_left" if run.wish.fill else "fetch.weather_gaps"
        most_d = int(number("fetch.weather_fill_most_d"))
        run.notes.append(Said(code, days=len(days.gaps), first=days.gaps[0], most_d=most_d))
    if days.filled:
        run.notes.append(Said("fetch.weather_filled", days=len(days.filled), first=days.filled[0]))


def _hours(run: _Run, service: Service, target: written.Target) -> Hours | None:
    """Get the hours to come into their file."""
    asker, wanted = run.asker(service), run.home.settings.weather
    found = asking.hours(asker)
    run.requests += asker.session.asked
    if found is None:
        run.notes.append(Said("fetch.weather_no_forecast", service=service.key))
        return None
    is_other = wanted.hourly_forecast is not None and not target.is_named
    if is_other:
        run.notes.append(
            Said("fetch.weather_other_forecast", file=target.path.name, named=wanted.hourly_forecast)
        )
        target = written.Target(path=target.path)
    _say_hours(run, service, found)
    first, last = min(found), max(found)
    about = {**run.about(asker), "first": f"{first:%Y-%m-%dT%H:%MZ}", "last": f"{last:%Y-%m-%dT%H:%MZ}"}
    text = rows.hourly_text(found, wanted.hourly_columns, service.key)
    run.files += [path.name for path in written.write(run.home, target, text, "hourly_forecast", about)]
    return Hours(service=service.key, first=first, last=last, hours=len(found))


def _say_hours(run: _Run, service: Service, found: Mapping[datetime, Hour]) -> None:
    """Say what is doubtful about the hours."""
    lacks = [
        name
        for at, name in enumerate(("temperature", "humidity", "wind", "rain"))
        if all(math.isnan(values[at]) for values in found.values())
    ]
    if lacks:
        run.notes.append(Said("fetch.weather_hours_lack", service=service.key, what=" and ".join(lacks)))
    height_m, ours_m = service.wind_height_m, run.home.settings.weather.wind_height_m
    if height_m is not None and height_m != ours_m and "wind" not in lacks:
        run.notes.append(
            Said("fetch.weather_wind_height", service=service.key, height_m=height_m, ours_m=ours_m)
        )
    # the hours are in UTC: where it is evening its next day has begun
    if not min(found).date() - timedelta(days=1) <= run.today <= max(found).date():
        run.notes.append(
            Said(
                "fetch.weather_hours_elsewhen",
                first=min(found).date(),
                last=max(found).date(),
                today=run.today,
            )
        )
