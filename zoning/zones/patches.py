"""Cells of one label that touch along sides are one patch. Knows labels only."""

import numpy as np
from scipy import ndimage

from zoning.zones.zoning import Ints, Ints8

_SIDES_ONLY = np.zeros((3, 3, 3), dtype=bool)  # method: cells touch along sides, within one label
_SIDES_ONLY[1] = ndimage.generate_binary_structure(2, 1)


def patches(labels: Ints | Ints8, number: int) -> tuple[Ints, Ints]:
    """Tell patches of equal labels apart.

    Parameters
    ----------
    labels : ndarray of int, shape (rows, columns)
        0 to number - 1, -1 where there is none.
    number : int

    Returns
    -------
    patch : ndarray of int, shape (rows, columns)
        From 1; 0 where there is no label.
    label : ndarray of int, shape (patches,)
        Of each patch.

    Examples
    --------
    >>> patch, label = patches(np.array([[0, 1, 0], [0, 1, -1]]), 2)
    >>> patch.tolist(), label.tolist()
    ([[1, 3, 2], [1, 3, 0]], [0, 0, 1])
    """
    each = np.arange(number, dtype=labels.dtype)[:, None, None]
    found, count = ndimage.label(labels == each, _SIDES_ONLY)
    patch = np.add.reduce(found, axis=0).astype(np.int64)
    label = np.zeros(count + 1, dtype=np.int64)
    label[patch] = labels
    return patch, label[1:]
