"""Like with like: pieces of the way on which one strip of a pair was sprayed and the other was not."""

from dataclasses import dataclass

import numpy as np

from zoning.strips.terms import Bools, Floats, Ints


def partnered(cell: Ints, strip: Ints, is_treated: Bools) -> Bools:
    """Tell which points have points of the other treatment beside them, on another strip.

    Parameters
    ----------
    cell : ndarray of int, shape (n, k)
        Pair, zone and piece of the way: points with the same row lie side by side.
    strip : ndarray of int, shape (n,)
    is_treated : ndarray of bool, shape (n,)

    Returns
    -------
    ndarray of bool, shape (n,)
        False for all points of a piece in which a strip has both treatments.

    Examples
    --------
    >>> cell = np.array([[1, 1, 0], [1, 1, 0], [1, 1, 1], [1, 2, 1]])  # the last two in different zones
    >>> partnered(cell, np.array([0, 1, 0, 1]), np.array([True, False, True, False])).tolist()
    [True, True, False, False]
    """
    if not len(cell):
        return np.zeros(0, dtype=bool)
    _, of_cell = np.unique(cell, axis=0, return_inverse=True)
    of_cell = of_cell.ravel()
    count = of_cell.max() + 1
    treated = np.bincount(of_cell, is_treated, count) > 0
    dry = np.bincount(of_cell, ~is_treated, count) > 0
    _, of_strip = np.unique(np.column_stack([of_cell, strip]), axis=0, return_inverse=True)
    of_strip = of_strip.ravel()
    sprayed_frac = np.bincount(of_strip, is_treated) / np.bincount(of_strip)
    is_mixed = (sprayed_frac > 0) & (sprayed_frac < 1)
    mixed = np.bincount(of_cell, is_mixed[of_strip], count) > 0
    return np.asarray((treated & dry & ~mixed)[of_cell])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """Pieces of the way that both strips of a pair have in one zone, with opposite treatments.

    Arrays of shape (n,), and of shape (n, 2) for what both strips have: treated first, then untreated.
    """

    zone: Ints
    length_m: Floats
    points: Ints
    yield_bu_ac: Floats
    moisture_frac: Floats  # NaN where no point has one

    def only(self, which: Bools) -> "Pieces":
        """Take some of them."""
        return Pieces(
            zone=self.zone[which],
            length_m=self.length_m[which],
            points=self.points[which],
            yield_bu_ac=self.yield_bu_ac[which],
            moisture_frac=self.moisture_frac[which],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beside:
    """Points of one pair: arrays of shape (n,). `counts` is False for those without a partner."""

    zone: Ints
    piece: Ints
    is_treated: Bools
    counts: Bools
    yield_bu_ac: Floats
    moisture_frac: Floats


def pieces_of(points: Beside, piece_m: float) -> Pieces:
    """Average the points of a pair in each piece of the way and zone.

    Parameters
    ----------
    points : Beside
    piece_m : float
        Length of a piece. [m]

    Returns
    -------
    Pieces
        A piece is as long as `piece_m` times the smaller of the shares that the points of either strip
        have in the zone.

    Examples
    --------
    >>> points = Beside(
    ...     zone=np.array([1, 1, 2, 1]), piece=np.zeros(4, int), counts=np.array([1, 1, 0, 1], bool),
    ...     is_treated=np.array([1, 1, 1, 0], bool), yield_bu_ac=np.array([60.0, 62.0, 70.0, 58.0]),
    ...     moisture_frac=np.full(4, 0.13))
    >>> found = pieces_of(points, 9.0)  # two of three treated points lie in zone 1
    >>> found.length_m.tolist(), found.yield_bu_ac.tolist()
    ([6.0], [[61.0, 58.0]])
    """
    side = np.where(points.is_treated, 0, 1)
    bins, of_bin = np.unique(points.piece, return_inverse=True)
    in_bin = _per(of_bin, side, np.ones(len(side)), len(bins))
    here = points.counts
    cells, of_cell = np.unique(
        np.column_stack([points.zone[here], points.piece[here]]), axis=0, return_inverse=True
    )
    of_cell, side = of_cell.ravel(), side[here]
    count = _per(of_cell, side, np.ones(len(side)), len(cells))
    moist = np.isfinite(points.moisture_frac[here])
    moist_count = _per(of_cell, side, moist.astype(np.float64), len(cells))
    moisture = _per(of_cell, side, np.where(moist, points.moisture_frac[here], 0.0), len(cells))
    share = count / in_bin[np.searchsorted(bins, cells[:, 1])]
    with np.errstate(invalid="ignore"):
        found = Pieces(
            zone=cells[:, 0],
            length_m=piece_m * share.min(axis=1),
            points=count.sum(axis=1).astype(np.int64),
            yield_bu_ac=_per(of_cell, side, points.yield_bu_ac[here], len(cells)) / count,
            moisture_frac=moisture / moist_count,
        )
    return found.only(np.asarray((count > 0).all(axis=1)))


def _per(place: Ints, side: Ints, values: Floats, count: int) -> Floats:
    """Sum values by place and side, shape (count, 2)."""
    summed = np.bincount(2 * place.ravel() + side, values, 2 * count)
    return np.asarray(summed, dtype=np.float64).reshape(count, 2)
