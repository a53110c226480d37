"""Rows that say of a half-day what its hours alone don't: visits are whole, so hours at its end stay unused.

Two visits of an hour do not fit into 1.9 h, though nine tenths of both would.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
from scipy import optimize, sparse

from zoning.passes.schedule.model import Model, Sprayers

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_SLACK = 1e-9  # method: rounding of floats
_SEEN = 1e-6  # method: shares of the relaxation below this are none
_BROKEN = 1e-3  # method: by how much a row must be broken to be worth adding
_MOST_SETS = 3000  # method: sets of visits in a half-day up to which the row is looked for


def broken_rows(asked: Model, share: Floats, sprayers: Sequence[Sprayers]) -> tuple[list[Floats], list[int]]:
    """Find rows that every plan keeps and these shares of visits break.

    Parameters
    ----------
    asked : Model
        The rows so far.
    share : ndarray of float
        Of each column, from the relaxation.
    sprayers : sequence of Sprayers
        Those of the model.

    Returns
    -------
    tuple of list
        New rows over all columns, and their right sides.

    Notes
    -----
    One for each half-day at most. Weights of the visits that are there in part are sought such that no
    set of whole visits that fits into the hours of one sprayer weighs more than 1, while the shares weigh
    more than the sprayers there are. A visit of any other length weighs what the best set inside its hours
    weighs; as lengths may repeat in a set, no set weighs more than 1 then either.
    """
    rows, most = [], []
    by_row = sparse.csr_array(asked.matrix)
    for kind, slot in np.argwhere(asked.hours_row >= 0).tolist():
        row, one = int(asked.hours_row[kind, slot]), sprayers[kind]
        here = slice(by_row.indptr[row], by_row.indptr[row + 1])
        columns, used_h = by_row.indices[here], by_row.data[here]
        weight = _weights(used_h, share[columns], float(one.hours_h[slot]), one.count)
        if weight is not None:
            full = np.zeros(asked.score.size)
            full[columns] = weight
            rows.append(full)
            most.append(one.count)
    return rows, most


def _weights(used_h: Floats, share: Floats, hours_h: float, count: int) -> Floats | None:
    seen = share > _SEEN
    if (used_h[seen] @ share[seen]) < (count - 1 / 2) * hours_h:
        return None
    lengths, place = np.unique(used_h[seen], return_inverse=True)
    much = np.bincount(place, share[seen])
    # as many of one length as fit are a set, so that no weight is more than its part: often that is enough
    alone = np.maximum(np.floor((hours_h + _SLACK) / np.maximum(lengths, _SEEN)), 1)
    if (much / alone).sum() < count + _BROKEN - _SEEN:
        return None
    sets = list(_sets(lengths, hours_h))
    if len(sets) > _MOST_SETS:
        return None
    held = np.array(sets)
    found = optimize.linprog(-much, A_ub=held, b_ub=np.ones(len(held)), bounds=(0, None), method="highs")
    if found.x is None or much @ found.x < count + _BROKEN:
        return None
    weighs = held @ found.x
    weights = found.x / max(1.0, float(weighs.max()))  # whatever the solver's tolerance
    hours, weighs = held @ lengths, held @ weights
    order = np.argsort(hours, kind="stable")
    best = np.append(0.0, np.maximum.accumulate(weighs[order]))
    return np.asarray(best[np.searchsorted(hours[order], used_h + _SLACK, side="right")])


def _sets(lengths: Floats, hours_h: float) -> Iterator[Ints]:
    """Give every set of visits of these lengths, repeats allowed, that fits; no more than can be used."""
    made = 0
    stack: list[tuple[int, float, tuple[int, ...]]] = [(0, hours_h, ())]
    while stack and made <= _MOST_SETS:
        at, left_h, counts = stack.pop()
        if at == len(lengths):
            if any(counts):
                made += 1
                yield np.array(counts)
            continue
        most = int((left_h + _SLACK) / lengths[at]) if lengths[at] > _SEEN else 0
        stack += [(at + 1, left_h - n * lengths[at], (*counts, n)) for n in range(most + 1)]


def with_rows(asked: Model, rows: Sequence[Floats], most: Sequence[int]) -> Model:
    """Add rows to a model."""
    if not rows:
        return asked
    matrix = sparse.vstack([asked.matrix, sparse.csr_array(np.array(rows))], format="csc")
    return replace(asked, matrix=matrix, most=np.append(asked.most, np.array(most, dtype=np.float64)))
