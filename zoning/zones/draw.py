"""Labels of one block's cells become smooth lines between its zones. Knows no outline of the block.

A line runs through the middles between cells of different labels, so it is the same line for both of its
sides; where three or more labels meet is a node that stays in its place.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.grid import Grid
from zoning.zones.zoning import Floats, Ints, Window

Geometries = npt.NDArray[np.object_]
Complex = npt.NDArray[np.complex128]

_CARRIED_CELLS = 2  # method: labels are carried so far beyond the block, so that every edge meets its outline
_PAD_CELLS = 3  # method: room around each block, so that what is carried on from two blocks never meets
_ROUNDS = 4  # method: of smoothing, in each a corner moves half way to the middle of its neighbours
_CORNERS_BELOW_CELLS = (0.3, 0.45, 0.6, 0.8, 1.0)  # method: corners that stand out less are taken out
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
    sheet = _carried_on(sheet)
    arcs = _arcs(sheet)
    simple = _as_large(_simplified(_smoothed(arcs), arcs, sheet), arcs)
    block = block_of_row[_points_first(simple).imag.astype(int)]
    return tuple(
        _drawn(simple[block == index], sheet[top : top + height], (top, window), grid)
        for index, ((_, window), top, height) in enumerate(zip(divided, tops[:-1], heights, strict=True))
    )


def _drawn(lines: Geometries, labels: Ints, at: tuple[int, Window], grid: Grid) -> Drawn:
    """Bring the lines of one block from the sheet to its place."""
    top, window = at
    corner_m = (
        grid.left_m + (window[1].start - _PAD_CELLS) * grid.cell_m,
        grid.top_m - (window[0].start - _PAD_CELLS) * grid.cell_m,
    )
    side_m = np.array([grid.cell_m, -grid.cell_m])
    return Drawn(
        lines=shapely.transform(lines, lambda xy: corner_m + (xy - [0, top]) * side_m),
        labels=labels,
        window=window,
        corner_m=corner_m,
        cell_m=grid.cell_m,
    )


def _carried_on(labels: Ints) -> Ints:
    """Carry labels some cells beyond their block; the sheet has room for that around each block."""
    for _ in range(_CARRIED_CELLS):
        for axis, step in ((0, 1), (0, -1), (1, 1), (1, -1)):
            labels = np.where(labels < 0, np.roll(labels, step, axis), labels)
    return labels


def _arcs(labels: Ints) -> Geometries:
    """Join the middles between unlike cells to lines that end where three labels meet, or labels end.

    Coordinates are columns and rows, in cells from the outer corner of the first.
    """
    known = labels >= 0
    beside = (labels[:, 1:] != labels[:, :-1]) & known[:, 1:] & known[:, :-1]
    below = (labels[1:] != labels[:-1]) & known[1:] & known[:-1]
    # around each inner corner of the cells: is there an edge to its north, west, east and south?
    edges = np.stack([beside[:-1], below[:, :-1], below[:, 1:], beside[1:]])
    count = edges.sum(axis=0)
    row, column = np.nonzero(count)
    there, ends_here = edges[:, row, column], count[row, column] != 2
    corner = np.stack([column + 1.0, row + 1.0], axis=-1)
    half = np.array([[0, -0.5], [-0.5, 0], [0.5, 0], [0, 0.5]])
    middle = corner[:, None] + half  # shape (corners, 4, 2)
    # two edges: a line from middle to middle; one, or more: a line from each middle to the corner
    first = there.argmax(axis=0)
    last = len(half) - 1 - there[::-1].argmax(axis=0)
    plain = np.flatnonzero(~ends_here)
    through = np.stack([middle[plain, first[plain]], middle[plain, last[plain]]], axis=1)
    way, of = np.nonzero(there & ends_here)
    ends = np.stack([middle[of, way], corner[of]], axis=1)
    segments = shapely.linestrings(np.concatenate([through, ends]))
    merged = shapely.line_merge(shapely.multilinestrings(np.asarray(segments, dtype=np.object_)))
    return np.asarray(shapely.get_parts(merged), dtype=np.object_)


def _smoothed(arcs: Geometries) -> Geometries:
    """Round the stairs of lines; ends stay, a closed line has none."""
    place, of = _points(arcs)
    before, after = _neighbours(place, of)
    for _ in range(_ROUNDS):
        place = (place + (place[before] + place[after]) / 2) / 2
    return _lines(place, of)


def _sides(arcs: Geometries, labels: Ints) -> Ints:
    """Labels on the two sides of each line, shape (lines, 2)."""
    place, of = _points(arcs)
    second = place[np.searchsorted(of, np.arange(len(arcs))) + 1]  # the middle of an edge, never a corner
    on_column = second.real == np.rint(second.real)
    # eq. rows are the imaginary part
    side = np.where(on_column, 0.5, 0.5j)
    both = np.stack([second - side, second + side], axis=-1)
    return np.asarray(labels[both.imag.astype(int), both.real.astype(int)])


def _patches(sheet: Ints) -> Ints:
    """Tell patches of equal labels apart by number, from 0; -1 where there is no label."""
    # imported here: few sheets are so crowded that patches need telling apart
    from scipy import ndimage

    patch, count = np.full(sheet.shape, -1), 0
    for label in range(sheet.max() + 1):
        found, more = ndimage.label(sheet == label)
        patch[found > 0] = found[found > 0] - 1 + count
        count += more
    return patch


def _points_first(arcs: Geometries) -> Complex:
    place, of = _points(arcs)
    return np.asarray(place[np.searchsorted(of, np.arange(len(arcs)))])


def _simplified(arcs: Geometries, raw: Geometries, sheet: Ints) -> Geometries:
    """Take out corners that stand out little; more of them from lines around a patch that has too many."""
    simple = np.asarray(shapely.simplify(arcs, _CORNERS_BELOW_CELLS[0], preserve_topology=False))
    if shapely.get_num_coordinates(simple).sum() <= _MOST_CORNERS:
        return simple
    sides = _sides(raw, _patches(sheet))
    for below in _CORNERS_BELOW_CELLS[1:]:
        corners = np.repeat(shapely.get_num_coordinates(simple) + 2, 2)  # two more where it meets an outline
        crowded = (np.bincount(sides.ravel(), corners) > _MOST_CORNERS)[sides].any(axis=1)
        if not crowded.any():
            break
        simple[crowded] = shapely.simplify(arcs[crowded], below, preserve_topology=False)
    return simple


def _as_large(arcs: Geometries, cells: Geometries) -> Geometries:
    """Move lines sideways until they have as much ground on either side as the edges of the cells have.

    Parameters
    ----------
    arcs, cells : ndarray of LineString, shape (n,)
        Smooth lines, and the middles of cells' edges that they were made from, with the same ends.
    """
    raw, of_raw = _points(cells)
    step = np.flatnonzero(of_raw[1:] == of_raw[:-1])
    one, other = raw[step], raw[step + 1]
    # between the middles of two edges that turn, the cells' own edge runs through their common corner
    on_column = one.real == np.rint(one.real)
    # eq. rows are the imaginary part
    corner = np.where(on_column, one.real + 1j * other.imag, other.real + 1j * one.imag)
    turned = np.where((one.real != other.real) & (one.imag != other.imag), _cross(one, corner, other), 0)
    wanted = _left_of(raw, of_raw, len(cells)) + np.bincount(of_raw[step], turned, len(cells))

    place, of = _points(arcs)
    before, after = _neighbours(place, of)
    held = before == after  # ends
    along = np.where(held, 0, place[after] - place[before])
    # eq. rows are the imaginary part
    sideways = -1j * along / np.maximum(np.abs(along), np.finfo(float).tiny)  # to the right
    moves = np.where(held, 0.0, 1.0)
    step = np.flatnonzero(of[1:] == of[:-1])
    share = np.abs(place[step + 1] - place[step]) * (moves[step] + moves[step + 1]) / 2
    length = np.bincount(of[step], share, len(arcs))
    lacking = wanted - _left_of(place, of, len(arcs))
    reach = np.divide(lacking, length, out=np.zeros_like(length), where=length > 0)
    return _lines(place + np.clip(reach, -_FARTHEST_CELLS, _FARTHEST_CELLS)[of] * sideways, of)


def _left_of(place: Complex, of: Ints, count: int) -> Floats:
    """Signed area between each line and the straight line between its ends."""
    step = np.flatnonzero(of[1:] == of[:-1])
    start = place[np.searchsorted(of, np.arange(count))][of[step]]
    return np.asarray(
        np.bincount(of[step], _cross(start, place[step], place[step + 1]), count), dtype=np.float64
    )


def _cross(start: Complex, one: Complex, other: Complex) -> Floats:
    # eq. signed area of a triangle
    return np.asarray((np.conj(one - start) * (other - start)).imag / 2)


def _points(arcs: Geometries) -> tuple[Complex, Ints]:
    """Give the corners of lines as complex numbers, and the line of each."""
    xy, of = shapely.get_coordinates(arcs, return_index=True)
    return xy.view(np.complex128).ravel(), of


def _lines(place: Complex, of: Ints) -> Geometries:
    xy = place.view(np.float64).reshape(-1, 2)
    return np.asarray(shapely.linestrings(xy, indices=of), dtype=np.object_)


def _neighbours(place: Complex, of: Ints) -> tuple[Ints, Ints]:
    """Index of the corners before and after each; an end is its own neighbour, a closed line has none."""
    new = np.concatenate([[True], of[1:] != of[:-1]])
    begins = np.flatnonzero(new)
    ends = np.append(begins[1:], len(of)) - 1
    closed = place[begins] == place[ends]
    before, after = np.arange(len(place)) - 1, np.arange(len(place)) + 1
    before[begins[closed]], after[ends[closed]] = ends[closed] - 1, begins[closed] + 1
    held = np.concatenate([begins[~closed], ends[~closed]])
    before[held] = after[held] = held
    return before, after
