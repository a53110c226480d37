"""What a service answered about days, as values in our units. Asks nobody; what cannot be is a fault.

A shape is how an answer is laid out. A new one is a function here, named in `SHAPES` and in `services`.
"""

import json
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeGuard

from zoning.errors import WORLD, InputError
from zoning.evidence import number, numbers
from zoning.fetch.session import Answer
from zoning.fetch.weather.place import Place
from zoning.fetch.weather.services import DAILY, Service

Day = tuple[float, float, float]  # tmin_c, tmax_c, rain_mm; NaN where it is not known
_MEND = "Nothing of it was used. Run again later, or ask another service (--service)."
_LONGEST = 200  # letters of what a service says about itself


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The days that are asked for at once, both ends included."""

    first: date
    last: date

    def days(self) -> list[date]:
        """List them."""
        return [self.first + timedelta(days=at) for at in range((self.last - self.first).days + 1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """An answer as it is laid out: where it is of, the unit and the values by day of each variable.

    `place` is longitude and latitude, or anything else that the answer has there; so are units and values.
    `fill` is what the answer itself says to stand for values that are not known.
    """

    place: object
    units: Mapping[str, object]
    values: Mapping[str, Mapping[str, object]]
    fill: object = None


def fault(service: Service, what: str) -> InputError:
    """Say what is wrong with an answer: the world refused."""
    return InputError(f"the service answered with {what}", where=service.key, mend=_MEND, code=WORLD)


def read(answer: Answer, service: Service, place: Place, span: Span) -> dict[date, Day]:
    """Read an answer about days.

    Parameters
    ----------
    answer : Answer
        As it came.
    service : Service
        Who was asked.
    place : Place
        The place that was asked for.
    span : Span
        The days that were asked for.

    Returns
    -------
    dict of date to Day
        Every day of the span. [C, mm]

    Raises
    ------
    InputError
        Code 4: it is no answer to the question, or its values cannot be in the unit that it names.
    """
    told = SHAPES[service.shape](whole(answer, service), service)
    same_place(told.place, service, place)
    missing = {one.name for one in service.columns.values()} - told.values.keys()
    if missing:
        raise fault(service, f"no {', '.join(sorted(missing))}")
    columns: dict[str, Mapping[date, float]] = {}
    for column, of in service.columns.items():
        if told.units.get(of.name) != of.unit:
            raise fault(service, f"{of.name} in {short(told.units.get(of.name))} and not in {of.unit}")
        columns[column] = _values(told, service, column, span)
    found = dict[date, Day]()
    for day in span.days():
        tmin_c, tmax_c, rain_mm = (columns.get(name, {}).get(day, math.nan) for name in DAILY)
        found[day] = (tmin_c, tmax_c, rain_mm)
        _possible(service, day, found[day])
    return found


def _name_day(told: Mapping[str, object], service: Service) -> Told:
    """Lay out {"properties": {"parameter": {NAME: {day: value}}}, "parameters": {NAME: {"units": unit}}}."""
    values = table_in(told, service, "properties", "parameter")
    about = table_in(told, service, "parameters")
    header = told.get("header")
    days = {name: one for name, one in values.items() if isinstance(one, Mapping)}
    return Told(
        place=table_in(told, service, "geometry").get("coordinates"),
        units={name: one.get("units") for name, one in about.items() if isinstance(one, Mapping)},
        values=days,
        fill=header.get("fill_value") if isinstance(header, Mapping) else None,
    )


SHAPES: Mapping[str, Callable[[Mapping[str, object], Service], Told]] = {"name, day": _name_day}


def whole(answer: Answer, service: Service) -> Mapping[str, object]:
    """Give the object that an answer holds.

    Raises
    ------
    InputError
        Code 4: it is an error of the service, a page, or half of something.
    """
    told = _object(answer.body)
    if answer.status != 200:
        said = f", and says: {_said(told)}" if _said(told) else ""
        what = f"the service refuses the request ({answer.status}){said}"
        mend = "Check place, days and entry of the service; ask another one with --service."
        raise InputError(what, where=service.key, mend=mend, code=WORLD)
    if told is not None:
        return told
    if "html" in answer.kind or answer.body.lstrip()[:1] == b"<":
        raise fault(service, f"a page in place of data ({short(answer.kind)})")
    if answer.body.lstrip()[:1] == b"{":
        raise fault(service, "an object that breaks off, or is no JSON")
    raise fault(service, f"what is no JSON object ({short(answer.kind)})")


def _object(body: bytes) -> Mapping[str, object] | None:
    try:
        found = json.loads(body.decode("utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _no_number(_text: str) -> float:
    raise ValueError("no number of this world")


def _said(told: Mapping[str, object] | None) -> str:
    """Find what a service says about itself where it refuses."""
    for key in ("messages", "detail", "title", "message", "header"):
        found = (told or {}).get(key)
        found = found[0] if isinstance(found, list) and found else found
        if isinstance(found, str) and found.strip():
            return short(found.strip().rstrip("."))
    return ""


def table_in(told: Mapping[str, object], service: Service, *steps: str) -> Mapping[str, object]:
    """Give the object that lies in an answer at some steps, or the fault that there is none."""
    found: object = told
    for step in steps:
        found = found.get(step) if isinstance(found, Mapping) else None
    if not isinstance(found, Mapping):
        raise fault(service, f"no {'.'.join(steps)}")
    return found


def same_place(told: object, service: Service, place: Place) -> None:
    """Refuse an answer about another place; `told` is longitude and latitude, if it is anything."""
    at = told[:2] if isinstance(told, list) else []
    if len(at) < 2 or not all(is_number(one) for one in at):
        raise fault(service, "no place")
    far_deg = max(abs((at[0] - place.longitude_deg + 180) % 360 - 180), abs(at[1] - place.latitude_deg))
    if far_deg > service.within_deg:
        here = f"{place.latitude_deg:g}, {place.longitude_deg:g}"
        raise fault(service, f"another place, {at[1]:g}, {at[0]:g} and not {here}")


def _values(told: Told, service: Service, column: str, span: Span) -> dict[date, float]:
    """Give one variable's days, without those that are not known."""
    name, ours = service.columns[column].name, service.ours(column)
    found = dict[date, float]()
    for text, value in told.values[name].items():
        try:
            day = datetime.strptime(text, service.day_form).date()
        except ValueError:
            raise fault(service, f"{name} on {short(text)}, which is no day") from None
        if not span.first <= day <= span.last:
            raise fault(service, f"{day}, which nobody asked for")
        if value is None:
            continue
        if not is_number(value):
            raise fault(service, f"{short(value)} for {name} on {day}, which is no number")
        if value not in (service.fill, told.fill):
            found[day] = ours(value)
    return found


def _possible(service: Service, day: date, values: Day) -> None:
    """Refuse a day that cannot be."""
    low_c, high_c = numbers("inputs.temperature_range_c").tolist()
    bounds = ((low_c, high_c), (low_c, high_c), (0.0, number("inputs.rain_most_mm")))
    refuse_beyond(bounds, zip(DAILY, values, strict=True), f"on {day}", service)
    if values[0] > values[1]:
        raise fault(service, f"tmin_c {values[0]:.4g} above tmax_c {values[1]:.4g} on {day}")


def refuse_beyond(
    bounds: Sequence[tuple[float, float]], values: Iterable[tuple[str, float]], when: str, service: Service
) -> None:
    """Refuse what cannot be: then the unit, or the variable, is another one than the entry says."""
    for (name, value), (low, high) in zip(values, bounds, strict=True):
        if not math.isnan(value) and not low <= value <= high:
            raise fault(service, f"{name} {value:.4g} {when}, which cannot be")


def is_number(value: object) -> TypeGuard[float]:
    """Tell whether something is a number of this world."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def short(value: object) -> str:
    """Give what stands in an answer as it may stand in a sentence."""
    text = "nothing" if value is None or value == "" else str(value)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
