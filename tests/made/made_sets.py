"""Shapefile sets written with struct alone, so that tests can write what no library would.

`read` gives rings and rates of a good set with pyshp; `write` writes any rings and any texts of a table.
"""

import hashlib
import math
import struct
import zipfile
from dataclasses import dataclass, field, replace
from pathlib import Path

import shapefile as pyshp

NULL, POLYGON = 0, 5


@dataclass(frozen=True)
class Column:
    name: str
    kind: str = "N"
    width: int = 8
    decimals: int = 2


RATE = Column("RATE_GPA")


@dataclass(frozen=True)
class Table:
    """Rings and texts of a set, a row a polygon; a row of None has no shape."""

    shapes: list
    texts: list = field(default_factory=list)
    columns: tuple = (RATE,)

    def with_shape(self, row, shape):
        shapes = list(self.shapes)
        shapes[row] = shape
        return replace(self, shapes=shapes)

    def with_text(self, row, text, column=0):
        texts = [list(one) for one in self.texts]
        texts[row][column] = text
        return replace(self, texts=texts)

    def with_row(self, shape, *texts):
        return replace(self, shapes=[*self.shapes, shape], texts=[*self.texts, list(texts)])


def number(value, column=RATE):
    return f"{value:{column.width}.{column.decimals}f}"


def read(path: Path) -> Table:
    """Read a good set of one column."""
    with pyshp.Reader(str(path)) as reader:
        shapes = []
        for one in reader.shapes():
            ends = [*one.parts[1:], len(one.points)]
            shapes.append([list(map(tuple, one.points[a:b])) for a, b in zip(one.parts, ends, strict=True)])
        return Table(shapes, [[number(record[0])] for record in reader.records()])


def box(rings):
    xs, ys = [x for ring in rings for x, _ in ring], [y for ring in rings for _, y in ring]
    return (min(xs), min(ys), max(xs), max(ys)) if xs else (0.0, 0.0, 0.0, 0.0)


def _content(rings):
    if rings is None:
        return struct.pack("<i", NULL)
    begins = [sum(len(ring) for ring in rings[:part]) for part in range(len(rings))]
    points = [value for ring in rings for point in ring for value in point]
    head = struct.pack("<i4d2i", POLYGON, *box(rings), len(rings), len(points) // 2)
    return head + struct.pack(f"<{len(begins)}i{len(points)}d", *begins, *points)


def _header(kind, size, bounds):
    return struct.pack(">7i", 9994, 0, 0, 0, 0, 0, size // 2) + struct.pack(
        "<2i8d", 1000, kind, *bounds, 0, 0, 0, 0
    )


def write(path: Path, table: Table) -> None:
    """Write .shp, .shx and .dbf; .prj and .cpg stay as they are."""
    records, index = b"", b""
    for row, rings in enumerate(table.shapes, 1):
        content = _content(rings)
        index += struct.pack(">2i", (100 + len(records)) // 2, len(content) // 2)
        records += struct.pack(">2i", row, len(content) // 2) + content
    finite = [p for rings in table.shapes if rings for ring in rings for p in ring if math.isfinite(sum(p))]
    bounds = box([finite])
    path.write_bytes(_header(POLYGON, 100 + len(records), bounds) + records)
    path.with_suffix(".shx").write_bytes(_header(POLYGON, 100 + len(index), bounds) + index)
    path.with_suffix(".dbf").write_bytes(dbf(table.columns, table.texts))


def dbf(columns, texts) -> bytes:
    """Give a dBASE III table of these texts, each cut or filled to its column's width."""
    heads = b"".join(
        struct.pack("<11sc4xBB14x", one.name.encode("latin-1"), one.kind.encode(), one.width, one.decimals)
        for one in columns
    )
    rows = b"".join(
        b" "
        + b"".join(
            text.encode("latin-1").ljust(one.width)[: one.width]
            for one, text in zip(columns, row, strict=True)
        )
        for row in texts
    )
    width = 1 + sum(one.width for one in columns)
    head = struct.pack("<4BIHH20x", 3, 126, 7, 1, len(texts), 33 + len(heads), width)
    return head + heads + b"\r" + rows + b"\x1a"


def zip_of(path: Path, members: dict) -> None:
    """Write a zip with checksums of its members, as an operator gets it."""
    sums = "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in sorted(members.items()))
    with zipfile.ZipFile(path, "w") as file:
        for name, data in sorted(members.items()):
            file.writestr(name, data)
        file.writestr("SHA256SUMS", sums)


def of_zip(path: Path) -> dict:
    """Give the members of a zip but for its checksums."""
    with zipfile.ZipFile(path) as file:
        return {name: file.read(name) for name in file.namelist() if name != "SHA256SUMS"}


def square(lon, lat, side_m):
    """A square by degrees of 111 km both ways; narrower towards the poles."""
    step = side_m / 111_000
    return [[(lon, lat), (lon, lat + step), (lon + step, lat + step), (lon + step, lat), (lon, lat)]]
