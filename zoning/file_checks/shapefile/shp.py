"""The .shp and .shx files, byte by byte, by the ESRI Shapefile Technical Description (1998)."""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from zoning.file_checks.finding import Rule, Seen, UnreadableError
from zoning.file_checks.of_polygons.polygons import FloatArray, Ring

HEADER = 100  # bytes
_CODE, _VERSION, _POLYGON, _NULL = 9994, 1000, 5, 0
_WORD = 2  # bytes: lengths are counted in words of 16 bit
_BOX_DEG = 1e-9  # the bounds of a file are copies of its coordinates


@dataclass(frozen=True, slots=True)
class Header:
    """The first hundred bytes, and how many bytes there really are."""

    code: int
    length: int
    version: int
    kind: int
    box: tuple[float, float, float, float]
    size: int


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """One record: where it begins, its number, its length in bytes without its header, its shape."""

    offset: int
    number: int
    length: int
    kind: int
    box: tuple[float, float, float, float] | None
    rings: tuple[FloatArray, ...]


@dataclass(frozen=True, eq=False)
class Shp:
    """A .shp file."""

    header: Header
    records: tuple[Record, ...]

    @cached_property
    def bounds(self) -> tuple[float, float, float, float] | None:
        """Give the bounds of all coordinates, None where there are none."""
        return _bounds([ring for record in self.records for ring in record.rings])


@dataclass(frozen=True, slots=True, eq=False)
class Shx:
    """A .shx file with its .shp: (offset, length) of each record, in bytes."""

    header: Header
    rows: tuple[tuple[int, int], ...]
    shp: Shp


def _header(data: bytes) -> Header:
    if len(data) < HEADER:
        raise UnreadableError("cut_short", at=len(data))
    code, *_, words = struct.unpack_from(">7i", data)
    version, kind = struct.unpack_from("<2i", data, 28)
    west, south, east, north = struct.unpack_from("<4d", data, 36)
    return Header(code, words * _WORD, version, kind, (west, south, east, north), len(data))


def read_shp(data: bytes) -> Shp:
    """Parse a .shp file.

    Raises
    ------
    UnreadableError
        When it ends too early, or a record does not add up.
    """
    header = _header(data)
    if header.code != _CODE:
        raise UnreadableError("file_code", begins=header.code)
    records: list[Record] = []
    offset = HEADER
    while offset < len(data):
        if offset + 12 > len(data):
            raise UnreadableError("cut_short", at=offset)
        number, words = struct.unpack_from(">2i", data, offset)
        length = words * _WORD
        if length < 4:
            raise UnreadableError("record_broken", row=len(records) + 1)
        if offset + 8 + length > len(data):
            raise UnreadableError("cut_short", at=offset)
        content = data[offset + 8 : offset + 8 + length]
        records.append(_record(offset, number, content, row=len(records) + 1))
        offset += 8 + length
    return Shp(header, tuple(records))


def _record(offset: int, number: int, content: bytes, *, row: int) -> Record:
    (kind,) = struct.unpack_from("<i", content)
    if kind != _POLYGON:
        return Record(offset, number, len(content), kind, None, ())
    if len(content) < 44:
        raise UnreadableError("record_broken", row=row)
    west, south, east, north, parts, points = struct.unpack_from("<4d2i", content, 4)
    if parts < 1 or points < 1 or 44 + 4 * parts + 16 * points != len(content):
        raise UnreadableError("record_broken", row=row)
    begins = np.frombuffer(content, "<i4", parts, 44).tolist()
    if begins[0] != 0 or begins != sorted(set(begins)) or begins[-1] >= points:
        raise UnreadableError("record_broken", row=row)
    lonlat = np.frombuffer(content, "<f8", 2 * points, 44 + 4 * parts).reshape(-1, 2).astype(np.float64)
    rings = tuple(np.split(lonlat, begins[1:]))
    return Record(offset, number, len(content), kind, (west, south, east, north), rings)


def read_shx(data: bytes, shp: Shp) -> Shx:
    """Parse a .shx file, to be compared with its .shp.

    Raises
    ------
    UnreadableError
        When it ends too early.
    """
    header = _header(data)
    if header.code != _CODE:
        raise UnreadableError("file_code", begins=header.code)
    if (len(data) - HEADER) % 8:
        raise UnreadableError("cut_short", at=len(data))
    pairs = struct.iter_unpack(">2i", data[HEADER:])
    return Shx(header, tuple((at * _WORD, length * _WORD) for at, length in pairs), shp)


def _bounds(rings: list[FloatArray]) -> tuple[float, float, float, float] | None:
    if not rings:
        return None
    lonlat = np.concatenate(rings)
    west, south = lonlat.min(axis=0).tolist()
    east, north = lonlat.max(axis=0).tolist()
    return west, south, east, north


def _differ(box: tuple[float, ...], other: tuple[float, ...] | None) -> bool:
    """Say whether bounds differ; what is no number differs from everything."""
    return other is not None and not all(
        abs(a - b) <= _BOX_DEG for a, b in zip(box, other, strict=True) if np.isfinite(b)
    )


def rings_of(record: Record) -> tuple[Ring, ...]:
    """Tell outer rings from holes by what lies in what, for their direction is what is to be judged."""
    if len(record.rings) < 2:
        return tuple(Ring(one, is_hole=False) for one in record.rings)
    solid = [
        shapely.Polygon(one) if len(one) > 3 and Ring(one, False).is_measurable else shapely.Polygon()
        for one in record.rings
    ]
    # A ring in an even number of others is an outer one; of holes, the smallest outer ring around counts.
    around: list[list[int]] = [[] for _ in solid]
    places = [None if one.is_empty else shapely.Point(_inside(one)) for one in solid]
    pairs = shapely.STRtree(solid).query(places, predicate="within").T.tolist()
    for one, other in pairs:
        if solid[other].area > solid[one].area:
            around[one].append(other)
    outer = [i for i, rings in enumerate(around) if len(rings) % 2 == 0]
    parts: dict[int, list[Ring]] = {i: [Ring(record.rings[i], False, i)] for i in outer}
    for i, rings in enumerate(around):
        if i not in parts:
            shell = min((j for j in rings if j in parts), key=lambda j: solid[j].area, default=outer[0])
            parts[shell].append(Ring(record.rings[i], True, shell))
    return tuple(ring for rings in parts.values() for ring in rings)


def _inside(one: shapely.Polygon) -> tuple[float, float]:
    if one.is_valid and one.area > 0:
        point = one.representative_point()
        return point.x, point.y
    west, south, east, north = one.bounds
    return (west + east) / 2, (south + north) / 2


def version(shp: Shp) -> Iterator[Seen]:
    """See another version than the published one."""
    if shp.header.version != _VERSION:
        yield {"version": shp.header.version}


def length(shp: Shp | Shx) -> Iterator[Seen]:
    """See a header that tells another length than the file has."""
    if shp.header.length != shp.header.size:
        yield {"told": shp.header.length, "size": shp.header.size}


def kind(shp: Shp) -> Iterator[Seen]:
    """See shapes other than plain polygons."""
    kinds = {shp.header.kind, *(one.kind for one in shp.records if one.kind != _NULL)}
    return ({"kind": one} for one in sorted(kinds - {_POLYGON}))


def file_box(shp: Shp) -> Iterator[Seen]:
    """See bounds in the header that are not those of the coordinates."""
    if _differ(shp.header.box, shp.bounds):
        yield {}


def record_box(shp: Shp) -> Iterator[Seen]:
    """See bounds of a record that are not those of its coordinates."""
    for row, one in enumerate(shp.records, 1):
        if one.box is not None and _differ(one.box, _bounds(list(one.rings))):
            yield {"row": row}


def record_number(shp: Shp) -> Iterator[Seen]:
    """See records that are not numbered from 1 in order."""
    for row, one in enumerate(shp.records, 1):
        if one.number != row:
            yield {"row": row, "number": one.number}


def index_count(shx: Shx) -> Iterator[Seen]:
    """See another number of records in the index than in the .shp."""
    if len(shx.rows) != len(shx.shp.records):
        yield {"here": len(shx.rows), "there": len(shx.shp.records)}


def index_offset(shx: Shx) -> Iterator[Seen]:
    """See records that do not lie where the index says."""
    for row, (said, one) in enumerate(zip(shx.rows, shx.shp.records, strict=False), 1):
        if said != (one.offset, one.length):
            yield {"row": row}


SHP: tuple[Rule[Shp], ...] = (
    Rule("version", "refused", version),
    Rule("length", "refused", length),
    Rule("kind", "refused", kind),
    Rule("file_box", "refused", file_box),
    Rule("record_box", "refused", record_box),
    Rule("record_number", "refused", record_number),
)
SHX: tuple[Rule[Shx], ...] = (
    Rule("length", "refused", length),
    Rule("index_count", "refused", index_count),
    Rule("index_offset", "refused", index_offset),
)
