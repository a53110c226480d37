"""Labels of one block's cells become polygons with smooth common edges. Knows no outline of the block."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from scipy import ndimage
from shapely.geometry import shape

from zoning.inputs.grid import Grid
from zoning.zones.smooth import nearest_label
from zoning.zones.zoning import Ints, Window

Geometries = npt.NDArray[np.object_]

_PAD_CELLS = 2  # method: labels are carried so far beyond the block, so that every edge meets its outline
_FINE = 3  # method: edges are drawn on so many sub-cells a side; odd, so that none runs through a centre
_FINE_ENOUGH_M = 5.0  # method: smaller cells are not divided
_ROUND_CELLS = 1.0  # method: SD of the Gaussian that rounds the stairs of cells
_TOLERANCE_CELLS = 1.0  # method: corners below a triangle of this side squared are taken out
_FOUR_SIDES = 4  # method: cells that meet at a corner only do not belong together


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """One block as drawn: pieces of its zones, not yet cut at its outline, in the grid's CRS."""

    pieces: Geometries
    label: Ints


def _fine_labels(labels: Ints, fine: int) -> npt.NDArray[np.uint8]:
    padded = nearest_label(np.pad(labels, _PAD_CELLS, constant_values=-1))
    one_hot = [
        (padded == label).repeat(fine, axis=0).repeat(fine, axis=1) for label in range(labels.max() + 1)
    ]
    say = [ndimage.gaussian_filter(part.astype(np.float32), _ROUND_CELLS * fine) for part in one_hot]
    return np.asarray(np.argmax(say, axis=0), dtype=np.uint8)


def draw(labels: Ints, window: Window, grid: Grid) -> Drawn:
    """Draw the zones of one block, beyond its outline, with smooth common edges.

    Parameters
    ----------
    labels : ndarray of int, shape (rows, columns)
        0 upwards without a gap; -1 outside the block.
    window : (slice, slice)
        Where `labels` lies in the grid.
    grid : Grid
    """
    # Imported here: a field whose blocks are all whole draws nothing.
    from rasterio.features import shapes

    fine = _FINE if grid.cell_m > _FINE_ENOUGH_M else 1
    found = list(shapes(_fine_labels(labels, fine), connectivity=_FOUR_SIDES))
    label = np.array([int(value) for _, value in found])
    # The polygons of a raster lack the nodes at which three meet; cleaning puts them in.
    clean = shapely.coverage_clean([shape(geometry) for geometry, _ in found])  # type: ignore[attr-defined]
    smooth = shapely.coverage_simplify(clean, _TOLERANCE_CELLS * fine, simplify_boundary=False)
    columns_rows = np.array([window[1].start, window[0].start]) - _PAD_CELLS
    corner_m = np.array([grid.left_m, grid.top_m]) + columns_rows * [grid.cell_m, -grid.cell_m]
    side_m = np.array([grid.cell_m, -grid.cell_m]) / fine
    return Drawn(pieces=shapely.transform(smooth, lambda xy: corner_m + xy * side_m), label=label)
