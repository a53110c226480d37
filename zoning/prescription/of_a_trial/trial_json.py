"""The trial of a field as one object: what trial.json holds and `strips --json` prints.

Every key carries its unit; metric farms get the metric figure beside the US one. Writes no file.
"""

from collections.abc import Sequence
from datetime import date

from zoning.plan import SCHEMA_VERSION
from zoning.plan.trial import TrialResult
from zoning.prescription.as_json.twins import Json, if_any, if_known, number, with_twins
from zoning.prescription.of_a_trial.learned_json import belief_rows, book_object, said_rows, trial_rows
from zoning.strips.answer.told import told_text
from zoning.strips.learned.learned_terms import JudgedZone
from zoning.strips.terms import PairSeen, Response, StripSeen, ZoneResponse

NAME = "trial.json"


def as_object(result: TrialResult, files: Sequence[str] = ()) -> Json:
    """Give the object that trial.json holds.

    Parameters
    ----------
    result : TrialResult
    files : sequence of str
        Names of the files written with it.
    """
    metric = result.units == "metric"
    plain: Json = {
        "schema_version": SCHEMA_VERSION,
        "run_id": result.run_id,
        "version": result.version,
        "field": result.field,
        "folder": result.folder,
        "farm": result.farm,
        "season": result.season,
        "today": result.today.isoformat(),
        "crs": f"EPSG:{result.epsg}",
        "area_ac": number(result.area_ac, "area_ac"),
        "product": result.product,
        "sprayed_on": _days(result.sprayed_on),
        "harvested": _days(result.harvested),
        "file": result.file,
        "columns": {role: {"column": name, "unit": unit or None} for role, name, unit in result.columns},
        "strips_from": result.strip_source,
        "sprayed_from": result.treated_source,
        "header_m": number(result.header_m, "header_m"),
        "strip_width_m": number(result.strip_width_m, "strip_width_m"),
        "cleaning": _cleaning(result),
        "mean_yield_bu_ac": if_any(result.mean_yield_bu_ac),
        "strips": [with_twins(_strip(one.seen), metric) for one in result.strips],
        "pairs": [with_twins(_pair(one), metric) for one in result.pairs],
        "response": None if result.response is None else _response(result.response, metric=metric),
        "zones": [with_twins(one, metric) for one in _zones(result)],
        "zones_differ": _differ(result),
        "points": _points(result),
        "judged": [with_twins(_judged(one), metric) for one in result.judged],
        "beliefs": belief_rows(result.beliefs, metric=metric),
        "trials": trial_rows(result.trials, metric=metric),
        "season_book": book_object(result.book, metric=metric),
        "lessons": said_rows(result.lessons),
        "notes": said_rows(result.notes),
        "files": list(files),
    }
    return with_twins(plain, metric)


def _days(days: Sequence[date]) -> list[str]:
    return [one.isoformat() for one in days]


def _cleaning(result: TrialResult) -> Json:
    lag = result.lag
    return {
        "points": len(result.points.row),
        "kept": int((result.points.removed_by == 0).sum()),
        "lag": number(lag.amount, "lag"),
        "lag_unit": lag.unit,
        "lag_likeness": if_any(lag.likeness),
        "lag_likeness_before": if_any(lag.likeness_before),
        "lag_why": None if lag.why is None else lag.why.text,
        "rules": [{"code": one.code, "removed": one.removed, "before": one.before} for one in result.rules],
    }


def _strip(seen: StripSeen) -> Json:
    return {
        "pair": seen.pair,
        "treatment": seen.treatment,
        "sprayed_frac": if_any(seen.sprayed_frac),
        "points": seen.points,
        "passes": seen.passes,
        "mean_bu_ac": if_any(seen.mean_bu_ac),
    }


def _pair(one: PairSeen) -> Json:
    return {
        "pair": one.pair,
        "counts": one.why_not is None,
        "why_not": None if one.why_not is None else one.why_not.text,
        "length_m": number(one.length_m, "length_m"),
        "points": one.points,
        "treated_bu_ac": if_any(one.treated_bu_ac),
        "untreated_bu_ac": if_any(one.untreated_bu_ac),
        "difference_bu_ac": if_any(one.difference_bu_ac),
        "moisture_difference_frac": if_any(one.moisture_difference_frac),
    }


def _response(one: Response, *, metric: bool) -> Json:
    money = one.money
    of_money: Json = {
        "break_even_bu_ac": None if money is None else number(money.break_even_bu_ac, "break_even_bu_ac"),
        "price_usd_bu": None if money is None else number(money.price_usd_bu, "price_usd_bu"),
        "cost_usd_ac": None if money is None else number(money.cost_usd_ac, "cost_usd_ac"),
        "tracks_bu_ac": None if money is None else number(money.tracks_bu_ac, "tracks_bu_ac"),
    }
    for name, bu_ac in (("net", one.mean_bu_ac), ("net_low", one.low_bu_ac), ("net_high", one.high_bu_ac)):
        of_money[f"{name}_usd_ac"] = None if money is None else if_any(money.net_usd_ac(bu_ac))
    plain = {
        "pairs": one.pairs,
        "mean_bu_ac": number(one.mean_bu_ac, "mean_bu_ac"),
        "low_bu_ac": number(one.low_bu_ac, "low_bu_ac"),
        "high_bu_ac": number(one.high_bu_ac, "high_bu_ac"),
        "se_bu_ac": number(one.se_bu_ac, "se_bu_ac"),
        "sd_of_pairs_bu_ac": if_any(one.sd_bu_ac),
        "from_pooled_sd": one.from_pooled_sd,
        "se_to_learn_bu_ac": number(one.se_to_learn_bu_ac, "se_to_learn_bu_ac"),
        "p_two_sided": if_any(one.p_two_sided),
        "relabelled_p": if_any(one.relabelled_p),
        "chance_pays": if_known(one.chance_pays, "chance_pays"),
        "told": one.told,
        "pairs_needed": one.pairs_needed,
        **of_money,
        "text": told_text(one, is_metric=metric).text,
    }
    return with_twins(plain, metric)


def _zones(result: TrialResult) -> list[Json]:
    responses = {one.zone: one for one in result.by_zone.zones} if result.by_zone is not None else {}
    judged = {one.zone: one for one in result.judged}
    rows = []
    for zone in result.zones:
        plain: Json = {
            "zone": zone.zone,
            "block": zone.block,
            "area_ac": number(zone.area_ac, "area_ac"),
            **_zone_response(responses.get(zone.zone), result.response),
        }
        of_plan = judged.get(zone.zone)
        plain["action"] = None if of_plan is None else of_plan.action
        plain["judgement"] = None if of_plan is None else of_plan.judgement
        rows.append(plain)
    return rows


def _zone_response(one: ZoneResponse | None, field: Response | None) -> Json:
    money = field.money if field is not None else None
    return {
        "pairs": 0 if one is None else one.pairs,
        "length_m": 0.0 if one is None else number(one.length_m, "length_m"),
        "seen_bu_ac": None if one is None else if_any(one.seen_bu_ac),
        "response_bu_ac": None if one is None else if_any(one.mean_bu_ac),
        "response_se_bu_ac": None if one is None else if_any(one.se_bu_ac),
        "response_low_bu_ac": None if one is None else if_any(one.low_bu_ac),
        "response_high_bu_ac": None if one is None else if_any(one.high_bu_ac),
        "net_usd_ac": None if one is None or money is None else if_any(money.net_usd_ac(one.mean_bu_ac)),
        "chance_pays": None if one is None else if_known(one.chance_pays, "chance_pays"),
        "told": None if one is None else one.told,
    }


def _differ(result: TrialResult) -> Json | None:
    found = result.by_zone
    if found is None:
        return None
    return {
        "differ": found.differ,
        "p": if_any(found.differ_p),
        "zone_sd_bu_ac": if_any(found.zone_sd_bu_ac),
        "pair_sd_bu_ac": if_any(found.pair_sd_bu_ac),
        "rest_sd_bu_ac": if_any(found.rest_sd_bu_ac),
    }


def _points(result: TrialResult) -> Json | None:
    found = result.spatial
    if found is None:
        return None
    return {
        "counted": found.points,
        "worth": if_any(found.worth_points),
        "morans_i": if_any(found.morans_i),
        "range_m": if_any(found.range_m),
        "text": found.note.text,
    }


def _judged(one: JudgedZone) -> Json:
    return {
        "zone": one.zone,
        "action": one.action,
        "sprayed_frac": if_any(one.sprayed_frac),
        "forecast_net_usd_ac": if_known(one.forecast_net_usd_ac, "forecast_net_usd_ac"),
        "forecast_chance": if_known(one.forecast_chance, "forecast_chance"),
        "net_usd_ac": if_known(one.net_usd_ac, "net_usd_ac"),
        "net_low_usd_ac": if_known(one.net_low_usd_ac, "net_low_usd_ac"),
        "net_high_usd_ac": if_known(one.net_high_usd_ac, "net_high_usd_ac"),
        "chance_pays": if_known(one.chance_pays, "chance_pays"),
        "told": one.told,
        "judgement": one.judgement,
        "text": one.said.text,
    }
