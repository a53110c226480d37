"""k-means that grows cluster by cluster, for several sets of cells at once. Knows no places and no chance."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from zoning.zones.smooth import spaced
from zoning.zones.zoning import Floats32, Ints

if TYPE_CHECKING:
    from threadpoolctl import LibController

_MOST = 1_000  # method: of more cells, so many teach
_ROUGH = 500  # method: where to begin is found with so many of them,
_SEEDS = 32  # method: and so many are tried as the place of a new centre
_FIRST_ROUNDS, _ROUNDS = 4, 6  # method: of Lloyd's algorithm: each start, then the best
_ON = 0.5  # method: centres go beyond new means by this share of the way since a step ago
_NOTHING = 1e-6  # method: what takes less than this share of the squares is rounding


@dataclass(frozen=True, slots=True, eq=False)
class Teachers:
    """Cells that teach, one set after another: `rows` has shape (sets, cells, layers + 1), the last a one.

    `columns` are the same, transposed. Where a set has fewer cells or layers than others, the rest are 0.
    """

    rows: Floats32
    columns: Floats32

    def of(self, sets: Sequence[int] | Ints) -> "Teachers":
        """Choose some of the sets."""
        return Teachers(self.rows[sets], self.columns[sets])

    def alone(self, place: int, layers: int) -> "Teachers":
        """Choose one set, with its own layers and the one."""
        if layers + 1 == self.rows.shape[-1]:
            return self.of([place])
        planes = [*range(layers), -1]
        return Teachers(self.rows[[place]][..., planes], self.columns[[place]][:, planes])


def teachers(sets: Sequence[tuple[Floats32, Ints]]) -> Teachers:
    """Choose the cells that teach: all of a set, or of many some that lie evenly among them.

    Parameters
    ----------
    sets : sequence of (ndarray of float32, shape (layers, n); ndarray of int, shape (m,))
        Values, and which of the n cells may teach.
    """
    layers = max(len(values) for values, _ in sets)
    most = min(max(len(cells) for _, cells in sets), _MOST)
    columns = np.zeros((len(sets), layers + 1, most), dtype=np.float32)
    for (values, cells), column in zip(sets, columns, strict=True):
        chosen = cells[spaced(len(cells), most)]
        column[: len(values), : len(chosen)] = values[:, chosen]
        column[-1, : len(chosen)] = 1
    return Teachers(np.ascontiguousarray(np.swapaxes(columns, 1, 2)), columns)


@contextmanager
def one_thread() -> Iterator[None]:
    """Keep matrix products to one thread.

    Waiting threads cost more than they give at this size, and sums over threads could differ in their last
    digits.
    """
    before = [(library, library.get_num_threads()) for library in _numeric_libraries()]
    for library, _ in before:
        library.set_num_threads(1)
    try:
        yield
    finally:
        for library, threads in before:
            library.set_num_threads(threads)


@cache
def _numeric_libraries() -> "list[LibController]":
    # Imported here: a field of one zone multiplies nothing.
    from threadpoolctl import ThreadpoolController

    return list(ThreadpoolController().select(user_api="blas").lib_controllers)


def first(taught: Teachers) -> Floats32:
    """Give the centres of one cluster, of shape (sets, 1, layers)."""
    sums = taught.columns.sum(axis=2)
    return np.asarray(sums[:, None, :-1] / np.maximum(sums[:, None, -1:], 1))


def grown(taught: Teachers, centres: Floats32) -> Floats32:
    """Add one cluster to those that there are.

    Parameters
    ----------
    taught : Teachers
    centres : ndarray of float32, shape (sets, number, layers)
        Those of one cluster fewer.

    Returns
    -------
    ndarray of float32, shape (sets, number + 1, layers)
        Where every cell of a set lies on a centre already, the last one is a centre twice.

    Notes
    -----
    The fast global k-means [1]_: the new centre is put on the cell where it takes most from the squares that
    are left. It is begun once for each layer, on the best of the cells that differ from their centre most in
    that layer, and the best of these is kept; all move by Lloyd's algorithm [2]_, with momentum.

    References
    ----------
    .. [1] Likas, Vlassis and Verbeek 2003, "The global k-means clustering algorithm", Pattern Recognition
       36:451-461.
    .. [2] Lloyd 1982, "Least squares quantization in PCM", IEEE Transactions on Information Theory
       28:129-137.
    """
    begun = _with(centres[:, None], _places_for_one_more(taught, centres))
    if begun.shape[1] == 1:
        return _moved(taught, begun[:, 0], _ROUNDS)
    rough = Teachers(taught.rows[:, :_ROUGH], taught.columns[..., :_ROUGH])
    begun = _moved(rough, begun, _FIRST_ROUNDS)
    # eq. the squares that are left are less where the sum of the nearness is more
    best = _near(rough, begun).max(axis=2).sum(axis=2).argmax(axis=1)
    return _moved(taught, begun[np.arange(len(best)), best], _ROUNDS)


def _with(centres: Floats32, added: Floats32) -> Floats32:
    """Put each of the places beside the centres."""
    found = np.empty((*added.shape[:-1], centres.shape[-2] + 1, added.shape[-1]), dtype=np.float32)
    found[..., :-1, :] = centres
    found[..., -1, :] = added
    return found


def _places_for_one_more(taught: Teachers, centres: Floats32) -> Floats32:
    """Give the best place for each layer, of shape (sets, layers, layers)."""
    sets = np.arange(len(centres))[:, None]
    seeds, columns = taught.rows[:, :_SEEDS], taught.columns[..., :_ROUGH]
    weights = _weights(centres)
    left = _weights(seeds[..., :-1]) @ columns
    left -= (weights @ columns).max(axis=1, keepdims=True)
    gain = np.maximum(left, 0, out=left).sum(axis=2) * seeds[..., -1]
    of = (weights @ np.swapaxes(seeds, 1, 2)).argmax(axis=1)
    away = np.abs(seeds[..., :-1] - centres[sets, of]).argmax(axis=2)
    gains = np.where(away[:, None] == np.arange(centres.shape[2])[:, None], gain[:, None], -1)
    best = gains.argmax(axis=2)
    some = gain[sets, best] > _NOTHING * np.square(columns).sum(axis=(1, 2))[:, None]
    return np.where(some[..., None], seeds[sets, best, :-1], centres[:, :1])


def settled(taught: Teachers, centres: Floats32) -> Floats32:
    """Move centres to the means of the cells that are nearest to them."""
    return _moved(taught, centres, _ROUNDS)


def _moved(taught: Teachers, centres: Floats32, rounds: int) -> Floats32:
    before = centres
    for _ in range(rounds - 1):
        mean = _means(taught, centres)
        before, centres = centres, (1 + _ON) * mean - _ON * before
    return _means(taught, centres)


def _means(taught: Teachers, centres: Floats32) -> Floats32:
    """One round of Lloyd's algorithm; a centre that no cell is nearest to goes to 0, the block's median."""
    near = _near(taught, centres)
    mine = (near == near.max(axis=-2, keepdims=True)).astype(np.float32)
    # Whatever is tried for a set is one factor of one product: many small products would take longer.
    sums = mine.reshape(len(centres), -1, mine.shape[-1]) @ taught.rows
    mean = sums[..., :-1] / np.maximum(sums[..., -1:], 1)
    return np.asarray(mean.reshape(centres.shape))


def _near(taught: Teachers, centres: Floats32) -> Floats32:
    """How near each cell is to each centre, of shape (sets, ..., number, cells)."""
    weights = _weights(centres).reshape(len(centres), -1, taught.rows.shape[-1])
    return np.asarray((weights @ taught.columns).reshape(*centres.shape[:-1], -1))


def _weights(centres: Floats32) -> Floats32:
    """Give the factors of a cell's layers and its one whose sum tells how near it is."""
    weights = np.empty((*centres.shape[:-1], centres.shape[-1] + 1), dtype=np.float32)
    weights[..., :-1] = centres
    # eq. (|x|^2 - |x - c|^2) / 2 = x.c - |c|^2 / 2
    weights[..., -1] = (centres * centres) @ np.full(centres.shape[-1], -0.5, dtype=np.float32)
    return weights


def nearness(values: Floats32, known: Floats32 | None, centre: Floats32) -> Floats32:
    """Tell how near each cell is to each centre: half the square of its size less half that of the distance.

    Parameters
    ----------
    values : ndarray of float32, shape (layers + 1, n)
        0 where a layer is not known; the last row is 1.
    known : ndarray of float32, shape (layers, n), optional
        1 where a layer is known, 0 where it is not; it then has no part in the distance, and those that are
        known count for it. None where all are known.
    centre : ndarray of float32, shape (number, layers)

    Returns
    -------
    ndarray of float32, shape (number, n)
        The nearest centre has the highest.

    Examples
    --------
    >>> nearness(np.array([[0.5, 2.0], [1.0, 1.0]]), None, np.array([[0.0], [1.0]])).tolist()
    [[0.0, 0.0], [0.0, 1.5]]
    """
    if known is None:
        return _weights(centre) @ values
    share = known.mean(axis=0)
    found = centre @ values[:-1] - (0.5 * centre * centre) @ known
    return np.asarray(found / np.where(share > 0, share, 1))
