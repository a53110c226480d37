"""Gaussian sums and votes over cells that count, and the nearest label where none has a say."""

from functools import cache
from math import gcd
from typing import TypeVar

import numpy as np

from zoning.zones.zoning import Bools, Floats32, Ints, Ints8

AnyInts = TypeVar("AnyInts", Ints, Ints8)

_REACH_SDS = 4.0  # method: the Gaussian is cut off here
NO_SAY = 1e-6  # method: a sum of weights below this is no vote
_GOLDEN = 0.6180339887498949  # eq. (sqrt(5) - 1) / 2, whose multiples are spread most evenly over 0 to 1
_STRIP = 128  # method: longer sides are filtered in strips of so many cells


def sd_of_window(window_m: float, cell_m: float) -> float:
    """Give the SD of the Gaussian that is as wide as a square window, in cells.

    Examples
    --------
    >>> round(sd_of_window(30.0, 10.0), 3)
    0.866
    """
    return float(window_m / cell_m / np.sqrt(12))  # eq. variance of a uniform distribution: width^2 / 12


def _reach(sd_cells: float) -> int:
    return int(_REACH_SDS * sd_cells + 0.5)


@cache
def _weights(side: int, sd_cells: float) -> Floats32:
    """Weights of the cells of a line (columns) in the sum of each of them (rows)."""
    apart = np.abs(np.subtract.outer(np.arange(side), np.arange(side)))
    # eq. Gaussian, whose whole sum is 1
    one = np.exp(-0.5 * (np.arange(_reach(sd_cells) + 1) / sd_cells) ** 2)
    one /= 2 * one.sum() - one[0]
    near = apart < len(one)
    return np.where(near, one[np.where(near, apart, 0)], 0).astype(np.float32)


def _down(planes: Floats32, sd_cells: float) -> Floats32:
    """Gaussian sum down the columns, as a product with a matrix: for grids of this size nothing is faster."""
    side = planes.shape[-2]
    # One matrix serves every side up to its own, so few are ever made.
    weights = _weights(-(-side // _STRIP) * _STRIP, sd_cells)[:side, :side]
    if side <= _STRIP:
        return np.asarray(weights @ planes)
    found = np.empty_like(planes)
    for first in range(0, side, _STRIP):
        strip = slice(first, min(first + _STRIP, side))
        near = slice(max(first - _reach(sd_cells), 0), min(strip.stop + _reach(sd_cells), side))
        found[..., strip, :] = weights[strip, near] @ planes[..., near, :]
    return found


def box(planes: Floats32, side_cells: float) -> Floats32:
    """Sum over a square window around each cell; nothing comes from beyond the array.

    Parameters
    ----------
    planes : ndarray of float32, shape (..., rows, columns)
    side_cells : float
        Of the window; cells that it holds in part count in part. [cells]

    Examples
    --------
    >>> box(np.eye(4, dtype=np.float32), 3.0)[0].tolist()
    [2.0, 2.0, 1.0, 0.0]
    """
    return _box_down(_box_across(planes, side_cells), side_cells)


def _shares(side_cells: float) -> list[float]:
    """Share of the window's side in which the cells at a distance of 1, 2, ... lie."""
    half = max(side_cells - 1, 0) / 2
    return [min(half - apart, 1.0) for apart in range(int(np.ceil(half)))]


def _box_across(planes: Floats32, side_cells: float) -> Floats32:
    total = planes.copy()
    for apart, share in enumerate(_shares(side_cells), start=1):
        part = planes if share == 1 else planes * np.float32(share)
        total[..., apart:] += part[..., :-apart]
        total[..., :-apart] += part[..., apart:]
    return total


def _box_down(planes: Floats32, side_cells: float) -> Floats32:
    total = planes.copy()
    for apart, share in enumerate(_shares(side_cells), start=1):
        part = planes if share == 1 else planes * np.float32(share)
        total[..., apart:, :] += part[..., :-apart, :]
        total[..., :-apart, :] += part[..., apart:, :]
    return total


def spread(planes: Floats32, sd_cells: float) -> Floats32:
    """Gaussian sum over neighbours; nothing comes from beyond the array.

    Parameters
    ----------
    planes : ndarray of float32, shape (..., rows, columns)
    sd_cells : float
        [cells]

    Examples
    --------
    >>> one = np.zeros((9, 9), dtype=np.float32)
    >>> one[4, 4] = 1
    >>> round(float(spread(one, 0.8).sum()), 5)
    1.0
    """
    across = np.swapaxes(_down(np.swapaxes(planes, -1, -2), sd_cells), -1, -2)
    return _down(across, sd_cells)


def highest(values: Floats32) -> Ints8:
    """Plane in which each cell has its highest value, the first of equals; planes are few.

    Examples
    --------
    >>> highest(np.array([[1, 5, 2], [3, 5, 1]], dtype=np.float32)).tolist()
    [1, 0, 0]
    """
    best, found = values[0], np.zeros(values.shape[1:], dtype=np.int8)
    for at, plane in enumerate(values[1:], start=1):
        np.maximum(found, (plane > best) * np.int8(at), out=found)
        best = np.maximum(best, plane)
    return found


def spaced(count: int, most: int) -> Ints:
    """Choose places evenly, but in step with no row of cells; so are the first few of them, and any few.

    Examples
    --------
    >>> spaced(5, 10).tolist()
    [0, 3, 1, 4, 2]
    >>> spaced(1000, 5).tolist()
    [0, 619, 238, 857, 476]
    """
    step = max(round(count * _GOLDEN), 1)
    while gcd(step, count) > 1:
        step += 1
    return np.arange(min(count, most)) * step % max(count, 1)


def nearest_label(labels: AnyInts, within: Bools | None = None) -> AnyInts:
    """Give each cell without a label (-1) that of the nearest cell with one.

    Parameters
    ----------
    labels : ndarray of int, shape (rows, columns)
    within : ndarray of bool, shape (rows, columns), optional
        Only these cells are to have a label.

    Examples
    --------
    >>> nearest_label(np.array([[0, -1, -1, -1, 1]])).tolist()
    [[0, 0, 0, 1, 1]]
    """
    lacking = labels < 0
    if not (lacking if within is None else lacking & within).any():
        return labels
    # Imported here: hardly any block has cells that nobody saw and no neighbour reaches.
    from scipy.ndimage import distance_transform_edt

    found = distance_transform_edt(lacking, return_distances=False, return_indices=True)
    filled = labels[tuple(found)]
    return filled if within is None else np.where(within, filled, labels)
