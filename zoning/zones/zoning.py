"""The zones of a field: labels on the grid, outlines, and how good they are. Values only."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import Area as Area
from zoning.inputs.grid import Grid

Floats = npt.NDArray[np.float64]
Floats32 = npt.NDArray[np.float32]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]
Ints8 = npt.NDArray[np.int8]
Geometries = npt.NDArray[np.object_]
Window = tuple[slice, slice]
Stopped = Literal["no_layer", "small", "few_cells", "rise", "size", "most", "given"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """Where the cells lie, which of them teach, and the blocks that no zone may cross.

    `inside`, `fit` and `block_of_cell` have the grid's shape. `fit` is `inside` less a buffer along the
    boundary; `block_of_cell` is an index into `block_outlines`, -1 outside. `block_outlines` are in the
    grid's CRS and a valid coverage of the field: shared edges have the same vertices.
    """

    grid: Grid
    inside: Bools
    fit: Bools
    block_of_cell: npt.NDArray[np.int16]
    block_outlines: tuple[Area, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Footprint:
    """The smallest rectangle that a machine can treat by itself, and the direction in which it drives.

    `heading_deg` is clockwise from grid north.
    """

    across_m: float
    along_m: float
    heading_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How many zones a block may have, and how small a zone may be in acres.

    `number_by` is the layer by whose mean the zones of a block are numbered, highest first; empty for the
    first layer that is passed in. What is narrower than `footprint` is no part of a zone; None: no machine.
    """

    max_zones_per_block: int
    min_area_ac: float
    number_by: str = ""
    footprint: Footprint | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zone:
    """One management zone.

    `number` starts at 1. `name` is what the person who drew the zone calls it, empty where we drew it.
    `block` is an index into the blocks that were passed in. `outline` is in the grid's CRS; the outlines of
    all zones are a valid coverage of the field. `means` holds the mean of each layer; a layer that was
    nowhere seen in the zone is left out. `cells` is 0 in a block too thin to hold a centre. `kept` is the
    number of the zone that this one was, or was a part of, when a part of the field was sprayed; 0 for none.
    """

    number: int
    block: int
    outline: Area
    cells: int
    means: dict[str, float]
    name: str = ""
    kept: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockQuality:
    """How the number of zones in one block was found.

    `stopped` says why there are no more zones: "no_layer" nothing was seen there, "small" the block does not
    hold two zones of the smallest size, "few_cells" too few cells can teach, "rise" one more zone explains
    too little, "size" one more zone would be too small, "most" the most zones that are allowed, "given" that
    somebody drew them.
    """

    block: int
    tried: tuple[int, ...]  # numbers of clusters that were tried
    explained_frac: tuple[float, ...]  # variance explained on the held-out cells, for each
    chosen: int
    stopped: Stopped = "most"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Division:
    """One way to divide a block's cells among zones.

    `labels` has the window's shape: 0 to `zones` - 1, -1 outside the block. `raw` has the label that a cell's
    own values ask for, before its neighbours voted; -1 where nothing was seen, or where the cluster that they
    ask for became no zone. In a block that is one zone every seen cell asks for it.
    """

    zones: int
    labels: Ints
    raw: Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlockCandidates:
    """The divisions of one block that the layers support, from one zone upwards, one for each number."""

    block: int
    window: Window
    divisions: tuple[Division, ...]
    quality: BlockQuality


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zoning:
    """All zones of a field.

    `number_of_cell` has the grid's shape: the zone's number, 0 outside the boundary. `raw_of_cell` is the
    zone that the cell's own values ask for, 0 where none or where nothing was seen; `part_of_cell` numbers
    the parts that the layers tell apart at most, 0 outside: a zone may hold several. Both are None where
    somebody else drew the zones.
    """

    number_of_cell: npt.NDArray[np.int16]
    zones: tuple[Zone, ...]
    quality: tuple[BlockQuality, ...]
    raw_of_cell: npt.NDArray[np.int16] | None = None
    part_of_cell: npt.NDArray[np.int16] | None = None
