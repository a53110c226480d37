"""How few the many points are: neighbours are alike, so that a strip's points are no repeats of it.

Nothing here narrows what the pairs say.
"""

import numpy as np
import numpy.typing as npt

from zoning.inputs.harvest.given import YieldPoints
from zoning.strips.terms import NOT_COUNTED, Cleaned, Placed, Spatial
from zoning.words import Said

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_NEIGHBOURS = 8  # method: nearest points that a point is compared with
_UNLIKE = 0.05  # method: neighbours are no longer alike below this correlation
_ALIKE = 1e-9  # method: a spread below this share of the yields is rounding
_LEAST_POINTS = 3  # method: fewer have no neighbours to speak of


def spatial(points: YieldPoints, cleaned: Cleaned, placed: Placed) -> Spatial | None:
    """Say how alike neighbours are after the strips' means, and how many points they are worth.

    Parameters
    ----------
    points : YieldPoints
    cleaned : Cleaned
        Of the same points.
    placed : Placed
        Of the same points.

    Returns
    -------
    Spatial or None
        None with fewer than three points that count, or where strips have no spread.

    Notes
    -----
    Residuals are yields less the mean of their strip and zone. Moran's I is taken over the nearest points,
    each with the same weight. A mean of n points that follow each other on a pass has the variance of
    n / (1 + 2 sum r_h) independent ones, with r_h the correlation h points further, as far as it is above 0.
    Passes side by side are alike, too, so that there are rather fewer.

    References
    ----------
    Bayley and Hammersley 1946, "The 'effective' number of independent observations in an autocorrelated time
    series", Supplement to the Journal of the Royal Statistical Society 8:184-197, doi 10.2307/2983560
    """
    counts = np.flatnonzero((placed.why == NOT_COUNTED.index("counts")) & np.isfinite(cleaned.yield_bu_ac))
    if len(counts) < _LEAST_POINTS:
        return None
    treated = placed.is_treated[counts].astype(np.int64)
    strip = _numbered(placed.pair[counts], treated)
    left = _less_means(cleaned.yield_bu_ac[counts], _numbered(strip, placed.zone[counts]))
    if left is None:
        return None
    at = np.column_stack([points.east_m[counts], points.north_m[counts]])
    here, there = nearest(at)
    range_m, worth = along_passes(left, _numbered(strip, cleaned.tracks.number[counts]), at)
    pairs = len(np.unique(placed.pair[counts]))
    return Spatial(
        points=len(counts),
        morans_i=morans_i(left, here, there, np.ones(len(here))),
        range_m=range_m,
        worth_points=worth,
        note=Said(
            "trial.spatial",
            points=len(counts),
            worth=worth,
            pairs=f"{pairs} pairs are" if pairs > 1 else "one pair is",
        ),
    )


def _numbered(one: Ints, other: Ints) -> Ints:
    """Give the groups of two keys numbers from 0 up."""
    base = other - other.min()
    return np.asarray(np.unique(one * (base.max() + 1) + base, return_inverse=True)[1])


def _less_means(values: Floats, group: Ints) -> Floats | None:
    """Values less the mean of their group; None where that leaves nothing but rounding."""
    left = values - (np.bincount(group, values) / np.bincount(group))[group]
    is_flat = left @ left <= len(left) * (_ALIKE * np.abs(values).max()) ** 2
    return None if is_flat else np.asarray(left)


def nearest(at: Floats, count: int = _NEIGHBOURS) -> tuple[Ints, Ints]:
    """List each point with its nearest others.

    Parameters
    ----------
    at : ndarray of float, shape (n, 2)
        East and north. [m]
    count : int
        How many others of each; fewer where there are not so many.

    Returns
    -------
    tuple of ndarray of int
        The points and their neighbours, one entry each for every two.

    Examples
    --------
    >>> here, there = nearest(np.array([[0.0, 0.0], [1.0, 0.0], [5.0, 0.0]]), 1)
    >>> here.tolist(), there.tolist()
    ([0, 1, 2], [1, 0, 1])
    """
    from scipy.spatial import cKDTree  # late: scipy is slow to import

    count = min(count, len(at) - 1)
    found = np.asarray(cKDTree(at).query(at, k=count + 1)[1])
    itself = found == np.arange(len(at))[:, np.newaxis]
    itself[~itself.any(axis=1), -1] = True  # more points on one spot than are asked for
    return np.repeat(np.arange(len(at)), count), found[~itself]


def morans_i(values: Floats, here: Ints, there: Ints, weight: Floats) -> float:
    """Give Moran's I: how alike neighbours are, about -1 / (n - 1) where they know nothing of each other.

    Parameters
    ----------
    values : ndarray of float, shape (n,)
        Not all the same.
    here, there : ndarray of int, shape (m,)
        Neighbours, two by two.
    weight : ndarray of float, shape (m,)
        Of each two.

    References
    ----------
    Moran 1950, "Notes on continuous stochastic phenomena", Biometrika 37:17-23, doi 10.2307/2332142

    Examples
    --------
    >>> row = np.arange(3)
    >>> round(morans_i(np.array([1.0, 1.0, -1.0, -1.0]), row, row + 1, np.ones(3)), 3)
    0.333
    """
    about = values - values.mean()
    together = float((weight * about[here]) @ about[there])
    # eq. I = n / S0 x sum(w z z') / sum(z^2)
    return len(values) / float(weight.sum()) * together / float(about @ about)


def along_passes(values: Floats, group: Ints, at: Floats) -> tuple[float, float]:
    """Follow passes: how far points stay alike, and how many independent ones they are worth.

    Parameters
    ----------
    values : ndarray of float, shape (n,)
        What is left after means, 0 on average.
    group : ndarray of int, shape (n,)
        Pass and strip; the points of a group are in the order in which they were made.
    at : ndarray of float, shape (n, 2)
        East and north. [m]

    Returns
    -------
    range_m : float
        Mean distance of the first points that are hardly alike, else of the last that were compared. [m]
    worth : float
        From 1 to n.
    """
    order = np.argsort(group, kind="stable")
    values, group, at = values[order], group[order], at[order]
    count, square = len(values), float(values @ values) / len(values)
    inflated, range_m, reached = 1.0, 0.0, False
    for step in range(1, int(np.bincount(group).max())):
        same = group[step:] == group[:-step]
        near, far = values[:-step][same], values[step:][same]
        alike = float(near @ far) / len(near) / square
        if not reached:
            apart = at[step:][same] - at[:-step][same]
            range_m = float(np.hypot(apart[:, 0], apart[:, 1]).mean())
            reached = alike < _UNLIKE
        if alike <= 0:
            break
        inflated += 2 * alike * len(near) / count
    return range_m, max(1.0, count / inflated)
