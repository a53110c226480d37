"""Counts that nobody has made yet: tallies drawn from what is known of a place, and what each would say.

The same plants, intervals and staging errors as in `likelihood`, for many tallies at once. Knows no money.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import PLANT_STAGES
from zoning.stage.daylength import Floats
from zoning.stage.likelihood import STEP_D, CountRules, Expected, class_probabilities, stage_offsets_d
from zoning.stage.posterior import Place, covariance

Ints = npt.NDArray[np.int64]
_EVERY = 3  # method: every third step of the shifts is kept, 0.6 d, well below the staging error
_REACH_SD = 4  # method: shifts are held out to this many SD around what is known
_TAPS_SD = 3  # method: the staging error is cut off at this many SD
_ROUNDS = 60  # method: rounds in which the counts behind what is known are found again
_TINY = 1e-300  # method: smallest likelihood that still has a logarithm


def lattice(error_d: Floats) -> Floats:
    """Shifts of R3 on which foretold counts are weighed: around the draws of a place, by 0.6 d."""
    step_d = _EVERY * STEP_D
    reach = int(np.ceil(_REACH_SD * max(float(error_d.std()), step_d) / step_d))
    return np.asarray(float(error_d.mean()) + step_d * np.arange(-reach, reach + 1))


def drawn(
    since_r3_d: Floats,
    plants: Sequence[int],
    expected: Expected,
    rules: CountRules,
    chance: np.random.Generator,
) -> Ints:
    """Draw what visits to places would count.

    Parameters
    ----------
    since_r3_d : ndarray
        Shape (..., visits): how long R3 has begun where each visit is made. Every row has the same chance,
        with the same plants, errors and intervals. [d]
    plants : sequence of int
        Numbers of plants; the smaller counts are the first plants of the larger ones.
    expected : Expected
        The model's days at the place; only its intervals are used.
    rules : CountRules
        Spread of plants and intervals, staging error, and how many plants are alike (the design effect).
    chance : Generator
        The draws. Staging errors and intervals are spread evenly over their quantiles.

    Returns
    -------
    ndarray of int
        Shape (..., numbers of plants, visits, stages): plants at each of `PLANT_STAGES`.

    Examples
    --------
    >>> from zoning.stage.likelihood import count_rules
    >>> at = Expected(r1_day=192, r2_day=195, r3_day=205, r4_day=213, r5_day=219)
    >>> early = drawn(np.array([-40.0]), (10, 20), at, count_rules(), np.random.default_rng(1))
    >>> early.tolist()
    [[[10, 0, 0, 0, 0, 0]], [[20, 0, 0, 0, 0, 0]]]
    """
    from scipy.special import ndtri  # late: not every run foretells counts

    visits = since_r3_d.shape[-1]
    offsets_d = stage_offsets_d(expected, rules)
    offsets_d = offsets_d[:, np.argsort(offsets_d[0], kind="stable")]
    ratio = 1.324717957244746  # eq. x^3 = x + 1: visits, errors and intervals cover their cube evenly
    rank = [_ranks(np.arange(visits) / ratio**power + chance.random()) for power in (1, 2)]
    staging_d = rules.staging_sd_d * ndtri((rank[0] + 0.5) / visits)
    of_visit = rank[1] * offsets_d.shape[1] // visits
    apart = int(np.ceil(max(plants) / rules.design_effect))
    ahead_d = rules.plant_sd_d * chance.standard_normal((apart, visits))
    # eq. a plant is past a stage when t + w + its own lead is past the day of the place
    since_d = (since_r3_d + staging_d)[..., None, :] + ahead_d
    stage = np.sum([since_d - offset_d >= 0 for offset_d in offsets_d[:, of_visit]], axis=0)
    at_stage = stage[..., None, :, :] == np.arange(len(PLANT_STAGES))[:, None, None]
    alike = np.arange(max(plants)) // rules.design_effect == np.arange(apart)[:, None]
    how_many = np.stack([alike[:, :n].sum(axis=1) for n in plants]).astype(np.float64)
    tallies = how_many @ at_stage.astype(np.float64)  # whole numbers: exact
    return np.ascontiguousarray(np.moveaxis(tallies, -3, -1), dtype=np.int64)  # method: axes


def _ranks(position: Floats) -> Ints:
    """Rank the parts of positions beyond their whole turns."""
    return np.asarray((position % 1).argsort().argsort(), dtype=np.int64)


def likelihoods(
    tallies: Ints, days: Sequence[float], shift_d: Floats, expected: Expected, rules: CountRules
) -> Floats:
    """Likelihood of many tallies of some days, each as if it were the only visit.

    Parameters
    ----------
    tallies : ndarray of int
        Shape (days, ..., stages).
    days : sequence of float
        Of the visits, whole days apart. [day number]
    shift_d : ndarray
        Shape (shifts,), from `lattice`. [d]
    expected : Expected
        The model's own days at the place.
    rules : CountRules
        How far a count is believed.

    Returns
    -------
    ndarray
        Shape (days, ..., shifts), above 0; what `likelihood.log_likelihood` has the logarithm of, each up to
        a factor.
    """
    step_d = _EVERY * STEP_D
    taps = int(np.ceil(_TAPS_SD * rules.staging_sd_d / step_d))
    fine = (len(shift_d) + 2 * taps - 1) * _EVERY + 1
    # one table for all days: the days to R3 of an earlier one are those of the last, some steps on
    ahead = [round((max(days) - day) / STEP_D) for day in days]
    latest_d = max(days) - expected.r3_day - shift_d[0] + taps * step_d
    logs = _log_chances(latest_d - STEP_D * np.arange(max(ahead) + fine), expected, rules)
    first_late = PLANT_STAGES.index("R3")
    found = []
    for of_day, start in zip(tallies, ahead, strict=True):
        there = np.ascontiguousarray(logs[..., start : start + fine : _EVERY])
        # given the day, the intervals before and after R3 are strangers: both averages are taken apart
        both = _of_each(of_day[..., :first_late], there[:first_late], rules)
        both += _of_each(of_day[..., first_late:], there[first_late:], rules)
        both -= both.max(axis=-1, keepdims=True)
        found.append(np.maximum(_staged(np.exp(both, out=both), taps, rules), _TINY))
    return np.stack(found)


def _log_chances(since_r3_d: Floats, expected: Expected, rules: CountRules) -> npt.NDArray[np.float32]:
    """Log of the chance that a plant stands at each stage, shape (stages, sets, days)."""
    offsets_d = stage_offsets_d(expected, rules)
    at = range(len(PLANT_STAGES))
    found = class_probabilities(list(at), since_r3_d, offsets_d, rules.plant_sd_d)
    whole = (offsets_d.shape[1], len(since_r3_d))
    chances = np.stack([np.broadcast_to(found[k], whole) for k in at])
    # half the digits are plenty for counts that nobody has made, and twice as fast
    return np.asarray(np.log(np.maximum(chances, _TINY)), dtype=np.float32)


def _of_each(tallies: Ints, logs: npt.NDArray[np.float32], rules: CountRules) -> Floats:
    """Log of the mean likelihood of each tally over the sets, shape (..., shifts).

    Tallies that are alike, and most are, are weighed once.
    """
    digits = (tallies.max(initial=0) + 1) ** np.arange(tallies.shape[-1])
    _, first, which = np.unique(tallies @ digits, return_index=True, return_inverse=True)
    few = tallies.reshape(-1, tallies.shape[-1])[first]
    told = (few / rules.design_effect).astype(np.float32)
    found = _log_mean(told @ logs.transpose(1, 0, 2))
    return np.asarray(found[which.reshape(tallies.shape[:-1])])


def _log_mean(logs: npt.NDArray[np.float32]) -> Floats:
    """Logarithm of the mean likelihood over the sets, the first axis; `logs` is used up."""
    top = logs.max(axis=0)
    logs -= top
    np.exp(logs, out=logs)
    return np.asarray(top + np.log(logs.mean(axis=0)), dtype=np.float64)


def _staged(likelihood: Floats, taps: int, rules: CountRules) -> Floats:
    """Average over the staging error; the last axis loses `taps` at either end."""
    if taps == 0:
        return likelihood
    tap = np.arange(-taps, taps + 1) * _EVERY * STEP_D / rules.staging_sd_d
    weight = np.exp(-(tap**2) / 2)  # eq. normal density
    left = np.arange(likelihood.shape[-1] - 2 * taps)
    band = np.zeros((likelihood.shape[-1], len(left)))
    band[left + np.arange(len(tap))[:, None], left] = (weight / weight.sum())[:, None]
    return np.asarray(likelihood @ band)


def correlations(places: Sequence[Place], sd_d: Floats, counted: Sequence[bool]) -> Floats:
    """How far the errors of places go together, after the counts that were made.

    Parameters
    ----------
    places : sequence of Place
        Whose errors.
    sd_d : ndarray
        Shape (places,): SD of what is known of each now. [d]
    counted : sequence of bool
        Places with counts of their own.

    Returns
    -------
    ndarray
        Shape (places, places). Before any count, what the shared parts of the error give. A count takes away
        what two places share: its weight is found again from how far it has narrowed its place.

    Examples
    --------
    >>> two = [Place("v", "North", "1", 5.0), Place("v", "North", "2", 5.0)]
    >>> float(correlations(two, np.array([5.0, 5.0]), [False, False])[0, 1].round(2))
    0.84
    >>> float(correlations(two, np.array([1.5, 2.9]), [True, False])[0, 1].round(2))
    0.42
    """
    prior = covariance(places, places)
    at = np.flatnonzero(np.asarray(counted, dtype=np.bool_))
    weight = np.zeros(len(at))
    now = prior
    for _ in range(_ROUNDS if len(at) else 0):
        # eq. normal conditional with a precision at each counted place
        gain = np.linalg.solve(np.eye(len(at)) + weight[:, None] * prior[np.ix_(at, at)], np.diag(weight))
        now = prior - prior[:, at] @ gain @ prior[at]
        weight = np.maximum(weight + 1 / sd_d[at] ** 2 - 1 / np.diag(now)[at], 0)
    spread = np.sqrt(np.diag(now))
    return np.asarray(np.clip(now / np.outer(spread, spread), -1, 1))
