"""Labels of one block's cells become smooth lines between its zones. Knows no outline of the block.

A line runs through the middles between cells of different labels, so it is the same line for both of its
sides; where three or more labels meet is a node that stays in its place.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from zoning.inputs.grid import Grid
from zoning.zones.arcs import Arcs, Complex, arcs_of, sides_of
from zoning.zones.zoning import Bools, Floats, Geometries, Ints, Window

_CARRIED_CELLS = 2  # method: labels are carried so far beyond the block, so that every edge meets its outline
_PAD_CELLS = 3  # method: room around each block, so that what is carried on from two blocks never meets
_ROUNDS = 4  # method: of smoothing, in each a corner moves half way to the middle of its neighbours
# method: corners that stand out less are taken out
_CORNERS_BELOW_CELLS = 0.1, 0.2, 0.3, 0.45, 0.6, 0.8, 1.0
_MOST_CORNERS = 60  # method: of a polygon, beside those of its block's own outline
_FARTHEST_CELLS = 0.5  # method: a line moves no farther sideways than this


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """One block as drawn: the lines between its zones, not yet cut at its outline, and where its cells lie.

    `lines` are in the grid's CRS. `labels` are those of the block's cells, carried on beyond it; `corner_m`
    is the outer corner of the first of them, carried on or not.
    """

    lines: Geometries
    labels: Ints
    window: Window
    corner_m: tuple[float, float]
    cell_m: float

    @property
    def cells(self) -> Ints:
        """Labels of the cells of the window, carried on beyond the block; -1 farther away."""
        rows, columns = (part.stop - part.start for part in self.window)
        return self.labels[_PAD_CELLS:, _PAD_CELLS:][:rows, :columns]

    def label_at(self, points: Geometries) -> Ints:
        """Give the label of the cell in which each point lies."""
        column = (shapely.get_x(points) - self.corner_m[0]) // self.cell_m
        row = (self.corner_m[1] - shapely.get_y(points)) // self.cell_m
        rows, columns = self.labels.shape
        inside = np.clip(row, 0, rows - 1).astype(int), np.clip(column, 0, columns - 1).astype(int)
        return np.asarray(np.maximum(self.labels[inside], 0), dtype=np.int64)


def draw(divided: Sequence[tuple[Ints, Window]], grid: Grid) -> tuple[Drawn, ...]:
    """Draw the lines between the zones of blocks, beyond their outlines.

    Parameters
    ----------
    divided : sequence of (labels, window)
        For each block its labels, 0 upwards without a gap, -1 outside the block; and where they lie in the
        grid.
    grid : Grid

    Notes
    -----
    Lines are smoothed by moving each corner towards its neighbours, several times, and simplified
    (Douglas and Peucker 1973, from memory). That would shrink what is round, so each line is then moved
    sideways until it has as much ground on either side as the cells have. Ends of lines do not move. Where a
    patch would have too many corners, its lines are simplified more. All blocks are drawn on one sheet, one
    below the other, because most of the time would go into starting each step.
    """
    if not divided:
        return ()
    heights = [labels.shape[0] + 2 * _PAD_CELLS for labels, _ in divided]
    tops = np.concatenate([[0], np.cumsum(heights)])
    width = max(labels.shape[1] for labels, _ in divided) + 2 * _PAD_CELLS
    sheet, block_of_row = np.full((tops[-1], width), -1), np.repeat(np.arange(len(divided)), heights)
    for (labels, _), top in zip(divided, tops[:-1], strict=True):
        sheet[top + _PAD_CELLS :, _PAD_CELLS:][: labels.shape[0], : labels.shape[1]] = labels
    _carry_on(sheet)
    arcs = arcs_of(sheet)
    block, lines = np.zeros(0, dtype=np.int64), np.array([], dtype=object)
    if len(arcs.of):
        block = block_of_row[arcs.place[arcs.begins].imag.astype(int)]
        corners_m = [_corner_m(window, grid) for _, window in divided]
        # eq. rows are the imaginary part, and run south
        origins_m = np.array([complex(*at) for at in corners_m]) + 1j * tops[:-1] * grid.cell_m
        large = _as_large(_simplified(arcs, block, sheet), arcs)
        lines = Arcs(origins_m[block][large.of] + grid.cell_m * np.conj(large.place), large.of).lines()
    return tuple(
        _drawn(lines[block == index], sheet[top : top + height], window, grid)
        for index, ((_, window), top, height) in enumerate(zip(divided, tops[:-1], heights, strict=True))
    )


def _corner_m(window: Window, grid: Grid) -> tuple[float, float]:
    return (
        grid.left_m + (window[1].start - _PAD_CELLS) * grid.cell_m,
        grid.top_m - (window[0].start - _PAD_CELLS) * grid.cell_m,
    )


def _drawn(lines: Geometries, labels: Ints, window: Window, grid: Grid) -> Drawn:
    return Drawn(
        lines=lines, labels=labels, window=window, corner_m=_corner_m(window, grid), cell_m=grid.cell_m
    )


def _carry_on(labels: Ints) -> None:
    """Carry labels some cells beyond their block; the sheet has room for that around each block."""
    for _ in range(_CARRIED_CELLS):
        for one, other in ((labels[:-1], labels[1:]), (labels[:, :-1], labels[:, 1:])):
            np.copyto(other, one, where=other < 0)
            np.copyto(one, other, where=one < 0)


def _smoothed(arcs: Arcs) -> Arcs:
    """Round the stairs of lines; ends stay, a closed line has none."""
    place = arcs.place
    before, after = arcs.neighbours()
    for _ in range(_ROUNDS):
        place = (place + (place[before] + place[after]) / 2) / 2
    return Arcs(place, arcs.of)


def _simplified(arcs: Arcs, block: Ints, sheet: Ints) -> Geometries:
    """Smooth lines, and take out corners that stand out little; more of them around a crowded patch.

    Parameters
    ----------
    arcs : Arcs
    block : ndarray of int, shape (lines,)
    sheet : ndarray of int, shape (rows, columns)
    """
    smooth = _smoothed(arcs).lines()
    simple = np.asarray(shapely.simplify(smooth, _CORNERS_BELOW_CELLS[0], preserve_topology=False))
    # what a whole zone has not too many of, none of its patches has
    sides = sides_of(arcs, sheet) + (block * (int(sheet.max()) + 1))[:, None]
    if not _crowded(simple, sides).any():
        return simple
    # imported here: few sheets are so crowded that patches need telling apart
    from zoning.zones.patches import patches

    sides = sides_of(arcs, patches(sheet, int(sheet.max()) + 1)[0] - 1)
    for below in _CORNERS_BELOW_CELLS[1:]:
        crowded = _crowded(simple, sides)
        if not crowded.any():
            break
        simple[crowded] = shapely.simplify(smooth[crowded], below, preserve_topology=False)
    return simple


def _crowded(lines: Geometries, sides: Ints) -> Bools:
    """Say which lines lie along something that has too many corners; `sides` tells what lies beside each."""
    corners = np.repeat(shapely.get_num_coordinates(lines) + 2, 2)  # two more where it meets an outline
    return np.asarray((np.bincount(sides.ravel(), corners) > _MOST_CORNERS)[sides].any(axis=1))


def _as_large(simple: Geometries, cells: Arcs) -> Arcs:
    """Move lines sideways until they have as much ground on either side as the edges of the cells have.

    Parameters
    ----------
    simple : ndarray of LineString, shape (n,)
        Smooth lines.
    cells : Arcs
        The middles of cells' edges that they were made from, with the same ends.
    """
    raw = cells.place
    step = np.flatnonzero(cells.of[1:] == cells.of[:-1])
    one, other = raw[step], raw[step + 1]
    # between the middles of two edges that turn, the cells' own edge runs through their common corner
    on_column = one.real == np.rint(one.real)
    # eq. rows are the imaginary part
    corner = np.where(on_column, one.real + 1j * other.imag, other.real + 1j * one.imag)
    turned = np.where((one.real != other.real) & (one.imag != other.imag), _cross(one, corner, other), 0)
    wanted = _left_of(cells) + np.bincount(cells.of[step], turned, len(simple))

    arcs = Arcs.from_lines(simple)
    place, of = arcs.place, arcs.of
    before, after = arcs.neighbours()
    held = before == after  # ends
    along = np.where(held, 0, place[after] - place[before])
    # eq. rows are the imaginary part
    sideways = -1j * along / np.maximum(np.abs(along), np.finfo(float).tiny)  # to the right
    moves = np.where(held, 0.0, 1.0)
    step = np.flatnonzero(of[1:] == of[:-1])
    share = np.abs(place[step + 1] - place[step]) * (moves[step] + moves[step + 1]) / 2
    length = np.bincount(of[step], share, len(simple))
    lacking = wanted - _left_of(arcs)
    reach = np.divide(lacking, length, out=np.zeros_like(length), where=length > 0)
    return Arcs(place + np.clip(reach, -_FARTHEST_CELLS, _FARTHEST_CELLS)[of] * sideways, of)


def _left_of(arcs: Arcs) -> Floats:
    """Signed area between each line and the straight line between its ends."""
    place, of, begins = arcs.place, arcs.of, arcs.begins
    step = np.flatnonzero(of[1:] == of[:-1])
    start = place[begins][of[step]]
    area = np.bincount(of[step], _cross(start, place[step], place[step + 1]), len(begins))
    return np.asarray(area, dtype=np.float64)


def _cross(start: Complex, one: Complex, other: Complex) -> Floats:
    # eq. signed area of a triangle
    return np.asarray((np.conj(one - start) * (other - start)).imag / 2)
