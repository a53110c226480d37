"""A GeoPackage, read once by sqlite in memory: its header, its tables, and the rows of its layers."""

import sqlite3
import struct
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.of_polygons import wkb

_MAGIC = b"SQLite format 3\0"
_HEADER = 100  # bytes
_JOURNAL_AT = slice(18, 20)  # 1: rolls back, 2: keeps a log beside
_USER_VERSION_AT, _APPLICATION_ID_AT = 60, 68
_MOST_STEPS = 2_000  # of 100,000 instructions: a query that needs more never ends
_STEP = 100_000
_MOST_ROWS = 1_000_000
_SMALL = 1_000_000  # bytes: room for what sqlite says itself
STYLES = "layer_styles"
Value = object


@dataclass(frozen=True, slots=True)
class Content:
    """One row of gpkg_contents."""

    table: str
    kind: str
    bounds: tuple[Value, Value, Value, Value]
    srs: Value


@dataclass(frozen=True, slots=True)
class GeometryColumn:
    """One row of gpkg_geometry_columns."""

    table: str
    column: str
    shape: str
    srs: Value


@dataclass(frozen=True, eq=False)
class Shape:
    """The geometry of one row: its bytes, or what they are instead."""

    row: str
    blob: Value

    @cached_property
    def header(self) -> tuple[int, int, tuple[float, ...]] | None:
        """SRS, where the geometry begins, and the envelope (west, east, south, north); None if broken."""
        blob = self.blob
        if not isinstance(blob, bytes) or len(blob) < 8 or blob[:2] != b"GP" or blob[2] != 0:
            return None
        order = "<" if blob[3] & 1 else ">"
        doubles = (0, 4, 6, 6, 8, None, None, None)[(blob[3] >> 1) & 0b111]
        if doubles is None or len(blob) < 8 + 8 * doubles:
            return None
        (srs,) = struct.unpack_from(f"{order}i", blob, 4)
        return srs, 8 + 8 * doubles, struct.unpack_from(f"{order}{doubles}d", blob, 8)[:4]

    @cached_property
    def geometry(self) -> wkb.Geometry | None:
        """What stands behind the header; None if broken."""
        if self.header is None or not isinstance(self.blob, bytes):
            return None
        return wkb.alone(self.blob[self.header[1] :])


@dataclass(frozen=True, eq=False)
class Layer:
    """One layer with all its rows; `values` are those of the other columns, by name."""

    listed: GeometryColumn
    columns: dict[str, str]
    has_key: bool
    shapes: tuple[Shape, ...]
    values: dict[str, tuple[Value, ...]]

    @property
    def name(self) -> str:
        """Name of its table."""
        return self.listed.table

    @cached_property
    def is_ground(self) -> bool:
        """Say whether it is of polygons."""
        kinds = (wkb.POLYGON, wkb.MANY_POLYGONS)
        return self.listed.shape.upper().endswith("POLYGON") or any(
            one.geometry is not None and one.geometry.kind in kinds for one in self.shapes
        )

    @cached_property
    def bounds(self) -> tuple[float, float, float, float] | None:
        """West, south, east, north of all its points; None where it has none that are finite."""
        found = [one.geometry.points for one in self.shapes if one.geometry is not None]
        points = np.concatenate(found) if found else np.zeros((0, 2))
        points = points[np.isfinite(points).all(axis=1)]
        if not len(points):
            return None
        (west, south), (east, north) = points.min(axis=0), points.max(axis=0)
        return float(west), float(south), float(east), float(north)


@dataclass(frozen=True, eq=False)
class GeoPackage:
    """One GeoPackage.

    `beside` are files that a program left beside it, `damage` is what sqlite says of its pages, `tables` are
    the names of all tables, `systems` are (organization, code) by id, `indexed` are layers that are said to
    have a spatial index, `styled` the layers that have a style.
    """

    application_id: int
    user_version: int
    keeps_log: bool
    beside: tuple[str, ...]
    damage: str
    tables: frozenset[str]
    systems: dict[Value, tuple[str, Value]]
    contents: tuple[Content, ...]
    geometry_columns: tuple[GeometryColumn, ...]
    indexed: tuple[tuple[str, str], ...]
    styled: tuple[str, ...]
    layers: tuple[Layer, ...]


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


class _Base:
    """Asks a database that may be hostile or damaged."""

    def __init__(self, base: sqlite3.Connection, size: int) -> None:
        self.base = base
        self.most_bytes = size + _SMALL
        base.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, self.most_bytes)
        self.steps = 0
        base.text_factory = lambda raw: raw.decode("utf-8", "replace")
        base.set_progress_handler(self.go_on, _STEP)
        base.execute("pragma trusted_schema = off")
        base.execute("pragma query_only = on")

    def go_on(self) -> bool:
        self.steps += 1
        return self.steps > _MOST_STEPS

    def rows(self, query: str) -> list[tuple[Value, ...]]:
        """Ask, and stop where a query of the file's own gives more than a file can hold."""
        found: list[tuple[Value, ...]] = []
        size = 0
        for row in self.base.execute(query):
            found.append(row)
            size += sum(len(value) for value in row if isinstance(value, bytes | str))
            if len(found) > _MOST_ROWS or size > self.most_bytes:
                raise UnreadableError("gpkg_too_much", most=_MOST_ROWS)
        return found

    def table(self, name: str, *columns: str) -> list[tuple[Value, ...]]:
        """Give columns of a table; nothing where the table is not there, None for a column that is not."""
        known = self.columns(name)
        chosen = ", ".join(_quoted(one) if one in known else "NULL" for one in columns)
        return self.rows(f"select {chosen} from {_quoted(name)}") if known else []

    def columns(self, name: str) -> dict[str, str]:
        return {str(row[1]): str(row[2]) for row in self.rows(f"pragma table_info({_quoted(name)})")}

    def has_key(self, name: str) -> bool:
        rows = self.rows(f"pragma table_info({_quoted(name)})")
        return [str(row[2]).upper() for row in rows if row[5]] == ["INTEGER"]


def read(data: bytes, beside: tuple[str, ...]) -> GeoPackage:
    """Read the file.

    Raises
    ------
    UnreadableError
        When it is no SQLite database, or a damaged one.
    """
    if len(data) < _HEADER or not data.startswith(_MAGIC):
        raise UnreadableError("gpkg_not_sqlite")
    keeps_log = data[_JOURNAL_AT] == b"\2\2"
    calm = data[:18] + b"\1\1" + data[20:] if keeps_log else data
    try:
        with closing(sqlite3.connect(":memory:")) as base:
            base.deserialize(calm)
            return _read(_Base(base, len(data)), data, keeps_log, beside)
    except (sqlite3.Error, OverflowError, UnicodeDecodeError) as error:  # also in names of columns
        why = str(error) if isinstance(error, sqlite3.Error) else "its names are no text"
        raise UnreadableError("gpkg_broken", why=why[:80]) from error


def _read(base: _Base, data: bytes, keeps_log: bool, beside: tuple[str, ...]) -> GeoPackage:
    told = ["" if row[0] is None else str(row[0]) for row in base.rows("pragma integrity_check(1)")]
    listed = tuple(
        GeometryColumn(str(row[0]), str(row[1]), str(row[2]), row[3])
        for row in base.table(
            *("gpkg_geometry_columns", "table_name", "column_name", "geometry_type_name", "srs_id")
        )
    )
    names = frozenset(str(row[0]) for row in base.rows("select name from sqlite_master"))
    bounds = ("min_x", "min_y", "max_x", "max_y")
    return GeoPackage(
        application_id=struct.unpack_from(">I", data, _APPLICATION_ID_AT)[0],
        user_version=struct.unpack_from(">I", data, _USER_VERSION_AT)[0],
        keeps_log=keeps_log,
        beside=beside,
        damage="" if told == ["ok"] else " ".join(told)[:80],
        tables=names,
        systems={
            row[0]: (str(row[1]).upper(), row[2])
            for row in base.table(
                *("gpkg_spatial_ref_sys", "srs_id", "organization", "organization_coordsys_id")
            )
        },
        contents=tuple(
            Content(str(row[0]), str(row[1]), (row[2], row[3], row[4], row[5]), row[6])
            for row in base.table("gpkg_contents", "table_name", "data_type", *bounds, "srs_id")
        ),
        geometry_columns=listed,
        indexed=tuple(
            (str(row[0]), str(row[1]))
            for row in base.table("gpkg_extensions", "table_name", "column_name", "extension_name")
            if row[2] == "gpkg_rtree_index"
        ),
        styled=tuple(str(row[0]) for row in base.table(STYLES, "f_table_name")),
        layers=tuple(_layers(base, listed, names)),
    )


def _layers(base: _Base, listed: tuple[GeometryColumn, ...], names: frozenset[str]) -> Iterator[Layer]:
    for one in listed:
        columns = base.columns(one.table) if one.table in names else {}
        if one.column not in columns:
            continue
        others = [name for name in columns if name != one.column]
        rows = base.table(one.table, one.column, *others)
        yield Layer(
            listed=one,
            columns=columns,
            has_key=base.has_key(one.table),
            shapes=tuple(Shape(f"{one.table}, row {at}", row[0]) for at, row in enumerate(rows, 1)),
            values={name: tuple(row[at] for row in rows) for at, name in enumerate(others, 1)},
        )
