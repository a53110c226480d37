"""A made planter's records of the field of `made_inputs`, in every format that planters and phones write.

Task data is put together by hand with struct and plain text: nothing here uses the project's reader.
"""

import struct
import zipfile
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

import fiona
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, WEST, Folder
from pyproj import Transformer
from shapely import LineString, Point, box, transform
from shapely.geometry import mapping

TO_LONLAT = Transformer.from_crs(EPSG, 4326, always_xy=True)
FIRST, SECOND = datetime(2026, 5, 6, 8), datetime(2026, 5, 20, 13, 30)
WIDE_M, STEP_M = 12.0, 6.0  # from pass to pass, and along a pass
MIDDLE = (WEST + EAST) / 2
DRIVERS = {".geojson": "GeoJSON", ".gpkg": "GPKG", ".shp": "ESRI Shapefile"}
COUNT_STEP = 1000  # a count per area is logged in thousandths a square metre


@dataclass(frozen=True)
class Record:
    """One record; `seeds_m2` is None where nothing was counted."""

    lon: float
    lat: float
    when: datetime
    variety: str
    seeds_m2: float | None = 34.5
    works: bool = True


def at(east_m: float, north_m: float) -> tuple[float, float]:
    """Give longitude and latitude in whole steps of a time log."""
    lon, lat = TO_LONLAT.transform(east_m, north_m)
    return round(lon, 7), round(lat, 7)


def records(step_m: float = STEP_M) -> list[Record]:
    """Drive the west of the field on one day with P, the east two weeks later with Q."""
    made = []
    now = FIRST
    east = WEST + WIDE_M / 2
    while east < EAST:
        if east > MIDDLE and now < SECOND:
            now = SECOND
        north = SOUTH + step_m / 2
        while north < NORTH:
            made.append(Record(*at(east, north), now, "P" if east < MIDDLE else "Q"))
            now += timedelta(seconds=2)
            north += step_m
        east += WIDE_M
    return made


def field_of(path: Path, more: str = "") -> Folder:
    """Make a farm with the field, which has a boundary and no planting."""
    made = Folder(path)
    made.shapes("boundary.geojson", [FIELD])
    (made.field / "field.toml").write_text(made.toml + more, encoding="utf-8")
    return made


# -- tables and shapes ---------------------------------------------------------------------------------------

HEADER = ("Date", "Time", "Longitude", "Latitude", "Variety", "Population (seeds/m2)")


def cells(one: Record, *, comma: bool = False) -> list[str]:
    """Cells of one record, as a spreadsheet writes them."""
    numbers = [f"{one.lon:.7f}", f"{one.lat:.7f}", "" if one.seeds_m2 is None else f"{one.seeds_m2:.3f}"]
    lon, lat, seeds = (text.replace(".", ",") if comma else text for text in numbers)
    return [f"{one.when:%Y-%m-%d}", f"{one.when:%H:%M:%S}", lon, lat, one.variety, seeds]


def csv(
    path: Path, made: list[Record], separator: str = ",", *, comma: bool = False, first: str = ""
) -> Path:
    """Write a table, with a line before its header if wanted."""
    rows = [HEADER, *(cells(one, comma=comma) for one in made)]
    path.write_text(first + "\n".join(separator.join(row) for row in rows) + "\n", encoding="utf-8")
    return path


def vector(
    path: Path, made: list[Record], names: tuple[str, str, str] = ("date", "variety", "pop_m2")
) -> Path:
    """Write points."""
    rows = [(Point(one.lon, one.lat), (one.when.isoformat(), one.variety, one.seeds_m2)) for one in made]
    return shapes(path, rows, dict(zip(names, ("str:40", "str:40", "float"), strict=True)))


def shapes(path: Path, rows: list[tuple[object, tuple[object, ...]]], columns: dict[str, str]) -> Path:
    """Write shapes in longitude and latitude with their columns."""
    kinds = {shape.geom_type for shape, _ in rows}
    schema = {"geometry": kinds.pop() if len(kinds) == 1 else "Unknown", "properties": columns}
    with fiona.open(path, "w", driver=DRIVERS[path.suffix], crs="EPSG:4326", schema=schema) as file:
        file.writerecords(
            {"geometry": mapping(shape), "properties": dict(zip(columns, row, strict=True))}
            for shape, row in rows
        )
    return path


def lines(path: Path) -> Path:
    """Write a line for each pass, as the records of `records` would be."""
    passes: dict[float, list[Record]] = {}
    for one in records():
        passes.setdefault(round(TO_LONLAT.transform(one.lon, one.lat, direction="INVERSE")[0]), []).append(
            one
        )
    rows = [
        (LineString([(one.lon, one.lat) for one in those]), (those[0].when.isoformat(), those[0].variety))
        for those in passes.values()
    ]
    return shapes(path, rows, {"date": "str:40", "variety": "str:40"})


def halves(path: Path) -> Path:
    """Write the two halves as polygons, drawn a little beyond the field."""
    drawn = [box(WEST - 9, SOUTH - 9, MIDDLE, NORTH + 9), box(MIDDLE, SOUTH - 9, EAST + 9, NORTH + 9)]
    about = [("2026-05-06", "P"), ("2026-05-20", "Q")]
    lonlat = [transform(one, lambda xy: list(zip(*TO_LONLAT.transform(*xy.T), strict=True))) for one in drawn]
    return shapes(path, list(zip(lonlat, about, strict=True)), {"date": "str:40", "variety": "str:40"})


def zipped(path: Path, folder: Path, *names: str) -> Path:
    """Pack files of a folder."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
        for name in names:
            file.write(folder / name, name)
    return path


# -- ISO 11783-10 task data ----------------------------------------------------------------------------------

ROOT = '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="2">'
HEAD = (
    '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="000C" B="" C="DET-1"/><DLV A="008D" B="" C="DET-1"/></TIM>'
)
DAY_ZERO = date(1980, 1, 1)


def binary(made: list[Record], *, sparse: bool = False) -> bytes:
    """Write the records that HEAD describes; sparse: a value only where it changes."""
    parts, last = [], {}
    for one in made:
        ms = (one.when - datetime.combine(one.when.date(), datetime.min.time())) // timedelta(milliseconds=1)
        day = (one.when.date() - DAY_ZERO).days
        north, east = round(one.lat * 1e7), round(one.lon * 1e7)
        values = {0: None if one.seeds_m2 is None else round(one.seeds_m2 * COUNT_STEP), 1: int(one.works)}
        kept = {at: value for at, value in values.items() if value is not None}
        if sparse:
            kept = {at: value for at, value in kept.items() if last.get(at) != value}
        last |= kept
        head = struct.pack("<IHiiBB", ms, day, north, east, 4, len(kept))
        parts.append(head + b"".join(struct.pack("<Bi", at, value) for at, value in kept.items()))
    return b"".join(parts)


@dataclass
class Task:
    """A task before it is written: its name, its field, what it planted, its logs."""

    number: int
    name: str
    logs: tuple[bytes, ...]
    field: str = "PFD1"
    products: str = ""  # PAN elements
    head: str = HEAD


def tasks_of(made: list[Record]) -> list[Task]:
    """Give a task for each variety, as a terminal that plants one at a time."""
    varieties = list(dict.fromkeys(one.variety for one in made))
    return [
        Task(
            number=number,
            name=f"plant {variety}",
            logs=(binary([one for one in made if one.variety == variety]),),
            products=f'<PAN A="PDT{number}" B="000B" D="1"/>',
        )
        for number, variety in enumerate(varieties, 1)
    ]


def task_data(folder: Path, tasks: list[Task], products: dict[str, str], field: str = "Field") -> Path:
    """Write a TASKDATA folder; `products` gives PDT numbers their names."""
    home = folder / "TASKDATA"
    home.mkdir(parents=True)
    text = [ROOT, f'<PFD A="PFD1" C="{field}" D="120000"/>']
    text += [f'<PDT A="{number}" B="{name}"/>' for number, name in products.items()]
    count = 0
    for task in tasks:
        logs = []
        for content in task.logs:
            count += 1
            name = f"TLG{count:05d}"
            (home / f"{name}.XML").write_text(task.head, encoding="utf-8")
            (home / f"{name}.BIN").write_bytes(content)
            logs.append(f'<TLG A="{name}" C="1"/>')
        about = f'A="TSK{task.number}" B="{task.name}" E="{task.field}" G="4"'
        text.append(f"<TSK {about}>{task.products}{''.join(logs)}</TSK>")
    (home / "TASKDATA.XML").write_text("".join([*text, "</ISO11783_TaskData>"]), encoding="utf-8")
    return home


def as_task_data(folder: Path, made: list[Record]) -> Path:
    """Write records as task data, a task for each variety."""
    names = {
        f"PDT{number}": variety
        for number, variety in enumerate(dict.fromkeys(one.variety for one in made), 1)
    }
    return task_data(folder, tasks_of(made), names)


def moved(one: Record, **changes: object) -> Record:
    """Give a record with something changed."""
    return replace(one, **changes)
