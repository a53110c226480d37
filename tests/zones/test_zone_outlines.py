"""Outlines: a valid coverage of the field whatever its shape, exact date edges, nothing too small."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import LIMITS, ground_of, random_layers, random_outlines, smooth_patches, square_field
from shapely import MultiPolygon, Polygon, box

from zoning.units import m2_from_ac
from zoning.zones.delineate import delineate
from zoning.zones.draw import draw
from zoning.zones.outline import outlined
from zoning.zones.zoning import Limits


def _vertices(area):
    return set(map(tuple, shapely.get_coordinates(area)))


def _check_coverage(zoning, ground):
    areas = [zone.outline for zone in zoning.zones]
    assert shapely.coverage_is_valid(areas)
    assert all(area.is_valid and area.area > 0 for area in areas)
    for block, outline in enumerate(ground.block_outlines):
        mine = [zone.outline for zone in zoning.zones if zone.block == block]
        joined = shapely.coverage_union_all(mine)
        # The block's own vertices are all there, and the new ones lie on its outline.
        assert _vertices(outline) <= _vertices(joined)
        assert joined.area == pytest.approx(outline.area, rel=1e-9, abs=1e-6)
        assert shapely.hausdorff_distance(joined.boundary, outline.boundary) < 1e-6


def _check_sizes(zoning, ground, limits):
    least_m2 = m2_from_ac(limits.min_area_ac)
    for zone in zoning.zones:
        block = ground.block_outlines[zone.block]
        parts_of_block = [part.area for part in shapely.get_parts(block)]
        for part in shapely.get_parts(zone.outline):
            whole_part = any(part.area == pytest.approx(area, rel=1e-9) for area in parts_of_block)
            assert part.area >= least_m2 or whole_part
        assert zone.outline.area >= 0.08 * block.area


def _check_cells(zoning, ground):
    assert np.array_equal(zoning.number_of_cell > 0, ground.inside)
    assert zoning.number_of_cell.dtype == np.int16
    east, north = np.meshgrid(ground.grid.east_m(), ground.grid.north_m())
    for zone in zoning.zones:
        mine = zoning.number_of_cell == zone.number
        assert mine.sum() == zone.cells
        assert (ground.block_of_cell[mine] == zone.block).all()
        # Centres on an edge belong to either side.
        assert shapely.contains_xy(shapely.buffer(zone.outline, 1e-6), east[mine], north[mine]).all()


@settings(max_examples=20, deadline=None, derandomize=True)
@given(
    seed=st.integers(0, 10_000), cell_m=st.sampled_from([4.0, 10.0, 15.0]), noise=st.sampled_from([0.1, 0.8])
)
def test_odd_fields_are_covered_without_gap_or_overlap(seed, cell_m, noise):
    ground = ground_of(random_outlines(seed), cell_m=cell_m, buffer_m=15)
    limits = Limits(max_zones_per_block=4, min_area_ac=0.6)
    zoning = delineate(random_layers(seed, ground, noise=noise), ground, limits, seed=seed)
    _check_coverage(zoning, ground)
    _check_sizes(zoning, ground, limits)
    _check_cells(zoning, ground)
    assert {zone.block for zone in zoning.zones} == set(range(len(ground.block_outlines)))
    assert Counter(zone.block for zone in zoning.zones) == {
        quality.block: quality.chosen for quality in zoning.quality
    }


def test_date_edges_stay_where_they_are():
    # A slanted date edge and patches that run across it: the edge is one straight line in the zones too.
    west, east = (
        Polygon([(0, 0), (251, 0), (347, 600), (0, 600)]),
        Polygon([(251, 0), (600, 0), (600, 600), (347, 600)]),
    )
    ground = ground_of([west, east])
    rng = np.random.default_rng(2)
    canopy = smooth_patches(rng, ground.grid.shape, 3, 7) + 0.2 * rng.normal(size=ground.grid.shape)
    zoning = delineate({"canopy": canopy}, ground, LIMITS, seed=1)
    assert len(zoning.zones) > 3
    edge = shapely.LineString([(251, 0), (347, 600)])
    shared = [
        one.outline.boundary.intersection(other.outline.boundary).length
        for one in zoning.zones
        for other in zoning.zones
        if one.block == 0 and other.block == 1
    ]
    assert sum(shared) == pytest.approx(edge.length, rel=1e-9)
    _check_coverage(zoning, ground)


def test_a_block_of_one_zone_keeps_its_outline_untouched():
    hole = box(200, 200, 300, 300)
    field = box(0, 0, 500, 500).difference(hole)
    blocks = [field.intersection(box(0, 0, 500, 250)), field.intersection(box(0, 250, 500, 500))]
    ground = ground_of(blocks)
    noise = {"canopy": np.random.default_rng(1).normal(size=ground.grid.shape)}
    for layers in ({}, noise):
        zoning = delineate(layers, ground, LIMITS, seed=1)
        assert [zone.outline for zone in zoning.zones] == blocks
        assert [zone.number for zone in zoning.zones] == [1, 2]
        assert [zone.cells for zone in zoning.zones] == [1200, 1200]


def test_a_zone_may_have_several_parts():
    ground = square_field(60)
    stripes = np.where((np.arange(60) // 20)[None, :] == 1, 1.0, 0.0) + np.zeros((60, 1))
    zoning = delineate({"canopy": stripes}, ground, LIMITS, seed=1)
    assert [len(shapely.get_parts(zone.outline)) for zone in zoning.zones] == [1, 2]
    _check_coverage(zoning, ground)


def test_holes_in_a_layer_are_filled_from_their_surroundings():
    ground = square_field(60)
    canopy = np.where(np.arange(60)[None, :] < 30, 0.0, 1.0) + np.zeros((60, 1))
    seen = canopy.copy()
    seen[10:20, 5:15] = np.nan
    seen[40:55, 40:50] = np.nan
    whole = delineate({"canopy": canopy}, ground, LIMITS, seed=1)
    holed = delineate({"canopy": seen}, ground, LIMITS, seed=1)
    assert np.array_equal(whole.number_of_cell, holed.number_of_cell)


def test_a_layer_of_nothing_is_left_out():
    ground = square_field(40)
    halves = np.where(np.arange(40)[None, :] < 20, 0.0, 1.0) + np.zeros((40, 1))
    nothing = np.full((40, 40), np.nan)
    zoning = delineate({"canopy": halves, "cloud": nothing}, ground, LIMITS, seed=1)
    assert len(zoning.zones) == 2
    assert len(delineate({"cloud": nothing}, ground, LIMITS, seed=1).zones) == 1


def test_cells_near_the_boundary_do_not_teach():
    # A headland of trees along the boundary, 3 cells wide, would be a zone of its own.
    field = box(0, 0, 800, 800)
    canopy = np.full((80, 80), -5.0)
    canopy[3:-3, 3:-3] = np.random.default_rng(1).normal(0, 0.1, (74, 74))
    all_teach, inner_teach = ground_of([field]), ground_of([field], buffer_m=30)
    assert len(delineate({"canopy": canopy}, all_teach, LIMITS, seed=1).zones) == 2
    assert len(delineate({"canopy": canopy}, inner_teach, LIMITS, seed=1).zones) == 1


@pytest.mark.parametrize("width_m", [3, 8, 15])
def test_thin_and_tiny_blocks_stay_whole(width_m):
    blocks = [box(0, 0, width_m, 400), box(width_m, 0, 400, 400), box(400, 0, 404, 6)]
    ground = ground_of(blocks)
    rng = np.random.default_rng(4)
    canopy = smooth_patches(rng, ground.grid.shape, 2, 6) + 0.1 * rng.normal(size=ground.grid.shape)
    zoning = delineate({"canopy": canopy}, ground, LIMITS, seed=1)
    assert [zone.block for zone in zoning.zones] == [0, 1, 1, 2]
    _check_coverage(zoning, ground)
    assert zoning.zones[-1].outline == blocks[2]


def test_edges_are_smooth_and_keep_the_area_of_the_cells():
    # Limits of part three that the drawing keeps already: drift and vertices at 10 m.
    ground = square_field(80)
    for seed in range(6):
        rng = np.random.default_rng(seed)
        truth = smooth_patches(rng, (80, 80), 2, 10)
        zoning = delineate({"canopy": truth * 1.0}, ground, LIMITS, seed=1)
        for zone in zoning.zones:
            assert zone.outline.area == pytest.approx(100 * zone.cells, rel=0.01)
            assert max(len(part.exterior.coords) for part in shapely.get_parts(zone.outline)) <= 100


def test_a_block_whose_zones_do_not_touch_has_no_line_between_them():
    # Two parts of one block, ten cells apart; each is one zone, so there is nothing to draw.
    ground = square_field(30)
    labels = np.full((30, 30), -1)
    labels[:, :10], labels[:, 20:] = 0, 1
    parts = MultiPolygon([box(*bounds) for bounds in _sides(ground)])
    ground = replace(
        ground,
        inside=labels >= 0,
        fit=labels >= 0,
        block_of_cell=np.where(labels >= 0, 0, -1).astype(np.int16),
        block_outlines=(parts,),
    )
    (drawn,) = draw([(labels, (slice(0, 30), slice(0, 30)))], ground.grid)
    assert len(drawn.lines) == 0
    outlines, _ = outlined([drawn], ground, Limits(max_zones_per_block=2, min_area_ac=1.0))
    assert [round(one.area.area) for one in outlines] == [30_000, 30_000]


def _sides(ground):
    west, north, cell = ground.grid.left_m, ground.grid.top_m, ground.grid.cell_m
    south = north - 30 * cell
    return (west, south, west + 10 * cell, north), (west + 20 * cell, south, west + 30 * cell, north)
