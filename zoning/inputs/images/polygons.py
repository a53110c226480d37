"""Polygons with a column of numbers, brought onto the field's grid by the area that they share with a cell.

Does not know what the number means.
"""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely
from affine import Affine
from rasterio.features import rasterize

from zoning.errors import SETTINGS, InputError
from zoning.inputs import vector
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.ground.boundary import mended
from zoning.inputs.images.raster import Warped

_FINE = 8  # squares along a cell: each belongs to the polygon that has its middle
_SQUARES = 1_000_000  # laid at once
_SHOWN = 40  # letters of a value that is no number
_HALF = 0.5 - 1e-9  # of a cell: less is not seen
_Kind = TypeVar("_Kind", bound=np.generic)
_Combine = Callable[[Sequence[Floats]], Sequence[Floats]]


def onto_grid(
    path: Path, column: tuple[str, str], named: tuple[str, str], grid: Grid, combine: _Combine
) -> Warped:
    """Read what polygons say about the cells of a grid.

    Parameters
    ----------
    path : Path
    column : (str, str)
        The column with the numbers, and the setting that names it, for a fault.
    named : (str, str)
        How the user calls the file, and the layer to take where a GeoPackage holds several.
    grid : Grid
    combine : callable
        Makes one or more numbers of that of each polygon, NaN where it has none, as of `raster.Wanted`.

    Returns
    -------
    Warped
        Averages by shared area, NaN where less than half a cell lies in polygons that have a number. Where
        polygons overlap the first in the file has the ground.

    Raises
    ------
    InputError
        For a column that is not there (code 2) or holds no numbers, shapes that are no polygons, a file of
        another place, and what `vector.read` refuses.
    """
    file, layer = named
    found = vector.read(path, file, layer=layer)
    vector.only_polygons(found, "Save it as polygons.")
    numbers = combine([_numbers(found, *column)])
    shapes = found.projected(grid.epsg)
    west, south, east, north = _bounds(grid)
    near = np.flatnonzero(shapely.intersects(shapely.box(west, south, east, north), shapely.envelope(shapes)))
    if not near.size:
        raise elsewhere(file)
    drawn = [(mended(shapes[at], file, found.features[at].number), int(at)) for at in near]
    stack = np.stack([np.append(one, np.nan) for one in numbers])  # the last is ground in no polygon
    sums = np.zeros((len(stack), *grid.shape))
    counts = np.zeros_like(sums)
    covered = np.zeros(grid.shape)
    for rows, owner in _laid(drawn, grid):
        values = stack[:, owner]
        sums[:, rows] = _by_cell(np.nan_to_num(values)).sum(axis=(2, 4))
        counts[:, rows] = _by_cell(np.isfinite(values)).mean(axis=(2, 4))
        covered[rows] = _by_cell(owner[None] >= 0).mean(axis=(2, 4))[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        means = np.where(counts >= _HALF, sums / (counts * _FINE**2), np.nan)
    return Warped(
        values=means[0], others=tuple(means[1:]), covered=covered >= _HALF, pixel_m=0.0, tagged=False
    )


def elsewhere(file: str) -> InputError:
    """Give the fault of polygons that are not of this field."""
    mend = "Check that it is of this field, and its CRS."
    return InputError("none of its polygons lies inside the field", where=file, mend=mend)


def _bounds(grid: Grid) -> tuple[float, float, float, float]:
    rows, columns = grid.shape
    east, south = grid.left_m + columns * grid.cell_m, grid.top_m - rows * grid.cell_m
    return grid.left_m, south, east, grid.top_m


def _laid(drawn: Sequence[tuple[object, int]], grid: Grid) -> Iterator[tuple[slice, npt.NDArray[np.int32]]]:
    """Give, for some rows of cells at a time, which polygon has each small square; -1 for none."""
    side_m, columns = grid.cell_m / _FINE, grid.shape[1] * _FINE
    at_once = max(1, _SQUARES // (columns * _FINE))
    for first in range(0, grid.shape[0], at_once):
        rows = slice(first, min(first + at_once, grid.shape[0]))
        owner = rasterize(
            drawn[::-1],  # the last that is laid has the ground
            out_shape=((rows.stop - first) * _FINE, columns),
            transform=Affine(side_m, 0, grid.left_m, 0, -side_m, grid.top_m - first * grid.cell_m),
            fill=-1,
            dtype="int32",
        )
        yield rows, owner


def _by_cell(squares: npt.NDArray[_Kind]) -> npt.NDArray[_Kind]:
    """Put the small squares of each cell together: numbers, rows, squares, columns, squares."""
    count, rows, columns = squares.shape
    return squares.reshape(count, rows // _FINE, _FINE, columns // _FINE, _FINE)


def _numbers(found: vector.Vector, wanted: str, where: str) -> Floats:
    """Give the number of each polygon, NaN where its cell is empty."""
    theirs = list(found.features[0].columns)
    of_numbers = [name for name in theirs if _is_number(found, name)]
    there = f"columns with numbers are {', '.join(of_numbers)}" if of_numbers else "no column holds numbers"
    mend = f"Name a column of {found.file} in column; {there}."
    if not wanted:
        raise InputError("column is missing, which polygons need", where=where, mend=mend, code=SETTINGS)
    column = vector.column(theirs, wanted)
    if column is None:
        raise InputError(f'there is no column "{wanted}"', where=where, mend=mend, code=SETTINGS)
    values = [one.columns[column] for one in found.features]
    if column not in of_numbers:
        full = [value for value in values if value is not None]
        what = (
            f'the column "{column}" holds {str(full[0])[:_SHOWN]!r}'
            if full
            else f'the column "{column}" is empty'
        )
        mend = f"A name or a class is no number: name another column; {there}."
        raise InputError(what, where=found.file, mend=mend)
    return np.array([np.nan if value is None else value for value in values], dtype=np.float64)


def _is_number(found: vector.Vector, column: str) -> bool:
    """Tell whether a column holds numbers, and nothing else but empty cells."""
    values = [one.columns[column] for one in found.features if one.columns[column] is not None]
    return bool(values) and all(isinstance(one, int | float) and not isinstance(one, bool) for one in values)
