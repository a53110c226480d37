"""What the page says of the whole field below its zones: the bill, what was seen, what is missing.

Sentences are those of the report; rounds and words, computes nothing.
"""

from collections.abc import Iterator
from math import isfinite
from typing import NamedTuple

from markupsafe import Markup

from zoning.evidence import number
from zoning.plan import Plan, PlanWalk, Scouted
from zoning.show import check_strips, money, never_sprayed
from zoning.show.figures import Units, day, days, dollars, full_day, of_day, plain
from zoning.show.layout import Table
from zoning.show.page.both_units import in_both, in_other_units
from zoning.show.page.notes_sorted import Sorted, sort
from zoning.show.page.spans import of_plan, sentence
from zoning.show.report import below_table, pass_doubt, pass_line, schedule_line, walk_line
from zoning.show.since_told import since_lines
from zoning.show.zones import block_lines, layer_lines
from zoning.words import Said
from zoning.words.bill import COST_LINES


class BillLine(NamedTuple):
    """One line that can be held against paper; `by_area` is empty where it is billed by the visit."""

    name: str
    by_area: Markup | str
    usd: Markup | str


class Bill(NamedTuple):
    """The bill of the plan, or of one treated acre where nothing is sprayed; `more` stands below it."""

    lines: tuple[BillLine, ...]
    sum: Markup | str
    of_acre: bool
    more: tuple[str, ...]


class Whole(NamedTuple):
    """Everything that is said of the whole field; empty where it does not hold."""

    below_table: tuple[str, ...]
    passes: tuple[tuple[str, tuple[str, ...]], ...]
    schedule: str
    bill: Bill | None
    turns: tuple[str, ...]
    sources: Table | None
    about_sources: tuple[str, ...]
    seen: tuple[str, ...]
    moved: tuple[str, ...]
    walks: tuple[tuple[str, str], ...]
    about_walks: tuple[str, ...]
    missing: tuple[str, ...]
    since: tuple[str, ...]
    strips: tuple[str, ...]
    unsprayed: str
    zones: tuple[str, ...]
    background: tuple[str, ...]
    other: tuple[str, ...]
    cautions: tuple[str, ...]
    made_from: str


def whole_field(plan: Plan) -> Whole:
    """Gather what is said of the whole field, in both systems of units."""
    return in_both(_whole(plan), _whole(in_other_units(plan)))


def _whole(plan: Plan) -> Whole:
    notes = sort(plan.notes)
    sources: Table | None = None
    about_sources: list[str] = []
    if any(zone.money is not None for zone in plan.zones):
        sources, about_sources = money.source_lines(plan)
    strips = check_strips.line(plan)
    is_sprayed = any(zone.action == "spray" for zone in plan.zones)
    return Whole(
        below_table=tuple(sentence(one) for one in below_table(plan)),
        passes=tuple(_pass(plan)),
        schedule=sentence(schedule_line(plan)),
        bill=_bill(plan),
        turns=tuple(sentence(one) for one in money.turn_lines(plan)),
        sources=sources,
        about_sources=tuple(sentence(one) for one in about_sources),
        seen=_seen(plan),
        moved=notes.seen,
        walks=tuple(_walk(one) for one in plan.walks),
        about_walks=_about_walks(plan, notes),
        missing=_missing(plan, notes),
        since=_since(plan),
        strips=tuple(sentence(one) for one in (strips, *check_strips.off_time(plan))) if strips else (),
        unsprayed=sentence(never_sprayed.line([plan])),
        zones=tuple(sentence(one) for one in (*layer_lines(plan), *block_lines(plan))),
        background=notes.background,
        other=notes.other,
        # the first caution is for every page, the others for those on which somebody is to spray
        cautions=tuple(sentence(one) for one in (plan.cautions if is_sprayed else plan.cautions[:1])),
        made_from=_made_from(plan),
    )


def _pass(plan: Plan) -> Iterator[tuple[str, tuple[str, ...]]]:
    for one in plan.passes:
        by = (("page.order_by", one.order_by), ("page.call_by", one.call_by))
        orders = [Said(code, day=day(on)).text for code, on in by if on is not None]
        told = (pass_doubt(one), *orders)
        yield sentence(pass_line(plan, one)), tuple(sentence(more) for more in told if more)


def _bill(plan: Plan) -> Bill | None:
    totals = plan.totals
    if totals is None or not totals.costs:
        return None
    figures, lines = of_plan(plan), money.on_paper(totals)
    of_acre = totals.spray_ac == 0
    rows = tuple(
        BillLine(
            sentence(COST_LINES[one.name]),
            figures.cost(one.usd_ac) if isfinite(one.usd_ac) else "",
            "" if of_acre else figures.usd(one.usd),
        )
        for one in lines
        if not of_acre or isfinite(one.usd_ac)
    )
    by_area_usd = sum(one.usd_ac for one in lines if isfinite(one.usd_ac))
    said = money.bill_lines(plan)
    more = said[1:] if lines else said
    if plan.strips is not None and not of_acre:
        more = [Said("page.bill_strips", treated=money.treated_with_strips(plan)).text, *more]
    return Bill(
        lines=rows,
        sum=figures.cost(by_area_usd) if of_acre else figures.usd(sum(one.usd for one in lines)),
        of_acre=of_acre,
        more=tuple(sentence(one) for one in more),
    )


def _seen(plan: Plan) -> tuple[str, ...]:
    return tuple(_one_seen(one) for one in plan.scouting)


def _one_seen(one: Scouted) -> str:
    where = Said("page.seen_zone", zone=one.zone).text if one.zone else Said("page.seen_nowhere").text
    what = [one.text]
    if one.severity_pct is not None:
        what.append(Said("page.severity", percent=one.severity_pct).text)
    what += [part for part in (one.stage, one.note) if part and part not in one.text]
    what += [Said("page.photo", name=one.photo).text] if one.photo else []
    what += [Said("page.observer", name=one.observer).text] if one.observer else []
    return sentence(Said("page.seen", day=day(one.on), where=where, what=", ".join(map(plain, what))).text)


def _walk(one: PlanWalk) -> tuple[str, str]:
    where, worth = walk_line(one)
    return sentence(where), worth


def _about_walks(plan: Plan, notes: Sorted) -> tuple[str, ...]:
    if plan.walks or plan.totals is None or plan.schedule != "alone":
        return notes.walks
    least = dollars(number("passes.walk_worth_usd"))
    return (sentence(Said("page.no_walk", usd=least).text), *notes.walks)


def _missing(plan: Plan, notes: Sorted) -> tuple[str, ...]:
    """List what lacks, what costs money first, and what it costs where that is known."""
    told = []
    if plan.totals is not None and plan.totals.rests_on_frac:
        usd = dollars(plan.totals.perfect_information_usd)
        told.append(sentence(Said("page.knowing", usd=usd).text))
    return (*told, *notes.missing)


def _since(plan: Plan) -> tuple[str, ...]:
    told = [plan.since.text] if plan.since is not None else []
    return tuple(sentence(one) for one in (*told, *since_lines(plan)))


def _made_from(plan: Plan) -> str:
    """Name the layers and the days of scouting that the plan was made from."""
    inputs = [plain(of_day(one.name, " of "), 40) for one in plan.quality.layers] if plan.quality else []
    if plan.scouting:
        on = [one.on for one in plan.scouting]
        inputs.append(Said("page.scouted", days=days(min(on), max(on))).text)
    return sentence(Said("page.made_from", inputs=", ".join(inputs)).text) if inputs else ""


def heads(plan: Plan) -> dict[str, object]:
    """Give what stands in the head and the foot of the page."""
    written = Units(metric=plan.units == "metric")
    last = [one.last_day for one in plan.passes] or [zone.spray_by for zone in plan.zones if zone.spray_by]
    return {
        "field": plain(plan.field, 80),
        "farm": plain(plan.farm, 80),
        "today": full_day(plan.today),
        "last_day": day(max(last)) if last else "",
        "past_after": max(last).isoformat() if last else "",
        "area_word": written.area_word,
        "crs": f"EPSG:{plan.epsg}",
        "product": plain(plan.product, 80),
    }
