"""The picture of a belief for paper: three densities over one axis, as SVG with lengths of its own."""

from collections.abc import Sequence

from zoning import colours
from zoning.plan.trial import TrialResult
from zoning.show.page.svg_shapes import tag
from zoning.show.trial.charts import DASHES, LINES, belief_axis, curves
from zoning.show.trial.trial_units import TrialUnits
from zoning.strips.learned.learned_terms import Belief
from zoning.words import Said

_WIDE, _HIGH = 360.0, 84.0
_ABOVE, _BELOW = 15.0, 18.0
_LETTERS = 11.0
_FONT = "DejaVu Sans"


def _line(places: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{_WIDE * x:.1f},{_ABOVE + _HIGH * y:.1f}" for x, y in places)


def belief_svg(one: Belief, result: TrialResult, says: TrialUnits) -> str:
    """Draw a belief of a trial.

    Parameters
    ----------
    one : Belief
    result : TrialResult
        Which it is of.
    says : TrialUnits
    """
    money = result.response.money if result.response is not None else None
    pays = None if money is None else money.break_even_bu_ac
    scale = belief_axis(one, pays, says)
    found = curves(one, scale)
    base = _ABOVE + _HIGH
    parts = []
    if found["after"]:
        first, last = (_WIDE * found["after"][at][0] for at in (0, -1))
        ends = f"{first:.1f},{base} {_line(found['after'])} {last:.1f},{base}"
        parts.append(f'<polygon points="{ends}" fill="{colours.SPRAY_LEAST}" fill-opacity="0.3"/>')
    parts.append(_upright(scale.share(0.0), f'stroke="{colours.LINE}"'))
    if pays is not None:
        parts.append(_upright(scale.share(pays), f'stroke="{colours.INK}" stroke-dasharray="{DASHES}"'))
        text = f"{Said('trial_page.n_needed').text} {says.plain_response(pays)}"
        parts.append(_word(scale.share(pays), _ABOVE - 4, text))
    parts += [f'<polyline points="{_line(found[name])}" fill="none" {look}/>' for name, look in LINES.items()]
    parts.append(f'<line x1="0" x2="{_WIDE}" y1="{base}" y2="{base}" stroke="{colours.INK}"/>')
    parts += [_word(share, base + 13, text) for share, text in scale.marks(says.minus)]
    high = base + _BELOW
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {high}" '
        f'width="{_WIDE}" height="{high}" '
        f'font-family="{_FONT}" font-size="{_LETTERS}" fill="{colours.INK}">{"".join(parts)}</svg>'
    )


def _upright(share: float, look: str) -> str:
    x = _WIDE * share
    return f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{_ABOVE}" y2="{_ABOVE + _HIGH}" {look}/>'


def _word(share: float, y: float, words: str) -> str:
    anchor = "start" if share < 0.08 else "end" if share > 0.92 else "middle"
    place = '<text x="{:.1f}" y="{:.1f}" text-anchor="{}">{}</text>'
    return tag(place, _WIDE * share, y, anchor, words)
