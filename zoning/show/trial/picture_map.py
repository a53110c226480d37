"""The map on the picture of a trial, and its legend. Everything else stands in `picture`."""

from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.colors import ListedColormap
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path as Line

from zoning import colours
from zoning.plan import Area
from zoning.plan.trial import TrialResult
from zoning.show import furniture
from zoning.show.page.map_labels import placed, rooms_of
from zoning.show.trial.cells import CLASSES, palette
from zoning.show.trial.ground import TrialGround, apart, ground, name_shift
from zoning.show.trial.map_svg import VEIL
from zoning.show.trial.trial_units import TrialUnits
from zoning.words import Said

LEGEND = 1.35  # below the map: ramp, strips, scale bars [inch]
_DOTS = (0, (0.8, 1.8))
_LETTERS = 8.5
_AWAY = 0.12  # of a pair's name from the end of its strips [inch]
_LONGEST_BAR = 1.4


def _line(area: Area) -> Line:
    """Outline of an area as one path; holes run the other way round, else they would be filled."""
    rings = [
        Line(shapely.get_coordinates(ring), closed=True)
        for part in shapely.get_parts(shapely.orient_polygons(area))
        for ring in (part.exterior, *part.interiors)
        if part.area
    ]
    return Line.make_compound_path(*rings)


def field(
    figure: Figure, page: furniture.Page, box: tuple[float, float, float, float], result: TrialResult
) -> None:
    """Draw the field into a box of the sheet: left, low, width, height. [inch].

    Parameters
    ----------
    figure : matplotlib.figure.Figure
    page : Page
    box : tuple of float
    result : TrialResult
    """
    shown = ground(result)
    wide, high = figure.get_size_inches()
    axes = figure.add_axes((box[0] / wide, box[1] / high, box[2] / wide, box[3] / high))
    axes.set_axis_off()
    _pictures(axes, shown)
    axes.add_artist(PathPatch(_line(shown.beside), facecolor=colours.WHITE, alpha=VEIL, linewidth=0))
    if len(shown.drawing.zones) > 1:
        for zone in shown.drawing.zones:
            _edge(axes, zone, colours.SECONDARY, 0.6)
    _edge(axes, shown.drawing.boundary, colours.INK, 1.4)
    for strip, is_treated in zip(shown.strips, shown.is_treated, strict=True):
        _edge(axes, strip, colours.WHITE, 2.2)
        _edge(axes, strip, colours.INK, 1.0, dots=not is_treated)
    m_per_inch = shown.drawing.high_m / box[3]
    middle = shown.drawing.high_m / 2
    axes.set_xlim(0, shown.drawing.wide_m)
    axes.set_ylim(middle + m_per_inch * box[3] / 2, middle - m_per_inch * box[3] / 2)
    axes.set_aspect("equal")
    _names(axes, shown, result, m_per_inch)


def _pictures(axes: Axes, shown: TrialGround) -> None:
    cells = shown.cells
    given = (
        (cells.yields, cells.side_m, ListedColormap(palette()), (1, CLASSES)),
        (cells.left_out, cells.fine_m, ListedColormap([colours.SECONDARY]), (0, 1)),
    )
    for classes, side, shades, (low, high) in given:
        rows, columns = classes.shape
        axes.imshow(
            np.ma.masked_equal(classes, 0),
            extent=(0, columns * side, rows * side, 0),
            cmap=shades,
            vmin=low,
            vmax=high,
            interpolation="nearest",
            aspect="auto",
        )


def _edge(axes: Axes, area: Area, ink: str, width: float, *, dots: bool = False) -> None:
    if area.is_empty:
        return
    look = {"linestyle": _DOTS} if dots else {}
    axes.add_artist(
        PathPatch(_line(area), facecolor="none", edgecolor=ink, linewidth=width, clip_on=False, **look)
    )


def _names(axes: Axes, shown: TrialGround, result: TrialResult, m_per_inch: float) -> None:
    x, y = name_shift(result)
    look: dict[str, Any] = {"ha": "center", "va": "center", "color": colours.INK, "size": _LETTERS}
    away = _AWAY * m_per_inch
    for one in apart(shown.names, _LETTERS / 72 * m_per_inch):
        axes.text(one.x + x * away, one.y + y * away, one.text, weight="bold", **look)
    zones = shown.drawing.zones
    if len(zones) < 2:
        return
    size = _LETTERS / 72 * m_per_inch
    taken = shapely.union_all(shown.strips)
    free = [shapely.difference(one, taken) for one in zones]
    left = tuple(one if one.area else zone for one, zone in zip(free, zones, strict=True))
    for zone, (first, _) in zip(result.zones, rooms_of(zones, left), strict=True):
        tries = ((Said("trial_page.zone", zone=zone.zone).text,), (str(zone.zone),))
        label = placed(tries, first, size, zone.area_ac, size)
        if label is not None:
            box = {
                "boxstyle": "square,pad=0.15",
                "facecolor": colours.WHITE,
                "edgecolor": "none",
                "alpha": 0.8,
            }
            axes.text(label.x, label.y, label.lines[0], bbox=box, **look)


def legend(
    page: furniture.Page,
    corner: tuple[float, float],
    result: TrialResult,
    says: TrialUnits,
    inch_per_m: float,
) -> None:
    """Draw the legend below the map, downwards from the map's lower left corner."""
    left, top = corner
    line = furniture.LINE
    cells = ground(result).cells
    y = top - 0.38
    title = f"{Said('trial_page.ramp', unit=says.response_unit).text}  {says.plain_response(cells.low_bu_ac)}"
    page.write((left, y), title, _LETTERS)
    x = left + page.width(title, _LETTERS) + 0.08
    for fill in palette():
        page.axes.add_artist(Rectangle((x, y - 0.02), 0.15, 0.14, facecolor=fill, linewidth=0))
        x += 0.15
    page.write((x + 0.08, y), says.plain_response(cells.high_bu_ac), _LETTERS)
    y -= line
    x = left
    for word, dots in (("treated", False), ("untreated", True)):
        look: dict[str, Any] = {"linestyle": _DOTS} if dots else {}
        page.axes.add_artist(
            Rectangle(
                (x, y - 0.02), 0.26, 0.14, facecolor=palette()[3], edgecolor=colours.INK, linewidth=1, **look
            )
        )
        text = Said(f"trial_page.{word}").text
        page.write((x + 0.34, y), text, _LETTERS)
        x += 0.34 + page.width(text, _LETTERS) + 0.25
    page.axes.add_artist(Rectangle((x, y + 0.035), 0.03, 0.03, facecolor=colours.SECONDARY, linewidth=0))
    page.write((x + 0.12, y), Said("trial_page.left_out").text, _LETTERS)
    furniture.north(page, (left + 0.1, y - 0.58))
    furniture.scale_bars(page, (left + 0.95, y - 0.58), inch_per_m, _LONGEST_BAR)
