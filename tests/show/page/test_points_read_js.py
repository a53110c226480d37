"""The page reads a scout's file as the tool does: the same rows, the same words, the same sentences."""

import base64
import json
from datetime import date

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_demo import three_dates
from made_plans import Made, made_plan
from node import evaluate
from pyproj import Transformer

from zoning.errors import InputError
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.scouting import points, rows
from zoning.inputs.scouting.add import add
from zoning.offers.scouted import words_of, words_of_pressure
from zoning.show.page.scouting_data import place_of, scouting_data

TODAY = date(2026, 7, 8)
SCRIPTS = ("points_file", "points_look", "points_read")
PLAN = made_plan(Made(labels=[[1, 2], [3, 3]], cell_m=200.0))
TO_PLANE = Transformer.from_crs(4326, PLAN.epsg, always_xy=True)
TO_LONLAT = Transformer.from_crs(PLAN.epsg, 4326, always_xy=True)
AREA = shapely.transform(PLAN.boundary, lambda xy: np.column_stack(TO_PLANE.transform(*xy.T)))
WEST, SOUTH, EAST, NORTH = AREA.bounds
# a block for each zone of the page's data: they are of one planting day, so the whole field will do
PLANTED = min(one.planted for one in PLAN.zones)
EDGE = Boundary(area=AREA, epsg=PLAN.epsg, longitude_deg=-95.4, latitude_deg=44.3, notes=())


READ = """(() => {
  const ground = {data: given.data, today: given.today, zoneAt: () => 0};
  try {
    return pointsRead.read(new Uint8Array(Buffer.from(given.bytes, "base64")), given.file, ground);
  } catch (fault) {
    return fault.message;
  }
})()"""


class Block:
    planted, outline = PLANTED, AREA


def at(share_x=0.5, share_y=0.5):
    lon, lat = TO_LONLAT.transform(WEST + share_x * (EAST - WEST), SOUTH + share_y * (NORTH - SOUTH))
    return f"{lat:.7f}", f"{lon:.7f}"


def in_page(content, file):
    given = {
        "data": scouting_data(PLAN),
        "bytes": base64.b64encode(content).decode(),
        "file": file,
        "today": TODAY.isoformat(),
    }
    return evaluate(SCRIPTS, READ, given)


def in_python(content, file, tmp_path):
    """What the tool's own reader makes of a file that is handed over with `scout --add`."""
    path = tmp_path / file
    path.write_bytes(content)
    lines = points.read(path, file, joins_lines=True)
    original = points.read
    try:
        points.read = lambda *_args, **_more: lines
        return rows.read(path, file, EDGE, TODAY, "", [Block])
    finally:
        points.read = original


def told(seen):
    found = [("count", one.on, one.source, words_of(one.seen), one.note, one.photo) for one in seen.counts]
    found += [
        ("pressure", one.on, one.source, words_of_pressure(one), one.note, one.photo)
        for one in seen.sightings
    ]
    found += [
        ("note", one.on, one.source, one.note or f"photo {one.photo}", one.note, one.photo)
        for one in seen.remarks
    ]
    return sorted((kind, on.isoformat(), *rest) for kind, on, *rest in found)


def both_agree(content, file, tmp_path):
    page = in_page(content, file)
    try:
        seen = in_python(content, file, tmp_path)
    except InputError:
        seen = None
    assert isinstance(page, str) == (seen is None), page
    if seen is None:
        return page
    assert told(seen) == sorted(
        (one["kind"], one["on"], one["source"], one["text"], one["note"], one["photo"])
        for one in page["points"]
    )
    said = [
        one.text for one in seen.notes if one.code not in ("inputs.scouting_more", "inputs.scouting_earlier")
    ]
    assert page["notes"][: len(said)] == said
    return page


def table(head, *lines, separator=",", end="\n", before=""):
    lat, lon = at()
    body = [separator.join(("date", "lat", "lon", *head))]
    for number, line in enumerate(lines):
        lat, lon = at(0.1 + 0.03 * (number % 25), 0.3)
        if separator == ";":
            lat, lon = lat.replace(".", ","), lon.replace(".", ",")
        body.append(separator.join(("2026-07-06", lat, lon, *line)))
    return (before + end.join(body) + end).encode()


STAGES = ("v", "r1", "r2", "r3", "r4", "r5", "r7", "n", "stage", "k", "pod_mm", "pod_in", "node", "note")


def cells(**given):
    return tuple(str(given.get(name, "")) for name in STAGES)


COUNTS = [
    {"r2": 12, "r3": 8},
    {"r2": "12.0", "r3": "+8"},
    {"n": 20, "r1": 3, "r2": 11, "r3": 2},
    {"n": 5, "r1": 3, "r2": 11},
    {"n": 50, "v": 1, "r1": 3},
    {"n": 4, "v": 1, "r1": 3},
    {"n": 16, "r1": 3, "r2": 13},
    {"r2": "a few"},
    {"r2": -3},
    {"r2": 2.5},
    {"r2": 5000},
    {"r2": 900, "r3": 900},
    {"r2": 0},
    {"r5": 3, "r7": 4, "r4": 1},
    {"r2": 3, "k": 1},
    {"k": 4, "n": 20, "stage": "R3"},
    {"k": 4, "n": 20, "stage": "r 3"},
    {"k": 4, "stage": "R3"},
    {"k": 4, "n": 20},
    {"k": 40, "n": 20, "stage": "R3"},
    {"k": 0, "n": 0, "stage": "R3"},
    {"k": 4, "n": 20, "stage": "V6"},
    {"k": 4, "n": 20, "stage": "R9"},
    {"stage": "R2"},
    {"stage": "R7"},
    {"stage": "Vc"},
    {"stage": "before-r1"},
    {"stage": "ripe"},
    {"pod_mm": 8},
    {"pod_mm": "8.26"},
    {"pod_in": "0.1875"},
    {"pod_in": "2", "pod_mm": "3"},
    {"pod_mm": 800},
    {"pod_mm": "long"},
    {"pod_mm": "nan"},
    {"r3": 8, "r2": 2, "node": 6},
    {"r5": 8, "node": 6},
    {"k": 3, "n": 9, "stage": "R3", "node": 6},
    {"pod_mm": 5, "node": 5},
    {"pod_mm": 5, "node": 5, "stage": "R3"},
    {"stage": "R3", "note": "pod at node 6"},
    {"stage": "R3", "note": "pods on the 5th node"},
    {"stage": "R3", "note": "pods at nodes 3 to 7"},
    {"stage": "R3", "note": "pod at node 7 from the bottom"},
    {"stage": "R6", "node": 9},
    {"stage": "R3", "node": "top"},
    {"stage": "R3", "node": 0},
    {"note": "stones"},
    {},
]


@pytest.mark.parametrize("start", range(0, len(COUNTS), 13))
def test_counts_are_taken_and_refused_alike(start, tmp_path):
    some = COUNTS[start : start + 13]
    page = both_agree(table(STAGES, *(cells(**one) for one in some)), "counts.csv", tmp_path)
    assert page["points"]
    assert page["rows"] == len(some)


SEEN = ("pressure", "cause", "severity_pct", "observer", "photo")
PRESSED = [
    ("low", "", "", "", ""),
    ("SEEN", "Frogeye", "2", "Ana", "a.jpg"),
    ("seen", "", "", "", ""),
    ("high", "other", "3 %", "", ""),
    ("", "", "0", "", ""),
    ("", "rust", "4.5%", "", ""),
    ("", "", "-0", "", ""),
    ("", "", "120", "", ""),
    ("", "", "much", "", ""),
    ("severe", "", "5", "", ""),
    ("unknown", "=1+1", "1e1", "-x", ""),
    ("-", "n/a", "None", "", "b.png"),
]


def test_pressure_is_taken_and_refused_alike(tmp_path):
    page = both_agree(table(SEEN, *PRESSED), "pressure.csv", tmp_path)
    assert {one["kind"] for one in page["points"]} == {"pressure", "note"}
    assert any("120" in one for one in page["notes"])


DAYS = [
    "2026-07-06",
    "2026/07/06",
    "20260706",
    "2026-07-06 14:30",
    "2026-07-06T14:30:05.5",
    "2026-07-06T23:30Z",
    "2026-07-06T02:30Z",
    "2026-07-06T02:30+05:30",
    "06.07.2026",
    "07/06/2026",
    "2026-02-30",
    "2026-13-01",
    "2026-07-06T25:00",
    "July 6",
    "",
    "2026-07-09",
    "2025-07-06",
    "2026-04-30",
]


@pytest.mark.parametrize("severity", ["", "3"])
def test_days_are_read_alike(severity, tmp_path):
    lines = [
        ",".join((day, *at(0.1 + 0.04 * number, 0.6), severity, "R2")) for number, day in enumerate(DAYS)
    ]
    both_agree("\n".join(["time,y,x,severity_pct,stage", *lines]).encode(), "days.csv", tmp_path)


def test_places_are_judged_alike(tmp_path):
    lat, lon = at()
    near, far, further = at(-0.05), at(1.02, 1.1), at(2.7, -2.9)
    places = [
        (lat, lon),
        near,
        far,
        further,
        ("x", lon),
        ("95", lon),
        (lat, "-190"),
        (lat, ""),
        ("44_0.1", lon),
        at(0.002, 0.5),
    ]
    lines = [",".join(("2026-07-06", *place, "low")) for place in places]
    page = both_agree("\n".join(["date,lat,lon,pressure", *lines]).encode(), "places.csv", tmp_path)
    assert len(page["points"]) == 2
    assert sum("outside the boundary" in one for one in page["notes"]) == 3


def test_a_place_on_another_continent_is_told_by_kilometres():
    page = in_page(b"date,lat,lon,pressure\n2026-07-06,-32.1,-61.4,low\n", "far.csv")
    assert page["points"] == []
    # the great circle from 44.3 N, 95.4 W, on a sphere of 6371 km
    assert "about 9," in page["notes"][0]
    assert "km outside the boundary" in page["notes"][0]


LINE = ("R3", "4", "20", "wet, low")
ODD = {
    "semicolons": table(("stage", "k", "n"), LINE[:3], separator=";"),
    "decimal comma": table(("pod_mm", "severity_pct"), ("6,5", "2,5"), separator=";"),
    "tabs": table(("stage", "k", "n"), LINE[:3], separator="\t"),
    "byte order mark": table(("stage", "k", "n"), LINE[:3], before="\ufeff"),
    "line ends": table(("stage", "k", "n"), LINE[:3], end="\r\n"),
    "old line ends": table(("stage", "k", "n"), LINE[:3], end="\r"),
    "quotes": table(("stage", "k", "n", "note"), ("R3", "4", "20", '"wet, ""low"""')),
    "quotes over lines": table(
        ("stage", "note"), ("R3", '"wet\nlow, # not a comment\n\nend"'), ("R2", "dry")
    ),
    "a quote inside": table(("note", "stage"), ('3/16" pod', "R3"), ('5" of rain', "R2")),
    "comments": table(("stage",), ("R3",), before="# made by hand\n\n;;\n"),
    "short rows": table(("stage", "k", "n", "note"), ("R2",), ("R1", "", "")),
    "long rows": table(("stage",), ("R2", "beyond", "the header")),
    "rows that end in separators": table(("stage",), ("R2", "", " ", "")),
    "capitals": table(("STAGE", "Other Thing", "Notes"), ("R2", "7", "hail")),
    "two names": table(("note", "comment", "notes"), ("a", "b", "c")),
    "latin letters": table(("note",), ("gr\u00fcn",)).decode().encode("cp1252"),
    "twice": table(("stage",), ("R2",)) + table(("stage",), ("R2",)).split(b"\n")[1] + b"\n",
    "header alone": table(("stage",)),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_tables_are_read_alike(name, tmp_path):
    page = both_agree(ODD[name], "odd.csv", tmp_path)
    assert not isinstance(page, str)
    assert bool(page["points"]) == (name not in ("header alone", "long rows"))


FAULTY = {
    "nothing": b"",
    "blank": b"\n \n",
    "no places": b"date,stage\n2026-07-06,R3\n",
    "a picture": bytes.fromhex("89504e470d0a1a0a0000000d49484452"),
    "a quote not closed": b'date,lat,lon,note\n2026-07-06,44.3,-95.4,"wet\n',
    "a quote over a hundred lines": b'date,lat,lon,note\n2026-07-06,44.3,-95.4,"wet' + b"\n" * 150 + b'x"\n',
    "a column twice": table(("k", "stage", "k"), ("3", "R3", "4")),
    "two thousand columns": b"date,lat,lon" + b",x" * 2000 + b"\n2026-07-06,44.3,-95.4\n",
}


@pytest.mark.parametrize("name", FAULTY)
def test_files_that_are_none_are_refused_in_one_sentence(name, tmp_path):
    page = both_agree(FAULTY[name], "odd.csv", tmp_path)
    assert isinstance(page, str)
    assert page.endswith(".")
    assert len(page) < 200


def geojson(*features, **more):
    return json.dumps({"type": "FeatureCollection", "features": list(features), **more}).encode()


def feature(properties, share=0.5, kind="Point"):
    lat, lon = at(share)
    place = {"type": kind, "coordinates": [float(lon), float(lat), 331.0]}
    return {"type": "Feature", "properties": properties, "geometry": place}


GOOD = {"Date": "2026-07-06", "stage": "R3", "k": 4, "n": 20.0, "lat": 3, "photo": "a.jpg", "wet": True}


@pytest.mark.parametrize(
    "content",
    [
        geojson(feature(GOOD)),
        json.dumps(feature(GOOD)).encode(),
        b"\xef\xbb\xbf" + geojson(feature(GOOD)),
        geojson(feature(GOOD), feature({"date": "2026-07-06", "note": "two\nlines"}, 0.6)),
        geojson(feature(GOOD), {"type": "Feature", "properties": None, "geometry": None}, 3, None),
        geojson(feature(GOOD), feature(GOOD, 0.7, kind="LineString")),
        geojson(feature({**GOOD, "severity_pct": 2.5, "cause": "rust"})),
        geojson(feature({**GOOD, "date": 20260705})),
        geojson(feature(GOOD), crs={"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}),
    ],
)
def test_geojson_is_read_alike(content, tmp_path):
    page = both_agree(content, "points.geojson", tmp_path)
    assert page["points"]


@pytest.mark.parametrize(
    "content",
    [
        b"{",
        b"[1, 2]",
        b'{"type": "FeatureCollection"}',
        geojson(),
        geojson(feature({"note": "no day"})),
        geojson(feature(GOOD), crs={"type": "name", "properties": {"name": "EPSG:32615"}}),
        bytes.fromhex("89504e470d0a1a0a0000000d49484452"),
    ],
)
def test_geojson_that_is_none_is_refused_alike(content, tmp_path):
    assert isinstance(both_agree(content, "points.json", tmp_path), str)


def test_of_two_counts_on_one_plot_the_larger_stays(tmp_path):
    (lat, lon), (_, beside) = at(), at(0.5 + 6 / (EAST - WEST))
    rows_of = [("R3", 4, 20, lon), ("R3", 9, 40, beside), ("R2", "", "", lon)]
    lines = [f"2026-07-06,{lat},{x},{stage},{k},{n}" for stage, k, n, x in rows_of]
    page = both_agree("\n".join(["date,lat,lon,stage,k,n", *lines]).encode(), "plot.csv", tmp_path)
    assert [one["text"] for one in page["points"]] == ["9 of 40 at or past R3"]
    assert sum("within 10 m" in one for one in page["notes"]) == 2


WORDS = st.text(alphabet=' ,;"#\tr3R/12.-n', max_size=8)


@settings(max_examples=25, deadline=None)
@given(lines=st.lists(st.lists(WORDS, min_size=1, max_size=4), min_size=1, max_size=4))
def test_any_cells_are_read_alike(lines, tmp_path_factory):
    lat, lon = at()
    body = "\n".join(f"2026-07-06,{lat},{lon},{','.join(line)}" for line in lines)
    both_agree(f"date,lat,lon,stage,n,note,k\n{body}\n".encode(), "any.csv", tmp_path_factory.mktemp("any"))


def test_a_large_file_and_gpx_are_refused():
    assert "too large" in in_page(b"x" * 5_000_001, "large.csv")
    assert "sprayworth scout FIELD --add FILE" in in_page(b"<gpx/>", "walk.GPX")


@pytest.mark.parametrize("cell_m", [20.0, 200.0, 1500.0])
def test_places_stray_by_less_than_half_a_metre(cell_m):
    plan = made_plan(Made(labels=[[1, 2], [3, 3]], cell_m=cell_m))
    place = place_of(plan)
    assert place["error_m"] < 0.5
    west, south, east, north = plan.boundary.bounds
    lon, lat = (
        one.ravel() for one in np.meshgrid(np.linspace(west, east, 17), np.linspace(south, north, 17))
    )
    found = evaluate(
        SCRIPTS,
        "given.lon.map((lon, at) => pointsRead.placed({lon, lat: given.lat[at]}, given.place))",
        {"lon": lon.tolist(), "lat": lat.tolist(), "place": place},
    )
    to_plane = Transformer.from_crs(4326, plan.epsg, always_xy=True)
    edge = np.array([to_plane.transform(*one) for one in shapely.get_coordinates(plan.boundary)])
    true = np.column_stack(to_plane.transform(lon, lat))
    x, y = true[:, 0] - edge[:, 0].min(), edge[:, 1].max() - true[:, 1]
    stray = np.hypot([one["x"] for one in found] - x, [one["y"] for one in found] - y)
    # the outline's own corners are known to 7 decimals of a degree, some 0.01 m
    assert stray.max() < min(0.5, place["error_m"] + 0.02)
    assert all(one["near"] for one in found)


def test_a_quoted_cell_over_lines_can_be_added(tmp_path):
    # the page says "add them with sprayworth scout FIELD --add FILE", so that must read what the page reads
    field = three_dates(tmp_path)
    file = tmp_path / "walk.csv"
    file.write_text(
        'date,lat,lon,note\n2026-07-08,44.30797,-95.40850,"one\ntwo"\n2026-07-08,44.30770,-95.40135,plain\n',
        encoding="utf-8",
    )
    added = add(file, [field], TODAY)
    assert sum(added.rows_added.values()) == 2
    assert "one two" in (field / "scouting.csv").read_text(encoding="utf-8")
