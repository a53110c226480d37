"""The table of zones on the page: what is sprayed first, then by day; its numbers tie it to the map."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from markupsafe import Markup

from zoning.plan import Plan, PlanZone, decided
from zoning.show.figures import NONE, day, days, plain
from zoning.show.page.spans import Figures, of_plan
from zoning.show.table import COUNTED

_ORDER = {"spray": 0, "skip": 1, None: 2}


class ZoneRow(NamedTuple):
    """One row; cells without a figure hold "-"."""

    zone: int
    name: str
    block: str
    area: Markup
    r3: str
    spread: str
    action: str
    mark: str
    rate: Markup | str
    on: str
    net: Markup | str
    range: Markup | str
    chance: Markup | str


def in_order(zones: Sequence[PlanZone]) -> list[PlanZone]:
    """Sort zones as people read them: sprayed before skipped, then by day, then by number."""
    return sorted(zones, key=lambda zone: (_ORDER[zone.action], _day(zone), zone.zone))


def _day(zone: PlanZone) -> date:
    if zone.spray_on is not None:
        return zone.spray_on
    return zone.window.r3_likely if zone.window else date.max


def rows(plan: Plan) -> tuple[ZoneRow, ...]:
    """Give the rows of a plan's zones."""
    figures = of_plan(plan)
    return tuple(_row(zone, figures) for zone in in_order(plan.zones))


def _row(zone: PlanZone, figures: Figures) -> ZoneRow:
    window, money = zone.window, zone.money
    counted = "" if window is None or zone.provisional else COUNTED
    return ZoneRow(
        zone=zone.zone,
        name=plain(zone.name, 24),
        block=plain(zone.block, 14),
        area=figures.area(zone.area_ac),
        r3=day(window.r3_likely if window else None) + counted,
        spread=days(window.r3_early, window.r3_late) if window else "",
        action=zone.action or NONE,
        mark=decided.MARK if decided.followed([zone]) else "",
        rate=figures.rate(zone.rate_gal_ac),
        on=day(zone.spray_on),
        net=figures.net(money.net_mean_usd_ac) if money else NONE,
        range=spread(zone, figures) if money else NONE,
        chance=figures.chance(money.chance_pays) if money else NONE,
    )


def spread(zone: PlanZone, figures: Figures) -> Markup:
    """Write the 80 % range of a zone's return."""
    if zone.money is None:
        return Markup(NONE)
    low, high = figures.net(zone.money.net_p10_usd_ac), figures.net(zone.money.net_p90_usd_ac)
    return Markup("{} to {}").format(low, high)
