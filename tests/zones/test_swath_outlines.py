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
CRUMB_M2 = 1.0
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
    assert min(part.outline.area for part in parts) >= CRUMB_M2
    assert shapely.area([part.outline for part in parts]).sum() == pytest.approx(FIELD.area, rel=1e-9)
    for cell in chance.choice(len(label), 25, replace=False):
        ground = rectangle(cells.place[cell], cells.swath[cell], cells.corner_m, swaths).intersection(FIELD)
        if ground.area < CRUMB_M2:
            continue  # a corner cut off by the field's edge may go with its neighbour
        own = [part.outline for part in parts if part.label == label[cell]]
        assert shapely.intersection(shapely.union_all(own), ground).area == pytest.approx(
            ground.area, abs=1e-3
        )


def outlined_beside_a_slot(wide_m):
    """Two swaths of four cells of 10 x 10 m, one labelled 2, with a slot so far inside its western side."""
    west, south = 308_000, 4_908_600
    field = box(west, south, west + 20, south + 40)
    slot = box(west + 10 + wide_m, south + 5, west + 12, south + 25)
    swaths = Swaths(heading_deg=0.0, swath_m=10.0, step_m=10.0, side_m=float(west))
    cells = swath_cells(*zoning_of([field], cell_m=2.0, epsg=EPSG), swaths)
    label = np.where((cells.place == 1) & (cells.swath == 1), 2, 1)
    found = outlines(cells, label, field.difference(slot))
    return [(part.label, round(part.outline.area, 6)) for part in found]


def test_by_hand_a_crumb_of_a_cell_goes_with_its_neighbour():
    # 800 m2 without a slot of 1.96 x 20 m leave 760.8; of cell 2 80 m2 lie east of it, 0.4 m2 west
    assert outlined_beside_a_slot(0.04) == [(1, 680.8), (2, 80.0)]


def test_by_hand_what_is_larger_than_a_crumb_stays_with_its_cell():
    # 800 m2 without a slot of 1.8 x 20 m leave 764; of cell 2 80 m2 lie east of the slot, 2 m2 west of it
    assert sorted(outlined_beside_a_slot(0.2)) == [(1, 682.0), (2, 2.0), (2, 80.0)]
