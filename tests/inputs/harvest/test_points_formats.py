"""The same points from every format, written by other libraries, come back as they were made."""

import json
from datetime import date

import fiona
import geopandas
import numpy as np
import pytest
import shapefile
from made_inputs import EPSG
from made_points import (
    COUNT,
    EACH,
    PASSES,
    as_csv,
    as_frame,
    as_pyshp,
    asked,
    dry,
    stamps,
    truth,
    us,
    with_places,
)
from pyproj import CRS

from zoning.inputs.harvest.points.read import read

CLOSE = {"east_m": 1e-3, "north_m": 1e-3, "time_s": 1e-6, "moisture_frac": 1e-9, "track": 0}


def check(points, made, names):
    for name in names:
        np.testing.assert_allclose(
            getattr(points, name), made[name], rtol=1e-6, atol=CLOSE.get(name, 1e-6), err_msg=name
        )


def written(kind, folder):
    """A file of each kind, in the CRS that such a file often has."""
    if kind in ("csv", "tsv", "semicolon"):
        separator = {"csv": ",", "tsv": "\t", "semicolon": ";"}[kind]
        table = with_places(us())
        return as_csv(
            folder / f"points.{'tsv' if kind == 'tsv' else 'csv'}",
            table,
            separator=separator,
            comma=kind != "csv",
            encoding="utf-8-sig",
        )
    if kind == "pyshp":
        return as_pyshp(folder / "points.shp", us())
    if kind == "fiona":
        return by_fiona(folder / "points.gpkg")
    path = folder / f"points.{kind}"
    as_frame(us(), 4326).to_file(path)
    return path


def by_fiona(path):
    """A GeoPackage of MultiPoints in a state plane CRS in US survey feet, with times as times."""
    frame = as_frame(us(), 26852)
    kinds = dict.fromkeys(us(), "float") | {"Time": "datetime", "Pass": "int"}
    schema = {"geometry": "MultiPoint", "properties": kinds}
    with fiona.open(path, "w", driver="GPKG", crs="EPSG:26852", schema=schema, layer="points") as target:
        for row in frame.to_dict("records"):
            place, row["Time"] = row.pop("geometry"), row["Time"].replace(" ", "T")
            target.write(
                {"geometry": {"type": "MultiPoint", "coordinates": [(place.x, place.y)]}, "properties": row}
            )
    return path


@pytest.mark.parametrize("kind", ["csv", "tsv", "semicolon", "pyshp", "fiona", "shp", "gpkg", "geojson"])
def test_every_format_gives_the_same_points(tmp_path, kind):
    made = truth()
    points = read(written(kind, tmp_path), "points", asked())
    check(points, made, [name for name in made if name != "yield_bu_ac"])
    assert np.isnan(points.yield_bu_ac).all()
    assert np.isnan(points.interval_s).all()
    assert points.is_inside.all()
    assert not points.is_header_up.any()
    assert not points.is_dry
    assert points.epsg == EPSG
    assert [str(day) for day in points.harvested] == ["2026-10-05"]
    first = 2 if kind in ("csv", "tsv", "semicolon") else 1  # the header is line 1 of a table
    assert points.row.tolist() == list(range(first, first + COUNT))
    assert points.columns["flow"] == "Flow_lb_s"
    assert points.units == {"flow": "lb/s", "moisture": "%", "speed": "mph", "distance": "in", "swath": "ft"}
    assert points.notes == ()


def test_dry_yields_need_no_moisture(tmp_path):
    points = read(as_csv(tmp_path / "p.csv", with_places(dry())), "p.csv", asked())
    check(points, truth(), ["yield_bu_ac", "time_s"])
    assert points.is_dry
    assert np.isnan(points.flow_kg_s).all()
    assert np.isnan(points.moisture_frac).all()
    assert (points.track == -1).all()


def test_metric_columns(tmp_path):
    made = truth()
    columns = {
        "time": stamps(made["time_s"]),
        "Yield wet [t/ha]": (made["yield_bu_ac"] * 0.0672510693716674).tolist(),
        "Moisture (fraction)": made["moisture_frac"].tolist(),
        "Speed (km/h)": (made["speed_m_s"] * 3.6).tolist(),
        "Width (m)": made["swath_m"].tolist(),
    }
    points = read(as_csv(tmp_path / "p.csv", with_places(columns)), "p.csv", asked(is_metric=True))
    check(points, made, ["yield_bu_ac", "moisture_frac", "speed_m_s", "swath_m"])
    assert not points.is_dry
    assert points.notes == ()


def test_units_that_nobody_names_are_those_of_the_farm_and_are_said(tmp_path):
    made = truth()
    columns = {
        "time": stamps(made["time_s"]),
        "dry yield": (made["yield_bu_ac"] * 0.0672510693716674).tolist(),
        "speed": (made["speed_m_s"] * 3.6).tolist(),
        "distance": made["distance_m"].tolist(),
        "moisture": made["moisture_frac"].tolist(),
    }
    points = read(as_csv(tmp_path / "p.csv", with_places(columns)), "p.csv", asked(is_metric=True))
    check(points, made, ["yield_bu_ac", "moisture_frac", "speed_m_s", "distance_m"])
    (note,) = points.notes
    assert note.code == "harvest.units_assumed"
    assert "metric units as the farm is: dry yield in t/ha, speed in km/h, distance in m;" in note.text


def test_told_columns_and_units_win_over_what_names_say(tmp_path):
    made = truth()
    columns = {
        "when": stamps(made["time_s"]),
        "a": (made["yield_bu_ac"] * 67.25106937).tolist(),
        "Yield (bu/ac)": np.zeros(COUNT).tolist(),
        "Speed_mph": made["speed_m_s"].tolist(),
    }
    told = {"time": "WHEN", "yield": "A", "header": ""}
    units = {"yield": "kg/ha", "speed": "m/s"}
    points = read(
        as_csv(tmp_path / "p.csv", with_places(columns)), "p", asked(columns=told, units=units, yields="dry")
    )
    check(points, made, ["yield_bu_ac", "speed_m_s", "time_s"])
    assert points.columns["yield"] == "a"
    assert points.units["yield"] == "kg/ha"


def test_a_shapefile_cuts_names_and_they_are_found(tmp_path):
    frame = as_frame({"Yield_dry_bu_ac": truth()["yield_bu_ac"]})
    frame = frame.rename(columns={"Yield_dry_bu_ac": "Yield_dry_"})
    frame.to_file(tmp_path / "p.shp")
    points = read(
        tmp_path / "p.shp", "p.shp", asked(columns={"yield": "Yield_dry_bu_ac"}, units={"yield": "bu/ac"})
    )
    check(points, truth(), ["yield_bu_ac"])
    assert [note.code for note in points.notes] == ["harvest.no_time"]


def test_points_without_a_shape_or_a_place_keep_their_row(tmp_path):
    frame = as_frame(dry())
    frame.loc[3, "geometry"] = None
    frame.to_file(tmp_path / "p.gpkg")
    table = with_places(dry())
    table["Longitude"] = [*table["Longitude"][:3], "", *table["Longitude"][4:]]
    table["Latitude"] = [*table["Latitude"][:5], "999", *table["Latitude"][6:]]
    for path, count in ((tmp_path / "p.gpkg", 1), (as_csv(tmp_path / "p.csv", table), 2)):
        points = read(path, path.name, asked())
        assert points.count == COUNT
        assert np.isnan(points.east_m[3])
        assert np.isnan(points.north_m[3])
        assert points.is_inside.sum() == COUNT - count
        assert [(note.code, note.values["count"]) for note in points.notes] == [("harvest.no_place", count)]


def test_three_dimensions_are_two(tmp_path):
    frame = as_frame(dry())
    frame["geometry"] = geopandas.points_from_xy(frame.geometry.x, frame.geometry.y, np.full(COUNT, 330.0))
    frame.to_file(tmp_path / "p.gpkg")
    check(read(tmp_path / "p.gpkg", "p", asked()), truth(), ["east_m", "north_m", "yield_bu_ac"])


@pytest.mark.parametrize("kind", [shapefile.POINTM, shapefile.POINTZ])
def test_measures_and_dates_of_a_shapefile(tmp_path, kind, recwarn):
    made = truth()
    path = tmp_path / "p.shp"
    with shapefile.Writer(str(path), shapeType=kind) as writer:
        writer.field("Date", "D")
        writer.field("Time", "C", 10)
        writer.field("Dry_bu_ac", "C", 10)
        writer.field("Yld_limit", "L")
        for at, stamp in enumerate(stamps(made["time_s"])):
            place = (float(made["east_m"][at]), float(made["north_m"][at]))
            if kind == shapefile.POINTM:
                writer.pointm(*place, 5.0)
            else:
                writer.pointz(*place, 330.0, 5.0)
            writer.record(date(2026, 10, 5), stamp[11:], str(made["yield_bu_ac"][at]), True)
    path.with_suffix(".prj").write_text(CRS.from_epsg(EPSG).to_wkt("WKT1_ESRI"))
    recwarn.clear()
    points = read(path, "p.shp", asked(columns={"yield": "dry_bu_ac"}))
    check(points, made, ["east_m", "north_m", "time_s", "yield_bu_ac"])
    assert points.harvested == (date(2026, 10, 5),)
    assert points.columns["time"] == "Date + Time"
    assert len(recwarn) == 0


def test_passes_by_name_are_numbered(tmp_path):
    names = np.repeat(["north", "", "east", "west"], EACH).tolist()
    points = read(as_csv(tmp_path / "p.csv", with_places(dry() | {"Pass": names})), "p", asked())
    assert np.unique(points.track).tolist() == [-1, 1, 2, 3]
    assert points.track[EACH] == -1
    unique = read(as_csv(tmp_path / "q.csv", with_places(dry() | {"Pass": list(range(COUNT))})), "q", asked())
    assert (unique.track == -1).all()
    assert [note.code for note in unique.notes] == ["harvest.track_unused"]


@pytest.mark.parametrize(
    ("name", "up", "down"),
    [
        ("Header", "up", "down"),
        ("Header", "Raised", "Lowered"),
        ("Header", "0", "1"),
        ("Header", "1", "0"),  # the state of most points is that of cutting
        ("HeaderUp", "true", "false"),
        ("header down", "false", "true"),
        ("Hdr_status", "off", "on"),
    ],
)
def test_where_the_header_is_up(tmp_path, name, up, down):
    is_up = np.arange(COUNT) % EACH < 9
    states = np.where(is_up, up, down).tolist()
    points = read(as_csv(tmp_path / "p.csv", with_places(dry() | {name: states})), "p", asked())
    np.testing.assert_array_equal(points.is_header_up, is_up)
    assert points.notes == ()


@pytest.mark.parametrize(
    ("name", "states", "code"),
    [
        ("Header", ["up"], "harvest.header_all_up"),
        ("HeaderUp", ["1"], "harvest.header_all_up"),
        ("Header", ["12.5", "80"], "harvest.header_unknown"),
        ("Header", ["up", "sideways"], "harvest.header_unknown"),
    ],
)
def test_a_header_that_says_nothing_is_not_used(tmp_path, name, states, code):
    cells = (states * COUNT)[:COUNT]
    points = read(as_csv(tmp_path / "p.csv", with_places(dry() | {name: cells})), "p", asked())
    assert not points.is_header_up.any()
    assert [note.code for note in points.notes] == [code]


def test_geojson_without_a_crs_is_longitude_and_latitude(tmp_path):
    path = tmp_path / "p.geojson"
    as_frame(dry(), 4326).to_file(path)
    whole = json.loads(path.read_text())
    whole.pop("crs", None)
    path.write_text(json.dumps(whole))
    check(read(path, "p", asked()), truth(), ["east_m", "north_m", "yield_bu_ac", "time_s"])


def test_all_of_the_points_are_of_the_made_passes():
    assert PASSES * EACH == COUNT == len(truth()["east_m"])
