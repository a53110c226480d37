"""The combine's points as two pictures of few colours: the yield of each spot, and points that were left out.

A spot has the mean of the few kept points that lie nearest, none of them farther than a header's width: what
lies farther was not harvested there.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt
import shapely

from zoning import colours
from zoning.plan import Area
from zoning.plan.trial import TrialResult

CLASSES = 9
_SIDE_M = 3.0
_MOST_CELLS = 260  # a side: finer than a screen shows
_FINE_M = 1.5  # of the picture of points that were left out
_MOST_FINE = 520
_NEAREST = 4
_REACH = 0.6  # of a header's width
_ENDS = (2.0, 98.0)  # percent: of the yields between which the colours lie

Shades = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cells:
    """Yield in classes 1 to 9 from `low` to `high`, 0 where nothing is known; and spots of points left out.

    Both begin in the upper left corner of the field's box.
    """

    yields: Shades
    side_m: float
    low_bu_ac: float
    high_bu_ac: float
    left_out: Shades
    fine_m: float


def palette() -> list[str]:
    """Give the colours of the classes, low to high: dark is more."""
    return [colours.ramp(colours.DATE, at / (CLASSES - 1)) for at in range(CLASSES)]


def cells_of(result: TrialResult, boundary_m: Area) -> Cells:
    """Put the points of a trial into cells.

    Parameters
    ----------
    result : TrialResult
        With any number of points, none too.
    boundary_m : Polygon or MultiPolygon
        Of the field, in the plane of its grid.
    """
    west, south, east, north = boundary_m.bounds
    wide, high = east - west, north - south
    side, fine = max(_SIDE_M, max(wide, high) / _MOST_CELLS), max(_FINE_M, max(wide, high) / _MOST_FINE)
    points = result.points
    kept = (points.removed_by == 0) & np.isfinite(points.yield_bu_ac)
    low, ends = (0.0, 1.0) if not kept.any() else np.percentile(points.yield_bu_ac[kept], _ENDS)
    shape = (max(1, int(np.ceil(high / side))), max(1, int(np.ceil(wide / side))))
    found = np.zeros(shape, dtype=np.uint8)
    if kept.any():
        x, y = _middles(shape, side, (west, north))
        inside = shapely.contains_xy(boundary_m, x, y)
        mean = _nearest(result, kept, np.column_stack([x[inside], y[inside]]))
        classes = 1 + np.floor((mean - low) / max(ends - low, 1e-9) * CLASSES)
        flat = np.zeros(x.size, dtype=np.uint8)
        known = np.isfinite(mean)
        flat[np.flatnonzero(inside)[known]] = np.clip(classes[known], 1, CLASSES).astype(np.uint8)
        found = flat.reshape(shape)
    return Cells(
        yields=found,
        side_m=side,
        low_bu_ac=float(low),
        high_bu_ac=float(ends),
        left_out=spots(result, result.points.removed_by > 0, (west, north), (wide, high), fine),
        fine_m=fine,
    )


def _middles(
    shape: tuple[int, int], side: float, corner: tuple[float, float]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Give the middles of all cells, row by row."""
    across = corner[0] + (np.arange(shape[1]) + 0.5) * side
    down = corner[1] - (np.arange(shape[0]) + 0.5) * side
    return np.tile(across, shape[0]), np.repeat(down, shape[1])


def _nearest(
    result: TrialResult, kept: npt.NDArray[np.bool_], places: npt.NDArray[np.float64]
) -> npt.NDArray[np.float64]:
    """Give the mean of the nearest points of each place, NaN where none is near."""
    from scipy.spatial import cKDTree

    points = result.points
    at = np.column_stack([points.east_m[kept], points.north_m[kept]])
    count = min(_NEAREST, len(at))
    reach = _REACH * result.header_m
    _, which = cKDTree(at).query(places, k=count, distance_upper_bound=max(reach, 1e-6))
    which = which.reshape(len(places), count)
    grown = np.append(points.yield_bu_ac[kept], np.nan)[which]
    has = np.isfinite(grown)
    total = np.where(has, grown, 0.0).sum(axis=1)
    many = has.sum(axis=1)
    return cast(npt.NDArray[np.float64], np.where(many > 0, total / np.maximum(many, 1), np.nan))


def spots(
    result: TrialResult,
    which: npt.NDArray[np.bool_],
    corner: tuple[float, float],
    size: tuple[float, float],
    side: float,
) -> Shades:
    """Mark the spots of some points.

    Parameters
    ----------
    result : TrialResult
    which : ndarray of bool, shape (points,)
    corner : tuple of float
        West and north of the picture, in the plane of the field's grid. [m]
    size : tuple of float
        How wide and high it is. [m]
    side : float
        Of a spot. [m]
    """
    shape = (max(1, int(np.ceil(size[1] / side))), max(1, int(np.ceil(size[0] / side))))
    found = np.zeros(shape, dtype=np.uint8)
    points = result.points
    shown = which & np.isfinite(points.east_m) & np.isfinite(points.north_m)
    column = np.floor((points.east_m[shown] - corner[0]) / side).astype(np.int64)
    row = np.floor((corner[1] - points.north_m[shown]) / side).astype(np.int64)
    inside = (row >= 0) & (row < shape[0]) & (column >= 0) & (column < shape[1])
    found[row[inside], column[inside]] = 1
    return found
