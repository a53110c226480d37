"""The smaller copies that a GeoTIFF may carry of itself: which one serves, and whether it can be trusted."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import rasterio
from rasterio.windows import Window

_PLENTY_PIXELS = 4_000_000  # fewer are read whole: quick enough, and the index comes before the average
_FINE = 4  # pixels of an overview that a cell must be long
_LOOKED_AT = 16  # pixels of an overview, along each side of the places at which it is checked
_PLACES = (0.25, 0.5, 0.75)  # of the window, across and down
_FEWEST = 64  # pixels of an overview, with data, that can tell an average
_LIKE_AVERAGE = 0.5  # of the scatter within a pixel of the overview: a picked pixel is off by about all of it


def level(source: rasterio.DatasetReader, band: int, window: Window, longest_cells: float) -> int | None:
    """Choose the coarsest overview whose pixels are fine enough for the cells; None: read the pixels.

    Parameters
    ----------
    source : DatasetReader
    band : int
    window : Window
        What would have to be read.
    longest_cells : float
        Longer side of a pixel of the file, in cells.
    """
    if window.width * window.height < _PLENTY_PIXELS:
        return None
    factors = source.overviews(band)
    serving = [place for place, factor in enumerate(factors) if factor * longest_cells * _FINE <= 1]
    return max(serving, key=lambda place: factors[place]) if serving else None


def scaled(window: Window, source: rasterio.DatasetReader, small: rasterio.DatasetReader) -> Window:
    """Give the part of an overview that holds a window of the file."""
    across, down = small.width / source.width, small.height / source.height
    left, top = int(window.col_off * across), int(window.row_off * down)
    right = min(small.width, int(np.ceil((window.col_off + window.width) * across)))
    bottom = min(small.height, int(np.ceil((window.row_off + window.height) * down)))
    return Window(left, top, right - left, bottom - top)


def averages(
    source: rasterio.DatasetReader, small: rasterio.DatasetReader, bands: Sequence[int], window: Window
) -> bool:
    """Say whether an overview holds averages of the file's pixels, by comparing them at a few places.

    An overview may be made of picked pixels, which is right for looking and wrong for measuring, and many
    files do not say how theirs were made.
    """
    if source.mask_flag_enums != small.mask_flag_enums:
        return False
    off, within = [], []
    on_small = scaled(window, source, small)
    for place in _PLACES:
        row, column = (
            first + max(0, min(int(place * count), count - _LOOKED_AT))
            for first, count in ((on_small.row_off, on_small.height), (on_small.col_off, on_small.width))
        )
        look = Window(column, row, min(_LOOKED_AT, on_small.width), min(_LOOKED_AT, on_small.height))
        rows = np.rint(np.arange(row, row + look.height + 1) * source.height / small.height).astype(int)
        columns = np.rint(np.arange(column, column + look.width + 1) * source.width / small.width).astype(int)
        behind = Window(columns[0], rows[0], columns[-1] - columns[0], rows[-1] - rows[0])
        for band in bands:
            mean, variance = _moments(_known(source, band, behind), rows - rows[0], columns - columns[0])
            off.append((_known(small, band, look) - mean).ravel())
            within.append(variance.ravel())
    difference, variance = np.concatenate(off), np.concatenate(within)
    known = np.isfinite(difference) & np.isfinite(variance)
    if known.sum() < _FEWEST * len(bands):
        return False
    rounding = float(np.issubdtype(np.dtype(small.dtypes[0]), np.integer))
    limit = _LIKE_AVERAGE * np.sqrt(variance[known].mean()) + rounding
    return bool(np.sqrt((difference[known] ** 2).mean()) <= limit)


def _known(source: rasterio.DatasetReader, band: int, window: Window) -> npt.NDArray[np.float64]:
    """Read a band as float64, NaN where the file says that there are no data."""
    read = source.read(band, window=window, masked=True)
    return np.asarray(read.astype(np.float64).filled(np.nan))


def _moments(
    values: npt.NDArray[np.float64], rows: npt.NDArray[np.int64], columns: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Mean and variance of the pixels between edges; NaN where one of them has no data."""
    count = np.outer(np.diff(rows), np.diff(columns))

    def mean(of: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return np.asarray(np.add.reduceat(np.add.reduceat(of, rows[:-1]), columns[:-1], axis=1) / count)

    middle = mean(values)
    return middle, mean((values - np.nanmean(values)) ** 2) - (middle - np.nanmean(values)) ** 2
