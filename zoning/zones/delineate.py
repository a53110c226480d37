"""Layers to zones: the whole step on one screen. Opens no file, knows neither dates nor money."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.zones.cells import all_cells
from zoning.zones.choose import candidates_of
from zoning.zones.draw import Drawn, draw
from zoning.zones.number import numbered
from zoning.zones.outline import outlined
from zoning.zones.zoning import BlockCandidates, BlockQuality, Division, Floats, Ground, Limits, Zoning


def delineate(layers: Mapping[str, Floats], ground: Ground, limits: Limits, *, seed: int) -> Zoning:
    """Divide each block of a field into zones that are alike in their layers.

    Parameters
    ----------
    layers : mapping of str to ndarray of float, shape (rows, columns)
        On `ground.grid`; NaN where nothing was seen. Without layers each block is one zone.
    ground : Ground
    limits : Limits
    seed : int
        The same seed gives the same zones, whatever the number of threads.

    Returns
    -------
    Zoning
        Outlines are a valid coverage of the blocks' outlines. Zones are numbered by block, and within a
        block from the highest mean of the first layer (or of `limits.number_by`) to the lowest.

    Raises
    ------
    ValueError
        If a layer does not have the grid's shape, or `limits.number_by` is none of the layers.

    Notes
    -----
    k-means on robustly scaled layers inside each block; the number of zones is raised from 1 while the
    variance explained on held-out squares of a checkerboard rises enough. Labels are voted on within the
    block, and patches below the smallest size join the neighbour with the longest common border. Windows of
    30-60 m remove fragmentation and keep class means [1]_.

    References
    ----------
    .. [1] Ping and Dobermann 2003, "Creating spatially contiguous yield classes for site-specific
       management", Agronomy Journal 95:1121-1131.

    Examples
    --------
    >>> import numpy as np
    >>> from shapely import box
    >>> from zoning.inputs.grid import Grid
    >>> grid = Grid.covering((0, 0, 400, 400), 32615, 10.0)
    >>> all_cells = np.ones(grid.shape, dtype=bool)
    >>> block = np.zeros(grid.shape, dtype=np.int16)
    >>> ground = Ground(
    ...     grid=grid,
    ...     inside=all_cells,
    ...     fit=all_cells,
    ...     block_of_cell=block,
    ...     block_outlines=(box(0, 0, 400, 400),),
    ... )
    >>> canopy = np.where(grid.east_m() < 150, 0.3, 0.6) + np.zeros(grid.shape)
    >>> limits = Limits(max_zones_per_block=3, min_area_ac=1.0)
    >>> zones = delineate({"canopy": canopy}, ground, limits, seed=1).zones
    >>> [round(zone.means["canopy"], 2) for zone in zones]
    [0.6, 0.3]
    """
    return drawn(candidates(layers, ground, limits, seed=seed), layers, ground, limits)


def candidates(
    layers: Mapping[str, Floats], ground: Ground, limits: Limits, *, seed: int
) -> tuple[BlockCandidates, ...]:
    """Divide each block in every number of zones that its layers support; see `delineate`.

    Returns
    -------
    tuple of BlockCandidates
        One for each block; their last division is what the layers support at most.
    """
    for name, layer in layers.items():
        if layer.shape != ground.grid.shape:
            raise ValueError(f"layer {name} has shape {layer.shape}, the grid {ground.grid.shape}")
    if layers and limits.number_by and limits.number_by not in layers:
        raise ValueError(f"zones are to be numbered by {limits.number_by}, which is none of the layers")
    return candidates_of(all_cells(layers, ground), limits)


def drawn(
    of_blocks: Sequence[BlockCandidates],
    layers: Mapping[str, Floats],
    ground: Ground,
    limits: Limits,
    chosen: Sequence[int] | None = None,
) -> Zoning:
    """Draw one division of each block.

    Parameters
    ----------
    of_blocks : sequence of BlockCandidates
    layers, ground, limits
        Those that the candidates were made from.
    chosen : sequence of int, optional
        Place of the chosen division among those of its block; the last, where it is not given.
    """
    places = chosen if chosen is not None else [-1] * len(of_blocks)
    divided = [one.divisions[place] for one, place in zip(of_blocks, places, strict=True)]
    lines: list[Drawn | None] = [None] * len(divided)
    several = [place for place, division in enumerate(divided) if division.zones > 1]
    on_sheet = draw([(divided[at].labels, of_blocks[at].window) for at in several], ground.grid)
    for place, of_block in zip(several, on_sheet, strict=True):
        lines[place] = of_block
    outlines, burned = outlined(lines, ground, limits)
    quality = [
        _as_drawn(one.quality, division.zones, sum(outline.block == one.block for outline in outlines))
        for one, division in zip(of_blocks, divided, strict=True)
    ]
    zoning = numbered(outlines, layers, ground, limits, quality, burned=burned)
    return replace(
        zoning,
        raw_of_cell=_raw_of_cell(of_blocks, divided, zoning),
        part_of_cell=_part_of_cell(of_blocks, ground),
    )


def _as_drawn(quality: BlockQuality, wanted: int, count: int) -> BlockQuality:
    # A zone of just the smallest size by its cells may come out smaller by its outline, and is then no zone.
    return replace(quality, chosen=count, stopped=quality.stopped if wanted == count else "size")


def _part_of_cell(of_blocks: Sequence[BlockCandidates], ground: Ground) -> npt.NDArray[np.int16]:
    """Give every part of the last division of each block a number of its own."""
    part = np.zeros(ground.grid.shape, dtype=np.int16)
    count = 0
    for one in of_blocks:
        labels = one.divisions[-1].labels
        part[one.window][labels >= 0] = labels[labels >= 0] + count + 1
        count += one.divisions[-1].zones
    return part


def _raw_of_cell(
    of_blocks: Sequence[BlockCandidates], divided: Sequence[Division], zoning: Zoning
) -> npt.NDArray[np.int16]:
    """Give each cell the zone that its own values ask for: the one that holds most cells of its label."""
    raw = np.zeros_like(zoning.number_of_cell)
    for one, division in zip(of_blocks, divided, strict=True):
        number = zoning.number_of_cell[one.window]
        for label in range(division.zones):
            held = np.bincount(number[division.labels == label], minlength=1)
            raw[one.window][division.raw == label] = held.argmax()
    return raw
