"""What the pairs of strips say of the whole field: mean, interval, chance that it pays, and the verdict.

The pair is the unit of replication: all points of a strip share its soil and its luck.
"""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.returns.pairs import LEAST_PAIRS, pair_sd_bu_ac, pairs_needed, power
from zoning.strips.terms import Money, PairSeen, Response, Told

Floats = npt.NDArray[np.float64]

CERTAINTY = 0.90  # method: intervals hold nine times of ten
_SHOWN_FRAC = 0.80  # method: four trials of five shall tell
_ALIKE = 1e-9  # method: a spread below this share of the differences is rounding
_LISTED = 36  # method: pairs up to which every relabelling is counted one by one
_GRID = 50_000  # method: steps to which the differences of more pairs are rounded


def response(pairs: Sequence[PairSeen], money: Money | None) -> Response | None:
    """Say what the pairs say: mean difference, 90 % interval, chance above break-even, and the verdict.

    Parameters
    ----------
    pairs : sequence of PairSeen
        Those that do not count, and those without a difference, are left out.
    money : Money or None
        For the break-even; None where no price is known.

    Returns
    -------
    Response or None
        None where no pair counts.

    Notes
    -----
    Mean and SE = SD / sqrt(n) of the differences, and Student's t with n - 1 degrees of freedom. The chance
    that the mean response is above break-even is 1 - T((break-even - mean) / SE), the answer of a prior that
    knows nothing (used for single trials by Munkvold et al. 2001, "Probabilities for profitable fungicide use
    against gray leaf spot in hybrid maize", Phytopathology 91:477-484). It paid if the whole interval lies
    above break-even, it did not if all of it lies below.

    One pair, and pairs that are alike to the last digit, have no spread of their own: then the pooled SD of
    pairs on farms stands in, with the normal distribution (`from_pooled_sd`). That is no finding of this
    field: with one pair it is never said that the pass paid, or that it did not.

    Examples
    --------
    >>> pairs = [PairSeen(pair=at, length_m=300, points=200, treated_bu_ac=60 + gain, untreated_bu_ac=60,
    ...     moisture_difference_frac=0.0) for at, gain in enumerate([3.0, 5.0, 4.0, 4.0], start=1)]
    >>> told = response(pairs, Money(price_usd_bu=10, cost_usd_ac=28, tracks_bu_ac=0.0))
    >>> round(told.mean_bu_ac, 2), round(told.low_bu_ac, 2), round(told.high_bu_ac, 2), told.told
    (4.0, 3.04, 4.96, 'paid')
    """
    differences = np.array([one.difference_bu_ac for one in pairs if one.why_not is None], dtype=np.float64)
    differences = differences[np.isfinite(differences)]
    count = len(differences)
    if not count:
        return None
    mean = float(differences.mean())
    sd = float(differences.std(ddof=1)) if count > 1 else math.nan
    is_pooled = not sd > _ALIKE * float(np.abs(differences).max())
    free = None if is_pooled else count - 1
    se = (pair_sd_bu_ac() if is_pooled else sd) / math.sqrt(count)
    low, high = interval(mean, se, free)
    needs = None if money is None else money.break_even_bu_ac
    told = told_by(low, high, needs, count)
    learned_sd = pair_sd_bu_ac() if is_pooled else drawn_sd_bu_ac(count, sd)
    return Response(
        pairs=count,
        mean_bu_ac=mean,
        sd_bu_ac=sd,
        se_bu_ac=se,
        low_bu_ac=low,
        high_bu_ac=high,
        p_two_sided=2 * chance_above(abs(mean), 0.0, se, free),
        relabelled_p=relabelled_p(differences),
        from_pooled_sd=is_pooled,
        money=money,
        chance_pays=None if needs is None else chance_above(needs, mean, se, free),
        told=told,
        pairs_needed=_needed(count, abs(mean - needs), learned_sd)
        if needs is not None and told == "cannot tell"
        else None,
        se_to_learn_bu_ac=learned_sd / math.sqrt(count),
    )


def interval(
    mean_bu_ac: float, se_bu_ac: float, free: int | None, certainty_frac: float = CERTAINTY
) -> tuple[float, float]:
    """Give the interval of a mean, of 90 % if not asked; `free` degrees of freedom, None for a known SD.

    Examples
    --------
    >>> [round(end, 2) for end in interval(2.0, 1.0, None)], [round(end, 2) for end in interval(2.0, 1.0, 3)]
    ([0.36, 3.64], [-0.35, 4.35])
    """
    from scipy.special import ndtri, stdtrit  # late: scipy is slow to import

    upper = 1 - (1 - certainty_frac) / 2
    half = se_bu_ac * float(ndtri(upper) if free is None else stdtrit(free, upper))
    return mean_bu_ac - half, mean_bu_ac + half


def chance_above(level_bu_ac: float, mean_bu_ac: float, se_bu_ac: float, free: int | None) -> float:
    """Chance that the true mean lies above a level, with nothing known beforehand [1].

    Parameters
    ----------
    level_bu_ac, mean_bu_ac, se_bu_ac : float
        The level, the mean that was seen and its standard error. [bu/ac]
    free : int or None
        Degrees of freedom; None for a known SD (normal).

    Examples
    --------
    >>> round(chance_above(2.5, 3.0, 3 * (1 / 4 + 1 / 4) ** 0.5, 6), 4)
    0.5892
    """
    from scipy.special import ndtr, stdtr  # late: as above

    score = (mean_bu_ac - level_bu_ac) / se_bu_ac
    return float(ndtr(score) if free is None else stdtr(free, score))


def told_by(
    low_bu_ac: float, high_bu_ac: float, break_even_bu_ac: float | None, pairs: int = LEAST_PAIRS
) -> Told | None:
    """Say by an interval whether the pass paid; None without a break-even. One pair tells nothing.

    Examples
    --------
    >>> told_by(3.1, 5.0, 2.8), told_by(2.1, 5.0, 2.8), told_by(-1.0, 2.5, 2.8)
    ('paid', 'cannot tell', 'did not pay')
    """
    if break_even_bu_ac is None:
        return None
    if pairs < LEAST_PAIRS:
        return "cannot tell"
    if low_bu_ac > break_even_bu_ac:
        return "paid"
    return "did not pay" if high_bu_ac < break_even_bu_ac else "cannot tell"


def drawn_sd_bu_ac(pairs: int, sd_bu_ac: float) -> float:
    """Draw the SD that few pairs show towards that of pairs on many farms [bu/ac].

    Parameters
    ----------
    pairs : int
        At least 1.
    sd_bu_ac : float
        Of their differences; not used with one pair. [bu/ac]

    Notes
    -----
    sd^2 = (w s0^2 + (n - 1) s^2) / (w + n - 1), with s0 pooled and w what it counts, in degrees of freedom.

    Examples
    --------
    >>> round(drawn_sd_bu_ac(1, float("nan")), 2), round(drawn_sd_bu_ac(6, 1.5), 2)
    (3.5, 3.2)
    """
    weight, free = number("strips.pooled_sd_weight"), pairs - 1
    own = free * sd_bu_ac**2 if free else 0.0
    return math.sqrt((weight * pair_sd_bu_ac() ** 2 + own) / (weight + free))


def _needed(pairs: int, gap_bu_ac: float, sd_bu_ac: float) -> int | None:
    """Pairs that would tell in four trials of five; None where more are needed than anybody lays."""
    most, level = int(number("returns.most_pairs_shown")), 1 - CERTAINTY
    if pairs >= most or power(most, gap_bu_ac, sd_bu_ac, level, 2) < _SHOWN_FRAC:
        return None
    return max(pairs + 1, pairs_needed(gap_bu_ac, sd_bu_ac, _SHOWN_FRAC, level, 2))


def relabelled_p(differences_bu_ac: Floats) -> float:
    """Share of all ways to call one strip of each pair the treated one that differ at least as much.

    Parameters
    ----------
    differences_bu_ac : ndarray of float, shape (pairs,)
        [bu/ac]

    Returns
    -------
    float
        Two-sided, the labels as they were among them: never below 2 / 2^n. Exact up to 36 pairs; above, for
        differences rounded to a fine grid, and no smaller than exact. [1]

    References
    ----------
    Fisher 1935, "The design of experiments", section 21

    Examples
    --------
    >>> relabelled_p(np.array([3.0, 5.0, 4.0, 4.0])), relabelled_p(np.array([3.0, -5.0, 1.0]))
    (0.125, 1.0)
    """
    size = float(np.abs(differences_bu_ac).sum())
    if not size:
        return 1.0
    if len(differences_bu_ac) > _LISTED:
        return _rounded_p(np.rint(_GRID * differences_bu_ac / size).astype(np.int64))
    least = abs(float(differences_bu_ac.sum())) - _ALIKE * size
    if least <= 0:
        return 1.0
    half = len(differences_bu_ac) // 2
    left, right = _sums(differences_bu_ac[:half]), np.sort(_sums(differences_bu_ac[half:]))
    below = np.searchsorted(right, -least - left, side="right").sum()
    reach = np.searchsorted(right, least - left, side="left")
    return float(below + (len(right) - reach).sum()) / (len(left) * len(right))


def _sums(values: Floats) -> Floats:
    """Sum values under all choices of signs."""
    sums = np.zeros(1)
    for value in values:
        sums = np.concatenate([sums - value, sums + value])
    return sums


def _rounded_p(steps: npt.NDArray[np.int64]) -> float:
    """Share of sums as far from 0, one difference after the other, for differences in whole steps."""
    reach = int(np.abs(steps).sum())
    share = np.zeros(2 * reach + 1)
    share[reach] = 1.0
    for step in np.abs(steps):
        share = (np.roll(share, step) + np.roll(share, -step)) / 2  # nothing reaches the ends before the last
    least = abs(int(steps.sum())) - len(steps)  # rounding may part sums that are alike by as much
    if least <= 0:
        return 1.0
    return float(min(1.0, share[: reach - least + 1].sum() + share[reach + least :].sum()))
