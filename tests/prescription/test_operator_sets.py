"""passes/P1/P1_0714.*: the one file that a machine follows."""

from collections import Counter

import fiona
import pytest
import shapefile as pyshp
import shapely
from made_plans import Made, acres, made_plan, smooth_field
from shapely.geometry import shape

from zoning.prescription.of_a_pass import operator


def two_passes(**wanted):
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    return made_plan(
        Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1, 4: 2, 5: 2}, **wanted)
    )


def read(folder, name):
    with fiona.open(folder / name) as file:
        return [(shape(feature.geometry), dict(feature.properties)) for feature in file]


def test_names_and_folders_follow_pass_and_day(tmp_path):
    names = operator.write(two_passes(), tmp_path)
    written = [path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*") if path.is_file()]
    assert sorted(names) == sorted(written)
    of_set = [name for name in names if not name.endswith((".txt", ".zip"))]
    stems = {name.rsplit(".", 1)[0] for name in of_set}
    assert stems == {"passes/P1/P1_0706", "passes/P2/P2_0714"}
    assert all(len(stem.rsplit("/", 1)[1]) <= 8 for stem in stems)
    endings = Counter(name.rsplit(".", 1)[1] for name in of_set)
    assert endings == {"shp": 2, "shx": 2, "dbf": 2, "prj": 2, "cpg": 2}
    assert {name.rsplit("/", 1)[1] for name in set(names) - set(of_set)} == {
        "README.txt",
        "Three_Dates_P1_0706.zip",
        "Three_Dates_P2_0714.zip",
    }


@pytest.mark.parametrize(("units", "column"), [("us", "RATE_GPA"), ("metric", "RATE_LHA")])
def test_one_numeric_column_and_nothing_else(tmp_path, units, column):
    operator.write(two_passes(units=units), tmp_path)
    with pyshp.Reader(str(tmp_path / "passes/P1/P1_0706.shp")) as reader:
        (field,) = reader.fields[1:]
        assert (field[0], str(field[1])[-1], field[2], field[3]) == (column, "N", 8, 2)
        assert all(value is not None for record in reader.records() for value in record)


@pytest.mark.parametrize(("number", "name", "rate"), [(1, "P1/P1_0706", 15.0), (2, "P2/P2_0714", 20.0)])
def test_covers_the_field_with_this_pass_and_zero_elsewhere(tmp_path, number, name, rate):
    plan = two_passes()
    operator.write(plan, tmp_path)
    rows = read(tmp_path, f"passes/{name}.shp")
    polygons = [polygon for polygon, _ in rows]
    assert all(polygon.geom_type == "Polygon" and polygon.is_valid for polygon in polygons)
    assert shapely.coverage_is_valid(polygons)
    assert shapely.union_all(polygons).symmetric_difference(plan.boundary).area < 1e-9 * plan.boundary.area
    assert {row["RATE_GPA"] for _, row in rows} == {0.0, rate}
    gallons = sum(acres(polygon) * row["RATE_GPA"] for polygon, row in rows)
    wanted = next(one.area_ac * one.rate_gal_ac for one in plan.passes if one.number == number)
    assert gallons == pytest.approx(wanted, rel=1e-4)
    sprayed = shapely.union_all([polygon for polygon, row in rows if row["RATE_GPA"] > 0])
    own = shapely.union_all([zone.outline for zone in plan.zones if zone.pass_number == number])
    assert sprayed.symmetric_difference(own).area < 1e-9 * own.area


def test_neighbours_with_one_rate_are_one_polygon(tmp_path):
    # by hand: zones 1 and 2 touch and get 15; zone 3 gets nothing; so two polygons
    plan = made_plan(Made(labels=[[1, 1, 3], [2, 2, 3]], pass_of_zone={1: 1, 2: 1}))
    operator.write(plan, tmp_path)
    rows = read(tmp_path, "passes/P1/P1_0706.shp")
    assert sorted(row["RATE_GPA"] for _, row in rows) == [0.0, 15.0]


def test_parts_that_meet_only_in_a_corner_stay_two_valid_polygons(tmp_path):
    plan = made_plan(Made(labels=[[1, 2], [2, 1]], pass_of_zone={1: 1}))
    operator.write(plan, tmp_path)
    rows = read(tmp_path, "passes/P1/P1_0706.shp")
    assert len(rows) == 4
    assert all(polygon.is_valid for polygon, _ in rows)


def test_no_pass_no_file(tmp_path):
    assert operator.write(made_plan(Made(labels=[[1, 2]], pass_of_zone={})), tmp_path) == ()
    assert operator.write(two_passes(level=2), tmp_path) == ()
    assert list(tmp_path.iterdir()) == []


def test_same_plan_same_bytes(tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        names = operator.write(two_passes(), tmp_path / name)
    assert all((tmp_path / "a" / one).read_bytes() == (tmp_path / "b" / one).read_bytes() for one in names)
