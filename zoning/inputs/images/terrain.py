"""Terrain from heights on a square grid: how steep, which way it falls, and how wet water makes it.

Takes arrays of heights in metres, rows north to south; knows no files and no cells of a field.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.evidence import number
from zoning.inputs.grid import Floats

Ints = npt.NDArray[np.int64]

# The eight neighbours by row and column, clockwise from the north, and how the library writes them down.
_AROUND = ((-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1))
_WRITTEN = (64, 128, 1, 2, 4, 8, 16, 32)


def rise(heights_m: Floats, pitch_m: float) -> tuple[Floats, Floats]:
    """Give by how much the ground rises to the east and to the north, by Horn's weights.

    Parameters
    ----------
    heights_m : ndarray
        NaN where not known.
    pitch_m : float
        Side of a square.

    Returns
    -------
    (ndarray, ndarray)
        Metres a metre; NaN where the height is not known. A neighbour that is not known is taken to lie on
        the straight line through the middle and its opposite, or as high as the middle; a corner on the plane
        through the middle and its two sides.

    Examples
    --------
    >>> east, north = rise(np.add.outer([4.0, 2.0, 0.0], [0.0, 0.5, 1.0]), 10.0)
    >>> east.tolist()[1], north.tolist()[1]  # 0.5 m in 10 m, and 2 m in 10 m
    ([0.05, 0.05, 0.05], [0.2, 0.2, 0.2])
    """
    north, north_east, east, south_east, south, south_west, west, north_west = (
        _shifted(heights_m, step) for step in _AROUND
    )
    n, s = _straight(heights_m, north, south), _straight(heights_m, south, north)
    e, w = _straight(heights_m, east, west), _straight(heights_m, west, east)
    corners = ((north_east, n, e), (south_east, s, e), (south_west, s, w), (north_west, n, w))
    ne, se, sw, nw = (np.where(np.isnan(one), up + aside - heights_m, one) for one, up, aside in corners)
    span_m = 8 * pitch_m  # eq. Horn 1981
    to_east, to_north = (ne + 2 * e + se) - (nw + 2 * w + sw), (nw + 2 * n + ne) - (sw + 2 * s + se)
    unknown = np.where(np.isnan(heights_m), np.nan, 0.0)
    return to_east / span_m + unknown, to_north / span_m + unknown


def _straight(middle: Floats, one: Floats, opposite: Floats) -> Floats:
    """Give one neighbour, on the line through the middle and its opposite where it is not known itself."""
    along = np.where(np.isnan(opposite), middle, 2 * middle - opposite)
    return np.where(np.isnan(one), along, one)


def wetness(heights_m: Floats, pitch_m: float, where: str) -> Floats:
    """Give the wetness index ln(a / tan b): a the catchment above a metre of contour, b the slope.

    Parameters
    ----------
    heights_m, pitch_m : ndarray, float
        As `rise` takes them.
    where : str
        The setting that wants it, for a fault.

    Returns
    -------
    ndarray
        NaN where the height is not known. Flat ground counts with the least slope of the evidence.

    Raises
    ------
    InputError
        Code 2 when the library is not installed, which this needs alone.
    """
    slope = np.hypot(*rise(heights_m, pitch_m))
    uphill_m = catchment_m2(heights_m, pitch_m, where) / pitch_m
    return np.log(uphill_m / np.maximum(slope, number("inputs.terrain_least_slope")))


def catchment_m2(heights_m: Floats, pitch_m: float, where: str) -> Floats:
    """Give the ground from which water reaches each square, itself included, NaN where no height is known.

    Water leaves a square for all lower neighbours, the more the steeper the way (Freeman 1991). Hollows are
    filled up to where they run over; across such flat ground it takes the way by which the filling came. At
    the edge of what is known water that finds no lower neighbour is gone.
    """
    known = np.isfinite(heights_m)
    # Whole float32: what the library compares in; taken from the lowest, so that heights above sea cost none.
    lowest = np.nanmin(heights_m) if known.any() else 0.0
    level, written = _filled((heights_m - lowest).astype(np.float32).astype(np.float64), where)
    neighbours = [_shifted(level, step) for step in _AROUND]
    power = number("inputs.terrain_flow_exponent")
    weights = np.stack(
        [
            np.nan_to_num(np.maximum((level - one) / np.hypot(*step), 0.0)) ** power
            for one, step in zip(neighbours, _AROUND, strict=True)
        ]
    )
    inner = np.isfinite(level + np.sum(neighbours, axis=0))
    flat = inner & ~weights.any(axis=0)
    weights += flat & (np.array(_WRITTEN)[:, None, None] == written)
    shares = weights / np.where(known & weights.any(axis=0), weights.sum(axis=0), 1.0)
    index = np.arange(level.size).reshape(level.shape)
    there = np.stack([index + down * level.shape[1] + right for down, right in _AROUND])
    onward = np.where(flat, np.take_along_axis(there, weights.argmax(axis=0)[None], axis=0)[0], index)
    gives = shares > 0
    flow = _Flow(shares[gives], there[gives], np.broadcast_to(index, there.shape)[gives])
    gathered = _gathered(flow, _downhill(level, onward.ravel()), pitch_m**2)
    return np.where(known, gathered.reshape(level.shape), np.nan)


class _Flow(NamedTuple):
    """What share of its water each square gives to which."""

    shares: Floats
    into: Ints
    out_of: Ints


def _gathered(flow: _Flow, order: Ints, own_m2: float) -> Floats:
    """Add up what flows into each square, from the top down: a triangle of equations."""
    from scipy import sparse  # late: slow to import, and only this needs it
    from scipy.sparse import linalg

    size = len(order)
    rank = np.empty(size, dtype=np.int64)
    rank[order] = np.arange(size)
    given = sparse.csr_array((flow.shares, (rank[flow.into], rank[flow.out_of])), shape=(size, size))
    system = (sparse.eye_array(size, format="csr") - given).tocsr()
    found = linalg.spsolve_triangular(system, np.full(size, own_m2), lower=True, unit_diagonal=True)
    return np.asarray(found, dtype=np.float64)[rank]


def _downhill(level: Floats, onward: Ints) -> Ints:
    """Order the squares so that water only flows to later ones: by height, on flat ground by the way left."""
    steps = np.zeros(onward.size, dtype=np.int64)
    steps[onward != np.arange(onward.size)] = 1
    while (further := steps[onward]).any():  # each round doubles the way that is looked ahead
        steps = steps + further
        onward = onward[onward]
    return np.lexsort((-steps, -np.nan_to_num(level, nan=-1.0).ravel()))


def _filled(heights: Floats, where: str) -> tuple[Floats, Ints]:
    """Fill hollows up to where they run over, and give the way back by which the filling came."""
    try:
        from pyflwdir import dem  # late: it compiles, and only this needs it
    except ImportError as error:
        mend = "Install it: pip install 'sprayworth[terrain]'; or take \"wetness\" out."
        raise InputError("pyflwdir is not installed", where=where, mend=mend, code=SETTINGS) from error
    except RuntimeError as error:  # numba has no folder for what it compiles
        what = "pyflwdir finds no folder for what it compiles"
        mend = "Name one that may be written to in the variable NUMBA_CACHE_DIR, and run again."
        raise InputError(what, where=where, mend=mend, code=WORLD) from error
    filled, written = dem.fill_depressions(heights, nodata=np.nan)
    return np.where(np.isnan(heights), np.nan, filled), written.astype(np.int64)


def _shifted(values: Floats, step: tuple[int, int]) -> Floats:
    """Give the neighbour of each square, NaN beyond the edge."""
    down, right = step
    wide = np.pad(values, 1, constant_values=np.nan)
    rows, columns = values.shape
    return wide[1 + down : 1 + down + rows, 1 + right : 1 + right + columns]
