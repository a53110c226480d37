"""A picture becomes a PNG: title and words above, the map true to scale, its legend beside, scale below."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from typing import Any, cast

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path as Line
from matplotlib.transforms import BboxBase
from PIL import Image
from shapely import Point
from shapely.geometry.base import BaseGeometry

from zoning import colours, units
from zoning.preview.picture import ROOM, Cells, Key, Picture, Shape
from zoning.show import furniture
from zoning.show.look import LOOK, known, one_at_a_time

DPI = 100
_LEFT, _HEAD, _FOOT, _LEGEND = 0.2, 0.92, 0.62, 1.75  # around the map [inch]
WIDTH, HEIGHT = ROOM[0] + _LEFT + _LEGEND, ROOM[1] + _HEAD + _FOOT  # of a picture [inch]
_COLOURS = 256  # that a picture is written with
_STEPS = 256  # of a ramp
_KM = 5_000.0  # m: scales longer than this are in km and miles
NOT_KNOWN, HIDDEN = colours.SKIP, colours.SKIP_HATCH


@dataclass(frozen=True, slots=True)
class Frame:
    """A sheet with its title, on which something is still to be drawn."""

    figure: Figure
    page: furniture.Page


def png(picture: Picture) -> bytes:
    """Draw a picture.

    Returns
    -------
    bytes
        A PNG; the same picture gives the same bytes, whatever the user set for pictures of their own.
    """
    with framed(picture.title, picture.lines) as (frame, drawn):
        wide, high = ROOM
        box = (_LEFT / WIDTH, _FOOT / HEIGHT, wide / WIDTH, high / HEIGHT)
        axes = frame.figure.add_axes(box)
        inch_per_m = _to_scale(axes, picture.bounds_m, (wide, high))
        _map(axes, picture)
        _legend(frame.page, picture)
        _scale(frame.page, inch_per_m)
        furniture.north(frame.page, (_LEFT + wide - 0.75, 0.14))
        if picture.north != "grid N":
            frame.page.axes.texts[-1].set_text(picture.north)
    return drawn.getvalue()


@contextmanager
def framed(title: str, lines: tuple[str, ...]) -> Iterator[tuple[Frame, BytesIO]]:
    """Give a sheet with title and words; what was drawn on it afterwards is in the bytes at the end."""
    drawn = BytesIO()
    with one_at_a_time(LOOK):
        figure = Figure(figsize=(WIDTH, HEIGHT), dpi=DPI, facecolor=colours.WHITE)
        canvas = FigureCanvasAgg(figure)
        paper = figure.add_axes((0, 0, 1, 1))
        paper.set_axis_off()
        page = furniture.Page(paper, cast(Any, canvas).get_renderer(), DPI)
        text, size = page.fitted(known(title), 12, WIDTH - 2 * _LEFT, "bold")
        page.write((_LEFT, HEIGHT - 0.3), text, size, weight="bold")
        for row, line in enumerate(lines):
            text, size = page.fitted(known(line), 9, WIDTH - 2 * _LEFT)
            page.write((_LEFT, HEIGHT - 0.54 - 0.2 * row), text, size, ink=colours.SECONDARY)
        yield Frame(figure, page), drawn
        paper.set_xlim(0, WIDTH)
        paper.set_ylim(0, HEIGHT)
        painted = cast(Any, canvas)
        painted.draw()
        whole = Image.frombytes("RGBA", painted.get_width_height(), bytes(painted.buffer_rgba()))
        few = whole.convert("RGB").quantize(_COLOURS, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
        few.save(drawn, format="PNG", optimize=True)


def _to_scale(axes: Axes, bounds_m: tuple[float, float, float, float], room: tuple[float, float]) -> float:
    """Put what is seen in the middle of the axes, as large as they allow; gives inches a metre."""
    west, south, east, north = bounds_m
    scale = min(room[0] / (east - west), room[1] / (north - south))
    reach_x, reach_y = room[0] / scale / 2, room[1] / scale / 2
    axes.set_xlim((west + east) / 2 - reach_x, (west + east) / 2 + reach_x)
    axes.set_ylim((south + north) / 2 - reach_y, (south + north) / 2 + reach_y)
    axes.set_xticks([])
    axes.set_yticks([])
    for side in axes.spines.values():
        side.set_color(colours.LINE)
        side.set_linewidth(0.8)
    return scale


def _map(axes: Axes, picture: Picture) -> None:
    if picture.cells is not None:
        _cells(axes, picture.cells)
    for shape in picture.shapes:
        _shape(axes, shape)
    for dots in picture.dots:
        look: dict[str, Any] = {"marker": dots.form, "linewidths": dots.rim, "edgecolors": colours.INK}
        east_m, north_m = dots.at_m.T
        axes.scatter(east_m, north_m, s=dots.size**2, c=list(dots.fills), zorder=4, **look)
    for edge, width in ((colours.WHITE, 3.4), (colours.INK, 1.8)):  # to be seen on dark and on light
        _stroke(axes, picture.field, edge, width, zorder=5)
    _words(axes, [shape for shape in picture.shapes if shape.word])


def _cells(axes: Axes, cells: Cells) -> None:
    grid = cells.grid
    rows, columns = grid.shape
    shades = np.array([colours.rgb(colours.ramp(colours.INDEX, s)) for s in np.linspace(0, 1, _STEPS)])
    spread = cells.high - cells.low
    share = (cells.values - cells.low) / spread if spread > 0 else np.zeros(cells.values.shape)
    picked = np.clip(np.nan_to_num(share) * _STEPS, 0, _STEPS - 1).astype(np.int64)
    image = shades[picked].astype(np.uint8)
    image[np.isnan(cells.values)] = colours.rgb(NOT_KNOWN)
    if cells.hidden is not None:
        image[cells.hidden] = colours.rgb(HIDDEN)
    if cells.shown is not None:
        image[~cells.shown] = colours.rgb(colours.WHITE)
    box = (grid.left_m, grid.left_m + columns * grid.cell_m, grid.top_m - rows * grid.cell_m, grid.top_m)
    limits = axes.get_xlim(), axes.get_ylim()
    axes.imshow(image, extent=box, interpolation="nearest", aspect="auto", zorder=1)
    axes.set_xlim(*limits[0])
    axes.set_ylim(*limits[1])


def _shape(axes: Axes, shape: Shape) -> None:
    for part in shapely.get_parts(shape.outline):
        if shapely.get_dimensions(part) < 2:
            continue
        path = _path(part)
        if shape.fill or shape.hatch:
            face = shape.fill or "none"
            look: dict[str, Any] = {"edgecolor": colours.NO_SPRAY_HATCH if shape.hatch else "none"}
            axes.add_patch(PathPatch(path, facecolor=face, hatch=shape.hatch, linewidth=0, zorder=2, **look))
    _stroke(axes, shape.outline, shape.edge, shape.width, zorder=3, dashed=shape.dashed)


def _stroke(
    axes: Axes, outline: BaseGeometry, edge: str, width: float, *, zorder: int, dashed: bool = False
) -> None:
    """Draw edges and lines; polygons with their holes."""
    for part in shapely.get_parts(outline):
        kind = shapely.get_dimensions(part)
        if kind < 1:
            continue
        path = _path(part) if kind == 2 else Line(shapely.get_coordinates(part))
        style: Any = (0, (4, 2.5)) if dashed else "solid"
        look: dict[str, Any] = {"facecolor": "none", "edgecolor": edge, "linestyle": style}
        axes.add_patch(PathPatch(path, linewidth=width, zorder=zorder, **look))


def _path(polygon: BaseGeometry) -> Line:
    """Outline with holes as one path; holes run the other way round, else they would be filled."""
    whole = cast(Any, shapely.orient_polygons(polygon))
    rings = (whole.exterior, *whole.interiors)
    return Line.make_compound_path(*(Line(shapely.get_coordinates(ring), closed=True) for ring in rings))


def _words(axes: Axes, shapes: Sequence[Shape]) -> None:
    """Write words on shapes, the largest first: none over another, and none where there is no room for it."""
    size, pad = 9, 0.2
    look: dict[str, Any] = {"boxstyle": f"square,pad={pad}", "facecolor": colours.WHITE, "edgecolor": "none"}
    ink: dict[str, Any] = {"color": colours.INK, "weight": "bold", "zorder": 6, "bbox": look}
    taken: list[BboxBase] = []
    for shape in sorted(shapes, key=lambda one: shapely.area(one.outline), reverse=True):
        word = axes.text(0, 0, known(shape.word), size=size, ha="center", va="center", clip_on=True, **ink)
        for place in _places(shape.outline):
            word.set_position((place.x, place.y))
            room = word.get_window_extent().padded(pad * size * DPI / 72)  # points an inch
            if not any(room.overlaps(one) for one in taken):
                taken.append(room)
                break
        else:
            word.remove()


def _places(outline: BaseGeometry) -> Iterator[Point]:
    """Give places on the largest part of a shape: its middle, then higher and lower ones."""
    parts = shapely.get_parts(outline)
    part = parts[int(np.argmax(shapely.area(parts)))]
    yield shapely.point_on_surface(part)
    west, south, east, north = shapely.bounds(part)
    for share in (0.7, 0.3, 0.9, 0.1):
        north_m = south + share * (north - south)
        across = shapely.intersection(part, shapely.LineString([(west, north_m), (east, north_m)]))
        if across.length > 0:
            yield shapely.line_interpolate_point(shapely.get_parts(across)[0], 0.5, normalized=True)


def _legend(page: furniture.Page, picture: Picture) -> None:
    left, top = WIDTH - _LEGEND + 0.15, HEIGHT - _HEAD
    keys = list(picture.keys)
    if picture.cells is not None:
        if np.isfinite(picture.cells.values).any():
            top = _bar(page, (left, top), picture.cells)
        unknown = np.isnan(picture.cells.values)
        if (unknown if picture.cells.shown is None else unknown & picture.cells.shown).any():
            keys.append(Key(text="no data", fill=NOT_KNOWN))
        if picture.cells.hidden is not None and picture.cells.hidden.any():
            keys.append(Key(text="masked out", fill=HIDDEN))
    for key in keys:
        top -= furniture.LINE
        _swatch(page, (left, top), key)
        text, size = page.fitted(known(key.text), 8.5, _LEGEND - 0.55)
        page.write((left + 0.34, top + 0.02), text, size)


def _bar(page: furniture.Page, place: tuple[float, float], cells: Cells) -> float:
    """Draw the colours of cells upright, with the numbers of both ends; gives where the legend goes on."""
    left, top = place
    high, wide = 1.5, 0.22
    shades = [colours.rgb(colours.ramp(colours.INDEX, share)) for share in np.linspace(1, 0, 128)]
    base = top - high
    column = np.array(shades, dtype=np.uint8)[:, None]
    page.axes.imshow(column, extent=(left, left + wide, base, top), aspect="auto", zorder=1)
    look: dict[str, Any] = {"facecolor": "none", "edgecolor": colours.INK, "linewidth": 0.6, "zorder": 2}
    page.axes.add_artist(Rectangle((left, base), wide, high, **look))
    middle = (cells.low + cells.high) / 2
    ends = ((0.0, cells.low), (1.0, cells.high)) if cells.high > cells.low else ()
    for share, value in ((0.5, middle), *ends):
        text = amount(value, cells.high - cells.low)
        page.write((left + wide + 0.08, base + share * (high - 0.1) - 0.01), text, 8.5)
    text, size = page.fitted(known(cells.unit), 8.5, _LEGEND - 0.2)
    page.write((left, base - 0.17), text, size)
    return base - 0.25


def _swatch(page: furniture.Page, place: tuple[float, float], key: Key) -> None:
    left, base = place
    wide, high = furniture.LINE + 0.05, 0.7 * furniture.LINE
    if key.form in ("-", "--"):
        style: Any = (0, (4, 2.5)) if key.form == "--" else "solid"
        line = Line2D([left, left + wide], [base + high / 2] * 2, color=key.edge, linestyle=style)
        line.set_linewidth(1.6)
        page.axes.add_artist(line)
    elif key.form:
        dot = Line2D([left + wide / 2], [base + high / 2], marker=key.form, markersize=6, linestyle="none")
        dot.set_markerfacecolor(key.fill)
        dot.set_markeredgecolor(colours.INK)
        dot.set_markeredgewidth(0.6)
        page.axes.add_artist(dot)
    else:
        hatched: dict[str, Any] = {"edgecolor": colours.NO_SPRAY_HATCH if key.hatch else "none"}
        fill = key.fill or "none"
        hatched |= {"facecolor": fill, "hatch": key.hatch, "linewidth": 0}
        page.axes.add_artist(Rectangle(place, wide, high, **hatched))
        rim: dict[str, Any] = {"facecolor": "none", "edgecolor": key.edge, "linewidth": 0.6}
        page.axes.add_artist(Rectangle(place, wide, high, **rim))


def _scale(page: furniture.Page, inch_per_m: float) -> None:
    """Draw two scale bars, longer ones in km and miles."""
    room = 1.9
    if room / inch_per_m <= _KM:
        furniture.scale_bars(page, (_LEFT, 0.16), inch_per_m, room)
        return
    for lift, unit, inch in ((0.24, "km", inch_per_m * 1000), (0.0, "mi", inch_per_m / units.mi_from_m(1))):
        length = furniture.round_length(room / inch)
        look: dict[str, Any] = {"linewidth": 0.6, "edgecolor": colours.INK, "facecolor": colours.INK}
        page.axes.add_artist(Rectangle((_LEFT, 0.16 + lift), length * inch, 0.05, **look))
        page.write((_LEFT + length * inch + 0.08, 0.14 + lift), f"{length:,} {unit}", 8)


def amount(value: float, spread: float) -> str:
    """Write a number with as many digits as its spread needs.

    Examples
    --------
    >>> amount(301.234, 8.6), amount(0.61234, 0.2), amount(12345.6, 900.0), amount(-0.0001, 1.0)
    ('301.2', '0.61', '12,346', '0.0')
    """
    digits = min(6, max(0, 1 - int(np.floor(np.log10(spread))))) if spread > 0 else 2
    return f"{round(value, digits) + 0.0:,.{digits}f}"
