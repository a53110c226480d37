"""Labels of cells become outlines: smooth edges inside blocks, exact edges between them, nothing lost.

Every line (the blocks' outlines as given, and the edges between zones) is noded with every other in one
step, and zones are put together from the faces: so neighbours share their vertices, and the outlines are a
valid coverage. Does not decide which labels there are, except for pieces that come out too small.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from zoning.units import ac_from_m2
from zoning.zones.choose import least_patch_ac, least_zone_ac
from zoning.zones.draw import Drawn, Geometries
from zoning.zones.merge import Patches, borders, settle
from zoning.zones.zoning import Area, Floats, Ints, Limits

_OVERSHOOT_CELLS = 0.02  # method: edges run so far past the block's outline, so that they surely cross it


class Outline(NamedTuple):
    """The outline of one zone and the index of its block."""

    block: int
    area: Area


def _lines(drawn: Sequence[Drawn | None], outlines: Geometries, cell_m: float) -> Geometries:
    lines = list(shapely.boundary(outlines))
    for block, outline in zip(drawn, outlines, strict=True):
        if block is not None:
            reach = shapely.buffer(outline, _OVERSHOOT_CELLS * cell_m)
            lines.append(shapely.intersection(shapely.union_all(shapely.boundary(block.pieces)), reach))
    return np.array(lines, dtype=object)


def edges(faces: Geometries) -> tuple[Ints, Ints, Floats]:
    """Find the segments that two faces have in common: the two faces, and the lengths in metres."""
    rings, face = shapely.get_rings(faces, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    along = ring[1:] == ring[:-1]
    start, end, of = xy[:-1][along], xy[1:][along], face[ring[1:]][along]
    swap = (start[:, 0] > end[:, 0]) | ((start[:, 0] == end[:, 0]) & (start[:, 1] > end[:, 1]))
    start[swap], end[swap] = end[swap], start[swap]
    segments = np.concatenate([start, end], axis=1)
    order = np.lexsort(segments.T)
    segments, of = segments[order], of[order]
    twice = np.flatnonzero((segments[1:] == segments[:-1]).all(axis=1))
    ends = segments[twice]
    length_m = np.hypot(*(ends[:, 2:] - ends[:, :2]).T)
    return of[twice], of[twice + 1], length_m


def _labelled(faces: Geometries, drawn: Sequence[Drawn | None], outlines: Geometries) -> tuple[Ints, Ints]:
    """Block and label of each face; -1 for a face that lies in no block."""
    inner = shapely.point_on_surface(faces)
    block, label = np.full(len(faces), -1), np.zeros(len(faces), dtype=np.int64)
    which_block, face = shapely.STRtree(inner).query(outlines, predicate="contains")
    block[face] = which_block
    for index, piece in enumerate(drawn):
        mine = np.flatnonzero(block == index)
        if piece is not None:
            which_piece, face = shapely.STRtree(inner[mine]).query(piece.pieces, predicate="contains")
            label[mine[face]] = piece.label[which_piece]
    return block, label


def area_of(faces: Geometries, block: Area) -> Area:
    """Put the faces of one zone together; they share their vertices, and lie in one block."""
    area = shapely.coverage_union_all(faces)
    # A block that is one zone, and that no edge of its neighbours meets, keeps its outline as it was given.
    if shapely.equals_exact(shapely.normalize(area), shapely.normalize(block)):
        return block
    if not isinstance(area, Polygon | MultiPolygon):
        raise TypeError(f"a zone's outline is a {area.geom_type}")
    return area


def outlined(
    drawn: Sequence[Drawn | None], outlines: Sequence[Area], cell_m: float, limits: Limits
) -> tuple[Outline, ...]:
    """Cut the field into the outlines of its zones.

    Parameters
    ----------
    drawn : sequence of Drawn or None
        One for each block; None for a block that is one zone.
    outlines : sequence of Area
        Of the blocks: a valid coverage. [m]
    cell_m : float
        [m]
    limits : Limits

    Returns
    -------
    tuple of Outline
        By block. A block's outline keeps its vertices and gets new ones only where an edge meets it; pieces
        that came out smaller than `limits` allow have joined their neighbours in the block.
    """
    if not any(drawn):
        return tuple(Outline(block, area) for block, area in enumerate(outlines))
    blocks = np.array(outlines, dtype=object)
    lines = shapely.union_all(_lines(drawn, blocks, cell_m))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    block, label = _labelled(faces, drawn, blocks)
    one, other, length_m = edges(faces)
    same = block[one] == block[other]
    one, other, length_m = one[same], other[same], length_m[same]
    found = []
    for index, area in enumerate(outlines):
        mine = np.flatnonzero(block == index)
        inside = block[one] == index
        place = np.zeros(len(faces), dtype=np.int64)
        place[mine] = np.arange(len(mine))
        pairs, border_m = borders(place[one[inside]], place[other[inside]], length_m[inside])
        area_ac = np.array([ac_from_m2(part) for part in shapely.area(faces[mine])])
        settled = settle(
            Patches(label=label[mine], area_ac=area_ac, pairs=pairs, border_m=border_m),
            least_patch_ac=least_patch_ac(limits),
            least_zone_ac=least_zone_ac(limits, ac_from_m2(area.area)),
        )
        found += [Outline(index, area_of(faces[mine[settled == zone]], area)) for zone in np.unique(settled)]
    return tuple(found)
