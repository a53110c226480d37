"""Zones get their numbers, cells and means. Changes no outline."""

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from zoning.zones.lattice import middles_held
from zoning.zones.outline import Outline
from zoning.zones.zoning import BlockQuality, Floats, Ground, Ints, Limits, Zone, Zoning


def place_of_cell(outlines: Sequence[Outline], ground: Ground, burned: Ints | None = None) -> Ints:
    """Index of the outline that holds each cell's centre, within the cell's own block; -1 outside.

    `burned` is the same without regard to blocks, where it is known already. A centre that lies on an edge,
    so that no outline of its block holds it, goes to the nearest of its block.
    """
    block = np.array([outline.block for outline in outlines])
    of_block = np.where(ground.inside, ground.block_of_cell, -1)
    single = np.bincount(block, minlength=len(ground.block_outlines)) == 1
    first = np.searchsorted(block, np.arange(len(ground.block_outlines)))
    place = np.where(of_block >= 0, np.where(single, first, -1)[of_block], -1)
    if single.all():
        return place
    if burned is None:
        burned = middles_held(np.array([outline.area for outline in outlines], dtype=object), ground.grid)
    fits = (burned >= 0) & (block[burned] == of_block)
    place = np.where((place < 0) & fits, burned, place)
    for row, column in np.argwhere((of_block >= 0) & (place < 0)):
        place[row, column] = _nearest(outlines, int(of_block[row, column]), ground, (row, column))
    return place


def _nearest(outlines: Sequence[Outline], block: int, ground: Ground, cell: tuple[int, int]) -> int:
    from shapely import Point

    centre = Point(ground.grid.east_m()[cell[1]], ground.grid.north_m()[cell[0]])
    mine = [index for index, outline in enumerate(outlines) if outline.block == block]
    return min(mine, key=lambda index: (outlines[index].area.distance(centre), index))


def _means(layers: Mapping[str, Floats], place: Ints, cells: Ints) -> list[dict[str, float]]:
    means: list[dict[str, float]] = [{} for _ in cells]
    index = place.ravel() + 1  # that of -1, outside, is 0
    for name, layer in layers.items():
        values = layer.ravel()
        seen = np.isfinite(values)
        count = cells
        if not seen.all():
            values = np.where(seen, values, 0)
            count = np.bincount(index, seen, len(cells) + 1)[1:]
        sums = np.bincount(index, values, len(cells) + 1)[1:]
        for at in np.flatnonzero(count):
            means[at][name] = float(sums[at] / count[at])
    return means


def numbered(  # noqa: PLR0913  (what was found, and two ways of knowing it)
    outlines: Sequence[Outline],
    layers: Mapping[str, Floats],
    ground: Ground,
    limits: Limits,
    quality: Sequence[BlockQuality],
    *,
    as_they_come: bool = False,
    burned: Ints | None = None,
) -> Zoning:
    """Give zones their numbers: by block, and within a block from the highest mean to the lowest.

    The mean is that of `limits.number_by`, or else of the first layer. Zones without it come last; of
    equals, the one with the northernmost, then westernmost cell comes first. `as_they_come`: in the order of
    `outlines`, which stand by block. `burned`: see `place_of_cell`.
    """
    place = place_of_cell(outlines, ground, burned)
    flat = place.ravel()
    cells = np.bincount(flat + 1, minlength=len(outlines) + 1)[1:]
    means = _means(layers, place, cells)
    first = np.zeros(len(outlines) + 1, dtype=np.int64)  # its last entry is that of -1
    first[flat[::-1]] = np.arange(flat.size)[::-1]  # of several the last that is written stays
    by = limits.number_by or next(iter(layers), "")
    order = sorted(
        range(len(outlines)),
        key=lambda index: (
            outlines[index].block,
            0.0 if as_they_come else -means[index].get(by, -np.inf),
            0 if as_they_come else int(first[index]),
        ),
    )
    number_of_place = np.zeros(len(outlines) + 1, dtype=np.int16)  # its last entry, that of -1, stays 0
    for number, index in enumerate(order, start=1):
        number_of_place[index] = number
    zones = tuple(
        Zone(
            number=number,
            block=outlines[index].block,
            outline=outlines[index].area,
            cells=int(cells[index]),
            means=means[index],
        )
        for number, index in enumerate(order, start=1)
    )
    number_of_cell: npt.NDArray[np.int16] = number_of_place[place]
    return Zoning(number_of_cell=number_of_cell, zones=zones, quality=tuple(quality))
