"""The map of each pass, as every one of its files holds it: one polygon for neighbours of one rate."""

import math
from collections.abc import Sequence
from dataclasses import replace

from zoning.inputs.area import geodesic_ac
from zoning.passes.ground import by_rate
from zoning.passes.pass_map import MapPart, PassMap
from zoning.plan import Area, Plan, PlanPass

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
    """Give each pass of a plan its map."""
    ground = followed(plan)
    return replace(plan, passes=tuple(replace(one, map=_map(ground, one)) for one in plan.passes))


def _map(ground: Followed, one: PlanPass) -> PassMap:
    rates = [one.rate_gal_ac if number == one.number else 0.0 for _, number in ground]
    parts = by_rate([outline for outline, _ in ground], rates)
    return PassMap(
        parts=tuple(MapPart(outline=polygon, rate_gal_ac=rate) for rate, polygon in parts),
        treated_ac=math.fsum(geodesic_ac(polygon) for rate, polygon in parts if rate > 0),
    )
