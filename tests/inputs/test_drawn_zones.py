"""Zones that somebody drew: named as they name them, a coverage of the field, and nothing lost unsaid."""

import json
from datetime import date

import fiona
import numpy as np
import pytest
import shapely
from coverage_witness import is_coverage
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import LineString, MultiPolygon, Point, Polygon, box

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.inputs import read
from zoning.inputs.area import reproject
from zoning.inputs.given import FieldInputs

MIDDLE = (WEST + EAST) / 2
HALF = FIELD.area / 2  # 200 m x 300 m = 6 ha = 14.83 ac
WEST_HALF = box(WEST - 20, SOUTH - 20, MIDDLE, NORTH + 20)
EAST_HALF = box(MIDDLE, SOUTH - 20, EAST + 20, NORTH + 20)
DRIVERS = {"zones.geojson": "GeoJSON", "zones.gpkg": "GPKG", "zones.shp": "ESRI Shapefile"}
# The middle of the field lies at longitude -95.39, in latitude 44.29; NAD83 is within 2 m of WGS 84.
SNAP_M = 0.001


def zoned(
    folder: Folder,
    shapes: list,
    columns: list[dict[str, object]] | None = None,
    *,
    more: str = "",
    planting: str = "date = 2026-05-06",
) -> FieldInputs:
    folder.shapes("zones.geojson", shapes, columns)
    return read_with(folder, "zones.geojson", more=more, planting=planting)


def read_with(
    folder: Folder, file: str, *, more: str = "", planting: str = "date = 2026-05-06"
) -> FieldInputs:
    folder.add(f"[planting]\n{planting}\n[zones]\nfile = '{file}'\n{more}")
    return read.field(folder.settings(), TODAY)


def write(folder: Folder, file: str, shapes: list, columns: list[dict[str, object]], epsg: int) -> None:
    """Write shapes given in UTM in another CRS; a column has the kind of its first value."""
    kinds = {str: "str", int: "int", float: "float"}
    schema = {
        "geometry": "Unknown" if DRIVERS[file] == "GPKG" else "Polygon",
        "properties": {name: kinds[type(value)] for name, value in columns[0].items()},
    }
    with fiona.open(
        folder.field / file, "w", driver=DRIVERS[file], crs=f"EPSG:{epsg}", schema=schema
    ) as target:
        for shape, row in zip(shapes, columns, strict=True):
            geometry = shapely.geometry.mapping(reproject(shape, EPSG, epsg))
            target.write({"geometry": geometry, "properties": row})


def assert_fills(found: FieldInputs) -> None:
    """Zones and blocks are valid coverages of the boundary, and have their corners in common."""
    zones = [one.outline for one in found.given_zones]
    blocks = [one.outline for one in found.blocks]
    for parts in (zones, blocks):
        assert all(part.is_valid and part.area > 0 for part in parts)
        assert is_coverage(parts)
        assert shapely.union_all(parts).symmetric_difference(found.boundary).area < 1e-6
        assert sum(part.area for part in parts) == pytest.approx(found.boundary.area, rel=1e-9)
    assert sum(block.area_ac for block in found.blocks) == pytest.approx(found.area_ac, rel=1e-9)
    # Cut at each other's edges, no new corner comes up: every crossing is a corner of both already.
    corners = {tuple(xy) for part in (*zones, *blocks) for xy in shapely.get_coordinates(part)}
    both = shapely.union_all([shapely.boundary(part) for part in (*zones, *blocks)])
    assert {tuple(xy) for xy in shapely.get_coordinates(both)} == corners


def codes(found: FieldInputs) -> list[str]:
    return [note.code for note in found.notes]


def names(found: FieldInputs) -> list[str]:
    return [zone.name for zone in found.given_zones]


# -- files ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("epsg", [4326, 26915])
@pytest.mark.parametrize("file", DRIVERS)
def test_zones_come_from_any_format_and_crs(folder: Folder, file: str, epsg: int) -> None:
    write(folder, file, [WEST_HALF, EAST_HALF], [{"zone": "hill"}, {"zone": "low"}], epsg)
    found = read_with(folder, file)
    assert names(found) == ["hill", "low"]
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx([HALF, HALF], rel=1e-4)
    assert shapely.centroid(found.given_zones[0].outline).x < MIDDLE
    assert codes(found) == []
    beside = {"zones.shp": {"zones.shx", "zones.dbf", "zones.prj", "zones.cpg"}}.get(file, set())
    assert {file, *beside} <= set(found.files)
    assert_fills(found)


def test_a_layer_called_zones_is_taken(folder: Folder) -> None:
    write(folder, "zones.gpkg", [EAST_HALF, WEST_HALF], [{"zone": "a"}, {"zone": "b"}], 4326)
    path = folder.field / "zones.gpkg"
    path.rename(folder.field / "from_the_consultant.gpkg")
    with fiona.open(
        folder.field / "from_the_consultant.gpkg",
        "w",
        driver="GPKG",
        layer="samples",
        crs="EPSG:4326",
        schema={"geometry": "Point", "properties": {}},
    ) as target:
        target.write({"geometry": {"type": "Point", "coordinates": (-95.39, 44.29)}, "properties": {}})
    found = read_with(folder, "from_the_consultant.gpkg")
    assert names(found) == ["a", "b"]


def test_a_field_in_the_south(tmp_path) -> None:
    # 400 m x 300 m in UTM zone 20 south, Argentina; invented. Blocks meet 100 m east of where the zones do.
    south, west, north = 6_400_000.0, 500_000.0, 6_400_300.0
    folder = Folder(tmp_path / "farm")

    def put(name: str, shapes: list, columns: list[dict[str, object]]) -> None:
        features = [
            {
                "type": "Feature",
                "properties": row,
                "geometry": json.loads(shapely.to_geojson(reproject(shape, 32720, 4326))),
            }
            for shape, row in zip(shapes, columns, strict=True)
        ]
        text = json.dumps({"type": "FeatureCollection", "features": features})
        (folder.field / name).write_text(text)

    put("boundary.geojson", [box(west, south, west + 400, north)], [{}])
    halves = [box(west, south, west + 200, north), box(west + 200, south, west + 400, north)]
    put("zones.geojson", halves, [{"Zone": 2}, {"Zone": 1}])
    days = [{"planted": "2025-11-06"}, {"planted": "2025-11-20"}]
    put(
        "planting.geojson",
        [box(west, south, west + 300, north), box(west + 300, south, west + 400, north)],
        days,
    )
    folder.add("[planting]\nfile = 'planting.geojson'\n[zones]\nfile = 'zones.geojson'")
    found = read.field(folder.settings(), date(2026, 1, 20))
    assert found.grid.epsg == 32720
    assert names(found) == ["1", "2"]
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx([6e4, 6e4], rel=1e-6)
    assert [block.outline.area for block in found.blocks] == pytest.approx([9e4, 3e4], rel=1e-6)
    assert_fills(found)


# -- names ---------------------------------------------------------------------------------------------------

TWO = [WEST_HALF, EAST_HALF]


@pytest.mark.parametrize(
    ("rows", "more", "expected"),
    [
        ([{}, {}], "", ["1", "2"]),
        ([{"soil": "clay"}, {"soil": "sand"}], "", ["1", "2"]),
        ([{"NAME": "west"}, {"NAME": "east"}], "", ["west", "east"]),
        ([{"Id": 7}, {"Id": 3}], "", ["3", "7"]),
        ([{"zone": 10.0}, {"zone": 9.0}], "", ["9", "10"]),
        ([{"zone": 1.5}, {"zone": 1.25}], "", ["1.5", "1.25"]),
        ([{"zone": "Zone 10"}, {"zone": "Zone 9"}], "", ["Zone 9", "Zone 10"]),
        ([{"zone": "hill 10"}, {"zone": "low 9"}], "", ["hill 10", "low 9"]),
        ([{"zone": "  the \n hill "}, {"zone": "low"}], "", ["the hill", "low"]),
        # Programs that draw maps add an empty "id" of their own.
        ([{"id": None, "name": "west"}, {"id": None, "name": "east"}], "", ["west", "east"]),
        ([{"id": None}, {"id": None}], "", ["1", "2"]),
        ([{"id": 1, "name": "low"}, {"id": 2, "name": None}], "", ["1", "2"]),
        ([{"soil": "clay"}, {"soil": "sand"}], "zone_column = 'Soil'", ["clay", "sand"]),
        ([{"zone": "a", "name": "b"}, {"zone": "c", "name": "d"}], "zone_column = 'name'", ["b", "d"]),
        ([{"zone": "a"}, {"zone": "b"}], "zone_column = ''", ["a", "b"]),
    ],
)
def test_zones_are_called_as_their_column_says(folder: Folder, rows, more, expected) -> None:
    found = zoned(folder, TWO, rows, more=more)
    assert names(found) == expected
    assert codes(found) == []


def test_two_columns_that_could_be_the_name_are_not_chosen_between(folder: Folder) -> None:
    found = zoned(folder, TWO, [{"id": 5, "zone": "a"}, {"id": 6, "zone": "b"}])
    assert names(found) == ["1", "2"]
    assert [note.text for note in found.notes] == [
        "id and zone of zones.geojson could both be the names of its zones, so they are called by their row; "
        "say which with zone_column"
    ]


def test_a_shapefile_cuts_the_name_of_a_column(folder: Folder) -> None:
    rows: list[dict[str, object]] = [{"management_zone": "b"}, {"management_zone": "a"}]
    write(folder, "zones.shp", TWO, rows, 4326)
    assert names(read_with(folder, "zones.shp", more="zone_column = 'management_zone'")) == ["b", "a"]


def test_several_polygons_of_one_name_are_one_zone(folder: Folder) -> None:
    # Quarters from west to east: a, b, a, and again b as one shape with the part below; 100 x 300 m2 each.
    quarters = [box(WEST + 100 * n, SOUTH, WEST + 100 * (n + 1), NORTH) for n in range(4)]
    found = zoned(folder, quarters, [{"zone": name} for name in "abab"])
    assert names(found) == ["a", "b"]
    assert all(isinstance(zone.outline, MultiPolygon) for zone in found.given_zones)
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx([60_000, 60_000], rel=1e-6)
    assert_fills(found)


# -- ground --------------------------------------------------------------------------------------------------


def test_by_hand_where_zones_overlap_the_first_has_the_ground(folder: Folder) -> None:
    # 30 m of overlap: 30 x 300 m2 = 0.9 ha = 2.22 ac. "2" comes first in the file, though not by number.
    wide = box(WEST, SOUTH, MIDDLE + 30, NORTH)
    found = zoned(folder, [EAST_HALF, wide], [{"zone": 2}, {"zone": 1}])
    assert names(found) == ["1", "2"]
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx([HALF, HALF], rel=1e-5)
    assert [note.text for note in found.notes] == [
        "zones of zones.geojson overlap on 2.22 ac; the first in the file has that ground"
    ]
    assert_fills(found)


def test_by_hand_a_narrow_gap_goes_to_a_neighbour_and_is_said_in_the_farm_s_unit(folder: Folder) -> None:
    # 2 m of the middle belong to nobody: 2 x 300 m2 = 0.06 ha. It is more than 0.1 % of 12 ha (0.012 ha).
    folder.toml = "units = 'metric'\n" + folder.toml
    found = zoned(folder, [box(WEST, SOUTH, MIDDLE - 2, NORTH), EAST_HALF], [{"zone": 1}, {"zone": 2}])
    assert [note.text for note in found.notes] == [
        "0.06 ha of the field are in no zone of zones.geojson and went to the zone beside them"
    ]
    # Both neighbours have 300 m in common with it, so either may get its 600 m2.
    areas = [zone.outline.area for zone in found.given_zones]
    assert areas == pytest.approx([HALF, HALF], abs=610)
    assert_fills(found)


def test_by_hand_ground_in_no_zone_is_a_zone_of_its_own(folder: Folder) -> None:
    # The eastern quarter and a strip 2 m wide in the middle: 100 x 300 m2 = 3 ha = 7.41 ac are not drawn;
    # the strip of 0.06 ha = 0.15 ac goes to a neighbour.
    west = box(WEST, SOUTH, MIDDLE - 2, NORTH)
    east = box(MIDDLE, SOUTH, EAST - 100, NORTH)
    found = zoned(folder, [west, east], [{"zone": "b"}, {"zone": "a"}])
    assert names(found) == ["b", "a", "not drawn"]
    assert found.given_zones[2].outline.area == pytest.approx(30_000, rel=1e-4)
    assert [note.text for note in found.notes] == [
        "0.15 ac of the field are in no zone of zones.geojson and went to the zone beside them",
        "7.41 ac of the field are in no zone of zones.geojson; they are a zone of their own, called "
        '"not drawn"',
    ]
    assert_fills(found)


def test_by_hand_a_rim_is_no_part_of_ground_that_was_not_drawn(folder: Folder) -> None:
    # Drawn 1 m inside the boundary, with a hole of 100 m x 100 m = 1 ha that reaches the rim in the south.
    inner = FIELD.buffer(-1, join_style="mitre")
    hole = box(WEST + 100, SOUTH, WEST + 200, SOUTH + 101)
    found = zoned(folder, [inner.difference(hole)], [{"zone": "all"}])
    assert names(found) == ["all", "not drawn"]
    # 100 m x 101 m, with the rim below it.
    assert found.given_zones[1].outline.area == pytest.approx(10_100, rel=1e-3)
    assert codes(found) == ["inputs.zones_gap", "inputs.zones_not_drawn"]
    assert_fills(found)


def test_a_small_hole_goes_to_the_zone_around_it(folder: Folder) -> None:
    # 50 m x 50 m = 0.25 ha = 0.62 ac, less than the smallest zone of 1 ac.
    hole = box(WEST + 100, SOUTH + 100, WEST + 150, SOUTH + 150)
    found = zoned(folder, [WEST_HALF.difference(hole), EAST_HALF], [{"zone": 1}, {"zone": 2}])
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx([HALF, HALF], rel=1e-4)
    assert [note.text for note in found.notes] == [
        "0.62 ac of the field are in no zone of zones.geojson and went to the zone beside them"
    ]


def test_slivers_of_inexact_drawing_vanish_without_a_word(folder: Folder) -> None:
    # The common edge is drawn twice, 0.1 m apart: 0.1 x 300 m2 are 0.025 % of the field.
    shapes = [WEST_HALF, box(MIDDLE + 0.1, SOUTH, EAST, NORTH), box(EAST - 2, SOUTH, EAST + 300, NORTH)]
    found = zoned(folder, shapes, [{"zone": name} for name in "abb"])
    assert codes(found) == []
    assert [len(shapely.get_parts(zone.outline)) for zone in found.given_zones] == [1, 1]
    assert_fills(found)


def test_zones_that_lie_elsewhere_or_have_nothing_left_are_said(folder: Folder) -> None:
    far = box(EAST + 500, SOUTH, EAST + 700, NORTH)
    under = box(WEST + 50, SOUTH + 50, WEST + 150, SOUTH + 150)
    edge = box(EAST - 1, SOUTH, EAST + 300, NORTH)
    rows = [{"zone": name} for name in ("a", "b", "far", "under", "edge")]
    found = zoned(folder, [WEST_HALF, box(MIDDLE, SOUTH, EAST - 1, NORTH), far, under, edge], rows)
    assert names(found) == ["a", "b"]
    assert [note.text for note in found.notes if note.code != "inputs.zones_gap"] == [
        "zones of zones.geojson overlap on 2.47 ac; the first in the file has that ground",  # 100 m x 100 m
        "zone far of zones.geojson lies outside the field and is not used",
        "zone under of zones.geojson has no ground left: others lie over it, or hardly any of it is in the "
        "field",
        "zone edge of zones.geojson has no ground left: others lie over it, or hardly any of it is in the "
        "field",
    ]
    assert_fills(found)


def test_by_hand_a_bow_tie_is_mended_and_said(folder: Folder) -> None:
    # Two lobes of 300 x 100 / 2 m2 each over the west half; its ring sums to nothing.
    tie = Polygon([(WEST, SOUTH), (MIDDLE, NORTH), (MIDDLE, SOUTH), (WEST, NORTH)])
    rest = FIELD.difference(shapely.make_valid(tie)).difference(box(MIDDLE, SOUTH, EAST, NORTH))
    found = zoned(folder, [tie, rest, EAST_HALF], [{"zone": name} for name in ("tie", "rest", "east")])
    assert [note.text for note in found.notes] == ["row 1 of zones.geojson crosses itself and was mended"]
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx(
        [30_000, 30_000, 60_000], rel=0.01
    )
    assert_fills(found)


def test_a_hole_in_the_boundary_stays_a_hole(folder: Folder) -> None:
    hole = box(MIDDLE - 40, SOUTH + 100, MIDDLE + 40, SOUTH + 200)
    folder.shapes("boundary.geojson", [FIELD.difference(hole)])
    found = zoned(folder, TWO, [{"zone": "a"}, {"zone": "b"}])
    assert sum(zone.outline.area for zone in found.given_zones) == pytest.approx(FIELD.area - 8_000, rel=1e-5)
    assert_fills(found)


def test_blocks_keep_their_edges_and_get_the_corners_of_the_zones(folder: Folder) -> None:
    edge = [(WEST + 130, SOUTH - 20), (WEST + 170, SOUTH + 140), (WEST + 150, NORTH + 20)]
    west = Polygon([(WEST - 20, SOUTH - 20), *edge, (WEST - 20, NORTH + 20)])
    east = Polygon([(EAST + 20, SOUTH - 20), *edge, (EAST + 20, NORTH + 20)])
    rows = [{"planted": "2026-05-06"}, {"planted": "2026-05-20"}]
    folder.shapes("planting.geojson", [west, east], rows)
    south = box(WEST - 20, SOUTH - 20, EAST + 20, SOUTH + 150)
    north = box(WEST - 20, SOUTH + 150, EAST + 20, NORTH + 20)
    found = zoned(folder, [south, north], planting="file = 'planting.geojson'")
    for block, drawn in zip(found.blocks, (west, east), strict=True):
        whole = shapely.intersection(drawn, FIELD)
        assert shapely.hausdorff_distance(block.outline, whole, densify=0.1) < 5 * SNAP_M
        assert block.outline.area == pytest.approx(whole.area, rel=1e-5)
    assert_fills(found)


def test_images_and_counts_are_read_beside_drawn_zones(folder: Folder) -> None:
    folder.image("2026-07-01_drone.tif", np.full((2, 40, 50), 0.4, dtype="float32"))
    folder.add("[[imagery]]\nfile = '2026-07-01_drone.tif'\nbands = { nir = 1, red = 2 }\nindex = 'NDVI'")
    found = zoned(folder, TWO)
    assert {"2026-07-01_drone.tif", "zones.geojson"} <= set(found.files)
    assert len(found.given_zones) == 2
    assert not read.field(folder.settings(), TODAY, layers=False).given_zones


def _partition(seed: int, count: int) -> list[Polygon]:
    """Divide the ground around the field among random points."""
    rng = np.random.default_rng(seed)
    points = shapely.MultiPoint(
        np.column_stack([rng.uniform(WEST, EAST, count), rng.uniform(SOUTH, NORTH, count)])
    )
    around = FIELD.buffer(50)
    cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=around))
    # With a corner every 20 m its edges are the same lines in every CRS, to 0.01 mm.
    return [shapely.segmentize(cell.intersection(around), 20) for cell in cells]


@settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    seed=st.integers(0, 10_000),
    count=st.integers(2, 14),
    file=st.sampled_from(sorted(DRIVERS)),
    epsg=st.sampled_from([4326, 26915]),
)
def test_random_partitions_stay_as_they_were_drawn(tmp_path_factory, seed, count, file, epsg) -> None:
    folder = Folder(tmp_path_factory.mktemp("drawn") / "farm")
    folder.shapes("boundary.geojson", [FIELD])
    cells = _partition(seed, count)
    folder.shapes(
        "planting.geojson",
        _partition(seed + 1, 3),
        [{"planted": f"2026-05-{day}"} for day in ("06", "12", "20")],
    )
    write(folder, file, cells, [{"zone": n} for n in range(len(cells))], epsg)
    found = read_with(folder, file, planting="file = 'planting.geojson'")
    assert_fills(found)
    # A corner well inside the field has not moved by more than the snap.
    core = FIELD.buffer(-3.1)  # parts narrower than 3 m go to a neighbour, also at the boundary
    by_name = {zone.name: zone.outline for zone in found.given_zones}
    for name, cell in enumerate(cells):
        if not cell.intersects(core):
            continue
        inside = [xy for xy in shapely.get_coordinates(cell) if core.contains(Point(xy))]
        corners = shapely.MultiPoint(shapely.get_coordinates(by_name[str(name)]))
        for xy in inside:
            assert corners.distance(Point(xy)) < 2 * SNAP_M
        ours = shapely.intersection(by_name[str(name)], core)
        assert ours.symmetric_difference(cell.intersection(core)).area < SNAP_M * cell.length


# -- faults --------------------------------------------------------------------------------------------------


def faults(folder: Folder, file: str = "zones.geojson", more: str = "") -> tuple[int, list[str]]:
    with pytest.raises(InputError) as caught:
        read_with(folder, file, more=more)
    return caught.value.code, str(caught.value).splitlines()


@pytest.mark.parametrize(
    ("shapes", "rows", "more", "expected"),
    [
        (
            [Point(MIDDLE, NORTH - 50), WEST_HALF],
            [{}, {}],
            "",
            "zones.geojson: shape 1 is a Point, not a polygon. Save the zones as polygons.",
        ),
        (
            [WEST_HALF, LineString([(WEST, SOUTH), (EAST, NORTH)])],
            [{}, {}],
            "",
            "zones.geojson: shape 2 is a LineString, not a polygon. Save the zones as polygons.",
        ),
        (
            [shapely.transform(one, lambda xy: xy + 5000) for one in TWO],
            [{}, {}],
            "",
            "zones.geojson: nothing in the file lies inside the boundary. Check the CRS of both files, and "
            "that they are of the same field.",
        ),
        (
            TWO,
            [{"soil": "clay", "ac": 1.5}, {"soil": "sand", "ac": 2.5}],
            "zone_column = 'zone'",
            'zones.geojson: there is no column "zone". Name it in [zones] zone_column; the file has soil, '
            "ac.",
        ),
        (
            TWO,
            [{}, {}],
            "zone_column = 'zone'",
            'zones.geojson: there is no column "zone". Name it in [zones] zone_column; the file has no '
            "columns.",
        ),
        (
            TWO,
            [{"soil": None, "ac": 1.5}, {"soil": None, "ac": 2.5}],
            "zone_column = 'soil'",
            'zones.geojson: the column "soil" has no values. Name another in [zones] zone_column; the file '
            "has soil, ac.",
        ),
        (
            TWO,
            [{"soil": "clay"}, {"soil": "  "}],
            "zone_column = 'SOIL'",
            'zones.geojson: row 2: the column "soil" is empty. Write the name of its zone there, or delete '
            "the row.",
        ),
        (
            [],
            [],
            "",
            "zones.geojson: the file holds no shapes. Save or export it again.",
        ),
    ],
)
def test_a_file_that_cannot_be_used_is_one_line(folder: Folder, shapes, rows, more, expected) -> None:
    folder.shapes("zones.geojson", shapes, rows)
    assert faults(folder, more=more) == (CONTENT, [expected])


def test_the_patches_of_a_raster_are_no_zones(folder: Folder) -> None:
    squares = [
        box(WEST + 10 * n, SOUTH + 10 * m, WEST + 10 * n + 10, SOUTH + 10 * m + 10)
        for n in range(40)
        for m in range(14)
    ]
    folder.shapes("zones.geojson", squares, [{"value": n % 3} for n in range(560)])
    code, lines = faults(folder)
    assert code == CONTENT
    assert lines == [
        "zones.geojson: the file holds 560 zones, more than 500. Name the column that tells the zones apart "
        "in [zones] zone_column, or join the small ones."
    ]


def test_with_their_column_they_are(folder: Folder) -> None:
    squares = [
        box(WEST + 10 * n, SOUTH + 10 * m, WEST + 10 * n + 10, SOUTH + 10 * m + 10)
        for n in range(40)
        for m in range(30)
    ]
    found = zoned(folder, squares, [{"value": n // 400} for n in range(1200)], more="zone_column = 'value'")
    # Columns of 30 squares, west to east: 400 squares of 100 m2 are a third of the field.
    assert names(found) == ["0", "1", "2"]
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx([4e4] * 3, rel=1e-3)
    assert_fills(found)


def test_a_file_without_crs_is_refused(folder: Folder) -> None:
    write(folder, "zones.shp", TWO, [{"zone": "a"}, {"zone": "b"}], EPSG)
    (folder.field / "zones.prj").unlink()
    code, lines = faults(folder, "zones.shp")
    assert code == CONTENT
    assert lines == [
        "zones.shp: the file has no CRS, so its place on earth is unknown. Add its .prj file, or save it "
        "again with its CRS."
    ]


def test_an_empty_file_is_refused(folder: Folder) -> None:
    (folder.field / "zones.gpkg").write_bytes(b"")
    assert faults(folder, "zones.gpkg") == (
        CONTENT,
        ["zones.gpkg: the file is empty. Save or export it again."],
    )


def test_a_missing_file_is_a_fault_of_the_settings(folder: Folder) -> None:
    code, lines = faults(folder, "zones.gpkg")
    assert code == SETTINGS
    assert lines == [
        'field.toml:6: zones.file = "zones.gpkg": there is no file zones.gpkg. Put it there, or name another.'
    ]


def test_faults_of_zones_and_planting_come_together(folder: Folder) -> None:
    folder.shapes("zones.geojson", [Point(MIDDLE, NORTH - 50)])
    folder.shapes("planting.geojson", [FIELD], [{"planted": "soon"}])
    folder.add("[planting]\nfile = 'planting.geojson'\n[zones]\nfile = 'zones.geojson'")
    with pytest.raises(InputError) as caught:
        read.field(folder.settings(), TODAY)
    assert [fault.where for fault in caught.value.faults] == ["planting.geojson: row 1", "zones.geojson"]


def test_a_missing_zone_file_is_told_beside_a_boundary_at_fault(folder: Folder) -> None:
    folder.shapes("boundary.geojson", [Point(MIDDLE, NORTH)])
    code, lines = faults(folder, "zones.gpkg")
    assert code == SETTINGS
    assert len(lines) == 2


# -- zones that nobody meant ---------------------------------------------------------------------------------


def test_a_name_longer_than_a_name_is_refused_row_by_row(folder: Folder) -> None:
    # 5,000 digits are more than Python reads as a number at once
    rows = [{"zone": "9" * 5000}, {"zone": "Zone 1 " + "x" * 74}]
    with pytest.raises(InputError) as caught:
        zoned(folder, [WEST_HALF, EAST_HALF], rows)
    assert [fault.where for fault in caught.value.faults] == ["zones.geojson: row 1", "zones.geojson: row 2"]
    assert [fault.code for fault in caught.value.faults] == [CONTENT, CONTENT]
    assert "5,000 letters" in caught.value.faults[0].what
    assert "81 letters" in caught.value.faults[1].what


def test_a_name_keeps_only_letters_that_can_be_seen(folder: Folder) -> None:
    rows = [{"zone": "\u202elow \u0007ground"}, {"zone": "\u200b hill"}]
    assert names(zoned(folder, [WEST_HALF, EAST_HALF], rows)) == ["low ground", "hill"]


def test_a_column_that_is_partly_empty_is_not_used_and_said(folder: Folder) -> None:
    found = zoned(folder, [WEST_HALF, EAST_HALF], [{"zone": "hill"}, {"zone": None}])
    assert names(found) == ["1", "2"]
    assert codes(found) == ["inputs.zones_partly_named"]
    assert "zone of zones.geojson is empty in some rows" in found.notes[0].text


def test_ground_in_no_zone_joins_a_zone_that_is_called_not_drawn(folder: Folder) -> None:
    quarter = box(WEST - 20, SOUTH - 20, WEST + 100, NORTH + 20)
    found = zoned(folder, [quarter, EAST_HALF], [{"zone": "not drawn"}, {"zone": "low"}])
    assert names(found) == ["not drawn", "low"]
    assert [zone.outline.area for zone in found.given_zones] == pytest.approx([HALF, HALF], rel=1e-4)
    assert codes(found) == ["inputs.zones_not_drawn"]


def test_zones_of_the_field_next_door_are_refused(folder: Folder) -> None:
    # It shares an edge with this one, and reaches 10 cm over it: drawn by hand, or moved by another CRS.
    with pytest.raises(InputError, match="nothing in the file lies inside the boundary"):
        zoned(folder, [box(EAST - 0.1, SOUTH, EAST + 400, NORTH)], [{"zone": "hill"}])


def test_many_zones_outside_the_field_are_counted(folder: Folder) -> None:
    # a file of the whole farm: 2 zones here, 30 elsewhere
    elsewhere = [box(EAST + 50 * n + 10, SOUTH, EAST + 50 * n + 60, NORTH) for n in range(30)]
    rows = [{"zone": f"Z{n}"} for n in range(32)]
    found = zoned(folder, [WEST_HALF, EAST_HALF, *elsewhere], rows)
    assert codes(found) == ["inputs.zones_outside"] * 20 + ["inputs.zones_more"]
    assert found.notes[-1].text.startswith("10 more zones of zones.geojson")
