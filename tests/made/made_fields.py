"""Field folders made at random by seed, with what is true of them; and ways to break one.

Nothing of `zoning` is used here: areas come from pyproj, files from fiona and rasterio.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import fiona
import numpy as np
import rasterio
from pyproj import Geod, Transformer
from rasterio.transform import Affine
from scipy.ndimage import gaussian_filter
from shapely import MultiPolygon, Point, Polygon, affinity, box, transform, unary_union

M2_PER_AC = 4046.8564224
BANDS = {
    "NDVI": ("red", "nir"),
    "NDRE": ("rededge", "nir"),
    "GNDVI": ("green", "nir"),
    "OSAVI": ("red", "nir"),
    "CIre": ("rededge", "nir"),
    "EVI2": ("red", "nir"),
    "MSAVI2": ("red", "nir"),
}
BARE = {"green": 0.13, "red": 0.18, "rededge": 0.20, "nir": 0.25}
CLOSED = {"green": 0.08, "red": 0.04, "rededge": 0.10, "nir": 0.45}
# dtype, scale, offset as a user would write them: reflectance = stored x scale + offset
STORED = (
    ("uint16", 1e-4, 0.0),
    ("uint16", 1e-4, -0.1),
    ("int16", 1e-4, 0.0),
    ("uint8", 0.004, 0.0),
    ("float32", 1.0, 0.0),
)


@dataclass(frozen=True)
class Truth:
    """What is true of a made field, and how its run must end."""

    seed: int
    today: date
    level: int
    metric: bool
    south: bool
    area_ac: float
    days: tuple[date, ...]  # on which something was planted
    planted: tuple[date, ...]  # of these, the days with more than 2 ac
    maturity_group: float
    weather: str  # "none", "short", "full", "fahrenheit"
    images: int
    parts: int
    holes: int
    label_min_gal_ac: float
    outcome: str = "plan"  # "plan", or "either": a plan or one clear line
    about: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Ground:
    """Where a made field lies, with its shape in metres around its middle."""

    lon: float
    lat: float
    shape: Polygon | MultiPolygon

    @property
    def own(self) -> str:
        return f"+proj=aeqd +lat_0={self.lat} +lon_0={self.lon} +datum=WGS84 +units=m"

    @property
    def utm(self) -> str:
        return f"EPSG:{(32600 if self.lat > 0 else 32700) + int((self.lon + 180) // 6) + 1}"

    def to(self, crs: str, shape: Polygon | MultiPolygon | Point) -> Polygon | MultiPolygon | Point:
        convert = Transformer.from_crs(self.own, crs, always_xy=True)
        return transform(shape, lambda xy: np.column_stack(convert.transform(xy[:, 0], xy[:, 1])))

    def area_ac(self) -> float:
        area_m2, _ = Geod(ellps="WGS84").geometry_area_perimeter(self.to("EPSG:4326", self.shape))
        return abs(area_m2) / M2_PER_AC


def _blob(rng: np.random.Generator, radius_m: float) -> Polygon:
    corners = int(rng.integers(6, 15))
    angles = np.sort(rng.uniform(0, 2 * math.pi, corners) * 0.15 + np.arange(corners) * 2 * math.pi / corners)
    radii = radius_m * rng.uniform(0.75, 1.15, corners)
    return Polygon(np.column_stack([radii * np.cos(angles), radii * np.sin(angles)])).buffer(0)


def _ground(rng: np.random.Generator) -> tuple[Ground, int, int]:
    south = bool(rng.random() < 0.35)
    lat = rng.uniform(-36, -28) if south else rng.uniform(38.5, 45.5)
    lon = rng.uniform(-64, -52) if south else rng.uniform(-101, -80)
    shape: Polygon | MultiPolygon = _blob(rng, rng.uniform(170, 400))
    holes = int(rng.choice([0, 0, 1, 2]))
    for number in range(holes):
        angle = rng.uniform(0, 2 * math.pi) + math.pi * number
        shape = shape.difference(
            Point(90 * math.cos(angle), 90 * math.sin(angle)).buffer(rng.uniform(15, 40), quad_segs=6)
        )
    parts = int(rng.choice([1, 1, 2, 3]))
    for _ in range(1, parts):
        other = _blob(rng, rng.uniform(120, 220))
        east = shape.bounds[2] + 15 - other.bounds[0]  # beyond a lane
        shape = unary_union([shape, affinity.translate(other, east, rng.uniform(-60, 60))])
    return Ground(lon, lat, shape), parts, holes


def _vector(path: Path, driver: str, crs: str, rows: list[tuple[object, dict[str, object]]]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    kinds = {shape.geom_type for shape, _ in rows}
    kind = kinds.pop() if len(kinds) == 1 else "MultiPolygon"
    if kind == "MultiPolygon":
        rows = [(s if s.geom_type == "MultiPolygon" else MultiPolygon([s]), p) for s, p in rows]
    if driver == "ESRI Shapefile" and kind == "MultiPolygon":
        kind = "Polygon"
    types = {float: "float", str: "str:40", int: "int"}
    schema = {"geometry": kind, "properties": {n: types[type(v)] for n, v in rows[0][1].items()}}
    with fiona.open(path, "w", driver=driver, crs=crs, schema=schema) as file:
        for shape, properties in rows:
            file.write({"geometry": shape.__geo_interface__, "properties": properties})


def _boundary(folder: Path, rng: np.random.Generator, ground: Ground) -> str:
    """Write the boundary in one of several formats and CRSs; gives its name."""
    name, driver, crs = (
        ("boundary.geojson", "GeoJSON", "EPSG:4326"),
        ("boundary.gpkg", "GPKG", ground.utm),
        ("field.gpkg", "GPKG", "EPSG:3857"),
        ("field.shp", "ESRI Shapefile", "EPSG:4326"),
        ("edge.shp", "ESRI Shapefile", "EPSG:5070" if ground.lat > 0 else "EPSG:32721"),
    )[rng.integers(5)]
    _vector(folder / name, driver, crs, [(ground.to(crs, ground.shape), {"name": "made"})])
    return name


def _planting(
    folder: Path, rng: np.random.Generator, ground: Ground, days: list[date], group: float
) -> tuple[str, tuple[date, ...]]:
    """Write the planting layer as bands of the field; gives its lines of settings and the blocks' days."""
    if len(days) == 1 and rng.random() < 0.5:
        return f"date = {days[0]}\n", (days[0],)
    turn = rng.uniform(0, 180)
    flat = affinity.rotate(ground.shape, -turn, origin=(0, 0))
    west, south, east, north = flat.bounds
    cuts = np.linspace(south, north, len(days) + 1)
    order = rng.permutation(len(days))
    bands = [
        (days[order[n]], affinity.rotate(box(west - 30, cuts[n] - (30 if n == 0 else 0), east + 30,
         cuts[n + 1] + (30 if n == len(days) - 1 else 0)), turn, origin=(0, 0)))
        for n in range(len(days))
    ]  # fmt: skip
    large = [day for day, band in bands if band.intersection(ground.shape).area > 2 * M2_PER_AC]
    crs = ("EPSG:4326", ground.utm, "EPSG:3857")[rng.integers(3)]
    column = ("planted", "day", "seeded")[rng.integers(3)]
    lines = 'file = "planting.gpkg"\n' + (f'date_column = "{column}"\n' if column != "planted" else "")

    emerges = bool(rng.random() < 0.3)

    def properties(day: date) -> dict[str, object]:
        emerged = {"emerged": (day + timedelta(9)).isoformat()} if emerges else {}
        return {column: day.isoformat(), "maturity_group": group, **emerged}

    if rng.random() < 0.65:
        rows = [(ground.to(crs, band), properties(day)) for day, band in bands]
    else:
        rows = []
        for y in np.arange(south + 5, north, 12.0):
            for x in np.arange(west + 5, east, 15.0):
                where = affinity.rotate(Point(x + rng.normal(0, 0.3), y), turn, origin=(0, 0))
                day = next((day for day, band in bands if band.covers(where)), None)
                if day is not None and ground.shape.contains(where):
                    rows.append((where, properties(day)))
        convert = Transformer.from_crs(ground.own, crs, always_xy=True)
        rows = [(Point(convert.transform(where.x, where.y)), properties) for where, properties in rows]
    _vector(folder / "planting.gpkg", "GPKG", crs, rows)
    return lines, tuple(sorted(large))


def _raster(path: Path, ground: Ground, crs: str, cell_m: float, dtype: str, fill: Callable) -> None:
    """Write bands over the field; `fill(x, y)` gives them from own metres, as stored numbers."""
    west, south, east, north = ground.to(crs, ground.shape.buffer(40)).bounds
    cell = cell_m / 111_320 if crs == "EPSG:4326" else cell_m
    width, height = math.ceil((east - west) / cell), math.ceil((north - south) / cell)
    xs = west + cell * (np.arange(width) + 0.5)
    ys = north - cell * (np.arange(height) + 0.5)
    own = Transformer.from_crs(crs, ground.own, always_xy=True).transform(*np.meshgrid(xs, ys))
    bands = fill(*own)
    path.parent.mkdir(parents=True, exist_ok=True)
    profile = {
        "driver": "GTiff", "width": width, "height": height, "count": len(bands), "dtype": dtype, "crs": crs,
        "transform": Affine(cell, 0, west, 0, -cell, north), "compress": "deflate",
        "nodata": float("nan") if dtype == "float32" else 0,
    }  # fmt: skip
    with rasterio.open(path, "w", **profile) as file:
        for number, values in enumerate(bands, start=1):
            top = np.inf if dtype == "float32" else np.iinfo(dtype).max
            stored = values if dtype == "float32" else np.clip(np.rint(values), 1, top)
            file.write(stored.astype(dtype), number)


def _patches(rng: np.random.Generator, shape: tuple[int, int], cells: float) -> np.ndarray:
    rough = gaussian_filter(rng.standard_normal(shape), max(cells, 0.5), mode="reflect")
    return (rough - rough.mean()) / (rough.std() + 1e-9)


def _image(folder: Path, rng: np.random.Generator, ground: Ground, day: date) -> str:
    index = str(rng.choice(list(BANDS)))
    dtype, scale, offset = STORED[rng.integers(len(STORED))]
    crs = (ground.utm, "EPSG:4326", "EPSG:3857")[rng.integers(3)]
    cell_m = float(rng.choice([3.0, 5.0, 10.0, 20.0]))
    split, masked = rng.uniform(-100, 100), bool(rng.random() < 0.4)

    def fill(x: np.ndarray, y: np.ndarray) -> list[np.ndarray]:
        cover = 0.55 + 0.25 * np.tanh((x - split) / 40) + 0.04 * _patches(rng, x.shape, 40 / cell_m)
        bands = []
        for name in BANDS[index]:
            clean = BARE[name] + (CLOSED[name] - BARE[name]) * np.clip(cover, 0, 1)
            bands.append((clean + rng.normal(0, 0.004, x.shape) - offset) / scale)
        if masked:
            bands.append(np.where(np.hypot(x - 60, y + 40) < 35, 9.0, 4.0))
        return bands

    name = f"imagery/{day}_made.tif"
    _raster(folder / name, ground, crs, cell_m, dtype, fill)
    names = ", ".join(f"{band} = {n}" for n, band in enumerate(BANDS[index], start=1))
    lines = f'\n[[imagery]]\nfile = "{name}"\nbands = {{ {names} }}\nindex = "{index}"\nscale = {scale}\n'
    lines += f"offset = {offset}\n" if offset else ""
    return lines + ("mask_band = 3\nmask_keep = [4]\n" if masked else "")


def _layers(folder: Path, rng: np.random.Generator, ground: Ground, metric: bool) -> str:
    lines = ""
    if rng.random() < 0.4:
        tilt = rng.uniform(-0.02, 0.02)
        _raster(folder / "layers/height.tif", ground, ground.utm, 5.0, "float32",
                lambda x, y: [300 + tilt * x + 1.5 * _patches(rng, x.shape, 12)])  # fmt: skip
        lines += '\n[[layer]]\nname = "elevation"\nfile = "layers/height.tif"\n'
    if rng.random() < 0.4:
        high = 4.1 if metric else 61.0
        _raster(
            folder / "layers/yield.tif",
            ground,
            "EPSG:4326",
            10.0,
            "float32",
            lambda x, y: [high * (0.8 + 0.15 * np.tanh(y / 60) + 0.03 * _patches(rng, x.shape, 5))],
        )
        unit = "t/ha" if metric else "bu/ac"
        lines += (
            f'\n[[layer]]\nname = "past yield"\nfile = "layers/yield.tif"\nuse = "yield"\nunit = "{unit}"\n'
        )
    return lines


def _weather(path: Path, rng: np.random.Generator, south: bool, today: date, years: int, kind: str) -> str:
    """Write daily weather; gives the lines of settings that its column names need."""
    first = date(today.year - years, 7 if south else 1, 1)
    days = [first + timedelta(n) for n in range((today - first).days + 3)]  # a few rows after today, too
    angle = np.array(
        [2 * math.pi * (day.timetuple().tm_yday - (15 if south else 197)) / 365.25 for day in days]
    )
    middle = (18 + 7 * np.cos(angle)) if south else (9 + 14 * np.cos(angle))
    noise = np.convolve(rng.standard_normal(len(days) + 6), np.ones(7) / 7 * 2.2, "valid")[: len(days)]
    low, high = middle + 3 * noise - 6, middle + 3 * noise + 6
    rain = np.where(rng.random(len(days)) < 0.3, rng.gamma(0.8, 9.0, len(days)), 0)
    lines, settings = ["date,tmin_c,tmax_c,rain_mm"], ""
    if kind == "fahrenheit":
        low, high, rain = low * 1.8 + 32, high * 1.8 + 32, rain / 25.4
        lines = ["Day,Low,High,Precip"]
        settings = 'columns = { date = "Day", tmin_f = "Low", tmax_f = "High", rain_in = "Precip" }\n'
    lines += [f"{d},{a:.1f},{b:.1f},{r:.2f}" for d, a, b, r in zip(days, low, high, rain, strict=True)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return f'\n[weather]\ndaily = "{path.name}"\n{settings}'


def _money(rng: np.random.Generator, metric: bool) -> str:
    price, product, trip = rng.uniform(8, 13), rng.uniform(12, 25), rng.uniform(6, 12)
    source = str(rng.choice(["pooled trials", "practice series", "own trials"]))
    own = ""
    if source == "own trials":
        own = 'mean = "0.22 t/ha"\nse = "0.05 t/ha"\n' if metric else 'mean = "3.1 bu/ac"\nse = "0.7 bu/ac"\n'
        own += "years = 3\ntrials = 9\n"
    rule = rng.choice(["expected", "chance", "cautious"])
    pressure = rng.choice(["low", "unknown", "medium", "high", "seen"])
    if metric:
        money = f'grain_price = "{price * 36.74:.1f} USD/t"\nproduct = "{product * 2.47:.1f} USD/ha"\n'
        money += f'pass = "{trip * 2.47:.1f} USD/ha"\nmin_net = "5 USD/ha"\n'
    else:
        money = f'grain_price = "{price:.2f} USD/bu"\nproduct = "{product:.1f} USD/ac"\n'
        money += f'pass = "{trip:.1f} USD/ac"\n'
    billed = 'billed = "field"\n' if rng.random() < 0.2 else ""
    return (
        f'\n[money]\n{money}rule = "{rule}"\nper_visit = "{rng.integers(0, 120)} USD"\n{billed}'
        f'\n[response]\nsource = "{source}"\npressure = "{pressure}"\n{own}'
    )


def _machine(rng: np.random.Generator, metric: bool) -> tuple[str, float]:
    """Give the lines of [product], [carrier] and [[sprayer]], and the label's least carrier in gal/ac."""
    least = float(rng.choice([8.0, 10.0, 15.0]))
    words = f"{least * 9.3539559:.4f} L/ha" if metric else f"{least:g} gal/ac"
    product = f"""
[product]
name = "Made Product"
groups = ["3", "11"]
dose = "8 fl oz/ac"
max_dose = "16 fl oz/ac"
min_carrier_ground = "{words}"
pre_harvest_interval_d = 21
re_entry_h = 12
max_applications = 2
latest_stage = "R5"
max_wind = "10 mph"
"""
    if metric:
        return product + f"""
[carrier]
volumes = ["94 L/ha", "141 L/ha", "188 L/ha"]

[[sprayer]]
name = "made rig"
boom = "{rng.choice([18, 24, 36])} m"
nozzle_spacing = "0.5 m"
nozzle = "04"
pressure = ["2 bar", "6 bar"]
speed = ["8 km/h", "22 km/h"]
tank = "3800 L"
fill_min = 15
tracks_exist = {"true" if rng.random() < 0.5 else "false"}
""", least  # fmt: skip
    if rng.random() < 0.25:
        return product + """aerial_allowed = true
min_carrier_air = "2 gal/ac"

[carrier]
volumes = ["2 gal/ac", "5 gal/ac"]

[[sprayer]]
name = "made plane"
kind = "aerial"
boom = "60 ft"
speed = ["110 mph", "150 mph"]
tank = "500 gal"
fill_min = 10
""", 2.0  # fmt: skip
    return product + f"""
[[sprayer]]
name = "made rig"
boom = "{rng.choice([60, 90, 120])} ft"
nozzle_spacing = "20 in"
nozzle = "04"
pressure = ["30 psi", "90 psi"]
speed = ["5 mph", "14 mph"]
tank = "1000 gal"
fill_min = 15
tracks_exist = {"true" if rng.random() < 0.5 else "false"}
""", least  # fmt: skip


def _scouting(path: Path, rng: np.random.Generator, ground: Ground, today: date) -> None:
    convert = Transformer.from_crs(ground.own, "EPSG:4326", always_xy=True)
    lines = ["date,lat,lon,pressure,cause"]
    for pressure, cause in (("seen", "frogeye"), ("low", "other"), ("medium", "")):
        lon, lat = convert.transform(*rng.uniform(-120, 120, 2))
        lines.append(f"{today - timedelta(2)},{lat:.6f},{lon:.6f},{pressure},{cause}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def make_field(folder: Path, seed: int) -> Truth:
    """Write a farm folder with one field in it at `folder`; the farm is its parent."""
    rng = np.random.default_rng(seed)
    ground, parts, holes = _ground(rng)
    south, level = ground.lat < 0, 1 + seed % 3
    metric = south or bool(rng.random() < 0.2)
    season = 2026
    first = date(season - 1, 11, 3) if south else date(season, 4, 26)
    gaps = rng.integers(6, 11, int(rng.integers(1, 7))).cumsum()
    days = [first + timedelta(int(gap - gaps[0] + rng.integers(0, 3))) for gap in gaps]
    group = float(round(rng.uniform(4.0, 5.8) if south else rng.uniform(1.8, 3.2), 1))
    today = days[0] + timedelta(int(rng.integers(35, 60)))
    today = max(today, days[-1] + timedelta(5))
    weather = str(rng.choice(["none", "short", "full", "full", "full", "fahrenheit"]))

    folder.mkdir(parents=True, exist_ok=True)
    boundary = _boundary(folder, rng, ground)
    planting, planted = _planting(folder, rng, ground, days, group)
    images = int(rng.choice([0, 1, 1, 2]))
    field_lines = f'name = "Made {seed}"\nmaturity_group = {group}\nheading_deg = {rng.integers(0, 180)}\n'
    field_lines += f'expected_yield = "{"3.6 t/ha" if metric else "55 bu/ac"}"\n'
    field_lines += f'row_spacing = "{"0.38 m" if metric else "15 in"}"\n'
    field_lines += f'\n[boundary]\nfile = "{boundary}"\n\n[planting]\n{planting}'
    for number in range(images):
        field_lines += _image(folder, rng, ground, today - timedelta(4 + 9 * number))
    field_lines += _layers(folder, rng, ground, metric)
    if rng.random() < 0.5:
        _scouting(folder / "scouting.csv", rng, ground, today)
        field_lines += '\n[[scouting]]\nfile = "scouting.csv"\n'

    farm = f'name = "Made farm"\nunits = "{"metric" if metric else "us"}"\nseason = {season}\n'
    farm += f'country = "{"AR" if south else "US"}"\n'
    if weather != "none":
        years = 4 if weather == "short" else 12
        farm += _weather(folder.parent / "daily.csv", rng, south, today, years, weather)
    least = 0.0
    if level >= 2:
        farm += _money(rng, metric)
    if level == 3:
        lines, least = _machine(rng, metric)
        farm += lines
    (folder.parent / "farm.toml").write_text(farm, encoding="utf-8")
    (folder / "field.toml").write_text(field_lines, encoding="utf-8")
    about = {"boundary": boundary, "planting": planting, "lat": f"{ground.lat:.2f}", "group": str(group)}
    return Truth(
        seed=seed, today=today, level=level, metric=metric, south=south, area_ac=ground.area_ac(),
        days=tuple(days), planted=planted, maturity_group=group, weather=weather,
        images=images, parts=parts, holes=holes,
        label_min_gal_ac=least, outcome="either" if weather == "none" else "plan", about=about,
    )  # fmt: skip


# -- ways to break a field that would run ------------------------------------------------------------------


@dataclass(frozen=True)
class Break:
    """One fault put into a field that would run: what is done, and how it must be answered."""

    what: str
    do: Callable[[Path, Truth], None]
    code: int
    says: str  # in the line, whatever its case


def _edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text, (path, old)
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def _boundary_path(folder: Path, truth: Truth) -> Path:
    return folder / truth.about["boundary"]


def _as_line(folder: Path, truth: Truth) -> None:
    path = _boundary_path(folder, truth)
    with fiona.open(path) as file:
        crs, ring = file.crs, next(iter(file))["geometry"]["coordinates"][0]
    path = folder / "line.geojson"
    _edit(folder / "field.toml", f'file = "{truth.about["boundary"]}"', 'file = "line.geojson"')
    with fiona.open(
        path, "w", driver="GeoJSON", crs=crs, schema={"geometry": "LineString", "properties": {}}
    ) as file:
        file.write({"geometry": {"type": "LineString", "coordinates": ring}, "properties": {}})


def _without_crs(folder: Path, truth: Truth) -> None:
    """Save the boundary as a shapefile and lose its .prj."""
    with fiona.open(_boundary_path(folder, truth)) as file:
        schema, crs, rows = file.schema, file.crs, list(file)
    kind = {**schema, "geometry": "Polygon"}
    with fiona.open(folder / "bare.shp", "w", driver="ESRI Shapefile", crs=crs, schema=kind) as file:
        file.writerecords(rows)
    (folder / "bare.prj").unlink()
    _edit(folder / "field.toml", f'file = "{truth.about["boundary"]}"', 'file = "bare.shp"')


def _all_images(folder: Path, change: Callable[[rasterio.io.DatasetReader], None]) -> None:
    for path in (folder / "imagery").glob("*.tif"):
        with rasterio.open(path, "r+") as file:
            change(file)


def _elsewhere(file: rasterio.io.DatasetWriter) -> None:
    old = file.transform
    file.transform = Affine(old.a, 0, old.c + 3 * file.width * old.a, 0, old.e, old.f)


def _all_cloud(file: rasterio.io.DatasetWriter) -> None:
    for band in range(1, file.count + 1):
        file.write(np.full(file.shape, file.nodata, dtype=file.dtypes[0]), band)


def _weather_gap(folder: Path, truth: Truth) -> None:
    """Lose twenty days of this season's weather."""
    path = folder.parent / "daily.csv"
    lost = {str(truth.today - timedelta(n)) for n in range(4, 24)}
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(line for line in lines if line[:10] not in lost) + "\n", encoding="utf-8")


def _all(path_of: Callable[[Path], Path], old: str, new: str) -> Callable[[Path, Truth], None]:
    return lambda folder, _: _edit(path_of(folder), old, new)


def _farm(folder: Path) -> Path:
    return folder.parent / "farm.toml"


def _field(folder: Path) -> Path:
    return folder / "field.toml"


def _two_faults(folder: Path, _: Truth) -> None:
    _edit(_field(folder), "heading_deg", "heading_dge")
    _edit(_farm(folder), ' USD"', '"')


BREAKS = (
    Break("boundary missing", lambda f, t: _boundary_path(f, t).unlink(), 2, "boundary"),
    Break("boundary empty", lambda f, t: _boundary_path(f, t).write_bytes(b""), 3, "boundary"),
    Break("boundary a line", _as_line, 3, "not a polygon"),
    Break("no CRS", _without_crs, 3, "crs"),
    Break("group out of range", _all(_field, "maturity_group = ", "maturity_group = 2"), 2, "maturity_group"),
    Break("unknown key", _all(_field, "heading_deg", "heading_dge"), 2, "heading_dge"),
    Break("unit missing", _all(_farm, ' USD"', '"'), 2, "unit"),
    Break("wrong dimension", _all(_farm, "fill_min = 15", 'fill_min = 15\nferry = "3 gal/ac"'), 2, "ferry"),
    Break("another currency", _all(_farm, " USD", " EUR"), 2, "usd"),
    Break("planting in another season", _all(_farm, "season = 2026", "season = 2019"), 3, "season"),
    Break("image elsewhere", lambda f, _: _all_images(f, _elsewhere), 3, "image"),
    Break("image all cloud", lambda f, _: _all_images(f, _all_cloud), 3, "image"),
    Break("weather gap in the season", _weather_gap, 3, "gap"),
    Break("not TOML", _all(_field, "name = ", "name "), 2, "field.toml"),
    Break("two files at once", _two_faults, 2, "heading_dge"),
)
