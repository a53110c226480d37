"""Over which half-days a visit runs: inside one, or on through the next ones in whole loads.

Half-days ("slots") of a machine are counted through: morning and afternoon of the first day are 0 and 1.
Set-up and the way to the field come first, then load after load.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.passes.half_days import HALVES
from zoning.passes.problem import Machine, VisitPart

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

SLACK = 1e-9  # method: rounding of floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Work:
    """What visits with one tank mix need: hours before the first drop, of one load, and of each area."""

    before_h: float
    load_h: float
    spraying_h: Floats  # one for each area, filling included


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pattern:
    """Visits that begin alike: how far each area gets. All arrays have shape (areas, starts).

    `runs` is how many half-days after its first a visit ends, -1 where there is none; `last_h` are its hours
    there, 0 where it ends in the half-day in which it begins. Between first and last it takes all hours.
    """

    runs: Ints
    first_h: Floats
    last_h: Floats


def longest_visit_d() -> int:
    """Most days that one visit may be under way."""
    return int(number("passes.longest_visit_d"))


def work(machine: Machine, volume: int, area_ac: Floats, travel_h: float) -> Work | None:
    """Hours that areas take at one of the machine's volumes; None where it does not reach the volume.

    Examples
    --------
    >>> from zoning.passes.half_days import even
    >>> rig = Machine(name="rig", acres_per_hour=(78.0,), acres_per_load=(66.7,), set_up_h=0.25,
    ...     hours=even(200, 2, 5.0))
    >>> one = work(rig, 0, np.array([39.0, 78.0]), 0.5)
    >>> one.before_h, round(one.load_h, 2), one.spraying_h.tolist()
    (0.75, 0.86, [0.5, 1.0])
    """
    pace = machine.acres_per_hour[volume]
    if pace <= 0:
        return None
    load_h = 0.0 if np.isinf(pace) else machine.acres_per_load[volume] / pace
    return Work(before_h=machine.set_up_h + travel_h, load_h=load_h, spraying_h=area_ac / pace)


def patterns(asked: Work, hours_h: Floats, starts: Ints) -> Iterator[Pattern]:
    """Give every way in which visits can begin in given half-days.

    Parameters
    ----------
    asked : Work
        Of each area.
    hours_h : ndarray of float, shape (slots,)
        Spray hours of the machine.
    starts : ndarray of int
        Slots in which a visit may begin.

    Yields
    ------
    Pattern
        First the visits that fit into their half-day; then those that do 1, 2, 3 ... whole loads in it and
        run on; then those whose first load does not fit into it and that begin with all of its hours.
    """
    here_h = hours_h[starts]
    total_h = (asked.before_h + asked.spraying_h)[:, np.newaxis]
    fits = (total_h <= here_h + SLACK) & (here_h > 0)
    none = np.zeros(fits.shape)
    yield Pattern(runs=np.where(fits, 0, -1), first_h=total_h + none, last_h=none)
    if not np.isfinite(here_h).all():
        return
    longest_h = float(asked.spraying_h.max(initial=0.0))
    free = None
    loads = 1
    while loads * asked.load_h < longest_h - SLACK and asked.load_h > 0:
        done_h = loads * asked.load_h
        begins = asked.before_h + done_h <= here_h + SLACK
        if not begins.any():
            break
        free = free or _run_on(hours_h, starts, asked.load_h, np.zeros(starts.size))
        rest_h = np.where(begins, asked.spraying_h[:, np.newaxis] - done_h, 0.0)
        yield _ended(rest_h, np.full(fits.shape, asked.before_h + done_h), free)
        loads += 1
    first_load_h = asked.before_h + np.minimum(asked.load_h, asked.spraying_h)[:, np.newaxis]
    whole = (first_load_h > here_h + SLACK) & (here_h > 0)
    if whole.any():
        after = _run_on(hours_h, starts, asked.load_h, asked.before_h + asked.load_h - here_h)
        yield _ended(np.where(whole, total_h - here_h, 0.0), here_h + none, after)


def _ended(rest_h: Floats, first_h: Floats, after: tuple[Floats, Floats]) -> Pattern:
    """Find the half-day in which each visit ends, given what is left after its first one."""
    room_h, done_h = after
    ends = rest_h[..., np.newaxis] <= room_h + SLACK
    step = ends.argmax(axis=-1)
    there = (rest_h > SLACK) & ends.any(axis=-1)
    last_h = rest_h - done_h[np.arange(len(done_h)), step]
    return Pattern(
        runs=np.where(there, step + 1, -1), first_h=first_h, last_h=np.where(there, np.maximum(last_h, 0), 0)
    )


def _run_on(hours_h: Floats, starts: Ints, load_h: float, begun_h: Floats) -> tuple[Floats, Floats]:
    """Follow visits through the half-days after their first.

    A load is begun where it fits into what is left of a half-day, or would not fit into the whole of it.

    Returns
    -------
    tuple of ndarray, each of shape (starts, half-days after the first)
        Hours of work after the first half-day with which a visit can end there (-inf: not there), and what
        is done before it.
    """
    most = 2 * longest_visit_d() - 1
    room_h, before_h = np.full((2, starts.size, most), -np.inf)
    done_h = np.zeros(starts.size)
    begun_h = np.maximum(begun_h, 0.0)  # of a load that is under way
    for step in range(most):
        slot = starts + 1 + step
        in_time = (slot < hours_h.size) & (starts % 2 + 1 + step < 2 * longest_visit_d())
        here_h = np.where(in_time, hours_h[np.minimum(slot, hours_h.size - 1)], 0.0)
        usable = here_h > 0
        room_h[:, step] = np.where(usable, done_h + here_h, -np.inf)
        before_h[:, step] = done_h
        left_h = here_h - begun_h
        with np.errstate(invalid="ignore", divide="ignore"):
            loads = np.floor(left_h / load_h + SLACK) if load_h > 0 else np.zeros(starts.size)
            whole_h = np.where(np.isinf(here_h), here_h, begun_h + loads * load_h)
        runs_through = (left_h < 0) | (load_h > here_h + SLACK)
        did_h = np.where(usable, np.where(runs_through, here_h, whole_h), 0.0)
        still = np.where(left_h <= 0, -left_h, np.where(load_h > here_h + SLACK, load_h - left_h, 0.0))
        begun_h = np.where(usable, still, begun_h)
        done_h = done_h + did_h
    return room_h, before_h


def parts_of(
    asked: Work, hours_h: Floats, slots: tuple[int, int], hours_of: tuple[float, float], first_day: int
) -> tuple[VisitPart, ...]:
    """Write down what one visit does in each half-day.

    Parameters
    ----------
    asked : Work
        Of this visit; one area.
    hours_h : ndarray of float, shape (slots,)
        Spray hours of the machine.
    slots, hours_of
        First and last half-day of the visit, and its hours there.
    first_day : int
        Day number of slot 0.
    """
    start, end = slots
    worked = [(start, hours_of[0])]
    if end > start:
        begun_h = asked.before_h + asked.load_h - hours_of[0]  # negative where whole loads were done
        _, before_h = _run_on(hours_h, np.array([start]), asked.load_h, np.array([begun_h]))
        done_h = np.diff(before_h[0, : end - start])
        worked += [(start + 1 + step, float(h)) for step, h in enumerate(done_h) if h > SLACK]
        worked.append((end, hours_of[1]))
    made = []
    before_h_left = asked.before_h
    for slot, hours in worked:
        spraying_h = max(0.0, hours - before_h_left)
        before_h_left = max(0.0, before_h_left - hours)
        loads = spraying_h / asked.load_h if 0 < asked.load_h < np.inf else 0.0
        made.append(
            VisitPart(day=first_day + slot // 2, half=HALVES[slot % 2], hours_h=hours, loads=float(loads))
        )
    return tuple(made)
