"""Every GeoPackage that is written, held to the rules of the standard by sqlite alone.

The rules are those that a validator asks for, of OGC 12-128r15 (GeoPackage 1.3); numbers of requirements
stand beside them. Geometry is read from its bytes, and by no library.
"""

import sqlite3
import struct
from contextlib import closing

import pytest
from made_no_spray import with_no_spray
from made_plans import Made, made_plan, smooth_field, with_scouting
from read_geopackage import parsed

from zoning import __version__
from zoning.prescription import geopackage
from zoning.prescription.formats import write_all
from zoning.prescription.of_a_pass import pass_geopackage


def plan_of(units="us"):
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    plan = made_plan(
        Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1, 4: 2}, units=units)
    )
    return with_no_spray(with_scouting(plan, counted=[1]), {6: "setback"})


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("out")
    names = [name for name in write_all(plan_of(), folder) if name.endswith(".gpkg")]
    assert len(names) == 3
    return [folder / name for name in names]


def test_published_container(files):
    # requirements 1 (format 3 of SQLite), 2 (application id, user version), 6 and 7 (integrity, keys)
    for path in files:
        head = path.read_bytes()[:100]
        assert head[:16] == b"SQLite format 3\0"
        assert struct.unpack_from(">I", head, 68) == (0x47504B47,)
        assert struct.unpack_from(">I", head, 60) == (10300,)
        assert head[18:20] == b"\1\1", "no write-ahead log"
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as base:
            assert base.execute("pragma integrity_check").fetchall() == [("ok",)]
            assert base.execute("pragma foreign_key_check").fetchall() == []
        assert {one.name for one in path.parent.iterdir() if one.name.startswith(path.name)} == {path.name}


def test_published_required_tables_and_systems(files):
    # requirements 10-14 (spatial reference systems, contents), 21-27 (geometry columns)
    for path in files:
        with closing(sqlite3.connect(path)) as base:
            systems = {
                srs: (organization, code)
                for srs, organization, code in base.execute(
                    "select srs_id, organization, organization_coordsys_id from gpkg_spatial_ref_sys"
                )
            }
            assert systems[-1] == ("NONE", -1)
            assert systems[0] == ("NONE", 0)
            assert systems[4326] == ("EPSG", 4326)
            contents = dict(base.execute(
                "select table_name, srs_id from gpkg_contents where data_type = 'features'"))  # fmt: skip
            columns = base.execute("select table_name, column_name, geometry_type_name, srs_id, z, m"
                                   " from gpkg_geometry_columns").fetchall()  # fmt: skip
            assert {row[0] for row in columns} == set(contents)
            for table, geometry, kind, srs, z, m in columns:
                assert srs == contents[table] == 4326
                assert (z, m) == (0, 0)
                assert kind == ("POINT" if table == "scouting" else
                                "POLYGON" if table == pass_geopackage.LAYER else "MULTIPOLYGON")  # fmt: skip
                declared = {row[1]: row[2] for row in base.execute(f"pragma table_info({table})")}
                assert declared[geometry] == kind
                keys = [row[1] for row in base.execute(f"pragma table_info({table})") if row[5]]
                assert keys == ["fid"]


def test_published_spatial_index(files):
    # requirements 58, 75-77: extension rows, and an r-tree of every row of every layer, with its extent
    for path in files:
        with closing(sqlite3.connect(path)) as base:
            layers = base.execute("select table_name, column_name from gpkg_geometry_columns").fetchall()
            extended = base.execute("select table_name, column_name, scope from gpkg_extensions"
                                    " where extension_name = 'gpkg_rtree_index'").fetchall()  # fmt: skip
            assert sorted(extended) == sorted((table, geometry, "write-only") for table, geometry in layers)
            for table, geometry in layers:
                boxes = base.execute(f"select id, minx, miny, maxx, maxy from rtree_{table}_{geometry}")
                index = {row[0]: row[1:] for row in boxes}
                rows = dict(base.execute(f"select fid, {geometry} from {table}"))
                assert set(index) == set(rows)
                for fid, blob in rows.items():
                    xs, ys = zip(*parsed(blob).corners, strict=True)
                    # an r-tree holds 32-bit numbers, rounded outwards: 1e-5 deg at 96 W
                    inner = (min(xs), min(ys), max(xs), max(ys))
                    assert index[fid] == pytest.approx(inner, abs=2e-5)
                    assert index[fid][0] <= inner[0]
                    assert index[fid][2] >= inner[2]


def test_published_geometry_header_and_bounds(files):
    # requirement 19: header of the blob; 13: the bounds in gpkg_contents hold the data
    for path in files:
        with closing(sqlite3.connect(path)) as base:
            for table, west, south, east, north in base.execute(
                "select table_name, min_x, min_y, max_x, max_y from gpkg_contents"
                " where data_type = 'features'"
            ).fetchall():
                seen = []
                for (blob,) in base.execute(f"select geom from {table}"):
                    found = parsed(blob)
                    assert found.srs == 4326
                    assert all(ring[0] == ring[-1] for rings in found.polygons for ring in rings)
                    assert all(len(ring) >= 4 for rings in found.polygons for ring in rings)
                    xs, ys = zip(*found.corners, strict=True)
                    if found.envelope is not None:
                        assert found.envelope == (min(xs), max(xs), min(ys), max(ys))
                    seen += found.corners
                xs, ys = zip(*seen, strict=True)
                # GDAL writes these as text of 16 digits
                bounds = pytest.approx((min(xs), min(ys), max(xs), max(ys)), rel=1e-15, abs=0)
                assert (west, south, east, north) == bounds


@pytest.mark.parametrize("units", ["us", "metric"])
def test_layer_of_a_pass_says_what_it_is(tmp_path, units):
    plan = plan_of(units)
    names = pass_geopackage.write(plan, tmp_path)
    assert names == ("passes/P1/P1_0706.gpkg", "passes/P2/P2_0714.gpkg")
    unit, rate = ("L/ha", "rate_l_ha") if units == "metric" else ("US gal/ac", "rate_gal_ac")
    for name, one in zip(names, plan.passes, strict=True):
        with closing(sqlite3.connect(tmp_path / name)) as base:
            ((table, about, changed),) = base.execute(
                "select table_name, description, last_change from gpkg_contents where data_type = 'features'"
            ).fetchall()
            assert (table, changed) == ("prescription", "2026-07-01T00:00:00.000Z")
            ((tags,),) = base.execute("select metadata from gpkg_metadata").fetchall()
            for key, value in {
                "run_id": plan.run_id,
                "made_on": "2026-07-01",
                "crs": "EPSG:4326",
                "units": units,
                "version": f"sprayworth {__version__}",
                "day": one.day.isoformat(),
                "rate_unit": unit,
            }.items():
                assert f"{key}: {value}" in about
                assert f'<MDI key="{key}">{value}</MDI>' in tags
            columns = [row[1] for row in base.execute("pragma table_info(prescription)")]
            assert columns == ["fid", "geom", *pass_geopackage.columns(units == "metric")]
            assert [column for column in columns if "rate" in column] == [rate]
            rates = base.execute(f"select {rate}, action from prescription order by fid").fetchall()
        assert [what for _, what in rates] == [
            "spray" if part.rate_gal_ac else "off" for part in one.map.parts
        ]
        # by hand: 15 and 20 gal/ac, or x 9.35395639 = 140.3093 -> 140.31 and 187.0791 -> 187.08 L/ha, up
        wanted = {0.0, {"us": [15.0, 20.0], "metric": [140.31, 187.08]}[units][one.number - 1]}
        assert {value for value, _ in rates} == wanted


def test_zones_say_their_run(tmp_path):
    plan = plan_of()
    geopackage.write(plan, tmp_path)
    with closing(sqlite3.connect(tmp_path / geopackage.NAME)) as base:
        for (about,) in base.execute("select description from gpkg_contents"):
            assert f"run_id: {plan.run_id}; field: Three Dates" in about
            assert about.endswith(f"version: sprayworth {__version__}; schedule: alone")
