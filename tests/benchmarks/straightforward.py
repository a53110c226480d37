"""The straightforward chain from pixels to zones: what our own is timed against. No test depends on it.

Every step is the usual call of a usual library, at the resolution of the pixels, in double precision: robust
scaling, k-means with ten starts for two to six zones, the silhouette of 2,000 cells to choose among them, a
3 x 3 majority, a sieve, polygons, dissolving, zonal means. Nothing in it is made slow on purpose.
"""

import time
import warnings
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field

import geopandas as gpd
import numpy as np
from affine import Affine
from rasterio import features
from scipy import ndimage
from shapely.geometry import shape
from sklearn.cluster import KMeans
from sklearn.metrics import silhouette_score
from sklearn.preprocessing import RobustScaler

NUMBERS = (2, 3, 4, 5, 6)
SILHOUETTE_CELLS = 2_000
M2_PER_AC = 43_560 * 0.3048**2


@dataclass(eq=False)
class Chained:
    """What the chain gives: labels from 1 (0 where a layer is unknown), polygons, means, seconds by stage.

    `seconds` is wall time, `cpu_s` the time of all threads.
    """

    labels: np.ndarray
    zones: gpd.GeoDataFrame
    means: np.ndarray
    chosen: int
    seconds: dict[str, float] = field(default_factory=dict)
    cpu_s: dict[str, float] = field(default_factory=dict)

    @property
    def wall_s(self) -> float:
        return sum(self.seconds.values())


def majority(window: np.ndarray) -> int:
    """The commonest label of a window."""
    return int(np.bincount(window.astype(np.intp)).argmax())


def chain(
    layers: np.ndarray,
    pixel_m: float,
    inside: np.ndarray | None = None,
    *,
    n_init: int = 10,
    min_area_ac: float = 1.0,
    seed: int = 1,
) -> Chained:
    """Divide pixels into zones.

    Parameters
    ----------
    layers : ndarray, shape (rows, columns, layers)
        NaN where unknown; a pixel that lacks any layer belongs to no zone.
    pixel_m : float
        Side of a pixel. [m]
    inside : ndarray of bool, shape (rows, columns), optional
        Pixels of the field; all, where not given.
    n_init : int
        Starts of each k-means.
    min_area_ac : float
        Patches below it are sieved away. [ac]
    """
    found = Chained(np.zeros(layers.shape[:2], np.uint8), gpd.GeoDataFrame(), np.empty(0), 0)
    step = _timer(found)
    known = np.isfinite(layers).all(axis=2)
    if inside is not None:
        known &= inside
    with step("scale"):
        scaled = RobustScaler().fit_transform(layers[known].astype(np.float64))
    sample = np.random.default_rng(seed).permutation(len(scaled))[:SILHOUETTE_CELLS]
    best = -2.0
    for number in NUMBERS:
        with step("k-means"):
            labels = KMeans(n_clusters=number, n_init=n_init, random_state=seed).fit_predict(scaled)
        with step("silhouette"):
            score = silhouette_score(scaled[sample], labels[sample])
        if score > best:
            best, found.chosen, chosen = score, number, labels
    found.labels[known] = chosen + 1
    with step("majority"):
        smooth = ndimage.generic_filter(found.labels, majority, size=3)
        found.labels = np.where(known, smooth, 0).astype(np.uint8)
    with step("sieve"):
        least = max(2, round(min_area_ac * M2_PER_AC / pixel_m**2))
        sieved = features.sieve(found.labels, size=least, connectivity=4)
        found.labels = np.where(known, sieved, 0).astype(np.uint8)
    with step("shapes"):
        place = Affine(pixel_m, 0, 0, 0, -pixel_m, 0)
        pieces = list(features.shapes(found.labels, mask=found.labels > 0, connectivity=4, transform=place))
        frame = gpd.GeoDataFrame(
            {"zone": [int(value) for _, value in pieces]}, geometry=[shape(one) for one, _ in pieces]
        )
    with step("dissolve"):
        found.zones = frame.dissolve("zone")
    with step("zonal means"):
        numbers = np.arange(1, found.chosen + 1)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RuntimeWarning)  # a zone that the sieve took away altogether
            means = [ndimage.mean(layers[..., at], found.labels, numbers) for at in range(layers.shape[2])]
        found.means = np.array(means)
    return found


def _timer(found: Chained) -> Callable[[str], AbstractContextManager[None]]:
    @contextmanager
    def step(name: str) -> Iterator[None]:
        wall, cpu = time.perf_counter(), time.process_time()
        yield
        found.seconds[name] = found.seconds.get(name, 0.0) + time.perf_counter() - wall
        found.cpu_s[name] = found.cpu_s.get(name, 0.0) + time.process_time() - cpu

    return step
