"""What the fuzzer found once, made small: each file is read or told in one clear line, and soon."""

import json
import sqlite3
import struct
import zipfile
from contextlib import closing

import fiona
import numpy as np
import pytest
from clear_faults import check
from made_folders import FIELD, field_folder, refused
from made_inputs import EAST, EPSG, NORTH, SOUTH, WEST, write_image
from rasterio import Affine
from shapely import box
from shapely.geometry import mapping

from zoning import file_checks
from zoning.errors import InputError
from zoning.file_checks import checks
from zoning.inputs import table, vector
from zoning.inputs.grid import Grid
from zoning.inputs.harvest.points import rows
from zoning.inputs.images import raster, tiff
from zoning.inputs.strips import outlines
from zoning.stage.likelihood import GRID, count_rules
from zoning.stage.posterior import Place, posterior

WANTED = raster.Wanted(bands=(1,), combine=lambda bands: bands)
PLACE = box(-95.39, 44.30, -95.38, 44.31)


def told(path) -> str:
    """Read a file of shapes; what is told."""
    with pytest.raises(InputError) as caught:
        vector.read(path, path.name, layer="zones")
    check(caught.value, (3,))
    return str(caught.value)


def written(path, driver: str, columns=(("name", "str:20", "made"),)):
    schema = {"geometry": "Polygon", "properties": {name: kind for name, kind, _ in columns}}
    with fiona.open(path, "w", driver=driver, crs="EPSG:4326", schema=schema) as file:
        file.write({"geometry": mapping(PLACE), "properties": {name: value for name, _, value in columns}})
    return path


def geojson(path, ring, **properties):
    feature = {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}), "utf-8")
    return path


def test_a_geopackage_whose_tables_have_odd_letters_does_not_end_the_program(tmp_path):
    """The library would not survive its own complaint, as that holds letters that are no UTF-8."""
    path = written(tmp_path / "a.gpkg", "GPKG")
    data = path.read_bytes()
    assert b"CREATE TRIGGER" in data
    path.write_bytes(
        data.replace(b"gpkg_tile_matrix_zoom_level_insert", b"gpk\xff\xff\xff\xffle_matrix_zoom_level_insert")
    )
    assert "cannot be read as GeoPackage" in told(path)
    with pytest.raises(InputError, match="cannot be read as GeoPackage"):
        rows.read(path, path.name, EPSG)


def test_a_geopackage_with_a_column_of_shapes_that_is_not_there_is_told(tmp_path):
    path = written(tmp_path / "a.gpkg", "GPKG")
    with closing(sqlite3.connect(path)) as base:
        base.execute("update gpkg_geometry_columns set column_name = 'elsewhere'")
        base.commit()
    assert "cannot be read as GeoPackage" in told(path)


def test_a_geopackage_without_layers_is_told_when_points_are_wanted(tmp_path):
    path = written(tmp_path / "a.gpkg", "GPKG")
    with closing(sqlite3.connect(path)) as base:
        base.execute("delete from gpkg_contents")
        base.commit()
    with pytest.raises(InputError, match="holds no points"):
        rows.read(path, path.name, EPSG)


def test_a_projection_that_contradicts_itself_is_told(tmp_path):
    path = written(tmp_path / "a.shp", "ESRI Shapefile")
    text = (tmp_path / "a.prj").read_text("ascii")
    (tmp_path / "a.prj").write_text(text.replace("6378137.0", "'x'"), "ascii")
    assert "CRS" in told(path)


def test_a_crs_with_odd_letters_in_its_names_is_told(tmp_path):
    path = written(tmp_path / "a.shp", "ESRI Shapefile")
    told_of = (tmp_path / "a.prj").read_bytes()
    (tmp_path / "a.prj").write_bytes(told_of.replace(b"GCS_WGS", b"GCS\xe9\xff\x80"))
    assert "CRS is not understood" in told(path)
    points = tmp_path / "p.shp"
    with fiona.open(
        points, "w", driver="ESRI Shapefile", crs="EPSG:4326", schema={"geometry": "Point", "properties": {}}
    ) as file:
        file.write({"geometry": mapping(PLACE.centroid), "properties": {}})
    (tmp_path / "p.prj").write_bytes(told_of.replace(b"GCS_WGS", b"GCS\xe9\xff\x80"))
    with pytest.raises(InputError, match="CRS is not understood"):
        rows.read(points, "p.shp", EPSG)


def test_a_column_without_a_name_warns_nobody(tmp_path):
    path = written(tmp_path / "a.shp", "ESRI Shapefile")
    table = bytearray((tmp_path / "a.dbf").read_bytes())
    table[32:43] = bytes(11)
    (tmp_path / "a.dbf").write_bytes(table)
    assert len(vector.read(path, "a.shp", layer="zones").features) == 1


@pytest.mark.parametrize("day", ["-2026-07-14", "2026-02-30"])
def test_a_day_that_no_calendar_has_is_told_or_taken_as_text(tmp_path, day):
    path = geojson(tmp_path / "a.geojson", mapping(PLACE)["coordinates"][0], planted=day)
    try:
        (found,) = vector.read(path, path.name, layer="planting").features
    except InputError as error:
        check(error)
        return
    assert found.columns["planted"] == day


def test_points_with_a_day_that_no_calendar_has_are_told(tmp_path):
    points = [
        {
            "type": "Feature",
            "properties": {"time": day},
            "geometry": {"type": "Point", "coordinates": [-95, 44]},
        }
        for day in ("2026-09-30T10:00:00", "2026-02-30T10:00:00")
    ]
    path = tmp_path / "a.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": points}), "utf-8")
    try:
        rows.read(path, path.name, EPSG)
    except InputError as error:
        check(error)


@pytest.mark.parametrize("corner", [[-95.38, 0], [-95.38, 1e30], [95.38, 44.31], [-95.38, -69]])
def test_a_corner_far_away_is_told_before_its_edges_are_divided(tmp_path, corner):
    """Half the earth away, the edges had ten thousands of corners, and mending took minutes."""
    ring = [list(one) for one in mapping(PLACE)["coordinates"][0]]
    ring[2] = corner
    line = told(geojson(tmp_path / "a.geojson", ring))
    assert "km across" in line or "no place on a farm" in line or "longitude 180" in line


def test_a_corner_beyond_the_edge_of_a_map_of_the_world_is_told(tmp_path):
    """In this CRS a corner comes round the earth again, and lies on a farm."""
    schema = {"geometry": "Polygon", "properties": {}}
    shape = box(-10_600_000, 5_500_000, -10_600_000 + 40_075_016.68 * 50, 5_501_000)
    with fiona.open(tmp_path / "a.gpkg", "w", driver="GPKG", crs="EPSG:3857", schema=schema) as file:
        file.write({"geometry": mapping(shape), "properties": {}})
    assert "km across" in told(tmp_path / "a.gpkg")


def test_a_corner_that_is_no_number_is_told(tmp_path):
    ring = [list(one) for one in mapping(PLACE)["coordinates"][0]]
    ring[1][1] = float("nan")
    assert "empty or broken" in told(geojson(tmp_path / "a.geojson", ring))


def test_a_cell_that_holds_a_list_is_an_empty_one(tmp_path):
    """The library leaves it out of its row."""
    path = geojson(tmp_path / "a.geojson", mapping(PLACE)["coordinates"][0], name="x")
    whole = json.loads(path.read_text("utf-8"))
    whole["features"].append(json.loads(json.dumps(whole["features"][0])))
    whole["features"][1]["properties"] = {"zone": [0, 0], "name": "y"}
    path.write_text(json.dumps(whole), "utf-8")
    first, second = (one.columns for one in vector.read(path, path.name, layer="zones").features)
    assert sorted(first) == sorted(second) == ["name", "zone"]
    assert (first["zone"], second["zone"]) == (None, None)


@pytest.mark.parametrize("far", [(-95.385, 1e308), (-95.385, 91.5), (4000.0, 44.305)])
def test_a_hole_far_outside_of_its_shape_is_told(tmp_path, far):
    hole = [(-95.388, 44.302), (-95.386, 44.302), far, (-95.388, 44.302)]
    path = geojson(tmp_path / "a.geojson", mapping(PLACE)["coordinates"][0])
    whole = json.loads(path.read_text("utf-8"))
    whole["features"][0]["geometry"]["coordinates"].append(hole)
    path.write_text(json.dumps(whole), "utf-8")
    assert "no place on a farm" in told(path)


def test_a_shape_that_no_plane_of_the_field_reaches_is_told(tmp_path):
    ring = [(-5.0, 0.0), (-4.0, 0.0), (-4.0, 1.0), (-5.0, 0.0)]  # a quarter of the earth away
    path = geojson(tmp_path / "a.geojson", ring)
    found = vector.read(path, path.name, layer="zones")
    with pytest.raises(InputError, match="shape 1 lies far from the field"):
        found.projected(EPSG)


def test_a_thousand_strips_on_each_other_are_told_soon():
    drawn = [(number, box(0, 0, 100, 30)) for number in range(1000)]
    (fault,) = outlines.overlaps(drawn, "design.geojson")
    check(fault)
    assert "1000 strips" in str(fault)


@pytest.fixture
def image(tmp_path):
    write_image(tmp_path / "a.tif", np.ones((1, 40, 40), "float32"))
    return tmp_path / "a.tif"


def test_a_tiff_whose_keys_of_the_crs_lead_nowhere_is_told(image):
    data = bytearray(image.read_bytes())
    (at,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, at)
    entries = [at + 2 + 12 * number for number in range(count)]
    keys = next(one for one in entries if struct.unpack_from("<H", data, one)[0] == 34737)  # GeoAsciiParams
    struct.pack_into("<H", data, keys, 34999)
    image.write_bytes(data)
    grid = Grid.covering((WEST, SOUTH, EAST, NORTH), EPSG, 10.0)
    try:
        with tiff.opened(image, "a.tif"):
            raster.onto_grid(image, "a.tif", grid, WANTED)
    except InputError as error:
        check(error)
    except raster.RasterioIOError:  # the caller tells that it is no GeoTIFF
        pass


def test_an_image_in_a_plane_that_does_not_reach_the_field_is_told(tmp_path):
    """In a plane around the other side of the earth the field lies nowhere."""
    path = tmp_path / "a.tif"
    crs = "+proj=gnom +lat_0=-44 +lon_0=85 +datum=WGS84 +units=m"
    write_image(path, np.ones((1, 40, 40), "float32"), crs=crs, transform=Affine(10, 0, 0, 0, -10, 0))
    grid = Grid.covering((WEST, SOUTH, EAST, NORTH), EPSG, 10.0)
    with pytest.raises(InputError) as caught:
        raster.onto_grid(path, "a.tif", grid, WANTED)
    check(caught.value)


def test_an_index_that_is_a_list_is_told(tmp_path):
    text = FIELD + '[[imagery]]\nfile = "a.tif"\nbands = { red = 1, nir = 2 }\nindex = ["NDVI"]\n'
    told = refused(field_folder(tmp_path, None, text))
    assert [one.where for one in told] == ['field.toml:8: imagery[1].index = ["NDVI"]']


def test_a_block_that_holds_thousands_of_bands_is_not_unpacked(tmp_path):
    path = tmp_path / "rate.tif"
    bands = np.ones((2100, 16, 16), "uint8")
    write_image(path, bands, tiled=True, blockxsize=128, blockysize=128, compress="lzw", interleave="pixel")
    (found, *_) = checks(path)
    assert found.severity == "refused"
    assert "34406400" in str(found)  # 128 x 128 x 2100 cells


def test_a_count_that_cannot_be_gives_a_day_and_no_nonsense():
    """Pods in May: all that is believed lies on one step, at the end of what is reckoned with."""
    places = [Place("v", "North", "1", 5.0), Place("v", "North", "2", 5.0)]
    logs = np.array([-500 * GRID, 800 * GRID])
    for counted in (1, 2):
        for found in posterior(places[:counted], logs[:counted], places, count_rules()):
            assert np.isfinite([found.mean_d, found.sd_d, *found.density]).all()
            assert GRID[0] <= found.mean_d <= GRID[-1]


@pytest.mark.parametrize("pixel_m", [2.8e-135, 1e-5, 2e6, 4.6e18])
def test_pixels_of_a_size_that_nothing_has_are_told(tmp_path, pixel_m):
    path = tmp_path / "a.tif"
    place = Affine(pixel_m, 0, WEST, 0, -pixel_m, NORTH)
    write_image(path, np.ones((1, 40, 40), "float32"), transform=place)
    with pytest.raises(InputError) as caught:
        raster.onto_grid(path, "a.tif", Grid.covering((WEST, SOUTH, EAST, NORTH), EPSG, 10.0), WANTED)
    check(caught.value)


def test_an_image_so_far_away_that_its_pixels_are_points_is_told(tmp_path):
    path = tmp_path / "a.tif"
    place = Affine(10, 0, WEST, 0, -10, 3.5e92)
    write_image(path, np.ones((1, 40, 40), "float32"), transform=place)
    with pytest.raises(InputError, match="misses the field"):
        raster.onto_grid(path, "a.tif", Grid.covering((WEST, SOUTH, EAST, NORTH), EPSG, 10.0), WANTED)


def test_a_tiff_whose_crs_has_odd_letters_in_its_name_is_told(image):
    write_image(image, np.ones((1, 40, 40), "float32"), crs='LOCAL_CS["our own site",UNIT["metre",1]]')
    data = image.read_bytes()
    assert b"our own site" in data
    image.write_bytes(data.replace(b"our own site", b"our o\x80n site"))
    with pytest.raises(InputError, match="cannot be read as a GeoTIFF"):
        raster.onto_grid(image, "a.tif", Grid.covering((WEST, SOUTH, EAST, NORTH), EPSG, 10.0), WANTED)


def test_a_pixel_of_the_other_kind_of_no_number_warns_nobody(image):
    bands = np.ones((1, 40, 40), "float32")
    bands.view("uint32")[0, 20, 20] = 0x7F800001
    write_image(image, bands)
    grid = Grid.covering((WEST, SOUTH, EAST, NORTH), EPSG, 10.0)
    found = raster.onto_grid(image, "a.tif", grid, WANTED)
    assert np.nanmin(found.values) == np.nanmax(found.values) == 1


def test_a_quote_within_a_quoted_cell_opens_no_further_line_unseen(tmp_path):
    """Read kindly such a cell goes on below, though by the letter of the rule it is at fault at once."""
    path = tmp_path / "a.csv"
    path.write_text('date,note\n2026-07-07,"rows, "open,"clean\n2026-07-08,fine\n')
    with pytest.raises(InputError, match="a quoted cell runs over several lines") as caught:
        table.read(path, "a.csv")
    assert caught.value.where == "a.csv:2"


def test_a_member_of_a_zip_without_a_name_is_no_crash(tmp_path):
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as file:
        file.writestr("xyz.shp", "1")
    path.write_bytes(path.read_bytes().replace(b"xyz.shp", b"\0yz.shp"))
    assert file_checks.check(path).findings
