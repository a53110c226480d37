"""Fine images against the straightforward chain: run by hand, `python tests/benchmarks/bench_rasters.py`.

b: 65 ha at 0.5 m, five bands of floats; the chain reads and clusters all pixels, with ten starts.
c: 8,062 x 8,062 pixels of 10 cm, five bands of counts; the chain gets 4,096 x 4,096 of them and one start,
   and its time is scaled by pixels. Ours reads the whole file; for the quality it also zones the same part.

Every measurement is a process of its own, one thread; times leave the imports out. The most memory is what
the process ever held, libraries included. Give the cases to run as arguments: b, c, or both.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import rasterio
from affine import Affine
from rasterio.enums import ColorInterp, Resampling
from rasterio.windows import Window
from scipy import ndimage

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "made"), str(Path(__file__).parent)]

from made_survey_fields import CORNER_M, FINE_NOISE_OF_SD, SIDE_M, survey_field  # noqa: E402

from zoning.inputs.grid import Floats, Grid  # noqa: E402
from zoning.inputs.images import raster  # noqa: E402
from zoning.inputs.images.indices import index  # noqa: E402
from zoning.zones.delineate import delineate  # noqa: E402
from zoning.zones.zoning import Ground, Limits  # noqa: E402

EPSG = 32615
CELL_M = 10.0
SEED = 3
FINE_PIXELS, PART_PIXELS = 8062, 4096
RUNS = 3
LIMITS = Limits(max_zones_per_block=3, min_area_ac=1.0)
NAMES = {"b": ("NDVI", "height", "soil", "thermal"), "c": ("NDVI", "NDRE")}


# -- the images -------------------------------------------------------------------------------------------


def other_band(near: np.ndarray, value: np.ndarray) -> np.ndarray:
    """The reflectance with which (near - other) / (near + other) is a value."""
    return near * (1 - value) / (1 + value)


def write_b(path: Path) -> None:
    """Write near infrared, red, height, soil and thermal as floats, deflated, NaN where nothing was seen."""
    field = survey_field(SEED, pixel_m=0.5)
    near = 0.4 + 0.02 * field.layers["height"]
    red = other_band(near, np.clip(0.6 + 0.06 * field.layers["canopy"], 0.01, 0.98))
    bands = [near, red, *(field.layers[name] for name in ("height", "soil", "thermal"))]
    where = Affine(0.5, 0, CORNER_M[0], 0, -0.5, CORNER_M[1] + SIDE_M)
    height, width = near.shape
    with rasterio.open(
        path, "w", driver="GTiff", height=height, width=width, count=5, dtype="float32", crs=f"EPSG:{EPSG}",
        transform=where, nodata=np.nan, compress="deflate", tiled=True, interleave="band",
    ) as file:  # fmt: skip
        file.write(np.stack(bands).astype("float32"))


def write_c(path: Path) -> None:
    """Write green, red, red edge, near infrared and alpha as counts, window by window."""
    field = survey_field(SEED, pixel_m=4.0)
    canopy, thermal = (np.nan_to_num(field.layers[name], nan=-9.0) for name in ("canopy", "thermal"))
    pixel_m = SIDE_M / FINE_PIXELS
    rng = np.random.default_rng(SEED)
    where = Affine(pixel_m, 0, CORNER_M[0], 0, -pixel_m, CORNER_M[1] + SIDE_M)
    columns = ((np.arange(FINE_PIXELS) + 0.5) * pixel_m / 4).astype(int)
    with rasterio.open(
        path, "w", driver="GTiff", height=FINE_PIXELS, width=FINE_PIXELS, count=5, dtype="uint16",
        crs=f"EPSG:{EPSG}", transform=where, compress="deflate", predictor=2, tiled=True, blockxsize=512,
        blockysize=512, interleave="band",
    ) as file:  # fmt: skip
        file.colorinterp = [ColorInterp.gray, *[ColorInterp.undefined] * 3, ColorInterp.alpha]
        for top in range(0, FINE_PIXELS, 512):
            count = min(512, FINE_PIXELS - top)
            rows = ((np.arange(top, top + count) + 0.5) * pixel_m / 4).astype(int)
            plants, warmth = canopy[np.ix_(rows, columns)], thermal[np.ix_(rows, columns)]
            hidden = (plants == -9) | (warmth == -9)
            noise = FINE_NOISE_OF_SD * rng.standard_normal((2, count, FINE_PIXELS), dtype=np.float32)
            near = 4000 + 150 * noise[1]
            red = other_band(near, np.clip(0.6 + 0.06 * (plants + noise[0]), 0.01, 0.98))
            edge = other_band(near, np.clip(0.3 + 0.04 * (warmth + noise[0]), 0.01, 0.98))
            bands = np.stack([red * 1.4, red, edge, near, np.full_like(red, 65535)])
            bands[:, hidden] = 0
            file.write(bands.clip(0, 65535).astype("uint16"), window=Window(0, top, FINE_PIXELS, count))


# -- the two ways -----------------------------------------------------------------------------------------


def ground(part_m: float) -> Ground:
    """The field's blocks, or those of its north-western corner, on cells."""
    field = survey_field(SEED, pixel_m=CELL_M)
    west, south = CORNER_M[0], CORNER_M[1] + SIDE_M - part_m
    grid = Grid.covering((west, south, west + part_m, south + part_m), EPSG, CELL_M)
    here = tuple(slice(0, count) for count in grid.shape)
    from shapely import box, set_precision

    corner = box(west, CORNER_M[1] + SIDE_M - part_m, west + part_m, CORNER_M[1] + SIDE_M)
    outlines = [set_precision(block, 1e-3).intersection(corner) for block in field.blocks]
    kept = [place for place, outline in enumerate(outlines) if outline.area > 0]
    block = np.full(grid.shape, -1, dtype=np.int16)
    for number, place in enumerate(kept):
        block[field.block_of_pixel[here] == place] = number
    return Ground(
        grid=grid,
        inside=block >= 0,
        fit=block >= 0,
        block_of_cell=block,
        block_outlines=tuple(outlines[place] for place in kept),
    )


def wanted(case: str) -> raster.Wanted:
    """What is read of an image."""
    if case == "b":

        def of_b(parts: list[Floats]) -> list[Floats]:
            return [index("NDVI", {"nir": parts[0], "red": parts[1]}), *parts[2:]]

        return raster.Wanted(bands=(1, 2, 3, 4, 5), combine=of_b)

    def of_c(parts: list[Floats]) -> list[Floats]:
        red, edge, near = parts
        return [index("NDVI", {"nir": near, "red": red}), index("NDRE", {"nir": near, "rededge": edge})]

    return raster.Wanted(bands=(2, 3, 4), combine=of_c, scale=0.0001)


def ours(case: str, path: Path, out: Path, part_m: float) -> dict[str, object]:
    """Read onto the grid and divide, the best of a few runs each."""
    land = ground(part_m)
    read, divided = [], []
    for _ in range(RUNS):
        begin = time.perf_counter(), time.process_time()
        found = raster.onto_grid(path, path.name, land.grid, wanted(case))
        read.append((time.perf_counter() - begin[0], time.process_time() - begin[1]))
        layers = dict(zip(NAMES[case], (found.values, *found.others), strict=True))
        layers = {name: np.where(land.inside, layer, np.nan) for name, layer in layers.items()}
        begin = time.perf_counter(), time.process_time()
        zoning = delineate(layers, land, LIMITS, seed=1)
        divided.append((time.perf_counter() - begin[0], time.process_time() - begin[1]))
    np.save(out, zoning.number_of_cell)
    return {"read": min(read), "divided": min(divided), "zones": len(zoning.zones)}


def layers_of(case: str, path: Path, part: Window) -> np.ndarray:
    """All pixels of all layers, as the straightforward way reads them: (rows, columns, layers)."""
    with rasterio.open(path) as source:
        bands = source.read(window=part).astype(np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        if case == "b":
            ndvi = (bands[0] - bands[1]) / (bands[0] + bands[1])
            return np.stack([ndvi, *bands[2:]], axis=2)
        bands[:4, bands[4] == 0] = np.nan
        pairs = [(bands[3] - other) / (bands[3] + other) for other in (bands[1], bands[2])]
        return np.stack(pairs, axis=2)


def straightforward(case: str, path: Path, out: Path, part: Window) -> dict[str, object]:
    """Read all bands of all pixels, and run the chain once."""
    from straightforward import chain

    with rasterio.open(path) as source:
        pixel_m = source.transform.a
    begin = time.perf_counter(), time.process_time()
    layers = layers_of(case, path, part)
    read = (time.perf_counter() - begin[0], time.process_time() - begin[1])
    found = chain(layers, pixel_m, n_init=10 if case == "b" else 1)
    np.save(out, found.labels)
    divided = (found.wall_s, sum(found.cpu_s.values()))
    return {"read": read, "divided": divided, "zones": found.chosen, "stages": found.seconds}


def peak_mb() -> float:
    """The most memory that this process ever held (Linux) [MB]."""
    found = re.search(r"VmHWM:\s*(\d+) kB", Path("/proc/self/status").read_text(encoding="ascii"))
    return int(found[1]) / 1024 if found else float("nan")


# -- the comparison ---------------------------------------------------------------------------------------


def explained(layer: np.ndarray, label: np.ndarray) -> float:
    """Share of the variance of the pixels that have a label and a value."""
    known = np.isfinite(layer) & (label > 0)
    values, labels = layer[known], label[known].astype(np.intp)
    count = np.maximum(np.bincount(labels), 1)
    means = np.bincount(labels, values) / count
    return float(1 - np.var(values - means[labels]) / np.var(values))


def patches(label: np.ndarray) -> int:
    """Number of patches over all zones."""
    return sum(ndimage.label(label == zone)[1] for zone in range(1, int(label.max()) + 1))


def measured(*arguments: object) -> dict[str, object]:
    """Run one way in a process of its own."""
    environment = os.environ | {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, __file__, "--one", *(str(one) for one in arguments)]
    run = subprocess.run(command, capture_output=True, text=True, check=True, env=environment)
    return dict(json.loads(run.stdout.splitlines()[-1]))


def line(name: str, one: dict[str, object]) -> None:
    """Print what one way took."""
    (read, read_cpu), (divided, divided_cpu) = one["read"], one["divided"]
    print(
        f"  {name:34} read {read:.3f} s ({read_cpu:.3f} CPU), zones {divided:.3f} s ({divided_cpu:.3f} CPU), "
        f"{one['peak_mb']:.0f} MB, {one['zones']} zones"
    )


def compare(case: str, folder: Path) -> None:
    """Print times, ratios, memory and quality of one case."""
    path = folder / f"{case}.tif"
    (write_b if case == "b" else write_c)(path)
    part_m, scale = SIDE_M, 1.0
    size = 1600
    if case == "c":
        size = PART_PIXELS
        part_m, scale = SIDE_M * PART_PIXELS / FINE_PIXELS, (FINE_PIXELS / PART_PIXELS) ** 2
    print(f"{case}: {path.stat().st_size / 1e6:.0f} MB on disk")
    mine = measured("ours", case, path, folder / "ours.npy", SIDE_M)
    line("ours", mine)
    theirs = measured("straightforward", case, path, folder / "theirs.npy", size)
    line("straightforward" + ("" if scale == 1 else " on 4,096 x 4,096"), theirs)
    print("    " + ", ".join(f"{name} {seconds:.2f}" for name, seconds in theirs["stages"].items()))
    for at, kind in ((0, "wall"), (1, "CPU")):
        compute = scale * theirs["divided"][at] / mine["divided"][at]
        total = (
            scale * (theirs["read"][at] + theirs["divided"][at]) / (mine["read"][at] + mine["divided"][at])
        )
        print(f"  ratio, {kind}: compute {compute:.0f}, read and compute {total:.0f}, scale {scale:.3f}")
    if case == "c":
        mine = measured("ours", case, path, folder / "ours.npy", part_m)
        line("ours on the same part", mine)
    quality(case, path, folder, size)
    if case == "c":
        with rasterio.open(path, "r+") as file:
            file.build_overviews([2, 4, 8, 16], Resampling.average)
        line("ours with overviews", measured("ours", case, path, folder / "more.npy", SIDE_M))


def quality(case: str, path: Path, folder: Path, size: int) -> None:
    """Print what all explain of the same pixels; the chain need not keep to the blocks, ours must."""
    layers = layers_of(case, path, Window(0, 0, size, size))
    theirs, cells = np.load(folder / "theirs.npy"), np.load(folder / "ours.npy")
    with rasterio.open(path) as source:
        at_cell = np.ix_(*[((np.arange(size) + 0.5) * source.transform.a / CELL_M).astype(int)] * 2)
    mine = cells[at_cell]
    block = survey_field(SEED, pixel_m=CELL_M).block_of_pixel[at_cell]
    both = (mine > 0) & (theirs > 0)
    ways = {
        "ours": (mine, cells),
        "straightforward": (theirs, theirs),
        "k-means of cells in our blocks": (inside(layers, mine, np.where(both, block, -1), at_cell), None),
    }
    for name, (label, whole) in ways.items():
        label = np.where(both, label, 0)
        shares = [explained(layers[..., at], label) for at in range(layers.shape[2])]
        words = ", ".join(f"{layer} {share:.3f}" for layer, share in zip(NAMES[case], shares, strict=True))
        of_patches = "" if whole is None else f"; {patches(whole)} patches"
        print(f"  {name:34} explains {words}, mean {np.mean(shares):.3f}{of_patches}")


def inside(layers: np.ndarray, mine: np.ndarray, block: np.ndarray, at_cell: tuple) -> np.ndarray:
    """Cluster the cells of each block by k-means, in as many clusters as ours has zones there.

    Clusters of pixels would explain the noise of the pixels, which no zone can.
    """
    from sklearn.cluster import KMeans
    from sklearn.preprocessing import RobustScaler

    cell = at_cell[0] * (int(at_cell[1].max()) + 1) + at_cell[1]
    found = np.zeros(block.shape, dtype=np.int64)
    for one in np.unique(block[block >= 0]):
        here = (block == one) & np.isfinite(layers).all(axis=2)
        of_pixel = np.unique(cell[here], return_inverse=True)[1]
        count = np.bincount(of_pixel)
        means = np.column_stack([np.bincount(of_pixel, layer) / count for layer in layers[here].T])
        zones = len(np.unique(mine[here]))
        fitted = KMeans(n_clusters=zones, n_init=10, random_state=1).fit(RobustScaler().fit_transform(means))
        found[here] = 1 + found.max() + fitted.labels_[of_pixel]
    return found


def main() -> None:
    """Compare the cases that are named."""
    if sys.argv[1:2] == ["--one"]:
        way, case, path, out, size = sys.argv[2:]
        if way == "ours":
            found = ours(case, Path(path), Path(out), float(size))
        else:
            found = straightforward(case, Path(path), Path(out), Window(0, 0, int(size), int(size)))
        print(json.dumps(found | {"peak_mb": peak_mb()}))
        return
    with tempfile.TemporaryDirectory() as folder:
        for case in sys.argv[1:] or ("b", "c"):
            compare(case, Path(folder))


if __name__ == "__main__":
    main()
