"""From the visits that the search took to the passes of a field, recomputed exactly.

Ties between volumes are settled here, tracks are counted once per swath and season, and each pass says what
it does in each half-day.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.passes.driven import driven, driven_off_ac, swath_loss_usd
from zoning.passes.half_days import HALVES
from zoning.passes.problem import Chosen, FieldProblem, Machine, Visit
from zoning.passes.schedule.columns import Calendar, Columns, every_visit, joined
from zoning.passes.schedule.patterns import SLACK, parts_of, work
from zoning.passes.schedule.visits import allowed_over_days, least_usd, visit_costs_usd

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pick:
    """The visits taken of one field (`taken`, in order of time), by one sprayer.

    `place` is that of the sprayer's problem among those of the field.
    """

    problem: FieldProblem
    machine: Machine
    taken: Columns
    place: int = 0


@dataclass(slots=True, eq=False)
class Left:
    """What the visits of a plan leave of one sprayer: hours of each half-day, and borders not run over."""

    hours_h: Floats
    border: Floats

    def use(self, taken: Columns, hours_h: Floats, sign: int = 1) -> None:
        """Take the hours of visits, or give them back with `sign` -1; `hours_h` are all hours there are."""
        for row in range(len(taken)):
            for slot, used in _held(taken, row, hours_h).items():
                if np.isfinite(used):
                    self.hours_h[slot] -= sign * used
            self.border[taken.start[row] : taken.end[row]] -= sign

    def fits(self, every: Columns, row: int, hours_h: Floats) -> bool:
        """Whether one more visit fits in."""
        held = _held(every, row, hours_h)
        inside = all(used <= self.hours_h[slot] + SLACK for slot, used in held.items())
        return inside and bool((self.border[every.start[row] : every.end[row]] > 1 / 2).all())


def _held(every: Columns, row: int, hours_h: Floats) -> dict[int, float]:
    start, end = int(every.start[row]), int(every.end[row])
    held = {start: float(every.first_h[row])}
    if end > start:
        held |= {slot: float(hours_h[slot]) for slot in range(start + 1, end)}
        held[end] = float(every.last_h[row])
    return held


def settle_ties(pick: Pick, calendar: Calendar, left: Left) -> Pick:
    """Among volumes that count as equal for a visit take the preferred one, or else the highest.

    Parameters
    ----------
    pick : Pick
        The visits taken of a field.
    calendar : Calendar
        Of the plan.
    left : Left
        What the plan leaves of this sprayer; changed where a visit is.

    Notes
    -----
    The same visit: the same blocks from the same half-day on. It must still fit into the hours.
    """
    if not len(pick.taken) or len(pick.problem.volumes_gal_ac) == 1:
        return pick
    hours_h = calendar.hours_h(pick.machine)
    every = every_visit(pick.problem, pick.machine, calendar, begins=pick.taken.start)
    rows = [pick.taken.take(np.array([row])) for row in range(len(pick.taken))]
    for at, here in enumerate(rows):
        left.use(here, hours_h, -1)
        equal = _equal(pick.problem, every, here)
        equal = [row for row in equal if left.fits(every, row, hours_h)]
        equal = [row for row in equal if not _shares_a_day(every, row, rows[:at] + rows[at + 1 :])]
        if equal:
            rows[at] = every.take(np.array([max(equal, key=lambda row: _rank(pick.problem, every, row))]))
        left.use(rows[at], hours_h)
    return replace(pick, taken=joined(rows))


def _equal(problem: FieldProblem, every: Columns, here: Columns) -> list[int]:
    """Find the visits to the same blocks from the same half-day on that are less than a toss-up behind."""
    same = (every.first_block == here.first_block) & (every.last_block == here.last_block)
    same &= every.start == here.start
    toss_up_usd = (number("passes.toss_up_usd_ac") - SLACK) * (every.zones @ problem.area_ac)
    return [int(row) for row in np.flatnonzero(same & (every.value_usd >= here.value_usd - toss_up_usd))]


def _shares_a_day(every: Columns, row: int, others: Sequence[Columns]) -> bool:
    first, last = every.start[row] // 2, every.end[row] // 2
    return any(first <= other.end[0] // 2 and other.start[0] // 2 <= last for other in others)


def _rank(problem: FieldProblem, every: Columns, row: int) -> tuple[bool, float, float]:
    volume_gal_ac = problem.volumes_gal_ac[every.volume[row]]
    preferred = number("passes.preferred_volume_gal_ac")
    return abs(volume_gal_ac - preferred) < 0.5, volume_gal_ac, float(every.score[row])  # 140 L/ha is 15


def settled(pick: Pick, calendar: Calendar) -> Chosen:
    """Recompute the visits taken of a field exactly: every driven swath once."""
    problem, taken = pick.problem, pick.taken
    sprayed = np.zeros(len(problem.zones), dtype=np.bool_)
    made: list[Visit] = []
    gain = 0.0
    for row in range(len(taken)):
        zones, start, end = taken.zones[row], int(taken.start[row]), int(taken.end[row])
        made.append(_visit(pick, calendar, row, len(made) + 1))
        worth = allowed_over_days(problem, HALVES[start % 2])[end // 2 - start // 2]
        day = int(np.searchsorted(problem.days, made[-1].day))
        gain += float(worth[zones, day, taken.volume[row]].sum()) - made[-1].visit_costs_usd
        sprayed |= zones
    tracks = float(driven(problem, sprayed[np.newaxis])[0] @ swath_loss_usd(problem))
    off_ac = driven_off_ac(problem, sprayed)
    return Chosen(
        field=problem.field,
        visits=tuple(made),
        value_usd=gain - tracks,
        estimate_usd=float(taken.value_usd.sum() + least_usd(problem) @ sprayed),
        driven_off_ac=float(off_ac.sum()),
        driven_off_usd=float(off_ac @ problem.track_loss_usd_ac),
        place=pick.place,
    )


def nothing(problem: FieldProblem) -> Chosen:
    """Give a field without passes."""
    return Chosen(
        field=problem.field, visits=(), value_usd=0.0, estimate_usd=0.0, driven_off_ac=0.0, driven_off_usd=0.0
    )


def _visit(pick: Pick, calendar: Calendar, row: int, count: int) -> Visit:
    problem, machine, taken = pick.problem, pick.machine, pick.taken
    zones, volume = taken.zones[row], int(taken.volume[row])
    start, end = int(taken.start[row]), int(taken.end[row])
    area_ac = float(problem.area_ac[zones].sum())
    asked = work(machine, volume, np.array([area_ac]), problem.travel_h)
    hours_of = float(taken.first_h[row]), float(taken.last_h[row])
    hours_h = calendar.hours_h(machine)
    return Visit(
        number=count,
        sprayer=machine.name,
        day=calendar.first_day + start // 2,
        last_day=calendar.first_day + end // 2,
        half=HALVES[start % 2],
        volume_gal_ac=problem.volumes_gal_ac[volume],
        zones=tuple(zone for zone, is_in in zip(problem.zones, zones, strict=True) if is_in),
        area_ac=area_ac,
        loads=math.ceil(area_ac / machine.acres_per_load[volume] - SLACK),
        visit_costs_usd=float(visit_costs_usd(problem, np.array([area_ac]))[0]),
        parts=() if asked is None else parts_of(asked, hours_h, (start, end), hours_of, calendar.first_day),
    )
