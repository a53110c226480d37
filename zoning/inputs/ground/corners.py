"""Corners that only one of two neighbours has, where their edges meet: both get them.

A corner on the edge of another polygon would make the two overlap by a hair once they are in degrees, and
joining polygons by their common edges would leave an outline that is not valid.
"""

from collections.abc import Collection, Sequence

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LinearRing, MultiPolygon, Polygon

from zoning.inputs.given import Area

Floats = npt.NDArray[np.float64]

_ON_EDGE_M = 1e-5  # a corner that is nearer to an edge lies on it: rounding of floats is far less


def with_shared_corners(first: Sequence[Area], second: Sequence[Area]) -> tuple[list[Area], list[Area]]:
    """Put the corners of either side into the edges of the other on which they lie; none is moved.

    Parameters
    ----------
    first, second : sequence of Polygon or MultiPolygon
        Each a coverage of its ground; together they are one but for these corners. [m]

    Returns
    -------
    list of Polygon or MultiPolygon
        The first.
    list of Polygon or MultiPolygon
        The second.

    Examples
    --------
    >>> pond = shapely.box(10, 0, 20, 10)
    >>> _, (now,) = with_shared_corners([shapely.box(0, 0, 10, 4), shapely.box(0, 4, 10, 10)], [pond])
    >>> len(pond.exterior.coords), len(now.exterior.coords)
    (5, 6)
    """
    if not first or not second:
        return list(first), list(second)
    # What both sides have stands in each polygon that it belongs to: each side is a coverage.
    of_first, of_second = _places(first), _places(second)
    to_first, to_second = _sorted(of_second - of_first), _sorted(of_first - of_second)
    return [_with_corners(one, to_first) for one in first], [_with_corners(one, to_second) for one in second]


def _places(outlines: Sequence[Area]) -> set[tuple[float, float]]:
    return {(east_m, north_m) for east_m, north_m in shapely.get_coordinates(list(outlines)).tolist()}


def _sorted(places: Collection[tuple[float, float]]) -> Floats:
    return np.array(sorted(places), dtype=np.float64).reshape(-1, 2)


def _with_corners(area: Area, corners: Floats) -> Area:
    """Put in those of the corners that lie on an edge of an area."""
    polygons = [
        Polygon(_ring_with(part.exterior, corners), [_ring_with(hole, corners) for hole in part.interiors])
        for part in shapely.get_parts(area)
    ]
    return polygons[0] if isinstance(area, Polygon) else MultiPolygon(polygons)


def _ring_with(ring: LinearRing, corners: Floats) -> Floats:
    own = shapely.get_coordinates(ring)
    edges = np.asarray(shapely.linestrings(np.stack([own[:-1], own[1:]], axis=1)), dtype=np.object_)
    points = np.asarray(shapely.points(corners), dtype=np.object_)
    # the nearest edge only: at a pointed corner two edges may be within reach
    corner, edge = shapely.STRtree(edges).query_nearest(points, max_distance=_ON_EDGE_M, all_matches=False)
    along_m = np.asarray(shapely.line_locate_point(edges[edge], points[corner]))
    inside = (along_m > 0) & (along_m < np.asarray(shapely.length(edges[edge])))
    order = np.lexsort((along_m[inside], edge[inside]))
    return np.insert(own, edge[inside][order] + 1, corners[corner[inside][order]], axis=0)
