"""Pairs and zones on the picture of a trial: each a row with its mark and its figure, all over one axis."""

from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Rectangle

from zoning import colours
from zoning.plan.trial import TrialResult
from zoning.show import furniture
from zoning.show.look import known
from zoning.show.trial import rows
from zoning.show.trial.axis import Axis, axis
from zoning.show.trial.trial_units import TrialUnits
from zoning.words import Said

_ROW = 0.25  # height of a row [inch]
_MOST = 12  # rows of pairs, and of zones
_NAME, _FIGURE = 0.7, 1.3  # room left and right of the marks [inch]
_HEAD = 0.42
_DOT, _HALF = 0.042, 0.06
_LETTERS = 9.0
_SMALL = 8.0


def _shown(result: TrialResult) -> tuple[int, int]:
    """Count the rows of pairs and zones, with one for those that have no room."""
    pairs = len(result.pairs)
    zones = len(result.by_zone.zones) if result.by_zone is not None else 0
    return min(pairs, _MOST + 1), min(zones, _MOST + 1)


def high(result: TrialResult) -> float:
    """Height that the rows take. [inch]."""
    pairs, zones = _shown(result)
    mean = 1.4 * _ROW if result.response is not None else 0.0
    return _HEAD + pairs * _ROW + mean + (zones * _ROW + _HEAD + 0.06 if zones else 0.0) + 0.35


class _Rows:
    """Rows on the sheet, from above to below."""

    def __init__(self, page: furniture.Page, left: float, wide: float, scale: Axis) -> None:
        self.page, self.left, self.wide, self.scale = page, left, wide, scale
        self.start, self.room = left + _NAME, wide - _NAME - _FIGURE

    def at(self, response_bu_ac: float) -> float:
        return self.start + self.room * self.scale.share(response_bu_ac)

    def hair(self, y: float, ink: str, width: float) -> None:
        self.page.axes.add_artist(
            Line2D([self.left, self.left + self.wide], [y, y], color=ink, linewidth=width)
        )

    def name(self, y: float, text: str, *, bold: bool = False, ink: str = colours.INK) -> None:
        self.page.write((self.left, y - 0.045), text, _LETTERS, weight="bold" if bold else "normal", ink=ink)

    def figure(self, y: float, text: str, *, bold: bool = False) -> None:
        weight = "bold" if bold else "normal"
        right = self.left + self.wide - self.page.width(text, _LETTERS, weight)
        self.page.write((right, y - 0.045), text, _LETTERS, weight=weight)

    def dot(self, y: float, response_bu_ac: float, *, ring: bool = False) -> None:
        fill = colours.WHITE if ring else colours.INK
        look = {"facecolor": fill, "edgecolor": colours.INK, "linewidth": 1.2, "zorder": 4}
        self.page.axes.add_artist(Circle((self.at(response_bu_ac), y), _DOT, **look))

    def bar(self, y: float, low: float, mean: float, top: float) -> None:
        left, right = self.at(low), self.at(top)
        self.page.axes.add_artist(
            Rectangle(
                (left, y - _HALF), right - left, 2 * _HALF, facecolor=colours.ACCENT, linewidth=0, zorder=3
            )
        )
        x = self.at(mean)
        self.page.axes.add_artist(
            Line2D([x, x], [y - _HALF, y + _HALF], color=colours.WHITE, linewidth=2, zorder=3.5)
        )


def forest(
    page: furniture.Page, corner: tuple[float, float], wide: float, result: TrialResult, says: TrialUnits
) -> None:
    """Draw pairs, their mean and zones downwards from an upper left corner. [inch].

    Parameters
    ----------
    page : Page
    corner : tuple of float
        Left and top.
    wide : float
    result : TrialResult
    says : TrialUnits
    """
    left, top = corner
    drawn = _Rows(page, left, wide, axis(result))
    y = _head(drawn, top, Said("trial_page.treated_less").text, says)
    pairs = y, _pairs(drawn, y, result, says)
    y = _mean(drawn, pairs[1], result, says)
    if result.response is None:
        return
    _guides(drawn, (pairs[0], y), result)
    _pays(drawn, pairs[0], result, says)
    if result.by_zone is not None and result.by_zone.zones:
        first = _head(drawn, y - 0.06, Said("trial_page.by_zone").text, says)
        y = _zones(drawn, first, result, says)
        _guides(drawn, (first, y), result)
    _figures(drawn, y, says)


def _head(drawn: _Rows, y: float, text: str, says: TrialUnits) -> float:
    drawn.page.write((drawn.left, y - 0.16), f"{text}, {says.response_unit}", _LETTERS, ink=colours.SECONDARY)
    drawn.hair(y - _HEAD, colours.INK, 0.8)
    return y - _HEAD


def _pairs(drawn: _Rows, y: float, result: TrialResult, says: TrialUnits) -> float:
    found = rows.pair_rows(result, says)
    for one in found[:_MOST]:
        middle = y - _ROW / 2
        drawn.name(middle, one.name, ink=colours.SECONDARY if one.why else colours.INK)
        if one.value is None:
            text, size = drawn.page.fitted(known(one.why), _SMALL, drawn.wide - _NAME)
            wide = drawn.page.width(text, size)
            drawn.page.axes.add_artist(
                Rectangle(
                    (drawn.start, middle - 0.08), wide, 0.16, facecolor=colours.WHITE, linewidth=0, zorder=2
                )
            )
            drawn.page.write((drawn.start, middle - 0.04), text, size, ink=colours.SECONDARY)
        else:
            drawn.dot(middle, one.value)
            drawn.figure(middle, one.difference)
        y -= _ROW
        drawn.hair(y, colours.LINE, 0.5)
    return _more(drawn, y, len(found))


def _more(drawn: _Rows, y: float, count: int) -> float:
    if count <= _MOST:
        return y
    drawn.name(y - _ROW / 2, Said("trial_page.more_rows", count=count - _MOST).text, ink=colours.SECONDARY)
    return y - _ROW


def _mean(drawn: _Rows, y: float, result: TrialResult, says: TrialUnits) -> float:
    whole = result.response
    if whole is None:
        return y
    drawn.hair(y, colours.INK, 0.8)
    middle = y - 0.7 * _ROW
    drawn.name(middle, Said("trial_page.mean").text, bold=True)
    drawn.bar(middle, whole.low_bu_ac, whole.mean_bu_ac, whole.high_bu_ac)
    drawn.figure(middle, says.more(whole.mean_bu_ac), bold=True)
    drawn.hair(y - 1.4 * _ROW, colours.INK, 0.8)
    return y - 1.4 * _ROW


def _zones(drawn: _Rows, y: float, result: TrialResult, says: TrialUnits) -> float:
    found = rows.zone_rows(result, says)
    for one in found[:_MOST]:
        seen, mean, low, top = one.values
        middle = y - _ROW / 2
        drawn.name(middle, Said("trial_page.zone", zone=one.zone).text)
        drawn.bar(middle, low, mean, top)
        drawn.dot(middle, seen, ring=True)
        drawn.figure(middle, f"{one.mean}, {one.told}" if one.told else one.mean)
        y -= _ROW
        drawn.hair(y, colours.LINE, 0.5)
    return _more(drawn, y, len(found))


def _guides(drawn: _Rows, ends: tuple[float, float], result: TrialResult) -> None:
    """Draw no response, and what pays, over some rows."""
    zero = drawn.at(0.0)
    drawn.page.axes.add_artist(Line2D([zero, zero], ends, color=colours.LINE, linewidth=0.8, zorder=1))
    money = result.response.money if result.response is not None else None
    if money is not None:
        x = drawn.at(money.break_even_bu_ac)
        line = Line2D([x, x], ends, color=colours.INK, linewidth=0.9, linestyle=(0, (4, 3)), zorder=1)
        drawn.page.axes.add_artist(line)


def _pays(drawn: _Rows, top: float, result: TrialResult, says: TrialUnits) -> None:
    """Write what pays above its line."""
    money = result.response.money if result.response is not None else None
    if money is None:
        return
    text = f"{Said('trial_page.n_needed').text} {says.plain_response(money.break_even_bu_ac)}"
    wide = drawn.page.width(text, _SMALL)
    left = drawn.at(money.break_even_bu_ac) - wide / 2
    inside = min(max(left, drawn.start), drawn.start + drawn.room - wide)
    drawn.page.write((inside, top + 0.05), text, _SMALL)


def _figures(drawn: _Rows, low: float, says: TrialUnits) -> None:
    """Write the figures of the axis below the rows."""
    axes = drawn.page.axes
    for share, text in drawn.scale.marks(says.minus):
        x = drawn.start + share * drawn.room
        axes.add_artist(Line2D([x, x], [low, low - 0.05], color=colours.INK, linewidth=0.8))
        axes.text(x, low - 0.09, text, size=_SMALL, ha="center", va="top", color=colours.INK)
