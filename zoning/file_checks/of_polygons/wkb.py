"""Geometry as bytes (well-known binary), read ring by ring without a library that mends or refuses."""

import struct
from dataclasses import dataclass

import numpy as np

from zoning.file_checks.of_polygons.polygons import Ring

POINT, LINE, POLYGON, MANY_POINTS, MANY_LINES, MANY_POLYGONS, COLLECTION = range(1, 8)
NAMES = {
    POINT: "POINT",
    LINE: "LINESTRING",
    POLYGON: "POLYGON",
    MANY_POINTS: "MULTIPOINT",
    MANY_LINES: "MULTILINESTRING",
    MANY_POLYGONS: "MULTIPOLYGON",
    COLLECTION: "GEOMETRYCOLLECTION",
}
_DEEPEST = 4  # a collection of many polygons has three
_Z_BIT, _M_BIT, _SRID_BIT = 0x80000000, 0x40000000, 0x20000000  # an older way to tell of heights


class BrokenError(ValueError):
    """Bytes that are no geometry, or end too early."""


@dataclass(frozen=True, slots=True, eq=False)
class Geometry:
    """One geometry: type, rings (of polygons), all points as lon, lat, and how many bytes it takes."""

    kind: int
    rings: tuple[Ring, ...]
    points: np.ndarray
    has_heights: bool
    length: int

    @property
    def name(self) -> str:
        """Name of its type."""
        return NAMES.get(self.kind, f"type {self.kind}")


class _Reader:
    """Goes through the bytes once."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.at = 0
        self.rings: list[Ring] = []
        self.points: list[np.ndarray] = []
        self.part = -1
        self.has_heights = False

    def take(self, form: str) -> int:
        try:
            (value,) = struct.unpack_from(form, self.data, self.at)
        except struct.error as error:
            raise BrokenError("too short") from error
        self.at += struct.calcsize(form)
        return int(value)

    def run(self, order: str, count: int, width: int) -> np.ndarray:
        """Take `count` points of `width` doubles; the first two are kept."""
        size = 8 * count * width
        if size > len(self.data) - self.at:
            raise BrokenError("too short")
        if count == 0:
            return np.zeros((0, 2))
        made = np.frombuffer(self.data, dtype=f"{order}f8", count=count * width, offset=self.at)
        self.at += size
        points = made.reshape(count, width)[:, :2].astype(np.float64)
        self.points.append(points)
        return points

    def geometry(self, depth: int) -> int:
        if depth > _DEEPEST:
            raise BrokenError("too deep")
        order = "<" if self.take("B") == 1 else ">"
        kind, width = self.kind(self.take(f"{order}I"))
        if kind == POINT:
            self.run(order, 1, width)
        elif kind == LINE:
            self.run(order, self.take(f"{order}I"), width)
        elif kind == POLYGON:
            self.part += 1
            for place in range(self.take(f"{order}I")):
                points = self.run(order, self.take(f"{order}I"), width)
                self.rings.append(Ring(points, is_hole=place > 0, part=self.part))
        elif kind in NAMES:
            for _ in range(self.take(f"{order}I")):
                self.geometry(depth + 1)
        else:
            raise BrokenError(f"type {kind}")
        return kind

    def kind(self, code: int) -> tuple[int, int]:
        """Split a type into its plain type and the count of numbers in a point."""
        bits = int(bool(code & _Z_BIT)) + int(bool(code & _M_BIT))
        if code & _SRID_BIT:
            raise BrokenError("a CRS inside")
        thousands, kind = divmod(code & ~(_Z_BIT | _M_BIT), 1000)
        if thousands > 3:
            raise BrokenError(f"type {code}")
        width = 2 + bits + (0, 1, 1, 2)[thousands]
        self.has_heights |= width > 2
        return kind, width


def read(data: bytes) -> Geometry:
    """Read one geometry.

    Raises
    ------
    BrokenError
        When the bytes are no geometry.

    Examples
    --------
    >>> import shapely
    >>> made = read(shapely.to_wkb(shapely.box(0, 0, 1, 1)))
    >>> made.name, len(made.rings), len(made.points)
    ('POLYGON', 1, 5)
    """
    reader = _Reader(data)
    kind = reader.geometry(0)
    points = np.concatenate(reader.points) if reader.points else np.zeros((0, 2))
    return Geometry(kind, tuple(reader.rings), points, reader.has_heights, reader.at)


def alone(data: bytes) -> Geometry | None:
    """Read bytes that should be one geometry and nothing else; None where they are not.

    Examples
    --------
    >>> import shapely
    >>> point = shapely.to_wkb(shapely.Point(0, 0))
    >>> alone(point) is None, alone(point + b" ") is None
    (False, True)
    """
    try:
        made = read(data)
    except BrokenError:
        return None
    return made if made.length == len(data) else None
