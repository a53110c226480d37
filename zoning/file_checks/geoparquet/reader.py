"""A GeoParquet file, read once: `geo` metadata, columns, geometries. pyarrow comes late, for it is slow."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from zoning.evidence import number
from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.of_polygons import wkb
from zoning.file_checks.place import BYTES_PER_MB

_MAGIC = b"PAR1"
_MOST_NAMES = 1_000_000
WKB = "WKB"


@dataclass(frozen=True, eq=False)
class Shape:
    """The geometry of one row."""

    row: str
    blob: object

    @cached_property
    def geometry(self) -> wkb.Geometry | None:
        """What the bytes are; None if they are no geometry, or not that alone."""
        return wkb.alone(self.blob) if isinstance(self.blob, bytes) else None

    @cached_property
    def bounds(self) -> tuple[float, float, float, float] | None:
        """West, south, east, north; None where they are not known."""
        points = None if self.geometry is None else self.geometry.points
        if points is None or not len(points) or not np.isfinite(points).all():
            return None
        (west, south), (east, north) = points.min(axis=0), points.max(axis=0)
        return float(west), float(south), float(east), float(north)


@dataclass(frozen=True, eq=False)
class GeoParquet:
    """One file.

    `geo` is its metadata (None where it has none, or where they are no JSON object), `columns` the types of
    its columns, those inside others joined with a dot; `boxes` holds the columns of the covering, by the name
    of their side.
    """

    geo: Mapping[str, Any] | None
    has_geo: bool
    columns: Mapping[str, str]
    rows: int
    shapes: tuple[Shape, ...]
    boxes: Mapping[str, tuple[float | None, ...]]

    @property
    def primary(self) -> str:
        """Name of the column with the geometries, "" where it is not told."""
        name = None if self.geo is None else self.geo.get("primary_column")
        return name if isinstance(name, str) else ""

    @property
    def about(self) -> Mapping[str, Any]:
        """What is said of that column, empty where nothing is."""
        columns = None if self.geo is None else self.geo.get("columns")
        about = columns.get(self.primary) if isinstance(columns, dict) else None
        return about if isinstance(about, dict) else {}


def read(data: bytes) -> GeoParquet:
    """Read the file.

    Raises
    ------
    UnreadableError
        When it is no Parquet file, or damaged, or unpacks to more than any farm needs.
    """
    import pyarrow as pa
    from pyarrow import parquet

    if len(data) < 12 or not data.startswith(_MAGIC) or not data.endswith(_MAGIC):
        raise UnreadableError("parquet_other")
    try:
        file = parquet.ParquetFile(
            pa.BufferReader(data),
            thrift_string_size_limit=len(data),
            thrift_container_size_limit=_MOST_NAMES,
        )
        return _read(file)
    except (pa.ArrowException, OSError, ValueError, KeyError, NotImplementedError, OverflowError) as error:
        raise UnreadableError("parquet_broken") from error


def _read(file: Any) -> GeoParquet:
    meta = file.metadata
    limit_mb = number("file_checks.largest_file_mb")
    unpacked = sum(meta.row_group(at).total_byte_size for at in range(meta.num_row_groups))
    if unpacked > limit_mb * BYTES_PER_MB or meta.num_rows > limit_mb * BYTES_PER_MB:
        raise UnreadableError("too_large", size_mb=unpacked / BYTES_PER_MB, limit_mb=limit_mb)
    raw = (meta.metadata or {}).get(b"geo")
    schema = file.schema_arrow
    empty = GeoParquet(_object(raw), raw is not None, _columns(schema), meta.num_rows, (), {})
    if empty.primary not in schema.names:
        return empty
    blobs = file.read(columns=[empty.primary]).column(0).to_pylist()
    shapes = tuple(Shape(f"row {at}", blob) for at, blob in enumerate(blobs, 1))
    return GeoParquet(empty.geo, empty.has_geo, empty.columns, empty.rows, shapes, _boxes(file, empty))


def _object(raw: bytes | None) -> Mapping[str, Any] | None:
    try:
        found = json.loads(raw or b"")
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _columns(schema: Any) -> dict[str, str]:
    found: dict[str, str] = {}
    for field in schema:
        found[field.name] = str(field.type)
        inner = range(field.type.num_fields) if str(field.type).startswith("struct") else ()
        found |= {f"{field.name}.{field.type.field(at).name}": str(field.type.field(at).type) for at in inner}
    return found


def paths(one: GeoParquet) -> dict[str, str]:
    """Give the columns of the covering by side, joined with a dot; empty where none is told, or wrongly."""
    covering = one.about.get("covering")
    box = covering.get("bbox") if isinstance(covering, dict) else None
    if not isinstance(box, dict):
        return {}
    return {
        side: ".".join(path)
        for side, path in box.items()
        if isinstance(path, list) and path and all(isinstance(part, str) for part in path)
    }


def _boxes(file: Any, one: GeoParquet) -> dict[str, tuple[float | None, ...]]:
    found = {}
    for side, path in paths(one).items():
        if path not in one.columns or not one.columns[path].startswith(("double", "float")):
            continue
        column = file.read(columns=[path]).column(0).combine_chunks()
        values = column.field(path.partition(".")[2]) if "." in path else column
        found[side] = tuple(values.to_pylist())
    return found
