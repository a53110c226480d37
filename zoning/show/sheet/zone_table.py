"""The zones on page 1 of the sheet: a row for each, and why. Values and words only."""

from zoning.plan import Plan, PlanZone, decided
from zoning.show.figures import NONE, Units, chance, day, days, plain, signed
from zoning.show.panels import MINUS
from zoning.show.sheet.look import sentence
from zoning.show.table import COUNTED, why
from zoning.show.turns import turns
from zoning.words import Said, amounts

_TO_THE_LEFT = (("zone",), ("action",), ("pass",), ("block",))


def table(plan: Plan, zones: list[PlanZone]) -> dict[str, object]:
    """Give the head, which columns stand to the left, and a row for each zone."""
    rows = [_row(plan, zone) for zone in zones]
    return {
        "head": [list(name) for name in rows[0]],
        "left": [name in _TO_THE_LEFT for name in rows[0]],
        "rows": [
            {"bold": zone.action == "spray", "cells": list(row.values())}
            for zone, row in zip(zones, rows, strict=True)
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


def reasons(plan: Plan, zones: list[PlanZone]) -> list[dict[str, object]]:
    """Give the reason of each zone, zones with the same one together; `row` is the first of them."""
    alike: dict[tuple[str, str | None], list[PlanZone]] = {}
    for zone in zones:
        alike.setdefault((zone.reason.text, zone.action), []).append(zone)
    rows = {zone.zone: row for row, zone in enumerate(zones)}
    return [
        {
            "row": rows[those[0].zone],
            "zones": f"Zone{'s' if len(those) > 1 else ''} {', '.join(map(_named, those))}",
            "text": sentence(_reason(plan, those)),
        }
        for those in alike.values()
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
