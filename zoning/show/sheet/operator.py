"""The page of one pass, for the operator: the load sheet beside the map of what is treated. Values only."""

from typing import Any

from zoning.passes.loads.sheet import LoadSheet
from zoning.plan import Plan, PlanPass
from zoning.show import load_rows
from zoning.show.figures import Units, plain, when
from zoning.show.machine_units import MachineUnits
from zoning.show.record import record_object
from zoning.show.sheet import maps
from zoning.show.sheet.look import LINE_PT, ROOM, high, key, paper
from zoning.words import amounts

# Of the page of a pass, all in points.
_MAP_WIDE_PT, _MAP_LEAST_PT, _MAP_MOST_PT = 245.0, 140.0, 250.0
_FACT_PT, _FIXED_PT = 15.0, 60.0
_ON_THE_MAP = ("neighbours",)  # rows of the load sheet that stand around the map


def pages(plan: Plan) -> list[dict[str, Any]]:
    """Give a page for each pass of a plan.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    list of dict
        For JSON; all texts are for people, none is markup.
    """
    return [_page(plan, one) for one in plan.passes]


def _page(plan: Plan, one: PlanPass) -> dict[str, Any]:
    found: dict[str, Any] = {
        "title": load_rows.title(plan, one),
        "warnings": load_rows.warnings(one),
        "map_alt": f"Map of the ground that pass {one.number} treats: {amounts.zones(one.zones)}.",
        "keys": [key(one_key) for one_key in maps.pass_keys(plan, one)],
        "facts": _facts(plan, one),
        "sides": {},
        "place": [],
        "mix": [],
        "loads": None,
        "rules": [],
        "notes": [[], []],
        "record": None,
    }
    if one.sheet is not None:
        found |= _of_sheet(plan, one, one.sheet)
    room = _MAP_WIDE_PT, _map_high(found, ROOM[paper(plan.country)])
    return found | {"map": maps.of_pass(plan, one, room).as_object()}


def _map_high(found: dict[str, Any], room: tuple[float, float]) -> float:
    """Give the height for the map: of what stands beside it, or what the page has left. [points]."""
    side = room[0] - _MAP_WIDE_PT - 22
    beside = high(map(" ".join, found["place"]), side) + len(found["facts"]) * _FACT_PT
    around = high(found["sides"].values(), _MAP_WIDE_PT) + (len(found["keys"]) + 1) * LINE_PT
    below = high(map(" ".join, [*found["mix"], *found["rules"]]), room[0])
    below += max(high(half, room[0] / 2 - 20) for half in found["notes"])
    below += LINE_PT * (1 + len(found["loads"]["rows"])) * 1.3 if found["loads"] else 0.0
    free = room[1] - below - high(found["warnings"], room[0] - 40) - _FIXED_PT
    return min(max(beside - around, free - around, _MAP_LEAST_PT), _MAP_MOST_PT)


def _of_sheet(plan: Plan, one: PlanPass, sheet: LoadSheet) -> dict[str, Any]:
    loads = load_rows.table(plan, sheet)
    return {
        "sides": {side: plain(text) or "_" * 10 for side, text in sheet.site.neighbours},
        "place": [list(row) for row in load_rows.place(plan, one, sheet) if row[0] not in _ON_THE_MAP],
        "mix": [list(row) for row in load_rows.dose_and_mix(plan, sheet)],
        "loads": {
            "columns": list(loads.columns),
            "rows": [[name, *cells] for name, cells in loads.rows],
            "below": list(loads.below),
        },
        "rules": [list(row) for row in load_rows.rules(one, sheet)],
        "notes": _halves(load_rows.notes(plan, sheet)),
        "record": record_object(load_rows.record_known(plan, one, sheet)),
    }


def _halves(texts: list[str]) -> list[list[str]]:
    """Deal texts out to two columns of about the same length, in their order."""
    half = sum(map(len, texts)) / 2
    first: list[str] = []
    for text in texts:
        if sum(map(len, first)) + len(text) / 2 > half:
            break
        first.append(text)
    return [first, texts[len(first) :]]


def _facts(plan: Plan, one: PlanPass) -> list[dict[str, str]]:
    """Give what the operator sets first: day, rate, ground, loads, and how the machine holds the rate."""
    written = Units(metric=plan.units == "metric")
    sheet = one.sheet
    area_ac = one.area_ac if sheet is None else sheet.area_ac
    facts = {
        "when": when(one),
        "rate": f"{written.rate(one.rate_gal_ac)} {written.rate_unit}",
        "ground": f"{written.area(area_ac)} {written.area_unit}",
        "loads": str(one.loads if sheet is None else sheet.loads),
    }
    if sheet is not None:
        facts |= _machine(sheet, MachineUnits(metric=written.metric))
    return [{"name": name, "value": value} for name, value in facts.items()]


def _machine(sheet: LoadSheet, machine: MachineUnits) -> dict[str, str]:
    facts = {}
    fastest = max((one.speed_mph for one in sheet.zones), default=sheet.slowest_mph)
    if sheet.nozzle:
        facts["nozzle"] = plain(sheet.nozzle, 30)
    facts["speed"] = f"{machine.speeds((sheet.slowest_mph, fastest))} {machine.speed_unit}"
    if sheet.pressure_psi is not None:
        name, more = _pressure(sheet)
        facts[name] = f"{machine.pressures(sheet.pressure_psi)}{more}"
    if sheet.duty_frac is not None:
        facts["duty at the top speed"] = f"{100 * sheet.duty_frac:.0f} %"
    return facts


def _pressure(sheet: LoadSheet) -> tuple[str, str]:
    """Say at which speed the pressure stands, and how it is at others, as far as the sheet knows."""
    if sheet.duty_frac is not None:
        return "pressure at any speed", ""
    return ("pressure at the top speed", ", less below") if load_rows.has_speeds(sheet) else ("pressure", "")
