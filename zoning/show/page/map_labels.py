"""Where labels may stand on the page's map, and which of the things to say has room there.

Works in local metres; its twin is js/map_labels.js. A label lies wholly in its own zone, beside check strips
and points, so no two labels can meet.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import shapely

from zoning.plan import Area

ASPECTS = (1.0, 1.8, 3.0, 5.0)  # width over height of the boxes that are tried
LINE_EM = 1.15  # height of a line
PAD_EM = 0.4  # round a label, both sides together
LEAST_AC = 1.0  # a smaller zone has no label where the map is small
SMALL_PX_M = 0.6  # pixels to the metre below which it is
_NARROW, _WIDE, _SIGNS = " .,:;·'|ijlItfr-()/*!", "MWmw%@", "+−–"
_EM = (0.42, 1.0, 0.84, 0.71)  # of narrow, wide, sign, other: of DejaVu Sans Bold, wider than most fonts
_SIDE = 9  # of the grid of places that are looked at
_LOOKED = 8  # places whose room is measured
_HALVINGS = 6
_KEPT = 3

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Room:
    """A place for a label: half the height of the largest box of each aspect that lies in its zone. [m]."""

    x: float
    y: float
    halves: tuple[float, ...]

    def holds(self, wide: float, high: float) -> bool:
        """Whether a box has room here. [m]."""
        return any(
            half >= high / 2 and half * aspect >= wide / 2
            for half, aspect in zip(self.halves, ASPECTS, strict=True)
        )


def wide_em(text: str) -> float:
    """Width of a line in bold, in units of its size.

    Examples
    --------
    >>> round(wide_em("12"), 2), round(wide_em("+16"), 2)
    (1.42, 2.26)
    """
    kinds = (_NARROW, _WIDE, _SIGNS)
    places = (next((at for at, kind in enumerate(kinds) if letter in kind), -1) for letter in text)
    return sum(_EM[at] for at in places)


def size_em(lines: Sequence[str]) -> tuple[float, float]:
    """Width and height of a label, in units of its size."""
    return max(map(wide_em, lines)) + PAD_EM, len(lines) * LINE_EM + PAD_EM


def _places(part: Area) -> Floats:
    """Give the places of a part that lie farthest from its edge, shape (places, 2)."""
    west, north, east, south = part.bounds
    share = (np.arange(_SIDE) + 0.5) / _SIDE
    x, y = np.meshgrid(west + share * (east - west), north + share * (south - north))
    grid = np.column_stack([x.ravel(), y.ravel()])
    grid = np.vstack([grid, shapely.get_coordinates(part.representative_point())])
    grid = grid[shapely.contains_xy(part, grid)]
    room = shapely.distance(part.boundary, np.asarray(shapely.points(grid)))
    return np.asarray(grid[np.argsort(-room, kind="stable")[:_LOOKED]])


def _halves(part: Area, places: Floats) -> Floats:
    """Measure the largest box of each aspect at each place by halving, shape (places, aspects)."""
    west, north, east, south = part.bounds
    aspects = np.asarray(ASPECTS)
    x, y = places[:, :1], places[:, 1:]
    low = np.zeros((len(places), len(aspects)))
    high = np.full_like(low, min(east - west, south - north) / 2)
    for _ in range(_HALVINGS):
        half = (low + high) / 2
        fits = shapely.covers(part, shapely.box(x - half * aspects, y - half, x + half * aspects, y + half))
        low, high = np.where(fits, half, low), np.where(fits, high, half)
    return low


def rooms(free: Area) -> tuple[Room, ...]:
    """Find the best places for a label in the ground of a zone: for a square one, a longer and a long one.

    Parameters
    ----------
    free : Polygon or MultiPolygon
        Where a label may stand. [m]

    Returns
    -------
    tuple of Room
        The best for a number first; empty where nothing has room.
    """
    part = max(shapely.get_parts(free), key=lambda one: float(one.area))
    shapely.prepare(part)
    places = _places(part)
    if len(places) == 0:
        return ()
    halves = _halves(part, places)
    best = dict.fromkeys(int(np.argmax(halves[:, at])) for at in range(_KEPT))
    return tuple(Room(float(places[at, 0]), float(places[at, 1]), tuple(halves[at].tolist())) for at in best)


@lru_cache(maxsize=8)  # the sheet draws one ground at several sizes
def rooms_of(
    zones: tuple[Area, ...], free: tuple[Area, ...]
) -> tuple[tuple[tuple[Room, ...], tuple[Room, ...]], ...]:
    """Find for each zone the places of its label, and those of its number in its other parts."""
    found = []
    for zone, ground in zip(zones, free, strict=True):
        first = rooms(ground)
        found.append((first, _further(zone, ground, first)))
    return tuple(found)


def _further(zone: Area, free: Area, first: Sequence[Room]) -> tuple[Room, ...]:
    """Find a place for the number in each other part of a zone: where its first label does not stand."""
    found = []
    for part in shapely.get_parts(zone):
        if first and not shapely.contains_xy(part, first[0].x, first[0].y):
            ground = shapely.intersection(part, free)
            areas = [one for one in shapely.get_parts(ground) if shapely.get_dimensions(one) == 2]
            found += list(rooms(shapely.multipolygons(areas))[:1]) if areas else []
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Label:
    """A label in its place, the middle of it. [m]."""

    x: float
    y: float
    lines: tuple[str, ...]


def placed(
    tries: Sequence[tuple[str, ...]], at: Sequence[Room], size_m: float, area_ac: float, px_m: float
) -> Label | None:
    """Take the first of the things to say that has room.

    Parameters
    ----------
    tries : sequence of tuple of str
        The lines of a label, the longest first.
    at : sequence of Room
        Places for it.
    size_m : float
        Size of its letters. [m]
    area_ac : float
        Area of the zone.
    px_m : float
        Length of a pixel. [m]
    """
    if area_ac < LEAST_AC and 1 / px_m < SMALL_PX_M:
        return None
    for lines in tries:
        wide, high = (size_m * one for one in size_em(lines))
        for room in at:
            if room.holds(wide, high):
                return Label(room.x, room.y, lines)
    return None
