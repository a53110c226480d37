"""A GeoTIFF of any CRS, type and resolution, brought onto the field's grid as one number a cell, or several.

The number is computed from the bands at the file's own resolution, then averaged over a cell, or drawn
between pixels where they are larger than a cell. Does not know what the number means.
"""

import logging
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import rasterio
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError as ProjCRSError
from pyproj.exceptions import ProjError
from rasterio.enums import Interleaving
from rasterio.errors import CRSError, RasterioError, RasterioIOError
from rasterio.vrt import WarpedVRT
from rasterio.warp import transform, transform_bounds
from rasterio.windows import Window
from shapely import Polygon

from zoning.errors import SETTINGS, InputError
from zoning.inputs import grid_files
from zoning.inputs.area import geodesic_ac
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.images import overviews, tiff
from zoning.inputs.images.averaged import Averaged, Drawn, OntoCells, Place, at
from zoning.inputs.images.pixels import Wanted as Wanted
from zoning.inputs.images.pixels import blocks, mask_like, pieces
from zoning.units import m2_from_ac

Bools = npt.NDArray[np.bool_]

_CACHE_BYTES = 64 * 2**20  # of decoded blocks; the library would take a share of the machine's memory
_BLOCK_BYTES = 128 * 2**20  # a block can only be decoded whole
_POLE_DEG = 90.0
_KNOTS = 9  # places along each side of an image by which its outline is drawn
_MARGIN = 2  # pixels read beyond the field on each side
_MANY_PIXELS = 100_000_000  # fewer are read whatever the size of the file
_PIXEL_M = (1e-4, 1e6)  # sides of a pixel between which all images lie; others are numbers gone wrong
_SHRUNK = 1032  # pixels in a byte of the file: the usual way to compress makes no more of equal ones

logging.getLogger("rasterio").addHandler(logging.NullHandler())  # its complaints reach the user as InputError


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Extent:
    """Where a GeoTIFF lies, in longitude and latitude, and the side of a pixel on the ground."""

    outline: Polygon
    pixel_m: float


@contextmanager
def _opened(path: Path, file: str) -> Iterator[rasterio.DatasetReader]:
    try:
        source = tiff.opened(path, file)
    except RasterioIOError as error:
        mend = "Export it again."
        if path.suffix.lower() not in (".tif", ".tiff"):
            mend = "Name a GeoTIFF (.tif); points and tables are no maps, and polygons are only in [[layer]]."
        raise InputError("it cannot be read as a GeoTIFF", where=file, mend=mend) from error
    with rasterio.Env(GDAL_CACHEMAX=_CACHE_BYTES), source:
        if source.crs is None or source.transform.is_identity:
            mend = "Export it again as a GeoTIFF with its CRS."
            what = "the image has no CRS" if source.crs is None else "the image has a CRS but no place in it"
            raise InputError(f"{what}, so its place on earth is unknown", where=file, mend=mend)
        _check_crs(source, file)
        if source.transform.is_degenerate:
            what, mend = "its pixels have no area, so they lie nowhere", "Export it again."
            raise InputError(what, where=file, mend=mend)
        yield source


def _check_crs(source: rasterio.DatasetReader, file: str) -> None:
    """Refuse a CRS that has no place on earth, such as a local one: the library fails on it in many ways."""
    try:
        wkt = source.crs.to_wkt()
        grid_files.refuse(wkt, file)
        _way_to_earth(wkt)
    except (CRSError, ProjCRSError, ProjError) as error:
        mend = "Export it again with a CRS that has an EPSG code."
        raise InputError("the image's CRS is not understood", where=file, mend=mend) from error


@lru_cache(maxsize=64)
def _way_to_earth(wkt: str) -> Transformer:
    return Transformer.from_crs(CRS.from_wkt(wkt), "EPSG:4326", always_xy=True)


def extent(path: Path, file: str) -> Extent:
    """Say where a GeoTIFF lies, also one that misses the field.

    Raises
    ------
    InputError
        When the file cannot be read, has no CRS, or lies nowhere on earth.
    """
    with _opened(path, file) as source:
        along = np.linspace(0, 1, _KNOTS)
        ring = [(u, 0.0) for u in along] + [(1.0, v) for v in along[1:]]
        ring += [(1 - u, 1.0) for u in along[1:]] + [(0.0, 1 - v) for v in along[1:]]
        places = [at(source.transform, u * source.width, v * source.height) for u, v in ring]
        try:
            lon, lat = transform(source.crs, "EPSG:4326", *zip(*places, strict=True))
        except (CRSError, RasterioError) as error:
            raise _misses(file) from error
        if not (np.isfinite(lon).all() and np.abs(lat).max() <= _POLE_DEG):  # NaN is no less than that
            raise _misses(file)
        outline = Polygon(zip(lon, lat, strict=True))
        pixels = source.width * source.height
    return Extent(outline=outline, pixel_m=float(np.sqrt(m2_from_ac(geodesic_ac(outline)) / pixels)))


def onto_grid(path: Path, file: str, grid: Grid, wanted: Wanted) -> Warped:
    """Read what a GeoTIFF says about the cells of a grid.

    Raises
    ------
    InputError
        When the file cannot be read, has no CRS, lacks a band, or lies elsewhere.

    Notes
    -----
    Only the wanted bands are read, only around the grid, and each block of the file once; memory does not
    grow with the file. Pixels smaller than a cell are averaged by the area that they share with it.

    Where millions of pixels would have to be read and the file carries overviews whose pixels are at most a
    quarter of a cell, the coarsest of these is read instead: the number is then computed from bands that
    were averaged over such a pixel. It is used only where a comparison with the pixels shows averages, not
    picked pixels, and never where a band of the file holds classes, which have no average.
    """
    with _opened(path, file) as source:
        lacking = [band for band in (*wanted.bands, wanted.mask_band or 1) if band > source.count]
        if lacking and not (wanted.mask_path and lacking == [wanted.mask_band]):
            what = f"it has {source.count} bands, but band {lacking[0]} is asked for"
            raise InputError(what, where=file, mend="Correct the number in field.toml.", code=SETTINGS)
        _check_blocks(source, file)
        window, pixel_m = _window(source, grid, file)
        _check_pixels(path, window, file)
        tagged = (wanted.scale, wanted.offset) == (1, 0) and _has_tags(source, wanted.bands)
        try:
            covered, numbers = _read(path, file, source, window, (grid, wanted))
        except RasterioIOError as error:
            raise InputError(
                "it is damaged: a part cannot be read", where=file, mend="Export it again."
            ) from error
    return Warped(
        values=numbers[0], others=tuple(numbers[1:]), covered=covered, pixel_m=pixel_m, tagged=tagged
    )


def _check_blocks(source: rasterio.DatasetReader, file: str) -> None:
    """Refuse an image that is compressed in one piece too large to be held."""
    height, width = source.block_shapes[0]
    bands = source.count if source.interleaving is Interleaving.pixel else 1
    if height * width * bands * np.dtype(source.dtypes[0]).itemsize > _BLOCK_BYTES:
        what = f"it is stored in blocks of {width:,} x {height:,} pixels, too large to be read one by one"
        raise InputError(what, where=file, mend="Export it again in tiles, as of 512 x 512 pixels.")


def _check_pixels(path: Path, window: Window, file: str) -> None:
    """Refuse a small file that says it has so many pixels that none of it would ever be read."""
    pixels, size = window.width * window.height, path.stat().st_size
    if pixels > max(_MANY_PIXELS, _SHRUNK * size):
        what = f"it says it has {pixels:,} pixels around the field, but it has only {size:,} bytes"
        raise InputError(what, where=file, mend="Export it again.")


def _read(
    path: Path, file: str, source: rasterio.DatasetReader, window: Window, what: tuple[Grid, Wanted]
) -> tuple[Bools, list[Floats]]:
    """Read a window of the file, or the same of one of its overviews."""
    grid, wanted = what
    place = Place(source.transform, source.crs, window, grid)
    level = overviews.level(source, wanted.bands[0], window, place.longest)
    if level is not None and wanted.class_band is None:
        with tiff.opened(path, file, level) as small:
            if overviews.averages(source, small, wanted.bands, window):
                window = overviews.scaled(window, source, small)
                place = Place(small.transform, small.crs, window, grid)
                return _gathered(small, file, (window, place), what, reduced=True)
    return _gathered(source, file, (window, place), what)


def _gathered(
    source: rasterio.DatasetReader,
    file: str,
    where: tuple[Window, Place],
    what: tuple[Grid, Wanted],
    *,
    reduced: bool = False,
) -> tuple[Bools, list[Floats]]:
    (window, place), (grid, wanted) = where, what
    parts = [part for part in blocks(source, window) if place.touches(part, grid)]
    if not parts:
        raise _misses(file)
    onto: OntoCells | None = None
    with _mask(wanted, source, grid) as mask:
        for piece in pieces(source, parts, wanted, mask=mask, reduced=reduced):
            if onto is None:
                count = len(piece.pairs)
                small = place.longest < 1
                onto = Averaged(place, window, grid, count) if small else Drawn(source, window, grid, count)
            onto.add(piece.window, piece.has_data, piece.pairs)
    assert onto is not None
    return onto.found()


@contextmanager
def _mask(wanted: Wanted, source: rasterio.DatasetReader, grid: Grid) -> Iterator[WarpedVRT | None]:
    """Open the mask in a file of its own, laid over the image."""
    if wanted.mask_path is None:
        yield None
        return
    band = wanted.mask_band or 1
    with ExitStack() as stack:
        mask = stack.enter_context(_opened(wanted.mask_path, wanted.mask_file))
        if band > mask.count:
            what = f"it has {mask.count} bands, but band {band} is asked for"
            mend = "Correct mask_band in field.toml."
            raise InputError(what, where=wanted.mask_file, mend=mend, code=SETTINGS)
        _check_blocks(mask, wanted.mask_file)
        _window(mask, grid, wanted.mask_file)  # a mask of another place would hide the whole field
        yield stack.enter_context(mask_like(mask, source))


def _window(source: rasterio.DatasetReader, grid: Grid, file: str) -> tuple[Window, float]:
    """Find the part of the file around the grid, and the side of a pixel in metres."""
    west, north = at(grid.transform, 0, 0)
    east, south = at(grid.transform, grid.shape[1], grid.shape[0])
    try:
        box = transform_bounds(grid.crs, source.crs, west, south, east, north)
    except (CRSError, RasterioError) as error:
        mend = "Export it again with a CRS that has an EPSG code."
        raise InputError("the image's CRS is not understood", where=file, mend=mend) from error
    if not np.isfinite(box).all():
        raise _misses(file)
    corners = [(box[0], box[1]), (box[0], box[3]), (box[2], box[1]), (box[2], box[3])]
    columns, rows = zip(*(at(~source.transform, *corner) for corner in corners), strict=True)
    pixel_m = _pixel_m(source, grid)
    if not (np.isfinite([*columns, *rows, pixel_m]).all() and pixel_m > 0):
        raise _misses(file)
    margin = _MARGIN + int(np.ceil(grid.cell_m / pixel_m))
    first_column, first_row = (max(0, int(np.floor(min(edge))) - margin) for edge in (columns, rows))
    last_column = min(source.width, int(np.ceil(max(columns))) + margin)
    last_row = min(source.height, int(np.ceil(max(rows))) + margin)
    if first_column >= last_column or first_row >= last_row:
        raise _misses(file)
    if not _PIXEL_M[0] < pixel_m < _PIXEL_M[1]:
        what, mend = f"its pixels are {pixel_m:.3g} m wide", "Export it again with its place and its CRS."
        raise InputError(what, where=file, mend=mend)
    return Window(first_column, first_row, last_column - first_column, last_row - first_row), pixel_m


def _pixel_m(source: rasterio.DatasetReader, grid: Grid) -> float:
    """Measure the side of a pixel in the middle of the grid, in metres: root of its area."""
    east = grid.left_m + grid.cell_m * grid.shape[1] / 2
    north = grid.top_m - grid.cell_m * grid.shape[0] / 2
    step = 10 * grid.cell_m
    xs, ys = transform(grid.crs, source.crs, [east, east + step, east], [north, north, north + step])
    columns, rows = zip(*(at(~source.transform, x, y) for x, y in zip(xs, ys, strict=True)), strict=True)
    pixels = abs(
        (columns[1] - columns[0]) * (rows[2] - rows[0]) - (columns[2] - columns[0]) * (rows[1] - rows[0])
    )
    return float(step / np.sqrt(pixels)) if pixels > 0 else np.inf


def _misses(file: str) -> InputError:
    mend = "Check that it is of this field, and its CRS."
    return InputError("the image misses the field", where=file, mend=mend)


def _has_tags(source: rasterio.DatasetReader, bands: Sequence[int]) -> bool:
    return any((source.scales[band - 1], source.offsets[band - 1]) != (1, 0) for band in bands)
