"""The two maps of the sheet: what is done on a field, and what one pass treats. Decides nothing."""

from dataclasses import replace
from typing import cast

import shapely

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.plan import Area, Piece, Plan, PlanPass
from zoning.show import check_strips, never_sprayed
from zoning.show.check_strips import StripPatch
from zoning.show.figures import Units
from zoning.show.page import map_marks as marks
from zoning.show.page.drawing import Drawing, drawing
from zoning.show.page.map_labels import LINE_EM, Label, placed, rooms
from zoning.show.page.map_marks import Pen
from zoning.show.page.map_svg import static_svg
from zoning.show.page.svg_shapes import line, path
from zoning.show.page.themes import Theme, looks, themes
from zoning.show.panels import Key, panels
from zoning.show.sheet.look import SizedMap

_PX_PT = 0.67  # points of the paper that a pixel of the map takes: letters of 9 and 8 points
_EDGE_PT = 8 * _PX_PT  # free around the map
_FOOT_PT = 52 * _PX_PT  # scale bars and north
_FONT = "DejaVu Sans"
_SMALLER = (0.86, 0.75)  # letters where there is little room
_HATCHED = "url(#map-hatch)"


def _m_per_pt(ground: Drawing, room: tuple[float, float]) -> float:
    """Give the scale at which the field has just room. [m per point]."""
    wide_pt, high_pt = room
    return max(ground.wide_m / (wide_pt - _EDGE_PT), ground.high_m / (high_pt - _EDGE_PT - _FOOT_PT))


def of_field(plan: Plan, room: tuple[float, float]) -> SizedMap:
    """Draw what is done where, with all that was seen.

    Parameters
    ----------
    plan : Plan
        Any level; at level 1 only the zones.
    room : tuple of float
        Width and height that it may take. [points]
    """
    ground = drawing(plan)
    m_per_pt = _m_per_pt(ground, room)
    px_m = _PX_PT * m_per_pt
    theme: Theme = "decision" if plan.level > 1 else "zone"
    ground = replace(ground, px_m=px_m)
    svg = static_svg(plan, theme, px_m)
    more = _missing(plan, theme, svg, ground)
    return _sized(f"{svg.removesuffix('</svg>')}{more}</svg>", ground, m_per_pt)


def _missing(plan: Plan, theme: Theme, svg: str, ground: Drawing) -> str:
    """Write the number of each zone that has no label on a map, as small as it takes."""
    if all(f'data-of="{zone.zone}"' in svg for zone in plan.zones):
        return ""
    found = []
    shown = looks(plan, theme if theme in themes(plan) else themes(plan)[0])
    for zone, (first, _), look in zip(plan.zones, ground.rooms, shown, strict=True):
        if f'data-of="{zone.zone}"' in svg:
            continue
        for size in _SMALLER:
            size_m = size * marks.LETTERS_PX * ground.px_m
            label = placed(((str(zone.zone),),), first, size_m, zone.area_ac, ground.px_m)
            if label is not None:
                found.append(_label(label, look.fill, size_m))
                break
    return "".join(found)


def _sized(svg: str, ground: Drawing, m_per_pt: float) -> SizedMap:
    _, _, wide, high = ground.box
    return SizedMap(svg=svg, width_pt=wide / m_per_pt, height_pt=high / m_per_pt)


def field_keys(plan: Plan) -> tuple[list[Key], list[tuple[str, str]], list[str]]:
    """Give the legend of the map of a field: ground, marks (kind and text), and notes."""
    shown = panels(plan)
    seen = [(str(panel.marks[0].kind), panel.about_marks) for panel in shown if panel.about_marks]
    return list(shown[0].keys), seen, list(shown[0].notes)


def of_pass(plan: Plan, one: PlanPass, room: tuple[float, float]) -> SizedMap:
    """Draw the ground that a pass treats, by the map that the machine follows.

    Parameters
    ----------
    plan : Plan
    one : PlanPass
    room : tuple of float
        Width and height that it may take. [points]
    """
    ground = drawing(plan)
    m_per_pt = _m_per_pt(ground, room)
    ground = replace(ground, px_m=_PX_PT * m_per_pt, spots=(), strips=_strips(plan, one, ground))
    pen, whole = Pen(ground.px_m, is_screen=False), path(ground.boundary, ground.per_m)
    parts = (
        marks.patterns(pen),
        *_treated(plan, one, ground, pen),
        marks.strips(ground, pen, filled=True),
        _never(ground, pen),
        f'<path d="{whole}" fill="none" stroke="{colours.INK}" {pen.stroke(2)}/>',
        *_labels(plan, one, ground, pen),
        marks.foot(ground, pen),
    )
    view = " ".join(f"{side:.1f}" for side in ground.box)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" font-family="{_FONT}">'
    return _sized(f"{head}{''.join(parts)}</svg>", ground, m_per_pt)


def _local(area: Area, plan: Plan, ground: Drawing) -> Area:
    """Bring an area to the metres of the drawing."""
    corner = ground.west_m, ground.north_m
    return shapely.transform(from_lonlat(area, plan.epsg), lambda at: (at - corner) * (1.0, -1.0))


def _treated(plan: Plan, one: PlanPass, ground: Drawing, pen: Pen) -> list[str]:
    """Draw the field hatched, what the pass treats dark, and the edges of the zones."""
    whole = path(ground.boundary, ground.per_m)
    found = [f'<path d="{whole}" fill="{fill}" fill-rule="evenodd"/>' for fill in (colours.SKIP, _HATCHED)]
    treated = [_local(part.outline, plan, ground) for part in one.map.parts if part.rate_gal_ac > 0]
    if treated:
        shape = path(cast(Area, shapely.union_all(treated)), ground.per_m)
        look = f'fill="{colours.SPRAY_MOST}" stroke="{colours.INK}" {pen.stroke(1.6)}'
        found.append(f'<path d="{shape}" fill-rule="evenodd" {look}/>')
    edges = "".join(path(zone, ground.per_m) for zone in ground.zones)
    for ink, width in ((colours.WHITE, 2.2), (colours.INK, 0.8)):
        found.append(f'<path d="{edges}" fill="none" stroke="{ink}" {pen.stroke(width)}/>')
    if ground.dashed is not None:
        shape = line(ground.dashed, ground.per_m)
        look = f'stroke="{colours.WHITE}" {pen.stroke(1.6)} {pen.dashes(5, 4)}'
        found.append(f'<path d="{shape}" fill="none" {look}/>')
    return found


def _never(ground: Drawing, pen: Pen) -> str:
    """Draw ground that is never sprayed."""
    shapes = "".join(path(area, ground.per_m) for area, _ in ground.unsprayed)
    look = f'stroke="{colours.INK}" {pen.stroke(1.4)} fill-rule="evenodd"'
    filled = f'<path d="{shapes}" fill="{colours.NO_SPRAY}" fill-rule="evenodd"/>'
    return f'{filled}<path d="{shapes}" fill="url(#map-cross)" {look}/>' if shapes else ""


def _labels(plan: Plan, one: PlanPass, ground: Drawing, pen: Pen) -> list[str]:
    """Write the number of each zone on it, and the name of each pair of strips."""
    size_m = marks.LETTERS_PX * pen.px_m
    found = []
    for zone, (first, again) in zip(plan.zones, ground.rooms, strict=True):
        fill = colours.SPRAY_MOST if zone.zone in one.zones else colours.SKIP
        for places in (first, *((room,) for room in again)):
            for size in (size_m, *(smaller * size_m for smaller in _SMALLER)):
                label = placed(((str(zone.zone),),), places, size, zone.area_ac, pen.px_m)
                if label is not None:
                    found.append(_label(label, fill, size))
                    break
    for name, area in check_strips.pairs(ground.strips).items():
        if places := rooms(area):
            best = max(places, key=lambda room: room.halves[0])
            found.append(_label(Label(best.x, best.y, (name,)), colours.WHITE, 0.85 * size_m))
    return found


def _label(label: Label, fill: str, size_m: float) -> str:
    look = f'fill="{colours.readable_on(fill)}" stroke="{fill}" stroke-width="{size_m / 4:.3g}"'
    look += ' stroke-linejoin="round" paint-order="stroke" text-anchor="middle" font-weight="700"'
    y = label.y + size_m * (0.36 - LINE_EM * (len(label.lines) - 1) / 2)
    return f'<text x="{label.x:.1f}" y="{y:.1f}" font-size="{size_m:.4g}" {look}>{label.lines[0]}</text>'


def _strips(plan: Plan, one: PlanPass, ground: Drawing) -> tuple[StripPatch, ...]:
    """Give the check strips that a pass meets: dotted where it is driven with the boom off."""
    met: dict[tuple[int, bool], list[Area]] = {}
    for part in _met(plan, one):
        met.setdefault((part.pair, not part.pass_number), []).append(_local(part.outline, plan, ground))
    return tuple(
        StripPatch(
            pair=pair,
            outline_m=cast(Area, shapely.union_all(outlines)),
            fill=colours.WHITE if dry else colours.SPRAY_MOST,
            dotted=dry,
            hatched=False,
        )
        for (pair, dry), outlines in sorted(met.items(), key=lambda item: item[0])
    )


def _met(plan: Plan, one: PlanPass) -> list[Piece]:
    """List the pieces of check strips that a pass sprays, and those that it drives with the boom off.

    It does so in its own zones, and in any zone where it sprays the other strip of the pair: both are driven.
    """
    strips = [] if plan.strips is None else [part for part in plan.strips.pieces if part.kind == "strip"]
    beside = {(part.pair, part.zone) for part in strips if part.pass_number == one.number}
    return [
        part
        for part in strips
        if part.pass_number == one.number
        or (not part.pass_number and (part.zone in one.zones or (part.pair, part.zone) in beside))
    ]


def pass_keys(plan: Plan, one: PlanPass) -> list[Key]:
    """Give the legend of the map of a pass."""
    written = Units(metric=plan.units == "metric")
    area = f"{written.area(one.map.treated_ac)} {written.area_unit}"
    rate = f"{written.rate(one.rate_gal_ac)} {written.rate_unit}"
    keys = [
        Key(colours.SPRAY_MOST, False, f"spray {rate}, {area}"),
        Key(colours.SKIP, True, "not in this pass: boom off"),
    ]
    if any(not part.pass_number for part in _met(plan, one)):
        keys.append(Key(colours.WHITE, False, "check strip: drive it, boom off", dotted=True))
    if plan.no_spray:
        text = never_sprayed.of_legend(plan, with_area=False)
        keys.append(Key(colours.NO_SPRAY, False, text, crossed=True))
    return keys
