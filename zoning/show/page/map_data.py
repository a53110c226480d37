"""What the scripts of the page need to draw its map again: colours, places of labels, points."""

from zoning import colours
from zoning.plan import Plan
from zoning.show.page import map_marks as marks
from zoning.show.page.drawing import Spot, drawing
from zoning.show.page.map_labels import ASPECTS, Room
from zoning.show.page.map_rasters import raster_names
from zoning.show.page.themes import ZoneLook, looks, min_net_usd_ac, net_end_usd_ac, spray_fill, themes


def _numbers(found: tuple[Room, ...]) -> list[list[float]]:
    return [[round(room.x, 1), round(room.y, 1), *map(int, room.halves)] for room in found]


def _volumes(plan: Plan) -> dict[int, float | None]:
    """Give the carrier volume that each zone gets, or would get, where that is known."""
    found: dict[int, float | None] = {}
    if plan.what_if is not None:
        visits = plan.what_if.visits
        found = {one.zone: visits[one.visit].rate_gal_ac for one in plan.what_if.zones if one.visit >= 0}
    planned = {zone.zone: zone.rate_gal_ac for zone in plan.zones if zone.rate_gal_ac is not None}
    return found | planned


def _point(one: Spot, aside: int) -> dict[str, object]:
    seen = one.seen
    return {
        "x": round(one.x, 1),
        "y": round(one.y, 1),
        "aside": aside * marks.ASIDE_PX,
        "on": seen.on.isoformat(),
        "kind": seen.kind,
        "zone": seen.zone,
        "text": seen.text,
        "stage": seen.stage,
        "severity_pct": seen.severity_pct,
        "note": seen.note,
        "photo": seen.photo,
        "observer": seen.observer,
    }


def _look(look: ZoneLook) -> list[str]:
    """Give a colour and what stands below, or instead of, the number of a zone."""
    return [look.fill, look.tries[0][1]]


def map_data(plan: Plan) -> dict[str, object]:
    """Give what the scripts need to draw another theme, other figures, or at another size.

    Parameters
    ----------
    plan : Plan
        Any level.
    """
    ground = drawing(plan)
    by_theme = {theme: looks(plan, theme) for theme in themes(plan)}
    fixed = {theme: by_theme[theme] for theme in ("date", "zone") if theme in by_theme}
    volumes = _volumes(plan)
    planned = [one.rate_gal_ac for one in plan.passes]
    asides = marks.asides(ground.spots, ground.px_m)
    zones = [
        {
            "zone": zone.zone,
            "spray": spray_fill(plan, volumes.get(zone.zone)),
            "rate_gal_ac": volumes.get(zone.zone),
            "net_usd_ac": zone.money.net_mean_usd_ac if zone.money is not None else None,
            "toss_up": zone.money is not None and zone.money.toss_up,
            **{f"by_{theme}": _look(looked[at]) for theme, looked in fixed.items()},
            "rooms": _numbers(first),
            "again": _numbers(again),
        }
        for at, (zone, (first, again)) in enumerate(zip(plan.zones, ground.rooms, strict=True))
    ]
    return {
        "themes": list(by_theme),
        "px_m": ground.px_m,
        "aspects": ASPECTS,
        "end_usd_ac": net_end_usd_ac(plan),
        "min_net_usd_ac": min_net_usd_ac(plan),
        "several": len(plan.passes) > 1,
        "ramp": colours.NET,
        "fills": [[rate, spray_fill(plan, rate)] for rate in sorted({*plan.volumes_gal_ac, *planned})],
        "under": [one.key for one in raster_names(plan)],
        "inks": {
            "ink": colours.INK,
            "white": colours.WHITE,
            "skip": colours.SKIP,
            "chosen": colours.FOCUS,
        },
        "zones": zones,
        "points": [_point(one, aside) for one, aside in zip(ground.spots, asides, strict=True)],
    }
