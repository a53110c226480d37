"""The money of a plan as objects of plan.json: of each zone, and of the field.

Where a figure does not exist, as a price where none pays, it is None. Writes no file.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from zoning.plan import NO_PRICE_PAYS, SOURCES, SourceReturn, Totals, ZoneMoney
from zoning.prescription.as_json.twins import Json, if_any, number, with_twins
from zoning.returns.steps import KINDS
from zoning.returns.terms import CostLine, Delay, Flip, Step
from zoning.units import date_from_day

# What stands in `flips`: our name of a flip -> its key, with the unit.
FLIPS = {
    "price": "price_usd_bu",
    "cost": "cost_usd_ac",
    "response": "response_bu_ac",
    "day": "day",
    "tracks": "tracks_bu_ac",
    "severity": "severity_pct",
}
SUMMED = ("spray_ac", "skip_ac", "net_usd", "visit_costs_usd", "carrier_gal")  # what fields add up to
_ZONE = (
    *("net_usd_ac", "chance_pays", "break_even_price_usd_bu", "break_even_response_bu_ac", "response_bu_ac"),
    *("by_source", "perfect_information_usd_ac", "toss_up", "no_contrast_usd_ac", "steps", "rests_on_frac"),
    *("delay", "flips"),
)


def _source(answer: SourceReturn | None, metric: bool) -> Json | None:
    if answer is None:
        return None
    plain = {
        "action": answer.action,
        "net_usd_ac": number(answer.net_usd_ac, "net_usd_ac"),
        "chance_pays": number(answer.chance_pays, "chance_pays"),
        "needed_response_bu_ac": if_any(answer.needed_response_bu_ac),
    }
    return with_twins(plain, metric)


def money_object(money: ZoneMoney | None, metric: bool, *, lists: bool = True) -> Json:
    """Give the money of a zone; every key is there, None throughout where there is no return.

    Without `lists` the steps are left out, for tables that have no room for them.
    """
    if money is None:
        return dict.fromkeys(_ZONE)
    return {
        "net_usd_ac": {
            "mean": number(money.net_mean_usd_ac, "net_usd_ac.mean"),
            "p10": number(money.net_p10_usd_ac, "net_usd_ac.p10"),
            "p90": number(money.net_p90_usd_ac, "net_usd_ac.p90"),
        },
        "chance_pays": number(money.chance_pays, "chance_pays"),
        "break_even_price_usd_bu": _price(money.break_even_price_usd_bu),
        "break_even_response_bu_ac": if_any(money.break_even_response_bu_ac),
        "response_bu_ac": {
            "mean": number(money.response_mean_bu_ac, "response_bu_ac.mean"),
            "sd": number(money.response_sd_bu_ac, "response_bu_ac.sd"),
        },
        "by_source": {name: _source(money.by_source.get(name), metric) for name in SOURCES},
        "perfect_information_usd_ac": number(money.perfect_information_usd_ac, "perfect_information_usd_ac"),
        "toss_up": money.toss_up,
        "no_contrast_usd_ac": None
        if money.no_contrast_usd_ac is None
        else number(money.no_contrast_usd_ac, "no_contrast_usd_ac"),
        "steps": [_step(one, metric) for one in money.steps] if lists else [],
        "rests_on_frac": _rests_on(money.rests_on_frac),
        "delay": _delay(money.delay, metric),
        "flips": _flips(money.flips, metric),
    }


def totals_object(totals: Totals | None, metric: bool) -> Json | None:
    """Give the money of a field."""
    if totals is None:
        return None
    plain = {
        **{key: number(getattr(totals, key), key) for key in SUMMED},
        "net_p10_usd": number(totals.net_p10_usd, "net_p10_usd"),
        "net_p90_usd": number(totals.net_p90_usd, "net_p90_usd"),
        "chance_pays": number(totals.chance_pays, "chance_pays"),
        "break_even_price_usd_bu": _price(totals.break_even_price_usd_bu),
        "perfect_information_usd": number(totals.perfect_information_usd, "perfect_information_usd"),
        "rests_on_frac": _rests_on(totals.rests_on_frac),
        "costs": [_cost(one, metric) for one in totals.costs],
        "flips": _flips(totals.flips, metric),
        "nearest_net_usd": None
        if totals.nearest_net_usd is None
        else number(totals.nearest_net_usd, "nearest_net_usd"),
    }
    return with_twins(plain, metric)


def _price(price_usd_bu: float) -> float | None:
    return None if price_usd_bu >= NO_PRICE_PAYS else if_any(price_usd_bu)


def _step(one: Step, metric: bool) -> Json:
    plain = {
        "name": one.name,
        "kind": one.kind,
        "evidence": list(one.evidence),
        "change_bu_ac": number(one.change_bu_ac, "change_bu_ac"),
    }
    return with_twins(plain, metric)


def _rests_on(shares: Mapping[str, float]) -> Json:
    return {kind: number(shares.get(kind, 0.0), "rests_on_frac") for kind in reversed(KINDS)}


def _delay(delay: Delay | None, metric: bool) -> Json | None:
    if delay is None:
        return None
    until = delay.pays_until
    plain = {
        "from": date_from_day(delay.days[0]).isoformat(),
        "net_usd_ac": [number(net, "delay.net_usd_ac") for net in delay.net_usd_ac],
        "pays_until": None if until is None else date_from_day(until).isoformat(),
    }
    return with_twins(plain, metric)


def _flips(flips: Sequence[Flip], metric: bool) -> Json:
    """Give what would turn the decision, each figure under the name of its unit; None where it would not."""
    found: dict[str, Any] = {FLIPS[one.name]: number(one.value, "flips") for one in flips}
    plain = {key: found.get(key) for key in FLIPS.values()}
    if plain["day"] is not None:
        plain["day"] = date_from_day(plain["day"]).isoformat()
    return with_twins(plain, metric)


def _cost(one: CostLine, metric: bool) -> Json:
    plain = {
        "name": one.name,
        "cost_usd_ac": if_any(one.usd_ac),
        "cost_usd": number(one.usd, "cost_usd"),
        "counted": one.counted,
    }
    return with_twins(plain, metric)
