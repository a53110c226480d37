"""A CSV file as rows of text with their line numbers: separators, encodings and blank lines in one place.

Does not know what a column means.
"""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs import letters
from zoning.inputs.files import is_endless

_SEPARATORS = (",", ";", "\t")
_MOST_COLUMNS = 1000  # no terminal, station or scout writes so many
_MOST_NAMED, _LONGEST_NAMED = 12, 24  # columns in a sentence, and letters of one
_MOST_JOINED = 100  # lines of one quoted cell; more are a quote that nobody closed
_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_TOLD = re.compile(r'\s*"?sep=([,;\t])"?\s*', re.IGNORECASE)  # a first line of spreadsheets, no header


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its line in the file, and its cells, stripped."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A table; `columns` gives the place of each column by its lower-case name, in the file's order.

    `header` has the names as they are written, each at its place; `twice` are those that stand there again.
    """

    file: str
    columns: dict[str, int]
    rows: tuple[Row, ...]
    decimal_comma: bool
    header: tuple[str, ...] = ()
    separator: str = ","

    @property
    def twice(self) -> tuple[str, ...]:
        """Name the columns that stand there more than once, in small letters; the first counts."""
        counted = Counter(name.lower() for name in self.header if name)
        return tuple(name for name, times in counted.items() if times > 1)

    def number(self, text: str) -> float:
        """Read a number; ValueError if it is none.

        Where ";" separates the cells, a comma is a decimal point.
        """
        return float(text.replace(",", ".") if self.decimal_comma else text)


def decoded(content: bytes, file: str) -> str:
    """Give the text of a CSV file.

    Raises
    ------
    InputError
        When it is no text.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")  # what spreadsheets on older systems write
    if content.startswith(_UTF_16):
        mend = "Save it again as CSV in UTF-8."
        raise InputError("its letters are coded as UTF-16, which is not read here", where=file, mend=mend)
    if "\0" in text:
        raise InputError("the file is not a text table", where=file, mend="Export it again as CSV.")
    return letters.seen(text)


def listed(names: Sequence[str]) -> str:
    """Name columns in a sentence, the first of many.

    Examples
    --------
    >>> listed(("date", "lat")), listed([str(number) for number in range(30)]).endswith("11 and 18 more")
    ('date, lat', True)
    """
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    return ", ".join(name[:_LONGEST_NAMED] for name in names[:_MOST_NAMED]) + more


def holds_cells(words: str) -> bool:
    """Tell whether a line is the header or a row: neither blank nor a comment."""
    return bool(words.strip(' ,;\t"\r\n')) and not words.lstrip().startswith("#")


def separator_of(header: str) -> str:
    """Find what separates the cells, by the header."""
    return max(_SEPARATORS, key=header.count)


def _joined(lines: list[tuple[int, str]], told: str) -> list[tuple[int, str]]:
    """Put lines together that a quoted cell runs over; the number is that of the first."""
    separator = told or separator_of(next((words for _, words in lines if holds_cells(words)), ""))
    whole: list[tuple[int, str]] = []
    joined = 0  # lines that the open cell runs over so far
    for line, words in lines:
        if 0 < joined < _MOST_JOINED:
            line, before = whole.pop()
            words = f"{before} {words}"
        whole.append((line, words))
        joined = joined + 1 if holds_cells(words) and _is_open(words, separator) else 0
    return whole


def _is_open(words: str, separator: str) -> bool:
    """Tell whether a line takes the next one into its last cell, read as kindly as the table itself is."""
    try:
        return len(list(csv.reader([words, ""], delimiter=separator))) == 1
    except csv.Error:
        return False


def _content(path: Path, file: str) -> bytes:
    if is_endless(path):
        mend = "Put the file in its place, or take away what is there."
        raise InputError("this is a pipe or a device, not a file", where=file, mend=mend, code=SETTINGS)
    try:
        return path.read_bytes()
    except IsADirectoryError as error:
        what, mend = "this is a folder, not a file", "Put the file in its place, or take the folder away."
        raise InputError(what, where=file, mend=mend, code=SETTINGS) from error
    except PermissionError as error:
        what, mend = "you are not allowed to read the file", "Get permission to read it, and run again."
        raise InputError(what, where=file, mend=mend, code=WORLD) from error


def _parted(lines: list[tuple[int, str]], separator: str, file: str) -> list[list[str]]:
    """Part each line into its cells."""
    reader = csv.reader((words for _, words in lines), delimiter=separator)
    try:
        parted = list(reader)
    except csv.Error as error:
        _refuse_open(lines, separator, file)
        what = f"a cell has more than {csv.field_size_limit():,} letters"
        where = f"{file}:{lines[reader.line_num - 1][0]}"
        raise InputError(what, where=where, mend="Export it again as CSV.") from error
    if len(parted) != len(lines) or (lines and _is_open(lines[-1][1], separator)):
        _refuse_open(lines, separator, file)
    return parted


def _refuse_open(lines: list[tuple[int, str]], separator: str, file: str) -> None:
    """Refuse the first line that a quoted cell runs out of."""
    line = next((line for line, words in lines if _is_open(words, separator)), None)
    if line is not None:
        mend = "Take line breaks out of its cells."
        raise InputError("a quoted cell runs over several lines", where=f"{file}:{line}", mend=mend)


def refuse_twice(sheet: Sheet, names: Sequence[str]) -> None:
    """Refuse a table in which one of these columns stands twice, as nobody knows which of them counts.

    Raises
    ------
    InputError
        With all of them.
    """
    twice = [name for name in sheet.twice if name in names]
    if twice:
        mend = "Take one away, or call it otherwise."
        raise InputError(f"columns that stand there twice: {listed(twice)}", where=sheet.file, mend=mend)


def too_wide(sheet: Sheet) -> list[InputError]:
    """Give the faults of rows with more cells than columns, where nobody knows which cell is of which."""
    width = len(sheet.header)
    return [
        InputError(
            f"the row has {len(row.cells):,} cells, the header {width:,}",
            where=f"{sheet.file}:{row.line}",
            mend="Export it again; where a comma is the decimal sign, separate the cells by semicolons.",
        )
        for row in sheet.rows
        if len(row.cells) > width and any(row.cells[width:])
    ]


def read(path: Path, file: str, *, may_be_empty: bool = False, joins_lines: bool = False) -> Sheet:
    """Read a CSV file with a header; blank lines and lines that begin with "#" are left out.

    A first line such as `sep=;` names the separator.

    `joins_lines` reads a quoted cell that runs over several lines, each line end as a space; a file to which
    rows are added line by line must have none.

    Raises
    ------
    InputError
        When it is no text, or has no rows under its header and may not be empty; code 2 when it is a
        folder, 4 without permission to read it.
    """
    text = decoded(_content(path, file), file)
    lines = list(enumerate(text.splitlines(), 1))
    told = _TOLD.fullmatch(lines[0][1]) if lines else None
    lines = lines[1:] if told else lines
    if joins_lines:
        lines = _joined(lines, told[1] if told else "")
    lines = [(line, words) for line, words in lines if holds_cells(words)]
    if len(lines) < (1 if may_be_empty else 2):
        raise InputError(
            "the file has no rows", where=file, mend="Export it again with a header and its rows."
        )
    separator = told[1] if told else separator_of(lines[0][1])
    parted = _parted(lines, separator, file)
    header = [name.strip() for name in parted[0]]
    if len(header) > _MOST_COLUMNS:
        what = f"its header has {len(header):,} columns, and at most {_MOST_COLUMNS:,} are read"
        raise InputError(what, where=f"{file}:{lines[0][0]}", mend="Export it again with fewer columns.")
    rows = [
        Row(line, tuple(map(str.strip, cells)) + ("",) * (len(header) - len(cells)))
        for (line, _), cells in zip(lines[1:], parted[1:], strict=True)
    ]
    columns: dict[str, int] = {}
    for place, name in enumerate(header):
        columns.setdefault(name.lower(), place)
    return Sheet(
        file=file,
        columns=columns,
        rows=tuple(rows),
        decimal_comma=separator == ";",
        header=tuple(header),
        separator=separator,
    )
