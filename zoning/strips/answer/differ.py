"""Whether zones responded differently at all: a test within pairs, which share their soil and their luck."""

import numpy as np
import numpy.typing as npt

from zoning.strips.answer.mixed import NOTHING, Layout

Floats = npt.NDArray[np.float64]


def differ_p(layout: Layout, difference: Floats) -> float:
    """Chance of zones that differ as much within pairs as these, where all respond alike.

    Parameters
    ----------
    layout : Layout
    difference : ndarray of float, shape (parts,)
        [bu/ac]

    Returns
    -------
    float
        By the F test of zones after pairs, weighted by length; NaN where pairs do not compare zones, or too
        few of them do to know what is left. [1]

    Examples
    --------
    >>> layout = Layout(zone=np.tile([0, 1], 3), pair=np.repeat([0, 1, 2], 2), weight=np.ones(6))
    >>> round(differ_p(layout, np.array([1.0, 3.0, 2.0, 3.5, 1.2, 2.8])), 3)  # a paired t test of zones
    0.008
    """
    from scipy.special import fdtrc  # late: scipy is slow to import

    if not layout.compares:
        return float("nan")
    root = np.sqrt(layout.weight)
    pairs = np.eye(layout.pairs)[layout.pair] * root[:, np.newaxis]
    both = np.hstack([pairs, np.eye(layout.zones)[layout.zone] * root[:, np.newaxis]])
    before, before_rank = _left(pairs, root * difference)
    after, after_rank = _left(both, root * difference)
    compared, free = after_rank - before_rank, len(difference) - after_rank
    if not compared or not free:
        return float("nan")
    if after <= NOTHING * before or before <= NOTHING * float(difference @ difference):
        return float("nan")
    return float(fdtrc(compared, free, (before - after) / compared / (after / free)))


def _left(columns: Floats, values: Floats) -> tuple[float, int]:
    """Squares that a regression leaves, and its rank."""
    found, _, rank, _ = np.linalg.lstsq(columns, values, rcond=None)
    left = values - columns @ found
    return float(left @ left), int(rank)
