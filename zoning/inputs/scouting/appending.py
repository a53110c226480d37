"""Rows put at the end of a CSV file, or one row changed: the others stay, line by line.

New columns get their place behind the others.

Makes the new content only; nothing is written here, and no column has a meaning.
"""

import csv
import io
from collections.abc import Mapping, Sequence

from zoning.errors import InputError
from zoning.inputs import spreadsheet, table

_BOM = b"\xef\xbb\xbf"


def header_of(content: bytes, file: str) -> tuple[str, ...]:
    """Give the names of the columns in small letters, none where the file has no header yet."""
    return _header(table.decoded(content, file))[0]


def appended(content: bytes, rows: Sequence[Mapping[str, str]], file: str) -> bytes:
    r"""Put rows at the end of a CSV file, with a column for each new name.

    Parameters
    ----------
    content : bytes
        The file as it is; empty for a new one.
    rows : sequence of mapping
        Cells by the name of their column, in small letters; other names become new columns.
    file : str
        How the user calls it.

    Returns
    -------
    bytes
        UTF-8, with the separator and the line ends of the file. Text that a spreadsheet would take for a
        formula gets an apostrophe in front; numbers stay numbers.

    Raises
    ------
    InputError
        When the content is no text table.

    Examples
    --------
    >>> appended(b"date,lat\n2026-07-01,44.3\n", [{"lat": "-32.1", "note": "=1+1"}], "a.csv").decode()
    "date,lat,note\n2026-07-01,44.3,\n,-32.1,'=1+1\n"
    """
    text = table.decoded(content, file)
    names, separator = _header(text)
    end = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines()
    widest = max((len(_cells(one, separator, file)) for one in lines if table.holds_cells(one)), default=0)
    unnamed = ("",) * (widest - len(names))  # cells beyond the header keep their place
    new = dict.fromkeys(name for row in rows for name in row if name not in names)
    header = (*names, *unnamed, *new) if new else names
    is_first = True
    written: list[str] = []
    for one in lines:
        if not table.holds_cells(one) or not new:
            written.append(one)
        elif is_first:
            written.append(_joined([*_cells(one, separator, file), *unnamed, *new], separator))
            is_first = False
        else:
            lacking = len(header) - len(_cells(one, separator, file))
            written.append(one + separator * lacking)
    if not names:
        written.append(_joined(list(header), separator))
    written += [_joined([plain(row.get(name, "")) for name in header], separator) for row in rows]
    whole = end.join(written) + end
    return _encoded(content, whole)


def corrected(content: bytes, line: int, cells: Mapping[str, str], file: str) -> bytes:
    r"""Change cells of one row of a CSV file, with a column for each new name.

    Parameters
    ----------
    content : bytes
        The file as it is.
    line : int
        Where the row stands, counted from 1 as an editor does.
    cells : mapping
        What is to stand there, by the name of its column in small letters; other cells stay.
    file : str
        How the user calls it.

    Raises
    ------
    InputError
        When the content is no text table, or there is no row at that line.

    Examples
    --------
    >>> corrected(b"date,n\n2026-07-01,9\n2026-07-02,10\n", 2, {"n": "19", "r3": "4"}, "a.csv").decode()
    'date,n,r3\n2026-07-01,19,4\n2026-07-02,10,\n'
    """
    _check_row(content, line, file)
    names = header_of(content, file)
    new = {name: "-" for name in cells if name not in names}
    if new:  # a row that is appended brings its columns, and is taken off again
        content = without(appended(content, [new], file), None, file)
        names = header_of(content, file)
    text = table.decoded(content, file)
    separator = _header(text)[1]
    lines = text.splitlines(keepends=True)
    end = lines[line - 1][len(lines[line - 1].splitlines()[0]) :]
    row = _cells(lines[line - 1], separator, file)
    row += [""] * (len(names) - len(row))
    for name, cell in cells.items():
        row[names.index(name)] = plain(cell)
    lines[line - 1] = _joined(row, separator) + end
    return _encoded(content, "".join(lines))


def without(content: bytes, line: int | None, file: str) -> bytes:
    r"""Take one row out of a CSV file; without a `line` the last one.

    Raises
    ------
    InputError
        As for `corrected`.

    Examples
    --------
    >>> without(b"date,n\n2026-07-01,9\n2026-07-02,10\n", 2, "a.csv").decode()
    'date,n\n2026-07-02,10\n'
    """
    lines = table.decoded(content, file).splitlines(keepends=True)
    line = len(lines) if line is None else line
    _check_row(content, line, file)
    return _encoded(content, "".join(lines[: line - 1] + lines[line:]))


def row_at(content: bytes, line: int, file: str) -> str:
    """Give the text of a row as it stands in the file, "" where there is none."""
    lines = table.decoded(content, file).splitlines()
    first = next((place for place, one in enumerate(lines, 1) if table.holds_cells(one)), len(lines))
    is_row = first < line <= len(lines) and table.holds_cells(lines[line - 1])
    return lines[line - 1] if is_row else ""


def plain(text: str) -> str:
    r"""Bring a cell onto one line, and keep a spreadsheet from reckoning with text that came from outside.

    Examples
    --------
    >>> plain("-95.38"), plain("-1+cmd"), plain("two\nlines")
    ('-95.38', "'-1+cmd", 'two lines')
    """
    return spreadsheet.guarded(" ".join(text.replace("\0", "").splitlines()).strip())


def column(name: str) -> str:
    """Make a name of a column that no separator of any table cuts.

    Examples
    --------
    >>> column("Lesions; per plant"), column("")
    ('lesions_per_plant', 'unnamed')
    """
    return "_".join(name.lower().replace(",", " ").replace(";", " ").replace('"', " ").split()) or "unnamed"


def _check_row(content: bytes, line: int, file: str) -> None:
    if not row_at(content, line, file):
        mend = "Look at the rows again: the file was changed."
        raise InputError("there is no row", where=f"{file}:{line}", mend=mend)


def _encoded(before: bytes, text: str) -> bytes:
    return (_BOM if before.startswith(_BOM) else b"") + text.encode("utf-8")


def _header(text: str) -> tuple[tuple[str, ...], str]:
    first = next((one for one in text.splitlines() if table.holds_cells(one)), "")
    separator = table.separator_of(first) if first else ","
    cells = _cells(first, separator, "") if first else []
    return tuple(cell.strip().lower() for cell in cells), separator


def _cells(line: str, separator: str, file: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator), [])
    except csv.Error as error:
        mend = "Export it again as CSV."
        raise InputError("the file is not a text table", where=file, mend=mend) from error


def _joined(cells: Sequence[str], separator: str) -> str:
    """Write a row; a first cell that begins with "#" is quoted, or the row would be a comment."""
    line = io.StringIO()
    csv.writer(line, delimiter=separator, lineterminator="").writerow(cells)
    text = line.getvalue()
    if not text.lstrip().startswith("#"):
        return text
    rest = io.StringIO()
    csv.writer(rest, delimiter=separator, lineterminator="").writerow(["", *cells[1:]])
    first = cells[0].replace('"', '""')
    return f'"{first}"' + (rest.getvalue() if len(cells) > 1 else "")
