"""The same points as CSV, GeoJSON and GPX; what the texts of a waypoint say; files that mean harm."""

import json
import string
from datetime import date
from pathlib import Path

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST
from pyproj import Transformer

from zoning.errors import InputError
from zoning.inputs.given import AtOrPast, PodLength, Seen, StagedNote, Tally
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.scouting import points, rows

EDGE = Boundary(area=FIELD, epsg=EPSG, longitude_deg=-95.4, latitude_deg=44.3, notes=())


def lonlat(east_m: float = (WEST + EAST) / 2, north_m: float = (SOUTH + NORTH) / 2) -> tuple[str, str]:
    lon, lat = Transformer.from_crs(EPSG, 4326, always_xy=True).transform(east_m, north_m)
    return f"{lon:.7f}", f"{lat:.7f}"


def read(path: Path) -> rows.Scouted:
    return rows.read(path, path.name, EDGE, TODAY)


def wpt(*texts: str, time: str = "2026-07-06T17:00:00Z", place: tuple[str, str] | None = None) -> str:
    lon, lat = place or lonlat()
    named = "".join(
        f"<{tag}>{text}</{tag}>" for tag, text in zip(("name", "cmt", "desc"), texts, strict=False)
    )
    return f'<wpt lat="{lat}" lon="{lon}"><ele>331</ele><time>{time}</time>{named}</wpt>'


def gpx(*waypoints: str, before: str = "") -> str:
    body = "\n".join(waypoints)
    space = "http://www.topografix.com/GPX/1/1"
    head = f'<?xml version="1.0" encoding="UTF-8"?>\n{before}'
    return f'{head}<gpx version="1.1" xmlns="{space}">\n{body}\n</gpx>\n'


def feature(properties: object, place: tuple[str, str] | None = None) -> dict[str, object]:
    lon, lat = place or lonlat()
    geometry = {"type": "Point", "coordinates": [float(lon), float(lat), 331.0]}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def geojson(*features: object, **more: object) -> str:
    return json.dumps({"type": "FeatureCollection", "features": list(features), **more})


def test_three_formats_give_the_same_counts(tmp_path: Path) -> None:
    places = [lonlat(WEST + 30 + 40 * number) for number in range(5)]
    cells: list[dict[str, object]] = [
        {"r2": 12, "r3": 8},
        {"stage": "R3", "k": 4, "n": 20},
        {"pod_mm": 6.5},
        {"stage": "R2"},
        {"pressure": "seen", "cause": "frogeye", "observer": "AB", "r1": 20},
    ]
    names = ["r1", "r2", "r3", "stage", "k", "n", "pod_mm", "pressure", "cause", "observer"]
    rows = [
        ",".join(["2026-07-06", lat, lon, *(str(cell.get(name, "")) for name in names)])
        for (lon, lat), cell in zip(places, cells, strict=True)
    ]
    (tmp_path / "s.csv").write_text("\n".join([f"date,lat,lon,{','.join(names)}", *rows]))
    features = [
        feature({"Date": "2026-07-06", **cell}, place) for place, cell in zip(places, cells, strict=True)
    ]
    (tmp_path / "s.geojson").write_text(geojson(*features))
    texts = ["r2=12 r3=8", "R3 4/20", "pod_mm=6.5", "R2", "pressure=seen, cause=frogeye, observer=AB r1=20"]
    waypoints = [wpt("WP", text, place=place) for place, text in zip(places, texts, strict=True)]
    (tmp_path / "s.gpx").write_text(gpx(*waypoints))
    found = [read(tmp_path / name) for name in ("s.csv", "s.geojson", "s.gpx")]
    expected: list[Seen] = [
        Tally((0, 0, 12, 8, 0, 0)),
        AtOrPast("R3", 4, 20),
        PodLength(6.5),
        StagedNote("R2"),
        Tally((0, 20, 0, 0, 0, 0)),
    ]
    for one in found:
        assert one.notes == ()
        assert [count.seen for count in one.counts] == expected
        assert {count.on for count in one.counts} == {date(2026, 7, 6)}
        assert [count.observer for count in one.counts] == ["", "", "", "", "AB"]
        assert [(seen.pressure, seen.cause) for seen in one.sightings] == [("seen", "frogeye")]
        assert [count.east_m for count in one.counts] == pytest.approx(
            [WEST + 30 + 40 * number for number in range(5)], abs=0.05
        )
    assert [one.counts[1].source for one in found] == ["s.csv:3", "s.geojson: point 2", "s.gpx:4"]


@pytest.mark.parametrize(
    ("texts", "cells", "note"),
    [
        (("r2=12 r3=8",), {"r2": "12", "r3": "8"}, ""),
        (("V=3, R1=17; wet",), {"v": "3", "r1": "17"}, "wet"),
        (("R3 4/20",), {"stage": "R3", "k": "4", "n": "20"}, ""),
        (("r3: 4 of 20 by the creek",), {"stage": "r3", "k": "4", "n": "20"}, "by the creek"),
        (("stage=R3 k=4 n=20",), {"stage": "R3", "k": "4", "n": "20"}, ""),
        (("WP7", "R2"), {"stage": "R2"}, "WP7"),
        (("R2", "pod at node 6"), {"stage": "R2"}, "pod at node 6"),
        (("R3 node=6",), {"stage": "R3", "node": "6"}, ""),
        (("R3", "R3"), {"stage": "R3"}, ""),
        (("cause='brown spot' pressure=low",), {"cause": "brown spot", "pressure": "low"}, ""),
        (("date=2020-01-01 lat=3", "hail=1"), {}, "date=2020-01-01 lat=3; hail=1"),
        (("note=x", "WP"), {}, "WP; x"),
    ],
)
def test_words_of_a_waypoint(
    tmp_path: Path, texts: tuple[str, ...], cells: dict[str, str], note: str
) -> None:
    (tmp_path / "s.gpx").write_text(gpx(wpt(*texts)))
    (line,) = points.read(tmp_path / "s.gpx", "s.gpx")
    found = {name: text for name, text in line.cells.items() if name not in ("date", "lat", "lon", "note")}
    assert found == cells
    assert line.text("note") == note


@pytest.mark.parametrize("text", ["not yet R3", "R3 in a week", "R2 or R3"])
def test_a_stage_in_other_words_is_not_guessed(tmp_path: Path, text: str) -> None:
    (tmp_path / "s.gpx").write_text(gpx(wpt("WP1", text), wpt("WP2", "R1 5/20")))
    found = read(tmp_path / "s.gpx")
    assert [one.seen for one in found.counts] == [AtOrPast("R1", 5, 20)]
    assert [note.code for note in found.notes] == ["inputs.count_text"]
    assert found.notes[0].text.startswith(f's.gpx:3: "WP1; {text}" names a stage')


def test_a_waypoint_low_on_the_stem(tmp_path: Path) -> None:
    (tmp_path / "s.gpx").write_text(gpx(wpt("R3", "pod at node 6")))
    found = read(tmp_path / "s.gpx")
    assert [one.seen for one in found.counts] == [StagedNote("R2")]
    assert [note.code for note in found.notes] == ["inputs.count_low_note"]


def test_bad_waypoints_are_named_by_their_line(tmp_path: Path) -> None:
    waypoints = (
        wpt("R2", time=""),
        wpt("R2", place=("x", "44.3")),
        "<wpt><name>R2</name></wpt>",
        wpt("r2=-1"),
    )
    (tmp_path / "s.gpx").write_text(gpx(*waypoints))
    found = read(tmp_path / "s.gpx")
    assert [note.text.split(": ")[0] for note in found.notes] == [f"s.gpx:{n}" for n in (3, 4, 5, 5, 5, 6)]
    assert found.counts == ()


BOMB = '<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>\n'
FETCH = '<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]>\n'


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (gpx(wpt("&b;"), before=BOMB).encode(), r"s\.gpx:2: the file has a document type or entities"),
        (gpx(wpt("&x;"), before=FETCH).encode(), "document type or entities"),
        (gpx(wpt("R2"), before='<!DOCTYPE gpx SYSTEM "gpx.dtd">\n').encode(), "document type or entities"),
        (
            gpx(wpt("R2"), before=BOMB).replace("UTF-8", "UTF-16").encode("utf-16"),
            "document type or entities",
        ),
        (gpx(wpt("&nothing;")).encode(), r"cannot be read as GPX \(line 3\)"),
        (gpx("<wpt>").encode(), "cannot be read as GPX"),
        (b"", "cannot be read as GPX"),
        (b"\x00\x01\x02", "cannot be read as GPX"),
        (gpx().replace("UTF-8", "x-nobody").encode(), "cannot be read as GPX"),
        (b"<kml><wpt lat='1' lon='2'/></kml>", "the file is no GPX"),
        (gpx("<rte><rtept lat='1' lon='2'/></rte>").encode(), "the file holds no points"),
    ],
)
def test_hostile_and_broken_gpx(tmp_path: Path, content: bytes, words: str) -> None:
    (tmp_path / "s.gpx").write_bytes(content)
    with pytest.raises(InputError, match=words) as caught:
        read(tmp_path / "s.gpx")
    assert caught.value.code == 3


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "cannot be read as GeoJSON"),
        ("[" * 100_000, "cannot be read as GeoJSON"),
        ('{"type": "FeatureCollection", "features": [' + "9" * 9999 + "]}", "cannot be read as GeoJSON"),
        ("[1, 2]", "holds no GeoJSON features"),
        ('{"features": 3}', "holds no GeoJSON features"),
        (geojson(), "the file holds no points"),
        (geojson(feature({"r2": 20})), "no point has a property date"),
        (
            geojson(feature({"date": "2026-07-06"}), crs={"properties": {"name": "EPSG:32615"}}),
            '"crs" is not',
        ),
    ],
)
def test_broken_geojson(tmp_path: Path, content: str, words: str) -> None:
    (tmp_path / "s.geojson").write_text(content)
    with pytest.raises(InputError, match=words) as caught:
        read(tmp_path / "s.geojson")
    assert caught.value.code == 3


def test_features_that_are_no_points_are_named_and_the_others_used(tmp_path: Path) -> None:
    line = {"type": "LineString", "coordinates": [[0, 0], [1, 1]]}
    odd: list[object] = [
        {"type": "Feature", "properties": {"date": "2026-07-06"}, "geometry": line},
        {"type": "Feature", "properties": None, "geometry": None},
        "text",
        feature({"date": None, "r2": 20}),
        feature({"date": "2026-07-06", "r2": [1], "lat": 0, "lon": 0}),
        feature({"date": "2026-07-06", "r2": 20.0, "photo": {"a": "\ud800\0"}, "rows": True, "x": 4}),
    ]
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}
    (tmp_path / "s.json").write_text(geojson(*odd, crs=crs))
    found = read(tmp_path / "s.json")
    assert [one.seen for one in found.counts] == [Tally((0, 0, 20, 0, 0, 0))]
    assert found.counts[0].source == "s.json: point 6"
    assert found.notes[0].text.startswith("s.json: point 1: lon (empty) is no place")
    assert {note.text.split(": ")[1] for note in found.notes} == {f"point {n}" for n in (1, 2, 3, 4, 5)}


def test_one_feature_alone(tmp_path: Path) -> None:
    (tmp_path / "s.geojson").write_text(json.dumps(feature({"date": "2026-07-06", "r2": 20})))
    assert len(read(tmp_path / "s.geojson").counts) == 1


# -- whatever stands in a file, it is read or refused ------------------------------------------------------

NAMES = st.sampled_from([name for names in points.ROLES.values() for name in names] + ["lesions", "", "#"])
CELLS = st.one_of(
    st.sampled_from(
        ["", "R3", "r9", "20", "4", "-1", "0", "2026-07-06", "2026-07-09T02:30Z", "44.305", "-95.38"]
    ),
    st.sampled_from(
        ["nan", "inf", "1e999", "seen", "other", "pod at node 6", "9" * 400, "0001-01-01T00:00+14:00"]
    ),
    st.text(string.printable, max_size=8),
    st.text(max_size=8),
)
QUICK = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def reads_or_refuses(path: Path) -> None:
    try:
        found = read(path)
    except InputError:
        return
    for count in found.counts:
        assert FIELD.contains(shapely.Point(count.east_m, count.north_m))
        assert count.on <= TODAY
        if isinstance(count.seen, Tally):
            assert min(count.seen.plants) >= 0 < sum(count.seen.plants)
        if isinstance(count.seen, AtOrPast):
            assert 0 <= count.seen.k <= count.seen.n


@QUICK
@given(header=st.lists(NAMES, min_size=1, max_size=8), rows=st.lists(st.lists(CELLS, max_size=9), max_size=5))
def test_random_tables(tmp_path: Path, header: list[str], rows: list[list[str]]) -> None:
    lon, lat = lonlat()
    lines = [",".join(["2026-07-06", lat, lon, *row]) for row in rows]
    text = "\n".join([",".join(["date", "lat", "lon", *header]), *lines, ",".join(rows[0]) if rows else ""])
    (tmp_path / "s.csv").write_text(text, encoding="utf-8", errors="replace")
    reads_or_refuses(tmp_path / "s.csv")


JSON = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), CELLS),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(CELLS, inner, max_size=3)),
    max_leaves=6,
)


@QUICK
@given(rows=st.lists(st.dictionaries(st.one_of(NAMES, CELLS), JSON, max_size=6), min_size=1, max_size=4))
def test_random_properties(tmp_path: Path, rows: list[dict[str, object]]) -> None:
    features = [feature({"date": "2026-07-06", **row}) for row in rows]
    (tmp_path / "s.geojson").write_text(geojson(*features))
    reads_or_refuses(tmp_path / "s.geojson")


@QUICK
@given(texts=st.lists(st.text(string.ascii_letters + string.digits + " =/,;:\"'.-", max_size=24), max_size=3))
def test_random_texts_of_a_waypoint(tmp_path: Path, texts: list[str]) -> None:
    (tmp_path / "s.gpx").write_text(gpx(wpt(*texts)))
    reads_or_refuses(tmp_path / "s.gpx")
