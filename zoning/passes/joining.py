"""Join small polygons of a map to their neighbours: which, and what that changes. Edges stay where they are.

Polygons with an edge in common are neighbours; those of one rate are one polygon.
"""

import heapq
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from zoning.evidence import number
from zoning.inputs.area import EARTH_RADIUS_M, geodesic_ac
from zoning.inputs.given import Area
from zoning.passes.coverage import common_edges
from zoning.passes.pass_map import MapPart

_ROUNDING = 1e-9  # method: of the area of a piece, by the last bits of its corners


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """The pieces of a map; the rate of `closed` ones must not change."""

    outlines: list[Polygon]
    rates_gal_ac: list[float]
    area_ac: list[float]
    closed: list[bool]
    edges: dict[tuple[int, int], float]

    @classmethod
    def of(cls, parts: Sequence[MapPart], keep_off: Sequence[Area], keep_on: Sequence[Area]) -> "Pieces":
        """Take the parts of a map; see `zoning.passes.fitting.fitted`."""
        outlines = [part.outline for part in parts]
        rates_gal_ac = [part.rate_gal_ac for part in parts]
        off, on = _overlap(outlines, keep_off), _overlap(outlines, keep_on)
        return cls(
            outlines=outlines,
            rates_gal_ac=rates_gal_ac,
            area_ac=[geodesic_ac(outline) for outline in outlines],
            closed=[on[i] if rate > 0 else off[i] for i, rate in enumerate(rates_gal_ac)],
            edges=common_edges(in_metres(outlines)),
        )


def _overlap(outlines: Sequence[Polygon], grounds: Sequence[Area]) -> list[bool]:
    """Tell which polygons have ground in common with any of others; an edge in common is none."""
    found = [False] * len(outlines)
    pairs = shapely.STRtree(list(outlines)).query(np.array(grounds, dtype=object), predicate="intersects")
    for ground, place in zip(*pairs.tolist(), strict=True):
        shared = shapely.intersection(outlines[place], grounds[ground]).area
        found[place] |= bool(shared > _ROUNDING * outlines[place].area)
    return found


def few_enough(pieces: Pieces, most_polygons: int) -> list[float] | None:
    """Give the rates of the pieces with small polygons joined to neighbours; None where that is too much."""
    polygons = _Polygons(pieces)
    left_ac = number("passes.fitted_ground_frac") * math.fsum(pieces.area_ac)
    while (too_many := len(polygons.rate_gal_ac) - most_polygons) > 0:
        next_one = polygons.least_ground(too_many, left_ac)
        if next_one is None:
            return None
        left_ac -= polygons.area_ac[next_one]
        polygons.join(next_one)
    return polygons.rates(len(pieces.outlines))


class _Polygons:
    """Neighbouring pieces of one rate as one polygon each, named by a piece of it; joined step by step."""

    def __init__(self, pieces: Pieces) -> None:
        self.rate_gal_ac = dict(enumerate(pieces.rates_gal_ac))
        self.area_ac = dict(enumerate(pieces.area_ac))
        self._closed = dict(enumerate(pieces.closed))
        self._pieces = {name: [name] for name in self.rate_gal_ac}
        self._edges: dict[int, dict[int, float]] = {name: {} for name in self.rate_gal_ac}
        for (one, other), length in pieces.edges.items():
            self._edges[one][other] = self._edges[other][one] = length
        for name in list(self.rate_gal_ac):
            if name in self.rate_gal_ac:
                self._absorb_alike(name)
        self._queue = [(0.0, name) for name in self.rate_gal_ac]

    def least_ground(self, too_many: int, left_ac: float) -> int | None:
        """Name the polygon that changes the least ground for each polygon saved; None where none may change.

        What stands in the queue is never more than what it is by now: what grew is put back. `left_ac` only
        shrinks, so what is too large for it is so for good.
        """
        while self._queue:
            was, name = heapq.heappop(self._queue)
            if name not in self.rate_gal_ac or self._closed[name] or not self._edges[name]:
                continue
            if self.area_ac[name] > left_ac:
                continue
            now = self.area_ac[name] / min(len(self._edges[name]), too_many)
            if now <= was:
                return name
            heapq.heappush(self._queue, (now, name))
        return None

    def join(self, name: int) -> None:
        """Give a polygon the rate of the neighbour with which it shares the longest edge."""
        beside = self._edges[name]
        longest = max(beside, key=lambda other: (beside[other], -other))
        self.rate_gal_ac[name] = self.rate_gal_ac[longest]
        self._absorb_alike(name)
        heapq.heappush(self._queue, (0.0, name))

    def rates(self, count: int) -> list[float]:
        """Give the rate of each piece."""
        found = [0.0] * count
        for name, own in self._pieces.items():
            for piece in own:
                found[piece] = self.rate_gal_ac[name]
        return found

    def _absorb_alike(self, name: int) -> None:
        rate = self.rate_gal_ac[name]
        while alike := [other for other in self._edges[name] if self.rate_gal_ac[other] == rate]:
            for other in alike:
                self._absorb(name, other)

    def _absorb(self, name: int, other: int) -> None:
        self.area_ac[name] += self.area_ac.pop(other)
        self._closed[name] |= self._closed.pop(other)
        self._pieces[name] += self._pieces.pop(other)
        del self.rate_gal_ac[other]
        for further, length in self._edges.pop(other).items():
            del self._edges[further][other]
            if further != name:
                both = self._edges[name].get(further, 0.0) + length
                self._edges[name][further] = self._edges[further][name] = both


def changed(pieces: Pieces, rates: Sequence[float]) -> dict[str, Any]:
    """Count the polygons, and the acres, whose rate is another one than before."""
    changed = {place for place, rate in enumerate(rates) if rate != pieces.rates_gal_ac[place]}
    joined_ac = math.fsum(pieces.area_ac[place] for place in changed)
    return {"joined": _polygons_of(changed, pieces), "joined_ac": joined_ac}


def _polygons_of(places: Collection[int], pieces: Pieces) -> int:
    """Count the polygons of the map that pieces belong to."""
    alike = {name: {name} for name in places}
    for one, other in pieces.edges:
        same_rate = pieces.rates_gal_ac[one] == pieces.rates_gal_ac[other]
        if same_rate and one in alike and other in alike and alike[one] is not alike[other]:
            alike[one] |= alike[other]
            for name in alike[other]:
                alike[name] = alike[one]
    return len({id(group) for group in alike.values()})


def in_metres(outlines: Sequence[Polygon]) -> list[Polygon]:
    """Lay polygons of one field, in degrees, on a plane in metres; what is one corner stays one.

    Examples
    --------
    >>> [flat] = in_metres([shapely.box(-95.001, 59.999, -94.999, 60.001)])
    >>> west, south, east, north = flat.bounds
    >>> round(north - south, 1), round(east - west, 1)  # 0.002 degrees of 111.32 km, and half of that
    (222.6, 111.3)
    """
    south, north = shapely.total_bounds(list(outlines))[[1, -1]]
    m_per_degree = math.radians(1) * EARTH_RADIUS_M
    scale = m_per_degree * np.array([math.cos(math.radians(0.5 * (south + north))), 1])
    return [shapely.transform(outline, lambda xy: xy * scale) for outline in outlines]
