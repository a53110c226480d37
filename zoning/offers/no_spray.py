"""Ground that is never sprayed, beside the zones as they were drawn: with their corners on its edges."""

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

import numpy as np
import shapely

from zoning.inputs import area
from zoning.inputs.given import Area, NoSpray
from zoning.plan import PlanNoSpray

_SAME_PLACE_M = 1e-5  # a corner of a zone lies on the edge of no-spray ground within rounding


def beside(no_spray: Sequence[NoSpray], zones: Sequence[Area]) -> tuple[NoSpray, ...]:
    """Give no-spray ground the corners of the zones on its edges, so that both are one coverage.

    Parameters
    ----------
    no_spray : sequence of NoSpray
    zones : sequence of Polygon or MultiPolygon
        Outlines of the zones, in the same plane: their edges have corners where lines between zones end.
    """
    if not no_spray:
        return ()
    corners = np.asarray(shapely.points(shapely.get_coordinates(list(zones))), dtype=object)
    tree = shapely.STRtree(corners)
    return tuple(_with_corners(one, tree) for one in no_spray)


def _with_corners(one: NoSpray, corners: shapely.STRtree) -> NoSpray:
    edge = shapely.boundary(one.outline)
    near = corners.query(edge, predicate="dwithin", distance=_SAME_PLACE_M)
    places = shapely.get_coordinates(corners.geometries.take(near)).tolist()
    own = set(map(tuple, shapely.get_coordinates(edge).tolist()))
    places = [place for place in places if tuple(place) not in own]  # to snap takes long where there are many
    if not places:
        return one
    there = shapely.multipoints(places)
    return replace(one, outline=cast(Area, shapely.snap(one.outline, there, _SAME_PLACE_M)))


def planned(no_spray: Sequence[NoSpray], epsg: int) -> tuple[PlanNoSpray, ...]:
    """Give no-spray ground as it stands in a plan.

    Parameters
    ----------
    no_spray : sequence of NoSpray
    epsg : int
        The plane of their outlines.
    """
    return tuple(
        PlanNoSpray(
            kind=one.kind,
            source=one.source,
            outline=area.to_lonlat(one.outline, epsg),
            area_ac=one.area_ac,
        )
        for one in no_spray
    )
