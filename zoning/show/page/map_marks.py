"""What stands on the page's map beside zones: patterns, points, strips, the foot with north and scale bars.

All of it is SVG in local metres, so the scale bars are true at every size of the window, scripts or none.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from zoning import colours, units
from zoning.show import check_strips
from zoning.show.figures import day, plain
from zoning.show.page.drawing import Drawing, Spot
from zoning.show.page.map_labels import rooms
from zoning.show.page.svg_shapes import path, text
from zoning.words import Said

STRIP_EDGES = ((colours.WHITE, 3.0), (colours.INK, 1.2))
LETTERS_PX = 14
ASIDE_PX = 13  # between marks of one place
_FOOT_PX = 12  # size of its letters
_BARS_PX = 150  # longest bar
_STEPS = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Pen:
    """How lengths of the screen are written: lines keep theirs at every size, or are in metres for print."""

    px_m: float
    is_screen: bool

    def stroke(self, width_px: float) -> str:
        """Width of a line."""
        if self.is_screen:
            return f'stroke-width="{width_px:g}" vector-effect="non-scaling-stroke"'
        return f'stroke-width="{width_px * self.px_m:.4g}"'

    def dashes(self, *lengths_px: float) -> str:
        """Dashes of a line."""
        scale = 1.0 if self.is_screen else self.px_m
        return f'stroke-dasharray="{" ".join(f"{length * scale:.4g}" for length in lengths_px)}"'

    def m(self, length_px: float) -> str:
        """Write a length in metres."""
        return f"{length_px * self.px_m:.4g}"


def patterns(pen: Pen, of: str = "map") -> str:
    """Give the patterns of the map or its keys: hatched, on dark ground too, crossed, dots, sparse dots."""
    lined = f"M0 0V{pen.m(7)}"
    both = f"M0 0V{pen.m(6)}M0 0H{pen.m(6)}"

    def pattern(name: str, side_px: float, turned: int, inside: str) -> str:
        side = pen.m(side_px)
        return (
            f'<pattern id="{of}-{name}" patternUnits="userSpaceOnUse" width="{side}" height="{side}" '
            f'patternTransform="rotate({turned})">{inside}</pattern>'
        )

    def lines(shape: str, ink: str, width_px: float) -> str:
        return f'<path d="{shape}" stroke="{ink}" stroke-width="{pen.m(width_px)}" fill="none"/>'

    def dot(ink: str, middle_px: float, radius_px: float) -> str:
        middle = pen.m(middle_px)
        return f'<circle cx="{middle}" cy="{middle}" r="{pen.m(radius_px)}" fill="{ink}"/>'

    return "<defs>{}</defs>".format(
        "".join(
            (
                pattern("hatch", 7, 45, lines(lined, colours.SKIP_HATCH, 2.4)),
                pattern("hatch-ink", 7, 45, lines(lined, colours.INK, 1.8)),
                pattern("hatch-light", 7, 45, lines(lined, colours.WHITE, 1.6)),
                pattern("cross", 6, 45, lines(both, colours.NO_SPRAY_HATCH, 2.0)),
                pattern("dots", 5, 0, dot(colours.INK, 2.5, 0.9)),
                pattern("toss", 11, 30, dot(colours.SECONDARY, 5.5, 1.4)),
            )
        )
    )


def strips(ground: Drawing, pen: Pen, *, filled: bool) -> str:
    """Draw the check strips: dots where the boom stays off, a double edge round each.

    Only their edges where the map's colours do not say what is done.
    """
    found = []
    for one in ground.strips:
        shape = path(one.outline_m, 10)
        look = [one.fill]
        if one.dotted or one.hatched:
            look.append(f"url(#map-{'dots' if one.dotted else 'hatch'})")
        found.append(f'<g data-pair="{one.pair}" data-pass="{one.pass_number}">')
        found += [f'<path d="{shape}" fill="{fill}"/>' for fill in look]
        found += [
            f'<path d="{shape}" fill="none" stroke="{ink}" {pen.stroke(width)}/>'
            for ink, width in STRIP_EDGES
        ]
        found.append("</g>")
    veiled = "" if filled else ' fill-opacity="0"'
    return f'<g id="map-strips" fill-rule="evenodd" pointer-events="none"{veiled}>{"".join(found)}</g>'


def strip_names(ground: Drawing) -> Iterator[tuple[float, float, str]]:
    """Give the name of each pair of strips, and where on them it stands."""
    for name, area in check_strips.pairs(ground.strips).items():
        found = rooms(area)
        if found:
            best = max(found, key=lambda room: room.halves[0])
            yield best.x, best.y, name


def point_shape(kind: str) -> str:
    """Shape of a mark, in pixels about its middle: a circle for a count, a diamond for disease."""
    ink = f'fill="{colours.WHITE}" stroke="{colours.INK}" stroke-width="1.6"'
    if kind == "count":
        return f'<circle r="5" {ink}/><circle r="1.6" fill="{colours.INK}"/>'
    return f'<path d="M0-6.5 6.5 0 0 6.5-6.5 0z" {ink}/>'


def place(x: float, y: float, px_m: float, aside: int = 0) -> str:
    """Move a mark to its place and give it its size; `aside` marks stand there already."""
    moved = f"translate({text(x)} {text(y)}) scale({px_m:.4g})"
    return f"{moved} translate({ASIDE_PX * aside} 0)" if aside else moved


def asides(spots: Sequence[Spot], px_m: float) -> list[int]:
    """Count for each point the earlier ones at the same place: it is drawn beside them."""
    taken: dict[tuple[int, int], int] = {}
    found = []
    for one in spots:
        key = round(one.x / px_m / 8), round(one.y / px_m / 8)
        found.append(taken.get(key, 0))
        taken[key] = found[-1] + 1
    return found


def round_length(longest: float) -> int:
    """Give the longest of 1, 2, 5, 10, 20, ... that is not above a length.

    Examples
    --------
    >>> round_length(349.0), round_length(1.4)
    (200, 1)
    """
    lengths = [step * 10**power for power in range(7) for step in _STEPS]
    return max((length for length in lengths if length <= longest), default=1)


def _bar(start: tuple[float, float], pen: Pen, unit: str, per_unit_m: float) -> str:
    length = round_length(_BARS_PX * pen.px_m / per_unit_m)
    wide, (x, y) = length * per_unit_m, start
    high = 5 * pen.px_m
    label = f"{length:,} {unit}"
    at = f'y="{y - high:.4f}" height="{high:.4f}"'
    return (
        f'<g data-bar="{unit}" data-length="{length}">'
        f'<rect x="{x:.4f}" {at} width="{wide:.4f}" fill="{colours.WHITE}"/>'
        f'<rect x="{x:.4f}" {at} width="{wide / 2:.4f}" fill="{colours.INK}"/>'
        f'<path d="M{x:.4f} {y - high:.4f}h{wide:.4f}v{high:.4f}h{-wide:.4f}z" fill="none" '
        f'stroke="{colours.INK}" {pen.stroke(1)}/>'
        f'<text x="{x + wide + 7 * pen.px_m:.4f}" y="{y:.4f}">{label}</text></g>'
    )


def foot(ground: Drawing, pen: Pen) -> str:
    """Draw the arrow to grid north and both scale bars below the field."""
    left, top, _, high = ground.box
    base = top + high - 6 * pen.px_m
    x = left + 6 * pen.px_m
    arrow = "M0-38 8 0 0-7-8 0z"
    north = Markup.escape(Said("field_map.north").text)
    bars_x = x + 92 * pen.px_m
    return (
        f'<g id="map-foot" fill="{colours.INK}" font-size="{pen.m(_FOOT_PX)}" pointer-events="none">'
        f'<g transform="{place(x + 8 * pen.px_m, base, pen.px_m)}"><path d="{arrow}"/></g>'
        f'<text x="{x + 22 * pen.px_m:.4f}" y="{base:.4f}">{north}</text>'
        + _bar((bars_x, base - 25 * pen.px_m), pen, "m", 1.0)
        + _bar((bars_x, base), pen, "ft", 1.0 / units.ft_from_m(1.0))
        + "</g>"
    )


def seen(one: Spot) -> str:
    """Say in a line what was seen at a point."""
    told = [day(one.seen.on), one.seen.stage, one.seen.text]
    if one.seen.severity_pct is not None:
        told.append(f"{one.seen.severity_pct:g} %")
    told += [one.seen.note, one.seen.photo]
    return ", ".join(plain(part) for part in told if part)
