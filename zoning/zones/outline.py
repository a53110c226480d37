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
from zoning.zones.draw import Drawn
from zoning.zones.lattice import middles_held
from zoning.zones.merge import Patches, borders, large_enough, least_patch_ac, least_zone_ac, settle
from zoning.zones.zoning import Area, Floats, Geometries, Ground, Ints, Limits

_OVERSHOOT_CELLS = 0.02  # method: edges run so far past the block's outline, so that they surely cross it


class Outline(NamedTuple):
    """The outline of one zone and the index of its block."""

    block: int
    area: Area


def _lines(drawn: Sequence[Drawn | None], outlines: Geometries, cell_m: float) -> Geometries:
    lines = list(shapely.boundary(outlines))
    for block, outline in zip(drawn, outlines, strict=True):
        if block is not None and len(block.lines):  # its zones may lie in parts of it that do not meet
            reach = shapely.buffer(outline, _OVERSHOOT_CELLS * cell_m, quad_segs=1)
            lines.append(shapely.intersection(shapely.multilinestrings(list(block.lines)), reach))
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


def _labelled(
    faces: Geometries, face_of_cell: Ints, drawn: Sequence[Drawn | None], outlines: Geometries
) -> tuple[Ints, Ints]:
    """Block and label of each face; -1 for a face that lies in no block.

    A face has the label of most of its cells: a line that was smoothed may leave a cell on the other side.
    """
    inner = shapely.point_on_surface(faces)
    block, label = np.full(len(faces), -1), np.full(len(faces), -1)
    which_block, face = shapely.STRtree(inner).query(outlines, predicate="contains")
    block[face] = which_block
    for index, piece in enumerate(drawn):
        if piece is None:
            continue
        here, cells = face_of_cell[piece.window], piece.cells
        known = (here >= 0) & (cells >= 0)
        count = int(cells.max()) + 1
        votes = np.bincount(here[known] * count + cells[known], minlength=len(faces) * count)
        votes = votes.reshape(len(faces), count)
        voted = (block == index) & votes.any(axis=1)
        label[voted] = votes[voted].argmax(axis=1)
        if (empty := (block == index) & ~voted).any():  # faces that hold no cell's middle
            label[empty] = piece.label_at(inner[empty])
    return block, np.maximum(label, 0)
    return block, label


def _settled(faces: Geometries, label: Ints, limits: Limits, block_ac: float) -> Ints:
    """Give faces that came out too small the label of a neighbour."""
    area_ac = np.array([ac_from_m2(area) for area in shapely.area(faces)])
    least_ac, least_of_zone_ac = least_patch_ac(limits), least_zone_ac(limits, block_ac)
    if large_enough(label, area_ac, least_patch_ac=least_ac, least_zone_ac=least_of_zone_ac):
        return label
    pairs, border_m = borders(*edges(faces))
    patches = Patches(label=label, area_ac=area_ac, pairs=pairs, border_m=border_m)
    return settle(patches, least_patch_ac=least_ac, least_zone_ac=least_of_zone_ac)


def area_of(faces: Geometries, block: Area) -> Area:
    """Put the faces of one zone together; they share their vertices, and lie in one block."""
    area = faces[0] if len(faces) == 1 else shapely.coverage_union_all(faces)
    # A block that is one zone, and that no edge of its neighbours meets, keeps its outline as it was given.
    if shapely.get_num_coordinates(area) == shapely.get_num_coordinates(block) and shapely.equals_exact(
        shapely.normalize(area), shapely.normalize(block)
    ):
        return block
    if not isinstance(area, Polygon | MultiPolygon):
        raise TypeError(f"a zone's outline is a {area.geom_type}")
    return area


def outlined(
    drawn: Sequence[Drawn | None], ground: Ground, limits: Limits
) -> tuple[tuple[Outline, ...], Ints | None]:
    """Cut the field into the outlines of its zones.

    Parameters
    ----------
    drawn : sequence of Drawn or None
        One for each block; None for a block that is one zone.
    ground : Ground
        With the outlines of the blocks: a valid coverage.
    limits : Limits

    Returns
    -------
    outlines : tuple of Outline
        By block. A block's outline keeps its vertices and gets new ones only where an edge meets it; pieces
        that came out smaller than `limits` allow have joined their neighbours in the block.
    burned : ndarray of int, shape of the grid, or None
        Index of the outline that holds each cell's middle, -1 where none does; None where no line was drawn.
    """
    outlines = ground.block_outlines
    if not any(drawn):
        return tuple(Outline(block, area) for block, area in enumerate(outlines)), None
    blocks = np.array(outlines, dtype=object)
    lines = shapely.union_all(_lines(drawn, blocks, ground.grid.cell_m))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    face_of_cell = middles_held(faces, ground.grid)
    block, label = _labelled(faces, face_of_cell, drawn, blocks)
    place_of_face = np.full(len(faces) + 1, -1)  # the last stands for -1, no face
    found: list[Outline] = []
    for index, area in enumerate(outlines):
        mine = np.flatnonzero(block == index)
        settled = _settled(faces[mine], label[mine], limits, ac_from_m2(area.area))
        for zone in np.unique(settled):
            place_of_face[mine[settled == zone]] = len(found)
            found.append(Outline(index, area_of(faces[mine[settled == zone]], area)))
    return tuple(found), place_of_face[face_of_cell]
