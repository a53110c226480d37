"""A binary time log: the header says which values each record holds, the records follow one another.

A record is, by the header: time of day and day, position and what belongs to it, then a count and as many
pairs of a number (which of the header's values) and its value. All of it little-endian. From memory are that
a value which a record leaves out stays as it was last, and that times are on the clock of the place.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.errors import InputError
from zoning.evidence import entry, number, numbers
from zoning.inputs.grid import Floats
from zoning.inputs.planted.brought.taskdata.tree import Node

_DAY_MS = 86_400_000
_PAIR = 5  # bytes of a number of a value, and the value
_MOST_VALUES = 255  # the count and the numbers have one byte
# What may stand of a position, in the order of a record: attribute of PTN, name, type in the record.
_OF_POSITION = (
    ("A", "north", "<i4"),
    ("B", "east", "<i4"),
    ("C", "up", "<i4"),
    ("D", "status", "u1"),
    ("E", "pdop", "<u2"),
    ("F", "hdop", "<u2"),
    ("G", "satellites", "u1"),
    ("H", "utc_ms", "<u4"),
    ("I", "utc_day", "<u2"),
)
_MEND = "Export it again; a .BIN and its .XML belong together."


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One value of the records, of one device element: its number in the data dictionary."""

    ddi: int
    constant: int | None = None  # the same in all records, which then do not hold it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """What a record of one log holds: the fixed part, and values by their numbers."""

    head: np.dtype[np.void]
    values: tuple[Value, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Log:
    """The records of one log: day (`date.toordinal()`), second of the day, place, values; NaN: not known.

    `values` gives for each number of the data dictionary an array of shape (device elements, records).
    `left_bytes` stand after the last whole record.
    """

    day: npt.NDArray[np.int64]
    of_day_s: Floats
    longitude_deg: Floats
    latitude_deg: Floats
    values: dict[int, Floats]
    left_bytes: int

    @property
    def count(self) -> int:
        """How many records there are."""
        return len(self.day)


def layout(header: Node, file: str) -> Layout:
    """Read the header of a log.

    Raises
    ------
    InputError
        When it is none, or its records have no time or no position.

    Examples
    --------
    >>> from zoning.inputs.planted.brought.taskdata.tree import parse
    >>> made = layout(parse(b'<TIM A=""><PTN A="" B=""/><DLV A="000C" B="" C="DET-1"/></TIM>', "x"), "x")
    >>> made.head.itemsize, made.values
    (14, (Value(ddi=12, constant=None),))
    """
    if header.tag != "TIM":
        raise InputError("this is no header of a time log", where=file, mend=_MEND)
    position = next(header.of("PTN"), None)
    fields: list[tuple[str, str]] = []
    if header.attributes.get("A") == "":  # empty: it stands in the records
        fields += [("ms", "<u4"), ("since", "<u2")]
    if position is not None:
        fields += [(name, kind) for key, name, kind in _OF_POSITION if position.attributes.get(key) == ""]
    known = {name for name, _ in fields}
    mend = "Export it with time and position in every record."
    if "ms" not in known:
        raise InputError("the records of the time log have no time", where=file, mend=mend)
    if not {"north", "east"} <= known:
        raise InputError("the records of the time log have no positions", where=file, mend=mend)
    values = tuple(_value(one, file) for one in header.of("DLV"))
    if len(values) > _MOST_VALUES:
        raise InputError(f"its header has {len(values):,} values", where=file, mend=_MEND)
    return Layout(head=np.dtype(fields), values=values)


def _value(node: Node, file: str) -> Value:
    try:
        ddi = int(node.text("A"), 16)
        constant = int(node.text("B")) if node.text("B") else None
    except ValueError as error:
        what = f'a value of the header has the number "{node.text("A")[:20]}"'
        raise InputError(what, where=file, mend=_MEND) from error
    return Value(ddi=ddi, constant=constant)


def records(content: bytes, made: Layout, wanted: tuple[int, ...], file: str) -> Log:
    """Read the records of a log, up to the last whole one.

    Parameters
    ----------
    content : bytes
        Of the .BIN.
    made : Layout
    wanted : tuple of int
        Numbers of the data dictionary whose values are kept.
    file : str
        For faults.

    Raises
    ------
    InputError
        When the bytes cannot be records of this header: values that it has not, times that no day has; or
        there are more records than are read.
    """
    starts, end = _starts(content, made.head.itemsize, file)
    whole = np.frombuffer(content, dtype=np.uint8)
    head = whole[starts[:, None] + np.arange(made.head.itemsize)].view(made.head).reshape(-1)
    if len(starts) and (head["ms"] > _DAY_MS).any():
        at = int(np.argmax(head["ms"] > _DAY_MS)) + 1
        raise InputError(f"record {at:,} has a time that no day has", where=file, mend=_MEND)
    longitude, latitude = _places(head)
    first = date.fromisoformat(str(entry("inputs.iso_first_day").value)).toordinal()
    return Log(
        day=head["since"].astype(np.int64) + first,
        of_day_s=head["ms"] / 1000,
        longitude_deg=longitude,
        latitude_deg=latitude,
        values=_values(whole, starts, made, wanted, file),
        left_bytes=len(content) - end,
    )


def _starts(content: bytes, head: int, file: str) -> tuple[npt.NDArray[np.int64], int]:
    """Give where each whole record begins, and where the last one ends."""
    most = int(number("inputs.planter_most_records"))
    starts: list[int] = []
    at, size = 0, len(content)
    while at + head < size:
        after = at + head + 1 + _PAIR * content[at + head]
        if after > size:
            break
        starts.append(at)
        at = after
        if len(starts) > most:
            what = f"it has more than {most:,} records"
            raise InputError(what, where=file, mend="Export one field only.")
    return np.array(starts, dtype=np.int64), at


def _places(head: npt.NDArray[np.void]) -> tuple[Floats, Floats]:
    """Give longitude and latitude, NaN where the receiver had none."""
    step = number("inputs.iso_place_step_deg")
    longitude, latitude = head["east"] * step, head["north"] * step
    good = (np.abs(longitude) <= 180) & (np.abs(latitude) <= 90)
    if "status" in (head.dtype.names or ()):
        good &= ~np.isin(head["status"], numbers("inputs.iso_no_fix"))
    return np.where(good, longitude, np.nan), np.where(good, latitude, np.nan)


def _values(
    whole: npt.NDArray[np.uint8],
    starts: npt.NDArray[np.int64],
    made: Layout,
    wanted: tuple[int, ...],
    file: str,
) -> dict[int, Floats]:
    """Give the values that are wanted; one that a record leaves out stays as it was."""
    counted = whole[starts + made.head.itemsize].astype(np.int64)
    record = np.repeat(np.arange(len(starts)), counted)
    of_record = np.arange(len(record)) - np.repeat(np.cumsum(counted) - counted, counted)
    pair = starts[record] + made.head.itemsize + 1 + _PAIR * of_record
    index = whole[pair]
    if len(index) and int(index.max()) >= len(made.values):
        at = int(record[np.argmax(index)]) + 1
        what = f"record {at:,} has value {int(index.max())}, and the header {len(made.values)} values"
        raise InputError(what, where=file, mend=_MEND)
    raw = whole[pair[:, None] + 1 + np.arange(4)].view("<i4").reshape(-1)
    found: dict[int, list[Floats]] = {}
    for place, value in enumerate(made.values):
        if value.ddi not in wanted:
            continue
        column = np.full(len(starts), np.nan if value.constant is None else float(value.constant))
        mine = index == place
        column[record[mine]] = raw[mine]
        found.setdefault(value.ddi, []).append(_filled(column))
    return {ddi: np.array(columns) for ddi, columns in found.items()}


def _filled(column: Floats) -> Floats:
    """Carry each value on to the records that leave it out."""
    last = np.maximum.accumulate(np.where(np.isfinite(column), np.arange(len(column)), -1))
    return np.where(last >= 0, column[np.maximum(last, 0)], np.nan)
