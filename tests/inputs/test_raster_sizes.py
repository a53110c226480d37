"""Any raster: how it lies, how its numbers are stored, how large it is."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import rasterio
from affine import Affine
from hypothesis import given, settings
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, GRID, NORTH, SOUTH, WEST, write_image
from pyproj import Transformer
from rasterio.enums import ColorInterp, Resampling
from rasterio.vrt import WarpedVRT
from rasterio.windows import Window

from zoning.errors import InputError
from zoning.inputs.images import overviews, pixels, raster

MIDDLE = ((WEST + EAST) / 2, (SOUTH + NORTH) / 2)
POINTS = 3  # along each side of a pixel, in the reference for images that lie askew


def plain(bands: tuple[int, ...] = (1,), **more: object) -> raster.Wanted:
    return raster.Wanted(bands=bands, combine=lambda parts: parts, **more)


def lying(
    pixel: float, *, angle: float = 0.0, shear: float = 0.0, south_up: bool = False, epsg: int = EPSG
) -> tuple[Affine, int, int]:
    """Where an image lies that covers the grid with some room, around its middle, in pixels of any CRS."""
    middle = Transformer.from_crs(EPSG, epsg, always_xy=True).transform(*MIDDLE)
    size = pixel / 90_000 if epsg == 4326 else pixel
    columns, rows = (int(900 / pixel), int(860 / pixel))
    there = (
        Affine.translation(*middle)
        @ Affine.rotation(angle)
        @ Affine.shear(shear, 0)
        @ Affine.scale(size, size if south_up else -size)
        @ Affine.translation(-columns / 2 - 0.3, -rows / 2 + 0.2)
    )
    return there, columns, rows


def places(there: Affine, column: np.ndarray, row: np.ndarray, epsg: int) -> tuple[np.ndarray, np.ndarray]:
    x = there.a * column + there.b * row + there.c
    y = there.d * column + there.e * row + there.f
    return (x, y) if epsg == EPSG else Transformer.from_crs(epsg, EPSG, always_xy=True).transform(x, y)


def ground(there: Affine, columns: int, rows: int, epsg: int) -> np.ndarray:
    """What an image of the one ground shows: smooth patches, and rows that no pixel below 2 m misses."""
    east, north = places(there, *np.meshgrid(np.arange(columns) + 0.5, np.arange(rows) + 0.5), epsg)
    return 100 + 30 * np.sin(east / 40) * np.cos(north / 55) + 10 * np.sin(east / 3.1 + north / 4.7)


def averages(values: np.ndarray, there: Affine, epsg: int) -> np.ndarray:
    """The average of a cell by its definition: exact along the cells, else by points inside every pixel."""
    known = np.isfinite(values)
    filled = np.where(known, values, 0.0)
    if epsg == EPSG and there.b == there.d == 0:
        across = overlaps((there.c - GRID.left_m) / GRID.cell_m, there.a / GRID.cell_m, values.shape[1], 1)
        down = overlaps((GRID.top_m - there.f) / GRID.cell_m, -there.e / GRID.cell_m, values.shape[0], 0)
        with np.errstate(invalid="ignore"):
            return (down.T @ filled @ across) / (down.T @ known @ across)
    sums, counts = np.zeros(GRID.shape), np.zeros(GRID.shape)
    inner = (np.arange(POINTS) + 0.5) / POINTS
    for below in inner:
        for right in inner:
            column, row = np.meshgrid(np.arange(values.shape[1]) + right, np.arange(values.shape[0]) + below)
            east, north = places(there, column, row, epsg)
            x = np.floor((east - GRID.left_m) / GRID.cell_m).astype(int)
            y = np.floor((GRID.top_m - north) / GRID.cell_m).astype(int)
            on = (x >= 0) & (x < GRID.shape[1]) & (y >= 0) & (y < GRID.shape[0]) & known
            np.add.at(sums, (y[on], x[on]), values[on])
            np.add.at(counts, (y[on], x[on]), 1)
    with np.errstate(invalid="ignore"):
        return sums / counts


def overlaps(first: float, step: float, count: int, side: int) -> np.ndarray:
    """The share of each pixel of a row in each cell; `first` and `step` in cells."""
    edges = first + step * np.arange(count + 1)
    low, high = np.minimum(edges[:-1], edges[1:]), np.maximum(edges[:-1], edges[1:])
    cell = np.arange(GRID.shape[side])
    return (np.minimum(high[:, None], cell + 1) - np.maximum(low[:, None], cell)).clip(0)


LYING = {
    "along the cells": {},
    "south up": {"south_up": True},
    "turned": {"angle": 31.0},
    "turned over": {"angle": 168.0, "south_up": True},
    "sheared": {"shear": 20.0},
    "degrees": {"epsg": 4326},
    "next zone": {"epsg": 32616},
    "web Mercator": {"epsg": 3857},
}
FINE = ("along the cells", "south up", "turned")  # tried with many pixels, too


@pytest.mark.parametrize(
    ("how", "pixel"), [(how, pixel) for how in LYING for pixel in (0.6, 2.7, 6.0) if how in FINE or pixel > 1]
)
def test_cells_hold_the_average_of_the_area_however_the_image_lies(
    tmp_path: Path, how: str, pixel: float
) -> None:
    epsg = LYING[how].get("epsg", EPSG)
    there, columns, rows = lying(pixel, **LYING[how])
    values = ground(there, columns, rows, epsg)
    noise = np.random.default_rng(3).normal(0, 10, values.shape)
    write_image(tmp_path / "a.tif", (values + noise)[None], crs=f"EPSG:{epsg}", transform=there)
    found = raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain()).values
    truth = averages(values + noise, there, epsg)
    off = found - truth
    assert np.isfinite(found).all()
    if how in ("along the cells", "south up"):
        assert np.abs(off).max() < 1e-9
    # Elsewhere a pixel is shared out as if it lay along the cells. The noise of 10 gives a cell of 10 m a
    # scatter of 10 x pixel / 10; what the sharing adds is below a quarter of it.
    assert np.sqrt(np.mean(off**2)) < 0.25 * pixel
    assert abs(off.mean()) < 0.02


def test_averages_against_the_library(tmp_path: Path) -> None:
    # Witness: the warper's own average, which is by shared area where the pixels lie along the cells.
    there, columns, rows = lying(2.7)
    values = ground(there, columns, rows, EPSG)
    write_image(tmp_path / "a.tif", values[None], transform=there)
    found = raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain()).values
    with (
        rasterio.open(tmp_path / "a.tif") as source,
        WarpedVRT(
            source,
            crs=GRID.crs,
            transform=GRID.transform,
            height=GRID.shape[0],
            width=GRID.shape[1],
            resampling=Resampling.average,
        ) as theirs,
    ):
        assert found == pytest.approx(theirs.read(1), abs=1e-6)


def test_two_images_of_one_ground_agree(tmp_path: Path) -> None:
    """Grids that do not line up are brought onto the field's grid, never laid upon each other by index."""
    found = []
    for name, there in {
        "straight": lying(2.0)[0],
        "half a pixel on": lying(2.0)[0] @ Affine.translation(0.5, 0.5),
        "turned": lying(2.0, angle=-17)[0],
        "coarse": lying(9.0)[0],
        "larger than a cell": lying(14.0)[0],
    }.items():
        pixel = abs(complex(there.a, there.d))
        columns, rows = int(1100 / pixel), int(1100 / pixel)
        there = there @ Affine.translation(-60 / pixel, -60 / pixel)
        east, north = places(there, *np.meshgrid(np.arange(columns) + 0.5, np.arange(rows) + 0.5), EPSG)
        values = 100 + 30 * np.sin(east / 40) * np.cos(north / 55)
        write_image(tmp_path / f"{name}.tif", values[None], transform=there)
        found.append(raster.onto_grid(tmp_path / f"{name}.tif", name, GRID, plain()).values)
    steepest = 30 / 40  # of this ground, for each metre
    for other, most_off_m in zip(found[1:], (0.2, 0.4, 1.0, 1.5), strict=True):
        assert np.isfinite(other).all()
        assert np.abs(other - found[0]).max() < most_off_m * steepest


# -- how numbers are stored -------------------------------------------------------------------------------

STORED = {
    "bytes in strips": ("uint8", 255, {"blockysize": 7}),
    "shorts": ("int16", -32768, {"tiled": True, "blockxsize": 64, "blockysize": 32}),
    "counts by pixel": ("uint16", 0, {"interleave": "pixel", "compress": "deflate"}),
    "counts, nodata that cannot be": ("uint16", None, {"nodata_tag": 65535}),
    "floats with NaN": ("float32", np.nan, {"compress": "deflate", "predictor": 3}),
    "floats with a lowest": ("float32", -3.4028234663852886e38, {"tiled": True}),
    "doubles": ("float64", -9999, {}),
}


@pytest.mark.parametrize("how", STORED)
@pytest.mark.parametrize("angle", [0.0, 25.0])
def test_every_way_to_store_numbers_and_gaps(tmp_path: Path, how: str, angle: float) -> None:
    dtype, nodata, more = STORED[how]
    nodata_tag = more.get("nodata_tag", nodata)
    there, columns, rows = lying(2.5, angle=angle)
    values = np.rint(ground(there, columns, rows, EPSG))
    gaps = np.random.default_rng(2).uniform(size=values.shape) < 0.1
    gaps[: rows * 3 // 5, : columns // 2] = True
    if nodata is None:
        gaps[:] = False
    stored = np.where(gaps, 0 if nodata is None else nodata, values).astype(dtype)
    options = {key: value for key, value in more.items() if key != "nodata_tag"}
    second = np.where(gaps, 7, values + 1).astype(dtype)  # whose own gaps are not marked
    write_image(tmp_path / "a.tif", np.stack([stored, second]), transform=there, nodata=nodata_tag, **options)
    found = raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain((1, 2)))
    truth = averages(np.where(gaps, np.nan, values), there, EPSG)
    both = np.isfinite(found.values)
    assert 0.1 < both.mean() < 0.95 or nodata is None
    assert np.sqrt(np.mean((found.values - truth)[both] ** 2)) < 0.3
    # A pixel without one band counts in none.
    assert found.others[0][both] == pytest.approx(found.values[both] + 1, abs=1e-4)


def with_alpha(path: Path, bands: np.ndarray, alpha: np.ndarray, **more: object) -> None:
    shape = bands.shape[1:]
    with rasterio.open(
        path, "w", driver="GTiff", height=shape[0], width=shape[1], count=len(bands) + 1, dtype=bands.dtype,
        crs=f"EPSG:{EPSG}", **more,
    ) as target:  # fmt: skip
        target.colorinterp = [
            ColorInterp.gray,
            *[ColorInterp.undefined] * (len(bands) - 1),
            ColorInterp.alpha,
        ]
        target.write(np.concatenate([bands, alpha[None]]).astype(bands.dtype))


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_an_alpha_band_hides_whatever_the_number_of_bands(tmp_path: Path, count: int) -> None:
    """The library itself heeds an alpha band only among two or four."""
    there, columns, rows = lying(2.5)
    bands = np.stack([np.full((rows, columns), 100 + band) for band in range(count)]).astype("uint16")
    alpha = np.full((rows, columns), 65535)
    alpha[:, : columns // 2] = 0
    bands[:, alpha == 0] = 9
    with_alpha(tmp_path / "a.tif", bands, alpha, transform=there)
    found = raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain())
    seen = found.values[np.isfinite(found.values)]
    assert seen == pytest.approx(100, abs=1e-9)
    assert 0.4 < np.isfinite(found.values).mean() < 0.6
    assert np.array_equal(found.covered, np.isfinite(found.values))


def test_each_number_is_missing_where_it_was_not_seen(tmp_path: Path) -> None:
    there, columns, rows = lying(2.0)
    values = ground(there, columns, rows, EPSG)
    write_image(tmp_path / "a.tif", np.stack([values, values + 5]), transform=there)

    def combine(parts: list[np.ndarray]) -> list[np.ndarray]:
        return [parts[0], np.where(parts[0] > 100, parts[1], np.nan)]

    found = raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, raster.Wanted(bands=(1, 2), combine=combine))
    assert np.isfinite(found.values).all()
    [other] = found.others
    assert 0.2 < np.isfinite(other).mean() < 0.8
    assert np.nanmin(other) > 105


# -- parts ------------------------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(
    block=st.tuples(st.sampled_from([1, 16, 48, 250]), st.sampled_from([16, 64, 900])),
    corner=st.tuples(st.integers(0, 400), st.integers(0, 400)),
    size=st.tuples(st.integers(1, 500), st.integers(1, 500)),
    most=st.sampled_from([500, 20_000, 1_000_000]),
)
def test_no_block_is_read_twice_and_no_pixel_left_out(
    block: tuple[int, int], corner: tuple[int, int], size: tuple[int, int], most: int
) -> None:
    class Source:
        block_shapes = (block,)

    before, pixels._PART_PIXELS = pixels._PART_PIXELS, most
    try:
        parts = pixels.blocks(Source, Window(corner[1], corner[0], size[1], size[0]))
    finally:
        pixels._PART_PIXELS = before
    times = np.zeros((1000, 1000), dtype=int)
    decoded = np.zeros((1000, 1000), dtype=int)
    for part in parts:
        rows = range(part.row_off // block[0], -(-(part.row_off + part.height) // block[0]))
        columns = range(part.col_off // block[1], -(-(part.col_off + part.width) // block[1]))
        times[part.row_off : part.row_off + part.height, part.col_off : part.col_off + part.width] += 1
        decoded[np.ix_(rows, columns)] += 1
    assert decoded.max() == 1
    assert times.max() == 1
    assert times.sum() == size[0] * size[1]
    assert all(part.width * part.height <= max(most * 2, block[0] * block[1]) for part in parts)


def test_only_the_wanted_bands_around_the_field_are_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = Affine(1, 0, WEST - 3000, 0, -1, NORTH + 3000)
    write_image(
        tmp_path / "a.tif", np.ones((3, 6500, 6500), "uint8"), transform=there, tiled=True, compress="deflate"
    )
    read: list[tuple[list[int], Window]] = []
    reads = pixels._Reader.read

    def noted(self: pixels._Reader, part: Window) -> object:
        read.append((self.indexes, part))
        return reads(self, part)

    monkeypatch.setattr(pixels._Reader, "read", noted)
    raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain((2,)))
    assert all(bands == [2] for bands, _ in read)
    pixels_of_field = (EAST - WEST + 30) * (NORTH - SOUTH + 30)
    assert sum(part.width * part.height for _, part in read) < 1.1 * pixels_of_field


def test_corners_of_a_turned_image_that_lie_elsewhere_are_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pixels, "_PART_PIXELS", 40_000)
    there, columns, rows = lying(0.4, angle=45)
    write_image(
        tmp_path / "a.tif", np.ones((1, rows, columns), "uint8"), transform=there, tiled=True,
        blockxsize=128, blockysize=128,
    )  # fmt: skip
    with rasterio.open(tmp_path / "a.tif") as source:
        window = raster._window(source, GRID, "a.tif")[0]
        place = raster.Place(source.transform, source.crs, window, GRID)
        parts = pixels.blocks(source, window)
        touching = [part for part in parts if place.touches(part, GRID)]
    assert 0 < len(touching) < len(parts)
    assert np.isfinite(raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain()).values).all()


def test_an_image_in_one_huge_piece_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    there, columns, rows = lying(2.0)
    bands = np.ones((2, rows, columns), "uint16")
    write_image(tmp_path / "a.tif", bands, transform=there, blockysize=rows, compress="deflate")
    raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain())
    monkeypatch.setattr(raster, "_BLOCK_BYTES", rows * columns * 2)
    with pytest.raises(InputError, match="blocks of 450 x 430 pixels, too large"):
        raster.onto_grid(tmp_path / "a.tif", "a.tif", GRID, plain())


PEAK = """
import re, sys
from pathlib import Path
from made_inputs import GRID
from zoning.inputs.images import raster
wanted = raster.Wanted(bands=(1, 2, 4), combine=lambda parts: parts)
values = raster.onto_grid(Path(sys.argv[1]), "a.tif", GRID, wanted).values
status = Path("/proc/self/status").read_text()
print(int(re.search(r"VmHWM:\\s*(\\d+) kB", status)[1]) / 1024, values[2, 2])
"""
HUGE = {
    "tiles": ("uint16", {"tiled": True, "blockxsize": 512, "blockysize": 512, "interleave": "band"}),
    "tiles by pixel": ("float32", {"tiled": True, "blockxsize": 1024, "blockysize": 1024}),
    "rows": ("uint16", {"blockysize": 1, "interleave": "band"}),
}


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the most memory is read from /proc")
@pytest.mark.parametrize("how", HUGE)
def test_a_drone_mosaic_needs_no_more_memory_than_a_chip(tmp_path: Path, how: str) -> None:
    """8,062 x 8,062 pixels x 5 bands: 650 MB as counts, 1.3 GB as floats; much of it a hole in the file."""
    dtype, more = HUGE[how]
    count = 8062
    size = 1.02 * (EAST - WEST) / count
    there = Affine(size, 0, WEST - 2, 0, -size, NORTH + 2)
    with rasterio.open(
        tmp_path / "a.tif", "w", driver="GTiff", height=count, width=count, count=5, dtype=dtype,
        crs=f"EPSG:{EPSG}", transform=there, compress="deflate", sparse_ok=True, **more,
    ) as target:  # fmt: skip
        target.write(np.full((5, 1024, 1024), 41, dtype), window=Window(0, 0, 1024, 1024))
    environment = {"PYTHONPATH": ":".join(sys.path), "OMP_NUM_THREADS": "1"}
    run = subprocess.run(
        [sys.executable, "-c", PEAK, str(tmp_path / "a.tif")],
        capture_output=True, text=True, check=True, env=environment,
    )  # fmt: skip
    peak_mb, value = (float(word) for word in run.stdout.split())
    assert value == pytest.approx(41)
    assert peak_mb < 300


# -- overviews --------------------------------------------------------------------------------------------


def mosaic(path: Path, how: Resampling, change: Callable[[np.ndarray, np.ndarray], None]) -> None:
    """A fine image of two bands and its alpha band, with overviews."""
    there, columns, rows = lying(0.6)
    rng = np.random.default_rng(4)
    values = ground(there, columns, rows, EPSG)
    bands = np.stack([values * 10, 3000 - values * 5]) + rng.normal(0, 300, (2, rows, columns))
    bands, alpha = bands.clip(1, 60_000).astype("uint16"), np.full((rows, columns), 65535)
    change(bands, alpha)
    with_alpha(path, bands, alpha, transform=there, tiled=True, blockxsize=256, blockysize=256)
    with rasterio.open(path, "r+") as target:
        target.build_overviews([2, 4, 8], how)


def hole(bands: np.ndarray, alpha: np.ndarray) -> None:
    alpha[:, : alpha.shape[1] // 2 + 3] = 0
    bands[:, alpha == 0] = 0


def nothing(bands: np.ndarray, alpha: np.ndarray) -> None:
    """Leave the image whole."""


def both_ways(
    path: Path, wanted: raster.Wanted, monkeypatch: pytest.MonkeyPatch
) -> tuple[raster.Warped, raster.Warped, bool]:
    """Read all pixels, then allow overviews; and say whether one was read."""
    whole = raster.onto_grid(path, path.name, GRID, wanted)
    monkeypatch.setattr(overviews, "_PLENTY_PIXELS", 1000)
    sizes = []
    reads = pixels._Reader.read

    def noted(self: pixels._Reader, part: Window) -> object:
        sizes.append(self.source.width)
        return reads(self, part)

    monkeypatch.setattr(pixels._Reader, "read", noted)
    quick = raster.onto_grid(path, path.name, GRID, wanted)
    with rasterio.open(path) as source:
        return whole, quick, max(sizes) < source.width


@pytest.mark.parametrize("change", [nothing, hole])
def test_an_overview_of_averages_serves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: Callable[[np.ndarray, np.ndarray], None]
) -> None:
    mosaic(tmp_path / "a.tif", Resampling.average, change)
    whole, quick, used = both_ways(tmp_path / "a.tif", plain((1, 2)), monkeypatch)
    assert used
    seen = np.isfinite(quick.values)
    assert seen.mean() == pytest.approx(np.isfinite(whole.values).mean(), abs=0.06)
    # Counts are whole numbers; a pixel of the overview is a quarter of a cell and may lie across its edge.
    assert np.sqrt(np.nanmean((quick.values - whole.values) ** 2)) < 0.1 * np.nanstd(whole.values)
    assert abs(np.nanmean(quick.values - whole.values)) < 0.02 * np.nanstd(whole.values)


def test_an_overview_of_picked_pixels_does_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mosaic(tmp_path / "a.tif", Resampling.nearest, hole)
    whole, quick, used = both_ways(tmp_path / "a.tif", plain(), monkeypatch)
    assert not used
    assert np.array_equal(quick.values, whole.values, equal_nan=True)


def test_classes_have_no_average(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def classes(bands: np.ndarray, alpha: np.ndarray) -> None:
        bands[1] = np.random.default_rng(1).choice([4, 6], bands[1].shape)

    mosaic(tmp_path / "a.tif", Resampling.average, classes)
    wanted = plain(mask_band=2, keep=(4, 5))
    whole, quick, used = both_ways(tmp_path / "a.tif", wanted, monkeypatch)
    assert not used
    assert np.array_equal(quick.values, whole.values, equal_nan=True)


def test_overviews_coarser_than_a_quarter_of_a_cell_do_not_serve(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mosaic(tmp_path / "a.tif", Resampling.average, nothing)
    monkeypatch.setattr(overviews, "_PLENTY_PIXELS", 1000)
    with rasterio.open(tmp_path / "a.tif") as source:
        window = Window(0, 0, source.width, source.height)
        # Pixels of 0.6 m in cells of 10, 5 and 4 m: 4 x 0.6 = 2.4 is a quarter of 10 at most, 2 x 0.6 of 5.
        chosen = [overviews.level(source, 1, window, 0.6 / cell) for cell in (10.0, 5.0, 4.0)]
    assert chosen == [1, 0, None]
