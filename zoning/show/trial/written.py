"""What a trial says in sentences and in four numbers, the same for terminal, page, picture and paper."""

from collections.abc import Iterator
from dataclasses import dataclass

from zoning.plan.trial import TrialResult
from zoning.show.figures import chance, days, full_day, plain
from zoning.show.trial import of_zones
from zoning.show.trial.trial_units import TrialUnits, points, share
from zoning.strips.terms import Money, Response
from zoning.words import Said


@dataclass(frozen=True, slots=True)
class Figure:
    """One of the numbers below the answer."""

    label: str
    shown: str
    unit: str
    below: str


def units_of(result: TrialResult, minus: str = "-") -> TrialUnits:
    """Give the units in which a trial is written."""
    return TrialUnits(metric=result.units == "metric", minus=minus)


def sentence(text: str) -> str:
    """Begin a text as a sentence does.

    Examples
    --------
    >>> sentence("sprayed Jul 21")
    'Sprayed Jul 21'
    """
    return text[:1].upper() + text[1:]


def answer(result: TrialResult, written: TrialUnits) -> str:
    """Say in a line whether the pass paid; zone by zone where zones were told apart and one has an answer.

    Parameters
    ----------
    result : TrialResult
        Any.
    written : TrialUnits
        Of its farm.
    """
    whole = result.response
    if whole is None:
        return Said("trial_page.no_pair").text
    if whole.money is None:
        return _without_money(whole, written)
    if of_each := of_zones.in_a_headline(result, whole.money, written):
        return of_each
    net = whole.money.net_usd_ac(whole.mean_bu_ac)
    if whole.told == "paid":
        return Said("trial_page.paid", net=written.usd(net), area=written.area_one).text
    if whole.told == "did not pay":
        return Said("trial_page.did_not_pay", net=written.usd(abs(net)), area=written.area_one).text
    return Said(
        "trial_page.cannot_tell",
        span=written.span(whole.low_bu_ac, whole.high_bu_ac),
        unit=written.response_unit,
        needed=written.plain_response(whole.money.break_even_bu_ac),
    ).text


def _without_money(whole: Response, written: TrialUnits) -> str:
    code = "trial_page.no_money" if whole.mean_bu_ac >= 0 else "trial_page.no_money_less"
    mean = written.plain_response(abs(whole.mean_bu_ac))
    return Said(code, mean=mean, unit=written.response_unit).text


def strips(result: TrialResult) -> str:
    """Say how many pairs there are, and how many of them count."""
    counted = sum(one.why_not is None for one in result.pairs)
    if counted != len(result.pairs):
        return Said("trial_page.some_pairs", count=counted, all=len(result.pairs)).text
    return Said("trial_page.one_pair").text if counted == 1 else Said("trial_page.pairs", count=counted).text


def below_answer(result: TrialResult, written: TrialUnits) -> list[str]:
    """Say what the answer rests on."""
    return list(_below_answer(result, written))


def _below_answer(result: TrialResult, written: TrialUnits) -> Iterator[str]:
    whole = result.response
    if whole is None:
        return
    code = "trial_page.more" if whole.mean_bu_ac >= 0 else "trial_page.less"
    mean = written.plain_response(abs(whole.mean_bu_ac))
    yield Said(code, strips=strips(result), mean=mean, unit=written.response_unit).text
    span = written.span(whole.low_bu_ac, whole.high_bu_ac)
    yield Said("trial_page.surely", span=span.replace(" to ", " and "), unit=written.response_unit).text
    if whole.pairs_needed is not None:
        yield Said("trial_page.would_tell", pairs=whole.pairs_needed).text
    if whole.from_pooled_sd:
        yield Said("trial_page.of_pooled").text


def in_a_line(result: TrialResult, written: TrialUnits) -> str:
    """Say in one line what strips returned, with the interval; empty where no pair counts."""
    whole = result.response
    if whole is None:
        return ""
    code = "trial_page.more" if whole.mean_bu_ac >= 0 else "trial_page.less"
    mean = written.plain_response(abs(whole.mean_bu_ac))
    more = Said(code, strips=strips(result), mean=mean, unit=written.response_unit).text
    span = written.span(whole.low_bu_ac, whole.high_bu_ac)
    return Said("trial_page.with_span", more=more, span=span).text


def numbers(result: TrialResult, written: TrialUnits) -> list[Figure]:
    """Give the four numbers: with money what it brought, else what was seen."""
    whole = result.response
    kept = int((result.points.removed_by == 0).sum())
    read = len(result.points.removed_by)
    counted = sum(one.why_not is None for one in result.pairs)
    of_pairs = Figure(
        Said("trial_page.n_pairs").text,
        str(counted),
        "",
        Said("trial_page.of", all=len(result.pairs)).text,
    )
    of_points = Figure(
        Said("trial_page.n_points").text,
        points(kept),
        "",
        Said("trial_page.below_kept", all=points(read), percent=share(read - kept, read)).text,
    )
    mean = Figure(
        Said("trial_page.n_yield").text,
        written.plain_response(result.mean_yield_bu_ac),
        written.response_unit,
        Said("trial_page.below_yield").text,
    )
    if whole is None:
        return [of_pairs, mean, of_points]
    span = written.span(whole.low_bu_ac, whole.high_bu_ac)
    response = Figure(
        Said("trial_page.n_response").text,
        written.more(whole.mean_bu_ac),
        written.response_unit,
        Said("trial_page.below_interval", span=span).text,
    )
    if whole.money is None:
        return [response, of_pairs, mean, of_points]
    return [response, *_of_money(result, whole, whole.money, written)]


def _of_money(result: TrialResult, whole: Response, money: Money, written: TrialUnits) -> Iterator[Figure]:
    all_zones = "_all" if of_zones.are_apart(result) else ""
    cost = f"${written.cost(money.cost_usd_ac)}"
    below = {"cost": cost, "area": written.area_one, "price": written.money(money.price_usd_bu)}
    yield Figure(
        Said("trial_page.n_needed").text,
        written.plain_response(money.break_even_bu_ac),
        written.response_unit,
        Said("trial_page.below_needed", bushel=written.bushel, **below).text,
    )
    net = written.usd(money.net_usd_ac(whole.mean_bu_ac), sign=True)
    ends = (money.net_usd_ac(whole.low_bu_ac), money.net_usd_ac(whole.high_bu_ac))
    yield Figure(
        Said(f"trial_page.n_net{all_zones}").text,
        net,
        f"/{written.area_unit}",
        written.usd_span(*ends),
    )
    if whole.chance_pays is not None:
        told = Said("trial_page.one_pair").text
        if whole.pairs > 1:
            told = Said("trial_page.pairs", count=whole.pairs).text
        yield Figure(
            Said(f"trial_page.n_chance{all_zones}").text,
            chance(whole.chance_pays),
            "",
            of_zones.chances(result) or told,
        )


def money_lines(result: TrialResult, written: TrialUnits) -> list[str]:
    """Say what the pass had to bring; nothing where no costs are known."""
    whole = result.response
    if whole is None or whole.money is None:
        return []
    money = whole.money
    lines = [
        Said(
            "trial_page.pays_from",
            needed=written.plain_response(money.break_even_bu_ac),
            unit=written.response_unit,
            cost=f"${written.cost(money.cost_usd_ac)}",
            per_area=written.area_one,
            price=written.money(money.price_usd_bu),
            bushel=written.bushel,
        ).text
    ]
    if written.plain_response(money.tracks_bu_ac) not in ("0", "0.0"):
        tracks = written.plain_response(money.tracks_bu_ac)
        lines.append(Said("trial_page.tracks", tracks=tracks, unit=written.response_unit).text)
    return lines


def net_lines(result: TrialResult, written: TrialUnits) -> list[str]:
    """Say what the pass brought by area; nothing where no costs are known."""
    whole = result.response
    if whole is None or whole.money is None or whole.chance_pays is None:
        return []
    net = whole.money.net_usd_ac
    return [
        Said(
            "trial_page.net_all" if of_zones.are_apart(result) else "trial_page.net",
            net=written.usd(net(whole.mean_bu_ac), sign=True),
            area=written.area_one,
            span=written.usd_span(net(whole.low_bu_ac), net(whole.high_bu_ac)),
            chance=chance(whole.chance_pays),
        ).text
    ]


def when(result: TrialResult) -> str:
    """Say when was harvested, or of which season it is."""
    if not result.harvested:
        return Said("trial_page.season", season=result.season).text
    first, last = result.harvested[0], result.harvested[-1]
    told = full_day(first) if first == last else f"{days(first, last)}, {last.year}"
    return Said("trial_page.harvested", days=told).text


def sprayed_line(result: TrialResult) -> str:
    """Say with what and when was sprayed, as far as is known."""
    on = ", ".join(full_day(one) for one in result.sprayed_on)
    told = [Said("trial_page.sprayed_on", days=on).text] if on else []
    return ", ".join([*told, *([plain(result.product)] if result.product else [])])


def cautions() -> list[str]:
    """Say what a trial does not say."""
    return [Said(f"trial_page.{one}").text for one in ("this_season", "no_label")]
