"""Sets of zones that one visit may spray."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.passes.driven import driven, swath_loss_usd
from zoning.passes.half_days import HALVES
from zoning.passes.problem import FieldProblem
from zoning.passes.schedule.visits import (
    MOST_TRIED,
    allowed_over_days,
    least_usd,
    visit_costs_usd,
    worth_over_days,
)

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

_STEPS = 128  # method: parts of the acres for each of which, of many zones, the best set found is kept


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ZoneSets:
    """Sets of zones with one volume, in the order of their areas, and what visits to them return.

    `zones` has shape (sets, zones). `value_usd`, shape (longest visit, 2 x days, sets), is what a visit of
    n + 1 days that begins in a half-day returns by itself beyond `min_net`, its own tracks and costs paid;
    -inf where there is none.
    """

    volume: int
    zones: Bools
    area_ac: Floats
    value_usd: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Case:
    problem: FieldProblem
    worth_usd: tuple[Floats, Floats]  # AM, PM; beyond min_net; (run of n + 1 days, zones, days, volumes)
    swath_loss_usd: Floats


def zone_sets(problem: FieldProblem) -> Iterator[ZoneSets]:
    """Give the sets of zones that are weighed, by volume and by group of neighbouring blocks.

    Parameters
    ----------
    problem : FieldProblem
        One field with one sprayer.

    Yields
    ------
    ZoneSets
        All sets of up to 12 zones that pay. Of more zones those are left that remain when the zone that
        loses most is dropped, one by one, until none loses, for each day; and, for hours are short, those
        that return most per acre, and the best ones found for each 128th of the acres. Where a part of the
        field would need a load of its own, all zones together are weighed too.
    """
    case = _case(problem, False)
    block = np.asarray(problem.block_of_zone, dtype=np.int64)
    count = int(block.max(initial=-1)) + 1
    for volume in range(len(problem.volumes_gal_ac)):
        pays = np.isfinite(case.worth_usd[0][0, ..., volume]).any(axis=1)
        for first in range(count):
            for last in range(first, count):
                members = np.flatnonzero(pays & (block >= first) & (block <= last))
                ends = block[members]
                if not (ends == first).any() or not (ends == last).any():
                    continue
                if members.size <= MOST_TRIED:
                    sets = _sets_of(members, len(block))
                    spans = sets[:, block == first].any(axis=1) & sets[:, block == last].any(axis=1)
                    sets = sets[spans]
                else:
                    sets = np.vstack([_left(case, members, volume), _packed(case, members, volume)])
                    sets = np.unique(sets[sets.any(axis=1)], axis=0)
                yield _valued(case, sets, volume)
    if problem.goes_anyway and problem.may_fill_up and problem.split_load_usd > 0 and count:
        every = np.ones((1, len(block)), dtype=np.bool_)
        allowed = _case(problem, True)
        yield from (_valued(allowed, every, volume) for volume in range(len(problem.volumes_gal_ac)))


def weighs_every_set(problem: FieldProblem) -> bool:
    """Whether every set of zones that may pay is weighed, at every volume.

    Parameters
    ----------
    problem : FieldProblem
        One field with one sprayer.
    """
    pays = (problem.worth_it & np.isfinite(problem.net_usd_ac)).any(axis=1)
    return int(pays.sum(axis=0).max(initial=0)) <= MOST_TRIED


def _case(problem: FieldProblem, whatever_the_rule: bool) -> _Case:
    over_days = allowed_over_days if whatever_the_rule else worth_over_days
    least = least_usd(problem)[:, np.newaxis, np.newaxis]
    morning = over_days(problem) - least
    alike = problem.afternoon_less_usd_ac is None
    return _Case(
        problem=problem,
        worth_usd=(morning, morning if alike else over_days(problem, HALVES[1]) - least),
        swath_loss_usd=swath_loss_usd(problem),
    )


def _sets_of(members: Ints, zones: int) -> Bools:
    """Every set of the members but the empty one; shape (sets, zones)."""
    picks = np.arange(1, 2**members.size)
    sets = np.zeros((len(picks), zones), dtype=np.bool_)
    sets[:, members] = (picks[:, np.newaxis] >> np.arange(members.size)) & 1 == 1
    return sets


def _costs_usd(case: _Case, sets: Bools) -> Floats:
    """Visit costs and tracks of each set, the tracks in full."""
    return visit_costs_usd(case.problem, sets @ case.problem.area_ac) + _tracks_usd(case, sets)


def _tracks_usd(case: _Case, sets: Bools) -> Floats:
    if not case.swath_loss_usd.any():
        return np.zeros(len(sets))
    return np.asarray(driven(case.problem, sets) @ case.swath_loss_usd)


def _valued(case: _Case, sets: Bools, volume: int) -> ZoneSets:
    area_ac = sets @ case.problem.area_ac
    order = np.argsort(area_ac, kind="stable")
    sets, area_ac = sets[order], area_ac[order]
    costs = _costs_usd(case, sets)
    tried = sets.astype(np.float64)
    value = np.empty((len(case.worth_usd[0]), 2 * len(case.problem.days), len(sets)))
    for half, worth_usd in enumerate(case.worth_usd):
        if half and worth_usd is case.worth_usd[0]:  # the halves of a day are alike
            value[:, half::2] = value[:, ::2]
            continue
        for extra, worth in enumerate(worth_usd[..., volume]):
            offered = np.isfinite(worth)
            sums = np.where(offered, worth, 0).T @ tried.T - costs
            sums[(~offered).T.astype(np.float64) @ tried.T > 0] = -np.inf
            value[extra, half::2] = sums
    return ZoneSets(volume=volume, zones=sets, area_ac=area_ac, value_usd=value)


def _left(case: _Case, members: Ints, volume: int) -> Bools:
    """Drop zones until none loses, for each day of begin and days under way; then by net per acre."""
    found = []
    for worth in case.worth_usd[0][..., volume]:
        sprayed = np.isfinite(worth.T)
        sprayed[:, np.setdiff1d(np.arange(sprayed.shape[1]), members)] = False
        _drop(case, sprayed, worth.T)
        found.append(sprayed)
    sums = np.where(found[0], case.worth_usd[0][0, ..., volume].T, 0).sum(axis=1)
    best = int(sums.argmax())
    per_ac = np.where(found[0][best], case.worth_usd[0][0, :, best, volume] / case.problem.area_ac, -np.inf)
    rank = np.argsort(np.argsort(-per_ac, kind="stable"), kind="stable")
    nested = (rank <= np.arange(len(rank))[:, np.newaxis]) & found[0][best]
    return np.vstack([*found, nested])


def _packed(case: _Case, members: Ints, volume: int) -> Bools:
    """Find good sets for hours of any length: for each day the best one in each step of the acres.

    Zone after zone, the best per acre first, is added to every set that was kept so far.
    """
    worth_usd, area_ac = case.worth_usd[0][0, ..., volume], case.problem.area_ac
    offered = np.isfinite(worth_usd)
    per_ac = np.where(offered, worth_usd, 0).sum(axis=1) / area_ac
    step_ac = area_ac[members].sum() / _STEPS
    day = np.arange(worth_usd.shape[1])
    sets = np.zeros((day.size, area_ac.size), dtype=np.bool_)
    gain_usd, tracks_usd = np.zeros((2, day.size))
    for zone in members[np.argsort(-per_ac[members], kind="stable")].tolist():
        here = offered[zone, day]
        fuller = sets[here]
        fuller[:, zone] = True
        sets = np.vstack([sets, fuller])
        gain_usd = np.append(gain_usd, gain_usd[here] + worth_usd[zone, day[here]])
        tracks_usd = np.append(tracks_usd, _tracks_usd(case, fuller))
        day = np.append(day, day[here])
        step = np.floor(sets @ area_ac / step_ac)
        order = np.lexsort((tracks_usd - gain_usd, step, day))
        best = np.append(True, (np.diff(day[order]) != 0) | (np.diff(step[order]) != 0))
        kept = order[best]
        sets, gain_usd, tracks_usd, day = sets[kept], gain_usd[kept], tracks_usd[kept], day[kept]
    return sets


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
