"""Boundaries: every format gives the same ground; what cannot be placed or used is refused in one line."""

import json
import math
from pathlib import Path

import fiona
import pytest
import shapefile
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, WEST, Folder
from pyproj import CRS, Geod, Transformer
from shapely import MultiPolygon, Polygon, box
from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import area
from zoning.inputs.files import find
from zoning.inputs.ground import boundary

HOLE = box(WEST + 100, SOUTH + 100, WEST + 160, SOUTH + 150)
PART = box(EAST + 40, SOUTH, EAST + 140, SOUTH + 80)
SHAPE = MultiPolygon([FIELD.difference(HOLE), PART])


def write(path: Path, shapes: list[BaseGeometry], crs: object, driver: str, layer: str | None = None) -> None:
    schema = {"geometry": "MultiPolygon" if driver == "GPKG" else "Polygon", "properties": {"name": "str"}}
    extra = {"layer": layer} if layer else {}
    with fiona.open(path, "w", driver=driver, crs=crs, schema=schema, **extra) as target:
        for shape in shapes:
            whole = MultiPolygon([shape]) if driver == "GPKG" and isinstance(shape, Polygon) else shape
            target.write({"geometry": mapping(whole), "properties": {"name": "x"}})


@pytest.mark.parametrize("crs", [4326, 32615, 26915, 26851, 3857, 32614])  # 26851: Minnesota South, US feet
@pytest.mark.parametrize(("driver", "end"), [("GPKG", "gpkg"), ("ESRI Shapefile", "shp")])
def test_every_format_and_crs_gives_the_same_ground(tmp_path: Path, crs: int, driver: str, end: str) -> None:
    there = Transformer.from_crs(EPSG, crs, always_xy=True)
    shapes = [
        shapely.transform(shapely.segmentize(part, 20), there.transform, interleaved=False)
        for part in SHAPE.geoms
    ]
    path = tmp_path / f"boundary.{end}"
    write(path, shapes, f"EPSG:{crs}", driver)
    found = boundary.read(path, path.name)
    assert found.epsg == EPSG
    assert found.area.symmetric_difference(SHAPE).area < 2  # m2 of 124,000; NAD83 is WGS84 to within 1 m
    assert found.area.area == pytest.approx(SHAPE.area, rel=1e-6)


def test_a_straight_edge_is_the_same_line_in_every_crs(tmp_path: Path) -> None:
    # 8 km along a parallel at 44 N: its chord in UTM leaves it by s^2 tan(lat) / (8 R)
    # = 8000^2 x 0.966 / (8 x 6.38e6) = 1.2 m, so corners alone would lose 8 km x 1.2 m x 2/3 = 0.6 ha.
    long = box(-95.5, 44.0, -95.4, 44.01)
    write(tmp_path / "long.gpkg", [long], "EPSG:4326", "GPKG")
    found = boundary.read(tmp_path / "long.gpkg", "long.gpkg")
    dense = shapely.segmentize(long, 1e-5)
    exact = area.from_lonlat(dense, found.epsg)
    assert found.area.symmetric_difference(exact).area < 30
    corners_only = area.from_lonlat(long, found.epsg)
    assert corners_only.symmetric_difference(exact).area > 10_000


def test_geojson_is_longitude_and_latitude_by_its_standard(folder: Folder) -> None:
    found = boundary.read(folder.field / "boundary.geojson", "boundary.geojson")
    assert found.epsg == EPSG
    # A straight edge of GeoJSON is straight in degrees: over 400 m up to 3 mm beside the line in UTM.
    assert found.area.symmetric_difference(FIELD).area < 2
    # The middle of FIELD, by pyproj: 309200, 4908150 in zone 15.
    lon, lat = Transformer.from_crs(EPSG, 4326, always_xy=True).transform(309_200, 4_908_150)
    assert (found.longitude_deg, found.latitude_deg) == pytest.approx((lon, lat), abs=1e-6)


def test_several_features_are_one_field_and_a_shared_edge_vanishes(folder: Folder) -> None:
    west, east = box(WEST, SOUTH, WEST + 200, NORTH), box(WEST + 200, SOUTH, EAST, NORTH)
    folder.shapes("two.geojson", [west, east])
    found = boundary.read(folder.field / "two.geojson", "two.geojson")
    assert isinstance(found.area, Polygon)
    assert found.area.area == pytest.approx(FIELD.area, rel=1e-6)


def test_by_hand_a_bow_tie_is_mended_and_said(folder: Folder) -> None:
    # Corners in the order of a bow tie: two triangles of 300 x 200 / 2 = 30,000 m2 each, 60,000 in all
    # (14.83 ac in the plane); its ring, signed, encloses nothing.
    tie = Polygon([(WEST, SOUTH), (EAST, NORTH), (EAST, SOUTH), (WEST, NORTH)])
    folder.shapes("tie.geojson", [tie])
    found = boundary.read(folder.field / "tie.geojson", "tie.geojson")
    assert found.area.is_valid
    assert found.area.area == pytest.approx(60_000, rel=1e-4)
    assert [note.code for note in found.notes] == ["inputs.boundary_mended"]
    assert "0.00 ac as drawn, 14.8" in found.notes[0].text
    assert "self-intersection near -95.3" in found.notes[0].text


def test_a_ring_that_overlaps_itself_keeps_its_ground(folder: Folder) -> None:
    # A recorder that was not stopped: the corner is driven twice; even-odd filling would cut a hole there.
    corners = [(0, 0), (400, 0), (400, 300), (0, 300), (0, -20), (60, -20), (60, 40), (-20, 40), (-20, 0)]
    folder.shapes("twice.geojson", [Polygon([(WEST + x, SOUTH + y) for x, y in corners])])
    found = boundary.read(folder.field / "twice.geojson", "twice.geojson")
    assert found.area.covers(shapely.Point(WEST + 30, SOUTH + 20))
    assert found.notes


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=4, max_size=9))
@settings(max_examples=60, deadline=None)
def test_any_ring_ends_valid_or_refused(corners: list[tuple[int, int]]) -> None:
    ring = Polygon([(WEST + 10 * x, SOUTH + 10 * y) for x, y in corners])
    try:
        mended = boundary.mended(ring, "ring", 1)
    except InputError:
        assert shapely.make_valid(ring).area == 0
        return
    assert mended.is_valid
    assert mended.area > 0


@pytest.mark.parametrize(
    ("longitude", "latitude", "epsg"),
    [
        (-95.38, 44.3, 32615),
        (-60.2, -31.9, 32720),
        (0.1, 45.0, 32631),
        (179.9, -20, 32760),
        (-179.9, 20, 32601),
    ],
)
def test_by_hand_utm_zones(longitude: float, latitude: float, epsg: int) -> None:
    # zone = floor((longitude + 180) / 6) + 1; 326 north, 327 south
    assert area.utm_epsg(longitude, latitude) == epsg


def test_a_southern_field_lies_in_a_southern_zone(tmp_path: Path) -> None:
    write(tmp_path / "south.gpkg", [box(-60.21, -31.92, -60.20, -31.91)], "EPSG:4326", "GPKG")
    found = boundary.read(tmp_path / "south.gpkg", "south.gpkg")
    assert (found.epsg, found.latitude_deg < 0) == (32720, True)
    assert found.area.bounds[1] > 6_000_000  # false northing of the south, 10,000 km


def refused(path: Path) -> InputError:
    with pytest.raises(InputError) as caught:
        boundary.read(path, path.name)
    assert len(caught.value.faults) == 1
    return caught.value


def test_bad_boundaries_are_refused_in_one_line(folder: Folder, tmp_path: Path) -> None:
    there = folder.field
    write(there / "bare.shp", [FIELD], f"EPSG:{EPSG}", "ESRI Shapefile")
    (there / "bare.prj").unlink()
    folder.shapes("line.geojson", [shapely.LineString(FIELD.exterior.coords)])
    folder.shapes("point.geojson", [shapely.Point(WEST, SOUTH)])
    (there / "nothing.geojson").write_text('{"type": "FeatureCollection", "features": []}')
    (there / "words.geojson").write_text("not json")
    (there / "field.kml").write_text("<kml/>")
    (there / "cut.geojson").write_bytes((there / "boundary.geojson").read_bytes()[:150])
    metres = {"type": "Polygon", "coordinates": [[list(corner) for corner in FIELD.exterior.coords]]}
    (there / "metres.geojson").write_text(json.dumps(metres))
    (there / "null.geojson").write_text('{"type": "Feature", "properties": {}, "geometry": null}')
    old = json.loads((there / "boundary.geojson").read_text()) | {"crs": None}
    (there / "old.geojson").write_text(json.dumps(old))
    expected = {
        "bare.shp": "no CRS", "line.geojson": "shape 1 is a LineString, not a polygon",
        "point.geojson": "not a polygon", "nothing.geojson": "no shapes", "words.geojson": "cannot be read",
        "field.kml": '".kml"', "cut.geojson": "cannot be read", "metres.geojson": "no place on a farm",
        "null.geojson": "empty or broken", "old.geojson": "no CRS",
    }  # fmt: skip
    for name, words in expected.items():
        error = refused(there / name)
        assert words in str(error), name
        assert error.code == CONTENT
        assert str(error).startswith(f"{name}: ")
        assert "\n" not in str(error)


def test_missing_and_empty_files(folder: Folder) -> None:
    settings_ = folder.settings()
    with pytest.raises(InputError, match=r"there is no file lost\.geojson") as caught:
        find(settings_, "boundary.file", "lost.geojson")
    assert caught.value.code == SETTINGS
    (folder.field / "empty.geojson").touch()
    with pytest.raises(InputError, match="the file is empty") as caught:
        find(settings_, "boundary.file", "empty.geojson")
    assert caught.value.code == CONTENT


def test_layers_of_a_geopackage(tmp_path: Path) -> None:
    path = tmp_path / "farm.gpkg"
    write(path, [FIELD], f"EPSG:{EPSG}", "GPKG", "fields")
    write(path, [PART], f"EPSG:{EPSG}", "GPKG", "roads")
    assert "fields, roads" in str(refused(path))
    write(path, [PART], f"EPSG:{EPSG}", "GPKG", "boundary")
    assert boundary.read(path, path.name).area.area == pytest.approx(PART.area)


def test_area_against_pyproj_and_through_a_shapefile(tmp_path: Path) -> None:
    # Witness: pyproj's own polygon area, ring by ring with our own signs; and the same shape read by pyshp.
    lonlat = area.to_lonlat(SHAPE, EPSG)
    geod = Geod(ellps="WGS84")

    def ring_m2(corners: list[tuple[float, float]]) -> float:
        longitudes, latitudes = zip(*corners, strict=True)
        return abs(geod.polygon_area_perimeter(longitudes, latitudes)[0])

    by_ring = sum(
        ring_m2(list(part.exterior.coords)) - sum(ring_m2(list(hole.coords)) for hole in part.interiors)
        for part in lonlat.geoms
    )
    assert area.geodesic_ac(lonlat) == pytest.approx(by_ring / 4046.8564224, rel=1e-12)
    write(tmp_path / "area.shp", list(lonlat.geoms), "EPSG:4326", "ESRI Shapefile")
    with shapefile.Reader(str(tmp_path / "area.shp")) as reader:
        again = [shapely.geometry.shape(one.__geo_interface__) for one in reader.shapes()]
    assert sum(area.geodesic_ac(one) for one in again) == pytest.approx(area.geodesic_ac(lonlat), rel=1e-9)
    # UTM is not the same: scale 0.9996 on the central meridian, more towards the zone's edge.
    assert SHAPE.area / 4046.8564224 != pytest.approx(area.geodesic_ac(lonlat), rel=1e-5)


def test_area_does_not_depend_on_the_way_of_a_ring() -> None:
    lonlat = area.to_lonlat(SHAPE, EPSG)
    assert area.geodesic_ac(lonlat.reverse()) == pytest.approx(area.geodesic_ac(lonlat), rel=1e-12)
    assert math.isclose(
        area.geodesic_ac(lonlat), sum(area.geodesic_ac(part) for part in lonlat.geoms), rel_tol=1e-12
    )


def test_feet_are_read_as_feet() -> None:
    assert CRS.from_epsg(26851).axis_info[0].unit_name == "US survey foot"  # else the test above proves less


def test_a_hole_without_width_is_no_hole(folder: Folder) -> None:
    spot = [(WEST + 50, SOUTH + 50)] * 4
    folder.shapes("boundary.geojson", [Polygon(FIELD.exterior, [spot])])
    found = boundary.read(folder.field / "boundary.geojson", "boundary.geojson")
    assert found.area.symmetric_difference(FIELD).area < 3  # edges of 400 m bend by 4 mm in degrees
