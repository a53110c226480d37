"""The weeks to come as lanes: a picture whose days stretch with the page while its letters keep their size.

Places along the days are shares of the width, places down the page are pixels, so that one picture serves
the desk, the phone and the printer. What is in a lane, others decide.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

from zoning import colours
from zoning.show.calendar_rows import Mark
from zoning.show.figures import day, plain

WINDOW, NEAR_BEST = colours.DATE[1], colours.SECONDARY
_PHONE = 340  # what must do for the names of days on a phone [px]
_DATE = 48  # room of a date [px]
_HEAD, _NAME, _LANE, _GAP = 38, 18, 22, 9  # heights [px]
_WEEK, _SATURDAY = 7, 5
_LONGEST, _LINE = 30, 52  # of a name, and of it with what follows, on a phone [letters]
_SOON_D, _BACK_D = 14, 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One lane: days as numbers, runs with both ends included.

    `stage` is R3 early, likely and late, None where a lane speaks for ground with several such days; `known`
    are its dates from counted plants. `told` follows the name.
    """

    name: str
    told: str
    windows: tuple[tuple[int, int], ...] = ()
    near_best: tuple[tuple[int, int], ...] = ()
    stage: tuple[int, int, int] | None = None
    known: bool = False
    marks: tuple[Mark, ...] = ()
    sprayed: tuple[int, ...] = ()

    @property
    def days(self) -> list[int]:
        """Every day at which something begins or ends."""
        ends = [day for run in (*self.windows, *self.near_best) for day in run]
        return [*ends, *(self.stage or ()), *(mark.day for mark in self.marks)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Inks:
    """The colour of each carrier volume, and the letter of each sprayer where there are several."""

    fills: Mapping[float, str]
    letters: Mapping[str, str]


def period(lanes: Sequence[Lane], today: int) -> range:
    """Choose the days of the picture: all that happens, and today where it is not far from it.

    Examples
    --------
    >>> period([Lane(name="Zone 1", told="", windows=((20, 26),))], 10)
    range(10, 28)
    """
    days = [day for lane in lanes for day in lane.days]
    days += [day for lane in lanes for day in lane.sprayed if 0 <= today - day <= _BACK_D]
    first, last = min(days, default=today), max(days, default=today + _WEEK)
    if first - _SOON_D <= today <= last + _BACK_D:
        first, last = min(first, today), max(last, today)
    return range(first if first == today else first - 1, last + 2)  # a day stays free


def _share(part: float, whole: int) -> str:
    return f"{100 * part / whole:.2f}".rstrip("0").rstrip(".") + "%"


class _Days:
    """Where a day lies along the picture."""

    def __init__(self, days: range) -> None:
        self.days = days

    def at(self, number: float) -> str:
        return _share(number - self.days.start, len(self.days))

    def wide(self, days: float) -> str:
        return _share(days, len(self.days))


def height(lanes: Sequence[Lane]) -> int:
    """Height of the picture. [px]."""
    return _HEAD + len(lanes) * (_NAME + _LANE + _GAP)


def draw(lanes: Sequence[Lane], today: int, inks: Inks, *, label: str, name: str) -> str:
    """Draw the lanes.

    Parameters
    ----------
    lanes : sequence of Lane
        From top to bottom.
    today : int
    inks : Inks
    label : str
        What the picture is, for people who do not see it; the same facts must stand in a list beside it.
    name : str
        That the parts' names in the page begin with.

    Returns
    -------
    str
        An element `svg` as wide as its place.
    """
    along = _Days(period(lanes, today))
    high = height(lanes)
    parts = [
        f'<svg class="weeks" width="100%" height="{high}" role="img" aria-label="{escape(label)}" '
        f'font-size="14" fill="{colours.INK}">',
        f'<defs><g id="{name}-lane">{"".join(_ground(along, today))}</g></defs>',
        *_head(along, today),
    ]
    for row, lane in enumerate(lanes):
        top = _HEAD + row * (_NAME + _LANE + _GAP)
        parts += _row(lane, along, top, inks, name)
    return "".join((*parts, "</svg>"))


def _ground(along: _Days, today: int) -> Iterator[str]:
    """Give what lies under every lane: weekends, the weeks' edges, today."""
    yield f'<rect width="100%" height="{_LANE}" fill="{colours.WHITE}"/>'
    yield f'<g fill="{colours.SKIP}" fill-opacity=".7">'
    for number in along.days:
        weekday = date.fromordinal(number).weekday()
        if weekday == _SATURDAY or (weekday > _SATURDAY and number == along.days.start):
            wide = min(_WEEK - weekday, along.days.stop - number)
            yield f'<rect x="{along.at(number)}" width="{along.wide(wide)}" height="{_LANE}"/>'
    yield f'</g><g stroke="{colours.SECONDARY}" stroke-opacity=".3">'
    for number in _mondays(along.days):
        x = along.at(number)
        yield f'<line x1="{x}" x2="{x}" y2="{_LANE}"/>'
    yield f'<line x2="100%" y1="{_LANE}" y2="{_LANE}"/></g>'
    if today in along.days:
        x = along.at(today + 0.5)
        yield f'<line x1="{x}" x2="{x}" y1="-2" y2="{_LANE + 2}" stroke="{colours.INK}" stroke-width="2"/>'


def _mondays(days: range) -> list[int]:
    return [number for number in days if date.fromordinal(number).weekday() == 0]


def _head(along: _Days, today: int) -> Iterator[str]:
    """Name the Mondays, as many as a phone has room for, and today."""
    whole = len(along.days)
    every = next(n for n in range(1, whole + 2) if n * _WEEK * _PHONE / whole >= _DATE)
    yield f'<g fill="{colours.SECONDARY}">'
    for number in _mondays(along.days)[::every]:
        if (along.days.stop - number) * _PHONE / whole >= _DATE:
            yield f'<text x="{along.at(number)}" y="13">{day(date.fromordinal(number))}</text>'
    yield "</g>"
    when = f"today, {day(date.fromordinal(today))}"
    if today not in along.days:
        before = today < along.days.start
        where = 'text-anchor="start"' if before else 'x="100%" text-anchor="end"'
        yield f'<text y="31" {where}>{"←" if before else ""} {when} {"" if before else "→"}</text>'
        return
    late = (today - along.days.start) * 2 > whole
    anchor = "end" if late else "start"
    yield f'<text x="{along.at(today + 0.5 if late else today)}" y="31" text-anchor="{anchor}">{when}</text>'


def _row(lane: Lane, along: _Days, top: int, inks: Inks, name: str) -> Iterator[str]:
    named, told = plain(lane.name, _LONGEST), ""
    if lane.told:
        rest = escape(plain(lane.told, _LINE - len(named)))
        told = f'<tspan fill="{colours.SECONDARY}"> {rest}</tspan>'
    yield f'<text y="{top + 13}"><tspan font-weight="600">{escape(named)}</tspan>{told}</text>'
    yield f'<svg y="{top + _NAME}" overflow="visible" height="{_LANE}"><use href="#{name}-lane"/>'
    for first, last in lane.windows:
        yield (
            f'<rect x="{along.at(first)}" width="{along.wide(last + 1 - first)}" y="5" height="12" '
            f'fill="{WINDOW}" stroke="{colours.SECONDARY}"/>'
        )
    for first, last in lane.near_best:
        yield (
            f'<rect x="{along.at(first)}" width="{along.wide(last + 1 - first)}" y="18" height="4" '
            f'fill="{NEAR_BEST}"/>'
        )
    if lane.stage is not None:
        yield from _stage(lane.stage, lane.known, along)
    for number in lane.sprayed:
        if number in along.days:
            yield _sign(along.at(number + 0.5), colours.WHITE, '<path d="M-5 0L-1 4L5-4" fill="none"/>')
    yield from _passes(lane.marks, along, inks)
    yield "</svg>"


def _stage(stage: tuple[int, int, int], known: bool, along: _Days) -> Iterator[str]:
    """Draw R3: a line from early to late, a diamond on the likely day, filled where plants were counted."""
    early, likely, late = (along.at(number + 0.5) for number in stage)
    yield f'<g stroke="{colours.INK}"><line x1="{early}" x2="{late}" y1="11" y2="11"/>'
    for x in (early, late):
        yield f'<line x1="{x}" x2="{x}" y1="7" y2="15"/>'
    yield (
        f'<svg x="{likely}" overflow="visible"><path d="M0 5L6 11L0 17L-6 11Z" '
        f'fill="{colours.INK if known else colours.WHITE}"/></svg></g>'
    )


def _sign(x: str, fill: str, inside: str) -> str:
    """Draw a small sign on a day, as wide on every screen."""
    return (
        f'<svg x="{x}" y="11" overflow="visible" stroke="{colours.INK}">'
        f'<rect x="-10" y="-9" width="20" height="18" rx="3" fill="{fill}"/>{inside}</svg>'
    )


def _runs(marks: Sequence[Mark]) -> list[tuple[Mark, int, int]]:
    """Put together the half-days of a pass that follow each other: the first, where they begin and end."""
    runs: list[tuple[Mark, int, int]] = []
    for mark in sorted(marks, key=lambda one: (one.number, one.day, one.pm)):
        half = 2 * mark.day + mark.pm
        if runs and runs[-1][0].number == mark.number and runs[-1][2] == half:
            runs[-1] = (*runs[-1][:2], half + 1)
        else:
            runs.append((mark, half, half + 1))
    return runs


def _passes(marks: Sequence[Mark], along: _Days, inks: Inks) -> Iterator[str]:
    """Draw each pass on its half-days, with its number on the first."""
    named: set[int] = set()
    for mark, first, end in _runs(marks):
        fill = inks.fills[mark.rate_gal_ac]
        yield (
            f'<rect x="{along.at(first / 2)}" width="{along.wide((end - first) / 2)}" height="{_LANE}" '
            f'fill="{fill}" stroke="{colours.INK}"/>'
        )
        if mark.number not in named:
            named.add(mark.number)
            text = f"{mark.number}{inks.letters.get(mark.sprayer, '')}"
            ink = colours.readable_on(fill)
            letters = f'<text y="5" text-anchor="middle" stroke="none" fill="{ink}">{text}</text>'
            yield _sign(along.at((2 * first + 1) / 4), fill, letters)
