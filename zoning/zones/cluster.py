"""k-means on the cells of one block: seeded, several starts, one thread. Knows no places."""

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from zoning.chance import generator
from zoning.zones.zoning import Floats, Ints

if TYPE_CHECKING:
    from threadpoolctl import ThreadpoolController

_STARTS = 5  # method: k-means is started so many times; the best start counts
_MOST_TEACHERS = 10_000  # method: of more cells, evenly spaced ones teach


def centres(features: Floats, number: int, *, seed: int, key: tuple[str | int, ...]) -> Floats:
    """Find cluster centres.

    Parameters
    ----------
    features : ndarray of float, shape (n, layers)
        Cells that teach.
    number : int
        How many clusters; of fewer different cells, each is its own centre.
    seed : int
    key : tuple of str or int
        What this clustering is for; a key has its own reproducible chance.

    Returns
    -------
    ndarray of float, shape (number, layers) or fewer rows

    Notes
    -----
    Lloyd's algorithm from k-means++ starts, by scikit-learn.
    """
    taught = features[:: -(-len(features) // _MOST_TEACHERS)]
    different = np.unique(taught, axis=0) if _may_be_few(taught, number) else taught
    if len(different) <= number:
        return different
    # Imported here because most of a run's start-up would be this, and one-zone blocks need none of it.
    from sklearn.cluster import KMeans

    start = int(generator(seed, "zones", *key).integers(np.iinfo(np.int32).max))
    # One thread: sums over threads would differ in their last digits, and waiting threads cost more than
    # they give at this size.
    with _numeric_threads().limit(limits=1):
        found = KMeans(number, n_init=_STARTS, random_state=start).fit(taught)
    return np.asarray(found.cluster_centers_, dtype=np.float64)


def _may_be_few(features: Floats, number: int) -> bool:
    return all(len(np.unique(layer)) <= number for layer in features.T)


@cache
def _numeric_threads() -> "ThreadpoolController":
    # Made once, and only when scikit-learn has loaded the libraries that have threads.
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()


def nearest(features: Floats, centre: Floats) -> Ints:
    """Index of the nearest centre of each cell; the first of equals.

    Examples
    --------
    >>> nearest(np.array([[0.1], [0.9]]), np.array([[0.0], [1.0]])).tolist()
    [0, 1]
    """
    # eq. |x - c|^2 = |x|^2 - 2 x.c + |c|^2, of which |x|^2 is the same for every centre
    return np.asarray(np.argmin((centre**2).sum(axis=1) - 2 * features @ centre.T, axis=1))
