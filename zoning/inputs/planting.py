"""What was planted where: a planting file, or one date, becomes the blocks of a field.

The columns are read in `sown`, the geometry is made in `blocks` and `asplanted`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
import shapely

from zoning import units
from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import area, asplanted, blocks, vector
from zoning.inputs.boundary import mended
from zoning.inputs.given import Area, Block
from zoning.inputs.grid import Grid
from zoning.inputs.sown import Place, Sown, one_date, rows_of
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planted:
    """The blocks in the order of their planting day, the boundary they fill, and what is to be said."""

    blocks: tuple[Block, ...]
    whole: Area
    notes: tuple[Said, ...]


def read(place: Place, grid: Grid, path: Path | None) -> Planted:
    """Read the planting layer of a field, or take the one date of its settings.

    Raises
    ------
    InputError
        For every row whose date, group or yield cannot be; when the file misses the field.
    """
    whole = place.boundary.area
    if path is None:
        return _named(place, [(one_date(place), whole)], whole, [])
    file = place.settings.planting.file or path.name
    found = vector.read(path, file, layer="planting")
    kinds = {feature.shape.geom_type.removeprefix("Multi") for feature in found.features}
    if kinds == {"Polygon"}:
        return _from_polygons(place, found)
    if kinds <= {"Point", "LineString"}:
        return _from_records(place, grid, found)
    what = f"the file mixes {' and '.join(sorted(kinds))}"
    raise InputError(what, where=file, mend="Keep either polygons, or points, or lines, in one file.")


def _from_polygons(place: Place, found: vector.Vector) -> Planted:
    sown = [row for row, _ in rows_of(place, found)]
    shapes = found.projected(place.boundary.epsg)
    pieces = [mended(one, found.file, row.number) for one, row in zip(shapes, found.features, strict=True)]
    owners = asplanted.numbered(sown)
    smallest = blocks.Smallest(number("inputs.sliver_width_m"))
    parted = _parted(place, found.file, pieces, owners.tolist(), smallest)
    least = number("inputs.worth_saying_frac")
    notes = [
        Said("inputs.planting_mended", file=found.file, row=row.number)
        for drawn, piece, row in zip(shapes, pieces, found.features, strict=True)
        if abs(drawn.area - piece.area) > least * piece.area
    ]
    notes += _said_parted(place, found.file, parted)
    by_owner = [sown[int(np.flatnonzero(owners == one)[0])] for one in range(owners.max() + 1)]
    return _named(place, _with_ground(by_owner, parted), parted.whole, notes)


def _from_records(place: Place, grid: Grid, found: vector.Vector) -> Planted:
    rows = rows_of(place, found)
    run = asplanted.runs([when for _, when in rows])
    apart = [(int(one), replace(sown, planted=date.min)) for one, (sown, _) in zip(run, rows, strict=True)]
    owners = asplanted.numbered(apart)
    by_owner = [
        replace(
            rows[int(np.flatnonzero(owners == one)[0])][0],
            planted=asplanted.median_day([rows[row][0].planted for row in np.flatnonzero(owners == one)]),
        )
        for one in range(owners.max() + 1)
    ]
    alike = asplanted.numbered(by_owner)
    ground = asplanted.ground(found.projected(place.boundary.epsg), alike[owners], place.boundary.area, grid)
    parted = _parted(place, found.file, ground.pieces, ground.owners, ground.smallest)
    notes = []
    if ground.far_frac > number("inputs.worth_saying_frac"):
        far = 100 * ground.far_frac
        notes.append(
            Said("inputs.planting_far", file=found.file, percent=far, m=number("inputs.planting_far_m"))
        )
    first = [by_owner[int(np.flatnonzero(alike == one)[0])] for one in range(alike.max() + 1)]
    return _named(place, _with_ground(first, parted), parted.whole, notes)


def _parted(
    place: Place, file: str, pieces: Sequence[Area], owners: Sequence[int], smallest: blocks.Smallest
) -> blocks.Partition:
    touching = shapely.area(shapely.intersection(np.array(pieces, dtype=object), place.boundary.area)) > 0
    if not touching.any():
        mend = "Check the CRS of both files, and that they are of the same field."
        raise InputError("nothing in the file lies inside the boundary", where=file, mend=mend)
    return blocks.partition(place.boundary.area, pieces, owners, smallest)


def _with_ground(sown: Sequence[Sown], parted: blocks.Partition) -> list[tuple[Sown, Area]]:
    return [
        (one, outline) for one, outline in zip(sown, parted.outlines, strict=False) if outline is not None
    ]


def _said_parted(place: Place, file: str, parted: blocks.Partition) -> list[Said]:
    least_m2 = number("inputs.worth_saying_frac") * place.boundary.area.area
    told = (("inputs.planting_gap", parted.gap_m2), ("inputs.planting_overlap", parted.overlap_m2))
    return [Said(code, file=file, ac=units.ac_from_m2(m2)) for code, m2 in told if m2 > least_m2]


def _named(place: Place, grounds: list[tuple[Sown, Area]], whole: Area, notes: list[Said]) -> Planted:
    """Order the blocks by planting day, then north to south, then west to east, and letter them."""

    def order(one: tuple[Sown, Area]) -> tuple[date, float, float]:
        middle = shapely.centroid(one[1])
        return one[0].planted, -middle.y, middle.x

    made = []
    for count, (sown, outline) in enumerate(sorted(grounds, key=order)):
        late = sown.emerged is not None and sown.emerged > place.today
        if late:
            notes.append(Said("inputs.emerged_later", block=letters(count), emerged=sown.emerged))
        made.append(
            Block(
                name=letters(count),
                planted=sown.planted,
                emerged=None if late else sown.emerged,
                maturity_group=sown.maturity_group,
                variety=sown.variety,
                expected_yield_bu_ac=sown.expected_yield_bu_ac,
                outline=outline,
                area_ac=area.geodesic_ac(area.to_lonlat(outline, place.boundary.epsg)),
            )
        )
    return Planted(blocks=tuple(made), whole=whole, notes=tuple(notes))


def letters(count: int) -> str:
    """Name the first block (0) A, the 26th Z, the 27th AA.

    Examples
    --------
    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    name, rest = "", count + 1
    while rest:
        rest, letter = divmod(rest - 1, 26)
        name = chr(ord("A") + letter) + name
    return name
