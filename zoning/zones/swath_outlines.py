"""Outlines of treated cells, cut at the field's edge: few, whole, and a coverage with the untreated rest."""

import numpy as np
import numpy.typing as npt
import shapely

from zoning.evidence import number
from zoning.zones.smooth import nearest_label
from zoning.zones.swath_cells import Part, SwathCells, lattice_of
from zoning.zones.zoning import Area, Floats, Ints

_FOUR_SIDES = 4  # method: cells that meet at a corner only do not belong together


def outlines(cells: SwathCells, label_of_cell: Ints, field: Area) -> tuple[Part, ...]:
    """Outline cells that have one label.

    Parameters
    ----------
    cells : SwathCells
    label_of_cell : ndarray of int, shape (cells,)
        0 for what is not treated, 1 upwards for what is.
    field : Polygon or MultiPolygon
        The ground that the cells were laid over, in the grid's CRS. [m]

    Returns
    -------
    tuple of Part
        Neighbours of one label are one polygon. The outlines are a valid coverage of the field, whose own
        outline keeps its vertices. A crumb that the field's edge leaves of a cell goes with its neighbour.
        Sorted by label, then from north to south and west to east.
    """
    labels = _filled(cells, label_of_cell)
    lines = [_edges(cells, labels), shapely.boundary(field)]
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(shapely.union_all(lines))))
    inner = shapely.point_on_surface(faces)
    shapely.prepare(field)
    here = shapely.contains(field, inner)
    faces, inner = faces[here], inner[here]
    place, swath = lattice_of(shapely.get_x(inner), shapely.get_y(inner), cells.swaths, cells.corner_m)
    label = labels[np.clip(place, 0, cells.shape[0] - 1), np.clip(swath, 0, cells.shape[1] - 1)]
    _join_crumbs(faces, label)
    parts = [
        Part(outline=outline, label=int(one))
        for one in np.unique(label)
        for outline in shapely.get_parts(shapely.coverage_union_all(faces[label == one]))
    ]
    return tuple(sorted(parts, key=_order))


def _filled(cells: SwathCells, label_of_cell: Ints) -> Ints:
    """Lay the labels out by place and swath; what holds no point of the field takes the nearest label.

    So a strip that is too thin to hold a point is no part of its own.
    """
    if not len(label_of_cell):
        return np.zeros(cells.shape, dtype=np.int64)
    labels = np.full(cells.shape, -1)
    labels[cells.place, cells.swath] = label_of_cell
    return nearest_label(labels)


def _join_crumbs(faces: npt.NDArray[np.object_], label: Ints) -> None:
    """Give patches that no machine follows the label with which they share the longest edge."""
    small = shapely.area(faces) < number("zones.crumb_m2")
    large = np.flatnonzero(~small)
    for crumb in np.flatnonzero(small):
        shared_m = shapely.length(
            shapely.intersection(shapely.boundary(faces[crumb]), shapely.boundary(faces[large]))
        )
        if shared_m.any():
            label[crumb] = label[large[shared_m.argmax()]]


def _edges(cells: SwathCells, labels: Ints) -> shapely.Geometry:
    """Give the edges of the treated labels, beyond the field on all sides, in the grid's CRS.

    Where two labels meet, one edge is made of both on the lattice, whose corners are whole numbers: turned
    into the grid's CRS, edges of different corners would miss each other by a hair.
    """
    from rasterio.features import shapes  # late: a field that is treated by zones does not need it

    wide = np.pad(labels, 1, mode="edge").astype(np.int32)
    found = shapes(wide, mask=wide > 0, connectivity=_FOUR_SIDES)
    rims = [shapely.boundary(shapely.geometry.shape(geometry)) for geometry, _ in found]
    return shapely.transform(shapely.union_all(rims), lambda xy: _from_lattice(xy - 1, cells))


def _from_lattice(swath_place: Floats, cells: SwathCells) -> Floats:
    """Give east and north of corners of the lattice, shape (n, 2)."""
    angle = np.radians(cells.swaths.heading_deg)
    sides_m = np.array([cells.swaths.swath_m, cells.swaths.step_m])
    across_m, along_m = (cells.corner_m + swath_place * sides_m).T
    east_m = across_m * np.cos(angle) + along_m * np.sin(angle)
    return np.column_stack([east_m, along_m * np.cos(angle) - across_m * np.sin(angle)])


def _order(part: Part) -> tuple[int, float, float]:
    west, _, _, north = part.outline.bounds
    return part.label, -north, west
