"""How much of the cells that did not teach do zones explain? Decides nothing.

The white squares of a checkerboard teach; their labels are smoothed and carried onto the black squares, and
the black cells are scored by the label of their place, never by their own values: so noise is not explained.
"""

from dataclasses import dataclass

import numpy as np

from zoning.evidence import number as evidence
from zoning.zones.cells import BlockCells
from zoning.zones.cluster import centres, nearest
from zoning.zones.smooth import mean_of_seen, sd_of_window, votes
from zoning.zones.zoning import Bools, Floats

_DECIMALS = 6  # method: cells that are alike but for rounding errors are one to the clustering


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Board:
    """White cells that teach and black cells that judge; `smoothed` are the white cells' filtered values."""

    white: Bools
    black: Bools
    values: Floats
    smoothed: Floats
    square_cells: int


def _is_white(cells: BlockCells, square: int) -> Bools:
    rows, columns = (np.arange(part.start, part.stop) // square for part in cells.window)
    return np.asarray((rows[:, None] + columns[None, :]) % 2 == 0)


def smoothed(cells: BlockCells, teach: Bools) -> Floats:
    """Filter every layer over some cells of a block, drawing on these cells only; shape as `values`."""
    sd_cells = sd_of_window(evidence("zones.prefilter_window_m"), cells.cell_m)
    layers = np.moveaxis(cells.values, -1, 0)
    means = [mean_of_seen(layer, (teach & np.isfinite(layer)).astype(float), sd_cells) for layer in layers]
    return np.asarray(np.round(np.stack(means, axis=-1), _DECIMALS), dtype=np.float64)


def board_of(cells: BlockCells) -> Board | None:
    """Lay a checkerboard over a block; None if either colour has less than one square of cells."""
    square = round(evidence("zones.checkerboard_cells"))
    is_white = _is_white(cells, square)
    white, black = cells.teach & is_white, cells.teach & ~is_white
    if min(white.sum(), black.sum()) < square**2:
        return None
    return Board(
        white=white, black=black, values=cells.values, smoothed=smoothed(cells, white), square_cells=square
    )


def score(board: Board, number: int, *, seed: int, block: int) -> tuple[float, int]:
    """Variance of the black cells that zones made from the white cells explain.

    Parameters
    ----------
    board : Board
    number : int
        How many clusters.
    seed, block : int
        The chance of each block is its own.

    Returns
    -------
    explained_frac : float
        1 - (squares about the mean of the zone that the place belongs to) / (squares about the mean of all
        white cells): 0 for one zone, below 0 where zones mislead.
    alive : int
        How many of the clusters keep the least share of the block after smoothing; the others are given to
        their neighbours before the score is taken.
    """
    teach = board.smoothed[board.white]
    centre = centres(teach, number, seed=seed, key=(block, number, "white"))
    labels = np.full(board.white.shape, -1)
    labels[board.white] = nearest(teach, centre)
    # A Gaussian of half a square reaches the middle of the black squares.
    say = votes(labels, board.white.astype(float), number, board.square_cells / 2)
    share = np.bincount(say.argmax(axis=0)[board.white], minlength=number) / board.white.sum()
    alive = share >= evidence("zones.least_share_frac")
    say[~alive] = -1
    place = say.argmax(axis=0)
    known, judge = board.values[board.white], board.values[board.black]
    mean = known.mean(axis=0)
    zone_mean = np.tile(mean, (number, 1))
    for label in np.flatnonzero(alive):
        mine = place[board.white] == label
        zone_mean[label] = known[mine].mean(axis=0) if mine.any() else mean
    left = ((judge - zone_mean[place[board.black]]) ** 2).sum()
    total = ((judge - mean) ** 2).sum()
    return float(1 - left / total) if total > 0 else 0.0, int(alive.sum())
