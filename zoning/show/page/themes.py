"""What each theme of the page's map shows of a zone: its colour, whether it is hatched, what its label says.

Draws nothing. The scripts of the page show the first two themes again when a figure is moved.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from zoning import colours
from zoning.plan import Plan, PlanZone, decided
from zoning.show.figures import Units, days, plain, signed
from zoning.show.panels import MINUS, classes, round_limit
from zoning.words import Said

Theme = Literal["decision", "return", "date", "zone"]
THEMES: tuple[Theme, ...] = get_args(Theme)
UNKNOWN = colours.WHITE
_LONGEST = 18  # of a name [characters]
_ONE_CLASS = 0.25  # place of a single run of days on the ramp

Tries = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class ZoneLook:
    """How a zone looks: `tries` are the lines of its label, the longest first; `toss_up` has dots."""

    fill: str
    hatched: bool
    tries: Tries
    toss_up: bool = False


def themes(plan: Plan) -> tuple[Theme, ...]:
    """Give the themes that a plan has something for, the one shown first in front."""
    has = {
        "decision": plan.level > 1,
        "return": any(zone.money is not None for zone in plan.zones),
        "date": any(zone.window is not None for zone in plan.zones),
        "zone": True,
    }
    order = THEMES if plan.level > 1 else ("zone", "date", "decision", "return")
    return tuple(theme for theme in order if has[theme])


def spray_fill(plan: Plan, rate_gal_ac: float | None) -> str:
    """Give the colour of a carrier volume: dark is more; dark where it is not known."""
    rates = sorted({one.rate_gal_ac for one in plan.passes})
    if rate_gal_ac is None or not rates:
        return colours.SPRAY_MOST
    below = sum(rate < rate_gal_ac for rate in rates)
    return colours.spray(min(below, len(rates) - 1), len(rates))


def min_net_usd_ac(plan: Plan) -> float:
    """Give what a pass must return beyond its costs; below it either way is too close to call."""
    return plan.what_if.base.min_net_usd_ac if plan.what_if is not None else 0.0


def net_end_usd_ac(plan: Plan) -> int:
    """Give the end of the ramp of returns, the same to both sides."""
    nets = [abs(zone.money.net_mean_usd_ac) for zone in plan.zones if zone.money is not None]
    return round_limit(max(nets, default=0.0))


def _named(zone: PlanZone, mark: str = "") -> str:
    return f"{zone.zone}{mark}"


def _decision(plan: Plan) -> Callable[[PlanZone], ZoneLook]:
    written = Units(metric=plan.units == "metric")
    several = len(plan.passes) > 1

    def look(zone: PlanZone) -> ZoneLook:
        number = _named(zone, decided.MARK if decided.followed([zone]) else "")
        if zone.action != "spray":
            skip = (number, Said("field_map.skip").text)
            return ZoneLook(colours.SKIP, True, (skip, (number,)))
        fill = spray_fill(plan, zone.rate_gal_ac)
        if zone.rate_gal_ac is None:
            return ZoneLook(fill, False, ((number, Said("field_map.spray").text), (number,)))
        rate = written.rate(zone.rate_gal_ac)
        full = f"{rate} {written.rate_unit}"
        tries = [(number, full), (number, rate), (number,)]
        if several:
            of_pass = [
                (number, Said("field_map.at_pass", number=zone.pass_number, rate=what).text)
                for what in (full, rate)
            ]
            tries = [*of_pass, (number, Said("field_map.pass", number=zone.pass_number).text), (number,)]
        return ZoneLook(fill, False, tuple(tries))

    return look


def _return(plan: Plan) -> Callable[[PlanZone], ZoneLook]:
    written = Units(metric=plan.units == "metric")
    end, band = net_end_usd_ac(plan), min_net_usd_ac(plan)

    def look(zone: PlanZone) -> ZoneLook:
        if zone.money is None:
            return ZoneLook(UNKNOWN, False, ((_named(zone),),))
        net = zone.money.net_mean_usd_ac
        told = signed(written.net(net), MINUS)
        tries = ((_named(zone), told), (told,))
        if zone.money.toss_up or abs(net) < band:
            return ZoneLook(colours.ramp(colours.NET, 0.5), False, tries, toss_up=True)
        return ZoneLook(colours.ramp(colours.NET, 0.5 + net / end / 2), told.startswith(MINUS), tries)

    return look


def date_classes(plan: Plan) -> tuple[tuple[date, date, str], ...]:
    """Cut the likely days of R3 into runs, each with its colour; only those that a zone has."""
    likely = [zone.window.r3_likely for zone in plan.zones if zone.window is not None]
    if not likely:
        return ()
    runs = classes(likely)
    shares = [place / (len(runs) - 1) if len(runs) > 1 else _ONE_CLASS for place in range(len(runs))]
    return tuple(
        (first, last, colours.ramp(colours.DATE, share))
        for (first, last), share in zip(runs, shares, strict=True)
        if any(first <= day <= last for day in likely)
    )


def _date(plan: Plan) -> Callable[[PlanZone], ZoneLook]:
    runs = date_classes(plan)

    def look(zone: PlanZone) -> ZoneLook:
        if zone.window is None:
            return ZoneLook(UNKNOWN, False, ((_named(zone), Said("field_map.no_date").text), (_named(zone),)))
        when = zone.window.r3_likely
        told = days(zone.window.r3_early, zone.window.r3_late)
        fill = next(colour for first, last, colour in runs if first <= when <= last)
        return ZoneLook(fill, False, ((_named(zone), told), (told,), (_named(zone),)))

    return look


def _zone(_plan: Plan) -> Callable[[PlanZone], ZoneLook]:
    def look(zone: PlanZone) -> ZoneLook:
        return ZoneLook(colours.zone(zone.zone), False, ((_named(zone), zone_name(zone)), (_named(zone),)))

    return look


def zone_name(zone: PlanZone) -> str:
    """Give what a zone is called beside its number: the name of who drew it, else its block."""
    return plain(zone.name, _LONGEST) or Said("field_map.block", name=plain(zone.block, _LONGEST)).text


_LOOKS: dict[Theme, Callable[[Plan], Callable[[PlanZone], ZoneLook]]] = {
    "decision": _decision,
    "return": _return,
    "date": _date,
    "zone": _zone,
}


def looks(plan: Plan, theme: Theme) -> tuple[ZoneLook, ...]:
    """Give how each zone looks, in the order of the plan's zones.

    Parameters
    ----------
    plan : Plan
        Any level.
    theme : str
        One of `themes(plan)`.
    """
    return tuple(map(_LOOKS[theme](plan), plan.zones))
