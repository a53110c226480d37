"""What a service answered about hours to come, as values in our units. Asks nobody.

Shape "layers, intervals": the first answer gives the address of the second one, and that has a layer for each
variable, whose values hold for intervals of whole hours in ISO 8601.
"""

import math
import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from zoning.evidence import number, numbers
from zoning.fetch.session import Answer
from zoning.fetch.weather.daily import fault, is_number, refuse_beyond, same_place, short, table_in, whole
from zoning.fetch.weather.place import Place
from zoning.fetch.weather.services import HOURLY, Service

Hour = tuple[float, float, float, float]  # temp_c, rh_pct, wind_m_s, rain_mm; NaN where it is not known
_SUMMED = "rain_mm"  # what holds for an interval as a whole; the others hold for each of its hours
_LENGTH = re.compile(r"P(?:(\d{1,3})D)?(?:T(\d{1,3})H)?")
_HOURS = 24  # of a day


def next_address(answer: Answer, service: Service, place: Place) -> str:
    """Find the address of the layers in the answer about a place.

    Raises
    ------
    InputError
        Code 4: there is none, or it is of another place.
    """
    told = whole(answer, service)
    same_place(table_in(told, service, "geometry").get("coordinates"), service, place)
    found = table_in(told, service, "properties").get("forecastGridData")
    if not isinstance(found, str):
        raise fault(service, "no address of its forecast")
    return found


def read(answer: Answer, service: Service) -> dict[datetime, Hour]:
    """Read the layers of a forecast.

    Parameters
    ----------
    answer : Answer
        As it came.
    service : Service
        Who was asked.

    Returns
    -------
    dict of datetime to Hour
        By the beginning of each hour, in UTC, in order. [C, %, m/s, mm]. What is given for an interval holds
        for each of its hours; rain is its sum, and is shared out evenly. A layer of wind or rain that is not
        there is NaN.

    Raises
    ------
    InputError
        Code 4: a layer that is needed is not there, is of another unit, or is no layer; its hours reach
        farther than the entry says, or its values cannot be.
    """
    layers = table_in(whole(answer, service), service, "properties")
    by_hour: dict[datetime, dict[str, float]] = {}
    for column in service.columns:
        for when, value in _hours(layers, service, column):
            by_hour.setdefault(when, {})[column] = value
    known = sorted(when for when, one in by_hour.items() if "temp_c" in one and "rh_pct" in one)
    if not known:
        raise fault(service, "no hour of which temperature and humidity are known")
    if known[-1] - known[0] > timedelta(days=service.most_days):
        raise fault(service, f"hours over more than {service.most_days} days")
    found = dict[datetime, Hour]()
    for when in sorted(one for one in by_hour if known[0] <= one <= known[-1]):
        temp_c, rh_pct, wind_m_s, rain_mm = (by_hour[when].get(name, math.nan) for name in HOURLY)
        found[when] = (temp_c, rh_pct, wind_m_s, rain_mm)
        _possible(service, when, found[when])
    return found


def _hours(layers: Mapping[str, object], service: Service, column: str) -> list[tuple[datetime, float]]:
    """Give the hours of a layer, each with its value."""
    of = service.columns[column]
    layer = layers.get(of.name)
    if layer is None and column not in ("temp_c", "rh_pct"):
        return []
    values = layer.get("values") if isinstance(layer, Mapping) else None
    if not isinstance(layer, Mapping) or not isinstance(values, list):
        raise fault(service, f"no {of.name}")
    if not values:
        return []
    if layer.get("uom") != of.unit:
        raise fault(service, f"{of.name} in {short(layer.get('uom'))} and not in {of.unit}")
    found: list[tuple[datetime, float]] = []
    for one in values:
        text, value = (one.get("validTime"), one.get("value")) if isinstance(one, Mapping) else (None, None)
        first, hours = _interval(text, service, of.name)
        if value is None:
            continue
        if not is_number(value):
            raise fault(service, f"{short(value)} for {of.name}, which is no number")
        ours = service.ours(column)(value)
        each = ours / hours if column == _SUMMED else ours
        found += [(first + timedelta(hours=at), each) for at in range(hours)]
    return found


def _interval(text: object, service: Service, name: str) -> tuple[datetime, int]:
    """Read an interval as 2026-07-08T10:00:00+00:00/PT6H: its first hour in UTC, and how many it has."""
    begins, _, length = str(text).partition("/")
    match = _LENGTH.fullmatch(length)
    try:
        local = datetime.fromisoformat(begins)
        # without a zone it would be taken by this computer's clock
        when = local.astimezone(UTC) if local.tzinfo else None
    except (ValueError, OverflowError):
        when = None
    hours = int(match[1] or 0) * _HOURS + int(match[2] or 0) if match else 0
    if when is None or when.minute or when.second or not 0 < hours <= service.most_days * _HOURS:
        raise fault(service, f"{name} for {short(text)}, which is no interval of whole hours")
    return when, hours


def _possible(service: Service, when: datetime, values: Hour) -> None:
    """Refuse an hour that cannot be."""
    low_c, high_c = numbers("inputs.temperature_range_c").tolist()
    low_pct, high_pct = numbers("inputs.rh_range_pct").tolist()
    bounds = (
        (low_c, high_c),
        (low_pct, high_pct),
        (0.0, number("inputs.wind_most_m_s")),
        (0.0, number("inputs.rain_most_mm_h")),
    )
    refuse_beyond(bounds, zip(HOURLY, values, strict=True), f"at {when:%Y-%m-%dT%H:%MZ}", service)
