"""Which numbers of zones a block may have, and which cell belongs to which. Draws no outlines."""

import numpy as np

from zoning.evidence import number as evidence
from zoning.zones.cells import BlockCells
from zoning.zones.cluster import centres, nearest
from zoning.zones.held_out import Board, board_of, score, smoothed
from zoning.zones.tidy import voted, whole
from zoning.zones.zoning import BlockCandidates, BlockQuality, Division, Limits, Stopped


def least_patch_ac(limits: Limits) -> float:
    """Give the smallest patch on the plane of the grid that is large enough on the ground, in acres."""
    return limits.min_area_ac * evidence("zones.plane_area_most")


def least_zone_ac(limits: Limits, block_ac: float) -> float:
    """Give the smallest zone of a block, in acres: the smallest patch, or the least share of the block."""
    return max(least_patch_ac(limits), evidence("zones.least_share_frac") * block_ac)


def _cut(cells: BlockCells, number: int, limits: Limits, *, seed: int, block: int) -> Division:
    """Cluster the block's cells and tidy them; may end with fewer zones than clusters."""
    features = smoothed(cells, cells.fit)
    centre = centres(features[cells.teach], number, seed=seed, key=(block, number))
    labels = np.full(cells.mask.shape, -1)
    labels[cells.mask] = nearest(features[cells.mask], centre)
    return whole(
        cells,
        labels,
        voted(cells, labels, number),
        least_patch_ac=least_patch_ac(limits),
        least_zone_ac=least_zone_ac(limits, cells.area_ac),
    )


def _undivided(cells: BlockCells) -> Division:
    labels = np.where(cells.mask, 0, -1)
    return Division(zones=1, labels=labels, raw=np.where(cells.say > 0, labels, -1))


def _why_one(cells: BlockCells, limits: Limits) -> Stopped | None:
    if limits.max_zones_per_block < 2:
        return "most"
    if cells.area_ac < 2 * least_zone_ac(limits, cells.area_ac):
        return "small"
    return None if cells.values.shape[-1] else "no_layer"


def _search(cells: BlockCells, board: Board, limits: Limits, *, seed: int, block: int) -> BlockCandidates:
    divisions, chosen_frac = [_undivided(cells)], 0.0
    fracs: list[float] = [0.0]
    stopped: Stopped = "most"
    for number in range(2, limits.max_zones_per_block + 1):
        most = divisions[-1].zones
        frac, alive = score(board, number, seed=seed, block=block)
        fracs.append(frac)
        if alive <= most:
            stopped = "size"
            continue
        if frac - chosen_frac < evidence("zones.least_rise_frac"):
            stopped = "rise"
            break
        cut = _cut(cells, number, limits, seed=seed, block=block)
        stopped = "most" if cut.zones > most else "size"
        if stopped == "most":
            divisions.append(cut)
            chosen_frac = frac
    return BlockCandidates(
        block=block,
        window=cells.window,
        divisions=tuple(divisions),
        quality=BlockQuality(
            block=block,
            tried=tuple(range(1, len(fracs) + 1)),
            explained_frac=tuple(fracs),
            chosen=divisions[-1].zones,
            stopped=stopped,
        ),
    )


def candidates_of_block(cells: BlockCells, limits: Limits, *, seed: int, block: int) -> BlockCandidates:
    """Raise the number of zones from 1 while one more explains enough of the held-out cells.

    Parameters
    ----------
    cells : BlockCells
    limits : Limits
    seed : int
    block : int
        Index of the block.

    Returns
    -------
    BlockCandidates
        From one zone upwards; every number in it is supported, and a number may be left out.

    Notes
    -----
    A trial of which no more zones than before are large enough (a cluster has less than the least share of
    the block, or no patch of the smallest size) decides nothing: the next number is looked at.
    """
    why = _why_one(cells, limits)
    board = None if why else board_of(cells)
    if board is not None:
        return _search(cells, board, limits, seed=seed, block=block)
    return BlockCandidates(
        block=block,
        window=cells.window,
        divisions=(_undivided(cells),),
        quality=BlockQuality(
            block=block, tried=(1,), explained_frac=(0.0,), chosen=1, stopped=why or "few_cells"
        ),
    )
