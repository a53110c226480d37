"""What a visit says of a place: the likelihood of what was seen, for each shift of its R3 against the model.

Plants reach a stage spread around the place's own day; the intervals between the stages are the model's, give
or take; a visit stages all its plants too early or too late alike. It knows no prior and no other place.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from zoning.evidence import number, numbers
from zoning.inputs.given import PLANT_STAGES, AtOrPast, PodLength, Seen, StagedNote, Tally
from zoning.stage.daylength import Floats

STEP_D = 0.2  # method: step of the shifts on which likelihoods and posteriors are held
_HALF_WIDTH = 225  # method: steps to either side, so 45 d: a count may contradict by 30 d and keep its tail
_FINE = 4  # method: intervals are rounded to this part of a step, 0.05 d
_SETS = 64  # method: number of interval deviations that are averaged
_TAPS_SD = 4  # method: the staging error is cut off at this many SD
Parts = tuple[Floats, Floats]
_TINY = 1e-300  # method: smallest likelihood that still has a logarithm


def grid() -> Floats:
    """Shifts of R3 against the model on which posteriors are held, in days, -45 to 45 by 0.2."""
    shift_d = STEP_D * np.arange(-_HALF_WIDTH, _HALF_WIDTH + 1, dtype=np.float64)
    shift_d.setflags(write=False)
    return shift_d


GRID = grid()


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRules:
    """How far a count is believed.

    Parameters
    ----------
    plant_sd_d : float
        Plant-to-plant SD of a stage's day inside a place. [d]
    design_effect : float
        n plants tell as much as n divided by this many independent ones.
    staging_sd_d : float
        SD of the error that all plants of one visit share. [d]
    floor_d : float
        R3 is never known better than this after counts, 0 for no floor. [d]
    spread_factor : float
        Multiplies the intervals' own spread; 0 holds them at the model's.
    """

    plant_sd_d: float
    design_effect: float
    staging_sd_d: float
    floor_d: float
    spread_factor: float = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """The model's own days at a place, mean over the weather years and without its errors; day numbers."""

    r1_day: float
    r2_day: float
    r3_day: float
    r4_day: float
    r5_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """What was seen at a place on a day (day number with its fraction)."""

    day: float
    seen: Seen


NOON = 0.5  # a count is taken as made at noon


def count_rules() -> CountRules:
    """Read the usual rules from the evidence."""
    return CountRules(
        plant_sd_d=number("stage.plant_sd_d"),
        design_effect=number("stage.count_design_effect"),
        staging_sd_d=number("stage.staging_sd_d"),
        floor_d=number("stage.count_floor_d"),
    )


@cache
def standard_deviates() -> Floats:
    """Deviates of the four intervals, standard normal and fixed, shape (4, sets).

    References
    ----------
    A latin hypercube by the additive recurrence with the generalised golden ratio, Roberts 2018, "The
    unreasonable effectiveness of quasirandom sequences".
    """
    from scipy.special import ndtri  # late: not every run has counts

    intervals = 4  # method: R1 to R2, R2 to R3, R3 to R4, R4 to R5
    ratio = 2.0
    for _ in range(_SETS):
        ratio = (1 + ratio) ** (1 / (intervals + 1))  # eq. x^5 = x + 1
    step = ratio ** -np.arange(1, intervals + 1)
    points = (np.arange(_SETS) * step[:, None]) % 1
    rank = points.argsort(axis=1).argsort(axis=1)
    deviates = np.asarray(ndtri((rank + 0.5) / _SETS))
    deviates /= deviates.std(axis=1, keepdims=True)
    deviates.setflags(write=False)
    return deviates


def stage_offsets_d(expected: Expected, rules: CountRules) -> Floats:
    """Days from the beginning of R3 to that of R1 ... R5 for each set of interval deviations, (5, sets)."""
    share = number("stage.range_share_as_sd") * rules.spread_factor
    deviates = share * standard_deviates()
    if share == 0:
        deviates = deviates[:, :1]
    shortest = number("stage.shortest_interval_d")
    own_d = np.diff([expected.r1_day, expected.r2_day, expected.r3_day, expected.r4_day, expected.r5_day])
    names = ("r1_to_r2_range_d", "r2_to_r3_range_d", "r3_to_r4_range_d", "r4_to_r5_range_d")
    ranges = np.stack([numbers(f"stage.{name}") for name in names])
    interval_d = np.maximum(own_d[:, None] + np.diff(ranges) * deviates, shortest)
    interval_d[2] = np.clip(interval_d[2], *numbers("stage.r3_to_r4_range_d"))
    begin_d = np.concatenate([np.zeros((1, deviates.shape[1])), np.cumsum(interval_d, axis=0)])
    return np.asarray(begin_d - begin_d[2])


def _passed(since_r3_d: Floats, offset_d: Floats, plant_sd_d: float) -> tuple[Floats, Floats]:
    """Probability that a plant is past a stage, and that it is not, (sets or 1, days).

    Both keep their digits in their tails. `since_r3_d` falls by STEP_D from one to the next. The normal
    integral is taken once on a finer lattice and read from there for every set.
    """
    from scipy.special import ndtr  # late: not every run has counts

    fine_d = STEP_D / _FINE
    start = np.rint((offset_d - offset_d.min()) / fine_d).astype(np.int64)
    start = start if start.any() else start[:1]  # R3 itself: one row stands for all sets
    span = (len(since_r3_d) - 1) * _FINE + 1
    from_first = since_r3_d[0] - offset_d.min() - fine_d * np.arange(span + start.max())
    z = from_first / plant_sd_d

    def read(table: Floats) -> Floats:
        return np.asarray(np.lib.stride_tricks.sliding_window_view(table, span)[:, ::_FINE][start])

    return read(ndtr(z)), read(ndtr(-z))


def class_probabilities(
    wanted: Sequence[int], since_r3_d: Floats, offsets_d: Floats, plant_sd_d: float
) -> dict[int, Floats]:
    """Probability that a plant stands at one of the `PLANT_STAGES`, each of shape (sets, days).

    Parameters
    ----------
    wanted : sequence of int
        Indices into `PLANT_STAGES`.
    since_r3_d : ndarray
        Shape (days,): days since the place began R3, each `STEP_D` less than the one before. [d]
    offsets_d : ndarray
        As from `stage_offsets_d`. [d]
    plant_sd_d : float
        Plant-to-plant SD. [d]
    """
    last = len(PLANT_STAGES) - 1
    bounds = {bound for at in wanted for bound in (at, at + 1) if 0 < bound <= last}
    passed = {bound: _passed(since_r3_d, offsets_d[bound - 1], plant_sd_d) for bound in bounds}
    found = {}
    for at in wanted:
        if at == 0:
            found[at] = passed[1][1]
        elif at == last:
            found[at] = passed[last][0]
        else:
            (past, not_past), (past_next, not_next) = passed[at], passed[at + 1]
            # a difference of two small numbers keeps its digits, that of two numbers near one does not
            chance = not_next - not_past
            found[at] = np.subtract(past, past_next, out=chance, where=past < 0.5)
    return found


def _log(probability: Floats) -> Floats:
    return np.asarray(np.log(np.maximum(probability, _TINY)))


def _pod(longest_mm: float, since_r3_d: Floats) -> Floats:
    """Log likelihood of the longest pod: soft around the day its length stands for, or on one side of it."""
    from scipy.special import log_ndtr  # late: not every run has counts

    r3_mm, r4_mm = number("stage.r3_pod_mm"), number("stage.r4_pod_mm")
    told_d = (np.clip(longest_mm, 0, r4_mm) - r3_mm) / number("stage.pod_growth_mm_d")
    off = (since_r3_d - told_d) / number("stage.pod_sd_d")
    if longest_mm <= 0:
        return np.asarray(log_ndtr(-off))
    return np.asarray(log_ndtr(off) if longest_mm >= r4_mm else -(off**2) / 2)


def _plants(seen: Tally | StagedNote, since_r3_d: Floats, offsets_d: Floats, rules: CountRules) -> Parts:
    if isinstance(seen, StagedNote):
        plants = {PLANT_STAGES.index(seen.stage): number("stage.note_plants")}
    else:
        plants = {at: float(k) for at, k in enumerate(seen.plants) if k}
    chances = class_probabilities(list(plants), since_r3_d, offsets_d, rules.plant_sd_d)
    parts = [np.zeros((1, len(since_r3_d))), np.zeros((1, len(since_r3_d)))]
    for at, k in plants.items():
        late = at >= PLANT_STAGES.index("R3")
        parts[late] = parts[late] + k / rules.design_effect * _log(chances[at])
    return parts[0], parts[1]


def _seen(seen: Seen, since_r3_d: Floats, offsets_d: Floats, rules: CountRules) -> Parts:
    """Log likelihood of what was seen, each part (sets or 1, days), before the staging error.

    The first part depends on the intervals before R3 only, the second on those after it.
    """
    if isinstance(seen, PodLength):
        told = _pod(seen.longest_mm, since_r3_d)[None]
        return told, np.zeros_like(told)
    if isinstance(seen, AtOrPast):
        bound = PLANT_STAGES.index(seen.stage)
        past, not_past = _passed(since_r3_d, offsets_d[bound - 1], rules.plant_sd_d)
        told = (seen.k * _log(past) + (seen.n - seen.k) * _log(not_past)) / rules.design_effect
        return told, np.zeros_like(told[:1])
    return _plants(seen, since_r3_d, offsets_d, rules)


def _log_mean(logs: Floats) -> Floats:
    """Logarithm of the mean likelihood over the sets, (1, days); each day by its own largest."""
    if len(logs) == 1:
        return logs
    top = logs.max(axis=0, keepdims=True)
    return np.asarray(top + np.log(np.exp(logs - top).mean(axis=0, keepdims=True)))


def _staged(chance: Floats, taps: int, staging_sd_d: float) -> Floats:
    """Average a likelihood over the staging error, along its last axis, which loses `taps` at either end."""
    if taps == 0:
        return chance
    tap = np.arange(-taps, taps + 1)
    weight = np.exp(-((STEP_D * tap / staging_sd_d) ** 2) / 2)  # eq. normal density
    windows = np.lib.stride_tricks.sliding_window_view(chance, 2 * taps + 1, axis=-1)
    return np.asarray(windows @ (weight / weight.sum()))


def log_likelihood(visits: Sequence[Visit], expected: Expected, shift_d: Floats, rules: CountRules) -> Floats:
    """Log likelihood of all visits to one place, for shifts of its R3 against the model.

    Parameters
    ----------
    visits : sequence of Visit
        What was seen. Their order does not matter.
    expected : Expected
        The model's own days at the place.
    shift_d : ndarray
        Any shape; `GRID` for `posterior`. [d]
    rules : CountRules
        How far a count is believed.

    Returns
    -------
    ndarray
        Shape of `shift_d`, up to a constant; 0 throughout without a visit.

    Notes
    -----
    Ordered probit: the share of plants at or past stage s on day t is Phi((t + w - T_s) / plant SD), T_s the
    day of the place, w the visit's own staging error. All visits share the interval deviations in T_s. Both
    are integrated out. Plants that are alike are counted at the power 1 / design effect. Evaluated on steps
    of 0.2 d, between them interpolated.

    Examples
    --------
    >>> at = Expected(r1_day=192, r2_day=195, r3_day=205, r4_day=213, r5_day=219)
    >>> half = Visit(day=207.0, seen=AtOrPast(stage="R3", k=10, n=20))
    >>> round(float(GRID[np.argmax(log_likelihood([half], at, GRID, count_rules()))]), 1)
    2.0
    """
    if not visits:
        return np.zeros_like(shift_d)
    first_d = float(np.min(shift_d))
    span = (float(np.max(shift_d)) - first_d) / STEP_D
    steps = int(np.ceil(round(span, 6))) + 1  # method: digits, so that a whole number of steps stays one
    taps = int(np.ceil(_TAPS_SD * rules.staging_sd_d / STEP_D))
    lattice_d = first_d + STEP_D * np.arange(-taps, steps + taps, dtype=np.float64)
    offsets_d = stage_offsets_d(expected, rules)
    seen = [_seen(one.seen, one.day - expected.r3_day - lattice_d, offsets_d, rules) for one in visits]
    if len(visits) == 1:
        # given the day, the intervals before and after R3 are strangers: both averages are taken apart
        seen = [(_log_mean(seen[0][0]), _log_mean(seen[0][1]))]
    total: Floats = np.zeros((1, steps))
    for early, late in seen:
        logs = early + late
        top = logs.max()
        total = total + top + _log(_staged(np.exp(logs - top), taps, rules.staging_sd_d))
    return np.asarray(np.interp(shift_d, lattice_d[taps : taps + steps], _log_mean(total)[0]))
