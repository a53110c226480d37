"""Layers on one robust scale, so that none outweighs another by its unit. Does not look at places."""

import numpy as np

from zoning.evidence import number
from zoning.zones.zoning import Bools, Floats

_SAME = 1e-9  # method: a range below this share of the values is a constant
_DECIMALS = 6  # method: rounding makes clusters the same whatever the unit of a layer


def is_constant(values: Floats) -> bool:
    """Say whether a layer has one value only, whatever its rounding errors.

    Examples
    --------
    >>> is_constant(np.array([0.3, 0.1 + 0.2]))
    True
    """
    low, high = float(values.min()), float(values.max())
    return high - low <= _SAME * max(abs(low), abs(high))


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

    Notes
    -----
    A layer of few values, of which one covers most cells, has no spread in this sense: it is not held, and
    is divided by the interquartile range of normal values of the same SD.

    Examples
    --------
    >>> robust(np.array([1.0, 2.0, 3.0, 4.0, 5.0]), np.ones(5, dtype=bool)).tolist()
    [-1.0, -0.5, 0.0, 0.5, 1.0]
    """
    known = values[teach]
    median = np.median(known)
    robust_sd = number("zones.mad_to_sd") * np.median(np.abs(known - median))
    reach = number("zones.clip_mad") * robust_sd if robust_sd > 0 else np.inf
    held = np.clip(values - median, -reach, reach)
    quarter, three_quarters = np.percentile(held[teach], (25, 75))  # eq. interquartile range
    spread = three_quarters - quarter
    if robust_sd == 0 or spread <= 0:
        spread = 2 / number("zones.mad_to_sd") * known.std()
    return np.asarray(np.round(held / spread, _DECIMALS))
