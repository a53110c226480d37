"""What is wrong, missing or doubtful with a field or a farm: everything is read, nothing is written."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from zoning.errors import InputError
from zoning.inputs import decisions, done, read, season_book
from zoning.inputs.planted.sown import season_of
from zoning.inputs.strips import design
from zoning.offers import learned
from zoning.returns import reasons
from zoning.returns.response import Place
from zoning.settings.model import Settings
from zoning.settings.origins import Row, rows
from zoning.settings.read import fields_of, is_farm, is_of_farm, load
from zoning.show.figures import plain

_LEVELS = {
    1: "level 1: zones, windows and a map",
    2: "level 2: also returns and spray or skip",
    3: "level 3: also passes, a carrier rate and a prescription",
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldCheck:
    """What one field folder is good for. `level` is 0 where its settings could not be read."""

    field: str
    level: int
    found: tuple[str, ...]
    doubts: tuple[str, ...]
    settings: tuple[Row, ...]
    faults: tuple[InputError, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Check:
    """The fields that were read, in the order of their folders."""

    fields: tuple[FieldCheck, ...]
    is_farm: bool = False

    @property
    def faults(self) -> tuple[InputError, ...]:
        """Every fault of every field; one of a file of the farm once, however many fields have it."""
        return tuple(fault for _, fault in self.told)

    @property
    def told(self) -> tuple[tuple[str, InputError], ...]:
        """The same with the field's folder before each, where a farm was read and it is not the farm's."""
        every = [(one.field, fault) for one in self.fields for fault in one.faults]
        first = {str(fault): fault for _, fault in reversed(every) if _is_shared(fault)}
        return tuple(
            ("" if _is_shared(fault) or not self.is_farm else field, fault)
            for field, fault in every
            if not _is_shared(fault) or first[str(fault)] is fault
        )

    @property
    def code(self) -> int:
        """Exit code: 0 where there are only doubts, else the lowest code of the faults."""
        return min((fault.code for fault in self.faults), default=0)


def _is_shared(fault: InputError) -> bool:
    return is_of_farm(fault) or fault.where.partition(":")[0] == season_book.FILE


def check(folder: Path, *, today: date | None, clock: date) -> Check:
    """Read a field folder, or every field of a farm.

    Parameters
    ----------
    folder : Path
        A field or a farm.
    today : date or None
        The day to judge the inputs on; else the settings' `as_of`, else `clock`.
    clock : date
        The real day, read at the edge.
    """
    is_many = is_farm(folder) and not (folder / "field.toml").exists()
    folders = fields_of(folder) if is_many else (folder,)
    return Check(fields=tuple(_check_field(one, today, clock) for one in folders), is_farm=is_many)


def _check_field(folder: Path, today: date | None, clock: date) -> FieldCheck:
    name = folder.resolve().name
    try:
        settings = load(folder)
    except InputError as fault:
        return FieldCheck(field=name, level=0, found=(), doubts=(), settings=(), faults=fault.faults)
    listed = rows(settings)
    doubts = [said.text for said in settings.missing]
    found: list[str] = []
    faults = _decisions(settings, found)
    day = today or settings.as_of or clock
    try:
        given = done.beside(read.field(settings, day), settings, day)
    except InputError as fault:
        faults = (*fault.faults, *faults)
    else:
        doubts += [said.text for said in given.notes]
        found.append(f"{given.area_ac:.1f} ac at {given.latitude_deg:.2f}, {given.longitude_deg:.2f}")
        found += [
            f"block {one.name}: planted {one.planted}, group {one.maturity_group:g}, {one.area_ac:.1f} ac"
            for one in given.blocks
        ]
        found += [f"layer {one.name}: {one.file}, {one.clear_frac:.0%} clear" for one in given.layers]
        if given.heading.source == "guidance":
            swaths = "where swaths lie" if given.heading.through_m else "no place for swaths"
            found.append(f"guidance lines: heading {given.heading.deg:.1f} degrees, {swaths}")
        if given.strips is not None:
            pairs = len({one.pair for one in given.strips.strips})
            found.append(f"{design.FILE}: pairs of check strips: {pairs}")
        if given.sprayed:
            found.append(f"{done.FILE}: passes over this crop up to {day}: {len(given.sprayed)}")
        found.append(f"scouting: {len(given.sightings)} sightings of pressure, {len(given.counts)} counts")
        faults = (*faults, *_response(settings, season_of(settings, day, given.latitude_deg), found, doubts))
    faults = (*faults, *_book(settings, found))
    return FieldCheck(
        field=name,
        level=settings.level,
        found=tuple(found),
        doubts=tuple(doubts),
        settings=listed,
        faults=faults,
    )


def _response(settings: Settings, season: int, found: list[str], doubts: list[str]) -> tuple[InputError, ...]:
    """Say where the expected response comes from; what the strips said counts for later seasons only."""
    try:
        counted, notes = learned.counted(settings, season)
    except InputError as fault:
        return fault.faults
    doubts += [said.text for said in notes]
    response = counted.response
    if response is not None:
        place, metric = Place(pressure=response.pressure), settings.units == "metric"
        found.append(reasons.source_note(response, place, metric=metric).text)
    return ()


def _book(settings: Settings, found: list[str]) -> tuple[InputError, ...]:
    """Read the farm's book of past seasons; a run says how far it moves the dates."""
    try:
        rows = season_book.read(season_book.path_of(settings))
    except InputError as fault:
        return fault.faults
    seasons = sorted({row.season for row in rows if done.is_of(row.field, settings)})
    if seasons:
        found.append(f"{season_book.FILE}: seasons of this field: {', '.join(map(str, seasons))}")
    return ()


def _decisions(settings: Settings, found: list[str]) -> tuple[InputError, ...]:
    """Read what the user decided for zones; whether they are of these zones only a run can tell."""
    try:
        told = decisions.decisions_of(settings)
    except InputError as fault:
        return fault.faults
    if told is not None:
        of = f"{len(told.made)} zone{'' if len(told.made) == 1 else 's'}"
        found.append(f"{told.file}: decisions for {of}; a run says whether the zones are still the same")
    return ()


def as_text(report: Check, *, has_defaults: bool = False) -> str:
    """Write the check in words; settings that nobody typed only where they are asked for."""
    lines: list[str] = []
    for one in report.fields:
        lines.append(f"{one.field}: {_LEVELS.get(one.level, 'the settings cannot be read')}")
        lines += [f"  {plain(text)}" for text in one.found]
        lines += [f"  doubt: {plain(text)}" for text in one.doubts]
        listed = [row for row in one.settings if has_defaults or not row.is_default]
        width = max((len(row.key) for row in listed), default=0)
        lines += [f"  {row.key:<{width}}  {plain(row.value)}  [{row.came_from}]" for row in listed]
        if left := len(one.settings) - len(listed):
            lines.append(f"  {left} more settings have their defaults; add --settings to see them")
    return "\n".join(lines)


def as_object(report: Check) -> dict[str, object]:
    """Give the check as an object for JSON."""
    return {
        "schema_version": 1,
        "fields": [
            {
                "field": one.field,
                "level": one.level,
                "found": list(one.found),
                "doubts": list(one.doubts),
                "settings": [
                    {
                        "key": row.key,
                        "value": row.value,
                        "came_from": row.came_from,
                    }
                    for row in one.settings
                ],
                "faults": [
                    {"what": fault.what, "where": fault.where, "mend": fault.mend} for fault in one.faults
                ],
            }
            for one in report.fields
        ],
    }
