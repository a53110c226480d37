"""A combine that drives over a made field, and a monitor that sees the grain late, smeared and wrong."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
import numpy.typing as npt
import shapely
from made_strip_ground import Field, ground_at

from zoning.inputs.harvest.given import YieldPoints

Floats = npt.NDArray[np.float64]
Turns = Literal["told", "untold", "left out"]

KG_M2_PER_BU_AC = 60 * 0.45359237 / 4046.8564224  # a bushel of 60 lb on an acre
STANDARD_MOISTURE = 0.13
EPSG = 32615
LATERAL = np.array([-0.4, -0.2, 0.0, 0.2, 0.4])  # where a header is sampled, in its widths


@dataclass(frozen=True, eq=False)
class Truth:
    """What nobody knows: arrays of shape (n,) are in the order of the points."""

    effect_of_zone: Mapping[int, float]
    yield_bu_ac: Floats  # of the ground that the header was on, dry
    treated_frac: Floats  # of the header
    lag_s: float
    is_wrong: npt.NDArray[np.bool_]  # gross errors
    is_cutting: npt.NDArray[np.bool_]  # a full header in standing crop
    pass_number: npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Way:
    """How the combine went: arrays of shape (n,), a record each `interval_s`, turns included."""

    u: Floats
    v: Floats
    speed_m_s: Floats
    time_s: Floats
    width_m: Floats  # of standing crop in the header
    is_up: npt.NDArray[np.bool_]
    number: npt.NDArray[np.int64]  # of the pass; that of the pass before in a turn
    interval_s: float


@dataclass(frozen=True)
class Drive:
    """How a field is driven: rounds on the headlands, then passes back and forth."""

    header_m: float
    interval_s: float
    sparse: bool
    quiet: bool
    turn_s: float = 14.0

    def over(self, rng: np.random.Generator, field: Field) -> Way:
        """Drive it."""
        parts = [self._pass(rng, one) for one in self._legs(rng, field)]
        columns = []
        clock_s = 0.0
        for number, (here, after) in enumerate(zip(parts, [*parts[1:], None], strict=True), start=1):
            for u, v, speed, width, up in (here, self._turn(here, after)):
                time_s = clock_s + self.interval_s * np.arange(1, len(u) + 1)
                clock_s = float(time_s[-1]) if len(u) else clock_s
                columns.append((u, v, speed, time_s, width, up, np.full(len(u), number)))
            if rng.random() < 0.08:  # the bin is full
                clock_s += float(rng.integers(60, 400))
        u, v, speed, time_s, width, up, number = (np.concatenate(one) for one in zip(*columns, strict=True))
        return Way(u, v, speed, time_s, width, up.astype(bool), number.astype(np.int64), self.interval_s)

    def _legs(self, rng: np.random.Generator, field: Field) -> list[tuple[float, float, float, float, float]]:
        """Give u and v of the start and of the end of each pass, and the width of crop that it has left."""
        wide, rounds = self.header_m, 0 if self.sparse else 3
        legs = []
        for k in range(rounds):
            for v in ((k + 0.5) * wide, field.length_m - (k + 0.5) * wide):
                ends = (0.0, field.width_m) if k % 2 else (field.width_m, 0.0)
                legs.append((ends[0], v, ends[1], v, wide))
        low, high = rounds * wide, field.length_m - rounds * wide
        near = wide if self.sparse else math.inf
        cut_to = float(rng.uniform(-0.3, 0.3)) * wide  # where the crop that stands begins
        turn = -1
        while field.width_m - cut_to > 0.1 * wide:
            turn += 1
            fresh = min(wide, field.width_m - cut_to)
            if not self.quiet and rng.random() < 0.02:  # it drives into what was cut already
                fresh = wide * float(rng.uniform(0.4, 0.8))
            cut_to += fresh
            u, cut = cut_to - wide / 2, min(fresh, cut_to)
            if min(abs(u - (swath + 0.5) * field.boom_m) for _, _, swath in field.strips) > (
                field.boom_m / 2 + near
            ):
                continue
            start, end = (low, high) if turn % 2 else (high, low)
            legs.append((float(u), start, float(u), end, cut))
            if not self.quiet and not self.sparse and rng.random() < 0.01:
                legs.append((float(u), end, float(u), start, 0.02 * wide))  # once more, to get out
        return legs

    def _pass(self, rng: np.random.Generator, leg: tuple[float, float, float, float, float]) -> tuple:
        u0, v0, u1, v1, width = leg
        length = math.hypot(u1 - u0, v1 - v0)
        most = int(length / (1.2 * self.interval_s)) + 8
        steady = float(rng.uniform(1.8, 2.4))
        wander = np.convolve(rng.standard_normal(most + 9), np.full(10, 0.1), mode="valid")
        speed = steady * (1 + (0 if self.quiet else 0.12) * wander)
        if not self.quiet:
            speed[:2] *= (0.6, 0.85)
            if rng.random() < 0.15:  # slows down for something
                at = int(rng.integers(most))
                speed[at : at + 4] *= 0.45
        gone = np.cumsum(speed * self.interval_s) - speed * self.interval_s / 2
        here = gone < length
        share = gone[here] / length
        beside = 0.0 if self.quiet else rng.normal(0, 0.15) + 0.1 * wander[: len(gone)][here]
        across = (v1 - v0, u0 - u1)  # the driver leaves his line a little
        u = u0 + share * (u1 - u0) + beside * across[0] / length
        v = v0 + share * (v1 - v0) + beside * across[1] / length
        return u, v, speed[here], np.full(len(u), width), np.zeros(len(u))

    def _turn(self, here: tuple, after: tuple | None) -> tuple:
        count = int(self.turn_s / self.interval_s)
        share = (np.arange(count) + 0.5) / count
        u0, v0 = here[0][-1], here[1][-1]
        u1, v1 = (after[0][0], after[1][0]) if after is not None else (u0, v0)
        bulge = 8 * np.sin(math.pi * share) * np.sign(v0 - here[1][0] or 1.0)
        far = math.hypot(u1 - u0, v1 - v0)
        return (
            u0 + share * (u1 - u0), v0 + share * (v1 - v0) + bulge,
            np.full(count, max(far, 16.0) / self.turn_s), np.zeros(count), np.ones(count),
        )  # fmt: skip


def grown(rng: np.random.Generator, field: Field, way: Way, header_m: float) -> tuple[Floats, Floats]:
    """Give the dry yield under the header and the share of it that was treated."""
    # across the header, whichever way it is driven
    along_v = np.abs(np.gradient(way.v)) >= np.abs(np.gradient(way.u))
    off = LATERAL * header_m
    u = way.u[:, None] + np.where(along_v[:, None], off, 0)
    v = way.v[:, None] + np.where(along_v[:, None], 0, off)
    across, along = u / field.width_m - 0.5, v / field.length_m - 0.5
    tilt, lean, bow = rng.normal(0, (6.0, 4.0, 6.0))
    base = 60 + tilt * across + lean * along + bow * (across**2 - 1 / 12)
    range_m = float(rng.choice((30.0, 60.0, 90.0, 120.0)))
    base += float(rng.uniform(4.0, 6.0)) * ground_at(rng, range_m, u, v)
    base += 1.6 * rng.standard_normal(int(field.width_m // field.boom_m))[field.swath_at(u)]
    base += rng.normal(0, 2.0, len(field.effects))[field.zone_at(u, v) - 1]
    edge = np.minimum(np.minimum(u, field.width_m - u), np.minimum(v, field.length_m - v))
    base *= 1 - 0.18 * np.exp(-np.maximum(edge, 0) / 8)  # the boundary, and where everybody turns
    treated = field.treated_at(u, v)
    grown = base + np.where(treated, np.array(field.effects)[field.zone_at(u, v) - 1], 0.0)
    return np.maximum(grown, 2.0).mean(axis=1), treated.mean(axis=1)


@dataclass(frozen=True)
class Monitor:
    """How the terminal sees it and writes it down."""

    turns: Turns
    corrected_s: float
    quiet: bool
    gives: Literal["flow", "yield"]

    def write(
        self,
        rng: np.random.Generator,
        field: Field,
        way: Way,
        on_ground: tuple[Floats, Floats],
        header_m: float,
    ) -> tuple[YieldPoints, Truth]:
        """Give the points as they are read, and the truth of each."""
        dry_bu_ac, treated_frac = on_ground
        count = len(dry_bu_ac)
        moist = 0.12 + 0.006 * ground_at(rng, 120.0, way.u, way.v) + 0.0008 * treated_frac
        wet_kg_m2 = dry_bu_ac * KG_M2_PER_BU_AC * (1 - STANDARD_MOISTURE) / (1 - moist)
        flow = wet_kg_m2 * way.width_m * way.speed_m_s
        lag_s = 0.0 if self.quiet else float(rng.uniform(8, 12))
        flow = self._late(flow, way.interval_s, lag_s) * self._scale(rng, way)
        moist_seen = np.interp(way.time_s - lag_s, way.time_s, moist)
        moist_seen = moist_seen + (0 if self.quiet else 0.002) * rng.standard_normal(count)
        if self.corrected_s and not self.quiet:  # the terminal has shifted it by a fixed time
            flow = np.interp(way.time_s + self.corrected_s, way.time_s, flow)
            moist_seen = np.interp(way.time_s + self.corrected_s, way.time_s, moist_seen)
        else:
            lag_s = lag_s if not self.quiet else 0.0
        east, north = field.frame.plane(way.u, way.v)
        if not self.quiet:
            east, north = east + rng.normal(0, 0.15, count), north + rng.normal(0, 0.15, count)
        speed = way.speed_m_s * (1 + (0 if self.quiet else 0.015) * rng.standard_normal(count))
        rows = {
            "flow": flow, "moist": moist_seen, "east": east, "north": north, "speed": speed,
            "distance": speed * way.interval_s, "swath": np.full(count, header_m),
        }  # fmt: skip
        wrong = np.zeros(count, dtype=bool) if self.quiet else _gross(rng, rows)
        seen = ~way.is_up if self.turns == "left out" else np.ones(count, dtype=bool)
        truth = Truth(
            effect_of_zone=dict(enumerate(field.effects, start=1)),
            yield_bu_ac=dry_bu_ac[seen],
            treated_frac=treated_frac[seen],
            lag_s=lag_s - (self.corrected_s if not self.quiet else 0.0),
            is_wrong=wrong[seen],
            is_cutting=(~way.is_up & (way.width_m > 0.95 * header_m))[seen],
            pass_number=way.number[seen],
        )
        return self._points(field, way, rows, seen), truth

    def _late(self, flow: Floats, interval_s: float, lag_s: float) -> Floats:
        """The grain comes late and smeared: most of it soon, the returns of the sieves later."""
        if self.quiet:
            return flow
        times_s = np.arange(0, 60, interval_s)

        def by(after_s: Floats) -> Floats:
            late_s = np.maximum(
                after_s - (lag_s - 2.9), 0
            )  # 0.85 x 2 s + 0.15 x 8 s = 2.9 s later, as a mean
            return 1 - 0.85 * np.exp(-late_s / 2.0) - 0.15 * np.exp(-late_s / 8.0)

        kernel = by(times_s + interval_s / 2) - by(times_s - interval_s / 2)
        return np.convolve(flow, kernel)[: len(flow)]

    def _scale(self, rng: np.random.Generator, way: Way) -> Floats:
        """Calibration: off by some percent, drifting, other in each direction, pass and point."""
        count = len(way.u)
        if self.quiet:
            return np.ones(count)
        hours = way.time_s / 3600
        drift = (
            1 + rng.normal(0, 0.04) + rng.normal(0, 0.01) * hours + 0.01 * np.sin(hours + rng.uniform(0, 6))
        )
        of_pass = rng.normal(0, 0.008, way.number.max() + 1)[way.number]
        of_way = rng.normal(0, 0.008) * (-1.0) ** way.number
        return drift * (1 + of_pass + of_way) * (1 + rng.normal(0, 0.05, count))

    def _points(
        self, field: Field, way: Way, rows: dict[str, Floats], seen: npt.NDArray[np.bool_]
    ) -> YieldPoints:
        count = int(seen.sum())
        nothing = np.full(count, np.nan)
        flow = rows["flow"][seen]
        swept = rows["speed"] * rows["swath"] * KG_M2_PER_BU_AC
        with np.errstate(divide="ignore", invalid="ignore"):
            dry = (rows["flow"] * (1 - rows["moist"]) / (1 - STANDARD_MOISTURE) / swept)[seen]
        dry[~np.isfinite(dry)] = np.nan
        east, north = rows["east"][seen], rows["north"][seen]
        crop = field.frame.shape(
            [(0, 0), (field.width_m, 0), (field.width_m, field.length_m), (0, field.length_m)]
        )
        is_flow, told = self.gives == "flow", self.turns == "told"
        return YieldPoints(
            file="harvest/made.csv",
            epsg=EPSG,
            row=np.arange(2, count + 2),
            east_m=east,
            north_m=north,
            time_s=way.time_s[seen] - way.time_s[seen][0],
            flow_kg_s=flow if is_flow else nothing,
            yield_bu_ac=nothing if is_flow else dry,
            moisture_frac=rows["moist"][seen],
            speed_m_s=rows["speed"][seen],
            distance_m=rows["distance"][seen],
            swath_m=rows["swath"][seen],
            interval_s=np.full(count, way.interval_s),
            track=np.full(count, -1),
            is_header_up=way.is_up[seen] if told else np.zeros(count, dtype=bool),
            is_inside=shapely.contains_xy(crop, east, north),
            is_dry=not is_flow,
            harvested=(date(2026, 10, 3),),
            columns={},
            units={},
        )


def _gross(rng: np.random.Generator, rows: dict[str, Floats]) -> npt.NDArray[np.bool_]:
    """Spoil one point in 25, in ways that happen, wherever it lies."""
    count = len(rows["flow"])
    wrong = rng.random(count) < 0.04
    kind = np.where(wrong, rng.integers(0, 6, count), -1)
    rows["flow"] = np.where(kind == 0, rows["flow"] * rng.uniform(0, 0.4, count), rows["flow"])
    rows["flow"] = np.where(kind == 1, rows["flow"] * rng.uniform(1.6, 4, count), rows["flow"])
    rows["moist"] = np.where(kind == 2, rng.choice((np.nan, 0.0, 0.45), count), rows["moist"])
    jumps = np.where(kind == 3, rng.normal(0, 40, count), 0)
    rows["east"], rows["north"] = rows["east"] + jumps, rows["north"] - 0.7 * jumps
    rows["swath"] = np.where(kind == 4, rows["swath"] / 2, rows["swath"])
    rows["distance"] = np.where(
        kind == 5, rows["distance"] * rng.choice((0.05, 6.0), count), rows["distance"]
    )
    return wrong
