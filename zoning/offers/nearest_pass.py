"""Where no pass pays: the one that comes nearest to it, and what would have to be true for a pass to pay.

A pass pays where it brings more than `min_net` for each of its acres, visit and wheel tracks paid, and the
rule wants every zone in it. It is looked for among passes of one day.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.offers.judged import Option
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.driven import driven, on_swaths_ac
from zoning.passes.problem import FieldProblem, Visit
from zoning.passes.schedule.visits import MOST_TRIED, visit_costs_usd
from zoning.returns.costs import cost_usd_ac
from zoning.returns.flips import Stand, turning_price_usd_bu, turning_severity_pct, under_severity
from zoning.returns.price import price, settle
from zoning.returns.rule import margin_usd_ac
from zoning.returns.terms import Flip, Floats, Terms, ZoneCase

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]
_Stands = Sequence[Stand | None]
_Turn = tuple[float, Bools]  # how much of something, and the zones that it brings into a pass


_SIZES = 24  # method: sets that are tried in a field of many zones
_TINY_USD_AC = 1e-6  # method: rounding of floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearest:
    """The pass that comes nearest to paying, and what would make a pass pay on its day."""

    visit: Visit
    flips: tuple[Flip, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Field:
    """A field and one of its options; stands are None for zones that are closed there."""

    zones: Sequence[OfferedZone]
    options: Options
    option: Option
    column: int
    has_tracks: bool = True  # False: as if the wheel tracks were there already

    @property
    def terms(self) -> Terms:
        return self.options.terms[self.column]

    @property
    def cases(self) -> tuple[ZoneCase | None, ...]:
        """Give the cases of the zones that stand open."""
        day = int(np.searchsorted(self.options.priced.days, self.option[0]))
        is_open = np.isfinite(self.options.priced.net_usd_ac[:, day, self.column])
        return tuple(one.case if is_in else None for one, is_in in zip(self.zones, is_open, strict=True))

    def stands(self, cases: Sequence[ZoneCase | None]) -> _Stands:
        """Settle each zone by itself, with all of its own tracks."""
        return tuple(self._stand(case) if case is not None else None for case in cases)

    def _stand(self, case: ZoneCase) -> Stand:
        return Stand(returned=settle(case, *self.option, self.terms), case=case, terms=self.terms)

    def by_itself(self, one: Stand) -> Stand:
        """Give what the rule first asks of: under "expected" its tracks are for the whole pass to pay."""
        if self.terms.rule != "expected":
            return one
        return replace(one, case=replace(one.case, track_loss_bu_ac=0.0))

    def gained_bu(self, stands: _Stands, sets: Bools) -> Floats:
        """Bushels that a pass over each set of zones gains, its wheel tracks taken off."""
        grown = [one.case.area_ac * one.returned.response_mean_bu_ac if one else 0.0 for one in stands]
        # closed zones are driven over too, with the boom off, where they share a swath
        loss_bu_ac = _loss_bu_ac(self.zones) if self.has_tracks else np.zeros(len(self.zones))
        return np.asarray(sets @ np.array(grown) - _tracks_bu(self.options, loss_bu_ac, sets))


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

    Notes
    -----
    The day is that of the lowest price by the means of the zones; the rule's part about the spread comes in
    on that day. All sets of up to 12 zones are tried; with more, zones come in one by one, the best first.
    """
    at = _nearest_option(zones, options)
    if at is None:
        return None
    day, column = at
    volumes = options.priced.volumes_gal_ac
    option = (int(options.priced.days[day]), volumes[column] if volumes else None)
    field = _Field(zones=zones, options=options, option=option, column=column)
    stands = field.stands(field.cases)
    by_price = _least_price(field, stands)
    by_gain = _least_gain(field, stands)
    # a pass that pays as it is cannot be made, as where it takes too long: none of these figures turns that
    is_barred = field.terms.price_usd_bu > 0 and by_gain[0] < -_TINY_USD_AC
    flips = [Flip(name="price", value=by_price[0])] if np.isfinite(by_price[0]) and not is_barred else []
    if field.terms.price_usd_bu > 0 and not is_barred:
        flips += _by_gain(field, stands, by_gain)
        flips += _by_tracks(field)
        flips += _by_severity(field)
    return Nearest(
        visit=_visit(field, (by_price if np.isfinite(by_price[0]) else by_gain)[1]), flips=tuple(flips)
    )


def tracks_bu(zones: Sequence[OfferedZone], options: Options, sprayed: Collection[int]) -> float:
    """Give the bushels pressed down where some zones are sprayed: each driven swath once."""
    loss_bu_ac = _loss_bu_ac(zones)
    wanted = np.array([one.zone in sprayed for one in zones], dtype=np.bool_)
    return float(_tracks_bu(options, loss_bu_ac, wanted[np.newaxis])[0])


def _loss_bu_ac(zones: Sequence[OfferedZone]) -> Floats:
    return np.array([one.case.track_loss_bu_ac if one.case else 0.0 for one in zones])


def _tracks_bu(options: Options, loss_bu_ac: Floats, sets: Bools) -> Floats:
    if not loss_bu_ac.any():
        return np.zeros(len(sets))
    return np.asarray(driven(options.problem, sets) @ (on_swaths_ac(options.problem) @ loss_bu_ac))


def bid_usd_bu(share_usd_bu: npt.ArrayLike, terms: Terms) -> Floats:
    """Bid at the elevator that leaves the grower so much for a bushel, same shape [USD/bu]."""
    return np.asarray(np.asarray(share_usd_bu) / terms.share_of_grain_frac + terms.haul_usd_bu)


def _sets(order: Ints) -> Bools:
    """Give the sets of zones that are tried, the fullest first: all of them, or some that begin the order."""
    count = order.size
    if count <= MOST_TRIED:
        picks = np.arange(1, 2**count)
        sets = (picks[:, np.newaxis] >> np.arange(count)) & 1 == 1
        return np.asarray(sets[np.argsort(-sets.sum(axis=1), kind="stable")])
    sizes = np.unique(np.geomspace(1, count, _SIZES).astype(np.int64))[::-1]
    sets = np.zeros((sizes.size, count), dtype=np.bool_)
    for row, size in enumerate(sizes):
        sets[row, order[:size]] = True
    return sets


def _hurdle_usd_ac(options: Options, column: int) -> float:
    """Say what a treated acre must bring before it is worth it, visit and wheel tracks apart."""
    volumes, terms = options.priced.volumes_gal_ac, options.terms[column]
    return cost_usd_ac(terms, volumes[column] if volumes else None) + terms.min_net_usd_ac


def _due_usd(options: Options, column: int, sets: Bools) -> Floats:
    """Say what a pass over each set of zones must bring before it is worth it."""
    acres = sets @ options.problem.area_ac
    return np.asarray(visit_costs_usd(options.problem, acres) + acres * _hurdle_usd_ac(options, column))


def _response_bu_ac(zones: Sequence[OfferedZone], options: Options, column: int) -> Floats:
    """Give the expected response of each zone on each day, shape (zones, days); NaN where it is closed."""
    volumes = options.priced.volumes_gal_ac
    volume = volumes[column] if volumes else None
    worth_one = replace(options.terms[column], price_usd_bu=1.0)  # so that the net return is in bushels
    bare = [replace(one.case, track_loss_bu_ac=0.0) for one in zones if one.case is not None]
    priced = price(bare, options.priced.days, () if volume is None else (volume,), worth_one)
    response = priced.net_usd_ac[:, :, 0] + cost_usd_ac(worth_one, volume)
    return np.where(np.isnan(options.priced.net_usd_ac[:, :, column]), np.nan, response)


def _nearest_option(zones: Sequence[OfferedZone], options: Options) -> tuple[int, int] | None:
    """Find day and volume of the pass that would pay from the lowest price, by the mean of each zone."""
    found: list[tuple[float, float, int, int]] = []
    least_bu_ac = number("returns.least_response_bu_ac")
    loss_bu_ac = _loss_bu_ac(zones)
    for column in range(len(options.terms)):
        response_bu_ac = _response_bu_ac(zones, options, column)
        for day in np.flatnonzero(np.isfinite(response_bu_ac).any(axis=0)).tolist():
            gain = np.nan_to_num(response_bu_ac[:, day])
            sets = _sets(np.argsort(-gain, kind="stable"))
            of_zone = np.where(gain > least_bu_ac, _per(_hurdle_usd_ac(options, column), gain), np.inf)
            gained_bu = sets @ (options.problem.area_ac * gain) - _tracks_bu(options, loss_bu_ac, sets)
            of_pass = _per(_due_usd(options, column, sets), gained_bu)
            is_open = np.isfinite(response_bu_ac[:, day])
            lowest, _ = _least(of_zone, of_pass, sets, is_open, options.problem)
            found.append((lowest, -float(gain.max()), day, column))
    return min(found)[2:] if found else None


def _per(usd: Floats | float, bushels: Floats) -> Floats:
    """Price at which so many bushels bring so much; infinite where there are none."""
    some = bushels > 0
    return np.asarray(np.where(some, usd / np.where(some, bushels, 1.0), np.inf))


def _least(of_zone: Floats, of_pass: Floats, sets: Bools, is_open: Bools, problem: FieldProblem) -> _Turn:
    """Find the least of something that makes a pass: every zone in it wants it, and together they pay.

    Beside another pass that goes anyway a spray of the whole field asks no zone by itself, as in `passes`.
    """
    of_members = np.where(sets, of_zone, -np.inf).max(axis=1)
    if problem.goes_anyway and problem.may_fill_up and problem.split_load_usd > 0 and is_open.all():
        of_members = np.where(sets.all(axis=1), -np.inf, of_members)
    of_all = np.maximum(of_members, of_pass)
    best = int(of_all.argmin())
    return float(of_all[best]), sets[best]


def _tried(of_zone: Floats) -> Bools:
    return _sets(np.argsort(of_zone, kind="stable"))


def _is_open(stands: _Stands) -> Bools:
    return np.array([one is not None for one in stands], dtype=np.bool_)


def _least_price(field: _Field, stands: _Stands) -> _Turn:
    """Find the lowest bid from which a pass pays; infinite where none does."""
    of_zones = [turning_price_usd_bu(field.by_itself(one)) if one else None for one in stands]
    of_zone = np.array([np.inf if bid is None else bid for bid in of_zones])
    sets = _tried(of_zone)
    share_usd_bu = _per(_due_usd(field.options, field.column, sets), field.gained_bu(stands, sets))
    bids_usd_bu = bid_usd_bu(share_usd_bu, field.terms)
    return _least(of_zone, bids_usd_bu, sets, _is_open(stands), field.options.problem)


def _least_gain(field: _Field, stands: _Stands) -> _Turn:
    """Find what every acre would have to gain, in USD/ac; below 0 where a pass pays as it is."""
    of_zone = np.array(
        [-margin_usd_ac(field.by_itself(one).net_usd_ac, field.terms) if one else np.inf for one in stands]
    )
    sets = _tried(of_zone)
    gained_usd = field.terms.price_usd_bu * field.gained_bu(stands, sets)
    missing_usd = _due_usd(field.options, field.column, sets) - gained_usd
    missing_usd_ac = missing_usd / (sets @ field.options.problem.area_ac)
    return _least(of_zone, missing_usd_ac, sets, _is_open(stands), field.options.problem)


def _by_gain(field: _Field, stands: _Stands, by_gain: _Turn) -> list[Flip]:
    need_usd_ac, taken = by_gain
    mean_bu_ac = np.array([one.returned.response_mean_bu_ac if one else 0.0 for one in stands])
    expected_bu_ac = float(np.average(mean_bu_ac[taken], weights=field.options.problem.area_ac[taken]))
    needed = Flip(name="response", value=expected_bu_ac + need_usd_ac / field.terms.price_usd_bu)
    cost = _hurdle_usd_ac(field.options, field.column) - field.terms.min_net_usd_ac - need_usd_ac
    return [Flip(name="cost", value=cost), needed] if cost > 0 else [needed]


def _by_tracks(field: _Field) -> list[Flip]:
    loss_bu_ac = _loss_bu_ac(field.zones)
    if not loss_bu_ac.any():
        return []
    without = [replace(case, track_loss_bu_ac=0.0) if case else None for case in field.cases]
    need_usd_ac, taken = _least_gain(replace(field, has_tracks=False), field.stands(without))
    if need_usd_ac >= 0:
        return []
    lost_bu_ac = float(np.average(loss_bu_ac[taken], weights=field.options.problem.area_ac[taken]))
    return [Flip(name="tracks", value=lost_bu_ac)]


def _by_severity(field: _Field) -> list[Flip]:
    """Find the severity near R6 from which a pass would pay, the same in every zone that it could harm."""
    asked = [(case, one.damage) for case, one in zip(field.cases, field.zones, strict=True)]
    if not any(case is not None and damage is not None for case, damage in asked):
        return []

    def pays(severity_pct: float) -> bool:
        moved = [
            under_severity(case, severity_pct, damage) if case is not None and damage is not None else None
            for case, damage in asked
        ]
        return _least_gain(field, field.stands(moved))[0] < 0

    value = turning_severity_pct(pays)
    return [] if value is None else [Flip(name="severity", value=value)]


def _visit(field: _Field, taken: Bools) -> Visit:
    problem, day = field.options.problem, field.option[0]
    acres = float(problem.area_ac[taken].sum())
    return Visit(
        number=1,
        sprayer=field.options.machine.name,
        day=day,
        last_day=day,
        half="AM",
        volume_gal_ac=problem.volumes_gal_ac[field.column],
        zones=tuple(np.array(problem.zones)[taken].tolist()),
        area_ac=acres,
        loads=0,
        visit_costs_usd=float(visit_costs_usd(problem, np.array([acres]))[0]),
    )
