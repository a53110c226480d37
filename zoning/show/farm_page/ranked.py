"""The fields of a farm in the order of what they are expected to return, as the table of its page has them.

Writes figures; computes nothing but an order.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from zoning.plan import FarmPlan, Plan, PlanWalk, decided
from zoning.show.figures import NONE, Units, chance, day, days, dollars, full_day, plain, when
from zoning.show.many import by_return
from zoning.words import Said

_LONGEST = 60  # of a name [letters]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell of the table: what it says, what stands small beside it, and what it is sorted by."""

    text: str
    small: str = ""
    sort: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldRow:
    """One field: its place from 1, and what the page says of it.

    `href` leads to its own page, "" where it has none; `results` is the folder of its files.
    """

    rank: int
    plan: Plan
    name: str
    href: str
    results: str
    decision: str  # "spray", "skip", or "" where there are no returns
    is_part: bool  # only some of its zones are sprayed
    area: Cell
    spray: Cell
    passes: Cell
    net: Cell
    chance: Cell
    r3: Cell
    walk: Cell


def written(farm: FarmPlan) -> Units:
    """Give the units of a farm."""
    return Units(metric=farm.units == "metric")


def ranked(farm: FarmPlan, pages: Collection[str] | None = None) -> tuple[FieldRow, ...]:
    """Rank the fields: the best return first, of those without a pass the nearest to one, last without money.

    Parameters
    ----------
    farm : FarmPlan
    pages : collection of str, optional
        Folders of the fields that have a page; all of them if left out.

    Returns
    -------
    tuple of FieldRow
        One for each field; equal ones stay in the order of the plan.
    """
    pairs = sorted(zip(farm.folders, farm.plans, strict=True), key=lambda pair: by_return(pair[1]))
    units = written(farm)
    linked = frozenset(farm.folders if pages is None else pages)
    return tuple(
        _row(rank, (folder, folder in linked), plan, units)
        for rank, (folder, plan) in enumerate(pairs, start=1)
    )


def _row(rank: int, where: tuple[str, bool], plan: Plan, units: Units) -> FieldRow:
    folder, has_page = where
    sprayed = plan.totals is not None and plan.totals.spray_ac > 0
    return FieldRow(
        rank=rank,
        plan=plan,
        name=plain(plan.field, _LONGEST),
        href=f"../{quote(folder, safe='')}/out/page.html" if has_page else "",
        results=f"{folder}/out",
        decision="" if plan.totals is None else "spray" if sprayed else "skip",
        is_part=decided.in_a_word(plan) == "part",
        area=Cell(text=units.area(plan.area_ac), sort=_number(plan.area_ac)),
        spray=_spray(plan, units),
        passes=_passes(plan),
        net=_net(plan, units),
        chance=_chance(plan),
        r3=_r3(plan),
        walk=_walk(plan.walks),
    )


def _number(value: float) -> str:
    return f"{value:.4g}" if abs(value) < 1 else f"{value:.2f}"


def _spray(plan: Plan, units: Units) -> Cell:
    """Say what is sprayed, its share of the field, and what is skipped."""
    totals = plan.totals
    if totals is None:
        return Cell(text=NONE)
    share = f"{round(100 * totals.spray_ac / plan.area_ac)} %" if plan.area_ac else NONE
    rest = Said("farm_page.share", share=share, skip=units.area(totals.skip_ac)).text
    return Cell(text=units.area(totals.spray_ac), small=rest, sort=_number(totals.spray_ac))


def _passes(plan: Plan) -> Cell:
    if plan.level < 3:
        return Cell(text=NONE)
    told = "; ".join(when(one) for one in plan.passes)
    first = min((one.day for one in plan.passes), default=None)
    return Cell(text=str(len(plan.passes)), small=told, sort=_day_number(first))


def _day_number(when_day: date | None) -> str:
    return "" if when_day is None else str(when_day.toordinal())


def _net(plan: Plan, units: Units) -> Cell:
    """Say the expected net, by area too; without a pass, what the nearest one would return."""
    totals = plan.totals
    if totals is None:
        return Cell(text=NONE)
    spread = {"low": dollars(totals.net_p10_usd), "high": dollars(totals.net_p90_usd)}
    rest = ""
    if totals.spray_ac > 0:
        net = dollars(units.net(totals.net_usd / totals.spray_ac))
        rest = Said("farm_page.range", net=net, unit=units.area_word.removesuffix("s"), **spread).text
    elif totals.nearest_net_usd is not None:
        rest = Said("farm_page.nearest", net=dollars(totals.nearest_net_usd), **spread).text
    return Cell(text=dollars(totals.net_usd), small=rest, sort=_number(totals.net_usd))


def _chance(plan: Plan) -> Cell:
    totals = plan.totals
    if totals is None or not totals.rests_on_frac:
        return Cell(text=NONE)
    nearest = "" if totals.spray_ac > 0 else Said("farm_page.of_nearest").text
    return Cell(text=chance(totals.chance_pays), small=nearest, sort=_number(totals.chance_pays))


def _r3(plan: Plan) -> Cell:
    """Say when R3 is likely, how far it may lie from that, and whether counts know it."""
    windows = [zone.window for zone in plan.zones if zone.window is not None]
    if not windows:
        return Cell(text=NONE, small=Said("weeks.no_date").text)
    likely = [one.r3_likely for one in windows]
    counted = sum(not zone.provisional for zone in plan.zones if zone.window is not None)
    how = "farm_page.counted" if counted == len(windows) else "farm_page.some_counted"
    told = Said(how if counted else "farm_page.provisional", counted=counted, zones=len(windows)).text
    early, late = min(one.r3_early for one in windows), max(one.r3_late for one in windows)
    spread = Said("farm_page.spread", early=day(early), late=day(late), how=told).text
    return Cell(text=days(min(likely), max(likely)), small=spread, sort=_day_number(min(likely)))


def _walk(walks: tuple[PlanWalk, ...]) -> Cell:
    """Say where a count is worth most."""
    if not walks:
        return Cell(text=NONE)
    best = max(walks, key=lambda one: one.usd)
    told = Said("farm_page.walk", zone=best.zone, day=day(best.day), plants=best.plants).text
    return Cell(text=dollars(best.usd), small=told, sort=_number(best.usd))


def as_of(farm: FarmPlan) -> str:
    """Write the day of the plan."""
    return full_day(farm.today)
