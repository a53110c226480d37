"""Pieces of ground, drawn inexactly, become blocks that fill the boundary with no gap and no overlap.

Knows shapes only; whose planting day a piece has is the caller's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from zoning.inputs.given import Area
from zoning.inputs.ground.boundary import SNAP_M, faces_of, polygons_of

_NOBODY = -1
_CORNER_M = 0.1  # what is nearer to a straight line than this is no corner of it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Partition:
    """The divided ground, areas in the grid's plane.

    `outlines` by owner, None for an owner that has no ground here; `whole` is what they fill.
    """

    outlines: tuple[Area | None, ...]
    whole: Area
    gap_m2: float
    overlap_m2: float


@dataclass(frozen=True, slots=True)
class Smallest:
    """Part of a block that is smaller or narrower than this goes to its neighbour."""

    width_m: float
    area_m2: float = 0.0


def partition(whole: Area, pieces: Sequence[Area], owners: Sequence[int], smallest: Smallest) -> Partition:
    """Divide a boundary among the owners of drawn pieces.

    Parameters
    ----------
    whole : Polygon or MultiPolygon
        The boundary, in metres.
    pieces : sequence of Polygon or MultiPolygon
        As drawn, in order: where pieces overlap, the first has the ground.
    owners : sequence of int
        Whose a piece is, 0, 1, 2, ...; several pieces may have one owner.
    smallest : Smallest
        What is too small to stand alone.

    Returns
    -------
    Partition
        Outlines that are a valid coverage of `whole`: ground that nobody drew, and parts too small to
        stand alone, have gone to the neighbour with the longest common edge, or without one to the nearest.

    Notes
    -----
    All edges are cut at all crossings, on a grid of 1 mm; the faces between them are then dealt out. So two
    neighbours have the same vertices along their common edge. Where a piece ends just short of the boundary,
    the strip between them is cut at the piece's corners, so that no block runs along behind another.
    """
    drawn = [shapely.boundary(one) for one in (whole, *pieces)]
    faces = faces_of([*drawn, *_cuts(whole, pieces, smallest.width_m)])
    inner = shapely.point_on_surface(faces)
    shapely.prepare(whole)
    inside = shapely.contains(whole, inner)
    faces, inner = faces[inside], inner[inside]
    owner, contested = _first_owner(inner, pieces, np.asarray(owners))
    gap_m2 = float(shapely.area(faces[owner == _NOBODY]).sum())
    owner = _without_small_parts(faces, owner, smallest)
    owner = _dealt_out(faces, owner)
    outlines = tuple(
        polygons_of(shapely.coverage_union_all(faces[owner == one])) if (owner == one).any() else None
        for one in range(max(owners) + 1)
    )
    return Partition(
        outlines=outlines,
        whole=polygons_of(shapely.coverage_union_all(faces)),
        gap_m2=gap_m2,
        overlap_m2=float(shapely.area(faces[contested]).sum()),
    )


def _first_owner(
    inner: npt.NDArray[np.object_], pieces: Sequence[Area], owners: npt.NDArray[np.int_]
) -> tuple[npt.NDArray[np.int_], npt.NDArray[np.bool_]]:
    """Whose a face is, by the first piece that holds its inner point; and whether another wanted it."""
    face, piece = shapely.STRtree(pieces).query(inner, predicate="within")
    first = np.full(len(inner), len(pieces))
    np.minimum.at(first, face, piece)
    owner = np.append(owners, _NOBODY)[first]
    contested = np.zeros(len(inner), dtype=bool)
    contested[face[owners[piece] != owner[face]]] = True
    return owner, contested


def _without_small_parts(
    faces: npt.NDArray[np.object_], owner: npt.NDArray[np.int_], smallest: Smallest
) -> npt.NDArray[np.int_]:
    """Take the ground of parts that are too small to stand alone; all of it is never taken."""
    kept = owner.copy()
    for one in np.unique(owner[owner != _NOBODY]):
        mine = np.flatnonzero(owner == one)
        parts = shapely.get_parts(shapely.coverage_union_all(faces[mine]))
        small = shapely.is_empty(shapely.buffer(parts, -smallest.width_m / 2)) | (
            shapely.area(parts) < smallest.area_m2
        )
        if small.any():
            within = shapely.STRtree(parts[small]).query(
                shapely.point_on_surface(faces[mine]), predicate="within"
            )
            kept[mine[within[0]]] = _NOBODY
    return owner if (kept == _NOBODY).all() else kept


def _cuts(whole: Area, pieces: Sequence[Area], width_m: float) -> list[BaseGeometry]:
    """Draw the shortest lines from the corners of pieces to a boundary nearer than a sliver is wide."""
    corners = np.unique(
        shapely.get_coordinates(shapely.simplify(np.array(pieces, dtype=object), _CORNER_M)), axis=0
    )
    lines = shapely.shortest_line(shapely.points(corners), shapely.boundary(whole))
    lengths = shapely.length(lines)
    return list(np.asarray(lines)[(lengths > SNAP_M) & (lengths < width_m)])


def _dealt_out(faces: npt.NDArray[np.object_], owner: npt.NDArray[np.int_]) -> npt.NDArray[np.int_]:
    """Give every face of nobody's ground to the neighbour with the longest common edge.

    It goes from the edges inwards; what has no neighbour with an owner goes to the nearest.
    """
    dealt = owner.copy()
    first, second = shapely.STRtree(faces).query(faces, predicate="intersects")
    meet = first != second
    first, second = first[meet], second[meet]
    edge_m = shapely.length(
        shapely.intersection(shapely.boundary(faces[first]), shapely.boundary(faces[second]))
    )
    while (dealt == _NOBODY).any():
        border = (dealt[first] == _NOBODY) & (dealt[second] != _NOBODY) & (edge_m > 0)
        if not border.any():
            alone, known = np.flatnonzero(dealt == _NOBODY), np.flatnonzero(dealt != _NOBODY)
            nearest = shapely.STRtree(faces[known]).query_nearest(faces[alone], all_matches=False)
            dealt[alone] = dealt[known[nearest[1]]]
            break
        shared_m = np.zeros((len(faces), int(dealt.max()) + 1))
        np.add.at(shared_m, (first[border], dealt[second[border]]), edge_m[border])
        ready = np.flatnonzero(shared_m.max(axis=1) > 0)
        dealt[ready] = shared_m[ready].argmax(axis=1)
    return dealt
