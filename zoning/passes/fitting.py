"""Fit the map of a pass to what old terminals take: few polygons, and a small .shp file.

Only what must be changed is changed: first small polygons get the rate of a neighbour, until there are few
enough, then corners are left out of inner edges, until the file is small enough. Ground that the pass has to
keep off never gets a rate by it, and its edges and the field's never move.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon

from zoning import units
from zoning.evidence import number
from zoning.inputs.given import Area
from zoning.passes.coverage import edges_match
from zoning.passes.ground import by_rate
from zoning.passes.joining import Pieces, changed, few_enough, in_metres
from zoning.passes.pass_map import Fitted, MapPart
from zoning.words import Said

# Bytes of a .shp: its header; of a polygon the record's header, type, box and counts; of a ring; of a point.
_HEADER, _RECORD, _RING, _POINT = 100, 8 + 44, 4, 16  # eq. ESRI Shapefile Technical Description, 1998
_BYTES_OF_A_KB = 1000  # eq. the prefix kilo
_FEWER_FRAC = 0.75  # method: of the polygons that are left, where even coarse edges make too large a file
_STEPS_FRAC = (0.125, 0.25, 0.5, 1.0)  # method: of the farthest that an edge may move
_ROUNDING = 1e-9  # method: of the area of a piece, by the last bits of its corners
_Floats = npt.NDArray[np.float64]
_Parts = tuple[MapPart, ...]


def fitted(
    parts: Sequence[MapPart], keep_off: Sequence[Area], keep_on: Sequence[Area] = ()
) -> tuple[_Parts, Fitted | None]:
    """Fit a map to what old terminals take, with as little change as does it.

    Parameters
    ----------
    parts : sequence of MapPart
        A coverage of the field; neighbours may have the same rate.
    keep_off : sequence of Polygon or MultiPolygon
        Ground that must not get a rate: setbacks, untreated strips, what the label closes. What lies in a
        part with a rate stays in it.
    keep_on : sequence of Polygon or MultiPolygon, optional
        Ground that must not lose its rate: treated strips. What lies in a part without stays without.

    Returns
    -------
    parts : tuple of MapPart
        Neighbours of one rate joined, the highest rate first. A coverage of the same ground.
    fitted : Fitted or None
        None where the map fits as it is. Where nothing that is allowed makes it fit, `fits` is False and the
        map is as it was.

    Examples
    --------
    >>> field = [MapPart(outline=shapely.box(i, 0, i + 1, 1), rate_gal_ac=15.0 * (i % 2)) for i in range(3)]
    >>> same, told = fitted(field, keep_off=[])  # three polygons: any terminal takes them
    >>> len(same), told
    (3, None)
    """
    plain = _dissolved([part.outline for part in parts], [part.rate_gal_ac for part in parts])
    if _fits(plain):
        return plain, None
    pieces = Pieces.of(parts, keep_off, keep_on)
    told = Fitted(
        polygons=len(plain), size_bytes=shp_bytes(plain), joined=0, joined_ac=0.0, moved_m=0.0, fits=False
    )
    most_polygons = min(len(plain), int(number("passes.terminal_polygons")))
    while (rates := few_enough(pieces, most_polygons)) is not None:
        for made, moved_m in _smoothed(pieces, rates):
            if _fits(made):
                return made, replace(told, **changed(pieces, rates), moved_m=moved_m, fits=True)
        most_polygons = int(most_polygons * _FEWER_FRAC)
    return plain, told


def said(told: Fitted, number_of_pass: int, polygons: int) -> Said:
    """Say what was done to the map of a pass, which now has so many polygons.

    Examples
    --------
    >>> done = Fitted(polygons=140, size_bytes=91_000, joined=41, joined_ac=3.2, moved_m=0.0, fits=True)
    >>> said(done, 1, 99).text.split(": ")[1]
    '3.2 ac (1.3 ha) get the rate of a neighbour, no edge moves'
    """
    values = {
        "number": number_of_pass,
        "before": told.polygons,
        "size_kb": math.ceil(told.size_bytes / _BYTES_OF_A_KB),
        "most": number("passes.terminal_polygons"),
        "most_kb": number("passes.terminal_shp_bytes") / _BYTES_OF_A_KB,
    }
    if not told.fits:
        return Said("passes.map_too_large", **values)
    moved = (
        Said("passes.no_edge_moves")
        if told.moved_m == 0
        else Said("passes.edges_move", moved_m=told.moved_m, moved_ft=units.ft_from_m(told.moved_m))
    )
    area_ac, area_ha = told.joined_ac, units.ha_from_ac(told.joined_ac)
    return Said(
        "passes.map_simpler", **values, after=polygons, area_ac=area_ac, area_ha=area_ha, moved=moved.text
    )


def shp_bytes(parts: Sequence[MapPart]) -> int:
    """Size of the .shp file of a map.

    Examples
    --------
    >>> shp_bytes([MapPart(outline=shapely.box(0, 0, 1, 1), rate_gal_ac=0.0)])  # 100 + 52 + 4 + 5 x 16
    236
    """
    outlines = [part.outline for part in parts]
    rings = sum(1 + shapely.get_num_interior_rings(outline) for outline in outlines)
    points = sum(shapely.get_num_coordinates(outline) for outline in outlines)
    return int(_HEADER + _RECORD * len(outlines) + _RING * rings + _POINT * points)


def _fits(parts: Sequence[MapPart]) -> bool:
    few = len(parts) <= number("passes.terminal_polygons")
    return few and shp_bytes(parts) <= number("passes.terminal_shp_bytes")


def _dissolved(outlines: Sequence[Polygon], rates: Sequence[float]) -> _Parts:
    found = by_rate(outlines, rates)
    return tuple(MapPart(outline=polygon, rate_gal_ac=rate) for rate, polygon in found)


def _smoothed(pieces: Pieces, rates: Sequence[float]) -> Iterator[tuple[_Parts, float]]:
    """Give the map as it is, then with fewer and fewer corners on inner edges, and how far these moved [m].

    Closed pieces are left out of it, so that their edges are a rim of the rest and stay.
    """
    yield _dissolved(pieces.outlines, rates), 0.0
    free, shut = ([i for i, closed in enumerate(pieces.closed) if closed is which] for which in (False, True))
    kept = [pieces.outlines[place] for place in shut]
    whole = _dissolved([pieces.outlines[place] for place in free], [rates[place] for place in free])
    degrees: list[Any] = [part.outline for part in whole]
    if not degrees:
        return
    flat: list[Any] = in_metres(degrees)
    back = _way_back(degrees, flat)
    farthest_m = number("passes.fitted_edge_m")
    for step in _STEPS_FRAC:
        simple = shapely.coverage_simplify(flat, step * farthest_m, simplify_boundary=False)
        moved_m = _moved_m(flat, simple)
        if moved_m > farthest_m:
            return
        lonlat = [shapely.transform(outline, back) for outline in simple]
        if not _covers_the_same(lonlat, degrees, kept):
            return
        made = [part.rate_gal_ac for part in whole] + [rates[place] for place in shut]
        yield _dissolved([*lonlat, *kept], made), moved_m


def _covers_the_same(simple: Sequence[Any], degrees: Sequence[Any], kept: Sequence[Any]) -> bool:
    """Tell whether simpler polygons are a coverage of the same ground, with what was left out of them."""
    if not shapely.is_valid(list(simple)).all() or not edges_match([*simple, *kept]):
        return False
    area, before = (float(shapely.area(list(outlines)).sum()) for outlines in (simple, degrees))
    return abs(area - before) <= _ROUNDING * before


def _way_back(degrees: Sequence[Polygon], flat: Sequence[Polygon]) -> Callable[[_Floats], _Floats]:
    """Give the way from metres to the very same degrees: corners are left out, none is new."""
    known = dict(
        zip(
            map(tuple, shapely.get_coordinates(list(flat)).tolist()),
            shapely.get_coordinates(list(degrees)),
            strict=True,
        )
    )

    def back(xy: _Floats) -> _Floats:
        return np.array([known[tuple(at)] for at in xy.tolist()])

    return back


def _moved_m(before: Any, after: Any) -> float:
    """Give how far edges moved at most; inf where a polygon went.

    New edges lead from one old corner to another, so the old corners are the farthest of all from them.
    """
    if shapely.is_empty(list(after)).any():
        return math.inf
    farthest_m = 0.0
    for old, new in zip(before, after, strict=True):
        rim = shapely.boundary(new)
        shapely.prepare(rim)
        corners = shapely.points(shapely.get_coordinates(old))
        farthest_m = max(farthest_m, float(shapely.distance(corners, rim).max()))
    return farthest_m
