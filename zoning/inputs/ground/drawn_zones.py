"""Zones that somebody drew, in a polygon file, become a coverage of the field.

What the rows are called is read here too. Cuts no zone at a planting edge, and weighs no layer.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from zoning import units
from zoning.errors import InputError, raise_all
from zoning.evidence import number
from zoning.inputs import files, vector
from zoning.inputs.given import Area, GivenZone
from zoning.inputs.ground import blocks
from zoning.inputs.ground.boundary import SNAP_M, mended, polygons_of
from zoning.settings.model import Settings
from zoning.words import Said, amounts

NOT_DRAWN = "not drawn"  # what ground is called that lies in no zone
_NAME_MOST = 80  # letters: more is a description, and no table or map has room for it
_MOST_LINES = 20  # zones of which it is said one by one that nothing of them is left
NAMES = ("zone", "name", "id")  # columns that are taken for the name of a zone without being asked for
_ENDS_IN_NUMBER = re.compile(r"(.*?)(\d+)")


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """The field as far as it is known: its settings, the plane, and the ground that zones are to fill."""

    settings: Settings
    epsg: int
    whole: Area


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zoned:
    """The given zones in the order of whoever drew them: their outlines are a coverage of the field."""

    zones: tuple[GivenZone, ...]
    notes: tuple[Said, ...]


def read(field: Field, path: Path) -> Zoned:
    """Read the zones that somebody drew.

    Parameters
    ----------
    field : Field
        Outlines in metres, in the plane `epsg`.
    path : Path
        GeoJSON, GeoPackage or shapefile with polygons.

    Returns
    -------
    Zoned
        Zones in rising order where their names are numbers or end in one, else as they stand in the file.
        Ground in no zone has gone to its neighbours, or is a zone called "not drawn", the last.

    Raises
    ------
    InputError
        For shapes that are no polygons, a column that is not there or has no values, more zones than a field
        can have, a file of another place, and what `vector.read` refuses.
    """
    file = field.settings.zones.file or path.name
    found = vector.read(path, file, layer="zones")
    vector.only_polygons(found, "Save the zones as polygons.")
    names, notes = _names(field.settings, found)
    shapes = found.projected(field.epsg)
    pieces = [mended(one, file, row.number) for one, row in zip(shapes, found.features, strict=True)]
    order = _in_order(names)
    owners = [order.index(name) for name in names]
    outside = _outside(field, file, pieces, owners)
    least = number("inputs.worth_saying_frac")
    notes += [
        Said("inputs.zones_mended", file=file, row=row.number)
        for drawn, piece, row in zip(shapes, pieces, found.features, strict=True)
        if abs(drawn.area - piece.area) > least * piece.area
    ]
    called, rest = list(order), _rest(field, pieces)
    if rest is not None:
        called += [] if NOT_DRAWN in order else [NOT_DRAWN]
        pieces, owners = [*pieces, rest], [*owners, called.index(NOT_DRAWN)]
    smallest = blocks.Smallest(number("inputs.sliver_width_m"))
    parted = blocks.partition(field.whole, pieces, owners, smallest)
    notes += _said_parted(field, file, parted, rest)
    nothing = [owner for owner in range(len(order)) if parted.outlines[owner] is None]
    if len(nothing) == len(order):
        raise _elsewhere(file)
    notes += [
        Said(
            "inputs.zones_outside" if owner in outside else "inputs.zones_covered",
            file=file,
            zone=order[owner],
        )
        for owner in nothing[:_MOST_LINES]
    ]
    if len(nothing) > _MOST_LINES:
        notes.append(Said("inputs.zones_more", file=file, count=len(nothing) - _MOST_LINES))
    zones = tuple(
        GivenZone(name=name, outline=outline)
        for name, outline in zip(called, parted.outlines, strict=True)
        if outline is not None
    )
    return Zoned(zones=zones, notes=tuple(notes))


def other_names(path: Path, file: str, column: str, other: str) -> dict[str, str]:
    """Read a second column of a file of zones, by what stands in the first.

    Raises
    ------
    InputError
        When one of the columns is not there.
    """
    found = vector.read(path, file, layer="zones")
    theirs = list(found.features[0].columns)
    firsts = _column(found, theirs, column)
    if vector.column(theirs, other) is None:
        mend = "Bring back the file as it was written."
        raise InputError(f'there is no column "{other}"', where=file, mend=mend)
    return dict(zip(firsts, _words(found, str(vector.column(theirs, other))), strict=True))


# -- names ---------------------------------------------------------------------------------------------------


def _names(settings: Settings, found: vector.Vector) -> tuple[list[str], list[Said]]:
    """Name the zone of every row, and say so where the columns leave it open."""
    theirs = list(found.features[0].columns)
    wanted, notes = settings.zones.zone_column, list[Said]()
    if wanted:
        names = _column(found, theirs, wanted)
    else:
        named = {name: _words(found, name) for name in theirs if name.lower() in NAMES}
        full = {name: words for name, words in named.items() if all(words)}
        if len(full) > 1:
            notes.append(Said("inputs.zones_by_row", file=found.file, columns=" and ".join(full)))
        partly = [name for name, words in named.items() if any(words) and not full]
        notes += [Said("inputs.zones_partly_named", file=found.file, column=name) for name in partly]
        by_row = [str(feature.number) for feature in found.features]
        names = next(iter(full.values())) if len(full) == 1 else by_row
    _check_lengths(found, names)
    count, most = len(set(names)), int(number("inputs.zones_most"))
    if count > most:
        mend = "Name the column that tells the zones apart in [zones] zone_column, or join the small ones."
        raise InputError(f"the file holds {count:,} zones, more than {most}", where=found.file, mend=mend)
    return names, notes


def _column(found: vector.Vector, theirs: Sequence[str], wanted: str) -> list[str]:
    column = vector.column(theirs, wanted)
    if column is None:
        mend = f"Name it in [zones] zone_column; the file has {', '.join(theirs) or 'no columns'}."
        raise InputError(f'there is no column "{wanted}"', where=found.file, mend=mend)
    words = _words(found, column)
    if not any(words):
        mend = f"Name another in [zones] zone_column; the file has {', '.join(theirs)}."
        raise InputError(f'the column "{column}" has no values', where=found.file, mend=mend)
    faults = [
        InputError(
            f'the column "{column}" is empty',
            where=f"{found.file}: row {feature.number}",
            mend="Write the name of its zone there, or delete the row.",
        )
        for feature, word in zip(found.features, words, strict=True)
        if not word
    ]
    raise_all(files.at_most(faults, found.file))
    return words


def _check_lengths(found: vector.Vector, names: Sequence[str]) -> None:
    faults = [
        InputError(
            f"the name of the zone has {len(name):,} letters",
            where=f"{found.file}: row {feature.number}",
            mend=f"Give at most {_NAME_MOST}, or name another column in [zones] zone_column.",
        )
        for feature, name in zip(found.features, names, strict=True)
        if len(name) > _NAME_MOST
    ]
    raise_all(files.at_most(faults, found.file))


def _words(found: vector.Vector, column: str) -> list[str]:
    """Give the values of a column as names: on one line, whole numbers without a point, "" for nothing.

    Letters that cannot be seen, such as those that turn the direction of writing, are left out.
    """
    words = []
    for feature in found.features:
        value = feature.columns[column]
        if isinstance(value, float):
            value = "" if np.isnan(value) else f"{value:.15g}"
        seen = "" if value is None else " ".join(str(value).split())
        words.append("".join(letter for letter in seen if letter.isprintable()).strip())
    return words


def _in_order(names: Sequence[str]) -> list[str]:
    """List each name once: by number where all end in one and begin alike, else as they come."""
    listed = list(dict.fromkeys(names))
    ends = [_ENDS_IN_NUMBER.fullmatch(name) for name in listed]
    begins = {end[1] for end in ends if end is not None}
    if None in ends or len(begins) > 1:
        return listed
    return sorted(listed, key=lambda name: int(name.removeprefix(next(iter(begins)))))


# -- ground --------------------------------------------------------------------------------------------------


def _outside(field: Field, file: str, pieces: Sequence[Area], owners: Sequence[int]) -> set[int]:
    """Find the zones that do not reach into the field.

    Raises
    ------
    InputError
        Where none does.
    """
    shared = shapely.intersection(np.array(pieces, dtype=object), field.whole)
    inside = {owner for owner, m2 in zip(owners, shapely.area(shared), strict=True) if m2 > 0}
    if not inside:
        raise _elsewhere(file)
    return set(owners) - inside


def _elsewhere(file: str) -> InputError:
    mend = "Check the CRS of both files, and that they are of the same field."
    return InputError("nothing in the file lies inside the boundary", where=file, mend=mend)


def _rest(field: Field, pieces: Sequence[Area]) -> Area | None:
    """Find the ground in no zone that is large enough to be one; what is narrow is left to the neighbours."""
    half_m = number("inputs.sliver_width_m") / 2
    bare = shapely.difference(field.whole, shapely.union_all(pieces, grid_size=SNAP_M))
    wide = shapely.buffer(shapely.buffer(bare, -half_m), half_m, join_style="mitre")
    least_m2 = units.m2_from_ac(field.settings.zones.min_area_ac)
    parts = [part for part in shapely.get_parts(shapely.intersection(wide, bare)) if part.area >= least_m2]
    return polygons_of(shapely.MultiPolygon(parts)) if parts else None


# -- what is said --------------------------------------------------------------------------------------------


def _said_parted(field: Field, file: str, parted: blocks.Partition, rest: Area | None) -> list[Said]:
    least_m2 = number("inputs.worth_saying_frac") * field.whole.area
    told = [
        ("inputs.zones_gap", parted.gap_m2),
        ("inputs.zones_overlap", parted.overlap_m2),
        ("inputs.zones_not_drawn", 0.0 if rest is None else rest.area),
    ]
    return [
        Said(
            code,
            file=file,
            area=amounts.area(units.ac_from_m2(m2), is_metric=field.settings.units == "metric"),
        )
        for code, m2 in told
        if m2 > least_m2
    ]
