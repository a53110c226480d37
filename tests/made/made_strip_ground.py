"""Fields with check strips for simulated harvests: swaths, zones, random ground, and what was sprayed.

A field lies in a frame of its own: u runs across the strips, v along them. Nothing of the rooms that are
tested is used.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import shapely
from scipy.ndimage import map_coordinates
from shapely import Polygon

from zoning.inputs.given import Strip
from zoning.inputs.harvest.given import TrialGround

Floats = npt.NDArray[np.float64]

CELL_M, CELLS = 4.0, 512  # of the tiles of random ground, which repeat every 2 km
EAST_M, NORTH_M = 310_000.0, 4_906_000.0


@dataclass(frozen=True)
class Frame:
    """Turns the field's own metres into those of the plane."""

    heading_deg: float
    east_m: float = EAST_M
    north_m: float = NORTH_M

    def plane(self, u: Floats, v: Floats) -> tuple[Floats, Floats]:
        """Give east and north."""
        sine, cosine = math.sin(math.radians(self.heading_deg)), math.cos(math.radians(self.heading_deg))
        return self.east_m + u * cosine + v * sine, self.north_m - u * sine + v * cosine

    def shape(self, corners: Sequence[tuple[float, float]]) -> Polygon:
        """Give a polygon of corners (u, v)."""
        u, v = np.array(corners, dtype=float).T
        return Polygon(np.column_stack(self.plane(u, v)))


@cache
def tile(range_m: float) -> npt.NDArray[np.float32]:
    """Random ground that repeats: mean 0, SD 1, exponential likeness that is gone at about `range_m`."""
    steps = np.minimum(np.arange(CELLS), CELLS - np.arange(CELLS)) * CELL_M
    likeness = np.exp(-3 * np.hypot(*np.meshgrid(steps, steps)) / range_m)
    spectrum = np.sqrt(np.maximum(np.fft.rfft2(likeness).real, 0))
    noise = np.random.default_rng(int(range_m)).standard_normal((CELLS, CELLS))
    ground = np.fft.irfft2(np.fft.rfft2(noise) * spectrum, s=(CELLS, CELLS))
    return ((ground - ground.mean()) / ground.std()).astype(np.float32)


def ground_at(rng: np.random.Generator, range_m: float, u: Floats, v: Floats) -> Floats:
    """Take a piece of a tile at random, turned at random."""
    turn, east, north = rng.uniform(0, 2 * math.pi), *rng.uniform(0, CELLS, 2)
    rows = (u * math.cos(turn) - v * math.sin(turn)) / CELL_M + east
    columns = (u * math.sin(turn) + v * math.cos(turn)) / CELL_M + north
    return map_coordinates(tile(range_m), (rows, columns), order=1, mode="grid-wrap", output=float)


@dataclass(frozen=True)
class Field:
    """A field as it was laid and sown: swaths across u, strips on some, zones along v."""

    frame: Frame
    width_m: float
    length_m: float
    boom_m: float
    strips: tuple[tuple[int, bool, int], ...]  # pair, treated, swath
    lines: tuple[tuple[float, float], ...]  # of zones: v at u = 0, and its slope
    effects: tuple[float, ...]  # of zones [bu/ac]
    sprayed_zones: tuple[int, ...]  # beside the strips
    sprayed_from_m: float  # v from which and to which the boom was on
    sprayed_to_m: float

    def zone_at(self, u: Floats, v: Floats) -> npt.NDArray[np.int64]:
        """Give the zone, from 1."""
        return 1 + sum((v > at + slope * u).astype(np.int64) for at, slope in self.lines) + 0 * u.astype(int)

    def swath_at(self, u: Floats) -> npt.NDArray[np.int64]:
        """Give the boom's swath, from 0."""
        return np.clip(u // self.boom_m, 0, self.width_m // self.boom_m - 1).astype(int)

    def treated_at(self, u: Floats, v: Floats) -> npt.NDArray[np.bool_]:
        """Tell what was sprayed: the strips as laid, and the zones beside them by the map."""
        of_swath = np.full(int(self.width_m // self.boom_m), -1)
        for _, treated, swath in self.strips:
            of_swath[swath] = treated
        on_strip = of_swath[self.swath_at(u)]
        by_map = np.isin(self.zone_at(u, v), self.sprayed_zones)
        return (
            np.where(on_strip < 0, by_map, on_strip == 1)
            & (v > self.sprayed_from_m)
            & (v < self.sprayed_to_m)
        )

    def zones(self) -> dict[int, Polygon]:
        """Give the outlines of the zones in the plane."""
        right = self.width_m
        edges = [(0.0, 0.0), *self.lines, (self.length_m, 0.0)]
        return {
            zone: self.frame.shape(
                [(0, low), (right, low + tilt * right), (right, high + lean * right), (0, high)]
            )
            for zone, ((low, tilt), (high, lean)) in enumerate(pairwise(edges), start=1)
        }


def laid_out(
    rng: np.random.Generator,
    effect_bu_ac: float | Sequence[float],
    numbers: tuple[int, int, int],
    sizes_m: tuple[float, float],
    heading_deg: float,
) -> Field:
    """Lay out swaths, zones and strips: one pair at random in each run of swaths, its sides by a coin."""
    (pairs, zones, between), (length_m, boom_m) = numbers, sizes_m
    effects = (effect_bu_ac,) * zones if isinstance(effect_bu_ac, int | float) else tuple(effect_bu_ac)
    strips = []
    for pair in range(1, pairs + 1):
        first = 1 + (pair - 1) * (2 + between) + int(rng.integers(between + 1))
        treated = bool(rng.integers(2))
        strips += [(pair, treated, first), (pair, not treated, first + 1)]
    width_m = (pairs * (2 + between) + 2) * boom_m
    lines = []
    for zone in range(1, zones):
        lean = float(rng.uniform(-0.12, 0.12))
        middle = length_m * (zone + float(rng.uniform(-0.15, 0.15))) / zones
        lines.append((middle - lean * width_m / 2, lean))
    sprayed = tuple(zone for zone in range(1, zones + 1) if zone == 1 or rng.integers(2))
    return Field(
        frame=Frame(heading_deg), width_m=width_m, length_m=length_m, boom_m=boom_m, strips=tuple(strips),
        lines=tuple(lines), effects=tuple(map(float, effects)), sprayed_zones=sprayed,
        sprayed_from_m=-1.0, sprayed_to_m=length_m + 1.0,
    )  # fmt: skip


def ground_of(field: Field, header_m: float) -> TrialGround:
    """Give the ground of the trial as it is read, strips a metre longer than the crop."""
    frame, boom_m = field.frame, field.boom_m
    strips = [
        Strip(
            pair=pair,
            treatment="treated" if treated else "untreated",
            outline=frame.shape(
                [(swath * boom_m, -1), ((swath + 1) * boom_m, -1),
                 ((swath + 1) * boom_m, field.length_m + 1), (swath * boom_m, field.length_m + 1)]
            ),
        )
        for pair, treated, swath in field.strips
    ]  # fmt: skip
    zones = field.zones()
    crop = frame.shape([(0, 0), (field.width_m, 0), (field.width_m, field.length_m), (0, field.length_m)])
    untreated = shapely.union_all([one.outline for one in strips if one.treatment == "untreated"])
    on = [one.outline for one in strips if one.treatment == "treated"]
    on += [zones[zone] for zone in field.sprayed_zones]
    driven = frame.shape(
        [(0, field.sprayed_from_m), (field.width_m, field.sprayed_from_m),
         (field.width_m, field.sprayed_to_m), (0, field.sprayed_to_m)]
    )  # fmt: skip
    return TrialGround(
        strips=tuple(sorted(strips, key=lambda one: (one.pair, one.treatment))),
        source="design",
        width_m=boom_m,
        heading_deg=frame.heading_deg % 360,
        treated=shapely.union_all(on).difference(untreated).intersection(driven).intersection(crop),
        treated_source="done",
        treated_on=(date(2026, 7, 24),),
        zones=zones,
        crop=crop,
        header_m=header_m,
        step_m=15.0,
        headland_m=boom_m + header_m,
        files={},
    )
