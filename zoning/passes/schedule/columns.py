"""Every visit that could be made to a field with a sprayer, of which those are left that may be in a plan.

A visit is a set of zones, a volume and a pattern over half-days. One that another visit beats in everything
(blocks, half-days, hours and value) is in no plan that is better than one without it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from zoning.passes.problem import FieldProblem, Machine
from zoning.passes.schedule.patterns import SLACK, Pattern, longest_visit_d, patterns, work
from zoning.passes.schedule.zone_sets import ZoneSets, zone_sets

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

EARLIER_USD = 1e-5  # method: what a half-day earlier counts for among plans that return the same
FULLER_USD_AC = 1e-6  # method: what a zone counts for that neither adds nor loses
_AT_ONCE = 400  # method: visits that are compared with all others at once; bounds the memory


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Calendar:
    """The half-days of a farm's plan, counted through from the morning of `first_day`."""

    first_day: int
    days: int

    @property
    def slots(self) -> int:
        """How many half-days there are."""
        return 2 * self.days

    def hours_h(self, machine: Machine) -> Floats:
        """Hours of a machine in each half-day."""
        return np.asarray(machine.hours.of(self.first_day + np.arange(self.days)).reshape(-1))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Columns:
    """Visits to one field with one sprayer; every array has one entry (row) for each.

    `start` and `end` are half-days of the calendar, `first_h` and `last_h` the hours there (`last_h` is 0 for
    a visit inside one half-day). `value_usd` is what the visit returns by itself beyond `min_net`; `score`
    prefers, among equals, the earlier and then the fuller visit, and is never below the value. `outer` says
    that no mix of two others to the same blocks in the same half-days does as well; `undominated` finds it.
    """

    zones: Bools
    first_block: Ints
    last_block: Ints
    volume: Ints
    start: Ints
    end: Ints
    first_h: Floats
    last_h: Floats
    value_usd: Floats
    score: Floats
    outer: Bools

    def __len__(self) -> int:
        """Count the visits."""
        return len(self.volume)

    def take(self, rows: Ints | Bools) -> "Columns":
        """Give some of the visits."""
        return Columns(**{one.name: getattr(self, one.name)[rows] for one in fields(self)})


def every_visit(
    problem: FieldProblem,
    machine: Machine,
    calendar: Calendar,
    *,
    losing_too: bool = False,
    begins: Ints | None = None,
) -> Columns:
    """List the visits to a field that pay by themselves.

    Parameters
    ----------
    problem, machine
        One field with one sprayer.
    calendar : Calendar
        Holds all days of the problem.
    losing_too : bool
        List instead the best set of zones of each kind of visit, also where it loses.
    begins : ndarray of int, optional
        List only visits that begin in these half-days of the calendar.
    """
    hours_h = calendar.hours_h(machine)
    slot = 2 * (problem.days - calendar.first_day)
    starts = np.stack([slot, slot + 1], axis=1).reshape(-1)
    usable = hours_h[starts] > 0
    if begins is not None:
        usable &= np.isin(starts, begins)
    found = [_none(problem)]
    for sets in zone_sets(problem):
        asked = work(machine, sets.volume, sets.area_ac, problem.travel_h)
        if asked is None or not (losing_too or (sets.value_usd[0] > 0).any()):
            continue
        sets = replace(sets, value_usd=sets.value_usd[:, usable])
        list_ = _best if losing_too else _fewer_hours
        found += [
            _flat(problem, sets, pattern, starts[usable], (calendar, list_))
            for pattern in patterns(asked, hours_h, starts[usable])
        ]
    return joined(found)


def undominated(every: Columns) -> Columns:
    """Take out each visit that another one beats in everything.

    One inside a half-day is beaten by others inside it only, one that runs on by those of the same half-days
    and by those inside one of them: so most visits need not be compared.
    """
    every = every.take(np.argsort(-every.score, kind="stable"))  # the one that beats stands before the beaten
    inside = every.start == every.end
    kept = _unbeaten(every, np.flatnonzero(inside), np.zeros(0, dtype=np.int64))
    kept = np.concatenate([kept, _unbeaten(every, np.flatnonzero(~inside), kept)])
    every = every.take(np.sort(kept))
    return replace(every, outer=_outer(every))


def _unbeaten(every: Columns, rows: Ints, inside: Ints) -> Ints:
    """Leave those of some rows that none of the same half-days beats, and none of those inside one."""
    rows = rows[np.lexsort((rows, every.end[rows], every.start[rows]))]
    new = (np.diff(every.start[rows]) != 0) | (np.diff(every.end[rows]) != 0)
    groups = np.append(0, np.flatnonzero(new) + 1)
    cuts = groups[np.append(True, np.diff(groups // _AT_ONCE) != 0)]  # whole groups, many of them at once
    found = [np.zeros(0, dtype=np.int64)]
    for group in np.split(rows, cuts[1:]):
        if not group.size:
            continue
        first, last = every.start[group].min(), every.end[group].max()
        stand = inside[(every.start[inside] >= first) & (every.start[inside] <= last)]
        for others in np.split(np.sort(group), range(_AT_ONCE, group.size, _AT_ONCE)):
            ones = np.concatenate([stand, others])
            beaten = _beats(every.take(ones), every.take(others)) & (ones[:, np.newaxis] < others)
            left = others[~beaten.any(axis=0)]
            stand = np.concatenate([stand, left])
            found.append(left)
    return np.concatenate(found)


def _outer(every: Columns) -> Bools:
    """Find the visits that no mix of two others equals: as many hours in the mean, and no less returned.

    They are what the relaxation needs. Of zones of one window they are those that take the zones in by what
    an hour of each returns, the best first; where coming or wheel tracks are shared, groups of zones.
    """
    runs = every.end > every.start
    hours_h = np.where(runs, every.last_h, every.first_h)
    whole_h = np.where(runs, np.round(every.first_h / SLACK).astype(np.int64), 0)
    alike = np.stack([every.first_block, every.last_block, every.start, every.end, whole_h])
    left = np.lexsort((every.score, hours_h, *alike))
    while left.size > 2:
        same = (alike[:, left[1:]] == alike[:, left[:-1]]).all(axis=0)
        before = np.append(False, same)  # the first of its kind mixes with no visit at all
        at = left[:-1]
        low_h = np.where(before, np.append(0.0, hours_h[at]), 0.0)
        low = np.where(before, np.append(0.0, every.score[at]), 0.0)
        after = left[1:]
        up_h, up = np.append(hours_h[after], 0.0), np.append(every.score[after], 0.0)
        mix = (every.score[left] - low) * (up_h - low_h) <= (up - low) * (hours_h[left] - low_h)
        inner = np.append(same, False) & mix
        if not inner.any():
            break
        left = left[~inner]
    outer = np.zeros(len(every), dtype=np.bool_)
    outer[left] = True
    return outer


def by_day(every: Columns) -> Columns:
    """Leave, for a field whose visits share no half-day with anybody, the best one for each run of days.

    No two visits to a field are made on one day, so hours play no part any more.
    """
    if not len(every):
        return every
    first_day, last_day = every.start // 2, every.end // 2
    order = np.lexsort((-every.score, last_day, first_day, every.last_block, every.first_block))
    key = np.stack([every.first_block, every.last_block, first_day, last_day])[:, order]
    new = np.append(True, (np.diff(key, axis=1) != 0).any(axis=0))
    best = every.take(order[new])
    day = best.start // 2
    at = best.first_block, best.last_block, day - day.min(), best.end // 2 - day
    blocks = int(best.last_block.max()) + 1
    score = np.full((blocks, blocks, int(day.max() - day.min()) + 2, longest_visit_d()), -np.inf)
    score[at] = best.score
    return best.take(best.score > _inside(score)[at])


def _inside(score: Floats) -> Floats:
    """Best visit strictly inside each, of fewer blocks or days; (first, last, days, longest visit)."""
    blocks, _, _, longest = score.shape
    top, inner = score.copy(), np.full(score.shape, -np.inf)
    for width in range(blocks):
        for first in range(blocks - width):
            last = first + width
            here = inner[first, last]
            if width:
                np.maximum(top[first + 1, last], top[first, last - 1], out=here)
            for extra in range(longest):
                if extra:
                    shorter = np.maximum(top[first, last, :-1, extra - 1], top[first, last, 1:, extra - 1])
                    here[:-1, extra] = np.maximum(here[:-1, extra], shorter)
                top[first, last, :, extra] = np.maximum(score[first, last, :, extra], here[:, extra])
    return inner


def _none(problem: FieldProblem) -> Columns:
    whole, real = np.zeros(0, dtype=np.int64), np.zeros(0)
    return Columns(
        zones=np.zeros((0, len(problem.zones)), dtype=np.bool_),
        first_block=whole,
        last_block=whole,
        volume=whole,
        start=whole,
        end=whole,
        first_h=real,
        last_h=real,
        value_usd=real,
        score=real,
        outer=np.zeros(0, dtype=np.bool_),
    )


def joined(found: Sequence[Columns]) -> Columns:
    """Put visits to one field one after another."""
    return Columns(
        **{one.name: np.concatenate([getattr(part, one.name) for part in found]) for one in fields(Columns)}
    )


def _fewer_hours(score: Floats, value: Floats) -> Bools:
    """Of sets that end in the same half-day, in the order of acres, those that more acres improve."""
    least = np.full((1, score.shape[1]), SLACK)
    smaller = np.vstack([least, np.maximum.accumulate(score, axis=0)[:-1]])
    return np.asarray((score > np.maximum(smaller, SLACK)) & (value > SLACK))


def _best(score: Floats, value: Floats) -> Bools:
    """Of sets that end in the same half-day the best."""
    return np.asarray(np.isfinite(value) & (np.arange(len(score))[:, np.newaxis] == score.argmax(axis=0)))


def _flat(
    problem: FieldProblem,
    sets: ZoneSets,
    pattern: Pattern,
    starts: Ints,
    how: tuple[Calendar, Callable[[Floats, Floats], Bools]],
) -> Columns:
    """List the visits of one pattern."""
    calendar, listed = how
    earlier = EARLIER_USD * (calendar.slots - starts)
    fuller = FULLER_USD_AC * sets.area_ac
    found: list[tuple[Ints, Ints, Ints, Floats]] = []
    for runs in np.unique(pattern.runs[pattern.runs >= 0]).tolist():
        extra = (starts % 2 + runs) // 2
        in_time = extra < longest_visit_d()
        value = sets.value_usd[np.where(in_time, extra, 0), np.arange(starts.size)].T
        value = np.where((pattern.runs == runs) & in_time, value, -np.inf)
        score = value + fuller[:, np.newaxis]
        row, at = np.nonzero(listed(score, value))
        found.append((row, at, np.full(row.size, runs), value[row, at]))
    if not found:
        return _none(problem)
    row, at, runs_on, value_usd = (np.concatenate(part) for part in zip(*found, strict=True))
    zones = sets.zones[row]
    block = np.asarray(problem.block_of_zone, dtype=np.int64)
    return Columns(
        zones=zones,
        first_block=np.where(zones, block, block.size).min(axis=1, initial=block.size),
        last_block=np.where(zones, block, -1).max(axis=1, initial=-1),
        volume=np.full(row.size, sets.volume),
        start=starts[at],
        end=starts[at] + runs_on,
        first_h=pattern.first_h[row, at],
        last_h=pattern.last_h[row, at],
        value_usd=value_usd,
        score=value_usd + fuller[row] + earlier[at],
        outer=np.ones(row.size, dtype=np.bool_),
    )


def _beats(one: Columns, other: Columns) -> Bools:
    """Whether visits ask for no block, half-day or hour that others don't; shape (one, other)."""
    start, end = one.start[:, np.newaxis], one.end[:, np.newaxis]
    first_h, last_h = one.first_h[:, np.newaxis] - SLACK, one.last_h[:, np.newaxis] - SLACK
    alike = (
        (start == other.start) & (end == other.end) & (first_h <= other.first_h) & (last_h <= other.last_h)
    )
    at_first = (start == other.start) & (first_h <= other.first_h)
    at_last = (start == other.end) & (other.end > other.start) & (first_h <= other.last_h)
    within = (start > other.start) & (start < other.end)
    inside = (start == end) & (at_first | at_last | within)
    blocks = (one.first_block[:, np.newaxis] >= other.first_block) & (
        one.last_block[:, np.newaxis] <= other.last_block
    )
    return np.asarray(blocks & (alike | inside))
