"""As-planted points and passes become pieces of ground, each with its planting run; dates are never averaged.

Knows times and places; the columns of a file are read in `planting`.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import rasterio.features
import shapely

from zoning.evidence import number
from zoning.inputs.blocks import Smallest
from zoning.inputs.boundary import polygons_of
from zoning.inputs.given import Area
from zoning.inputs.grid import Grid
from zoning.units import m2_from_ac

_STAIRS = 2  # cells: root of the area of a corner that is cut off; two take the stairs off any slope


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """Pieces of ground with their owners, and how much of the field lies far from every record."""

    pieces: tuple[Area, ...]
    owners: tuple[int, ...]
    smallest: Smallest
    far_frac: float


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

    Examples
    --------
    >>> hours = [0, 1, 30, 31, 2]
    >>> runs([datetime(2026, 5, 6) + timedelta(hours=hour) for hour in hours]).tolist()
    [0, 0, 1, 1, 0]
    """
    start = min(stamps)
    hour = np.array([(stamp - start) / timedelta(hours=1) for stamp in stamps])
    order = np.argsort(hour, kind="stable")
    pause = np.diff(hour[order])
    cuts = np.flatnonzero(pause > number("inputs.planting_run_gap_h")) + 1
    edges = [0, *cuts.tolist(), len(hour)]
    longest_h = 24 * number("inputs.planting_run_longest_d")
    begins = [begin for first, last in pairwise(edges) for begin in _cut(hour[order], first, last, longest_h)]
    found = np.empty(len(hour), dtype=int)
    found[order] = np.searchsorted(np.array(begins), np.arange(len(hour)), side="right") - 1
    return found


def _cut(hour: npt.NDArray[np.float64], first: int, last: int, longest_h: float) -> list[int]:
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


def median_day(days: Sequence[date]) -> date:
    """Give the middle planting day of a run; of two middle ones the earlier."""
    return sorted(days)[(len(days) - 1) // 2]


def numbered(keys: Sequence[Hashable]) -> npt.NDArray[np.int_]:
    """Give equal keys equal numbers, in the order in which they first stand."""
    known: dict[Hashable, int] = {}
    return np.array([known.setdefault(key, len(known)) for key in keys], dtype=int)


def ground(shapes: npt.NDArray[np.object_], owners: npt.NDArray[np.int_], whole: Area, grid: Grid) -> Ground:
    """Give every cell to its nearest record, and outline the cells of each owner.

    Parameters
    ----------
    shapes : ndarray of Point, MultiPoint, LineString or MultiLineString
        Where the planter was, in the CRS of the grid.
    owners : ndarray of int, shape (n,)
        The block that a record belongs to.
    whole : Polygon or MultiPolygon
        The boundary.
    grid : Grid
        The field's grid; blocks are made on its cells, or on finer ones.

    Returns
    -------
    Ground
        Pieces that cover the boundary; no piece at all when no record lies near the field.
    """
    far_m = number("inputs.planting_far_m")
    cell_m = min(grid.cell_m, number("inputs.planting_cell_most_m"))
    points, owner = _points(shapes, owners, cell_m)
    shapely.prepare(whole)
    near = shapely.dwithin(points, whole, far_m)
    points, owner = points[near], owner[near]
    speck_m2 = m2_from_ac(number("inputs.planting_speck_ac"))
    smallest = Smallest(number("inputs.sliver_width_m"), speck_m2)
    if not len(points):
        return Ground(pieces=(), owners=(), smallest=smallest, far_frac=1.0)
    west, south, east, north = whole.bounds
    cells = Grid.covering((west - cell_m, south - cell_m, east + cell_m, north + cell_m), grid.epsg, cell_m)
    centres = _pointed(np.stack(np.meshgrid(cells.east_m(), cells.north_m()), axis=-1).reshape(-1, 2))
    (_, record), distance_m = shapely.STRtree(points).query_nearest(
        centres, return_distance=True, all_matches=False
    )
    inside = shapely.contains(whole, centres)
    labels = owner[record].reshape(cells.shape).astype(np.int32)
    sieved = rasterio.features.sieve(labels, size=int(np.ceil(speck_m2 / cell_m**2)), connectivity=4)
    pieces, names = _outlined(sieved, cells)
    far_frac = float((distance_m[inside] > far_m).mean()) if inside.any() else 0.0
    return Ground(pieces=pieces, owners=names, smallest=smallest, far_frac=far_frac)


def _points(
    shapes: npt.NDArray[np.object_], owners: npt.NDArray[np.int_], step_m: float
) -> tuple[npt.NDArray[np.object_], npt.NDArray[np.int_]]:
    """Turn passes into points no farther apart than a cell."""
    dense = shapely.segmentize(shapes, step_m)
    corners, of_shape = shapely.get_coordinates(dense, return_index=True)
    return _pointed(corners), owners[of_shape]


def _pointed(corners: npt.NDArray[np.float64]) -> npt.NDArray[np.object_]:
    return np.asarray(shapely.points(corners), dtype=object)


def _outlined(labels: npt.NDArray[np.int32], cells: Grid) -> tuple[tuple[Area, ...], tuple[int, ...]]:
    """Outline equal labels as a valid coverage, with the stairs of the cells taken off."""
    found = list(rasterio.features.shapes(labels, connectivity=4, transform=cells.transform))
    parts = np.array([shapely.geometry.shape(shape) for shape, _ in found])
    names = np.array([int(value) for _, value in found])
    # A neighbour's corner on a straight edge has no vertex there until every edge is noded.
    clean = shapely.coverage_clean(parts)  # type: ignore[attr-defined]
    smooth = shapely.coverage_simplify(clean, _STAIRS * cells.cell_m, simplify_boundary=False)
    return tuple(polygons_of(part) for part in smooth), tuple(int(name) for name in names)
