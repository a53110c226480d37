"""Zones that somebody drew: cut at planting edges, small pieces joined, names and their order kept."""

from datetime import date
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import ground_of, random_layers, random_outlines
from made_inputs import EAST, FIELD, NORTH, SOUTH, WEST, Folder
from shapely import Polygon, box

from zoning.inputs import read
from zoning.offers import drawn
from zoning.offers.joined import joined
from zoning.units import ac_from_m2, m2_from_ac
from zoning.zones.given import Cut, Piece, from_given, said
from zoning.zones.measured import measure
from zoning.zones.why import why_whole
from zoning.zones.zoning import Footprint, Limits

LIMITS = Limits(max_zones_per_block=3, min_area_ac=1.0)
# 300 m x 300 m, in three blocks of 100 m from west to east: 3 ha = 7.413 ac each.
THREE = ground_of([box(100 * n, 0, 100 * (n + 1), 300) for n in range(3)])


def of(zoning) -> list[tuple[int, str, int, int]]:
    return [(zone.number, zone.name, zone.block, round(zone.outline.area)) for zone in zoning.zones]


def check(zoning, ground) -> None:
    areas = [zone.outline for zone in zoning.zones]
    assert all(area.is_valid and area.area > 0 for area in areas)
    assert shapely.coverage_is_valid(areas)
    whole = sum(outline.area for outline in ground.block_outlines)
    assert sum(area.area for area in areas) == pytest.approx(whole, rel=1e-9)
    for block, outline in enumerate(ground.block_outlines):
        joined = shapely.coverage_union_all([zone.outline for zone in zoning.zones if zone.block == block])
        corners = set(map(tuple, shapely.get_coordinates(joined)))
        assert set(map(tuple, shapely.get_coordinates(outline))) <= corners
        assert shapely.hausdorff_distance(joined.boundary, outline.boundary) < 1e-6
        assert joined.symmetric_difference(outline).area < 1e-5
    assert [zone.number for zone in zoning.zones] == list(range(1, len(zoning.zones) + 1))
    assert np.array_equal(zoning.number_of_cell > 0, ground.inside)
    assert sum(zone.cells for zone in zoning.zones) == ground.inside.sum()
    assert zoning.raw_of_cell is None


# -- by hand -------------------------------------------------------------------------------------------------


def test_by_hand_three_planting_blocks_cut_two_zones_into_six():
    # South of 200 m "low", north of it "hill": 100 m x 200 m = 4.94 ac and 100 m x 100 m = 2.47 ac a block.
    outlines = [box(0, 0, 300, 200), box(0, 200, 300, 300)]
    values = np.where(THREE.grid.north_m()[:, None] > 200, 0.8, 0.6) + np.zeros(THREE.grid.shape)
    zoning, cuts = from_given(outlines, ["low", "hill"], THREE, {"canopy": values}, LIMITS)
    # "low" comes first in every block, as it was drawn first, though its mean is lower.
    assert of(zoning) == [
        (1, "low", 0, 20_000),
        (2, "hill", 0, 10_000),
        (3, "low", 1, 20_000),
        (4, "hill", 1, 10_000),
        (5, "low", 2, 20_000),
        (6, "hill", 2, 10_000),
    ]
    assert [round(zone.means["canopy"], 6) for zone in zoning.zones] == [0.6, 0.8] * 3
    assert [(quality.chosen, quality.stopped) for quality in zoning.quality] == [(2, "given")] * 3
    assert [note.text for note in said(cuts, ["A", "B", "C"], is_metric=False)] == [
        "planting edges cut the drawn zone low; each part is a zone of that name: 4.94 ac in block A, 4.94 "
        "ac in block B, 4.94 ac in block C",
        "planting edges cut the drawn zone hill; each part is a zone of that name: 2.47 ac in block A, 2.47 "
        "ac in block B, 2.47 ac in block C",
    ]
    check(zoning, THREE)


def test_by_hand_zones_along_planting_edges_are_not_cut():
    outlines = [THREE.block_outlines[1], THREE.block_outlines[2], THREE.block_outlines[0]]
    zoning, cuts = from_given(outlines, ["one", "two", "three"], THREE, {}, LIMITS)
    assert of(zoning) == [(1, "three", 0, 30_000), (2, "one", 1, 30_000), (3, "two", 2, 30_000)]
    assert cuts == ()
    assert all(why_whole(quality, "A") is None for quality in zoning.quality)
    check(zoning, THREE)


def test_by_hand_what_a_cut_leaves_too_small_joins_the_longest_border():
    # "east" reaches 12 m into the first block: 12 m x 300 m = 0.36 ha = 0.89 ac, less than 1 ac. It joins
    # "north" with 200 m in common, not "south" with 100 m.
    outlines = [box(0, 0, 88, 100), box(0, 100, 88, 300), box(88, 0, 300, 300)]
    zoning, cuts = from_given(outlines, ["south", "north", "east"], THREE, {}, LIMITS)
    assert of(zoning) == [
        (1, "south", 0, 8_800),
        (2, "north", 0, 21_200),
        (3, "east", 1, 30_000),
        (4, "east", 2, 30_000),
    ]
    assert cuts == (
        Cut(
            name="east",
            what="cut",
            pieces=(Piece(block=1, area_ac=ac_from_m2(30_000)), Piece(block=2, area_ac=ac_from_m2(30_000))),
        ),
        Cut(name="east", what="joined", pieces=(Piece(block=0, area_ac=ac_from_m2(3_600), heir="north"),)),
    )
    assert [note.text for note in said(cuts, ["A", "B", "C"], is_metric=True)][1] == (
        "parts of the drawn zone east are too small for zones and joined others: 0.36 ha in block A joined "
        "north"
    )
    check(zoning, THREE)


def test_by_hand_a_zone_that_is_too_small_is_gone_and_said():
    # 60 m x 60 m = 0.36 ha = 0.89 ac inside the second block.
    spot = box(120, 120, 180, 180)
    outlines = [box(0, 0, 300, 300).difference(spot), spot]
    zoning, cuts = from_given(outlines, ["field", "spot"], THREE, {}, LIMITS)
    assert [zone.name for zone in zoning.zones] == ["field"] * 3
    assert [cut.what for cut in cuts] == ["cut", "gone"]
    assert said(cuts, ["A", "B", "C"], is_metric=False)[1].text == (
        "the drawn zone spot is too small for a zone and joined others: 0.89 ac in block B joined field"
    )
    check(zoning, THREE)
    # With a smaller smallest zone it stays, and is the last of its block.
    smaller = Limits(
        max_zones_per_block=1, min_area_ac=0.5, footprint=Footprint(across_m=30, along_m=30, heading_deg=0)
    )
    zoning, _ = from_given(outlines, ["field", "spot"], THREE, {}, smaller)
    assert (3, "spot", 1, 3_600) in of(zoning)
    check(zoning, THREE)


def test_by_hand_a_zone_edge_beside_a_planting_edge_leaves_no_strip():
    # Drawn 2 m east of the planting edge: 2 m x 300 m = 0.15 ac, also where 0.1 ac were enough for a zone.
    outlines = [box(0, 0, 102, 300), box(102, 0, 300, 300)]
    small = Limits(max_zones_per_block=3, min_area_ac=0.1)
    zoning, cuts = from_given(outlines, ["west", "east"], THREE, {}, small)
    assert of(zoning) == [(1, "west", 0, 30_000), (2, "east", 1, 30_000), (3, "east", 2, 30_000)]
    assert cuts[0] == Cut(
        name="west", what="joined", pieces=(Piece(block=1, area_ac=ac_from_m2(600), heir="east"),)
    )
    check(zoning, THREE)


def test_a_part_below_a_thousandth_of_the_field_joins_without_a_word():
    # 0.2 m x 300 m = 60 m2 of 90,000 m2.
    outlines = [box(0, 0, 100.2, 300), box(100.2, 0, 300, 300)]
    _, cuts = from_given(outlines, ["west", "east"], THREE, {}, LIMITS)
    assert [(cut.name, cut.what) for cut in cuts] == [("east", "cut")]


def test_a_zone_of_several_patches_stays_one_zone():
    strips = [box(0, 100 * n, 300, 100 * (n + 1)) for n in range(3)]
    outlines = [shapely.union_all([strips[0], strips[2]]), strips[1]]
    zoning, _ = from_given(outlines, ["outer", "inner"], ground_of([box(0, 0, 300, 300)]), {}, LIMITS)
    assert of(zoning) == [(1, "outer", 0, 60_000), (2, "inner", 0, 30_000)]
    assert len(zoning.zones[0].outline.geoms) == 2
    # A third patch that is too small goes, the others stay.
    spot = box(120, 120, 170, 170)  # 0.62 ac
    outlines = [outlines[0].union(spot), outlines[1].difference(spot)]
    zoning, cuts = from_given(outlines, ["outer", "inner"], ground_of([box(0, 0, 300, 300)]), {}, LIMITS)
    assert of(zoning) == [(1, "outer", 0, 60_000), (2, "inner", 0, 30_000)]
    assert [(cut.name, cut.what, cut.pieces[0].heir) for cut in cuts] == [("outer", "joined", "inner")]


def test_a_part_of_a_block_that_lies_apart_keeps_its_zone_however_small():
    # The field's second part, 50 m x 50 m = 0.62 ac, has no neighbour to go to.
    apart = box(400, 0, 450, 50)
    ground = ground_of([shapely.union_all([box(0, 0, 300, 300), apart])])
    zoning, cuts = from_given([box(0, 0, 300, 300), apart], ["big", "apart"], ground, {}, LIMITS)
    assert of(zoning) == [(1, "big", 0, 90_000), (2, "apart", 0, 2_500)]
    assert cuts == ()
    check(zoning, ground)


def test_what_became_of_many_zones_is_not_said_one_by_one():
    # A chequer of 30 m: 100 squares of 0.22 ac, each smaller than a zone.
    squares = [box(30 * n, 30 * m, 30 * n + 30, 30 * m + 30) for n in range(10) for m in range(10)]
    zoning, cuts = from_given(squares, [str(n) for n in range(100)], THREE, {}, LIMITS)
    notes = said(cuts, ["A", "B", "C"], is_metric=False)
    assert len(notes) == 21
    named = {cut.name for cut in cuts[20:]}
    assert notes[-1].text == f"{len(named)} more drawn zones were cut or joined in the same ways"
    check(zoning, THREE)


def test_names_and_outlines_belong_together():
    with pytest.raises(ValueError, match="1 outlines have 2 names"):
        from_given([box(0, 0, 300, 300)], ["a", "b"], THREE, {}, LIMITS)


def test_the_quality_of_given_zones_can_be_measured():
    # Two zones, two levels, noise: the zones explain what is between their means, whoever drew them.
    rng = np.random.default_rng(4)
    ground = ground_of([box(0, 0, 600, 600)])
    hill = np.where(ground.grid.east_m() > 300, 0.7, 0.5) + np.zeros(ground.grid.shape)
    layers = {"canopy": hill + rng.normal(0, 0.05, ground.grid.shape)}
    outlines = [box(0, 0, 300, 600), box(300, 0, 600, 600)]
    zoning, _ = from_given(outlines, ["low", "high"], ground, layers, LIMITS)
    quality = measure(zoning, layers, {}, ground, LIMITS, seed=1)
    # 0.1^2 / (0.1^2 + 0.05^2) = 0.8; the noise of 3,600 cells leaves it within 0.02.
    assert quality.explained_frac == pytest.approx(0.8, abs=0.02)
    assert [zone.patches for zone in quality.zones] == [1, 1]


# -- properties ----------------------------------------------------------------------------------------------


def _cells(seed: int, around, count: int) -> list:
    rng = np.random.default_rng(seed)
    west, south, east, north = around.bounds
    points = np.column_stack([rng.uniform(west, east, count), rng.uniform(south, north, count)])
    cells = shapely.voronoi_polygons(shapely.MultiPoint(points), extend_to=around.buffer(100))
    return list(shapely.get_parts(cells))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10_000), count=st.integers(1, 12), least_ac=st.sampled_from([0.05, 0.5, 2.0]))
def test_any_partition_of_any_field_becomes_a_coverage(seed, count, least_ac):
    ground = ground_of(random_outlines(seed))
    limits = Limits(max_zones_per_block=3, min_area_ac=least_ac)
    outlines = _cells(seed, shapely.union_all(ground.block_outlines), count)
    names = [f"zone {n}" for n in range(len(outlines))]
    layers = random_layers(seed, ground)
    zoning, cuts = from_given(outlines, names, ground, layers, limits)
    check(zoning, ground)
    assert {zone.name for zone in zoning.zones} <= set(names)
    keys = [(zone.block, names.index(zone.name)) for zone in zoning.zones]
    assert keys == sorted(set(keys)), "by block, then in the order in which they were drawn"
    for zone in zoning.zones:
        for part in shapely.get_parts(zone.outline):
            alone = any(
                abs(part.area - whole.area) < 1e-6
                for whole in shapely.get_parts(ground.block_outlines[zone.block])
            )
            assert alone or part.area >= m2_from_ac(least_ac)
    # What stays and what went to others is, block by block, all that was drawn.
    moved_m2 = sum(m2_from_ac(piece.area_ac) for cut in cuts if cut.what != "cut" for piece in cut.pieces)
    differs_m2 = sum(zone.outline.difference(outlines[names.index(zone.name)]).area for zone in zoning.zones)
    whole_m2 = sum(outline.area for outline in ground.block_outlines)
    assert moved_m2 <= differs_m2 + 1e-3
    assert moved_m2 >= differs_m2 - 0.001 * whole_m2 * len(names) * len(ground.block_outlines)


# -- with the reader -----------------------------------------------------------------------------------------


def test_by_hand_zones_of_a_file_cut_by_three_planting_blocks(tmp_path):
    # Blocks of 150, 100 and 150 m from west to east; zones north and south of the middle, 150 m each, and the
    # south drawn to 1 m from the boundary. 150 x 150 m2 = 5.56 ac, 100 x 150 m2 = 3.71 ac.
    folder = Folder(tmp_path / "farm")
    folder.shapes("boundary.geojson", [FIELD])
    edges = [WEST - 20, WEST + 150, WEST + 250, EAST + 20]
    shapes = [box(west, SOUTH - 20, east, NORTH + 20) for west, east in pairwise(edges)]
    folder.shapes("planting.geojson", shapes, [{"planted": f"2026-05-{day}"} for day in ("06", "13", "20")])
    middle = (SOUTH + NORTH) / 2
    zones = [box(WEST, SOUTH + 1, EAST, middle), box(WEST - 20, middle, EAST + 20, NORTH + 20)]
    folder.shapes("zones.geojson", zones, [{"Name": "2"}, {"Name": "1"}])
    folder.add("[planting]\nfile = 'planting.geojson'\n[zones]\nfile = 'zones.geojson'")
    settings_ = folder.settings()
    found = read.field(settings_, date(2026, 7, 8))
    ground, limits = drawn.ground_of(found), drawn.limits_of(settings_, found)
    zoning, cuts = from_given(
        [zone.outline for zone in found.given_zones],
        [zone.name for zone in found.given_zones],
        ground,
        {},
        limits,
    )
    assert [(zone.name, zone.block) for zone in zoning.zones] == [
        (name, n) for n in range(3) for name in "12"
    ]
    areas = [zone.outline.area for zone in zoning.zones]
    assert areas == pytest.approx([22_500, 22_500, 15_000, 15_000, 22_500, 22_500], rel=1e-4)
    assert [(cut.name, cut.what, len(cut.pieces)) for cut in cuts] == [("1", "cut", 3), ("2", "cut", 3)]
    check(zoning, ground)
    # No corner was made: those of zones and blocks were there.
    before = {tuple(xy) for one in found.given_zones for xy in shapely.get_coordinates(one.outline)}
    before |= {tuple(xy) for one in found.blocks for xy in shapely.get_coordinates(one.outline)}
    assert {tuple(xy) for zone in zoning.zones for xy in shapely.get_coordinates(zone.outline)} <= before


def test_joined_blocks_cut_no_zone_at_the_edge_that_is_gone(tmp_path):
    # Two slanted planting edges; the blocks west and east of the first are planted a day apart and joined.
    folder = Folder(tmp_path / "farm")
    folder.shapes("boundary.geojson", [FIELD])
    edges = [[(WEST + x, SOUTH - 20), (WEST + x + 37.3, NORTH + 20)] for x in (-200, 111.7, 251.3, 600)]
    shapes = [Polygon([*west, *reversed(east)]) for west, east in pairwise(edges)]
    folder.shapes("planting.geojson", shapes, [{"planted": f"2026-05-{day}"} for day in ("06", "07", "20")])
    middle = (SOUTH + NORTH) / 2
    zones = [box(WEST, SOUTH, EAST, middle), box(WEST, middle, EAST, NORTH)]
    folder.shapes("zones.geojson", zones, [{"zone": "south"}, {"zone": "north"}])
    folder.add("[planting]\nfile = 'planting.geojson'\n[zones]\nfile = 'zones.geojson'")
    found, _ = joined(read.field(folder.settings(), date(2026, 7, 8)), [200.0, 200.5, 215.0], True)
    assert len(found.blocks) == 2
    ground = drawn.ground_of(found)
    outlines, names = zip(*((zone.outline, zone.name) for zone in found.given_zones), strict=True)
    zoning, cuts = from_given(outlines, names, ground, {}, LIMITS)
    assert [(zone.name, zone.block) for zone in zoning.zones] == [
        ("south", 0),
        ("north", 0),
        ("south", 1),
        ("north", 1),
    ]
    assert [len(cut.pieces) for cut in cuts] == [2, 2]
    check(zoning, ground)
