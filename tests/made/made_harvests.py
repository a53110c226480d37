"""Harvests of simulated strip trials whose truth is known: a seed gives the same points everywhere.

Ground is a smooth trend, an autocorrelated field and swaths that differ; a combine drives over it, and its
monitor sees the grain late, smeared, at a wrong and drifting scale, with gross errors.
"""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Literal

import numpy as np
from made_combine import Drive, Monitor, Truth, Turns, grown
from made_strip_ground import ground_of, laid_out
from pyproj import Transformer

from zoning.inputs.harvest.given import TrialGround, YieldPoints

BOOM_M, HEADER_M = 27.432, 10.668  # 90 ft, 35 ft


@dataclass(frozen=True, eq=False)
class Harvest:
    """The combine's points, the ground of the trial, and the truth."""

    points: YieldPoints
    ground: TrialGround
    truth: Truth


def made(
    seed: int,
    *,
    effect_bu_ac: float | Sequence[float] = 0.0,
    pairs: int = 4,
    zones: int = 2,
    length_m: float = 400.0,
    heading_deg: float | None = None,
    between: int = 2,
    header_m: float = HEADER_M,
    boom_m: float = BOOM_M,
    interval_s: float = 2.0,
    turns: Turns | None = None,
    corrected_s: float | None = None,
    points_in_strips_only: bool = False,
    gives: Literal["flow", "yield"] = "flow",
    quiet: bool = False,
) -> Harvest:
    """Make a harvest.

    Parameters
    ----------
    seed : int
        The same arguments give the same harvest.
    effect_bu_ac : float or sequence of float
        What the pass truly returned: everywhere, or in each zone.
    pairs, zones : int
        Pairs of strips, in which sides are at random; zones, which every strip crosses.
    length_m : float
        Of the field along its strips.
    heading_deg : float, optional
        Of the strips; at random where it is left out.
    between : int
        Swaths between two pairs.
    header_m, boom_m : float
    interval_s : float
        Between two points.
    turns : "told", "untold", "left out", optional
        Whether the file has the turns, and whether it says that the header was up.
    corrected_s : float, optional
        What the terminal took off the lag before it wrote the file; at random 0 or 10.
    points_in_strips_only : bool
        Only passes that lie on strips or next to them, and no headland: for many runs.
    gives : "flow" or "yield"
        Wet flow, or dry yield as the terminal would reckon it.
    quiet : bool
        A monitor without any fault, for arithmetic by hand.
    """
    rng = np.random.default_rng([seed, 20_261_020])
    heading = float(rng.uniform(0, 180)) if heading_deg is None else heading_deg
    field = laid_out(rng, effect_bu_ac, (pairs, zones, between), (length_m, boom_m), heading)
    turns = turns or ("told", "untold", "left out")[rng.integers(3)]
    corrected_s = float(rng.choice((0.0, 10.0))) if corrected_s is None else corrected_s
    drive = Drive(header_m=header_m, interval_s=interval_s, sparse=points_in_strips_only, quiet=quiet)
    way = drive.over(rng, field)
    truth, dry = grown(rng, field, way, header_m)
    seen = Monitor(turns=turns, corrected_s=corrected_s, quiet=quiet, gives=gives).write(
        rng, field, way, (truth, dry), header_m
    )
    return Harvest(points=seen[0], ground=ground_of(field, header_m), truth=seen[1])


# How a file may call and measure things: role -> column, unit of our own, factor, decimals
STYLES: dict[str, dict[str, tuple[str, str, float, int]]] = {
    "us_flow": {
        "flow": ("flow_lb_s", "lb/s", 1 / 0.45359237, 3),
        "moisture": ("moisture_pct", "%", 100.0, 2),
        "speed": ("speed_mph", "mph", 1 / 0.44704, 2),
        "distance": ("distance_in", "in", 1 / 0.0254, 1),
        "swath": ("swath_ft", "ft", 1 / 0.3048, 2),
        "interval": ("interval_s", "s", 1.0, 1),
    },
    "metric_yield": {
        "yield": ("yield_t_ha", "t/ha", 60 * 0.45359237 / 4046.8564224 * 10, 4),
        "moisture": ("moisture_frac", "share", 1.0, 4),
        "speed": ("speed_km_h", "km/h", 3.6, 2),
        "swath": ("swath_m", "m", 1.0, 2),
    },
}


def as_csv(harvest: Harvest, path: Path, style: str = "us_flow", separator: str = ",") -> Path:
    """Write the points as a terminal's export might: longitude, latitude, and columns of a style.

    A semicolon as separator makes decimal commas. Rows stay in their order; what is unknown stays empty.
    """
    points = harvest.points
    values = {
        "flow": points.flow_kg_s, "yield": points.yield_bu_ac, "moisture": points.moisture_frac,
        "speed": points.speed_m_s, "distance": points.distance_m, "swath": points.swath_m,
        "interval": points.interval_s,
    }  # fmt: skip
    lon, lat = Transformer.from_crs(points.epsg, 4326, always_xy=True).transform(
        points.east_m, points.north_m
    )
    start = datetime(2026, 10, 3, 10, 0)
    times = [(start + timedelta(seconds=float(after))).isoformat(" ") for after in points.time_s]
    columns = [("longitude", lon, 7), ("latitude", lat, 7)]
    columns += [
        (name, values[role] * factor, digits) for role, (name, _, factor, digits) in STYLES[style].items()
    ]
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, delimiter=separator, lineterminator="\n")
        table.writerow(["time", *(name for name, _, _ in columns), "header"])
        for row, when in enumerate(times):
            cells = ["" if np.isnan(of[row]) else f"{of[row]:.{digits}f}" for _, of, digits in columns]
            if separator == ";":
                cells = [cell.replace(".", ",") for cell in cells]
            table.writerow([when, *cells, "up" if points.is_header_up[row] else "down"])
    return path
