"""calendar.png: the farm's weeks on one sheet, as people text it to each other.

Chooses the rows, sizes the sheet, writes what stands around; its parts are drawn in `calendar_sheet`.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from zoning import colours
from zoning.plan import FarmPlan
from zoning.show.calendar_rows import Mark, Row, busiest, hours, letters, period, rows, sprayers
from zoning.show.calendar_sheet import (
    LINE,
    NEAR_BEST,
    PLANNED,
    SPRAYED,
    SPRAYED_SIGN,
    USED,
    WINDOW,
    Inks,
    Sheet,
    box,
    field_row,
    head,
    middle,
    strip,
)
from zoning.show.farm_report import dates, gap_line, headline
from zoning.show.figures import Units, full_day, plain, whole
from zoning.show.furniture import Page
from zoning.show.look import DPI, LOOK, known, one_at_a_time
from zoning.words import Said

MOST_ROWS = 60  # more would be too long a picture to send
_LONGEST = 60  # of a name [letters]; what does not fit is cut further
_BOLD = 0.85  # bold letters are wider: a share of the room


def _folded(page: Page, text: str, size: float, room: float) -> list[str]:
    """Break a text at its spaces into lines that fit the room."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and page.width(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(page.fitted(word, size, room)[0])
    return lines


def _shown(every: Sequence[Row], first: Collection[str] = ()) -> tuple[Row, ...]:
    """Choose the rows of the picture: all, or of many those whose passes come first.

    Among them passes of the sprayers that are named go before those of others, rows without one come last.
    """
    if len(every) <= MOST_ROWS:
        return tuple(every)

    def order(place: int) -> tuple[bool, bool, int, int]:
        marks = every[place].marks
        begin = min(marks, key=lambda mark: (mark.day, mark.pm), default=Mark(0, 0, 0, 0.0, ""))
        return not marks, not any(mark.sprayer in first for mark in marks), begin.day, begin.pm

    return tuple(every[place] for place in sorted(sorted(range(len(every)), key=order)[:MOST_ROWS]))


@dataclass(frozen=True, slots=True)
class Key:
    """One entry of the legend; `number` stands on its swatch, `high` is the swatch's height."""

    fill: str
    edge: str
    text: str
    high: float = 0.14
    number: str = ""


def _keys(farm: FarmPlan, shown: Sequence[Row], days: range, fills: dict[float, str]) -> list[Key]:
    written = Units(metric=farm.units == "metric")
    keys = []
    if any(row.window for row in shown):
        keys.append(Key(WINDOW, colours.SECONDARY, "R3, likely to closing day"))
    if any(row.near_best for row in shown):
        keys.append(Key(NEAR_BEST, "", "return near its best", 0.045))
    for rate, fill in fills.items():
        keys.append(Key(fill, colours.INK, f"pass at {written.rate(rate)} {written.rate_unit}", number="1"))
    if any(row.sprayed & set(days) for row in shown):
        keys.append(Key(SPRAYED, colours.INK, "sprayed already, on that day", number=SPRAYED_SIGN))
    if farm.hours:
        keys.append(Key(PLANNED, colours.SKIP_HATCH, "spray hours to plan on, AM and PM"))
        keys.append(Key(USED, colours.INK, "in use"))
    return keys


def _key_lines(page: Page, keys: Sequence[Key], room: float) -> list[list[tuple[float, Key]]]:
    """Set the legend in lines: each entry with the place of its swatch."""
    lines: list[list[tuple[float, Key]]] = []
    at = room
    for key in keys:
        wide = 0.36 + page.width(key.text, 8.5) + 0.2
        if at + wide - 0.2 > room or not lines:
            lines.append([])
            at = 0.0
        lines[-1].append((at, key))
        at += wide
    return lines


def _legend(page: Page, sheet: Sheet, lines: Sequence[Sequence[tuple[float, Key]]], top: float) -> None:
    for index, line in enumerate(lines):
        base = top - (index + 1) * LINE
        for at, key in line:
            x = sheet.MARGIN + at
            box(page, (x, base + (0.14 - key.high) / 2), (0.26, key.high), key.fill, key.edge)
            if key.number:
                middle(page, (x + 0.13, base + 0.07), key.number, 8, colours.readable_on(key.fill))
            page.write((x + 0.34, base + 0.03), key.text, 8.5)


def _names(page: Page, sheet: Sheet, shown: Sequence[Row]) -> None:
    """Name the rows: the field, and the blocks where it has several rows."""
    room = sheet.NAMES - 0.1
    for index, row in enumerate(shown):
        base = sheet.first_row - (index + 1) * sheet.ROW + 0.1
        blocks = known(", ".join(row.blocks))
        blocks, size = page.fitted(f"  {blocks}" if blocks else "", 9, 0.45 * room)
        wide = page.width(blocks, size) if blocks.strip() else 0.0
        name, shrunk = page.fitted(plain(known(row.field), _LONGEST), 9.5, room - wide)
        page.write((sheet.MARGIN, base), name, shrunk)
        if blocks.strip():
            page.axes.text(
                sheet.MARGIN + room, base, blocks.strip(), size=size, ha="right", color=colours.SECONDARY
            )


def _foot(farm: FarmPlan, every: Sequence[Row], shown: Sequence[Row]) -> list[tuple[str, str]]:
    """Say below the calendar what must not be missed, each line with its weight."""
    lines = [(line, "bold") for line in dates(farm)]
    there = set(shown)
    hidden = [row for row in every if row not in there]
    if hidden and any(row.marks for row in hidden):
        lines.append((Said("schedule.more_rows_some", count=whole(len(hidden))).text, "normal"))
    elif hidden:
        lines.append((Said("schedule.more_rows", count=whole(len(hidden))).text, "normal"))
    if more := len(sprayers(farm)) - len(busiest(farm)):
        lines.append((Said("schedule.more_rigs", count=more).text, "normal"))
    # the first caution is for every sheet
    cautions = dict.fromkeys(caution for plan in farm.plans for caution in plan.cautions[:1])
    lines += [(caution, "normal") for caution in cautions]
    if farm.hours and any(row.marks for row in every):
        lines.append((gap_line(farm), "normal"))
    return [(known(line[:1].upper() + line[1:]), weight) for line, weight in lines]


def _fills(farm: FarmPlan) -> dict[float, str]:
    """Give each carrier volume its colour, dark is more, and a number on it can be read."""
    rates = sorted({one.rate_gal_ac for plan in farm.plans for one in plan.passes})
    return {rate: colours.spray_with_number(rank, len(rates)) for rank, rate in enumerate(rates)}


def _lettered(rig: str, inks: Inks) -> str:
    """Name a sprayer with the letter that its passes carry."""
    return f"{inks.letters[rig]}: {rig}" if rig in inks.letters else rig


def draw(farm: FarmPlan) -> Figure:
    """Draw the calendar of a farm.

    Parameters
    ----------
    farm : FarmPlan

    Returns
    -------
    matplotlib.figure.Figure
        On an Agg canvas, not yet saved.
    """
    every, busy = rows(farm), busiest(farm)
    shown, fills = _shown(every, busy), _fills(farm)
    days = period(farm, shown)
    inks, known_h = Inks(fills, letters(farm)), hours(farm)
    rigs = [(_lettered(rig, inks), known_h[rig]) for rig in busy]
    rigs = [(rig, told) for rig, told in rigs if any(day in told for day in days)]
    bare = Sheet(days, len(shown), len(rigs), 0, 0, 0)
    figure = Figure(figsize=(bare.width, bare.height), dpi=DPI, facecolor=colours.WHITE)
    canvas = FigureCanvasAgg(figure)
    paper = figure.add_axes((0, 0, 1, 1))
    paper.set_axis_off()
    page = Page(paper, cast(Any, canvas).get_renderer(), DPI)
    room = bare.width - 2 * bare.MARGIN
    top = _folded(page, headline(farm), 10, room)
    keys = _key_lines(page, _keys(farm, shown, days, fills), room)
    foot = [
        (line, weight)
        for text, weight in _foot(farm, every, shown)
        for line in _folded(page, text, 8.5, (1.0 if weight == "normal" else _BOLD) * room)
    ]
    sheet = Sheet(days, len(shown), len(rigs), len(top), len(foot), len(keys))
    figure.set_size_inches(sheet.width, sheet.height)
    _title(page, sheet, farm, top)
    bottom = sheet.first_row - len(shown) * sheet.ROW
    head(page, sheet, bottom)
    _names(page, sheet, shown)
    for index, row in enumerate(shown):
        field_row(page, sheet, row, sheet.first_row - index * sheet.ROW, inks)
    most_h = max(
        (
            h
            for _, told in rigs
            for number, one in told.items()
            if number in days
            for h in one.planned_h + one.used_h
        ),
        default=0.0,
    )
    for index, told in enumerate(rigs):
        strip(page, sheet, told, bottom - index * sheet.STRIP, max(most_h, 1.0))
    below = bottom - len(rigs) * sheet.STRIP - 0.12
    _legend(page, sheet, keys, below)
    for index, (line, weight) in enumerate(foot):
        y = below - (len(keys) + index + 1) * LINE - 0.08
        page.write((sheet.MARGIN, y), line, 8.5, weight=weight)
    paper.set_xlim(0, sheet.width)
    paper.set_ylim(0, sheet.height)
    return figure


def _title(page: Page, sheet: Sheet, farm: FarmPlan, top: Sequence[str]) -> None:
    when = f"as of {full_day(farm.today)}"
    right, y = sheet.width - sheet.MARGIN, sheet.height - 0.45
    room = right - sheet.MARGIN - page.width(when, 9.5) - 0.2
    title, size = page.fitted(plain(known(farm.farm), _LONGEST), 16, room, "bold")
    page.write((sheet.MARGIN, y), title, size, weight="bold")
    page.axes.text(right, y, when, size=9.5, ha="right", color=colours.INK)
    for index, line in enumerate(top):
        page.write((sheet.MARGIN, y - (index + 1) * LINE - 0.03), line, 10)


def write(farm: FarmPlan, path: Path) -> None:
    """Write the calendar as a picture of 200 dots an inch.

    Parameters
    ----------
    farm : FarmPlan
    path : Path
        The PNG file; the same plan gives the same bytes.
    """
    with one_at_a_time(LOOK):
        about = {"Title": known(farm.farm), "Description": f"as of {farm.today}", "Software": None}
        draw(farm).savefig(path, format="png", dpi=DPI, metadata=about, pil_kwargs={"compress_level": 4})
