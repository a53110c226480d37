"""Which days are asked for, one request after the other; what is kept beside the farm is not asked again."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode

from zoning.errors import InputError
from zoning.fetch import addresses
from zoning.fetch.session import Session
from zoning.fetch.weather import cache, daily, forecast
from zoning.fetch.weather.daily import Day, Span
from zoning.fetch.weather.forecast import Hour
from zoning.fetch.weather.place import Place
from zoning.fetch.weather.services import Service

_NO_PLACE = 404


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The days of a service, of every day that was wanted; and how many of its answers were there before."""

    by_day: Mapping[date, Day]
    answers: int
    kept: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Asker:
    """Who asks: for which place, where answers are kept, on which day by the clock, and whom it tells."""

    service: Service
    place: Place
    home: Path
    clock: date
    session: Session
    tell: Callable[[str], None]


def spans(service: Service, years: int, today: date, latitude_deg: float) -> tuple[Span, ...]:
    """List what is asked for: past years and this one to today, no request longer than the service allows.

    Parameters
    ----------
    service : Service
        Who is asked.
    years : int
        How many past ones.
    today : date
        The last day.
    latitude_deg : float
        In the south a season begins in the year before the one in which it ends, so a year more is asked for.

    Examples
    --------
    >>> from zoning.fetch.weather.services import table
    >>> power = table()["nasa_power"]
    >>> [str(one.first) for one in spans(power, 2, date(2026, 7, 8), 44.3)]
    ['2024-01-01', '2025-01-01', '2026-01-01']
    >>> len(spans(power, 2, date(2026, 1, 8), -31.9)), spans(power, 2, date(2026, 1, 8), -31.9)[-1].last.day
    (4, 8)
    """
    oldest = today.year - years - (latitude_deg < 0)
    found: list[Span] = []
    for year in range(max(oldest, service.oldest.year), today.year + 1):
        first = max(date(year, 1, 1), service.oldest)
        last = min(date(year, 12, 31), today)
        while first <= last:
            until = min(last, first + timedelta(days=service.most_days - 1))
            found.append(Span(first=first, last=until))
            first = until + timedelta(days=1)
    return tuple(found)


def days(asker: Asker, wanted: tuple[Span, ...]) -> Days:
    """Get the days of some spans, in order; each answer is kept as soon as it has come.

    Raises
    ------
    InputError
        Code 4, when the service does not answer, or answers something else; what came before is kept.
    """
    found, kept = dict[date, Day](), 0
    for at, span in enumerate(wanted, start=1):
        path = cache.path_of(asker.home, asker.service, asker.place, span.first)
        here = _kept(asker, path, span)
        if here is None:
            asker.tell(f"asking {asker.service.key} for {_in_words(span)} ({at} of {len(wanted)})")
            here = _asked(asker, path, span)
        else:
            kept += 1
        found |= {day: values for day, values in here.items() if span.first <= day <= span.last}
    return Days(by_day=found, answers=len(wanted), kept=kept)


def hours(asker: Asker) -> Mapping[datetime, Hour] | None:
    """Get the hours to come; None where the service knows no such place. They are asked for anew each time.

    Raises
    ------
    InputError
        As `days`.
    """
    address, query, _ = question(asker.service, asker.place, None)
    asker.tell(f"asking {asker.service.key} for the hours to come")
    answer = asker.session.get(address, query, asker.service.key)
    if answer.status == _NO_PLACE:
        return None
    onward = forecast.next_address(answer, asker.service, asker.place)
    if addresses.host(onward) != addresses.host(address):
        raise daily.fault(asker.service, f"an address on another host, {addresses.without_secrets(onward)}")
    return forecast.read(asker.session.get(onward, {}, asker.service.key), asker.service)


def question(service: Service, place: Place, span: Span | None) -> tuple[str, dict[str, str], str]:
    """Put a question together: the address, the query, and both as a text without the days."""
    filled = {
        # without zeros behind: some services send such an address on
        "{latitude}": f"{round(place.latitude_deg, service.decimals):.10g}",
        "{longitude}": f"{round(place.longitude_deg, service.decimals):.10g}",
        "{names}": ",".join(one.name for one in service.columns.values()),
    }
    of_days = (
        {}
        if span is None
        else {
            "{first}": span.first.strftime(service.day_form),
            "{last}": span.last.strftime(service.day_form),
        }
    )
    address = _filled(service.address, filled)
    same = {key: _filled(text, filled) for key, text in service.query.items()}
    asked = f"{address}?{urlencode(same)}" if same else address
    return address, {key: _filled(text, of_days) for key, text in same.items()}, asked


def _filled(text: str, values: Mapping[str, str]) -> str:
    for name, value in values.items():
        text = text.replace(name, value)
    return text


def _kept(asker: Asker, path: Path, span: Span) -> Mapping[date, Day] | None:
    """Give the days of an answer that is kept, where asking again would bring nothing new."""
    kept = cache.kept(path)
    _, _, asked = question(asker.service, asker.place, span)
    if kept is None or kept.asked != asked or not kept.holds(span, asker.clock, asker.service):
        return None
    try:
        found = daily.read(kept.answer, asker.service, asker.place, kept.span)
    except InputError:  # it was read by another entry of that name
        return None
    is_empty = all(math.isnan(value) for day in found.values() for value in day)
    return None if is_empty and kept.got < asker.clock else found


def _asked(asker: Asker, path: Path, span: Span) -> Mapping[date, Day]:
    address, query, asked = question(asker.service, asker.place, span)
    answer = asker.session.get(address, query, asker.service.key)
    found = daily.read(answer, asker.service, asker.place, span)
    cache.keep(path, cache.Kept(span=span, got=asker.clock, asked=asked, answer=answer))
    return found


def _in_words(span: Span) -> str:
    year = span.first.year
    is_year = (span.first, span.last) == (date(year, 1, 1), date(year, 12, 31))
    return str(year) if is_year else f"{span.first} to {span.last}"
