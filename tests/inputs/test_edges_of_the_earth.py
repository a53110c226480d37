"""Fields on the edge of a UTM zone, at longitude 180, far north or south: a right plan, or one clear line."""

import json
from datetime import date
from pathlib import Path

import fiona
import made_fields
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from made_fields import Ground, make_field
from made_inputs import Folder
from pyproj import Geod, Transformer
from shapely import MultiPolygon, Polygon, box
from shapely.geometry import mapping

from zoning import field
from zoning.errors import CONTENT, InputError
from zoning.inputs import area
from zoning.inputs.ground import boundary

GEOD = Geod(ellps="WGS84")
M2_PER_AC = 4046.8564224
SOUTH, NORTH = -16.800, -16.795


def geojson(path: Path, *shapes: Polygon | MultiPolygon) -> Path:
    rows = [{"type": "Feature", "properties": {}, "geometry": mapping(shape)} for shape in shapes]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": rows}), encoding="utf-8")
    return path


ACROSS = {
    # RFC 7946, 3.1.9: cut at the antimeridian, so that neither part crosses it
    "cut, one feature": [
        MultiPolygon([box(179.9975, SOUTH, 180, NORTH), box(-180, SOUTH, -179.9975, NORTH)])
    ],
    "cut, two features": [box(179.9975, SOUTH, 180, NORTH), box(-180, SOUTH, -179.9975, NORTH)],
    "apart on both sides": [box(179.990, SOUTH, 179.995, NORTH), box(-179.99, SOUTH, -179.985, NORTH)],
    "on beyond 180": [box(179.9975, SOUTH, 180.0025, NORTH)],
    "on before -180": [box(-180.0025, SOUTH, -179.9975, NORTH)],
    "round the earth": [
        Polygon([(179.9975, SOUTH), (-179.9975, SOUTH), (-179.9975, NORTH), (179.9975, NORTH)])
    ],
}


@pytest.mark.parametrize("shapes", ACROSS.values(), ids=ACROSS)
def test_a_field_on_both_sides_of_longitude_180_is_refused(tmp_path: Path, shapes: list[Polygon]) -> None:
    path = geojson(tmp_path / "edge.geojson", *shapes)
    with pytest.raises(InputError) as caught:
        boundary.read(path, path.name)
    (fault,) = caught.value.faults
    assert fault.code == CONTENT
    assert str(fault) == (
        "edge.geojson: it lies on both sides of longitude 180. "
        "Cut it at longitude 180 and make two fields of it."
    )


@pytest.mark.parametrize("crs", [32660, 32701, 3832])
def test_so_is_one_that_a_projected_file_draws_in_one_piece(tmp_path: Path, crs: int) -> None:
    x, y = Transformer.from_crs(4326, crs, always_xy=True).transform(180 if crs != 32701 else -180, SOUTH)
    path = tmp_path / "edge.gpkg"
    with fiona.open(
        path, "w", driver="GPKG", crs=f"EPSG:{crs}", schema={"geometry": "Polygon", "properties": {}}
    ) as file:
        file.write({"geometry": mapping(box(x - 250, y - 250, x + 250, y + 250)), "properties": {}})
    with pytest.raises(InputError, match="both sides of longitude 180"):
        boundary.read(path, path.name)


@pytest.mark.parametrize(
    ("half", "epsg"),
    [(box(179.9975, SOUTH, 180, NORTH), 32760), (box(-180, SOUTH, -179.9975, NORTH), 32701)],
    ids=["west", "east"],
)
def test_a_field_that_ends_at_longitude_180_is_planned(tmp_path: Path, half: Polygon, epsg: int) -> None:
    folder = Folder(tmp_path)
    geojson(folder.field / "boundary.geojson", half)
    folder.add('[boundary]\nfile = "boundary.geojson"\n[planting]\ndate = 2026-05-06')
    folder.settings()
    plan = field.run(folder.field, today=date(2026, 6, 20)).plan
    assert plan.epsg == epsg
    west, south, east, north = half.bounds
    # rings on a grid of 1 mm: 1e-8 deg
    assert plan.boundary.bounds == pytest.approx((west, south, east, north), abs=2e-8)
    assert plan.area_ac == pytest.approx(
        abs(GEOD.geometry_area_perimeter(shapely.orient_polygons(half))[0]) / M2_PER_AC, rel=1e-4
    )
    outlines = [zone.outline for zone in plan.zones]
    assert all(abs(lon) <= 180 for lon, _ in shapely.get_coordinates(outlines))
    assert sum(zone.area_ac for zone in plan.zones) == pytest.approx(plan.area_ac, rel=1e-4)


@given(st.floats(-55, 65), st.sampled_from([32601, 32660, 32701, 32760]), st.floats(0, 3e-10))
def test_a_corner_on_longitude_180_stays_on_its_side(lat: float, epsg: int, off: float) -> None:
    side = 180.0 if epsg % 100 == 60 else -180.0
    inner = side - 0.005 * (1 if side > 0 else -1)
    other = -side + off * (1 if side < 0 else -1)  # rounding has put it on the other side
    ground = Polygon([(inner, lat), (side, lat), (other, lat + 0.004), (inner, lat + 0.004)])
    back = area.to_lonlat(area.from_lonlat(ground, epsg), epsg)
    assert back.bounds == pytest.approx((min(inner, side), lat, max(inner, side), lat + 0.004), abs=1e-9)


@pytest.mark.parametrize("lon", [-96.0, -90.0])
@pytest.mark.parametrize("seed", [4, 5])
def test_a_field_across_the_edge_of_a_utm_zone_is_planned(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lon: float, seed: int
) -> None:
    made = made_fields._ground

    def on_the_edge(rng):
        ground, parts, holes = made(rng)
        return Ground(lon, 43.5, ground.shape), parts, holes

    monkeypatch.setattr(made_fields, "_ground", on_the_edge)
    folder = tmp_path / "farm" / "made"
    truth = make_field(folder, seed)
    plan = field.run(folder, today=truth.today).plan
    lons = shapely.get_coordinates(plan.boundary)[:, 0]
    assert lons.min() < lon < lons.max()
    assert plan.area_ac == pytest.approx(truth.area_ac, rel=1e-4)
    outlines = [*(zone.outline for zone in plan.zones), *(one.outline for one in plan.no_spray)]
    assert shapely.union_all(outlines).symmetric_difference(plan.boundary).area < 1e-4 * plan.boundary.area
    assert shapely.coverage_is_valid(outlines)
    assert plan.epsg in (int(32600 + (lon + 180) // 6), int(32601 + (lon + 180) // 6))


@pytest.mark.parametrize("lat", [71.0, 84.5, -71.0, -88.0])
def test_ground_near_a_pole_is_refused(tmp_path: Path, lat: float) -> None:
    path = geojson(tmp_path / "pole.geojson", box(20, lat, 20.01, lat + 0.005))
    with pytest.raises(InputError, match="no place on a farm"):
        boundary.read(path, path.name)


@pytest.mark.parametrize("lat", [69.9, 0.0, -54.0])
def test_ground_far_north_on_the_equator_and_far_south_keeps_its_area(tmp_path: Path, lat: float) -> None:
    drawn = box(20, lat - 0.002, 20.01, lat + 0.003)
    path = geojson(tmp_path / "far.geojson", drawn)
    found = boundary.read(path, path.name)
    back = area.to_lonlat(found.area, found.epsg)
    # edges along parallels are divided, so that they are the same lines (see vector.read)
    dense = shapely.segmentize(drawn, 0.0005)
    wanted = abs(GEOD.geometry_area_perimeter(shapely.orient_polygons(dense))[0]) / M2_PER_AC
    assert area.geodesic_ac(back) == pytest.approx(wanted, rel=1e-4)
