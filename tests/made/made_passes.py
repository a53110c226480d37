"""Small simulated harvests: passes side by side, with a lag, noise and a combine that fills and empties."""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from scipy.signal import lfilter

from zoning.inputs.harvest.given import YieldPoints

HEADER_M = 9.144
MOISTURE = 0.12
BUSHEL_KG = 60 * 0.45359237
M2_PER_AC = 4046.8564224
STANDARD = 0.13


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What is simulated; `residual_s` is the lag left in the file, `effects` are added to whole passes."""

    passes: int = 30
    length_m: float = 400.0
    interval_s: float = 1.0
    speed_m_s: float = 2.0
    residual_s: float = 0.0
    mixing_s: float = 1.5  # grain is mixed on its way
    gps_m: float = 0.15
    noise_frac: float = 0.08  # of the sensor, point by point
    signal_bu_ac: float = 5.0
    range_m: float = 50.0
    drift_frac: float = 0.03  # of the sensor, from pass to pass
    mean_bu_ac: float = 55.0
    heading_deg: float = 0.0
    one_way: bool = False
    turns: bool = True  # turns are logged, with the header up
    effects: tuple[float, ...] = ()


def field(rng, signal, range_m):
    """A random field, rough and without period: its value at any place."""
    waves = rng.normal(size=(400, 2)) / np.sqrt(rng.chisquare(3, size=(400, 1)) / 3) / range_m
    phase = rng.uniform(0, 2 * np.pi, 400)
    return lambda x, y: (
        signal * np.sqrt(2 / 400) * np.cos(np.outer(x, waves[:, 0]) + np.outer(y, waves[:, 1]) + phase).sum(1)
    )


def points_of(**columns) -> YieldPoints:
    """Points from the columns that matter; what is left out is missing as in a file without it."""
    n = len(columns["east_m"])
    missing = {
        name: np.full(n, np.nan)
        for name in (
            "time_s",
            "flow_kg_s",
            "yield_bu_ac",
            "moisture_frac",
            "speed_m_s",
            "distance_m",
            "swath_m",
        )
    }
    rest = {
        "file": "yield.csv",
        "epsg": 32615,
        "row": np.arange(2, n + 2),
        "interval_s": np.full(n, np.nan),
        "track": np.full(n, -1),
        "is_header_up": np.zeros(n, dtype=bool),
        "is_inside": np.ones(n, dtype=bool),
        "is_dry": True,
        "harvested": (date(2026, 10, 2),),
        "columns": {},
        "units": {},
    }
    return YieldPoints(**(missing | rest | columns))


def harvest(seed: int, made: Made = Made()) -> tuple[YieldPoints, np.ndarray, np.ndarray]:
    """Points of a harvest; the yield that really stood at each; the pass of each, -1 in turns."""
    rng = np.random.default_rng(seed)
    stands = field(rng, made.signal_bu_ac, made.range_m)
    dt = made.interval_s
    east, north, speed, number, effect = [], [], [], [], []
    for one in range(made.passes):
        n = int(made.length_m / made.speed_m_s / dt)
        pace = made.speed_m_s * np.exp(0.05 * rng.normal() + 0.04 * _wandering(rng, n, 0.9))
        way = np.cumsum(pace * dt)
        way *= made.length_m / way[-1]
        up = made.one_way or one % 2 == 0
        north.append(way if up else made.length_m - way)
        east.append(np.full(n, one * HEADER_M))
        speed.append(pace)
        number.append(np.full(n, one))
        effect.append(np.full(n, made.effects[one % len(made.effects)] if made.effects else 0.0))
        turn = int(12 / dt)
        part = (np.arange(turn) + 0.5) / turn
        edge = made.length_m if up else 0.0
        north.append(edge + (1 if up else -1) * 6 * np.sin(np.pi * part))
        east.append(one * HEADER_M + HEADER_M * part)
        speed.append(np.full(turn, 1.5))
        number.append(np.full(turn, -1))
        effect.append(np.zeros(turn))
    east, north, speed, number, effect = map(np.concatenate, (east, north, speed, number, effect))
    stood = made.mean_bu_ac + stands(east, north) + effect
    cut = np.where(number >= 0, stood, 0) * speed * HEADER_M / M2_PER_AC * BUSHEL_KG
    flow = _arrived(cut * (1 - STANDARD) / (1 - MOISTURE), dt, made)
    drift = 1 + made.drift_frac * rng.normal(size=made.passes)
    flow *= np.where(number >= 0, drift[number], 1) * (1 + made.noise_frac * _wandering(rng, len(flow), 0.3))
    angle = np.deg2rad(-made.heading_deg)
    x, y = (axis + made.gps_m * _wandering(rng, len(east), 0.7) for axis in (east, north))
    kept = np.ones(len(east), dtype=bool) if made.turns else number >= 0
    points = points_of(
        east_m=500_000 + (x * np.cos(angle) - y * np.sin(angle))[kept],
        north_m=4_600_000 + (x * np.sin(angle) + y * np.cos(angle))[kept],
        time_s=(np.arange(len(east)) * dt)[kept],
        flow_kg_s=flow[kept],
        moisture_frac=MOISTURE + 0.002 * rng.normal(size=len(east))[kept],
        speed_m_s=(speed * (1 + 0.02 * rng.normal(size=len(east))))[kept],
        distance_m=(speed * dt)[kept],
        interval_s=np.full(int(kept.sum()), dt),
        is_header_up=(number < 0)[kept],
    )
    return points, stood[kept], number[kept]


def _wandering(rng, n, keeps):
    """Noise of variance 1 of which each value keeps a part of the one before."""
    noise = np.sqrt(1 - keeps**2) * rng.normal(size=n)
    return lfilter([1.0], [1.0, -keeps], noise, zi=[keeps * rng.normal()])[0]


def _arrived(cut, dt, made):
    """Flow at the sensor: mixed on the way, and later by what the terminal has left of the lag."""
    lags = np.arange(0, 6 * made.mixing_s + dt, dt / 8)
    weight = np.exp(-lags / made.mixing_s) if made.mixing_s else np.eye(1, len(lags))[0]
    weight /= weight.sum()
    mean_s = float(lags @ weight)
    times = np.arange(len(cut)) * dt
    flow = np.zeros(len(cut))
    for share, late in zip(weight, lags, strict=True):
        flow += share * np.interp(times - late + mean_s - made.residual_s, times, cut, left=0, right=0)
    return flow


def as_yields(points: YieldPoints, is_dry: bool = True) -> YieldPoints:
    """The same harvest as a file that gives yields and neither flow nor distance."""
    dry = points.flow_kg_s / BUSHEL_KG / (points.speed_m_s * HEADER_M / M2_PER_AC)
    if is_dry:
        dry = dry * (1 - points.moisture_frac) / (1 - STANDARD)
    nothing = np.full(points.count, np.nan)
    return replace(points, yield_bu_ac=dry, flow_kg_s=nothing, distance_m=nothing, is_dry=is_dry)


def las_rosas(folder, year):
    """Places, rate and block, and yields in t/ha of observed points; the folder is that of reference data."""
    import csv

    from pyproj import Transformer

    with (folder / "strips" / "lasrosas.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["year"] == str(year)]
    to_plane = Transformer.from_crs(4326, 32720, always_xy=True)
    east_m, north_m = to_plane.transform(
        [float(row["long"]) for row in rows], [float(row["lat"]) for row in rows]
    )
    labels = [row["nf"] + row["rep"] for row in rows]
    return np.array(east_m), np.array(north_m), labels, np.array([float(row["yield"]) / 10 for row in rows])
