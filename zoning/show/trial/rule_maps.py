"""Where each rule of cleaning took its points: a small map for each, all at one scale. Decides nothing."""

import numpy as np

from zoning import colours
from zoning.plan.trial import TrialResult
from zoning.show.page.palette_png import data_uri
from zoning.show.page.svg_shapes import path, tag, text
from zoning.show.trial.cells import spots
from zoning.show.trial.ground import ground
from zoning.words import Said

_LONGER_PX = 132.0  # the longer side of a map
_SPOT_PX = 1.5  # a point, at least


def rule_map(result: TrialResult, place: int, name: str) -> str:
    """Draw the points that a rule took, inside the edge of the field.

    Parameters
    ----------
    result : TrialResult
    place : int
        Of the rule in `result.rules`, from 0.
    name : str
        Of the rule, for people.

    Returns
    -------
    str
        One element `svg`, without a style or a script in it.
    """
    drawing = ground(result).drawing
    longer_m = max(drawing.wide_m, drawing.high_m)
    side_m = _SPOT_PX * longer_m / _LONGER_PX
    size = (drawing.wide_m, drawing.high_m)
    marks = spots(
        result, result.points.removed_by == place + 1, (drawing.west_m, drawing.north_m), size, side_m
    )
    rows, columns = np.shape(marks)
    box = f"0 0 {text(drawing.wide_m)} {text(drawing.high_m)}"
    px = [text(_LONGER_PX * one / longer_m) for one in size]
    about = Said("trial_page.rule_map", rule=name, count=f"{result.rules[place].removed:,}").text
    edge = path(drawing.boundary, drawing.per_m)
    head = tag('<svg viewBox="{}" width="{}" height="{}" role="img" aria-label="{}">', box, *px, about)
    return (
        f'{head}<path d="{edge}" fill="none" stroke="{colours.SECONDARY}" '
        f'stroke-width="{text(longer_m / _LONGER_PX)}"/>'
        f'<image href="{data_uri(marks, [colours.INK])}" width="{text(columns * side_m)}" '
        f'height="{text(rows * side_m)}" preserveAspectRatio="none" image-rendering="pixelated"/></svg>'
    )
