"""How far what was measured lags behind the place: the shift at which opposite passes agree best.

Grain takes its time from the header to the sensor, and terminals take off a lag of their own, too small or
too large. What is left moves every pass along its own direction. So between two passes side by side that were
driven in opposite directions it pulls the same ground apart by twice its length; between two that were driven
in the same direction it cannot be seen.
"""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.evidence import number, numbers
from zoning.strips.cleaned.along import Places, Runs, means
from zoning.strips.cleaned.opposite import Sides, sides
from zoning.strips.cleaned.yields import Measured, yields
from zoning.strips.terms import Lag
from zoning.words import Said

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

_STEP = 0.5  # method: between shifts that are tried; the best lies between them
_SMOOTH = 4.0  # method: seconds to either side over which grain is averaged before passes are compared
_TOP = 4.0  # method: seconds to either side of the best shift through which the parabola goes


def lag(places: Places, heading_deg: Floats, runs: Runs, seen: Measured, time_s: Floats | None) -> Lag:
    """Estimate the lag of a file.

    Parameters
    ----------
    places, heading_deg : arrays of shape (m,)
        Of the points of passes: east + i north [m], clockwise from north [degrees].
    runs : Runs
        Their passes.
    seen : Measured
        What was measured there.
    time_s : array of shape (m,), optional
        Times; without them the lag is in points.

    Returns
    -------
    Lag
        `amount` is 0 where no lag can be told apart from none, and where it cannot be told, with `why`.

    Notes
    -----
    Shifting what was measured until neighbours agree is one of the criteria of S. O. Chung, K. A. Sudduth and
    S. T. Drummond, "Determining yield monitoring system delay time with geostatistical and data segmentation
    approaches"; the standard error, a jackknife over passes, and what counts as sure are ours.
    """
    along = apart(runs, time_s)
    steps = np.diff(along)[runs.is_step[1:]]
    steps = steps[steps > 0]
    none = Lag(
        amount=0.0,
        unit="points" if time_s is None else "s",
        likeness=float("nan"),
        likeness_before=float("nan"),
    )
    matched = sides(places, heading_deg, runs, _inside(along, runs))
    if not len(steps) or len(matched.passes) < number("strips.lag_least_pairs"):
        return replace(none, why=Said("cleaning.lag_few", pairs=len(matched.passes)))
    low, high = numbers("strips.lag_range_s")
    shifts = np.arange(round(low / _STEP), round(high / _STEP) + 1) * _STEP
    half = max(1, round(_SMOOTH / float(np.median(steps))))
    sums = _sums(_prepared(seen, runs, half), along, matched, shifts)
    return _judged(sums, matched.passes, shifts, none)


def apart(runs: Runs, time_s: Floats | None) -> Floats:
    """Give times, or numbers of points without them, with passes so far apart that no shift reaches another.

    Examples
    --------
    >>> from zoning.strips.cleaned.along import runs_of
    >>> apart(runs_of(np.array([0, 0, 1])), None)[:2].tolist()
    [0.0, 1.0]
    """
    if time_s is None:
        time_s = np.arange(len(runs.at), dtype=np.float64)
    gap = 2 * float(np.abs(numbers("strips.lag_range_s")).sum())
    begins = time_s[runs.first]
    lengths = (time_s[runs.last] - begins)[runs.starts]
    offsets = np.concatenate(([0.0], np.cumsum(lengths + gap)))
    return np.asarray(np.maximum.accumulate(time_s - begins + offsets[runs.which]))


def shifted(values: Floats, along: Floats, runs: Runs, amount: float) -> Floats:
    """Give each place what was measured `amount` later on the same pass, NaN where nothing was.

    Parameters
    ----------
    values, along : arrays of shape (m,)
        What was measured, and when (`apart`), of the points of passes.
    runs : Runs
        Their passes.
    amount : float
        In the unit of `along`.

    Examples
    --------
    >>> from zoning.strips.cleaned.along import runs_of
    >>> runs = runs_of(np.zeros(3, dtype=np.int64))
    >>> shifted(np.array([4.0, 6.0, 8.0]), np.arange(3.0), runs, 0.5).tolist()
    [5.0, 7.0, nan]
    """
    if not amount:
        return values
    then = along + amount
    is_measured = (then >= along[runs.first]) & (then <= along[runs.last])
    return np.where(is_measured, np.interp(then, along, values), np.nan)


def _inside(along: Floats, runs: Runs) -> Bools:
    """Points far enough from both ends of their pass that each shift finds something measured."""
    low, high = numbers("strips.lag_range_s")
    return np.asarray((along - along[runs.first] >= -low) & (along[runs.last] - along >= high))


def _prepared(seen: Measured, runs: Runs, half: int) -> Measured:
    """Hold outliers of the grain and average it, so that the noise of the sensor does not decide.

    Ground far from what is usual is left out: one way or swath that is wrong by a factor makes a yield that
    outweighs all others.
    """
    is_there = np.isfinite(seen.grain)
    low, high = _usual(seen.grain[is_there])
    grain = np.where(is_there, np.clip(seen.grain, low, high), 0.0)
    smooth = yields(means(grain, runs, half), means(is_there.astype(np.float64), runs, half))
    low, high = _usual(seen.ground[seen.ground > 0])
    is_usual = (seen.ground > 0) & (seen.ground >= low) & (seen.ground <= high)
    return replace(
        seen, grain=np.where(is_there, smooth, np.nan), ground=np.where(is_usual, seen.ground, np.nan)
    )


def _usual(values: Floats) -> tuple[float, float]:
    """Give the range of what is no outlier; without limits where values do not spread."""
    middle = float(np.median(values)) if len(values) else 0.0
    spread = number("zones.mad_to_sd") * float(np.median(np.abs(values - middle))) if len(values) else 0.0
    reach = number("strips.global_sd") * spread or np.inf
    return middle - reach, middle + reach


def _sums(seen: Measured, along: Floats, matched: Sides, shifts: Floats) -> Floats:
    """Sum squares and products within each pair of passes at each shift; shape (3, shifts, pairs)."""
    order, pairs = np.arange(len(along)), len(matched.passes)
    here, there = (np.interp(place, order, along) for place in (matched.here, matched.there))
    ground = [np.interp(place, order, seen.ground) for place in (matched.here, matched.there)]
    out = np.zeros((3, len(shifts), pairs))  # eq. xx, yy, xy
    for row, shift in enumerate(shifts):
        x = yields(np.interp(here + shift, along, seen.grain), ground[0])
        y = yields(np.interp(there + shift, along, seen.grain), ground[1])
        both = np.isfinite(x) & np.isfinite(y)
        side, x, y = matched.side[both], x[both], y[both]
        x -= _means(x, side, 2 * pairs)
        y -= _means(y, side, 2 * pairs)
        out[:, row] = [np.bincount(side // 2, product, pairs) for product in (x * x, y * y, x * y)]
    return out


def _means(values: Floats, side: Ints, sides: int) -> Floats:
    """Give each value the mean of its pass: passes differ by their treatment, and by the sensor's drift."""
    count = np.maximum(np.bincount(side, minlength=sides), 1)
    return np.asarray((np.bincount(side, values, sides) / count)[side])


def _likeness(sums: Floats) -> Floats:
    """Correlation from sums of squares and products, 0 where nothing varies."""
    xx, yy, xy = sums
    scale = np.sqrt(xx * yy)
    return np.asarray(np.divide(xy, scale, out=np.zeros(np.shape(xy)), where=scale > 0))


def _best(likeness: Floats, shifts: Floats) -> float:
    """Find the shift with the highest likeness: the top of a parabola through those around it."""
    top = int(np.argmax(likeness))
    reach = round(_TOP / _STEP)
    if top in (0, len(shifts) - 1):
        return float(shifts[top])
    near = slice(max(top - reach, 0), top + reach + 1)
    bend, slope, _ = np.polyfit(shifts[near] - shifts[top], likeness[near], 2)
    return float(shifts[top] + (np.clip(-slope / (2 * bend), -_TOP, _TOP) if bend < 0 else 0.0))


def _judged(sums: Floats, passes: Ints, shifts: Floats, none: Lag) -> Lag:
    """Take the best shift where it is sure, none where none is as good, else say that it cannot be told."""
    whole = sums.sum(axis=2)
    likeness = _likeness(whole)
    best = _best(likeness, shifts)
    zero, top = (int(np.argmin(np.abs(shifts - one))) for one in (0, best))
    others = (whole - sums[:, :, (passes == one).any(axis=1)].sum(axis=2) for one in np.unique(passes))
    left_out = [_best(_likeness(one), shifts) for one in others]
    se = float(np.sqrt((len(left_out) - 1) * np.var(left_out)))
    before, after = float(likeness[zero]), float(likeness[top])
    none = replace(none, likeness=before, likeness_before=before)
    is_edge = top in (0, len(shifts) - 1)
    if is_edge or after < number("strips.lag_least_likeness") or se > number("strips.lag_most_se_s"):
        return replace(none, why=Said("cleaning.lag_flat", pairs=len(passes)))
    if abs(best) <= number("strips.lag_sure_se") * se:
        return none
    return replace(none, amount=best, likeness=after)
