"""A CSV file as rows of text with their line numbers: separators, encodings and blank lines in one place.

Does not know what a column means.
"""

import csv
from dataclasses import dataclass
from pathlib import Path

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs.files import is_endless

_SEPARATORS = (",", ";", "\t")


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its line in the file, and its cells, stripped."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A table; `columns` gives the place of each column by its lower-case name, in the file's order.

    `header` has the names as they are written, each at its place.
    """

    file: str
    columns: dict[str, int]
    rows: tuple[Row, ...]
    decimal_comma: bool
    header: tuple[str, ...] = ()
    separator: str = ","

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
    if "\0" in text:
        raise InputError("the file is not a text table", where=file, mend="Export it again as CSV.")
    return text


def holds_cells(words: str) -> bool:
    """Tell whether a line is the header or a row: neither blank nor a comment."""
    return bool(words.strip(' ,;\t"\r\n')) and not words.lstrip().startswith("#")


def separator_of(header: str) -> str:
    """Find what separates the cells, by the header."""
    return max(_SEPARATORS, key=header.count)


def _joined(lines: list[tuple[int, str]]) -> list[tuple[int, str]]:
    """Put lines together that a quoted cell runs over; the number is that of the first."""
    separator = separator_of(next((words for _, words in lines if holds_cells(words)), ""))
    whole: list[tuple[int, str]] = []
    open_until_now = False
    for line, words in lines:
        if open_until_now:
            line, before = whole.pop()
            words = f"{before} {words}"
        whole.append((line, words))
        open_until_now = holds_cells(words) and _is_open(words, separator)
    return whole


def _is_open(words: str, separator: str) -> bool:
    try:
        next(csv.reader([words], delimiter=separator, strict=True), None)
    except csv.Error as error:
        return "end of data" in str(error)
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


def read(path: Path, file: str, *, may_be_empty: bool = False, joins_lines: bool = False) -> Sheet:
    """Read a CSV file with a header; blank lines and lines that begin with "#" are left out.

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
    if joins_lines:
        lines = _joined(lines)
    lines = [(line, words) for line, words in lines if holds_cells(words)]
    if len(lines) < (1 if may_be_empty else 2):
        raise InputError(
            "the file has no rows", where=file, mend="Export it again with a header and its rows."
        )
    separator = separator_of(lines[0][1])
    try:
        parted = list(csv.reader((words for _, words in lines), delimiter=separator))
    except csv.Error as error:
        raise InputError(
            "the file is not a text table", where=file, mend="Export it again as CSV."
        ) from error
    if len(parted) != len(lines) or (joins_lines and lines and _is_open(lines[-1][1], separator)):
        mend = "Take line breaks out of its cells."
        raise InputError("a quoted cell runs over several lines", where=file, mend=mend)
    header = [name.strip() for name in parted[0]]
    rows = [
        Row(line, tuple(cell.strip() for cell in cells) + ("",) * (len(header) - len(cells)))
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
