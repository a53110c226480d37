"""What cannot be used of a combine's file is refused in one clear line; what is doubtful is said."""

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_inputs import EAST, NORTH, SOUTH, WEST, Folder
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

from zoning.errors import InputError
from zoning.inputs.area import from_lonlat
from zoning.inputs.harvest.points.asked import find
from zoning.inputs.harvest.points.read import read


def put(table, name, cells):
    """Change cells of a column, by their place."""
    column = list(table[name])
    for at, cell in cells.items():
        column[at] = cell
    return {**table, name: column}


def refused(path, **other):
    with pytest.raises(InputError) as caught:
        read(path, path.name, asked(**other))
    lines = [str(fault) for fault in caught.value.faults]
    assert all("\n" not in line and line.startswith(path.name) for line in lines)
    return caught.value.code, lines


def refused_table(tmp_path, table, **other):
    return refused(as_csv(tmp_path / "p.csv", table), **other)


def noted(tmp_path, table, **other):
    points = read(as_csv(tmp_path / "p.csv", table), "p.csv", asked(**other))
    return points, {note.code: note for note in points.notes}


# -- cells ---------------------------------------------------------------------------------------------------


def test_every_cell_that_is_no_number_is_named_with_its_line(tmp_path):
    table = put(with_places(us()), "Flow_lb_s", {0: "much", 3: "1.2.3"})
    table = put(table, "Moist_pct", {7: "wet"})
    code, lines = refused_table(tmp_path, table)
    assert code == 3
    assert lines == [
        'p.csv:2: Flow_lb_s "much" is no number. Correct the cell, or leave it empty.',
        'p.csv:5: Flow_lb_s "1.2.3" is no number. Correct the cell, or leave it empty.',
        'p.csv:9: Moist_pct "wet" is no number. Correct the cell, or leave it empty.',
    ]


def test_many_faults_of_a_file_are_counted(tmp_path):
    code, lines = refused_table(
        tmp_path, put(with_places(dry()), "Dry_yield_bu_ac", dict.fromkeys(range(99), "x"))
    )
    assert code == 3
    assert len(lines) == 21
    assert "79 more faults of this kind" in lines[-1]


def test_a_place_that_is_no_number_is_named(tmp_path):
    code, lines = refused_table(tmp_path, put(with_places(dry()), "Latitude", {2: "44 N"}))
    assert (code, lines) == (
        3,
        ['p.csv:4: Latitude "44 N" is no number. Correct the cell, or leave it empty.'],
    )


def test_a_time_that_cannot_be_read_is_named(tmp_path):
    code, lines = refused_table(tmp_path, put(with_places(dry()), "Time", {2: "noon", 9: "2026-13-05 09:00"}))
    assert code == 3
    assert [line.partition(" is no time")[0] for line in lines] == [
        'p.csv:4: Time "noon"',
        'p.csv:11: Time "2026-13-05 09:00"',
    ]


@pytest.mark.parametrize("empty", ["", "NA", "nan", "null", "-", "--", "None"])
def test_empty_cells_are_nothing_and_are_counted(tmp_path, empty):
    points, notes = noted(tmp_path, put(with_places(us()), "Flow_lb_s", {1: empty, 5: empty}))
    assert np.flatnonzero(np.isnan(points.flow_kg_s)).tolist() == [1, 5]
    assert list(notes) == ["harvest.empty"]
    assert notes["harvest.empty"].text == "Flow_lb_s is empty at 2 of 240 points"


@pytest.mark.parametrize("wrong", ["-3.2", "inf", "-inf", "-999", "1e999"])
def test_impossible_cells_are_nothing_and_are_counted(tmp_path, wrong):
    table = with_places(us())
    for name in ("Flow_lb_s", "Moist_pct", "Speed_mph", "Dist_in", "Swath_ft"):
        table = put(table, name, {4: wrong})
    points, _ = noted(tmp_path, table)
    for name in ("flow_kg_s", "moisture_frac", "speed_m_s", "distance_m", "swath_m"):
        assert np.flatnonzero(np.isnan(getattr(points, name))).tolist() == [4]
    said = [note for note in points.notes if note.code == "harvest.impossible"]
    assert [note.values["count"] for note in said] == [1] * 5
    assert len(points.notes) == 5


def test_a_moisture_of_more_than_all_is_impossible(tmp_path):
    points, notes = noted(tmp_path, put(with_places(us()), "Moist_pct", {4: "100"}))
    assert np.isnan(points.moisture_frac[4])
    assert list(notes) == ["harvest.impossible"]


def test_a_column_in_which_nothing_stands_is_not_used(tmp_path):
    table = with_places(us() | {"Yield dry": [""] * COUNT, "Header": ["NA"] * COUNT})
    points, notes = noted(tmp_path, table)
    assert list(notes) == ["harvest.column_empty"]
    assert [note.values["column"] for note in points.notes] == ["Yield dry", "Header"]
    code, (line,) = refused_table(tmp_path, with_places({"yield": [""] * COUNT}))
    assert (code, "no column of yields or flows is found" in line) == (3, True)


def test_a_comma_in_a_number_that_makes_a_cell_more_is_refused(tmp_path):
    path = tmp_path / "p.csv"
    path.write_text("lon,lat,yield\n-95.38,44.30,58,2\n-95.38,44.30,59\n")
    code, lines = refused(path)
    assert code == 3
    assert lines == [
        "p.csv:2: the row has 4 cells, the header 3. Export it again; where a comma is the decimal sign, "
        "separate the cells by semicolons."
    ]


CELLS = st.one_of(
    st.text(st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters='",;#'), max_size=60),
    st.floats().map(str),
    st.sampled_from(["", "NA", "-1", "1e308", "0", "up", "2026-10-05", "12:00", "Corn", "1,5"]),
)
ALL = with_places(
    us()
    | {"Header": ["down"] * COUNT, "Field": ["Field"] * COUNT, "Crop": ["Soybeans"] * COUNT}
    | {"Interval": [2.0] * COUNT}
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.tuples(st.sampled_from(sorted(ALL)), st.integers(0, 9) | st.just("all")), CELLS, max_size=4
    )
)
def test_whatever_stands_in_cells_is_read_or_told_in_clear_lines(tmp_path, changes):
    table = {name: list(cells[:10]) for name, cells in ALL.items()}
    for (name, at), cell in changes.items():
        table[name] = [cell] * 10 if at == "all" else [*table[name][:at], cell, *table[name][at + 1 :]]
    path = as_csv(tmp_path / "p.csv", table)
    try:
        points = read(path, "p.csv", asked())
    except InputError as error:
        told = [str(fault) for fault in error.faults]
        assert all(line.startswith("p.csv") and line.isprintable() and len(line) < 400 for line in told)
        return
    left_out = sum(note.values["count"] for note in points.notes if ".other_" in note.code)
    assert points.count + left_out == 10
    for name in ("flow_kg_s", "moisture_frac", "speed_m_s", "distance_m", "swath_m", "interval_s"):
        values = getattr(points, name)
        assert values.shape == (points.count,)
        assert not np.isinf(values).any()
        assert not (values < 0).any()
    assert not np.isinf(points.time_s).any()
    assert points.is_inside.any()


def test_a_cell_of_several_lines_is_told_on_one(tmp_path):
    frame = as_frame({"Dry_yield_bu_ac": ["60", "two\nlines " + "x" * 80] * (COUNT // 2)})
    frame.to_file(tmp_path / "p.gpkg")
    code, lines = refused(tmp_path / "p.gpkg")
    assert code == 3
    assert lines[0].startswith('p.gpkg: row 2: Dry_yield_bu_ac "two lines xxx')
    assert len(lines[0]) < 130


# -- columns and shapes --------------------------------------------------------------------------------------


def test_no_yield_no_flow_and_no_place_are_told_together(tmp_path):
    code, lines = refused_table(tmp_path, {"a": [1], "b": [2]})
    assert code == 3
    assert lines == [
        "p.csv: no columns of longitude and latitude are found. Name them with --column east=NAME and "
        "--column north=NAME. The file has a, b.",
        "p.csv: no column of yields or flows is found. Name it with --column yield=NAME or --column "
        "flow=NAME. The file has a, b.",
    ]


def test_places_in_a_plane_are_refused(tmp_path):
    made = truth()
    for east, north in (("X", "Y"), ("Easting", "Northing"), ("Longitude", "Latitude")):
        table = {east: made["east_m"].tolist(), north: made["north_m"].tolist(), **dry()}
        code, lines = refused_table(tmp_path, table)
        assert code == 3
        assert all(
            "longitude and latitude in degrees, or as a shapefile with its CRS" in line for line in lines
        )


def test_other_shapes_than_points_are_refused(tmp_path):
    frame = as_frame(dry())
    frame["geometry"] = frame.geometry.buffer(2)
    frame.to_file(tmp_path / "p.gpkg")
    code, lines = refused(tmp_path / "p.gpkg")
    assert code == 3
    assert len(lines) == 21
    assert "shape 1 is a Polygon, not a point. Export the combine's own points" in lines[0]


def test_points_of_several_places_are_refused(tmp_path):
    frame = as_frame(dry())
    frame.loc[2, "geometry"] = shapely.MultiPoint([(WEST + 1, SOUTH + 1), (WEST + 2, SOUTH + 2)])
    frame.to_file(tmp_path / "p.gpkg")
    code, lines = refused(tmp_path / "p.gpkg")
    assert (code, len(lines)) == (3, 1)
    assert "shape 3 is a MultiPoint, not a point" in lines[0]


def test_a_shapefile_without_its_crs_or_its_parts_is_refused(tmp_path):
    code, lines = refused(as_pyshp(tmp_path / "p.shp", us(), crs=None))
    assert (code, lines) == (
        3,
        [
            "p.shp: the file has no CRS, so its place on earth is unknown. Add its .prj file, or save it "
            "again with its CRS."
        ],
    )
    path = as_pyshp(tmp_path / "q.shp", us())
    path.with_suffix(".dbf").unlink()
    assert refused(path)[0] == 3
    path.with_suffix(".shx").unlink()
    path.write_bytes(b"nothing")
    assert "cannot be read as a shapefile" in refused(path)[1][0]


@pytest.mark.parametrize("name", ["p.geojson", "p.gpkg"])
def test_a_broken_file_is_refused(tmp_path, name):
    (tmp_path / name).write_text("{ nothing")
    code, (line,) = refused(tmp_path / name)
    assert code == 3
    assert "cannot be read as" in line


def test_a_geojson_with_a_crs_that_nobody_knows_is_refused(tmp_path):
    path = tmp_path / "p.geojson"
    path.write_text(
        '{"type": "FeatureCollection", "crs": null, "features": [{"type": "Feature", "properties": '
        '{"yield": 1.0}, "geometry": {"type": "Point", "coordinates": [-95.3, 44.3]}}]}'
    )
    assert "has no CRS" in refused(path)[1][0]


def test_no_points_are_refused(tmp_path):
    path = tmp_path / "p.csv"
    path.write_text("lon,lat,yield\n")
    assert "the file has no rows" in refused(path)[1][0]
    as_frame(dry()).iloc[:0].to_file(tmp_path / "p.gpkg")
    assert "the file holds no points" in refused(tmp_path / "p.gpkg")[1][0]


def test_a_geopackage_of_several_layers_needs_one_that_is_called_points(tmp_path):
    path = tmp_path / "p.gpkg"
    for layer in ("harvest", "other"):
        as_frame(dry()).to_file(path, layer=layer)
    assert 'Keep one layer, or call the right one "points".' in refused(path)[1][0]
    as_frame(dry()).to_file(path, layer="points")
    assert read(path, "p", asked()).count == COUNT


def test_other_formats_are_refused(tmp_path):
    path = tmp_path / "p.xlsx"
    path.write_bytes(b"x")
    code, (line,) = refused(path)
    assert code == 2
    assert "Save it as CSV (.csv), shapefile (.shp), GeoPackage (.gpkg) or GeoJSON (.geojson)." in line


# -- units and moisture --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "factor", "fits"),
    [
        ("Dry yield (bu/ac)", 0.0672510693716674, '"t/ha"'),
        ("Dry yield (t/ha)", 1.0, '"bu/ac"'),
        ("Dry yield (bu/ac)", 67.25106937, '"kg/ha" or "lb/ac"'),
        ("Dry yield", 0.0672510693716674, '"t/ha"'),
    ],
)
def test_yields_in_a_wrong_unit_are_refused_with_the_unit_that_fits(tmp_path, name, factor, fits):
    table = with_places({"Time": us()["Time"], name: (truth()["yield_bu_ac"] * factor).tolist()})
    code, (line,) = refused_table(tmp_path, table)
    assert code == 3
    assert f"but fits {fits}. Say its unit with --unit yield=" in line


@pytest.mark.parametrize("median", [9.0, 25.0, 60.0, 105.0])
def test_a_soybean_yield_in_its_own_unit_is_never_taken_for_another(tmp_path, median):
    values = (truth()["yield_bu_ac"] * median / 60).tolist()
    points, notes = noted(tmp_path, with_places(dry() | {"Dry_yield_bu_ac": values}))
    assert not notes
    metric = (np.array(values) * 0.0672510693716674).tolist()
    read_metric, _ = noted(tmp_path, with_places({"Time": us()["Time"], "Yield dry (t/ha)": metric}))
    np.testing.assert_allclose(read_metric.yield_bu_ac, points.yield_bu_ac)


@pytest.mark.parametrize(
    ("column", "cells", "told", "fits"),
    [
        ("Moist_pct", truth()["moisture_frac"], {}, '"share"'),
        ("Moist", truth()["moisture_frac"] * 100, {"moisture": "share"}, '"%"'),
        ("Swath (m)", truth()["swath_m"] / 0.3048, {}, '"ft"'),
        ("Swath (ft)", truth()["swath_m"] / 0.0254, {}, '"in"'),
        ("Speed", truth()["speed_m_s"] * 3.6, {}, '"km/h"'),
        ("Speed", truth()["speed_m_s"], {}, '"m/s"'),
        ("Distance", truth()["distance_m"], {}, '"m"'),
        ("Distance", truth()["distance_m"] / 0.0254, {}, '"in"'),
        ("Flow (kg/s)", truth()["flow_kg_s"] * 3.6, {}, '"lb/s" or "t/h"'),
    ],
)
def test_other_amounts_in_a_wrong_unit_are_refused_with_the_unit_that_fits(
    tmp_path, column, cells, told, fits
):
    first = column.split("_")[0].split(" ")[0][:4].lower()
    table = {name: old for name, old in with_places(us()).items() if not name.lower().startswith(first)}
    code, (line,) = refused_table(tmp_path, table | {column: cells.tolist()}, units=told)
    assert code == 3
    assert f"but fits {fits}" in line


def test_speeds_whose_unit_is_told_are_not_judged_by_a_way_that_was_thinned_out(tmp_path):
    table = {name: cells[::3] for name, cells in with_places(us()).items()}
    points, notes = noted(tmp_path, table)
    assert points.count == COUNT / 3
    assert not notes


def test_wet_grain_needs_a_moisture(tmp_path):
    table = {name: cells for name, cells in with_places(us()).items() if name != "Moist_pct"}
    code, (line,) = refused_table(tmp_path, table)
    assert code == 3
    assert (
        "flows need a moisture, and no column has one. Name it with --column moisture=NAME, or give" in line
    )
    table = with_places({"Time": us()["Time"], "Wet yield (bu/ac)": truth()["yield_bu_ac"].tolist()})
    code, (line,) = refused_table(tmp_path, table)
    assert code == 3
    assert 'moisture = "13 %" under [harvest], or yields = "dry" where they are.' in line
    assert read(tmp_path / "p.csv", "p", asked(yields="dry")).is_dry
    assert not read(tmp_path / "p.csv", "p", asked(moisture_frac=0.13)).is_dry


def test_a_flow_needs_a_time_and_a_width(tmp_path):
    table = {
        name: cells for name, cells in with_places(us()).items() if name[:4] not in ("Time", "Spee", "Swat")
    }
    code, (line,) = refused_table(tmp_path, table)
    assert code == 3
    assert "makes no yields without a speed, a time or an interval and a swath or [harvest] header" in line
    points, notes = noted(tmp_path, table | {"Interval": [2.0] * COUNT}, header_m=9.144)
    assert (points.interval_s == 2.0).all()
    assert list(notes) == ["harvest.no_time"]


# -- fields, crops, places -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["Field", "FIELD", "North 80"])
def test_points_of_other_fields_are_left_out_and_counted(tmp_path, name):
    names = [name] * 200 + ["South"] * 30 + ["East"] * 10
    points, notes = noted(tmp_path, with_places(dry() | {"Field": names}))
    assert points.count == 200
    assert points.row.tolist() == list(range(2, 202))
    assert [note.text for note in notes.values()] == ["40 points of other fields (East, South) are left out"]
    np.testing.assert_allclose(points.yield_bu_ac, truth()["yield_bu_ac"][:200])


def test_a_file_of_other_fields_only_is_refused(tmp_path):
    code, (line,) = refused_table(tmp_path, with_places(dry() | {"Field": ["A", "B"] * 120}))
    assert code == 3
    assert "Field names A, B, and none of them is Field or north_80" in line
    points, notes = noted(tmp_path, with_places(dry() | {"Field": ["A", "B"] * 120}), columns={"field": ""})
    assert (points.count, notes) == (COUNT, {})


def test_one_other_name_for_all_points_is_only_said(tmp_path):
    points, notes = noted(tmp_path, with_places(dry() | {"Field": ["Home 40"] * COUNT}))
    assert points.count == COUNT
    assert list(notes) == ["harvest.field_called"]


@pytest.mark.parametrize("crop", ["Soybeans", "SOYBEAN", "soja", "23", ""])
def test_another_crop_is_left_out_and_counted(tmp_path, crop):
    points, notes = noted(tmp_path, with_places(dry() | {"Crop": [crop] * 180 + ["Corn"] * 60}))
    assert points.count == 180
    assert [note.text for note in notes.values()] == ["60 points of another crop (Corn) are left out"]


def test_a_file_of_another_crop_is_refused(tmp_path):
    code, (line,) = refused_table(tmp_path, with_places(dry() | {"Crop": ["Corn"] * COUNT}))
    assert code == 3
    assert "Crop says Corn, not soybeans" in line


def test_points_outside_are_kept_and_counted(tmp_path):
    table = with_places(dry())
    path = as_csv(tmp_path / "p.csv", table)
    half = shapely.box(WEST, SOUTH, truth()["east_m"][0] + 1, NORTH)
    points = read(path, "p", asked(boundary=half))
    assert points.count == COUNT
    assert points.is_inside.sum() == EACH
    assert [note.code for note in points.notes] == ["harvest.mostly_outside"]
    assert points.notes[0].text.startswith("75 % of the points (180 of 240) lie outside the boundary")
    most = shapely.box(WEST, SOUTH, truth()["east_m"][-1] - 1, NORTH)
    points = read(path, "p", asked(boundary=most))
    assert points.is_inside.sum() == (PASSES - 1) * EACH
    assert [note.code for note in points.notes] == ["harvest.outside"]


def test_a_file_of_another_place_is_refused(tmp_path):
    elsewhere = shapely.box(EAST + 10, SOUTH, EAST + 20, NORTH)
    code, (line,) = refused_table(tmp_path, with_places(dry()), boundary=elsewhere)
    assert code == 3
    assert line.startswith("p.csv: no point lies inside the field. Check that it is of this field")


@pytest.mark.parametrize(("west", "south", "epsg"), [(-95.4, 44.3, 32615), (-60.2, -32.4, 32720)])
def test_longitude_and_latitude_in_each_others_place_are_seen(tmp_path, west, south, epsg):
    at = np.arange(COUNT) * 1e-6
    table = {"Longitude": (south + at).tolist(), "Latitude": (west + at).tolist(), **dry()}
    boundary = from_lonlat(shapely.box(west - 0.01, south - 0.01, west + 0.01, south + 0.01), epsg)
    code, (line,) = refused_table(tmp_path, table, boundary=boundary, epsg=epsg)
    assert code == 3
    assert line.endswith(
        "They stand in each other's place: name both with --column east=NAME and --column north=NAME."
    )
    named = asked(boundary=boundary, epsg=epsg, columns={"east": "Latitude", "north": "Longitude"})
    assert read(tmp_path / "p.csv", "p", named).is_inside.all()


# -- order and repeats ---------------------------------------------------------------------------------------


def test_rows_that_stand_twice_are_counted(tmp_path):
    table = {name: [*cells, *cells[:50]] for name, cells in with_places(dry()).items()}
    points, notes = noted(tmp_path, table)
    assert points.count == COUNT + 50
    assert notes["harvest.twice"].values["count"] == 50


def test_a_time_that_goes_back_once_is_said(tmp_path):
    made = truth()
    later = made["time_s"].copy()
    later[:EACH] += 86_400
    points, notes = noted(tmp_path, with_places(dry() | {"Time": stamps(later)}))
    assert list(notes) == ["harvest.time_back"]
    told = notes["harvest.time_back"].text
    assert told.startswith("rows at which the time goes back: 1, the first is row 62")
    assert points.row.tolist() == list(range(2, COUNT + 2))


def test_shuffled_rows_are_put_in_the_order_of_their_times(tmp_path):
    order = np.random.default_rng(1).permutation(COUNT)
    table = {name: [cells[at] for at in order] for name, cells in with_places(us()).items()}
    points, notes = noted(tmp_path, table)
    assert list(notes) == ["harvest.put_in_order"]
    made = truth()
    np.testing.assert_allclose(points.time_s, made["time_s"])
    np.testing.assert_allclose(points.flow_kg_s, made["flow_kg_s"], rtol=1e-6)
    np.testing.assert_array_equal(order[points.row - 2], np.arange(COUNT))


def test_without_times_the_order_of_the_rows_is_the_way_and_must_be_one(tmp_path):
    table = {name: cells for name, cells in with_places(dry()).items() if name != "Time"}
    points, notes = noted(tmp_path, table)
    assert list(notes) == ["harvest.no_time"]
    assert np.isnan(points.time_s).all()
    assert points.harvested == ()
    order = np.random.default_rng(1).permutation(COUNT)
    code, (line,) = refused_table(
        tmp_path, {name: [cells[at] for at in order] for name, cells in table.items()}
    )
    assert code == 3
    assert "it has no time, and points that follow each other lie" in line


# -- which file ----------------------------------------------------------------------------------------------


def test_the_file_is_found_in_the_folder_or_named(folder: Folder):
    inside = folder.field / "harvest"
    with pytest.raises(
        InputError, match=r"harvest/: no file of the combine's points is there: \.csv"
    ) as caught:
        find(folder.settings(), None)
    assert caught.value.code == 2
    inside.mkdir()
    (inside / "notes.md").write_text("x")
    path = as_csv(inside / "points.csv", with_places(dry()))
    assert find(folder.settings(), None) == (path, "harvest/points.csv")
    as_frame(us()).to_file(inside / "more.shp")
    with pytest.raises(
        InputError, match=r"several files may be the combine's points: more\.shp, points\.csv"
    ):
        find(folder.settings(), None)
    assert find(folder.settings(), path) == (path, "harvest/points.csv")
    folder.add('[harvest]\nfile = "harvest/more.shp"')
    assert find(folder.settings(), None)[1] == "harvest/more.shp"


def test_a_file_in_letters_that_no_file_can_hold_is_refused(folder: Folder):
    inside = folder.field / "harvest"
    inside.mkdir()
    try:
        as_csv(inside / "Ertr\udce4ge.csv", with_places(dry()))
    except OSError:
        pytest.skip("this disk holds no such names")
    with pytest.raises(InputError, match=r"Ertr\\udce4ge.csv: its letters are not UTF-8") as caught:
        find(folder.settings(), None)
    assert caught.value.code == 2


def test_a_file_that_is_not_there_or_empty_is_told(folder: Folder):
    settings = folder.settings()
    for path, what, code in (
        (folder.field / "none.csv", "there is no such file", 2),
        (folder.field, "this is a folder, not a file", 2),
    ):
        with pytest.raises(InputError, match=what) as caught:
            find(settings, path)
        assert caught.value.code == code
    empty = folder.field / "empty.csv"
    empty.touch()
    with pytest.raises(InputError, match=r"empty\.csv: the file is empty"):
        find(settings, empty)
    folder.add('[harvest]\nfile = "none.csv"')
    with pytest.raises(InputError, match=r'field\.toml:4: harvest\.file = "none\.csv": there is no file'):
        find(folder.settings(), None)
