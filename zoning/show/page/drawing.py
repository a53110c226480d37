"""The ground of a plan as the page's map draws it: everything in metres east and south of one corner.

One change of coordinates for all shapes, so that edges which two of them share stay shared. Draws nothing.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import cast

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.area import LONLAT, reproject
from zoning.plan import Area, Plan, Scouted
from zoning.show import check_strips, never_sprayed
from zoning.show.check_strips import StripPatch
from zoning.show.names import swath_edges
from zoning.show.page.map_labels import Room, rooms_of

_WIDE_PX, _HIGH_PX = 520, 560  # what a map is first made for; scripts and style fit it to the screen
_FOOT_PX = 62  # below the field: north and scale bars
_LEAST_PX = 300  # width that they need
_MARGIN_PX = 4
_FINE = 4000  # corners up to which a map is drawn to a tenth of a metre


@dataclass(frozen=True, slots=True)
class Spot:
    """A place where something was seen. [m]."""

    x: float
    y: float
    seen: Scouted


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """A plan's ground in local metres, y southwards.

    `west_m`, `north_m` is the corner (0, 0) in the plane of the plan; `px_m` is the length of a pixel of the
    screen that the map is first made for. `blocks` are the planting blocks, `unsprayed` ground that is never
    sprayed with its word, `dashed` the edges in the sprayer's files where they are not those of the zones.
    """

    west_m: float
    north_m: float
    wide_m: float
    high_m: float
    px_m: float
    boundary: Area
    zones: tuple[Area, ...]  # in the order of the plan's
    blocks: tuple[Area, ...]
    unsprayed: tuple[tuple[Area, str], ...]
    strips: tuple[StripPatch, ...]
    dashed: shapely.Geometry | None
    spots: tuple[Spot, ...]

    @cached_property
    def per_m(self) -> int:
        """Steps that a metre is rounded to."""
        return 10 if shapely.get_num_coordinates(list(self.zones)).sum() <= _FINE else 1

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, width and height of the picture, its foot included."""
        margin = _MARGIN_PX * self.px_m
        wide = max(self.wide_m, _LEAST_PX * self.px_m) + 2 * margin
        high = self.high_m + 2 * margin + _FOOT_PX * self.px_m
        return self.wide_m / 2 - wide / 2, -margin, wide, high

    @cached_property
    def rooms(self) -> tuple[tuple[tuple[Room, ...], tuple[Room, ...]], ...]:
        """Places of the label of each zone, and of its number in its other parts."""
        return rooms_of(tuple(self.zones), tuple(self.free()))

    def free(self) -> list[Area]:
        """Give the ground of each zone where a label covers neither a check strip nor a point."""
        taken: list[shapely.Geometry] = [one.outline_m for one in self.strips]
        if self.spots:
            places = shapely.points([(one.x, one.y) for one in self.spots])
            taken += list(shapely.buffer(places, 9 * self.px_m, quad_segs=2))
        if not taken:
            return list(self.zones)
        covered = shapely.union_all(taken)
        left = shapely.difference(np.array(self.zones, dtype=np.object_), covered)
        return [cast(Area, one if one.area else zone) for one, zone in zip(left, self.zones, strict=True)]


def _shapes(plan: Plan) -> list[Area]:
    """Bring boundary, zones and no-spray ground to the plane of the plan, all at once."""
    found = [plan.boundary, *(one.outline for one in plan.zones), *(one.outline for one in plan.no_spray)]
    return list(reproject(np.array(found, dtype=np.object_), LONLAT, plan.epsg))


def _blocks(plan: Plan, zones: Sequence[Area]) -> tuple[Area, ...]:
    of_block: dict[str, list[Area]] = defaultdict(list)
    for zone, outline in zip(plan.zones, zones, strict=True):
        of_block[zone.block].append(outline)
    return tuple(cast(Area, shapely.coverage_union_all(outlines)) for outlines in of_block.values())


def _spots(plan: Plan, west: float, north: float) -> tuple[Spot, ...]:
    places = [shapely.Point(one.lon, one.lat) for one in plan.scouting]
    moved = reproject(np.array(places, dtype=np.object_), LONLAT, plan.epsg)
    return tuple(
        Spot(float(place.x - west), float(north - place.y), one)
        for place, one in zip(moved, plan.scouting, strict=True)
    )


_last: list[tuple[Plan, Drawing]] = []  # the page asks for the same one several times


def drawing(plan: Plan) -> Drawing:
    """Bring a plan to local metres; that of the plan that was asked for last is kept.

    Parameters
    ----------
    plan : Plan
        Any level.
    """
    for known, drawn in _last:
        if known is plan:
            return drawn
    drawn = _drawn(plan)
    _last[:] = [(plan, drawn)]
    return drawn


def _drawn(plan: Plan) -> Drawing:
    boundary, *others = _shapes(plan)
    west, south, east, north = boundary.bounds

    def local(shape: shapely.Geometry) -> Area:
        def moved(xy: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
            return np.column_stack([xy[:, 0] - west, north - xy[:, 1]])

        return cast(Area, shapely.transform(shape, moved))

    zones = tuple(map(local, others[: len(plan.zones)]))
    never = zip(map(local, others[len(plan.zones) :]), plan.no_spray, strict=True)
    wide, high = east - west, north - south
    edges = swath_edges(plan)
    return Drawing(
        west_m=west,
        north_m=north,
        wide_m=wide,
        high_m=high,
        px_m=max(wide / _WIDE_PX, high / _HIGH_PX),
        boundary=local(boundary),
        zones=zones,
        blocks=_blocks(plan, zones),
        unsprayed=tuple((shape, never_sprayed.on_map(one.kind)) for shape, one in never),
        strips=tuple(replace(one, outline_m=local(one.outline_m)) for one in check_strips.patches(plan)),
        dashed=local(edges) if edges is not None else None,
        spots=_spots(plan, west, north),
    )
