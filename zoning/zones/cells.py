"""The blocks cut out of the grid: their cells, which of them teach, and their layers on one scale."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from zoning.zones.scaling import are_constant, medians, scaled, scales_of
from zoning.zones.smooth import spaced
from zoning.zones.zoning import Bools, Floats, Floats32, Ground, Ints, Window

_FOR_SPREAD, _FOR_MEDIAN = 1_000, 250  # method: of more cells, so many give a layer's spread and median


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockCells:
    """The cells of one block, on the part of the grid that holds the block.

    Arrays have the window's shape; `values` one more axis before it for the layers, in the order of their
    names: values on the field's scale, 0 where nothing was seen. `mask` are the block's cells inside
    the boundary, `fit` those away from it, `teach` those of `fit` where every layer was seen; `say` is the
    share of the layers that were seen in a cell of `fit`, 0 elsewhere. `seen` has one plane for each way in
    which layers have holes, and `hole` the plane of each layer. `area_ac` is that of the block's cells on
    the plane of the grid.
    """

    window: Window
    cell_m: float
    cell_ac: float
    area_ac: float
    mask: Bools
    fit: Bools
    teach: Bools
    say: Floats32
    values: Floats32
    seen: Bools
    hole: list[int]

    def of_layers(self, kept: Bools) -> "BlockCells":
        """Give the same cells with some of their layers; which of them teach, and their say, stay."""
        if kept.all():
            return self
        hole = [plane for plane, keep in zip(self.hole, kept, strict=True) if keep]
        return replace(self, values=self.values[kept], hole=hole)


def _windows(ground: Ground, blocks: Sequence[int]) -> list[Window]:
    """Give rows and columns that hold the outline and cells of each block, with one cell to spare.

    A window may be cut off by the edge of the grid.
    """
    grid = ground.grid
    outlines = np.array([ground.block_outlines[block] for block in blocks], dtype=object)
    west, south, east, north = shapely.bounds(np.atleast_1d(outlines)).T
    rows = np.floor((grid.top_m - np.array([north, south])) / grid.cell_m).astype(np.int64)
    columns = np.floor((np.array([west, east]) - grid.left_m) / grid.cell_m).astype(np.int64)
    found = []
    for at, block in enumerate(blocks):
        mine = ground.block_of_cell == block
        found.append((_spared(mine.any(axis=1), *rows[:, at]), _spared(mine.any(axis=0), *columns[:, at])))
    return found


def _spared(holds: Bools, begin: int, end: int) -> slice:
    found = holds.nonzero()[0]
    if len(found):
        begin, end = min(begin, int(found[0])), max(end, int(found[-1]))
    return slice(max(int(begin) - 1, 0), min(int(end) + 2, len(holds)))


def cells_of(layers: Mapping[str, Floats], ground: Ground, block: int) -> BlockCells:
    """Cut one block out; see `all_cells`."""
    return next(cells for at, cells in enumerate(all_cells(layers, ground)) if at == block)


def all_cells(layers: Mapping[str, Floats], ground: Ground) -> Iterator[BlockCells]:
    """Cut every block out and put its layers on the field's scale.

    A layer's unit is its interquartile range over the whole field, so a layer that hardly varies within one
    block weighs little there; its values are taken from the block's own median. Layers that have one value in
    the block, or were seen on less than half of it, are left out there.
    """
    blocks = range(len(ground.block_outlines))
    stack = np.array([layers[name] for name in sorted(layers)], dtype=np.float64)
    flat = stack.reshape(len(stack), ground.inside.size)
    block_of_cell = np.where(ground.inside, ground.block_of_cell, -1)
    teach = np.flatnonzero(ground.fit & (block_of_cell >= 0))
    scales = scales_of(flat[:, teach[spaced(len(teach), _FOR_SPREAD)]])
    middle, told = _of_blocks(flat, block_of_cell.ravel(), teach, len(blocks))
    values = scaled(flat, middle[:, block_of_cell.ravel()], scales).reshape(len(stack), *ground.inside.shape)
    seen = np.isfinite(values)
    values = np.where(seen, values, 0).astype(np.float32)
    for block, window in zip(blocks, _windows(ground, blocks), strict=True):
        mask = block_of_cell[window] == block
        fit = mask & ground.fit[window]
        seen_here = seen[:, window[0], window[1]] & mask
        known = [np.count_nonzero(plane) for plane in seen_here & fit]
        enough = 2 * np.array(known) >= max(int(np.count_nonzero(fit)), 1)
        used = told[:, block] & (scales.spread > 0) & enough
        values_here = values[:, window[0], window[1]] * seen_here
        if not used.all():
            values_here, seen_here = values_here[used], seen_here[used]
        yield _block_cells(ground, window, (mask, fit), values_here, seen_here)


def _of_blocks(flat: Floats, block: Ints, teach: Ints, blocks: int) -> tuple[Floats, Bools]:
    """Median of each layer in each block, and whether it has several values there; shape (layers, blocks)."""
    some = np.full((len(flat), blocks, _FOR_SPREAD), np.nan)
    taught_block = block[teach]
    for at in range(blocks):
        mine = teach[taught_block == at]
        mine = mine[spaced(len(mine), _FOR_SPREAD)]
        some[:, at, : len(mine)] = flat[:, mine]
    rows = some.reshape(len(flat) * blocks, _FOR_SPREAD)
    middle, told = medians(rows[:, :_FOR_MEDIAN]), ~are_constant(rows)
    return middle.reshape(len(flat), blocks), told.reshape(len(flat), blocks)


def _block_cells(
    ground: Ground, window: Window, parts: tuple[Bools, Bools], values: Floats32, seen: Bools
) -> BlockCells:
    mask, fit = parts
    holes: dict[bytes, int] = {}
    hole = [holes.setdefault(plane.tobytes(), len(holes)) for plane in seen]
    share = np.add.reduce(seen, axis=0, dtype=np.float32)
    share /= np.float32(max(len(seen), 1))  # so that all of them are exactly 1
    share *= fit
    return BlockCells(
        window=window,
        cell_m=ground.grid.cell_m,
        cell_ac=ground.grid.cell_ac,
        area_ac=int(np.count_nonzero(mask)) * ground.grid.cell_ac,
        mask=mask,
        fit=fit,
        teach=share == 1,
        say=share,
        values=values,
        seen=seen[[hole.index(at) for at in range(len(holes))]],
        hole=hole,
    )
