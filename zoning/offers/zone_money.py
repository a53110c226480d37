"""The money of one decided zone: every figure a reduction of its own draws at one option."""

from dataclasses import dataclass, replace

import numpy as np

from zoning.offers.by_source import BySource
from zoning.offers.judged import Judged
from zoning.offers.offered import OfferedZone, Options
from zoning.plan import ZoneMoney
from zoning.returns.delay import delay
from zoning.returns.flips import Stand, flips
from zoning.returns.knowing import perfect_information
from zoning.returns.price import price, settle, spray_window
from zoning.returns.steps import build_up, rests_on
from zoning.returns.terms import Priced

_LEAST_USD_AC = 0.005  # what is less than a cent is nothing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reckoned:
    """Money of a zone, and the days around its best one on which the return stays near it."""

    money: ZoneMoney
    from_to: tuple[int, int] | None


def reckoned(
    one: OfferedZone, row: int, there: Judged, sources: BySource, options: Options, *, is_sprayed: bool
) -> Reckoned:
    """Reckon the money of a zone.

    Parameters
    ----------
    one : OfferedZone
    row : int
        Of the zone in the arrays of the options.
    there : Judged
        The zone at its pass, or at the best option it had.
    sources : BySource
        What each response source says of it.
    options : Options
    is_sprayed : bool
        Whether the plan sprays it. Where that is not what the rule says of the zone by itself, no figure of
        the zone alone would turn it.
    """
    returned, terms = there.returned, there.terms
    stand = Stand(returned=returned, case=there.case, terms=terms)
    by_day = _by_day(there, row, options)
    net_by_day = by_day.net_usd_ac[0, :, 0]
    steps = build_up(one.chain, there.case, returned, one.track_entries)
    money = ZoneMoney(
        net_mean_usd_ac=returned.net_mean_usd_ac,
        net_p10_usd_ac=returned.net_p10_usd_ac,
        net_p90_usd_ac=returned.net_p90_usd_ac,
        chance_pays=returned.chance_frac,
        break_even_price_usd_bu=returned.break_even_price_usd_bu,
        break_even_response_bu_ac=returned.break_even_response_bu_ac,
        response_mean_bu_ac=returned.response_mean_bu_ac,
        response_sd_bu_ac=returned.response_sd_bu_ac,
        by_source=sources,
        perfect_information_usd_ac=perfect_information(stand.net_usd_ac),
        toss_up=not is_sprayed and 0 < returned.net_mean_usd_ac <= terms.min_net_usd_ac,
        no_contrast_usd_ac=_no_contrast_usd_ac(one, there),
        steps=steps,
        rests_on_frac=rests_on(steps),
        delay=delay(by_day.days, net_by_day, by_day.passes_rule[0, :, 0], returned.day),
        flips=flips(stand, by_day, one.damage) if returned.worth_it == is_sprayed else (),
    )
    return Reckoned(money=money, from_to=spray_window(net_by_day, by_day.days))


def _by_day(there: Judged, row: int, options: Options) -> Priced:
    """Price the zone alone at its volume, on every day that stands open to it, with the tracks that count."""
    volume = there.returned.volume_gal_ac
    priced = price([there.case], options.priced.days, () if volume is None else (volume,), there.terms)
    return priced.without(np.isnan(options.priced.net_usd_ac[row, :, there.column])[:, np.newaxis])


def _no_contrast_usd_ac(one: OfferedZone, there: Judged) -> float | None:
    """Net return if canopy and wet ground told nothing of the pressure; None where they moved nothing."""
    if one.plain_case is None:
        return None
    plain = replace(one.plain_case, track_loss_bu_ac=there.case.track_loss_bu_ac)
    without = settle(plain, there.returned.day, there.returned.volume_gal_ac, there.terms).net_mean_usd_ac
    return None if abs(without - there.returned.net_mean_usd_ac) < _LEAST_USD_AC else without
