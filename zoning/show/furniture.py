"""What stands around the maps: legends, colour bar, both scale bars, the arrow to grid north, fitted text.

Everything is placed in inches on one page; knows no plan.
"""

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon as Outline
from matplotlib.patches import Rectangle

from zoning import colours, units
from zoning.show import strips_drawn
from zoning.show.panels import MINUS, Key, Panel

HATCH = "////"
CROSSED = "xxxx"
LINE = 0.21  # height of a legend line [inch]
_SWATCH = 0.26
_STEPS = (1, 2, 5)
_SHAPES = {"count": ("o", 5.5), "pressure": ("D", 4.2)}  # form and size of a mark [points]
_RIM = 1.0  # of a mark [points]
_MOST_LETTERS = 600  # of a line: no sheet is as wide, and to measure more takes long
MARK = 7.0  # room that a mark takes, either way [points]


@dataclass(frozen=True, slots=True)
class Page:
    """The sheet that all furniture stands on, in inches from the lower left, and how wide text is on it."""

    axes: Axes
    renderer: RendererAgg
    dpi: float

    def width(self, text: str, size: float, weight: str = "normal") -> float:
        """Width of a line of text. [inch]."""
        font = FontProperties(family="DejaVu Sans", size=size, weight=weight)
        return float(cast(Any, self.renderer).get_text_width_height_descent(text, font, False)[0]) / self.dpi

    def write(
        self,
        place: tuple[float, float],
        text: str,
        size: float,
        *,
        weight: str = "normal",
        ink: str = colours.INK,
    ) -> None:
        """Write a line from its lower left corner."""
        self.axes.text(*place, text, size=size, weight=weight, color=ink, ha="left", va="baseline")

    def fitted(self, text: str, size: float, room: float, weight: str = "normal") -> tuple[str, float]:
        """Make a line fit into the room: first smaller by a quarter at most, then cut short."""
        if len(text) > _MOST_LETTERS:
            text = text[:_MOST_LETTERS] + "..."
        wide = self.width(text, size, weight)
        if wide <= room:
            return text, size
        smaller = max(size * room / wide, 0.75 * size)
        while self.width(text, smaller, weight) > room and len(text) > 4:
            text = text[: -max(2, len(text) // 40) - 3].rstrip() + "..."
        return text, smaller


def _swatch(page: Page, place: tuple[float, float], key: Key) -> None:
    box = (place, _SWATCH, 0.7 * LINE)
    if key.dotted is not None:
        strips_drawn.swatch(page.axes, box, key.fill, dotted=key.dotted)
        return
    edge, hatch = "none", None
    if key.crossed:
        edge, hatch = colours.NO_SPRAY_HATCH, CROSSED
    elif key.hatched:
        edge, hatch = colours.SKIP_HATCH, HATCH
    page.axes.add_artist(Rectangle(*box, facecolor=key.fill, edgecolor=edge, hatch=hatch, linewidth=0))
    page.axes.add_artist(Rectangle(*box, facecolor="none", edgecolor=colours.INK, linewidth=0.6))


def mark(axes: Axes, place: tuple[float, float], kind: str) -> None:
    """Mark a place where something was seen: white with a rim of ink stands out on every colour."""
    form, size = _SHAPES[kind]
    point = Line2D([place[0]], [place[1]], marker=form, markersize=size, linestyle="none")
    point.set_markerfacecolor(colours.WHITE)
    point.set_markeredgecolor(colours.INK)
    point.set_markeredgewidth(_RIM)
    point.set_clip_on(False)
    axes.add_artist(point)


def _bar(page: Page, place: tuple[float, float], panel: Panel, length: float) -> None:
    left, base = place
    shades = [colours.ramp(colours.NET, share) for share in np.linspace(0, 1, 128)]
    row = np.array([[[int(shade[i : i + 2], 16) for i in (1, 3, 5)] for shade in shades]], dtype=np.uint8)
    height = 0.7 * LINE
    page.axes.imshow(row, extent=(left, left + length, base, base + height), aspect="auto", zorder=1)
    page.axes.add_artist(
        Rectangle(place, length, height, facecolor="none", edgecolor=colours.INK, linewidth=0.6, zorder=2)
    )
    ends = ((0.0, f"{MINUS}{panel.bar}", "left"), (0.5, "0", "center"), (1.0, f"+{panel.bar}", "right"))
    for share, text, side in ends:
        page.axes.plot([left + share * length] * 2, [base, base - 0.04], color=colours.INK, linewidth=0.6)
        page.axes.text(left + share * length, base - 0.06, text, size=8, ha=side, va="top", color=colours.INK)
    page.write((left + length + 0.1, base + 0.02), panel.bar_unit, 8)


def legend_lines(panel: Panel) -> int:
    """Count the lines that a panel's legend takes."""
    return len(panel.keys) + (2 if panel.bar else 0) + (1 if panel.about_marks else 0) + len(panel.notes)


def legend(page: Page, place: tuple[float, float], panel: Panel, room: float) -> None:
    """Draw a panel's legend downwards from its upper left corner."""
    left, top = place
    for key in panel.keys:
        top -= LINE
        _swatch(page, (left, top), key)
        _say(page, (left, top), key.text, room)
    if panel.about_marks:
        top -= LINE
        mark(page.axes, (left + _SWATCH / 2, top + 0.35 * LINE), panel.marks[0].kind)
        _say(page, (left, top), panel.about_marks, room)
    if panel.bar:
        _bar(page, (left, top - LINE), panel, min(2.2, 0.6 * room))
        top -= 2 * LINE
    for note in panel.notes:
        top -= LINE
        text, size = page.fitted(note, 8, room)
        page.write((left, top + 0.02), text, size, ink=colours.SECONDARY)


def _say(page: Page, place: tuple[float, float], text: str, room: float) -> None:
    """Write what a swatch or a mark of the legend means, beside it."""
    text, size = page.fitted(text, 8.5, room - _SWATCH - 0.1)
    page.write((place[0] + _SWATCH + 0.1, place[1] + 0.02), text, size)


def round_length(longest: float) -> int:
    """Give the longest of 1, 2, 5, 10, 20, ... that is not above a length.

    Examples
    --------
    >>> round_length(349.0), round_length(1.4)
    (200, 1)
    """
    lengths = [step * 10**power for power in range(7) for step in _STEPS]
    return max((length for length in lengths if length <= longest), default=1)


def scale_bars(page: Page, place: tuple[float, float], inch_per_m: float, longest: float) -> None:
    """Draw one bar in metres and one in feet, one above the other, from the lower left corner."""
    left, base = place
    for lift, unit, inch_per_unit in (
        (0.24, "m", inch_per_m),
        (0.0, "ft", inch_per_m / units.ft_from_m(1)),
    ):
        length = round_length(longest / inch_per_unit)
        wide, y = length * inch_per_unit, base + lift
        page.axes.add_artist(Rectangle((left, y), wide / 2, 0.06, facecolor=colours.INK, linewidth=0))
        page.axes.add_artist(
            Rectangle((left, y), wide, 0.06, facecolor="none", edgecolor=colours.INK, linewidth=0.6)
        )
        page.write((left + wide + 0.08, y - 0.02), f"{length:,} {unit}", 8)


def north(page: Page, place: tuple[float, float]) -> None:
    """Draw the arrow to grid north; the sheet is not turned, so it points straight up."""
    x, base = place
    half, height = 0.08, 0.34
    page.axes.add_artist(
        Outline(
            [(x, base + height), (x - half, base), (x, base + 0.08), (x + half, base)],
            closed=True,
            facecolor=colours.INK,
            linewidth=0,
        )
    )
    page.write((x + half + 0.08, base + 0.1), "grid N", 8)
