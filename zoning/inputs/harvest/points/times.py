"""Times of a combine's points: dates and times in common forms, or seconds. Nothing ambiguous is guessed."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from typing import Literal

import numpy as np

from zoning.errors import InputError
from zoning.inputs.harvest.given import Floats, Ints

Order = Literal["month first", "day first"]
_ORDERS: dict[str, Order] = {"month first": "month first", "day first": "day first"}

_DAY_S = 86_400
_EPOCH = date(1970, 1, 1).toordinal() * _DAY_S
_SINCE_EPOCH_S = (
    1e8  # larger numbers count from 1970: in seconds to the year 5138, above that in milliseconds
)
_SINCE_EPOCH_MS = 1e11
_AS_DATE = (1.9e13, 2.2e13)  # 20261005143005
_DIGITS = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_COMPACT = re.compile(r"(\d{8})[T ]?(\d{6})(?:\.\d+)?")
_NUMBERS = re.compile(r"(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})(?:(?:T|,?\s+)(.*))?")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_MONTH = re.compile(r"(\d{1,2})[ -]([A-Za-z]{3,9})\.?,?[ -](\d{4})(?:,?\s+(.*))?")
_MONTH_DAY = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2}),? (\d{4})(?:,?\s+(.*))?")
_TIME = re.compile(
    r"(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?\s*([AaPp])?\.?(?:[Mm]\.?)?\s*(Z|UTC|GMT|[+-]\d{2}:?\d{2})?"
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clock:
    """Times of rows: `seconds` counts from anywhere, NaN where there is none; `wrong` are rows not read.

    `days` is `date.toordinal()` on the farm's clock, 0 where the day is not known; `of_day_s` is the second
    of that day, NaN where there is no time.
    """

    seconds: Floats
    days: Ints
    of_day_s: Floats = field(default_factory=lambda: np.zeros(0))
    wrong: tuple[int, ...] = ()

    @property
    def is_known(self) -> bool:
        """Whether any row has a time."""
        return bool(np.isfinite(self.seconds).any())

    def at(self, order: Ints) -> "Clock":
        """Give the times in another order of the rows."""
        return Clock(
            seconds=self.seconds[order],
            days=self.days[order],
            of_day_s=self.of_day_s[order] if len(self.of_day_s) else self.of_day_s,
        )


@dataclass(slots=True)
class _Parts:
    """One time as it is written: three numbers of a date whose order may be open, and a time of day."""

    year: int = 0
    first: int = 0
    second: int = 0
    is_open: bool = False  # which of the two is the month
    has_time: bool = False
    time_s: float = 0.0
    offset_s: int | None = None


def read(
    cells: Floats | Sequence[str],
    dates: Sequence[str] | None,
    unit: str,
    farm_clock: tzinfo,
    asked: tuple[str, str],
) -> Clock:
    """Read the times of a file.

    Parameters
    ----------
    cells : array or sequence of str, shape (n,)
        Numbers or texts; "" or NaN where nothing stands.
    dates : sequence of str or None
        A column of dates that belongs to them.
    unit : str
        "s", "ms", "month first" or "day first" where that was told, else "".
    farm_clock : tzinfo
        For times that name their zone.
    asked : tuple of str
        For a fault: file and column, and what `--unit` calls the column.

    Returns
    -------
    Clock

    Raises
    ------
    InputError
        Where no date says whether the day or the month stands first.

    Examples
    --------
    >>> from datetime import UTC
    >>> clock = read(["10/14/2026 1:00 PM", "10/14/2026 1:00:02 PM"], None, "", UTC, ("x", "time"))
    >>> float(clock.seconds[1] - clock.seconds[0]), date.fromordinal(int(clock.days[0]))
    (2.0, datetime.date(2026, 10, 14))
    """
    numbers = _as_numbers(cells)
    if numbers is not None and unit not in _ORDERS:
        clock = _counted(numbers, unit, farm_clock)
        if clock is not None:
            return clock if dates is None else _with_dates(clock, dates, unit, farm_clock, asked)
    texts = [_whole(one) for one in cells.tolist()] if isinstance(cells, np.ndarray) else list(cells)
    if dates is not None and not any(_COMPACT.match(one) or _NUMBERS.match(one) for one in texts[:100]):
        texts = [f"{day} {one}" if day and one else "" for day, one in zip(dates, texts, strict=True)]
    return _written(texts, unit, farm_clock, asked)


def _whole(number: float) -> str:
    return "" if math.isnan(number) else f"{number:.0f}"


def _as_numbers(cells: Floats | Sequence[str]) -> Floats | None:
    """Give the cells as numbers where all of them are."""
    if isinstance(cells, np.ndarray):
        return cells
    if not all(one == "" or _DIGITS.fullmatch(one) for one in cells):
        return None
    return np.array([float(one.replace(",", ".")) if one else np.nan for one in cells])


def _counted(numbers: Floats, unit: str, farm_clock: tzinfo) -> Clock | None:
    """Read seconds or milliseconds, of a day or since 1970; None where the numbers are written dates."""
    known = numbers[np.isfinite(numbers)]
    typical = float(np.median(known)) if len(known) else 0.0
    if not unit and (_AS_DATE[0] < typical < _AS_DATE[1] or _is_day(typical)):
        return None
    in_ms = unit == "ms" or (not unit and typical > _SINCE_EPOCH_MS)
    seconds = np.where(np.isfinite(numbers), numbers, np.nan) / (1000 if in_ms else 1)
    days, wrong = np.zeros(len(numbers), dtype=np.int64), list[int]()
    of_day_s = seconds.copy()
    if typical / (1000 if in_ms else 1) > _SINCE_EPOCH_S:
        for at in np.flatnonzero(np.isfinite(seconds)).tolist():
            try:
                local = datetime.fromtimestamp(seconds[at], farm_clock)
            except (ValueError, OverflowError, OSError):  # no year that a calendar has
                wrong.append(at)
                continue
            days[at] = local.toordinal()
            of_day_s[at] = (seconds[at] + (local.utcoffset() or timedelta()).total_seconds()) % _DAY_S
        seconds = seconds + _EPOCH
    return Clock(seconds=seconds, days=days, of_day_s=of_day_s, wrong=tuple(wrong))


def _is_day(number: float) -> bool:
    """Tell whether a number is a date such as 20261005; seconds since 1970 are larger."""
    text = f"{number:.0f}"
    return len(text) == 8 and text[:2] in ("19", "20")


def _with_dates(
    clock: Clock, dates: Sequence[str], unit: str, farm_clock: tzinfo, asked: tuple[str, str]
) -> Clock:
    """Add the days of a column of dates to seconds of the day."""
    if clock.days.any():
        return clock
    days = _written(dates, unit, farm_clock, asked)
    is_known = days.days > 0
    seconds = np.where(is_known, days.days * float(_DAY_S) + clock.seconds, np.nan)
    of_day_s = np.where(is_known, clock.seconds, np.nan)
    return Clock(seconds=seconds, days=days.days, of_day_s=of_day_s, wrong=days.wrong)


def _written(texts: Sequence[str], unit: str, farm_clock: tzinfo, asked: tuple[str, str]) -> Clock:
    seconds, of_day_s = np.full(len(texts), np.nan), np.full(len(texts), np.nan)
    days = np.zeros(len(texts), dtype=np.int64)
    wrong: list[int] = []
    parts: list[tuple[int, _Parts]] = []
    known: dict[str, tuple[int, int, int, bool] | None] = {}
    for at, text in enumerate(texts):
        if not text:
            continue
        found = _parts(text, known)
        if found is None:
            wrong.append(at)
        else:
            parts.append((at, found))
    order = _order([one for _, one in parts if one.is_open], unit, asked)
    zoned = bool(parts) and all(one.offset_s is not None for _, one in parts)
    for at, one in parts:
        month, day = (
            (one.second, one.first) if one.is_open and order == "day first" else (one.first, one.second)
        )
        try:
            ordinal = date(one.year, month, day).toordinal() if one.year else 0
            told_s = ordinal * _DAY_S + one.time_s
            if one.offset_s is None or not ordinal:
                seconds[at], days[at], of_day_s[at] = told_s, ordinal, one.time_s
                continue
            utc_s = told_s - one.offset_s
            local_s, days[at] = _on_farm(utc_s, farm_clock)
            seconds[at] = utc_s if zoned else local_s
            of_day_s[at] = local_s % _DAY_S
        except (ValueError, OverflowError):  # no day of a calendar, or none on the farm's clock
            wrong.append(at)
    if not any(one.has_time for _, one in parts) or (
        len(parts) > 1 and not any(one.time_s for _, one in parts)
    ):
        seconds[:], of_day_s[:] = np.nan, np.nan  # dates without a time of day
    return Clock(seconds=seconds, days=days, of_day_s=of_day_s, wrong=tuple(sorted(wrong)))


def _on_farm(utc_s: float, farm_clock: tzinfo) -> tuple[float, int]:
    """Give the time on the farm's clock, and its day."""
    local = datetime.fromtimestamp(utc_s - _EPOCH, farm_clock)
    offset = local.utcoffset() or timedelta()
    return utc_s + offset.total_seconds(), local.toordinal()


def _order(open_ones: Sequence[_Parts], unit: str, asked: tuple[str, str]) -> Order:
    """Find which number of a date is the month, by those that can be no month."""
    if unit in _ORDERS:
        return _ORDERS[unit]
    may_be_month = (
        all(one.first <= 12 for one in open_ones),
        all(one.second <= 12 for one in open_ones),
    )
    if all(may_be_month) and any(one.first != one.second for one in open_ones):
        shown = f"{open_ones[0].first:02}/{open_ones[0].second:02}/{open_ones[0].year}"
        where, role = asked
        mend = f'Say it with --unit "{role}=month first" or --unit "{role}=day first".'
        raise InputError(
            f"{shown} is one day for some readers and another for others", where=where, mend=mend
        )
    return "month first" if may_be_month[0] else "day first"


def _parts(text: str, known: dict[str, tuple[int, int, int, bool] | None]) -> _Parts | None:
    """Take a written time apart; None where it is none. `known` keeps the dates that were met."""
    compact = _COMPACT.fullmatch(text)
    if compact is not None:
        clock = compact[2]
        text = f"{compact[1]} {clock[:2]}:{clock[2:4]}:{clock[4:]}"
    day, rest = _day_and_rest(text)
    if day not in known:
        known[day] = _date(day)
    found = known[day]
    if found is None:
        return None
    parts = _Parts(*found)
    if rest:
        match = _TIME.fullmatch(rest)
        if match is None:
            return None
        parts.has_time = True
        parts.time_s = _time_s(match[1], match[2], match[3], match[4])
        parts.offset_s = _offset_s(match[5])
        if math.isnan(parts.time_s):
            return None
    return parts


def _day_and_rest(text: str) -> tuple[str, str]:
    """Part a date from its time of day."""
    at = text.find(":")
    if at < 0:
        return text, ""
    start = max(text.rfind(" ", 0, at), text.rfind("T", 0, at), text.rfind("t", 0, at))
    return text[: max(start, 0)].strip().rstrip(","), text[start + 1 :].strip()


def _date(text: str) -> tuple[int, int, int, bool] | None:
    """Read a date: year, the two other numbers, and whether their order is open; a time alone has year 0."""
    if not text:
        return 0, 0, 0, False
    if len(text) == 8 and text.isdigit():
        return int(text[:4]), int(text[4:6]), int(text[6:]), False
    match = _NUMBERS.fullmatch(text)
    if match is not None:
        first, sign, second, third = int(match[1]), match[2], int(match[3]), int(match[4])
        if len(match[1]) == 4:
            return first, second, third, False
        if len(match[4]) == 3 or len(match[1]) > 2:
            return None
        year = third if len(match[4]) == 4 else 2000 + third
        return (year, second, first, False) if sign == "." else (year, first, second, True)
    for pattern, (day, month) in ((_DAY_MONTH, (1, 2)), (_MONTH_DAY, (2, 1))):
        match = pattern.fullmatch(text)
        if match is not None and match[month][:3].lower() in _MONTHS:
            return int(match[3]), _MONTHS.index(match[month][:3].lower()) + 1, int(match[day]), False
    return None


def _time_s(hours: str, minutes: str, seconds: str | None, half: str | None) -> float:
    """Give the second of the day; NaN where there is no such time."""
    hour, minute = int(hours), int(minutes)
    second = float((seconds or "0").replace(",", "."))
    if half:
        if not 1 <= hour <= 12:
            return math.nan
        hour = hour % 12 + (12 if half in "Pp" else 0)
    fits = hour < 24 and minute < 60 and second < 61  # a leap second
    return (hour * 60 + minute) * 60 + second if fits else math.nan


def _offset_s(text: str | None) -> int | None:
    """Give what a named zone is ahead of UTC."""
    if text is None:
        return None
    if text[0] not in "+-":
        return 0
    plain = text[1:].replace(":", "")
    return (-1 if text[0] == "-" else 1) * (int(plain[:2]) * 60 + int(plain[2:])) * 60
