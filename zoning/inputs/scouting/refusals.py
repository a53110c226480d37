"""Points that could not be added, kept in a table with the reason, so that somebody can mend them.

Makes the content only; nothing is written here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from zoning.inputs import table
from zoning.inputs.scouting import appending
from zoning.inputs.scouting.points import Line

FILE = "scouting_refused.csv"
_OWN = ("file", "line", "reason")


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A point, why it was refused, and the folder of the field or farm that keeps it."""

    folder: Path
    line: Line
    reason: str


def kept(refused: Sequence[Refused], file: str) -> dict[Path, bytes]:
    """Give the new content of each folder's table of refused points.

    A point that stands there already, whatever was said of it, is not written again.

    Parameters
    ----------
    refused : sequence of Refused
        From one file.
    file : str
        Name of that file.

    Raises
    ------
    InputError
        When a table that is there cannot be read.
    """
    contents: dict[Path, bytes] = {}
    for folder in dict.fromkeys(one.folder for one in refused):
        at = folder / FILE
        before = at.read_bytes() if at.is_file() else b""
        known = _held(at) if before else set()
        rows = []
        for one in refused:
            cells = {_column(name): text for name, text in one.line.raw.items()}
            key = tuple(sorted(filter(None, map(appending.plain, cells.values()))))
            if one.folder == folder and key not in known:
                known.add(key)
                own = {"file": file, "line": str(one.line.number), "reason": one.reason}
                rows.append(own | cells)
        if rows:
            contents[at] = appending.appended(before, rows, at.name)
    return contents


def _column(name: str) -> str:
    clean = appending.column(name)
    return f"{clean}_2" if clean in _OWN else clean


def _held(path: Path) -> set[tuple[str, ...]]:
    """List what each refused point held, without what was said of it."""
    sheet = table.read(path, path.name, may_be_empty=True)
    skipped = {sheet.columns[name] for name in _OWN if name in sheet.columns}
    return {
        tuple(sorted(cell for place, cell in enumerate(row.cells) if cell and place not in skipped))
        for row in sheet.rows
    }
