"""The lines between zones: where they run, how smooth they are, what ground they leave to each side."""

import numpy as np
import pytest
import shapely
from made_ground import smooth_patches, square_field
from made_survey_fields import survey_field
from made_zoned import LIMITS, survey_ground
from rasterio.features import shapes
from shapely.geometry import shape
from sklearn.metrics import adjusted_rand_score

from zoning.inputs.grid import Grid
from zoning.zones.delineate import candidates, drawn
from zoning.zones.draw import draw
from zoning.zones.smooth import nearest_label

GRID = Grid(32615, 0.0, 400.0, 10.0, (40, 40))
WHOLE = (slice(0, 40), slice(0, 40))


def disc(radius_cells):
    row, column = np.indices((40, 40)) + 0.5
    return (np.hypot(row - 20, column - 20) < radius_cells).astype(int)


def test_by_hand_a_straight_edge_stays_where_the_cells_meet():
    labels = (np.arange(40)[None, :] >= 15).astype(int) + np.zeros((40, 1), dtype=int)
    (line,) = draw([(labels, WHOLE)], GRID)[0].lines
    # 15 cells of 10 m east of 0 m; the line runs on into the cells around the block
    assert np.allclose(shapely.get_coordinates(line)[:, 0], 150.0)
    assert line.bounds[1] < 0
    assert line.bounds[3] > 400


@pytest.mark.parametrize("radius_cells", [3.6, 5.0, 9.0, 15.0])
def test_a_disc_keeps_the_area_of_its_cells_and_loses_its_stairs(radius_cells):
    labels = disc(radius_cells)
    (line,) = draw([(labels, WHOLE)], GRID)[0].lines
    ring = shapely.Polygon(line)
    assert ring.is_valid
    assert ring.area == pytest.approx(100 * labels.sum(), rel=0.01)
    edge_m = 20 * np.pi * radius_cells
    assert line.length < 1.08 * edge_m  # stairs are 4 / pi, 27 %, longer than the circle
    corner = np.diff(shapely.get_coordinates(line), axis=0)
    turn = np.angle(np.exp(1j * np.diff(np.angle(corner[:, 0] + 1j * corner[:, 1]))), deg=True)
    assert np.abs(turn).max() < 75


def test_three_zones_meet_in_one_node_that_stays_in_its_place():
    labels = np.zeros((40, 40), dtype=int)
    labels[:20, 20:], labels[20:, 20:] = 1, 2
    lines = draw([(labels, WHOLE)], GRID)[0].lines
    ends = [tuple(xy) for line in lines for xy in (line.coords[0], line.coords[-1])]
    assert len(lines) == 3
    assert ends.count((200.0, 200.0)) == 3


def cells_ground(labels, corner_m, cell_m, label):
    """The bare cells of one label, as polygons."""
    place = np.array([cell_m, 0, corner_m[0], 0, -cell_m, corner_m[1]])
    found = shapes(labels.astype(np.int32), transform=tuple(place))
    return shapely.union_all([shape(one) for one, value in found if value == label])


@pytest.fixture(scope="module", params=range(20))
def zoned(request):
    field = survey_field(request.param)
    ground = survey_ground(field)
    of_blocks = candidates(field.layers, ground, LIMITS, seed=1)
    return of_blocks, ground, drawn(of_blocks, field.layers, ground, LIMITS)


def test_outlines_are_a_coverage_of_the_blocks_as_they_were_given(zoned):
    _, ground, zoning = zoned
    outlines = [zone.outline for zone in zoning.zones]
    assert shapely.coverage_is_valid(outlines)
    assert not shapely.coverage_invalid_edges(outlines).any()
    for index, block in enumerate(ground.block_outlines):
        mine = shapely.union_all([zone.outline for zone in zoning.zones if zone.block == index])
        assert mine.symmetric_difference(block).area < 1e-6
        given = {tuple(xy) for xy in shapely.get_coordinates(block)}
        ours = {tuple(xy) for zone in zoning.zones for xy in shapely.get_coordinates(zone.outline)}
        assert given <= ours


def test_zones_are_as_large_as_their_cells(zoned):
    of_blocks, ground, zoning = zoned
    cell_m = ground.grid.cell_m
    for one in of_blocks:
        division = one.divisions[-1]
        if division.zones == 1:
            continue
        labels = nearest_label(np.pad(division.labels, 2, constant_values=-1))
        corner_m = (
            ground.grid.left_m + (one.window[1].start - 2) * cell_m,
            ground.grid.top_m - (one.window[0].start - 2) * cell_m,
        )
        for label in range(division.zones):
            cells = cells_ground(labels, corner_m, cell_m, label)
            cells = cells.intersection(ground.block_outlines[one.block])
            held = zoning.number_of_cell[one.window][division.labels == label]
            zone = zoning.zones[int(np.bincount(held).argmax()) - 1]
            assert abs(zone.outline.area - cells.area) <= 0.01 * cells.area


def test_no_polygon_has_more_than_sixty_corners_of_our_own(zoned):
    _, ground, zoning = zoned
    for zone in zoning.zones:
        given = {tuple(xy) for xy in shapely.get_coordinates(ground.block_outlines[zone.block])}
        for part in shapely.get_parts(zone.outline):
            assert len({tuple(xy) for xy in shapely.get_coordinates(part)} - given) <= 60


def test_cells_belong_to_the_zone_that_holds_their_middle(zoned):
    of_blocks, ground, zoning = zoned
    east, north = np.meshgrid(ground.grid.east_m(), ground.grid.north_m())
    for zone in zoning.zones:
        # a middle that lies on an edge may go to either side
        held = shapely.contains_xy(zone.outline.buffer(-1e-6), east, north)
        assert (zoning.number_of_cell[held & ground.inside] == zone.number).all()
    for one in of_blocks:  # and few cells changed sides when their lines were smoothed
        labels = one.divisions[-1].labels
        number = zoning.number_of_cell[one.window]
        moved = 0
        for label in range(labels.max() + 1):
            mine = number[labels == label]
            moved += int((mine != np.bincount(mine).argmax()).sum())
        assert moved <= 0.015 * (labels >= 0).sum()


def test_a_patch_that_is_large_enough_is_not_lost_when_lines_are_simplified():
    # patches about as large as the smallest zone, and ribbons a few cells wide, between other zones
    ground = square_field(60)
    for seed in range(6):
        rng = np.random.default_rng(seed)
        truth = smooth_patches(rng, ground.grid.shape, 3, 8)
        layers = {"canopy": truth + 0.1 * rng.normal(size=truth.shape)}
        (block,) = candidates(layers, ground, LIMITS, seed=seed)
        zoning = drawn([block], layers, ground, LIMITS)
        labels = block.divisions[-1].labels
        assert adjusted_rand_score(labels.ravel(), zoning.number_of_cell.ravel()) > 0.97
        cells = sorted(np.bincount(labels.ravel()))
        assert sorted(zone.cells for zone in zoning.zones) == pytest.approx(cells, rel=0.01)
