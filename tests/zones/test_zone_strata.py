"""Planting blocks are strata: from file to zones every date edge survives, and no zone has two dates."""

import itertools
from pathlib import Path

import fiona
import numpy as np
import pytest
import shapely
from made_inputs import EAST, EPSG, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from pyproj import Transformer
from shapely import LineString, MultiLineString, box
from shapely.geometry import mapping
from shapely.ops import split

from zoning.inputs import read
from zoning.inputs.given import Area, FieldInputs
from zoning.offers import drawn
from zoning.zones.delineate import delineate
from zoning.zones.zoning import Zoning

# The field's own zone, longitude and latitude, an equal-area projection, and a state plane in US feet.
CRS_OF_FILE = ["EPSG:32615", "EPSG:4326", "EPSG:5070", "EPSG:2267"]
EDGE_M = (
    0.01  # a straight edge of another CRS, with a vertex every 100 m, against the straight edge of the truth
)


def true_blocks(seed: int, count: int, whole: Area) -> list[Area]:
    """Cut a field along random lines; a block may have several parts, and one may lie inside another."""
    rng = np.random.default_rng(seed)
    pieces = [whole]
    if count > 2:
        x, y = rng.uniform(WEST + 90, EAST - 160), rng.uniform(SOUTH + 70, NORTH - 130)
        island = box(x, y, x + 70, y + 60)
        pieces = [whole.difference(island), whole.intersection(island)]
    while len(pieces) < count:
        pieces.sort(key=lambda piece: -piece.area)
        place = shapely.point_on_surface(pieces[0])
        angle, long_m = rng.uniform(0, np.pi), 800
        step = np.array([np.cos(angle), np.sin(angle)]) * long_m
        line = LineString([(place.x - step[0], place.y - step[1]), (place.x + step[0], place.y + step[1])])
        found = [part for part in split(pieces[0], line).geoms if part.area > 400]
        # every second part goes to the new block: blocks of several parts
        pieces[0:1] = [shapely.union_all(found[0::2]), shapely.union_all(found[1::2])]
    return pieces


def made(path: Path, seed: int) -> tuple[FieldInputs, Zoning, list[Area]]:
    """Read a made field with its planting polygons in some CRS, and draw its zones."""
    rng = np.random.default_rng(seed)
    count = 1 + seed % 6
    whole: Area = FIELD
    if seed % 3 == 1:
        whole = FIELD.difference(box(WEST + 150, SOUTH + 110, WEST + 210, SOUTH + 170))
    if seed % 3 == 2:
        whole = FIELD.union(box(EAST + 40, SOUTH, EAST + 160, SOUTH + 140))
    truth = true_blocks(seed, count, whole)
    days = rng.permutation(np.arange(1, 25, 3))[:count]
    folder = Folder(path / "farm")
    folder.shapes("boundary.geojson", [whole])
    crs = CRS_OF_FILE[seed % len(CRS_OF_FILE)]
    write(folder.field / "planting.gpkg", truth, [f"2026-05-{day:02d}" for day in days], crs)
    rows, columns = np.mgrid[0:60, 0:80]
    canopy = (
        np.sin(rows / rng.uniform(4, 9)) + np.cos(columns / rng.uniform(4, 9)) + rng.normal(0, 0.2, (60, 80))
    )
    folder.image("2026-06-28_canopy.tif", (1000 + 200 * canopy[None]).astype("float32"))
    folder.add(
        "[planting]\nfile = 'planting.gpkg'\n[[layer]]\nname = 'canopy'\nfile = '2026-06-28_canopy.tif'\n"
        "[zones]\nmin_area = '0.5 ac'"
    )
    chosen = folder.settings()
    given = read.field(chosen, TODAY)
    layers = {layer.name: layer.values for layer in given.layers}
    zoning = delineate(layers, drawn.ground_of(given), drawn.limits_of(chosen, given), seed=seed)
    return given, zoning, truth


def write(path: Path, shapes: list[Area], days: list[str], crs: str) -> None:
    """Write polygons with their planting day in a CRS, edges divided as a mapping program does not."""
    there = Transformer.from_crs(f"EPSG:{EPSG}", crs, always_xy=True)
    schema = {"geometry": "Unknown", "properties": {"planted": "str"}}
    with fiona.open(path, "w", driver="GPKG", crs=crs, schema=schema, layer="planting") as target:
        for shape, day in zip(shapes, days, strict=True):
            # vertices every 20 m, so that the edge in the file is that of the truth to a millimetre
            dense = shapely.segmentize(shape, 20)
            moved = shapely.transform(dense, lambda xy: np.column_stack(there.transform(xy[:, 0], xy[:, 1])))
            target.write({"geometry": mapping(moved), "properties": {"planted": day}})


@pytest.mark.parametrize("seed", range(12))
def test_every_date_edge_is_a_zone_edge_and_no_zone_has_two_dates(tmp_path: Path, seed: int) -> None:
    given, zoning, truth = made(tmp_path, seed)
    assert len(given.blocks) == len(truth) == 1 + seed % 6
    outlines = [zone.outline for zone in zoning.zones]
    assert shapely.coverage_is_valid(outlines)

    # Every zone lies in its block: the zones of a block fill it with the vertices of its outline. Where a
    # zone ends on the edge a vertex is added, and lies on it to the precision of its coordinates.
    for place, block in enumerate(given.blocks):
        mine = [zone.outline for zone in zoning.zones if zone.block == place]
        assert vertices(block.outline) <= vertices(*mine)
        together = shapely.coverage_union_all(mine)
        assert shapely.symmetric_difference(together, block.outline).area < 1e-5
        assert shapely.hausdorff_distance(together.boundary, block.outline.boundary) < 1e-6

    # Within-zone SD of the planting day is 0, cell by cell.
    ordinal = np.array([block.planted.toordinal() for block in given.blocks])
    day_of_cell = ordinal[given.block_of_cell]
    for zone in zoning.zones:
        assert zone.cells == 0 or np.std(day_of_cell[zoning.number_of_cell == zone.number]) == 0

    # Every edge between two true blocks is a zone edge, all along.
    edges = MultiLineString([part for one in outlines for part in lines(one.boundary)])
    shapely.prepare(edges)
    by_day = {block.planted: block.outline for block in given.blocks}
    assert len(by_day) == len(truth)
    for one, other in itertools.combinations(truth, 2):
        for part in lines(shapely.intersection(one.boundary, other.boundary)):
            places = shapely.line_interpolate_point(part, np.arange(0, part.length, 2.0))
            assert shapely.dwithin(edges, places, EDGE_M).all()

    # Two zones on both sides of a date edge have the same vertices along it.
    for one, other in itertools.combinations(zoning.zones, 2):
        if one.block != other.block:
            shared = shapely.intersection(one.outline.boundary, other.outline.boundary)
            along = {xy for part in lines(shared) for xy in map(tuple, part.coords)}
            assert along <= vertices(one.outline)
            assert along <= vertices(other.outline)


def test_the_made_fields_have_zones_inside_blocks(tmp_path: Path) -> None:
    # else the test above would hold blocks against themselves
    _, zoning, truth = made(tmp_path, 3)
    assert len(zoning.zones) > len(truth)


def vertices(*shapes: Area) -> set[tuple[float, float]]:
    return {tuple(xy) for shape in shapes for xy in shapely.get_coordinates(shape)}


def lines(shape: shapely.Geometry) -> list[LineString]:
    return [part for part in shapely.get_parts(shape) if part.geom_type == "LineString" and part.length > 0]
