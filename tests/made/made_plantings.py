"""Made plantings: a planter that drives passes over the field of `made_inputs`, and the truth about it.

The planter goes to and fro at any heading; what it sows where, and when, is given pass by pass.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np
import shapely
from made_inputs import EAST, FIELD, NORTH, SOUTH, WEST
from scipy import ndimage

from zoning.units import ac_from_m2

Owner = tuple[str, str]  # day as ISO, variety
STEP_M = 2.5  # of the raster on which the truth is known


@dataclass
class Planter:
    """Passes of a width in metres at a heading in degrees, a record every so many metres."""

    width_m: float
    heading_deg: float
    spacing_m: float = 5.0
    noise_m: float = 0.2
    speed_m_s: float = 2.5
    rng: np.random.Generator = field(default_factory=lambda: np.random.default_rng(0))

    def place(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Give the pass in which a place lies, and how far along it, in metres from the field's middle."""
        angle = np.radians(self.heading_deg)
        east, north = x - (WEST + EAST) / 2, y - (SOUTH + NORTH) / 2
        across = east * np.cos(angle) - north * np.sin(angle)
        return np.floor(across / self.width_m).astype(int), east * np.sin(angle) + north * np.cos(angle)

    def passes(self) -> range:
        """Numbers of the passes that cross the field."""
        found, _ = self.place(*np.array(FIELD.exterior.coords).T)
        return range(int(found.min()), int(found.max()) + 1)

    def along(self, number: int) -> np.ndarray:
        """Places of the records of one pass inside the field, in the order of driving."""
        angle = np.radians(self.heading_deg)
        v = np.arange(-300, 300, self.spacing_m) * (1 if number % 2 else -1)
        u = np.full(len(v), (number + 0.5) * self.width_m)
        x = (WEST + EAST) / 2 + u * np.cos(angle) + v * np.sin(angle)
        y = (SOUTH + NORTH) / 2 - u * np.sin(angle) + v * np.cos(angle)
        inside = (x > WEST + 1) & (x < EAST - 1) & (y > SOUTH + 1) & (y < NORTH - 1)
        return np.column_stack([x, y])[inside]


@dataclass
class Drive:
    """Records as they stand in a file: places, times and varieties."""

    at_m: list[np.ndarray] = field(default_factory=list)
    rows: list[dict[str, object]] = field(default_factory=list)

    def go(
        self,
        planter: Planter,
        numbers: list[int],
        start: datetime,
        variety: Callable[[int, np.ndarray], np.ndarray] | str = "P",
        only: Callable[[np.ndarray], np.ndarray] | None = None,
    ) -> datetime:
        """Drive some passes one after the other; give the time at the end."""
        now = start
        for number in numbers:
            at = planter.along(number)
            at = at if only is None else at[only(at)]
            sown = np.full(len(at), variety) if isinstance(variety, str) else variety(number, at)
            for place, name in zip(at, sown, strict=True):
                self.at_m.append(place + planter.rng.normal(0, planter.noise_m, 2))
                self.rows.append({"planted": now.isoformat(timespec="seconds"), "variety": str(name)})
                now += timedelta(seconds=planter.spacing_m / planter.speed_m_s)
            now += timedelta(seconds=40)
        return now

    def shapes(self) -> list[shapely.Point]:
        """Give the records as points."""
        return [shapely.Point(place) for place in self.at_m]


def raster() -> tuple[np.ndarray, np.ndarray]:
    """Centres of the cells on which truth and blocks are compared; east and north, of one shape."""
    x, y = np.arange(WEST + STEP_M / 2, EAST, STEP_M), np.arange(NORTH - STEP_M / 2, SOUTH, -STEP_M)
    return tuple(np.meshgrid(x, y))


def blocks_on(blocks: tuple, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Place of the block that holds each centre."""
    found = np.full(x.shape, -1)
    for place, block in enumerate(blocks):
        shapely.prepare(block.outline)
        found[shapely.contains_xy(block.outline, x, y)] = place
    return found


def compared(blocks: tuple, case: "Case") -> tuple[float, float, float]:
    """Share of the cells whose block says the truth; of those farther than a planter's width from any edge.

    And the largest patch of wrong cells there, in acres.
    """
    names = np.array([f"{block.planted}|{block.variety}" for block in blocks] + ["nobody"])
    right = names[blocks_on(blocks, *raster())] == case.truth
    codes = np.unique(case.truth, return_inverse=True)[1].reshape(case.truth.shape)
    inner = [ndimage.distance_transform_edt(codes == code) * STEP_M for code in range(codes.max() + 1)]
    away = np.max(inner, axis=0) > case.planter.width_m if codes.max() else np.ones(right.shape, dtype=bool)
    patches, _ = ndimage.label(away & ~right)
    largest = np.bincount(patches.ravel())[1:].max(initial=0)
    return float(right.mean()), float(right[away].mean()), ac_from_m2(largest * STEP_M**2)


# -- cases: what is done to the field of one seed ----------------------------------------------------------

D6, D10, D11, D20 = (datetime(2026, 5, day, 8) for day in (6, 10, 11, 20))


@dataclass
class Case:
    """Records of one made field; `truth` holds "day|variety" for each cell of `raster`."""

    planter: Planter
    drive: Drive
    truth: np.ndarray


def _planter(seed: int, narrowest_m: float = 5.0, widest_m: float = 18.0) -> Planter:
    rng = np.random.default_rng(seed)
    width_m = rng.uniform(narrowest_m, widest_m)
    # no farther apart along a pass than from pass to pass: else no strip shows in the records
    spacing_m = rng.uniform(min(4, width_m), min(12, width_m))
    return Planter(width_m=width_m, heading_deg=rng.uniform(0, 180), spacing_m=spacing_m, rng=rng)


def _cut(planter: Planter) -> int:
    numbers = list(planter.passes())
    return numbers[int(len(numbers) * planter.rng.uniform(0.35, 0.65))]


def plain(seed: int) -> Case:
    """Two days; on the first the variety changes in the middle of the passes, not quite at one line."""
    planter, drive = _planter(seed), Drive()
    cut, middle = _cut(planter), planter.rng.uniform(-60, 60)
    change = {number: middle + planter.rng.normal(0, planter.width_m / 3) for number in planter.passes()}

    def variety(number: int, at: np.ndarray) -> np.ndarray:
        return np.where(planter.place(*at.T)[1] < change[number], "P", "Q")

    drive.go(planter, [number for number in planter.passes() if number < cut], D6, variety)
    drive.go(planter, [number for number in planter.passes() if number >= cut], D20, "Q")
    number, along = planter.place(*raster())
    first = np.where(along < middle, "2026-05-06|P", "2026-05-06|Q")
    return Case(planter, drive, np.where(number < cut, first, "2026-05-20|Q"))


def strays(seed: int) -> Case:
    """As `plain`, in disorder: wrong clocks, lost names, jumps, a neighbour's rows, rows twice, shuffled."""
    case = plain(seed)
    rng, drive = case.planter.rng, case.drive
    many = len(drive.rows)
    for one in rng.choice(many, many // 50, replace=False):
        when = datetime(2026, 5, int(rng.integers(6, 25)), int(rng.integers(0, 24)))
        drive.rows[one] = drive.rows[one] | {"planted": when.isoformat()}
    for one in rng.choice(many, many // 100, replace=False):
        drive.rows[one] = drive.rows[one] | {"variety": ""}
    for one in rng.choice(many, many // 200, replace=False):
        drive.at_m[one] = drive.at_m[one] + rng.normal(0, 150, 2)
    first = int(rng.integers(0, many - 8))
    for one in range(first, first + 6):
        drive.rows[one] = drive.rows[one] | {"planted": "2026-06-01T10:00:00"}
    for one in range(200):  # across the fence, a pass every 10 m
        drive.at_m.append(np.array([EAST + 4 + 10 * (one // 50), SOUTH + 6 * (one % 50)]))
        when = datetime(2026, 5, 7 + one // 50, one % 24)
        drive.rows.append({"planted": when.isoformat(), "variety": "Z"})
    for one in rng.choice(many, many // 10):
        drive.at_m.append(drive.at_m[one])
        drive.rows.append(drive.rows[one])
    order = rng.permutation(len(drive.rows))
    drive.at_m, drive.rows = [drive.at_m[one] for one in order], [drive.rows[one] for one in order]
    return case


def two_planters(seed: int) -> Case:
    """Two planters at once, each with its own part and variety."""
    planter, drive = _planter(seed), Drive()
    cut = _cut(planter)
    drive.go(planter, [number for number in planter.passes() if number < cut], D6, "P")
    late = D6 + timedelta(minutes=20)
    drive.go(planter, [number for number in reversed(planter.passes()) if number >= cut], late, "Q")
    return Case(planter, drive, np.where(planter.place(*raster())[0] < cut, "2026-05-06|P", "2026-05-06|Q"))


def side_by_side(seed: int) -> Case:
    """Two planters at once, pass beside pass."""
    planter, drive = _planter(seed), Drive()
    drive.go(planter, list(planter.passes())[::2], D6)
    drive.go(planter, list(planter.passes())[1::2], D6 + timedelta(minutes=20))
    return Case(planter, drive, np.full(raster()[0].shape, "2026-05-06|P"))


def every_second(seed: int) -> Case:
    """A part in one go; of the rest every second pass on one day and the others on the next."""
    planter, drive = _planter(seed), Drive()
    cut = _cut(planter)
    drive.go(planter, [number for number in planter.passes() if number < cut], D6)
    rest = [number for number in planter.passes() if number >= cut]
    drive.go(planter, rest[::2], D10)
    drive.go(planter, rest[1::2], D11)
    days = np.sort([row["planted"][:10] for row in drive.rows if row["planted"] >= "2026-05-07"])
    middle = f"{days[(len(days) - 1) // 2]}|P"
    return Case(planter, drive, np.where(planter.place(*raster())[0] < cut, "2026-05-06|P", middle))


def filled_in(seed: int) -> Case:
    """Single passes that were left out are planted two weeks later."""
    planter, drive = _planter(seed, widest_m=12.0), Drive()
    numbers = list(planter.passes())
    late = [number for number in numbers[3:-3] if number % 8 == 0]
    drive.go(planter, [number for number in numbers if number not in late], D6)
    drive.go(planter, late, D20)
    return Case(planter, drive, np.full(raster()[0].shape, "2026-05-06|P"))


def narrow_strips(seed: int) -> Case:
    """A part of one variety; in the rest two varieties alternate, in strips of at most 24 m."""
    planter, drive = _planter(seed, widest_m=12.0), Drive()
    cut, passes = _cut(planter), int(planter.rng.integers(1, 1 + int(24 // planter.width_m)))

    def variety(number: int, at: np.ndarray) -> np.ndarray:
        return np.full(len(at), "P" if number < cut or (number - cut) // passes % 2 else "Q")

    drive.go(planter, list(planter.passes()), D6, variety)
    is_first = planter.place(*raster())[0] < cut
    return Case(planter, drive, np.where(is_first, "2026-05-06|P", "2026-05-06|P and Q, in strips"))


def wide_strips(seed: int) -> Case:
    """Two varieties alternate in strips of at least 32 m, wider than the boom."""
    planter, drive = _planter(seed, narrowest_m=8.0), Drive()
    passes = int(np.ceil(32 / planter.width_m))

    def variety(number: int, at: np.ndarray) -> np.ndarray:
        return np.full(len(at), "P" if (number // passes) % 2 else "Q")

    drive.go(planter, list(planter.passes()), D6, variety)
    number = planter.place(*raster())[0]
    return Case(planter, drive, np.where((number // passes) % 2, "2026-05-06|P", "2026-05-06|Q"))


CASES = (plain, strays, two_planters, side_by_side, every_second, filled_in, narrow_strips, wide_strips)
