"""What was sprayed and what was not recorded yet, as people read it. Decides and prints nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from pathlib import Path

from zoning import units
from zoning.errors import InputError
from zoning.inputs.given import Sprayed
from zoning.show.figures import NONE, Units, day, full_day, plain
from zoning.show.layout import WIDTH, Table, as_text, wrapped
from zoning.words import Said

_TEXT = 30  # letters of a name in a table


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenPass:
    """A pass of a plan; of one that is recorded in part, the zones that are not.

    `area_ac` is what its map treats, check strips included; of one recorded in part, the ground of the zones.
    """

    field: str
    number: int
    day: date
    half: str
    sprayer: str
    rate_gal_ac: float
    area_ac: float
    loads: int
    zones: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DoneAnswer:
    """What is recorded, and which passes are not; both in the order of their days."""

    name: str
    today: date
    metric: bool
    recorded: tuple[Sprayed, ...]
    still_open: tuple[OpenPass, ...]
    notes: tuple[tuple[str, Said], ...]  # each with its field
    failures: tuple[tuple[str, InputError], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recorded:
    """A pass that was recorded: the row, which of it the plan said, and which files were written.

    `share_of_zone` is the treated share of each zone by a file of the machine, None without one.
    """

    field: str
    row: Sprayed
    from_plan: tuple[str, ...]
    notes: tuple[Said, ...]
    files_written: tuple[Path, ...]
    share_of_zone: Mapping[int, float] | None = None
    metric: bool = False


def listed_text(answer: DoneAnswer, width: int = WIDTH) -> str:
    """Write what is recorded, and which passes are due, past or still to come."""
    parts = [f"{plain(answer.name, 60)}, {full_day(answer.today)}: what was sprayed"]
    parts.append(as_text(_table(answer), width) if answer.recorded else Said("done.nothing").text)
    waiting = [one for one in answer.still_open if one.day <= answer.today]
    coming = [one for one in answer.still_open if one.day > answer.today]
    if waiting:
        lines = [Said("done.waiting").text + ":", *(_open(one, answer) for one in waiting)]
        lines.append(Said("done.how").text)
        parts.append(_wrapped(lines, width))
    if coming:
        parts.append(
            _wrapped([Said("done.coming").text + ":", *(_open(one, answer) for one in coming)], width)
        )
    if answer.notes:
        told = [f"- {plain(field, _TEXT)}: {said.text}" for field, said in answer.notes]
        parts.append(_wrapped(told, width))
    return "\n\n".join(parts)


def _wrapped(lines: Sequence[str], width: int) -> str:
    own = ((line[: len(line) - len(line.lstrip())], plain(line)) for line in lines)
    return wrapped([indent + line for indent, line in own], width, "  ")


def _table(answer: DoneAnswer) -> Table:
    unit = Units(metric=answer.metric)
    head = ("when", "field", "pass", "which zones", "product", unit.rate_unit)
    rows = [
        (
            _when(one),
            plain(one.field, _TEXT),
            NONE if one.pass_number is None else str(one.pass_number),
            ", ".join(map(str, sorted(one.zone_numbers))) or "all",
            plain(one.product, _TEXT) or NONE,
            NONE if one.rate_gal_ac is None else unit.rate(one.rate_gal_ac),
            plain(one.sprayer, _TEXT) or NONE,
        )
        for one in answer.recorded
    ]
    return Table((*head, "sprayer"), tuple(rows))


def _when(one: Sprayed) -> str:
    """Write the day, and the time where it is known."""
    end = "" if one.end.time() == time(0) else f"{one.end:%H:%M}"
    start = f"{one.start:%H:%M}" if one.start else ""
    return " ".join(
        part for part in (day(one.on), f"{start}–{end}" if start and end else end or start) if part
    )


def _open(one: OpenPass, answer: DoneAnswer) -> str:
    late = (answer.today - one.day).days
    ago = "" if late < 0 else ", due today" if late == 0 else f", {late} day{'' if late == 1 else 's'} ago"
    zones = _zones(one.zones)
    return (
        f"  {plain(one.field, _TEXT)}, pass {one.number}, {zones}: planned for {day(one.day)} {one.half}{ago}"
    )


def _zones(numbers: Sequence[int]) -> str:
    """Name zones; "" for none."""
    return f"zone{'' if len(numbers) == 1 else 's'} {', '.join(map(str, numbers))}" if numbers else ""


def recorded_text(found: Recorded, folder: Path, width: int = WIDTH) -> str:
    """Write what was recorded, what of it came from the plan, and what follows."""
    row = found.row
    zones = _zones(sorted(row.zone_numbers))
    lines = [
        f"recorded: {plain(found.field, _TEXT)}, {_when(row)}, "
        f"{zones or 'the whole field'}, {plain(row.product, 60)}"
    ]
    amounts = _amounts(found)
    if amounts:
        lines.append(f"  {amounts}")
    if found.from_plan:
        lines.append(f"  {Said('done.from_plan', what=', '.join(found.from_plan)).text}")
    if found.share_of_zone is not None:
        shares = ", ".join(f"{zone}: {100 * share:.0f} %" for zone, share in found.share_of_zone.items())
        lines.append(f"  {Said('done.shares', shares=shares).text}")
    lines += [f"- {said.text}" for said in found.notes]
    lines.append(f"written: {', '.join(names_of_files(found, folder))}")
    lines.append(Said("done.run_again").text)
    return _wrapped(lines, width)


def _amounts(found: Recorded) -> str:
    row, metric = found.row, found.metric
    parts = []
    if row.rate_gal_ac is not None:
        parts.append(f"{Units(metric=metric).rate(row.rate_gal_ac)} {Units(metric=metric).rate_unit}")
    if row.area_ac is not None:
        parts.append(f"{units.ha_from_ac(row.area_ac):.1f} ha" if metric else f"{row.area_ac:.1f} ac")
    if row.loads is not None:
        parts.append(f"{row.loads:g} load{'' if row.loads == 1 else 's'}")
    return ", ".join([*parts, *(plain(text, 60) for text in (row.sprayer, row.applicator) if text)])


def names_of_files(found: Recorded, folder: Path) -> list[str]:
    """Name the files from the folder that was given, or from the one above it."""
    root = folder.resolve()
    names = []
    for path in found.files_written:
        within = next((one for one in (root, root.parent) if path.resolve().is_relative_to(one)), None)
        names.append(path.resolve().relative_to(within).as_posix() if within else path.name)
    return names
