"""Tell whether polygons are a coverage by its definition, pair by pair.

GEOS's own (3.11 to 3.14) refuses a good one where a hole meets its polygon's rim in a corner of a third.
"""

from collections.abc import Sequence
from itertools import permutations

import shapely
from shapely.geometry.base import BaseGeometry

_APART = "F********"  # the insides have no point in common


def is_coverage(outlines: Sequence[BaseGeometry]) -> bool:
    """No two have ground in common, and a corner of one on the rim of another is a corner of that one too."""
    return all(_fit(one, other) for one, other in permutations(outlines, 2))


def _fit(one: BaseGeometry, other: BaseGeometry) -> bool:
    if not shapely.relate_pattern(one, other, _APART):
        return False
    corners = shapely.points(shapely.get_coordinates(one))
    touching = corners[shapely.distance(corners, shapely.boundary(other)) < 1e-9]
    known = {tuple(at) for at in shapely.get_coordinates(other)}
    return all(tuple(at) in known for at in shapely.get_coordinates(touching))
