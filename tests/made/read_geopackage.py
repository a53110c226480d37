"""A reader of GeoPackage geometry for tests, from the bytes alone: OGC 12-128r15 (GeoPackage 1.3), 2.1.3."""

import sqlite3
import struct
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

Ring = list[tuple[float, float]]
POINT, POLYGON, MULTIPOLYGON = 1, 3, 6


@dataclass
class Blob:
    """One geometry: its SRS, the envelope of its header (west, east, south, north), and its parts."""

    srs: int
    envelope: tuple[float, ...] | None
    polygons: list[list[Ring]] = field(default_factory=list)  # each with its exterior ring first
    points: Ring = field(default_factory=list)

    @property
    def corners(self) -> Ring:
        return [*self.points, *(corner for rings in self.polygons for ring in rings for corner in ring)]


def parsed(blob: bytes) -> Blob:
    """Read one geometry, header and well-known binary, to its last byte."""
    magic, version, flags, srs = struct.unpack_from("<2sBBi", blob)
    assert (magic, version) == (b"GP", 0)
    assert flags & 1, "little endian"
    assert not flags & 0b110000, "neither empty nor of an extended type"
    kind = (flags >> 1) & 0b111
    assert kind in (0, 1)
    found = Blob(srs, struct.unpack_from("<4d", blob, 8) if kind else None)
    assert _walk(blob, 8 + 32 * kind, found) == len(blob)
    return found


def _walk(blob: bytes, at: int, found: Blob) -> int:
    """Read one well-known binary geometry; gives where it ends."""
    order, kind = struct.unpack_from("<BI", blob, at)
    assert order == 1
    at += 5
    if kind == POINT:
        found.points.append(struct.unpack_from("<2d", blob, at))
        return at + 16
    (count,) = struct.unpack_from("<I", blob, at)
    at += 4
    if kind == MULTIPOLYGON:
        for _ in range(count):
            at = _walk(blob, at, found)
        return at
    assert kind == POLYGON
    rings = []
    for _ in range(count):
        (points,) = struct.unpack_from("<I", blob, at)
        rings.append([struct.unpack_from("<2d", blob, at + 4 + 16 * number) for number in range(points)])
        at += 4 + 16 * points
    found.polygons.append(rings)
    return at


def rows(path: Path, layer: str) -> list[tuple[Blob, dict[str, object]]]:
    """Geometry and columns of each row of a layer."""
    with closing(sqlite3.connect(path)) as base:
        base.row_factory = sqlite3.Row
        found = [dict(row) for row in base.execute(f"select * from {layer} order by fid")]
    return [(parsed(row.pop("geom")), row) for row in found]
