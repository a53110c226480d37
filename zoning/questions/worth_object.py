"""The answer to `sprayworth worth` as one object for JSON: exact figures, every key with its unit."""

from collections.abc import Callable
from math import isfinite
from typing import Any

from zoning import units
from zoning.plan import NO_PRICE_PAYS, SCHEMA_VERSION
from zoning.questions.bet import Bet
from zoning.questions.worth import Answer, Belief
from zoning.questions.worth_told import first_line
from zoning.returns.worth import Worth
from zoning.words import Said, cautions

# Our ending of a key -> the metric ending and the conversion.
_TWINS: dict[str, tuple[str, Callable[[float], float]]] = {
    "_usd_ac": ("_usd_ha", units.usd_ha_from_usd_ac),
    "_usd_bu": ("_usd_t", units.usd_t_from_usd_bu),
    "_bu_ac": ("_kg_ha", units.kg_ha_from_bu_ac),
}
_FLIP_UNITS = {"price": "usd_bu", "cost": "usd_ac", "response": "bu_ac", "severity": "pct"}


def worth_object(bet: Bet, answer: Answer) -> dict[str, Any]:
    """Give the answer as an object; a price of 9999 means that no price pays.

    Parameters
    ----------
    bet : Bet
    answer : Answer
        To that bet.

    Returns
    -------
    dict
        With metric units the metric figure stands beside each other one.
    """
    chosen = answer.chosen
    if chosen is None:
        return {"schema_version": SCHEMA_VERSION, "stopped": _said(answer.stopped)}
    whole = {
        "schema_version": SCHEMA_VERSION,
        "stopped": None,
        "action": "spray" if chosen.verdict == "spray" else "skip",
        "is_toss_up": chosen.verdict == "toss_up",
        "reason": _said(first_line(bet, chosen)),
        **_asked(bet),
        **_one(chosen),
        "response_bu_ac": {"mean": chosen.response_mean_bu_ac, "sd": chosen.response_sd_bu_ac},
        "perfect_information_usd_ac": chosen.perfect_information_usd_ac,
        "flips": [_flip(flip.name, flip.value) for flip in chosen.flips],
        "by_source": {
            source: None if one is None else {"action": _action(one), **_one(one)}
            for source, one in answer.by_source.items()
        },
        "practice_series_mid_r3": {
            "mean_bu_ac": answer.practice_mean_bu_ac,
            "published_mean_bu_ac": answer.published_mean_bu_ac,
            "times_published": answer.practice_mean_bu_ac / answer.published_mean_bu_ac,
        },
        "own_trials_mid_r3": _own(bet, answer),
        "strip_pairs_to_see_needed": answer.strip_pairs,
        "table": _table(chosen),
        "cube": _cube(chosen),
        "cautions": list(cautions("")),
    }
    both: dict[str, Any] = _with_twins(whole) if bet.metric else whole
    return both


def _said(said: Said | None) -> dict[str, str] | None:
    return None if said is None else {"code": said.code, "text": said.text}


def _action(one: Worth) -> str:
    return "spray" if one.verdict == "spray" else "skip"


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None


def _asked(bet: Bet) -> dict[str, Any]:
    return {
        "source": bet.response.source,
        "pressure": bet.place.pressure,
        "severity_pct": bet.place.severity_pct,
        "disease": bet.place.disease,
        "efficacy": 0.0 if bet.place.resisted else bet.place.efficacy_frac,
        "modes_of_action_that_work": bet.place.groups,
        "stage": bet.stage,
        "curve": bet.curve,
        "grain_price_usd_bu": bet.grain_price_usd_bu,
        "share_of_grain": bet.share_of_grain_frac,
        "cost_usd_ac": bet.cost_usd_ac,
        "expected_yield_bu_ac": _finite(bet.expected_yield_bu_ac),
        "track_loss_bu_ac": bet.track_loss_bu_ac,
        "rule": {
            "name": bet.rule.name,
            "min_net_usd_ac": bet.rule.min_net_usd_ac,
            "min_chance": bet.rule.min_chance_frac,
            "loss_weight": bet.rule.loss_weight,
        },
    }


def _one(one: Worth) -> dict[str, Any]:
    """Give what one source says."""
    return {
        "net_usd_ac": one.net_usd_ac,
        "chance_pays": one.chance_frac,
        "expected_response_bu_ac": one.response_mean_bu_ac,
        "break_even_response_bu_ac": one.break_even_response_bu_ac,
        "break_even_price_usd_bu": one.break_even_price_usd_bu,
    }


def _flip(name: str, value: float) -> dict[str, Any]:
    return {"name": name, f"value_{_FLIP_UNITS[name]}": value}


def _own(bet: Bet, answer: Answer) -> dict[str, Any] | None:
    own = answer.own
    if own is None:
        return None

    def of(belief: Belief) -> dict[str, float]:
        return {"mean_bu_ac": belief.mean_bu_ac, "sd_bu_ac": belief.sd_bu_ac}

    trials = {**of(own.trials), "se_bu_ac": bet.response.se_bu_ac, "years": bet.response.years}
    return {"before": of(own.before), "trials": trials, "after": of(own.after)}


def _table(chosen: Worth) -> list[dict[str, Any]]:
    """List each price and cost: what is expected, and the net return at each response."""
    return [
        {
            "price_usd_bu": cell.price_usd_bu,
            "cost_usd_ac": cell.cost_usd_ac,
            "net_usd_ac": cell.net_usd_ac,
            "chance_pays": cell.chance_frac,
            "break_even_response_bu_ac": cell.break_even_response_bu_ac,
        }
        for row in chosen.table
        for cell in row
    ]


def _cube(chosen: Worth) -> dict[str, Any]:
    """Give the net return by price, cost and response, in that order of indices."""
    table = chosen.table
    return {
        "price_usd_bu": [row[0].price_usd_bu for row in table],
        "cost_usd_ac": [cell.cost_usd_ac for cell in table[0]],
        "response_bu_ac": list(chosen.responses_bu_ac),
        "net_usd_ac": [[list(cell.net_at_usd_ac) for cell in row] for row in table],
    }


def _with_twins(value: Any) -> Any:
    """Put the metric figure behind each figure that has one, however deep it stands."""
    if isinstance(value, list):
        return [_with_twins(one) for one in value]
    if not isinstance(value, dict):
        return value
    both: dict[str, Any] = {}
    for key, one in value.items():
        both[key] = _with_twins(one)
        for ending, (metric, convert) in _TWINS.items():
            if key.endswith(ending):
                both[key.removesuffix(ending) + metric] = _converted(one, convert, key)
    return both


def _converted(value: Any, convert: Callable[[float], float], key: str) -> Any:
    if isinstance(value, list):
        return [_converted(one, convert, key) for one in value]
    if isinstance(value, dict):
        return {name: _converted(one, convert, key) for name, one in value.items()}
    is_none = value is None or (key == "break_even_price_usd_bu" and value == NO_PRICE_PAYS)
    return value if is_none else convert(value)
