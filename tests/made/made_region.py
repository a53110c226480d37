"""A region made by seed: a farm of any number of quarter sections, quickly, with what is true of each.

Nothing of `zoning` is used here. Fields lie on a lattice, a few dozen round each hub with its sprayers; each
has one to three planting blocks, a satellite picture and a yield map of 10 m, some are counted, some have
check strips. No place, price, variety or label here is real.

By hand: PYTHONPATH=tests/made python tests/made/made_region.py FOLDER FIELDS [--small]
"""

import argparse
import json
import math
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import rasterio
from pyproj import Transformer
from rasterio.transform import from_origin
from scipy.ndimage import gaussian_filter

TODAY = date(2026, 7, 8)
EPSG = 32615
CORNER_M = (300_000.0, 4_850_000.0)
SIDE_M = 805.0  # of a quarter section, 64.8 ha
SMALL_SIDE_M = 220.0  # of a field for tests of many: 4.8 ha, no picture
APART_M = 1207.0  # from field to field
CELL_M = 10.0
FIELDS_A_HUB = 50  # more is too much for two sprayers in ten days
VARIETIES = 24
YEARS = 13
COUNTED, LAID, SLOUGH = 0.10, 0.10, 0.15  # shares of the fields


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueBlock:
    """A planting block: its west and east edge in the field, and the day on which R3 really begins."""

    west_m: float
    east_m: float
    planted: date
    variety: str
    maturity_group: float
    r3_day: float  # date.toordinal() plus the part of the day


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueQuarter:
    """A field of the region, and the truth of it."""

    name: str  # of its folder
    corner_m: tuple[float, float]  # southwest, in EPSG
    side_m: float
    blocks: tuple[TrueBlock, ...]
    counted: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueRegion:
    """The farm that was made, and its fields in the order of their folders."""

    farm: Path
    today: date
    fields: tuple[TrueQuarter, ...]


FARM = """\
# An invented region, made by a program. No place, price or label here is real.
name = "Made Region"
country = "US"
units = "us"
season = 2026
as_of = {today}
time_zone = "America/Chicago"

[weather]
daily = "weather.csv"
hourly = "hourly.csv"
hourly_forecast = "hourly_forecast.csv"

[money]
grain_price = "10.40 USD/bu"
product = "19 USD/ac"
adjuvant = "2 USD/ac"
pass = "9 USD/ac"
per_visit = "60 USD"
min_net = "3 USD/ac"

[product]
name = "Invented Fungicide A"
groups = ["3", "11"]
dose = "8 fl oz/ac"
max_dose = "16 fl oz/ac"
min_carrier_ground = "10 gal/ac"
aerial_allowed = false
drone_allowed = false
droplet = "medium"
pre_harvest_interval_d = 30
re_entry_h = 12
max_applications = 2
latest_stage = "R5"
max_wind = "10 mph"
rainfast_h = 1
target = "leaf diseases"

[carrier]
volumes = ["10 gal/ac", "15 gal/ac", "20 gal/ac"]

[response]
source = "own trials"
mean = "3.6 bu/ac"
se = "0.6 bu/ac"
trials = 14
years = 4

[schedule]
horizon_d = 28
"""

SPRAYER = """
[[sprayer]]
name = "rig {hub}{letter}"
hub = "hub {hub}"
kind = "ground"
boom = "90 ft"
sections = 9
nozzle_spacing = "20 in"
nozzle = "04"
pressure = ["30 psi", "90 psi"]
speed = ["5 mph", "14 mph"]
tank = "1000 gal"
fill_min = 20
set_up_min = 20
base = [{lat:.5f}, {lon:.5f}]
tracks_exist = true
"""

FIELD = """\
name = "{name}"
maturity_group = {group}
variety_rating = "{rating}"
previous_crop = "{previous}"
expected_yield = "58 bu/ac"
row_spacing = "15 in"
heading_deg = {heading}

[boundary]
file = "boundary.geojson"

[planting]
file = "planting.geojson"
"""

LAYERS = """
[[imagery]]
file = "imagery/2026-06-28_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDRE"

[[layer]]
name = "past yield"
file = "layers/past_yield.tif"
use = "yield"
unit = "bu/ac"
scale = 0.1
"""


def made_region(folder: Path, fields: int, seed: int = 0, *, small: bool = False) -> TrueRegion:
    """Make a farm with so many fields in a new folder; small ones have no picture."""
    folder.mkdir(parents=True)
    rng = np.random.default_rng([seed, 1])
    _farm(folder, rng, fields)
    made = tuple(_field(folder, seed, number, fields, small) for number in range(fields))
    return TrueRegion(farm=folder, today=TODAY, fields=made)


def _place(number: int, fields: int) -> tuple[float, float]:
    """Southwest corner of a field on the lattice; hubs are squares of it."""
    hub, within = divmod(number, FIELDS_A_HUB)
    hubs_a_row = max(1, math.ceil(math.sqrt(math.ceil(fields / FIELDS_A_HUB))))
    side = math.ceil(math.sqrt(FIELDS_A_HUB))
    row, column = divmod(hub, hubs_a_row)
    y, x = divmod(within, side)
    return CORNER_M[0] + (column * side + x) * APART_M, CORNER_M[1] + (row * side + y) * APART_M


_TO_LONLAT = Transformer.from_crs(EPSG, 4326, always_xy=True)


def _ring(corners_m: list[tuple[float, float]]) -> list[list[float]]:
    x, y = np.array([*corners_m, corners_m[0]]).T
    return np.round(np.column_stack(_TO_LONLAT.transform(x, y)), 7).tolist()


def _square(west: float, east: float, south: float, north: float) -> list[list[float]]:
    return _ring([(west, south), (east, south), (east, north), (west, north)])


def _farm(folder: Path, rng: np.random.Generator, fields: int) -> None:
    text = FARM.format(today=TODAY.isoformat())
    for hub in range(math.ceil(fields / FIELDS_A_HUB)):
        x, y = _place(hub * FIELDS_A_HUB, fields)
        half = math.sqrt(FIELDS_A_HUB) * APART_M / 2
        lon, lat = _TO_LONLAT.transform(x + half, y + half)
        for letter in "ab":
            text += SPRAYER.format(hub=hub + 1, letter=letter, lat=lat, lon=lon)
    (folder / "farm.toml").write_text(text, encoding="utf-8")
    first = date(TODAY.year - YEARS, 1, 1)
    days = [first + timedelta(n) for n in range((TODAY - first).days)]
    warm = 8 - 16 * np.cos(2 * math.pi * (np.array([d.timetuple().tm_yday for d in days]) - 20) / 365.25)
    noise = np.convolve(rng.standard_normal(len(days) + 6), np.ones(7) / 7 * 6.0, "valid")
    rain = np.where(rng.random(len(days)) < 0.28, rng.gamma(0.8, 9.0, len(days)), 0)
    rows = [f"{d},{t - 6:.1f},{t + 6:.1f},{r:.1f}" for d, t, r in zip(days, warm + noise, rain, strict=True)]
    (folder / "weather.csv").write_text("\n".join(["date,tmin_c,tmax_c,rain_mm", *rows]) + "\n")
    _hours(folder / "hourly.csv", rng, TODAY - timedelta(30), 30)
    _hours(folder / "hourly_forecast.csv", rng, TODAY, 7)


def _hours(path: Path, rng: np.random.Generator, first: date, days: int) -> None:
    rows = ["time,temp_c,rh_pct,wind_m_s,rain_mm"]
    for day in range(days):
        windy, wet = rng.uniform(1.5, 5.5), rng.random() < 0.25
        for hour in range(24):
            sun = math.cos(2 * math.pi * (hour - 15) / 24)
            wind = max(0.3, windy * (1 + 0.5 * sun) + rng.normal(0, 0.4))
            rain = rng.gamma(0.7, 3.0) if wet and rng.random() < 0.3 else 0.0
            rows.append(
                f"{first + timedelta(day)} {hour:02d}:00,{22 + 6 * sun + rng.normal(0, 0.5):.1f},"
                f"{70 - 20 * sun:.0f},{wind:.1f},{rain:.2f}"
            )
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")


def _blocks(rng: np.random.Generator, side_m: float) -> tuple[TrueBlock, ...]:
    number = int(rng.choice([1, 2, 3], p=[0.35, 0.4, 0.25]))
    edges = [0.0, *np.sort(rng.uniform(0.2, 0.8, number - 1)) * side_m, side_m]
    edges = [round(edge / CELL_M) * CELL_M if 0 < edge < side_m else edge for edge in edges]
    planted = date(2026, 4, 24) + timedelta(int(rng.integers(0, 24)))
    found = []
    for west, east in pairwise(edges):
        if east - west < 3 * CELL_M:
            continue
        variety = int(rng.integers(VARIETIES))
        group = 1.5 + 0.1 * (variety % 8)
        # later planting shortens the way to R3; a miss of 4.5 d is shared by variety, field and block
        doy = planted.timetuple().tm_yday
        off_d = 2.0 * np.random.default_rng([7, variety]).standard_normal() + rng.normal(0, 4.0)
        r3 = planted.toordinal() + 72 - 0.45 * (doy - 125) + 6 * (group - 1.9) + off_d
        found.append(
            TrueBlock(
                west_m=west,
                east_m=east,
                planted=planted,
                variety=f"Made {variety + 1}",
                maturity_group=round(group, 1),
                r3_day=float(r3),
            )
        )
        planted += timedelta(int(rng.integers(6, 16)))
    return tuple(found)


def _feature(rings: list[list[list[float]]], properties: dict[str, object]) -> dict[str, object]:
    geometry = {"type": "Polygon", "coordinates": rings}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def _geojson(path: Path, features: list[dict[str, object]]) -> None:
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")


def _field(folder: Path, seed: int, number: int, fields: int, small: bool) -> TrueQuarter:
    rng = np.random.default_rng([seed, 2, number])
    name = f"q{number + 1:05d}"
    here = folder / name
    here.mkdir()
    side_m = SMALL_SIDE_M if small else SIDE_M
    x, y = _place(number, fields)
    blocks = _blocks(rng, side_m)
    rings = [_square(x, x + side_m, y, y + side_m)]
    if rng.random() < SLOUGH and not small:
        angle = np.linspace(0, 2 * math.pi, 24, endpoint=False)
        middle, radius = rng.uniform(0.3, 0.7, 2) * side_m, rng.uniform(30, 60)
        wet = zip(x + middle[0] + radius * np.cos(angle), y + middle[1] + radius * np.sin(angle), strict=True)
        rings.append(_ring(list(wet)))
    _geojson(here / "boundary.geojson", [_feature(rings, {})])
    of_blocks = [
        _feature(
            [
                _ring(
                    [
                        (x + one.west_m, y),
                        (x + one.east_m, y),
                        (x + one.east_m, y + side_m),
                        (x + one.west_m, y + side_m),
                    ]
                )
            ],
            {
                "planted": one.planted.isoformat(),
                "variety": one.variety,
                "maturity_group": one.maturity_group,
            },
        )
        for one in blocks
    ]
    _geojson(here / "planting.geojson", of_blocks)
    text = FIELD.format(
        name=f"Quarter {number + 1}",
        group=blocks[0].maturity_group,
        rating=rng.choice(["susceptible", "moderate", "resistant"]),
        previous=rng.choice(["maize", "soybean"], p=[0.8, 0.2]),
        heading=int(rng.choice([0, 90])),
    )
    counted = bool(rng.random() < COUNTED)
    laid = bool(rng.random() < LAID)
    if not small:
        _pictures(here, rng, (x, y), blocks)
        text += LAYERS
    if counted:
        _counts(here / "scouting.csv", rng, (x, y + side_m / 2), blocks)
        text += '\n[[scouting]]\nfile = "scouting.csv"\n'
    if laid and not small:
        text += "\n[check_strips]\npairs = 2\n"
    (here / "field.toml").write_text(text, encoding="utf-8")
    return TrueQuarter(name=name, corner_m=(x, y), side_m=side_m, blocks=blocks, counted=counted)


def _counts(
    path: Path, rng: np.random.Generator, west_m: tuple[float, float], blocks: tuple[TrueBlock, ...]
) -> None:
    """Ten plants a block, staged two days ago: before R1, in R1 and R2, or in R3, by the block's own R3."""
    rows = ["date,lat,lon,v,r1,r2,r3"]
    day = TODAY - timedelta(2)
    for one in blocks:
        lon, lat = _TO_LONLAT.transform(west_m[0] + (one.west_m + one.east_m) / 2, west_m[1])
        off_d = day.toordinal() - one.r3_day + rng.normal(0, 2.5, 10)
        stage = np.searchsorted([-13.0, -10.0, 0.0], off_d)
        seen = ",".join(str(int((stage == at).sum())) for at in range(4))
        rows.append(f"{day},{lat:.6f},{lon:.6f},{seen}")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")


def _smooth(rng: np.random.Generator, shape: tuple[int, int], cells: float) -> np.ndarray:
    raw = gaussian_filter(rng.standard_normal(shape), cells, mode="wrap")
    return (raw - raw.mean()) / raw.std()


def _pictures(
    here: Path, rng: np.random.Generator, corner_m: tuple[float, float], blocks: tuple[TrueBlock, ...]
) -> None:
    """Write canopy and past yield: two patterns, of which one is in both, with the noise of each."""
    cells = math.ceil(SIDE_M / CELL_M) + 4
    shape = (cells, cells)
    top_m = corner_m[1] + (cells - 2) * CELL_M
    ground, canopy = _smooth(rng, shape, 9.0), _smooth(rng, shape, 6.0)
    x_m = (np.arange(cells) - 1.5) * CELL_M
    late_d = np.zeros(cells)
    for one in blocks:
        late_d[(x_m >= one.west_m) & (x_m < one.east_m)] = (one.planted - blocks[0].planted).days
    cover = 0.62 + 0.09 * (0.8 * ground + 0.6 * canopy) - 0.012 * late_d[None]
    cover = np.clip(cover + 0.02 * rng.standard_normal(shape), 0.05, 0.98)
    red, edge, nir = 0.18 - 0.14 * cover, 0.20 - 0.09 * cover, 0.25 + 0.22 * cover
    profile = {
        "driver": "GTiff",
        "width": cells,
        "height": cells,
        "crs": EPSG,
        "transform": from_origin(corner_m[0] - 2 * CELL_M, top_m, CELL_M, CELL_M),
        "dtype": "uint16",
        "compress": "deflate",
    }
    for name, bands in (
        ("imagery/2026-06-28_canopy.tif", 1e4 * np.stack([red, edge, nir])),
        (
            "layers/past_yield.tif",
            10 * np.clip(58 + 6 * ground + 2 * rng.standard_normal(shape), 20, 90)[None],
        ),
    ):
        (here / name).parent.mkdir()
        with rasterio.open(here / name, "w", count=len(bands), **profile) as file:
            file.write(np.round(bands).astype("uint16"))


def main() -> None:
    """Make a region by hand."""
    asked = argparse.ArgumentParser()
    asked.add_argument("folder", type=Path)
    asked.add_argument("fields", type=int)
    asked.add_argument("--small", action="store_true")
    asked.add_argument("--seed", type=int, default=0)
    args = asked.parse_args()
    made_region(args.folder, args.fields, args.seed, small=args.small)


if __name__ == "__main__":
    main()
