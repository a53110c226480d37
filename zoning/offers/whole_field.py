"""The money of a field as a whole: its passes together, or the pass that comes nearest to paying.

Zones are added up in each draw, so that those that win and lose in the same seasons do so here too.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from zoning.evidence import number
from zoning.offers.nearest_pass import bid_usd_bu, nearest_pass, tracks_bu
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import Chosen, Visit
from zoning.plan import NO_PRICE_PAYS
from zoning.returns.costs import cost_usd_ac
from zoning.returns.flips import Stand, turning_price_usd_bu
from zoning.returns.knowing import perfect_information
from zoning.returns.price import range_of, settle
from zoning.returns.rule import chance, margin_usd_ac
from zoning.returns.terms import Flip, Floats, Terms


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WholeField:
    """What the passes of a field return together; where there is none, what the nearest pass would.

    `zones` are those that it sprays, `net_mean_usd` is what it returns on average; `nearest` is the pass that
    comes nearest, None where there are passes or no day is left.
    """

    zones: tuple[int, ...]
    net_mean_usd: float
    net_p10_usd: float
    net_p90_usd: float
    chance_pays: float
    break_even_price_usd_bu: float
    perfect_information_usd: float
    flips: tuple[Flip, ...]
    net_usd: Floats | None = None  # in each draw
    nearest: Visit | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sums:
    """Bushels gained in each draw, wheel tracks taken off, and what the passes cost."""

    bushels: Floats
    tracks_bu: float
    treated_usd: float  # by the treated acre
    visits_usd: float
    acres: float
    terms: Terms

    @property
    def net_usd(self) -> Floats:
        return np.asarray(self.terms.price_usd_bu * self.bushels - self.treated_usd - self.visits_usd)


_NOTHING = WholeField(
    zones=(),
    net_mean_usd=0.0,
    net_p10_usd=0.0,
    net_p90_usd=0.0,
    chance_pays=0.0,
    break_even_price_usd_bu=NO_PRICE_PAYS,
    perfect_information_usd=0.0,
    flips=(),
)


def whole_field(zones: Sequence[OfferedZone], options: Options, chosen: Chosen) -> WholeField:
    """Add up what the passes of a field return in each season.

    Parameters
    ----------
    zones : sequence of OfferedZone
        With their cases.
    options : Options
        What the passes were chosen from.
    chosen : Chosen
        The passes. The mean of what they return is `chosen.value_usd`.

    Returns
    -------
    WholeField
        Where nothing is sprayed, that of the pass that comes nearest to paying; of no zones where no day is
        left. Its flips then name what would bring a first pass, else what would leave the passes as they are
        with no more than `min_net`.
    """
    if chosen.visits:
        sums = _sums(zones, options, chosen.visits)
        return _whole(sums, chosen.visits, _flips(sums, _wanted(zones, options, chosen.visits)))
    nearest = nearest_pass(zones, options)
    if nearest is None:
        return _NOTHING
    found = _whole(_sums(zones, options, (nearest.visit,)), (nearest.visit,), nearest.flips)
    return replace(found, nearest=nearest.visit)


def _sums(zones: Sequence[OfferedZone], options: Options, visits: Sequence[Visit]) -> _Sums:
    case_of = {one.zone: one.case for one in zones if one.case is not None}
    bushels: Floats = np.zeros(1)
    treated_usd = 0.0
    for visit in visits:
        column = options.problem.volumes_gal_ac.index(visit.volume_gal_ac)
        volume = visit.volume_gal_ac if options.priced.volumes_gal_ac else None
        terms = options.terms[column]
        days = range(visit.day, visit.last_day + 1)
        for number_of_zone in visit.zones:
            case = replace(case_of[number_of_zone], track_loss_bu_ac=0.0)
            of_days = [settle(case, day, volume, terms).response_bu_ac for day in days]
            bushels = bushels + case.area_ac * np.mean(of_days, axis=0)
            treated_usd += case.area_ac * cost_usd_ac(terms, volume)
    sprayed = [zone for visit in visits for zone in visit.zones]
    driven_bu = tracks_bu(zones, options, sprayed)
    return _Sums(
        bushels=bushels - driven_bu,
        tracks_bu=driven_bu,
        treated_usd=treated_usd,
        visits_usd=sum(visit.visit_costs_usd for visit in visits),
        acres=sum(case_of[zone].area_ac for zone in sprayed),
        terms=options.terms[0],
    )


def _whole(sums: _Sums, visits: Sequence[Visit], flips: tuple[Flip, ...]) -> WholeField:
    net = sums.net_usd
    low, high = range_of(net)
    return WholeField(
        zones=tuple(zone for visit in visits for zone in visit.zones),
        net_mean_usd=float(net.mean()),
        net_p10_usd=low,
        net_p90_usd=high,
        chance_pays=float(chance(net)),
        break_even_price_usd_bu=_break_even(sums),
        perfect_information_usd=perfect_information(net),
        flips=flips,
        net_usd=net,
    )


def _break_even(sums: _Sums) -> float:
    gained_bu = float(sums.bushels.mean())
    if gained_bu <= number("returns.least_response_bu_ac") * sums.acres:
        return NO_PRICE_PAYS
    bid = float(bid_usd_bu((sums.treated_usd + sums.visits_usd) / gained_bu, sums.terms))
    return min(bid, NO_PRICE_PAYS)


def _wanted(zones: Sequence[OfferedZone], options: Options, visits: Sequence[Visit]) -> tuple[Stand, ...]:
    """Give the zones of the passes, each on the first day of its pass, that the rule wants by themselves."""
    case_of = {one.zone: one.case for one in zones if one.case is not None}
    stands = []
    for visit in visits:
        terms = options.terms[options.problem.volumes_gal_ac.index(visit.volume_gal_ac)]
        volume = visit.volume_gal_ac if options.priced.volumes_gal_ac else None
        for case in (case_of[zone] for zone in visit.zones):
            stands.append(Stand(returned=settle(case, visit.day, volume, terms), case=case, terms=terms))
    return tuple(one for one in stands if one.returned.worth_it)


def _flips(sums: _Sums, wanted: Sequence[Stand]) -> tuple[Flip, ...]:
    """Say what would leave the passes, as they are, with no more than the least that they must bring.

    Under a rule that weighs the spread the last zone may be lost before that: then that is what is said.
    """
    terms, gained_bu = sums.terms, float(sums.bushels.mean())
    least_usd = terms.min_net_usd_ac * sums.acres
    beyond_usd_ac = (float(sums.net_usd.mean()) - least_usd) / sums.acres
    if beyond_usd_ac <= 0 or terms.price_usd_bu <= 0 or gained_bu <= 0:
        return ()
    price = float(bid_usd_bu((sums.treated_usd + sums.visits_usd + least_usd) / gained_bu, terms))
    if terms.rule != "expected" and wanted:
        price = max(price, min(turning_price_usd_bu(one) or 0.0 for one in wanted))
        beyond_usd_ac = min(beyond_usd_ac, max(margin_usd_ac(one.net_usd_ac, one.terms) for one in wanted))
    response_bu_ac = (gained_bu + sums.tracks_bu) / sums.acres - beyond_usd_ac / terms.price_usd_bu
    found = (
        Flip(name="price", value=price),
        Flip(name="cost", value=sums.treated_usd / sums.acres + beyond_usd_ac),
        Flip(name="response", value=response_bu_ac),
    )
    return found if price > 0 else found[1:]  # what costs nothing pays at every price
