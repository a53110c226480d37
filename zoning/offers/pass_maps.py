"""The map of each pass, as every one of its files holds it: one polygon for neighbours of one rate."""

import math
from collections.abc import Sequence
from dataclasses import replace

from zoning.inputs.area import geodesic_ac
from zoning.inputs.given import StripTreatment
from zoning.passes import fitting
from zoning.passes.ground import single_parts
from zoning.passes.pass_map import MapPart, PassMap
from zoning.plan import Area, Plan, PlanPass, PlanZone

_NOTES = ("passes.map_simpler", "passes.map_too_large")

Followed = Sequence[tuple[Area, int]]  # ground of the field in EPSG:4326, and its pass: 0 where none


def followed(plan: Plan) -> Followed:
    """Give polygons that cover the field, each with the pass that sprays it, 0 where none does.

    These are the swath cells where there are any, else the zones and no-spray ground, cut by check strips.
    """
    if plan.treatment is not None:
        return plan.treatment.parts
    if plan.strips is not None:
        return tuple((one.outline, one.pass_number) for one in plan.strips.pieces)
    zones = [(zone.outline, zone.pass_number or 0) for zone in plan.zones]
    return (*zones, *((one.outline, 0) for one in plan.no_spray))


def with_maps(plan: Plan) -> Plan:
    """Give each pass of a plan its map, and say what was done to fit a map to old terminals."""
    ground = followed(plan)
    passes = tuple(replace(one, map=_map(plan, ground, one)) for one in plan.passes)
    told = tuple(
        fitting.said(one.map.fitted, one.number, len(one.map.parts)) for one in passes if one.map.fitted
    )
    notes = tuple(note for note in plan.notes if note.code not in _NOTES)  # those of maps that were replaced
    return replace(plan, passes=passes, notes=(*notes, *told))


def _map(plan: Plan, ground: Followed, one: PlanPass) -> PassMap:
    whole = [
        MapPart(outline=polygon, rate_gal_ac=one.rate_gal_ac if number == one.number else 0.0)
        for outline, number in ground
        for polygon in single_parts(outline)
    ]
    parts, fitted = fitting.fitted(whole, _keep_off(plan, ground, one), _strips(plan, "treated"))
    return PassMap(
        parts=parts,
        treated_ac=math.fsum(geodesic_ac(part.outline) for part in parts if part.rate_gal_ac > 0),
        fitted=fitted,
    )


def _keep_off(plan: Plan, ground: Followed, one: PlanPass) -> list[Area]:
    """Give what a pass must not spray: never sprayed, of other passes, closed to it, untreated strips."""
    of_others = [outline for outline, number in ground if number not in (0, one.number)]
    closed = [zone.outline for zone in plan.zones if _is_closed(zone, one)]
    never = [each.outline for each in plan.no_spray]
    return [*never, *of_others, *closed, *_strips(plan, "untreated")]


def _is_closed(zone: PlanZone, one: PlanPass) -> bool:
    """Tell whether a zone that a pass leaves out may be closed to it: by the label, or sprayed before."""
    if zone.pass_number == one.number:
        return False
    if zone.sprayed_on is not None or zone.money is None:
        return True
    # the days of its delay run as long as label and stage allow
    return one.last_day.toordinal() > max(zone.money.delay.days, default=0)


def _strips(plan: Plan, treatment: StripTreatment) -> list[Area]:
    strips = plan.strips.strips if plan.strips is not None else ()
    return [strip.outline for strip in strips if strip.treatment == treatment]
