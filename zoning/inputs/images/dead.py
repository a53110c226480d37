"""Dead ground that images show: large patches that the newest clear look shows bare or under water.

Cells in, outlines out; reads no file.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt
import shapely

from zoning.evidence import number
from zoning.inputs.given import Area, Block
from zoning.inputs.grid import Grid
from zoning.inputs.ground.boundary import polygons_of

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int16]

_STRAIGHT_CELLS = 0.1  # a corner that lies nearer to a straight line than this is none
_ROUNDING = 1 + 1e-9  # so that a side of just one cell is not divided


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Look:
    """What one image saw: where it shows the ground, and where that has no canopy."""

    day: date
    file: str
    seen: Bools
    no_canopy: Bools


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DeadPatches:
    """Outlines in the CRS of the grid, and the images that show them, with the day of the newest."""

    outline: Area
    files: str
    day: date


def patches(
    looks: Sequence[Look], grid: Grid, blocks: Sequence[Block], block_of_cell: Ints
) -> DeadPatches | None:
    """Find the ground on which nothing grows.

    Parameters
    ----------
    looks : sequence of Look
        Images of reflectance whose day is known, in any order.
    grid : Grid
    blocks : sequence of Block
        In the order of `block_of_cell`.
    block_of_cell : ndarray of int, shape of the grid
        -1 outside.

    Returns
    -------
    DeadPatches or None
        None where there is none. Patches of any size that are at least `inputs.dead_least_cells` wide: along
        an edge one or two cells may be a road that the image has a pixel off.

    Notes
    -----
    A cell counts as dead where the newest look that saw it shows no canopy. An image tells nothing of a block
    that was planted less than `inputs.dead_least_d` days before it, as young rows look bare from above; nor
    of one that would be dead in more than `inputs.bare_most_frac`: then the whole stand is young or thin.
    """
    dead = np.zeros(grid.shape, dtype=bool)
    newest: list[Look] = []
    for look in sorted(looks, key=lambda one: one.day):
        old = [(look.day - block.planted).days >= number("inputs.dead_least_d") for block in blocks]
        told = look.seen & np.array([*old, False])[block_of_cell]
        dead = np.where(told, look.no_canopy, dead)
        newest += [look] if (told & look.no_canopy).any() else []
    for place in np.unique(block_of_cell[dead]):
        mine = block_of_cell == place
        if dead[mine].sum() > mine.sum() * number("inputs.bare_most_frac"):
            dead &= ~mine
    dead = _wide(dead)
    if not dead.any():
        return None
    showing = [look for look in newest if (look.no_canopy & dead).any()]
    return DeadPatches(
        outline=_outline(_to_the_edge(dead, block_of_cell), grid),
        files=", ".join(dict.fromkeys(look.file for look in showing)),
        day=showing[-1].day,
    )


def _wide(cells: Bools) -> Bools:
    """Keep what is wide enough each way: squares of the least width, laid wherever they fit."""
    # imported late: only a field with bare ground needs it
    from scipy import ndimage

    least = int(number("inputs.dead_least_cells"))
    return np.asarray(ndimage.binary_opening(cells, structure=np.ones((least, least), dtype=bool)))


def _to_the_edge(dead: Bools, block_of_cell: Ints) -> Bools:
    """Add the cells along an edge whose middle lies beyond it: each is as the nearest cell of a block is.

    Else a rim of up to half a cell would be left between a patch and the edge, for nobody to spray.
    """
    # imported late: only a field with bare ground needs it
    from scipy import ndimage

    beyond = block_of_cell < 0
    if not beyond.any():
        return dead
    cells_off, nearest = ndimage.distance_transform_edt(beyond, return_indices=True)
    return np.asarray(dead | (beyond & (cells_off < 2) & dead[tuple(nearest)]))


def _outline(cells: Bools, grid: Grid) -> Area:
    """Draw around cells, through the middle of each side: a stair becomes a line that cuts off no ground."""
    rows, columns = np.nonzero(cells)
    west = grid.left_m + columns * grid.cell_m
    north = grid.top_m - rows * grid.cell_m
    whole = shapely.union_all(shapely.box(west, north - grid.cell_m, west + grid.cell_m, north))
    parts = [
        shapely.Polygon(
            _through_sides(part.exterior, grid.cell_m),
            [_through_sides(hole, grid.cell_m) for hole in part.interiors],
        )
        for part in shapely.get_parts(whole)
    ]
    return polygons_of(shapely.simplify(shapely.MultiPolygon(parts), _STRAIGHT_CELLS * grid.cell_m))


def _through_sides(ring: shapely.LinearRing, cell_m: float) -> npt.NDArray[np.float64]:
    corners = shapely.get_coordinates(shapely.segmentize(ring, cell_m * _ROUNDING))
    return np.asarray((corners[:-1] + corners[1:]) / 2)
