"""What sections spray beside the ground of a pass: by hand, against cut polygons and counted points."""

from dataclasses import astuple

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import random_outlines
from section_witness import sprayed_areas_m2
from shapely import Polygon, affinity, box

from zoning.inputs.given import Heading
from zoning.passes.sections import SectionCover, section_cover
from zoning.units import ac_from_m2

WEST, SOUTH = 412_345.6, 4_904_567.8  # as far out as fields lie in a UTM zone


def at(polygon):
    """Bring a polygon that was drawn at 0, 0 to where fields lie."""
    return affinity.translate(polygon, WEST, SOUTH)


def m2(cover: SectionCover):
    """Treated, sprayed, over, off crop and missed, in m2."""
    return [area / ac_from_m2(1.0) for area in astuple(cover)[2:]]


def driven(heading_deg, through_m=None):
    """A heading; through a place, as guidance lines give it, or from the edge of the crop on."""
    return Heading(float(heading_deg), "given" if through_m is None else "guidance", through_m)


def square(side_m, west=0.0, south=0.0):
    return box(west, south, west + side_m, south + side_m)


# -- by hand -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("sections", [1, 3, 9])
@pytest.mark.parametrize("heading_deg", [0, 90, 180, 270])
def test_by_hand_a_field_as_wide_as_its_swaths_is_met_squarely(heading_deg, sections):
    # 300 m = 10 booms of 30 m; nothing but 90,000 m2
    field = at(square(300))
    cover = section_cover([field], [field], [], driven(heading_deg), 30.0, sections)
    assert m2(cover) == pytest.approx([90_000, 90_000, 0, 0, 0], abs=0.01)
    assert (cover.section_m, cover.sections) == (30.0 / sections, sections)


@pytest.mark.parametrize(("sections", "beyond_m2"), [(1, 4500), (3, 1500), (9, 500)])
@pytest.mark.parametrize("heading_deg", [0, 90])
def test_by_hand_point_rows(heading_deg, sections, beyond_m2):
    # right triangle with legs of 300 m, booms of 30 m in n sections of s = 30 / n: a section is on as far as
    # its longer side reaches, 300, 300 - s, ... s; the staircase is s (300 + s) 300 / s / 2 = 45,000 + 150 s,
    # the triangle 45,000: 4,500, 1,500 and 500 m2 beyond it
    corner = at(Polygon([(0, 0), (300, 0), (0, 300)]))
    whole = m2(section_cover([corner], [corner], [], driven(heading_deg), 30.0, sections))
    # a rim of a millimetre of each section does not switch it: 300 m2 a metre, at most
    assert whole == pytest.approx([45_000, 45_000 + beyond_m2, 0, beyond_m2, 0], abs=0.31)
    other = at(Polygon([(300, 0), (300, 300), (0, 300)]))
    treated, sprayed, over, off, missed = m2(
        section_cover([corner], [corner, other], [], driven(heading_deg), 30.0, sections)
    )
    assert (treated, off, missed) == pytest.approx((45_000, 0, 0), abs=0.01)
    assert over == pytest.approx(beyond_m2, abs=0.31)  # the same ground is crop that is to be left
    assert sprayed == pytest.approx(45_000 + beyond_m2, abs=0.31)


def test_by_hand_a_hole_between_sections():
    # a waterway 20 x 20 m in a field of 60 x 60 m, from 15 m east and 25 m north; driven north with sections
    # of 10 m: those from 10 and from 30 m are on all along, half of their widths over it (5 x 20 m each); the
    # one from 20 m is off from 25 to 45 m. 200 m2 of 400 are sprayed off the crop
    field = at(square(60).difference(square(20, 15, 25)))
    cover = section_cover([field], [field], [], driven(0), 30.0, 3)
    assert m2(cover) == pytest.approx([3200, 3400, 0, 200, 0], abs=0.01)
    # driven east: sections from 20 and 40 m north, each half over it; the one from 30 m is off
    assert m2(section_cover([field], [field], [], driven(90), 30.0, 3)) == pytest.approx(
        [3200, 3400, 0, 200, 0], abs=0.01
    )
    # the boom as a whole, driven north: from 0 to 30 m and from 30 to 60 m, always on
    assert m2(section_cover([field], [field], [], driven(0), 30.0, 1)) == pytest.approx(
        [3200, 3600, 0, 400, 0], abs=0.01
    )


def test_by_hand_a_setback_between_sections():
    # as above, but the hole is a setback: the sections half over it are off along it, and 5 x 20 m of each of
    # the two stay dry
    hole = at(square(20, 15, 25))
    field = at(square(60)).difference(hole)
    assert m2(section_cover([field], [field], [hole], driven(0), 30.0, 3)) == pytest.approx(
        [3200, 3000, 0, 0, 200], abs=0.01
    )


@pytest.mark.parametrize(("sections", "dry_m2"), [(1, 4500), (3, 1500), (9, 500)])
def test_by_hand_a_setback_from_corner_to_corner(sections, dry_m2):
    # the triangle of the point rows, and a setback on all that lies beyond its long side: a section must be
    # off where any of its width is over it, so it is on as far as its shorter side reaches: 300 - s, ..., 0.
    # s (300 - s) 300 / s / 2 = 45,000 - 150 s
    corner = at(Polygon([(0, 0), (300, 0), (0, 300)]))
    setback = at(Polygon([(300, 0), (300, 300), (0, 300)]))
    found = m2(section_cover([corner], [corner], [setback], driven(90), 30.0, sections))
    assert found == pytest.approx([45_000, 45_000 - dry_m2, 0, 0, dry_m2], abs=0.31)


def test_by_hand_a_strip_at_45_degrees_is_met_squarely_along_it():
    # a strip 30 m wide and 200 m long from south-west to north-east: driven at 45 degrees it is one boom;
    # driven at 135 its sections of 10 m are 20, each on for 30 m
    strip = at(affinity.rotate(box(0, 0, 30, 200), -45, origin=(0, 0)))
    for heading_deg in (45, 225, 135, 315):
        assert m2(section_cover([strip], [strip], [], driven(heading_deg), 30.0, 3)) == pytest.approx(
            [6000, 6000, 0, 0, 0], abs=0.01
        )
    # driven north, its corners lie at 0, 21.2, 162.6 and 141.4 m east: 17 sections, of which the last one
    # reaches 7.4 m beyond; a section from x to x + 10 is on from the lowest to the highest edge over it.
    # Low edge: -x up to 21.2, then x - 42.4; high edge: x up to 141.4, then 282.8 - x.
    low = [-10, -20, -30 / 2**0.5] + [10 * k - 60 / 2**0.5 for k in range(3, 17)]
    # the third section holds the corner at 21.2 m, the lowest place: -21.2 m
    high = [10.0 * k for k in range(1, 15)] + [200 / 2**0.5, 400 / 2**0.5 - 150, 400 / 2**0.5 - 160]
    length = sum(top - bottom for top, bottom in zip(high, low, strict=True))
    # 34 ends, of 10 m each, are a millimetre short at most
    assert m2(section_cover([strip], [strip], [], driven(0), 30.0, 3))[1] == pytest.approx(
        10 * length, abs=0.34
    )


def test_by_hand_two_passes_share_an_edge_inside_a_section():
    # 100 x 60 m driven east; the southern 25 m are of this pass: sections of 10 m from the northern edge (the
    # crop's least cross coordinate at 90 degrees), so that its edge lies 5 m inside the fourth
    south, north = at(box(0, 0, 100, 25)), at(box(0, 25, 100, 60))
    assert m2(section_cover([south], [south, north], [], driven(90), 30.0, 3)) == pytest.approx(
        [2500, 3000, 500, 0, 0], abs=0.01
    )
    assert m2(section_cover([south], [south, north], [], driven(90), 30.0, 6)) == pytest.approx(
        [2500, 2500, 0, 0, 0], abs=0.01
    )
    # driven west they are laid from the southern edge
    assert m2(section_cover([south], [south, north], [], driven(270), 30.0, 3)) == pytest.approx(
        [2500, 3000, 500, 0, 0], abs=0.01
    )
    assert m2(section_cover([north], [south, north], [], driven(90), 40.0, 1)) == pytest.approx(
        [3500, 4000, 500, 0, 0], abs=0.01
    )


def test_nothing_treated_is_nothing_sprayed():
    field = at(square(50))
    assert m2(section_cover([], [field], [field], driven(37), 30.0, 3)) == [0, 0, 0, 0, 0]
    assert m2(section_cover([field], [field], [field], driven(37), 30.0, 3)) == pytest.approx(
        [2500, 0, 0, 0, 2500]
    )


def test_rounding_of_coordinates_does_not_open_a_section():
    # a field as wide as its sections at an odd angle: each corner is off by some 1e-9 m
    for heading_deg in range(1, 90, 8):
        field = at(affinity.rotate(box(0, 0, 300, 420), -heading_deg, origin=(0, 0)))
        assert m2(section_cover([field], [field], [], driven(heading_deg), 30.0, 9)) == pytest.approx(
            [126_000, 126_000, 0, 0, 0], abs=0.5
        )


# -- any ground ----------------------------------------------------------------------------------------------


def test_by_hand_guidance_lines_say_where_sections_lie():
    # 60 m wide, the boom's middle 20 m from its west: sides of the boom at 5 - 30, 5, 35 and 65, so sections
    # of 10 m at -5, 5, ... 55: seven of them over 100 m are 7,000 m2, 1,000 more than the field
    field = at(box(0, 0, 60, 100))
    along = driven(0, (WEST + 20, SOUTH + 700))
    found = section_cover([field], [field], [], along, 30.0, 3)
    assert m2(found) == pytest.approx([6000, 7000, 0, 1000, 0], abs=0.01)
    assert m2(section_cover([field], [field], [], driven(0), 30.0, 3))[1] == pytest.approx(6000, abs=0.01)
    # one section as wide as the boom: from -25 to 65
    assert m2(section_cover([field], [field], [], along, 30.0, 1))[1] == pytest.approx(9000, abs=0.01)
    # driven east, its middle 50 m north of the south edge: sides at 5, 35, 65 and 95, so from -5 to 105
    east = driven(90, (WEST - 400, SOUTH + 50))
    assert m2(section_cover([field], [field], [], east, 30.0, 3))[1] == pytest.approx(60 * 110, abs=0.01)


def ground(seed):
    """Zones of a ragged field with holes, some of them treated, and a setback that is no zone."""
    outlines = list(random_outlines(seed))
    rng = np.random.default_rng(seed)
    rng.shuffle(outlines)
    closed = [outlines.pop()] if len(outlines) > 1 and rng.random() < 0.7 else []
    return outlines[: (len(outlines) + 1) // 2], outlines, closed


cases = given(
    seed=st.integers(0, 10_000),
    heading_deg=st.one_of(st.sampled_from([0.0, 90.0, 37.0]), st.floats(0, 359.9)),
    boom_m=st.floats(6, 40),
    sections=st.integers(1, 12),
)


@settings(max_examples=60, deadline=None)
@cases
def test_areas_add_up(seed, heading_deg, boom_m, sections):
    treated, crop, no_spray = ground(seed)
    cover = section_cover(treated, crop, no_spray, driven(heading_deg), boom_m, sections)
    assert cover.sprayed_ac == pytest.approx(
        cover.treated_ac - cover.missed_ac + cover.over_ac + cover.off_crop_ac, abs=1e-6
    )
    assert min(m2(cover)) >= 0
    if not no_spray:
        # without a setback only a rim of a millimetre along both sides of a section can stay dry
        assert cover.missed_ac <= cover.treated_ac * 2 * 0.001 / cover.section_m
        assert cover.sprayed_ac >= cover.treated_ac - cover.missed_ac - 1e-9


@settings(max_examples=40, deadline=None)
@cases
def test_it_agrees_with_polygons_that_another_library_cuts(seed, heading_deg, boom_m, sections):
    treated, crop, no_spray = ground(seed)
    cover = section_cover(treated, crop, no_spray, driven(heading_deg), boom_m, sections)
    expected = sprayed_areas_m2(treated, crop, no_spray, heading_deg, boom_m / sections)
    assert m2(cover) == pytest.approx(expected, abs=0.05)


@settings(max_examples=30, deadline=None)
@cases
def test_along_guidance_lines_it_agrees_with_cut_polygons(seed, heading_deg, boom_m, sections):
    treated, crop, no_spray = ground(seed)
    through_m = tuple(shapely.get_coordinates(crop)[0] + np.random.default_rng(seed).uniform(-300, 300, 2))
    cover = section_cover(treated, crop, no_spray, driven(heading_deg, through_m), boom_m, sections)
    expected = sprayed_areas_m2(
        treated, crop, no_spray, heading_deg, boom_m / sections, side=(through_m, boom_m / 2)
    )
    assert m2(cover) == pytest.approx(expected, abs=0.05)
    # one boom to the right, and any way ahead, lies on the next line
    turn = np.radians(heading_deg)
    right, ahead = np.array([np.cos(turn), -np.sin(turn)]), np.array([np.sin(turn), np.cos(turn)])
    other = tuple(through_m + boom_m * right + 123.4 * ahead)
    shifted = section_cover(treated, crop, no_spray, driven(heading_deg, other), boom_m, sections)
    assert m2(shifted) == pytest.approx(m2(cover), abs=0.05)


@settings(max_examples=8, deadline=None)
@cases
def test_it_agrees_with_counted_points(seed, heading_deg, boom_m, sections):
    treated, crop, no_spray = ground(seed)
    cover = section_cover(treated, crop, no_spray, driven(heading_deg), boom_m, sections)
    turn, section_m, step_m = np.radians(heading_deg), boom_m / sections, 0.5
    xy = shapely.get_coordinates(crop)
    across, along = xy @ [np.cos(turn), -np.sin(turn)], xy @ [np.sin(turn), np.cos(turn)]
    at_along = np.arange(along.min() - step_m, along.max() + step_m, step_m)
    # across a section: rows in the middle of cells, and one just inside each side, which only switches it
    rows = max(6, round(section_m / step_m))
    at_rows = np.concatenate([[0.001 / section_m], (np.arange(rows) + 0.5) / rows, [1 - 0.001 / section_m]])
    sides = across.min() + section_m * np.arange(np.ceil((across.max() - across.min()) / section_m))
    a, b = np.meshgrid((sides[:, None] + section_m * at_rows).ravel(), at_along, indexing="ij")
    east, north = a * np.cos(turn) + b * np.sin(turn), -a * np.sin(turn) + b * np.cos(turn)
    is_treated, is_crop, is_closed = (
        shapely.contains_xy(shapely.union_all(one), east, north).reshape(-1, rows + 2, len(at_along))
        for one in (treated, crop, no_spray)
    )
    on = (is_treated.any(axis=1) & ~is_closed.any(axis=1))[:, None]
    counted = [is_treated, on & np.full_like(is_crop, True), on & is_crop & ~is_treated]
    counted += [on & ~is_crop, is_treated & ~on]
    cell_m2 = section_m / rows * step_m
    # Points along a stretch tell its length to a step. Along outlines cells count whole or not at all; as
    # they are missed to either side, most cancels out.
    stretches = int((np.diff(on[:, 0].astype(int), axis=1) == 1).sum())
    outline_m = sum(shapely.length(shapely.union_all(one)) for one in (treated, crop, no_spray))
    assert m2(cover) == pytest.approx(
        [one[:, 1:-1].sum() * cell_m2 for one in counted],
        abs=stretches * section_m * step_m + outline_m * step_m / 20,
    )
