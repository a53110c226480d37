"""One pass onto record: what was typed, filled in from the plan and from the machine's own file, and checked.

Everything is judged before the first file is written.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.inputs import done, done_cells, store
from zoning.inputs.done_cells import CellError
from zoning.inputs.given import Sprayed
from zoning.inputs.ground import kept_zones
from zoning.inputs.scouting import appending
from zoning.show.sprayed import Recorded
from zoning.sprayed import checked
from zoning.sprayed.draft import Draft
from zoning.sprayed.ground import ground_of
from zoning.sprayed.known import KnownFarm, KnownField, known_farm
from zoning.sprayed.listing import field_called, pass_called, still_open
from zoning.sprayed.machine import from_machine
from zoning.sprayed.typed import Typed, option_of


def record(folder: Path, typed: Typed, *, today: date | None, clock: date) -> Recorded:
    """Record one pass in done.csv.

    Parameters
    ----------
    folder : Path
        A farm's folder, or a field's.
    typed : Typed
        What is said of it; what the plan knows besides is taken from there, and the record says so.
    today, clock
        As for `zoning.field.run`; later days are refused.

    Returns
    -------
    Recorded
        Also the zones are kept, where it is the first pass over a part of the field, and the file of the
        machine lies in the field's folder `applied`.

    Raises
    ------
    InputError
        All faults of what was typed together, and then nothing is written; when the disk refuses.
    """
    farm = known_farm(folder, today=today, clock=clock)
    one = _field(farm, typed)
    given = ground_of(one.settings, farm.today)
    draft = _drafted(Draft(known=one, given=given, today=farm.today, cells=typed.cells), typed)
    row = _row(draft, one)
    draft.faults += checked.faults(row, draft)
    contents = _contents(draft, row, farm.table)
    raise_all([InputError(f.what, where=f.where, mend=f.mend, code=SETTINGS) for f in draft.faults])
    store.write_all(contents)  # the table last: what is there without its row says nothing
    return Recorded(
        field=one.settings.name,
        row=row,
        from_plan=tuple(draft.from_plan),
        notes=(*draft.notes, *checked.doubts(row, one)),
        files_written=tuple(contents),
        share_of_zone=draft.applied.share_of_zone if draft.applied else None,
        metric=one.settings.units == "metric",
    )


def _field(farm: KnownFarm, typed: Typed) -> KnownField:
    if typed.field:
        return field_called(farm, typed.field)
    if len(farm.fields) == 1:
        return farm.fields[0]
    of_farm = ", ".join(one.settings.folder.name for one in farm.fields)
    mend = f"Give one of {of_farm}."
    raise InputError("no field is named", where=option_of("field"), mend=mend, code=SETTINGS)


def _drafted(draft: Draft, typed: Typed) -> Draft:
    """Put together what was typed, what the machine says, and what the plan says."""
    one = draft.known
    draft.cells["field"] = one.settings.name
    if "end" not in draft.cells:
        draft.refuse("end", "when it was over is not given", "Give the day at least, as --end 2026-07-14.")
        draft.lacks_end = True
        draft.cells["end"] = draft.cells.get("start") or draft.today.isoformat()
    if "pass" in draft.cells:
        try:
            draft.planned = pass_called(one, done_cells.pass_number(draft.cells["pass"]))
            draft.cells["pass"] = str(draft.planned.number)
            left = {left.number: left.zones for left in still_open(one)}
            draft.left = left.get(draft.planned.number, ())
        except CellError as error:
            draft.refuse("pass", error.what, error.mend)
        except InputError as fault:
            draft.faults += fault.faults
    if typed.as_applied is not None:
        try:
            draft.applied = from_machine(draft, typed.as_applied, typed.rate_column)
        except InputError as fault:
            draft.faults += fault.faults
    draft.fill_in(typed.as_applied)
    return draft


def _row(draft: Draft, one: KnownField) -> Sprayed:
    """Read what was put together as a row of done.csv is read; what is at fault is left out of it."""
    farm = done.Farm(one.settings.time_zone, one.settings.units == "metric")
    while True:
        try:
            row = done.sprayed(draft.cells, farm, option_of)
            break
        except InputError as fault:
            draft.faults += fault.faults
            places = {one.where for one in fault.faults}
            wrong = {column for column in draft.cells if option_of(column) in places}
            if wrong & {"start", "end"}:  # of its days nothing more can be said
                wrong |= {"start", "end"}
                draft.lacks_end = True
            draft.cells = {name: text for name, text in draft.cells.items() if name not in wrong}
            draft.cells.setdefault("end", draft.today.isoformat())
    for name in ("start", "end"):
        if name in draft.cells:
            draft.cells[name] = _on_the_clock(draft.cells[name], one.settings.time_zone)
    draft.cells = {
        name: done_cells.with_unit(name, text, is_metric=farm.is_metric) for name, text in draft.cells.items()
    }
    draft.cells["half"] = row.half or draft.half_of(row)
    if draft.applied is not None:
        draft.kept_as = f"applied/{draft.place_of_applied(row).name}"
    return replace(row, half=draft.cells["half"], source=draft.source)


def _on_the_clock(text: str, time_zone: str) -> str:
    """Write a time as the farm's clock showed it; in the hour that comes twice, as the time of the world."""
    found = done_cells.moment(text, time_zone)
    if not found.has_time:
        return found.local.date().isoformat()
    local = found.local.isoformat(" ", "minutes")
    again = done_cells.moment(local, time_zone)
    if found.first == found.last and again.first != again.last:
        return f"{found.first.isoformat('T', 'minutes')}Z"
    return local


def _contents(draft: Draft, row: Sprayed, table: Path) -> dict[Path, bytes]:
    """Give the files to be written: the machine's, the zones to be kept, and last the table."""
    contents: dict[Path, bytes] = {}
    if draft.applied is not None:
        contents[draft.place_of_applied(row)] = draft.applied.content
    contents |= _zones_to_keep(draft, row)
    before = table.read_bytes() if table.is_file() else b""
    if not appending.header_of(before, table.name):
        before += (",".join(done.COLUMNS) + "\n").encode()
    contents[table] = appending.appended(before, [_cells(draft, row)], table.name)
    return contents


def _cells(draft: Draft, row: Sprayed) -> Mapping[str, str]:
    cells = {**draft.cells, "zones": row.zones, "source": row.source}
    return {name: text for name, text in cells.items() if text}


def _zones_to_keep(draft: Draft, row: Sprayed) -> dict[Path, bytes]:
    """Give the zones of the plan, where this is the first pass over a part of the field in this crop."""
    settings = draft.known.settings
    if not row.zone_numbers or kept_zones.of_field(settings, draft.given.blocks, draft.today) is not None:
        return {}
    path = settings.folder / "out" / "zones.gpkg"
    if draft.known.plan is None:  # it has no zones, and that is said
        return {}
    if not path.is_file():
        mend = "Run the field, so that its zones can be kept as they are now."
        draft.refuse("zones", "the outlines of the zones are not there (out/zones.gpkg)", mend)
        return {}
    return {kept_zones.path_of(settings): path.read_bytes()}
