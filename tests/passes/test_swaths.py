"""Area of zones on swaths, against polygons cut by another library."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import STRtree, affinity, box

from zoning.inputs.grid import Grid
from zoning.passes.swaths import swath_area_ac
from zoning.units import ac_from_m2


def field(seed, shape=(12, 9), zones=3):
    """A ragged field of random zones."""
    rng = np.random.default_rng(seed)
    numbers = rng.integers(0, zones + 1, shape).astype(np.int16)
    return numbers, Grid(32615, 300_000.0, 4_900_000.0, 10.0, shape)


def test_by_hand_rows_driven_east():
    # 4 rows of 10 m; boom 20 m: zone 1 fills the two northern rows, zone 2 the two southern
    numbers = np.repeat(np.array([[1], [1], [2], [2]], dtype=np.int16), 5, axis=1)
    grid = Grid(32615, 0.0, 40.0, 10.0, (4, 5))
    area = swath_area_ac(numbers, grid, (1, 2), 90, 20.0)
    assert area.shape == (2, 2)
    assert sorted(area.sum(axis=1)) == pytest.approx([ac_from_m2(1000)] * 2)
    assert np.count_nonzero(area) == 2
    # boom 30 m: the first swath takes 3 rows; driven north every swath holds both zones
    assert sorted(swath_area_ac(numbers, grid, (1, 2), 90, 30.0).sum(axis=1)) == pytest.approx(
        [ac_from_m2(500), ac_from_m2(1500)]
    )
    assert (swath_area_ac(numbers, grid, (1, 2), 0, 20.0) > 0).all()


def test_by_hand_heading_turns_clockwise_from_north():
    # a strip of cells from south-west to north-east is one narrow swath at 45 degrees, many at 135
    numbers = np.flipud(np.eye(20)).astype(np.int16)
    grid = Grid(32615, 0.0, 200.0, 10.0, (20, 20))
    assert len(swath_area_ac(numbers, grid, (1,), 45, 15.0)) == 1
    assert len(swath_area_ac(numbers, grid, (1,), 135, 15.0)) == 19  # 200 x sqrt(2) = 283 m


def test_no_zone_no_swath():
    numbers, grid = field(1)
    assert swath_area_ac(numbers * 0, grid, (1, 2), 0, 20.0).shape == (0, 2)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 1000), heading=st.floats(0, 359.9), boom=st.floats(4, 45))
def test_swaths_agree_with_cut_polygons(seed, heading, boom):
    numbers, grid = field(seed, shape=(7, 6))
    area = swath_area_ac(numbers, grid, (1, 2, 3), heading, boom)
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
    area = swath_area_ac(numbers, grid, (3, 1, 2), heading, boom)
    cells = [np.count_nonzero(numbers == zone) for zone in (3, 1, 2)]
    assert area.sum(axis=0) == pytest.approx(np.array(cells) * grid.cell_ac)
    assert (area >= 0).all()
