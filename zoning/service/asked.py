"""The arguments of a call from Python, checked; and the turn that calls from several threads wait for."""

from datetime import date, datetime
from operator import index
from pathlib import Path
from threading import RLock

from zoning.errors import SETTINGS, InputError

ONE_AT_A_TIME = RLock()


def day(today: date | str | None) -> date | None:
    """Give the day to plan on, None where nobody named one.

    Examples
    --------
    >>> day("2026-07-08")
    datetime.date(2026, 7, 8)
    """
    if isinstance(today, datetime):
        return today.date()
    if today is None or isinstance(today, date):
        return today
    try:
        return date.fromisoformat(today)
    except (TypeError, ValueError):
        mend = "Write it as 2026-07-08, or give a date."
        raise InputError(f"{today!r} is not a day", where="today", mend=mend, code=SETTINGS) from None


def as_of(field: Path) -> date:
    """Give the day that the settings of a field name; a clock is not read."""
    # imported late: who only imports the service need not wait for it
    from zoning.settings.read import load

    named = load(field).as_of
    if named is None:
        mend = "Give one, as today=date.today(); the clock is not read."
        raise InputError("no day to plan on", where="today", mend=mend, code=SETTINGS)
    return named


def whole(number: int, name: str, least: int) -> int:
    """Give a whole number that is not below the least.

    Examples
    --------
    >>> whole(3, "seed", 0)
    3
    """
    try:
        found = index(number)
    except TypeError:
        found = least - 1
    if found < least:
        mend = f"Give a whole number, {least} or more."
        raise InputError(f"{number!r} cannot be", where=name, mend=mend, code=SETTINGS) from None
    return found
