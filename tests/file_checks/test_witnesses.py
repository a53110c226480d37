"""Our readers of geometry and cells against shapely and pyproj."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from made_taskdata import AREA_M2, FIELD
from pyproj import Geod

from zoning.file_checks.of_polygons import wkb
from zoning.file_checks.of_polygons.plane import Plane
from zoning.file_checks.taskdata.grid import beside

BOXES = st.builds(
    lambda west, south, width, height: shapely.box(west, south, west + width, south + height),
    *(st.floats(-100, 100), st.floats(-80, 80), st.floats(0.001, 5), st.floats(0.001, 5)),
)
HOLED = BOXES.map(lambda box: box.difference(shapely.box(*box.centroid.buffer(1e-4).bounds)))
POLYGONS = st.one_of(BOXES, HOLED)
SHAPES = st.one_of(
    POLYGONS,
    st.lists(POLYGONS, min_size=1, max_size=4).map(shapely.MultiPolygon),
    st.lists(POLYGONS, min_size=1, max_size=3).map(shapely.GeometryCollection),
    POLYGONS.map(lambda shape: shape.centroid),
    POLYGONS.map(lambda shape: shape.exterior).map(shapely.LineString),
)


@given(SHAPES, st.sampled_from([0, 1]), st.booleans())
def test_bytes_are_read_as_shapely_wrote_them(shape, order, has_heights):
    written = shapely.force_3d(shape, 7.0) if has_heights else shape
    flavor = "iso" if has_heights and order else "extended"
    made = wkb.read(shapely.to_wkb(written, byte_order=order, flavor=flavor, output_dimension=3))
    assert made.name == shape.geom_type.upper()
    assert made.has_heights == has_heights
    assert np.array_equal(made.points, shapely.get_coordinates(shape))
    rings = shapely.get_rings(shapely.get_parts(shape))
    if shape.geom_type != "LineString":
        assert len(made.rings) == len(rings)
        assert all(
            np.array_equal(a.points, shapely.get_coordinates(b))
            for a, b in zip(made.rings, rings, strict=True)
        )
        assert sum(not ring.is_hole for ring in made.rings) == len({ring.part for ring in made.rings})


@given(st.integers(1, 25), st.integers(1, 25), st.floats(0.0, 0.004), st.floats(0.0, 0.004))
def test_cells_beside_a_field_are_those_that_shapely_calls_so(rows, columns, east, north):
    west, south = FIELD.bounds[:2]
    extent = (west + east - 0.002, south + north - 0.002, west + east + 0.0021, south + north + 0.0019)
    found = beside(FIELD, extent, (rows, columns))
    step = (extent[2] - extent[0]) / columns, (extent[3] - extent[1]) / rows
    for row, column in np.ndindex(rows, columns):
        left, low = extent[0] + column * step[0], extent[1] + row * step[1]
        cell = shapely.box(left, low, left + step[0], low + step[1])
        # On the very edge either answer is right: a cell counts from a thousandth of its size on.
        inner = cell.buffer(-min(step) / 1000)
        if inner.intersects(FIELD):
            assert not found[row, column]
        elif not cell.buffer(min(step) / 1000).intersects(FIELD):
            assert found[row, column]


def test_areas_are_those_of_pyproj():
    own = Plane.around(FIELD.centroid.x, FIELD.centroid.y).metres(FIELD).area
    true = abs(Geod(ellps="WGS84").geometry_area_perimeter(FIELD)[0])
    assert own == pytest.approx(true, rel=1e-4)
    assert own == pytest.approx(AREA_M2, rel=1e-3)  # by hand: three squares of 150 m
