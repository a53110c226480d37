"""A plan without a solver: visit after visit, the one first that returns most for its hours."""

import numpy as np
import numpy.typing as npt

from zoning.passes.schedule.model import Model

_SLACK = 1e-9  # method: rounding of floats


def greedy(asked: Model) -> npt.NDArray[np.bool_]:
    """Take visits by what they return for an hour, each that still fits in with those taken before it.

    Parameters
    ----------
    asked : Model
        Of single sprayers.

    Returns
    -------
    ndarray of bool
        The columns taken. They keep every row.
    """
    matrix = asked.matrix
    hours_row = np.zeros(len(asked.most), dtype=np.bool_)
    hours_row[asked.hours_row[asked.hours_row >= 0]] = True
    hours = (matrix.T @ hours_row.astype(np.float64))[: asked.visits]
    rate = asked.score[: asked.visits] / np.maximum(hours, _SLACK)
    choosing = np.zeros(len(asked.most), dtype=np.bool_)  # rows that need a choice of the sprayer
    entries = matrix[:, asked.visits :].tocoo()
    choosing[entries.row[entries.data < 0]] = True
    left = np.where(choosing, 1.0, asked.most) + _SLACK
    kind_of: dict[int, int] = {}
    taken = np.zeros(asked.score.size, dtype=np.bool_)
    for column in np.argsort(-rate, kind="stable").tolist():
        here = slice(matrix.indptr[column], matrix.indptr[column + 1])
        rows, needs = matrix.indices[here], matrix.data[here]
        field, kind = int(asked.field[column]), int(asked.kind[column])
        if kind_of.get(field, kind) == kind and (needs <= left[rows]).all():
            left[rows] -= needs
            kind_of[field] = kind
            taken[column] = True
    used = (entries.data < 0) & (left[entries.row] < 1 / 2)
    taken[asked.visits + entries.col[used]] = True
    return taken
