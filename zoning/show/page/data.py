"""What the scripts of the page start from: one object, written so that no text in it can end its element."""

import json
from collections.abc import Mapping
from typing import Any

from zoning import units
from zoning.plan import NO_PRICE_PAYS, SCHEMA_VERSION, Plan, PlanZone
from zoning.show.figures import HIGHEST_PRICE_USD_BU
from zoning.show.page.decisions_data import decisions_data
from zoning.show.page.map_data import map_data
from zoning.show.page.scouting_data import scouting_data
from zoning.show.page.what_if_data import what_if_data

_DIGITS = 6
# In JSON these letters stand only in texts, where an escape means the same.
_ESCAPED = str.maketrans(
    {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}
)


def as_object(plan: Plan) -> dict[str, object]:
    """Give the data of the page of a plan."""
    return {
        "schema_version": SCHEMA_VERSION,
        "run_id": plan.run_id,
        "zones_id": plan.zones_id,
        "field": plan.field,
        "farm": plan.farm,
        "today": plan.today.isoformat(),
        "units": plan.units,
        "level": plan.level,
        "area_ac": round(plan.area_ac, _DIGITS),
        "factors": _factors(),
        "volumes_gal_ac": list(plan.volumes_gal_ac),
        "zones": [_zone(zone) for zone in plan.zones],
        **_of_parts(plan),
    }


def as_text(plan: Plan) -> str:
    """Write the data as JSON that may stand inside a page."""
    thing = in_tables(as_object(plan))
    return json.dumps(thing, ensure_ascii=False, allow_nan=False, separators=(",", ":")).translate(_ESCAPED)


def in_tables(thing: Any) -> Any:
    """Write each list of objects that have the same keys as a table, so that its keys stand there once.

    The page's scripts read it by `written.read`.

    Examples
    --------
    >>> in_tables({"zones": [{"zone": 1, "name": "A"}, {"zone": 2, "name": "B"}]})
    {'zones': {'keys': ['zone', 'name'], 'rows': [[1, 'A'], [2, 'B']]}}
    """
    if isinstance(thing, Mapping):
        return {key: in_tables(value) for key, value in thing.items()}
    if not isinstance(thing, list | tuple) or not thing or not isinstance(thing[0], Mapping):
        return thing
    inner = [in_tables(one) for one in thing]
    keys = list(thing[0])
    if len(thing) == 1 or any(list(one) != keys for one in thing):
        return inner
    return {"keys": keys, "rows": [list(one.values()) for one in inner]}


def _factors() -> dict[str, float]:
    """Give what the scripts convert with: the same as Python does."""
    return {
        "ha_per_ac": units.ha_from_ac(1.0),
        "l_ha_per_gal_ac": units.l_ha_from_gal_ac(1.0),
        "kg_ha_per_bu_ac": units.kg_ha_from_bu_ac(1.0),
        "usd_t_per_usd_bu": units.usd_t_from_usd_bu(1.0),
        "l_per_gal": units.l_from_gal(1.0),
        "no_price_pays_usd_bu": NO_PRICE_PAYS,
        "highest_price_usd_bu": HIGHEST_PRICE_USD_BU,
    }


def _zone(zone: PlanZone) -> dict[str, object]:
    dates = {"spray_on": zone.spray_on, "r3_likely": zone.window.r3_likely if zone.window else None}
    return {
        "zone": zone.zone,
        "block": zone.block,
        "name": zone.name,
        "area_ac": round(zone.area_ac, _DIGITS),
        "action": zone.action,
        "pass": zone.pass_number,
        "rate_gal_ac": zone.rate_gal_ac,
        **{name: when.isoformat() if when is not None else None for name, when in dates.items()},
        "override": _override(zone),
    }


def _override(zone: PlanZone) -> dict[str, object] | None:
    one = zone.override
    if one is None:
        return None
    return {
        "action": one.action,
        "rate_gal_ac": one.rate_gal_ac,
        "reason": one.reason,
        "decided_on": one.decided_on.isoformat() if one.decided_on else None,
        "computed": one.computed,
        "refused": one.refused.text if one.refused else None,
    }


def _of_parts(plan: Plan) -> dict[str, object]:
    """Ask the parts of the page for what their scripts need."""
    return {
        "what_if": what_if_data(plan.what_if) if plan.what_if is not None else None,
        "map": map_data(plan),
        "scouting": scouting_data(plan),
        "decisions": decisions_data(plan),
    }
