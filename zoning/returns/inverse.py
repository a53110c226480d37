"""Where the distribution function of a sum of normal parts reaches a chance. Knows nothing of responses."""

import math

import numpy as np

from zoning.returns.terms import Floats

_REACH_SD = 10.0  # method: the bracket reaches so far beyond the outermost parts, in the SD of the widest
_CORNERS_SD = np.linspace(-6.0, 6.0, 49)  # method: where each part is looked at to begin with
_MOST_ROUNDS = 100  # method: it takes about three, and 60 where brackets are only halved
_CLOSE_SD = 1e-5  # method: it ends with steps below this share of the SD of the narrowest part
_LEAST = 1e-150  # method: stands for 0 where it would divide


def inverse(chance: Floats, weight: Floats, middle: Floats, spread: Floats) -> Floats:
    """Find the value that is not exceeded with a given chance.

    Parameters
    ----------
    chance : ndarray of float, shape (n,)
        Above 0 and below 1.
    weight, middle, spread : ndarray of float, shape (parts,)
        Weights, which sum to 1, means and SDs of the parts; an SD may be 0.

    Returns
    -------
    ndarray of float, shape (n,)

    Notes
    -----
    There is no closed inverse. Halley's method begins on a line between points where the function is known,
    for all chances at once. Each has a bracket, which is halved where a step would leave it or is longer than
    half of the step before, as where a part without spread makes the function jump.

    Examples
    --------
    >>> inverse(np.array([0.5, 0.975]), np.ones(1), np.array([2.0]), np.ones(1)).round(3).tolist()
    [2.0, 3.96]
    """
    # late: slow to import, but whoever asks for quantiles has it already
    from scipy.special import ndtr

    # a row for each part: numpy is slow where the last axis is short
    of_part, sd = middle[:, None], np.maximum(spread, _LEAST)[:, None]
    reach = _REACH_SD * sd.max() + 1
    low, high = np.full(chance.shape, middle.min() - reach), np.full(chance.shape, middle.max() + reach)
    corners = np.sort((of_part + sd * _CORNERS_SD).ravel())
    at = np.interp(chance, weight @ ndtr((corners - of_part) / sd), corners)
    moved, close = high - low, _CLOSE_SD * sd.min()
    for _ in range(_MOST_ROUNDS):
        score = (at - of_part) / sd
        # eq. density of a normal part = exp(-z^2 / 2) / (s sqrt(2 pi)), its slope = -z / s times that
        of_parts = np.exp(-0.5 * score * score) * (weight[:, None] / (sd * math.sqrt(2 * math.pi)))
        below, density, slope = (
            weight @ ndtr(score),
            of_parts.sum(axis=0),
            (score * of_parts / -sd).sum(axis=0),
        )
        is_low = below < chance
        low, high = np.where(is_low, at, low), np.where(is_low, high, at)
        # eq. Halley: -g/g' / (1 - g g'' / (2 g'^2)), g being the chance below less that which is asked for
        step = (chance - below) / np.maximum(density, _LEAST)
        step /= np.maximum(1 + step * slope / np.maximum(2 * density, _LEAST), 0.5)
        after, size = at + step, np.abs(step)
        halved = ((after < low) | (after > high) | (2 * size > moved)) & (size > close)
        after = np.where(halved, 0.5 * (low + high), after)
        moved, at = np.abs(after - at), after
        if (moved <= close).all():  # in SDs a step leaves an error of about its cube
            break
    return np.asarray(at)
