"""The whole farms that the corpus of bad inputs spoils. No place, price or label in them is real."""

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import rasterio
from made_harvested import FARM as HARVESTED
from made_region import CORNER_M, SMALL_SIDE_M, made_region
from made_region import TODAY as REGION_TODAY
from made_region_truth import EPSG, TO_LONLAT
from rasterio.transform import Affine

CELL_M = 10.0
IMAGE = "imagery/2026-06-28_canopy.tif"
LAYER = "layers/elevation.tif"
SCOUTING = "scouting.csv"
_TABLES = f"""
[[imagery]]
file = "{IMAGE}"
bands = {{ red = 1, rededge = 2, nir = 3 }}
scale = 0.0001
index = "NDRE"

[[layer]]
name = "elevation"
file = "{LAYER}"

[[scouting]]
file = "{SCOUTING}"
"""


def plain(farm: Path) -> Path:
    """One small field with boundary, planting and the farm's weather."""
    return made_region(farm, 1, small=True).farm


def rich(farm: Path) -> Path:
    """The same with an image, a layer and a count."""
    field = plain(farm) / FIELD["plain"]
    rng = np.random.default_rng(11)
    canopy = rng.uniform(0.9, 1.1, (3, 30, 30)) * np.array([500, 1800, 4000])[:, None, None]
    write_raster(field / IMAGE, canopy.astype("uint16"))
    write_raster(field / LAYER, rng.uniform(300, 320, (1, 30, 30)).astype("uint16"))
    lon, lat = middle()
    (field / SCOUTING).write_text(f"date,lat,lon,stage,k,n\n2026-07-06,{lat:.6f},{lon:.6f},R2,7,10\n")
    with (field / "field.toml").open("a", encoding="utf-8") as file:
        file.write(_TABLES)
    return farm


def trial(farm: Path) -> Path:
    """A harvested field with check strips."""
    shutil.copytree(HARVESTED, farm, ignore=shutil.ignore_patterns("out", "2026", "history", "*.bak"))
    return farm


def middle() -> tuple[float, float]:
    """Longitude and latitude of the middle of the field."""
    lon, lat = TO_LONLAT.transform(*(corner + SMALL_SIDE_M / 2 for corner in CORNER_M))
    return float(lon), float(lat)


def around() -> Affine:
    """Where pixels of `CELL_M` lie, so that 30 of them a side hold the field."""
    west, south = CORNER_M
    return Affine(CELL_M, 0, west - 4 * CELL_M, 0, -CELL_M, south + 26 * CELL_M)


def write_raster(path: Path, bands: np.ndarray, **profile: object) -> None:
    """Write bands as a GeoTIFF; what is not said of it is right for the field."""
    path.parent.mkdir(exist_ok=True)
    count, height, width = bands.shape
    shape = {"count": count, "height": height, "width": width, "dtype": bands.dtype}
    place = {"crs": EPSG, "transform": around()}
    with rasterio.open(path, "w", driver="GTiff", **{**shape, **place, **profile}) as file:
        file.write(bands)


BASES: dict[str, Callable[[Path], Path]] = {"plain": plain, "rich": rich, "trial": trial}
FIELD: dict[str, str] = {"plain": "q00001", "rich": "q00001", "trial": "long_eighty"}
TODAY: dict[str, date] = {"plain": REGION_TODAY, "rich": REGION_TODAY, "trial": date(2026, 10, 20)}
