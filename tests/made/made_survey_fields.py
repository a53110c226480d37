"""Fields on which the zones are judged: their truth is here, and it was written down before the method.

A field is 800 m square, with planting blocks cut by straight lines at any angle, four layers, a yield layer
that nobody clusters, a slough in which nothing grows, and a cloud over one layer. Nothing here is tuned to a
result: correlation lengths are those at which ground and crop commonly change within a quarter section, the
noise that of a satellite pixel, a soil survey and a levelled height. Change a number here and every figure
that was ever measured on these fields is void.
"""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from shapely import LineString, Point, Polygon, box, contains_xy
from shapely.ops import split

SIDE_M = 800.0
CORNER_M = (500_000.0, 4_900_000.0)  # of UTM zone 15 north
BASE_M = 10.0  # smooth fields are drawn on cells of this size, and read between them

CORRELATION_M = {"height": 160.0, "soil": 90.0, "canopy": 60.0, "water": 120.0}  # SD of the Gaussian
NOISE_OF_SD = {"height": 0.05, "soil": 0.15, "canopy": 0.25, "thermal": 0.25, "yield": 0.5}  # at 10 m
FINE_NOISE_OF_SD = 0.8  # canopy in pixels below 2 m: rows and bare soil between them
DATE_EFFECT_OF_SD = 0.06  # of the canopy's SD, a day later
BLOCK_DAYS = (0, 5, 18, 33)
SLOUGH_RADIUS_M = 45.0
CLOUD_RADIUS_M = 70.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurveyField:
    """One field: layers by name on square pixels, the unused yield, and the truth about its blocks.

    `inside` leaves the slough out. `block_of_pixel` indexes `blocks`, -1 outside; `day_of_block` are days
    after the first planting.
    """

    pixel_m: float
    layers: dict[str, np.ndarray]
    unused: np.ndarray
    inside: np.ndarray
    block_of_pixel: np.ndarray
    blocks: tuple[Polygon, ...]
    day_of_block: tuple[int, ...]


def smooth(rng: np.random.Generator, correlation_m: float) -> np.ndarray:
    """Draw a smooth field of mean 0 and SD 1 on the base cells."""
    count = round(SIDE_M / BASE_M)
    reach = round(4 * correlation_m / BASE_M)
    wide = ndimage.gaussian_filter(rng.normal(size=(count + 2 * reach,) * 2), correlation_m / BASE_M)
    found = wide[reach : reach + count, reach : reach + count]
    return (found - found.mean()) / found.std()


def _at(field: np.ndarray, pixel_m: float) -> np.ndarray:
    """Read a smooth field at the middles of smaller pixels."""
    count = round(SIDE_M / pixel_m)
    place = (np.arange(count) + 0.5) * pixel_m / BASE_M - 0.5
    coordinates = np.meshgrid(place, place, indexing="ij")
    return ndimage.map_coordinates(field, coordinates, order=1, mode="nearest")


def _blocks(rng: np.random.Generator, number: int) -> tuple[Polygon, ...]:
    """Cut the square by parallel lines at some angle into pieces of at least 15 % each."""
    west, south = CORNER_M
    square = box(west, south, west + SIDE_M, south + SIDE_M)
    angle = rng.uniform(0, np.pi)
    across = np.array([np.cos(angle), np.sin(angle)])
    along = np.array([-np.sin(angle), np.cos(angle)])
    middle = np.array([west, south]) + SIDE_M / 2
    grid = rng.uniform(size=(20_000, 2)) * SIDE_M + [west, south]
    shares = np.sort(rng.dirichlet(np.full(number, 8.0)))
    shares = np.maximum(shares, 0.15) / np.maximum(shares, 0.15).sum()
    cuts = np.quantile(grid @ across, np.cumsum(shares)[:-1]) if number > 1 else []
    pieces = [square]
    for cut in cuts:
        on = middle + across * (cut - middle @ across)
        line = LineString([on - 2 * SIDE_M * along, on + 2 * SIDE_M * along])
        pieces = [part for piece in pieces for part in split(piece, line).geoms]
    return tuple(sorted(pieces, key=lambda piece: float(np.array(piece.centroid.coords[0]) @ across)))


def survey_field(seed: int, pixel_m: float = 10.0) -> SurveyField:
    """Make one field.

    Parameters
    ----------
    seed : int
        Of everything: the same seed with another pixel is the same ground, seen more sharply.
    pixel_m : float
        Must divide 800 m. [m]
    """
    rng = np.random.default_rng([20261125, seed])
    ground = {name: smooth(rng, length_m) for name, length_m in CORRELATION_M.items()}
    number = int(rng.integers(1, 5))
    blocks = _blocks(rng, number)
    days = tuple(BLOCK_DAYS[:number]) if rng.uniform() < 0.5 else tuple(reversed(BLOCK_DAYS[:number]))
    slough, cloud = rng.uniform(0.2, 0.8, size=(2, 2)) * SIDE_M
    signal = {
        "height": ground["height"],
        "soil": 0.5 * ground["height"] + 0.85 * ground["soil"],
        "canopy": 0.4 * ground["height"] + 0.5 * ground["soil"] + 0.75 * ground["canopy"],
        "thermal": -0.6 * ground["canopy"] + 0.8 * ground["water"],
        "yield": 0.4 * ground["height"]
        + 0.4 * ground["soil"]
        + 0.5 * ground["canopy"]
        + 0.4 * ground["water"],
    }
    count = round(SIDE_M / pixel_m)
    middle = (np.arange(count) + 0.5) * pixel_m
    east, north = np.meshgrid(middle, SIDE_M - middle)
    block = _block_of_pixel(blocks, east, north)
    later = np.array(days, dtype=float)[block]
    noise = np.random.default_rng([20261126, seed, count])
    layers = {}
    for name, field in signal.items():
        sd = NOISE_OF_SD[name] if pixel_m >= 2 or name != "canopy" else FINE_NOISE_OF_SD
        layers[name] = _at(field, pixel_m) + sd * noise.normal(size=(count, count))
    for name in ("canopy", "thermal"):
        layers[name] -= DATE_EFFECT_OF_SD * later
    wet = contains_xy(_slough(slough), CORNER_M[0] + east, CORNER_M[1] + north)
    layers["canopy"][np.hypot(east - cloud[0], SIDE_M - north - cloud[1]) < CLOUD_RADIUS_M] = np.nan
    for layer in layers.values():
        layer[wet] = np.nan
    return SurveyField(
        pixel_m=pixel_m,
        unused=layers.pop("yield"),
        layers=layers,
        inside=~wet,
        block_of_pixel=np.where(wet, -1, block).astype(np.int16),
        blocks=tuple(piece.difference(_slough(slough)) for piece in blocks),
        day_of_block=days,
    )


def _slough(place: np.ndarray) -> Polygon:
    west, south = CORNER_M
    return Point(west + place[0], south + SIDE_M - place[1]).buffer(SLOUGH_RADIUS_M, quad_segs=6)


def _block_of_pixel(blocks: tuple[Polygon, ...], east: np.ndarray, north: np.ndarray) -> np.ndarray:
    found = np.zeros(east.shape, dtype=int)
    for index, block in enumerate(blocks):
        found[contains_xy(block, CORNER_M[0] + east, CORNER_M[1] + north)] = index
    return found
