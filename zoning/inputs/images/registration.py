"""How far one image lies off another of the same ground, to a small part of a cell.

Two arrays in, a shift and how well it is known out; reads no file and moves no image.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.grid import Floats

Bools = npt.NDArray[np.bool_]

_FINE = 10  # parts of a cell to which the peak is looked up
_ROUNDS = 12  # of least squares at most
_CLOSE = 0.002  # cells: a smaller step ends it
_MOST = 500  # cells along a side, in the middle, are enough to tell
_FEWEST = 100  # cells that both images show
_DRAWN = 0.5  # of a cell's neighbours, by weight, must be known to draw it between them
_NEIGHBOURS = (1.0, 4.0, 6.0, 4.0, 1.0)  # weights of the smoothing, along rows and along columns
_PATCH = 8  # cells along a side: errors within a patch may be alike, between patches they are not


@dataclass(frozen=True, slots=True)
class Shift:
    """How far the pattern of one array lies off another's, in cells; `known_to` is its standard error."""

    rows: float
    columns: float
    known_to: float

    @property
    def cells(self) -> float:
        """Length of the shift [cells]."""
        return float(np.hypot(self.rows, self.columns))


def shift(reference: Floats, moving: Floats, *, most_cells: float) -> Shift | None:
    """Find how far the pattern in `moving` lies off the one in `reference`.

    Parameters
    ----------
    reference, moving : ndarray of float64, shape (rows, columns)
        NaN where unknown, as outside the field.
    most_cells : float
        Longest shift along rows or columns that is looked for. [cells]

    Returns
    -------
    Shift, optional
        What lies at (row, column) in `reference` is found at (row + rows, column + columns) in `moving`.
        None where there is no pattern to compare, or none that agrees within `most_cells`.

    Notes
    -----
    The peak of the cross-correlation is found by Fourier transform, then on a finer raster around it by a
    transform of that neighbourhood alone [1]_. A plane is taken off both first, as a slope has no place.

    The edge of the field lies still in both and holds such a peak back, the more the smoother the pattern.
    So the shift is brought to an end by least squares over the cells that both show: with `d` the difference
    of the two and `g` the mean of their slopes, sum g d = 0. Errors of one image do not occur in the slopes
    of the other, so sum g_1 g_2' tells how much the pattern itself says about its place; with the scatter of
    g d, summed over patches, within which errors may be alike, it gives the standard error.

    Examples
    --------
    >>> ground = np.random.default_rng(1).normal(size=(43, 40))
    >>> found = shift(ground[3:], ground[2:-1], most_cells=4)
    >>> round(found.rows, 1), round(abs(found.columns), 1), found.known_to < 0.1
    (1.0, 0.0, True)

    References
    ----------
    .. [1] M. Guizar-Sicairos, S. T. Thurman and J. R. Fienup, "Efficient subpixel image registration
       algorithms", Optics Letters 33, 156-158, 2008, doi 10.1364/OL.33.000156
    """
    middle = tuple(
        slice(max(0, (count - _MOST) // 2), (count + _MOST) // 2 if count > _MOST else count)
        for count in reference.shape
    )
    still, other = _pattern(reference[middle]), _pattern(moving[middle])
    if still is None or other is None:
        return None
    found = _peak(np.nan_to_num(still), np.nan_to_num(other), most_cells)
    slopes = np.array(np.gradient(still))
    for _ in range(_ROUNDS):
        drawn = drawn_at(other, *found)
        more = np.array(np.gradient(drawn))
        use = np.isfinite(slopes).all(axis=0) & np.isfinite(more).all(axis=0)
        if use.sum() < _FEWEST:
            return None
        first, second = _alike(still[use]), _alike(drawn[use])
        aside = np.column_stack(
            [np.ones(len(first)), *(one - one.mean() for one in np.nonzero(use)), first + second]
        )
        base = np.linalg.qr(aside)[0]
        of_first = _beside(slopes[:, use] / still[use].std(), base)
        of_second = _beside(more[:, use] / drawn[use].std(), base)
        step, known_to = _least_squares(_beside(second - first, base), of_first, of_second, use)
        if step is None:
            return None
        found = found - step
        if np.abs(found).max() > most_cells:
            return None
        if np.abs(step).max() < _CLOSE:
            break
    return Shift(float(found[0]), float(found[1]), known_to)


def _alike(values: Floats) -> Floats:
    return np.asarray((values - values.mean()) / values.std())


def _beside(values: Floats, base: Floats) -> Floats:
    """Take off what a plane and a factor between the two images explain."""
    return np.asarray(values - (values @ base) @ base.T)


def _least_squares(
    difference: Floats, slopes: Floats, others: Floats, use: Bools
) -> tuple[Floats | None, float]:
    """Give the step by which the second array lies too far, and its standard error in the worst direction."""
    told = slopes @ others.T
    told = (told + told.T) / 2
    if np.linalg.eigvalsh(told)[0] <= 0:
        return None, np.inf
    scores = (slopes + others) / 2 * difference
    rows, columns = np.nonzero(use)
    patch = rows // _PATCH * (use.shape[1] // _PATCH + 1) + columns // _PATCH
    of_patch = np.stack([np.bincount(patch, weights=score) for score in scores])
    inverse = np.linalg.inv(told)
    scatter = inverse @ (of_patch @ of_patch.T) @ inverse
    return inverse @ scores.sum(axis=1), float(np.sqrt(np.linalg.eigvalsh(scatter)[-1]))


def drawn_at(values: Floats, rows: float, columns: float) -> Floats:
    """Draw an array at places so many rows and columns further, between its four neighbours.

    Examples
    --------
    >>> drawn_at(np.array([[1.0, 3.0, 5.0]]), 0.0, 0.5).tolist()
    [[2.0, 4.0, 5.0]]
    """
    known = np.isfinite(values)
    filled = np.where(known, values, 0.0)
    sums, weights = np.zeros(values.shape), np.zeros(values.shape)
    down, right = int(np.floor(rows)), int(np.floor(columns))
    for row, of_row in ((down, 1 - (rows - down)), (down + 1, rows - down)):
        for column, of_column in ((right, 1 - (columns - right)), (right + 1, columns - right)):
            if of_row * of_column > 0:
                sums += of_row * of_column * _moved(filled, row, column)
                weights += of_row * of_column * _moved(known.astype(np.float64), row, column)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(weights >= _DRAWN, sums / weights, np.nan)


def _moved(values: Floats, rows: int, columns: int) -> Floats:
    """Give each place what stands whole rows and columns further, 0 beyond the edge."""
    found = np.zeros(values.shape)
    height, width = values.shape
    if abs(rows) < height and abs(columns) < width:
        there = values[max(0, rows) : height + min(0, rows), max(0, columns) : width + min(0, columns)]
        top, left = max(0, -rows), max(0, -columns)
        found[top : top + there.shape[0], left : left + there.shape[1]] = there
    return found


def _pattern(values: Floats) -> Floats | None:
    """Take off the plane, clip, and smooth over known neighbours; NaN stays. None: nothing is left."""
    known = np.isfinite(values)
    if known.sum() < _FEWEST:
        return None
    rows, columns = np.nonzero(known)
    terms = np.column_stack([np.ones(len(rows)), rows - rows.mean(), columns - columns.mean()])
    rest = values[known] - terms @ np.linalg.lstsq(terms, values[known], rcond=None)[0]
    rest -= np.median(rest)
    spread = number("zones.mad_to_sd") * float(np.median(np.abs(rest)))
    if spread <= 0:
        return None
    clipped = np.zeros(values.shape)
    clip = number("zones.clip_mad")
    clipped[known] = np.clip(rest / spread, -clip, clip)  # a bright roof is no pattern
    with np.errstate(invalid="ignore", divide="ignore"):
        smooth = _smoothed(clipped) / _smoothed(known.astype(np.float64))
    smooth[~known] = np.nan
    return np.asarray(smooth - smooth[known].mean())


def _smoothed(values: Floats) -> Floats:
    for axis in (0, 1):
        reach = len(_NEIGHBOURS) // 2
        padded = np.pad(values, [(reach, reach) if one == axis else (0, 0) for one in (0, 1)])
        count = values.shape[axis]
        values = sum(
            (
                weight * padded.take(range(place, place + count), axis)
                for place, weight in enumerate(_NEIGHBOURS)
            ),
            start=np.zeros(values.shape),
        )
    return values


def _peak(still: Floats, moving: Floats, most_cells: float) -> Floats:
    """Give the shift at which two arrays correlate best, to a fine part of a cell."""
    most = int(np.ceil(most_cells))
    size = tuple(count + 2 * most for count in still.shape)  # so that nothing comes round from the far side
    product = np.conj(np.fft.fft2(still, size)) * np.fft.fft2(moving, size)
    lags = np.arange(-most, most + 1)
    whole = np.fft.ifft2(product).real[np.ix_(lags, lags)]
    peak = np.array(np.unravel_index(whole.argmax(), whole.shape)) - most
    around = np.arange(-_FINE, _FINE + 1) / _FINE  # a cell to each side
    turns = [
        np.exp(2j * np.pi * np.outer(place + around, np.fft.fftfreq(count)))
        for place, count in zip(peak, size, strict=True)
    ]
    fine = (turns[0] @ product @ turns[1].T).real
    at = np.unravel_index(fine.argmax(), fine.shape)
    return np.array([peak[0] + around[at[0]], peak[1] + around[at[1]]])
