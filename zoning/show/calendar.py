"""The calendar of a farm in letters: a row a field, four letters a day, the hours of each sprayer below.

Gives one text for a terminal of any width; colours nothing and prints nothing.
"""

from collections.abc import Mapping
from datetime import date

from zoning.plan import FarmPlan
from zoning.show.calendar_rows import (
    DayHours,
    Mark,
    Row,
    busiest,
    hours,
    letters,
    passes_at,
    period,
    rows,
    sprayers,
)
from zoning.show.figures import NONE, plain
from zoning.show.figures import hours as written_hours
from zoning.show.layout import WIDTH, wrapped
from zoning.words import Said
from zoning.words.schedule import SOURCES

BOTH, NEAR, ONLY_WINDOW, BLANK = "=", ".", "-", " "
BEFORE, AFTER, MORE, SPRAYED = "<", ">", "+", "*"
_DAY = 4  # letters a day: two halves of two
_WEEK = 7
_WEEKDAYS = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_NAMES = (12, 30)  # letters of the column of names, at least and at most
_BAR = "|"  # before a Monday
_USED, _OF, _FROM = "  used", "  of", "  from"
_LETTERS = {"forecast": "f", "past years": "y", "planning triple": "p", "no limit": "n"}


def calendar(farm: FarmPlan, width: int = WIDTH) -> str:
    """Give the calendar of a farm.

    Parameters
    ----------
    farm : FarmPlan
    width : int
        Of the terminal; where the days do not fit side by side they stand in parts of whole weeks, one below
        the other. [characters]

    Returns
    -------
    str
        No line is longer than the terminal is wide; empty where the farm has no field.
    """
    shown = rows(farm)
    if not shown:
        return ""
    days, rigs = period(farm, shown), letters(farm)
    weeks = max(min((width - _NAMES[0]) // (_WEEK * _DAY), -(-len(days) // _WEEK)), 1)
    names = _labels(shown, min(max(width - weeks * _WEEK * _DAY, _NAMES[0]), _NAMES[1]) - 1)
    room = max(map(len, (*names, _USED, _OF, _FROM))) + 1
    bars = [(name.ljust(room), _bar(row, days, rigs)) for name, row in zip(names, shown, strict=True)]
    every = hours(farm)
    told = {rig: every[rig] for rig in busiest(farm)}
    parts = [_part(told, days, part, bars) for part in _parts(days, (width - room) // _DAY)]
    return "\n\n".join([*parts, wrapped(_key(farm, shown, days), width, "  ")])


def _parts(days: range, fit: int) -> list[range]:
    """Cut the days into parts that fit, of whole weeks where a week fits."""
    fit = max(fit, 1)
    if fit >= len(days):
        return [days]
    step = fit - fit % _WEEK if fit >= _WEEK else fit
    return [days[at : at + step] for at in range(0, len(days), step)]


def _labels(shown: tuple[Row, ...], room: int) -> list[str]:
    """Name each row; names that are cut short keep their block."""
    names = []
    for row in shown:
        blocks = plain(", ".join(row.blocks), room // 2)
        tail = f": {blocks}" if blocks else ""
        names.append(plain(row.field, room - len(tail)) + tail)
    return names


def _part(
    told: Mapping[str, Mapping[int, DayHours]], days: range, part: range, bars: list[tuple[str, str]]
) -> str:
    room = len(bars[0][0])
    lines = [" " * room + text for text in (_months(part), _weekdays(part), _dates(part))]
    at = slice(days.index(part[0]) * _DAY, (days.index(part[-1]) + 1) * _DAY)
    lines += [name + bar[at] for name, bar in bars]
    for sprayer, known in told.items():
        if any(day in known for day in part):
            heading = Said("schedule.hours_of", sprayer=plain(sprayer, 30)).text
            lines += ["", plain(heading, room + _DAY * len(part)), *_hour_lines(known, part, room)]
    return "\n".join(line.rstrip(f" {_BAR}") for line in lines)


def _months(days: range) -> str:
    """Write each month over its first day, with the year where there is room."""
    line = ""
    for index, number in enumerate(days):
        day = date.fromordinal(number)
        if index == 0 or day.day == 1:
            left = sum(date.fromordinal(other).month == day.month for other in days[index:])
            name = _MONTHS[day.month - 1]
            line = line.ljust(index * _DAY) + (f"{name} {day.year}" if left > 2 else name)
    return line


def _cells(texts: list[str], days: range) -> str:
    """Write a cell a day, a bar between Sunday and Monday."""
    line = ""
    for number, text in zip(days, texts, strict=True):
        sunday = date.fromordinal(number).weekday() == _WEEK - 1 and number != days[-1]
        line += text.ljust(_DAY - 1) + (_BAR if sunday else " ")
    return line


def _weekdays(days: range) -> str:
    return _cells([_WEEKDAYS[date.fromordinal(number).weekday()] for number in days], days)


def _dates(days: range) -> str:
    return _cells([f"{date.fromordinal(number).day:2d}" for number in days], days)


def _sign(row: Row, day: int) -> str:
    if day in row.window and day in row.near_best:
        return BOTH
    return NEAR if day in row.near_best else ONLY_WINDOW if day in row.window else BLANK


def _bar(row: Row, days: range, rigs: Mapping[str, str]) -> str:
    """Draw the bar of a field, its passes on it."""
    line = list(_cells(["   "] * len(days), days))
    known = row.window | row.near_best
    for place, day in enumerate(days):
        sign = _sign(row, day)
        if sign != BLANK:
            at = place * _DAY
            goes_on = day + 1 in known and day != days[-1]
            line[at : at + _DAY] = sign * (_DAY - 1) + (sign if goes_on else line[at + _DAY - 1])
    if known and max(known) < days[0]:
        line[0] = BEFORE
    elif known and min(known) > days[-1]:
        line[-2] = AFTER
    elif not known:
        line[0] = NONE
    taken: set[int] = set()
    for (day, pm), marks in passes_at(row).items():
        if day in days:
            at = days.index(day) * _DAY + pm * (_DAY // 2)
            told = _told(marks, rigs)
            line[at : at + len(told)] = told
            taken.update(range(at, at + len(told)))
    for day in row.sprayed & set(days):
        first = days.index(day) * _DAY
        free = [first + step for step in (1, 0, 2, 3) if first + step not in taken]
        for at in free[:1]:
            line[at] = SPRAYED
    return "".join(line)


def _told(marks: list[Mark], rigs: Mapping[str, str]) -> str:
    """Write the number of a pass and the letter of its sprayer, in two letters at most."""
    number = str(marks[0].number)
    if len(marks) > 1:
        number += MORE
    elif len(number) < _DAY // 2:
        number += rigs.get(marks[0].sprayer, "")
    return number if len(number) <= _DAY // 2 else MORE


def _hour_lines(known: Mapping[int, DayHours], days: range, room: int) -> list[str]:
    """Write hours in use, hours to plan with, and where these come from."""
    of = [known.get(day) for day in days]
    used = ["" if one is None else _or_none(written_hours(sum(one.used_h))) for one in of]
    planned = ["" if one is None else written_hours(sum(one.planned_h)) for one in of]
    came = ["" if one is None else _LETTERS[one.source] for one in of]
    cells = {_USED: used, _OF: planned, _FROM: came}
    return [name.ljust(room) + _cells(texts, days) for name, texts in cells.items()]


def _or_none(written: str) -> str:
    return NONE if written == "0" else written


def _key(farm: FarmPlan, shown: tuple[Row, ...], days: range) -> list[str]:
    """Explain what stands in the calendar, and nothing that does not."""
    rigs = letters(farm)
    signs = {_sign(row, day) for row in shown for day in days}
    known = [row.window | row.near_best for row in shown]
    bars = [_bar(row, days, rigs) for row in shown]
    told = [
        (any(SPRAYED in bar for bar in bars), Said("schedule.key_sprayed", sprayed=SPRAYED)),
        (BOTH in signs, Said("schedule.key_both", both=BOTH)),
        (NEAR in signs, Said("schedule.key_near", near=NEAR)),
        (ONLY_WINDOW in signs, Said("schedule.key_window", window=ONLY_WINDOW)),
        (any(one and max(one) < days[0] for one in known), Said("schedule.key_before", before=BEFORE)),
        (any(one and min(one) > days[-1] for one in known), Said("schedule.key_after", after=AFTER)),
        (not all(known), Said("schedule.key_no_date", none=NONE)),
        (any(MORE in bar for bar in bars), Said("schedule.key_more", more=MORE)),
    ]
    lines = [Said("schedule.key_pass").text] if any(row.marks for row in shown) else []
    if rigs:
        named = ", ".join(f"{letter}: {plain(rig, 30)}" for rig, letter in rigs.items())
        lines.append(Said("schedule.key_sprayers", sprayers=named).text)
    lines.append(";  ".join(said.text for holds, said in told if holds))
    on_page = [use for use in farm.hours if use.day.toordinal() in days]
    sources = list(dict.fromkeys(use.source for use in on_page))
    if sources:
        words = ", ".join(f"{_LETTERS[source]} {SOURCES[source]}" for source in sources)
        lines.append(Said("schedule.key_hours", sources=words).text)
    if more := len(sprayers(farm)) - len(busiest(farm)):
        lines.append(Said("schedule.more_sprayers", count=more).text)
    return [line for line in lines if line]
