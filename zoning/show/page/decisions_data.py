"""What the page needs to let its reader decide for zones: which zones they are, and what a file may hold."""

from zoning.inputs import decisions
from zoning.plan import Override, Plan, decided


def decisions_data(plan: Plan) -> dict[str, object]:
    """Give what decisions.js starts from.

    Parameters
    ----------
    plan : Plan
        Any level; `overrides` are those that the plan knows already, by zone.
    """
    return {
        "kind": decisions.KIND,
        "schema_version": decisions.SCHEMA_VERSION,
        "zones_id": plan.zones_id,
        "run_id": plan.run_id,
        "field": plan.field,
        "today": plan.today.isoformat(),
        "volumes_gal_ac": list(plan.volumes_gal_ac),
        "mark": decided.MARK,
        "reason_most": decisions.REASON_MOST,
        "same_gal_ac": decisions.SAME_GAL_AC,
        "most_bytes": decisions.MOST_BYTES,
        "overrides": [
            _override(zone.zone, zone.override) for zone in plan.zones if zone.override is not None
        ],
    }


def _override(zone: int, one: Override) -> dict[str, object]:
    return {
        "zone": zone,
        "action": one.action,
        "rate_gal_ac": one.rate_gal_ac,
        "reason": one.reason,
        "decided_on": one.decided_on.isoformat() if one.decided_on is not None else None,
        "computed": one.computed,
        "refused": one.refused.text if one.refused is not None else None,
    }
