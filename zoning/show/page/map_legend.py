"""The legend of the page's map, theme by theme, in the order of the table; and what can be switched on it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from zoning import colours
from zoning.plan import Plan, ScoutedKind, decided
from zoning.show import check_strips, never_sprayed
from zoning.show.figures import days, of_day, plain, when
from zoning.show.names import drawn_names, swath_notes
from zoning.show.page.both_units import in_both, in_other_units, twin
from zoning.show.page.map_marks import STRIP_EDGES, Pen, patterns, point_shape
from zoning.show.page.map_rasters import MOST_PICTURES, raster_names
from zoning.show.page.spans import Figures, of_plan
from zoning.show.page.themes import (
    UNKNOWN,
    date_classes,
    net_end_usd_ac,
    spray_fill,
    themes,
    zone_name,
)
from zoning.words import Said

_MOST_ZONES = 12  # named in the legend; more would be longer than the table beside it
_WIDE, _HIGH = 28, 16  # of a swatch [px]
_BAR = 180  # length of the ramp of returns [px]


@dataclass(frozen=True, slots=True)
class Switch:
    """Something on the map that can be switched: its key, its words, whether it is on."""

    key: str
    text: str
    is_on: bool


def theme_switches(plan: Plan) -> tuple[Switch, ...]:
    """Give the themes that can be chosen; the first is on."""
    has = themes(plan)
    return tuple(Switch(one, Said(f"field_map.by_{one}").text, one == has[0]) for one in has)


def layer_switches(plan: Plan) -> tuple[Switch, ...]:
    """Give what can be shown or hidden: what lies under the map is off at first."""
    has = {
        "labels": True,
        "points": bool(plan.scouting),
        "strips": plan.strips is not None,
        "swaths": bool(swath_notes(plan)),
    }
    found = [Switch(key, Said(f"field_map.{key}").text, True) for key, there in has.items() if there]
    under = [Switch(one.key, one.name, False) for one in raster_names(plan)]
    return (*found, *under)


def legend(plan: Plan) -> str:
    """Write the legend: a list for each theme, all but the first hidden, and what is the same in all.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    str
        HTML without any style of its own.
    """
    has = themes(plan)
    keys = {theme: Markup("").join(_KEYS[theme](plan)) for theme in has}
    lists = [
        Markup('<ul class="keys" data-theme="{}"{}>{}</ul>').format(
            theme, Markup("" if theme == has[0] else " hidden"), keys[theme]
        )
        for theme in has
    ]
    everywhere = Markup("").join(_everywhere(plan))
    box = (
        f'<svg class="patterns" width="0" height="0" aria-hidden="true">{patterns(Pen(1, True), "key")}</svg>'
    )
    rest = Markup('<ul class="keys">{}</ul>').format(everywhere) if everywhere else ""
    return str(Markup(box) + Markup("").join(lists) + rest)


def _swatch(fill: str, over: str = "") -> Markup:
    shape = f'x="0.5" y="0.5" width="{_WIDE - 1}" height="{_HIGH - 1}"'
    on_top = f'<rect {shape} fill="url(#key-{over})"/>' if over else ""
    return Markup(
        f'<svg class="key" width="{_WIDE}" height="{_HIGH}" aria-hidden="true">'
        f'<rect {shape} fill="{fill}"/>{on_top}<rect {shape} fill="none" stroke="{colours.INK}"/></svg>'
    )


def _strip(fill: str, *, is_dry: bool) -> Markup:
    """Draw a check strip as it lies: with its double edge, in ground that is treated the other way."""
    around, over = (colours.SPRAY_MOST, "") if is_dry else (colours.SKIP, "hatch")
    band = f'x="-2" width="{_WIDE + 4}" y="5" height="{_HIGH - 10}"'
    edges = "".join(
        f'<rect {band} fill="none" stroke="{ink}" stroke-width="{width:g}"/>' for ink, width in STRIP_EDGES
    )
    dots = f'<rect {band} fill="url(#key-dots)"/>' if is_dry else ""
    inside = f'<rect {band} fill="{fill}"/>{dots}{edges}'
    return Markup(str(_swatch(around, over)).replace("</svg>", f"{inside}</svg>"))


def _key(swatch: Markup, *parts: str | Markup, name: str = "", hidden: bool = False) -> Markup:
    told = Markup(" ").join(parts)
    named = Markup(' data-key="{}"').format(name) if name else ""
    return Markup("<li{}{}>{}<span>{}</span></li>").format(
        named, Markup(" hidden") if hidden else "", swatch, told
    )


def _area(write: Figures, area_ac: float) -> Markup:
    return Markup("{} {}").format(write.area(area_ac), write.unit("area"))


def _decision(plan: Plan) -> Iterator[Markup]:
    write = of_plan(plan)
    for one in plan.passes:
        told = Said("field_map.of_pass", number=one.number, when=when(one)).text
        rate = Markup("{} {},").format(write.rate(one.rate_gal_ac), write.unit("rate"))
        shown = _swatch(spray_fill(plan, one.rate_gal_ac))
        yield _key(shown, told, rate, _area(write, one.area_ac), name=f"pass-{one.number}")
    totals = plan.totals
    spray_ac = totals.spray_ac if totals is not None and not plan.passes else 0.0
    told = Said(f"field_map.{'other_pass' if plan.passes else 'no_pass'}").text
    shown = _swatch(colours.SPRAY_MOST)
    yield _key(shown, told, _area(write, spray_ac), name="spray", hidden=spray_ac == 0)
    skip_ac = totals.skip_ac if totals is not None else 0.0
    yield _key(
        _swatch(colours.SKIP, "hatch"), Said("field_map.skipped").text, _area(write, skip_ac), name="skip"
    )
    keys = in_both(check_strips.legend(plan), check_strips.legend(in_other_units(plan)))
    for fill, is_dry, text in keys:
        yield _key(_strip(fill, is_dry=is_dry), text, name="strips")
    for note in (*swath_notes(plan), *drawn_names(plan)):
        yield Markup('<li class="note">{}</li>').format(note)


def _return(plan: Plan) -> Iterator[Markup]:
    write, end = of_plan(plan), net_end_usd_ac(plan)
    stops = "".join(
        f'<stop offset="{at / (len(colours.NET) - 1):g}" stop-color="{colour}"/>'
        for at, colour in enumerate(colours.NET)
    )
    bar = Markup(
        f'<svg class="ramp" width="{_BAR}" height="{_HIGH}" aria-hidden="true"><defs>'
        f'<linearGradient id="key-net">{stops}</linearGradient></defs>'
        f'<rect x="0.5" y="0.5" width="{_BAR - 1}" height="{_HIGH - 1}" fill="url(#key-net)" '
        f'stroke="{colours.INK}"/></svg>'
    )
    yield Markup('<li class="ramp">{} {} {} {}</li>').format(
        write.net(-end), bar, write.net(end), write.unit("net")
    )
    losses = [zone for zone in plan.zones if zone.money is not None and zone.money.net_mean_usd_ac < 0]
    if losses:
        yield _key(_swatch(colours.NET[2], "hatch-ink"), Said("field_map.loss").text)
    yield _key(_swatch(colours.NET[len(colours.NET) // 2], "toss"), Said("field_map.toss_up").text)
    if any(zone.money is None for zone in plan.zones):
        yield _key(_swatch(UNKNOWN), Said("field_map.no_return").text)
    yield Markup('<li class="note">{}</li>').format(Said("field_map.net_of").text)


def _date(plan: Plan) -> Iterator[Markup]:
    write = of_plan(plan)
    for first, last, fill in date_classes(plan):
        mine = [
            zone.area_ac
            for zone in plan.zones
            if zone.window is not None and first <= zone.window.r3_likely <= last
        ]
        yield _key(_swatch(fill), f"{days(first, last)}:", _area(write, sum(mine)))
    without = [zone.area_ac for zone in plan.zones if zone.window is None]
    if without:
        yield _key(_swatch(UNKNOWN), f"{Said('field_map.no_date').text}:", _area(write, sum(without)))
    yield Markup('<li class="note">{}</li>').format(Said("field_map.dates_of").text)


def _zone(plan: Plan) -> Iterator[Markup]:
    write = of_plan(plan)
    if len(plan.zones) <= _MOST_ZONES:
        for zone in plan.zones:
            told = Said("field_map.zone_of", zone=zone.zone, name=zone_name(zone)).text
            yield _key(_swatch(colours.zone(zone.zone)), told, _area(write, zone.area_ac))
    yield Markup('<li class="note">{}</li>').format(Said("field_map.zones_of").text)


_KEYS = {"decision": _decision, "return": _return, "date": _date, "zone": _zone}


def _point(kind: ScoutedKind) -> Markup:
    return Markup(
        f'<svg class="key" width="{_WIDE}" height="{_HIGH}" aria-hidden="true">'
        f'<g transform="translate({_WIDE / 2:g} {_HIGH / 2:g})">{point_shape(kind)}</g></svg>'
    )


def _everywhere(plan: Plan) -> Iterator[Markup]:
    """Give the keys that belong to no theme: ground that is never sprayed, points, edges, pictures."""
    if plan.no_spray:
        own, other = (never_sprayed.of_legend(one, with_area=True) for one in (plan, in_other_units(plan)))
        told = twin(own, other)
        yield _key(_swatch(colours.NO_SPRAY, "cross"), told)
    kinds: Sequence[tuple[ScoutedKind, str]] = (("count", "counted"), ("pressure", "scouted"))
    for kind, code in kinds:
        on = [one.on for one in plan.scouting if one.kind == kind]
        if on:
            yield _key(
                _point(kind), Said(f"field_map.{code}", days=days(min(on), max(on))).text, name="points"
            )
    if plan.pictures:
        names = ", ".join(plain(of_day(one.name, " of "), 40) for one in plan.pictures[:MOST_PICTURES])
        yield Markup('<li class="note">{}</li>').format(Said("field_map.drawn_on", names=names).text)
    if len({zone.block for zone in plan.zones}) > 1:
        yield Markup('<li class="note">{}</li>').format(Said("field_map.blocks").text)
    hidden = "" if decided.followed(plan.zones) else " hidden"
    told = Said("field_map.overruled", mark=decided.MARK).text
    yield Markup('<li class="note" data-key="overruled"{}>{}</li>').format(Markup(hidden), told)
    for one in raster_names(plan):
        if one.legend:
            yield Markup('<li class="note" data-key="{}" hidden>{}</li>').format(one.key, one.legend)
