"""Which ground of one pass lies beside which of another that was driven the opposite way."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.strips.cleaned.along import LEFT, Places, Runs, directions

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

_GOLDEN = (5**0.5 - 1) / 2  # method: multiples of it spread evenly between points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sides:
    """Places on one pass and the same ground on the pass beside it, driven the opposite way; shape (k,).

    `here` and `there` are places in `Runs.at` with fractions. `side` numbers pairs and, within them, on whose
    side a place is: 0 and 1 are the two sides of the first pair; `passes` are the two of each pair.
    Places lie anywhere between two points, because values are smoother between points than right at them, and
    that would favour shifts which put all places there.
    """

    here: Floats
    there: Floats
    side: Ints
    passes: Ints  # shape (pairs, 2)


def sides(places: Places, heading_deg: Floats, runs: Runs, inside: Bools) -> Sides:
    """Match ground on passes side by side that were driven opposite ways.

    Parameters
    ----------
    places, heading_deg : arrays of shape (m,)
        Of the points of passes; east + i north [m], clockwise from north [degrees].
    runs : Runs
        Their passes.
    inside : array of shape (m,)
        Points that may be matched.
    """
    none = np.zeros(0)
    usable = np.flatnonzero(inside & np.isfinite(heading_deg))
    ahead = directions(heading_deg)
    spacing_m = _spacing_m(places, ahead, runs.which, usable) if len(usable) > 1 else float("nan")
    if not np.isfinite(spacing_m):
        return Sides(here=none, there=none, side=none.astype(np.int64), passes=np.zeros((0, 2), np.int64))
    part = (np.arange(len(usable)) * _GOLDEN) % 1
    to_next = places[np.minimum(usable + 1, runs.last[usable])] - places[usable]
    here = places[usable] + part * to_next
    found = [
        _across(here + side * spacing_m * ahead[usable], places[usable], spacing_m) for side in (LEFT, -LEFT)
    ]
    rows = np.concatenate([row for row, _, _ in found])
    mine, other = usable[rows], usable[np.concatenate([near for _, near, _ in found])]
    probe = np.concatenate([place for _, _, place in found])
    turn = np.cos(np.deg2rad(heading_deg[mine] - heading_deg[other]))
    least = np.cos(np.deg2rad(number("strips.opposite_deg")))
    good = (turn < -least) & (runs.first[mine] != runs.first[other])
    mine, other = mine[good], other[good]
    two = np.sort(np.column_stack((runs.first[mine], runs.first[other])), axis=1)
    passes, pair = np.unique(two, axis=0, return_inverse=True)
    there = _foot(places, runs, other, probe[good])
    return Sides(
        here=mine + part[rows[good]],
        there=there,
        side=2 * pair.reshape(-1) + (runs.first[mine] > two[:, 0]),
        passes=passes,
    )


def _across(probe: Places, places: Places, reach_m: float) -> tuple[Ints, Ints, Places]:
    """Which probes have a point near, which point, and the probes."""
    from scipy.spatial import cKDTree  # slow to import

    tree = cKDTree(_columns(places))
    distance_m, near = tree.query(_columns(probe), distance_upper_bound=reach_m / 2)
    rows = np.flatnonzero(np.isfinite(distance_m))
    return rows, np.asarray(near)[rows], probe[rows]


def _columns(places: Places) -> Floats:
    return np.column_stack((places.real, places.imag))


def _spacing_m(places: Places, ahead: Places, which: Ints, usable: Ints) -> float:
    """Usual distance from a pass to the next one beside it, NaN where there is none."""
    from scipy.spatial import cKDTree  # slow to import

    some = usable[:: max(1, len(usable) // 2000)]  # method: enough points for a median
    most = min(64, len(usable))  # method: near enough to reach the next pass
    tree = cKDTree(_columns(places[usable]))
    _, nearest = tree.query(_columns(places[some]), k=range(1, most + 1))
    near = usable[np.atleast_2d(nearest)]
    across_m = np.abs(np.imag((places[near] - places[some, None]) * np.conj(ahead[some, None])))
    across_m = np.where(which[near] != which[some, None], across_m, np.inf).min(axis=1)
    across_m = across_m[np.isfinite(across_m) & (across_m > 0)]
    return float(np.median(across_m)) if len(across_m) else float("nan")


def _foot(places: Places, runs: Runs, near: Ints, probe: Places) -> Floats:
    """Where on its pass a point lies nearest to another place, as a place in `Runs.at` with a fraction."""
    low, high = np.maximum(near - 1, runs.first[near]), np.minimum(near + 1, runs.last[near])
    way = places[high] - places[low]
    length2 = np.abs(way) ** 2
    part = np.real((probe - places[low]) * np.conj(way)) / np.where(length2 > 0, length2, 1)
    return np.asarray(low + np.clip(part, 0, 1) * (high - low))
