"""What careless or unlucky users give: each is refused in one line that mends it, or used and said."""

import json
import os
from datetime import date, datetime
from pathlib import Path

import numpy as np
import pytest
from made_inputs import FIELD, TODAY, Folder, weather_rows
from rasterio.crs import CRS

from zoning.errors import CONTENT, SETTINGS, WORLD, InputError
from zoning.inputs import dates, read, store, table, templates
from zoning.inputs.ground import boundary
from zoning.inputs.weather_files import weather

HEADER = "date,tmin_c,tmax_c,rain_mm"
RING = [[-95.41, 44.30], [-95.40, 44.30], [-95.40, 44.31], [-95.41, 44.31], [-95.41, 44.30]]


def geojson(path: Path, ring: object, **more: object) -> Path:
    feature = {"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature], **more}))
    return path


def named(name: object) -> dict[str, object]:
    return {"type": "name", "properties": {"name": name}}


def fault(folder: Folder) -> InputError:
    with pytest.raises(InputError) as caught:
        read.field(folder.settings(), TODAY)
    assert len(caught.value.faults) == 1
    assert "\n" not in str(caught.value)
    return caught.value


# -- boundaries -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ring", [[RING[0]] * 4, [RING[0]] * 9])
def test_a_polygon_drawn_on_one_spot_is_refused(tmp_path: Path, ring: object) -> None:
    with pytest.raises(InputError, match="shape 1 is empty or broken"):
        boundary.read(geojson(tmp_path / "b.geojson", ring), "b.geojson")


@pytest.mark.parametrize(
    ("crs", "words"),
    [
        (None, "has no CRS"),
        (named("EPSG:999999"), '"crs" EPSG:999999 is not known'),
        (named("my own"), '"crs" my own is not known'),
        ({"type": "link", "properties": {"href": "http://example.com"}}, "is not known"),
        (5, '"crs" 5 is not known'),
    ],
)
def test_a_geojson_that_names_no_known_crs_is_refused(tmp_path: Path, crs: object, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        boundary.read(geojson(tmp_path / "b.geojson", RING, crs=crs), "b.geojson")
    assert ".prj" not in str(caught.value)  # a GeoJSON has none


@pytest.mark.parametrize(
    "name",
    [
        "urn:ogc:def:crs:OGC:1.3:CRS84",
        "urn:ogc:def:crs:OGC::CRS84",
        "EPSG:4326",
        "urn:ogc:def:crs:EPSG::4326",
    ],
)
def test_a_geojson_that_names_longitude_and_latitude_is_read(tmp_path: Path, name: str) -> None:
    plain = boundary.read(geojson(tmp_path / "a.geojson", RING), "a.geojson")
    found = boundary.read(geojson(tmp_path / "b.geojson", RING, crs=named(name)), "b.geojson")
    assert found.area.equals(plain.area)


@pytest.mark.parametrize(
    ("name", "mend"),
    [
        ("b.geojson", "as GeoJSON. Save or"),
        ("b.gpkg", "as GeoPackage. Save or"),
        ("b.shp", "its .shx and .dbf must"),
    ],
)
def test_how_to_mend_an_unreadable_file_depends_on_its_format(tmp_path: Path, name: str, mend: str) -> None:
    (tmp_path / name).write_text("no map")
    with pytest.raises(InputError, match=mend):
        boundary.read(tmp_path / name, name)


# -- files ------------------------------------------------------------------------------------------------


def test_a_name_longer_than_any_file_is_a_missing_file(folder: Folder) -> None:
    folder.add(f"[planting]\nfile = '{'x' * 300}.geojson'")
    error = fault(folder)
    assert (error.code, error.what) == (SETTINGS, f"there is no file {'x' * 300}.geojson")


def test_a_pipe_is_not_called_a_folder(folder: Folder) -> None:
    os.mkfifo(folder.field / "p.geojson")
    folder.add("[planting]\nfile = 'p.geojson'")
    assert fault(folder).what == "p.geojson is no file with content"


def test_a_file_that_may_not_be_read_is_said(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    # The tests may run as a user to whom nothing is forbidden, so the system's answer is replaced.
    folder.add("[planting]\ndate = 2026-05-06")
    monkeypatch.setattr(os, "access", lambda *_: False)
    error = fault(folder)
    assert (error.code, error.what) == (WORLD, "you are not allowed to read the file")


# -- images -----------------------------------------------------------------------------------------------


def bands(red: float, nir: float) -> np.ndarray:
    slope = np.broadcast_to(np.linspace(0, 0.05, 50), (40, 50))
    return np.stack([red + slope, nir - slope]).astype("float32")


IMAGE = "[planting]\ndate = 2026-05-06\n[[imagery]]\nfile = 'i.tif'\nindex = 'NDVI'\nbands = {}\n"


def test_an_image_in_a_local_crs_is_refused(folder: Folder) -> None:
    folder.image("i.tif", bands(0.05, 0.4), crs=CRS.from_wkt('LOCAL_CS["site",UNIT["metre",1]]'))
    folder.add(IMAGE.replace("{}", "{ red = 1, nir = 2 }"))
    error = fault(folder)
    assert (error.code, error.what) == (CONTENT, "the image's CRS is not understood")


def test_exchanged_bands_are_said(folder: Folder) -> None:
    folder.image("i.tif", bands(0.05, 0.4))
    start = folder.toml
    for typed, count in (("{ red = 1, nir = 2 }", 0), ("{ red = 2, nir = 1 }", 1)):
        folder.toml = start + IMAGE.replace("{}", typed)
        found = read.field(folder.settings(), TODAY)
        said = [note for note in found.notes if note.code == "inputs.index_negative"]
        assert len(said) == count
        assert len(found.layers) == 1


def test_one_band_for_two_colours_is_refused(folder: Folder) -> None:
    folder.add(IMAGE.replace("{}", "{ red = 2, nir = 2 }"))
    with pytest.raises(InputError, match=r"red and nir are one band\. Look up"):
        folder.settings()


# -- tables and dates -------------------------------------------------------------------------------------


def test_columns_are_named_in_the_order_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "w.csv"
    path.write_text("Day,Low,High\n2026-05-01,50,86\n")
    assert list(table.read(path, "w.csv").columns) == ["day", "low", "high"]
    with pytest.raises(InputError, match="the file has day, low, high"):
        weather.read(path, TODAY)


def test_of_two_columns_of_one_name_the_first_counts(tmp_path: Path) -> None:
    path = tmp_path / "w.csv"
    path.write_text("date,tmin_c,tmax_c,tmin_c\n2026-05-01,5,9,7\n")
    assert weather.read(path, TODAY).tmin_c.tolist() == [5]


@pytest.mark.parametrize("code", ["-9999", "-9999.0", "-999", "-99", "-99.00"])
def test_codes_for_no_value_are_unknown_and_no_fault(tmp_path: Path, code: str) -> None:
    rows = weather_rows(date(2026, 5, 1), date(2026, 5, 10))
    rows[3] = f"2026-05-04,{code},{code},{code}"
    rows[4] = f"2026-05-05,{code},20,0"
    (tmp_path / "w.csv").write_text("\n".join([HEADER, *rows]))
    found, notes = weather.with_notes(tmp_path / "w.csv", TODAY)
    assert notes == ()
    assert np.flatnonzero(np.isnan(found.tmin_c)).tolist() == [3, 4]
    assert np.flatnonzero(np.isnan(found.rain_mm)).tolist() == [3]


def test_a_weather_file_of_impossible_values_shows_the_first(tmp_path: Path) -> None:
    rows = [row.replace(",12.0,", ",-300,") for row in weather_rows(date(2026, 5, 1), date(2026, 5, 10))]
    (tmp_path / "w.csv").write_text("\n".join([HEADER, *rows]))
    with pytest.raises(
        InputError, match="10 rows have impossible temperatures, the first tmin_c -300 on 2026-05-01"
    ):
        weather.read(tmp_path / "w.csv", TODAY)


def test_weather_that_ends_too_early_is_not_called_a_gap(folder: Folder) -> None:
    folder.add("[planting]\ndate = 2026-05-06")
    rows = weather_rows(date(2026, 4, 1), date(2026, 6, 28))
    (folder.path / "weather.csv").write_text("\n".join([HEADER, *rows]))
    error = fault(folder)
    assert error.what == "its last day is 2026-06-28, 10 days before 2026-07-08"
    assert (error.code, error.where) == (CONTENT, "weather.csv")
    (folder.path / "weather.csv").write_text("\n".join([HEADER, *rows[:50], *rows[51:]]))
    assert fault(folder).what.startswith("a gap in this season, no temperatures on 2026-05-21, 2026-06-29")


@pytest.mark.parametrize("zone", ["", "America/Chicago"])
@pytest.mark.parametrize("typed", ["0001-01-01T00:00:00+00:00", "9999-12-31T23:00:00-14:00"])
def test_a_time_that_no_calendar_has_on_the_farm_is_no_date(zone: str, typed: str) -> None:
    with pytest.raises(ValueError, match="is not a date"):
        dates.local(datetime.fromisoformat(typed), zone, -95.4)


@pytest.mark.parametrize(("typed", "group"), [("II", 2.0), ("iv", 4.0), ("00", -1.0), ("0", 0.0), (2.1, 2.1)])
def test_a_planting_file_may_write_groups_as_the_settings_do(
    folder: Folder, typed: object, group: float
) -> None:
    folder.shapes("planting.geojson", [FIELD], [{"planted": "2026-05-06", "maturity_group": typed}])
    folder.add("[planting]\nfile = 'planting.geojson'")
    assert read.field(folder.settings(), TODAY).blocks[0].maturity_group == group


# -- what `new` makes -------------------------------------------------------------------------------------


def test_new_takes_away_what_it_made_when_the_disk_refuses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "note.txt").write_text("kept")
    write_bytes, written = store.write_bytes, []

    def until_full(path: Path, content: bytes) -> None:
        if len(written) == 4:
            raise InputError("cannot be written", where=path.name, mend="Make room.", code=WORLD)
        written.append(path)
        write_bytes(path, content)

    monkeypatch.setattr(store, "write_bytes", until_full)
    for folder in (tmp_path / "mine", tmp_path / "deep" / "new"):
        written.clear()
        with pytest.raises(InputError, match="cannot be written"):
            templates.make(folder, "example")
        assert len(written) == 4
    left = [path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*")]
    assert sorted(left) == ["mine", "mine/note.txt"]


def test_new_inside_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text("name = 'x'\n")
    for folder in (tmp_path / "farm.toml", tmp_path / "farm.toml" / "x" / "y"):
        with pytest.raises(InputError, match="this is a file, not a folder") as caught:
            templates.make(folder, "farm")
        assert caught.value.code == SETTINGS
    assert (tmp_path / "farm.toml").read_text() == "name = 'x'\n"
