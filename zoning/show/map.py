"""map.png: where, when and whether on one sheet, as people text it to each other.

Draws in the metres of the field's UTM grid, so areas and scale bars are true and north is grid north.
Decides nothing; what the panels show is in `panels`.
"""

from collections import defaultdict
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from typing import Any, cast

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Line

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.plan import Area, Plan
from zoning.show import check_strips, furniture, strips_drawn
from zoning.show.figures import full_day
from zoning.show.labels import Label, Word, place, place_words
from zoning.show.look import DPI as DPI
from zoning.show.look import LOOK as _LOOK
from zoning.show.look import known as _known
from zoning.show.look import one_at_a_time
from zoning.show.panels import Panel, panels
from zoning.show.table import headline

_STRIP = 2.6  # wider than this for its height, a field is a strip
_HIGHEST = 5.2  # panel [inch]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Lengths of the sheet, in inches. All panels have one scale; those of a strip stand in one column."""

    panels: int
    stacked: bool
    panel_width: float
    panel_height: float
    legend_height: float
    inch_per_m: float

    MARGIN = 0.4
    GAP = 0.35
    HEAD = 0.95  # title and headline
    TITLE = 0.32  # of a panel
    FOOT = 1.3  # scale bars, caution, footer

    @property
    def width(self) -> float:
        """Width of the whole sheet. [inch]."""
        across = 1 if self.stacked else self.panels
        return max(2 * self.MARGIN + across * (self.panel_width + self.GAP) - self.GAP, 7.0)

    @property
    def _step(self) -> float:
        gap = self.GAP / 2 if self.stacked else 0.0
        return self.TITLE + self.panel_height + self.legend_height + gap

    @property
    def height(self) -> float:
        """Height of the whole sheet. [inch]."""
        return self.HEAD + (self.panels if self.stacked else 1) * self._step + self.FOOT

    def lower_left(self, index: int) -> tuple[float, float]:
        """Lower left corner of a panel. [inch]."""
        down, across = (index, 0) if self.stacked else (0, index)
        left = self.MARGIN + across * (self.panel_width + self.GAP)
        return left, self.height - self.HEAD - self.TITLE - self.panel_height - down * self._step


def _sheet(shown: tuple[Panel, ...], bounds_m: tuple[float, float, float, float]) -> Sheet:
    """Size the sheet after the field."""
    wide_m, high_m = bounds_m[2] - bounds_m[0], bounds_m[3] - bounds_m[1]
    stacked = wide_m > _STRIP * high_m and len(shown) > 1
    narrow = max(_HIGHEST * wide_m / high_m, 3.0)  # room for the legend's longest line
    panel_width = 9.6 if stacked else min(narrow, 4.1 if len(shown) > 1 else 6.2)
    panel_height = min(max(panel_width * high_m / wide_m, 0.8), _HIGHEST)
    lines = max(furniture.legend_lines(panel) for panel in shown)
    scale = min(panel_width / wide_m, panel_height / high_m)
    return Sheet(len(shown), stacked, panel_width, panel_height, (lines + 1) * furniture.LINE, scale)


def _line(area: Area) -> Line:
    """Outline of an area as one path; holes run the other way round, else they would be filled."""
    paths = []
    for part in shapely.get_parts(shapely.orient_polygons(area)):
        for ring in (part.exterior, *part.interiors):
            paths.append(Line(shapely.get_coordinates(ring), closed=True))
    return Line.make_compound_path(*paths)


def _block_outlines(plan: Plan) -> list[Area]:
    of_block = defaultdict(list)
    for zone in plan.zones:
        of_block[zone.block].append(from_lonlat(zone.outline, plan.epsg))
    return [cast(Area, shapely.coverage_union_all(outlines)) for outlines in of_block.values()]


def _shapes(axes: Axes, panel: Panel, blocks: list[Area]) -> None:
    for patch in panel.patches:
        line = _line(patch.outline_m)
        axes.add_artist(PathPatch(line, facecolor=patch.fill, edgecolor="none", linewidth=0))
        if patch.hatched:
            look = {"facecolor": "none", "edgecolor": colours.SKIP_HATCH, "hatch": furniture.HATCH}
            axes.add_artist(PathPatch(line, linewidth=0, **look))
        edge = colours.readable_on(patch.fill)  # ink on dark fills could not be seen
        axes.add_artist(PathPatch(line, facecolor="none", edgecolor=edge, linewidth=0.6, clip_on=False))
    for ground in panel.no_spray:
        line = _line(ground.outline_m)
        look = {"facecolor": colours.NO_SPRAY, "edgecolor": colours.NO_SPRAY_HATCH}
        axes.add_artist(PathPatch(line, linewidth=0, hatch=furniture.CROSSED, **look))
        axes.add_artist(
            PathPatch(line, facecolor="none", edgecolor=colours.INK, linewidth=1.0, clip_on=False)
        )
    for strip in panel.strips:
        hatch = furniture.HATCH if strip.hatched else ""
        strips_drawn.strip(axes, _line(strip.outline_m), strip.fill, dotted=strip.dotted, hatch=hatch)
    for block in blocks:
        axes.add_artist(
            PathPatch(_line(block), facecolor="none", edgecolor=colours.INK, linewidth=1.6, clip_on=False)
        )
    for line in shapely.get_parts(panel.dashed) if panel.dashed is not None else ():
        east_m, north_m = shapely.get_coordinates(line).T
        axes.plot(east_m, north_m, color=colours.WHITE, linewidth=1.6)
        axes.plot(east_m, north_m, color=colours.INK, linewidth=1.0, linestyle=(0, (3, 2)))


def _labels_and_marks(axes: Axes, page: furniture.Page, panel: Panel) -> None:
    to_pixel = axes.transData.transform

    def measure(text: str, size: float) -> tuple[float, float]:
        lines = text.split("\n")
        wide = max(page.width(line, size, "bold") for line in lines) * page.dpi
        pad = 0.45 * size / 72 * page.dpi
        return wide + pad, len(lines) * 1.25 * size / 72 * page.dpi + 0.6 * pad

    shapes = [shapely.transform(patch.outline_m, to_pixel) for patch in panel.patches]
    back = axes.transData.inverted().transform
    reach = furniture.MARK / 2 / 72 * page.dpi
    seen = [shapely.Point(to_pixel((one.east_m, one.north_m))).buffer(reach) for one in panel.marks]
    pairs = check_strips.pairs(panel.strips)
    strips = [shapely.transform(one, to_pixel) for one in pairs.values()]
    labels = place(panel.patches, shapes, measure, [*seen, *strips])
    for one, spot in zip(panel.marks, seen, strict=True):
        if not any(spot.intersects(label.box) for label in labels):
            furniture.mark(axes, (one.east_m, one.north_m), one.kind)
    ground = [shapely.transform(patch.outline_m, to_pixel) for patch in panel.no_spray]
    taken = shapely.union_all([*(label.box for label in labels), *seen])
    names = [*(patch.word for patch in panel.no_spray), *pairs]
    words = place_words(names, [*ground, *strips], measure, taken)
    told: list[tuple[Label | Word, str]] = [(label, label.patch.fill) for label in labels]
    for text, fill in [*told, *((word, colours.NO_SPRAY) for word in words)]:
        x, y = back((text.x, text.y))
        _write(axes, (x, y), text, fill)


def _write(axes: Axes, place_m: tuple[float, float], one: Label | Word, fill: str) -> None:
    axes.text(
        *place_m,
        one.text,
        size=one.size,
        weight="bold",
        color=colours.readable_on(fill),
        ha="center",
        va="center",
        linespacing=1.1,
        bbox={"boxstyle": "square,pad=0.15", "facecolor": fill, "edgecolor": "none"},
    )


def _panel(page: furniture.Page, sheet: Sheet, panel: Panel, index: int, middle_m: np.ndarray) -> Axes:
    """Make the axes of a panel: true to scale, the field in the middle."""
    figure = page.axes.figure
    box = (*sheet.lower_left(index), sheet.panel_width, sheet.panel_height)
    axes = figure.add_axes(
        (box[0] / sheet.width, box[1] / sheet.height, box[2] / sheet.width, box[3] / sheet.height)
    )
    axes.set_axis_off()
    reach = np.array(box[2:]) / sheet.inch_per_m / 2
    axes.set_xlim(middle_m[0] - reach[0], middle_m[0] + reach[0])
    axes.set_ylim(middle_m[1] - reach[1], middle_m[1] + reach[1])
    page.write((box[0], box[1] + box[3] + 0.13), panel.title, 11, weight="bold")
    told = replace(panel, notes=tuple(map(_known, panel.notes)))
    furniture.legend(page, (box[0], box[1] - 0.1), told, sheet.panel_width)
    return axes


def _around(page: furniture.Page, sheet: Sheet, plan: Plan) -> None:
    """Write title, headline, scale bars, north, caution and footer."""
    left, room = sheet.MARGIN, sheet.width - 2 * sheet.MARGIN
    farm = f", {_known(plan.farm)}" if plan.farm else ""
    field = _known(plan.field)
    title, size = page.fitted(f"{field}{farm}", 17, room - 2.0, "bold")
    page.write((left, sheet.height - 0.5), title, size, weight="bold")
    when, right = f"as of {full_day(plan.today)}", sheet.width - left
    page.axes.text(right, sheet.height - 0.5, when, size=11, ha="right", color=colours.INK)
    line, size = page.fitted(headline(plan), 11, room)
    page.write((left, sheet.height - 0.8), line, size)
    furniture.north(page, (left + 0.1, 0.78))
    furniture.scale_bars(page, (left + 1.0, 0.78), sheet.inch_per_m, min(2.4, 0.5 * sheet.panel_width))
    for caution in plan.cautions[:1]:  # the first is for every sheet
        line, size = page.fitted(_known(caution[:1].upper() + caution[1:]), 9, room)
        page.write((left, 0.42), line, size)
    where = f"EPSG:{plan.epsg}, schedule: {plan.schedule}, run {plan.run_id}, zones {plan.zones_id}"
    line, size = page.fitted(where, 8, room)
    page.write((left, 0.2), line, size, ink=colours.SECONDARY)


def draw(plan: Plan) -> Figure:
    """Draw the map of a plan.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    matplotlib.figure.Figure
        On an Agg canvas, not yet saved.
    """
    shown = panels(plan)
    boundary_m = from_lonlat(plan.boundary, plan.epsg)
    west, south, east, north = boundary_m.bounds
    sheet = _sheet(shown, boundary_m.bounds)
    figure = Figure(figsize=(sheet.width, sheet.height), dpi=DPI, facecolor=colours.WHITE)
    canvas = FigureCanvasAgg(figure)
    paper = figure.add_axes((0, 0, 1, 1))
    paper.set_axis_off()
    page = furniture.Page(paper, cast(Any, canvas).get_renderer(), DPI)
    _around(page, sheet, plan)
    blocks = _block_outlines(plan)
    middle_m = np.array([west + east, south + north]) / 2
    for index, panel in enumerate(shown):
        axes = _panel(page, sheet, panel, index, middle_m)
        _shapes(axes, panel, blocks)
        _labels_and_marks(axes, page, panel)
    paper.set_xlim(0, sheet.width)
    paper.set_ylim(0, sheet.height)
    return figure


def png(plan: Plan) -> bytes:
    """Give the map as a picture of 200 dots an inch.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    bytes
        A PNG; the same plan gives the same bytes, whatever the user set for pictures of their own.
    """
    drawn = BytesIO()
    about = {"Title": _known(plan.field), "Description": f"run {plan.run_id}", "Software": None}
    with one_at_a_time(_LOOK):
        draw(plan).savefig(drawn, format="png", dpi=DPI, metadata=about, pil_kwargs={"compress_level": 4})
    return drawn.getvalue()


def write(plan: Plan, path: Path) -> None:
    """Write the map into a file; see `png`."""
    path.write_bytes(png(plan))
