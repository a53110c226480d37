"""Bad records of what was sprayed, what came of it and what was learned, and of what a sprayer wrote."""

import sqlite3
from contextlib import closing
from pathlib import Path

import fiona
from corpus_bases import middle
from corpus_case import Case
from corpus_weather import FORMULA, MANY, Harm

LON, LAT = middle()
DONE = "field,pass,end,rate,sprayer,product"
BOOK = "season,field,zone,r3_forecast,r3_seen"
AS_APPLIED = (
    "done",
    "{farm}",
    "--field",
    "q00001",
    "--end",
    "2026-07-07",
    "--product",
    "Invented",
    "--as-applied",
)
ZIPPED = b"PK\x03\x04" + bytes(60)


def beside(name: str, *rows: str) -> Harm:
    """Write a file of the farm."""
    return lambda field: _put(field.parent / name, "\n".join(rows).encode())


def learned(*texts: str) -> Harm:
    """Write what the farm learned."""
    good = ('field = "q00001"', 'pressure = "unknown"', "pairs = 4")
    return beside("learned.toml", "schema_version = 1", "[[trial]]", *good, *texts)


def drawn(name: str, driver: str, shape: dict, **about: object) -> Harm:
    """Write what a sprayer may have written, one shape with its rate."""

    def harm(field: Path) -> None:
        schema = {"geometry": shape["type"], "properties": dict.fromkeys(about, "str")}
        with fiona.open(field / name, "w", driver=driver, schema=schema, crs="EPSG:4326") as file:
            file.write({"geometry": shape, "properties": about})

    return harm


def endless(field: Path) -> None:
    """Write a layer that is no table: it is reckoned row by row, and has no last one."""
    drawn("rig.gpkg", "GPKG", SQUARE, rate="15")(field)
    with closing(sqlite3.connect(field / "rig.gpkg")) as base:
        rows = "with recursive n(x) as (select 1 union all select x + 1 from n)"
        base.execute(f"create view applied as {rows} select x as fid, (select geom from rig) as geom from n")
        told = "'applied', 'features', 'applied', 4326"
        base.execute(f"insert into gpkg_contents (table_name, data_type, identifier, srs_id) values ({told})")
        base.execute("insert into gpkg_geometry_columns values ('applied', 'geom', 'POLYGON', 4326, 0, 0)")
        base.commit()


def applied(name: str, harm: Harm, code: int, file: str, *words: str) -> Case:
    return Case(
        f"applied {name}", "done", harm, code, (file, *words), "plain", (*AS_APPLIED, f"{{field}}/{file}")
    )


def _put(path: Path, content: bytes) -> None:
    path.write_bytes(content)


def case(kind: str, name: str, harm: Harm, code: int, *words: str) -> Case:
    return Case(f"{kind} {name}", kind, harm, code, words, "plain", ("run" if code else "check", "{field}"))


def done(name: str, rows: str, code: int, *words: str, head: str = DONE) -> Case:
    return case("done", name, beside("done.csv", head, rows), code, "done.csv", *words)


def season(name: str, rows: str, code: int, *words: str, head: str = BOOK) -> Case:
    return case("season", name, beside("season.csv", head, rows), code, "season.csv", *words)


SQUARE = {
    "type": "Polygon",
    "coordinates": [[(LON, LAT), (LON + 1e-3, LAT), (LON + 1e-3, LAT + 1e-3), (LON, LAT)]],
}
FAR = {"type": "Polygon", "coordinates": [[(1, 1), (1.001, 1), (1.001, 1.001), (1, 1)]]}

CASES: tuple[Case, ...] = (
    done("of 29 February", "q00001,1,2026-02-29,15 gal/ac,rig,Invented", 3, "done.csv:2", "2026-02-29"),
    done("of the year 1", "q00001,1,0001-01-01,15 gal/ac,rig,Invented", 3, "done.csv:2", "0001-01-01"),
    done(
        "of the end of all time", "q00001,1,9999-12-31,15 gal/ac,rig,Invented", 3, "done.csv:2", "9999-12-31"
    ),
    done("at a rate of nothing", "q00001,1,2026-07-07,inf gal/ac,rig,Invented", 3, "done.csv:2", "inf"),
    done("at a rate that is a formula", f"q00001,1,2026-07-07,{FORMULA},rig,Invented", 3, "done.csv:2"),
    done("with decimal commas", "q00001,1,2026-07-07,15,5 gal/ac,rig,Invented", 3, "done.csv:2", "7 cells"),
    done(
        "with columns twice",
        "q00001,1,2026-07-07,15 gal/ac,rig,Invented,2026-07-01",
        3,
        "twice: end",
        head=DONE + ",end",
    ),
    done("of a million columns", "q00001", 3, "done.csv:1", "columns", head=DONE + ",x" * MANY),
    done("without a field", ",1,2026-07-07,15 gal/ac,rig,Invented", 3, "done.csv:2", "field"),
    case("done", "that is a folder", lambda f: (f.parent / "done.csv").mkdir(), 2, "done.csv", "folder"),
    season("of the year 0", "0,q00001,1,2025-07-01,2025-07-02", 3, "season.csv:2", "season"),
    season("of 29 February", "2025,q00001,1,2025-02-29,2025-07-02", 3, "season.csv:2", "2025-02-29"),
    season("of a zone below none", "2025,q00001,-1,2025-07-01,2025-07-02", 3, "season.csv:2", "-1"),
    season(
        "with columns twice", "2025,q00001,1,2025-07-01,2025-07-02,2", 3, "twice: zone", head=BOOK + ",zone"
    ),
    season("with a cell too many", "2025,q00001,1,2025-07-01,2025-07-02,a,b", 3, "season.csv:2", "7 cells"),
    case(
        "season",
        "that is a zip",
        lambda f: _put(f.parent / "season.csv", ZIPPED),
        3,
        "season.csv",
        "text table",
    ),
    case(
        "learned",
        "of infinite response",
        learned("season = 2025", "mean_bu_ac = inf", "se_bu_ac = 1.0"),
        2,
        "learned.toml",
        "mean_bu_ac",
    ),
    case(
        "learned",
        "of no number",
        learned("season = 2025", "mean_bu_ac = 1.0", "se_bu_ac = nan"),
        2,
        "learned.toml",
        "se_bu_ac",
    ),
    case(
        "learned",
        "of the year 1",
        learned("season = 1", "mean_bu_ac = 1.0", "se_bu_ac = 1.0"),
        2,
        "learned.toml",
        "season",
    ),
    case(
        "learned",
        "with a key of nobody",
        learned("season = 2025", "mean_bu_ac = 1.0", "se_bu_ac = 1.0", 'run = "rm -rf /"'),
        2,
        "learned.toml",
        "run",
    ),
    case("learned", "without a bottom", learned("a = " + "[" * 100_000), 2, "learned.toml", "too deep"),
    case("learned", "that is a zip", lambda f: _put(f.parent / "learned.toml", ZIPPED), 2, "learned.toml:1"),
    applied("that is a zip", lambda f: _put(f / "rig.zip", ZIPPED), 2, "rig.zip", ".shp"),
    applied(
        "that is a text of XML",
        lambda f: _put(f / "rig.gpkg", b"<OGRVRTDataSource/>"),
        2,
        "rig.gpkg",
        "cannot be read as GeoPackage",
    ),
    applied("without a last row", endless, 2, "rig.gpkg", "is a view", "GeoPackage of its own"),
    applied(
        "of another place",
        drawn("rig.geojson", "GeoJSON", FAR, rate="15"),
        2,
        "rig.geojson",
        "inside the field",
    ),
    applied(
        "at rates that are text",
        drawn("rig.geojson", "GeoJSON", SQUARE, rate=FORMULA),
        2,
        "rig.geojson",
        "row 1",
        "no rate",
    ),
    applied(
        "at a rate below none",
        drawn("rig.geojson", "GeoJSON", SQUARE, rate="-15"),
        2,
        "rig.geojson",
        "row 1",
        "-15 is no rate",
    ),
    applied(
        "without parts", lambda f: _put(f / "rig.shp", b"\0\0\x27\x0a" + bytes(96)), 2, "rig.shp", ".shx"
    ),
)
