"""The map of a trial as SVG in local metres: yield of each spot, strips, zones, points that were left out.

Strips stand out because the ground beside them is veiled; a treated one has a solid edge, an untreated one a
dotted edge. Decides nothing.
"""

from collections.abc import Iterator
from dataclasses import replace

from zoning import colours
from zoning.plan.trial import TrialResult
from zoning.show.figures import plain
from zoning.show.page import map_marks as marks
from zoning.show.page.map_labels import Room, placed, rooms_of
from zoning.show.page.map_marks import Pen
from zoning.show.page.palette_png import data_uri
from zoning.show.page.svg_shapes import path, tag, text
from zoning.show.trial.cells import palette
from zoning.show.trial.ground import TrialGround, apart, ground, name_shift
from zoning.show.trial.written import strips
from zoning.words import Said

VEIL = 0.6  # of the ground beside strips
_FONT = "DejaVu Sans"
_DOTS = (1.2, 2.6)  # of the edge of an untreated strip: drawn, free
_EDGES = ((colours.WHITE, 3.2), (colours.INK, 1.4))
_NAME_AWAY_PX = 12.0


def svg(result: TrialResult) -> str:
    """Draw the map for the page: one element `svg` with the id "map", no style and no script in it.

    Parameters
    ----------
    result : TrialResult
        Any.
    """
    shown = ground(result)
    pen = Pen(shown.drawing.px_m, is_screen=True)
    box = " ".join(f"{one:.1f}" for one in shown.drawing.box)
    about = Said("trial_page.map", field=plain(result.field), strips=strips(result)).text
    head = tag('<svg id="map" viewBox="{}" role="img" aria-label="{}">', box, about)
    return head + "".join(_parts(result, shown, pen, colours.PAPER)) + "</svg>"


def static_svg(result: TrialResult, px_m: float) -> tuple[str, float, float]:
    """Draw the map for paper, lines and letters in metres; give too how many metres it is wide and high.

    Parameters
    ----------
    result : TrialResult
        Any.
    px_m : float
        Length of a pixel, which letters and lines are measured in.
    """
    shown = ground(result)
    shown = replace(shown, drawing=replace(shown.drawing, px_m=px_m))
    pen = Pen(px_m, is_screen=False)
    _, _, wide, high = shown.drawing.box
    box = " ".join(f"{one:.1f}" for one in shown.drawing.box)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" font-family="{_FONT}">'
    return head + "".join(_parts(result, shown, pen, colours.WHITE)) + "</svg>", wide, high


def _parts(result: TrialResult, shown: TrialGround, pen: Pen, paper: str) -> Iterator[str]:
    drawing = shown.drawing
    yield _pictures(shown)
    beside = path(shown.beside, 10)
    yield f'<path d="{beside}" fill="{paper}" fill-opacity="{VEIL}" fill-rule="evenodd"/>'
    zones = "".join(f'<path d="{path(one, drawing.per_m)}"/>' for one in drawing.zones)
    look = f'fill="none" stroke="{colours.SECONDARY}" {pen.stroke(0.9)} stroke-linejoin="round"'
    yield f'<g id="map-lines" {look}>{zones if len(drawing.zones) > 1 else ""}</g>'
    whole = path(drawing.boundary, drawing.per_m)
    yield f'<path d="{whole}" fill="none" stroke="{colours.INK}" {pen.stroke(1.8)}/>'
    yield f'<g id="map-strips" fill="none">{"".join(_strips(shown, pen))}</g>'
    yield _names(result, shown, pen, paper)
    yield marks.foot(drawing, pen)


def _pictures(shown: TrialGround) -> str:
    cells = shown.cells
    given = (
        ("map-yield", data_uri(cells.yields, palette()), cells.yields.shape, cells.side_m),
        ("map-left-out", data_uri(cells.left_out, [colours.SECONDARY]), cells.left_out.shape, cells.fine_m),
    )
    return "".join(
        f'<image id="{key}" href="{uri}" x="0" y="0" width="{text(size[1] * side)}" '
        f'height="{text(size[0] * side)}" preserveAspectRatio="none" image-rendering="pixelated"/>'
        for key, uri, size, side in given
    )


def _strips(shown: TrialGround, pen: Pen) -> Iterator[str]:
    for one, is_treated in zip(shown.strips, shown.is_treated, strict=True):
        shape = path(one, 10)
        for ink, width in _EDGES:
            dotted = ink == colours.INK and not is_treated
            dots = f" {pen.dashes(*_DOTS)}" if dotted else ""
            yield f'<path d="{shape}" stroke="{ink}" {pen.stroke(width)}{dots}/>'


def _names(result: TrialResult, shown: TrialGround, pen: Pen, paper: str) -> str:
    size = marks.LETTERS_PX * pen.px_m
    found = []
    x, y = name_shift(result)
    away = _NAME_AWAY_PX * pen.px_m
    for one in apart(shown.names, size):
        place = f'x="{text(one.x + x * away)}" y="{text(one.y + y * away + 0.36 * size)}"'
        found.append(f'<text {place} font-weight="700">{one.text}</text>')
    if len(shown.drawing.zones) > 1:
        found += _zone_names(result, shown, pen)
    look = (
        f'font-size="{size:.4g}" text-anchor="middle" fill="{colours.INK}" stroke="{paper}" '
        f'stroke-width="{pen.m(4)}" stroke-linejoin="round" paint-order="stroke"'
    )
    return f'<g id="map-labels" {look} aria-hidden="true">{"".join(found)}</g>'


def _zone_names(result: TrialResult, shown: TrialGround, pen: Pen) -> Iterator[str]:
    size = marks.LETTERS_PX * pen.px_m
    for zone, first in zip(result.zones, _rooms(shown), strict=True):
        tries = ((Said("trial_page.zone", zone=zone.zone).text,), (str(zone.zone),))
        label = placed(tries, first, size, zone.area_ac, pen.px_m)
        if label is not None:
            place = f'x="{text(label.x)}" y="{text(label.y + 0.36 * size)}"'
            yield f"<text {place}>{label.lines[0]}</text>"


def _rooms(shown: TrialGround) -> list[tuple[Room, ...]]:
    """Find where the name of each zone stands: beside strips."""
    import shapely

    taken = shapely.union_all(shown.strips)
    zones = shown.drawing.zones
    free = [shapely.difference(one, taken) for one in zones]
    left = tuple(one if one.area else zone for one, zone in zip(free, zones, strict=True))
    return [first for first, _ in rooms_of(zones, left)]
