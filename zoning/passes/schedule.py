"""The passes of each field, the sprayer to itself: which blocks together, on which day, at which volume.

Fields do not compete for the sprayer here. Days are whole: the planning hours know no halves, so every
visit is written down as beginning in the morning.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.passes.driven import driven, driven_off_ac, swath_loss_usd
from zoning.passes.groupings import Slot, best_slot, best_slots
from zoning.passes.problem import Chosen, FieldProblem, Machine, Visit
from zoning.passes.visits import (
    Visits,
    allowed_over_days,
    best_visits,
    least_usd,
    visit_costs_usd,
)

Bools = npt.NDArray[np.bool_]
_SLACK = 1e-9  # method: rounding of floats


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pick:
    """A visit of the search: where it stands in `Visits`."""

    slot: Slot
    volume: int

    @property
    def at(self) -> tuple[int, int, int, int, int]:
        return self.slot.first, self.slot.last, self.slot.day, self.volume, self.slot.runs_d - 1


def schedule(problems: Sequence[FieldProblem], machine: Machine) -> tuple[Chosen, ...]:
    """Choose the passes of each field, each with the sprayer to itself.

    Parameters
    ----------
    problems : sequence of FieldProblem
        Fields with their options priced.
    machine : Machine
        The sprayer; its volumes are those of the problems.

    Returns
    -------
    tuple of Chosen
        One for each problem, in the order given. No visit where none is worth its costs.

    Notes
    -----
    Every grouping of neighbouring blocks, in the order in which they reach R3, into at most three visits is
    weighed with every day, volume and number of days under way; blocks may be left out. Highest expected net
    after visit costs wins. Among the volumes of the same visit (same blocks, same day), those less than
    0.50 USD per acre that they spray behind it count as equal: then 15 gal/ac is taken, or else the highest
    volume. Where another pass goes over the field anyway there is one visit: it goes once.
    The search charges each visit its own wheel tracks in full; `value_usd` charges each swath once.

    Examples
    --------
    >>> problem = FieldProblem(
    ...     field="home", zones=(1,), block_of_zone=(0,), area_ac=np.array([40.0]), days=np.array([10, 11]),
    ...     volumes_gal_ac=(15.0, 20.0), net_usd_ac=np.array([[[5.0, 5.0], [4.0, 4.0]]]),
    ...     worth_it=np.ones((1, 2, 2), dtype=bool), swath_area_ac=np.array([[40.0]]),
    ...     track_loss_usd_ac=np.zeros(1), bill_usd_ac=0, pass_usd_ac=9, per_visit_usd=60, minimum_bill_usd=0)
    >>> from zoning.passes.half_days import even
    >>> machine = Machine(name="rig", acres_per_hour=(78, 58.5), acres_per_load=(66.7, 50.0), set_up_h=1 / 3,
    ...     hours=even(10, 2, 3.0))
    >>> [chosen] = schedule([problem], machine)
    >>> chosen.value_usd, chosen.visits[0].day, chosen.visits[0].volume_gal_ac
    (140.0, 10, 15.0)
    """
    return tuple(_schedule_one(problem, machine) for problem in problems)


def _schedule_one(problem: FieldProblem, machine: Machine) -> Chosen:
    if not (problem.worth_it & np.isfinite(problem.net_usd_ac)).any() and not problem.goes_anyway:
        return _nothing(problem)  # nothing pays on most fields, and need not be searched
    visits = best_visits(problem, machine)
    # another pass goes over the field once
    slots = best_slot(by_run(visits)) if problem.goes_anyway else best_slots(by_run(visits))
    picks = [_Pick(slot=slot, volume=_best_volume(visits, slot)) for slot in slots]
    for index in range(len(picks)):
        picks[index] = _settle_tie(problem, visits, picks, index)
    return _settled(problem, machine, visits, picks)


def _nothing(problem: FieldProblem) -> Chosen:
    return Chosen(
        field=problem.field, visits=(), value_usd=0.0, estimate_usd=0.0, driven_off_ac=0.0, driven_off_usd=0.0
    )


def by_run(visits: Visits) -> npt.NDArray[np.float64]:
    """Take the best volume of each visit: shape (first, last, days, longest visit)."""
    return np.asarray(visits.value_usd.max(axis=-2, initial=-np.inf))


def _best_volume(visits: Visits, slot: Slot) -> int:
    return int(visits.value_usd[slot.first, slot.last, slot.day, :, slot.runs_d - 1].argmax())


def _settle_tie(problem: FieldProblem, visits: Visits, picks: list[_Pick], index: int) -> _Pick:
    """Among volumes that count as equal for this visit, take the preferred one, or else the highest."""
    pick = picks[index]
    slot = pick.slot
    of_visit = visits.value_usd[slot.first, slot.last, slot.day]
    acres = visits.zones[slot.first, slot.last, slot.day] @ problem.area_ac
    least = visits.value_usd[pick.at] - (number("passes.toss_up_usd_ac") - _SLACK) * acres
    others = [other.slot for other in picks if other is not pick]
    equal = []
    for volume, extra in np.argwhere((of_visit > 0) & (of_visit >= least)).tolist():
        swapped = Slot(first=slot.first, last=slot.last, day=slot.day, runs_d=extra + 1)
        if not any(_overlap(swapped, other) for other in others):
            equal.append(_Pick(slot=swapped, volume=volume))
    preferred = number("passes.preferred_volume_gal_ac")

    def rank(one: _Pick) -> tuple[bool, float, float]:
        volume_gal_ac = problem.volumes_gal_ac[one.volume]
        is_preferred = abs(volume_gal_ac - preferred) < 0.5  # 140 L/ha counts as 15 gal/ac
        return is_preferred, volume_gal_ac, float(visits.value_usd[one.at])

    return max(equal, key=rank)


def _overlap(one: Slot, other: Slot) -> bool:
    return one.day < other.day + other.runs_d and other.day < one.day + one.runs_d


def _settled(problem: FieldProblem, machine: Machine, visits: Visits, picks: Sequence[_Pick]) -> Chosen:
    """Recompute the chosen visits exactly: every driven swath once."""
    worth = allowed_over_days(problem)
    sprayed = np.zeros(len(problem.zones), dtype=np.bool_)
    made: list[Visit] = []
    gain = 0.0
    for pick in picks:
        zones = visits.zones[pick.at]
        visit = _visit(problem, machine, pick, zones, len(made) + 1)
        gain += float(worth[pick.slot.runs_d - 1, zones, pick.slot.day, pick.volume].sum())
        gain -= visit.visit_costs_usd
        made.append(visit)
        sprayed |= zones
    tracks = float(driven(problem, sprayed[np.newaxis])[0] @ swath_loss_usd(problem))
    off_ac = driven_off_ac(problem, sprayed)
    return Chosen(
        field=problem.field,
        visits=tuple(made),
        value_usd=gain - tracks,
        estimate_usd=float(sum(visits.value_usd[pick.at] for pick in picks) + least_usd(problem) @ sprayed),
        driven_off_ac=float(off_ac.sum()),
        driven_off_usd=float(off_ac @ problem.track_loss_usd_ac),
    )


def _visit(problem: FieldProblem, machine: Machine, pick: _Pick, zones: Bools, count: int) -> Visit:
    area_ac = float(problem.area_ac[zones].sum())
    day = int(problem.days[pick.slot.day])
    return Visit(
        number=count,
        sprayer=machine.name,
        day=day,
        last_day=day + pick.slot.runs_d - 1,
        half="AM",  # planning hours know no halves
        volume_gal_ac=problem.volumes_gal_ac[pick.volume],
        zones=tuple(zone for zone, is_in in zip(problem.zones, zones, strict=True) if is_in),
        area_ac=area_ac,
        loads=math.ceil(area_ac / machine.acres_per_load[pick.volume] - _SLACK),
        visit_costs_usd=float(visit_costs_usd(problem, np.array([area_ac]))[0]),
    )
