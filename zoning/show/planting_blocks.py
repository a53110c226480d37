"""planting_blocks.png: the blocks that follow from a planter's file, with its records, to be confirmed.

Draws in the metres of the field's UTM grid, so scale bars are true and north is grid north.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, cast

import numpy as np
import numpy.typing as npt
import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path as Line

from zoning import colours
from zoning.chance import generator
from zoning.inputs.given import Area, Block
from zoning.show import furniture
from zoning.show.look import LOOK, known, one_at_a_time
from zoning.words import amounts

_DPI = 130  # small enough to be sent by phone
_MARGIN, _HEAD, _BARS = 0.4, 0.8, 0.75
_MAP_WIDE, _MAP_HIGH, _LEAST_HIGH = 6.0, 5.2, 0.8
_MOST_DOTS = 20_000  # more only make the picture slow to draw
_SEED = 0  # the same file gives the same picture
_MOST_KEYS = 24
_DOT = 1.2  # width of a dot of a record [points]
_LETTERS = 11.0
_LONGEST_BAR = 1.8
_PALE = 0.5  # of the ramp of days: the darkest shades would hide the dots


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shown:
    """What the picture shows; outlines and records in one plane, in metres."""

    field: str
    file: str
    outline: Area
    blocks: Sequence[Block]
    records_m: npt.NDArray[np.object_]
    is_metric: bool


def png(shown: Shown) -> bytes:
    """Draw the blocks on the boundary; the same input gives the same bytes.

    Parameters
    ----------
    shown : Shown
        At least one block.

    Returns
    -------
    bytes
        A PNG: every block has its letter and its day, and colours follow the days from pale to dark.
    """
    with one_at_a_time(LOOK):
        content = BytesIO()
        about = {"Title": known(shown.field), "Software": None}
        _drawn(shown).savefig(content, format="png", dpi=_DPI, metadata=about)
        return content.getvalue()


def _drawn(shown: Shown) -> Figure:
    west, south, east, north = shown.outline.bounds
    inch_per_m = min(_MAP_WIDE / (east - west), _MAP_HIGH / (north - south))
    high = max((north - south) * inch_per_m, _LEAST_HIGH)
    keys = min(len(shown.blocks), _MOST_KEYS) + (len(shown.blocks) > _MOST_KEYS)
    size = (_MAP_WIDE + 2 * _MARGIN, _HEAD + high + _BARS + keys * furniture.LINE + _MARGIN)
    figure = Figure(figsize=size, dpi=_DPI, facecolor=colours.WHITE)
    canvas = FigureCanvasAgg(figure)
    paper = figure.add_axes((0, 0, 1, 1))
    paper.set_axis_off()
    page = furniture.Page(paper, cast(Any, canvas).get_renderer(), _DPI)
    title, letters = page.fitted(known(shown.field), 13, _MAP_WIDE, "bold")
    page.write((_MARGIN, size[1] - 0.4), title, letters, weight="bold")
    told, letters = page.fitted(known(f"blocks of {shown.file}, to be confirmed"), 9, _MAP_WIDE)
    page.write((_MARGIN, size[1] - 0.62), told, letters, ink=colours.SECONDARY)
    low = size[1] - _HEAD - high
    axes = figure.add_axes((_MARGIN / size[0], low / size[1], _MAP_WIDE / size[0], high / size[1]))
    axes.set_axis_off()
    _field(axes, shown)
    middle, across = (west + east) / 2, _MAP_WIDE / inch_per_m
    axes.set_xlim(middle - across / 2, middle + across / 2)
    axes.set_ylim((south + north) / 2 - high / inch_per_m / 2, (south + north) / 2 + high / inch_per_m / 2)
    furniture.north(page, (_MARGIN + 0.1, low - 0.62))
    furniture.scale_bars(page, (_MARGIN + 0.95, low - 0.58), inch_per_m, _LONGEST_BAR)
    _legend(page, low - _BARS, shown)
    paper.set_xlim(0, size[0])
    paper.set_ylim(0, size[1])
    return figure


def _fills(blocks: Sequence[Block]) -> list[str]:
    """Give each block the colour of its day."""
    days = sorted({block.planted for block in blocks})
    last = max(len(days) - 1, 1)
    return [colours.ramp(colours.DATE, _PALE * days.index(block.planted) / last) for block in blocks]


def _field(axes: Axes, shown: Shown) -> None:
    for block, fill in zip(shown.blocks, _fills(shown.blocks), strict=True):
        axes.add_artist(PathPatch(_line(block.outline), facecolor=fill, edgecolor=colours.INK, linewidth=0.9))
    lines = shown.records_m[shapely.get_dimensions(shown.records_m) == 1]
    at = shapely.get_coordinates(shown.records_m[shapely.get_dimensions(shown.records_m) == 0])
    at = at[_few(len(at))]
    axes.plot(at[:, 0], at[:, 1], linestyle="none", marker=".", markersize=_DOT, color=colours.INK, alpha=0.5)
    for one in shapely.get_parts(lines)[:_MOST_DOTS]:
        axes.plot(*shapely.get_coordinates(one).T, color=colours.INK, linewidth=0.4, alpha=0.5)
    edge: dict[str, Any] = {"facecolor": "none", "edgecolor": colours.INK, "linewidth": 1.6, "clip_on": False}
    axes.add_artist(PathPatch(_line(shown.outline), **edge))
    box = {
        "boxstyle": "square,pad=0.2",
        "facecolor": colours.WHITE,
        "edgecolor": colours.INK,
        "linewidth": 0.5,
    }
    for block in shown.blocks:
        largest = max(shapely.get_parts(block.outline), key=lambda part: float(part.area))
        middle = shapely.maximum_inscribed_circle(largest)  # its first corner lies in the middle
        x, y = shapely.get_coordinates(middle)[0]
        look: dict[str, Any] = {"size": _LETTERS, "weight": "bold", "color": colours.INK, "bbox": box}
        axes.text(x, y, block.name, ha="center", va="center", zorder=5, **look)


def _few(count: int) -> npt.NDArray[np.int64]:
    """Choose which records get a dot: by chance, as every n-th would draw passes that nobody drove."""
    return generator(_SEED, "dots").permutation(count)[:_MOST_DOTS]


def _legend(page: furniture.Page, top: float, shown: Shown) -> None:
    """List the blocks below the map: letter, day, variety, area."""
    fills = _fills(shown.blocks)
    for at, block in enumerate(shown.blocks[:_MOST_KEYS]):
        y = top - (at + 1) * furniture.LINE
        page.axes.add_artist(
            Rectangle((_MARGIN, y), 0.26, 0.15, facecolor=fills[at], edgecolor=colours.INK, linewidth=0.6)
        )
        variety = f", {block.variety}" if block.variety else ""
        area = amounts.area(block.area_ac, is_metric=shown.is_metric)
        told = f"{block.name}: {block.planted}{variety}, {area}"
        line, size = page.fitted(known(told), 9, _MAP_WIDE - 0.4)
        page.write((_MARGIN + 0.36, y + 0.02), line, size)
    if len(shown.blocks) > _MOST_KEYS:
        y = top - (_MOST_KEYS + 1) * furniture.LINE
        page.write((_MARGIN + 0.36, y + 0.02), f"and {len(shown.blocks) - _MOST_KEYS} more", 9)


def _line(area: Area) -> Line:
    """Outline of an area as one path; holes run the other way round, else they would be filled."""
    rings = [
        Line(shapely.get_coordinates(ring), closed=True)
        for part in shapely.get_parts(shapely.orient_polygons(area))
        for ring in (part.exterior, *part.interiors)
        if part.area
    ]
    return Line.make_compound_path(*rings)
