"""The plan as one object for other programs: what plan.json holds and `--json` prints.

Every key carries its unit. Metric farms get the metric figure beside the US one, never instead of it.
Writes no file.
"""

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from zoning import units
from zoning.plan import (
    NO_PRICE_PAYS,
    SCHEMA_VERSION,
    SOURCES,
    Plan,
    PlanPass,
    PlanZone,
    Scouted,
    SourceReturn,
    Totals,
    ZoneMoney,
)
from zoning.prescription.zoning_json import zoning_object
from zoning.stage.draws import Window
from zoning.words import Said

_DECIMALS = 6  # keeps 0.1 + 0.2 from being written as 0.30000000000000004; far below any figure that is shown

# Our ending of a key -> the metric ending and the conversion.
_TWINS = {
    "_usd_ac": ("_usd_ha", units.usd_ha_from_usd_ac),
    "_usd_bu": ("_usd_t", units.usd_t_from_usd_bu),
    "_bu_ac": ("_kg_ha", units.kg_ha_from_bu_ac),
    "_gal_ac": ("_l_ha", units.l_ha_from_gal_ac),
    "_gal": ("_l", units.l_from_gal),
    "_ac": ("_ha", units.ha_from_ac),
}

Json = dict[str, Any]


def metric_twin(key: str) -> str | None:
    """Name of the metric figure that stands beside a key, None where there is none.

    Examples
    --------
    >>> metric_twin("rate_gal_ac"), metric_twin("response_bu_ac"), metric_twin("net_usd")
    ('rate_l_ha', 'response_kg_ha', None)
    """
    for ending, (metric, _) in _TWINS.items():
        if key.endswith(ending):
            return key.removesuffix(ending) + metric
    return None


def _in_metric(key: str, value: Any) -> Any:
    convert = next(function for ending, (_, function) in _TWINS.items() if key.endswith(ending))
    if isinstance(value, Mapping):
        return {name: _number(convert(part), key) for name, part in value.items()}
    return None if value is None else _number(convert(value), key)


def _with_twins(plain: Json, metric: bool) -> Json:
    """Put the metric figure behind each figure that has one."""
    if not metric:
        return plain
    both: Json = {}
    for key, value in plain.items():
        both[key] = value
        twin = metric_twin(key)
        if twin is not None:
            both[twin] = _in_metric(key, value)
    return both


def _number(value: float, key: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"{key} of a plan must be a finite number, got {value}")
    return round(value, _DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0


def _if_any(value: float) -> float | None:
    """Give a figure that need not exist: infinite or undefined becomes null."""
    return _number(value, "") if math.isfinite(value) else None


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
        "sd_d": _number(window.sd_d, "sd_d"),
    }


def _source(answer: SourceReturn | None, metric: bool) -> Json | None:
    if answer is None:
        return None
    plain = {
        "action": answer.action,
        "net_usd_ac": _number(answer.net_usd_ac, "net_usd_ac"),
        "chance_pays": _number(answer.chance_pays, "chance_pays"),
        "needed_response_bu_ac": _if_any(answer.needed_response_bu_ac),
    }
    return _with_twins(plain, metric)


def _money(money: ZoneMoney | None, metric: bool) -> Json:
    if money is None:
        keys = ("net_usd_ac", "chance_pays", "break_even_price_usd_bu", "break_even_response_bu_ac")
        return dict.fromkeys((*keys, "response_bu_ac", "by_source"))
    price = money.break_even_price_usd_bu
    return {
        "net_usd_ac": {
            "mean": _number(money.net_mean_usd_ac, "net_usd_ac.mean"),
            "p10": _number(money.net_p10_usd_ac, "net_usd_ac.p10"),
            "p90": _number(money.net_p90_usd_ac, "net_usd_ac.p90"),
        },
        "chance_pays": _number(money.chance_pays, "chance_pays"),
        "break_even_price_usd_bu": None if price >= NO_PRICE_PAYS else _if_any(price),
        "break_even_response_bu_ac": _if_any(money.break_even_response_bu_ac),
        "response_bu_ac": {
            "mean": _number(money.response_mean_bu_ac, "response_bu_ac.mean"),
            "sd": _number(money.response_sd_bu_ac, "response_bu_ac.sd"),
        },
        "by_source": {name: _source(money.by_source.get(name), metric) for name in SOURCES},
    }


def _zone(zone: PlanZone, metric: bool) -> Json:
    plain = {
        "zone": zone.zone,
        "name": zone.name or None,
        "block": zone.block,
        "area_ac": _number(zone.area_ac, "area_ac"),
        "planted": _iso(zone.planted),
        "maturity_group": _number(zone.maturity_group, "maturity_group"),
        "stage": window_object(zone.window),
        "spray_from": _iso(zone.spray_from),
        "spray_by": _iso(zone.spray_by),
        "action": zone.action,
        "rate_gal_ac": None if zone.rate_gal_ac is None else _number(zone.rate_gal_ac, "rate_gal_ac"),
        "pass": zone.pass_number,
        "spray_on": _iso(zone.spray_on),
        "provisional": zone.provisional,
        **_money(zone.money, metric),
        "reason": _said(zone.reason),
    }
    return _with_twins(plain, metric)


def _pass(one: PlanPass, metric: bool) -> Json:
    plain = {
        "pass": one.number,
        "sprayer": one.sprayer,
        "day": _iso(one.day),
        "half": one.half,
        "rate_gal_ac": _number(one.rate_gal_ac, "rate_gal_ac"),
        "area_ac": _number(one.area_ac, "area_ac"),
        "loads": one.loads,
        "visit_costs_usd": _number(one.visit_costs_usd, "visit_costs_usd"),
        "zones": list(one.zones),
    }
    return _with_twins(plain, metric)


def scouted_object(one: Scouted) -> Json:
    """Give something that was seen in the field as it stands in plan.json."""
    return {
        "date": _iso(one.on),
        "lon": _number(one.lon, "lon"),
        "lat": _number(one.lat, "lat"),
        "zone": one.zone,
        "kind": one.kind,
        "text": one.text,
    }


def _totals(totals: Totals | None, metric: bool) -> Json | None:
    if totals is None:
        return None
    keys = ("spray_ac", "skip_ac", "net_usd", "visit_costs_usd", "carrier_gal")
    return _with_twins({key: _number(getattr(totals, key), key) for key in keys}, metric)


def sums_of(plans: Sequence[Plan]) -> Json:
    """Give area and totals of several plans together; metric figures beside them where all are metric."""
    metric = bool(plans) and all(plan.units == "metric" for plan in plans)
    money = [plan.totals for plan in plans if plan.totals is not None]
    area_ac = math.fsum(plan.area_ac for plan in plans)
    together = Totals(
        spray_ac=math.fsum(one.spray_ac for one in money),
        skip_ac=math.fsum(one.skip_ac for one in money),
        net_usd=math.fsum(one.net_usd for one in money),
        visit_costs_usd=math.fsum(one.visit_costs_usd for one in money),
        carrier_gal=math.fsum(one.carrier_gal for one in money),
    )
    area = _with_twins({"area_ac": _number(area_ac, "area_ac")}, metric)
    return area | (_totals(together, metric) or {})


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
    plain = {
        "schema_version": SCHEMA_VERSION,
        "run_id": plan.run_id,
        "zones_id": plan.zones_id,
        "field": plan.field,
        "today": _iso(plan.today),
        "crs": f"EPSG:{plan.epsg}",
        "area_ac": _number(plan.area_ac, "area_ac"),
        "schedule": plan.schedule,
        "zones": [_zone(zone, metric) for zone in plan.zones],
        "passes": [_pass(one, metric) for one in plan.passes],
        "zoning": zoning_object(plan),
        "scouting": [scouted_object(one) for one in plan.scouting],
        "totals": _totals(plan.totals, metric),
        "notes": [_said(note) for note in plan.notes],
        "files": list(files),
    }
    return _with_twins(plain, metric)


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
