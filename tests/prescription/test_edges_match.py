"""What may reach a machine is a coverage: the check by segments against the definition."""

import numpy as np
import pytest
import shapely
from coverage_witness import is_coverage
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import Polygon, box

from zoning.prescription.polygons import edges_match

SOUTH_WEST = Polygon([(0, 4), (10, 2), (26, 0), (0, 0)])
INSIDE = Polygon([(14, 4), (21, 5), (26, 0)])
# Its hole meets its rim in (26, 0), a corner of both others.
AROUND = Polygon([(0, 4), (0, 30), (40, 30), (40, 0), (26, 0), (10, 2)], [INSIDE.exterior.coords])


def test_a_hole_that_touches_the_rim_in_a_corner_of_a_third():
    assert all(one.is_valid for one in (SOUTH_WEST, AROUND, INSIDE))
    assert edges_match([SOUTH_WEST, AROUND, INSIDE])
    assert is_coverage([SOUTH_WEST, AROUND, INSIDE])


@pytest.mark.parametrize(
    "others",
    [
        [AROUND, INSIDE.buffer(0.01)],  # overlaps the polygon around it
        [Polygon(AROUND.exterior), INSIDE],  # lies on it
        [Polygon([*AROUND.exterior.coords[:-2], (18, 1), (10, 2)], [INSIDE.exterior.coords]), INSIDE],
        [AROUND, INSIDE, box(40, 10, 50, 20)],  # a corner in the middle of an edge
    ],
)
def test_faults_beside_such_a_corner_are_found(others: list[Polygon]):
    assert not edges_match([SOUTH_WEST, *others])
    assert not is_coverage([SOUTH_WEST, *others])


corner = st.tuples(st.integers(0, 6), st.integers(0, 6))


@given(
    lines=st.lists(st.tuples(corner, corner), min_size=1, max_size=8),
    owners=st.integers(1, 4),
    moved=st.booleans(),
)
@example(lines=[((0, 1), (2, 0)), ((0, 2), (1, 0))], owners=2, moved=True)  # an outline of two parts
@example(lines=[((0, 4), (6, 0)), ((0, 5), (6, 0)), ((5, 2), (6, 0))], owners=2, moved=False)
def test_as_the_definition(lines: list[tuple[tuple[int, int], tuple[int, int]]], owners: int, moved: bool):
    square = box(0, 0, 6, 6).exterior
    edges = shapely.union_all([square, *(shapely.LineString(ends) for ends in lines)], grid_size=1e-6)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(edges)))
    dealt = np.arange(len(faces)) % owners
    outlines = [
        shapely.coverage_union_all(faces[dealt == one]) for one in range(owners) if (dealt == one).any()
    ]
    if moved and len(outlines) > 1:
        outlines[0] = shapely.affinity.translate(outlines[0], 0.3, 0.2)
    assert edges_match(outlines) == is_coverage(outlines)
