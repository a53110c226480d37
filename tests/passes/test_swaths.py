"""Area of zones on swaths, against polygons cut by another library."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, STRtree, affinity, box

from zoning.inputs.given import Heading
from zoning.inputs.grid import Grid
from zoning.passes.swaths import swath_area_ac
from zoning.units import ac_from_m2


def field(seed, shape=(12, 9), zones=3):
    """A ragged field of random zones."""
    rng = np.random.default_rng(seed)
    numbers = rng.integers(0, zones + 1, shape).astype(np.int16)
    return numbers, Grid(32615, 300_000.0, 4_900_000.0, 10.0, shape)


def driven(deg, through_m=None):
    """A heading; through a place, as guidance lines give it, or from the edge of the field on."""
    return Heading(float(deg), "given" if through_m is None else "guidance", through_m)


def held(area):
    """Swaths that hold ground."""
    return area[area.sum(axis=1) > 1e-9]


def test_by_hand_rows_driven_east():
    # 4 rows of 10 m; boom 20 m: zone 1 fills the two northern rows, zone 2 the two southern
    numbers = np.repeat(np.array([[1], [1], [2], [2]], dtype=np.int16), 5, axis=1)
    grid = Grid(32615, 0.0, 40.0, 10.0, (4, 5))
    area = swath_area_ac(numbers, grid, (1, 2), driven(90), 20.0)
    assert area.shape == (2, 2)
    assert sorted(area.sum(axis=1)) == pytest.approx([ac_from_m2(1000)] * 2)
    assert np.count_nonzero(area) == 2
    # boom 30 m: the first swath takes 3 rows; driven north every swath holds both zones
    assert sorted(swath_area_ac(numbers, grid, (1, 2), driven(90), 30.0).sum(axis=1)) == pytest.approx(
        [ac_from_m2(500), ac_from_m2(1500)]
    )
    assert (swath_area_ac(numbers, grid, (1, 2), driven(0), 20.0) > 0).all()


def test_by_hand_heading_turns_clockwise_from_north():
    # a strip of cells from south-west to north-east is one narrow swath at 45 degrees, many at 135
    numbers = np.flipud(np.eye(20)).astype(np.int16)
    grid = Grid(32615, 0.0, 200.0, 10.0, (20, 20))
    assert len(swath_area_ac(numbers, grid, (1,), driven(45), 15.0)) == 1
    assert len(swath_area_ac(numbers, grid, (1,), driven(135), 15.0)) == 19  # 200 x sqrt(2) = 283 m


def test_no_zone_no_swath():
    numbers, grid = field(1)
    assert swath_area_ac(numbers * 0, grid, (1, 2), driven(0), 20.0).shape == (0, 2)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 1000), heading=st.floats(0, 359.9), boom=st.floats(4, 45))
def test_swaths_agree_with_cut_polygons(seed, heading, boom):
    numbers, grid = field(seed, shape=(7, 6))
    area = swath_area_ac(numbers, grid, (1, 2, 3), driven(heading), boom)
    rows, columns = np.nonzero(numbers)
    east, north = grid.east_m()[columns], grid.north_m()[rows]
    cells = [box(e - 5, n - 5, e + 5, n + 5) for e, n in zip(east, north, strict=True)]
    # turned so that the heading is north, a swath is a band between two eastings
    turned = [affinity.rotate(cell, heading, origin=(300_000, 4_900_000)) for cell in cells]
    west = min(cell.bounds[0] for cell in turned)
    tree = STRtree(turned)
    expected = np.zeros_like(area)
    for swath in range(len(area)):
        band = box(west + swath * boom, 4_000_000, west + (swath + 1) * boom, 6_000_000)
        for index in tree.query(band):
            zone = numbers[rows[index], columns[index]] - 1
            expected[swath, zone] += ac_from_m2(turned[index].intersection(band).area)
    assert area == pytest.approx(expected, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 1000), heading=st.floats(0, 359.9), boom=st.floats(3, 60))
def test_every_acre_lies_on_one_swath(seed, heading, boom):
    numbers, grid = field(seed)
    area = swath_area_ac(numbers, grid, (3, 1, 2), driven(heading), boom)
    cells = [np.count_nonzero(numbers == zone) for zone in (3, 1, 2)]
    assert area.sum(axis=0) == pytest.approx(np.array(cells) * grid.cell_ac)
    assert (area >= 0).all()


def test_by_hand_guidance_lines_say_where_swaths_lie():
    # 40 m from south to north, zone 2 in the southern half; boom 20 m with its middle 5 m north of the south
    # edge: swaths from -5 to 15, 15 to 35 and 35 to 55 m; cells of 10 m in 5 columns
    numbers = np.repeat(np.array([[1], [1], [2], [2]], dtype=np.int16), 5, axis=1)
    grid = Grid(32615, 0.0, 40.0, 10.0, (4, 5))
    area = swath_area_ac(numbers, grid, (1, 2), driven(270, (700.0, 5.0)), 20.0)
    # driven west, north lies to the right
    assert area == pytest.approx(np.array([[0, 15 * 50], [15 * 50, 5 * 50], [5 * 50, 0]]) * ac_from_m2(1))
    # a line along which the field's edge is that of a swath changes nothing
    edge = swath_area_ac(numbers, grid, (1, 2), driven(270, (700.0, 10.0)), 20.0)
    assert edge == pytest.approx(swath_area_ac(numbers, grid, (1, 2), driven(270), 20.0))


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 1000),
    heading=st.floats(0, 359.9),
    boom=st.floats(3, 60),
    aside=st.floats(-500, 500),
    booms=st.integers(-30, 30),
)
def test_any_line_beside_gives_the_same_swaths(seed, heading, boom, aside, booms):
    numbers, grid = field(seed)
    turn = np.radians(heading)
    right, ahead = np.array([np.cos(turn), -np.sin(turn)]), np.array([np.sin(turn), np.cos(turn)])
    place = np.array([300_050.0, 4_899_950.0]) + aside * right
    area = held(swath_area_ac(numbers, grid, (3, 1, 2), driven(heading, tuple(place)), boom))
    cells = [np.count_nonzero(numbers == zone) for zone in (3, 1, 2)]
    assert area.sum(axis=0) == pytest.approx(np.array(cells) * grid.cell_ac)
    other = driven(heading, tuple(place + booms * boom * right - 77.7 * ahead))
    assert held(swath_area_ac(numbers, grid, (3, 1, 2), other, boom)) == pytest.approx(area, abs=1e-6)
    back = driven((heading + 180) % 360, tuple(place))
    assert held(swath_area_ac(numbers, grid, (3, 1, 2), back, boom))[::-1] == pytest.approx(area, abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(
    seed=st.integers(0, 1000), heading=st.floats(0, 359.9), boom=st.floats(4, 45), aside=st.floats(-99, 99)
)
def test_swaths_along_a_line_agree_with_cut_polygons(seed, heading, boom, aside):
    numbers, grid = field(seed, shape=(7, 6))
    place = Point(300_020 + aside, 4_899_970)
    area = held(swath_area_ac(numbers, grid, (1, 2, 3), driven(heading, (place.x, place.y)), boom))
    rows, columns = np.nonzero(numbers)
    east, north = grid.east_m()[columns], grid.north_m()[rows]
    cells = [box(e - 5, n - 5, e + 5, n + 5) for e, n in zip(east, north, strict=True)]
    turned = [affinity.rotate(cell, heading, origin=(300_000, 4_900_000)) for cell in cells]
    middle = affinity.rotate(place, heading, origin=(300_000, 4_900_000)).x
    expected = []
    for swath in range(-99, 100):
        band = box(middle + (swath - 0.5) * boom, 4_000_000, middle + (swath + 0.5) * boom, 6_000_000)
        shared = [ac_from_m2(one.intersection(band).area) for one in turned]
        of_zone = np.bincount(numbers[rows, columns], weights=shared, minlength=4)[1:]
        expected.append(of_zone)
    assert area == pytest.approx(held(np.array(expected)), abs=1e-6)
