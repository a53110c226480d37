"""The search of passes where the user decided that zones are to be sprayed, whatever they return.

The search knows only money. So each such zone gets a bonus that no plan can make up for, and the bonus is
taken off again from every figure that the search gave.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.offers.offered import Choice
from zoning.passes.driven import swath_loss_usd
from zoning.passes.problem import Chosen, FieldProblem, Limits, Schedule
from zoning.passes.schedule.visits import least_usd, visit_costs_usd

Problems = list[list[FieldProblem]]
Search = Callable[[Problems, Limits], Schedule]
Floats = npt.NDArray[np.float64]
Zones = list[set[int]]  # for each field


def of_choice(choice: Choice) -> FieldProblem:
    """Give the problem of a choice as it is searched: what the user closed is not there at all."""
    options = choice.options
    if options.decided is None:
        return options.problem
    open_usd_ac = np.where(options.decided.closed, np.nan, options.problem.net_usd_ac)
    return replace(options.problem, net_usd_ac=open_usd_ac)


def forced_of(choice: Choice) -> frozenset[int]:
    """Give the zones that a choice must spray."""
    return choice.options.decided.forced if choice.options.decided is not None else frozenset()


def with_bonus(problem: FieldProblem, zones: Collection[int], usd: float) -> FieldProblem:
    """Let each of some zones return so much more, on every day, whatever its size.

    Parameters
    ----------
    problem : FieldProblem
    zones : collection of int
        Their numbers; others than those of the problem count for nothing.
    usd : float
        [USD]
    """
    is_forced = np.array([zone in zones for zone in problem.zones])
    more_usd_ac = np.where(is_forced, usd / problem.area_ac, 0.0)
    return replace(problem, net_usd_ac=problem.net_usd_ac + more_usd_ac[:, np.newaxis, np.newaxis])


def most_lost_usd(problem: FieldProblem, zones: Collection[int]) -> float:
    """Bound what a field can lose by passes over some zones: each at its worst, in as many visits as may be.

    Parameters
    ----------
    problem : FieldProblem
    zones : collection of int
    """
    # imported late: no step before needs to wait for the solver's library
    from zoning.passes.schedule.model import MOST_VISITS

    rows = [row for row, zone in enumerate(problem.zones) if zone in zones]
    if not rows:
        return 0.0
    lowest_usd_ac = np.nan_to_num(problem.net_usd_ac[rows], nan=0.0).min(axis=(1, 2))
    if problem.afternoon_less_usd_ac is not None:
        lowest_usd_ac -= np.nan_to_num(problem.afternoon_less_usd_ac[rows], nan=0.0).max(axis=(1, 2)).clip(0)
    zones_usd = float(-lowest_usd_ac.clip(max=0) @ problem.area_ac[rows]) + float(
        np.abs(least_usd(problem)[rows]).sum()
    )
    [dearest_usd] = visit_costs_usd(problem, np.zeros(1))  # the least is treated, the top-up is the most
    treated_usd = problem.pass_usd_ac * float(problem.area_ac.sum())
    tracks_usd = float(swath_loss_usd(problem).sum())
    return zones_usd + MOST_VISITS * (float(dearest_usd) + treated_usd + tracks_usd)


def most_gained_usd(problem: FieldProblem) -> float:
    """Bound what a field can gain: every zone on its best day, and nothing paid for coming.

    Parameters
    ----------
    problem : FieldProblem
    """
    highest_usd_ac = np.nan_to_num(problem.net_usd_ac, nan=0.0).max(axis=(1, 2)).clip(0)
    if problem.afternoon_less_usd_ac is not None:
        highest_usd_ac += np.nan_to_num(-problem.afternoon_less_usd_ac, nan=0.0).max(axis=(1, 2)).clip(0)
    return float(highest_usd_ac @ problem.area_ac)


def followed(fields: Sequence[Sequence[Choice]], found: Schedule, limits: Limits, search: Search) -> Schedule:
    """Choose the passes again, so that as many of the decided zones as the hours let are sprayed.

    Parameters
    ----------
    fields : sequence of sequences of Choice
        As for `choose`.
    found : Schedule
        Of the same fields, where each decided zone may be sprayed and none must.
    limits : Limits
        Of that search.
    search : callable
        Gives the schedule of problems within limits.

    Returns
    -------
    Schedule
        `found` where it sprays them all already. Else its `value_usd`, `field_usd` and `chosen` are without
        the bonus, and `bound_usd` is what no schedule exceeds that sprays the same decided zones.

    Notes
    -----
    A zone that is left out though it has a bonus is one that the hours do not hold; it is searched again
    without, for its bonus would stand in the bound. What an hour or a further sprayer is worth is that of
    `found`: what follows from a decision has no price. The gap asked for is held in dollars: the share of
    the bound that `limits` name is taken of the bound without bonus.
    """
    wanted: Zones = [{zone for choice in choices for zone in forced_of(choice)} for choices in fields]
    if not any(missing(wanted, found.chosen)):
        return found
    lost = [
        max((most_lost_usd(of_choice(one), zones) for one in choices), default=0.0)
        for choices, zones in zip(fields, wanted, strict=True)
    ]
    gained = [max((most_gained_usd(of_choice(one)) for one in choices), default=0.0) for choices in fields]
    bonus_usd = 1.0 + sum(gained) + sum(lost)
    while any(wanted):
        count = sum(len(zones) for zones in wanted)
        share = max(found.bound_usd, 0.0) / (max(found.bound_usd, 0.0) + count * bonus_usd)
        problems = [
            [with_bonus(of_choice(one), forced_of(one) & zones, bonus_usd) for one in choices]
            for choices, zones in zip(fields, wanted, strict=True)
        ]
        now = search(problems, replace(limits, gap_frac=limits.gap_frac * share))
        left = missing(wanted, now.chosen)
        if not any(left):
            return _without_bonus(now, found, wanted, bonus_usd)
        wanted = [zones - gone for zones, gone in zip(wanted, left, strict=True)]
    return found


def missing(wanted: Sequence[Collection[int]], chosen: Sequence[Chosen]) -> Zones:
    """Give the zones of each field that are wanted and in none of its visits."""
    return [
        set(zones) - {zone for visit in one.visits for zone in visit.zones}
        for zones, one in zip(wanted, chosen, strict=True)
    ]


def _without_bonus(now: Schedule, free: Schedule, sprayed: Zones, bonus_usd: float) -> Schedule:
    """Take the bonus off again; worths of hours are those of the schedule in which nothing is forced."""
    of_field = [len(zones) * bonus_usd for zones in sprayed]
    value_usd = now.value_usd - sum(of_field)
    bound_usd = max(value_usd, now.bound_usd - sum(of_field))
    apart_usd = bound_usd - value_usd
    return replace(
        now,
        chosen=tuple(
            replace(one, value_usd=one.value_usd - usd, estimate_usd=one.estimate_usd - usd)
            for one, usd in zip(now.chosen, of_field, strict=True)
        ),
        value_usd=value_usd,
        bound_usd=bound_usd,
        gap_frac=apart_usd / abs(bound_usd) if apart_usd > 0 and bound_usd else 0.0,
        nodes=now.nodes + free.nodes,
        field_usd=tuple(one - usd for one, usd in zip(now.field_usd, of_field, strict=True)),
        hour_usd=free.hour_usd,
        worth_usd=free.worth_usd,
    )
