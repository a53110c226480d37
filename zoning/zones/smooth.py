"""Gaussian means and votes over cells that count, and the nearest label where none has a say."""

import numpy as np
from scipy import ndimage

from zoning.zones.zoning import Floats, Ints

_REACH_SDS = 4.0  # method: the Gaussian is cut off here
_NO_SAY = 1e-6  # method: a sum of weights below this is no vote


def sd_of_window(window_m: float, cell_m: float) -> float:
    """Give the SD of the Gaussian that is as wide as a square window, in cells.

    Examples
    --------
    >>> round(sd_of_window(30.0, 10.0), 3)
    0.866
    """
    return float(window_m / cell_m / np.sqrt(12))  # eq. variance of a uniform distribution: width^2 / 12


def spread(values: Floats, sd_cells: float) -> Floats:
    """Gaussian sum over neighbours; nothing comes from beyond the array."""
    return np.asarray(ndimage.gaussian_filter(values, sd_cells, mode="constant", truncate=_REACH_SDS))


def mean_of_seen(values: Floats, weight: Floats, sd_cells: float) -> Floats:
    """Gaussian mean of the cells with weight; 0 where none is in reach.

    Parameters
    ----------
    values : ndarray of float, shape (rows, columns)
    weight : ndarray of float, shape (rows, columns)
        0 leaves a cell out; its value may then be NaN.
    sd_cells : float
        [cells]
    """
    total = spread(weight, sd_cells)
    mean = spread(np.where(weight > 0, values, 0) * weight, sd_cells)
    return np.asarray(np.divide(mean, total, out=np.zeros_like(mean), where=total > _NO_SAY))


def votes(labels: Ints, weight: Floats, number: int, sd_cells: float) -> Floats:
    """Share of the say that each label has around each cell.

    Parameters
    ----------
    labels : ndarray of int, shape (rows, columns)
        0 to number - 1, or -1 for no label.
    weight : ndarray of float, shape (rows, columns)
    number : int
        How many labels there are.
    sd_cells : float
        [cells]

    Returns
    -------
    ndarray of float, shape (number, rows, columns)
        All 0 where no cell has a say.
    """
    given = np.stack([spread(np.where(labels == label, weight, 0), sd_cells) for label in range(number)])
    given[:, given.sum(axis=0) <= _NO_SAY] = 0
    return given


def nearest_label(labels: Ints) -> Ints:
    """Give each cell without a label (-1) that of the nearest cell with one.

    Examples
    --------
    >>> nearest_label(np.array([[0, -1, -1, -1, 1]])).tolist()
    [[0, 0, 0, 1, 1]]
    """
    if not (labels < 0).any():
        return labels
    found = ndimage.distance_transform_edt(labels < 0, return_distances=False, return_indices=True)
    return np.asarray(labels[tuple(found)])
