"""Treatment cells along the swaths of a machine: rectangles in the direction in which it drives.

Says how much of each zone lies in each cell, what a cell is worth, and how far treating whole cells differs
from treating zones. Which cells are treated is found in `swath_runs`, their outlines in `swath_outlines`.
Knows neither dates nor money: what an acre is worth comes in as a number.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from zoning.inputs.given import Heading, HeadingSource
from zoning.inputs.grid import Grid
from zoning.units import ac_from_m2
from zoning.zones.lattice import lattice_areas
from zoning.zones.zoning import Bools, Floats, Geometries, Ints, Zoning

_LEAST_FRAC = 0.01  # method: what fills less of a cell than this is the rim of a boundary, and no cell
_SLACK = 1e-9  # method: rounding of floats, as a share of a cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Swaths:
    """How cells are laid out: `swath_m` across, `step_m` along the heading, clockwise from grid north.

    `side_m` is how far across the heading a side of a swath lies; None: the first lies at the field's edge.
    """

    heading_deg: float
    swath_m: float
    step_m: float
    side_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SwathCells:
    """The treatment cells that hold ground of a field, by swath and, within a swath, by place along it.

    `swath` and `place` have one entry for each cell; a step between two places of a swath is a gap of the
    field. The first swath begins at `corner_m` (across and along the heading), at the field's edge or before.
    `shape` is the number of places and of swaths. `area_ac` (cells, zones) is the area of each zone in each
    cell, its columns in the order of `zones`. `cell_of_grid` has the shape of the grid: the treatment cell in
    which the centre of a grid cell lies, -1 outside the field.
    """

    swaths: Swaths
    corner_m: tuple[float, float]
    shape: tuple[int, int]
    swath: Ints
    place: Ints
    zones: tuple[int, ...]
    area_ac: Floats
    cell_of_grid: Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """One polygon of a treatment map; `label` is 0 where nothing is treated, else the pass that treats it."""

    outline: shapely.Polygon
    label: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Treatment:
    """Where a machine treats whole swath cells, and how far that is from treating the zones.

    `parts` are single polygons in the grid's CRS, a valid coverage of the field; the untreated rest is among
    them. No run of treated or untreated cells inside a swath is shorter than `least_run_m`. `differs_frac` is
    the share of the field's area whose action is not that of its zone.
    """

    swaths: Swaths
    heading_source: HeadingSource
    least_run_m: float
    parts: tuple[Part, ...]
    treated_ac: float
    differs_frac: float


def turned(east_m: Floats, north_m: Floats, heading_deg: float) -> tuple[Floats, Floats]:
    """Give how far places lie across (to the right) and along a heading, in m.

    Examples
    --------
    >>> across_m, along_m = turned(np.array([10.0]), np.array([0.0]), 90.0)
    >>> abs(across_m.round(9)).tolist(), along_m.round(9).tolist()
    ([0.0], [10.0])
    """
    angle = np.radians(heading_deg)
    across_m = east_m * np.cos(angle) - north_m * np.sin(angle)
    return np.asarray(across_m), np.asarray(east_m * np.sin(angle) + north_m * np.cos(angle))


def turned_shapes(shapes: Geometries, heading_deg: float) -> Geometries:
    """Give shapes with x across and y along a heading.

    Examples
    --------
    >>> [found] = turned_shapes(np.array([shapely.Point(3, 5)]), 90.0)  # driven east, so south is across
    >>> round(found.x, 9), round(found.y, 9)
    (-5.0, 3.0)
    """
    return np.asarray(
        shapely.transform(shapes, lambda xy: np.column_stack(turned(xy[:, 0], xy[:, 1], heading_deg)))
    )


def side_of_swath_m(heading: Heading, boom_m: float) -> float | None:
    """Give how far across the heading a side of a swath lies; None where nothing says where swaths lie.

    Examples
    --------
    >>> side_of_swath_m(Heading(0.0, "guidance", (100.0, 7.0)), 30.0)
    85.0
    """
    if heading.through_m is None:
        return None
    east_m, north_m = (np.array([one]) for one in heading.through_m)
    return float(turned(east_m, north_m, heading.deg)[0][0]) - boom_m / 2


def first_side_m(least_m: float, width_m: float, side_m: float | None) -> float:
    """Give where, across the heading, the first of the swaths over a field begins.

    Parameters
    ----------
    least_m : float
        Edge of the field. [m]
    width_m : float
        Of a swath, or of the part of one that is switched by itself. [m]
    side_m : float or None
        A side of any swath; None: it lies along the edge.

    Examples
    --------
    >>> first_side_m(12.0, 30.0, 85.0), first_side_m(12.0, 30.0, None)
    (-5.0, 12.0)
    """
    return least_m if side_m is None else side_m + float(np.floor((least_m - side_m) / width_m)) * width_m


def swath_cells(zoning: Zoning, grid: Grid, swaths: Swaths) -> SwathCells:
    """Lay treatment cells over the zones of a field.

    Parameters
    ----------
    zoning : Zoning
        Its outlines say what lies where.
    grid : Grid
        That of `zoning.number_of_cell`.
    swaths : Swaths

    Returns
    -------
    SwathCells
        Every cell of which the field fills a hundredth at least. Areas are exact, in the plane of the grid.
        Where nothing says where the operator drives, the first swath lies along the field's edge.
    """
    outlines = np.array([zone.outline for zone in zoning.zones], dtype=object)
    turned_m = turned_shapes(outlines, swaths.heading_deg)
    west, south, east, north = shapely.total_bounds(turned_m)
    west = first_side_m(float(west), swaths.swath_m, swaths.side_m)
    sides_m = [swaths.step_m, swaths.swath_m]
    places = max(1, int(np.ceil((north - south) / swaths.step_m - _SLACK)))
    count = max(1, int(np.ceil((east - west) / swaths.swath_m - _SLACK)))
    # places along the heading are the columns of the lattice, so that the cells of a swath lie side by side
    in_cells = shapely.transform(turned_m, lambda xy: (xy[:, ::-1] - [south, west]) / sides_m)
    areas = np.abs(lattice_areas(in_cells, (count, places))).reshape(len(outlines), -1)
    held = np.flatnonzero(areas.sum(axis=0) >= _LEAST_FRAC)
    return SwathCells(
        swaths=swaths,
        corner_m=(west, float(south)),
        shape=(places, count),
        swath=held // places,
        place=held % places,
        zones=tuple(zone.number for zone in zoning.zones),
        area_ac=areas[:, held].T * ac_from_m2(swaths.swath_m * swaths.step_m),
        cell_of_grid=_cell_of_grid(zoning.number_of_cell > 0, grid, swaths, (west, south), held, places),
    )


def lattice_of(
    east_m: Floats, north_m: Floats, swaths: Swaths, corner_m: tuple[float, float]
) -> tuple[Ints, Ints]:
    """Give place along the swath, and swath, of the cells in which places lie."""
    across_m, along_m = turned(east_m, north_m, swaths.heading_deg)
    place = np.floor((along_m - corner_m[1]) / swaths.step_m)
    return place.astype(np.int64), np.floor((across_m - corner_m[0]) / swaths.swath_m).astype(np.int64)


def _cell_of_grid(
    inside: Bools, grid: Grid, swaths: Swaths, corner_m: tuple[float, float], held: Ints, places: int
) -> Ints:
    rows, columns = np.nonzero(inside)
    place, swath = lattice_of(grid.east_m()[columns], grid.north_m()[rows], swaths, corner_m)
    lattice = swath * places + place
    index = np.minimum(np.searchsorted(held, lattice), max(len(held) - 1, 0))
    found = np.full(grid.shape, -1)
    if len(held):
        found[rows, columns] = np.where(held[index] == lattice, index, -1)
    return found


def values(cells: SwathCells, value_ac_of_zone: Mapping[int, float]) -> Floats:
    """Worth of treating each cell: over its zones, the sum of area times worth of an acre.

    Parameters
    ----------
    cells : SwathCells
    value_ac_of_zone : mapping of int to float
        Worth of treating an acre of each zone; of any kind, but none may be missing or NaN.

    Returns
    -------
    ndarray of float, shape (cells,)
    """
    worth = np.array([value_ac_of_zone[zone] for zone in cells.zones])
    if not np.isfinite(worth).all():
        raise ValueError("the worth of an acre must be a number in every zone")
    return np.asarray(cells.area_ac @ worth)


def differs_frac(cells: SwathCells, treated: Bools, sprayed: Collection[int]) -> float:
    """Share of the field's area whose action is not that of its zone.

    Parameters
    ----------
    cells : SwathCells
    treated : ndarray of bool, shape (cells,)
    sprayed : collection of int
        The zones that are treated.
    """
    as_zone = np.isin(cells.zones, list(sprayed))
    total_ac = cells.area_ac.sum()
    other_ac = cells.area_ac[treated][:, ~as_zone].sum() + cells.area_ac[~treated][:, as_zone].sum()
    return float(other_ac / total_ac) if total_ac > 0 else 0.0
