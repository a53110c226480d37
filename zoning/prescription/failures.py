"""failures.csv: the fields of a farm that could not be planned, a row for each fault."""

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from zoning.errors import InputError
from zoning.inputs import spreadsheet
from zoning.prescription.as_json.twins import Json

NAME = "failures.csv"
COLUMNS = ("field", "what", "where", "mend", "code")

Failure = tuple[str, InputError]  # folder of the field, and what stopped it


def within(farm: Path, failures: Iterable[Failure]) -> tuple[Failure, ...]:
    """Give failures by the names of their folders, each place no longer than it must be inside the farm.

    Parameters
    ----------
    farm : Path
        Folder of the farm, as it was given.
    failures : iterable of (str, InputError)
        Folder and fault of each field that failed, in whatever order they came.

    Examples
    --------
    >>> fault = InputError("no CRS", where="farms/mine/north/boundary.shp: line 2", mend="Add its .prj file.")
    >>> [(name, one.where) for name, one in within(Path("farms/mine"), [("north", fault)])]
    [('north', 'north/boundary.shp: line 2')]
    """
    starts = sorted({f"{farm}/", f"{farm.absolute()}/", f"{farm.resolve()}/"}, key=len, reverse=True)
    ordered = sorted(failures, key=lambda failure: failure[0])
    return tuple(
        (name, InputError.together(_at(single, starts) for single in fault.faults)) for name, fault in ordered
    )


def _at(fault: InputError, starts: Iterable[str]) -> InputError:
    start = next((one for one in starts if fault.where.startswith(one)), "")
    where = fault.where.removeprefix(start)
    return InputError(fault.what, where=where, mend=fault.mend, code=fault.code)


def rows(failures: Iterable[Failure]) -> list[Json]:
    """Give a row for each fault, as failures.csv and farm.json hold it."""
    return [
        {"field": name, "what": one.what, "where": one.where, "mend": one.mend, "code": one.code}
        for name, fault in failures
        for one in fault.faults
    ]


def text(failures: Iterable[Failure]) -> str:
    """Give the text of failures.csv; only the heading where no field failed."""
    table = io.StringIO()
    writer = csv.DictWriter(table, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(spreadsheet.guarded_row(row) for row in rows(failures))
    return table.getvalue()


def write(failures: Iterable[Failure], folder: Path) -> None:
    """Write failures.csv into a folder.

    Parameters
    ----------
    failures : iterable of (str, InputError)
        As `within` gives them: the same farm, the same bytes.
    folder : Path
        Existing folder.
    """
    (folder / NAME).write_text(text(failures), encoding="utf-8", newline="")
