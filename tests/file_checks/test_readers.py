"""The readers against other libraries: what pyshp, GDAL and pyproj write is read as they mean it."""

import json
import random
import shutil
import tempfile
from itertools import pairwise
from pathlib import Path

import geopandas
import numpy as np
import pytest
import shapefile as pyshp
import shapely
from made_sets import Table, read, square, write
from pyproj import CRS, Geod

from zoning.file_checks import checks
from zoning.file_checks.of_polygons.plane import Plane
from zoning.file_checks.shapefile.dbf import as_number, read_dbf
from zoning.file_checks.shapefile.prj import read_prj, wrong_crs
from zoning.file_checks.shapefile.shp import read_shp, rings_of

SETS = ("prescription", "passes/P1/P1_0706")


def named(findings):
    return sorted((one.code.removeprefix("file_checks."), one.severity) for one in findings)


@pytest.mark.parametrize("stem", SETS)
def test_shapes_and_rates_are_those_that_pyshp_reads(stem, out):
    shp = read_shp((out / f"{stem}.shp").read_bytes())
    dbf = read_dbf((out / f"{stem}.dbf").read_bytes(), len(shp.records))
    with pyshp.Reader(str(out / stem)) as reader:
        assert len(reader) == len(shp.records) == len(dbf.rows)
        for one, record in zip(reader.shapes(), shp.records, strict=True):
            assert np.array_equal(np.concatenate(record.rings), np.array(one.points))
            assert [0, *np.cumsum([len(ring) for ring in record.rings])[:-1]] == list(one.parts)
            assert record.box == tuple(one.bbox)
        rates = [row["RATE_GPA"] for row in reader.records()]
    assert dbf.rate is not None
    assert dbf.values(dbf.rate) == rates


def test_a_set_of_pyshp_is_good(out, tmp_path):
    good = read(out / "passes" / "P1" / "P1_0706.shp")
    with pyshp.Writer(str(tmp_path / "P2_0706"), shapeType=pyshp.POLYGON) as writer:
        writer.field("RATE_GPA", "N", size=8, decimal=2)
        for shape, text in zip(good.shapes, good.texts, strict=True):
            writer.poly(shape)
            writer.record(float(text[0]))
    for end in (".prj", ".cpg"):
        shutil.copy(out / "passes" / "P1" / f"P1_0706{end}", tmp_path / f"P2_0706{end}")
    assert checks(tmp_path) == ()


def test_a_set_of_gdal_with_its_own_widths_is_doubted_for_these_alone(out, tmp_path):
    table = geopandas.read_file(out / "passes" / "P1" / "P1_0706.shp")
    table.to_file(tmp_path / "GDAL.shp")
    assert named(checks(tmp_path)) == [("column_width", "doubtful")]


def test_a_geojson_of_gdal_is_good(out, tmp_path):
    table = geopandas.read_file(out / "passes" / "P1" / "P1_0706.geojson")
    table[["rate_gal_ac", "geometry"]].to_file(
        tmp_path / "P1.geojson", driver="GeoJSON", RFC7946="YES", COORDINATE_PRECISION="9"
    )
    assert checks(tmp_path) == ()
    older = json.loads((tmp_path / "P1.geojson").read_text())
    older["crs"] = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}
    (tmp_path / "P1.geojson").write_text(json.dumps(older))
    assert named(checks(tmp_path)) == [("old_crs", "doubtful")]


@pytest.mark.parametrize("form", ["WKT1_ESRI", "WKT1_GDAL", "WKT2_2015", "WKT2_2019"])
@pytest.mark.parametrize("pretty", [False, True])
def test_wgs_84_is_known_in_every_form_that_pyproj_writes(form, pretty):
    text = CRS.from_epsg(4326).to_wkt(form, pretty=pretty)
    assert list(wrong_crs(read_prj(text.encode()))) == []


# Geographic on other datums (two of them on nearly the same ellipsoid), projected, and with another meridian.
@pytest.mark.parametrize("epsg", [4267, 4269, 4258, 4490, 4322, 32615, 3857, 26915, 4807, 5070])
@pytest.mark.parametrize("form", ["WKT1_ESRI", "WKT1_GDAL", "WKT2_2019"])
def test_what_is_not_wgs_84_is_refused(epsg, form):
    text = CRS.from_epsg(epsg).to_wkt(form)
    assert len(list(wrong_crs(read_prj(text.encode())))) == 1


def test_rings_are_told_by_what_lies_in_what():
    # an outer ring, a pond in it, and an island in the pond with a well; each runs any way round
    rings = [np.array(square(-95 + shift, 44 + shift, side)[0]) for shift, side in SHAPES]
    for seed in range(8):
        draw = random.Random(seed)
        mixed = [rings[k][:: draw.choice((1, -1))] for k in draw.sample(range(4), 4)]
        record = read_shp(_one_record(mixed)).records[0]
        found = rings_of(record)
        sizes = {round(float(np.ptp(ring.points[:, 1])), 9): ring for ring in found}
        of = {side: sizes[round(side / 111_000, 9)] for _, side in SHAPES}
        assert [of[side].is_hole for side in (1000, 800, 400, 100)] == [False, True, False, True]
        assert of[1000].part == of[800].part != of[400].part == of[100].part


SHAPES = ((0.0, 1000), (0.0005, 800), (0.001, 400), (0.0015, 100))  # degrees inwards, m


def _one_record(rings):
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "one.shp"
        write(path, Table([[[tuple(point) for point in ring] for ring in rings]], [["    0.00"]]))
        return path.read_bytes()


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("   15.00", 15.0),
        ("-3", -3.0),
        (".5", 0.5),
        ("5.", 5.0),
        ("        ", None),
        ("********", None),
        ("1,5", None),
        ("nan", None),
        ("1e400", None),
        ("1_0", None),
        ("١٥", None),
        ("\0\0\0\0", None),
    ],
)
def test_numbers_are_plain_digits(text, value):
    assert as_number(text) == value


@pytest.mark.parametrize("lat", [-60.0, -33.0, 0.0, 44.0, 65.0])
def test_metres_are_those_of_the_ellipsoid(lat):
    # a square of about 1 km: area within a thousandth of pyproj's, which is all that a finding needs
    area = shapely.box(-95, lat, -95 + 0.01, lat + 0.01)
    wanted_m2 = abs(Geod(ellps="WGS84").geometry_area_perimeter(area)[0])
    assert Plane.around(-94.995, lat + 0.005).metres(area).area == pytest.approx(wanted_m2, rel=1e-3)


def test_by_hand_the_overlap_of_two_squares_is_told_in_square_metres(tmp_path):
    # squares of 100 m, the second 60 m north of the first, so that they share 40 m; a degree of longitude is
    # 80.2 km at 44 N, and 100 m of made_sets.square are 72 m there: 72.3 m x 40.0 m = 2,890 m2
    first, second = square(-95, 44, 100), square(-95, 44 + 60 / 111_000, 100)
    write(tmp_path / "P1.shp", Table([first, second], [["   15.00"], ["    0.00"]]))
    (one,) = [one for one in checks(tmp_path) if one.code == "file_checks.overlap"]
    assert one.text.startswith("row 2: lies on row 1 over 28")
    area_m2 = float(one.text.split(" over ")[1].split(" m2")[0])
    exact = Geod(ellps="WGS84").geometry_area_perimeter(
        shapely.intersection(shapely.Polygon(first[0]), shapely.Polygon(second[0]))
    )[0]
    assert area_m2 == pytest.approx(abs(exact), rel=1e-3)


def test_narrow_errors_of_rounding_are_no_overlap_and_no_gap(tmp_path):
    edges = [-95 + k * 0.001 for k in range(6)]

    def strips(slip):
        return [
            [[(a, 44), (a, 44.01), (b + slip, 44.01), (b + slip, 44), (a, 44)]] for a, b in pairwise(edges)
        ]

    codes = {}
    for slip in (1e-7, -1e-7, 1e-5, -1e-5):  # 8 mm and 0.8 m at 44 N
        texts = [["   15.00"] for _ in edges[1:]]
        write(tmp_path / "P1.shp", Table(strips(slip), texts))
        codes[slip] = {one.code.removeprefix("file_checks.") for one in checks(tmp_path)}
    assert not codes[1e-7] & {"overlap", "gap"}
    assert not codes[-1e-7] & {"overlap", "gap"}
    assert "overlap" in codes[1e-5]


def test_the_field_is_found_up_to_three_folders_above(out, tmp_path):
    shp = out / "passes" / "P1" / "P1_0706.shp"
    good = read(shp)
    write(shp, type(good)(good.shapes[1:], good.texts[1:]))
    assert ("not_covered", "refused") in named(checks(shp))
    alone = tmp_path / "stick"
    shutil.copytree(shp.parent, alone)
    assert "not_covered" not in {code for code, _ in named(checks(alone / "P1_0706.shp"))}


def test_a_plan_is_never_its_own_field(out):
    # with the last polygon gone, prescription.shp would cover the ground that it covers
    shp = out / "prescription.shp"
    whole = shp.read_bytes()
    records = read_shp(whole).records
    shp.write_bytes(whole[: records[-1].offset])
    assert "not_covered" not in {code for code, _ in named(checks(shp))}
    assert {code for code, _ in named(checks(shp))} >= {"length", "row_count", "index_count"}
