"""Treatment cells of several passes, side by side: one edge between two, also in longitude and latitude."""

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from made_swaths import rectangle, zoning_of
from shapely import box

from zoning.inputs.area import reproject
from zoning.zones.swath_cells import Swaths, swath_cells
from zoning.zones.swath_outlines import outlines

EPSG = 32615
FIELD = box(308_000, 4_908_600, 308_430, 4_909_010)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 999), heading=st.floats(0, 359.9), passes=st.integers(1, 3))
@example(seed=0, heading=7.4, passes=2)
@example(seed=1, heading=62.9, passes=3)
def test_passes_side_by_side_share_their_edges(seed, heading, passes):
    swaths = Swaths(heading_deg=heading, swath_m=9.144, step_m=10.0)
    cells = swath_cells(*zoning_of([FIELD], epsg=EPSG), swaths)
    chance = np.random.default_rng(seed)
    # patches of 5 x 4 cells, so that long edges of one label lie beside several short ones of others
    patches = chance.integers(0, passes + 1, size=(cells.shape[0] // 5 + 1, cells.shape[1] // 4 + 1))
    label = patches[cells.place // 5, cells.swath // 4]
    parts = outlines(cells, label, FIELD)
    for shapes in (
        [part.outline for part in parts],
        [reproject(part.outline, EPSG, 4326) for part in parts],
    ):
        assert all(shape.geom_type == "Polygon" and shape.is_valid for shape in shapes)
        assert shapely.coverage_is_valid(shapes)
    assert shapely.area([part.outline for part in parts]).sum() == pytest.approx(FIELD.area, rel=1e-9)
    for cell in chance.choice(len(label), 25, replace=False):
        ground = rectangle(cells.place[cell], cells.swath[cell], cells.corner_m, swaths).intersection(FIELD)
        own = [part.outline for part in parts if part.label == label[cell]]
        assert shapely.intersection(shapely.union_all(own), ground).area == pytest.approx(
            ground.area, abs=1e-3
        )
