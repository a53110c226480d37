"""A consultant's points into the scouting files of the fields that hold them: nothing lost, nothing twice.

Everything is read and judged before the first file is written. What a row says is read elsewhere.
"""

import os
import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs import files, store, table
from zoning.inputs.ground import boundary
from zoning.inputs.scouting import appending, points, refusals, rows
from zoning.inputs.scouting.looked import Looked, look
from zoning.inputs.scouting.points import Line
from zoning.settings.model import Settings
from zoning.settings.read import load
from zoning.words import Said

_TABLES = (".csv", ".txt", ".tsv")


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What became of each point of a file.

    `rows_added` counts by the field's name; `already_there` are points that say what a row says already;
    `refused` holds line and reason, in the order of the file; `failures` folder and faults of each field
    that could not be read: a point in one of those is refused.
    """

    rows_added: Mapping[str, int]
    already_there: int
    refused: tuple[tuple[int, str], ...]
    files_written: tuple[Path, ...]
    failures: tuple[tuple[str, InputError], ...] = ()


@dataclass(slots=True, kw_only=True, eq=False)
class _Home:
    """A field that may hold points: where they are written, and what is there already."""

    settings: Settings
    edge: boundary.Boundary
    table: Path
    is_listed: bool  # field.toml or farm.toml names the table
    known: set[tuple[object, ...]]
    fresh: list[Looked] = field(default_factory=list)


@dataclass(slots=True, kw_only=True, eq=False)
class _Sorted:
    """Where the points of a file go."""

    already_there: int = 0
    refused: list[refusals.Refused] = field(default_factory=list)


def add(file: Path, field_folders: Sequence[Path], today: date) -> Added:
    """Add the points of a file to the fields that hold them.

    Parameters
    ----------
    file : Path
        CSV, GeoJSON or GPX, with the same cells as a field's own scouting file.
    field_folders : sequence of Path
        The fields that may hold points.
    today : date
        Points of a later day are refused.

    Returns
    -------
    Added
        A second call with the same file adds and writes nothing.

    Raises
    ------
    InputError
        When the file or every field cannot be read, and then nothing is written; when the disk refuses.
    """
    if not file.is_file():
        mend = "Name a CSV, GeoJSON or GPX file."
        raise InputError("there is no such file", where=file, mend=mend, code=SETTINGS)
    if not os.access(file, os.R_OK):
        mend = "Get permission to read it, and run again."
        raise InputError("you are not allowed to read the file", where=file.name, mend=mend, code=WORLD)
    return add_lines(points.read(file, file.name, joins_lines=True), file.name, field_folders, today)


def add_lines(
    lines: Sequence[Line],
    called: str,
    field_folders: Sequence[Path],
    today: date,
    *,
    keep_refused: bool = True,
) -> Added:
    """Add points that were read or typed; see `add`.

    Parameters
    ----------
    lines : sequence of Line
    called : str
        How the user calls where they come from.
    field_folders, today
        As for `add`.
    keep_refused : bool
        Whether points that are refused are written down beside the field.
    """
    homes, failures = _homes(field_folders)
    found = _sort(lines, homes, today, tuple(name for name, _ in failures))
    contents = _tables(homes) | _tomls(homes)
    if keep_refused:
        contents |= refusals.kept(found.refused, called)
    store.write_all(contents)
    added = Counter({home.settings.name: 0 for home in homes})
    for home in homes:
        added[home.settings.name] += len(home.fresh)
    return Added(
        rows_added={name: rows for name, rows in added.items() if rows},
        already_there=found.already_there,
        refused=tuple((one.line.number, one.reason) for one in found.refused),
        files_written=tuple(contents),
        failures=failures,
    )


# -- the fields --------------------------------------------------------------------------------------------


def _homes(field_folders: Sequence[Path]) -> tuple[list[_Home], tuple[tuple[str, InputError], ...]]:
    """Read the fields that may hold points; one that is not filled in yet stops no other."""
    if not field_folders:
        mend = "Give a field, or a farm that has one."
        raise InputError("there is no field to add to", where="scouting", mend=mend, code=SETTINGS)
    homes: list[_Home] = []
    failures: list[tuple[str, InputError]] = []
    for folder in field_folders:
        try:
            homes.append(_home(load(folder)))
        except InputError as fault:
            failures.append((folder.name, fault))
    if not homes:
        raise InputError.together([fault for _, fault in failures])
    return homes, tuple(failures)


def _home(settings: Settings) -> _Home:
    path = files.find(settings, "boundary.file", settings.boundary.file)
    named = [
        (settings.path(f"scouting[{place}].file", one.file), one.file)
        for place, one in enumerate(settings.scouting, 1)
    ]
    own = next((at for at, _ in named if at.suffix.lower() in _TABLES), None)
    target = own or settings.folder / "scouting.csv"
    read = dict(named) | ({} if own else {target: target.name})
    known = {
        look(line, settings.time_zone).same()
        for at, called in read.items()
        if at.is_file() and at.stat().st_size
        for line in points.read(at, called, may_be_empty=True)
    }
    return _Home(
        settings=settings,
        edge=boundary.read(path, settings.boundary.file),
        table=target.resolve(),
        is_listed=own is not None,
        known=known,
    )


# -- each point to its field -------------------------------------------------------------------------------


def _sort(lines: Sequence[Line], homes: Sequence[_Home], today: date, unread: Sequence[str]) -> _Sorted:
    found = _Sorted()
    farm = homes[0].settings.farm_folder or homes[0].settings.folder
    for line in lines:
        home, far, nearest = _home_of(line, homes)
        one = look(line, (home or homes[0]).settings.time_zone)
        faults = list(one.faults)
        if one.when is not None and one.when.date() > today:
            faults.append(Said("inputs.scouting_later", where=line.where, on=one.when.date(), today=today))
        if home is None and one.lonlat is not None:
            faults.append(Said("inputs.scouting_nowhere", where=line.where, far=far, field=nearest))
            if unread:
                faults.append(Said("inputs.scouting_unread", where=line.where, fields=", ".join(unread)))
        if faults or home is None:
            reason = "; ".join(said.text.removeprefix(f"{line.where}: ") for said in faults)
            folder = home.settings.folder if home else farm
            found.refused.append(refusals.Refused(folder=folder, line=line, reason=reason))
        elif one.same() in home.known:
            found.already_there += 1
        else:
            home.known.add(one.same())
            home.fresh.append(one)
    return found


def _home_of(line: Line, homes: Sequence[_Home]) -> tuple[_Home | None, str, str]:
    """Find the field that holds a point; else how far the nearest one is, and its name."""
    lonlat = look(line, homes[0].settings.time_zone).lonlat
    if lonlat is None:
        return None, "", ""
    away: list[tuple[float, str, str]] = []
    for home in homes:
        place = rows.projected(lonlat, home.edge.epsg)
        if rows.covers(home.edge, place):
            return home, "", ""
        metres = float("inf") if place.is_empty else float(home.edge.area.distance(place))
        away.append((metres, rows.how_far(home.edge, place), home.settings.name))
    return None, *min(away)[1:]


# -- what is written ---------------------------------------------------------------------------------------


def _tables(homes: Sequence[_Home]) -> dict[Path, bytes]:
    """Give the new content of each scouting table; fields may share one."""
    contents: dict[Path, bytes] = {}
    for home in homes:
        if not home.fresh:
            continue
        at = home.table
        before = contents.get(at, at.read_bytes() if at.is_file() else b"")
        header = appending.header_of(before, at.name)
        has_commas = bool(header) and _has_decimal_commas(before, at.name)
        rows = [_row(one, header, has_commas) for one in home.fresh]
        if not header:  # a new table: the columns in the order in which people read them
            used = [role for role in points.ROLES if any(role in row for row in rows)]
            rows[0] = {role: rows[0].get(role, "") for role in used} | rows[0]
        contents[at] = appending.appended(before, rows, at.name)
    return contents


def _has_decimal_commas(content: bytes, file: str) -> bool:
    text = table.decoded(content, file)
    header = next(one for one in text.splitlines() if table.holds_cells(one))
    return table.separator_of(header) == ";"


def _row(one: Looked, header: Sequence[str], has_commas: bool) -> dict[str, str]:
    """Give the cells of a row under the names that a table has for them, or new ones.

    No new name may take the part of a column that is there: a second "time" becomes "time_2".
    """
    cells = {role: text for role, text in one.line.cells.items() if text or role in points.NEEDED}
    cells["date"] = _day(one)
    if has_commas:
        cells |= {role: cells[role].replace(".", ",") for role in points.DECIMAL if role in cells}
    roles = points.roles_of(header)
    row = {header[roles[role]] if role in roles else role: text for role, text in cells.items()}
    taken = (*header, *row)
    for name, text in one.line.others.items():
        known_as = _free_name(name, header, taken)
        if text:
            row[known_as] = text
    return row


def _day(one: Looked) -> str:
    """Write day, or day and time, on the farm's clock."""
    if one.when is None:
        raise AssertionError("a point without a day is never written")
    text = one.line.text("date")
    has_time = any(sign in text for sign in (":", "T"))
    return one.when.isoformat(" ", "minutes") if has_time else one.when.date().isoformat()


def _free_name(name: str, header: Sequence[str], taken: Sequence[str]) -> str:
    clean = appending.column(name)
    own = {known for names in points.ROLES.values() for known in names}
    roles = points.roles_of(header)
    if clean in header and header.index(clean) not in roles.values():
        return clean
    while clean in taken or clean in own:
        clean += "_2"
    return clean


def _tomls(homes: Sequence[_Home]) -> dict[Path, bytes]:
    """Name a new scouting table in the field's settings."""
    contents: dict[Path, bytes] = {}
    for home in homes:
        if home.is_listed or not (home.fresh or home.table.is_file()):
            continue
        path = home.settings.folder / "field.toml"
        before = path.read_bytes()
        end = "\r\n" if b"\r\n" in before else "\n"
        section = end.join(("", "[[scouting]]", f'file = "{home.table.name}"', ""))
        after = before + (b"" if before.endswith(b"\n") else end.encode()) + section.encode()
        if home.settings.scouting and not _is_own_list(before, after):
            mend = f'Name one in field.toml: file = "{home.table.name}".'
            raise InputError("none of the scouting files is a CSV", where=path.name, mend=mend, code=SETTINGS)
        contents[path] = after
    return contents


def _is_own_list(before: bytes, after: bytes) -> bool:
    """Tell whether a section at the end adds to a list that field.toml has already."""
    try:
        had = tomllib.loads(before.decode("utf-8-sig")).get("scouting", [])
        has = tomllib.loads(after.decode("utf-8-sig"))["scouting"]
    except tomllib.TOMLDecodeError:
        return False
    return bool(had) and len(has) == len(had) + 1
