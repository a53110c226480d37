"""trial.png: where the strips lay and what they said on one sheet, as people text it to each other.

Draws in the metres of the field's UTM grid, so scale bars are true and north is grid north.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from zoning import colours
from zoning.plan.trial import TrialResult
from zoning.show import furniture
from zoning.show.look import DPI as DPI
from zoning.show.look import LOOK as _LOOK
from zoning.show.look import known as _known
from zoning.show.look import one_at_a_time
from zoning.show.trial import about, picture_forest, picture_map, written
from zoning.show.trial.ground import ground
from zoning.show.trial.trial_units import TrialUnits

_MINUS = "−"
_MARGIN, _GAP = 0.45, 0.55
_HEAD, _FOOT = 1.85, 0.75
_MAP_WIDE, _MAP_HIGH = 5.0, 5.6
_FOREST_WIDE = 4.7
_NAMES = 0.28  # above the map, or on its left
_LEAST_HIGH = 0.6
_LINES = 3  # below the answer
_ANSWERS = (17.0, 16.0, 15.0, 14.0, 13.0)  # sizes of its letters


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Lengths of the sheet, in inches: the map has the left, pairs and zones the right."""

    map_wide: float
    map_high: float
    body: float
    inch_per_m: float

    @property
    def width(self) -> float:
        return 2 * _MARGIN + _MAP_WIDE + _GAP + _FOREST_WIDE

    @property
    def height(self) -> float:
        return _HEAD + self.body + _FOOT


def _sheet(result: TrialResult) -> _Sheet:
    shown = ground(result).drawing
    aside, above = (0.0, _NAMES) if shown.names_above else (_NAMES, 0.0)
    scale = min((_MAP_WIDE - aside) / shown.wide_m, _MAP_HIGH / shown.high_m)
    wide, high = shown.wide_m * scale, max(shown.high_m * scale, _LEAST_HIGH)
    left = high + above + picture_map.LEGEND
    return _Sheet(wide, high, max(left, picture_forest.high(result)), scale)


def _around(page: furniture.Page, sheet: _Sheet, result: TrialResult, says: TrialUnits) -> None:
    """Write title, answer, money, scale bars and footer."""
    left, room = _MARGIN, sheet.width - 2 * _MARGIN
    when = written.when(result)
    right = page.width(when, 10.5)
    farm = f"{_known(result.farm)}, " if result.farm else ""
    title, size = page.fitted(f"{farm}{_known(result.field)}", 10.5, room - right - 0.3)
    page.write((left, sheet.height - 0.45), title, size, ink=colours.SECONDARY)
    page.write((left + room - right, sheet.height - 0.45), when, 10.5, ink=colours.SECONDARY)
    answer = _known(written.answer(result, says))
    line, size = page.fitted(answer, _largest(page, answer, room), room, "bold")
    page.write((left, sheet.height - 0.83), line, size, weight="bold")
    for at, told in enumerate(_lines(result, says)[:_LINES]):
        line, size = page.fitted(_known(written.sentence(told)), 10.5, room)
        page.write((left, sheet.height - 1.12 - 0.23 * at), line, size)
    line, size = page.fitted(_known(written.cautions()[0]), 8.5, room)
    page.write((left, 0.42), line, size)
    where = f"EPSG:{result.epsg}, {result.file}, run {result.run_id}"
    line, size = page.fitted(_known(where), 8, room)
    page.write((left, 0.2), line, size, ink=colours.SECONDARY)


def _largest(page: furniture.Page, text: str, room: float) -> float:
    """Find the largest size at which the answer has room, whole."""
    return next((size for size in _ANSWERS if page.width(text, size, "bold") <= room), _ANSWERS[-1])


def _lines(result: TrialResult, says: TrialUnits) -> list[str]:
    """Say what the answer rests on: strips, money, spraying."""
    whole = result.response
    if whole is None:
        return [*about.pairs_out(result)[:1], written.sprayed_line(result)]
    money = [*written.net_lines(result, says), *written.money_lines(result, says)]
    return [written.in_a_line(result, says), *(money if money else [written.sprayed_line(result)])]


def draw(result: TrialResult) -> Figure:
    """Draw the sheet of a trial.

    Parameters
    ----------
    result : TrialResult
        Any.

    Returns
    -------
    matplotlib.figure.Figure
        On an Agg canvas, not yet saved.
    """
    says = written.units_of(result, _MINUS)
    sheet = _sheet(result)
    figure = Figure(figsize=(sheet.width, sheet.height), dpi=DPI, facecolor=colours.WHITE)
    canvas = FigureCanvasAgg(figure)
    paper = figure.add_axes((0, 0, 1, 1))
    paper.set_axis_off()
    page = furniture.Page(paper, cast(Any, canvas).get_renderer(), DPI)
    _around(page, sheet, result, says)
    shown = ground(result)
    top = sheet.height - _HEAD
    aside, above = (0.0, _NAMES) if shown.drawing.names_above else (_NAMES, 0.0)
    spare = max(0.0, _MAP_WIDE - aside - sheet.map_wide) / 2
    box = (_MARGIN + aside + spare, top - above - sheet.map_high, sheet.map_wide, sheet.map_high)
    picture_map.field(figure, page, box, result)
    picture_map.legend(page, (_MARGIN, box[1]), result, says, sheet.inch_per_m)
    picture_forest.forest(page, (_MARGIN + _MAP_WIDE + _GAP, top), _FOREST_WIDE, result, says)
    paper.set_xlim(0, sheet.width)
    paper.set_ylim(0, sheet.height)
    return figure


def write(result: TrialResult, path: Path) -> None:
    """Write the sheet as a picture of 200 dots an inch.

    Parameters
    ----------
    result : TrialResult
        Any.
    path : Path
        The PNG file; the same result gives the same bytes.
    """
    with one_at_a_time(_LOOK):
        about = {"Title": _known(result.field), "Description": f"run {result.run_id}", "Software": None}
        draw(result).savefig(path, format="png", dpi=DPI, metadata=about, pil_kwargs={"compress_level": 4})
