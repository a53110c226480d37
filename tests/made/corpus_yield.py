"""Bad points of a combine: tables and shapes that are none, and values that cannot be."""

from collections.abc import Callable
from pathlib import Path

import fiona
from corpus_case import Case
from corpus_records import ZIPPED
from corpus_weather import FORMULA, MANY, Harm

YIELD = "harvest/yield.csv"
FEW = 60  # points that are kept, so that a file is read quickly
STRIPS = ("strips", "{field}", "--no-learning", "--quiet")


def points(change: Callable[[list[str]], list[str]], encoding: str = "utf-8") -> Harm:
    """Keep few of the points, and spoil these."""

    def harm(field: Path) -> None:
        path = field / YIELD
        rows = path.read_text(encoding="utf-8").splitlines()[: FEW + 1]
        path.write_bytes("\n".join(change(rows)).encode(encoding))

    return harm


def column(name: str, new: Callable[[str], str]) -> Harm:
    """Change every cell of a column."""

    def change(rows: list[str]) -> list[str]:
        place = rows[0].split(",").index(name)
        parted = [row.split(",") for row in rows]
        for cells in parted[1:]:
            cells[place] = new(cells[place])
        return [",".join(cells) for cells in parted]

    return points(change)


def headed(change: Callable[[str], str]) -> Harm:
    """Change the header."""
    return points(lambda rows: [change(rows[0]), *rows[1:]])


def replaced(content: bytes, name: str = YIELD) -> Harm:
    """Put another file in its place."""

    def harm(field: Path) -> None:
        (field / YIELD).unlink()
        (field / name).write_bytes(content)

    return harm


def case(name: str, harm: Harm, code: int, *words: str) -> Case:
    return Case(f"yield {name}", "yield", harm, code, words, "trial", STRIPS)


def shapes(kind: str, coordinates: object) -> Harm:
    """Put shapes other than points in its place."""

    def harm(field: Path) -> None:
        (field / YIELD).unlink()
        schema = {"geometry": kind, "properties": {"yield_bu_ac": "float"}}
        with fiona.open(
            field / "harvest/yield.geojson", "w", driver="GeoJSON", schema=schema, crs="EPSG:4326"
        ) as file:
            shape = {"type": kind, "coordinates": coordinates}
            file.write({"geometry": shape, "properties": {"yield_bu_ac": 50.0}})

    return harm


CASES: tuple[Case, ...] = (
    case("of a million columns", headed(lambda head: head + ",x" * MANY), 3, "yield.csv:1", "columns"),
    case(
        "with a million cells in a row",
        points(lambda rows: [*rows, rows[-1] + ",1" * MANY]),
        3,
        "yield.csv:62",
        "cells",
    ),
    case(
        "with columns twice",
        headed(lambda head: head.replace("head", "lat")),
        2,
        "yield.csv",
        "several columns may be the north: lat, lat",
    ),
    case("in UTF-16", points(list, "utf-16"), 3, "yield.csv", "UTF-8"),
    case(
        "with decimal commas",
        points(lambda rows: [rows[0], *(row.replace(".", ",") for row in rows[1:])]),
        3,
        "yield.csv:2",
        "semicolons",
    ),
    case("that is only a header", points(lambda rows: rows[:1]), 3, "yield.csv", "no rows"),
    case("with formulas for flow", column("wet_lb_s", lambda _: FORMULA), 3, "yield.csv:2", "is no number"),
    case(
        "of infinite flow",
        column("wet_lb_s", lambda _: "inf"),
        0,
        "60 of 60 points left out",
        "wet_lb_s is below 0, infinite",
    ),
    case("of no flow at all", column("wet_lb_s", lambda _: "nan"), 3, "yield.csv", "--column flow=NAME"),
    case(
        "of flow in another unit",
        column("wet_lb_s", lambda one: str(float(one) * 1e6)),
        0,
        "higher than soybeans yield",
    ),
    case(
        "with latitude and longitude exchanged",
        headed(lambda head: head.replace("lat,lon", "lon,lat")),
        3,
        "yield.csv",
        "in each other's place",
    ),
    case("at no place of the world", column("lat", lambda _: "0"), 3, "yield.csv", "inside the field"),
    case(
        "in degrees that are metres",
        column("lat", lambda one: str(float(one) * 1e5)),
        3,
        "yield.csv",
        "in degrees",
    ),
    case("without a time", headed(lambda head: head.replace("when", "what")), 2, "when"),
    case("of 29 February", column("when", lambda _: "2026-02-29 10:00:00"), 3, "2026-02-29"),
    case(
        "of the year 1", column("when", lambda one: one.replace("2026", "0001")), 3, "yield.csv", "0001-10-08"
    ),
    case(
        "of the year 9999",
        column("when", lambda one: one.replace("2026", "9999")),
        3,
        "yield.csv",
        "after 2026-10-20",
    ),
    case(
        "of wet grain beyond all",
        column("h2o_pct", lambda _: "900"),
        0,
        "h2o_pct is below 0, infinite or impossible",
    ),
    case(
        "as a shapefile without parts",
        replaced(b"\0\0\x27\x0a" + bytes(96), "harvest/yield.shp"),
        3,
        "yield.shp",
        ".shx",
    ),
    case("as a zip", replaced(ZIPPED, "harvest/yield.zip"), 2, "yield"),
    case("as a list of others", replaced(b"<OGRVRTDataSource/>", "harvest/yield.gpkg"), 3, "yield.gpkg"),
    case(
        "of polygons",
        shapes("Polygon", [[(1, 1), (2, 1), (2, 2), (1, 1)]]),
        3,
        "yield.geojson",
        "not a point",
    ),
)
