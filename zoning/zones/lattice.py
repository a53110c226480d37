"""Exact areas of polygons in the cells of a lattice of unit squares. Knows shapes only."""

import numpy as np
import numpy.typing as npt
import shapely

from zoning.zones.zoning import Area, Floats, Ints


def lattice_areas(polygons: npt.NDArray[np.object_] | list[Area], shape: tuple[int, int]) -> Floats:
    """Area of each polygon in each unit square.

    Parameters
    ----------
    polygons : array of Polygon or MultiPolygon
        Inside the lattice, whose columns begin at x = 0, 1, ... and whose rows begin at y = 0, 1, ...
    shape : (int, int)
        Rows, columns.

    Returns
    -------
    ndarray of float, shape (polygons, rows, columns)
        Exact but for the rounding of floats.

    Notes
    -----
    By Green's theorem the area in column c of a row is the integral of min(max(x - c, 0), 1) dy along the
    outline, where it passes through that row. Outlines are cut at the lines of the lattice; a piece in column
    p adds its dy to every column before p, and dy (x - p), with x that of its middle, to p.

    Examples
    --------
    >>> lattice_areas([shapely.box(0.5, 0, 2, 1)], (1, 3))[0].tolist()
    [[0.5, 1.0, 0.0]]
    """
    parts, of_polygon = shapely.get_parts(np.asarray(polygons, dtype=object), return_index=True)
    rings, of_part = shapely.get_rings(shapely.orient_polygons(parts), return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    edge = np.flatnonzero(ring[1:] == ring[:-1])
    start, end, cut = _cut(xy[edge], xy[edge + 1])
    pieces = of_polygon[of_part[ring[edge[cut]]]]
    middle = (start + end) / 2
    rise = end[:, 1] - start[:, 1]
    rows, columns = shape
    row = np.clip(np.floor(middle[:, 1]).astype(np.int64), 0, rows - 1)
    column = np.clip(np.floor(middle[:, 0]).astype(np.int64), 0, columns - 1)
    square = row * columns + column
    areas = np.empty((len(polygons), rows, columns))
    for place in range(len(polygons)):
        mine = pieces == place
        own = rise[mine] * (middle[mine, 0] - column[mine])
        inner = np.bincount(square[mine], own, minlength=rows * columns).reshape(shape)
        beyond = np.bincount(square[mine], rise[mine], minlength=rows * columns).reshape(shape)
        after = np.cumsum(beyond[:, ::-1], axis=1)[:, ::-1] - beyond
        areas[place] = inner + after
    return areas


def _cut(start: Floats, end: Floats) -> tuple[Floats, Floats, Ints]:
    """Cut edges wherever they cross a line of the lattice; give both ends and the edge of each piece."""
    edges = np.arange(len(start))
    places, owners = [np.zeros(len(start)), np.ones(len(start))], [edges, edges]
    for axis in (0, 1):
        low = np.minimum(start[:, axis], end[:, axis])
        first = np.floor(low).astype(np.int64) + 1
        count = np.ceil(np.maximum(start[:, axis], end[:, axis])).astype(np.int64) - first
        count = np.maximum(count, 0)
        owner = np.repeat(edges, count)
        line = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[owner]
        places.append((line - start[owner, axis]) / (end[owner, axis] - start[owner, axis]))
        owners.append(owner)
    place, owner = np.concatenate(places), np.concatenate(owners)
    order = np.lexsort((place, owner))
    place, owner = place[order], owner[order]
    corner = start[owner] + place[:, np.newaxis] * (end[owner] - start[owner])
    along = np.flatnonzero(owner[1:] == owner[:-1])
    return corner[along], corner[along + 1], owner[along]
