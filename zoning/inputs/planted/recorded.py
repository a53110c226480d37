"""As-planted points and passes become the ground of blocks: by day, then by what was sown, always by place.

Dates are never averaged; the columns of the file are read in `sown`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
import numpy.typing as npt
import rasterio.features

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import vector
from zoning.inputs.given import Area
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.planted import asplanted
from zoning.inputs.planted.interleaved import Bools, Labels, Measure, Settled, settled
from zoning.inputs.planted.mixture import MixedOf, blended
from zoning.inputs.planted.sown import Place, Sown, rows_of
from zoning.units import ac_from_m2, m2_from_ac

_MOST_CELLS = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Records:
    """The records that count for a field: shapes in the CRS of its grid, and the time of each."""

    shapes: npt.NDArray[np.object_]
    stamps: tuple[datetime, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recorded:
    """What was sown on each ground, and pieces of it; `owners` says for each piece whose it is.

    `mixed` says of each ground what lies between one another there, None where nothing does. A patch smaller
    than `speck_m2` is no block; `slips_ac` went to the ground around it; `far_frac` of the field lies far
    from every record.
    """

    sown: tuple[Sown, ...]
    mixed: tuple[MixedOf | None, ...]
    pieces: tuple[Area, ...]
    owners: tuple[int, ...]
    speck_m2: float
    slips_ac: float
    far_frac: float
    records: Records


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rows:
    """What each record says, by number: the middle day of its run, and what was sown but for the day."""

    sown: Sequence[Sown]
    days: Sequence[date]
    day: npt.NDArray[np.int_]
    kinds: Sequence[Sown]
    kind: npt.NDArray[np.int_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ground:
    """Cells, the points on them, and the record nearest to each cell."""

    cells: Grid
    inside: Bools
    points: asplanted.Points
    row_of_cell: npt.NDArray[np.int_]
    far_frac: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Parts:
    """Ground by day and by kind: the number of each cell's part, and what the parts are."""

    labels: Labels
    by_day: Settled
    by_kind: dict[int, Settled]
    pairs: list[tuple[int, int]]

    def slips(self) -> Bools:
        """Mark the slips of both, of the whole field."""
        every = [self.by_day.slips, *(one.slips for one in self.by_kind.values())]
        return np.asarray(np.logical_or.reduce(every))


def recorded(place: Place, grid: Grid, found: vector.Vector) -> Recorded:
    """Make the ground of blocks from the records of a planter.

    Parameters
    ----------
    place : Place
    grid : Grid
        The field's grid; ground is made on its cells, or on finer ones.
    found : Vector
        Points or passes with their columns.

    Returns
    -------
    Recorded
        The same for shuffled rows and for rows that stand twice.

    Raises
    ------
    InputError
        For every row that cannot be read; when no record lies near the field.
    """
    rows, whole = rows_of(place, found), place.boundary.area
    shapes = found.projected(place.boundary.epsg)
    cell_m = _cell_m(whole, grid)
    points = asplanted.points_of(shapes, whole, cell_m)
    if not len(points.row):
        mend = "Check the CRS of both files, and that they are of the same field."
        raise InputError("nothing in the file lies inside the boundary", where=found.file, mend=mend)
    counting, row = np.unique(points.row, return_inverse=True)
    stamps = tuple(rows[one][1] for one in counting)
    said = _said([rows[one][0] for one in counting], stamps)
    ground = _ground(_once(asplanted.Points(at_m=points.at_m, row=row), said), whole, grid.epsg, cell_m)
    speck_m2 = _speck_m2(ground, place.settings.zones.min_area_ac)
    measure = Measure(cell_m, boom_m(place), int(np.ceil(speck_m2 / cell_m**2)))
    parts = _parts(ground, said, measure)
    pieces, owners = asplanted.outlined(_outward(parts.labels, ground.inside), ground.cells)
    told = [_sown_on(number, parts, ground, said) for number in range(len(parts.pairs))]
    return Recorded(
        sown=tuple(sown for sown, _ in told),
        mixed=tuple(mixed for _, mixed in told),
        pieces=pieces,
        owners=owners,
        speck_m2=speck_m2,
        slips_ac=ac_from_m2(parts.slips().sum() * cell_m**2),
        far_frac=ground.far_frac,
        records=Records(shapes=shapes[counting], stamps=stamps),
    )


def boom_m(place: Place) -> float:
    """Width that strips are held against: the boom of the first sprayer, or a usual one."""
    sprayers = place.settings.sprayers
    return sprayers[0].boom_m if sprayers else number("inputs.strip_width_m")


def _cell_m(whole: Area, grid: Grid) -> float:
    west, south, east, north = whole.bounds
    least_m = float(np.sqrt((east - west) * (north - south) / _MOST_CELLS))
    return min(grid.cell_m, max(least_m, number("inputs.planting_cell_most_m")))


def _speck_m2(ground: _Ground, zone_ac: float) -> float:
    """Give the size of a patch that is no block: of a few records, if smaller than a zone, or a fixed one."""
    of_record_m2 = ground.inside.sum() * ground.cells.cell_m**2 / len(ground.points.row)
    few_m2 = float(number("inputs.planting_few_records") * of_record_m2)
    return max(m2_from_ac(number("inputs.planting_speck_ac")), min(few_m2, m2_from_ac(zone_ac)))


def _said(sown: Sequence[Sown], stamps: Sequence[datetime]) -> _Rows:
    """Give numbers to days and kinds; what a number stands for does not depend on the order of the rows."""
    run = asplanted.runs(stamps)
    planted = np.array([one.planted for one in sown])
    mine = [np.sort(planted[run == one]) for one in range(run.max() + 1)]
    day_of_run = np.array([days[asplanted.middle(days)] for days in mine])
    days, day = np.unique(day_of_run[run], return_inverse=True)
    undated = {one: replace(one, planted=date.min) for one in set(sown)}  # of many records a few differ
    of_row = [undated[one] for one in sown]
    kinds = sorted(set(of_row), key=repr)
    number_of = {one: number for number, one in enumerate(kinds)}
    kind = np.array([number_of[one] for one in of_row])
    return _Rows(sown=sown, days=days.tolist(), day=day, kinds=kinds, kind=kind)


def _once(points: asplanted.Points, said: _Rows) -> asplanted.Points:
    """Keep one of the points that say the same of the same place, in an order of their own."""
    planted = np.array([one.planted.toordinal() for one in said.sown])
    keys = np.column_stack(
        [points.at_m.round(3), said.day[points.row], said.kind[points.row], planted[points.row]]
    )
    return points.those(np.unique(keys, axis=0, return_index=True)[1])


def _ground(points: asplanted.Points, whole: Area, epsg: int, cell_m: float) -> _Ground:
    west, south, east, north = whole.bounds
    cells = Grid.covering((west - cell_m, south - cell_m, east + cell_m, north + cell_m), epsg, cell_m)
    nearest, distance_m = asplanted.nearest(points, cells)
    inside = rasterio.features.rasterize([(whole, 1)], out_shape=cells.shape, transform=cells.transform) > 0
    far = distance_m[inside] > number("inputs.planting_far_m")
    return _Ground(
        cells=cells,
        inside=inside if inside.any() else np.ones_like(inside),  # thinner than a cell
        points=points,
        row_of_cell=points.row[nearest],
        far_frac=float(far.mean()) if far.size else 0.0,
    )


def _parts(ground: _Ground, said: _Rows, measure: Measure) -> _Parts:
    """Settle the days, and inside the ground of each day, or mixture of days, what was sown."""
    by_day = settled(said.day[ground.row_of_cell].astype(np.int32), ground.inside, measure)
    kind_of_cell = said.kind[ground.row_of_cell].astype(np.int32)
    kinds, by_kind = np.zeros_like(kind_of_cell), {}
    for day in np.unique(by_day.labels[ground.inside]).tolist():
        here = ground.inside & (by_day.labels == day)
        by_kind[day] = settled(kind_of_cell, here, measure)
        kinds[here] = by_kind[day].labels[here]
    both = np.stack([by_day.labels[ground.inside], kinds[ground.inside]])
    pairs, number_of_pair = np.unique(both, axis=1, return_inverse=True)
    labels = np.zeros_like(kinds)
    labels[ground.inside] = number_of_pair.ravel()
    sieved = rasterio.features.sieve(labels, size=measure.speck_cells, mask=ground.inside, connectivity=4)
    return _Parts(labels=sieved, by_day=by_day, by_kind=by_kind, pairs=[(int(a), int(b)) for a, b in pairs.T])


def _outward(labels: Labels, inside: Bools) -> Labels:
    """Continue the parts beyond the boundary, so that their edges cross it as they come."""
    from scipy import ndimage  # late: only as-planted records need it

    nearest = ndimage.distance_transform_edt(~inside, return_distances=False, return_indices=True)
    return np.asarray(labels[tuple(nearest)], dtype=np.int32)


def _sown_on(number_of: int, parts: _Parts, ground: _Ground, said: _Rows) -> tuple[Sown, MixedOf | None]:
    """Say what was sown on a part: the day of its middle record, and what its strips hold together."""
    day, kind = parts.pairs[number_of]
    settled_kinds = parts.by_kind[day]
    days, kinds = parts.by_day.of(day), settled_kinds.of(kind)
    row, at_m = ground.points.row, ground.points.at_m
    mine = np.isin(said.day[row], days) & np.isin(said.kind[row], kinds)
    there = mine & (parts.labels[asplanted.cells_at(at_m, ground.cells)] == number_of)
    rows = row[there] if there.any() else row[mine]
    ordered = sorted((said.sown[one] for one in rows), key=lambda one: (one.planted, repr(one)))
    first = ordered[asplanted.middle(rows)]
    day_strips, kind_strips = parts.by_day.mixed(day), settled_kinds.mixed(kind)
    if day_strips is None and kind_strips is None:
        return first, None
    here = (parts.labels == number_of) & ground.inside
    held = np.bincount(said.kind[ground.row_of_cell[here]], minlength=len(said.kinds))[list(kinds)]
    mixed = MixedOf(
        days=tuple(said.days[one] for one in days) if day_strips else (),
        days_width_m=day_strips.width_m if day_strips else 0.0,
        kinds=tuple(said.kinds[one] for one in kinds) if kind_strips else (),
        kinds_width_m=kind_strips.width_m if kind_strips else 0.0,
    )
    return blended(first, mixed, _shares(held)), mixed


def _shares(held: npt.NDArray[np.int_]) -> Floats:
    return np.asarray(held / held.sum() if held.sum() else np.full(len(held), 1 / len(held)))
