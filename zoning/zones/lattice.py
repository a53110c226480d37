"""Polygons over a lattice of squares: their exact areas in each, and which holds whose middle."""

import numpy as np
import shapely

from zoning.inputs.grid import Grid
from zoning.zones.zoning import Area, Floats, Geometries, Ints


def middles_held(polygons: Geometries, grid: Grid) -> Ints:
    """Tell which polygon holds the middle of each cell of a grid.

    Parameters
    ----------
    polygons : array of Polygon or MultiPolygon
        They do not overlap, and have the same vertices along common edges.
    grid : Grid

    Returns
    -------
    ndarray of int, shape of the grid
        Index of the polygon, -1 where none holds it. A middle on a common edge belongs to one of both.

    Notes
    -----
    Along a row of middles, from west to east, each edge that is crossed leads into a polygon or out of one.

    Examples
    --------
    >>> grid = Grid.covering((0, 0, 40, 10), 32615, 10.0)
    >>> middles_held(np.array([shapely.box(0, 0, 10, 10), shapely.box(10, 0, 30, 10)]), grid).tolist()
    [[0, 1, 1, -1]]
    """
    start, end, of = _edges(polygons)
    rises = start[:, 1] < end[:, 1]
    # the two sides of a common edge give the same crossing only if they are cut from the same end
    low, high = np.where(rises[:, None], start, end), np.where(rises[:, None], end, start)
    rows, columns = grid.shape
    first = np.maximum(np.ceil((grid.top_m - high[:, 1]) / grid.cell_m - 0.5), 0)
    after = np.minimum(np.ceil((grid.top_m - low[:, 1]) / grid.cell_m - 0.5), rows)
    count = np.maximum(after - first, 0).astype(np.int64)
    edge = np.repeat(np.arange(len(count)), count)
    row = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + first[edge].astype(np.int64)
    north_m = grid.top_m - (row + 0.5) * grid.cell_m
    share = (north_m - low[edge, 1]) / (high[edge, 1] - low[edge, 1])
    east_m = low[edge, 0] + share * (high[edge, 0] - low[edge, 0])
    column = np.clip(np.ceil((east_m - grid.left_m) / grid.cell_m - 0.5), 0, columns).astype(np.int64)
    # outer rings run anticlockwise: what falls has the polygon to its east
    steps = np.where(rises, -1.0, 1.0) * (of + 1)
    crossed = np.bincount(row * (columns + 1) + column, steps[edge], rows * (columns + 1))
    held = np.cumsum(crossed.reshape(rows, columns + 1), axis=1)[:, :-1]
    return np.asarray(held - 1, dtype=np.int64)


def _edges(polygons: Geometries | list[Area]) -> tuple[Floats, Floats, Ints]:
    """Both ends of every edge, outer rings anticlockwise and holes clockwise, and the polygon of each."""
    parts, of_polygon = shapely.get_parts(np.asarray(polygons, dtype=object), return_index=True)
    rings, of_part = shapely.get_rings(shapely.orient_polygons(parts), return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    edge = np.flatnonzero(ring[1:] == ring[:-1])
    return xy[edge], xy[edge + 1], of_polygon[of_part[ring[edge]]]


def lattice_areas(polygons: Geometries | list[Area], shape: tuple[int, int]) -> Floats:
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
    begins, ends, of_polygon = _edges(polygons)
    start, end, cut = _cut(begins, ends)
    pieces = of_polygon[cut]
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
