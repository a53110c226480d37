"""How much could be explained at all? k-means without any cleaning, inside the blocks and across them.

These divisions are never drawn: they are what the zones of the plan are held against.
"""

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from zoning.chance import generator
from zoning.zones.zoning import Floats, Ints

if TYPE_CHECKING:
    from threadpoolctl import ThreadpoolController

_STARTS = 10  # method: k-means is started so many times; the best start counts
_MOST_TEACHERS = 2_000  # method: of more cells, so many drawn at random find the centres
_MOST_ROUNDS = 20  # method: and all cells then move the centres so many times at most
_SAME = 1e-9  # method: a spread below this share of the values is rounding


def squares(values: Floats, group: Ints) -> float:
    """Sum of squares about the mean of each group.

    Parameters
    ----------
    values : ndarray of float, shape (n,) or (n, layers)
    group : ndarray of int, shape (n,)
        0 upwards.

    Examples
    --------
    >>> squares(np.array([1.0, 3.0, 10.0, 14.0]), np.array([0, 0, 1, 1]))
    10.0
    """
    flat = values.reshape(len(values), -1)
    count = np.maximum(np.bincount(group), 1)
    total = 0.0
    for layer in flat.T:
        left = layer - (np.bincount(group, layer) / count)[group]
        total += float(left @ left)
    return total


def explained(values: Floats, group: Ints, within: Ints | None = None) -> float | None:
    """Share of the squares about the mean that groups explain; None where there is nothing to explain.

    Parameters
    ----------
    values : ndarray of float, shape (n,) or (n, layers)
    group : ndarray of int, shape (n,)
        0 upwards.
    within : ndarray of int, shape (n,), optional
        Larger groups, from whose means the squares to be explained are taken; else the mean of all.

    Examples
    --------
    >>> explained(np.array([0.0, 0.0, 1.0, 1.0]), np.array([0, 0, 1, 1]))
    1.0
    """
    if not values.size:
        return None
    total = squares(values, np.zeros(len(values), dtype=np.int64) if within is None else within)
    if total <= values.size * (_SAME * float(np.abs(values).max())) ** 2:
        return None
    return 1 - squares(values, group) / total


def clustered(values: Floats, number: int, *, seed: int, key: tuple[str | int, ...]) -> Ints:
    """Divide cells into clusters by scikit-learn's k-means, wherever they lie.

    Parameters
    ----------
    values : ndarray of float, shape (n, layers)
    number : int
    seed : int
    key : tuple of str or int
        What this is for; a key has its own reproducible chance.

    Returns
    -------
    ndarray of int, shape (n,)
        0 upwards.
    """
    if number < 2 or len(values) < 2:
        return np.zeros(len(values), dtype=np.int64)
    if not _has_more(values, number):
        _, which = np.unique(values, axis=0, return_inverse=True)
        return np.asarray(which.ravel(), dtype=np.int64)
    # Imported here: a field without layers is not clustered.
    from sklearn.cluster import KMeans

    rng = generator(seed, "zones", "yardstick", *key)
    many = len(values) > _MOST_TEACHERS
    taught = rng.choice(values, _MOST_TEACHERS, replace=False) if many else values
    if not _has_more(taught, number):
        number = len(np.unique(taught, axis=0))
    start = int(rng.integers(np.iinfo(np.int32).max))
    # One thread: sums over threads would differ in their last digits.
    with _threads().limit(limits=1):
        found = KMeans(number, n_init=_STARTS, random_state=start).fit(taught)
        if many:
            found = KMeans(number, init=found.cluster_centers_, n_init=1, max_iter=_MOST_ROUNDS).fit(values)
    return np.asarray(found.labels_, dtype=np.int64)


@cache
def _threads() -> "ThreadpoolController":
    """Find the libraries that use threads, once scikit-learn is there, which brings one of its own."""
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()


def _has_more(values: Floats, number: int) -> bool:
    """Whether more than a number of rows are different; mostly one layer says so, and its first few cells."""
    few = values[: 2 * number + 1].T
    if any(len(set(layer)) > number for layer in few.tolist()):
        return True
    return len(np.unique(values, axis=0)) > number


def inside_blocks(values: Floats, block: Ints, zones_of_block: dict[int, int], *, seed: int) -> Ints:
    """Divide the cells of each block into as many clusters as it has zones.

    Parameters
    ----------
    values : ndarray of float, shape (n, layers)
    block : ndarray of int, shape (n,)
    zones_of_block : dict of int to int
    seed : int

    Returns
    -------
    ndarray of int, shape (n,)
        0 upwards; no cluster lies in two blocks.
    """
    label, first = np.zeros(len(values), dtype=np.int64), 0
    for index, number in zones_of_block.items():
        mine = block == index
        if mine.any():
            label[mine] = first + clustered(values[mine], number, seed=seed, key=("block", index))
            first = int(label.max()) + 1
    return label
