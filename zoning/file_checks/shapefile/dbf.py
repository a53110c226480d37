"""The .dbf file, byte by byte: the table beside a .shp, by the dBASE III form that terminals read."""

import re
import struct
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from zoning.file_checks.finding import Rule, Seen, UnreadableError

_HEADER, _COLUMN, _END = 32, 32, 0x0D
_NAME = 11  # bytes, the last of them 0
_KINDS = "NCD"
_DBASE_3 = 3
_WIDEST = 19  # digits of an N column
_FILE_END = b"\x1a"
RATE_UNITS = {"RATE_GPA": "gal/ac", "RATE_LHA": "L/ha"}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name as it stands there, whether the name ends as it must, and where its text lies."""

    name: str
    is_ended: bool
    kind: str
    at: int
    width: int
    decimals: int


@dataclass(frozen=True, slots=True, eq=False)
class Dbf:
    """A .dbf file: what its header tells, and the texts of its rows."""

    version: int
    told_rows: int
    told_header: int
    told_width: int
    header: int
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    deleted: tuple[int, ...]
    shapes: int | None  # records of the .shp, where it can be read

    @property
    def numeric(self) -> tuple[Column, ...]:
        """List the columns of numbers."""
        return tuple(column for column in self.columns if column.kind in "NF")

    @property
    def rate(self) -> Column | None:
        """Find the column of the rate: by its name, or because it is the only one of numbers."""
        named = [column for column in self.numeric if column.name.upper() in RATE_UNITS]
        alone = self.numeric if len(self.numeric) == 1 else ()
        return next(iter((*named, *alone)), None)

    def values(self, column: Column) -> list[float | None]:
        """Give the numbers of a column; None where the text is none."""
        place = self.columns.index(column)
        return [as_number(row[place]) for row in self.rows]

    def written_decimals(self, column: Column) -> int:
        """Give the most decimals that any row of a column really uses; those beyond are zeros."""
        place = self.columns.index(column)
        ends = (row[place].strip().partition(".")[2].rstrip("0") for row in self.rows)
        return max((len(end) for end in ends), default=0)


def as_number(text: str) -> float | None:
    """Read a number as a terminal would: plain digits.

    Examples
    --------
    >>> as_number("   15.00"), as_number("********"), as_number("")
    (15.0, None, None)
    """
    text = text.strip()
    return float(text) if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)", text, re.ASCII) else None


def read_dbf(data: bytes, shapes: int | None) -> Dbf:
    """Parse a .dbf file.

    Raises
    ------
    UnreadableError
        When it ends too early, or its header does not add up.
    """
    if len(data) < _HEADER + 1:
        raise UnreadableError("cut_short", at=len(data))
    told_rows, told_header, told_width = struct.unpack_from("<IHH", data, 4)
    columns: list[Column] = []
    at, place = _HEADER, 1  # the first byte of a row tells whether it is deleted
    while at < len(data) and data[at] != _END:
        if at + _COLUMN > len(data):
            raise UnreadableError("cut_short", at=at)
        raw = data[at : at + _NAME]
        kind, width, decimals = chr(data[at + 11]), data[at + 16], data[at + 17]
        name = raw.partition(b"\0")[0].decode("latin-1")
        columns.append(Column(name, b"\0" in raw, kind, place, width, decimals))
        at, place = at + _COLUMN, place + width
    header = at + 1
    if at >= len(data) or not columns:
        raise UnreadableError("table_broken")
    if told_width < place or told_header < header:
        raise UnreadableError("table_broken")
    body = data[told_header:].removesuffix(_FILE_END)
    if len(body) < told_rows * told_width:
        raise UnreadableError("cut_short", at=len(data))
    lines = [body[row * told_width : (row + 1) * told_width] for row in range(told_rows)]
    rows = tuple(
        tuple(line[one.at : one.at + one.width].decode("latin-1") for one in columns) for line in lines
    )
    deleted = tuple(row for row, line in enumerate(lines, 1) if line[:1] == b"*")
    return Dbf(data[0], told_rows, told_header, told_width, header, tuple(columns), rows, deleted, shapes)


def table_version(dbf: Dbf) -> Iterator[Seen]:
    """See tables of another age."""
    if dbf.version != _DBASE_3:
        yield {"version": dbf.version}


def table_length(dbf: Dbf) -> Iterator[Seen]:
    """See a header that tells other widths than its columns have."""
    width = 1 + sum(column.width for column in dbf.columns)
    if dbf.told_width != width or dbf.told_header != dbf.header:
        yield {"told": dbf.told_width, "width": width}


def row_count(dbf: Dbf) -> Iterator[Seen]:
    """See another number of rows than there are polygons."""
    if dbf.shapes is not None and dbf.told_rows != dbf.shapes:
        yield {"rows": dbf.told_rows, "shapes": dbf.shapes}


def deleted_row(dbf: Dbf) -> Iterator[Seen]:
    """See rows that are marked as deleted but still there."""
    return ({"row": row} for row in dbf.deleted)


def column_too_long(dbf: Dbf) -> Iterator[Seen]:
    """See names that fill all eleven bytes."""
    return ({"column": one.name} for one in dbf.columns if not one.is_ended)


def column_name(dbf: Dbf) -> Iterator[Seen]:
    """See names with anything but capitals, digits and `_`."""
    for one in dbf.columns:
        if not re.fullmatch(r"[A-Z][A-Z0-9_]*", one.name, re.ASCII):
            yield {"column": one.name.encode("unicode_escape").decode()}


def column_twice(dbf: Dbf) -> Iterator[Seen]:
    """See two columns of one name."""
    count = Counter(one.name.upper() for one in dbf.columns)
    return ({"column": name} for name, times in count.items() if times > 1)


def column_kind(dbf: Dbf) -> Iterator[Seen]:
    """See columns that are neither number, text nor day."""
    for one in dbf.columns:
        if one.kind not in _KINDS:
            yield {"column": one.name, "kind": one.kind.encode("unicode_escape").decode()}


def column_width(dbf: Dbf) -> Iterator[Seen]:
    """See numbers that are wider than terminals read, or have more decimals than fit."""
    for one in dbf.numeric:
        if not 0 < one.width <= _WIDEST or one.decimals > max(one.width - 2, 0):
            yield {"column": one.name, "width": one.width, "decimals": one.decimals}


def no_number(dbf: Dbf) -> Iterator[Seen]:
    """See numbers that are blank, stars, or words, in columns other than the rate."""
    for one in dbf.numeric:
        if one is dbf.rate:
            continue
        for row, value in enumerate(dbf.values(one), 1):
            if value is None:
                yield {"row": row, "column": one.name}


def not_ascii(dbf: Dbf) -> Iterator[Seen]:
    """See texts with letters that each terminal reads in its own way."""
    for row, texts in enumerate(dbf.rows, 1):
        for one, text in zip(dbf.columns, texts, strict=True):
            if not text.isascii():
                yield {"row": row, "column": one.name}


def no_rate_column(dbf: Dbf) -> Iterator[Seen]:
    """See a table in which no column can be taken for the rate."""
    if dbf.rate is None:
        yield {}


def several_numbers(dbf: Dbf) -> Iterator[Seen]:
    """See more than one column that an operator might pick."""
    if len(dbf.numeric) > 1:
        yield {"columns": ", ".join(one.name for one in dbf.numeric)}


def other_columns(dbf: Dbf) -> Iterator[Seen]:
    """See columns beside the rate that are no numbers."""
    return ({"column": one.name} for one in dbf.columns if one not in dbf.numeric)


def unit_not_named(dbf: Dbf) -> Iterator[Seen]:
    """See a rate whose column does not name its unit."""
    if dbf.rate is not None and dbf.rate.name.upper() not in RATE_UNITS:
        yield {"column": dbf.rate.name}


TABLE: tuple[Rule[Dbf], ...] = (
    Rule("table_version", "refused", table_version),
    Rule("table_length", "refused", table_length),
    Rule("row_count", "refused", row_count),
    Rule("deleted_row", "refused", deleted_row),
    Rule("column_too_long", "refused", column_too_long),
    Rule("column_name", "doubtful", column_name),
    Rule("column_twice", "refused", column_twice),
    Rule("column_kind", "refused", column_kind),
    Rule("column_width", "doubtful", column_width),
    Rule("no_number", "refused", no_number),
    Rule("not_ascii", "doubtful", not_ascii),
)
# Of an operator's set: one column that is the rate, and nothing else.
TABLE_OF_A_PASS: tuple[Rule[Dbf], ...] = (
    *TABLE,
    Rule("no_rate_column", "refused", no_rate_column),
    Rule("several_numbers", "refused", several_numbers),
    Rule("other_columns", "doubtful", other_columns),
    Rule("unit_not_named", "doubtful", unit_not_named),
)
