"""Every visit that could be made: the best for each group of neighbouring blocks, day, volume and length.

First the field is entered or not, then zones at the cost that is still avoidable: a zone is in a visit when
the rule says spray there and the visit is worth no less with it than without it. How visits combine over
the season is not decided here.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.passes.driven import driven, swath_loss_usd
from zoning.passes.problem import FieldProblem, Machine

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

MOST_TRIED = 12  # method: zones up to which all their sets are tried; beyond, zones are dropped one by one
_SLACK = 1e-9  # method: rounding of floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Visits:
    """The best visit to blocks `first` ... `last`, begun on a day with a volume, that takes so many days.

    `value_usd` has shape (first, last, days, volumes, longest visit), the last axis from one day under way
    upwards: what the visit returns by itself beyond `min_net`, its own tracks and costs paid, -inf where
    there is none. A shorter visit to fewer zones may leave a day for another one, so each length is kept.
    `zones` has one axis more, True for the zones it sprays.
    """

    value_usd: Floats
    zones: Bools


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Case:
    problem: FieldProblem
    machine: Machine
    worth_usd: Floats  # beyond min_net; (run of n + 1 days, zones, days, volumes); -inf where not offered
    swath_loss_usd: Floats


def longest_visit_d() -> int:
    """Most days that one visit may be under way."""
    return int(number("passes.longest_visit_d"))


def visit_costs_usd(problem: FieldProblem, area_ac: Floats) -> Floats:
    """Costs of entering a field to spray an area: per visit, whole-field bill, top-up to the minimum, load.

    Parameters
    ----------
    problem : FieldProblem
        Its costs are used.
    area_ac : ndarray of float
        Sprayed area of each visit. [ac]

    Returns
    -------
    ndarray of float, shape of `area_ac`
        What is billed per treated acre is not in it, because it is in the net return of each acre. [USD]
    """
    field_bill = problem.bill_usd_ac * float(problem.area_ac.sum())
    billed = field_bill + problem.pass_usd_ac * area_ac
    top_up = np.clip(problem.minimum_bill_usd - billed, 0, None)
    return np.asarray(problem.per_visit_usd + field_bill + top_up + split_load_usd(problem, area_ac))


def split_load_usd(problem: FieldProblem, area_ac: Floats) -> Floats:
    """Cost of a load of its own: where another pass goes anyway and not every zone gets this one too.

    Parameters
    ----------
    problem : FieldProblem
        One field.
    area_ac : ndarray of float
        Sprayed area of each visit. [ac]
    """
    is_part = area_ac < float(problem.area_ac.sum()) - _SLACK
    return np.where(is_part & problem.goes_anyway, problem.split_load_usd, 0.0)


def worth_over_days(problem: FieldProblem) -> Floats:
    """Worth of spraying each zone in a visit that is under way for some days: the mean over these days.

    Returns
    -------
    ndarray of float, shape (longest visit, zones, days, volumes)
        Row n is a visit of n + 1 days that begins on the day. -inf where a day of it is not allowed, not
        worth it by the rule, or past the horizon. [USD]
    """
    return _over_days(problem, problem.worth_it)


def allowed_over_days(problem: FieldProblem) -> Floats:
    """As `worth_over_days`, whatever the rule says of a zone: -inf only where label or stage forbid it."""
    return _over_days(problem, np.ones_like(problem.worth_it))


def _over_days(problem: FieldProblem, wanted: Bools) -> Floats:
    offered = wanted & np.isfinite(problem.net_usd_ac)
    one = np.where(offered, problem.net_usd_ac * problem.area_ac[:, np.newaxis, np.newaxis], -np.inf)
    worth = np.full((longest_visit_d(), *one.shape), -np.inf)
    for extra in range(min(len(worth), len(problem.days))):
        starts = len(problem.days) - extra
        days = [one[:, step : step + starts] for step in range(extra + 1)]
        unbroken = problem.days[extra:] - problem.days[:starts] == extra
        worth[extra, :, :starts] = np.where(unbroken[:, np.newaxis], sum(days) / len(days), -np.inf)
    return worth


def least_usd(problem: FieldProblem) -> Floats:
    """Give what each zone must bring beyond all that spraying it costs, shape (zones,) [USD]."""
    return problem.min_net_usd_ac * problem.area_ac


def runs_for_d(machine: Machine, volume: int, area_ac: Floats) -> Floats:
    """Days that a visit is under way: set-up once, then the area at the machine's acres an hour."""
    pace, a_day = machine.acres_per_hour[volume], machine.hours_per_day
    if pace <= 0 or a_day <= 0:
        return np.full(area_ac.shape, np.inf)
    return np.maximum(1, np.ceil((machine.set_up_h + area_ac / pace) / a_day - _SLACK))


def best_visits(problem: FieldProblem, machine: Machine) -> Visits:
    """Find the best visit to every group of neighbouring blocks, for every day and volume.

    Parameters
    ----------
    problem : FieldProblem
        One field.
    machine : Machine
        The sprayer.

    Returns
    -------
    Visits

    Notes
    -----
    All sets of up to 12 zones are tried, so the best is exact. With more zones that pay in one visit, the
    search starts from all of them and drops the zone that loses most, one by one, until none loses: exact
    where no tracks are made, the visit takes a day and the minimum bill is met. Where a part of the field
    would need a load of its own, all zones together are weighed too.
    """
    case = _Case(
        problem=problem,
        machine=machine,
        worth_usd=worth_over_days(problem) - least_usd(problem)[:, np.newaxis, np.newaxis],
        swath_loss_usd=swath_loss_usd(problem),
    )
    block = np.asarray(problem.block_of_zone, dtype=np.int64)
    count = int(block.max(initial=-1)) + 1
    volumes = len(problem.volumes_gal_ac)
    shape = (count, count, len(problem.days), volumes, longest_visit_d())
    found = Visits(
        value_usd=np.full(shape, -np.inf),
        zones=np.zeros((*shape, len(problem.zones)), dtype=np.bool_),
    )
    pays = np.isfinite(case.worth_usd[0]).any(axis=(1, 2))
    for first in range(count):
        for last in range(first, count):
            members = np.flatnonzero(pays & (block >= first) & (block <= last))
            for volume in range(volumes) if members.size else ():
                here = (first, last, slice(None), volume)
                visit = _try_sets if members.size <= MOST_TRIED else _drop_losers
                found.value_usd[here], found.zones[here] = visit(case, members, volume)
    if problem.goes_anyway and problem.may_fill_up and problem.split_load_usd > 0 and count:
        _fill_up(case, found)
    return found


def _fill_up(case: _Case, found: Visits) -> None:
    """Spray every zone where that returns more than a part of the field in a load of its own; in place."""
    problem = case.problem
    all_ac = np.array([problem.area_ac.sum()])
    worth = allowed_over_days(problem) - least_usd(problem)[:, np.newaxis, np.newaxis]
    every = np.ones((1, len(problem.zones)), dtype=np.bool_)
    costs_usd = float(_costs_usd(case, every)[0])
    for volume in range(len(problem.volumes_gal_ac)):
        runs_d = float(runs_for_d(case.machine, volume, all_ac)[0])
        if runs_d > longest_visit_d():
            continue
        at = (0, -1, slice(None), volume, int(runs_d) - 1)
        value = worth[int(runs_d) - 1, :, :, volume].sum(axis=0) - costs_usd
        better = value > found.value_usd[at]
        found.value_usd[at] = np.where(better, value, found.value_usd[at])
        found.zones[at] |= better[:, np.newaxis]


def _sets_of(members: Ints, zones: int) -> Bools:
    """Every set of the members but the empty one, the fullest first; shape (sets, zones)."""
    picks = np.arange(1, 2**members.size)
    bits = (picks[:, np.newaxis] >> np.arange(members.size)) & 1 == 1
    bits = bits[np.argsort(-bits.sum(axis=1), kind="stable")]
    sets = np.zeros((len(bits), zones), dtype=np.bool_)
    sets[:, members] = bits
    return sets


def _costs_usd(case: _Case, sets: Bools) -> Floats:
    """Visit costs and tracks of each set, the tracks in full."""
    costs = visit_costs_usd(case.problem, sets @ case.problem.area_ac)
    if not case.swath_loss_usd.any():
        return costs
    return np.asarray(costs + driven(case.problem, sets) @ case.swath_loss_usd)


def _try_sets(case: _Case, members: Ints, volume: int) -> tuple[Floats, Bools]:
    """Try every set of zones: value and zones of the best, for each day of begin and days under way."""
    sets = _sets_of(members, len(case.problem.zones))
    costs, runs = _costs_usd(case, sets), runs_for_d(case.machine, volume, sets @ case.problem.area_ac)
    value, zones = _nothing(case)
    days = np.arange(len(value))
    for extra, worth in enumerate(case.worth_usd[..., volume]):
        fits = np.flatnonzero(runs == extra + 1)
        if fits.size == 0:
            continue
        tried = sets[fits][:, members].astype(np.float64)
        offered = np.isfinite(worth[members])
        sums = tried @ np.where(offered, worth[members], 0) - costs[fits, np.newaxis]
        sums[tried @ ~offered > 0] = -np.inf
        top = sums.argmax(axis=0)
        value[:, extra], zones[:, extra] = sums[top, days], sets[fits[top]]
    return value, zones


def _drop_losers(case: _Case, members: Ints, volume: int) -> tuple[Floats, Bools]:
    """Start from all zones that pay and drop the worst loser until none loses, for each day of begin."""
    value, zones = _nothing(case)
    for extra, worth in enumerate(case.worth_usd[..., volume]):
        sprayed = np.isfinite(worth.T)
        sprayed[:, np.setdiff1d(np.arange(sprayed.shape[1]), members)] = False
        _drop(case, sprayed, worth.T)
        runs = runs_for_d(case.machine, volume, sprayed @ case.problem.area_ac)
        costs = _costs_usd(case, sprayed)
        for day in np.flatnonzero(sprayed.any(axis=1) & (runs <= extra + 1)):
            took = int(runs[day]) - 1
            gain = case.worth_usd[took, sprayed[day], day, volume].sum() - costs[day]
            if gain > value[day, took]:
                value[day, took], zones[day, took] = gain, sprayed[day]
    return value, zones


def _nothing(case: _Case) -> tuple[Floats, Bools]:
    shape = len(case.problem.days), longest_visit_d()
    return np.full(shape, -np.inf), np.zeros((*shape, len(case.problem.zones)), dtype=np.bool_)


def _drop(case: _Case, sprayed: Bools, worth_usd: Floats) -> None:
    """Take out of each row of `sprayed` (days, zones) the zones that lose, the worst first; in place."""
    holds = (case.problem.swath_area_ac > 0).astype(np.float64)
    rows = np.arange(len(sprayed))
    for _ in range(sprayed.shape[1]):
        alone = (sprayed @ holds.T == 1) * case.swath_loss_usd  # swaths that only one sprayed zone needs
        change = np.where(sprayed, worth_usd - alone @ holds, math.inf)
        worst = change.argmin(axis=1)
        loses = change[rows, worst] < 0
        if not loses.any():
            return
        sprayed[rows[loses], worst[loses]] = False
