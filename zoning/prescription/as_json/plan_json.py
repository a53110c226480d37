"""The plan as one object for other programs: what plan.json holds and `--json` prints.

Every key carries its unit. Metric farms get the metric figure beside the US one, never instead of it.
Writes no file.
"""

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from zoning.plan import (
    SCHEMA_VERSION,
    Override,
    Plan,
    PlanNoSpray,
    PlanPass,
    PlanWalk,
    PlanZone,
    Scouted,
    ZoneSince,
)
from zoning.prescription.as_json.load_json import sheet_object
from zoning.prescription.as_json.money_json import SUMMED, money_object, totals_object
from zoning.prescription.as_json.strips_json import strips_object
from zoning.prescription.as_json.twins import Json, number, with_twins
from zoning.prescription.as_json.twins import metric_twin as metric_twin
from zoning.prescription.as_json.zoning_json import zoning_object
from zoning.prescription.polygons import map_id
from zoning.stage.draws import Window
from zoning.words import Said

_CENTS = 2  # decimals of what a count is worth, which is reckoned with half the digits of the rest


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _said(said: Said) -> Json:
    return {"code": said.code, "text": said.text}


def window_object(window: Window | None) -> Json | None:
    """Give a window as the object `stage` of plan.json."""
    if window is None:
        return None
    return {
        "r1": _iso(window.r1),
        "r3_early": _iso(window.r3_early),
        "r3_likely": _iso(window.r3_likely),
        "r3_late": _iso(window.r3_late),
        "closes": _iso(window.closes),
        "sd_d": number(window.sd_d, "sd_d"),
    }


def zone_object(zone: PlanZone, metric: bool, *, lists: bool = True) -> Json:
    """Give a zone as it stands in plan.json; without its lists for tables, which have no room for them."""
    plain = {
        "zone": zone.zone,
        "name": zone.name or None,
        "block": zone.block,
        "area_ac": number(zone.area_ac, "area_ac"),
        "planted": _iso(zone.planted),
        "maturity_group": number(zone.maturity_group, "maturity_group"),
        "stage": window_object(zone.window),
        "spray_from": _iso(zone.spray_from),
        "spray_by": _iso(zone.spray_by),
        "action": zone.action,
        "rate_gal_ac": None if zone.rate_gal_ac is None else number(zone.rate_gal_ac, "rate_gal_ac"),
        "pass": zone.pass_number,
        "spray_on": _iso(zone.spray_on),
        "sprayed_on": _iso(zone.sprayed_on),
        "provisional": zone.provisional,
        **money_object(zone.money, metric, lists=lists),
        "reason": _said(zone.reason),
        "override": None if zone.override is None else with_twins(_override(zone.override), metric),
    }
    return with_twins(plain, metric)


def _override(one: Override) -> Json:
    return {
        "action": one.action,
        "rate_gal_ac": None if one.rate_gal_ac is None else number(one.rate_gal_ac, "rate_gal_ac"),
        "reason": one.reason,
        "decided_on": _iso(one.decided_on),
        "computed": one.computed,
        "refused": None if one.refused is None else _said(one.refused),
    }


def pass_object(one: PlanPass, metric: bool, *, lists: bool = True) -> Json:
    """Give a pass as it stands in plan.json; for tables without its load sheet, the longest of its lists."""
    plain = {
        "pass": one.number,
        "sprayer": one.sprayer,
        "day": _iso(one.day),
        "half": one.half,
        "rate_gal_ac": number(one.rate_gal_ac, "rate_gal_ac"),
        "area_ac": number(one.area_ac, "area_ac"),
        "treated_ac": number(one.map.treated_ac, "treated_ac") if one.map.parts else None,
        "map_id": map_id(one.map) if one.map.parts else None,
        "not_followed": [_said(said) for said in one.map.not_followed],
        "loads": one.loads,
        "visit_costs_usd": number(one.visit_costs_usd, "visit_costs_usd"),
        "zones": list(one.zones),
        "later_usd": [number(usd, "later_usd") for usd in one.later_usd],
        "hours_h": number(one.hours_h, "hours_h"),
        "parts": [
            {
                "day": _iso(date.fromordinal(part.day)),
                "half": part.half,
                "hours_h": number(part.hours_h, "hours_h"),
                "loads": number(part.loads, "loads"),
            }
            for part in one.parts
        ],
        "due": _iso(one.due),
        "in_time_frac": None if one.in_time_frac is None else number(one.in_time_frac, "in_time_frac"),
        "in_time_years": one.in_time_years or None,
        "load_sheet": sheet_object(one.sheet, metric) if lists else None,
    }
    return with_twins(plain, metric)


def no_spray_object(one: PlanNoSpray, metric: bool) -> Json:
    """Give ground that is never sprayed as it stands in plan.json."""
    plain = {"kind": one.kind, "source": one.source, "area_ac": number(one.area_ac, "area_ac")}
    return with_twins(plain, metric)


def scouted_object(one: Scouted) -> Json:
    """Give something that was seen in the field as it stands in plan.json."""
    return {
        "date": _iso(one.on),
        "lon": number(one.lon, "lon"),
        "lat": number(one.lat, "lat"),
        "zone": one.zone,
        "kind": one.kind,
        "text": one.text,
        "stage": one.stage,
        "severity_pct": None if one.severity_pct is None else number(one.severity_pct, "severity_pct"),
        "note": one.note,
        "photo": one.photo,
        "observer": one.observer,
        "source": one.source,
    }


def walk_object(one: PlanWalk) -> Json:
    """Give where a count is worth the walk as it stands in plan.json."""
    return {
        "zone": one.zone,
        "lon": number(one.lon, "lon"),
        "lat": number(one.lat, "lat"),
        "day": _iso(one.day),
        "plants": one.plants,
        "value_usd": round(number(one.usd, "value_usd"), _CENTS),
        "informs": list(one.informs),
    }


def since_zone_object(one: ZoneSince) -> Json:
    """Give what an earlier plan said of a zone as it stands in plan.json."""
    return {
        "zone": one.zone,
        "r3_likely": _iso(one.r3_likely),
        "spray_on": _iso(one.spray_on),
        "action": one.action,
        "rate_gal_ac": None if one.rate_gal_ac is None else number(one.rate_gal_ac, "rate_gal_ac"),
    }


def sums_of(plans: Sequence[Plan]) -> Json:
    """Give area and totals of several plans together; metric figures beside them where all are metric."""
    metric = bool(plans) and all(plan.units == "metric" for plan in plans)
    money = [plan.totals for plan in plans if plan.totals is not None]
    sums = {key: math.fsum(getattr(plan, key) for plan in plans) for key in ("area_ac", "no_spray_ac")}
    sums |= {key: math.fsum(getattr(one, key) for one in money) for key in SUMMED}
    return with_twins({key: number(value, key) for key, value in sums.items()}, metric)


def as_object(plan: Plan, files: Iterable[str] = ()) -> Json:
    """Give the object that plan.json holds.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    files : iterable of str
        Names of what was written beside it, relative to `out`.

    Returns
    -------
    dict
        Keys in one order, dates as ISO 8601 text, None where there is no figure. A break-even price is None
        at level 1 and where no price pays; `net_usd_ac` tells the two apart.

    Raises
    ------
    ValueError
        When a figure that must exist is infinite or not a number: a fault of ours, never of the user.
    """
    metric = plan.units == "metric"
    return head_object(plan) | {
        "zones": [zone_object(zone, metric) for zone in plan.zones],
        "no_spray": [no_spray_object(one, metric) for one in plan.no_spray],
        "passes": [pass_object(one, metric) for one in plan.passes],
        "check_strips": strips_object(plan.strips, metric),
        "zoning": zoning_object(plan),
        "scouting": [scouted_object(one) for one in plan.scouting],
        "walks": [walk_object(one) for one in plan.walks],
        "totals": totals_object(plan.totals, metric),
        "since": None if plan.since is None else _said(plan.since),
        "since_zones": [since_zone_object(one) for one in plan.since_zones],
        "notes": [_said(note) for note in plan.notes],
        "files": list(files),
    }


def head_object(plan: Plan) -> Json:
    """Give what plan.json says of the field as a whole, before its lists."""
    plain = {
        "schema_version": SCHEMA_VERSION,
        "run_id": plan.run_id,
        "zones_id": plan.zones_id,
        "field": plan.field,
        "today": _iso(plan.today),
        "crs": f"EPSG:{plan.epsg}",
        "area_ac": number(plan.area_ac, "area_ac"),
        "no_spray_ac": number(plan.no_spray_ac, "no_spray_ac"),
        "schedule": plan.schedule,
        "response_source": plan.source,
    }
    return with_twins(plain, plan.units == "metric")


def as_text(thing: Mapping[str, object]) -> str:
    """Write an object as every JSON file of ours is written: the same object, the same bytes."""
    return json.dumps(thing, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def flat(nested: Mapping[str, Any], stem: str = "") -> Json:
    """Flatten an object into one level, as the columns of a table need it.

    Examples
    --------
    >>> flat({"zone": 1, "net_usd_ac": {"mean": 12.0}, "by_source": {"own trials": {"action": "skip"}}})
    {'zone': 1, 'net_usd_ac_mean': 12.0, 'by_source_own_trials_action': 'skip'}
    """
    row: Json = {}
    for key, value in nested.items():
        name = f"{stem}{key}".replace(" ", "_")
        if isinstance(value, Mapping):
            row |= flat(value, f"{name}_")
        else:
            row[name] = value
    return row
