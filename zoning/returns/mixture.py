"""The arithmetic of a mixture of normal parts: moments, chance, quantiles, an update, a stage.

Knows nothing of money; which parts a place has is said in `response`.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import repeat

import numpy as np
import numpy.typing as npt

from zoning.returns.inverse import inverse
from zoning.returns.terms import Floats, Mixture, Part

_erfc = np.frompyfunc(math.erfc, 1, 1)  # of the standard library: importing scipy.special takes 0.3 s


def normal_cdf(score: npt.ArrayLike) -> Floats:
    """Chance that a standard normal variable is below a score, same shape [1].

    Examples
    --------
    >>> normal_cdf([0, 1.2816]).round(4).tolist()
    [0.5, 0.9]
    """
    return np.asarray(0.5 * np.asarray(_erfc(-np.asarray(score) / math.sqrt(2)), dtype=np.float64))


def columns(mixture: Mixture) -> tuple[Floats, Floats, Floats]:
    """Weights, means and SDs of the parts, each of shape (parts,) [1, bu/ac, bu/ac]."""
    parts = mixture.parts
    weight = np.array([part.weight for part in parts])
    middle = np.array([part.low_bu_ac + part.responding_bu_ac for part in parts])
    spread = np.array([part.sd_bu_ac for part in parts])
    return weight, middle, spread


def mean(mixture: Mixture) -> float:
    """Mean response of a mixture [bu/ac].

    Examples
    --------
    >>> low = Part(weight=0.5, low_bu_ac=1, responding_bu_ac=0, sd_bu_ac=1)
    >>> high = Part(weight=0.5, low_bu_ac=0, responding_bu_ac=3, sd_bu_ac=1)
    >>> mean(Mixture((low, high)))
    2.0
    """
    weight, middle, _ = columns(mixture)
    return float(weight @ middle)


def sd(mixture: Mixture) -> float:
    """SD of the response of a mixture [bu/ac].

    Examples
    --------
    >>> low = Part(weight=0.5, low_bu_ac=1, responding_bu_ac=0, sd_bu_ac=0)
    >>> high = Part(weight=0.5, low_bu_ac=0, responding_bu_ac=3, sd_bu_ac=0)
    >>> sd(Mixture((low, high)))
    1.0
    """
    weight, middle, spread = columns(mixture)
    return float(np.sqrt(weight @ (spread**2 + (middle - weight @ middle) ** 2)))


def exceedance(mixture: Mixture, threshold_bu_ac: float) -> float:
    """Chance that the response is above a threshold [1].

    Examples
    --------
    >>> part = Part(weight=1, low_bu_ac=2, responding_bu_ac=0, sd_bu_ac=1)
    >>> exceedance(Mixture((part,)), 2)
    0.5
    """
    weight, middle, spread = columns(mixture)
    return float(weight @ normal_cdf(scores(middle, threshold_bu_ac, spread)))


def scores(middle: Floats, threshold: float, spread: Floats) -> Floats:
    """Distance of each part's mean above a threshold, in its SDs; infinite where a part has no spread."""
    with np.errstate(divide="ignore", invalid="ignore"):
        score = (middle - threshold) / spread
    return np.asarray(np.where(spread > 0, score, np.where(middle > threshold, np.inf, -np.inf)))


def quantile(mixture: Mixture, chance_frac: npt.ArrayLike) -> Floats:
    """Response that is not exceeded with a given chance, same shape as `chance_frac` [bu/ac].

    Examples
    --------
    >>> part = Part(weight=1, low_bu_ac=2, responding_bu_ac=0, sd_bu_ac=1)
    >>> quantile(Mixture((part,)), [0.5, 0.975]).round(3).tolist()
    [2.0, 3.96]
    """
    chance = np.asarray(chance_frac, dtype=np.float64)
    return inverse(chance.ravel(), *columns(mixture)).reshape(chance.shape)


@lru_cache(maxsize=4096)  # method: mixtures remembered (16 MB): fields that ask the same have many alike
def sorted_draws(mixture: Mixture, draws: int) -> Floats:
    """Quantiles of a mixture at the mid-points (i + 0.5)/draws, rising; shape (draws,) [bu/ac].

    Mid-points leave out the outermost tails. The lowest and the highest draw stand for these: they are moved
    outwards until mean and SD of all draws are the mixture's own; the draws between stay where they are.
    """
    values = quantile(mixture, (np.arange(draws) + 0.5) / draws)
    inner = values[1:-1]
    middle = mean(mixture)
    # eq. the two ends b, t from b + t = n m - sum and b^2 + t^2 = n (m^2 + s^2) - sum of squares
    ends = draws * middle - inner.sum()
    squares = draws * (middle**2 + sd(mixture) ** 2) - inner @ inner
    square_half_width = squares / 2 - ends**2 / (2 * 2)
    if draws > 2 and square_half_width > 0:
        half_width = np.sqrt(square_half_width)
        values[0] = min(ends / 2 - half_width, values[1])
        values[-1] = max(ends / 2 + half_width, values[-2])
    values.setflags(write=False)
    return values


def update(mixture: Mixture, seen_bu_ac: float, variance: float) -> Mixture:
    """Move a mixture by a mean that was seen with a known error variance.

    Each part moves as a normal prior does under a normal observation; its weight is multiplied by how well
    it foretold what was seen.

    Parameters
    ----------
    mixture : Mixture
        What was believed before.
    seen_bu_ac : float
        The mean that was seen. [bu/ac]
    variance : float
        Variance of that mean about the response that is asked for, above 0. [(bu/ac)^2]

    Returns
    -------
    Mixture
        As many parts, in the same order. The part of a response that is low or responding stays so.

    Examples
    --------
    >>> prior = Mixture((Part(weight=1, low_bu_ac=1.64, responding_bu_ac=0, sd_bu_ac=1.7),))
    >>> after = update(prior, 4.0, 3.5**2 / 4)
    >>> round(mean(after), 4), round(sd(after), 4)
    (2.7858, 1.2194)
    """
    weight, middle, spread = columns(mixture)
    # eq. weight x N(x; m_k, sqrt(s_k^2 + v)), in logs against underflow
    total = spread**2 + variance
    log_fit = log_or_none(weight) - 0.5 * (np.log(total) + (seen_bu_ac - middle) ** 2 / total)
    fit = np.exp(log_fit - log_fit.max())
    # eq. normal-normal: gain = s_k^2 / (s_k^2 + v); m1 = m + gain (x - m); s1 = s sqrt(1 - gain)
    gain = spread**2 / total
    moved = middle + gain * (seen_bu_ac - middle)
    narrowed = spread * np.sqrt(1 - gain)
    parts = zip(mixture.parts, (fit / fit.sum()).tolist(), moved.tolist(), narrowed.tolist(), strict=True)
    return Mixture(tuple(_moved(*part) for part in parts))


def _moved(part: Part, weight: float, middle_bu_ac: float, sd_bu_ac: float) -> Part:
    low = low_share(part)
    return Part(
        weight=weight,
        low_bu_ac=low * middle_bu_ac,
        responding_bu_ac=(1 - low) * middle_bu_ac,
        sd_bu_ac=sd_bu_ac,
        frogeye=part.frogeye,
    )


def low_share(part: Part) -> float:
    """Share of a part's mean that follows the curve of crops without disease; 1 where the mean is 0."""
    middle = part.low_bu_ac + part.responding_bu_ac
    return part.low_bu_ac / middle if middle != 0 else 1.0


def with_stage(mixture: Mixture, low_frac: float, responding_frac: float, scale: float = 1.0) -> Mixture:
    """Put a mixture at a stage: each part's mean and SD shrink to the share of the response that is left.

    Parameters
    ----------
    mixture : Mixture
        Response at its best stage.
    low_frac, responding_frac : float
        Shares left of the low and of the responding response. [1]
    scale : float
        Any further factor on all of it, as for poor ground. [1]
    """
    return Mixture(tuple(_staged(part, scale * low_frac, scale * responding_frac) for part in mixture.parts))


def _staged(part: Part, low_frac: float, responding_frac: float) -> Part:
    left = low_share(part) * low_frac + (1 - low_share(part)) * responding_frac
    return replace(
        part,
        low_bu_ac=part.low_bu_ac * low_frac,
        responding_bu_ac=part.responding_bu_ac * responding_frac,
        sd_bu_ac=part.sd_bu_ac * left,
    )


def split_draws(mixture: Mixture, response_bu_ac: Floats) -> tuple[Floats, Floats]:
    """Divide each draw into what follows the low curve and what follows the responding curve.

    A draw D belongs to part k with responsibility r_k(D) = w_k N(D; m_k, s_k) / sum; its low share is
    sum_k r_k(D) x the low share of part k. So the mean of the staged draws is that of the staged mixture.

    Parameters
    ----------
    mixture : Mixture
        The mixture the draws came from.
    response_bu_ac : array, shape (draws,)
        Response at its best stage. [bu/ac]

    Returns
    -------
    (low, responding) : arrays, shape (draws,)
        They sum to `response_bu_ac`. [bu/ac]
    """
    share = np.array([low_share(part) for part in mixture.parts])
    if np.all(share == share[0]):
        low = response_bu_ac * share[0]
    else:
        low = response_bu_ac * (share @ _responsibility(mixture, response_bu_ac))
    return low, response_bu_ac - low


def _responsibility(mixture: Mixture, response_bu_ac: Floats) -> Floats:
    """Chance that a draw belongs to each part, shape (parts, draws)."""
    weight, middle, spread = (column[:, None] for column in columns(mixture))
    narrow = np.finfo(np.float64).tiny
    spread = np.maximum(spread, np.sqrt(narrow))
    # eq. w_k N(D; m_k, s_k) in logs, so that far tails do not become 0/0
    fit = response_bu_ac - middle
    fit /= spread
    np.square(fit, out=fit)
    fit *= -0.5
    fit += log_or_none(weight) - np.log(spread)
    fit -= fit.max(axis=0)
    np.exp(fit, out=fit)
    fit /= fit.sum(axis=0)
    return fit


def log_or_none(weight: Floats) -> Floats:
    """Logarithms of weights, minus infinity for 0."""
    return np.log(weight, where=weight > 0, out=np.full(weight.shape, -np.inf))


def with_odds(mixture: Mixture, odds: float, which: Callable[[Part], bool]) -> Mixture:
    """Multiply the odds of some parts: their weights against those of the others.

    Parameters
    ----------
    mixture : Mixture
    odds : float
        At least 0; 1 changes nothing.
    which : callable
        Says of a part whether it is one of them.

    Examples
    --------
    >>> low = Part(weight=0.5, low_bu_ac=1, responding_bu_ac=0, sd_bu_ac=1)
    >>> high = Part(weight=0.5, low_bu_ac=0, responding_bu_ac=3, sd_bu_ac=1)
    >>> moved = with_odds(Mixture((low, high)), 3.0, lambda part: part is high)
    >>> [part.weight for part in moved.parts]
    [0.25, 0.75]
    """
    weights = [part.weight * (odds if which(part) else 1) for part in mixture.parts]
    total = sum(weights)
    if odds == 1 or total <= 0:  # nothing moves; or all the weight lies on what is ruled out, and stays there
        return mixture
    return Mixture(tuple(_weighing(*one) for one in zip(mixture.parts, weights, repeat(total))))


def _weighing(part: Part, weight: float, of_all: float) -> Part:
    """Give a part another weight: as `replace` would, in a quarter of its time."""
    return Part(
        weight=weight / of_all,
        low_bu_ac=part.low_bu_ac,
        responding_bu_ac=part.responding_bu_ac,
        sd_bu_ac=part.sd_bu_ac,
        frogeye=part.frogeye,
    )


def from_parts(
    weights: Sequence[float], parts: Sequence[Sequence[float]], *, frogeye_last: bool = False
) -> Mixture:
    """Build a mixture from weights and (mean, SD) rows: the first is low only, the others respond only."""
    rows = list(zip(weights, parts, strict=True))
    return Mixture(
        tuple(
            Part(
                weight=float(weight),
                low_bu_ac=float(middle) if index == 0 else 0.0,
                responding_bu_ac=0.0 if index == 0 else float(middle),
                sd_bu_ac=float(spread),
                frogeye=frogeye_last and index == len(rows) - 1,
            )
            for index, (weight, (middle, spread)) in enumerate(rows)
        )
    )
