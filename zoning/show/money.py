"""The money of a plan in lines for people: the field's range, its bill, what would turn it; and each zone's.

Rounds and words; computes nothing.
"""

from collections.abc import Mapping, Sequence
from math import fsum, isfinite

from zoning.plan import SOURCES, Plan, PlanPass, PlanZone, Totals
from zoning.returns.terms import CostLine, Step
from zoning.settings.model import Source
from zoning.show.figures import NONE, Units, chance, day, dollars, signed, whole
from zoning.show.layout import ZONE, Table
from zoning.show.turns import turns
from zoning.units import date_from_day, kg_ha_from_bu_ac
from zoning.words import Said
from zoning.words.bill import COST_LINES
from zoning.words.money import KINDS, STEPS

_TINY = 1e-9  # method: rounding of floats
_DAYS_LATER = (1, 3, 7)
_STEP_DIGITS = 2
_TRACKS = "tracks_"  # lines of the bill that no applicator writes: crop under the wheels
_LEAST_DIFFERENCE = 0.005  # of two prices that people read as one [USD/bu]


def field_lines(plan: Plan) -> list[str]:
    """Say how sure the money of the field is, and on what it rests; nothing where there is no return."""
    totals = plan.totals
    if totals is None or not totals.rests_on_frac:
        return []
    shown = {
        "low": dollars(totals.net_p10_usd),
        "high": dollars(totals.net_p90_usd),
        "chance": chance(totals.chance_pays),
        "knowing": dollars(totals.perfect_information_usd),
    }
    if _is_sprayed(plan):
        lines = [Said("money.range", **shown).text]
    else:
        lines = [*_also_worth_it(totals, _written(plan)), Said("money.range_nearest", **shown).text]
    return [*lines, Said("money.rests_on", shares=_shares(totals.rests_on_frac)).text]


def _also_worth_it(totals: Totals, written: Units) -> list[str]:
    """Say what besides price and response, which the headline names, would make a pass worth it."""
    if not totals.flips:  # of a pass that pays and cannot be made the headline speaks
        is_barred = (totals.nearest_net_usd or 0) > 0
        return [] if is_barred else [Said("money.nothing_turns").text]
    more = turns(totals.flips, written, is_sprayed=False, only=("cost", "tracks", "severity"))
    return [Said("money.also_worth_it", turns=more).text] if more else []


def turn_lines(plan: Plan) -> list[str]:
    """Say what would turn the passes of a field, taken together."""
    if plan.totals is None or not _is_sprayed(plan):
        return []
    said = turns(plan.totals.flips, _written(plan), is_sprayed=True)
    passes = "the passes together" if len(plan.passes) > 1 else "the pass"
    return [Said("money.passes_turn", passes=passes, turns=said).text] if said else []


def later_line(one: PlanPass) -> str:
    """Say what a pass returns when it is begun later; empty where no later day is left."""
    days = _by_days([dollars(usd) for usd in one.later_usd])
    return Said("money.later", days=days).text if days else ""


def _by_days(later: Sequence[str]) -> str:
    wanted = [days for days in _DAYS_LATER if days <= len(later)]
    return ", ".join(f"{days} day{'s' if days > 1 else ''} {later[days - 1]}" for days in wanted)


def bill_lines(plan: Plan) -> list[str]:
    """List the bill of a plan, or of a treated acre where nothing is sprayed; and what is spent anyway."""
    if plan.totals is None:
        return []
    written = _written(plan)
    tracks = [one for one in plan.totals.costs if one.name.startswith(_TRACKS)]
    counted = on_paper(plan.totals)
    spent = [one for one in plan.totals.costs if not one.counted]
    lines = []
    if counted and _is_sprayed(plan):
        total = dollars(sum(one.usd for one in counted))
        listed = _costs(counted, written, True)
        if plan.strips is None:
            lines.append(Said("money.bill", lines=listed, sum=total).text)
        else:
            treated = treated_with_strips(plan)
            lines.append(Said("money.bill_without_strips", lines=listed, sum=total, treated=treated).text)
    elif counted:
        sums = sum(one.usd_ac for one in counted if isfinite(one.usd_ac))
        total = f"{cents(written.net(sums))} {written.net_unit}"
        listed = _costs(counted, written, False)
        lines.append(
            Said("money.bill_of_acre", area=written.area_word.removesuffix("s"), lines=listed, sum=total).text
        )
    if tracks and _is_sprayed(plan):
        total = dollars(sum(one.usd for one in tracks))
        lines.append(Said("money.tracks", lines=_costs(tracks, written, True), sum=total).text)
    if spent:
        lines.append(Said("money.bill_spent", lines=_costs(spent, written, _is_sprayed(plan))).text)
    return lines


def treated_with_strips(plan: Plan) -> str:
    """Give the ground that is sprayed with what check strips add and leave out: an applicator bills that."""
    written = _written(plan)
    return f"{written.area(fsum(one.map.treated_ac for one in plan.passes))} {written.area_unit}"


def on_paper(totals: Totals) -> list[CostLine]:
    """Give the lines of the bill that somebody writes: what counts, but for crop under the wheels."""
    return [one for one in totals.costs if one.counted and not one.name.startswith(_TRACKS)]


def _costs(costs: Sequence[CostLine], written: Units, in_all: bool) -> str:
    """List lines with their price by area and, where something is sprayed, with what they come to."""
    listed = []
    for one in costs:
        # crop under the wheels is an estimate and on no bill: cents of it would be more than is known
        shown = whole if one.name.startswith(_TRACKS) else cents
        by_area = f"{shown(written.net(one.usd_ac))} {written.net_unit}" if isfinite(one.usd_ac) else ""
        sums = dollars(one.usd) if in_all or not by_area else ""
        both = f"{by_area} = {sums}" if by_area and sums else by_area or sums
        listed.append(f"{COST_LINES[one.name]} {both}")
    return ", ".join(listed)


def cents(money: float) -> str:
    """Write a figure of a bill: whole where it is, else with cents."""
    return whole(money) if round(money, 2) == round(money) else f"{money:,.2f}"


def source_lines(plan: Plan) -> tuple[Table, list[str]]:
    """Give the table of what each response source says of each zone, and what is said below it.

    A zone whose response canopy or wet ground moved also shows its net return without that contrast.
    """
    written = _written(plan)
    money = {one.zone: one.money for one in plan.zones if one.money is not None}
    given: list[Source] = [
        source for source in SOURCES if any(one.by_source.get(source) is not None for one in money.values())
    ]
    has_contrast = any(one.no_contrast_usd_ac is not None for one in money.values())
    rows = []
    for zone, of_zone in money.items():
        answers = [of_zone.by_source.get(source) for source in given]
        needs = [answer.needed_response_bu_ac for answer in answers if answer is not None]
        row = [str(zone)]
        row += [
            NONE if one is None else f"{one.action} {signed(written.net(one.net_usd_ac)):>4}"
            for one in answers
        ]
        if has_contrast:
            plain = of_zone.no_contrast_usd_ac
            row.append(NONE if plain is None else signed(written.net(plain)))
        rows.append((*row, _needs(needs, written)))
    without = ("net without contrast",) if has_contrast else ()
    heads = (*(f"{one} *" if one == plan.source else one for one in given), *without)
    missing = [Said("money.no_figures", source=one).text for one in SOURCES if one not in given]
    is_said = any(note.code == "offers.zone_contrast" for note in plan.notes)
    several = [Said("money.no_trial").text] if len(plan.zones) > 1 and not is_said else []
    below = ["; ".join((*missing, *several))] if missing or several else []
    return Table((ZONE, *heads, f"needs {written.response_unit}"), tuple(rows)), below


def _needs(needed_bu_ac: Sequence[float], written: Units) -> str:
    known = sorted({written.response(one) for one in needed_bu_ac if isfinite(one)})
    return f"{known[0]}-{known[-1]}" if len(known) > 1 else known[0] if known else NONE


def zone_lines(zone: PlanZone, written: Units) -> list[str]:
    """Say how the money of one zone comes about, what it rests on, and what would turn it."""
    money = zone.money
    if money is None:
        return []
    lines = []
    if money.steps:
        lines.append(_build_up(money.steps, written))
        lines.append(Said("money.rests_on", shares=_shares(money.rests_on_frac)).text)
    unit = written.net_unit
    if money.no_contrast_usd_ac is not None:
        net = signed(written.net(money.no_contrast_usd_ac))
        lines.append(Said("money.no_contrast", net=net, unit=unit).text)
    lines += [turn_line(zone, written), _waiting(zone, written)]
    knowing = whole(written.net(money.perfect_information_usd_ac))
    lines.append(Said("money.knowing", usd=knowing, unit=unit).text)
    return [line for line in lines if line]


def break_even_line(plan: Plan) -> str:
    """Say why two prices stand beside a zone, where they differ; empty where they do not."""
    prices = [
        (one.value, zone.money.break_even_price_usd_bu)
        for zone in plan.zones
        if zone.money is not None and zone.action == "skip"
        for one in zone.money.flips
        if one.name == "price"
    ]
    differ = any(abs(worth_it - even) > _LEAST_DIFFERENCE for worth_it, even in prices)
    return Said("money.break_even").text if differ else ""


def turn_line(zone: PlanZone, written: Units) -> str:
    """Say what would turn the decision on a zone; empty where nothing alone would."""
    if zone.money is None:
        return ""
    is_sprayed = zone.action == "spray"
    said = turns(zone.money.flips, written, is_sprayed=is_sprayed)
    if not said:
        return ""
    return Said("money.would_skip" if is_sprayed else "money.would_spray", turns=said).text


def _waiting(zone: PlanZone, written: Units) -> str:
    money = zone.money
    if money is None or zone.action != "spray":
        return ""
    first, *later = money.delay.net_usd_ac
    days = _by_days([signed(written.net(net - first)) for net in later])
    if not days:
        return ""
    if money.delay.pays_until is None:
        return Said("money.waiting", unit=written.net_unit, days=days).text
    until = day(date_from_day(money.delay.pays_until))
    return Said("money.waiting_until", unit=written.net_unit, days=days, until=until).text


def _build_up(steps: Sequence[Step], written: Units) -> str:
    """List the steps and what they come to: running sums are rounded, so that what is printed adds up.

    Wheel tracks stand apart: what is expected of a zone elsewhere on the page is before them.
    """
    per, digits = (kg_ha_from_bu_ac, 0) if written.metric else (float, _STEP_DIGITS)
    told: list[str] = []
    before, total_bu_ac, tracks = 0.0, 0.0, ""
    for step in steps:
        total_bu_ac += step.change_bu_ac
        after = round(per(total_bu_ac), digits)
        change = round(after - before, digits) + 0.0
        if step.name == "tracks":
            took, left = f"{change:.{digits}f} {STEPS[step.name]}", f"{after:.{digits}f}"
            tracks = Said("money.build_up_tracks", tracks=took, left=left).text
            continue
        told.append(f"{change:{'+' if told else ''}.{digits}f} {STEPS[step.name]}")
        before = after
    total = f"{before:.{digits}f}"
    return Said("money.build_up", steps=", ".join(told), sum=total, unit=written.response_unit).text + tracks


def _shares(rests_on_frac: Mapping[str, float]) -> str:
    """List the kinds of evidence in whole percent that add up to 100, the largest share first."""
    told = sorted(rests_on_frac.items(), key=lambda pair: -pair[1])
    percent = [int(100 * share + _TINY) for _, share in told]
    by_rest = sorted(range(len(told)), key=lambda at: percent[at] - 100 * told[at][1])
    for at in by_rest[: max(0, round(100 * sum(rests_on_frac.values())) - sum(percent))]:
        percent[at] += 1
    shares = zip(told, percent, strict=True)
    return ", ".join(f"{share} % {KINDS[kind]}" for (kind, _), share in shares if share)


def _written(plan: Plan) -> Units:
    return Units(metric=plan.units == "metric")


def _is_sprayed(plan: Plan) -> bool:
    return any(zone.action == "spray" for zone in plan.zones)
