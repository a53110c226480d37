"""The severity that a scout wrote down: in three formats, with and without a pressure, and what cannot be."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from pyproj import Transformer

from zoning.inputs import read as read_field
from zoning.inputs.given import Sighting
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.scouting import rows
from zoning.inputs.scouting.add import add
from zoning.settings.read import load

EDGE = Boundary(area=FIELD, epsg=EPSG, longitude_deg=-95.4, latitude_deg=44.3, notes=())
LON, LAT = (
    f"{value:.7f}"
    for value in Transformer.from_crs(EPSG, 4326, always_xy=True).transform(
        (WEST + EAST) / 2, (SOUTH + NORTH) / 2
    )
)


def read(path: Path, text: str) -> rows.Scouted:
    path.write_text(text, encoding="utf-8")
    return rows.read(path, path.name, EDGE, TODAY)


def one_row(folder: Path, **cells: str) -> rows.Scouted:
    """Read one row; only the named columns are there."""
    cells = {"date": "2026-07-06", "lat": LAT, "lon": LON} | cells
    return read(folder / "s.csv", f"{','.join(cells)}\n{','.join(cells.values())}\n")


def texts(found: rows.Scouted) -> list[str]:
    return [note.text for note in found.notes]


def test_three_formats_give_the_same(tmp_path: Path) -> None:
    sheet = f"date,lat,lon,Severity pct,cause\n2026-07-06,{LAT},{LON},2.5,Frogeye\n"
    properties = {"date": "2026-07-06", "severity_pct": 2.5, "cause": "Frogeye"}
    geometry = {"type": "Point", "coordinates": [float(LON), float(LAT)]}
    feature = {"type": "Feature", "properties": properties, "geometry": geometry}
    points = json.dumps({"type": "FeatureCollection", "features": [feature]})
    waypoint = (
        f'<gpx version="1.1"><wpt lat="{LAT}" lon="{LON}"><time>2026-07-06T17:00:00Z</time>'
        "<name>severity_pct=2.5% cause=Frogeye</name></wpt></gpx>"
    )
    found = [
        read(tmp_path / name, text)
        for name, text in (("s.csv", sheet), ("s.geojson", points), ("s.gpx", waypoint))
    ]
    assert [texts(one) for one in found] == [[], [], []]
    assert found[0].sightings == found[1].sightings == found[2].sightings
    (seen,) = found[0].sightings
    assert (seen.severity_pct, seen.pressure, seen.cause, seen.disease) == (2.5, "seen", "frogeye", "frogeye")


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ({"severity_pct": "0"}, ("low", 0.0)),
        ({"severity_pct": "0.1"}, ("seen", 0.1)),
        ({"severity_pct": "100 %"}, ("seen", 100.0)),
        ({"severity_pct": "3", "pressure": "medium"}, ("medium", 3.0)),  # what the scout wrote stays
        ({"severity_pct": "0", "pressure": "high"}, ("high", 0.0)),
        ({"severity_pct": "3", "cause": "other"}, ("low", 3.0)),  # a fungicide does not reach it
        ({"severity_pct": "-", "pressure": "seen"}, ("seen", None)),
        ({"pressure": "seen"}, ("seen", None)),
    ],
)
def test_a_severity_stands_beside_the_pressure_or_for_it(tmp_path: Path, cells, expected) -> None:  # type: ignore[no-untyped-def]
    found = one_row(tmp_path, **cells)
    assert texts(found) == []
    assert [(one.pressure, one.severity_pct) for one in found.sightings] == [expected]


def test_a_row_without_either_says_nothing_of_disease(tmp_path: Path) -> None:
    assert one_row(tmp_path, severity_pct="", n="20", r3="8").sightings == ()


@pytest.mark.parametrize("text", ["-1", "101", "much", "5 of 20", "nan", "inf", "1e3"])
def test_a_severity_that_cannot_be_has_one_line(tmp_path: Path, text: str) -> None:
    line = f's.csv:2: severity_pct "{text}" is no share of the leaf area; write percent, 0 to 100'
    found = one_row(tmp_path, severity_pct=text)
    assert (texts(found), found.sightings) == ([line], ())
    found = one_row(tmp_path, severity_pct=text, pressure="seen")  # the rest of the row is used
    assert texts(found) == [line]
    assert [(one.pressure, one.severity_pct) for one in found.sightings] == [("seen", None)]


def test_decimal_commas(tmp_path: Path) -> None:
    lat, lon = LAT.replace(".", ","), LON.replace(".", ",")
    found = read(tmp_path / "s.csv", f"date;lat;lon;severity_pct\n2026-07-06;{lat};{lon};2,5\n")
    assert [one.severity_pct for one in found.sightings] == [2.5]


def test_two_severities_at_one_place_are_two_but_one_said_twice_is_one(tmp_path: Path) -> None:
    row = f"2026-07-06,{LAT},{LON}"
    found = read(tmp_path / "s.csv", f"date,lat,lon,severity_pct\n{row},2\n{row},3\n{row},2.0\n")
    assert [one.severity_pct for one in found.sightings] == [2, 3]
    assert texts(found) == ["s.csv:4: the row says the same as s.csv:2 and counts once; delete one of them"]


@pytest.mark.parametrize(
    ("cause", "disease"),
    [
        ("frogeye", "frogeye"), ("frogeye leaf spot", "frogeye"), ("frog-eye", "frogeye"),
        ("asian rust", "rust"), ("rust, lower leaves", "rust"), ("brown spot", ""), ("", ""), ("other", ""),
        ("frogeye and rust", ""), ("no frogeye", ""), ("not rust", ""), ("crust on the soil", ""),
    ],
)  # fmt: skip
def test_the_disease_that_a_cause_names(cause: str, disease: str) -> None:
    seen = Sighting(on=TODAY, east_m=0, north_m=0, pressure="seen", cause=cause)
    assert seen.disease == disease
    assert seen.severity_pct is None


def test_added_points_carry_their_severity(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06")
    home = folder.field
    (home / "scouting.csv").write_text(f"date;lat;lon;pressure\n2026-07-01;{LAT};{LON};low\n")
    folder.add("[[scouting]]\nfile = 'scouting.csv'")
    folder.settings()  # written
    given_rows = ["2.5,frogeye", "0,", "120,rust"]
    lines = [f"2026-07-06,{LAT},{LON},{cells}" for cells in given_rows]
    file = folder.path / "consultant.csv"
    file.write_text("\n".join(["date,lat,lon,severity_pct,cause", *lines]) + "\n")
    first = add(file, [home], TODAY)
    assert sum(first.rows_added.values()) == 2
    assert [reason for _, reason in first.refused] == [
        'severity_pct "120" is no share of the leaf area; write percent, 0 to 100'
    ]
    assert (home / "scouting.csv").read_text().splitlines()[0] == "date;lat;lon;pressure;cause;severity_pct"
    again = add(file, [home], TODAY)
    assert (again.rows_added, again.already_there) == ({}, 2)
    found = read_field.field(load(home), TODAY)
    assert [(one.pressure, one.severity_pct, one.disease) for one in found.sightings] == [
        ("low", None, ""),
        ("seen", 2.5, "frogeye"),
        ("low", 0.0, ""),
    ]


@given(st.text(max_size=12))
def test_any_text_is_a_severity_or_one_line(tmp_path_factory, text: str) -> None:  # type: ignore[no-untyped-def]
    geometry = {"type": "Point", "coordinates": [float(LON), float(LAT)]}
    properties = {"date": "2026-07-06", "pressure": "medium", "severity_pct": text}
    feature = {"type": "Feature", "properties": properties, "geometry": geometry}
    path = tmp_path_factory.mktemp("points") / "s.geojson"
    found = read(path, json.dumps({"type": "FeatureCollection", "features": [feature]}))
    (seen,) = found.sightings
    assert seen.pressure == "medium"
    assert seen.severity_pct is None or 0 <= seen.severity_pct <= 100
    assert len(found.notes) <= 1
    assert not (found.notes and seen.severity_pct is not None)
