"""What scouts saw in a field: pressure and counts, each where and when; a bad row is named, the rest is used.

Rows that say the same count once, and of two counts on one plot and day the larger one stays.
"""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import shapely

from zoning.evidence import number
from zoning.inputs import area
from zoning.inputs.given import AtOrPast, Block, Count, PodLength, Remark, Sighting, Tally
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.scouting import points
from zoning.inputs.scouting.looked import Looked, look
from zoning.words import Said

NEEDED = points.NEEDED
MOST_LINES = 20  # rows of one file that are named one by one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scouted:
    """What was seen inside the field up to today, in the files' order, and what is to be said."""

    sightings: tuple[Sighting, ...] = ()
    counts: tuple[Count, ...] = ()
    remarks: tuple[Remark, ...] = ()
    notes: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ground:
    """What a row is judged against."""

    boundary: Boundary
    today: date
    blocks: Sequence[Block]

    def fault(self, one: Looked) -> Said | None:
        """Tell why a line with day and place is not of this crop in this field."""
        where = one.line.where
        if one.when is None or one.lonlat is None:
            return None
        on = one.when.date()
        if on > self.today:
            return Said("inputs.scouting_later", where=where, on=on, today=self.today)
        place = projected(one.lonlat, self.boundary.epsg)
        if not covers(self.boundary, place):
            return Said("inputs.scouting_outside", where=where, far=how_far(self.boundary, place))
        planted = self._planted(place)
        if planted is not None and on < planted:
            return Said("inputs.scouting_planting", where=where, on=on, planted=planted)
        return None

    def _planted(self, place: shapely.Point) -> date | None:
        there = [block.planted for block in self.blocks if block.outline.covers(place)]
        return min(there or (block.planted for block in self.blocks), default=None)


def read(
    path: Path,
    file: str,
    boundary: Boundary,
    today: date,
    time_zone: str = "",
    blocks: Sequence[Block] = (),
) -> Scouted:
    """Read what was seen in a field from CSV, GeoJSON or GPX.

    Parameters
    ----------
    path, file : Path, str
        The file, and how the user calls it.
    boundary : Boundary
        Points outside are not used.
    today : date
        Nothing later is used.
    time_zone : str
        Of the farm, for times that carry a zone; "" for whole hours by longitude.
    blocks : sequence of Block
        Nothing from before the planting of the block there is used; none: planting is not known.

    Returns
    -------
    Scouted
        Each row that is not used, or not as it stands, is one of the notes.

    Raises
    ------
    InputError
        When the file cannot be read, or has no column for date, latitude or longitude.
    """
    looked = [look(line, time_zone) for line in points.read(path, file)]
    ground = _Ground(boundary=boundary, today=today, blocks=blocks)
    notes: list[Said] = []
    good: list[Looked] = []
    first: dict[tuple[object, ...], str] = {}
    earlier = 0
    for one in looked:
        fault = ground.fault(one)
        if fault is not None and _is_earlier_season(fault):
            earlier += 1
            continue
        if fault is not None or one.when is None or one.lonlat is None:
            notes += [fault] if fault is not None else one.faults
            continue
        where = first.setdefault(one.same(), one.line.where)
        if where != one.line.where and (one.pressure or one.seen):
            notes.append(Said("inputs.scouting_twice", where=one.line.where, first=where))
            continue
        notes += [*one.faults, *one.remarks]
        good.append(one)
    counts, on_one_plot = one_a_plot(_counts(good, boundary.epsg))
    notes = at_most([*notes, *on_one_plot], file)
    if earlier:
        notes.append(Said("inputs.scouting_earlier", file=file, rows=earlier))
    return Scouted(
        sightings=_sightings(good, boundary.epsg),
        counts=counts,
        remarks=_remarks(good, boundary.epsg),
        notes=tuple(notes),
    )


def together(parts: Sequence[Scouted]) -> Scouted:
    """Join what several files hold: what stands in two of them counts once."""
    sightings: dict[Sighting, Sighting] = {}
    for one in (one for part in parts for one in part.sightings):
        rounded = dataclasses.replace(one, east_m=round(one.east_m, 1), north_m=round(one.north_m, 1))
        sightings.setdefault(rounded, one)
    counts, notes = one_a_plot([one for part in parts for one in part.counts])
    remarks = dict.fromkeys(one for part in parts for one in part.remarks)
    said = (*(note for part in parts for note in part.notes), *notes)
    return Scouted(sightings=tuple(sightings.values()), counts=counts, remarks=tuple(remarks), notes=said)


def projected(lonlat: tuple[float, float], epsg: int) -> shapely.Point:
    """Bring a place to a UTM zone; a place beyond its reach becomes an empty point."""
    place = area.reproject(shapely.Point(*lonlat), area.LONLAT, epsg)
    return place if np.isfinite(shapely.get_coordinates(place)).all() else shapely.Point()


def covers(boundary: Boundary, place: shapely.Point) -> bool:
    """Tell whether a place lies in the field or on its edge."""
    return not place.is_empty and bool(boundary.area.covers(place))


def how_far(boundary: Boundary, place: shapely.Point) -> str:
    """Say how far a place lies from the field.

    Examples
    --------
    >>> from shapely import box
    >>> edge = Boundary(area=box(0, 0, 9, 9), epsg=32615, longitude_deg=-93, latitude_deg=0, notes=())
    >>> how_far(edge, shapely.Point(21, 9)), how_far(edge, shapely.Point())
    ('12 m', 'half the world')
    """
    return "half the world" if place.is_empty else f"{boundary.area.distance(place):,.0f} m"


def _is_earlier_season(fault: Said) -> bool:
    """Tell a row of an earlier crop, of which a long file may hold many, from a slip in the date."""
    if fault.code != "inputs.scouting_planting":
        return False
    before = fault.values["planted"] - fault.values["on"]  # type: ignore[operator]
    return bool(before.days > number("inputs.earlier_season_d"))


def at_most(notes: list[Said], file: str) -> list[Said]:
    """Keep the first lines about a file and count the rest."""
    if len(notes) <= MOST_LINES:
        return notes
    more = Said("inputs.scouting_more", file=file, rows=len(notes) - MOST_LINES)
    return [*notes[:MOST_LINES], more]


def _sightings(good: Sequence[Looked], epsg: int) -> tuple[Sighting, ...]:
    found = []
    for one in good:
        if one.pressure and one.when and one.lonlat:
            place = projected(one.lonlat, epsg)
            found.append(
                Sighting(
                    on=one.when.date(),
                    east_m=place.x,
                    north_m=place.y,
                    pressure=one.pressure,
                    cause=one.cause,
                    severity_pct=one.severity_pct,
                    note=one.note,
                    photo=one.photo,
                    observer=one.observer,
                    source=one.line.where,
                )
            )
    return tuple(found)


def _remarks(good: Sequence[Looked], epsg: int) -> tuple[Remark, ...]:
    """Give the rows with a note or a photo and nothing else that can be used; those that are alike once."""
    found = []
    for one in good:
        if (one.note or one.photo) and not (one.pressure or one.seen) and one.when and one.lonlat:
            place = projected(one.lonlat, epsg)
            found.append(
                Remark(
                    on=one.when.date(),
                    east_m=place.x,
                    north_m=place.y,
                    note=one.note,
                    photo=one.photo,
                    observer=one.observer,
                    source=one.line.where,
                )
            )
    return tuple(dict.fromkeys(found))


def _counts(good: Sequence[Looked], epsg: int) -> list[Count]:
    found = []
    for one in good:
        if one.seen and one.when and one.lonlat:
            place = projected(one.lonlat, epsg)
            found.append(
                Count(
                    on=one.when.date(),
                    east_m=place.x,
                    north_m=place.y,
                    seen=one.seen,
                    source=one.line.where,
                    observer=one.observer,
                    stage=one.line.text("stage"),
                    note=one.note,
                    photo=one.photo,
                )
            )
    return found


def size(count: Count) -> tuple[int, int]:
    """Order counts by their plants, then by how much their form tells."""
    seen = count.seen
    if isinstance(seen, Tally):
        return sum(seen.plants), 3
    if isinstance(seen, AtOrPast):
        return seen.n, 2
    return 0, 1 if isinstance(seen, PodLength) else 0


def rank(count: Count) -> tuple[int, int, str, str, float, float]:
    """Order counts from the one that stays: by size, then by what was seen, by whom and where."""
    plants, form = size(count)
    return -plants, -form, repr(count.seen), count.observer, count.east_m, count.north_m


def one_a_plot(counts: Sequence[Count]) -> tuple[tuple[Count, ...], list[Said]]:
    """Keep the larger of two counts of one day on one plot, whatever the order of the rows."""
    if len(counts) < 2:
        return tuple(counts), []
    reach_m = number("inputs.same_plot_m")
    places = shapely.points([(one.east_m, one.north_m) for one in counts])
    tree = shapely.STRtree(places)
    stays: dict[int, int] = {}  # count -> the one that stays in its place
    for mine in sorted(range(len(counts)), key=lambda at: rank(counts[at])):
        near = tree.query(places[mine], predicate="dwithin", distance=reach_m)
        rivals = [int(at) for at in sorted(near) if stays.get(int(at)) == at]
        stays[mine] = next((at for at in rivals if counts[at].on == counts[mine].on), mine)
    notes = [
        Said(
            "inputs.count_plot",
            where=counts[mine].source,
            kept=counts[stays[mine]].source,
            on=counts[mine].on,
            m=reach_m,
        )
        for mine in range(len(counts))
        if stays[mine] != mine
    ]
    return tuple(one for mine, one in enumerate(counts) if stays[mine] == mine), notes
