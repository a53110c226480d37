"""Small pictures for rows of tables, as SVG whose places are shares of its width: letters keep their size.

A table with such a column is its own picture: each figure stands beside its mark, all rows share one axis.
"""

from collections.abc import Sequence
from math import isfinite

import numpy as np

from zoning import colours
from zoning.show.page.svg_shapes import tag
from zoning.show.trial.axis import Axis, axis_of
from zoning.show.trial.trial_units import TrialUnits
from zoning.strips.learned.learned_terms import Belief

DASHES = "4 3"
_DOT = 4.5  # radius [px]
_HALF = 6.0  # of the bar of an interval [px]
_EDGE = 0.25  # nearer to an end than that, a text stands inside
_LEAST_DENSITY = 0.01  # of the highest: what is less is not drawn
_HIGH = 1000.0  # of the box in which densities are drawn
LINES = {
    "before": f'stroke="{colours.INK}" stroke-width="1.4" stroke-dasharray="6 4"',
    "data": f'stroke="{colours.SECONDARY}" stroke-width="2" stroke-dasharray="1.5 3"',
    "after": f'stroke="{colours.ACCENT}" stroke-width="2.5"',
}


def _at(share: float) -> str:
    return f"{100 * share:.2f}%"


def _upright(share: float, look: str) -> str:
    return f'<line x1="{_at(share)}" x2="{_at(share)}" y1="0" y2="100%" {look}/>'


def _guides(axis: Axis, needed_bu_ac: float | None) -> str:
    """Draw no response, and what pays."""
    found = _upright(axis.share(0.0), f'stroke="{colours.LINE}"')
    if needed_bu_ac is not None:
        found += _upright(axis.share(needed_bu_ac), f'stroke="{colours.INK}" stroke-dasharray="{DASHES}"')
    return found


def _cell(inside: str) -> str:
    return f'<svg width="100%" height="100%" aria-hidden="true">{inside}</svg>'


def _dot(share: float, look: str) -> str:
    return f'<circle cx="{_at(share)}" cy="50%" r="{_DOT}" {look}/>'


def pair_mark(axis: Axis, value_bu_ac: float | None, needed_bu_ac: float | None) -> str:
    """Draw the row of a pair: a dot at its difference, nothing where it does not count."""
    dot = "" if value_bu_ac is None else _dot(axis.share(value_bu_ac), f'fill="{colours.INK}"')
    return _cell(_guides(axis, needed_bu_ac) + dot)


def interval_mark(
    axis: Axis,
    ends_bu_ac: tuple[float, float, float],
    needed_bu_ac: float | None,
    seen_bu_ac: float | None = None,
) -> str:
    """Draw a row with an interval: a bar from end to end, a white line at its mean, a ring at what was seen.

    Parameters
    ----------
    axis : Axis
    ends_bu_ac : tuple of float
        Low end, mean, high end.
    needed_bu_ac, seen_bu_ac : float or None
        Not drawn where None.
    """
    low, mean, high = map(axis.share, ends_bu_ac)
    bar = (
        f'<svg y="50%" overflow="visible"><rect x="{_at(low)}" y="-{_HALF}" width="{_at(high - low)}" '
        f'height="{2 * _HALF}" fill="{colours.ACCENT}"/>'
        f'<line x1="{_at(mean)}" x2="{_at(mean)}" y1="-{_HALF}" y2="{_HALF}" '
        f'stroke="{colours.WHITE}" stroke-width="2.5"/></svg>'
    )
    ring = ""
    if seen_bu_ac is not None:
        look = f'fill="{colours.PAPER}" stroke="{colours.INK}" stroke-width="1.6"'
        ring = _dot(axis.share(seen_bu_ac), look)
    return _cell(_guides(axis, needed_bu_ac) + bar + ring)


def _word(share: float, y: str, words: str) -> str:
    anchor = "start" if share < _EDGE else "end" if share > 1 - _EDGE else "middle"
    return tag('<text x="{}" y="{}" text-anchor="{}">{}</text>', _at(share), y, anchor, words)


def axis_head(axis: Axis, needed: tuple[float, str] | None) -> str:
    """Write above a column of marks what its dashed line means."""
    return _cell("" if needed is None else _word(axis.share(needed[0]), "90%", needed[1]))


def axis_foot(axis: Axis, minus: str) -> str:
    """Write the figures of the axis below a column of marks."""
    marks = axis.marks(minus)
    ticks = "".join(
        f'<line x1="{_at(at)}" x2="{_at(at)}" y1="0" y2="5" stroke="{colours.INK}"/>' for at, _ in marks
    )
    words = "".join(f'<text x="{_at(at)}" y="20" text-anchor="middle">{words}</text>' for at, words in marks)
    return _cell(ticks + words)


def share_bar(share: float) -> str:
    """Draw a bar from the left end over a share of the width."""
    return _cell(
        f'<svg y="50%" overflow="visible"><rect y="-5" width="{_at(share)}" height="10" '
        f'fill="{colours.SECONDARY}"/></svg>'
    )


def forecast_mark(forecast: float, came: float) -> str:
    """Draw a chance that was forecast as a ring, and how often it came as a dot, joined by a line."""
    ends = "".join(_upright(at, f'stroke="{colours.LINE}"') for at in (0.0, 0.5, 1.0))
    ring = f'fill="{colours.PAPER}" stroke="{colours.INK}" stroke-width="1.6"'
    line = f'x1="{_at(forecast)}" x2="{_at(came)}" y1="50%" y2="50%" stroke="{colours.INK}"'
    dot = _dot(came, f'fill="{colours.ACCENT}"')
    return _cell(f"{ends}<line {line}/>{_dot(forecast, ring)}{dot}")


def belief_axis(one: Belief, needed_bu_ac: float | None, written: TrialUnits) -> Axis:
    """Make the scale of a picture of three densities: where any of them is more than nothing."""
    over = one.response_bu_ac
    curves = (one.before_density, one.data_density, one.after_density)
    seen = np.zeros(len(over), dtype=bool)
    for curve in curves:
        seen |= curve > _LEAST_DENSITY * max(float(curve.max(initial=0.0)), 1e-12)
    held = over[seen].tolist()
    return axis_of(
        [*held[:1], *held[-1:], *([] if needed_bu_ac is None else [needed_bu_ac])], written.per_bu_ac
    )


def curves(one: Belief, axis: Axis) -> dict[str, list[tuple[float, float]]]:
    """Give the three densities as places: shares of width from the left, and of height from above.

    Parameters
    ----------
    one : Belief
    axis : Axis
        As `belief_axis` gives it.
    """
    given = {"before": one.before_density, "data": one.data_density, "after": one.after_density}
    highest = max(float(np.nanmax(curve)) if isfinite(np.nanmax(curve)) else 0.0 for curve in given.values())
    across = (one.response_bu_ac * axis.per_bu_ac - axis.low) / (axis.high - axis.low)
    inside = (across >= 0) & (across <= 1)
    return {
        name: [
            (float(x), float(1 - y / highest) if highest > 0 else 1.0)
            for x, y in zip(across[inside], np.nan_to_num(curve[inside]), strict=True)
        ]
        for name, curve in given.items()
    }


def _line(places: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{_HIGH * x:.0f},{_HIGH * y:.0f}" for x, y in places)


def densities(one: Belief, needed: tuple[float, str] | None, written: TrialUnits, about: str) -> str:
    """Draw what was believed, what own trials say and what is believed now, over one axis.

    Parameters
    ----------
    one : Belief
    needed : tuple of float and str, or None
        What pays [bu/ac], and its words.
    written : TrialUnits
    about : str
        What is read out.
    """
    axis = belief_axis(one, None if needed is None else needed[0], written)
    found = curves(one, axis)
    ends = f" {_HIGH:.0f},{_HIGH:.0f} 0,{_HIGH:.0f}"
    first = f"{_HIGH * found['after'][0][0]:.0f},{_HIGH:.0f} " if found["after"] else ""
    below = f"{first}{_line(found['after'])}{ends}"
    area = f'<polygon points="{below}" fill="{colours.SPRAY_LEAST}" fill-opacity="0.3"/>'
    lines = "".join(
        f'<polyline points="{_line(found[name])}" fill="none" vector-effect="non-scaling-stroke" {look}/>'
        for name, look in LINES.items()
    )
    box = f'viewBox="0 0 {_HIGH:.0f} {_HIGH:.0f}" preserveAspectRatio="none"'
    pays = "" if needed is None else _word(axis.share(needed[0]), "13", needed[1])
    return (
        tag('<svg class="densities" width="100%" height="190" role="img" aria-label="{}">', about)
        + pays
        + f'<svg y="20" width="100%" height="140">{_guides(axis, None if needed is None else needed[0])}'
        + f'<svg width="100%" height="100%" {box}>{area}{lines}</svg></svg>'
        + f'<line x1="0" x2="100%" y1="160" y2="160" stroke="{colours.INK}"/>'
        + f'<svg y="160" width="100%" height="30">{axis_foot(axis, written.minus)}</svg></svg>'
    )
