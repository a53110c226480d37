"""How strips must not be judged: as if every point were a repeat. Kept to measure how it is fooled."""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from made_chain import Seen
from scipy import stats

Floats = npt.NDArray[np.float64]


def _points(seen: Seen) -> tuple[Floats, npt.NDArray[np.bool_], npt.NDArray[np.int64]]:
    """Yield, treatment and pair of every point that counts."""
    counts = seen.placed.why == 0
    return seen.cleaned.yield_bu_ac[counts], seen.placed.is_treated[counts], seen.placed.pair[counts]


def interval_by_points(seen: Seen) -> tuple[float, float, float]:
    """Mean difference of all points and its 90 % interval, each point taken for a repeat."""
    yields, treated, _ = _points(seen)
    found = stats.ttest_ind(yields[treated], yields[~treated], equal_var=False)
    low, high = found.confidence_interval(0.90)
    return float(yields[treated].mean() - yields[~treated].mean()), float(low), float(high)


def p_of_points(seen: Seen) -> float:
    """Welch's t-test between all treated and all untreated points."""
    yields, treated, _ = _points(seen)
    return float(stats.ttest_ind(yields[treated], yields[~treated], equal_var=False).pvalue)


def p_of_points_in_pairs(seen: Seen) -> float:
    """Ordinary least squares on points, with a level of its own for each pair."""
    yields, treated, pair = _points(seen)
    levels = (pair[:, None] == np.unique(pair)).astype(float)
    design = np.column_stack([treated, levels])
    coefficients, left, _, _ = np.linalg.lstsq(design, yields)
    free = len(yields) - design.shape[1]
    se = np.sqrt(left[0] / free * np.linalg.inv(design.T @ design)[0, 0])
    return float(2 * stats.t.sf(abs(coefficients[0]) / se, free))


def p_of_two_strips(seen: Seen) -> float:
    """The same t-test between one treated strip and the untreated one beside it."""
    yields, treated, pair = _points(seen)
    here = pair == pair.min()
    return float(stats.ttest_ind(yields[here & treated], yields[here & ~treated], equal_var=False).pvalue)


def p_of_pairs(seen: Seen) -> float:
    """The right way, for comparison: one difference a pair."""
    assert seen.response is not None
    return seen.response.p_two_sided


WAYS: dict[str, Callable[[Seen], float]] = {
    "two strips, t-test on their points": p_of_two_strips,
    "all strips, t-test on their points": p_of_points,
    "all strips, least squares on points with pairs": p_of_points_in_pairs,
    "one difference a pair": p_of_pairs,
}
