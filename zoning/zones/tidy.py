"""Labels of cells become whole zones: neighbours vote, and patches that are too small join others."""

import numpy as np
from scipy import ndimage

from zoning.evidence import numbers
from zoning.zones.cells import BlockCells
from zoning.zones.merge import Patches, borders, settle
from zoning.zones.smooth import nearest_label, sd_of_window, votes
from zoning.zones.zoning import Division, Floats, Ints


def voted(cells: BlockCells, labels: Ints, number: int) -> Ints:
    """Let the neighbours of each cell vote on its label, each by the share of its layers that was seen.

    Cells near the boundary have no say and take what their neighbours say; so do holes.

    Parameters
    ----------
    cells : BlockCells
    labels : ndarray of int, shape (rows, columns)
        -1 outside the block.
    number : int
        How many labels there are.

    Returns
    -------
    ndarray of int, shape (rows, columns)
        -1 outside the block.
    """
    window_m = float(numbers("zones.filter_window_m").mean())
    say = votes(labels, cells.say, number, sd_of_window(window_m, cells.cell_m))
    winner = np.where(cells.mask & (say.sum(axis=0) > 0), say.argmax(axis=0), -1)
    return np.where(cells.mask, nearest_label(winner), -1)


def _patches_of_cells(labels: Ints, cells: BlockCells) -> tuple[Ints, Patches]:
    patch = np.full(labels.shape, -1)
    count = 0
    for label in np.unique(labels[cells.mask]):
        found, more = ndimage.label(labels == label)
        patch[found > 0] = found[found > 0] - 1 + count
        count += more
    sides = [(patch[:, :-1], patch[:, 1:]), (patch[:-1], patch[1:])]
    one = np.concatenate([side[0].ravel() for side in sides])
    other = np.concatenate([side[1].ravel() for side in sides])
    shared = (one != other) & (one >= 0) & (other >= 0)
    pairs, border_m = borders(one[shared], other[shared], np.full(shared.sum(), cells.cell_m))
    _, first = np.unique(patch[cells.mask], return_index=True)
    area_ac: Floats = np.asarray(np.bincount(patch[cells.mask], minlength=count) * cells.cell_ac)
    return patch, Patches(label=labels[cells.mask][first], area_ac=area_ac, pairs=pairs, border_m=border_m)


def whole(
    cells: BlockCells, raw: Ints, labels: Ints, *, least_patch_ac: float, least_zone_ac: float
) -> Division:
    """Join patches and zones that are too small to others of the block.

    Parameters
    ----------
    cells : BlockCells
    raw, labels : ndarray of int, shape (rows, columns)
        Labels of the clusters before and after the vote, -1 outside the block.
    least_patch_ac, least_zone_ac : float
        [ac]
    """
    patch, patches = _patches_of_cells(labels, cells)
    settled = settle(patches, least_patch_ac=least_patch_ac, least_zone_ac=least_zone_ac)
    kept, dense = np.unique(settled, return_inverse=True)
    label_of = np.full(labels.max() + 2, -1)  # its last entry, that of -1, stays -1
    label_of[kept] = np.arange(len(kept))
    return Division(
        zones=len(kept),
        labels=np.where(patch >= 0, dense[patch], -1),
        raw=np.where(cells.say > 0, label_of[raw], -1),
    )
