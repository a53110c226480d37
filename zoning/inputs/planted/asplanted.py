"""As-planted records in time and space: the planter's runs, and whose record lies nearest to a cell.

Knows times and places; what was sown is put beside them in `recorded`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import rasterio.features
import shapely

from zoning.evidence import number
from zoning.inputs.given import Area
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.ground.boundary import polygons_of

Ints = npt.NDArray[np.int64]
_STAIRS_M = 10.0  # root of the area of a corner that is cut off: takes off the stairs from record to record
_WITHIN_RUN = 4  # a pause longer than this part of the one between runs may set strays apart


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Points:
    """Where the planter was: places [m], shape (n, 2), and the row of the file of each."""

    at_m: Floats
    row: Ints

    def those(self, wanted: npt.NDArray[np.bool_] | Ints) -> "Points":
        """Keep some of the points."""
        return Points(at_m=self.at_m[wanted], row=self.row[wanted])


def runs(stamps: Sequence[datetime]) -> npt.NDArray[np.int_]:
    """Tell the planter's runs apart: a long pause begins a new one, and a run that lasts too long is cut.

    Parameters
    ----------
    stamps : sequence of datetime
        When each record was made, in any order.

    Returns
    -------
    ndarray of int, shape (n,)
        0 for the first run.

    Notes
    -----
    A few records in the middle of a pause, as by a clock that was wrong, are a run of their own: they do not
    make one run of what lies before and after them.

    Examples
    --------
    >>> hours = [0, 1, 30, 31, 2]
    >>> runs([datetime(2026, 5, 6) + timedelta(hours=hour) for hour in hours]).tolist()
    [0, 0, 1, 1, 0]
    """
    start = min(stamps)
    hour = np.array([(stamp - start) / timedelta(hours=1) for stamp in stamps])
    order = np.argsort(hour, kind="stable")
    cuts = _pauses(hour[order], number("inputs.planting_run_gap_h"))
    edges = [0, *cuts, len(hour)]
    longest_h = 24 * number("inputs.planting_run_longest_d")
    begins = [begin for first, last in pairwise(edges) for begin in _cut(hour[order], first, last, longest_h)]
    found = np.empty(len(hour), dtype=int)
    found[order] = np.searchsorted(np.array(begins), np.arange(len(hour)), side="right") - 1
    return found


def _pauses(hour: Floats, longest_h: float) -> list[int]:
    """Give where a run begins after a pause; a few records that stand in a pause do not bridge it."""
    cuts = set((np.flatnonzero(np.diff(hour) > longest_h) + 1).tolist())
    groups = np.split(np.arange(len(hour)), np.flatnonzero(np.diff(hour) > longest_h / _WITHIN_RUN) + 1)
    few = number("inputs.planting_stray_frac") * len(hour)
    working = np.concatenate([[], *(group for group in groups if len(group) >= few)]).astype(int)
    for before, after in pairwise(working.tolist()):
        if hour[after] - hour[before] > longest_h:
            cuts |= {before + 1, after}
    return sorted(cuts)


def _cut(hour: Floats, first: int, last: int, longest_h: float) -> list[int]:
    """Cut hour[first:last] at its longest pauses until no part lasts too long; give where the parts begin."""
    begins, open_parts = [], [(first, last)]
    while open_parts:
        low, high = open_parts.pop()
        if high - low < 2 or hour[high - 1] - hour[low] <= longest_h:
            begins.append(low)
            continue
        at = low + 1 + int(np.diff(hour[low:high]).argmax())
        open_parts += [(low, at), (at, high)]
    return sorted(begins)


def middle(ordered: npt.NDArray[np.generic]) -> int:
    """Place of the middle one of sorted values; of two middle ones the first, so that no day is made up."""
    return (len(ordered) - 1) // 2


def points_of(shapes: npt.NDArray[np.object_], whole: Area, step_m: float) -> Points:
    """Turn records into points that count for a field: those inside, or else those near it.

    Parameters
    ----------
    shapes : ndarray of Point, MultiPoint, LineString or MultiLineString
        Where the planter was, in metres.
    whole : Polygon or MultiPolygon
        The boundary.
    step_m : float
        Passes become points no farther apart than this.

    Returns
    -------
    Points
        None at all when no record lies near the field.
    """
    dense = shapely.segmentize(shapes, step_m)
    at_m, row = shapely.get_coordinates(dense, return_index=True)
    every = Points(at_m=at_m, row=row)
    shapely.prepare(whole)
    places = _pointed(at_m)
    for reach_m in (number("inputs.sliver_width_m"), number("inputs.planting_far_m")):
        near = np.asarray(shapely.dwithin(places, whole, reach_m))
        if near.any():
            return every.those(near)
    return every.those(near)


def nearest(points: Points, cells: Grid) -> tuple[npt.NDArray[np.int_], Floats]:
    """Give every cell its nearest point, and how far that is [m]; both of the grid's shape."""
    centres = _pointed(np.stack(np.meshgrid(cells.east_m(), cells.north_m()), axis=-1).reshape(-1, 2))
    tree = shapely.STRtree(_pointed(points.at_m))
    (_, point), distance_m = tree.query_nearest(centres, return_distance=True, all_matches=False)
    return point.reshape(cells.shape), distance_m.reshape(cells.shape)


def _pointed(at_m: Floats) -> npt.NDArray[np.object_]:
    return np.asarray(shapely.points(at_m), dtype=object)


def cells_at(at_m: Floats, cells: Grid) -> tuple[npt.NDArray[np.int_], npt.NDArray[np.int_]]:
    """Give row and column of the cell that holds each place, or of the nearest one."""
    row = np.floor((cells.top_m - at_m[:, 1]) / cells.cell_m).astype(int)
    column = np.floor((at_m[:, 0] - cells.left_m) / cells.cell_m).astype(int)
    return np.clip(row, 0, cells.shape[0] - 1), np.clip(column, 0, cells.shape[1] - 1)


def outlined(labels: npt.NDArray[np.int32], cells: Grid) -> tuple[tuple[Area, ...], tuple[int, ...]]:
    """Outline equal labels as a valid coverage, with the stairs of the cells taken off."""
    found = list(rasterio.features.shapes(labels, connectivity=4, transform=cells.transform))
    parts = np.array([shapely.geometry.shape(shape) for shape, _ in found])
    names = np.array([int(value) for _, value in found])
    # A neighbour's corner on a straight edge has no vertex there until every edge is noded.
    clean = shapely.coverage_clean(parts)  # type: ignore[attr-defined]
    smooth = shapely.coverage_simplify(clean, _STAIRS_M, simplify_boundary=False)
    return tuple(polygons_of(part) for part in smooth), tuple(int(name) for name in names)
