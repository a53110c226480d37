"""The files of a made region: farm.toml, and of each field its settings, outlines, pictures and counts.

Nothing of `zoning` is used here. No place, price, variety or label here is real.
"""

import json
import math
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import rasterio
from made_region_truth import (
    CELL_M,
    EPSG,
    TO_LONLAT,
    Floats,
    Shape,
    TrueBlock,
    TrueMoney,
    TrueQuarter,
    cells_of,
    middles_m,
    patterns,
)
from made_seasons import scouted
from rasterio.transform import Affine
from shapely import LineString, MultiPolygon

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
product = "{money.product_usd_ac:.2f} USD/ac"
adjuvant = "{money.adjuvant_usd_ac:.2f} USD/ac"
pass = "{money.pass_usd_ac:.2f} USD/ac"
per_visit = "{money.per_visit_usd:.2f} USD"
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
{response}

[schedule]
horizon_d = 28
"""

OWN_TRIALS = """\
source = "own trials"
mean = "3.6 bu/ac"
se = "0.6 bu/ac"
trials = 14
years = 4"""
POOLED = 'source = "pooled trials"'

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
expected_yield = "{expected:.0f} bu/ac"
row_spacing = "15 in"
heading_deg = {heading}

[money]
grain_price = "{price:.2f} USD/bu"

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
SETBACK = '\n[[setback]]\nfile = "setbacks.geojson"\nwidth = "30 ft"\n'
SCOUTING = '\n[[scouting]]\nfile = "scouting.csv"\n'
STRIPS = "\n[check_strips]\npairs = 2\n"


def farm_toml(today: date, money: TrueMoney, hubs_m: list[tuple[float, float]], *, pooled: bool) -> str:
    """Write the settings of a farm with two sprayers, alike, at each hub."""
    response = POOLED if pooled else OWN_TRIALS
    text = FARM.format(today=today.isoformat(), money=money, response=response)
    for number, place in enumerate(hubs_m, start=1):
        lon, lat = TO_LONLAT.transform(*place)
        text += "".join(SPRAYER.format(hub=number, letter=letter, lat=lat, lon=lon) for letter in "ab")
    return text


def field_toml(field: TrueQuarter, rng: np.random.Generator) -> str:
    """Write the settings of a field, files that not every field has apart."""
    susceptible, history = field.disease.susceptible, field.disease.history
    return FIELD.format(
        name=f"Quarter {field.key[1] + 1}",
        group=field.blocks[0].maturity_group,
        rating="susceptible" if susceptible else rng.choice(["moderate", "resistant"]),
        previous="soybean" if history > 0.84 else "maize",  # a fifth of the fields
        expected=field.expected_yield_bu_ac,
        heading=int(rng.choice([0, 90])),
        price=field.money.price_usd_bu,
    )


def _ring(corners_m: Floats) -> list[list[float]]:
    return np.round(np.column_stack(TO_LONLAT.transform(*corners_m.T)), 7).tolist()


def _write(path: Path, features: list[tuple[str, object, dict[str, object]]]) -> None:
    made = [
        {"type": "Feature", "properties": about, "geometry": {"type": kind, "coordinates": where}}
        for kind, where, about in features
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": made}), encoding="utf-8")


def write_outlines(here: Path, outline_m: Shape, blocks: tuple[TrueBlock, ...]) -> None:
    """Write the boundary and what was planted when."""
    parts = outline_m.geoms if isinstance(outline_m, MultiPolygon) else [outline_m]
    rings = [[_ring(np.array(ring.coords)) for ring in (one.exterior, *one.interiors)] for one in parts]
    _write(here / "boundary.geojson", [("Polygon", one, {}) for one in rings])
    west, south, _, north = outline_m.bounds
    rows = []
    for one in blocks:
        left, right = west + one.west_m, west + one.east_m
        corners = [(left, south), (right, south), (right, north), (left, north), (left, south)]
        about = {
            "planted": one.planted.isoformat(),
            "variety": one.variety,
            "maturity_group": one.maturity_group,
        }
        rows.append(("Polygon", [_ring(np.array(corners))], about))
    _write(here / "planting.geojson", rows)


def write_ditch(here: Path, outline_m: Shape, rng: np.random.Generator) -> None:
    """Write a ditch through the field, from which sprayers keep away."""
    west, south, east, north = outline_m.bounds
    left, right = south + rng.uniform(0.2, 0.8, 2) * (north - south)
    line = LineString([(west, left), (east, right)])
    _write(here / "setbacks.geojson", [("LineString", _ring(np.array(line.coords)), {})])


def write_pictures(here: Path, field: TrueQuarter, rng: np.random.Generator) -> None:
    """Write canopy and past yield; soil is in both, disease only as far as the canopy has it."""
    cells = cells_of(field.outline_m)
    of = patterns(field.key, cells)
    soil, canopy = of["soil"], of["canopy"]
    columns_m, rows_m = middles_m(field.corner_m, cells)
    late_d = np.zeros(columns_m.size)
    for one in field.blocks:
        there = (columns_m >= field.corner_m[0] + one.west_m) & (columns_m < field.corner_m[0] + one.east_m)
        late_d[there] = (one.planted - field.blocks[0].planted).days
    cover = 0.62 + 0.09 * (0.8 * soil + 0.6 * canopy) - 0.012 * late_d[None]
    cover = np.clip(cover + 0.02 * rng.standard_normal(soil.shape), 0.05, 0.98)
    seen = np.stack([0.18 - 0.14 * cover, 0.20 - 0.09 * cover, 0.25 + 0.22 * cover])
    grown = field.expected_yield_bu_ac + 6 * soil + 2 * rng.standard_normal(soil.shape)
    profile = {
        "driver": "GTiff",
        "width": soil.shape[1],
        "height": soil.shape[0],
        "crs": EPSG,
        "transform": Affine(CELL_M, 0, columns_m[0] - CELL_M / 2, 0, -CELL_M, rows_m[0] + CELL_M / 2),
        "dtype": "uint16",
        "compress": "deflate",
    }
    for name, bands in (
        ("imagery/2026-06-28_canopy.tif", 1e4 * seen),
        ("layers/past_yield.tif", 10 * np.clip(grown, 20, 110)[None]),
    ):
        (here / name).parent.mkdir()
        with rasterio.open(here / name, "w", count=len(bands), **profile) as file:
            file.write(np.round(bands).astype("uint16"))


def write_counts(path: Path, field: TrueQuarter, rng: np.random.Generator, wet: float, today: date) -> None:
    """Write ten plants a block, staged two days ago, and the class of disease that a scout finds there.

    The class is that of `made_seasons`, where scouts look at about R3: here every place is as far in that.
    """
    day = today - timedelta(2)
    felt_wet = wet + rng.normal(0, 0.6)
    ground = field.ground
    frogeye = field.disease.frogeye_pct > 0
    rows = ["date,lat,lon,pressure,v,r1,r2,r3"]
    for number, block in enumerate(field.blocks):
        there = np.flatnonzero(ground.block == number)
        if not there.size:
            continue
        at = int(rng.choice(there))
        since_d = day.toordinal() - ground.late_d[at] + rng.normal(0, 2.5, 10)
        stage = np.searchsorted(block.begin_day[:3], since_d)
        seen = ",".join(str(int((stage == one).sum())) for one in range(4))
        ill = bool(ground.saved_bu_ac[at] > 0)
        called = scouted(
            rng, field.disease, (ill and field.disease.brown_bu_ac > 0, ill and frogeye), felt_wet
        )
        lon, lat = (axis[at] for axis in ground.lonlat)
        rows.append(f"{day},{lat:.6f},{lon:.6f},{called},{seen}")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")


def slough(rng: np.random.Generator, side_m: tuple[float, float]) -> Floats:
    """Draw the edge of a wet hole, from the southwest corner of the field."""
    angle = np.linspace(0, 2 * math.pi, 24, endpoint=False)
    middle, radius = rng.uniform(0.3, 0.7, 2) * side_m, rng.uniform(30, 60)
    return np.asarray(middle + radius * np.column_stack([np.cos(angle), np.sin(angle)]))
