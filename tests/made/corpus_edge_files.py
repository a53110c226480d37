"""Bad files of a boundary: cut short, of another kind, or leading somewhere else."""

import struct
from pathlib import Path

from corpus_case import Case
from corpus_harms import Harm, again, all_of, called, cases, put, queried, saved

EDGE = "boundary.geojson"
ANSWERED = {"command": ("check", "{field}")}  # a doubt: the answer stands in what is printed


def without(name: str, *ends: str) -> Harm:
    """A shapefile that lost files on the way."""

    def harm(field: Path) -> None:
        for end in ends:
            (field / name).with_suffix(end).unlink()

    return all_of(saved(name), harm)


def cut(name: str, part: float) -> Harm:
    return again(name, lambda raw: raw[: int(len(raw) * part)])


def lying(raw: bytes) -> bytes:
    """A shapefile whose record says that it holds a hundred million corners."""
    return raw[:148] + struct.pack("<i", 10**8) + raw[152:]


HOSTILE = '"; DROP TABLE gpkg_contents; --'
GPKG = saved("b.gpkg", layer="boundary")
VIRTUAL = (
    '<OGRVRTDataSource><OGRVRTLayer name="boundary"><SrcDataSource>/etc/passwd</SrcDataSource>'
    "</OGRVRTLayer></OGRVRTDataSource>"
)
BOMB = (
    '<?xml version="1.0"?><!DOCTYPE k [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY {chr(98 + i)} "{f"&{chr(97 + i)};" * 10}">' for i in range(9))
    + "]><kml><Document><name>&j;</name></Document></kml>"
)
ARCHIVE = b"PK\x03\x04" + b"\0" * 22 + b"../../x"

FILES = {
    "saved as UTF-16": (again(EDGE, lambda raw: raw.decode().encode("utf-16")), 3, (EDGE, "GeoJSON")),
    "byte-order mark": (
        again(EDGE, lambda raw: b"\xef\xbb\xbf" + raw),
        0,
        ("12.0 ac",),
        ANSWERED,
    ),
    "shapefile without its shx": (without("b.shp", ".shx"), 3, ("b.shp", ".shx")),
    "shapefile without its dbf": (without("b.shp", ".dbf"), 0, ("12.0 ac",), ANSWERED),
    "shapefile cut short": (
        all_of(saved("b.shp"), cut("b.shp", 0.6)),
        3,
        ("b.shp", "shape 1 is empty or broken"),
    ),
    "shapefile that lies of its corners": (all_of(saved("b.shp"), again("b.shp", lying)), 3, ("b.shp",)),
    "shapefile of another's bytes": (all_of(saved("b.shp"), put("b.shp", b"\0" * 100)), 3, ("b.shp",)),
    "GeoPackage cut short": (all_of(GPKG, cut("b.gpkg", 0.3)), 3, ("b.gpkg", "GeoPackage")),
    "GeoPackage that is none": (called("b.gpkg"), 3, ("b.gpkg", "GeoPackage")),
    "GeoPackage of nothing but a database": (
        all_of(called("b.gpkg", b""), queried("b.gpkg", "CREATE TABLE boundary (id)")),
        3,
        ("b.gpkg",),
    ),
    "GeoPackage with tables of hostile names": (
        all_of(
            saved("b.gpkg", layer="one"),
            queried("b.gpkg", 'UPDATE gpkg_contents SET identifier = "<script>alert(1)</script>"'),
            queried(
                "b.gpkg",
                'CREATE TABLE """; DROP TABLE one; --" (fid INTEGER PRIMARY KEY, geom POLYGON)',
                "INSERT INTO gpkg_contents (table_name, data_type, srs_id) VALUES "
                "('\"; DROP TABLE one; --', 'features', 4326)",
                "INSERT INTO gpkg_geometry_columns VALUES "
                "('\"; DROP TABLE one; --', 'geom', 'POLYGON', 4326, 0, 0)",
            ),
        ),
        3,
        ("b.gpkg", "holds the layers", "DROP TABLE"),
    ),
    "GeoPackage with a trigger": (
        all_of(
            GPKG,
            queried(
                "b.gpkg",
                "CREATE TRIGGER t AFTER INSERT ON boundary BEGIN DELETE FROM boundary; END",
                "CREATE VIEW peek AS SELECT fid, geom, load_extension('/nowhere/x.so') AS l FROM boundary",
            ),
        ),
        0,
        ("12.0 ac",),
        ANSWERED,
    ),
    "GeoPackage whose layer is a view that loads code": (
        all_of(
            saved("b.gpkg", layer="one"),
            queried(
                "b.gpkg",
                "CREATE VIEW boundary AS SELECT fid, geom, load_extension('/nowhere/x.so') AS l FROM one",
                "INSERT INTO gpkg_contents (table_name, data_type, srs_id) VALUES "
                "('boundary', 'features', 4326)",
                "INSERT INTO gpkg_geometry_columns VALUES ('boundary', 'geom', 'POLYGON', 4326, 0, 0)",
            ),
        ),
        3,
        ("b.gpkg", "GeoPackage"),
    ),
    "GeoPackage that names another file": (called("b.gpkg", VIRTUAL), 3, ("b.gpkg", "GeoPackage")),
    "GeoJSON that names another file": (put(EDGE, VIRTUAL), 3, (EDGE, "GeoJSON")),
    "shapefile that names another file": (called("b.shp", VIRTUAL), 3, ("b.shp", "shapefile")),
    "list of other files": (called("b.vrt", VIRTUAL), 3, ("b.vrt", '".vrt" is not read here', "GeoJSON")),
    "XML that grows": (called("b.kml", BOMB), 3, ("b.kml", '".kml" is not read here', "GeoJSON")),
    "GeoJSON that is XML that grows": (put(EDGE, BOMB), 3, (EDGE, "GeoJSON")),
    "archive with names that climb": (called("b.zip", ARCHIVE), 3, ("b.zip", '".zip" is not read here')),
    "database of another kind": (called("b.sqlite"), 3, ("b.sqlite", "is not read here")),
}

CASES: tuple[Case, ...] = cases("boundary", FILES)
