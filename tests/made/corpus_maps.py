"""Bad boundaries: places that cannot be, and shapes that are none."""

import json
import math
import re
from typing import Any

import numpy as np
import shapely
from corpus_case import Case
from corpus_harms import (
    Harm,
    Ring,
    again,
    all_of,
    cases,
    geojson,
    geometry,
    moved,
    polygon,
    put,
    saved,
)
from shapely import Polygon

EDGE = "boundary.geojson"
PLANTED = "planting.geojson"
ANSWERED = {"command": ("check", "{field}")}  # a doubt: the answer stands in what is printed
M_PER_DEG = 111_000.0
MANY = 1_000_000
DEEP = 100_000


def with_crs(crs: object) -> Harm:
    return geojson(EDGE, lambda whole: whole | {"crs": crs})


def named(name: str) -> object:
    return {"type": "name", "properties": {"name": name}}


def round_with_many(raw: bytes) -> bytes:
    """A circle in the middle of the field, of a million corners."""
    turn = np.linspace(0, 2 * np.pi, MANY)
    corners = np.column_stack([-95.4839 + 0.001 * np.cos(turn), 43.777 + 0.0007 * np.sin(turn)])
    begin, _, end = re.split(rb'(\{"type": "Polygon".*?\]\]\]\})', raw, maxsplit=1)
    return begin + shapely.to_geojson(Polygon(corners)).encode() + end


def shifted(ring: Ring, east: float) -> Ring:
    return [[x + east, y] for x, y in ring]


def small(ring: Ring) -> Ring:
    """The same around the middle of a ring, a tenth as large."""
    x, y = (sum(part) / len(ring) for part in zip(*ring, strict=True))
    return [[x + (one[0] - x) / 10, y + (one[1] - y) / 10] for one in ring]


def bow_tie(ring: Ring) -> object:
    a, b, c, d, _ = ring
    return polygon([a, b, d, c, a])


def touching(ring: Ring) -> object:
    """A hole that leaves one corner of the field hanging on a point."""
    a, b, c, d, _ = ring
    middle = [(a[0] + c[0]) / 2, (a[1] + c[1]) / 2]
    return polygon([a, b, middle, c, d, middle, a])


def in_each_other(raw: bytes) -> bytes:
    """Collections in collections, a hundred thousand deep."""
    begin, ground, end = re.split(rb'("type": "Polygon".*?\]\]\]\})', raw, maxsplit=1)
    around = b'{"type": "GeometryCollection", "geometries": ['
    return begin[:-1] + around * DEEP + b"{" + ground + b"]}" * DEEP + end


def lines_and_ground(whole: Any) -> None:
    ring = whole["features"][0]["geometry"]["coordinates"][0]
    line = {"type": "Feature", "properties": {}, "geometry": {"type": "LineString", "coordinates": ring}}
    whole["features"].append(line)


def in_text(raw: bytes) -> bytes:
    """Corners as texts, as a spreadsheet saves them."""
    whole = json.loads(raw)
    ring = whole["features"][0]["geometry"]["coordinates"][0]
    whole["features"][0]["geometry"]["coordinates"] = [[[str(x), str(y)] for x, y in ring]]
    return json.dumps(whole).encode()


PLACE = {
    "metres for degrees": (
        moved(lambda x, y: (x * M_PER_DEG, y * M_PER_DEG)),
        3,
        (EDGE, "no place on a farm", "Save it again with the CRS"),
    ),
    "degrees for metres": (with_crs(named("EPSG:32615")), 3, (EDGE, "which is no field", "CRS")),
    "latitude first": (moved(lambda x, y: (y, x)), 3, (EDGE, "longitude first")),
    "on both sides of longitude 180": (moved(lambda x, y: (x + 275.484, y)), 3, (EDGE, "longitude 180")),
    "at the pole": (moved(lambda x, y: (x, y + 46.2)), 3, (EDGE, "no place on a farm")),
    "at the null of both": (moved(lambda x, y: (x + 95.4839, y - 43.777)), 3, (PLANTED, "boundary")),
    "in another field": (moved(lambda x, y: (x + 0.5, y)), 3, (PLANTED, "inside the boundary")),
    "turned around the earth": (moved(lambda x, y: (x + 360, y)), 3, (EDGE, "no place on a farm")),
    "CRS of nobody": (with_crs(named("EPSG:999999")), 3, (EDGE, "EPSG:999999 is not known")),
    "CRS at an address": (
        with_crs({"type": "link", "properties": {"href": "http://127.0.0.1:9/crs", "type": "proj4"}}),
        3,
        (EDGE, "address of another file"),
    ),
    "CRS of a shape at an address": (
        geometry(
            lambda ring: polygon(ring) | {"CRS": {"TYPE": "URL", "properties": {"url": "http://[::1]:9"}}}
        ),
        3,
        (EDGE, "address of another file"),
    ),
    "CRS in another file": (with_crs(named("+init=/etc/passwd:root")), 3, (EDGE, "is not known")),
    "CRS with tags of a script": (with_crs(named("<script>alert(1)</script>")), 3, (EDGE, "is not known")),
    "CRS of many letters": (with_crs(named("EPSG:" + "9" * 10**5)), 3, (EDGE, "is not known")),
    "CRS of nothing": (with_crs(None), 3, (EDGE, "has no CRS")),
    "shapefile in a local plane": (
        all_of(saved("b.shp"), put("b.prj", 'LOCAL_CS["site",UNIT["metre",1]]')),
        3,
        ("b.shp", "CRS"),
    ),
    "shapefile with a broken prj": (all_of(saved("b.shp"), put("b.prj", "\0\xff[[[[")), 3, ("b.shp", "CRS")),
}

SHAPE = {
    "no geometry": (geometry(lambda ring: None), 3, (EDGE, "shape 1 is empty")),
    "empty geometry": (geometry(lambda ring: polygon()), 3, (EDGE, "shape 1 is empty")),
    "empty ring": (geometry(lambda ring: polygon([])), 3, (EDGE, "shape 1 is empty")),
    "a point": (
        geometry(lambda ring: {"type": "Point", "coordinates": ring[0]}),
        3,
        (EDGE, "shape 1 is a Point, not a polygon"),
    ),
    "ground and a line": (geojson(EDGE, lines_and_ground), 3, (EDGE, "shape 2 is a LineString")),
    "collection": (
        geometry(lambda ring: {"type": "GeometryCollection", "geometries": [polygon(ring)]}),
        3,
        (EDGE, "shape 1 is a GeometryCollection"),
    ),
    "collections in each other": (again(EDGE, in_each_other), 3, (EDGE,)),
    "type of nobody": (
        geometry(lambda ring: {"type": "Hexagon", "coordinates": [ring]}),
        3,
        (EDGE, "shape 1"),
    ),
    "no area": (
        geometry(lambda ring: polygon([ring[0], ring[1], ring[0], ring[0]])),
        3,
        (EDGE, "shape 1 has no area"),
    ),
    "hair's breadth": (
        geometry(lambda ring: polygon([ring[0], ring[1], [ring[1][0] + 1e-7, ring[1][1]], ring[0]])),
        3,
        (EDGE,),
    ),
    "bow-tie": (
        geometry(bow_tie),
        0,
        ("doubt: boundary.geojson", "self-intersection near", "5.98 ac now"),
        ANSWERED,
    ),
    "ring that touches itself": (
        geometry(touching),
        0,
        ("doubt: boundary.geojson", "ring self-intersection"),
        ANSWERED,
    ),
    "hole outside": (
        geometry(lambda ring: polygon(ring, shifted(ring, 0.01))),
        3,
        (EDGE, "shape 1 has a hole outside of its outline"),
    ),
    "hole as large as the field": (
        geometry(lambda ring: polygon(ring, ring)),
        0,
        ("doubt: boundary.geojson is no clean outline", "11.96 ac now"),
        ANSWERED,
    ),
    "heights that are no numbers": (
        moved(lambda x, y: (x, y, math.nan)),
        0,
        ("12.0 ac",),
        ANSWERED,
    ),
    "corner at infinity": (
        again(EDGE, lambda raw: raw.replace(b"43.7760956", b"1e999", 1)),
        3,
        (EDGE,),
    ),
    "corner of one number": (geometry(lambda ring: polygon([[ring[0][0]], *ring[1:]])), 3, (EDGE, "shape 1")),
    "corners in quotes": (again(EDGE, in_text), 3, (EDGE, "shape 1")),
    "a million corners": (again(EDGE, round_with_many), 0, ("4.9 ac",), ANSWERED),
    "a thousand fields in one place": (
        geojson(EDGE, lambda whole: whole | {"features": whole["features"] * 1000}),
        0,
        ("12.0 ac",),
        ANSWERED,
    ),
    "lists in lists": (put(EDGE, "[" * 10**6), 3, (EDGE, "GeoJSON")),
    "coordinates in each other": (
        again(EDGE, lambda raw: raw.replace(b"[[[", b"[" * 50_000, 1).replace(b"]]]", b"]" * 50_000, 1)),
        3,
        (EDGE,),
    ),
    "number of a million digits": (
        again(EDGE, lambda raw: raw.replace(b"43.7760956", b"43." + b"7" * 10**6, 1)),
        3,
        (EDGE, "GeoJSON"),
    ),
    "smaller than a sprayer": (geometry(lambda ring: polygon(small(small(ring)))), 3, (EDGE,)),
}

CASES: tuple[Case, ...] = cases("boundary", PLACE | SHAPE)
