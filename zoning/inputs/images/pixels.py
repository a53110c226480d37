"""The pixels of an open GeoTIFF, part by part: bands as numbers, and where they are data and clear.

A part is made of whole blocks of the file, so that none is decoded twice, and is handed on in pieces that
stay in the processor's cache. Does not know where the pixels lie on the grid.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt
import rasterio
from rasterio.enums import ColorInterp, MaskFlags, Resampling
from rasterio.vrt import WarpedVRT
from rasterio.windows import Window

from zoning.inputs.grid import Floats
from zoning.inputs.images.averaged import Pair

Bools = npt.NDArray[np.bool_]
Raw = npt.NDArray[np.integer | np.floating]

_PART_PIXELS = 1_000_000  # read at once, in the file's own type
_PIECE_PIXELS = 65_536  # made into numbers at once: half a megabyte a band
_ROUNDED = 1e-6  # a nodata value of a float file may have been written with so few digits


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wanted:
    """Which bands to read, how to make numbers of them, and which pixels to leave out.

    `combine` takes the bands in the order of `bands`, float64, scaled, NaN where there are no data, and gives
    one or more numbers a pixel. It is called for a part of the image at a time.
    `keep` holds the mask values that mean clear ground; the mask is `mask_band` of the same file, or the
    first band (or `mask_band`) of `mask_path`, on its own grid.
    """

    bands: tuple[int, ...]
    combine: Callable[[Sequence[Floats]], Sequence[Floats]]
    scale: float = 1.0
    offset: float = 0.0
    mask_path: Path | None = None
    mask_file: str = ""
    mask_band: int | None = None
    keep: tuple[int, ...] = field(default=(0,))

    @property
    def class_band(self) -> int | None:
        """The band of the image itself that says what each pixel is."""
        return None if self.mask_path else self.mask_band


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """Some pixels: where they have data at all, and each number with where it counts."""

    window: Window
    has_data: Bools
    pairs: list[Pair]


def pieces(
    source: rasterio.DatasetReader,
    parts: Sequence[Window],
    wanted: Wanted,
    *,
    mask: WarpedVRT | None,
    reduced: bool,
) -> Iterator[Piece]:
    """Read parts of an image, one after the other.

    Parameters
    ----------
    source : DatasetReader
        Open.
    parts : sequence of Window
        What `blocks` gives.
    wanted : Wanted
    mask : WarpedVRT, optional
        What `mask_like` makes of the mask in a file of its own.
    reduced : bool
        Whether this is an overview of the file.
    """
    reader = _Reader(source, wanted)
    if reduced and reader.alpha:
        # Such a pixel may hold some of the nothing at the edge: it must be shown as much as any is.
        reader.shown = max(int(source.read(reader.alpha, window=part).max()) for part in parts)
    for part in parts:
        raw, seen, clear = reader.read(part)
        if mask is not None:
            band = wanted.mask_band or 1
            laid = np.isin(mask.read(band, window=part), wanted.keep)
            clear = laid & (mask.dataset_mask(window=part) > 0)
        rows = max(1, _PIECE_PIXELS // part.width)
        for first in range(0, part.height, rows):
            cut = slice(first, min(part.height, first + rows))
            bands, has_data = reader.numbers(raw[:, cut], None if seen is None else seen[cut])
            numbers = wanted.combine(bands)
            has_data &= np.isfinite(numbers[0])
            counts = has_data if clear is None else has_data & clear[cut]
            pairs = [(number, counts & np.isfinite(number)) for number in numbers]
            window = Window(part.col_off, part.row_off + first, part.width, cut.stop - first)
            yield Piece(window=window, has_data=has_data, pairs=pairs)


def blocks(source: rasterio.DatasetReader, window: Window) -> list[Window]:
    """Cut a window into parts along the blocks of the file: about a million pixels, at least one block.

    Examples
    --------
    >>> tiles = {"tiled": True, "blockxsize": 1024, "blockysize": 1024}
    >>> shape = {"width": 3000, "height": 2000, "count": 1, "dtype": "uint8"}
    >>> shape["transform"] = rasterio.Affine.scale(0.1)
    >>> with rasterio.MemoryFile() as memory, memory.open(driver="GTiff", **shape, **tiles) as file:
    ...     [(part.col_off, part.width) for part in blocks(file, Window(1000, 100, 100, 200))]
    [(1000, 24), (1024, 76)]
    """
    height, width = source.block_shapes[0]
    columns = max(1, int(_PART_PIXELS**0.5) // width) * width
    rows = max(1, _PART_PIXELS // (min(columns, window.width) * height)) * height
    return [
        Window(left, top, right - left, bottom - top)
        for top, bottom in _steps(window.row_off, window.height, rows)
        for left, right in _steps(window.col_off, window.width, columns)
    ]


def _steps(first: int, count: int, step: int) -> list[tuple[int, int]]:
    """Cut a range at the multiples of a step."""
    edges = [first, *range(first - first % step + step, first + count, step), first + count]
    return list(pairwise(edges))


def mask_like(mask: rasterio.DatasetReader, source: rasterio.DatasetReader) -> WarpedVRT:
    """Lay a mask over the pixels of an image by its nearest value, without reading it yet."""
    alpha = any(kind is ColorInterp.alpha for kind in mask.colorinterp)
    return WarpedVRT(
        mask,
        crs=source.crs,
        transform=source.transform,
        width=source.width,
        height=source.height,
        resampling=Resampling.nearest,
        add_alpha=mask.nodata is None and not alpha,
    )


class _Reader:
    """Reads the wanted bands of an image, and tells nodata, alpha, mask and all-zero counts from ground."""

    def __init__(self, source: rasterio.DatasetReader, wanted: Wanted) -> None:
        self.source, self.wanted = source, wanted
        self.alpha, self.shown = _alpha(source, wanted), 1
        further = (wanted.class_band, self.alpha)
        self.indexes = [*wanted.bands, *(band for band in further if band is not None)]
        flags = [source.mask_flag_enums[band - 1] for band in wanted.bands]
        self.masked = any(MaskFlags.per_dataset in flag and MaskFlags.alpha not in flag for flag in flags)
        self.nodata = [None if self.masked else source.nodatavals[band - 1] for band in wanted.bands]
        tagged = (wanted.scale, wanted.offset) == (1, 0)
        self.scales = [
            (source.scales[band - 1], source.offsets[band - 1]) if tagged else (wanted.scale, wanted.offset)
            for band in wanted.bands
        ]

    def read(self, part: Window) -> tuple[Raw, Bools | None, Bools | None]:
        """Give the raw bands, which pixels the file's mask shows, and which its classes keep."""
        raw = self.source.read(self.indexes, window=part)
        seen = self.source.read_masks(self.indexes[0], window=part) > 0 if self.masked else None
        if self.alpha is not None:
            seen = raw[-1] >= self.shown if seen is None else seen & (raw[-1] >= self.shown)
        bands = len(self.wanted.bands)
        clear = None if self.wanted.class_band is None else np.isin(raw[bands], self.wanted.keep)
        return raw[:bands], seen, clear

    def numbers(self, raw: Raw, seen: Bools | None) -> tuple[list[Floats], Bools]:
        """Give bands as scaled float64, NaN without data, and which pixels have data."""
        has_data = np.ones(raw.shape[1:], dtype=bool) if seen is None else seen.copy()
        for band, nodata in zip(raw, self.nodata, strict=True):
            if nodata is not None:
                has_data &= ~_is(band, nodata)
        if len(raw) > 1 and np.issubdtype(raw.dtype, np.integer):
            has_data &= raw.any(axis=0)  # every band at count 0 is the edge of a scene, not ground
        scaled = []
        for band, (scale, offset) in zip(raw, self.scales, strict=True):
            # one of the two kinds of "no number" warns when it is widened
            with np.errstate(invalid="ignore"):
                number = band.astype(np.float64)
            if (scale, offset) != (1, 0):
                number *= scale
                number += offset
            scaled.append(number)
        if not has_data.all():
            for number in scaled:
                number[~has_data] = np.nan
        return scaled, has_data


def _alpha(source: rasterio.DatasetReader, wanted: Wanted) -> int | None:
    """Find the band that says which pixels show anything; the library sees it only among two or four bands.

    Four bands of bytes are called red, green, blue and alpha by default; a band that is asked for is none.
    """
    alphas = [place + 1 for place, kind in enumerate(source.colorinterp) if kind is ColorInterp.alpha]
    if not alphas or set(alphas) & {*wanted.bands, wanted.class_band}:
        return None
    return alphas[0]


def _is(band: Raw, nodata: float) -> Bools:
    """Say where a band holds its nodata value."""
    if np.isnan(nodata):
        return np.asarray(np.isnan(band))
    if np.issubdtype(band.dtype, np.integer):
        whole = int(nodata)
        return np.asarray(band == whole) if whole == nodata else np.zeros(band.shape, dtype=bool)
    most = float(np.finfo(np.float64 if band.dtype.itemsize > 4 else np.float32).max)
    near = sorted(float(np.clip(nodata * (1 + off), -most, most)) for off in (-_ROUNDED, _ROUNDED))
    return np.asarray((band >= near[0]) & (band <= near[1]))
