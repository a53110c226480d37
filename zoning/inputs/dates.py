"""Dates as people and machines write them. An ambiguous one is refused, never guessed."""

import math
from datetime import date, datetime, time, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from zoning.errors import SETTINGS, InputError

_LONGEST_SHOWN = 40  # letters
YEARS = (1900, 2200)  # another year is a slip of the finger
HOW = 'Write it as "2026-05-06" or "2026-05-06 14:30".'


def stamp(value: object) -> datetime:
    """Read a date or a date and time; a date alone means its noon.

    Parameters
    ----------
    value : object
        Text (ISO 8601, also with "/", or 20260506), a date, or a whole number such as 20260506.

    Returns
    -------
    datetime
        With a time zone only if the text has one.

    Raises
    ------
    ValueError
        For anything else: "05/06/2026" is 5 June for one reader and 6 May for another.

    Examples
    --------
    >>> stamp("2026/05/06"), stamp("2026-05-06T18:05:00")
    (datetime.datetime(2026, 5, 6, 12, 0), datetime.datetime(2026, 5, 6, 18, 5))
    >>> stamp("05/06/2026")
    Traceback (most recent call last):
    ValueError: 05/06/2026 is not a date
    """
    if isinstance(value, datetime):
        return value
    if isinstance(value, date):
        return datetime.combine(value, time(12))
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    text = str(value).strip().replace("/", "-") if isinstance(value, str | int) else ""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        raise ValueError(f"{shown(value)} is not a date") from None
    has_time = ":" in text or "T" in text
    return found if has_time else datetime.combine(found.date(), time(12))


def day(value: object) -> date:
    """Read a date, and drop its time of day if it has one.

    Examples
    --------
    >>> day("20260506")
    datetime.date(2026, 5, 6)
    """
    return stamp(value).date()


def shown(value: object) -> str:
    """Give what was read for a date as it may stand in a sentence.

    Examples
    --------
    >>> shown("5/6"), len(shown("9" * 5000)), shown("")
    ('5/6', 40, 'an empty cell')
    """
    text = str(value) if value != "" else "an empty cell"
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"


def of_records(value: object) -> date:
    """Read the day of a record, such as weather, which is of no other century.

    Examples
    --------
    >>> of_records("0001-05-06")
    Traceback (most recent call last):
    ValueError: 0001-05-06 is in no year of a record
    """
    found = day(value)
    if not YEARS[0] <= found.year <= YEARS[1]:
        raise ValueError(f"{value} is in no year of a record")
    return found


def day_after(when: datetime) -> datetime:
    """Give the midnight that ends a day.

    Examples
    --------
    >>> day_after(datetime(2026, 7, 14, 9, 30))
    datetime.datetime(2026, 7, 15, 0, 0)
    """
    return datetime.combine(when.date() + timedelta(days=1), time(0))


def local(when: datetime, time_zone: str, longitude_deg: float) -> datetime:
    """Bring a time to the farm's clock: its named zone, or else whole hours by longitude.

    A time without a zone is taken as local already.

    Raises
    ------
    InputError
        When `time_zone` is not a zone that is known.
    ValueError
        When no calendar has that day on the farm's clock.

    Examples
    --------
    >>> local(datetime.fromisoformat("2026-05-07T02:30Z"), "America/Chicago", -95.4)
    datetime.datetime(2026, 5, 6, 21, 30)
    """
    if when.tzinfo is None:
        return when
    try:
        return when.astimezone(clock(time_zone, longitude_deg)).replace(tzinfo=None)
    except OverflowError:
        raise ValueError(f"{when.date()} is not a date") from None


def clock(time_zone: str, longitude_deg: float) -> tzinfo:
    """Give the farm's clock: its named zone, or else whole hours by longitude, without daylight saving.

    Raises
    ------
    InputError
        When `time_zone` is not a zone that is known.

    Examples
    --------
    >>> clock("", -95.4).utcoffset(None) == timedelta(hours=-6)
    True
    """
    if time_zone:
        return _zone(time_zone)
    return timezone(timedelta(hours=math.floor(longitude_deg / 15 + 0.5)))


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        mend = 'Write it as "America/Chicago".'
        raise InputError(
            f'"{name}" is not a known time zone', where="time_zone", mend=mend, code=SETTINGS
        ) from error
