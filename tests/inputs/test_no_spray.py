"""Setbacks and dead ground that somebody drew are cut out of a field, and what is left stays a coverage."""

from datetime import date

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_inputs import EAST, FIELD, NORTH, SOUTH, TODAY, WEST, Folder
from shapely import LineString, Point, box

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import read
from zoning.inputs.given import Block, FieldInputs, GivenZone
from zoning.inputs.ground import crop, no_spray
from zoning.prescription.polygons import edges_match

M2_AC = 4046.8564224
SCALE = 2e-3  # of an area: metres of the plane against the ellipsoid, 0.9996 squared and less
BLOCKS = [box(WEST, SOUTH, WEST + 180, NORTH), box(WEST + 180, SOUTH, EAST, NORTH)]
MIDDLE = LineString([(WEST + 200, SOUTH - 40), (WEST + 200, NORTH + 40)])


def field(folder: Folder, *texts: str) -> FieldInputs:
    folder.shapes("planting.geojson", list(BLOCKS), [{"planted": "2026-05-06"}, {"planted": "2026-05-20"}])
    folder.add("[planting]\nfile = 'planting.geojson'\n" + "\n".join(texts))
    return read.field(folder.settings(), TODAY)


def setback(file: str = "setbacks.geojson", width: str = "") -> str:
    return f"[[setback]]\nfile = '{file}'\n" + (f"width = '{width}'\n" if width else "")


def dead(file: str = "drowned.geojson") -> str:
    return f"[[dead_ground]]\nfile = '{file}'\n"


def said(found: FieldInputs) -> list[str]:
    return [note.code for note in found.notes]


def assert_whole(found: FieldInputs) -> None:
    """Blocks and no-spray ground are the field: nothing twice, nothing missing, edges alike."""
    assert edges_match([*(one.outline for one in found.blocks), *(one.outline for one in found.no_spray)])
    parts_ac = sum(one.area_ac for one in (*found.blocks, *found.no_spray))
    assert parts_ac == pytest.approx(found.area_ac, rel=1e-6)
    assert shapely.union_all([one.outline for one in found.blocks]).symmetric_difference(
        found.boundary
    ).area == pytest.approx(0, abs=1e-3)


def test_without_either_nothing_is_cut(folder: Folder) -> None:
    found = field(folder)
    assert found.no_spray == ()
    assert found.boundary.symmetric_difference(FIELD).area < 3  # edges of 400 m bend by 4 mm in degrees


def test_by_hand_a_ditch_keeps_its_distance_on_both_sides(folder: Folder) -> None:
    # 10 m on each side of a line over 300 m: 20 x 300 = 6000 m2 = 1.4826 ac.
    folder.shapes("setbacks.geojson", [MIDDLE])
    found = field(folder, setback(width="10 m"))
    [one] = found.no_spray
    assert (one.kind, one.source) == ("setback", "setbacks.geojson")
    assert one.area_ac == pytest.approx(6000 / M2_AC, rel=SCALE)
    assert found.area_ac == pytest.approx(120_000 / M2_AC, rel=SCALE)  # of the whole field
    assert [block.area_ac for block in found.blocks] == pytest.approx(
        [180 * 300 / M2_AC, 200 * 300 / M2_AC], rel=SCALE
    )
    middle = abs(found.grid.east_m() - (WEST + 200)) < 10  # two columns of cells
    assert middle.sum() == 2
    assert not found.inside[:, middle].any()
    assert found.inside.sum() == 38 * 30
    assert_whole(found)


def test_by_hand_a_hive_and_a_yard(folder: Folder) -> None:
    # A circle of 40 m is 5026.5 m2, by chords 1 % less at most; a yard of 50 x 20 m, half of it in the field.
    hive, yard = Point(WEST + 100, SOUTH + 150), box(EAST - 25, NORTH - 20, EAST + 25, NORTH)
    folder.shapes("hives.geojson", [hive])
    folder.shapes("yard.geojson", [yard])
    found = field(folder, setback("hives.geojson", "40 m"), setback("yard.geojson"))
    assert [one.source for one in found.no_spray] == ["hives.geojson", "yard.geojson"]
    assert found.no_spray[0].area_ac == pytest.approx(5026.5 / M2_AC, rel=0.01)
    assert found.no_spray[1].area_ac == pytest.approx(25 * 20 / M2_AC, rel=SCALE)
    assert_whole(found)


def test_by_hand_small_dead_spots_are_sprayed_through(folder: Folder) -> None:
    # 70 x 70 m are 1.211 ac, more than min_area; 60 x 60 m are 0.8896 ac, less.
    large, small = (
        box(WEST + 20, SOUTH + 20, WEST + 90, SOUTH + 90),
        box(WEST + 200, SOUTH + 9, WEST + 260, SOUTH + 69),
    )
    folder.shapes("drowned.geojson", [large, small])
    found = field(folder, dead())
    [one] = found.no_spray
    assert (one.kind, one.area_ac) == ("dead ground", pytest.approx(4900 / M2_AC, rel=SCALE))
    assert [note.text for note in found.notes] == [
        "0.89 ac of the dead ground of drowned.geojson lies in patches that are each below the smallest zone "
        "of 1.00 ac: they are sprayed through"
    ]
    assert_whole(found)


def test_a_setback_goes_before_dead_ground(folder: Folder) -> None:
    # The ditch takes 20 x 100 m out of 140 x 100 m; what is left on each side is 1.48 ac.
    folder.shapes("setbacks.geojson", [MIDDLE])
    folder.shapes("drowned.geojson", [box(WEST + 130, SOUTH + 100, WEST + 270, SOUTH + 200)])
    found = field(folder, dead(), setback(width="10 m"))
    assert [one.kind for one in found.no_spray] == ["setback", "dead ground"]
    assert [one.area_ac for one in found.no_spray] == pytest.approx([6000 / M2_AC, 12_000 / M2_AC], rel=SCALE)
    assert_whole(found)


def test_by_hand_what_is_cut_off_and_small_is_told(folder: Folder) -> None:
    # The ditch leaves 50 x 50 m in the corner: 2500 m2 = 0.62 ac; the rest of the block is large.
    corner = [(WEST - 30, SOUTH + 60), (WEST + 60, SOUTH + 60), (WEST + 60, SOUTH - 30)]
    folder.shapes("setbacks.geojson", [LineString(corner)])
    found = field(folder, setback(width="10 m"))
    assert len(shapely.get_parts(found.blocks[0].outline)) == 2
    assert [note.text for note in found.notes] == [
        "parts of blocks that setbacks cut off, each below the smallest zone of 1.00 ac: 1, "
        "0.62 ac together; they get what the rest of their zone gets, or are a zone of their own"
    ]
    assert_whole(found)


def test_by_hand_a_small_part_that_is_gone_takes_nothing_off_what_is_cut_off() -> None:
    # Setbacks take a part of 60 x 60 m (0.89 ac) whole, and cut two corners of 20 x 20 m off the other part:
    # 800 m2 = 0.20 ac.
    shed = box(WEST + 500, SOUTH, WEST + 560, SOUTH + 60)
    whole = shapely.MultiPolygon([box(WEST, SOUTH, WEST + 300, NORTH), shed])
    ground = crop.CropGround(epsg=32615, field=whole, crop=whole, blocks=(block("A", whole),))
    ditches = [
        LineString([(WEST - 9, SOUTH + 23), (WEST + 23, SOUTH + 23), (WEST + 23, SOUTH - 9)]),
        LineString([(WEST + 309, SOUTH + 23), (WEST + 277, SOUTH + 23), (WEST + 277, SOUTH - 9)]),
    ]
    taken = shapely.union_all([shed.buffer(1), *(one.buffer(3, join_style="mitre") for one in ditches)])
    drawn = no_spray.Drawn(kind="setback", source="x", outline=taken)
    _, notes = crop.without(ground, [drawn], crop.Least(ac=1.0, is_metric=False))
    assert [note.text for note in notes] == [
        "parts of blocks that setbacks cut off, each below the smallest zone of 1.00 ac: 2, "
        "0.20 ac together; they get what the rest of their zone gets, or are a zone of their own"
    ]


def test_by_hand_islands_in_dead_ground_below_an_acre_go_with_it(folder: Folder) -> None:
    # In 150 x 200 m an island of 60 x 60 m (0.89 ac) dies with the rest; one of 70 x 70 m (1.21 ac) does not.
    lake = box(WEST + 200, SOUTH + 50, WEST + 350, SOUTH + 250)
    small, large = (box(WEST + 240, SOUTH + 100, WEST + 240 + side, SOUTH + 100 + side) for side in (60, 70))
    before = folder.toml
    for island, m2 in ((small, 30_000), (large, 30_000 - 4900)):
        folder.toml = before
        folder.shapes("drowned.geojson", [lake.difference(island)])
        found = field(folder, dead())
        assert found.no_spray[0].area_ac == pytest.approx(m2 / M2_AC, rel=SCALE)
        assert said(found) == []
        assert_whole(found)
    # What a setback cuts off stays: it can be sprayed.
    folder.toml = before
    folder.shapes("water.geojson", [lake.difference(small)])
    found = field(folder, setback("water.geojson"))
    assert found.no_spray[0].area_ac == pytest.approx((30_000 - 3600) / M2_AC, rel=SCALE)
    assert said(found) == ["inputs.no_spray_cuts_off"]


def test_a_rim_too_narrow_to_drive_goes_with_the_setback(folder: Folder) -> None:
    # Drawn 1 m off the boundary: the strip between is no ground that can be sprayed.
    folder.shapes("setbacks.geojson", [box(WEST + 1, SOUTH, WEST + 30, NORTH)])
    found = field(folder, setback())
    assert found.no_spray[0].area_ac == pytest.approx(30 * 300 / M2_AC, rel=SCALE)
    assert len(found.blocks) == 2
    assert_whole(found)


def test_a_block_of_which_nothing_is_left_is_gone(folder: Folder) -> None:
    folder.shapes("setbacks.geojson", [BLOCKS[0].buffer(2)])
    found = field(folder, setback())
    assert [block.planted for block in found.blocks] == [date(2026, 5, 20)]
    assert set(found.block_of_cell.ravel()) == {-1, 0}
    assert_whole(found)


def test_a_block_that_was_drawn_a_little_otherwise_is_gone(folder: Folder) -> None:
    # Dead ground copied from the planting file, 0.2 m short of it: what is left of the block is no stand.
    folder.shapes("drowned.geojson", [BLOCKS[0].buffer(-0.2)])
    found = field(folder, dead())
    assert [block.planted for block in found.blocks] == [date(2026, 5, 20)]
    assert found.no_spray[0].area_ac == pytest.approx(180 * 300 / M2_AC, rel=SCALE)
    assert_whole(found)


@pytest.mark.parametrize("width_m", [3.0, 30.0, 100.0])
def test_by_hand_round_a_point_the_distance_is_kept_on_every_side(folder: Folder, width_m: float) -> None:
    # Chords of an arc lie inside it, in their middles most: by 1 cm at most. (With 32 to a circle it would be
    # width x (1 - cos(pi / 32)): 14 cm of 30 m.)
    hive = Point(WEST + 190, SOUTH + 150)
    folder.shapes("hives.geojson", [hive])
    found = field(folder, setback("hives.geojson", f"{width_m} m"))
    edge = found.no_spray[0].outline.exterior
    assert edge.distance(hive) == pytest.approx(width_m, abs=0.012)  # corners lie on 1 mm
    assert edge.hausdorff_distance(hive) == pytest.approx(width_m, abs=0.002)
    assert_whole(found)


def test_what_lies_elsewhere_is_said(folder: Folder) -> None:
    folder.shapes("setbacks.geojson", [MIDDLE])
    folder.shapes("far.geojson", [box(EAST + 500, NORTH, EAST + 600, NORTH + 90)])
    found = field(folder, setback(width="10 m"), setback("far.geojson", "30 ft"))
    assert [note.text for note in found.notes if note.code != "inputs.no_spray_cuts_off"] == [
        "the setback of far.geojson does not reach into the field"
    ]


def test_drawn_zones_lose_the_ground_too(folder: Folder) -> None:
    folder.shapes("setbacks.geojson", [MIDDLE])
    halves = [box(WEST, SOUTH, EAST, SOUTH + 150), box(WEST, SOUTH + 150, EAST, NORTH)]
    folder.shapes("zones.geojson", list(halves), [{"zone": "1"}, {"zone": "2"}])
    found = field(folder, setback(width="10 m"), "[zones]\nfile = 'zones.geojson'")
    # The ditch is not told as ground that nobody drew; on its west it leaves a strip of the eastern block.
    assert said(found) == ["inputs.no_spray_cuts_off"]
    assert [one.name for one in found.given_zones] == ["1", "2"]
    areas = [one.outline.area for one in found.given_zones]
    assert areas == pytest.approx([380 * 150] * 2, rel=1e-4)


# -- refused -----------------------------------------------------------------------------------------------


def refused(folder: Folder, *texts: str) -> InputError:
    with pytest.raises(InputError) as caught:
        field(folder, *texts)
    return caught.value


def test_every_fault_of_every_file_at_once(folder: Folder) -> None:
    folder.shapes("setbacks.geojson", [MIDDLE, Point(WEST, SOUTH)])
    folder.shapes("drowned.geojson", [MIDDLE])
    faults = refused(folder, setback(), dead(), setback("missing.geojson")).faults
    mend = "Give width, the distance to keep from it, or draw polygons."
    assert sorted(str(one) for one in faults) == [
        "drowned.geojson: shape 1 is a LineString, not a polygon. Save the dead ground as polygons.",
        *[one for one in map(str, faults) if "missing.geojson" in one],
        f"setbacks.geojson: shape 1 is a LineString, not a polygon. {mend}",
        f"setbacks.geojson: shape 2 is a Point, not a polygon. {mend}",
    ]
    assert len(faults) == 4
    assert min(one.code for one in faults) == SETTINGS  # a file that is not there


def test_a_shape_of_several_kinds_is_refused(folder: Folder) -> None:
    mixed = shapely.GeometryCollection([MIDDLE, Point(WEST + 50, SOUTH + 50)])
    folder.shapes("setbacks.geojson", [MIDDLE, mixed])
    assert [str(one) for one in refused(folder, setback(width="10 m")).faults] == [
        "setbacks.geojson: shape 2 is a GeometryCollection. Save it as points, lines or polygons."
    ]


def test_a_field_that_is_all_setback_is_refused(folder: Folder) -> None:
    folder.shapes("setbacks.geojson", [MIDDLE])
    fault = refused(folder, setback(width="250 m"))
    assert str(fault) == (
        "setbacks.geojson: nothing of the field is left to spray. Check width, and that the file is of this "
        "field."
    )
    assert fault.code == CONTENT


def test_where_setbacks_leave_no_cell_the_fault_names_them(folder: Folder) -> None:
    # Of 8 x 8 m around the corner of four cells no cell has its middle inside.
    left = box(WEST + 96, SOUTH + 96, WEST + 104, SOUTH + 104)
    folder.shapes("setbacks.geojson", [FIELD.difference(left)])
    folder.image("2026-07-01_x.tif", np.full((2, 40, 50), 0.3, dtype="float32"))
    image = "[[imagery]]\nfile = '2026-07-01_x.tif'\nbands = { red = 1, nir = 2 }\nindex = 'NDVI'"
    assert str(refused(folder, setback(), image)) == (
        "boundary.geojson: no cell of 10 m has its middle inside the boundary and outside setbacks and "
        "dead ground, so no map can be read. Choose a smaller cell in [zones], or take [[imagery]] and "
        "[[layer]] out."
    )


# -- as a property -----------------------------------------------------------------------------------------

SPOTS = st.tuples(st.floats(WEST - 30, EAST + 30), st.floats(SOUTH - 30, NORTH + 30))
GROUNDS = st.lists(
    st.tuples(
        st.sampled_from(["setback", "dead ground"]),
        st.lists(SPOTS, min_size=1, max_size=3),
        st.floats(0.5, 60),
    ),
    min_size=1,
    max_size=4,
)


def block(name: str, outline: shapely.Polygon) -> Block:
    return Block(
        name=name,
        planted=date(2026, 5, 6),
        emerged=None,
        maturity_group=1.9,
        variety="",
        expected_yield_bu_ac=None,
        outline=outline,
        area_ac=outline.area / M2_AC,
    )


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(GROUNDS, st.booleans())
def test_what_is_left_and_what_is_cut_stay_one_coverage(grounds, with_zones) -> None:
    """Cut in two steps, as drawn ground and what images show are; whatever overlaps whatever."""
    drawn = [
        no_spray.Drawn(
            kind=kind,
            source="x",
            outline=shapely.buffer(
                LineString([*spots, spots[-1]]) if len(spots) > 1 else Point(spots[0]), width
            ),
        )
        for kind, spots, width in grounds
    ]
    zones = (
        tuple(GivenZone(name=str(place), outline=one) for place, one in enumerate(BLOCKS))
        if with_zones
        else ()
    )
    ground = crop.CropGround(
        epsg=32615,
        field=FIELD,
        crop=FIELD,
        blocks=tuple(block(name, one) for name, one in zip("AB", BLOCKS, strict=True)),
        zones=zones,
    )
    least = crop.Least(ac=0.2, is_metric=False)
    for step in (drawn[:1], drawn[1:]):
        try:
            ground, _ = crop.without(ground, step, least)
        except InputError:  # all of it was cut
            union = shapely.union_all([one.outline for one in drawn])
            assert FIELD.difference(union).buffer(-number("inputs.sliver_width_m") / 2).is_empty
            return
    cut = [one.outline for one in ground.no_spray]
    for parts in (ground.blocks, ground.zones):
        outlines = [*(one.outline for one in parts), *cut]
        if parts:
            assert edges_match(outlines)
            assert sum(one.area for one in outlines) == pytest.approx(FIELD.area, abs=1)
            for one in parts:
                for other in drawn:
                    if other.kind == "setback":  # never sprayed, not even by a centimetre
                        assert one.outline.intersection(other.outline).area < 0.5
    assert (
        shapely.union_all([one.outline for one in ground.blocks]).symmetric_difference(ground.crop).area < 0.1
    )
