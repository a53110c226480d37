"""Where no pass pays: the one that comes nearest to it, and what would have to be true for a pass to pay.

A pass pays where it brings more than `min_net` for each of its acres, visit and wheel tracks paid, and the
rule wants every zone in it. It is looked for among passes of one day.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from zoning.evidence import number
from zoning.offers.judged import Option
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.driven import driven, on_swaths_ac
from zoning.passes.problem import Visit
from zoning.passes.visits import visit_costs_usd
from zoning.returns.costs import cost_usd_ac
from zoning.returns.flips import Stand, turning_price_usd_bu, turning_severity_pct, under_severity
from zoning.returns.price import price, settle
from zoning.returns.rule import margin_usd_ac
from zoning.returns.terms import Flip, Floats, Terms, ZoneCase


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearest:
    """The pass that comes nearest to paying, and what would make a pass pay on its day."""

    visit: Visit
    flips: tuple[Flip, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Field:
    zones: Sequence[OfferedZone]
    options: Options
    option: Option
    column: int

    @property
    def terms(self) -> Terms:
        return self.options.terms[self.column]

    def stand(self, case: ZoneCase) -> Stand:
        """Settle a zone by itself, with all of its own tracks."""
        return Stand(returned=settle(case, *self.option, self.terms), case=case, terms=self.terms)

    def by_itself(self, one: Stand) -> Stand:
        """Give what the rule first asks of: under "expected" its tracks are for the whole pass to pay."""
        if self.terms.rule != "expected":
            return one
        return replace(one, case=replace(one.case, track_loss_bu_ac=0.0))

    def gained_bu(self, stands: Sequence[Stand]) -> float:
        """Bushels that a pass over these zones gains, its wheel tracks taken off."""
        grown = sum(one.case.area_ac * one.returned.response_mean_bu_ac for one in stands)
        if not any(one.case.track_loss_bu_ac for one in stands):
            return grown
        return grown - tracks_bu(self.zones, self.options, [one.case.zone for one in stands])

    def due_usd(self, stands: Sequence[Stand]) -> float:
        """Say what a pass over these zones must bring before it is worth it."""
        acres = sum(one.case.area_ac for one in stands)
        visit_usd = float(visit_costs_usd(self.options.problem, np.array([acres]))[0])
        return visit_usd + sum(
            one.case.area_ac * (one.cost_usd_ac + self.terms.min_net_usd_ac) for one in stands
        )


def nearest_pass(zones: Sequence[OfferedZone], options: Options) -> Nearest | None:
    """Find the pass that would pay from the lowest grain price.

    Parameters
    ----------
    zones : sequence of OfferedZone
        With their cases.
    options : Options
        What they may choose from.

    Returns
    -------
    Nearest or None
        None where no day is left. Where no price would make a pass pay, the one that needs the least gain.
    """
    at = _nearest_option(zones, options)
    if at is None:
        return None
    day, column = at
    volumes = options.priced.volumes_gal_ac
    option = (int(options.priced.days[day]), volumes[column] if volumes else None)
    field = _Field(zones=zones, options=options, option=option, column=column)
    is_open = np.isfinite(options.priced.net_usd_ac[:, day, column])
    cases = [one.case for one, is_in in zip(zones, is_open, strict=True) if is_in and one.case is not None]
    stands = [field.stand(case) for case in cases]
    by_price = _least_price(field, stands)
    by_gain = _least_gain(field, stands)
    flips = [Flip(name="price", value=by_price[0])] if by_price else []
    if field.terms.price_usd_bu > 0:
        flips += _by_gain(field, by_gain)
        flips += _by_tracks(field, stands)
        flips += _by_severity(field, cases)
    return Nearest(visit=_visit(field, (by_price or by_gain)[1]), flips=tuple(flips))


def tracks_bu(zones: Sequence[OfferedZone], options: Options, sprayed: Collection[int]) -> float:
    """Give the bushels pressed down where some zones are sprayed: each driven swath once."""
    loss_bu_ac = np.array([one.case.track_loss_bu_ac if one.case else 0.0 for one in zones])
    if not loss_bu_ac.any():
        return 0.0
    wanted = np.array([one.zone in sprayed for one in zones], dtype=np.bool_)
    swaths = driven(options.problem, wanted[np.newaxis])[0]
    return float(swaths @ (on_swaths_ac(options.problem) @ loss_bu_ac))


def bid_usd_bu(share_usd_bu: float, terms: Terms) -> float:
    """Bid at the elevator that leaves the grower so much for a bushel [USD/bu]."""
    return share_usd_bu / terms.share_of_grain_frac + terms.haul_usd_bu


def _gain_bu_ac(zones: Sequence[OfferedZone], options: Options, column: int) -> Floats:
    """Give the expected response less own wheel tracks, shape (zones, days); NaN where the day is closed."""
    net, terms = options.priced.net_usd_ac[:, :, column], options.terms[column]
    volumes = options.priced.volumes_gal_ac
    volume = volumes[column] if volumes else None
    if terms.price_usd_bu > 0:
        return np.asarray((net + cost_usd_ac(terms, volume)) / terms.price_usd_bu)
    cases = [one.case for one in zones if one.case is not None]
    worth_one = replace(terms, price_usd_bu=1.0)
    priced = price(cases, options.priced.days, () if volume is None else (volume,), worth_one)
    gain = priced.net_usd_ac[:, :, 0] + cost_usd_ac(terms, volume)
    return np.where(np.isnan(net), np.nan, gain)


def _nearest_option(zones: Sequence[OfferedZone], options: Options) -> tuple[int, int] | None:
    """Find day and volume of the pass that would pay from the lowest price, by the mean of each zone."""
    best: tuple[float, float, int, int] | None = None
    volumes = options.priced.volumes_gal_ac or (None,)
    area_ac = options.problem.area_ac
    for column, volume in enumerate(volumes):
        terms = options.terms[column]
        due_usd_ac = cost_usd_ac(terms, volume) + terms.min_net_usd_ac
        gain_of_day = _gain_bu_ac(zones, options, column)
        for day in np.flatnonzero(np.isfinite(gain_of_day).any(axis=0)).tolist():
            gain = np.nan_to_num(gain_of_day[:, day], nan=-np.inf)
            rows = np.argsort(-gain, kind="stable")
            rows = rows[gain[rows] > number("returns.least_response_bu_ac")]
            lowest = np.inf
            if (
                rows.size
            ):  # with every further zone the pass is larger and its worst zone needs a higher price
                acres, gained_bu = np.cumsum(area_ac[rows]), np.cumsum(area_ac[rows] * gain[rows])
                of_pass = (visit_costs_usd(options.problem, acres) + due_usd_ac * acres) / gained_bu
                lowest = float(np.maximum(of_pass, due_usd_ac / gain[rows]).min())
            found = (lowest, -float(gain.max()), day, column)
            best = found if best is None or found < best else best
    return None if best is None else (best[2], best[3])


_Turn = tuple[float, tuple[Stand, ...]]


def _least(
    stands: Sequence[Stand],
    of_zone: Callable[[Stand], float | None],
    of_pass: Callable[[Sequence[Stand]], float | None],
) -> _Turn | None:
    """Find the least of something that brings a first pass, with its zones.

    As it grows, zones come in one by one; the pass is made once all that are in it pay for it together.
    """
    asked = [(need, one) for one in stands if (need := of_zone(one)) is not None]
    asked.sort(key=lambda pair: pair[0])
    best: _Turn | None = None
    for count in range(1, len(asked) + 1):
        taken = tuple(one for _, one in asked[:count])
        together = of_pass(taken)
        if together is None:
            continue
        need = max(asked[count - 1][0], together)
        if best is None or need < best[0]:
            best = need, taken
    return best


def _least_price(field: _Field, stands: Sequence[Stand]) -> _Turn | None:
    def of_pass(taken: Sequence[Stand]) -> float | None:
        gained_bu = field.gained_bu(taken)
        return bid_usd_bu(field.due_usd(taken) / gained_bu, field.terms) if gained_bu > 0 else None

    return _least(stands, lambda one: turning_price_usd_bu(field.by_itself(one)), of_pass)


def _least_gain(field: _Field, stands: Sequence[Stand]) -> _Turn:
    """Find what every acre would have to gain, in USD/ac; below 0 where a pass pays as it is."""

    def of_zone(one: Stand) -> float:
        return -margin_usd_ac(field.by_itself(one).net_usd_ac, field.terms)

    def of_pass(taken: Sequence[Stand]) -> float:
        missing_usd = field.due_usd(taken) - field.terms.price_usd_bu * field.gained_bu(taken)
        return missing_usd / sum(one.case.area_ac for one in taken)

    found = _least(stands, of_zone, of_pass)
    if found is None:
        raise ValueError("no zone stands open on the day of the nearest pass")
    return found


def _by_gain(field: _Field, by_gain: _Turn) -> list[Flip]:
    need_usd_ac, taken = by_gain
    acres = sum(one.case.area_ac for one in taken)
    expected_bu_ac = sum(one.case.area_ac * one.returned.response_mean_bu_ac for one in taken) / acres
    needed = Flip(name="response", value=expected_bu_ac + need_usd_ac / field.terms.price_usd_bu)
    cost = taken[0].cost_usd_ac - need_usd_ac
    return [Flip(name="cost", value=cost), needed] if cost > 0 else [needed]


def _by_tracks(field: _Field, stands: Sequence[Stand]) -> list[Flip]:
    loss_bu_ac = [one.case.track_loss_bu_ac for one in stands]
    if not any(loss_bu_ac):
        return []
    without = [field.stand(replace(one.case, track_loss_bu_ac=0.0)) for one in stands]
    need_usd_ac, taken = _least_gain(field, without)
    if need_usd_ac >= 0:
        return []
    zones = {one.case.zone for one in taken}
    mine = [one.case for one in stands if one.case.zone in zones]
    lost_bu = sum(case.area_ac * case.track_loss_bu_ac for case in mine)
    return [Flip(name="tracks", value=lost_bu / sum(case.area_ac for case in mine))]


def _by_severity(field: _Field, cases: Sequence[ZoneCase]) -> list[Flip]:
    """Find the severity near R6 from which a pass would pay, the same in every zone that it could harm."""
    damage_of = {one.zone: one.damage for one in field.zones}
    harmed = [(case, damage) for case in cases if (damage := damage_of[case.zone]) is not None]
    if not harmed:
        return []

    def pays(severity_pct: float) -> bool:
        stands = [field.stand(under_severity(case, severity_pct, damage)) for case, damage in harmed]
        return _least_gain(field, stands)[0] < 0

    value = turning_severity_pct(pays)
    return [] if value is None else [Flip(name="severity", value=value)]


def _visit(field: _Field, taken: Sequence[Stand]) -> Visit:
    zones = {one.case.zone for one in taken}
    acres = sum(one.case.area_ac for one in taken)
    return Visit(
        number=1,
        sprayer=field.options.machine.name,
        day=field.option[0],
        last_day=field.option[0],
        half="AM",
        volume_gal_ac=field.options.problem.volumes_gal_ac[field.column],
        zones=tuple(one.zone for one in field.zones if one.zone in zones),
        area_ac=acres,
        loads=0,
        visit_costs_usd=float(visit_costs_usd(field.options.problem, np.array([acres]))[0]),
    )
