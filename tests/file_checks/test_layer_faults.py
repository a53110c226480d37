"""GeoPackages, rasters and GeoParquet: good files give no finding, each seeded fault is told by its rule."""

import struct

import numpy as np
import pyarrow as pa
import pytest
import shapely
from made_layers import ZONES, blob, geo, gpkg_bytes, parquet_bytes, tiff_bytes, zone_cells
from made_taskdata import EAST, FIELD, LOW, ground
from rasterio import Affine

from zoning.file_checks import geopackage, geoparquet, geotiff
from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.place import on_disk

OF_ENDING = {".gpkg": geopackage, ".tif": geotiff, ".parquet": geoparquet}


def found(folder, field=None):
    """Check all that lies in a folder by the three formats."""
    place = on_disk(folder)
    findings = []
    for format_ in OF_ENDING.values():
        for names in format_.groups(place):
            try:
                findings += format_.check(place, names, field)
            except UnreadableError as fault:
                findings.append(fault.found(place.told(names[0])))
    return findings


def names_of(findings):
    return {one.code.removeprefix("file_checks.") for one in findings}


def put(tmp_path, **files):
    """Write files: `_` before the ending stands for the point."""
    for name, content in files.items():
        path = tmp_path / ".".join(name.rsplit("_", 1))
        path.write_bytes(content)
    return tmp_path


@pytest.mark.parametrize("field", [None, FIELD])
def test_good_files_give_no_finding(field, tmp_path):
    put(tmp_path, prescription_gpkg=gpkg_bytes(), zones_gpkg=gpkg_bytes(layer="zones"))
    put(tmp_path, zone_tif=tiff_bytes(), farm_parquet=parquet_bytes())
    assert found(tmp_path, field) == []


SET = "update prescription set "
BOUNDS = ("update gpkg_contents set min_x = min_x + ? where table_name = 'prescription'", (0.001,))


def geometry(content, row=1):
    return (SET + "geom = ? where fid = ?", (content, row))


def with_shape(shape, row=1):
    return gpkg_bytes(geometry(blob(shape), row))


def with_header(at, replacement):
    made = bytearray(gpkg_bytes())
    made[at : at + len(replacement)] = replacement
    return bytes(made)


def damaged_page():
    rows = (f"insert into extra values ('{'x' * 900}')" for _ in range(40))
    made = bytearray(gpkg_bytes("create table extra (note text)", *rows))
    made[-4096:-3072] = b"\xff" * 1024  # the head of the last page, which no layer needs
    return bytes(made)


def overrun(shape, count):
    """Well-known binary that promises more points than it has."""
    made = bytearray(shapely.to_wkb(shape, byte_order=1))
    struct.pack_into("<I", made, 9, count)
    return bytes(made)


# A table that is a query without end, and one that makes gigabytes.
ENDLESS = (
    "with recursive n(i) as (select 1 union all select i + 1 from n) select i as fid, 'a' as geom from n"
)
SWOLLEN = ENDLESS.replace("'a'", "zeroblob(900000)")
HIGH = shapely.force_3d(LOW, 300)
GPKG = {
    "a text file with the ending of a GeoPackage": (b"RATE_GPA,15\n" * 20, "gpkg_not_sqlite"),
    "an empty GeoPackage": (b"", "gpkg_not_sqlite"),
    "a GeoPackage cut after its header": (gpkg_bytes()[:1000], "gpkg_broken"),
    "a layer without end": (
        gpkg_bytes("drop table prescription", f"create view prescription as {ENDLESS}"),
        "gpkg_too_much",
    ),
    "a layer that swells": (
        gpkg_bytes("drop table prescription", f"create view prescription as {SWOLLEN}"),
        "gpkg_too_much",
    ),
    "a damaged page": (damaged_page(), "gpkg_damaged"),
    "a database that calls itself nothing": (with_header(68, b"\0\0\0\0"), "gpkg_application_id"),
    "a version from the future": (gpkg_bytes("pragma user_version = 10400"), "gpkg_new_version"),
    "a log in the header": (with_header(18, b"\2\2"), "gpkg_keeps_log"),
    "no list of coordinate systems": (gpkg_bytes("drop table gpkg_spatial_ref_sys"), "gpkg_no_table"),
    "no list of contents": (gpkg_bytes("drop table gpkg_contents"), "gpkg_no_table"),
    "no row for undefined coordinates": (
        gpkg_bytes("delete from gpkg_spatial_ref_sys where srs_id = -1"),
        "gpkg_systems",
    ),
    "4326 as somebody else's": (
        gpkg_bytes("update gpkg_spatial_ref_sys set organization = 'ME' where srs_id = 4326"),
        "gpkg_systems",
    ),
    "no rows": (gpkg_bytes("delete from prescription"), "gpkg_no_layer"),
    "a layer that is not among the contents": (
        gpkg_bytes("delete from gpkg_contents where table_name = 'prescription'"),
        "gpkg_unlisted",
    ),
    "a layer that is not among the geometry columns": (
        gpkg_bytes("delete from gpkg_geometry_columns"),
        "gpkg_unlisted",
    ),
    "a layer whose table is gone": (gpkg_bytes("drop table prescription"), "gpkg_no_rows"),
    "a geometry column of another name": (
        gpkg_bytes("update gpkg_geometry_columns set column_name = 'shape'"),
        "gpkg_no_rows",
    ),
    "two coordinate systems for one layer": (
        gpkg_bytes("update gpkg_contents set srs_id = 0 where table_name = 'prescription'"),
        "gpkg_srs_differs",
    ),
    "a layer in UTM": (
        gpkg_bytes("update gpkg_geometry_columns set srs_id = 32615"),
        "gpkg_not_lonlat",
    ),
    "a layer without a key": (
        gpkg_bytes(
            "create table other as select * from prescription",
            "drop table prescription",
            "alter table other rename to prescription",
        ),
        "gpkg_no_key",
    ),
    "an index that is not there": (
        gpkg_bytes("insert into gpkg_extensions values ('prescription', 'geom', 'gpkg_rtree_index', '', '')"),
        "gpkg_index",
    ),
    "bounds of another place": (gpkg_bytes(BOUNDS), "gpkg_bounds"),
    "no bounds": (gpkg_bytes("update gpkg_contents set min_x = null"), "gpkg_bounds"),
    "styles that are not among the contents": (
        gpkg_bytes("delete from gpkg_contents where table_name = 'layer_styles'"),
        "gpkg_styles_unlisted",
    ),
    "a style of no layer": (
        gpkg_bytes("insert into layer_styles (f_table_name) values ('zonen')"),
        "gpkg_style_of_nothing",
    ),
    "a row without geometry": (gpkg_bytes(geometry(None)), "gpkg_no_geometry"),
    "a geometry without its header": (gpkg_bytes(geometry(shapely.to_wkb(LOW))), "gpkg_bad_blob"),
    "a geometry as text": (gpkg_bytes(geometry(LOW.wkt)), "gpkg_bad_blob"),
    "a geometry cut short": (gpkg_bytes(geometry(blob(LOW)[:-9])), "gpkg_bad_geometry"),
    "a byte too many behind a geometry": (gpkg_bytes(geometry(blob(LOW) + b"\0")), "gpkg_bad_geometry"),
    "a ring of four thousand million points": (
        gpkg_bytes(geometry(blob(LOW, wkb=overrun(LOW, 2**32 - 1)))),
        "gpkg_bad_geometry",
    ),
    "a row in UTM": (gpkg_bytes(geometry(blob(LOW, srs=32615))), "gpkg_blob_srs"),
    "an envelope of another place": (
        gpkg_bytes(geometry(blob(EAST, wkb=shapely.to_wkb(LOW, byte_order=1)))),
        "gpkg_envelope",
    ),
    "a row of many polygons in a layer of single ones": (
        with_shape(shapely.MultiPolygon([LOW])),
        "gpkg_other_type",
    ),
    "heights": (gpkg_bytes(geometry(blob(LOW, wkb=shapely.to_wkb(HIGH, byte_order=1)))), "gpkg_heights"),
    "no column for the rate": (
        gpkg_bytes("alter table prescription rename column rate_gal_ac to gallons"),
        "gpkg_no_rate_column",
    ),
    "two columns for the rate": (
        gpkg_bytes("alter table prescription add column rate_l_ha double"),
        "gpkg_several_rates",
    ),
    "a rate without its unit": (
        gpkg_bytes("alter table prescription rename column rate_gal_ac to rate"),
        "gpkg_no_unit",
    ),
    "a rate as text": (gpkg_bytes(SET + "rate_gal_ac = '15 gal' where fid = 2"), "gpkg_rate_is_text"),
    "a rate of NULL": (gpkg_bytes(SET + "rate_gal_ac = null where fid = 2"), "no_rate"),
    "a rate below 0": (gpkg_bytes(SET + "rate_gal_ac = -1 where fid = 2"), "negative_rate"),
    "a rate times 100": (gpkg_bytes(SET + "rate_gal_ac = 1500 where fid = 2"), "implausible_rate"),
    "zones that overlap": (with_shape(ground((0, 0), (170, 0), (170, 150), (0, 150))), "overlap"),
    "a gap": (with_shape(LOW.difference(ground((60, 60), (90, 60), (90, 90), (60, 90)))), "gap"),
    "a zone left out": (gpkg_bytes("delete from prescription where fid = 3"), "not_covered"),
    "north before east": (
        gpkg_bytes(*(geometry(blob(shapely.transform(s, lambda a: a[:, ::-1])), z) for z, s, _ in ZONES)),
        "swapped",
    ),
    "a polygon beside the field": (with_shape(shapely.transform(LOW, lambda a: a - 0.01)), "outside"),
}


@pytest.mark.parametrize(("content", "code"), GPKG.values(), ids=GPKG)
def test_a_fault_of_a_geopackage_is_told(content, code, tmp_path):
    assert code in names_of(found(put(tmp_path, P1_gpkg=content), FIELD))


def test_an_envelope_with_heights_is_read(tmp_path):
    # Kind 2 of an envelope: six doubles, the heights behind west, east, south, north.
    west, south, east, north = LOW.bounds
    head = b"GP" + bytes([0, 0b101]) + struct.pack("<i6d", 4326, west, east, south, north, 300, 300)
    content = gpkg_bytes(geometry(head + shapely.to_wkb(HIGH, byte_order=1)))
    assert names_of(found(put(tmp_path, P1_gpkg=content), FIELD)) == {"gpkg_heights"}


@pytest.mark.parametrize("end", ["-wal", "-journal"])
def test_what_a_program_left_beside_is_told(end, tmp_path):
    put(tmp_path, P1_gpkg=gpkg_bytes())
    (tmp_path / f"P1.gpkg{end}").write_bytes(b"x")
    assert names_of(found(tmp_path)) == {"gpkg_left_over"}


def test_checking_leaves_the_files_as_they_are(tmp_path):
    for name, content in {"a_gpkg": with_header(18, b"\2\2"), "b_tif": tiff_bytes(crs=None)}.items():
        put(tmp_path, **{name: content})
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert found(tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


UTM = zone_cells()[1]
FLIPPED = Affine(UTM.a, 0, UTM.c, 0, -UTM.e, UTM.f + UTM.e * zone_cells()[0].shape[0])
TIFF = {
    "a text file with the ending of a raster": (b"zone\n" * 20, "tiff_broken"),
    "a raster cut in the middle": (tiff_bytes()[:300], "tiff_broken"),
    "no coordinate system": (tiff_bytes(crs=None), "tiff_no_crs"),
    "no place": (tiff_bytes(cog=False, crs=None, transform=None), "tiff_no_place"),
    "a turned raster": (tiff_bytes(cog=False, transform=UTM @ Affine.rotation(20)), "tiff_rotated"),
    "a positive row step": (tiff_bytes(cells=np.flipud, cog=False, transform=FLIPPED), "tiff_north_down"),
    "coordinates in US feet": (tiff_bytes(crs="EPSG:2264"), "tiff_not_metres"),
    "two bands": (
        tiff_bytes(cells=lambda made: np.stack([made, made]), colours=False),
        "tiff_several_bands",
    ),
    "no number for nothing": (tiff_bytes(nodata=None), "tiff_no_nodata"),
    "no value at all": (tiff_bytes(cells=np.zeros_like), "tiff_nothing"),
    "NaN where nothing is -9999": (
        tiff_bytes(
            cells=lambda made: np.where(made == 0, np.nan, made).astype("f4"), colours=False, nodata=-9999
        ),
        "tiff_not_finite",
    ),
    "rows in one piece": (tiff_bytes(cog=False), "tiff_layout"),
    "a large raster without overviews": (
        tiff_bytes(cells=lambda made: np.kron(made, np.ones((20, 20), dtype="u1"))),
        "tiff_no_overviews",
    ),
    "no colours": (tiff_bytes(colours=False), "tiff_no_colours"),
    "no description": (tiff_bytes(about=""), "tiff_no_about"),
    "another UTM zone": (tiff_bytes(crs="EPSG:32614"), "tiff_off_field"),
    "rows upside down": (tiff_bytes(cells=np.flipud), "tiff_upside_down"),
    "values all around the field": (
        tiff_bytes(cells=lambda made: np.where(made == 0, 3, made).astype("u1")),
        "tiff_values_beside",
    ),
}


@pytest.mark.parametrize(("content", "code"), TIFF.values(), ids=TIFF)
def test_a_fault_of_a_raster_is_told(content, code, tmp_path):
    assert code in names_of(found(put(tmp_path, other_tif=content), FIELD))


def test_a_raster_with_south_up_that_says_so_is_not_upside_down(tmp_path):
    told = names_of(found(put(tmp_path, zone_tif=TIFF["a positive row step"][0]), FIELD))
    assert told == {"tiff_north_down", "tiff_layout"}


def test_a_raster_of_another_plan_is_told(tmp_path):
    put(tmp_path, zones_gpkg=gpkg_bytes(layer="zones"))
    put(tmp_path, zone_tif=tiff_bytes(cells=lambda made: np.where(made == 1, 2, made).astype("u1")))
    assert names_of(found(tmp_path)) == {"tiff_other_values"}


def test_rows_upside_down_are_told_by_the_plan_alone(tmp_path):
    # A square field: no cell leaves its outline when the rows are turned, so only zones.gpkg can tell.
    square = ((1, LOW, 20.0), (2, ground((0, 150), (150, 150), (150, 300), (0, 300)), 15.0))
    put(tmp_path, zones_gpkg=gpkg_bytes(layer="zones", shapes=square))
    put(
        tmp_path, zone_tif=tiff_bytes(cells=lambda made: np.flipud(np.where(made == 3, 2, made * (made < 2))))
    )
    assert names_of(found(tmp_path)) == {"tiff_upside_down"}


def test_a_style_that_is_cut_is_told(tmp_path):
    put(tmp_path, zone_tif=tiff_bytes(), zone_qml=b"<qgis><layer>")
    assert names_of(found(tmp_path)) == {"tiff_style_broken"}


def changed(*path, **values):
    """Good metadata with one thing changed; a value of None takes it away."""
    about = geo()
    node = about
    for step in path:
        node = node[step]
    for key, value in values.items():
        if value is None:
            del node[key]
        else:
            node[key] = value
    return about


COLUMN = ("columns", "geometry")
LOW_ALONE = [LOW, EAST, None]
PARQUET = {
    "a text file with the ending of Parquet": (b"zone,rate\n" * 20, "parquet_other"),
    "a file cut in the middle": (parquet_bytes()[:900] + b"PAR1", "parquet_broken"),
    "no metadata": (parquet_bytes(metadata={}), "parquet_no_geo"),
    "metadata that are no JSON": (parquet_bytes(metadata={b"geo": b"{"}), "parquet_geo_broken"),
    "metadata that are a list": (parquet_bytes(metadata={b"geo": b"[1]"}), "parquet_geo_broken"),
    "no version": (parquet_bytes(changed(version=None)), "parquet_version"),
    "version 9": (parquet_bytes(changed(version="9.0.0")), "parquet_version"),
    "no primary column": (parquet_bytes(changed(primary_column=None)), "parquet_no_primary"),
    "a primary column that is not there": (
        parquet_bytes(changed(primary_column="shape")),
        "parquet_no_column",
    ),
    "a primary column that is not described": (parquet_bytes(changed(columns={})), "parquet_not_described"),
    "a column that is not there": (
        parquet_bytes(changed("columns", other={"encoding": "WKB", "geometry_types": []})),
        "parquet_no_column",
    ),
    "another encoding": (parquet_bytes(changed(*COLUMN, encoding="WKT")), "parquet_encoding"),
    "no encoding": (parquet_bytes(changed(*COLUMN, encoding=None)), "parquet_encoding"),
    "geometries as text": (
        parquet_bytes(geometry=pa.array([shape.wkt for _, shape, _ in ZONES])),
        "parquet_not_binary",
    ),
    "no types": (parquet_bytes(changed(*COLUMN, geometry_types=None)), "parquet_types"),
    "another type": (parquet_bytes(changed(*COLUMN, geometry_types=["Point"])), "parquet_types"),
    "UTM": (
        parquet_bytes(changed(*COLUMN, crs={"name": "UTM 15N", "id": {"authority": "EPSG", "code": 32615}})),
        "parquet_crs",
    ),
    "bounds of another place": (parquet_bytes(changed(*COLUMN, bbox=[0, 0, 1, 1])), "parquet_box"),
    "no rows": (parquet_bytes(shapes=[], boxes=[]), "parquet_no_rows"),
    "a row without geometry": (parquet_bytes(shapes=LOW_ALONE), "parquet_no_geometry"),
    "a geometry cut short": (
        parquet_bytes(geometry=pa.array([shapely.to_wkb(shape)[:-3] for _, shape, _ in ZONES])),
        "parquet_bad_geometry",
    ),
    "a covering of columns that are not there": (
        parquet_bytes(changed(*COLUMN, "covering", bbox={"xmin": ["box", "xmin"]})),
        "parquet_covering",
    ),
    "boxes of another place": (parquet_bytes(boxes=[(0, 0, 1, 1)] * 3), "parquet_boxes"),
    "north before east": (
        parquet_bytes(shapes=[shapely.transform(s, lambda a: a[:, ::-1]) for _, s, _ in ZONES]),
        "swapped",
    ),
}


@pytest.mark.parametrize(("content", "code"), PARQUET.values(), ids=PARQUET)
def test_a_fault_of_a_geoparquet_file_is_told(content, code, tmp_path):
    assert code in names_of(found(put(tmp_path, farm_parquet=content)))


def test_every_rule_has_a_seeded_fault():
    seeded = {code for table in (GPKG, TIFF, PARQUET) for _, code in table.values()}
    elsewhere = {"gpkg_left_over", "tiff_other_values", "tiff_style_broken"}  # tests of their own, above
    for rules in (geopackage.RULES, geotiff.RULES, geoparquet.RULES):
        assert {rule.name for rule in rules} - seeded <= elsewhere
    assert len(GPKG) + len(TIFF) + len(PARQUET) >= 80
