"""What a machine wrote: files made by a library that shares no code with ours, ground measured by another."""

import json
from pathlib import Path

import pytest
import shapefile
import shapely
from made_sprayed import LATER, PRODUCT, sprayed_farm, write_shapefile
from pyproj import CRS, Geod, Transformer

from zoning import sprayed
from zoning.errors import InputError
from zoning.plan import Plan
from zoning.show.sprayed import Recorded

Farm = tuple[Path, Plan]
UTM = CRS.from_epsg(32615)
LONLAT = CRS.from_epsg(4326)
M2_PER_AC = 4046.8564224
EARTH = Geod(ellps="WGS84")
BOOM_M = 90 * 0.3048
TO_UTM = Transformer.from_crs(4326, 32615, always_xy=True).transform


@pytest.fixture
def farm(tmp_path: Path) -> Farm:
    return sprayed_farm(tmp_path)


def in_metres(shape):
    return shapely.transform(shape, TO_UTM, interleaved=False)


def polygons_of(folder: Path, zone: int) -> list:
    """Read the outline of a zone from the prescription, with pyshp."""
    with shapefile.Reader(str(folder / "three_dates" / "out" / "prescription.shp")) as source:
        return [
            shapely.geometry.shape(one.shape.__geo_interface__)
            for one in source.iterShapeRecords()
            if one.record["ZONE"] == zone and one.record["KIND"] == "ZONE"
        ]


def recorded(folder: Path, file: Path, *, zones: str = "", column: str = "", **more: str) -> Recorded:
    typed = sprayed.Typed(
        field="three_dates",
        zones=zones,
        end="2026-07-20 10:00",
        product=PRODUCT,
        as_applied=file,
        rate_column=column,
        **more,
    )
    return sprayed.record(folder, typed, today=LATER, clock=LATER)


def ac(shape) -> float:
    return abs(EARTH.geometry_area_perimeter(shape)[0]) / M2_PER_AC


@pytest.mark.parametrize("crs", [UTM, LONLAT], ids=["utm", "lonlat"])
def test_polygons_of_two_zones_and_half_a_third(farm: Farm, tmp_path: Path, crs: CRS) -> None:
    """Zones 1 and 4 whole at 15 and 10 gal/ac, and the western 30 % of zone 6, which counts as well.

    Were it left open, the next plan would treat those 30 % again, beyond what the label may allow.
    """
    folder, _ = farm
    (six,) = polygons_of(folder, 6)
    west, south, east, north = six.bounds
    cut = next(
        x / 1000 * (east - west) + west
        for x in range(1000)
        if six.intersection(shapely.box(west, south, x / 1000 * (east - west) + west, north)).area
        >= 0.3 * six.area
    )
    slice_of_six = six.intersection(shapely.box(west, south, cut, north))
    whole = [(one, 15.0) for one in polygons_of(folder, 1)] + [(one, 10.0) for one in polygons_of(folder, 4)]
    shapes = [shape for shape, _ in whole] + list(shapely.get_parts(slice_of_six))
    rates = [rate for _, rate in whole] + [15.0] * len(shapely.get_parts(slice_of_six))
    drawn = [in_metres(one) for one in shapes] if crs is UTM else shapes
    file = write_shapefile(tmp_path / "rig", drawn, {"RATE_GPA": rates}, crs.to_wkt("WKT1_ESRI"))
    found = recorded(folder, file)
    assert found.row.zone_numbers == {1, 4, 6}
    shares = found.share_of_zone
    assert shares is not None
    assert shares[1] == pytest.approx(1, abs=1e-3)
    assert shares[4] == pytest.approx(1, abs=1e-3)
    assert shares[6] == pytest.approx(0.3, abs=2e-3)
    assert max(shares[zone] for zone in (2, 3, 5)) < 1e-3
    areas = [ac(shape) for shape in shapes]
    assert found.row.area_ac == pytest.approx(sum(areas), rel=1e-3)
    mean = sum(rate * area for rate, area in zip(rates, areas, strict=True)) / sum(areas)
    assert found.row.rate_gal_ac == pytest.approx(mean, rel=1e-3)
    assert [note.code for note in found.notes] == ["done.partly"]
    # what is kept of it lies in the field's folder and holds the same ground
    kept = folder / "three_dates" / "applied" / "2026-07-20_rig.geojson"
    assert found.row.source.startswith("applied/2026-07-20_rig.geojson")
    features = json.loads(kept.read_text())["features"]
    assert [one["properties"]["rate_gal_ac"] for one in features] == [15.0, 10.0]
    ground = [shapely.geometry.shape(one["geometry"]) for one in features]
    assert sum(map(ac, ground)) == pytest.approx(sum(areas), rel=1e-3)


def test_rates_in_litres_and_rows_with_the_boom_off(farm: Farm, tmp_path: Path) -> None:
    folder, plan = farm
    shapes = [shape for zone in (1, 2) for shape in polygons_of(folder, zone)]
    rates = [140.0] * len(polygons_of(folder, 1)) + [0.0] * len(polygons_of(folder, 2))
    file = write_shapefile(tmp_path / "rig", shapes, {"APPLIEDLHA": rates}, LONLAT.to_wkt("WKT1_ESRI"))
    found = recorded(folder, file)
    assert found.row.zone_numbers == {1}
    assert found.row.rate_gal_ac == pytest.approx(14.97, abs=0.005)  # 140 / (3.785411784 x 2.471053815)
    assert found.notes == ()
    assert plan.zones[0].area_ac == pytest.approx(found.row.area_ac, rel=1e-3)


def test_points_of_a_driven_field_become_its_ground(farm: Farm, tmp_path: Path) -> None:
    """A point every 5 m on swaths a boom apart, on where its middle lies in zone 6, off elsewhere."""
    folder, _ = farm
    (six,) = (in_metres(one) for one in polygons_of(folder, 6))
    west, south, east, north = six.bounds
    points, rates = [], []
    row = south + BOOM_M / 2
    back = False
    while row < north:
        steps = [west + 5 * step for step in range(int((east - west) / 5) + 1)]
        for x in reversed(steps) if back else steps:
            points.append(shapely.Point(x, row))
            rates.append(15.0 if six.contains(points[-1]) else 0.0)
        row, back = row + BOOM_M, not back
    file = write_shapefile(tmp_path / "rig", points, {"rate": rates}, UTM.to_wkt("WKT1_ESRI"))
    found = recorded(folder, file)
    assert found.row.zone_numbers == {6}
    # Half a boom beside each edge may be over or under: its perimeter times a quarter of a boom is plenty.
    slack = six.length * BOOM_M / 4 / six.area
    assert found.share_of_zone is not None
    assert found.share_of_zone[6] == pytest.approx(1, abs=slack)
    assert [note.code for note in found.notes][:2] == ["done.rate_unit", "done.from_points"]


def test_by_hand_the_ground_of_a_run_of_points(farm: Farm, tmp_path: Path) -> None:
    """41 points 5 m apart are 200 m; 30 m on, further than the boom is wide, one point stands alone.

    200 m x 27.432 m + 27.432 m x 27.432 m = 5486.4 + 752.5 = 6238.9 m2 = 1.5417 ac on the plane of the grid.
    The boom is off at the next point, which adds nothing.
    """
    folder, _ = farm
    middle = in_metres(polygons_of(folder, 6)[0]).centroid
    along = [5.0 * step for step in range(41)] + [200.0 + 30.0, 200.0 + 32.0]
    points = [shapely.Point(middle.x - 115 + east, middle.y) for east in along]
    rates = [15.0] * 42 + [0.0]
    file = write_shapefile(tmp_path / "rig", points, {"rate": rates}, UTM.to_wkt("WKT1_ESRI"))
    found = recorded(folder, file, zones="6")
    # written to 0.01 ac, and the plane stretches areas by up to 0.08 %
    assert found.row.area_ac == pytest.approx(1.5417, abs=0.005 + 0.0008 * 1.5417)
    assert found.row.rate_gal_ac == pytest.approx(15.0)


def test_points_need_the_boom_of_the_sprayer(farm: Farm, tmp_path: Path) -> None:
    folder, _ = farm
    points = [in_metres(polygons_of(folder, 6)[0]).representative_point()]
    file = write_shapefile(tmp_path / "rig", points, {"rate": [15.0]}, UTM.to_wkt("WKT1_ESRI"))
    with pytest.raises(InputError, match="it holds points, and the boom is not known"):
        recorded(folder, file, sprayer="borrowed rig")
    assert not (folder / "done.csv").exists()


@pytest.mark.parametrize(
    ("columns", "column", "told"),
    [
        ({"note": ["x"]}, "", r"no column is called a rate\. Name it with --rate-column; the file has note"),
        ({"rate": [15.0], "applied": [14.0]}, "", "several columns may be the rate"),
        ({"rate": [15.0]}, "speed", 'there is no column "speed"'),
        ({"rate": [-1.0]}, "", "rate -1.0 is no rate. It was read in gal/ac"),
        ({"rate": [187.0]}, "", "rate 187.0 is no rate. It was read in gal/ac"),
        ({"rate": ["much"]}, "", "rate much is no rate"),
        ({"rate": [0.0]}, "", "nothing in the file is sprayed inside the field"),
    ],
)
def test_a_rate_that_is_not_plain_is_asked_for(
    farm: Farm, tmp_path: Path, columns: dict[str, list], column: str, told: str
) -> None:
    folder, _ = farm
    shapes = polygons_of(folder, 6)
    file = write_shapefile(tmp_path / "rig", shapes, columns, LONLAT.to_wkt("WKT1_ESRI"))
    with pytest.raises(InputError, match=told):
        recorded(folder, file, column=column)
    assert not (folder / "done.csv").exists()
    assert not (folder / "three_dates" / "applied").exists()


def test_a_file_of_another_place_and_one_without_crs(farm: Farm, tmp_path: Path) -> None:
    folder, _ = farm
    away = [shapely.transform(one, lambda xy: xy + 1.0) for one in polygons_of(folder, 6)]
    file = write_shapefile(tmp_path / "rig", away, {"rate": [15.0]}, LONLAT.to_wkt("WKT1_ESRI"))
    with pytest.raises(InputError, match=r"rig\.shp: nothing in the file is sprayed inside the field"):
        recorded(folder, file)
    file.with_suffix(".prj").unlink()
    with pytest.raises(InputError, match="the file has no CRS"):
        recorded(folder, file)


def test_zones_that_are_typed_win_over_the_file(farm: Farm, tmp_path: Path) -> None:
    folder, _ = farm
    file = write_shapefile(
        tmp_path / "rig", polygons_of(folder, 6), {"rate": [15.0]}, LONLAT.to_wkt("WKT1_ESRI")
    )
    assert recorded(folder, file, zones="5 6").row.zone_numbers == {5, 6}


def test_two_files_of_one_name_and_day_are_both_kept(farm: Farm, tmp_path: Path) -> None:
    folder, _ = farm
    for at, zone in enumerate((6, 1)):
        (tmp_path / str(at)).mkdir()
        shapes = polygons_of(folder, zone)
        rates = {"rate": [15.0] * len(shapes)}
        recorded(
            folder, write_shapefile(tmp_path / str(at) / "rig", shapes, rates, LONLAT.to_wkt("WKT1_ESRI"))
        )
    names = sorted(one.name for one in (folder / "three_dates" / "applied").glob("*.geojson"))
    assert names == ["2026-07-20_rig.geojson", "2026-07-20_rig_2.geojson"]
