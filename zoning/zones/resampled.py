"""Would other ground of the same kind have given the same zones? One block, drawn anew from its own squares.

Decides nothing: the agreement is told to the user, and changes no zone.
"""

import numpy as np

from zoning.chance import generator
from zoning.evidence import number as evidence
from zoning.zones.cells import BlockCells
from zoning.zones.choose import features_of
from zoning.zones.cluster import first, grown, one_thread, teachers
from zoning.zones.held_out import board_of
from zoning.zones.tidy import divided
from zoning.zones.zoning import Division, Ints, Limits

RESAMPLES = 10  # method: the ground is drawn anew so many times


def squares_of(cells: BlockCells) -> Ints:
    """Give each teaching cell, in their order, the square of the checkerboard that it lies in, 0 upwards."""
    side = round(evidence("zones.checkerboard_cells"))
    rows, columns = np.nonzero(cells.teach)
    rows, columns = (rows + cells.window[0].start) // side, (columns + cells.window[1].start) // side
    _, square = np.unique(rows * (columns.max(initial=0) + 1) + columns, return_inverse=True)
    return np.asarray(square.ravel(), dtype=np.int64)


def drawn_again(square: Ints, rng: np.random.Generator) -> Ints:
    """Draw as many squares as there are, with replacement: the places of their cells, square by square.

    Examples
    --------
    >>> places = drawn_again(np.array([0, 0, 1, 1]), np.random.default_rng(1))
    >>> sorted({tuple(pair) for pair in places.reshape(-1, 2).tolist()} - {(0, 1), (2, 3)})
    []
    """
    count = np.bincount(square)
    members = np.split(np.argsort(square, kind="stable"), np.cumsum(count)[:-1])
    return np.concatenate([members[place] for place in rng.integers(len(count), size=len(count))])


def agreements(
    cells: BlockCells, zone_of_cell: Ints, limits: Limits, *, seed: int, block: int
) -> tuple[float, ...]:
    """Compare zones made from resampled ground with those of the plan, over the cells of one block.

    Parameters
    ----------
    cells : BlockCells
    zone_of_cell : ndarray of int, shape of `cells.mask`
        The plan's zones, any numbers; several of them in the block.
    limits : Limits
    seed, block : int
        The chance of each block is its own.

    Returns
    -------
    tuple of float
        Adjusted Rand index of each resample: 1 for the same division, 0 for what chance would give. Empty
        where nothing could teach.

    Notes
    -----
    Whole squares of a checkerboard are drawn with replacement, because neighbouring cells say the same thing
    twice: drawing cells one by one would make every division look certain.

    References
    ----------
    .. [1] Hubert and Arabie 1985, "Comparing partitions", Journal of Classification 2:193-218.
    """
    board = board_of(cells)
    if board is None:
        return ()
    from sklearn.metrics import adjusted_rand_score

    plan = zone_of_cell[cells.mask]
    with one_thread():
        drawn = _divisions(board.cells, len(np.unique(plan)), limits, seed=seed, block=block)
    return tuple(float(adjusted_rand_score(plan, division.labels[cells.mask])) for division in drawn)


def _divisions(
    cells: BlockCells, zones: int, limits: Limits, *, seed: int, block: int
) -> tuple[Division, ...]:
    """Divide the block by clusters that grow in each resample, and make zones of them as for the plan.

    There are as few clusters as become so many zones on the whole ground: some are too small to become one.
    """
    features = features_of(cells)
    values = features.values[:-1].reshape(len(cells.values), -1)
    taught, square = np.flatnonzero(cells.teach), squares_of(cells)
    again = [
        taught[drawn_again(square, generator(seed, "zones", "resampled", block, place))]
        for place in range(RESAMPLES)
    ]
    sets = teachers([(values, places) for places in (taught, *again)])
    centres = first(sets)
    for number in range(2, max(zones, limits.max_zones_per_block) + 1):
        centres = grown(sets, centres)
        if number < zones:
            continue
        if divided(cells, features, sets.of([0]), centres[0], limits).zones >= zones:
            break
    return tuple(
        divided(cells, features, sets.of([place]), centres[place], limits)
        for place in range(1, RESAMPLES + 1)
    )
