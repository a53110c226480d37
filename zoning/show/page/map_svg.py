"""The map of the page as SVG in local metres, true without scripts; and what the scripts need to change it.

A zone is a link to its story, so that it can be tapped, reached by keyboard and read out. Decides nothing.
"""

from dataclasses import replace

from zoning import colours
from zoning.plan import Plan, PlanZone, decided
from zoning.show.figures import Units, day, plain, signed
from zoning.show.page import map_marks as marks
from zoning.show.page.drawing import Drawing, drawing
from zoning.show.page.map_data import map_data as map_data
from zoning.show.page.map_labels import LINE_EM, Label, placed
from zoning.show.page.map_marks import Pen
from zoning.show.page.map_rasters import raster_images
from zoning.show.page.svg_shapes import line, path, tag, text
from zoning.show.page.themes import Theme, ZoneLook, looks, themes
from zoning.words import Said

_FONT = "DejaVu Sans"
_PRINT_PX = 0.8  # of a map on paper, to the same map on the screen: letters stay as they are


def svg(plan: Plan) -> str:
    """Draw the map for the page.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    str
        One element `svg` with the id "map"; no style and no script in it.
    """
    ground = drawing(plan)
    pen = Pen(ground.px_m, is_screen=True)
    theme = themes(plan)[0]
    shown = looks(plan, theme)
    about = Said("field_map.about", field=plain(plan.field), count=len(plan.zones)).text
    parts = [
        marks.patterns(pen),
        _rasters(plan, ground),
        _never(ground, pen),
        _zones(plan, ground, pen, shown),
        _lines(plan, pen),
        marks.strips(ground, pen, filled=theme == "decision"),
        _edges(ground, pen),
        _decided(plan, pen),
        _points(ground),
        _labels(plan, ground, pen, shown),
        marks.foot(ground, pen),
    ]
    box = " ".join(f"{one:.1f}" for one in ground.box)
    head = '<svg id="map" viewBox="{}" role="group" aria-label="{}" data-theme="{}">'
    return tag(head, box, about, theme) + "".join(parts) + "</svg>"


def static_svg(plan: Plan, theme: Theme = "decision", px_m: float | None = None) -> str:
    """Draw the map for paper: nothing to switch or to follow, lines and letters in metres, one font.

    Parameters
    ----------
    plan : Plan
        Any level.
    theme : str
        One of the themes; the plan's first where it has nothing for this one.
    px_m : float, optional
        Length of a pixel on paper, which letters and lines are measured in.

    Returns
    -------
    str
        A whole SVG document.
    """
    has = themes(plan)
    ground = drawing(plan)
    ground = replace(ground, px_m=px_m if px_m is not None else ground.px_m * _PRINT_PX)
    pen = Pen(ground.px_m, is_screen=False)
    theme = theme if theme in has else has[0]
    shown = looks(plan, theme)
    parts = [
        marks.patterns(pen),
        _never(ground, pen),
        _zones(plan, ground, pen, shown, linked=False),
        _lines(plan, pen),
        marks.strips(ground, pen, filled=theme == "decision"),
        _edges(ground, pen),
        _decided(plan, pen),
        _points(ground, linked=False),
        _labels(plan, ground, pen, shown),
        marks.foot(ground, pen),
    ]
    box = ground.box
    view = " ".join(f"{one:.1f}" for one in box)
    size = f'width="{box[2] / pen.px_m:.0f}" height="{box[3] / pen.px_m:.0f}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" {size} font-family="{_FONT}">'
    return head + "".join(parts) + "</svg>"


def _rasters(plan: Plan, ground: Drawing) -> str:
    images = "".join(
        f'<image id="map-{one.key}" display="none" href="{one.uri}" x="{text(one.x)}" y="{text(one.y)}" '
        f'width="{text(one.wide_m)}" height="{text(one.high_m)}" preserveAspectRatio="none" '
        'image-rendering="pixelated"/>'
        for one in raster_images(plan, ground)
    )
    return f'<g id="map-rasters" pointer-events="none">{images}</g>'


def _never(ground: Drawing, pen: Pen) -> str:
    found = []
    for outline, _word in ground.unsprayed:
        shape = path(outline, ground.per_m)
        found.append(f'<path d="{shape}" fill="{colours.NO_SPRAY}"/>')
        found.append(f'<path d="{shape}" fill="url(#map-cross)" stroke="{colours.INK}" {pen.stroke(1)}/>')
    return f'<g id="map-never" fill-rule="evenodd" pointer-events="none">{"".join(found)}</g>'


def _zones(plan: Plan, ground: Drawing, pen: Pen, shown: tuple[ZoneLook, ...], *, linked: bool = True) -> str:
    found: list[str] = []
    for zone, outline, look in zip(plan.zones, ground.zones, shown, strict=True):
        # on the screen map.css says the rest, once for all of them
        shape = f'<path id="map-z{zone.zone}" d="{path(outline, ground.per_m)}"/>'
        edge = "" if pen.is_screen else ' stroke="none"'
        over = f'<use href="#map-z{zone.zone}" fill="{_over(look)}"{edge}/>'
        if linked:
            head = '<a class="zone" data-zone="{}" href="#zone-{}" aria-label="{}" fill="{}">'
            found.append(
                tag(head, zone.zone, zone.zone, _told(zone, plan), look.fill) + shape + over + "</a>"
            )
        else:
            found.append(f'<g fill="{look.fill}">{shape}{over if _over(look) != "none" else ""}</g>')
    edge = f'stroke="{colours.WHITE}" {pen.stroke(3)} stroke-linejoin="round"'
    return f'<g id="map-zones" fill-rule="evenodd" {edge}>{"".join(found)}</g>'


def _over(look: ZoneLook) -> str:
    """Give the pattern on top of a colour."""
    if look.toss_up:
        return "url(#map-toss)"
    if not look.hatched:
        return "none"
    if look.fill == colours.SKIP:
        return "url(#map-hatch)"
    return f"url(#map-hatch-{'light' if colours.readable_on(look.fill) == colours.WHITE else 'ink'})"


def _told(zone: PlanZone, plan: Plan) -> str:
    """Say of a zone what is done there and what it returns, for those who listen."""
    written = Units(metric=plan.units == "metric")
    what = Said("field_map.skip").text if zone.action == "skip" else Said("field_map.spray").text
    if zone.rate_gal_ac is not None:
        rate = f"{written.rate(zone.rate_gal_ac)} {written.rate_unit}"
        what = Said("field_map.spray_at", rate=rate, number=zone.pass_number).text
    elif zone.action is None:
        what = f"block {plain(zone.block)}"
    if zone.money is not None:
        net = f"{signed(written.net(zone.money.net_mean_usd_ac))} {written.net_unit}"
        what = Said("field_map.net", what=what, net=net).text
    if zone.window is not None:
        what = Said("field_map.begins", what=what, day=day(zone.window.r3_likely)).text
    if decided.followed([zone]):
        what = Said("field_map.yours", what=what).text
    return Said("field_map.zone", zone=zone.zone, what=what).text


def _lines(plan: Plan, pen: Pen) -> str:
    uses = "".join(f'<use href="#map-z{zone.zone}"/>' for zone in plan.zones)
    edge = f'stroke="{colours.INK}" {pen.stroke(1.2)} stroke-linejoin="round"'
    return f'<g id="map-lines" fill="none" {edge} pointer-events="none">{uses}</g>'


def _edges(ground: Drawing, pen: Pen) -> str:
    """Draw what is heavier than the edge of a zone, and the edges in the sprayer's files."""
    blocks = "".join(f'<path d="{path(one, ground.per_m)}" {pen.stroke(2.6)}/>' for one in ground.blocks)
    found = f'<g id="map-edges" stroke="{colours.INK}" stroke-linejoin="round">{blocks}'
    found += f'<path id="map-boundary" d="{path(ground.boundary, ground.per_m)}" {pen.stroke(2.6)}/></g>'
    if ground.dashed is not None:
        shape = line(ground.dashed, ground.per_m)
        found += (
            f'<g id="map-swaths"><path d="{shape}" stroke="{colours.WHITE}" {pen.stroke(3)}/>'
            f'<path d="{shape}" stroke="{colours.INK}" {pen.stroke(1.6)} {pen.dashes(5, 4)}/></g>'
        )
    return f'<g fill="none" pointer-events="none">{found}</g>'


def _decided(plan: Plan, pen: Pen) -> str:
    """Draw a dashed edge round each zone that the user decided; scripts draw it anew when that changes."""
    found = ""
    for zone in decided.followed(plan.zones):
        for ink, width, dashes in ((colours.WHITE, 5, ""), (colours.INK, 2.4, pen.dashes(7, 5))):
            found += f'<use href="#map-z{zone.zone}" stroke="{ink}" {pen.stroke(width)} {dashes}/>'
    return f'<g id="map-over" fill="none" pointer-events="none">{found}</g>'


def _points(ground: Drawing, *, linked: bool = True) -> str:
    found = []
    beside = marks.asides(ground.spots, ground.px_m)
    for at, (one, aside) in enumerate(zip(ground.spots, beside, strict=True)):
        shape = marks.point_shape(one.seen.kind)
        where = marks.place(one.x, one.y, ground.px_m, aside)
        if not linked:
            found.append(f'<g transform="{where}">{shape}</g>')
            continue
        head = '<a class="point" data-at="{}" href="#seen" aria-label="{}" transform="{}">'
        hit = '<circle r="12" fill="none" pointer-events="all"/>'
        found.append(tag(head, at, marks.seen(one), where) + hit + shape + "</a>")
    return f'<g id="map-points">{"".join(found)}</g>'


def _labels(plan: Plan, ground: Drawing, pen: Pen, shown: tuple[ZoneLook, ...]) -> str:
    size_m = marks.LETTERS_PX * pen.px_m
    found = []
    for zone, (first, again), look in zip(plan.zones, ground.rooms, shown, strict=True):
        number = look.tries[-1:]
        for tries, at in ((look.tries, first), *((number, (room,)) for room in again)):
            label = placed(tries, at, size_m, zone.area_ac, pen.px_m)
            if label is not None:
                found.append(_label(label, str(zone.zone), look.fill, size_m))
    for x, y, name in marks.strip_names(ground):
        found.append(_label(Label(x, y, (name,)), name, colours.WHITE, size_m))
    look_of = f'font-size="{size_m:.4g}" font-weight="700" text-anchor="middle" paint-order="stroke"'
    halo = f'stroke-width="{pen.m(4)}" stroke-linejoin="round"'
    hidden = ' aria-hidden="true" pointer-events="none"' if pen.is_screen else ""
    return f'<g id="map-labels" {look_of} {halo}{hidden}>{"".join(found)}</g>'


def _label(label: Label, name: str, fill: str, size_m: float) -> str:
    first = label.y + size_m * (0.36 - LINE_EM * (len(label.lines) - 1) / 2)
    lines = "".join(
        tag('<tspan x="{}" y="{}">{}</tspan>', text(label.x), text(first + at * LINE_EM * size_m), words)
        for at, words in enumerate(label.lines)
    )
    ink = colours.readable_on(fill)
    of = "strip" if name.startswith("S") else "of"
    return f'<text data-{of}="{name}" fill="{ink}" stroke="{fill}">{lines}</text>'
