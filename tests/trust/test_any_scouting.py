"""Rows of a scout in any format are read as they are meant, and from a field's table again."""

from datetime import date

import pytest
from any_scouting import Row, any_row, as_csv, as_geojson, as_gpx
from clear_faults import check
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_folders import FIELD, TOP, field_folder
from made_inputs import EPSG, NORTH, SOUTH, WEST
from pyproj import Transformer
from shapely import box, to_geojson

from zoning.errors import InputError
from zoning.inputs.area import reproject
from zoning.inputs.scouting import points
from zoning.inputs.scouting.add import add
from zoning.inputs.scouting.looked import Looked, look

TODAY = date(2026, 8, 1)
EAST = WEST + 300
GROUND = box(WEST, SOUTH, EAST, NORTH)
LONLAT = Transformer.from_crs(EPSG, 4326, always_xy=True)
BOUNDS = (*LONLAT.transform(WEST + 30, SOUTH + 30), *LONLAT.transform(EAST - 30, NORTH - 30))
ROWS = st.lists(any_row(BOUNDS), min_size=1, max_size=5)
PLAIN = st.lists(any_row(BOUNDS, plain=True), min_size=1, max_size=5)
TABLES = st.tuples(st.sampled_from([",", ";", "\t"]), st.sampled_from(["\n", "\r\n"]),
                   st.sampled_from(["utf-8", "utf-8-sig"]))  # fmt: skip


def looked(path) -> list[Looked]:
    return [look(line, "America/Chicago") for line in points.read(path, path.name)]


def held_to(row: Row, found: Looked, *, places: int = 12) -> None:
    """Hold what was read to what was meant."""
    assert found.faults == ()
    assert found.when is not None
    assert found.when.date() == row.on
    assert found.lonlat == pytest.approx((row.lon, row.lat), abs=10.0**-places)
    assert found.seen == row.seen
    assert found.pressure == row.pressure
    assert found.observer.lstrip("'") == row.observer  # one keeps a spreadsheet from reckoning
    assert found.note.lstrip("'") == row.note.lstrip("'")


@given(ROWS, TABLES)
def test_a_table_is_read_as_it_is_meant(tmp_path_factory, rows, how):
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(as_csv(rows, *how))
    for row, found in zip(rows, looked(path), strict=True):
        held_to(row, found)


@given(ROWS)
def test_points_of_geojson_are_read_as_they_are_meant(tmp_path_factory, rows):
    path = tmp_path_factory.getbasetemp() / "any.geojson"
    path.write_bytes(as_geojson(rows))
    for row, found in zip(rows, looked(path), strict=True):
        held_to(row, found)


@given(PLAIN)
def test_waypoints_are_read_as_they_are_meant(tmp_path_factory, rows):
    path = tmp_path_factory.getbasetemp() / "any.gpx"
    path.write_bytes(as_gpx(rows))
    for row, found in zip(rows, looked(path), strict=True):
        held_to(row, found)


@pytest.fixture
def field(tmp_path):
    folder = field_folder(tmp_path, TOP, FIELD)
    geometry = to_geojson(reproject(GROUND, EPSG, 4326))
    (folder / "boundary.geojson").write_text(geometry, "utf-8")
    return folder


@settings(max_examples=50, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ROWS, ROWS, TABLES)
def test_what_is_added_is_read_again_and_once_only(field, before, rows, how):
    table = field / "scouting.csv"
    table.write_bytes(as_csv(before, *how))
    (field / "field.toml").write_text(f'{FIELD}[[scouting]]\nfile = "scouting.csv"\n', "utf-8")
    file = field.parent / "walk.geojson"
    file.write_bytes(as_geojson(rows))
    added = add(file, [field], TODAY)
    assert added.refused == ()
    found = looked(table)
    for row, one in zip(before, found, strict=False):
        held_to(row, one)
    wanted = {one.same() for one in looked(file)}
    assert wanted <= {one.same() for one in found}
    assert len(found) == len(before) + sum(added.rows_added.values())
    assert add(file, [field], TODAY).files_written == ()


@given(st.binary(max_size=60) | st.text(max_size=80).map(lambda text: f"date,lat,lon\n{text}".encode()))
def test_any_bytes_are_read_or_told(tmp_path_factory, content):
    path = tmp_path_factory.getbasetemp() / "bytes.csv"
    path.write_bytes(content)
    try:
        found = looked(path)
    except InputError as error:
        check(error)
        return
    assert all(said.text for one in found for said in one.faults)
