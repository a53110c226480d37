"""Numbers of pixels, of any CRS, turn and size, onto the cells of a grid.

Pixels smaller than a cell are averaged by the area that they share with it; between larger ones the number is
drawn. Works on one part of the image at a time, and reads no file.
"""

import math
from collections.abc import Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt
from affine import Affine
from rasterio.enums import Resampling
from rasterio.warp import reproject, transform
from rasterio.windows import Window

from zoning.inputs.grid import Floats, Grid

Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]
Pair = tuple[Floats, Bools]  # numbers, and where they count

_FINE = 8  # pixels along a cell that are enough for its average; finer ones are put together first
_DEGREE = 3  # of the polynomial from pixels to cells: what a projection bends within one field
_KNOTS = 7  # places along each side of the window at which that polynomial is exact or nearly so
_HALF = 0.5 - 1e-9  # of a cell: less is not seen
_STRAIGHT = 1e-6  # of a cell: so far may a row of pixels stray from a row of cells and yet be along it


def at(affine: Affine, column: float, row: float) -> tuple[float, float]:
    """Give the place of a column and row; written out, as the library's own operator differs by version."""
    return affine.a * column + affine.b * row + affine.c, affine.d * column + affine.e * row + affine.f


class Place:
    """Where the pixels of a window lie, in columns and rows of the grid.

    A polynomial through a few places that are transformed exactly: a projection bends so little within one
    field that millions of pixels need not go through it one by one.

    Attributes
    ----------
    along_x, along_y : (float, float)
        How many cells east, and how many south, the next column and the next row of pixels lie.
    """

    def __init__(self, affine: Affine, crs: object, window: Window, grid: Grid) -> None:
        self._middle = np.array([window.col_off + window.width / 2, window.row_off + window.height / 2])
        self._half = np.array([window.width / 2, window.height / 2])
        knots = np.linspace(-1, 1, _KNOTS)
        us, vs = (one.ravel() for one in np.meshgrid(knots, knots))
        places = [at(affine, *(self._middle + self._half * [u, v])) for u, v in zip(us, vs, strict=True)]
        east, north = transform(crs, grid.crs, *(list(one) for one in zip(*places, strict=True)))
        cells = np.column_stack(
            [(np.array(east) - grid.left_m) / grid.cell_m, (grid.top_m - np.array(north)) / grid.cell_m]
        )
        terms = np.einsum("ni,nj->nij", _powers(us), _powers(vs)).reshape(len(us), -1)
        found = np.linalg.lstsq(terms, cells, rcond=None)[0].T.reshape(2, _DEGREE + 1, _DEGREE + 1)
        self._by_column, self._by_row = found
        xs, ys = self.at(self._middle[1] + np.array([0.0, 1.0]), self._middle[0] + np.array([0.0, 1.0]))
        (x, right_x), (below_x, _) = xs
        (y, right_y), (below_y, _) = ys
        self.along_x = float(right_x - x), float(below_x - x)
        self.along_y = float(right_y - y), float(below_y - y)

    def at(self, rows: Floats, columns: Floats) -> tuple[Floats, Floats]:
        """Give the grid's column and row of each row and column of pixels, shape (rows, columns)."""
        us = _powers((columns - self._middle[0]) / self._half[0])
        vs = _powers((rows - self._middle[1]) / self._half[1])
        return vs @ self._by_column.T @ us.T, vs @ self._by_row.T @ us.T

    @property
    def pixel_cells(self) -> float:
        """Area of a pixel, in cells."""
        return abs(self.along_x[0] * self.along_y[1] - self.along_x[1] * self.along_y[0])

    @property
    def longest(self) -> float:
        """The longer side of a pixel along the grid, in cells."""
        return max(math.hypot(*self.along_x), math.hypot(*self.along_y))

    def borders(self) -> tuple[Ints, Ints] | None:
        """Give the rows and columns of pixels that hold a border of cells; None where the pixels lie askew.

        Each is followed by the next one: what lies between two of them is within one cell.
        """
        ends = np.array([-1.0, 0.0, 1.0])
        xs, ys = self.at(self._middle[1] + self._half[1] * ends, self._middle[0] + self._half[0] * ends)
        bent = xs[:, 1] * 2 - xs[:, 0] - xs[:, 2], ys[1] * 2 - ys[0] - ys[2]
        if max(np.ptp(xs, axis=0).max(), np.ptp(ys, axis=1).max(), np.abs(bent).max()) > _STRAIGHT:
            return None
        found = []
        for side, cells in ((1, ys[:, 0]), (0, xs[0])):
            low, high = sorted((float(cells[0]), float(cells[-1])))
            border = np.arange(np.ceil(low), np.floor(high) + 1)
            pixels_per_cell = 2 * self._half[side] / (cells[-1] - cells[0])
            at_pixel = np.floor(self._middle[side] + (border - cells[1]) * pixels_per_cell).astype(np.int64)
            found.append(np.unique(np.concatenate([at_pixel, at_pixel + 1])))
        return found[0], found[1]

    def touches(self, window: Window, grid: Grid) -> bool:
        """Say whether a part of the image may lie on the grid."""
        margin = 1 + 2 * self.longest
        rows = np.linspace(window.row_off, window.row_off + window.height, 3)
        xs, ys = self.at(rows, np.linspace(window.col_off, window.col_off + window.width, 3))
        across = bool(xs.max() > -margin and xs.min() < grid.shape[1] + margin)
        return across and bool(ys.max() > -margin and ys.min() < grid.shape[0] + margin)


def _powers(values: Floats) -> Floats:
    return np.power.outer(values, np.arange(_DEGREE + 1))


class Georeferenced(Protocol):
    """An image that says where it lies."""

    @property
    def transform(self) -> Affine: ...  # noqa: D102

    @property
    def crs(self) -> object: ...  # noqa: D102


class OntoCells(Protocol):
    """Gathers parts of an image, and gives what they say about the cells."""

    def add(self, part: Window, has_data: Bools, pairs: Sequence[Pair]) -> None:
        """Take in one part: where it has data, and numbers with where they count."""

    def found(self) -> tuple[Bools, list[Floats]]:
        """Give where half a cell has data, and each number, NaN where it was seen in less than half."""


class Averaged:
    """Averages by shared area, for pixels smaller than a cell.

    Pixels are summed over blocks first: where they lie along the cells, over all within one cell; elsewhere
    over a few, small against a cell. A block is then divided among up to four cells as if it lay along them,
    with its own extent each way.
    """

    def __init__(self, place: Place, window: Window, grid: Grid, numbers: int) -> None:
        self._place, self._grid = place, grid
        factor = max(1, int(1 / place.longest / _FINE))
        self._edges = place.borders() or (
            np.arange(window.row_off, window.row_off + window.height, factor),
            np.arange(window.col_off, window.col_off + window.width, factor),
        )
        self._sums = np.zeros((1 + 2 * numbers, *grid.shape))

    def add(self, part: Window, has_data: Bools, pairs: Sequence[Pair]) -> None:
        """Take in one part."""
        row_at, rows = _cut(part.row_off, part.height, self._edges[0])
        column_at, columns = _cut(part.col_off, part.width, self._edges[1])

        def summed(values: Floats) -> Floats:
            by_row = np.add.reduceat(values, row_at, axis=0) if len(rows) < part.height else values
            return np.asarray(np.add.reduceat(by_row, column_at, axis=1), dtype=np.float64)

        whole = np.outer(rows, columns).astype(np.float64)  # one for all, where all is seen, as is usual
        counts = [
            whole if seen.all() else summed(seen.astype(np.float64))
            for seen in (has_data, *(one for _, one in pairs))
        ]
        layers = counts[:1]
        for (numbers, seen), count in zip(pairs, counts[1:], strict=True):
            layers += [summed(np.where(seen, numbers, 0.0)), count]
        xs, ys = self._place.at(part.row_off + row_at + rows / 2, part.col_off + column_at + columns / 2)
        extents = np.meshgrid(columns, rows)
        across, along = (
            np.hypot(by_column * extents[0], by_row * extents[1])
            for by_column, by_row in (self._place.along_x, self._place.along_y)
        )
        self._share(layers, _divided(xs, across), _divided(ys, along))

    def _share(self, layers: list[Floats], across: tuple[Ints, Floats], along: tuple[Ints, Floats]) -> None:
        """Divide each block among the cells that it touches."""
        (column, beyond), (row, below) = across, along
        left, top = int(column.min()), int(row.min())
        shape = (int(row.max()) - top + 2, int(column.max()) - left + 2)
        on_grid = tuple(
            slice(max(0, first), max(0, min(most, first + count)))
            for first, count, most in zip((top, left), shape, self._grid.shape, strict=True)
        )
        if any(one.start >= one.stop for one in on_grid):
            return
        here = (row - top) * shape[1] + column - left
        within = tuple(slice(s.start - o, s.stop - o) for s, o in zip(on_grid, (top, left), strict=True))
        for down, of_row in ((0, 1 - below), (1, below)):
            for right, of_column in ((0, 1 - beyond), (1, beyond)):
                flat = (here + down * shape[1] + right).ravel()
                weight = of_row * of_column
                shared: dict[int, Floats] = {}
                for place, layer in enumerate(layers):
                    if id(layer) not in shared:
                        sums = np.bincount(flat, (layer * weight).ravel(), minlength=shape[0] * shape[1])
                        shared[id(layer)] = np.asarray(sums, dtype=np.float64).reshape(shape)[within]
                    self._sums[place][on_grid] += shared[id(layer)]

    def found(self) -> tuple[Bools, list[Floats]]:
        """Give where half a cell has data, and each average."""
        seen_frac = self._sums * self._place.pixel_cells
        with np.errstate(divide="ignore", invalid="ignore"):
            averages = [
                np.where(seen >= _HALF, sums / count, np.nan)
                for sums, count, seen in zip(self._sums[1::2], self._sums[2::2], seen_frac[2::2], strict=True)
            ]
        return seen_frac[0] >= _HALF, averages


def _cut(first: int, count: int, edges: Ints) -> tuple[Ints, Ints]:
    """Cut pixels at the edges among them: where each block begins, counted from the first, and its length.

    Examples
    --------
    >>> begins, lengths = _cut(10, 5, np.array([8, 10, 12, 20]))
    >>> begins.tolist(), lengths.tolist()
    ([0, 2], [2, 3])
    """
    begins = np.concatenate([[0], edges[(edges > first) & (edges < first + count)] - first])
    return begins, np.diff(np.append(begins, count))


def _divided(middle: Floats, side: Floats) -> tuple[Ints, Floats]:
    """Give the first cell that a side touches, and the share of the side that lies in the next one."""
    first = np.floor(middle - side / 2)
    return first.astype(np.int64), np.clip((middle + side / 2 - first - 1) / side, 0, 1)


class Drawn:
    """Numbers drawn between pixels that are larger than a cell, by their four neighbours.

    Number and weight are drawn together and divided afterwards, so that pixels without data neither count
    nor pull their neighbours towards some nodata code.
    """

    def __init__(self, image: Georeferenced, window: Window, grid: Grid, numbers: int) -> None:
        self._image, self._window, self._grid = image, window, grid
        self._layers = np.zeros((1 + 2 * numbers, window.height, window.width))

    def add(self, part: Window, has_data: Bools, pairs: Sequence[Pair]) -> None:
        """Take in one part."""
        top, left = part.row_off - self._window.row_off, part.col_off - self._window.col_off
        here = self._layers[:, top : top + part.height, left : left + part.width]
        here[0] = has_data
        for place, (numbers, seen) in enumerate(pairs):
            here[1 + 2 * place], here[2 + 2 * place] = np.where(seen, numbers, 0.0), seen

    def found(self) -> tuple[Bools, list[Floats]]:
        """Give where half a cell has data, and each number."""
        onto = np.zeros((len(self._layers), *self._grid.shape))
        here = self._image.transform
        east, north = at(here, self._window.col_off, self._window.row_off)
        reproject(
            self._layers,
            onto,
            src_transform=Affine(here.a, here.b, east, here.d, here.e, north),
            src_crs=self._image.crs,
            dst_transform=self._grid.transform,
            dst_crs=self._grid.crs,
            resampling=Resampling.bilinear,
            tolerance=0,
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            numbers = [
                np.where(seen >= _HALF, sums / seen, np.nan)
                for sums, seen in zip(onto[1::2], onto[2::2], strict=True)
            ]
        return onto[0] >= _HALF, numbers
