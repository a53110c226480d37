"""Points that differ from their neighbours: on their own pass, and never on the pass beside it.

A treated strip yields more than the untreated one beside it, and that is what the trial is to show. So a
point is held against its own pass only: what is added to a whole pass changes no decision.
"""

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.strips.cleaned.along import Runs, medians, per_pass, window_means

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

_SPREAD = 15  # method: a spread of fewer values than this to either side is unsure
_ROUNDING = 1e-9  # method: below it a difference is rounding


def differs_from_neighbours(values: Floats, along_m: Floats, runs: Runs) -> Bools:
    """Find values that lie far from the ones before and after them on the same pass.

    The difference from the local median is held against three local standard deviations: those of such
    differences in a wider window, and no less than half of what is usual on all passes.

    Parameters
    ----------
    values, along_m : arrays of shape (m,)
        Of points that are left, all there; their way along the pass. [m].
    runs : Runs
        Their passes.

    Examples
    --------
    >>> from zoning.strips.cleaned.along import runs_of
    >>> values = 50 + np.tile([0.0, 1.0, -1.0, 0.5, -0.5], 12)
    >>> values[30] = 20
    >>> runs = runs_of(np.zeros(60, dtype=np.int64))
    >>> np.flatnonzero(differs_from_neighbours(values, 2.0 * np.arange(60), runs)).tolist()
    [30]
    """
    if not len(values):
        return np.zeros(0, dtype=np.bool_)
    steps_m = np.diff(along_m, prepend=np.nan)[runs.is_step]
    usual_m = float(np.median(steps_m)) if len(steps_m) else 0.0
    reach = [
        number(key) / max(usual_m, 1.0) for key in ("strips.local_reach_m", "strips.local_spread_reach_m")
    ]
    off = np.abs(values - medians(values, runs, max(2, round(reach[0]))))
    local = np.sqrt(window_means(off**2, runs, max(_SPREAD, round(reach[1]))))
    spread = np.maximum(local, number("zones.mad_to_sd") * np.median(off) / 2)
    return np.asarray(off > number("strips.local_sd") * spread + _ROUNDING * np.abs(values))


def far_from_pass(values: Floats, runs: Runs) -> Bools:
    """Find values that lie more than three standard deviations from the median of their own pass.

    The standard deviation is that of all such differences in the file, outliers included, so that a poor part
    of the field is not one. What is missing is not far.
    """
    off = values - per_pass(values, runs)
    there = np.isfinite(off)
    if not there.any():
        return np.zeros(len(values), dtype=np.bool_)
    sd = float(np.sqrt(np.mean(off[there] ** 2)))
    return np.asarray(
        np.abs(np.where(there, off, 0)) > number("strips.global_sd") * sd + _ROUNDING * np.abs(values)
    )


def speed_steps(speed_m_s: Floats, runs: Runs) -> Bools:
    """Find points at which the speed jumps: a single one, or the two beside a lasting step."""
    most = number("strips.speed_step_frac")
    around = medians(speed_m_s, runs, 2)
    alone = np.abs(speed_m_s - around) > most * around
    smooth = medians(speed_m_s, runs, 1)
    here = np.arange(len(speed_m_s))
    before, after = smooth[np.maximum(here - 2, runs.first)], smooth[np.minimum(here + 1, runs.last)]
    step = (np.abs(after - before) > most * before) & runs.is_step
    step &= np.abs(np.diff(speed_m_s, prepend=speed_m_s[:1])) > most * before  # where it happens
    return np.asarray(alone | step | (np.append(step[1:], False) & (here < runs.last)))


def doubled(east_m: Floats, north_m: Floats) -> Bools:
    """Find points that lie where an earlier one lies.

    Examples
    --------
    >>> doubled(np.array([0.0, 2.0, 0.0]), np.zeros(3)).tolist()
    [False, False, True]
    """
    from scipy.spatial import cKDTree  # slow to import

    out = np.zeros(len(east_m), dtype=np.bool_)
    if len(east_m) > 1:
        tree = cKDTree(np.column_stack((east_m, north_m)))
        pairs = tree.query_pairs(number("strips.co_located_m"), output_type="ndarray")
        out[pairs.max(axis=1)] = True
    return out
