"""A GeoTIFF of any CRS, type and resolution, brought onto the field's grid as one number a cell.

The number is computed from the bands at the file's own resolution, then averaged over a cell, or drawn
between pixels where they are larger than a cell. Does not know what the number means.
"""

import logging
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import numpy.typing as npt
import rasterio
from affine import Affine
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError as ProjCRSError
from pyproj.exceptions import ProjError
from rasterio.enums import MaskFlags, Resampling
from rasterio.errors import CRSError, NotGeoreferencedWarning, RasterioError, RasterioIOError
from rasterio.warp import reproject, transform, transform_bounds
from rasterio.windows import Window

from zoning.errors import SETTINGS, InputError
from zoning.inputs.grid import Floats, Grid

Bools = npt.NDArray[np.bool_]

_STRIP_PIXELS = 1_000_000  # read at once: some 100 MB with all that is made of them
_CACHE_MB = 64  # the library would take a share of the machine's memory
_FINE = 4  # pixels along a cell that are enough for its average
_MARGIN = 2  # pixels read beyond the field on each side

logging.getLogger("rasterio").addHandler(logging.NullHandler())  # its complaints reach the user as InputError


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Warped:
    """Numbers on the grid: each NaN where it was seen in less than half a cell.

    `values` is the first number that `combine` gave, `others` are the rest.
    `covered` is True where the file has data at all, before its mask was laid over it; `pixel_m` is the
    side of a pixel on the ground; `tagged` says that the file's own scale and offset were used.
    """

    values: Floats
    covered: Bools
    pixel_m: float
    tagged: bool
    others: tuple[Floats, ...] = ()


@contextmanager
def _opened(path: Path, file: str) -> Iterator[rasterio.DatasetReader]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", NotGeoreferencedWarning)  # said below, with how to mend it
            source = rasterio.open(path, driver="GTiff")
    except RasterioIOError as error:
        raise InputError("it cannot be read as a GeoTIFF", where=file, mend="Export it again.") from error
    with rasterio.Env(GDAL_CACHEMAX=_CACHE_MB), source:
        if source.crs is None or source.transform.is_identity:
            mend = "Export it again as a GeoTIFF with its CRS."
            what = "the image has no CRS" if source.crs is None else "the image has a CRS but no place in it"
            raise InputError(f"{what}, so its place on earth is unknown", where=file, mend=mend)
        _check_crs(source, file)
        yield source


def _check_crs(source: rasterio.DatasetReader, file: str) -> None:
    """Refuse a CRS that has no place on earth, such as a local one: the library fails on it in many ways."""
    try:
        crs = CRS.from_wkt(source.crs.to_wkt())
        Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    except (CRSError, ProjCRSError, ProjError) as error:
        mend = "Export it again with a CRS that has an EPSG code."
        raise InputError("the image's CRS is not understood", where=file, mend=mend) from error


def onto_grid(path: Path, file: str, grid: Grid, wanted: Wanted) -> Warped:
    """Read what a GeoTIFF says about the cells of a grid.

    Raises
    ------
    InputError
        When the file cannot be read, has no CRS, lacks a band, or lies elsewhere.

    Notes
    -----
    Number and weight are warped together and divided afterwards, so that pixels without data neither count
    nor pull their neighbours towards some nodata code.
    """
    with _opened(path, file) as source:
        lacking = [band for band in (*wanted.bands, wanted.mask_band or 1) if band > source.count]
        if lacking and not (wanted.mask_path and lacking == [wanted.mask_band]):
            what = f"it has {source.count} bands, but band {lacking[0]} is asked for"
            raise InputError(what, where=file, mend="Correct the number in field.toml.", code=SETTINGS)
        window, pixel_m = _window(source, grid, file)
        tagged = (wanted.scale, wanted.offset) == (1, 0) and _has_tags(source, wanted.bands)
        factor = max(1, int(grid.cell_m / pixel_m / _FINE))
        try:
            sums, affine = _summed(source, window, factor, wanted)
        except RasterioIOError as error:
            raise InputError(
                "it is damaged: a part cannot be read", where=file, mend="Export it again."
            ) from error
        smooth = Resampling.average if pixel_m < grid.cell_m else Resampling.bilinear
        onto = _warped(sums, affine, source.crs, grid, smooth)
    with np.errstate(divide="ignore", invalid="ignore"):
        numbers = [
            np.where(seen >= 0.5, sums / seen, np.nan)
            for sums, seen in zip(onto[1::2], onto[2::2], strict=True)
        ]
    return Warped(
        values=numbers[0], others=tuple(numbers[1:]), covered=onto[0] >= 0.5, pixel_m=pixel_m, tagged=tagged
    )


def _window(source: rasterio.DatasetReader, grid: Grid, file: str) -> tuple[Window, float]:
    """Find the part of the file around the grid, and the side of a pixel in metres."""
    west, north = _at(grid.transform, 0, 0)
    east, south = _at(grid.transform, grid.shape[1], grid.shape[0])
    try:
        box = transform_bounds(grid.crs, source.crs, west, south, east, north)
    except (CRSError, RasterioError) as error:
        mend = "Export it again with a CRS that has an EPSG code."
        raise InputError("the image's CRS is not understood", where=file, mend=mend) from error
    if not np.isfinite(box).all():
        raise _misses(file)
    corners = [(box[0], box[1]), (box[0], box[3]), (box[2], box[1]), (box[2], box[3])]
    columns, rows = zip(*(_at(~source.transform, *corner) for corner in corners), strict=True)
    pixel_m = _pixel_m(source, grid)
    margin = _MARGIN + int(np.ceil(grid.cell_m / pixel_m))
    first_column, first_row = (max(0, int(np.floor(min(edge))) - margin) for edge in (columns, rows))
    last_column = min(source.width, int(np.ceil(max(columns))) + margin)
    last_row = min(source.height, int(np.ceil(max(rows))) + margin)
    if first_column >= last_column or first_row >= last_row:
        raise _misses(file)
    return Window(first_column, first_row, last_column - first_column, last_row - first_row), pixel_m


def _pixel_m(source: rasterio.DatasetReader, grid: Grid) -> float:
    """Measure the side of a pixel in the middle of the grid, in metres: root of its area."""
    east = grid.left_m + grid.cell_m * grid.shape[1] / 2
    north = grid.top_m - grid.cell_m * grid.shape[0] / 2
    step = 10 * grid.cell_m
    xs, ys = transform(grid.crs, source.crs, [east, east + step, east], [north, north, north + step])
    columns, rows = zip(*(_at(~source.transform, x, y) for x, y in zip(xs, ys, strict=True)), strict=True)
    pixels = abs(
        (columns[1] - columns[0]) * (rows[2] - rows[0]) - (columns[2] - columns[0]) * (rows[1] - rows[0])
    )
    return float(step / np.sqrt(pixels))


def _at(affine: Affine, column: float, row: float) -> tuple[float, float]:
    """Give the place of a column and row; written out, as the library's own operator differs by version."""
    return affine.a * column + affine.b * row + affine.c, affine.d * column + affine.e * row + affine.f


def _moved(affine: Affine, window: Window, factor: int) -> Affine:
    """Give the transform of a window whose pixels are factor times as large."""
    east, north = _at(affine, window.col_off, window.row_off)
    return Affine(affine.a * factor, affine.b * factor, east, affine.d * factor, affine.e * factor, north)


def _misses(file: str) -> InputError:
    mend = "Check that it is of this field, and its CRS."
    return InputError("the image misses the field", where=file, mend=mend)


def _has_tags(source: rasterio.DatasetReader, bands: Sequence[int]) -> bool:
    return any((source.scales[band - 1], source.offsets[band - 1]) != (1, 0) for band in bands)


def _summed(
    source: rasterio.DatasetReader, window: Window, factor: int, wanted: Wanted
) -> tuple[npt.NDArray[np.float64], Affine]:
    """Give has data, then number x seen and seen for each number, averaged over factor x factor pixels."""
    mask = _Mask(wanted)
    rows = max(1, _STRIP_PIXELS // (window.width * factor)) * factor
    strips = []
    for first in range(0, window.height, rows):
        strip = Window(window.col_off, window.row_off + first, window.width, min(rows, window.height - first))
        bands, has_data = _bands(source, strip, wanted)
        numbers = wanted.combine(bands)
        has_data &= np.isfinite(numbers[0])
        clear = has_data & mask.clear(source, strip)
        layers: list[npt.NDArray[np.generic]] = [has_data]
        for number in numbers:
            seen = clear & np.isfinite(number)
            layers += [np.where(seen, number, 0.0), seen]
        strips.append(_blocks(np.stack(layers).astype(np.float64), factor))
    return np.concatenate(strips, axis=1), _moved(source.transform, window, factor)


def _blocks(layers: npt.NDArray[np.float64], factor: int) -> npt.NDArray[np.float64]:
    """Mean over factor x factor pixels; what is missing at the last edges counts as unseen."""
    if factor == 1:
        return layers
    count, rows, columns = layers.shape
    whole = np.pad(layers, ((0, 0), (0, -rows % factor), (0, -columns % factor)))
    shape = (count, whole.shape[1] // factor, factor, whole.shape[2] // factor, factor)
    return np.asarray(whole.reshape(shape).mean(axis=(2, 4)))


def _bands(source: rasterio.DatasetReader, strip: Window, wanted: Wanted) -> tuple[list[Floats], Bools]:
    """Bands as scaled float64, and which pixels have data: nodata, alpha, mask and all-zero counts."""
    alphas = {place + 1 for place, kind in enumerate(source.colorinterp) if kind.name == "alpha"}
    named_alpha = bool(
        alphas & set(wanted.bands)
    )  # four bands of bytes: the fourth is called alpha, but is not
    has_data = np.ones((strip.height, strip.width), dtype=bool)
    all_zero = np.ones_like(has_data)
    scaled = []
    for band in wanted.bands:
        raw = source.read(band, window=strip)
        if MaskFlags.alpha in source.mask_flag_enums[band - 1] and named_alpha:
            nodata = source.nodatavals[band - 1]
            seen = np.ones_like(has_data) if nodata is None else raw != nodata
        else:
            seen = source.read_masks(band, window=strip) > 0
        has_data &= seen
        all_zero &= (raw == 0) if np.issubdtype(raw.dtype, np.integer) else False
        scale, offset = wanted.scale, wanted.offset
        if (scale, offset) == (1, 0):
            scale, offset = source.scales[band - 1], source.offsets[band - 1]
        scaled.append(raw.astype(np.float64) * scale + offset)
    if len(wanted.bands) > 1:
        has_data &= ~all_zero  # every band at count 0 is the edge of a scene, not ground
    return [np.where(has_data, band, np.nan) for band in scaled], has_data


class _Mask:
    """The cloud or quality mask, laid over each strip by its nearest value; its file is read once."""

    def __init__(self, wanted: Wanted) -> None:
        self.wanted = wanted
        self.keep: npt.NDArray[np.uint8] | None = None
        if wanted.mask_path is not None:
            self._read(wanted.mask_path)

    def _read(self, path: Path) -> None:
        wanted, band = self.wanted, self.wanted.mask_band or 1
        with _opened(path, wanted.mask_file) as mask:
            if band > mask.count:
                what = f"it has {mask.count} bands, but band {band} is asked for"
                mend = "Correct mask_band in field.toml."
                raise InputError(what, where=wanted.mask_file, mend=mend, code=SETTINGS)
            keep = np.isin(mask.read(band), wanted.keep) & (mask.read_masks(band) > 0)
            self.keep, self.transform, self.crs = keep.astype(np.uint8), mask.transform, mask.crs

    def clear(self, source: rasterio.DatasetReader, strip: Window) -> Bools:
        if self.keep is None:
            if self.wanted.mask_band is None:
                return np.ones((strip.height, strip.width), dtype=bool)
            return np.isin(source.read(self.wanted.mask_band, window=strip), self.wanted.keep)
        clear = np.zeros((strip.height, strip.width), dtype=np.uint8)
        reproject(
            self.keep,
            clear,
            src_transform=self.transform,
            src_crs=self.crs,
            dst_transform=_moved(source.transform, strip, 1),
            dst_crs=source.crs,
            resampling=Resampling.nearest,
        )
        return clear > 0


def _warped(
    layers: npt.NDArray[np.float64], affine: Affine, crs: object, grid: Grid, smooth: Resampling
) -> npt.NDArray[np.float64]:
    onto = np.zeros((len(layers), *grid.shape))
    reproject(
        layers,
        onto,
        src_transform=affine,
        src_crs=crs,
        dst_transform=grid.transform,
        dst_crs=grid.crs,
        resampling=smooth,
        tolerance=0,
    )
    return onto
