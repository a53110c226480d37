"""Layers on one robust scale, so that none outweighs another by its unit. Does not look at places."""

from typing import NamedTuple

import numpy as np

from zoning.evidence import number
from zoning.zones.zoning import Bools, Floats

_SAME = 1e-9  # method: a range below this share of the values is a constant
_FINEST = 1e6  # method: rounding to its inverse makes clusters the same whatever the unit of a layer


class Scale(NamedTuple):
    """How far values of each layer may lie from their middle, and what counts as one; shape (layers,)."""

    reach: Floats
    spread: Floats


def is_constant(values: Floats) -> bool:
    """Say whether a layer has one value only, whatever its rounding errors.

    Examples
    --------
    >>> is_constant(np.array([0.3, 0.1 + 0.2]))
    True
    """
    return bool(are_constant(values[None])[0])


def are_constant(values: Floats) -> Bools:
    """Say which layers, of shape (layers, n), have no more than one value; NaN is none."""
    low = np.fmin.reduce(values, axis=1, initial=np.inf)
    high = np.fmax.reduce(values, axis=1, initial=-np.inf)
    return np.asarray(high - low <= _SAME * np.maximum(np.abs(low), np.abs(high)))


def _quantiles(values: Floats, *fracs: float) -> Floats:
    """Quantiles of each layer, linear between two values; NaN lies beyond all of them."""
    if not values.size:
        return np.full((len(fracs), len(values)), np.nan)
    ordered = np.sort(values, axis=1)
    last = np.isfinite(ordered).sum(axis=1) - 1
    layer = np.arange(len(values))
    found = []
    for frac in fracs:
        below = (frac * last).astype(np.int64)
        low, high = ordered[layer, below], ordered[layer, np.minimum(below + 1, last)]
        found.append(low + (frac * last - below) * (high - low))
    return np.array(found)


def medians(values: Floats) -> Floats:
    """Median of each layer, of shape (layers, n); NaN is left out.

    Examples
    --------
    >>> medians(np.array([[1.0, 2.0, 4.0, np.nan], [1.0, 3.0, 5.0, 7.0]])).tolist()
    [2.0, 4.0]
    """
    return np.asarray(_quantiles(values, 0.5)[0])


def scales_of(values: Floats) -> Scale:
    """Take the scale of each layer from cells that teach, of shape (layers, n); NaN is left out.

    Notes
    -----
    A layer of few values, of which one covers most cells, has no spread in this sense: it is not held, and
    is divided by the interquartile range of normal values of the same SD.
    """
    low, middle, high = _quantiles(values, 0.25, 0.5, 0.75)  # eq. interquartile range
    robust_sd = number("zones.mad_to_sd") * medians(np.abs(values - middle[:, None]))
    reach = np.where(robust_sd > 0, number("zones.clip_mad") * robust_sd, np.inf)
    spread = np.minimum(high, middle + reach) - np.maximum(low, middle - reach)
    for layer in np.flatnonzero((robust_sd == 0) | (spread <= 0)):
        known = values[layer][np.isfinite(values[layer])]
        spread[layer] = 2 / number("zones.mad_to_sd") * known.std()
    return Scale(reach, spread)


def scaled(values: Floats, middle: Floats, scale: Scale) -> Floats:
    """Hold values, of shape (layers, n), within reach of their middle and divide them by their spread."""
    held = values - middle
    reach = scale.reach[:, None]
    np.minimum(held, reach, out=held)
    np.maximum(held, -reach, out=held)
    held *= _FINEST / np.where(scale.spread > 0, scale.spread, np.inf)[:, None]
    np.rint(held, out=held)
    held /= _FINEST
    return held


def robust(values: Floats, teach: Bools) -> Floats:
    """Hold a layer within some robust SDs of its median and divide it by its interquartile range.

    Parameters
    ----------
    values : ndarray of float, shape (n,)
        One layer; NaN where nothing was seen.
    teach : ndarray of bool, shape (n,)
        Cells from which median and spread are taken; none of them NaN, not all alike.

    Returns
    -------
    ndarray of float, shape (n,)
        0 at the median of the teaching cells. [interquartile ranges]

    Examples
    --------
    >>> robust(np.array([1.0, 2.0, 3.0, 4.0, 5.0]), np.ones(5, dtype=bool)).tolist()
    [-1.0, -0.5, 0.0, 0.5, 1.0]
    """
    taught = values[teach][None]
    return np.asarray(scaled(values[None], medians(taught)[:, None], scales_of(taught))[0])
