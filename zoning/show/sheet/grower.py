"""Page 1 of the sheet, for the grower: the decision, the money, the zones and why. Values and words only."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from zoning.plan import Plan, PlanWalk, PlanZone, Scouted, decided
from zoning.show import check_strips, money
from zoning.show.figures import NONE, Units, chance, day, days, dollars, full_day, plain, signed
from zoning.show.panels import MINUS
from zoning.show.report import BACKGROUND, below_table, pass_doubt, pass_line
from zoning.show.sheet import maps
from zoning.show.sheet.look import ROOM, high, key, paper
from zoning.show.table import COUNTED, headline, why
from zoning.show.turns import turns
from zoning.words import Said, amounts

_MOST_SEEN = 8  # lines of what was seen on the first page
# Of page 1, all in points: the map, and what else stands there beside lines of text.
_MAP_WIDE_PT, _MAP_LEAST_PT, _MAP_MOST_PT = 312.0, 165.0, 275.0
_HEADING_PT, _ROW_PT, _FIXED_PT = 20.0, 12.0, 130.0
_TO_THE_LEFT = (("zone",), ("action",), ("pass",), ("block",))


def page(plan: Plan) -> dict[str, Any]:
    """Give what stands on the first page, and what a further one takes over where it is too much.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    dict
        For JSON; all texts are for people, none is markup.
    """
    in_order = sorted(plan.zones, key=_order)
    keys, marks, notes = maps.field_keys(plan)
    seen = list(_seen(plan))
    found: dict[str, Any] = {
        "field": plain(plan.field, 60),
        "farm": plain(plan.farm, 60),
        "day": full_day(plan.today),
        "decision": _sentence(headline(plan)),
        "money": [_sentence(line) for line in money.field_lines(plan)],
        "since": list(_since(plan)),
        "numbers": list(_numbers(plan)),
        "map_alt": _alt(plan),
        "keys": [key(one) for one in keys],
        "marks": [{"kind": kind, "text": text} for kind, text in marks],
        "map_notes": notes,
        "passes": list(_passes(plan)),
        "table": _table(plan, in_order),
        "below": below_table(plan),
        "why": _why(plan, in_order),
        "decided": list(_decided(plan)),
        "seen": seen[:_MOST_SEEN],
        "seen_more": seen[_MOST_SEEN:],
        "walks": [_walk(one, plan) for one in plan.walks],
        "bill": list(map(_sentence, [*money.turn_lines(plan), *money.bill_lines(plan), *_strips(plan)])),
        "notes": list(_notes(plan)),
        "made_from": _made_from(plan),
        "cautions": [_sentence(plain(one)) for one in _cautions(plan)],
    }
    room = _MAP_WIDE_PT, _map_high(found, ROOM[paper(plan.country)])
    return found | {"map": maps.of_field(plan, room).as_object()}


def _map_high(found: dict[str, Any], room: tuple[float, float]) -> float:
    """Give the height that the other things on the page leave for the map. [points]."""
    texts = [*found["money"], *found["since"], *found["below"], *found["decided"], *found["walks"]]
    texts += [*found["bill"], *found["cautions"], found["made_from"], found["decision"] * 2]
    texts += [f"Zone {one['zones']} {one['text']}" for one in found["why"]]
    sections = 2 + sum(bool(found[name]) for name in ("decided", "walks", "bill", "cautions"))
    taken = high(texts, room[0]) + sections * _HEADING_PT + len(found["table"]["rows"]) * _ROW_PT
    return min(max(room[1] - taken - _FIXED_PT, _MAP_LEAST_PT), _MAP_MOST_PT)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _order(zone: PlanZone) -> tuple[bool, date, int]:
    """Sprayed zones first, then by day."""
    on = zone.spray_on or (zone.window.r3_likely if zone.window else None)
    return zone.action != "spray", on or date.max, zone.zone


def _cautions(plan: Plan) -> tuple[str, ...]:
    """Give the cautions where somebody is to spray; the first of all stands at the foot of every page."""
    return plan.cautions[1:] if any(zone.action == "spray" for zone in plan.zones) else ()


def _since(plan: Plan) -> Iterator[str]:
    if plan.since is not None:
        yield _sentence(plain(plan.since.text))
    now = {zone.zone: zone for zone in plan.zones}
    for was in plan.since_zones:
        zone = now.get(was.zone)
        if zone is None:
            continue
        likely = zone.window.r3_likely if zone.window else None
        changes = []
        if likely != was.r3_likely:
            changes.append(f"R3 likely {day(was.r3_likely)}, now {day(likely)}")
        if zone.action != was.action:
            changes.append(f"was {was.action or NONE}, now {zone.action or NONE}")
        if zone.spray_on != was.spray_on and zone.spray_on and was.spray_on:
            changes.append(f"pass on {day(was.spray_on)}, now {day(zone.spray_on)}")
        if changes:
            yield f"Zone {zone.zone}: {'; '.join(changes)}"


def _numbers(plan: Plan) -> Iterator[dict[str, str]]:
    """Give the four numbers; a plan without money has its ground and its dates."""
    written = Units(metric=plan.units == "metric")
    unit, totals = written.area_unit, plan.totals
    if totals is None:
        count = len(plan.zones)
        yield _number("zone" if count == 1 else "zones", str(count), "")
        yield _number("field", f"{written.area(plan.area_ac)} {unit}", "")
    else:
        share = f"{100 * totals.spray_ac / plan.area_ac:.0f} % of the field"
        yield _number("spray", f"{written.area(totals.spray_ac)} {unit}", share)
        yield _number("skip", f"{written.area(totals.skip_ac)} {unit}", "")
        sprayed = any(zone.action == "spray" for zone in plan.zones)
        span = f"{dollars(totals.net_p10_usd)} to {dollars(totals.net_p90_usd)}"
        yield _number("expected net", dollars(totals.net_usd), span if sprayed else "nothing is sprayed")
    likely = [zone.window.r3_likely for zone in plan.zones if zone.window]
    counted = [zone.zone for zone in plan.zones if zone.window and not zone.provisional]
    on = days(min(likely), max(likely)) if likely else NONE
    of = f"counted in {amounts.zones(counted)}, else provisional"
    if len(counted) == len(plan.zones):
        of = "counted"
    elif len(counted) > 6:
        of = f"counted in {len(counted)} of {len(plan.zones)} zones, else provisional"
    yield _number("R3 likely", on, "" if not likely else of if counted else "provisional, not counted")


def _number(name: str, value: str, detail: str) -> dict[str, str]:
    return {"name": name, "value": value, "detail": detail}


def _alt(plan: Plan) -> str:
    """Say in words what the map shows."""
    said = [f"Map of {plain(plan.field, 60)}, grid north up, with {len(plan.zones)} zones."]
    for action in ("spray", "skip"):
        zones = [str(zone.zone) for zone in plan.zones if zone.action == action]
        if zones:
            said.append(f"{_sentence(action)}: {', '.join(zones)}.")
    return " ".join(said)


def _passes(plan: Plan) -> Iterator[dict[str, str]]:
    for one in plan.passes:
        yield {"line": _sentence(pass_line(plan, one)), "doubt": pass_doubt(one)}


def _strips(plan: Plan) -> list[str]:
    strips = check_strips.line(plan)
    return ["; ".join([strips, *check_strips.off_time(plan)])] if strips else []


def _table(plan: Plan, in_order: list[PlanZone]) -> dict[str, object]:
    """Give the head, which columns stand to the left, and a row for each zone."""
    rows = [_row(plan, zone) for zone in in_order]
    return {
        "head": [list(name) for name in rows[0]],
        "left": [name in _TO_THE_LEFT for name in rows[0]],
        "rows": [
            {"bold": zone.action == "spray", "cells": list(row.values())}
            for zone, row in zip(in_order, rows, strict=True)
        ],
    }


def _row(plan: Plan, zone: PlanZone) -> dict[tuple[str, ...], str]:
    """Give the cells of a zone by the lines of their heads."""
    written = Units(metric=plan.units == "metric")
    row: dict[tuple[str, ...], str] = {("zone",): str(zone.zone)}
    if plan.level > 1:
        row["action",] = f"{zone.action or NONE}{decided.MARK if decided.followed([zone]) else ''}"
    if plan.level > 2:
        number = zone.pass_number
        row["pass",] = NONE if number is None else f"P{number} {day(zone.spray_on)}"
        row["rate", written.rate_unit] = written.rate(zone.rate_gal_ac)
    row["area", written.area_unit] = written.area(zone.area_ac)
    if plan.level < 2:
        row["block",] = plain(zone.block, 14)
    row |= _dates(plan, zone)
    if plan.level > 1:
        row |= _money(zone, written)
    return row


def _dates(plan: Plan, zone: PlanZone) -> dict[tuple[str, ...], str]:
    window, star = zone.window, "" if zone.provisional else COUNTED
    dates: dict[tuple[str, ...], str] = {
        ("R3", "likely"): day(window.r3_likely) + star if window else NONE,
        ("R3", "early–late"): days(window.r3_early, window.r3_late) if window else NONE,
        ("R3", "closes"): day(window.closes) if window else NONE,
    }
    if plan.level < 2:
        return {("planted",): day(zone.planted)} | dates
    best = days(zone.spray_from, zone.spray_by) if zone.spray_from and zone.spray_by else NONE
    return dates | {("best", "days"): best}


def _money(zone: PlanZone, written: Units) -> dict[tuple[str, ...], str]:
    money = zone.money
    net, span, share = ("net", written.net_unit), ("80 %", "range"), ("chance", "it pays")
    price, response = ("pays from", written.price_unit), ("needs", written.response_unit)
    if money is None:
        return dict.fromkeys((net, span, share, price, response), NONE)
    low, high = written.net(money.net_p10_usd_ac), written.net(money.net_p90_usd_ac)
    return {
        net: signed(written.net(money.net_mean_usd_ac), MINUS),
        span: f"{signed(low, MINUS)} to {signed(high, MINUS)}",
        share: chance(money.chance_pays),
        price: written.price(money.break_even_price_usd_bu),
        response: written.response(money.break_even_response_bu_ac),
    }


def _notes(plan: Plan) -> Iterator[str]:
    """Give the doubts of the plan, without those that are the same on every farm."""
    for note in plan.notes:
        if not note.code.startswith(BACKGROUND):
            yield _sentence(plain(note.text))


def _why(plan: Plan, in_order: list[PlanZone]) -> list[dict[str, object]]:
    """Give the reason of each zone, zones with the same one together; `row` is the first of them."""
    alike: dict[tuple[str, str | None], list[PlanZone]] = {}
    for zone in in_order:
        alike.setdefault((zone.reason.text, zone.action), []).append(zone)
    rows = {zone.zone: row for row, zone in enumerate(in_order)}
    return [
        {
            "row": rows[zones[0].zone],
            "zones": f"Zone{'s' if len(zones) > 1 else ''} {', '.join(map(_named, zones))}",
            "text": _sentence(_reason(plan, zones)),
        }
        for zones in alike.values()
    ]


def _reason(plan: Plan, zones: list[PlanZone]) -> str:
    """Say why, and of skipped zones what would turn each of them."""
    written = Units(metric=plan.units == "metric")
    said: dict[str, list[int]] = {}
    for zone in zones:
        flips = zone.money.flips if zone.money is not None and zone.action == "skip" else ()
        if turned := turns(flips, written, is_sprayed=False):
            said.setdefault(turned, []).append(zone.zone)
    if len(said) <= 1:
        return why(zones[0], plan)
    of_each = "; ".join(f"in {amounts.zones(numbers)} {turned}" for turned, numbers in said.items())
    return f"{plain(zones[0].reason.text)}; {Said('money.would_spray', turns=of_each).text}"


def _named(zone: PlanZone) -> str:
    return f"{zone.zone} ({plain(zone.name, 20)})" if zone.name else str(zone.zone)


def _decided(plan: Plan) -> Iterator[str]:
    """Say what the user decided and why, where the reason of the zone does not say it."""
    written = Units(metric=plan.units == "metric")
    for zone in plan.zones:
        own = zone.override
        if own is None or own.reason in zone.reason.text:
            continue
        rate = "" if own.rate_gal_ac is None else f"{written.rate(own.rate_gal_ac)} {written.rate_unit}"
        wanted = ", ".join(part for part in (own.action or "", rate) if part)
        on = f" on {day(own.decided_on)}" if own.decided_on else ""
        line = f"Zone {zone.zone}: {wanted}, decided{on}: {plain(own.reason)}"
        yield line if own.refused is None else f"{line}; not followed: {plain(own.refused.text)}"


def _seen(plan: Plan) -> Iterator[str]:
    """Say what was seen, places that are alike together, the newest first."""
    alike: dict[tuple[date, str], list[int]] = {}
    for one in plan.scouting:
        alike.setdefault((one.on, _of_place(one)), []).append(one.zone)
    for (on, text), zones in sorted(alike.items(), key=lambda item: item[0][0], reverse=True):
        numbers = sorted({zone for zone in zones if zone})
        at = amounts.zones(numbers) if numbers else "no zone"
        places = f" ({len(zones)} places)" if len(zones) > 1 else ""
        yield f"{day(on)}, {at}{places}: {text}"


def _of_place(one: Scouted) -> str:
    told = [one.text]
    if one.severity_pct is not None:
        told.append(f"{one.severity_pct:g} % of the leaf")
    told += [text for text in (one.stage, one.note) if text and text not in one.text]
    if one.observer:
        told.append(f"seen by {one.observer}")
    return plain("; ".join(told))


def _walk(one: PlanWalk, plan: Plan) -> str:
    """Say where to go and look, by when, and what it is worth."""
    informs = [zone for zone in one.informs if zone != one.zone]
    also = f", also tells of {amounts.zones(informs)}" if informs else ""
    at = f"{one.lat:.5f}, {one.lon:.5f}".replace("-", MINUS)
    return (
        f"Go and look in zone {one.zone} at {at} by {one.day:%A}, {day(one.day)}: "
        f"{one.plants} plants, worth {dollars(one.usd)}{also}"
    )


def _made_from(plan: Plan) -> str:
    """Say what the zones and dates rest on, with the days where there are any."""
    layers = plan.quality.layers if plan.quality else ()
    told = [f"{plain(one.name, 40)}{'' if one.used else ' (to check)'}" for one in layers]
    kinds = (("count", "stage counts"), ("pressure", "disease scouting"))
    for kind, name in kinds:
        on = [one.on for one in plan.scouting if one.kind == kind]
        if on:
            told.append(f"{name} {days(min(on), max(on))}")
    if plan.source is not None:
        told.append(f"response: {plan.source}")
    return ", ".join(told)
