"""The zones of a field: labels on the grid, outlines, and how good they are. Values only."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from shapely import MultiPolygon, Polygon

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zone:
    """One management zone.

    `number` starts at 1. `block` is an index into the blocks that were passed in. `outline` is in the grid's
    CRS; the outlines of all zones are a valid coverage of the field. `means` holds the mean of each layer.
    """

    number: int
    block: int
    outline: Polygon | MultiPolygon
    cells: int
    means: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockQuality:
    """How the number of zones in one block was found."""

    block: int
    tried: tuple[int, ...]  # numbers of clusters that were tried
    explained_frac: tuple[float, ...]  # variance explained on the held-out cells, for each
    chosen: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zoning:
    """All zones of a field.

    `number_of_cell` has the grid's shape: the zone's number, 0 outside the boundary.
    """

    number_of_cell: npt.NDArray[np.int16]
    zones: tuple[Zone, ...]
    quality: tuple[BlockQuality, ...]
