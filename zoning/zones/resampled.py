"""Would other ground of the same kind have given the same zones? One block, drawn anew from its own squares.

Decides nothing: the agreement is told to the user, and changes no zone.
"""

import numpy as np

from zoning.chance import generator
from zoning.evidence import number as evidence
from zoning.zones.cells import BlockCells
from zoning.zones.choose import least_patch_ac, least_zone_ac
from zoning.zones.cluster import centres, nearest
from zoning.zones.held_out import smoothed
from zoning.zones.tidy import voted, whole
from zoning.zones.zoning import Division, Floats, Ints, Limits

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


def _divided(cells: BlockCells, features: Floats, centre: Floats, limits: Limits) -> Division:
    """Divide the block by cluster centres, as for the plan: the nearest centre, a vote, whole zones."""
    labels = np.full(cells.mask.shape, -1)
    labels[cells.mask] = nearest(features[cells.mask], centre)
    return whole(
        cells,
        labels,
        voted(cells, labels, len(centre)),
        least_patch_ac=least_patch_ac(limits),
        least_zone_ac=least_zone_ac(limits, cells.area_ac),
    )


def _clusters_of(cells: BlockCells, features: Floats, zones: int, limits: Limits, *, seed: int) -> int:
    """Give the fewest clusters that become so many zones: some clusters are too small to become one."""
    for clusters in range(zones, limits.max_zones_per_block):
        centre = centres(features[cells.teach], clusters, seed=seed, key=("whole ground", clusters))
        if _divided(cells, features, centre, limits).zones >= zones:
            return clusters
    return max(zones, limits.max_zones_per_block)


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
    if not cells.teach.any():
        return ()
    from sklearn.metrics import adjusted_rand_score

    features = smoothed(cells, cells.fit)
    taught, square = features[cells.teach], squares_of(cells)
    plan = zone_of_cell[cells.mask]
    clusters = _clusters_of(cells, features, len(np.unique(plan)), limits, seed=seed)
    found = []
    for place in range(RESAMPLES):
        again = drawn_again(square, generator(seed, "zones", "resampled", block, place))
        key = ("resampled", block, place)
        centre = centres(taught[again], clusters, seed=seed, key=key)
        labels = _divided(cells, features, centre, limits).labels[cells.mask]
        found.append(float(adjusted_rand_score(plan, labels)))
    return tuple(found)
