"""Zones that somebody drew: cut at the edges of blocks, and put together again where too little is left.

Knows shapes and names; clusters nothing and chooses nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Literal, NamedTuple

import numpy as np
import shapely

from zoning.evidence import number
from zoning.units import ac_from_m2
from zoning.words import Said, amounts
from zoning.zones.merge import Patches, borders, least_patch_ac, settle
from zoning.zones.number import numbered
from zoning.zones.outline import Outline, area_of, edges
from zoning.zones.zoning import (
    Area,
    BlockQuality,
    Bools,
    Floats,
    Geometries,
    Ground,
    Ints,
    Limits,
    Zone,
    Zoning,
)

_ROUNDING_M = 1e-6  # method: what lies nearer to a block than this belongs to it
_MOST_LINES = 20  # method: zones of which it is said one by one what became of them
_NARROW_AC = 0.5  # method: any size; a piece that is too narrow counts as nothing, the others as twice this


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Part of a drawn zone in one block, and the zone that it joined; empty where it stays."""

    block: int
    area_ac: float
    heir: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What became of a zone that somebody drew, where it is not one zone as drawn.

    `what`: "cut" it reaches over several blocks and is a zone in each, "joined" pieces of it were too small
    and joined others, "gone" so did all of it. `pieces` are the zones, or what joined; of what joined, pieces
    below 0.1 % of the field are left out unless all is gone.
    """

    name: str
    what: Literal["cut", "joined", "gone"]
    pieces: tuple[Piece, ...]


class _Faces(NamedTuple):
    """Ground that no edge crosses: the block and the drawn zone of each face, and the zone it ends in."""

    shapes: Geometries
    block: Ints
    drawn: Ints
    final: Ints


def from_given(
    outlines: Sequence[Area],
    names: Sequence[str],
    ground: Ground,
    layers: Mapping[str, Floats],
    limits: Limits,
    kept: Sequence[int] = (),
) -> tuple[Zoning, tuple[Cut, ...]]:
    """Take the zones that somebody drew instead of clustering.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
        A valid coverage of the field, in the order in which the zones are to be numbered. [m]
    names : sequence of str
        What each is called.
    ground : Ground
        Its blocks fill the field too; their edges stay where they are.
    layers : mapping of str to ndarray of float, shape (rows, columns)
        For the means of the zones.
    limits : Limits
        A piece smaller than the smallest zone, or narrower than inexact drawing makes one, joins the
        neighbour in its block with the longest common border; one without neighbours stays. Nothing else of
        `limits` is used.
    kept : sequence of int, optional
        The number that each keeps, 0 for none; see `as_kept`. Then none is too small.

    Returns
    -------
    Zoning
        By block, and in a block in the order of `outlines`. A zone in several blocks becomes one in each,
        of the same name. Outlines are a valid coverage, and fill the blocks' outlines.
    tuple of Cut
        What was cut or joined, in the order of `outlines`.

    Raises
    ------
    ValueError
        If there are not as many names as outlines.

    Examples
    --------
    >>> from shapely import box
    >>> from zoning.inputs.grid import Grid
    >>> grid = Grid.covering((0, 0, 400, 400), 32615, 10.0)
    >>> all_cells = np.ones(grid.shape, dtype=bool)
    >>> ground = Ground(
    ...     grid=grid,
    ...     inside=all_cells,
    ...     fit=all_cells,
    ...     block_of_cell=np.where(grid.east_m() < 200, 0, 1) + np.zeros(grid.shape, dtype=np.int16),
    ...     block_outlines=(box(0, 0, 200, 400), box(200, 0, 400, 400)),
    ... )
    >>> drawn = box(0, 0, 400, 300), box(0, 300, 400, 400)
    >>> limits = Limits(max_zones_per_block=3, min_area_ac=1.0)
    >>> zoning, cuts = from_given(drawn, ("low", "hill"), ground, {}, limits)
    >>> [(zone.number, zone.name, zone.block, zone.outline.area) for zone in zoning.zones]
    [(1, 'low', 0, 60000.0), (2, 'hill', 0, 20000.0), (3, 'low', 1, 60000.0), (4, 'hill', 1, 20000.0)]
    >>> [(cut.name, cut.what) for cut in cuts]
    [('low', 'cut'), ('hill', 'cut')]
    """
    if len(names) != len(outlines):
        raise ValueError(f"{len(outlines)} outlines have {len(names)} names")
    if kept:
        limits = replace(limits, min_area_ac=0.0)
    faces = _settled(_faces(outlines, ground.block_outlines), limits)
    found: list[Outline] = []
    called: list[int] = []
    for block, whole in enumerate(ground.block_outlines):
        for zone in np.unique(faces.final[faces.block == block]):
            mine = (faces.block == block) & (faces.final == zone)
            found.append(Outline(block, area_of(faces.shapes[mine], whole)))
            called.append(int(zone))
    zones_in = np.bincount([outline.block for outline in found], minlength=len(ground.block_outlines))
    quality = [
        BlockQuality(block=block, tried=(), explained_frac=(), chosen=int(here), stopped="given")
        for block, here in enumerate(zones_in)
    ]
    zoning = numbered(found, layers, ground, limits, quality, as_they_come=True)
    zones = tuple(
        replace(zone, name=names[at], kept=kept[at] if kept else 0)
        for zone, at in zip(zoning.zones, called, strict=True)
    )
    return as_kept(replace(zoning, zones=zones)), tuple(_cuts(faces, names))


def as_kept(zoning: Zoning) -> Zoning:
    """Give zones the numbers that they keep.

    Of several parts of one that was cut the largest keeps its number; other parts, and zones that keep none,
    get the numbers behind, in their order. Zones stand in the order of their numbers.
    """
    largest: dict[int, Zone] = {}
    for zone in zoning.zones:
        if zone.kept and (zone.kept not in largest or zone.outline.area > largest[zone.kept].outline.area):
            largest[zone.kept] = zone
    if not largest:
        return zoning
    number_of = {zone.number: kept for kept, zone in largest.items()}
    free = count(max(largest) + 1)
    for zone in zoning.zones:
        if zone.number not in number_of:
            number_of[zone.number] = next(free)
    changed = np.zeros(len(zoning.zones) + 1, dtype=np.int16)  # outside, 0, stays so
    for old, new in number_of.items():
        changed[old] = new
    zones = sorted(
        (replace(zone, number=number_of[zone.number]) for zone in zoning.zones), key=lambda zone: zone.number
    )
    return replace(zoning, zones=tuple(zones), number_of_cell=changed[zoning.number_of_cell])


def _faces(outlines: Sequence[Area], blocks: Sequence[Area]) -> _Faces:
    lines = shapely.union_all(shapely.boundary(np.array([*blocks, *outlines], dtype=object)))
    shapes = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    inner = shapely.point_on_surface(shapes)
    (_, block), away_m = shapely.STRtree(blocks).query_nearest(inner, all_matches=False, return_distance=True)
    drawn = shapely.STRtree(outlines).query_nearest(inner, all_matches=False)[1]
    here = away_m < _ROUNDING_M  # not so in a hole of the field, or between its parts
    return _Faces(shapes=shapes[here], block=block[here], drawn=drawn[here], final=drawn[here])


def _settled(faces: _Faces, limits: Limits) -> _Faces:
    """Let what is too narrow, and then what is too small, join its neighbours in the block."""
    area_ac = np.array([ac_from_m2(part) for part in shapely.area(faces.shapes)])
    one, other, length_m = edges(faces.shapes)
    final = faces.drawn.copy()
    for block in np.unique(faces.block):
        mine = np.flatnonzero(faces.block == block)
        place = np.full(len(faces.shapes), -1)
        place[mine] = np.arange(len(mine))
        inside = (place[one] >= 0) & (place[other] >= 0)
        pairs, border_m = borders(place[one[inside]], place[other[inside]], length_m[inside])
        narrow = _narrow(faces.shapes[mine], final[mine])
        sizes = (np.where(narrow, 0.0, 2 * _NARROW_AC), _NARROW_AC), (area_ac[mine], least_patch_ac(limits))
        for size_ac, least_ac in sizes:
            patches = Patches(label=final[mine], area_ac=size_ac, pairs=pairs, border_m=border_m)
            final[mine] = settle(patches, least_patch_ac=least_ac, least_zone_ac=0.0)
    return faces._replace(final=final)


def _narrow(shapes: Geometries, label: Ints) -> Bools:
    """Mark the faces of patches so narrow that no one can have meant them: edges drawn beside each other."""
    narrow = np.zeros(len(shapes), dtype=bool)
    half_m = number("inputs.sliver_width_m") / 2
    for zone in np.unique(label):
        mine = np.flatnonzero(label == zone)
        parts = shapely.get_parts(shapely.coverage_union_all(shapes[mine]))
        thin = parts[shapely.is_empty(shapely.buffer(parts, -half_m))]
        held = shapely.STRtree(thin).query(shapely.point_on_surface(shapes[mine]), predicate="within")[0]
        narrow[mine[held]] = True
    return narrow


def _cuts(faces: _Faces, names: Sequence[str]) -> list[Cut]:
    area_ac = np.array([ac_from_m2(part) for part in shapely.area(faces.shapes)])
    least_ac = number("inputs.worth_saying_frac") * area_ac.sum()
    ways = np.stack([faces.drawn, faces.block, faces.final], axis=1)
    ways, which = np.unique(ways, axis=0, return_inverse=True)
    pieces: list[list[Piece]] = [[] for _ in names]
    for (drawn, block, final), ac in zip(ways.tolist(), np.bincount(which.ravel(), area_ac), strict=True):
        heir = names[final] if final != drawn else ""
        pieces[drawn].append(Piece(block=block, area_ac=float(ac), heir=heir))
    cuts = []
    for name, parts in zip(names, pieces, strict=True):
        stay = tuple(piece for piece in parts if not piece.heir)
        gone = tuple(piece for piece in parts if piece.heir and (piece.area_ac > least_ac or not stay))
        if len(stay) > 1:
            cuts.append(Cut(name=name, what="cut", pieces=stay))
        if gone:
            cuts.append(Cut(name=name, what="joined" if stay else "gone", pieces=gone))
    return cuts


def said(cuts: Sequence[Cut], blocks: Sequence[str], *, is_metric: bool) -> tuple[Said, ...]:
    """Say what was cut and joined.

    Parameters
    ----------
    cuts : sequence of Cut
    blocks : sequence of str
        Names of the blocks.
    is_metric : bool
        Areas in hectares.

    Examples
    --------
    >>> cut = Cut(name="hill", what="joined", pieces=(Piece(block=1, area_ac=0.5, heir="low"),))
    >>> said([cut], ["A", "B"], is_metric=False)[0].text
    'parts of the drawn zone hill are too small for zones and joined others: 0.50 ac in block B joined low'
    """
    lines = [
        Said(
            f"zones.given_{cut.what}",
            zone=cut.name,
            parts=", ".join(
                f"{amounts.area(piece.area_ac, is_metric=is_metric)} in block {blocks[piece.block]}"
                + (f" joined {piece.heir}" if piece.heir else "")
                for piece in cut.pieces
            ),
        )
        for cut in cuts[:_MOST_LINES]
    ]
    more = {cut.name for cut in cuts[_MOST_LINES:]}
    return (*lines, Said("zones.given_more", count=len(more))) if more else tuple(lines)
