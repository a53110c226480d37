"""Polygons that cover ground together: whether their edges match, and which have an edge in common.

Polygons are neighbours where they share segments, vertex for vertex; a corner in common is not enough.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.given import Area

_ROUNDING = 1e-9  # method: of an area or a length, by the last bits of its sums
_Rows = tuple[npt.NDArray[np.float64], npt.NDArray[np.intp]]


def edges_match(outlines: Sequence[Area]) -> bool:
    """Tell whether polygons are a coverage: no overlap, and the same vertices on common edges.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
        Each valid.

    Notes
    -----
    GEOS's own check (3.11 to 3.14) refuses a good coverage where a hole touches its polygon's rim in a
    corner that a third polygon shares; it is asked first, and its yes is enough.

    Examples
    --------
    >>> west, east = shapely.box(0, 0, 1, 1), shapely.box(1, 0, 2, 1)
    >>> edges_match([west, east]), edges_match([west, shapely.box(0.9, 0, 2, 1)])
    (True, False)
    """
    if shapely.coverage_is_valid(list(outlines)):
        return True
    whole = shapely.union_all(list(outlines))
    overlap = float(shapely.area(list(outlines)).sum()) - whole.area
    # An edge whose vertices match is there twice, the rim once: what is there once must be the rim, no more.
    segments, _ = _segments(outlines)
    segments, count = np.unique(segments, axis=0, return_counts=True)
    once_m = float(_lengths(segments[count == 1]).sum())
    rim_m = whole.boundary.length
    return abs(overlap) <= _ROUNDING * whole.area and abs(once_m - rim_m) <= _ROUNDING * rim_m


def common_edges(outlines: Sequence[Area]) -> dict[tuple[int, int], float]:
    """Give the length of the edge that two polygons of a coverage share, for each pair that shares one.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
        A coverage.

    Returns
    -------
    dict of (int, int) to float
        From places in `outlines`, the lower first; in the unit of the coordinates.

    Examples
    --------
    >>> common_edges([shapely.box(0, 0, 1, 1), shapely.box(1, 0, 2, 1), shapely.box(2, 1, 3, 2)])
    {(0, 1): 1.0}
    """
    segments, owner = _segments(outlines)
    _, which, count = np.unique(segments, axis=0, return_inverse=True, return_counts=True)
    which = which.reshape(-1)
    twice = np.flatnonzero(count[which] == 2)
    pairs = twice[np.argsort(which[twice], kind="stable")].reshape(-1, 2)
    found: dict[tuple[int, int], float] = {}
    lengths = _lengths(segments[pairs[:, 0]])
    for one, other, length in zip(owner[pairs[:, 0]], owner[pairs[:, 1]], lengths, strict=True):
        pair = (int(min(one, other)), int(max(one, other)))
        if pair[0] != pair[1]:
            found[pair] = found.get(pair, 0.0) + float(length)
    return dict(sorted(found.items()))


def _segments(outlines: Sequence[Area]) -> _Rows:
    """Give the segments of all rings, ends in one order (x, y, x, y), and the polygon of each."""
    parts, of_outline = shapely.get_parts(list(outlines), return_index=True)
    rings, of_part = shapely.get_rings(parts, return_index=True)
    at, of_ring = shapely.get_coordinates(rings, return_index=True)
    follows = of_ring[1:] == of_ring[:-1]
    ends = np.stack([at[:-1][follows], at[1:][follows]], axis=1)
    swapped = (ends[:, 0, 0] > ends[:, 1, 0]) | (
        (ends[:, 0, 0] == ends[:, 1, 0]) & (ends[:, 0, 1] > ends[:, 1, 1])
    )
    ends[swapped] = ends[swapped][:, ::-1]
    return ends.reshape(len(ends), -1), of_outline[of_part][of_ring[1:][follows]]


def _lengths(segments: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    x, y = segments[:, ::2], segments[:, 1::2]
    return np.asarray(np.hypot(x[:, 1] - x[:, 0], y[:, 1] - y[:, 0]))
