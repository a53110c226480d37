"""What every option of every zone returns: zone x day x volume, and one of them settled in full.

Both read the same rounded draws, so a figure of the search is the figure of the plan. Visits, bills per field
and the sharing of wheel tracks between zones belong to the passes.
"""

from collections.abc import Hashable, Sequence

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.returns.costs import cost_usd_ac, needed_response_bu_ac
from zoning.returns.factors import volume_frac, yield_frac
from zoning.returns.mixture import split_draws
from zoning.returns.rounded import (
    Shares,
    Steps,
    Sums,
    figures_of,
    in_bushels,
    least_paying_step,
    shares_on,
    steps_of,
    sums_of,
)  # fmt: skip
from zoning.returns.rounded import net_usd_ac as net_usd_ac
from zoning.returns.rounded import sprayed_response as sprayed_response
from zoning.returns.terms import Floats, Priced, Terms, ZoneCase, ZoneReturn

NO_PRICE_PAYS = 9999.0  # method: what stands where no grain price pays
_LOW_QUANTILE, _HIGH_QUANTILE = 0.1, 0.9  # method: the 80 % range that people read

Days = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Option = tuple[float | None, Terms]  # carrier volume, and what holds at it


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
    offered, sums = _all_sums(cases, when, options)
    track_loss_bu_ac = np.array([case.track_loss_bu_ac for case in cases])[:, None]
    figures = [
        figures_of(one, terms, cost_usd_ac(terms, volume), track_loss_bu_ac)
        for one, (volume, terms) in zip(sums, options, strict=True)
    ]
    is_offered = offered[..., None]
    return Priced(
        zones=tuple(case.zone for case in cases),
        days=when,
        volumes_gal_ac=tuple(volumes_gal_ac),
        net_usd_ac=np.where(is_offered, np.stack([one.net_usd_ac for one in figures], axis=-1), np.nan),
        chance_frac=np.where(is_offered, np.stack([one.chance_frac for one in figures], axis=-1), np.nan),
        passes_rule=is_offered & np.stack([one.passes_rule for one in figures], axis=-1),
    )


def _all_sums(cases: Sequence[ZoneCase], days: Days, options: Sequence[Option]) -> tuple[Bools, list[Sums]]:
    """Days that are offered and, for each option, the sums of all zones; arrays of shape (zones, days)."""
    on_days = tuple(days.tolist())
    shape = (len(cases), days.size, len(options))
    offered = np.zeros(shape[:-1], dtype=np.bool_)
    draws = np.ones((len(cases), 1))
    steps, paying, paying_steps = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    least_steps = {
        loss: [least_paying_step(terms, cost_usd_ac(terms, volume), loss) for volume, terms in options]
        for loss in {case.track_loss_bu_ac for case in cases}
    }
    of_alike: dict[Hashable, list[Sums]] = {}
    for row, case in enumerate(cases):
        shares = shares_on(case.curve, case.stage, on_days)
        offered[row] = shares.offered
        draws[row] = case.response_draws_bu_ac.size
        alike = _what_is_summed(case)
        if alike not in of_alike:
            of_alike[alike] = _sums(case, shares, options, least_steps[case.track_loss_bu_ac])
        for column, one in enumerate(of_alike[alike]):
            at = row, slice(None), column
            steps[at], paying[at], paying_steps[at] = one.steps, one.paying, one.paying_steps
    columns = range(len(options))
    return offered, [Sums(draws, steps[..., at], paying[..., at], paying_steps[..., at]) for at in columns]


def _what_is_summed(case: ZoneCase) -> Hashable:
    """Name what the sums of a case rest on: equal for cells that differ only in what moves nothing."""
    return (
        case.mixture,
        id(case.response_draws_bu_ac),  # who asks for the same draws gets the same array
        case.curve,
        case.stage,
        yield_frac(case.expected_yield_bu_ac),
        case.track_loss_bu_ac,
        case.volume_matters,
    )


def _sums(
    case: ZoneCase, shares: Shares, options: Sequence[Option], least_steps: Sequence[float]
) -> list[Sums]:
    """Sum the draws of one zone at each option, which are one where volumes cover and cost alike."""
    split = split_draws(case.mixture, case.response_draws_bu_ac)
    ground_frac = yield_frac(case.expected_yield_bu_ac)
    responses: dict[float, Steps] = {}
    answers: dict[tuple[float, float], Sums] = {}
    found = []
    for (volume, terms), least_step in zip(options, least_steps, strict=True):
        factor = ground_frac * volume_frac(volume, case.volume_matters)
        if factor not in responses:
            responses[factor] = steps_of(split, shares, factor)
        if (factor, least_step) not in answers:
            answers[factor, least_step] = sums_of(responses[factor], least_step, terms.rule)
        found.append(answers[factor, least_step])
    return found


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
    steps = steps_on(case, (day,), volume_gal_ac)
    response = in_bushels(steps)[:, 0]
    cost = cost_usd_ac(terms, volume_gal_ac)
    least_step = least_paying_step(terms, cost, case.track_loss_bu_ac)
    figures = figures_of(sums_of(steps, least_step, terms.rule), terms, cost, case.track_loss_bu_ac)
    expected_bu_ac = float(figures.response_bu_ac[0])
    net = net_usd_ac(response, terms, cost, case.track_loss_bu_ac)
    low, high = range_of(net)
    return ZoneReturn(
        zone=case.zone,
        day=day,
        volume_gal_ac=volume_gal_ac,
        response_bu_ac=response,
        response_mean_bu_ac=expected_bu_ac,
        response_sd_bu_ac=float(response.std()),
        net_mean_usd_ac=float(figures.net_usd_ac[0]),
        net_p10_usd_ac=low,
        net_p90_usd_ac=high,
        chance_frac=float(figures.chance_frac[0]),
        break_even_response_bu_ac=needed_response_bu_ac(terms, cost, case.track_loss_bu_ac),
        break_even_price_usd_bu=break_even_price_usd_bu(terms, cost, expected_bu_ac - case.track_loss_bu_ac),
        worth_it=bool(figures.passes_rule[0]),
    )


def steps_on(case: ZoneCase, days: Sequence[int], volume_gal_ac: float | None) -> Steps:
    """Response of a zone on some days at one volume, in whole steps of 1/20 bu/ac, shape (days, draws).

    Parameters
    ----------
    case : ZoneCase
        The zone.
    days : sequence of int
        Days of spraying. [day number]
    volume_gal_ac : float or None
        Carrier volume, None where there is no sprayer. [gal/ac]
    """
    shares = shares_on(case.curve, case.stage, tuple(days))
    factor = yield_frac(case.expected_yield_bu_ac) * volume_frac(volume_gal_ac, case.volume_matters)
    return steps_of(split_draws(case.mixture, case.response_draws_bu_ac), shares, factor)


def range_of(net: Floats) -> tuple[float, float]:
    """Give the 80 % range that people read: the 10 and 90 % quantiles of what the draws return.

    Examples
    --------
    >>> range_of(np.arange(11.0))
    (1.0, 9.0)
    """
    low, high = np.quantile(net, [_LOW_QUANTILE, _HIGH_QUANTILE])
    return float(low), float(high)


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
