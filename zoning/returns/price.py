"""What every option of every zone returns: zone x day x volume, and one of them settled in full.

Both read the same rounded draws, so a figure of the search is the figure of the plan. Visits, bills per field
and the sharing of wheel tracks between zones belong to the passes.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.returns.costs import cost_usd_ac, needed_response_bu_ac
from zoning.returns.curve import Effect, effect
from zoning.returns.factors import volume_frac, yield_frac
from zoning.returns.mixture import split_draws
from zoning.returns.rule import chance, passes
from zoning.returns.terms import Floats, Priced, Terms, ZoneCase, ZoneReturn

NO_PRICE_PAYS = 9999.0  # method: what stands where no grain price pays
_STEPS_PER_BU = 20  # method: draws are rounded to 1/20 bu/ac, so that everyone computes with the same numbers
_LOW_QUANTILE, _HIGH_QUANTILE = 0.1, 0.9  # method: the 80 % range that people read

_Split = tuple[Floats, Floats]


def sprayed_response(split: _Split, stage: Effect, factor: float) -> Floats:
    """Response after stage and factors, rounded to 0.05 bu/ac; shape (draws, days) [bu/ac].

    Parameters
    ----------
    split : (low, responding)
        From `mixture.split_draws`, each of shape (draws,). [bu/ac]
    stage : Effect
        Shares left, shape (draws, days).
    factor : float
        Share left by carrier volume and poor ground. [1]
    """
    low, responding = split
    response = low[:, None] * stage.low_frac
    response += responding[:, None] * stage.responding_frac
    response *= factor * _STEPS_PER_BU
    np.rint(response, out=response)
    response /= _STEPS_PER_BU
    return response


def net_usd_ac(response_bu_ac: Floats, terms: Terms, cost_usd_ac: float, track_loss_bu_ac: float) -> Floats:
    """Net return of a sprayed acre, same shape as the response [USD/ac]."""
    return terms.price_usd_bu * (response_bu_ac - track_loss_bu_ac) - cost_usd_ac


def price(
    cases: Sequence[ZoneCase],
    days: npt.ArrayLike,
    volumes_gal_ac: Sequence[float],
    terms: Terms | Sequence[Terms],
) -> Priced:
    """Price every option of every zone.

    Parameters
    ----------
    cases : sequence of ZoneCase
        The zones; those that share a `StageDraws` object share its work.
    days : array of int, shape (days,)
        Days of spraying. [day number]
    volumes_gal_ac : sequence of float
        Carrier volumes; empty where there is no sprayer, then the arrays have one column. [gal/ac]
    terms : Terms, or a sequence of them
        Prices, avoidable costs, rule; one for each volume where an own machine costs more at some of them.

    Returns
    -------
    Priced
        Arrays (zones, days, volumes); NaN on days on which more than half of the draws are outside R1-R6.

    Raises
    ------
    ValueError
        When there are not as many terms as volumes.
    """
    when = np.asarray(days, dtype=np.int64)
    volumes: tuple[float | None, ...] = tuple(volumes_gal_ac) or (None,)
    of_volume = (terms,) * len(volumes) if isinstance(terms, Terms) else tuple(terms)
    options = tuple(zip(volumes, of_volume, strict=True))
    shape = (len(cases), when.size, len(volumes))
    mean, share, rule = np.full(shape, np.nan), np.full(shape, np.nan), np.zeros(shape, dtype=np.bool_)
    stages: dict[tuple[int, str], Effect] = {}
    for row, case in enumerate(cases):
        key = (id(case.stage), case.curve)
        if key not in stages:
            stages[key] = effect(case.curve, case.stage.begin_day, when)
        mean[row], share[row], rule[row] = _price_zone(case, stages[key], options)
    return Priced(
        zones=tuple(case.zone for case in cases),
        days=when,
        volumes_gal_ac=tuple(volumes_gal_ac),
        net_usd_ac=mean,
        chance_frac=share,
        passes_rule=rule,
    )


def _price_zone(
    case: ZoneCase, stage: Effect, options: Sequence[tuple[float | None, Terms]]
) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]:
    split = split_draws(case.mixture, case.response_draws_bu_ac)
    offered = np.count_nonzero(stage.supported, axis=0) * 2 >= stage.supported.shape[0]
    ground = yield_frac(case.expected_yield_bu_ac)
    answers: dict[tuple[float, float, Terms], tuple[Floats, Floats, npt.NDArray[np.bool_]]] = {}
    columns = []
    for volume, terms in options:
        # volumes that cost the same and cover alike have one answer
        option = (ground * volume_frac(volume, case.volume_matters), cost_usd_ac(terms, volume), terms)
        if option not in answers:
            response = sprayed_response(split, stage, option[0])
            net = net_usd_ac(response, terms, option[1], case.track_loss_bu_ac)
            answers[option] = (
                np.where(offered, net.mean(axis=0), np.nan),
                np.where(offered, chance(net), np.nan),
                passes(net, terms) & offered,
            )
        columns.append(answers[option])
    means, chances, rules = zip(*columns, strict=True)
    return np.stack(means, axis=1), np.stack(chances, axis=1), np.stack(rules, axis=1)


def settle(case: ZoneCase, day: int, volume_gal_ac: float | None, terms: Terms) -> ZoneReturn:
    """Say in full what one zone returns if it is sprayed on one day at one volume.

    Parameters
    ----------
    case : ZoneCase
        The zone.
    day : int
        Day of spraying. [day number]
    volume_gal_ac : float or None
        Carrier volume, None where there is no sprayer. [gal/ac]
    terms : Terms
        Prices, avoidable costs, rule.

    Returns
    -------
    ZoneReturn
        Own wheel tracks included. The break-even price is the bid at the elevator, before haul and share.
    """
    stage = effect(case.curve, case.stage.begin_day, [day])
    factor = yield_frac(case.expected_yield_bu_ac) * volume_frac(volume_gal_ac, case.volume_matters)
    split = split_draws(case.mixture, case.response_draws_bu_ac)
    response = sprayed_response(split, stage, factor)[:, 0]
    cost = cost_usd_ac(terms, volume_gal_ac)
    net = net_usd_ac(response, terms, cost, case.track_loss_bu_ac)
    low, high = np.quantile(net, [_LOW_QUANTILE, _HIGH_QUANTILE])
    return ZoneReturn(
        zone=case.zone,
        day=day,
        volume_gal_ac=volume_gal_ac,
        response_bu_ac=response,
        response_mean_bu_ac=float(response.mean()),
        response_sd_bu_ac=float(response.std()),
        net_mean_usd_ac=float(net.mean()),
        net_p10_usd_ac=float(low),
        net_p90_usd_ac=float(high),
        chance_frac=float(chance(net)),
        break_even_response_bu_ac=needed_response_bu_ac(terms, cost, case.track_loss_bu_ac),
        break_even_price_usd_bu=break_even_price_usd_bu(
            terms, cost, float(response.mean()) - case.track_loss_bu_ac
        ),
        worth_it=bool(passes(net, terms)),
    )


def break_even_price_usd_bu(terms: Terms, cost_usd_ac: float, expected_bu_ac: float) -> float:
    """Bid at the elevator at which the mean net return is 0; 9999 where no price pays [USD/bu].

    Parameters
    ----------
    terms : Terms
        For haul and the grower's share of the grain.
    cost_usd_ac : float
        Avoidable cost of a treated acre. [USD/ac]
    expected_bu_ac : float
        Expected response less wheel tracks. [bu/ac]
    """
    if expected_bu_ac <= number("returns.least_response_bu_ac"):
        return NO_PRICE_PAYS
    bid_usd_bu = cost_usd_ac / (terms.share_of_grain_frac * expected_bu_ac) + terms.haul_usd_bu
    return min(bid_usd_bu, NO_PRICE_PAYS)


def spray_window(net_by_day: Floats, days: npt.ArrayLike) -> tuple[int, int] | None:
    """Spray from and spray by: the run of days around the best one that keep 90 % of its net return.

    Parameters
    ----------
    net_by_day : array, shape (days,)
        Expected net return of a zone; NaN where not supported. [USD/ac]
    days : array of int, shape (days,)
        Rising day numbers.

    Returns
    -------
    (first day, last day) or None
        None where no day pays.

    Examples
    --------
    >>> spray_window(np.array([-3.0, 9.5, 10.0, 9.1, 8.0]), [1, 2, 3, 4, 5])
    (2, 4)
    """
    when = np.asarray(days, dtype=np.int64)
    net = np.nan_to_num(np.asarray(net_by_day, dtype=np.float64), nan=-np.inf)
    if net.size == 0 or net.max() <= 0:
        return None
    best = int(net.argmax())
    poor = np.flatnonzero(net < number("returns.spray_window_frac") * net[best])
    first = int(poor[poor < best].max(initial=-1)) + 1
    last = int(poor[poor > best].min(initial=net.size)) - 1
    return int(when[first]), int(when[last])


def best_option(priced: Priced, row: int) -> tuple[int, float | None] | None:
    """Day and volume with the highest expected net return of one zone; None where no day is supported.

    Parameters
    ----------
    priced : Priced
        All options.
    row : int
        Index into `priced.zones`.

    Returns
    -------
    (day, volume) or None
        The first of equals; the volume is None where there is no sprayer. [day number, gal/ac]
    """
    net = priced.net_usd_ac[row]
    if np.all(np.isnan(net)):
        return None
    day, volume = np.unravel_index(int(np.nanargmax(net)), net.shape)
    chosen = priced.volumes_gal_ac[int(volume)] if priced.volumes_gal_ac else None
    return int(priced.days[int(day)]), chosen
