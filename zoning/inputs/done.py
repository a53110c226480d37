"""What was sprayed when, from the farm's done.csv: what keeps people out of a field, and what left tracks."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

from zoning.errors import InputError, raise_all
from zoning.inputs import dates, files, table
from zoning.inputs.given import FieldInputs
from zoning.inputs.given import Sprayed as Sprayed
from zoning.settings.model import Settings

FILE = "done.csv"
_NEEDED = ("field", "product")
_WHEN = ("end", "start")  # the first that a row has


def path_of(settings: Settings) -> Path:
    """Give the path of the farm's done.csv, which need not be there."""
    return (settings.farm_folder or settings.folder) / FILE


def of_field(settings: Settings) -> tuple[Sprayed, ...]:
    """Read the passes over one field, which goes by its name or by that of its folder; see `read`."""
    names = {_plain(settings.name), _plain(settings.folder.resolve().name)}
    passes = read(path_of(settings), settings.time_zone)
    return tuple(one for one in passes if _plain(one.field) in names)


def beside(given: FieldInputs, settings: Settings, today: date) -> FieldInputs:
    """Add what was sprayed in this crop up to today, and the file's hash, to what is known of a field."""
    planted = max(block.planted for block in given.blocks)
    passes = tuple(one for one in of_field(settings) if planted < one.on <= today)
    hashes = files.hashes(settings, [path_of(settings)])
    return replace(given, sprayed=passes, files={**given.files, **hashes})


def _plain(name: str) -> str:
    return " ".join(name.replace("_", " ").split()).casefold()


def read(path: Path, time_zone: str = "") -> tuple[Sprayed, ...]:
    """Read what was sprayed.

    Parameters
    ----------
    path : Path
        The farm's done.csv; one that is not there says that nothing was sprayed.
    time_zone : str
        Of the farm, for times that carry a zone.

    Returns
    -------
    tuple of Sprayed
        In the order of the file. A day without its hour, or a pass of which only the start is known, counts
        as over when that day is over.

    Raises
    ------
    InputError
        For all rows together: no field, no time, or one that cannot be read; a missing column.
    """
    if not path.exists():
        return ()
    sheet = table.read(path, path.name, may_be_empty=True)
    lacking = [name for name in _NEEDED if name not in sheet.columns]
    lacking += [] if any(name in sheet.columns for name in _WHEN) else ["end"]
    if lacking:
        mend = f"Add it to the header; the file has {', '.join(sheet.columns)}."
        raise InputError(f"there is no column {' or '.join(lacking)}", where=path.name, mend=mend)
    found: list[Sprayed] = []
    faults: list[InputError] = []
    for row in sheet.rows:
        cells = {name: row.cells[place] for name, place in sheet.columns.items()}
        where = f"{path.name}:{row.line}"
        try:
            found.append(_sprayed(cells, where, time_zone))
        except InputError as fault:
            faults.append(fault)
    raise_all(files.at_most(faults, path.name))
    return tuple(found)


def _sprayed(cells: dict[str, str], where: str, time_zone: str) -> Sprayed:
    if not cells["field"]:
        raise InputError("the field is empty", where=where, mend="Write its name.")
    column = next((name for name in _WHEN if cells.get(name)), None)
    if column is None:
        raise InputError("neither end nor start is given", where=where, mend=dates.HOW)
    text = cells[column]
    try:
        when = dates.stamp(text)
        if when.tzinfo is not None and not time_zone:
            mend = "Set time_zone in farm.toml, or write the time on the farm's clock without a zone."
            raise InputError(f"{column} {text} has a time zone", where=where, mend=mend)
        when = dates.local(when, time_zone, 0.0)
        if column == "start" or not any(sign in text for sign in (":", "T")):
            when = datetime.combine(when.date() + timedelta(days=1), time(0))
    except InputError:
        raise
    except (ValueError, OverflowError) as error:
        raise InputError(f"{column} {text} is not a date", where=where, mend=dates.HOW) from error
    return Sprayed(
        field=cells["field"],
        end=when,
        product=cells["product"],
        sprayer=cells.get("sprayer", ""),
        zones=cells.get("zones", ""),
    )
