"""The parts of the picture of a calendar: the head of days, a field's row, a sprayer's strip of hours.

Draws in inches on one page; what there is to show is in `calendar_rows`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from matplotlib.patches import Rectangle

from zoning import colours
from zoning.show.calendar_rows import DayHours, Mark, Row
from zoning.show.figures import hours as written_hours
from zoning.show.figures import plain
from zoning.show.furniture import Page
from zoning.show.look import known
from zoning.words.schedule import SOURCES

WINDOW, NEAR_BEST, PLANNED = colours.DATE[1], colours.SECONDARY, colours.SKIP
USED = colours.INK  # no volume's colour
SPRAYED, SPRAYED_SIGN = colours.WHITE, "\N{CHECK MARK}"
_LETTER = 0.11  # height of a line in a pass [inch]
LINE = 0.2  # between lines of text [inch]
_WEEKDAYS = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_DAYS_WIDE = 4.9  # room for the days [inch], unless they are many
_LEAST_DAY = 0.2
_GRID = "#d3cfc6"
# where hours come from: told apart without words where a run of days is short
_DASHES: dict[str, Any] = {
    "forecast": "solid",
    "past years": (0, (4, 1.5)),
    "planning triple": (0, (1, 1.2)),
    "no limit": (0, (6, 1.5, 1, 1.5)),
}
_UNKNOWN = DayHours((0.0, 0.0), (0.0, 0.0), "no limit")


@dataclass(frozen=True, slots=True)
class Sheet:
    """Lengths of the sheet, in inches from its lower left corner."""

    days: range
    rows: int
    strips: int  # sprayers whose hours are drawn
    top_lines: int
    foot_lines: int
    key_lines: int

    MARGIN = 0.3
    NAMES = 1.5
    ROW = 0.31
    STRIP = 0.78
    BARS = 0.36  # the highest bar of a strip
    DATES = 0.62  # month, weekday, date

    @property
    def day(self) -> float:
        """Width of a day."""
        return max(_DAYS_WIDE / len(self.days), _LEAST_DAY)

    @property
    def left(self) -> float:
        """Where the first day begins."""
        return self.MARGIN + self.NAMES

    @property
    def right(self) -> float:
        """Where the last day ends."""
        return self.left + len(self.days) * self.day

    @property
    def width(self) -> float:
        """Width of the whole sheet."""
        return self.right + self.MARGIN

    @property
    def height(self) -> float:
        """Height of the whole sheet."""
        below = self.strips * self.STRIP + (self.key_lines + self.foot_lines) * LINE + 0.5
        return 0.62 + self.top_lines * LINE + self.DATES + self.rows * self.ROW + below

    @property
    def first_row(self) -> float:
        """Upper edge of the first row."""
        return self.height - 0.62 - self.top_lines * LINE - self.DATES

    def x(self, day: int, pm: int = 0) -> float:
        """Left edge of a half-day."""
        return self.left + (day - self.days[0] + pm / 2) * self.day


def box(page: Page, place: tuple[float, float], size: tuple[float, float], fill: str, edge: str = "") -> None:
    """Draw a box from its lower left corner; no edge where none is named."""
    line = 0.8 if edge else 0.0
    page.axes.add_artist(
        Rectangle(place, *size, facecolor=fill, edgecolor=edge or "none", linewidth=line, joinstyle="miter")
    )


def middle(page: Page, place: tuple[float, float], text: str, size: float, ink: str = colours.INK) -> None:
    """Write a text with its middle at a place."""
    page.axes.text(*place, text, size=size, color=ink, ha="center", va="center_baseline")


def head(page: Page, sheet: Sheet, bottom: float) -> None:
    """Draw months, weekdays, dates, and a line before each Monday."""
    top = sheet.first_row
    for index, number in enumerate(sheet.days):
        day, x = date.fromordinal(number), sheet.x(number)
        centre = x + sheet.day / 2
        if index == 0 or day.day == 1:
            left = sum(date.fromordinal(one).month == day.month for one in sheet.days[index:])
            name = _MONTHS[day.month - 1]
            page.write((x + 0.02, top + 0.44), f"{name} {day.year}" if left > 3 else name, 10, weight="bold")
        middle(page, (centre, top + 0.3), _WEEKDAYS[day.weekday()], 7.5, colours.SECONDARY)
        middle(page, (centre, top + 0.12), str(day.day), 9)
        first = index == 0 or day.weekday() == 0
        page.axes.plot([x, x], [bottom, top], color=_GRID, linewidth=1.1 if first else 0.4, zorder=0)
    page.axes.plot([sheet.right] * 2, [bottom, top], color=_GRID, linewidth=1.1, zorder=0)


def _runs(days: frozenset[int], inside: range) -> list[tuple[int, int]]:
    """List runs of consecutive days: first and last."""
    found: list[tuple[int, int]] = []
    for day in sorted(days & set(inside)):
        if found and found[-1][1] == day - 1:
            found[-1] = (found[-1][0], day)
        else:
            found.append((day, day))
    return found


@dataclass(frozen=True, slots=True)
class Inks:
    """The colour of each carrier volume, and the letter of each sprayer where there are several."""

    fills: dict[float, str]
    letters: dict[str, str]


def field_row(page: Page, sheet: Sheet, row: Row, top: float, inks: Inks) -> None:
    """Draw one row: the window, the days near the best return below it, the passes on both."""
    base = top - sheet.ROW
    page.axes.plot([sheet.MARGIN, sheet.right], [base] * 2, color=_GRID, linewidth=0.6, zorder=0)
    for first, last in _runs(row.window, sheet.days):
        wide = (last - first + 1) * sheet.day
        box(page, (sheet.x(first), base + 0.1), (wide, sheet.ROW - 0.16), WINDOW, colours.SECONDARY)
    for first, last in _runs(row.near_best, sheet.days):
        box(page, (sheet.x(first), base + 0.025), ((last - first + 1) * sheet.day, 0.045), NEAR_BEST)
    both = row.window | row.near_best
    over = bool(both) and max(both, default=0) < sheet.days[0]
    for holds, x, side, text in (
        (not both, sheet.left, "left", "no date is known"),
        (over and not row.sprayed & set(sheet.days), sheet.left, "left", "over"),
        (bool(both) and min(both, default=0) > sheet.days[-1], sheet.right, "right", "later"),
    ):
        if holds:
            shift = 0.05 if side == "left" else -0.05
            look = {"size": 8, "ha": side, "color": colours.SECONDARY}
            ground = {"facecolor": colours.WHITE, "edgecolor": "none", "pad": 1.5}  # over the lines of days
            page.axes.text(x + shift, base + 0.1, text, bbox=ground, **cast(Any, look))
    for day in sorted(row.sprayed & set(sheet.days)):
        _sprayed(page, sheet, day, base)
    _passes(page, sheet, row.marks, base, inks)


def _sprayed(page: Page, sheet: Sheet, day: int, base: float) -> None:
    """Draw an application that was made: its half-day is not known, so the box is as wide as the day."""
    box(page, (sheet.x(day), base + 0.03), (sheet.day, sheet.ROW - 0.06), SPRAYED, colours.INK)
    middle(page, (sheet.x(day) + sheet.day / 2, base + sheet.ROW / 2), SPRAYED_SIGN, 9)


def _slot(mark: Mark) -> int:
    return 2 * mark.day + mark.pm


def _visits(marks: Sequence[Mark]) -> list[list[Mark]]:
    """List the half-days of each pass that follow each other, in order of time."""
    runs: list[list[Mark]] = []
    for mark in sorted(marks, key=lambda one: (one.number, _slot(one))):
        last = runs[-1][-1] if runs else None
        if last and last.number == mark.number and _slot(last) == _slot(mark) - 1:
            runs[-1].append(mark)
        else:
            runs.append([mark])
    return sorted(runs, key=lambda run: _slot(run[0]))


def _passes(page: Page, sheet: Sheet, marks: Sequence[Mark], base: float, inks: Inks) -> None:
    """Draw the passes of a row; those that are at work in the same half-days stand one above the other."""
    together: list[list[list[Mark]]] = []
    for run in _visits(marks):
        if together and max(_slot(other[-1]) for other in together[-1]) >= _slot(run[0]):
            together[-1].append(run)
        else:
            together.append([run])
    for those in together:
        high = (sheet.ROW - 0.06) / len(those)
        for place, run in enumerate(those):
            low = base + 0.03 + high * (len(those) - 1 - place)
            _pass(page, sheet, run, (low, high), inks)


def _pass(page: Page, sheet: Sheet, run: Sequence[Mark], across: tuple[float, float], inks: Inks) -> None:
    """Draw a pass: a box over its half-days with its number and, where it fits, its sprayer's letter."""
    low, high = across
    first, wide = run[0], len(run) * sheet.day / 2
    fill, letter = inks.fills[first.rate_gal_ac], inks.letters.get(first.sprayer, "")
    x, middle_y = sheet.x(first.day, first.pm), low + high / 2
    box(page, (x, low), (wide, high), fill, colours.INK)
    number, room = str(first.number), max(wide - 0.02, 0.06)
    size = min(9.5, 62 * high, 9.5 * room / page.width(number, 9.5, "bold"))
    look: dict[str, Any] = {"weight": "bold", "ha": "center", "va": "center_baseline"}
    look["color"] = colours.readable_on(fill)
    whole = f"{number}{letter}"
    if letter and page.width(whole, size, "bold") > room and high > 2 * _LETTER:
        page.axes.text(x + wide / 2, middle_y + 0.045, number, size=min(size, 8.5), **look)
        page.axes.text(x + wide / 2, low + 0.055, letter, size=7, **look)
    else:
        shown = whole if page.width(whole, size, "bold") <= room else number
        page.axes.text(x + wide / 2, middle_y, shown, size=size, **look)


def strip(page: Page, sheet: Sheet, told: tuple[str, dict[int, DayHours]], top: float, most_h: float) -> None:
    """Draw the hours of a sprayer: a bar a half-day, what is in use filled, and where they come from."""
    name, known_h = told
    base = top - 0.1 - sheet.BARS
    text, size = page.fitted(plain(known(name), 40), 9.5, sheet.NAMES - 0.1, "bold")
    page.write((sheet.MARGIN, base + 0.2), text, size, weight="bold")
    text, size = page.fitted(f"highest bar {written_hours(most_h)} h", 7.5, sheet.NAMES - 0.1)
    page.write((sheet.MARGIN, base + 0.05), text, size, ink=colours.SECONDARY)
    page.axes.plot([sheet.left, sheet.right], [base] * 2, color=colours.INK, linewidth=0.6)
    for day in sheet.days:
        one = known_h.get(day, _UNKNOWN)
        for pm in (0, 1):
            x, wide = sheet.x(day, pm) + 0.08 * sheet.day, 0.34 * sheet.day
            high, used = (hours[pm] * sheet.BARS / most_h for hours in (one.planned_h, one.used_h))
            if high > 0:
                box(page, (x, base), (wide, high), PLANNED, colours.SKIP_HATCH)
            if used > 0:
                box(page, (x, base), (wide, used), USED, colours.INK)
    _sources(page, sheet, known_h, base - 0.05)


def _sources(page: Page, sheet: Sheet, known_h: dict[int, DayHours], y: float) -> None:
    """Write below the bars where the hours come from, once for each run of days."""
    runs: list[tuple[str, int, int]] = []
    for day in (day for day in sheet.days if day in known_h):
        source = known_h[day].source
        if runs and runs[-1][0] == source and runs[-1][2] == day - 1:
            runs[-1] = (source, runs[-1][1], day)
        else:
            runs.append((source, day, day))
    for name, first, last in runs:
        left, right = sheet.x(first) + 0.03, sheet.x(last + 1) - 0.03
        page.axes.plot(
            [left, right], [y] * 2, color=colours.SECONDARY, linewidth=1.4, linestyle=_DASHES[name]
        )
        if page.width(SOURCES[name], 7.5) <= right - left:
            middle(page, ((left + right) / 2, y - 0.08), SOURCES[name], 7.5, colours.SECONDARY)
