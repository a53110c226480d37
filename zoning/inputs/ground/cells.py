"""Which block each cell of a field's grid lies in, and which cells teach the clustering."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import rasterio.features
import shapely

from zoning.evidence import number
from zoning.inputs.given import Area
from zoning.inputs.grid import Grid
from zoning.settings.model import Settings

_FEWEST_FIT_FRAC = 0.1  # of a block's cells; with fewer, all of them teach


def block_of(outlines: Sequence[Area], grid: Grid) -> npt.NDArray[np.int16]:
    """Give every cell the block in which its centre lies, -1 outside all."""
    shapes = [(outline, place) for place, outline in enumerate(outlines)]
    return np.asarray(
        rasterio.features.rasterize(
            shapes, out_shape=grid.shape, fill=-1, transform=grid.transform, dtype="int16"
        )
    )


def fit_of(
    settings: Settings, whole: Area, grid: Grid, block_of_cell: npt.NDArray[np.int16]
) -> npt.NDArray[np.bool_]:
    """Mark the cells that teach the clustering: away from the boundary, where pixels and passes are mixed.

    A block that is narrow everywhere teaches with all its cells.
    """
    boom_m = settings.sprayers[0].boom_m if settings.sprayers else 0.0
    margin_m = max(number("inputs.edge_cells") * grid.cell_m, boom_m / 2)
    core = shapely.buffer(whole, -margin_m)
    inside = block_of_cell >= 0
    fit = inside & (block_of([core], grid) >= 0) if not core.is_empty else np.zeros_like(inside)
    for block in np.unique(block_of_cell[inside]):
        mine = block_of_cell == block
        if fit[mine].mean() < _FEWEST_FIT_FRAC:
            fit |= mine
    return fit
