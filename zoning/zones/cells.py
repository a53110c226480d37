"""One block cut out of the grid: its cells, which of them teach, and their layers on one scale."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from zoning.zones.scaling import is_constant, robust
from zoning.zones.zoning import Bools, Floats, Ground, Window


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockCells:
    """The cells of one block, on the part of the grid that holds the block.

    Arrays have the window's shape, `values` one more axis for the layers (scaled, in the order of their
    names, NaN where nothing was seen). `mask` are the block's cells inside the boundary, `fit` those away
    from it, `teach` those of `fit` where every layer was seen; `say` is the share of the layers that were
    seen in a cell of `fit`, 0 elsewhere.
    """

    window: Window
    cell_m: float
    cell_ac: float
    mask: Bools
    fit: Bools
    teach: Bools
    say: Floats
    values: Floats

    @property
    def area_ac(self) -> float:
        """Plane area of the block's cells, in acres."""
        return float(self.mask.sum()) * self.cell_ac


def window_of(ground: Ground, block: int) -> Window:
    """Rows and columns that hold a block's outline and cells, with one cell to spare.

    The window may be cut off by the edge of the grid.
    """
    west, south, east, north = shapely.bounds(ground.block_outlines[block])
    grid = ground.grid
    found = np.nonzero(ground.block_of_cell == block)
    rows = np.append(found[0], ((grid.top_m - north) // grid.cell_m, (grid.top_m - south) // grid.cell_m))
    columns = np.append(found[1], ((west - grid.left_m) // grid.cell_m, (east - grid.left_m) // grid.cell_m))
    return _spared(rows, grid.shape[0]), _spared(columns, grid.shape[1])


def _spared(found: Floats, count: int) -> slice:
    return slice(max(int(found.min()) - 1, 0), min(int(found.max()) + 2, count))


def _usable(layer: Floats, mask: Bools, fit: Bools) -> bool:
    known = np.isfinite(layer) & fit
    # A layer that was seen on less than half of the block would leave too few complete cells.
    return bool(known.any()) and known.sum() >= 0.5 * fit.sum() and not is_constant(layer[known & mask])


def cells_of(layers: Mapping[str, Floats], ground: Ground, block: int) -> BlockCells:
    """Cut one block out and scale its layers from its own cells.

    Layers that have one value in the block, or were seen on less than half of it, are left out there.
    """
    window = window_of(ground, block)
    mask = (ground.inside & (ground.block_of_cell == block))[window]
    fit = mask & ground.fit[window]
    cut = [layers[name][window] for name in sorted(layers)]
    used = [layer for layer in cut if _usable(layer, mask, fit)]
    seen = np.array([np.isfinite(layer) for layer in used]).reshape(len(used), *mask.shape)
    scaled = [
        robust(layer.ravel(), (known & fit).ravel()).reshape(mask.shape)
        for layer, known in zip(used, seen, strict=True)
    ]
    empty = np.zeros((*mask.shape, 0))
    return BlockCells(
        window=window,
        cell_m=ground.grid.cell_m,
        cell_ac=ground.grid.cell_ac,
        mask=mask,
        fit=fit,
        teach=fit & seen.all(axis=0) if used else np.zeros_like(mask),
        say=np.where(fit, seen.mean(axis=0), 0.0) if used else np.zeros(mask.shape),
        values=np.stack(scaled, axis=-1) if used else empty,
    )
