"""What became of a consultant's points, as people and programs read it. Adds nothing and prints nothing."""

import textwrap
from collections.abc import Mapping
from pathlib import Path

from zoning.inputs.scouting.add import Added
from zoning.plan import SCHEMA_VERSION
from zoning.show.figures import plain
from zoning.show.layout import WIDTH


def added_text(added: Added, folder: Path, width: int = WIDTH) -> str:
    """Write what was added where, what was there already, and each refused row with its reason.

    Examples
    --------
    >>> none = Added(rows_added={}, already_there=2, refused=((7, "k above n"),), files_written=())
    >>> print(added_text(none, Path("farm")))
    nothing added
    2 rows were there already and count once
    1 row refused:
      line 7: k above n
    """
    lines = [f"{plain(field, 30)}: {_rows(rows)} added" for field, rows in sorted(added.rows_added.items())]
    lines = lines or ["nothing added"]
    if added.already_there:
        verb = "was" if added.already_there == 1 else "were"
        ends = "counts" if added.already_there == 1 else "count"
        lines.append(f"{_rows(added.already_there)} {verb} there already and {ends} once")
    if added.refused:
        lines.append(f"{_rows(len(added.refused))} refused:")
        lines += [f"  line {line}: {plain(reason)}" for line, reason in added.refused]
    if added.files_written:
        lines.append(f"written: {', '.join(_names(added, folder))}")
    if added.rows_added:
        lines.append("run again without --add to see where a count is worth most now")
    return "\n".join(textwrap.fill(line, width, subsequent_indent="    ") for line in lines)


def added_object(added: Added, folder: Path) -> Mapping[str, object]:
    """Give the same as an object for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        "rows_added": dict(sorted(added.rows_added.items())),
        "already_there": added.already_there,
        "refused": [{"line": line, "reason": reason} for line, reason in added.refused],
        "files_written": _names(added, folder),
        "failures": [
            {"field": field, "what": one.what, "where": one.where, "mend": one.mend}
            for field, fault in added.failures
            for one in fault.faults
        ],
    }


def _rows(count: int) -> str:
    return f"{count} row{'' if count == 1 else 's'}"


def _names(added: Added, folder: Path) -> list[str]:
    """Name the files from the folder that was given, or from the one above it."""
    root = folder.resolve()
    names = []
    for path in added.files_written:
        at = path.resolve()
        within = next((one for one in (root, root.parent) if at.is_relative_to(one)), None)
        names.append(str(at.relative_to(within)) if within else at.name)
    return names
