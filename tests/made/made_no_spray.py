"""Plans with ground that is never sprayed, made of plans whose zones give up some of theirs."""

from collections.abc import Mapping
from dataclasses import replace

from zoning.plan import NoSprayKind, Plan, PlanNoSpray

SOURCES = {"setback": "setbacks.geojson", "dead ground": "drowned.geojson"}


def with_no_spray(plan: Plan, kinds: Mapping[int, NoSprayKind]) -> Plan:
    """The same field, in which the zones that are named (and skipped) are no-spray ground instead."""
    gone = [zone for zone in plan.zones if zone.zone in kinds]
    assert len(gone) == len(kinds)
    assert not any(zone.action == "spray" for zone in gone)
    ground = [
        PlanNoSpray(
            kind=kinds[zone.zone],
            source=SOURCES[kinds[zone.zone]],
            outline=zone.outline,
            area_ac=zone.area_ac,
        )
        for zone in gone
    ]
    totals = plan.totals
    if totals is not None:
        totals = replace(totals, skip_ac=totals.skip_ac - sum(zone.area_ac for zone in gone))
    zones = tuple(zone for zone in plan.zones if zone.zone not in kinds)
    return replace(plan, zones=zones, no_spray=tuple(ground), totals=totals)
