"""Polygons of a field joined by what they get: no vertex moves, so what was a coverage stays one."""

from collections import defaultdict
from collections.abc import Sequence
from typing import cast

import shapely
from shapely import MultiPolygon, Polygon

from zoning.inputs.given import Area


def single_parts(area: Area) -> tuple[Polygon, ...]:
    """Split an area into its polygons.

    Examples
    --------
    >>> len(single_parts(MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 0, 3, 1)])))
    2
    """
    return tuple(area.geoms) if isinstance(area, MultiPolygon) else (area,)


def union(outlines: Sequence[Area]) -> Area:
    """Join polygons of a coverage by dissolving their shared edges; no vertex moves."""
    return cast(Area, shapely.coverage_union_all(list(outlines)))


def by_rate(outlines: Sequence[Area], rates: Sequence[float]) -> tuple[tuple[float, Polygon], ...]:
    """Join neighbours that get the same rate; highest rate first.

    Examples
    --------
    >>> boxes = [shapely.box(i, 0, i + 1, 1) for i in range(3)]
    >>> [(rate, polygon.area) for rate, polygon in by_rate(boxes, [0.0, 15.0, 15.0])]
    [(15.0, 2.0), (0.0, 1.0)]
    """
    of_rate: dict[float, list[Area]] = defaultdict(list)
    for outline, rate in zip(outlines, rates, strict=True):
        of_rate[rate].append(outline)
    return tuple(
        (rate, polygon)
        for rate in sorted(of_rate, reverse=True)
        for polygon in single_parts(union(of_rate[rate]))
    )
