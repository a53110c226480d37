"""The ground of a field that may be sprayed: blocks and zones without setbacks and without dead ground.

Knows shapes only; what was drawn is read in `no_spray`, what images show dead is found in `dead`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely

from zoning import units
from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import area
from zoning.inputs.given import Area, Block, GivenZone, NoSpray
from zoning.inputs.ground.boundary import SNAP_M, faces_of, polygons_of
from zoning.inputs.ground.no_spray import Drawn
from zoning.words import Said, amounts

_Cut = TypeVar("_Cut", Block, GivenZone)
_Shapes = npt.NDArray[np.object_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CropGround:
    """A field in the plane `epsg`.

    `field` is all of it, `crop` what is in blocks. Blocks and `no_spray` are together a valid coverage of
    `field`; so are zones and `no_spray`, where somebody drew zones.
    """

    epsg: int
    field: Area
    crop: Area
    blocks: tuple[Block, ...]
    zones: tuple[GivenZone, ...] = ()
    no_spray: tuple[NoSpray, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Least:
    """The smallest patch of dead ground that is left out, in acres, and how it is told."""

    ac: float
    is_metric: bool


def without(ground: CropGround, drawn: Sequence[Drawn], least: Least) -> tuple[CropGround, tuple[Said, ...]]:
    """Take setbacks and dead ground out of a field.

    Parameters
    ----------
    ground : CropGround
    drawn : sequence of Drawn
        Where they overlap, setbacks go before dead ground, and the first before the next.
    least : Least
        Smaller patches of dead ground stay in, and are told. A setback is left out whatever its size.

    Returns
    -------
    CropGround
        The very `ground` where nothing is taken out, or where its blocks are not known. A block of which
        nothing is left is gone. What is cut off between no-spray ground and the edge of a block, and is
        narrower than a sliver, goes with that ground; so do islands in dead ground below `least`.
    tuple of Said

    Raises
    ------
    InputError
        When nothing is left to spray.
    """
    if not ground.blocks:
        return ground, ()
    out, notes = _taken_out(ground, drawn, least)
    if not out:
        return ground, tuple(notes)
    out = _with_rest(out, ground, least)
    found = noded(ground, out)
    if not found.blocks:
        files = ", ".join(dict.fromkeys(one.source for one in drawn))
        mend = "Check width, and that the file is of this field."
        raise InputError("nothing of the field is left to spray", where=files, mend=mend)
    return found, (*notes, *_said_cut_off(ground.blocks, found.blocks, least))


def _taken_out(ground: CropGround, drawn: Sequence[Drawn], least: Least) -> tuple[list[NoSpray], list[Said]]:
    found: list[NoSpray] = []
    notes: list[Said] = []
    left: Area = ground.crop
    for one in sorted(drawn, key=lambda one: one.kind != "setback"):  # stable: setbacks first
        here = polygons_of(shapely.intersection(one.outline, left, grid_size=SNAP_M))
        if shapely.intersection(one.outline, ground.field).area <= 0:
            notes.append(Said("inputs.no_spray_outside", file=one.source, kind=one.kind))
        parts = list(shapely.get_parts(here))
        if one.kind == "dead ground" and not one.is_kept:
            large = [part for part in parts if part.area >= units.m2_from_ac(least.ac)]
            notes += _said_small(one, here.area - sum(part.area for part in large), least)
            parts = large
        if parts:
            taken = polygons_of(shapely.union_all(parts))
            found.append(NoSpray(kind=one.kind, source=one.source, outline=taken, area_ac=0.0))
            left = polygons_of(shapely.difference(left, taken, grid_size=SNAP_M))
    return found, notes


def _said_small(one: Drawn, small_m2: float, least: Least) -> list[Said]:
    if small_m2 <= number("inputs.dead_worth_saying_m2"):
        return []
    small, smallest = (
        amounts.area(ac, is_metric=least.is_metric) for ac in (units.ac_from_m2(small_m2), least.ac)
    )
    return [Said("inputs.dead_small", file=one.source, area=small, least=smallest)]


def _said_cut_off(before: Sequence[Block], after: Sequence[Block], least: Least) -> list[Said]:
    """Say which parts of blocks are smaller than a zone should be, now that ground was taken out.

    What was too small before is left out: nothing was cut off there.
    """
    least_m2 = units.m2_from_ac(least.ac)
    whole, left = (shapely.get_parts([one.outline for one in blocks]) for blocks in (before, after))
    large = shapely.STRtree(whole[shapely.area(whole) >= least_m2])
    small = left[shapely.area(left) < least_m2]
    cut_off = small[np.unique(large.query(shapely.point_on_surface(small), predicate="within")[0])]
    if not len(cut_off):
        return []
    told, smallest = (
        amounts.area(ac, is_metric=least.is_metric)
        for ac in (units.ac_from_m2(float(shapely.area(cut_off).sum())), least.ac)
    )
    return [Said("inputs.no_spray_cuts_off", count=len(cut_off), area=told, least=smallest)]


def _with_rest(out: Sequence[NoSpray], ground: CropGround, least: Least) -> list[NoSpray]:
    """Give what no-spray ground cuts off, and is of no use by itself, to that ground.

    That is what is narrower than a sliver, block by block, as dead ground that somebody copied from a block
    leaves a thread of it along its neighbour; and islands in dead ground that are smaller than a zone.
    """
    grown = [[one.outline] for one in out]
    taken = polygons_of(shapely.union_all([one.outline for one in out]))
    slivers = _cut_off([one.outline for one in ground.blocks], taken, _narrow)
    islands = _cut_off([ground.crop], taken, lambda parts: shapely.area(parts) < units.m2_from_ac(least.ac))
    for parts, kinds in ((slivers, ("setback", "dead ground")), (islands, ("dead ground",))):
        for part in parts:
            apart_m = [
                float(shapely.distance(one.outline, part)) if one.kind in kinds else np.inf for one in out
            ]
            if min(apart_m) <= 2 * SNAP_M:
                grown[int(np.argmin(apart_m))].append(part)
    return [
        one
        if len(parts) == 1
        else replace(one, outline=polygons_of(shapely.union_all(parts, grid_size=SNAP_M)))
        for one, parts in zip(out, grown, strict=True)
    ]


def _cut_off(
    outlines: Sequence[Area], taken: Area, is_small: Callable[[_Shapes], npt.NDArray[np.bool_]]
) -> _Shapes:
    """Give the parts that are small now that ground was taken, and were not; never all that is left."""
    whole = shapely.get_parts(outlines)
    parts, of_whole = shapely.get_parts(shapely.difference(whole, taken, grid_size=SNAP_M), return_index=True)
    small = is_small(parts)
    found = parts[small & ~is_small(whole)[of_whole]]
    return found if len(found) < len(parts) else parts[:0]


def _narrow(parts: _Shapes) -> npt.NDArray[np.bool_]:
    return np.asarray(shapely.is_empty(shapely.buffer(parts, -number("inputs.sliver_width_m") / 2)))


def noded(ground: CropGround, out: Sequence[NoSpray] = ()) -> CropGround:
    """Cut everything at each other's edges, on the grid of 1 mm, so that neighbours have the same corners.

    Parameters
    ----------
    ground : CropGround
        Blocks, zones and no-spray ground fill the field, but may lie up to 1 mm off each other.
    out : sequence of NoSpray
        To be taken out of its blocks and zones too.
    """
    kept = [*out, *ground.no_spray]
    owners = [one.outline for one in kept] + [one.outline for one in ground.blocks]
    outlines = [*owners, *(one.outline for one in ground.zones)]
    faces = faces_of(shapely.boundary(np.array(outlines, dtype=object)))
    inner = shapely.point_on_surface(faces)
    shapely.prepare(ground.field)
    inside = shapely.contains(ground.field, inner)
    faces, inner = faces[inside], inner[inside]
    owner = _owner(inner, owners)
    crop = owner >= len(kept)
    blocks = _each(ground.blocks, faces, owner - len(kept))
    zones: tuple[GivenZone, ...] = ()
    if ground.zones:
        of_zone = np.where(crop, _owner(inner, [one.outline for one in ground.zones]), -1)
        zones = _each(ground.zones, faces, of_zone)
    return CropGround(
        epsg=ground.epsg,
        field=polygons_of(shapely.coverage_union_all(faces)),
        crop=polygons_of(shapely.coverage_union_all(faces[crop])),
        blocks=tuple(replace(one, area_ac=_ac(one.outline, ground.epsg)) for one in blocks),
        zones=zones,
        no_spray=tuple(
            replace(one, outline=outline, area_ac=_ac(outline, ground.epsg))
            for place, one in enumerate(kept)
            for outline in [polygons_of(shapely.coverage_union_all(faces[owner == place]))]
            if not outline.is_empty
        ),
    )


def _owner(inner: _Shapes, areas: Sequence[Area]) -> npt.NDArray[np.int64]:
    """Give each point the first of the areas that holds it, else the nearest."""
    tree = shapely.STRtree(areas)
    owner = np.asarray(tree.query_nearest(inner, all_matches=False)[1], dtype=np.int64)
    point, holder = tree.query(inner, predicate="within")
    first = np.full(len(inner), len(areas))
    np.minimum.at(first, point, holder)
    return np.where(first < len(areas), first, owner)


def _each(these: Sequence[_Cut], faces: _Shapes, owner: npt.NDArray[np.int64]) -> tuple[_Cut, ...]:
    return tuple(
        replace(one, outline=polygons_of(shapely.coverage_union_all(faces[owner == place])))
        for place, one in enumerate(these)
        if (owner == place).any()
    )


def _ac(outline: Area, epsg: int) -> float:
    return area.geodesic_ac(area.to_lonlat(outline, epsg))
