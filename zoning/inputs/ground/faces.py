"""Ground that no edge crosses: the pieces into which the edges of several areas cut a field."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.given import Area
from zoning.inputs.ground.boundary import SNAP_M

Shapes = npt.NDArray[np.object_]


def faces_of(outlines: Sequence[Area], whole: Area) -> tuple[Shapes, Shapes]:
    """Cut areas at each other's edges, on the grid of 1 mm, so that neighbours have the same corners.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
    whole : Polygon or MultiPolygon
        The field.

    Returns
    -------
    faces : ndarray of Polygon
        The pieces inside the field.
    inner : ndarray of Point
        A point inside each.

    Examples
    --------
    >>> faces, _ = faces_of([shapely.box(0, 0, 2, 1), shapely.box(1, 0, 3, 1)], shapely.box(0, 0, 3, 1))
    >>> sorted(face.bounds[0] for face in faces)
    [0.0, 1.0, 2.0]
    """
    lines = shapely.union_all(shapely.boundary(np.array(outlines, dtype=object)), grid_size=SNAP_M)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    inner = shapely.point_on_surface(faces)
    shapely.prepare(whole)
    inside = shapely.contains(whole, inner)
    return faces[inside], inner[inside]
