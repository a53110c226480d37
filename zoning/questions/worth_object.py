"""The answer to `sprayworth worth` as one object for JSON: every key with its unit, named as in plan.json."""

from typing import Any

from zoning.plan import NO_PRICE_PAYS, SCHEMA_VERSION
from zoning.prescription.as_json.money_json import FLIPS
from zoning.prescription.as_json.twins import Json, if_any, number, with_twins
from zoning.questions.bet import Bet
from zoning.questions.worth import Answer, Belief, OwnTrials
from zoning.questions.worth_told import first_line
from zoning.returns.worth import Worth
from zoning.words import Said, cautions


def worth_object(bet: Bet, answer: Answer) -> Json:
    """Give the answer as an object.

    Parameters
    ----------
    bet : Bet
    answer : Answer
        To that bet.

    Returns
    -------
    dict
        With metric units the metric figure stands beside each other one. A break-even price is None where no
        price pays.
    """
    chosen, metric = answer.chosen, bet.metric
    if chosen is None:
        return {"schema_version": SCHEMA_VERSION, "stopped": _said(answer.stopped)}
    plain = {
        "schema_version": SCHEMA_VERSION,
        "stopped": None,
        "action": _action(chosen),
        "toss_up": chosen.verdict == "toss_up",
        "reason": _said(first_line(bet, chosen)),
        "asked": with_twins(_asked(bet), metric),
        "net_usd_ac": number(chosen.net_usd_ac, "net_usd_ac"),
        "chance_pays": number(chosen.chance_frac, "chance_pays"),
        "break_even_price_usd_bu": _price(chosen),
        "break_even_response_bu_ac": number(chosen.break_even_response_bu_ac, "break_even_response_bu_ac"),
        "response_bu_ac": {"mean": chosen.response_mean_bu_ac, "sd": chosen.response_sd_bu_ac},
        "perfect_information_usd_ac": number(chosen.perfect_information_usd_ac, "perfect_information_usd_ac"),
        "flips": _flips(chosen, metric),
        "by_source": {
            source: None if one is None else with_twins(_source(one), metric)
            for source, one in answer.by_source.items()
        },
        "practice_series": with_twins(_practice(answer), metric),
        "own_trials": None if answer.own is None else _own(bet, answer.own),
        "strip_pairs": answer.strip_pairs,
        "table": _table(chosen, metric),
        "cube": with_twins(_cube(chosen), metric),
        "cautions": list(cautions("")),
    }
    return with_twins(plain, metric)


def _said(said: Said | None) -> Json | None:
    return None if said is None else {"code": said.code, "text": said.text}


def _action(one: Worth) -> str:
    return "spray" if one.verdict == "spray" else "skip"


def _price(one: Worth) -> float | None:
    bid_usd_bu = one.break_even_price_usd_bu
    return None if bid_usd_bu >= NO_PRICE_PAYS else number(bid_usd_bu, "break_even_price_usd_bu")


def _asked(bet: Bet) -> Json:
    place, rule = bet.place, bet.rule
    is_forecast = place.severity_pct is not None
    return {
        "source": bet.response.source,
        "pressure": place.pressure,
        "severity_pct": place.severity_pct,
        "disease": place.disease if is_forecast else None,
        "efficacy": (0.0 if place.resisted else place.efficacy_frac) if is_forecast else None,
        "groups_that_work": place.groups if bet.groups_known else None,
        "stage": bet.stage,
        "curve": bet.curve,
        "grain_price_usd_bu": bet.grain_price_usd_bu,
        "share_of_grain": bet.share_of_grain_frac,
        "cost_usd_ac": bet.cost_usd_ac,
        "expected_yield_bu_ac": if_any(bet.expected_yield_bu_ac),
        "track_loss_bu_ac": bet.track_loss_bu_ac,
        "rule": rule.name,
        "min_net_usd_ac": rule.min_net_usd_ac,
        "min_chance": rule.min_chance_frac,
        "loss_weight": rule.loss_weight,
    }


def _flips(chosen: Worth, metric: bool) -> Json:
    """Give each figure that would turn the answer; None where that figure alone turns nothing."""
    found: dict[str, float] = {flip.name: number(flip.value, "flips") for flip in chosen.flips}
    asked = ("price", "cost", "response", "severity")
    return with_twins({FLIPS[name]: found.get(name) for name in asked}, metric)


def _source(one: Worth) -> Json:
    return {
        "action": _action(one),
        "net_usd_ac": number(one.net_usd_ac, "net_usd_ac"),
        "chance_pays": number(one.chance_frac, "chance_pays"),
        "needed_response_bu_ac": number(one.break_even_response_bu_ac, "needed_response_bu_ac"),
        "expected_response_bu_ac": number(one.response_mean_bu_ac, "expected_response_bu_ac"),
        "break_even_price_usd_bu": _price(one),
    }


def _practice(answer: Answer) -> Json:
    """Say how large the practice series is, in the middle of R3."""
    practice, published = answer.practice_mean_bu_ac, answer.published_mean_bu_ac
    return {
        "mean_bu_ac": number(practice, "mean_bu_ac"),
        "published_mean_bu_ac": published,
        "times_published": number(practice / published, "times_published"),
    }


def _own(bet: Bet, own: OwnTrials) -> Json:
    """Give what was believed before the own trials and after, in the middle of R3."""

    def of(belief: Belief) -> Json:
        return {
            "mean_bu_ac": number(belief.mean_bu_ac, "mean_bu_ac"),
            "sd_bu_ac": number(belief.sd_bu_ac, "sd_bu_ac"),
        }

    trials = {**of(own.trials), "se_bu_ac": bet.response.se_bu_ac, "years": bet.response.years}
    parts = {"before": of(own.before), "trials": trials, "after": of(own.after)}
    return {name: with_twins(part, bet.metric) for name, part in parts.items()}


def _table(chosen: Worth, metric: bool) -> list[Json]:
    """List each price and cost with what is expected there."""
    return [
        with_twins(
            {
                "price_usd_bu": number(cell.price_usd_bu, "price_usd_bu"),
                "cost_usd_ac": number(cell.cost_usd_ac, "cost_usd_ac"),
                "net_usd_ac": number(cell.net_usd_ac, "net_usd_ac"),
                "chance_pays": number(cell.chance_frac, "chance_pays"),
                "break_even_response_bu_ac": number(cell.break_even_response_bu_ac, "break_even_response"),
            },
            metric,
        )
        for row in chosen.table
        for cell in row
    ]


def _cube(chosen: Worth) -> Json:
    """Give the net return by price, cost and response, in that order of indices."""
    table = chosen.table
    nets: list[list[list[Any]]] = [
        [[number(net, "net_usd_ac") for net in cell.net_at_usd_ac] for cell in row] for row in table
    ]
    return {
        "price_usd_bu": [number(row[0].price_usd_bu, "price_usd_bu") for row in table],
        "cost_usd_ac": [number(cell.cost_usd_ac, "cost_usd_ac") for cell in table[0]],
        "response_bu_ac": [number(bu_ac, "response_bu_ac") for bu_ac in chosen.responses_bu_ac],
        "net_usd_ac": nets,
    }
