"""How much of the cells that did not teach do zones explain? Decides nothing.

The white squares of a checkerboard teach; their labels are smoothed and carried onto the black squares, and
the black cells are scored by the label of their place, never by their own values: so noise is not explained.
"""

from dataclasses import dataclass

import numpy as np

from zoning.evidence import number as evidence
from zoning.zones.cells import BlockCells
from zoning.zones.cluster import nearness
from zoning.zones.smooth import NO_SAY, box, highest, spread
from zoning.zones.zoning import Bools, Floats32


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Features:
    """What is clustered: filtered layers on a block's window, 0 where no cell that was seen is in reach.

    `values` has shape (layers + 1, rows, columns), the last plane a one. `known` has shape (layers, rows,
    columns), 1 where a layer is known; None where all layers are known wherever something was seen.
    """

    values: Floats32
    known: Floats32 | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Board:
    """White cells that teach and black cells that judge, on the block's window.

    `cells` are the block's, without the layers that are noise there. `features` are the layers as filtered
    over the white cells. `rows` has for each cell its layers less the
    mean of the white cells and a one, if it is white, then the same if it is black; 0 otherwise. `weight` is
    the say of each layer in the score.
    """

    cells: BlockCells
    white: Bools
    features: Features
    rows: Floats32
    weight: Floats32
    total: float
    square_cells: int


def smoothed(cells: BlockCells, teach: Bools, window_m: float) -> Features:
    """Average every layer over a square window around each cell, drawing on some cells of a block only."""
    count = len(cells.values)
    planes = np.empty((count + len(cells.seen), *teach.shape), dtype=np.float32)
    np.multiply(cells.values, teach, out=planes[:count])
    np.multiply(cells.seen, teach, out=planes[count:])
    sums = box(planes, window_m / cells.cell_m)
    weights = np.maximum(sums[count:], NO_SAY)
    values = np.empty((count + 1, *teach.shape), dtype=np.float32)
    for plane, total, hole in zip(values, sums, cells.hole, strict=False):
        np.divide(total, weights[hole], out=plane)
    values[-1] = 1
    near = sums[count:] > NO_SAY
    if (near.all(axis=0) >= (cells.say > 0)).all():
        return Features(values=values, known=None)
    return Features(values=values, known=near[cells.hole].astype(np.float32))


def board_of(cells: BlockCells) -> Board | None:
    """Lay a checkerboard over a block; None if either colour has less than one square of cells."""
    side = round(evidence("zones.checkerboard_cells"))
    of_row, of_column = (np.arange(part.start, part.stop) // side for part in cells.window)
    is_white = (of_row % 2)[:, None] == of_column % 2
    white, black = cells.teach & is_white, cells.teach & ~is_white
    whites = int(white.sum())
    if min(whites, int(black.sum())) < side**2:
        return None
    count = len(cells.values)
    planes = np.empty((2, count + 1, *white.shape), dtype=np.float32)
    planes[0, -1], planes[1, -1] = white, black
    mean = np.einsum("lrc,rc->l", cells.values, planes[0, -1]) / np.float32(whites)
    less = cells.values - mean[:, None, None]
    np.multiply(less, planes[0, -1], out=planes[0, :-1])
    np.multiply(less, planes[1, -1], out=planes[1, :-1])
    judged = planes[1, :-1].reshape(count, -1)
    total = np.einsum("ln,ln->l", judged, judged)
    weight = np.ones(count, dtype=np.float32)
    if count > 1:
        # A field that is noise in all its layers is judged by all of them.
        in_row, in_column = (
            (of == np.arange(of[0], of[-1] + 1)[:, None]).astype(np.float32) for of in (of_row, of_column)
        )
        squares = in_row @ planes @ in_column.T
        share = _predictable(squares[0], squares[1], total)
        tells = share >= evidence("zones.least_rise_frac")
        if tells.any():
            cells, weight, total = cells.of_layers(tells), share[tells], total[tells]
            planes = planes if tells.all() else planes[:, np.append(tells, True)]
    return Board(
        cells=cells,
        white=white,
        features=smoothed(cells, white, evidence("zones.prefilter_window_m")),
        rows=planes.reshape(-1, white.size).T,
        weight=weight,
        total=float(total @ weight),
        square_cells=side,
    )


def _predictable(white: Floats32, black: Floats32, total: Floats32) -> Floats32:
    """Share of each layer's variance on black cells that the white squares around theirs foretell.

    `white` and `black` are sums over squares: the layers, and the number of cells.
    """
    around = np.zeros_like(white)
    around[:, 1:] += white[:, :-1]
    around[:, :-1] += white[:, 1:]
    around[..., 1:] += white[..., :-1]
    around[..., :-1] += white[..., 1:]
    mean = around[:-1] / np.maximum(around[-1], 1)
    # eq. sum x^2 - sum (x - m)^2 = 2 m sum x - n m^2
    gained = (mean * (2 * black[:-1] - black[-1] * mean)).sum(axis=(1, 2))
    return np.asarray(gained / np.where(total > 0, total, 1))


def score(board: Board, centre: Floats32) -> tuple[float, int]:
    """Variance of the black cells that zones made from the white cells explain.

    Parameters
    ----------
    board : Board
    centre : ndarray of float32, shape (number, layers)
        Of the clusters of the white cells' `features`.

    Returns
    -------
    explained_frac : float
        1 - (squares about the mean of the zone that the place belongs to) / (squares about the mean of all
        white cells): 0 for one zone, below 0 where zones mislead.
    alive : int
        How many of the clusters keep the least share of the block after smoothing; the others are given to
        their neighbours before the score is taken.
    """
    number, layers = centre.shape
    near = nearness(board.features.values.reshape(layers + 1, -1), None, centre)
    mine = ((near == near.max(axis=0)) & board.white.ravel()).astype(np.float32)
    # A Gaussian of half a square reaches the middle of the black squares.
    around = spread(mine.reshape(number, *board.white.shape), board.square_cells / 2).reshape(number, -1)
    sums = _by_label(around, board.rows)
    cells = sums[:, layers]
    alive = cells >= evidence("zones.least_share_frac") * cells.sum()
    if not alive.all():
        sums = _by_label(around[alive], board.rows)
    mean = sums[:, :layers] / np.maximum(sums[:, layers : layers + 1], 1)
    black, count = sums[:, layers + 1 : -1], sums[:, -1:]
    # eq. sum x^2 - sum (x - m)^2 = 2 m sum x - n m^2
    gained = (mean * (2 * black - count * mean)).sum(axis=0) @ board.weight
    return float(gained / board.total) if board.total > 0 else 0.0, int(alive.sum())


def _by_label(around: Floats32, rows: Floats32) -> Floats32:
    """Sum the rows of the cells in which each label has most of the say."""
    labels = np.arange(len(around), dtype=np.int8)[:, None]
    return np.asarray((highest(around) == labels).astype(np.float32) @ rows)
