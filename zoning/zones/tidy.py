"""Labels of cells become whole zones: neighbours vote, and patches that are too small join others."""

from functools import cache

import numpy as np

from zoning.evidence import numbers
from zoning.zones.cells import BlockCells
from zoning.zones.cluster import Teachers, nearness, settled
from zoning.zones.held_out import Features
from zoning.zones.merge import Patches, least_patch_ac, least_zone_ac, settle
from zoning.zones.opened import opened
from zoning.zones.patches import patches
from zoning.zones.smooth import NO_SAY, highest, nearest_label, sd_of_window, spread
from zoning.zones.zoning import Bools, Division, Floats, Floats32, Ints, Ints8, Limits


def divided(
    cells: BlockCells,
    features: Features,
    taught: Teachers,
    centre: Floats32,
    limits: Limits,
) -> Division:
    """Give each cell of a block to the cluster that it is nearest to, and make whole zones of them.

    Parameters
    ----------
    cells : BlockCells
    features : Features
    taught : Teachers
        One set, some of `features`.
    centre : ndarray of float32, shape (number, layers)
        Settled.
    limits : Limits

    Returns
    -------
    Division
        Where a cluster becomes no zone, those that are left settle anew: there are fewer zones than centres.
    """
    values = features.values.reshape(len(features.values), -1)
    known = None if features.known is None else features.known.reshape(len(values) - 1, -1)
    while True:
        near = nearness(values, known, centre).reshape(-1, *cells.mask.shape)
        raw = highest(near)
        labels = opened(voted(cells, raw, len(centre)), len(centre), limits.footprint, cells.cell_m)
        kept, labels = whole(cells, labels, limits, near)
        if len(kept) in (1, len(centre)):
            break
        centre = settled(taught, centre[None, kept])[0]
    zone = np.full(len(centre) + 1, -1)  # its last entry, that of -1, stays -1
    zone[kept] = np.arange(len(kept))
    return Division(zones=len(kept), labels=zone[labels], raw=np.where(cells.say > 0, zone[raw], -1))


def voted(cells: BlockCells, labels: Ints8, number: int) -> Ints8:
    """Let the neighbours of each cell vote on its label, each by the share of its layers that was seen.

    Cells near the boundary have no say and take what their neighbours say; so do holes.

    Parameters
    ----------
    cells : BlockCells
    labels : ndarray of int8, shape (rows, columns)
    number : int
        How many labels there are.

    Returns
    -------
    ndarray of int8, shape (rows, columns)
        -1 outside the block.
    """
    say = (labels == _each(number)) * cells.say
    around = spread(say, sd_of_window(_vote_window_m(), cells.cell_m))
    winner = highest(around)
    winner[~cells.mask] = -1
    unheard = cells.mask & (around.max(axis=0) <= NO_SAY)
    if not unheard.any():
        return winner
    return nearest_label(np.where(unheard, np.int8(-1), winner), cells.mask)


@cache
def _vote_window_m() -> float:
    return float(numbers("zones.filter_window_m").min())


def whole(cells: BlockCells, labels: Ints8, limits: Limits, near: Floats32) -> tuple[Ints, Ints8]:
    """Join patches and zones that are too small to others of the block.

    Parameters
    ----------
    cells : BlockCells
    labels : ndarray of int8, shape (rows, columns)
        -1 outside the block.
    limits : Limits
    near : ndarray of float32, shape (number, rows, columns)
        How near each cell is to the centre of each label.

    Returns
    -------
    kept : ndarray of int
        The labels that are left.
    labels : ndarray of int8, shape (rows, columns)
    """
    patch, label_of = patches(labels, len(near))
    count = len(label_of)
    # A patch in which nothing was seen is no zone, whatever its size.
    seen = np.bincount((patch * (cells.say > 0)).ravel(), minlength=count + 1)[1:] > 0
    area_ac: Floats = np.bincount(patch.ravel(), minlength=count + 1)[1:] * seen * np.float64(cells.cell_ac)
    least_ac, least_of_zone_ac = least_patch_ac(limits), least_zone_ac(limits, cells.area_ac)
    small = area_ac < least_ac
    # A zone may have to give up all that is not surely its own.
    small |= (np.bincount(label_of, area_ac * ~small, len(near)) < least_of_zone_ac)[label_of]
    if not small.any():
        return np.unique(label_of), labels
    pairs, border_m = _borders(patch, count, cells.cell_m)
    found = Patches(
        label=label_of,
        area_ac=area_ac,
        pairs=pairs,
        border_m=border_m,
        cost=_cost(patch, small, near, cells),
    )
    settled_label = settle(found, least_patch_ac=least_ac, least_zone_ac=least_of_zone_ac)
    return np.unique(settled_label), np.append(-1, settled_label).astype(np.int8)[patch]


def _borders(patch: Ints, count: int, cell_m: float) -> tuple[Ints, Floats]:
    """Find which patches (from 1) have common sides, and how long these are in metres."""
    side = count + 1
    sides = np.zeros(side * side, dtype=np.int64)
    for left, right in ((patch[:, :-1], patch[:, 1:]), (patch[:-1], patch[1:])):
        edge = np.nonzero(left != right)
        sides += np.bincount(left[edge] * side + right[edge], minlength=side * side)
    met = sides.reshape(side, side)
    one, other = (met + met.T).nonzero()
    inner = (one > 0) & (one < other)
    one, other = one[inner], other[inner]
    border_m: Floats = (met + met.T)[one, other] * np.float64(cell_m)
    return np.stack([one, other], axis=1) - 1, border_m


def _cost(patch: Ints, small: Bools, near: Floats32, cells: BlockCells) -> Floats:
    """Squares that are left in each small patch under each label; 0 for patches that stay where they are."""
    where = np.append(False, small)[patch] & (cells.say > 0)
    of, count = patch[where], len(small) + 1
    return np.stack([np.bincount(of, -plane[where], count)[1:].astype(np.float64) for plane in near], axis=1)


def _each(number: int) -> Ints8:
    return np.arange(number, dtype=np.int8)[:, None, None]
