"""Zones from brightness and yield find slope position again, better than chance: a strip trial in Argentina.

The data are combine points of two years of maize with the slope position that somebody noted (west, hilltop,
east, low), which the zones never see. Anselin, Bongiovanni and Lowenberg-DeBoer 2004, "A spatial econometric
approach to the economics of site-specific nitrogen management in corn production", American Journal of
Agricultural Economics 86:675-687, doi 10.1111/j.0002-9092.2004.00610.x.
"""

import csv
import os
from pathlib import Path

import numpy as np
import pytest
import shapely
from made_ground import ground_of
from pyproj import Transformer
from scipy import ndimage
from scipy.spatial import cKDTree
from sklearn.metrics import adjusted_rand_score

from zoning.zones.delineate import delineate
from zoning.zones.yardstick import explained
from zoning.zones.zoning import Ground, Limits

CELL_M = 10.0
MAPS = 400
UTM_20_SOUTH = 32720
NAMES = ("E", "HT", "LO", "W")
LOWNESS = {"HT": 0, "W": 1, "E": 1, "LO": 2}


@pytest.fixture(scope="module")
def rows() -> list[dict[str, str]]:
    folder = os.environ.get("SPRAYWORTH_REFERENCE")
    if not folder:
        pytest.skip("SPRAYWORTH_REFERENCE is not set: the folder with strips/lasrosas.csv")
    path = Path(folder) / "strips" / "lasrosas.csv"
    if not path.exists():
        pytest.skip("strips/lasrosas.csv is not in SPRAYWORTH_REFERENCE")
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _gridded(rows: list[dict[str, str]], year: str) -> tuple[Ground, dict[str, np.ndarray], np.ndarray]:
    """Ground, the layers and the commonest slope position of each cell (-1: no point) of one year."""
    mine = [row for row in rows if row["year"] == year]
    to_utm = Transformer.from_crs(4326, UTM_20_SOUTH, always_xy=True)
    east, north = to_utm.transform(*np.array([[float(row["long"]), float(row["lat"])] for row in mine]).T)
    hull = shapely.convex_hull(shapely.multipoints(np.column_stack([east, north]))).buffer(CELL_M / 2)
    ground = ground_of([hull], CELL_M, buffer_m=CELL_M)
    grid = ground.grid
    row = np.floor((grid.top_m - north) / CELL_M).astype(int)
    column = np.floor((east - grid.left_m) / CELL_M).astype(int)
    cell = row * grid.shape[1] + column
    count = np.bincount(cell, minlength=grid.shape[0] * grid.shape[1])
    layers = {}
    for name in ("bv", "yield"):
        sums = np.bincount(cell, [float(one[name]) for one in mine], minlength=len(count))
        mean = np.divide(sums, count, out=np.full(len(count), np.nan), where=count > 0)
        layers[name] = mean.reshape(grid.shape)
    place = np.array([NAMES.index(one["topo"]) for one in mine])
    share = np.stack([np.bincount(cell, place == one, minlength=len(count)) for one in range(len(NAMES))])
    topo = np.where(count > 0, share.argmax(axis=0), -1).reshape(grid.shape)
    return ground, layers, np.where(ground.inside, topo, -1)


def _along_and_across(ground: Ground, known: np.ndarray) -> np.ndarray:
    """Places of cells along and across the strips, from 0 up, in metres."""
    east, north = np.meshgrid(ground.grid.east_m(), ground.grid.north_m())
    at = np.stack([east[known], north[known]], axis=1)
    at = at - at.mean(axis=0)
    turned = at @ np.linalg.svd(at, full_matrices=False)[2].T
    return turned - turned.min(axis=0)


def _shifted(zone: np.ndarray, at: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Zones after a random shift of the whole map; what leaves it comes in again on the other side."""
    size = at.max(axis=0) + CELL_M
    return zone[cKDTree(at).query((at + rng.uniform(size=2) * size) % size)[1]]


@pytest.mark.parametrize(("year", "percent"), [("1999", 48), ("2001", 71)])
def test_published_share_of_yield_that_slope_position_explains(rows, year, percent):
    # Known answer beside the data, from a regression on slope position; whole per cents printed.
    mine = [row for row in rows if row["year"] == year]
    _, place = np.unique([row["topo"] for row in mine], return_inverse=True)
    share = explained(np.array([float(row["yield"]) for row in mine]), place)
    assert 100 * share == pytest.approx(percent, abs=0.5)


def _reach_m(layers: dict[str, np.ndarray], known: np.ndarray) -> float:
    """SD of the Gaussian whose smoothed noise has the correlation over 80 m of the smoother layer.

    Noise smoothed by a Gaussian of SD s has the correlation exp(-d^2 / (4 s^2)) over a distance d.
    """
    lag, found = 8, []
    for layer in layers.values():
        values = np.where(known, layer - np.nanmean(layer[known]), np.nan)
        found.append(np.nanmean(values[:, lag:] * values[:, :-lag]) / np.nanmean(values**2))
    return lag * CELL_M / (2 * np.sqrt(-np.log(max(found))))


def _unrelated(known: np.ndarray, zone: np.ndarray, reach_m: float, rng: np.random.Generator) -> np.ndarray:
    """A smooth map that knows nothing of the ground, cut into zones of the same numbers and sizes."""
    room = round(4 * reach_m / CELL_M)
    noise = rng.normal(size=[side + 2 * room for side in known.shape])
    smooth = ndimage.gaussian_filter(noise, reach_m / CELL_M)[room:-room, room:-room][known]
    return np.searchsorted(np.cumsum(np.bincount(zone)[1:]), smooth.argsort().argsort(), side="right") + 1


@pytest.mark.parametrize("year", ["1999", "2001"])
def test_zones_from_brightness_and_yield_find_slope_position_better_than_chance(rows, year):
    # The adjusted Rand index is 0 for cells dealt at random: the chance that it knows. It cannot tell bands
    # along a strip from the same bands moved: slope position against its own shifts gives about 0.5. So the
    # order is judged too: zones are numbered from bright soil to dark, as ground goes from hilltop to low;
    # maps as smooth as the layers, but of other ground, hardly ever agree with it as well.
    ground, layers, topo = _gridded(rows, year)
    zoning = delineate(layers, ground, Limits(max_zones_per_block=4, min_area_ac=0.5), seed=1)
    known = (topo >= 0) & (zoning.number_of_cell > 0)
    zone, position = zoning.number_of_cell[known], topo[known]
    index, rng = adjusted_rand_score(position, zone), np.random.default_rng(2026)
    dealt = [adjusted_rand_score(position, rng.permutation(zone)) for _ in range(MAPS)]
    at = _along_and_across(ground, known)
    moved = [adjusted_rand_score(position, _shifted(zone, at, rng)) for _ in range(MAPS)]
    lowness = np.array([LOWNESS[name] for name in NAMES])[position]
    order = np.corrcoef(lowness, zone)[0, 1]
    reach_m = _reach_m(layers, known)
    chance = [np.corrcoef(lowness, _unrelated(known, zone, reach_m, rng))[0, 1] for _ in range(MAPS)]
    print(
        f"{year}: {len(zoning.zones)} zones, {known.sum()} cells; adjusted Rand {index:.3f} against slope "
        f"position; 99 % of cells dealt at random {np.quantile(dealt, 0.99):.3f}, of the map moved "
        f"{np.quantile(moved, 0.99):.3f} (mean {np.mean(moved):.3f}); correlation of the zones' order with "
        f"lowness {order:.3f}, 99 % of unrelated maps as smooth ({reach_m:.0f} m) "
        f"{np.quantile(chance, 0.99):.3f}"
    )
    assert len(zoning.zones) > 1
    assert index > np.quantile(dealt, 0.99)
    assert order > np.quantile(chance, 0.99)
