"""Zones and no-spray ground as single polygons that cover the field with no gap and no overlap; plain text.

Works in longitude and latitude (EPSG:4326) and never moves a vertex: what was a valid coverage stays one.
Opens no file.
"""

import math
import unicodedata
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LinearRing, MultiPolygon, Polygon

from zoning.inputs.area import LONLAT, geodesic_ac, reproject
from zoning.plan import Area, Plan, PlanPass

CRS = "EPSG:4326"
NOTHING = "-"  # what an empty text is written as: empty cells are not portable
_AREA_TOLERANCE = 1e-4  # of the field's area
_ROUNDING = 1e-9  # of an area or a length, by the last bits of its sums
_ON_EDGE_M = 1e-6  # a corner that is nearer to an edge lies on it; the way to UTM and back errs far less


def single_parts(area: Area) -> tuple[Polygon, ...]:
    """Split an area into its polygons.

    Examples
    --------
    >>> len(single_parts(MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 0, 3, 1)])))
    2
    """
    return tuple(area.geoms) if isinstance(area, MultiPolygon) else (area,)


def many(area: Area) -> MultiPolygon:
    """Give an area as several polygons, be it only one: a layer holds one kind of geometry."""
    return MultiPolygon(single_parts(area))


def check_cover(plan: Plan) -> None:
    """Refuse zones and no-spray ground that overlap, leave gaps at an edge, or do not add up to the field.

    Raises
    ------
    ValueError
        A fault of ours: no file of such a plan may reach a machine.
    """
    for zone in plan.zones:
        if zone.outline.is_empty or not zone.outline.is_valid:
            raise ValueError(f"zone {zone.zone} of {plan.field} is not a valid polygon")
    for one in plan.no_spray:
        if one.outline.is_empty or not one.outline.is_valid:
            raise ValueError(f"{one.kind} of {plan.field} ({one.source}) is not a valid polygon")
    ground = [one.outline for one in plan.no_spray]
    _refuse_unless_cover([*(zone.outline for zone in plan.zones), *ground], "zones", plan)


def _refuse_unless_cover(outlines: Sequence[Area], what: str, plan: Plan) -> None:
    """Raise ValueError where outlines, no-spray ground among them, are no coverage of the field."""
    whose = f"the {what}{' and no-spray ground' if plan.no_spray else ''} of {plan.field}"
    if not shapely.is_valid(list(outlines)).all() or not edges_match(outlines):
        raise ValueError(f"{whose} overlap or their edges do not match")
    sum_ac = sum(geodesic_ac(outline) for outline in outlines)
    field_ac = geodesic_ac(plan.boundary)
    if abs(sum_ac - field_ac) > _AREA_TOLERANCE * field_ac:
        raise ValueError(f"{whose} add up to {sum_ac} ac, the field has {field_ac} ac")


def edges_match(outlines: Sequence[Area]) -> bool:
    """Tell whether polygons are a coverage: no overlap, and the same vertices on common edges.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
        Each valid.

    Notes
    -----
    GEOS's own check (3.11 to 3.14) refuses a good coverage where a hole touches its polygon's rim in a
    corner that a third polygon shares; it is asked first, and its yes is enough.

    Examples
    --------
    >>> west, east = shapely.box(0, 0, 1, 1), shapely.box(1, 0, 2, 1)
    >>> edges_match([west, east]), edges_match([west, shapely.box(0.9, 0, 2, 1)])
    (True, False)
    """
    if shapely.coverage_is_valid(list(outlines)):
        return True
    whole = shapely.union_all(list(outlines))
    overlap = float(shapely.area(list(outlines)).sum()) - whole.area
    # An edge whose vertices match is there twice, the rim once: what is there once must be the rim, no more.
    once_m = float(_lengths_once(outlines).sum())
    rim_m = whole.boundary.length
    return abs(overlap) <= _ROUNDING * whole.area and abs(once_m - rim_m) <= _ROUNDING * rim_m


def _lengths_once(outlines: Sequence[Area]) -> npt.NDArray[np.float64]:
    """Give the lengths of the segments between two vertices that only one ring has."""
    rings = shapely.get_rings(shapely.get_parts(list(outlines)))
    at, of_ring = shapely.get_coordinates(rings, return_index=True)
    follows = of_ring[1:] == of_ring[:-1]
    ends = np.stack([at[:-1][follows], at[1:][follows]], axis=1)
    swapped = (ends[:, 0, 0] > ends[:, 1, 0]) | (
        (ends[:, 0, 0] == ends[:, 1, 0]) & (ends[:, 0, 1] > ends[:, 1, 1])
    )
    ends[swapped] = ends[swapped][:, ::-1]
    segments, count = np.unique(ends.reshape(len(ends), -1), axis=0, return_counts=True)
    lengths = np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1])
    return np.asarray(lengths[count == 1])


def union(outlines: Sequence[Area]) -> Area:
    """Join polygons of a coverage by dissolving their shared edges; no vertex moves."""
    return cast(Area, shapely.coverage_union_all(list(outlines)))


def treated_by(plan: Plan, one: PlanPass) -> tuple[list[Area], list[bool]]:
    """Give polygons that cover the field, and which of them a pass treats: swath cells if there are any.

    No-spray ground stands last; no pass treats it.

    Raises
    ------
    ValueError
        When swath cells and no-spray ground do not cover the field, or their edges cannot be made to match.
    """
    ground = [spot.outline for spot in plan.no_spray]
    untreated = [False] * len(ground)
    if plan.treatment is None:
        zones = [zone.outline for zone in plan.zones]
        return [*zones, *ground], [*(zone.zone in one.zones for zone in plan.zones), *untreated]
    parts = [outline for outline, _ in plan.treatment.parts]
    if ground:  # cells end at it, in corners of their own
        parts, ground = with_shared_corners(parts, ground, plan.epsg)
        _refuse_unless_cover([*parts, *ground], "swath cells", plan)
    return [*parts, *ground], [*(number == one.number for _, number in plan.treatment.parts), *untreated]


def with_shared_corners(
    parts: Sequence[Area], ground: Sequence[Area], epsg: int
) -> tuple[list[Area], list[Area]]:
    """Give both sides of an edge the corners that only one has; none is moved.

    Parameters
    ----------
    parts, ground : sequence of Polygon or MultiPolygon
        In longitude and latitude.
    epsg : int
        The CRS in which the edges between corners were straight, in metres.

    Notes
    -----
    A corner on the edge of another polygon would make two neighbours overlap by a hair, and joining them by
    their shared edges would leave an outline that is not valid.

    Examples
    --------
    >>> field, pond = shapely.box(-93.01, 45, -93, 45.01), shapely.box(-93, 45, -92.99, 45.01)
    >>> north, south = shapely.box(-93.01, 45.004, -93, 45.01), shapely.box(-93.01, 45, -93, 45.004)
    >>> parts, ground = with_shared_corners([north, south], [pond], 32615)
    >>> len(pond.exterior.coords), len(ground[0].exterior.coords)
    (5, 6)
    """
    # What both sides have stands in each polygon that it belongs to: each side is a coverage.
    of_parts, of_ground = _places(parts), _places(ground)
    to_parts, to_ground = _Corners.of(of_ground - of_parts, epsg), _Corners.of(of_parts - of_ground, epsg)
    return (
        [_with_corners(outline, to_parts, epsg) for outline in parts],
        [_with_corners(outline, to_ground, epsg) for outline in ground],
    )


def _places(outlines: Sequence[Area]) -> set[tuple[float, float]]:
    return {(longitude, latitude) for longitude, latitude in shapely.get_coordinates(list(outlines)).tolist()}


@dataclass(frozen=True, slots=True)
class _Corners:
    """Corners in longitude and latitude, shape (n, 2), and as points in metres, shape (n,)."""

    lonlat: npt.NDArray[np.float64]
    points_m: npt.NDArray[np.object_]

    @classmethod
    def of(cls, places: Collection[tuple[float, float]], epsg: int) -> "_Corners":
        lonlat = np.array(sorted(places), dtype=np.float64).reshape(-1, 2)
        points = np.asarray(shapely.points(lonlat), dtype=np.object_)
        return cls(lonlat, reproject(points, LONLAT, epsg))


def _with_corners(area: Area, corners: _Corners, epsg: int) -> Area:
    """Put in those of the corners that lie on an edge of an area."""
    polygons = []
    for polygon in single_parts(area):
        shell, *holes = (_ring_with(ring, corners, epsg) for ring in (polygon.exterior, *polygon.interiors))
        polygons.append(Polygon(shell, holes))
    return polygons[0] if isinstance(area, Polygon) else MultiPolygon(polygons)


def _ring_with(ring: LinearRing, corners: _Corners, epsg: int) -> npt.NDArray[np.float64]:
    own = shapely.get_coordinates(ring)
    at_m = shapely.get_coordinates(reproject(ring, LONLAT, epsg))
    edges: npt.NDArray[np.object_] = np.asarray(shapely.linestrings(np.stack([at_m[:-1], at_m[1:]], axis=1)))
    # the nearest edge only: at a pointed corner two edges may be within reach
    corner, edge = shapely.STRtree(list(edges)).query_nearest(
        corners.points_m, max_distance=_ON_EDGE_M, all_matches=False
    )
    along_m = np.asarray(shapely.line_locate_point(edges[edge], corners.points_m[corner]))
    inside = (along_m > 0) & (along_m < np.asarray(shapely.length(edges[edge])))
    order = np.lexsort((along_m[inside], edge[inside]))
    return np.insert(own, edge[inside][order] + 1, corners.lonlat[corner[inside][order]], axis=0)


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


def hundredths_up(rate: float) -> float:
    """Round a rate to the two decimals of the file, upwards: the file never falls below a label's minimum.

    Examples
    --------
    >>> hundredths_up(93.53956), hundredths_up(15.0), hundredths_up(12.344)
    (93.54, 15.0, 12.35)
    """
    return math.ceil(round(rate * 100, 6)) / 100


def ascii_text(text: str, width: int) -> str:
    """Write a text with plain letters, cut to a width; what has no plain letter becomes `_`.

    Examples
    --------
    >>> ascii_text("Señor Ünal's 40", 12), ascii_text("", 8)
    ("Senor Unal's", '-')
    """
    letters = []
    for letter in unicodedata.normalize("NFKD", text):
        if unicodedata.combining(letter):
            continue
        letters.append(letter if letter.isascii() and letter.isprintable() else "_")
    return "".join(letters)[:width].strip() or NOTHING
