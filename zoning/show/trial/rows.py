"""The tables of a trial as rows of texts: pairs, zones, decisions, rules, costs, beliefs."""

from dataclasses import dataclass
from math import isfinite, isnan

from zoning.plan.trial import TrialResult
from zoning.show.figures import NONE, chance, dollars, plain
from zoning.show.trial.trial_units import TrialUnits, points, share
from zoning.strips.learned.learned_terms import Belief, Judgement
from zoning.strips.terms import Told, ZoneResponse
from zoning.words import SENTENCES, Said
from zoning.words.bill import COST_LINES

_TOLD: dict[Told, str] = {"paid": "told_paid", "did not pay": "told_not", "cannot tell": "told_open"}
_JUDGED: dict[Judgement, str] = {
    "right": "right",
    "wrong": "wrong",
    "cannot tell": "open",
    "not tested": "untested",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow:
    """One pair: its name on the map, and what it says; `value` is None where it does not count."""

    name: str
    length: str
    treated: str
    untreated: str
    difference: str
    value: float | None  # [bu/ac]
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneRow:
    """One zone: as seen, as drawn towards the field with its 90 % interval, and whether it paid."""

    zone: int
    pairs: str
    length: str
    seen: str
    mean: str
    span: str
    chance: str
    told: str
    values: tuple[float, float, float, float]  # seen, mean, low, high [bu/ac]


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedRow:
    """One decision of the plan, by what came of it."""

    zone: int
    action: str
    sprayed: str
    forecast: str
    forecast_chance: str
    net: str
    span: str
    judgement: str
    is_wrong: bool
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleRow:
    """One rule of cleaning: how many points it left out, of all, and as a share of the most that one took."""

    name: str
    removed: str
    percent: str
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BeliefRow:
    """One of the three curves of a belief: what it is called, mean, spread, chance that it pays."""

    kind: str
    name: str
    mean: str
    spread: str
    chance: str


def pair_rows(result: TrialResult, written: TrialUnits) -> list[PairRow]:
    """Give a row for each pair, those that do not count too."""
    return [
        PairRow(
            name=f"S{one.pair}",
            length=written.way(one.length_m) if one.why_not is None else NONE,
            treated=written.plain_response(one.treated_bu_ac),
            untreated=written.plain_response(one.untreated_bu_ac),
            difference=written.more(one.difference_bu_ac) if one.why_not is None else NONE,
            value=one.difference_bu_ac if one.why_not is None else None,
            why="" if one.why_not is None else plain(one.why_not.text),
        )
        for one in result.pairs
    ]


def told(what: Told | None) -> str:
    """Write whether a pass paid; empty where no costs are known."""
    return "" if what is None else Said(f"trial_page.{_TOLD[what]}").text


def zone_rows(result: TrialResult, written: TrialUnits) -> list[ZoneRow]:
    """Give a row for each zone that strips cross; where zones are not told apart with the field's answer."""
    if result.by_zone is None:
        return []
    of_field = None if result.by_zone.differ or result.response is None else result.response.told
    return [_zone(one, of_field, written) for one in result.by_zone.zones]


def _zone(one: ZoneResponse, of_field: Told | None, written: TrialUnits) -> ZoneRow:
    answer = told(one.told)
    if of_field is not None:
        answer = Said("trial_page.told_of_field", told=told(of_field)).text
    return ZoneRow(
        zone=one.zone,
        pairs=str(one.pairs),
        length=written.way(one.length_m),
        seen=written.more(one.seen_bu_ac),
        mean=written.more(one.mean_bu_ac),
        span=written.span(one.low_bu_ac, one.high_bu_ac),
        chance=NONE if one.chance_pays is None else chance(one.chance_pays),
        told=answer,
        values=(one.seen_bu_ac, one.mean_bu_ac, one.low_bu_ac, one.high_bu_ac),
    )


def judged_rows(result: TrialResult, written: TrialUnits) -> list[JudgedRow]:
    """Give a row for each decision of the plan."""
    found = []
    for one in result.judged:
        has_span = one.net_low_usd_ac is not None and one.net_high_usd_ac is not None
        low, high = one.net_low_usd_ac or 0.0, one.net_high_usd_ac or 0.0
        found.append(
            JudgedRow(
                zone=one.zone,
                action=Said(f"trial_page.{one.action}").text,
                sprayed=NONE if isnan(one.sprayed_frac) else f"{100 * one.sprayed_frac:.0f} %",
                forecast=_usd(one.forecast_net_usd_ac, written),
                forecast_chance=NONE if one.forecast_chance is None else chance(one.forecast_chance),
                net=_usd(one.net_usd_ac, written),
                span=written.usd_span(low, high) if has_span else "",
                judgement=Said(f"trial_page.{_JUDGED[one.judgement]}").text,
                is_wrong=one.judgement == "wrong",
                said=plain(one.said.text),
            )
        )
    return found


def _usd(value: float | None, written: TrialUnits) -> str:
    return NONE if value is None else written.usd(value, sign=True)


def judged_line(result: TrialResult) -> str:
    """Count the decisions of the plan that were right; empty where none was judged."""
    if not result.judged:
        return ""
    count = {name: sum(one.judgement == name for one in result.judged) for name in _JUDGED}
    left = count["cannot tell"] + count["not tested"]
    return Said(
        "trial_page.judged", count=len(result.judged), right=count["right"], wrong=count["wrong"], open=left
    ).text


def rule_name(code: str) -> str:
    """Say what a rule of cleaning leaves out.

    Examples
    --------
    >>> rule_name("a_rule_without_words")
    'a rule without words'
    """
    for known in (code, f"cleaning.{code}"):
        if known in SENTENCES:
            return SENTENCES[known]
    return code.rpartition(".")[2].replace("_", " ")


def rule_rows(result: TrialResult) -> list[RuleRow]:
    """Give a row for each rule of cleaning that took a point, in the order in which they were asked."""
    most = max((one.removed for one in result.rules), default=0)
    read = len(result.points.removed_by)
    return [
        RuleRow(
            name=rule_name(one.code),
            removed=points(one.removed),
            percent=share(one.removed, read),
            share=one.removed / most,
        )
        for one in result.rules
        if one.removed
    ]


def idle_rules(result: TrialResult) -> list[str]:
    """Name the rules of cleaning that took no point, in a line; none where each took some."""
    names = "; ".join(rule_name(one.code) for one in result.rules if not one.removed)
    return [Said("trial_page.took_none", names=names).text] if names else []


def cost_rows(result: TrialResult, written: TrialUnits) -> list[tuple[str, str]]:
    """Give the costs of a treated acre, line by line; what is billed by the visit as it is billed."""
    return [
        (
            COST_LINES.get(one.name, one.name),
            written.cost(one.usd_ac)
            if isfinite(one.usd_ac)
            else Said("trial_page.in_all", usd=dollars(one.usd)).text,
        )
        for one in result.costs
        if one.counted
    ]


def own_first(result: TrialResult) -> list[Belief]:
    """Order beliefs: those that this trial tells of come first, and of these where most is expected."""
    own = {one.pressure for one in result.trials if (one.season, one.field) == (result.season, result.folder)}
    return sorted(result.beliefs, key=lambda one: (one.pressure not in own, -one.after_mean_bu_ac))


def pressure_name(one: Belief) -> str:
    """Name the pressure class of a belief."""
    return Said(f"trial_page.pressure_{one.pressure}").text


def belief_rows(one: Belief, written: TrialUnits) -> list[BeliefRow]:
    """Give what was believed, what own trials say, and what is believed now."""
    given = (
        ("before", one.before_mean_bu_ac, one.before_sd_bu_ac, one.chance_before),
        ("data", one.data_mean_bu_ac, one.data_sd_bu_ac, None),
        ("after", one.after_mean_bu_ac, one.after_sd_bu_ac, one.chance_after),
    )
    return [
        BeliefRow(
            kind=kind,
            name=Said(f"trial_page.{kind}").text,
            mean=written.more(mean),
            spread=f"± {written.plain_response(spread)}",
            chance=NONE if above is None else chance(above),
        )
        for kind, mean, spread, above in given
        if isfinite(mean) and isfinite(spread)
    ]


def belief_line(one: Belief, written: TrialUnits) -> str:
    """Say in a line what is believed now."""
    line = Said(
        "trial_page.belief",
        pressure=pressure_name(one),
        after=written.more(one.after_mean_bu_ac),
        before=written.more(one.before_mean_bu_ac),
        unit=written.response_unit,
    ).text
    if one.chance_after is None or one.chance_before is None:
        return line
    return Said(
        "trial_page.belief_pays",
        belief=line,
        after=chance(one.chance_after),
        before=chance(one.chance_before),
    ).text


def beyond_lines(result: TrialResult) -> list[str]:
    """Explain each belief whose mean lies beyond both that it was made of."""
    return [
        Said("trial_page.belief_beyond", pressure=pressure_name(one)).text
        for one in own_first(result)
        if not min(one.before_mean_bu_ac, one.data_mean_bu_ac)
        <= one.after_mean_bu_ac
        <= max(one.before_mean_bu_ac, one.data_mean_bu_ac)
    ]
