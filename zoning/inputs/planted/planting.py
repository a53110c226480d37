"""What was planted where: a planting file, or one date, becomes the blocks of a field.

The columns are read in `sown`; the geometry is made in `blocks`, that of as-planted records in `recorded`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely

from zoning import units
from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import area, vector
from zoning.inputs.given import Area, Block
from zoning.inputs.grid import Grid
from zoning.inputs.ground import blocks
from zoning.inputs.ground.boundary import mended
from zoning.inputs.ground.lettered import in_order, letters
from zoning.inputs.planted import mixture
from zoning.inputs.planted.mixture import MixedOf
from zoning.inputs.planted.recorded import Recorded, Records, recorded
from zoning.inputs.planted.sown import Place, Sown, one_date, rows_of
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planted:
    """The blocks in the order of their planting day, the boundary they fill, and what is to be said.

    `drawn` is False where the blocks were made from a planter's records, which then are `records`.
    """

    blocks: tuple[Block, ...]
    whole: Area
    notes: tuple[Said, ...]
    drawn: bool = True
    records: Records | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ground:
    sown: Sown
    outline: Area
    mixed: MixedOf | None = None


def read(place: Place, grid: Grid, path: Path | None) -> Planted:
    """Read the planting layer of a field, or take the one date of its settings.

    Raises
    ------
    InputError
        For every row whose date, group or yield cannot be; when the file misses the field.
    """
    whole = place.boundary.area
    if path is None:
        return _named(place, [_Ground(sown=one_date(place), outline=whole)], whole, [])
    file = place.settings.planting.file or path.name
    return of_vector(place, grid, vector.read(path, file, layer="planting"))


def of_vector(place: Place, grid: Grid, found: vector.Vector) -> Planted:
    """Make the blocks of a planting layer that was read.

    Raises
    ------
    InputError
        As `read`.
    """
    kinds = {feature.shape.geom_type.removeprefix("Multi") for feature in found.features}
    if kinds == {"Polygon"}:
        return _from_polygons(place, found)
    if kinds <= {"Point", "LineString"}:
        return _from_records(place, grid, found)
    what = f"the file mixes {' and '.join(sorted(kinds))}"
    raise InputError(what, where=found.file, mend="Keep either polygons, or points, or lines, in one file.")


def _from_polygons(place: Place, found: vector.Vector) -> Planted:
    sown = [row for row, _ in rows_of(place, found)]
    shapes = found.projected(place.boundary.epsg)
    pieces = [mended(one, found.file, row.number) for one, row in zip(shapes, found.features, strict=True)]
    _check_here(place, found.file, pieces)
    different = list(dict.fromkeys(sown))
    owners = [different.index(one) for one in sown]
    smallest = blocks.Smallest(number("inputs.sliver_width_m"))
    parted = blocks.partition(place.boundary.area, pieces, owners, smallest)
    least = number("inputs.worth_saying_frac")
    notes = [
        Said("inputs.planting_mended", file=found.file, row=row.number)
        for drawn, piece, row in zip(shapes, pieces, found.features, strict=True)
        if abs(drawn.area - piece.area) > least * piece.area
    ]
    notes += _said_parted(place, found.file, parted)
    grounds = [
        _Ground(sown=one, outline=outline)
        for one, outline in zip(different, parted.outlines, strict=False)
        if outline is not None
    ]
    return _named(place, grounds, parted.whole, notes)


def _check_here(place: Place, file: str, pieces: Sequence[Area]) -> None:
    shared = shapely.intersection(np.array(pieces, dtype=object), place.boundary.area)
    if not (shapely.area(shared) > 0).any():
        mend = "Check the CRS of both files, and that they are of the same field."
        raise InputError("nothing in the file lies inside the boundary", where=file, mend=mend)


def _from_records(place: Place, grid: Grid, found: vector.Vector) -> Planted:
    ground = recorded(place, grid, found)
    different = list(dict.fromkeys(zip(ground.sown, ground.mixed, strict=True)))
    alike = [different.index(one) for one in zip(ground.sown, ground.mixed, strict=True)]
    smallest = blocks.Smallest(number("inputs.sliver_width_m"), ground.speck_m2)
    owners = [alike[one] for one in ground.owners]
    parted = blocks.partition(place.boundary.area, ground.pieces, owners, smallest)
    grounds = [
        _Ground(sown=sown, outline=outline, mixed=mixed)
        for (sown, mixed), outline in zip(different, parted.outlines, strict=False)
        if outline is not None
    ]
    made = _named(place, grounds, parted.whole, _said_recorded(found.file, ground))
    return replace(made, drawn=False, records=ground.records)


def _said_recorded(file: str, ground: Recorded) -> list[Said]:
    notes = []
    if ground.far_frac > number("inputs.worth_saying_frac"):
        far = 100 * ground.far_frac
        notes.append(Said("inputs.planting_far", file=file, percent=far, m=number("inputs.planting_far_m")))
    if ground.slips_ac > 0:
        notes.append(Said("inputs.planting_slips", file=file, ac=ground.slips_ac))
    return notes


def _said_parted(place: Place, file: str, parted: blocks.Partition) -> list[Said]:
    least_m2 = number("inputs.worth_saying_frac") * place.boundary.area.area
    told = (("inputs.planting_gap", parted.gap_m2), ("inputs.planting_overlap", parted.overlap_m2))
    return [Said(code, file=file, ac=units.ac_from_m2(m2)) for code, m2 in told if m2 > least_m2]


def _named(place: Place, grounds: Sequence[_Ground], whole: Area, notes: Sequence[Said]) -> Planted:
    """Put the blocks in order, letter them, and say what is to be said of each."""
    made = [_block(place, ground) for ground in grounds]
    named, told = [], list(notes)
    for count, at in enumerate(in_order(made)):
        ground = grounds[at]
        block = replace(made[at], name=letters(count))
        named.append(block)
        if ground.mixed is not None:
            told += mixture.said(block.name, ground.sown, ground.mixed, place.settings.units == "metric")
        if block.emerged != ground.sown.emerged:
            told.append(Said("inputs.emerged_later", block=block.name, emerged=ground.sown.emerged))
    return Planted(blocks=tuple(named), whole=whole, notes=tuple(told))


def _block(place: Place, ground: _Ground) -> Block:
    sown = ground.sown
    return Block(
        name="",
        planted=sown.planted,
        emerged=None if sown.emerged is None or sown.emerged > place.today else sown.emerged,
        maturity_group=sown.maturity_group,
        variety=sown.variety,
        expected_yield_bu_ac=sown.expected_yield_bu_ac,
        outline=ground.outline,
        area_ac=area.geodesic_ac(area.to_lonlat(ground.outline, place.boundary.epsg)),
    )
