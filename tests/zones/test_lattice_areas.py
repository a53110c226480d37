"""Exact areas on a lattice, against polygons cut one by one, and middles of cells, against burned ones."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ground import random_outlines
from rasterio.features import rasterize
from shapely import MultiPolygon, Polygon, box

from zoning.inputs.grid import Grid
from zoning.zones.lattice import lattice_areas, middles_held


def cut_one_by_one(polygons, shape):
    squares = np.array([[box(c, r, c + 1, r + 1) for c in range(shape[1])] for r in range(shape[0])])
    return np.array([shapely.area(shapely.intersection(one, squares)) for one in polygons])


def test_by_hand_a_triangle():
    # (0, 0), (2, 0), (0, 2): half of the square that its long side crosses, whichever way it runs
    expected = [[1, 0.5], [0.5, 0]]
    for corners in ([(0, 0), (2, 0), (0, 2)], [(0, 0), (0, 2), (2, 0)]):
        assert lattice_areas([Polygon(corners)], (2, 2))[0] == pytest.approx(np.array(expected))


def test_by_hand_holes_and_parts():
    ring = shapely.difference(box(0, 0, 3, 3), box(0.5, 1, 2.25, 2))
    both = MultiPolygon([ring, box(3.5, 0.25, 4, 0.75)])
    expected = [[1, 1, 1, 0.25], [0.5, 0, 0.75, 0], [1, 1, 1, 0]]
    assert lattice_areas([both], (3, 4))[0] == pytest.approx(np.array(expected))


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 1000),
    x_m=st.floats(25, 60),
    y_m=st.floats(25, 60),
    snapped=st.booleans(),
)
def test_areas_are_those_of_cut_polygons(seed, x_m, y_m, snapped):
    zones = np.array(random_outlines(seed), dtype=object)
    west, south, east, north = shapely.total_bounds(zones)
    sides = np.array([x_m, y_m])
    inside = shapely.transform(zones, lambda xy: (xy - [west, south]) / sides)
    if snapped:  # many corners and edges on the very lines of the lattice
        # 0: else the witness would go on rounding what it cuts
        inside = shapely.set_precision(shapely.set_precision(inside, 0.5), 0)
    shape = (int((north - south) // y_m) + 2, int((east - west) // x_m) + 2)
    found = lattice_areas(inside, shape)
    assert found == pytest.approx(cut_one_by_one(inside, shape), abs=1e-9)
    assert found.sum(axis=(1, 2)) == pytest.approx(shapely.area(inside))


@given(st.integers(0, 10_000))
@settings(max_examples=60)
def test_middles_are_held_as_by_a_library_that_burns_polygons(seed):
    rng = np.random.default_rng(seed)
    grid = Grid.covering((100, 200, 340, 380), 32615, 10.0)
    sites = shapely.multipoints(rng.uniform((90, 190), (350, 390), (rng.integers(3, 12), 2)))
    faces = shapely.get_parts(shapely.voronoi_polygons(sites, extend_to=shapely.box(90, 190, 350, 390)))
    kept = faces[rng.random(len(faces)) < 0.8]
    hole = shapely.Point(rng.uniform((100, 200), (340, 380))).buffer(35.3)
    kept = shapely.difference(kept, hole)
    kept = kept[~shapely.is_empty(kept)]
    burned = rasterize(
        [(area, index) for index, area in enumerate(kept)],
        out_shape=grid.shape,
        transform=grid.transform,
        fill=-1,
        dtype=np.int32,
    )
    assert (middles_held(kept, grid) == burned).all()
