"""Make the three demo farms that lie beside this script: `python demo_fields/make.py [FOLDER]`.

Everything here is invented: places, people, weather, crops, product, label, prices and what was seen in the
fields. The same seed gives the same farms. Nothing of `zoning` is used: the farms test it from outside.
"""

import csv
import json
import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import fiona
import numpy as np
import numpy.typing as npt
import rasterio
from pyproj import Transformer
from rasterio.transform import Affine
from scipy.ndimage import gaussian_filter
from shapely import MultiPolygon, Point, Polygon, box, contains_xy, set_precision, transform, union_all

SEED = 20_260_708
CELL_M = 10.0
Floats = npt.NDArray[np.float64]

# Reflectance of soybean from far above: of bare ground, and of a closed canopy.
BARE = {"red": 0.18, "rededge": 0.20, "nir": 0.25}
CLOSED = {"red": 0.04, "rededge": 0.10, "nir": 0.45}


def chance(*key: str) -> np.random.Generator:
    """Random numbers of their own for each file, so that one can change without the others."""
    return np.random.default_rng([SEED, *("/".join(key)).encode()])


# -- a place on the ground ---------------------------------------------------------------------------------


@cache
def transformer(source: str, target: str) -> Transformer:
    """One transformer for each pair: they are slow to build."""
    return Transformer.from_crs(source, target, always_xy=True)


@dataclass(frozen=True)
class Place:
    """A field's own metres east and north of its south-western corner, true north up."""

    lon: float
    lat: float
    epsg: int

    @property
    def _own(self) -> str:
        return f"+proj=aeqd +lat_0={self.lat} +lon_0={self.lon} +datum=WGS84 +units=m"

    def lonlat(self, shape: Polygon | MultiPolygon | Point) -> Polygon | MultiPolygon | Point:
        """Move a shape from own metres to longitude and latitude."""
        return self._moved(shape, "EPSG:4326")

    def projected(self, shape: Polygon | MultiPolygon | Point) -> Polygon | MultiPolygon | Point:
        """Move a shape from own metres to the UTM zone."""
        return self._moved(shape, f"EPSG:{self.epsg}")

    def _moved(self, shape: Polygon, crs: str) -> Polygon:
        convert = transformer(self._own, crs)
        return transform(shape, lambda xy: np.column_stack(convert.transform(xy[:, 0], xy[:, 1])))

    def own_metres(self, easts: Floats, norths: Floats) -> tuple[Floats, Floats]:
        """Turn UTM eastings and northings into own metres."""
        return transformer(f"EPSG:{self.epsg}", self._own).transform(easts, norths)


@dataclass(frozen=True)
class Picture:
    """The cells of a GeoTIFF around a field, with where each lies in the field's own metres."""

    place: Place
    corner: tuple[float, float]
    x: Floats
    y: Floats

    @classmethod
    def over(cls, place: Place, outline: Polygon | MultiPolygon, margin_m: float = 60.0) -> "Picture":
        """Lay the cells around an outline."""
        west, south, east, north = place.projected(outline).buffer(margin_m).bounds
        left, top = math.floor(west / CELL_M) * CELL_M, math.ceil(north / CELL_M) * CELL_M
        easts = np.arange(left + CELL_M / 2, east, CELL_M)
        norths = np.arange(top - CELL_M / 2, south, -CELL_M)
        return cls(place, (left, top), *place.own_metres(*np.meshgrid(easts, norths)))

    def patches(self, rng: np.random.Generator, size_m: float) -> Floats:
        """Smooth random ground: mean 0, SD 1, patches of about `size_m`."""
        rough = gaussian_filter(rng.standard_normal(self.x.shape), size_m / CELL_M / 2, mode="reflect")
        return (rough - rough.mean()) / rough.std()

    def write(self, path: Path, bands: dict[str, Floats], dtype: str = "uint16") -> None:
        """Write bands as one small GeoTIFF; 0 means nothing seen."""
        path.parent.mkdir(parents=True, exist_ok=True)
        height, width = self.x.shape
        left, top = self.corner
        profile = {
            "driver": "GTiff", "height": height, "width": width, "count": len(bands), "dtype": dtype,
            "crs": f"EPSG:{self.place.epsg}", "transform": Affine(CELL_M, 0, left, 0, -CELL_M, top),
            "compress": "deflate", "predictor": 2, "zlevel": 9, "nodata": 0, "interleave": "band",
        }  # fmt: skip
        with rasterio.open(path, "w", **profile) as file:
            for number, (name, values) in enumerate(bands.items(), start=1):
                file.write(np.clip(np.rint(values), 0, 65_535).astype(dtype), number)
                file.set_band_description(number, name)


def bump(picture: Picture, x: float, y: float, radius_m: float) -> Floats:
    """1 at a place, 0 from about twice the radius on."""
    return np.exp(-((np.hypot(picture.x - x, picture.y - y) / radius_m) ** 2))


def reflectance(cover: Floats, rng: np.random.Generator, noise: float = 0.0035) -> dict[str, Floats]:
    """Red, red edge and near infrared times 10 000 for a ground cover of 0 (bare) to 1 (closed)."""
    cover = np.clip(cover, 0, 1)
    bands = {}
    for name, closed in CLOSED.items():
        seen = (
            gaussian_filter(cover, 0.7) if name == "rededge" else cover
        )  # the red edge is seen less sharply
        clean = BARE[name] + (closed - BARE[name]) * seen
        bands[name] = np.maximum(1, 10_000 * (clean + rng.normal(0, noise, cover.shape)))
    return bands


# -- files -------------------------------------------------------------------------------------------------


def geojson(
    path: Path, place: Place, rows: Sequence[tuple[Polygon | MultiPolygon, dict[str, object]]]
) -> None:
    """Write features in longitude and latitude, one a line."""
    features = []
    for shape, properties in rows:
        rounded = transform(place.lonlat(shape), lambda xy: np.round(xy, 7))
        features.append({"type": "Feature", "properties": properties, "geometry": rounded.__geo_interface__})
    head = '{"type": "FeatureCollection", "features": [\n'
    write(path, head + ",\n".join(json.dumps(feature) for feature in features) + "\n]}\n")


def vector(
    path: Path, driver: str, place: Place, rows: Sequence[tuple[Polygon | Point, dict[str, str]]]
) -> None:
    """Write a GeoPackage or a shapefile in the field's UTM zone; all columns are text."""
    path.parent.mkdir(parents=True, exist_ok=True)
    schema = {"geometry": rows[0][0].geom_type, "properties": dict.fromkeys(rows[0][1], "str:24")}
    path.unlink(missing_ok=True)
    # A fixed date inside the files, so that the same seed gives the same bytes.
    with fiona.Env(OGR_CURRENT_DATE="2026-07-08T00:00:00.000Z"):
        options = {"DBF_DATE_LAST_UPDATE": "2026-07-08"} if driver == "ESRI Shapefile" else {}
        with fiona.open(path, "w", driver=driver, crs=f"EPSG:{place.epsg}", schema=schema, **options) as file:
            for shape, properties in rows:
                file.write({"geometry": place.projected(shape).__geo_interface__, "properties": properties})


def write(path: Path, text: str) -> None:
    """Write text, with the folder that it needs."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")


def scouting(
    path: Path,
    place: Place,
    rows: Sequence[tuple[str, float, float, str, str, str]],
    counts: Sequence[tuple[str, float, float, int, int, int, int]] = (),
) -> None:
    """Rows of day, metres east and north, pressure, cause, note; and plants before R1, at R1, R2, R3."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        stages = ["v", "r1", "r2", "r3"] if counts else []
        table.writerow(["date", "lat", "lon", "pressure", "cause", *stages, "note"])
        for day, x, y, pressure, cause, note in rows:
            point = place.lonlat(Point(x, y))
            row = [day, f"{point.y:.6f}", f"{point.x:.6f}", pressure, cause]
            table.writerow([*row, *("" for _ in stages), note])
        for day, x, y, *plants in counts:
            point = place.lonlat(Point(x, y))
            table.writerow([day, f"{point.y:.6f}", f"{point.x:.6f}", "", "", *plants, "staged"])


@dataclass(frozen=True)
class Climate:
    """Monthly means, January to December, of an invented station, and the SD of a day around them."""

    tmax_c: tuple[float, ...]
    tmin_c: tuple[float, ...]
    rain_mm: tuple[float, ...]
    wet_days: tuple[float, ...]
    sd_c: tuple[float, ...]


def weather(path: Path, climate: Climate, first: date, last: date) -> None:
    """Daily weather: a wet-dry chain, and temperatures that remember yesterday and drift with the year."""
    rng = chance("weather", path.parent.name)
    days = [first + timedelta(n) for n in range((last - first).days + 1)]
    day_of_year = np.array([day.timetuple().tm_yday for day in days], dtype=float)

    def daily(monthly: Sequence[float]) -> Floats:
        middles = (np.arange(14) - 0.5) * 365.25 / 12
        return np.interp(day_of_year, middles, [monthly[-1], *monthly, monthly[0]])

    tmax_c, tmin_c, sd_c = daily(climate.tmax_c), daily(climate.tmin_c), daily(climate.sd_c)
    wet_frac = daily(climate.wet_days) / 30.4
    amount_mm = daily(climate.rain_mm) / daily(climate.wet_days)
    year_c = {year: rng.normal(0, 0.8) for year in range(first.year, last.year)} | {last.year: 0.6}
    warmth, wet = 0.0, False
    lines = ["date,tmin_c,tmax_c,rain_mm"]
    for n, day in enumerate(days):
        after_wet = 0.2  # a wet day is that much likelier after a wet one
        wet = bool(rng.random() < wet_frac[n] * (1 - after_wet) + after_wet * wet)
        warmth = 0.7 * warmth + math.sqrt(1 - 0.7**2) * rng.normal()
        middle_c = (tmax_c[n] + tmin_c[n]) / 2 + sd_c[n] * warmth + year_c[day.year]
        half_c = (tmax_c[n] - tmin_c[n]) / 2 * (0.75 if wet else 1.1) + rng.normal(0, 0.7)
        rain_mm = rng.gamma(0.75, amount_mm[n] / 0.75) if wet else 0.0
        low_c, high_c = middle_c - max(half_c, 1.0), middle_c + max(half_c, 1.0)
        lines.append(f"{day.isoformat()},{low_c:.1f},{high_c:.1f},{rain_mm:.1f}")
    write(path, "\n".join(lines) + "\n")


def hourly(path: Path, first: date) -> None:
    """Hours that agree with the daily file beside it: its lowest and highest temperature, and its rain."""
    rng = chance("hourly", path.parent.name)
    with (path.parent / "weather.csv").open(encoding="utf-8") as file:
        rows = {row["date"]: row for row in csv.DictReader(file)}
    days = [day for day in rows if day >= first.isoformat()]
    low_c, high_c, rain_mm = (
        {day: float(row[name]) for day, row in rows.items()} for name in ("tmin_c", "tmax_c", "rain_mm")
    )
    # night air is near its dew point, and nearer around rain: four weeks in which leaves stay wet
    noon_dew_c = [low_c[day] + (4.5 if rain_mm[day] > 1 else rng.normal(-1.0, 0.8)) for day in days]
    lines = ["time,temp_c,rh_pct,wind_m_s,rain_mm"]
    for number, day in enumerate(days):
        before = (date.fromisoformat(day) - timedelta(1)).isoformat()
        after = min((date.fromisoformat(day) + timedelta(1)).isoformat(), days[-1])
        begins = int(rng.choice((0, 1, 2, 15, 16)))  # storms come in the evening or at night
        rainy = range(begins, begins + 8) if rain_mm[day] else range(0)
        for hour in range(24):
            dew_c = float(np.interp(number + (hour - 12) / 24, np.arange(len(days)), noon_dew_c))
            # lowest at 5, highest at 15, half a cosine between them
            if hour < 5:
                start_c, end_c, part = high_c[before], low_c[day], (hour + 9) / 14
            elif hour < 15:
                start_c, end_c, part = low_c[day], high_c[day], (hour - 5) / 10
            else:
                start_c, end_c, part = high_c[day], low_c[after], (hour - 15) / 14
            temp_c = start_c + (end_c - start_c) * (1 - math.cos(math.pi * part)) / 2
            temp_c = min(max(temp_c, low_c[day]), high_c[day])
            rh_pct = 100 * math.exp(vapour(dew_c) - vapour(temp_c))
            rh_pct = min(100.0, max(rh_pct, 96.0) if hour in rainy else rh_pct)
            wind_m_s = 1.2 + 2.8 * math.sin(math.pi * part) * (5 <= hour < 15) + abs(rng.normal(0, 0.8))
            mm = rain_mm[day] / 8 if hour in rainy else 0.0
            lines.append(f"{day} {hour:02d}:00,{temp_c:.1f},{rh_pct:.0f},{wind_m_s:.1f},{mm:.2f}")
    write(path, "\n".join(lines) + "\n")


# A week to come: lowest, highest, dew point [C], strongest wind at 10 m [m/s], hours with rain [mm each]
HOURS_TO_COME = (
    (17.5, 27.5, 16.5, 4.8, (), 0.0),  # fair
    (18.0, 29.0, 17.0, 8.4, (), 0.0),  # too windy from the late morning on
    (
        18.5,
        24.5,
        18.0,
        5.0,
        tuple(range(4, 10)),
        3.0,
    ),  # a storm at dawn, and wet ground until the next morning
    (16.0, 25.0, 15.5, 4.2, (), 0.0),
    (15.0, 27.0, 14.0, 2.1, (), 0.0),  # calm but for the hours around the warmest
    (16.5, 31.5, 12.5, 4.6, (), 0.0),  # hot and dry
    (19.0, 28.5, 18.5, 7.6, (18, 19, 20), 1.5),  # windy, then a shower
)


def hours_to_come(path: Path, first: date) -> None:
    """Write an hourly forecast: good, windy, calm and wet half-days."""
    rng = chance("hours to come", path.parent.name)
    lines = ["time,temp_c,rh_pct,wind_m_s,rain_mm"]
    for number, (low_c, high_c, dew_c, most_m_s, rainy, mm) in enumerate(HOURS_TO_COME):
        before_c = HOURS_TO_COME[max(number - 1, 0)][1]
        after_c = HOURS_TO_COME[min(number + 1, len(HOURS_TO_COME) - 1)][0]
        for hour in range(24):
            if hour < 5:
                start_c, end_c, part = before_c, low_c, (hour + 9) / 14
            elif hour < 15:
                start_c, end_c, part = low_c, high_c, (hour - 5) / 10
            else:
                start_c, end_c, part = high_c, after_c, (hour - 15) / 14
            temp_c = start_c + (end_c - start_c) * (1 - math.cos(math.pi * part)) / 2
            rh_pct = min(100.0, 100 * math.exp(vapour(dew_c) - vapour(temp_c)))
            rh_pct = max(rh_pct, 95.0) if hour in rainy else rh_pct
            # strongest in the middle of the afternoon, little at night
            by_day = max(0.0, math.sin(math.pi * (hour - 5) / 17)) if 5 <= hour <= 22 else 0.0
            wind_m_s = 1.6 + (most_m_s - 1.6) * by_day + rng.normal(0, 0.2)
            rain_mm = mm if hour in rainy else 0.0
            day = first + timedelta(number)
            lines.append(
                f"{day} {hour:02d}:00,{temp_c:.1f},{rh_pct:.0f},{max(wind_m_s, 0.3):.1f},{rain_mm:.1f}"
            )
    write(path, "\n".join(lines) + "\n")


def vapour(temp_c: float) -> float:
    """Logarithm of the saturation vapour pressure, but for a constant."""
    return 17.625 * temp_c / (243.04 + temp_c)


# -- Heron Slough ------------------------------------------------------------------------------------------

HERON_CLIMATE = Climate(
    tmax_c=(-5, -3, 4, 13.5, 21.5, 27, 29.2, 27.6, 22.8, 14.5, 5, -3),
    tmin_c=(-15, -13, -6, 1.4, 8.8, 14.9, 17.2, 15.6, 9.8, 2.5, -5, -12),
    rain_mm=(16, 17, 40, 70, 88, 108, 95, 92, 78, 55, 34, 20),
    wet_days=(6, 5.5, 7.5, 9, 11, 11, 9.5, 9, 8.5, 8, 6.5, 6),
    sd_c=(6, 6, 5.5, 4.5, 4, 3.2, 2.6, 2.7, 3.6, 4.2, 5, 5.8),
)

HERON_FARM = """\
# Heron Slough, an invented farm in southwestern Minnesota. No place, price or label here is real.
name = "Heron Slough"
country = "US"
units = "us"
season = 2026                       # year of harvest
as_of = 2026-07-08                  # the example's "today"; leave it out on a real farm
time_zone = "America/Chicago"

[weather]
daily = "weather.csv"               # 13 past years and this season to yesterday; made by a program
hourly = "hourly.csv"               # the last month: did its days favour leaf disease
hourly_forecast = "hourly_forecast.csv"   # the week to come: when could one spray

[money]
grain_price = "10.40 USD/bu"        # new-crop bid at the elevator
product = "19 USD/ac"
adjuvant = "2 USD/ac"
pass = "9 USD/ac"                   # custom bill for ground
billed = "treated"                  # skipped acres are not billed
per_visit = "60 USD"                # the applicator's trip
rule = "expected"
min_net = "3 USD/ac"                # less than this is not worth the trouble

[product]                           # an invented label; on a real farm, type it from the label in hand
name = "Invented Fungicide A"
groups = ["3", "11"]
dose = "8 fl oz/ac"
max_dose = "16 fl oz/ac"            # in a season
min_carrier_ground = "10 gal/ac"
min_carrier_air = "2 gal/ac"
aerial_allowed = true
drone_allowed = false
droplet = "medium"
adjuvant = "0.25 % v/v"             # amount in the tank, for the load sheet
hay_grazing_d = 30
pre_harvest_interval_d = 30
re_entry_h = 12
max_applications = 2
latest_stage = "R5"
max_wind = "10 mph"
rainfast_h = 1
target = "leaf diseases"

[carrier]
volumes = ["10 gal/ac", "15 gal/ac", "20 gal/ac"]

[[sprayer]]
name = "ground rig"
kind = "ground"
boom = "90 ft"
sections = 9
nozzle_spacing = "20 in"
nozzle = "04"
pressure = ["30 psi", "90 psi"]
speed = ["5 mph", "14 mph"]
efficiency = 0.85                   # turning and overlap; filling is counted apart
tank = "1000 gal"
overage = "12 gal"                  # stays in lines and pump
fill_min = 20
set_up_min = 20
base = [44.310, -95.385]
tracks_exist = true                 # the herbicide pass left tracks, and this pass stays in them

[response]
source = "pooled trials"            # no strip trials of our own yet
pressure = "unknown"                # where nobody has looked; scouting.csv says more, place by place

[schedule]
horizon_d = 28
"""

HERON_FIELDS = {
    "three_dates": """\
# Three planting days around a slough: 28 April, 15 May and, where the ground lay wet, 8 June.
name = "Three Dates"
maturity_group = 1.7
variety_rating = "susceptible"      # to frogeye leaf spot
previous_crop = "maize"
expected_yield = "58 bu/ac"         # where the yield map below has nothing
row_spacing = "15 in"
heading_deg = 90
entrance = "field road at the southwest corner"
wires = "power line along the south edge"
contact = "the grower, 555 0100"    # who may call the pass off

[neighbours]                        # none: somebody looked, and there is nothing
north = "none"
east = "hives behind the windbreak"
south = "farmhouse, 150 yd"
west = "none"

[boundary]
file = "boundary.geojson"           # with a hole: the slough

[planting]
file = "planting.geojson"
date_column = "planted"

[[imagery]]
file = "imagery/2026-06-28_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDRE"

[[layer]]
name = "past yield"                 # mean of three soybean years
file = "layers/past_yield.tif"
use = "yield"
unit = "bu/ac"
scale = 0.1

[zones]
max_zones_per_block = 3
min_area = "1 ac"

[[scouting]]
file = "scouting.csv"

[check_strips]
pairs = 2                           # of two strips side by side: at harvest they show what the pass returned
""",
    "level_eighty": """\
# One planting day, flat ground, an even stand: one zone.
name = "Level Eighty"
maturity_group = 1.8
previous_crop = "maize"
expected_yield = "60 bu/ac"
row_spacing = "30 in"

[boundary]
file = "boundary.shp"               # with its .prj

[planting]
date = 2026-05-09                   # the whole field

[[imagery]]
file = "imagery/2026-06-28_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDRE"

[[scouting]]
file = "scouting.csv"
""",
    "wet_corner": """\
# The south-eastern corner was under water in May and was planted five weeks after the rest.
name = "Wet Corner"
maturity_group = 1.7
variety_rating = "moderate"
previous_crop = "maize"
expected_yield = "52 bu/ac"
row_spacing = "15 in"
heading_deg = 90

[boundary]
file = "boundary.gpkg"

[planting]
file = "planted.gpkg"               # points from the planter's monitor
date_column = "day"

[[imagery]]
file = "imagery/2026-06-25_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDRE"

[[imagery]]
file = "imagery/2026-07-05_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDRE"
mask_band = 4                       # 1 clear, 2 cloud, 3 shadow
mask_keep = [1]

[[scouting]]
file = "scouting.csv"
""",
    "gravel_forty": """\
# Two pieces on a gravel ridge, either side of a lane. Thin ground, an old contract price: nothing pays here.
name = "Gravel Forty"
maturity_group = 1.6
previous_crop = "wheat"
drought = true
expected_yield = "34 bu/ac"
row_spacing = "30 in"

[boundary]
file = "boundary.geojson"           # two parts

[planting]
file = "planting.geojson"

[[imagery]]
file = "imagery/2026-06-28_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDVI"

[money]                             # the only field with its own prices
grain_price = "8.60 USD/bu"         # contracted in winter
min_net = "5 USD/ac"

[response]
pressure = "low"                    # open rows, dry leaves, nothing found
""",
    "point_rows": """\
# A triangle between the road and the creek. No image, nobody has been there: level 3 works with that too.
name = "Point Rows"
maturity_group = 1.8
expected_yield = "50 bu/ac"

[planting]
date = 2026-05-20
""",
}


def three_dates(folder: Path) -> None:
    """Make three blocks around a slough; lesions in the dense canopy, none on the knoll."""
    place, rng = Place(-95.4100, 44.3050, 32615), chance("three_dates")
    pond = Polygon(
        [(430 + 58 * math.cos(a) * (1 + 0.18 * math.sin(2 * a + 1)), 330 + 44 * math.sin(a))
         for a in np.linspace(0, 2 * math.pi, 28, endpoint=False)]
    )  # fmt: skip
    edge = [
        (0, 0),
        (762, 0),
        (762, 505),
        (735, 540),
        (712, 575),
        (700, 612),
        (668, 640),
        (640, 655),
        (0, 655),
    ]
    field = Polygon(edge).difference(pond)
    dates = ((0, 232, "2026-04-28"), (232, 436, "2026-05-15"), (436, 700, "2026-06-08"))
    geojson(folder / "boundary.geojson", place, [(field, {"name": "Three Dates"})])
    blocks = [(field.intersection(box(-5, low, 800, high)), {"planted": day}) for low, high, day in dates]
    geojson(folder / "planting.geojson", place, blocks)

    seen = Picture.over(place, field)
    slough = bump(seen, 430, 330, 135)
    knoll = 1 / (1 + np.exp(-(seen.x - 500 + 60 * seen.patches(rng, 200)) / 6)) * (seen.y < 232)
    planted = np.digitize(seen.y, [232, 436])
    cover = np.choose(planted, [0.84, 0.62, 0.24]) - 0.28 * knoll - 0.42 * slough
    cover += np.choose(planted, [0.02, 0.02, 0.004]) * seen.patches(rng, 90)
    cover = np.where((seen.x < -3) | (seen.y < -3), 0.45 + 0.1 * seen.patches(rng, 40), cover)  # road ditch
    cover = np.where(np.hypot((seen.x - 430) / 58, (seen.y - 330) / 44) < 1, 0.02, cover)  # open water
    seen.write(folder / "imagery/2026-06-28_canopy.tif", reflectance(cover, rng))
    past_bu_ac = (
        62 - 14 * knoll - 46 * slough + 2.5 * seen.patches(rng, 120) + rng.normal(0, 1.5, seen.x.shape)
    )
    seen.write(folder / "layers/past_yield.tif", {"bu/ac times 10": 10 * np.clip(past_bu_ac, 4, 90)})

    scouting(folder / "scouting.csv", place, [
        ("2026-07-06", 130, 120, "seen", "frogeye", "lesions on 7 of 20 plants, rows closed"),
        ("2026-07-06", 290, 80, "seen", "frogeye", "lesions on 5 of 20 plants"),
        ("2026-07-06", 400, 170, "seen", "frogeye", "lesions on 6 of 20 plants, wet leaves at noon"),
        ("2026-07-06", 620, 110, "low", "", "open rows on the knoll, clean leaves"),
        ("2026-07-06", 700, 180, "low", "", "clean"),
        ("2026-07-07", 120, 330, "seen", "frogeye", "lesions on 4 of 20 plants"),
        ("2026-07-07", 690, 300, "seen", "frogeye", "lesions on 4 of 20 plants"),
        ("2026-07-07", 350, 300, "low", "other", "drowned in June; root rot, not a leaf disease"),
        ("2026-07-07", 520, 350, "low", "other", "drowned in June"),
    ], counts=[
        ("2026-07-07", 130, 120, 1, 6, 13, 0),
        ("2026-07-07", 620, 110, 5, 11, 4, 0),
    ])  # fmt: skip


def level_eighty(folder: Path) -> None:
    """Make an even stand: the image holds nothing but noise."""
    place, rng = Place(-95.3780, 44.2990, 32615), chance("level_eighty")
    field = Polygon([(0, 0), (401, 0), (401, 798), (0, 798)])
    vector(folder / "boundary.shp", "ESRI Shapefile", place, [(field, {"name": "Level Eighty"})])
    seen = Picture.over(place, field)
    cover = np.full(seen.x.shape, 0.66)
    cover[(seen.x < -3) | (seen.y < -3)] = 0.4
    seen.write(folder / "imagery/2026-06-28_canopy.tif", reflectance(cover, rng, noise=0.008))
    rows = [("2026-07-06", 110, 150, 6), ("2026-07-06", 300, 420, 4), ("2026-07-06", 160, 690, 5)]
    scouting(folder / "scouting.csv", place, [
        (day, x, y, "seen", "frogeye", f"lesions on {plants} of 20 plants") for day, x, y, plants in rows
    ])  # fmt: skip


def wet_corner(folder: Path) -> None:
    """Make a corner planted late, from the planter's points; clouds over one image."""
    place, rng = Place(-95.4330, 44.2880, 32615), chance("wet_corner")
    field = Polygon([(0, 0), (515, 0), (515, 300), (470, 362), (0, 362)])

    def is_late(x: float, y: float) -> bool:
        return x > 330 + 0.55 * y and y < 210

    vector(folder / "boundary.gpkg", "GPKG", place, [(field, {"name": "Wet Corner"})])
    points = []
    for swath, y in enumerate(np.arange(6.1, 362, 12.19)):  # a 40-ft planter
        for x in np.arange(5.0 + 4.0 * (swath % 2), 515, 14.0):
            where = Point(x + rng.normal(0, 0.2), y + rng.normal(0, 0.2))
            if field.contains(where):
                points.append((where, {"day": "2026-06-12" if is_late(x, y) else "2026-05-06"}))
    vector(folder / "planted.gpkg", "GPKG", place, points)

    seen = Picture.over(place, field)
    late = (seen.x > 330 + 0.55 * seen.y) & (seen.y < 210)
    ridge = 1 / (1 + np.exp(-(seen.y - 215 + 40 * seen.patches(rng, 160)) / 22))
    ground = np.where(late, -0.38, -0.2 * ridge) + 0.025 * seen.patches(rng, 80)
    seen.write(folder / "imagery/2026-06-25_canopy.tif", reflectance(0.68 + ground, rng))
    bands = reflectance(0.82 + ground, rng)
    cloud = np.maximum.reduce([bump(seen, x, y, 26) for x, y in ((70, 60), (105, 75), (40, 85))])
    shadow = np.maximum.reduce([bump(seen, x, y, 24) for x, y in ((190, 120), (222, 132))])
    for values in bands.values():
        values *= 1 - 0.45 * (shadow > 0.35)
        values += 10_000 * (0.62 * np.clip(3 * (cloud - 0.25), 0, 1))
    mask = np.select([cloud > 0.15, shadow > 0.25], [2.0, 3.0], 1.0)
    seen.write(folder / "imagery/2026-07-05_canopy.tif", {**bands, "mask": mask})
    scouting(folder / "scouting.csv", place, [
        ("2026-07-07", 90, 120, "seen", "frogeye", "lesions on 5 of 20 plants"),
        ("2026-07-07", 250, 90, "seen", "frogeye", "lesions on 4 of 20 plants"),
        ("2026-07-07", 140, 310, "medium", "brown spot", "lower leaves only"),
        ("2026-07-07", 380, 320, "medium", "brown spot", "lower leaves only"),
        ("2026-07-07", 460, 90, "low", "", "six leaves, open rows, clean"),
    ])  # fmt: skip


def gravel_forty(folder: Path) -> None:
    """Make two parts on a gravel ridge."""
    place, rng = Place(-95.3560, 44.3160, 32615), chance("gravel_forty")
    west = Polygon([(0, 0), (188, 0), (188, 402), (0, 402)])
    east = Polygon([(200, 0), (402, 0), (402, 330), (360, 402), (200, 402)])
    field = MultiPolygon([west, east])
    geojson(folder / "boundary.geojson", place, [(field, {"name": "Gravel Forty"})])
    geojson(folder / "planting.geojson", place, [(box(-5, -5, 410, 410), {"planted": "2026-05-12"})])
    seen = Picture.over(place, field)
    gravel = 1 / (1 + np.exp((seen.x + 0.5 * seen.y - 330 + 40 * seen.patches(rng, 140)) / 30))
    cover = 0.55 - 0.22 * gravel + 0.025 * seen.patches(rng, 70)
    cover = np.where((seen.x > 188) & (seen.x < 200), 0.08, cover)  # the lane
    seen.write(folder / "imagery/2026-06-28_canopy.tif", reflectance(cover, rng))


def point_rows(folder: Path) -> None:
    """Make a boundary and nothing else."""
    place = Place(-95.3960, 44.2860, 32615)
    field = Polygon([(0, 0), (420, 0), (395, 60), (330, 130), (262, 182), (190, 248), (120, 300), (0, 322)])
    geojson(folder / "boundary.geojson", place, [(field, {"name": "Point Rows"})])


# -- Ombu Bend ---------------------------------------------------------------------------------------------

OMBU_CLIMATE = Climate(
    tmax_c=(31.5, 30, 28, 24.2, 20.6, 17.5, 17, 19.5, 21.6, 24.6, 27.6, 30.4),
    tmin_c=(19.3, 18.7, 17, 13.4, 10.3, 7.6, 7, 8.4, 10, 13, 15.6, 18),
    rain_mm=(115, 120, 140, 115, 65, 45, 35, 40, 60, 110, 115, 120),
    wet_days=(8, 8, 8.5, 8, 6.5, 6, 5.5, 5.5, 6.5, 9, 8.5, 8.5),
    sd_c=(2.6, 2.6, 2.9, 3.3, 3.6, 3.8, 3.9, 3.9, 3.6, 3.2, 2.9, 2.7),
)

OMBU_FARM = """\
# Ombu Bend, an invented farm in Entre Rios, Argentina. No place, price or label here is real.
name = "Ombu Bend"
country = "AR"
units = "metric"
season = 2026                       # year of harvest; planted in November 2025
as_of = 2026-01-06                  # the example's "today"; leave it out on a real farm
time_zone = "America/Argentina/Buenos_Aires"

[weather]
daily = "weather.csv"               # 13 past seasons and this one to yesterday; made by a program

[money]
grain_price = "340 USD/t"           # at the farm gate
haul = "18 USD/t"
product = "36 USD/ha"
adjuvant = "4 USD/ha"
pass = "11 USD/ha"
billed = "treated"
per_visit = "40 USD"
rule = "expected"
min_net = "6 USD/ha"

[product]                           # an invented label; on a real farm, type it from the label in hand
name = "Invented Fungicide A"
groups = ["3", "11"]
dose = "600 mL/ha"
max_dose = "1200 mL/ha"             # in a season
min_carrier_ground = "80 L/ha"
aerial_allowed = false
drone_allowed = false
pre_harvest_interval_d = 30
re_entry_h = 12
max_applications = 2
latest_stage = "R5"
max_wind = "15 km/h"
rainfast_h = 1
target = "leaf diseases"

[carrier]
volumes = ["80 L/ha", "120 L/ha", "160 L/ha"]

[[sprayer]]
name = "contractor"
kind = "ground"
boom = "28 m"
sections = 7
nozzle_spacing = "0.5 m"
nozzle = "03"
pressure = ["2 bar", "6 bar"]
speed = ["8 km/h", "22 km/h"]
tank = "3000 L"
fill_min = 18
base = [-31.990, -59.730]
tracks_exist = false                # no pass since emergence: this one would make the tracks

[response]
source = "own trials"               # strips of the last two seasons, written up by hand
mean = "0.24 t/ha"
se = "0.08 t/ha"
trials = 5
years = 2

[schedule]
horizon_d = 28
"""

OMBU_FIELDS = {
    "loma_larga": """\
# A long rise: the crest was planted first, the foot of the slope three weeks later.
name = "Loma Larga"
maturity_group = 4.8
variety_rating = "susceptible"
previous_crop = "maize"
expected_yield = "3.4 t/ha"
row_spacing = "0.35 m"
heading_deg = 90

[boundary]
file = "boundary.geojson"

[planting]
file = "planting.geojson"           # with the day of emergence

[[imagery]]
file = "imagery/2025-12-29_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "CIre"

[[layer]]
name = "elevation"
file = "layers/elevation.tif"
scale = 0.01                        # the file holds centimetres

[zones]
min_area = "0.5 ha"

[[scouting]]
file = "scouting.csv"
""",
    "bajo_chico": """\
# Low ground by the bend of the river, one planting day, an even stand.
name = "Bajo Chico"
maturity_group = 5.0
expected_yield = "3.1 t/ha"
row_spacing = "0.52 m"

[planting]
date = 2025-11-18

[[imagery]]
file = "imagery/2025-12-29_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDRE"
""",
}


def loma_larga(folder: Path) -> None:
    """Make two blocks on a rise; the worn east is thin."""
    place, rng = Place(-59.7400, -32.0050, 32721), chance("loma_larga")
    field = Polygon([(0, 0), (905, 0), (940, 240), (930, 470), (610, 560), (240, 575), (0, 520)])
    geojson(folder / "boundary.geojson", place, [(field, {"name": "Loma Larga"})])
    crest = field.intersection(
        Polygon([(-9, 210), (300, 232), (650, 205), (999, 190), (999, 700), (-9, 700)])
    )
    # a tenth of a metre is exact enough, and leaves no spike where the edge meets the boundary
    foot = set_precision(field.difference(set_precision(crest, 0.1)), 0.1)
    geojson(folder / "planting.geojson", place, [
        (crest, {"planted": "2025-11-05", "emerged": "2025-11-12", "maturity_group": 4.8}),
        (foot, {"planted": "2025-11-26", "emerged": "2025-12-02", "maturity_group": 5.3}),
    ])  # fmt: skip
    seen = Picture.over(place, field)
    height_m = 41 + 13 * np.exp(-(((seen.y - 420) / 210) ** 2)) + 0.25 * seen.patches(rng, 220)
    height_m += 2.2 * np.tanh((500 - seen.x) / 260)
    seen.write(folder / "layers/elevation.tif", {"cm": 100 * (height_m + rng.normal(0, 0.05, seen.x.shape))})
    late = ~contains_xy(crest, seen.x, seen.y)
    worn = 1 / (1 + np.exp(-(seen.x - 560 + 70 * seen.patches(rng, 220)) / 35))
    cover = np.where(late, 0.5, 0.82 - 0.26 * worn) + np.where(late, 0.008, 0.02) * seen.patches(rng, 90)
    seen.write(folder / "imagery/2025-12-29_canopy.tif", reflectance(cover, rng))
    scouting(folder / "scouting.csv", place, [
        ("2026-01-05", 150, 380, "seen", "end-of-cycle leaf spots", "8 of 20 plants, wet week"),
        ("2026-01-05", 330, 440, "seen", "end-of-cycle leaf spots", "6 of 20 plants"),
        ("2026-01-05", 540, 255, "seen", "end-of-cycle leaf spots", "7 of 20 plants, below the crest"),
        ("2026-01-05", 780, 350, "seen", "end-of-cycle leaf spots", "4 of 20 plants, rows open"),
        ("2026-01-05", 810, 235, "seen", "end-of-cycle leaf spots", "5 of 20 plants"),
    ])  # fmt: skip


def bajo_chico(folder: Path) -> None:
    """Make an even stand again, in metric."""
    place, rng = Place(-59.7180, -32.0190, 32721), chance("bajo_chico")
    field = Polygon([(0, 0), (480, 0), (530, 130), (545, 270), (520, 400), (430, 455), (0, 455)])
    geojson(folder / "boundary.geojson", place, [(field, {"name": "Bajo Chico"})])
    seen = Picture.over(place, field)
    cover = np.full(seen.x.shape, 0.64)
    seen.write(folder / "imagery/2025-12-29_canopy.tif", reflectance(cover, rng, noise=0.008))


# -- Plover Rise -------------------------------------------------------------------------------------------

PLOVER_CLIMATE = Climate(
    tmax_c=(-9, -6, 1, 12, 20.5, 25.5, 28, 27.4, 22.2, 13.2, 2.5, -6),
    tmin_c=(-20, -17, -9, -1, 6.6, 12.6, 14.8, 13.4, 8, 1.2, -7.5, -16),
    rain_mm=(14, 14, 28, 38, 72, 98, 82, 66, 64, 52, 22, 17),
    wet_days=(7, 6, 6.5, 7, 10, 10.5, 9, 8, 8, 7.5, 6, 7),
    sd_c=(7, 7, 6.2, 5.2, 4.5, 3.5, 2.9, 3.0, 3.9, 4.6, 5.6, 6.6),
)

PLOVER_FARM = """\
# Plover Rise, an invented farm in northeastern South Dakota. No place, price or label here is real.
name = "Plover Rise"
country = "US"
units = "us"
season = 2026                       # year of harvest
as_of = 2026-10-20                  # the example's "today", after harvest; leave it out on a real farm
time_zone = "America/Chicago"

[weather]
daily = "weather.csv"               # 10 past years and this season to yesterday; made by a program

[money]
grain_price = "9.60 USD/bu"         # what the elevator paid at harvest
product = "18 USD/ac"
adjuvant = "2 USD/ac"
pass = "9 USD/ac"                   # custom bill for ground
billed = "treated"
per_visit = "50 USD"
rule = "expected"
min_net = "3 USD/ac"

[product]                           # an invented label; on a real farm, type it from the label in hand
name = "Invented Fungicide A"
groups = ["3", "11"]
dose = "8 fl oz/ac"
max_dose = "16 fl oz/ac"            # in a season
min_carrier_ground = "10 gal/ac"
aerial_allowed = false
drone_allowed = false
pre_harvest_interval_d = 30
re_entry_h = 12
max_applications = 2
latest_stage = "R5"
max_wind = "10 mph"
rainfast_h = 1
target = "leaf diseases"

[carrier]
volumes = ["10 gal/ac", "15 gal/ac", "20 gal/ac"]

[[sprayer]]
name = "ground rig"
kind = "ground"
boom = "90 ft"
sections = 9
nozzle_spacing = "20 in"
nozzle = "04"
pressure = ["30 psi", "90 psi"]
speed = ["5 mph", "14 mph"]
tank = "1000 gal"
fill_min = 20
base = [45.318, -97.215]
tracks_exist = true                 # the herbicide pass left tracks, and this pass stayed in them

[response]
source = "own trials"               # learned.toml beside this file holds what the strips said
pressure = "unknown"                # where nobody has looked; scouting.csv says more, place by place

[schedule]
horizon_d = 28

[harvest]
header = "35 ft"                    # of the combine

[harvest.columns]                   # what its terminal calls things, where a name says too little
time = "when"
flow = "wet_lb_s"
moisture = "h2o_pct"
speed = "mph"
swath = "cut_in"
header = "head"

[harvest.units]
flow = "lb/s"
moisture = "%"
speed = "mph"
swath = "in"
"""

# Two seasons before this one, as the tool would have kept them; no file of theirs is left.
PLOVER_LEARNED = """\
# What your own check strips said of the yield response. `sprayworth strips` writes this file after a harvest;
# the source "own trials" in [response] of farm.toml reads it. Take a [[trial]] out to forget it.

schema_version = 1

[[trial]]
season = 2024
field = "long_eighty"
pressure = "unknown"
mean_bu_ac = 1.3
se_bu_ac = 1.5
pairs = 4

[[trial]]
season = 2025
field = "pothole_sixty"
pressure = "low"
mean_bu_ac = 0.2
se_bu_ac = 1.7
pairs = 4

[[trial]]
season = 2025
field = "pothole_sixty"
pressure = "seen"
mean_bu_ac = 3.6
se_bu_ac = 1.6
pairs = 4
"""
PLOVER_SEASONS = """\
season,field,zone,block,variety,maturity_group,planted,r3_forecast,r3_forecast_sd_d,r3_seen,r3_seen_sd_d,\
action,sprayed,chance_pays,net_usd_ac,response_bu_ac,response_se_bu_ac,chance_paid
2024,long_eighty,1,A,,1.1,2024-05-19,2024-07-25,3.7,2024-07-28,2.0,spray,yes,0.61,6.4,1.9,1.8,0.28
2024,long_eighty,2,A,,1.1,2024-05-19,2024-07-25,3.7,2024-07-28,2.0,skip,no,0.17,-14.2,0.6,1.9,0.12
2025,pothole_sixty,1,A,,1.2,2025-05-09,2025-07-19,3.6,2025-07-21,1.9,spray,yes,0.74,19.0,3.6,1.6,0.63
2025,pothole_sixty,2,A,,1.2,2025-05-09,2025-07-19,3.6,2025-07-21,1.9,skip,no,0.09,-18.3,0.2,1.7,0.06
"""

PLOVER_FIELDS = {
    "long_eighty": """\
# Low ground with a dense stand in the south, a gravelly rise in the north; check strips cross both.
name = "Long Eighty"
maturity_group = 1.2
variety_rating = "susceptible"
previous_crop = "maize"
expected_yield = "55 bu/ac"
row_spacing = "15 in"

[boundary]
file = "boundary.geojson"

[planting]
date = 2026-05-14

[[imagery]]
file = "imagery/2026-07-10_canopy.tif"
bands = { red = 1, rededge = 2, nir = 3 }
scale = 0.0001
index = "NDRE"

[zones]
max_zones_per_block = 3
min_area = "3 ac"

[[scouting]]
file = "scouting.csv"

[check_strips]
pairs = 4
""",
}


def long_eighty(folder: Path) -> None:
    """Make a field after harvest: strips that were driven, what was sprayed, and the combine's points."""
    place, rng = Place(-97.2300, 45.3050, 32614), chance("long_eighty")
    field = Polygon([(0, 0), (440, 0), (440, 640), (352, 742), (0, 742)])
    geojson(folder / "boundary.geojson", place, [(field, {"name": "Long Eighty"})])
    seen = Picture.over(place, field)
    rise = 1 / (1 + np.exp(-(seen.y - 395 - 0.12 * (seen.x - 220) + 18 * seen.patches(rng, 260)) / 9))
    cover = 0.84 - 0.3 * rise + 0.02 * seen.patches(rng, 80)
    cover = np.where((seen.x < -3) | (seen.y < -3), 0.4, cover)  # the road ditch
    seen.write(folder / "imagery/2026-07-10_canopy.tif", reflectance(cover, rng))
    scouting(folder / "scouting.csv", place, [
        ("2026-07-16", 90, 120, "seen", "frogeye", "lesions on 8 of 20 plants, rows closed"),
        ("2026-07-16", 250, 210, "seen", "frogeye", "lesions on 6 of 20 plants"),
        ("2026-07-16", 390, 90, "seen", "frogeye", "lesions on 7 of 20 plants"),
        ("2026-07-16", 120, 560, "low", "", "open rows, clean leaves"),
        ("2026-07-16", 330, 640, "low", "", "clean"),
    ], counts=[
        ("2026-07-16", 90, 120, 1, 7, 12, 0),
        ("2026-07-16", 330, 640, 4, 11, 5, 0),
    ])  # fmt: skip
    laid_strips(folder)
    sprayed_zones(folder)
    write(folder.parent / "done.csv", PLOVER_DONE)
    write(folder.parent / "learned.toml", PLOVER_LEARNED)
    write(folder.parent / "season.csv", PLOVER_SEASONS)
    combined(folder / "harvest/yield.csv", place)


# Zones, strips and record are frozen: they are what `sprayworth run --today 2026-07-20` and `sprayworth done`
# made of this very field. Longitude and latitude.
LONG_EIGHTY_ZONES = (
    (
        (-97.2243893, 45.3086311), (-97.2243897, 45.3049999), (-97.23, 45.305), (-97.23, 45.3083643),
        (-97.2297254, 45.3083647), (-97.2293178, 45.3084322), (-97.2288506, 45.3084559),
        (-97.2285497, 45.3085103), (-97.2266508, 45.3084907), (-97.2264254, 45.3085083),
        (-97.2261246, 45.3085627), (-97.2257645, 45.3085733), (-97.2253566, 45.3086408),
    ),
    (
        (-97.23, 45.3083643), (-97.23, 45.3116764), (-97.2255112, 45.3116763), (-97.2243891, 45.3107585),
        (-97.2243893, 45.3086311), (-97.2253566, 45.3086408), (-97.2257645, 45.3085733),
        (-97.2261246, 45.3085627), (-97.2264254, 45.3085083), (-97.2266508, 45.3084907),
        (-97.2285497, 45.3085103), (-97.2288506, 45.3084559), (-97.2293178, 45.3084322),
        (-97.2297254, 45.3083647),
    ),
)  # fmt: skip
LONG_EIGHTY_STRIPS = (
    (1, "untreated", ((-97.225788501, 45.31168531), (-97.225788997, 45.30499092),
                      (-97.225439165, 45.304990907), (-97.225438628, 45.311685296))),
    (1, "treated", ((-97.226138375, 45.311685323), (-97.226138829, 45.304990932),
                    (-97.225788997, 45.30499092), (-97.225788501, 45.31168531))),
    (2, "treated", ((-97.226838122, 45.311685332), (-97.226838494, 45.304990942),
                    (-97.226488662, 45.304990933), (-97.226488248, 45.311685321))),
    (2, "untreated", ((-97.227187996, 45.311685341), (-97.227188327, 45.304990951),
                      (-97.226838494, 45.304990942), (-97.226838122, 45.311685332))),
    (3, "treated", ((-97.227887743, 45.311685354), (-97.227887992, 45.304990963),
                    (-97.227538159, 45.304990957), (-97.227537869, 45.311685347))),
    (3, "untreated", ((-97.228237617, 45.31168536), (-97.228237825, 45.304990969),
                      (-97.227887992, 45.304990963), (-97.227887743, 45.311685354))),
    (4, "untreated", ((-97.229287239, 45.31168539), (-97.229287322, 45.304990985),
                      (-97.22893749, 45.304990982), (-97.228937365, 45.311685387))),
    (4, "treated", ((-97.229637112, 45.311685392), (-97.229637155, 45.304990986),
                    (-97.229287322, 45.304990985), (-97.229287239, 45.31168539))),
)  # fmt: skip
LONG_EIGHTY_HEAD = """\
{
"type": "FeatureCollection",
"schema_version": 1,
"field": "Long Eighty",
"laid_on": "2026-07-20",
"season": 2026,
"seed": 0,
"width_m": 27.432,
"heading_deg": 178.741504,
"features": [
"""
PLOVER_DONE = """\
field,pass,zones,start,end,half,rate,loads,area,sprayer,wind,temperature,applicator,product,source
Long Eighty,1,1,2026-07-28 07:10,2026-07-28 09:20,AM,15 gal/ac,1,41.53 ac,ground rig,6 mph SW,71 F,R. Tern,\
Invented Fungicide A,plan 8eecdb86: zones rate area loads sprayer product
"""


def laid_strips(folder: Path) -> None:
    """Write the strips as the tool laid them."""
    rows = []
    for pair, treatment, corners in LONG_EIGHTY_STRIPS:
        shape = {"type": "Polygon", "coordinates": [[*corners, corners[0]]]}
        about = {"pair": pair, "treatment": treatment}
        rows.append(json.dumps({"type": "Feature", "properties": about, "geometry": shape}))
    write(folder / "strips/design.geojson", LONG_EIGHTY_HEAD + ",\n".join(rows) + "\n]\n}\n")


def sprayed_zones(folder: Path) -> None:
    """Write the zones as they were kept when the first of them was sprayed."""
    path = folder / "applied/zones.gpkg"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.unlink(missing_ok=True)
    shapes = [Polygon(corners) for corners in LONG_EIGHTY_ZONES]
    about = {"field": "Long Eighty", "farm": "Plover Rise", "zones_id": "def71fb0506206cc"}
    layers = (
        ("zones", {"zone": "int32", "name": "str", "block": "str"},
         [(shape, {"zone": zone, "name": None, "block": "A"}) for zone, shape in enumerate(shapes, start=1)]),
        ("boundary", dict.fromkeys(about, "str"), [(union_all(shapes), about)]),
    )  # fmt: skip
    with fiona.Env(OGR_CURRENT_DATE="2026-07-28T00:00:00.000Z"):
        for layer, columns, rows in layers:
            schema = {"geometry": "Polygon", "properties": columns}
            with fiona.open(path, "w", driver="GPKG", crs="EPSG:4326", layer=layer, schema=schema) as file:
                for shape, properties in rows:
                    file.write({"geometry": shape.__geo_interface__, "properties": properties})


TRUE_RESPONSE_BU_AC = (5.0, 0.5)  # in zone 1 and zone 2: what the strips are to find
HEADER_M, EVERY_S = 10.668, 3.0  # 35 ft
BU_AC = 60 * 0.45359237 / (43_560 * 0.3048**2)  # in kg of grain on a square metre


def combined(path: Path, place: Place) -> None:
    """Write what a combine's terminal would: late and smeared grain, a scale that drifts, some nonsense."""
    rng = chance("long_eighty", "grain")
    x, y, speed, is_up, number = driven(rng)
    count = len(x)
    dry = grown_bu_ac(rng, place, x, y)
    moisture = 0.118 + 0.004 * np.sin(y / 130) + 0.003 * np.cos(x / 90)
    wet = dry * BU_AC * 0.87 / (1 - moisture) * HEADER_M * speed * ~is_up  # kg/s into the header
    behind = np.arange(0, 60, EVERY_S)

    def passed(after_s: Floats) -> Floats:
        """Give the share of the grain that has passed the sensor; as a mean it takes 10 s."""
        late_s = np.maximum(after_s - 7.1, 0)
        return 1 - 0.85 * np.exp(-late_s / 2) - 0.15 * np.exp(-late_s / 8)

    kernel = passed(behind + EVERY_S / 2) - passed(behind - EVERY_S / 2)
    flow = np.convolve(wet, kernel)[:count]
    flow *= 0.97 * (1 + 0.012 * np.sin(np.arange(count) / 900))  # a scale that is off, and drifts
    flow *= 1 + rng.normal(0, 0.006, number[-1] + 1)[number]
    flow *= 1 + rng.normal(0, 0.05, count)
    wrong = np.where(rng.random(count) < 0.035, rng.integers(0, 3, count), -1)
    flow = np.select([wrong == 0, wrong == 1], [flow * 0.3, flow * 2.6], flow)
    x = x + rng.normal(0, 0.15, count) + np.where(wrong == 2, rng.normal(0, 30, count), 0)
    y = y + rng.normal(0, 0.15, count)
    moisture = moisture + rng.normal(0, 0.002, count)
    seconds = EVERY_S * np.arange(count) + 22 * 3600 * (np.arange(count) > count // 2)  # two days
    lon, lat = transformer(place._own, "EPSG:4326").transform(x, y)
    lines = ["when,lat,lon,wet_lb_s,h2o_pct,mph,cut_in,head"]
    for k in range(count):
        when = datetime(2026, 10, 8, 11, 20) + timedelta(seconds=float(seconds[k]))
        lines.append(
            f"{when:%Y-%m-%d %H:%M:%S},{lat[k]:.6f},{lon[k]:.6f},{flow[k] / 0.45359237:.2f},"
            f"{100 * moisture[k]:.1f},{speed[k] / 0.44704:.1f},420,{'up' if is_up[k] else 'down'}"
        )
    write(path, "\n".join(lines) + "\n")


def driven(rng: np.random.Generator) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Give the combine's way and speed, where its header is up, and its passes: both ends first."""
    south, north = 3 * HEADER_M, 742 - 3 * HEADER_M
    legs = []
    for turn in range(3):
        middle = (turn + 0.5) * HEADER_M
        legs.append(((4.0, middle), (436.0, middle)))
        end = 440 - 88 * (102 - middle) / 102 - 8  # the corner is cut off
        legs.append(((end, 742 - middle), (4.0, 742 - middle)))
    for turn, east in enumerate(np.arange(HEADER_M / 2 + 1.5, 440 - HEADER_M / 2 + 4, HEADER_M)):
        # the corner again, and its own round
        top = min(north, 742 - (east - 352) * 102 / 88 - 46) if east > 352 - 40 else north
        legs.append(((east, south), (east, top)) if turn % 2 else ((east, top), (east, south)))
    parts = []
    for number, ((x0, y0), (x1, y1)) in enumerate(legs):
        length = math.hypot(x1 - x0, y1 - y0)
        speed = rng.uniform(1.9, 2.2) * (1 + 0.05 * np.sin(np.arange(400) / 9 + rng.uniform(0, 6)))
        speed[:2] *= (0.6, 0.85)
        gone = np.cumsum(speed) * EVERY_S - speed * EVERY_S / 2
        part = gone[gone < length] / length
        parts.append(
            (x0 + part * (x1 - x0), y0 + part * (y1 - y0), speed[: len(part)], part < 0, number + 0 * part)
        )
        if number + 1 < len(legs):
            (x2, y2), part = legs[number + 1][0], (np.arange(4) + 0.5) / 4
            far = y1 + part * (y2 - y1) + np.sign(y1 - y0) * 7 * np.sin(math.pi * part)
            parts.append((x1 + part * (x2 - x1), far, np.full(4, 1.6), part >= 0, number + 0 * part))
    x, y, speed, is_up, number = (np.concatenate(one) for one in zip(*parts, strict=True))
    return x, y, speed, is_up.astype(bool), number.astype(int)


def grown_bu_ac(rng: np.random.Generator, place: Place, x: Floats, y: Floats) -> Floats:
    """Give what grew there: ground, swaths, and what the pass returned where it was sprayed."""
    own = transformer("EPSG:4326", place._own)

    def of_own(corners: Sequence[tuple[float, float]]) -> Polygon:
        return Polygon(np.column_stack(own.transform(*np.array(corners).T)))

    zones = [of_own(corners) for corners in LONG_EIGHTY_ZONES]
    strips = [(treatment, of_own(corners)) for _, treatment, corners in LONG_EIGHTY_STRIPS]
    ground = gaussian_filter(rng.standard_normal((160, 100)), 4, mode="reflect")  # cells of 5 m
    ground /= ground.std()
    of_swath = rng.normal(0, 0.7, 40)  # an even field: four pairs can tell something
    grown = np.zeros((5, len(x)))
    for k, off in enumerate(HEADER_M * np.array([-0.4, -0.2, 0, 0.2, 0.4])):
        east = np.clip(x + off, 0.5, 439.5)
        is_rise = contains_xy(zones[1], east, y)
        cell = np.clip(y / 5, 0, 159).astype(int), np.clip(east / 5, 0, 99).astype(int)
        bu_ac = 61 - 8 / (1 + np.exp(-(y - 390) / 25)) + 0.006 * (east - 220) + 2.0 * ground[cell]
        bu_ac += of_swath[((440 - east) // 27.432).astype(int)]
        edge = np.minimum(np.minimum(east, 440 - east), np.minimum(y, 742 - y))
        bu_ac *= 1 - 0.15 * np.exp(-np.maximum(edge, 0) / 8)
        sprayed = contains_xy(zones[0], east, y)
        for treatment, outline in strips:
            sprayed = np.where(contains_xy(outline, east, y), treatment == "treated", sprayed)
        grown[k] = bu_ac + sprayed * np.where(is_rise, TRUE_RESPONSE_BU_AC[1], TRUE_RESPONSE_BU_AC[0])
    return np.maximum(grown.mean(axis=0), 2)


# -- all of it ---------------------------------------------------------------------------------------------

README = """\
Three invented farms, to try sprayworth on. Nothing in them is real: not the places, the weather, the crops,
the prices, what was seen in the fields, nor the product and its label. Do not take a number from here.

  heron_slough   southwestern Minnesota, US units, on 8 July 2026
    three_dates    three planting days around a slough; one zone pays, another does not
    level_eighty   one planting day, an even stand: one zone
    wet_corner     a corner planted five weeks late; one of two images has clouds
    gravel_forty   two pieces of thin ground at a low price: nothing pays
    point_rows     a triangle with a planting date and nothing else
  ombu_bend      Entre Rios, Argentina, metric, on 6 January 2026
    loma_larga     two planting days on a rise, with an elevation layer
    bajo_chico     one planting day, an even stand
  plover_rise    northeastern South Dakota, US units, on 20 October 2026, after harvest
    long_eighty    four pairs of check strips across low ground and a rise; a part was sprayed on 28 July

What the pass returned in long_eighty is invented too: 5.0 bu/ac in zone 1 and 0.5 bu/ac in zone 2. The strips
do not know it. `sprayworth strips demo_fields/plover_rise/long_eighty` says what they found, and writes
learned.toml and season.csv of the farm, in which two earlier seasons stand already.
Of five harvests that were drawn this one has the clearest answer; four pairs of strips seldom say as much.

python demo_fields/make.py makes them again, and puts these two files back.
"""


def make(root: Path) -> None:
    """Write the farms into a folder."""
    write(root / "README.txt", README)
    farms = (
        ("heron_slough", HERON_FARM, HERON_FIELDS, HERON_CLIMATE, date(2013, 1, 1), date(2026, 7, 7)),
        ("ombu_bend", OMBU_FARM, OMBU_FIELDS, OMBU_CLIMATE, date(2012, 7, 1), date(2026, 1, 5)),
        ("plover_rise", PLOVER_FARM, PLOVER_FIELDS, PLOVER_CLIMATE, date(2016, 1, 1), date(2026, 10, 19)),
    )
    makers = (
        three_dates,
        level_eighty,
        wet_corner,
        gravel_forty,
        point_rows,
        loma_larga,
        bajo_chico,
        long_eighty,
    )
    by_name = {maker.__name__: maker for maker in makers}
    for name, farm, fields, climate, first, last in farms:
        write(root / name / "farm.toml", farm)
        weather(root / name / "weather.csv", climate, first, last)
        if "hourly" in farm:
            hourly(root / name / "hourly.csv", date(2026, 6, 8))
            hours_to_come(root / name / "hourly_forecast.csv", date(2026, 7, 8))
        for field, settings in fields.items():
            write(root / name / field / "field.toml", settings)
            by_name[field](root / name / field)


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
