"""Rows of the scouting files as they stand, one more, one corrected, one struck out."""

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import shapely

from zoning.desk import drawn_file
from zoning.desk.asked import Asked, point
from zoning.desk.last_plan import LastPlan
from zoning.desk.log import Change, Log
from zoning.desk.opened import content
from zoning.errors import SETTINGS, InputError
from zoning.inputs import area, files, store, table
from zoning.inputs.ground import boundary
from zoning.inputs.scouting import add, appending, points, rows
from zoning.inputs.scouting.looked import look
from zoning.settings.model import Settings
from zoning.settings.read import load
from zoning.words import Said

_TABLES = (".csv", ".txt", ".tsv")
_MOST_LETTERS = 300  # of one cell
_NEW = "new count"


def listed(folder: Path) -> list[dict[str, object]]:
    """List every row of the scouting files: where it stands, its cells by role, and whether it can be edited.

    Raises
    ------
    InputError
        When the settings or a file cannot be read.
    """
    settings = load(folder)
    found: list[dict[str, object]] = []
    for place, one in enumerate(settings.scouting, 1):
        path = settings.path(f"scouting[{place}].file", one.file)
        if not path.is_file():
            continue
        is_table = path.suffix.lower() in _TABLES
        before = content(path) if is_table else b""
        for line in points.read(path, one.file, may_be_empty=True):
            cells = {role: text for role, text in line.cells.items() if text}
            key = _key(appending.row_at(before, line.number, one.file)) if is_table else ""
            about = {"file": place, "line": line.number, "key": key, "where": line.where}
            found.append(about | {"cells": cells, "editable": is_table})
    return found


def added(log: Log, cells: Mapping[str, object], today: date, plan: LastPlan | None) -> str:
    """Put a new count into the field's scouting file, and say where.

    Parameters
    ----------
    log : Log
    cells : mapping
        By role, as `zoning.inputs.scouting.points.ROLES` names them; `x` and `y` in place of `lat` and `lon`
        are a place on the plan's map.
    today : date
        Nothing later is taken.
    plan : LastPlan or None
        The plan that is shown.

    Raises
    ------
    InputError
        What is wrong with the count, in the words of `sprayworth scout --add`.
    """
    settings = load(log.folder)
    line = _line(_texts(_placed(log, cells, plan)), _NEW)
    home = log.home
    for place, one in enumerate(settings.scouting, 1):
        home.inside(settings.path(f"scouting[{place}].file", one.file))
    home.inside(log.folder / "scouting.csv")
    home.inside(log.folder / "field.toml")
    _check(line, settings, today)
    change = Change(what="count added", zone=None, before=None, after=dict(line.cells), reason="")
    with log.of(change):
        done = add.add_lines((line,), _NEW, [log.folder], today, keep_refused=False)
        if done.refused:
            raise InputError(done.refused[0][1], where=_NEW, mend="Correct it and add it again.")
        if done.already_there:
            mend = "Correct the row that is there, if it is wrong."
            raise InputError("a row says the same already", where=_NEW, mend=mend)
    return done.files_written[0].name


def corrected(log: Log, asked: Asked, cells: Mapping[str, object], today: date, reason: str) -> str:
    """Change cells of a row; the file as it was stays beside it as .bak.

    Raises
    ------
    InputError
        Where the row is not what the browser saw, or would say what cannot be.
    """
    settings = load(log.folder)
    path, file, before = _row(log, settings, asked)
    was = next(one for one in points.read(path, file) if one.number == asked.line)
    texts = _texts(cells)
    now = _line(dict(was.cells) | texts, was.where)
    _check(now, settings, today)
    header = appending.header_of(before, file)
    roles = points.roles_of(header)
    named = {header[roles[role]] if role in roles else role: text for role, text in texts.items()}
    if _has_decimal_commas(before, file):
        decimals = {header[roles[role]] for role in points.DECIMAL if role in roles} | set(points.DECIMAL)
        named = {name: text.replace(".", ",") if name in decimals else text for name, text in named.items()}
    after = {role: text for role, text in texts.items() if text != was.cells.get(role, "")}
    if not after:
        raise InputError("nothing was changed", where=was.where, mend="Change a cell, or leave the row.")
    fresh = appending.corrected(before, asked.line, named, file)
    change = Change(
        what="count corrected",
        zone=None,
        before={"row": was.where, **{role: was.cells.get(role, "") for role in after}},
        after=after,
        reason=reason,
    )
    with log.of(change):
        store.write_bytes(path, fresh)
    return was.where


def struck(log: Log, asked: Asked, reason: str) -> str:
    """Take a row out of its file; the log keeps what stood there.

    Raises
    ------
    InputError
        Where the row is not what the browser saw.
    """
    path, file, before = _row(log, load(log.folder), asked)
    where = f"{file}:{asked.line}"
    stood = {"row": where, "text": appending.row_at(before, asked.line, file)}
    with log.of(Change(what="count struck out", zone=None, before=stood, after=None, reason=reason)):
        store.write_bytes(path, appending.without(before, asked.line, file))
    return where


def _row(log: Log, settings: Settings, asked: Asked) -> tuple[Path, str, bytes]:
    """Find the file of a row, and see that the row is still what was shown."""
    if not 1 <= asked.file <= len(settings.scouting):
        mend = "Look at the rows again: the settings were changed."
        raise InputError("there is no such scouting file", where="field.toml", mend=mend, code=SETTINGS)
    file = settings.scouting[asked.file - 1].file
    path = log.home.inside(settings.path(f"scouting[{asked.file}].file", file))
    if path.suffix.lower() not in _TABLES:
        mend = "Change it in the program that made it, or bring it as CSV."
        raise InputError("only rows of a CSV file can be changed here", where=file, mend=mend)
    before = content(path)
    stands = appending.row_at(before, asked.line, file)
    if not stands or _key(stands) != asked.key:
        what = "this row was changed since it was shown"
        raise InputError(what, where=f"{file}:{asked.line}", mend="Look at the rows again.")
    return path, file, before


def _key(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def _has_decimal_commas(before: bytes, file: str) -> bool:
    lines = table.decoded(before, file).splitlines()
    return table.separator_of(next((one for one in lines if table.holds_cells(one)), "")) == ";"


def _texts(cells: Mapping[str, object]) -> dict[str, str]:
    """Take cells as text; roles that nobody reads, and what is no cell, are refused."""
    found: dict[str, str] = {}
    for role, value in cells.items():
        if role not in points.ROLES:
            known = ", ".join(points.ROLES)
            raise InputError(f'nothing is called "{role[:40]}"', where=_NEW, mend=f"Give {known}.")
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise InputError(f"{role} is no text and no number", where=_NEW, mend="Write it again.")
        text = appending.plain(value if isinstance(value, str) else f"{value:.10g}")
        if len(text) > _MOST_LETTERS:
            mend = f"Give at most {_MOST_LETTERS}."
            raise InputError(f"{role} has {len(text):,} letters", where=_NEW, mend=mend)
        found[role] = text
    return found


def _placed(log: Log, cells: Mapping[str, object], plan: LastPlan | None) -> dict[str, object]:
    """Turn a place on the plan's map into longitude and latitude."""
    rest = {role: value for role, value in cells.items() if role not in ("x", "y")}
    if len(rest) == len(cells):
        return rest
    place = point([cells.get("x"), cells.get("y")])
    if plan is None or place is None:
        raise InputError("the place is no place on the map", where=_NEW, mend="Tap the map again.")
    west, north = drawn_file.corner(log.home, log.folder, plan)
    there = area.reproject(shapely.Point(west + place.x, north - place.y), plan.epsg, area.LONLAT)
    return rest | {"lon": f"{there.x:.6f}", "lat": f"{there.y:.6f}"}


def _line(cells: Mapping[str, str], where: str) -> points.Line:
    return points.Line(number=0, where=where, cells=dict(cells), others={}, raw=dict(cells))


def _check(line: points.Line, settings: Settings, today: date) -> None:
    """Refuse a row that would not be used: what cannot be read, of a later day, or outside the field."""
    one = look(line, settings.time_zone)
    faults: Sequence[Said] = one.faults
    if one.when is not None and one.when.date() > today:
        later = Said("inputs.scouting_later", where=line.where, on=one.when.date(), today=today)
        faults = [*faults, later]
    if not faults and one.lonlat is not None:
        edge = boundary.read(
            files.find(settings, "boundary.file", settings.boundary.file), settings.boundary.file
        )
        place = rows.projected(one.lonlat, edge.epsg)
        if not rows.covers(edge, place):
            faults = [Said("inputs.scouting_outside", where=line.where, far=rows.how_far(edge, place))]
    if not faults and not (one.pressure or one.seen or one.note or one.photo):
        mend = "Give plants at their stages, what was seen, a note or the name of a picture."
        raise InputError("it says nothing about the crop", where=line.where, mend=mend)
    if faults:
        told = "; ".join(said.text.removeprefix(f"{line.where}: ") for said in faults)
        raise InputError(told, where=line.where, mend="Correct it, and try again.")
