"""Bad maps of what stands in a field: plantings, zones that somebody drew, ground that is never sprayed."""

import json
from pathlib import Path
from typing import Any

from corpus_case import Case
from corpus_harms import (
    Harm,
    added,
    again,
    all_of,
    cases,
    geojson,
    outline,
    put,
)
from shapely import LineString, affinity, box
from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry

PLANTED, ZONES, BACK = "planting.geojson", "zones.geojson", "setbacks.geojson"
ANSWERED = {"command": ("check", "{field}")}  # a doubt: the answer stands in what is printed
SCRIPT = "<script>alert(1)</script>"
TURNED = "\u202egnp.tset"


def said(column: str, *values: object) -> Harm:
    """Write the cells of a column of the planting file; the last value for all rows that are left."""

    def of(whole: Any) -> None:
        for at, row in enumerate(whole["features"]):
            row["properties"][column] = values[min(at, len(values) - 1)]

    return geojson(PLANTED, of)


def rows(*told: tuple[BaseGeometry | None, dict[str, object]]) -> str:
    features = [
        {"type": "Feature", "properties": cells, "geometry": None if one is None else mapping(one)}
        for one, cells in told
    ]
    return json.dumps({"type": "FeatureCollection", "features": features})


def halves(field: Path) -> tuple[BaseGeometry, BaseGeometry]:
    """Give the west and the east of the field."""
    west, south, east, north = outline(field).bounds
    middle = (west + east) / 2
    return box(west, south, middle, north), box(middle, south, east, north)


def drawn(*names: object, column: str = "zone") -> Harm:
    """Draw two zones of the field, and name the file."""

    def harm(field: Path) -> None:
        told = zip(halves(field), names, strict=True)
        put(ZONES, rows(*((one, {column: name}) for one, name in told)))(field)

    return all_of(harm, added(f'[zones]\nfile = "{ZONES}"'))


def as_zones(content: str | bytes, name: str = ZONES) -> Harm:
    return all_of(put(name, content), added(f'[zones]\nfile = "{name}"'))


def strips_of_zones(count: int) -> Harm:
    """Draw so many narrow zones."""

    def harm(field: Path) -> None:
        west, south, east, north = outline(field).bounds
        step = (east - west) / count
        told = (
            (box(west + at * step, south, west + (at + 1) * step, north), {"zone": at}) for at in range(count)
        )
        put(ZONES, rows(*told))(field)

    return all_of(harm, added(f'[zones]\nfile = "{ZONES}"'))


def setback(make: Any, width: str = '\nwidth = "10 m"') -> Harm:
    """Draw something that keeps its distance, made of the field's ground."""
    named = added(f'[[setback]]\nfile = "{BACK}"{width}')
    return all_of(lambda field: put(BACK, rows((make(outline(field)), {})))(field), named)


def of_nothing(content: str | bytes) -> Harm:
    return all_of(put(BACK, content), added(f'[[setback]]\nfile = "{BACK}"'))


def mixed(whole: Any) -> None:
    whole["features"].append(
        {
            "type": "Feature",
            "properties": {"planted": "2026-05-01"},
            "geometry": {"type": "Point", "coordinates": [-95.484, 43.777]},
        }
    )


PLANTING = {
    "day of 29 February": (
        said("planted", "2026-02-29"),
        3,
        (f"{PLANTED}: row 1", "date that no calendar has"),
    ),
    "day of the year 1": (said("planted", "0001-01-01"), 3, (f"{PLANTED}: row 1", "another season")),
    "day of two meanings": (
        said("planted", "2026-05-06", "05/06/2026"),
        3,
        (f"{PLANTED}: row 2", "05/06/2026"),
    ),
    "day that is a number": (said("planted", 46143.0), 3, (f"{PLANTED}: row 1", "46143")),
    "day beyond all calendars": (said("planted", "99999-01-01"), 3, (f"{PLANTED}: row 1",)),
    "day with letters that do not show": (said("planted", "\u001b[2J2026-05-01"), 3, (f"{PLANTED}: row 1",)),
    "emerged before it was planted": (said("emerged", "2026-04-01"), 3, (f"{PLANTED}: row 1", "emerged")),
    "group of words": (said("maturity_group", "early"), 3, (f"{PLANTED}: row 1", "maturity group")),
    "group that is no number": (said("maturity_group", "nan"), 3, (f"{PLANTED}: row 1", "maturity group")),
    "group without bound": (said("maturity_group", 1e999), 3, (PLANTED, "maturity group")),
    "yield without a unit": (said("expected_yield", "58"), 3, (f"{PLANTED}: row 1", "expected yield")),
    "yield with a decimal comma": (said("expected_yield", "58,5 bu/ac"), 3, (f"{PLANTED}: row 1", "comma")),
    "variety of a list": (said("variety", ["a", "b"]), 0, ("12.0 ac",), ANSWERED),
    "column of text and numbers": (said("maturity_group", "early", 1.5), 3, (PLANTED,)),
    "ground and points": (geojson(PLANTED, mixed), 3, (PLANTED, "mixes Point and Polygon")),
    "columns of nothing": (
        geojson(PLANTED, lambda whole: [one.update(properties=None) for one in whole["features"]] and None),
        3,
        (PLANTED, 'no column "planted"'),
    ),
    "letters of another age": (
        again(PLANTED, lambda raw: raw.replace(b"Made 21", b"S\xfcdland")),
        0,
        ("12.0 ac",),
        ANSWERED,
    ),
}

DRAWN = {
    "zones in another field": (
        all_of(
            lambda field: put(ZONES, rows((affinity.translate(halves(field)[0], 1, 0), {"zone": 1})))(field),
            added(f'[zones]\nfile = "{ZONES}"'),
        ),
        3,
        (ZONES, "nothing in the file lies inside the boundary"),
    ),
    "a thousand zones": (strips_of_zones(1000), 3, (ZONES, "1,000 zones", "zone_column")),
    "zone of many letters": (drawn("a" * 5000, "b"), 3, (f"{ZONES}: row 1", "5,000 letters")),
    "zones without a name in the column": (
        all_of(drawn(None, None), added('zone_column = "zone"')),
        3,
        (ZONES, '"zone" has no values'),
    ),
    "column that is not there": (
        all_of(drawn(1, 2), added('zone_column = "management"')),
        3,
        (ZONES, "management"),
    ),
    "zones of lines": (
        all_of(
            lambda field: put(ZONES, rows((LineString(outline(field).exterior), {"zone": 1})))(field),
            added(f'[zones]\nfile = "{ZONES}"'),
        ),
        3,
        (ZONES, "shape 1 is a LineString"),
    ),
    "zones that are none": (as_zones(b"\0\1\2"), 3, (ZONES, "GeoJSON")),
    "zones of nothing": (as_zones(rows()), 3, (ZONES, "no shapes")),
    "zones in a database that is none": (as_zones("zones", "zones.gpkg"), 3, ("zones.gpkg", "GeoPackage")),
    "zones not there": (
        added('[zones]\nfile = "../../nowhere/zones.gpkg"'),
        2,
        ("field.toml:19", "there is no file"),
    ),
}

NEVER = {
    "setback of a point without a width": (
        setback(lambda ground: ground.centroid, ""),
        3,
        (BACK, "shape 1 is a Point", "width"),
    ),
    "setback over the whole field": (setback(lambda ground: ground), 3, ("nothing",)),
    "setback in another country": (
        setback(lambda ground: affinity.translate(ground, 20, 0)),
        0,
        (BACK,),
        ANSWERED,
    ),
    "setback of nothing": (of_nothing(rows()), 3, (BACK, "no shapes")),
    "setback without a shape": (of_nothing(rows((None, {}))), 3, (BACK, "shape 1 is empty")),
    "setback of a width without end": (
        setback(lambda ground: ground.centroid, '\nwidth = "1e300 m"'),
        2,
        ("field.toml:20", "width", "out of range"),
    ),
    "setback below nothing": (
        setback(lambda ground: ground.centroid, '\nwidth = "-10 m"'),
        2,
        ("field.toml:20", "width"),
    ),
    "setback of a collection": (
        setback(lambda ground: ground.centroid.union(ground.exterior)),
        3,
        (BACK, "GeometryCollection"),
    ),
    "setback that is a line for ever": (
        of_nothing('{"type": "LineString", "coordinates": [[0, 0]'),
        3,
        (BACK,),
    ),
}

CASES: tuple[Case, ...] = (
    *cases("planting", PLANTING),
    *cases("zones", DRAWN),
    *cases("setbacks", NEVER),
)
