"""Counts of plantings that are only asked about: rows of date and plants, which need no place on a map.

A row says by planting date and maturity group to which planting it belongs, where there are several. Bad rows
are named, the good ones used, by the same rules as in a field. Nothing is weighed here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite, nan
from pathlib import Path

import shapely

from zoning.inputs import area, dates
from zoning.inputs.given import Count
from zoning.inputs.scouting import points
from zoning.inputs.scouting.looked import Looked, look, shown
from zoning.inputs.scouting.points import Line
from zoning.inputs.scouting.rows import at_most, one_a_plot, projected, rank
from zoning.words import Said

NEEDED = ("date",)
_PLANTED = ("planted", "planting", "planting_date")
_GROUP = ("maturity_group", "group", "mg")
_ALIKE = 0.05  # groups are told apart by their first decimal


@dataclass(frozen=True, slots=True)
class Planting:
    """What a count may belong to."""

    planted: date
    maturity_group: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A good row: what was seen and to which planting it belongs."""

    looked: Looked
    on: date
    planting: int


class _RowError(ValueError):
    """A row that belongs to no planting; `said` is the line for the user."""

    def __init__(self, code: str, **values: object) -> None:
        self.said = Said(code, **values)
        super().__init__(self.said.text)


def read(
    path: Path, asked: Sequence[Planting], today: date
) -> tuple[tuple[tuple[Count, ...], ...], tuple[Said, ...]]:
    """Read counts, and give each to its planting.

    Parameters
    ----------
    path : Path
        CSV (or GeoJSON, GPX) with `date`, plants in any of the forms of a scouting file and, where several
        plantings are asked about, `planted`, `maturity_group` or both. `lat` and `lon` only tell whether two
        counts of one day were made on one plot.
    asked : sequence of Planting
        The plantings.
    today : date
        Nothing later is used.

    Returns
    -------
    tuple of tuples of Count, tuple of Said
        The counts of each planting, and a line for each row that is not used, or not as it stands. A count
        without a place has NaN for it.

    Raises
    ------
    InputError
        When the file cannot be read, or has no column for the date.
    """
    file = path.name
    notes: list[Said] = []
    rows: list[_Row] = []
    first: dict[tuple[object, ...], str] = {}
    for line in points.read(path, file, needed=NEEDED):
        looked = look(line, "", placed=False)
        notes += [*looked.faults, *looked.remarks]
        if looked.when is None or looked.seen is None:
            if not looked.faults:
                notes.append(Said("inputs.count_no_count", where=line.where))
            continue
        try:
            row = _row(looked, looked.when.date(), asked, today)
        except _RowError as refused:
            notes.append(refused.said)
            continue
        where = first.setdefault((*looked.same(), row.planting), line.where)
        if where != line.where:
            notes.append(Said("inputs.scouting_twice", where=line.where, first=where))
            continue
        rows.append(row)
    counts = []
    for planting in range(len(asked)):
        kept, said = _apart([row for row in rows if row.planting == planting])
        counts.append(kept)
        notes += said
    return tuple(counts), tuple(at_most(notes, file))


def _row(looked: Looked, on: date, asked: Sequence[Planting], today: date) -> _Row:
    where = looked.line.where
    if on > today:
        raise _RowError("inputs.scouting_later", where=where, on=on, today=today)
    planting = _planting(looked.line, asked)
    planted = asked[planting].planted
    if on < planted:
        raise _RowError("inputs.scouting_planting", where=where, on=on, planted=planted)
    return _Row(looked=looked, on=on, planting=planting)


def _planting(line: Line, asked: Sequence[Planting]) -> int:
    """Find the one planting that a row belongs to."""
    fits = list(range(len(asked)))
    wanted = []
    planted = _cell(line, _PLANTED)
    if planted:
        try:
            day = dates.day(planted)
        except ValueError:
            raise _RowError("inputs.scouting_date", where=line.where, shown=shown(planted)) from None
        wanted.append(f"of {day}")
        fits = [at for at in fits if asked[at].planted == day]
    group = _cell(line, _GROUP)
    if group:
        try:
            value = float(group.replace(",", "."))
        except ValueError:
            raise _RowError("inputs.count_group", where=line.where, text=group) from None
        wanted.append(f"of group {value:g}")
        fits = [at for at in fits if abs(asked[at].maturity_group - value) < _ALIKE]
    if not fits:
        raise _RowError("inputs.count_no_planting", where=line.where, wanted=" and ".join(wanted))
    if len(fits) > 1:
        raise _RowError("inputs.count_any_planting", where=line.where, count=len(fits))
    return fits[0]


def _cell(line: Line, names: Sequence[str]) -> str:
    for name, text in line.others.items():
        if "_".join(name.lower().replace("-", " ").split()) in names and text.strip():
            return text.strip()
    return ""


def _apart(rows: Sequence[_Row]) -> tuple[tuple[Count, ...], list[Said]]:
    """Keep one count of each plot and day: by place where there is one, else by who counted."""
    placed = [row.looked.lonlat for row in rows if row.looked.lonlat is not None]
    epsg = area.utm_epsg(*placed[0]) if placed else 0
    counts = [_count(row, epsg) for row in rows]
    on_plots, said = one_a_plot([one for one in counts if isfinite(one.east_m)])
    kept: list[Count] = []
    others = [one for one in counts if not isfinite(one.east_m)]
    for count in sorted(others, key=rank):
        rival = next((one for one in kept if _two_people(one, count)), None)
        if rival is None:
            kept.append(count)
            continue
        said.append(
            Said(
                "inputs.count_observers",
                where=count.source,
                observer=count.observer,
                other=rival.observer,
                on=count.on,
                kept=rival.source,
            )
        )
    return (*on_plots, *kept), said


def _two_people(one: Count, other: Count) -> bool:
    both_named = bool(one.observer and other.observer)
    return both_named and one.on == other.on and one.observer.casefold() != other.observer.casefold()


def _count(row: _Row, epsg: int) -> Count:
    lonlat, seen = row.looked.lonlat, row.looked.seen
    if seen is None:
        raise ValueError("a row without a count has none to give")
    place = projected(lonlat, epsg) if lonlat is not None else shapely.Point()
    return Count(
        on=row.on,
        east_m=nan if place.is_empty else place.x,
        north_m=nan if place.is_empty else place.y,
        seen=seen,
        source=row.looked.line.where,
        observer=row.looked.observer,
    )
