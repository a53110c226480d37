"""Rows put at the end of a CSV file: what stood there stays, line by line, and new columns get their place.

Makes the new content only; nothing is written here, and no column has a meaning.
"""

import csv
import io
from collections.abc import Mapping, Sequence

from zoning.errors import InputError
from zoning.inputs import table

_STARTS_FORMULA = ("=", "+", "-", "@")
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
    return (_BOM if content.startswith(_BOM) else b"") + whole.encode("utf-8")


def plain(text: str) -> str:
    r"""Bring a cell onto one line, and keep a spreadsheet from reckoning with text that came from outside.

    Examples
    --------
    >>> plain("-95.38"), plain("-1+cmd"), plain("two\nlines")
    ('-95.38', "'-1+cmd", 'two lines')
    """
    found = " ".join(text.replace("\0", "").splitlines()).strip()
    if len(found) < 2 or not found.startswith(_STARTS_FORMULA):
        return found
    try:
        float(found.replace(",", "."))
    except ValueError:
        return f"'{found}"
    return found


def column(name: str) -> str:
    """Make a name of a column that no separator of any table cuts.

    Examples
    --------
    >>> column("Lesions; per plant"), column("")
    ('lesions_per_plant', 'unnamed')
    """
    return "_".join(name.lower().replace(",", " ").replace(";", " ").replace('"', " ").split()) or "unnamed"


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
