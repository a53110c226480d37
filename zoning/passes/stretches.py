"""Where the sections of a boom cross ground along the heading: edges cut at their sides, stretches, areas.

All of it is exact: from outlines, nothing is sampled.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.given import Area, Heading
from zoning.zones.swath_cells import first_side_m, side_of_swath_m, turned

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

RIM_M = 0.001  # method: ground that reaches less than a millimetre into a section does not switch it


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Directed edges of polygons: ground lies ahead, along the heading, of those whose `across` rises.

    Across the heading in sections from the edge of the field, along it in metres; one row an edge, both ends.
    """

    across: Floats
    along_m: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Pieces:
    """Edges cut at the sides of sections: the section of each piece, and both of its ends."""

    section: Ints
    across: Floats
    along_m: Floats
    from_side: Bools  # it begins at the lower side of the section: the edge crosses that side
    sign: Floats  # 1 where its edge leads into the ground along the heading, -1 out of it


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """Stretches of sections along the heading, in metres."""

    section: Ints
    start_m: Floats
    end_m: Floats


def first_section_m(ground: Sequence[Area], heading: Heading, boom_m: float) -> float:
    """Give where, across the heading, the first section over some ground begins, in m."""
    xy = shapely.get_coordinates(np.array(ground, dtype=object))
    least_m = float(turned(xy[:, 0], xy[:, 1], heading.deg)[0].min()) if len(xy) else 0.0
    return first_side_m(least_m, boom_m, side_of_swath_m(heading, boom_m))


def edges_of(ground: Sequence[Area], heading_deg: float, start_m: float, section_m: float) -> Edges:
    """Give the edges of some polygons that do not overlap."""
    # outer rings run anticlockwise: ground lies to the left of an edge, ahead of one that leads to the right
    rings = shapely.get_rings(shapely.orient_polygons(shapely.get_parts(np.array(ground, dtype=object))))
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    across_m, along_m = turned(xy[:, 0], xy[:, 1], heading_deg)
    across = (across_m - start_m) / section_m
    first = np.flatnonzero(ring[1:] == ring[:-1])
    ends = np.stack([first, first + 1], axis=1)
    return Edges(across[ends], along_m[ends])


def _pieces(edges: Edges, rim: float) -> _Pieces:
    """Cut edges at the sides of sections, and take off a rim along both sides of each."""
    low, high = edges.across.min(axis=1), edges.across.max(axis=1)
    first = np.floor(low).astype(np.int64)
    count = np.floor(high).astype(np.int64) - first + 1
    edge = np.repeat(np.arange(len(count)), count)
    section = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + first[edge]
    bottom, top = section + rim, section + 1 - rim
    held = (low[edge] <= top) & (high[edge] > bottom)
    edge, section, bottom, top = edge[held], section[held], bottom[held], top[held]
    across = np.stack([np.maximum(bottom, low[edge]), np.minimum(top, high[edge])], axis=1)
    begin, rise = edges.across[edge, :1], np.diff(edges.across[edge])
    # an edge along the heading has no rise: its two ends are those of its piece
    share = np.divide(across - begin, rise, out=np.tile([0.0, 1.0], (len(edge), 1)), where=rise != 0)
    along_m = edges.along_m[edge, :1] + share * np.diff(edges.along_m[edge])
    return _Pieces(section, across, along_m, low[edge] <= bottom, np.sign(rise[:, 0]))


def over(edges: Edges, rim: float) -> Stretches:
    """Stretches along which any of the width of a section lies over ground; they may overlap.

    Where no edge is within the width of the section, all of it is over ground or none; so it is over ground
    where there are edges, and where its lower side lies inside.
    """
    pieces = _pieces(edges, rim)
    crossing = np.flatnonzero(pieces.from_side)
    order = crossing[np.lexsort((pieces.along_m[crossing, 0], pieces.section[crossing]))]
    # how many polygons the side lies in, beyond each crossing; the last one of a section leads out of all
    inside = np.flatnonzero(np.cumsum(pieces.sign[order])[:-1] > 0.5)
    at_m = pieces.along_m[order, 0]
    return Stretches(
        np.concatenate([pieces.section, pieces.section[order][inside]]),
        np.concatenate([pieces.along_m.min(axis=1), at_m[inside]]),
        np.concatenate([pieces.along_m.max(axis=1), at_m[inside + 1]]),
    )


def on(treated: Stretches, closed: Stretches) -> Stretches:
    """Stretches along which sections are on: over treated ground, and over no setback."""
    section = np.concatenate([treated.section, treated.section, closed.section, closed.section])
    at_m = np.concatenate([treated.start_m, treated.end_m, closed.start_m, closed.end_m])
    ones = [np.full(2 * len(one.section), 1) for one in (treated, closed)]
    for one in ones:
        one[len(one) // 2 :] = -1
    step = np.concatenate(ones)
    is_closed = np.arange(len(step)) >= len(ones[0])
    order = np.lexsort((-step, at_m, section))  # what begins where another one ends joins it
    over = np.cumsum(np.where(is_closed, 0, step)[order]) > 0
    on = over & (np.cumsum(np.where(is_closed, step, 0)[order]) == 0)
    before = np.concatenate([[False], on[:-1]])
    starts, ends = order[on & ~before], order[~on & before]
    return Stretches(section[starts], at_m[starts], at_m[ends])


def area_m2(stretches: Stretches, edges: Edges, section_m: float) -> float:
    """Area of ground within stretches, each as wide as a section.

    Across a section, ground that lies before a place is the area between its edges and that place, of edges
    that lead into ground less that of edges that lead out of it.
    """
    pieces = _pieces(edges, 0.0)
    order = np.argsort(pieces.section, kind="stable")
    of_section = pieces.section[order]
    section = np.concatenate([stretches.section, stretches.section])
    at_m = np.concatenate([stretches.end_m, stretches.start_m])
    first, after = (np.searchsorted(of_section, section, side) for side in ("left", "right"))
    count = after - first
    place = np.repeat(np.arange(len(count)), count)
    piece = order[np.arange(len(place)) - np.repeat(np.cumsum(count) - count, count) + first[place]]
    near_m, far_m = pieces.along_m[piece].min(axis=1), pieces.along_m[piece].max(axis=1)
    slant_m = far_m - near_m
    within_m = np.clip(at_m[place] - near_m, 0, slant_m)
    # mean distance from the piece to the place, over the part of its width from which the place lies ahead
    ahead_m = np.divide(within_m**2, 2 * slant_m, out=np.zeros_like(slant_m), where=slant_m > 0)
    ahead_m += np.maximum(at_m[place] - far_m, 0)
    width_m = np.diff(pieces.across[piece])[:, 0] * section_m
    sign = pieces.sign[piece] * np.where(place < len(stretches.section), 1, -1)
    return float((sign * width_m * ahead_m).sum())
