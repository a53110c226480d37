"""Ground in narrow strips of several owners becomes one part; a slip of ground joins what is around it.

Works on labelled cells only: whose day or variety a label stands for is the caller's business.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import rasterio.features

from zoning.evidence import number

Labels = npt.NDArray[np.int32]
Bools = npt.NDArray[np.bool_]
_TOUCHING = np.ones((3, 3))  # cells that share a corner belong together: a slanting strip is one strip


@dataclass(frozen=True, slots=True, kw_only=True)
class Strips:
    """Owners whose ground lies in strips between one another, and how wide the strips are."""

    owners: tuple[int, ...]
    width_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Settled:
    """Whose the ground is.

    `labels` below `owners` are the owners that were given; a label of `owners + i` is the ground of
    `strips[i]`. `slips` marks the cells of slips of ground, of a size worth saying, that went to the ground
    around them.
    """

    labels: Labels
    owners: int
    strips: tuple[Strips, ...]
    slips: Bools

    def mixed(self, label: int) -> Strips | None:
        """Give the strips that a label stands for; None for an owner by itself."""
        return self.strips[label - self.owners] if label >= self.owners else None

    def of(self, label: int) -> tuple[int, ...]:
        """List the owners that a label stands for."""
        strips = self.mixed(label)
        return strips.owners if strips else (label,)


@dataclass(frozen=True, slots=True)
class Measure:
    """Side of a cell, width of the boom, and the cells of the smallest patch."""

    cell_m: float
    boom_m: float
    speck_cells: int


def settled(labels: Labels, inside: Bools, measure: Measure) -> Settled:
    """Settle whose the ground is where owners lie in strips or specks.

    Parameters
    ----------
    labels : ndarray of int32, shape (rows, columns)
        Owner of each cell, 0, 1, 2, ...
    inside : ndarray of bool, same shape
        The ground to be settled; labels elsewhere do not count and are kept.
    measure : Measure

    Returns
    -------
    Settled
        Ground no wider than a boom, of at least two owners in at least three strips, is one part. Of what is
        left, slips narrower than half a boom and patches smaller than a speck have joined their neighbour.

    Notes
    -----
    A cell is on wide ground if a disc as wide as the boom fits around it on ground of its owner (an opening).

    Examples
    --------
    >>> column = np.arange(120) // 2 % 2  # strips of two cells, 10 m
    >>> column[:40], column[100:] = 0, 1  # beside wide ground of each owner
    >>> labels = np.tile(column.astype(np.int32), (60, 1))
    >>> found = settled(labels, np.ones(labels.shape, dtype=bool), Measure(5.0, 27.0, 40))
    >>> [(one.owners, round(one.width_m)) for one in found.strips]
    [((0, 1), 10)]
    >>> found.labels[30, [5, 50, 90, 110]].tolist()
    [0, 2, 2, 1]
    """
    owners = int(labels.max()) + 1
    part, strips = _in_strips(labels, inside, measure)
    mixed = np.where(part >= 0, owners + part, labels).astype(np.int32)
    whole, slips = _without_slips(mixed, inside, owners, measure)
    sieved = rasterio.features.sieve(whole, size=measure.speck_cells, mask=inside, connectivity=4)
    return Settled(
        labels=np.where(inside, sieved, labels).astype(np.int32), owners=owners, strips=strips, slips=slips
    )


def _in_strips(labels: Labels, inside: Bools, measure: Measure) -> tuple[Labels, tuple[Strips, ...]]:
    """Tell apart the ground in narrow strips by the owners that share it, -1 elsewhere."""
    from scipy import ndimage  # late: only as-planted records need it

    part = np.full(labels.shape, -1, dtype=np.int32)
    narrow, to_edge_m = np.zeros(labels.shape, dtype=bool), np.zeros(labels.shape)
    for owner in np.unique(labels[inside]):
        mine = inside & (labels == owner)
        wide, distance_m = _opened(mine, measure.cell_m, measure.boom_m)
        narrow |= mine & ~wide
        to_edge_m[mine] = distance_m[mine]
    # what is narrow as a whole, as the frayed edge where passes ended, is no part of its own
    places, count = ndimage.label(_opened(narrow, measure.cell_m, measure.boom_m)[0], structure=_TOUCHING)
    found: dict[tuple[int, ...], int] = {}
    for place in range(1, count + 1):
        here = places == place
        sharing = _sharing(labels, here, measure)
        if len(sharing) > 1:
            part[here] = found.setdefault(sharing, len(found))
    # eq. over a long strip the distance to its edge is a quarter of its width in the mean
    widths = [4 * float(to_edge_m[part == place].mean()) for place in found.values()]
    return part, tuple(
        Strips(owners=owners, width_m=width) for owners, width in zip(found, widths, strict=True)
    )


def _sharing(labels: Labels, here: Bools, measure: Measure) -> tuple[int, ...]:
    """List the owners of a place that alternate: each with a fair share, in strips longer than a boom.

    Where most of the ground is of owners with less, all of them share it.
    """
    from scipy import ndimage

    held = np.bincount(labels[here])
    fair = np.flatnonzero(held >= number("inputs.strip_fair_frac") * held.sum())
    if 2 * held[fair].sum() < held.sum():  # so many share it that none has much, as in a trial of varieties
        fair = np.flatnonzero(held)
    strips = 0
    for owner in fair:
        parts, _ = ndimage.label(here & (labels == owner), structure=_TOUCHING)
        for rows, columns in ndimage.find_objects(parts):
            extent = np.hypot(rows.stop - rows.start, columns.stop - columns.start)
            strips += bool(extent * measure.cell_m >= measure.boom_m)
    if len(fair) < 2 or strips < number("inputs.strips_fewest"):
        return ()
    return tuple(int(owner) for owner in fair)


def _without_slips(labels: Labels, inside: Bools, owners: int, measure: Measure) -> tuple[Labels, Bools]:
    """Give slips, narrow by themselves inside other ground, to the nearest ground; and mark the larger ones.

    Beyond the edge nothing is narrow: what is narrow only because the field ends there stays.
    """
    from scipy import ndimage

    narrowest_m = measure.boom_m * number("inputs.slip_boom_frac")
    slip, told = np.zeros(labels.shape, dtype=bool), np.zeros(labels.shape, dtype=bool)
    rim = int(np.ceil(narrowest_m / measure.cell_m)) + 1
    inner = (slice(rim, -rim), slice(rim, -rim))
    for label in np.unique(labels[inside]):
        if label >= owners:
            continue
        mine = inside & (labels == label)
        wide, _ = _opened(np.pad(mine | ~inside, rim, mode="edge"), measure.cell_m, narrowest_m)
        parts, count = ndimage.label(mine, structure=_TOUCHING)
        cells = np.bincount(parts.ravel(), minlength=count + 1)
        on_wide = np.bincount(parts.ravel(), wide[inner].ravel(), minlength=count + 1)
        is_slip = 2 * on_wide < cells  # its ends may touch wide ground
        is_slip[0] = False
        slip |= is_slip[parts]
        told |= (is_slip & (cells >= measure.speck_cells))[parts]
    if not slip.any() or not (inside & ~slip).any():
        return labels, np.zeros_like(slip)
    nearest = ndimage.distance_transform_edt(slip | ~inside, return_distances=False, return_indices=True)
    joined = labels.copy()
    joined[slip] = labels[tuple(nearest)][slip]
    return joined, told


def _opened(mine: Bools, cell_m: float, width_m: float) -> tuple[Bools, npt.NDArray[np.float64]]:
    """Find where a disc of a width fits; and each cell's distance to the edge of its ground, in metres.

    Every cell is cut in four, so that the middle of a strip is a corner of cells whatever its width.
    """
    from scipy import ndimage

    fine_m = cell_m / 2
    fine = np.pad(mine.repeat(2, axis=0).repeat(2, axis=1), 1)
    distance = ndimage.distance_transform_edt(fine)
    core = distance * fine_m >= width_m / 2
    away_m = ndimage.distance_transform_edt(~core) * fine_m if core.any() else np.full(core.shape, np.inf)
    reached = away_m < width_m / 2
    wide, to_edge = reached[1:-1, 1:-1], (distance[1:-1, 1:-1] - 0.5) * fine_m
    corners = [(row, column) for row in (0, 1) for column in (0, 1)]
    fits = np.logical_or.reduce([wide[row::2, column::2] for row, column in corners])
    return fits & mine, np.mean([to_edge[row::2, column::2] for row, column in corners], axis=0)
