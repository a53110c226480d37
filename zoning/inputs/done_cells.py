"""What stands in one cell of done.csv, and what an option of `sprayworth done` may say: one meaning for both.

A number without a unit is in the farm's units. Wind and temperature stay as they were typed; only what cannot
be is refused.
"""

import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import Literal, cast

from zoning import units
from zoning.evidence import number, numbers
from zoning.inputs import dates

Half = Literal["AM", "PM", ""]
_HALVES = {"am": "AM", "morning": "AM", "pm": "PM", "afternoon": "PM"}
# What a number without a unit is in: on a farm in US units, and on a metric one.
_USUAL = {
    "rate": ("gal/ac", "L/ha"),
    "area": ("ac", "ha"),
    "wind": ("mph", "km/h"),
    "temperature": ("F", "C"),
}
_BARE = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)")
_SPEED = re.compile(r"([-+]?(?:\d+\.?\d*|\.\d+))\s*(mph|km/h|kmh|kph|m/s)?(?![\w.])", re.IGNORECASE)
_DEGREES = re.compile(r"([-+]?(?:\d+\.?\d*|\.\d+))\s*(?:°|º|deg)?\s*([cf])?", re.IGNORECASE)
_PASS = re.compile(r"(?:pass\s*|p\s*)?([1-9]\d{0,3})", re.IGNORECASE)


class CellError(ValueError):
    """A cell that cannot be read; its two sentences are what is wrong and how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}. {mend}")
        self.what, self.mend = what, mend


@dataclass(frozen=True, slots=True)
class Moment:
    """A time on the farm's clock.

    `first` and `last` are the earliest and the latest moment that it can mean: they differ in the hour that
    the clock goes through twice, and where only a day is given.
    """

    local: datetime
    first: datetime
    last: datetime
    has_time: bool


def moment(text: str, time_zone: str) -> Moment:
    """Read a day, or a day and its time.

    Parameters
    ----------
    text : str
    time_zone : str
        Of the farm; "" where it is not known.

    Raises
    ------
    CellError
        When it is no date, its time is skipped by the farm's clock, or it has a zone and the farm has none.

    Examples
    --------
    >>> moment("2026-07-07T02:30:00Z", "America/Chicago").local
    datetime.datetime(2026, 7, 6, 21, 30)
    >>> moment("2026-03-08 02:30", "America/Chicago")
    Traceback (most recent call last):
    zoning.inputs.done_cells.CellError: 2026-03-08 02:30 is skipped by the farm's clock. Write the time that \
the clock showed.
    """
    try:
        dates.of_records(text)
        when = dates.stamp(text)
    except (ValueError, OverflowError) as error:
        raise CellError(f"{text} is not a date", dates.HOW) from error
    if not any(sign in text for sign in (":", "T")):
        start = datetime.combine(when.date(), time(0))
        try:
            return Moment(start, start, dates.day_after(start), has_time=False)
        except OverflowError as error:
            raise CellError(f"{text} is not a date", dates.HOW) from error
    if when.tzinfo is not None:
        if not time_zone:
            mend = "Set time_zone in farm.toml, or write the time on the farm's clock without a zone."
            raise CellError(f"{text} has a time zone", mend)
        try:
            at = when.astimezone(UTC).replace(tzinfo=None)
            return Moment(dates.local(when, time_zone, 0.0), at, at, has_time=True)
        except (ValueError, OverflowError) as error:
            raise CellError(f"{text} is not a date", dates.HOW) from error
    if not time_zone:
        return Moment(when, when, when, has_time=True)
    clock = dates.clock(time_zone, 0.0)
    ways = [when.replace(tzinfo=clock, fold=fold).astimezone(UTC) for fold in (0, 1)]
    if all(way.astimezone(clock).replace(tzinfo=None) != when for way in ways):
        raise CellError(f"{text} is skipped by the farm's clock", "Write the time that the clock showed.")
    first, last = sorted(way.replace(tzinfo=None) for way in ways)
    return Moment(when, first, last, has_time=True)


def is_backwards(start: Moment, end: Moment) -> bool:
    """Tell whether a pass would end before it starts, whatever the clock can mean.

    Examples
    --------
    >>> here = "America/Chicago"  # its clock goes through 01:00 to 02:00 twice that day
    >>> is_backwards(moment("2026-11-01 01:50", here), moment("2026-11-01 01:10", here))
    False
    >>> is_backwards(moment("2026-07-14 11:00", here), moment("2026-07-14 07:30", here))
    True
    """
    if not (start.has_time and end.has_time):
        return end.local.date() < start.local.date()
    return end.last < start.first


def amount(text: str, quantity: str, *, is_metric: bool) -> float:
    """Read a rate or an area that is more than nothing.

    Parameters
    ----------
    text : str
        Number and unit; a bare number is in the farm's units.
    quantity : {"gal_ac", "ac"}
    is_metric : bool
        The farm's units.

    Raises
    ------
    CellError

    Examples
    --------
    >>> amount("15", "gal_ac", is_metric=False), round(amount("140", "gal_ac", is_metric=True), 2)
    (15.0, 14.97)
    """
    column = {"gal_ac": "rate", "ac": "area"}[quantity]
    usual = _USUAL[column][is_metric]
    try:
        found = units.parse(with_unit(column, text, is_metric=is_metric), quantity)
    except units.UnitError as error:
        raise CellError(f"{text}: {error.what}", error.mend) from error
    most = number("inputs.done_rate_most_gal_ac") if quantity == "gal_ac" else math.inf
    if not 0 < found <= most:
        what = "not above 0" if found <= 0 else "more than any sprayer puts out"
        raise CellError(f"{text} is {what}", f'Write it as "12 {usual}".')
    return found


def with_unit(column: str, text: str, *, is_metric: bool) -> str:
    """Write the unit behind a bare number, so that it stands whatever the farm's units will be.

    Examples
    --------
    >>> with_unit("rate", "150", is_metric=True), with_unit("rate", "15 gal/ac", is_metric=True)
    ('150 L/ha', '15 gal/ac')
    """
    usual = _USUAL.get(column)
    return f"{text} {usual[is_metric]}" if usual and _BARE.fullmatch(text) else text


def count(text: str) -> float:
    """Read how many loads were sprayed; a part of one counts."""
    try:
        found = float(text)
    except ValueError:
        found = math.nan
    if not 0 < found <= number("inputs.done_loads_most"):
        raise CellError(f"{text} is no number of loads", 'Write it as "3" or "2.5".')
    return found


def pass_number(text: str) -> int:
    """Read the number of a pass, as "P1" or "1"."""
    found = _PASS.fullmatch(text)
    if found is None:
        raise CellError(f"{text} is no pass", 'Write its number in the plan, as "1".')
    return int(found[1])


def half(text: str) -> Half:
    """Read which half of the day it was."""
    found = _HALVES.get(text.casefold())
    if found is None:
        raise CellError(f"{text} is no half of a day", 'Write "AM" or "PM".')
    return cast(Half, found)


def zone_numbers(text: str) -> tuple[int, ...]:
    """Read the numbers of zones; none stands for the whole field.

    Examples
    --------
    >>> zone_numbers("1,3"), zone_numbers("3 1"), zone_numbers("")
    ((1, 3), (1, 3), ())
    """
    words = text.replace(",", " ").replace(";", " ").replace("+", " ").split()
    if not all(word.isdecimal() and int(word) > 0 for word in words):
        mend = 'Write their numbers, as "1 3", or nothing for the whole field.'
        raise CellError(f"{text} are no zones", mend)
    return tuple(sorted({int(word) for word in words}))


def wind(text: str, *, is_metric: bool) -> str:
    """Check a wind as it was typed, with or without its direction; give it back unchanged.

    Examples
    --------
    >>> wind("SW 6 mph", is_metric=False), wind("calm", is_metric=False)
    ('SW 6 mph', 'calm')
    """
    found = _SPEED.search(text)
    if found is None:
        return text
    unit = (found[2] or _USUAL["wind"][is_metric]).lower()
    speed_m_s = float(found[1])
    if unit != "m/s":
        speed_m_s = units.m_s_from_mph(units.parse(f"{found[1]} {unit}", "mph"))
    if not 0 <= speed_m_s <= number("inputs.wind_most_m_s"):
        raise CellError(f"{text} is no wind", 'Write it as "6 mph SW".')
    return text


def temperature(text: str, *, is_metric: bool) -> str:
    """Check a temperature as it was typed; give it back unchanged.

    Examples
    --------
    >>> temperature("75 F", is_metric=False), temperature("24", is_metric=True)
    ('75 F', '24')
    """
    found = _DEGREES.fullmatch(text)
    least_c, most_c = numbers("inputs.temperature_range_c")
    if found is not None:
        unit = (found[2] or _USUAL["temperature"][is_metric]).upper()
        at_c = float(found[1]) if unit == "C" else units.c_from_f(float(found[1]))
        if least_c <= at_c <= most_c:
            return text
    raise CellError(f"{text} is no temperature", 'Write it as "75 F" or "24 C".')
