"""The ground of a trial in metres east and south of one corner, for the map of page, picture and paper.

One change of coordinates for all shapes, so that edges which two of them share stay shared. Draws nothing.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt
import shapely

from zoning.inputs.area import LONLAT, reproject
from zoning.plan import Area
from zoning.plan.trial import TrialResult
from zoning.show.page.drawing import Drawing
from zoning.show.page.map_labels import size_em
from zoning.show.trial.cells import Cells, cells_of

_WIDE_PX, _HIGH_PX = 340.0, 420.0  # a phone's room, for which letters are sized
_NAME_PX = 24.0  # room for names beyond the ends of strips
_LEAST_PX = 300.0  # width that scale bars and north need
_FOOT_PX = 62.0
_MARGIN_PX = 4.0


@dataclass(frozen=True, kw_only=True)
class TrialDrawing(Drawing):
    """A drawing with room for the names of pairs above it, or on its left where strips lie on their side."""

    names_above: bool

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, width and height of the picture, its foot included."""
        margin, name = _MARGIN_PX * self.px_m, _NAME_PX * self.px_m
        above, aside = (name, 0.0) if self.names_above else (0.0, name)
        wide = max(self.wide_m + aside, _LEAST_PX * self.px_m) + 2 * margin
        high = self.high_m + above + 2 * margin + _FOOT_PX * self.px_m
        return (self.wide_m - aside) / 2 - wide / 2, -margin - above, wide, high


@dataclass(frozen=True, slots=True, kw_only=True)
class PairName:
    """The name of a pair and where it stands: beyond that end of its strips that is up or left. [m]."""

    text: str
    x: float
    y: float


@dataclass(frozen=True, kw_only=True, eq=False)
class TrialGround:
    """The shapes of a trial; `drawing` holds box, boundary and zones in the form that maps are drawn from.

    `strips` and `is_treated` go in the order of the result's; `beside` is the field but for its strips.
    """

    drawing: TrialDrawing
    strips: tuple[Area, ...]
    is_treated: tuple[bool, ...]
    beside: Area
    names: tuple[PairName, ...]
    cells: Cells


_last: list[tuple[TrialResult, TrialGround]] = []  # page, picture and paper ask for the same one


def ground(result: TrialResult) -> TrialGround:
    """Bring a trial to local metres; that of the result that was asked for last is kept.

    Parameters
    ----------
    result : TrialResult
        Any.
    """
    for known, drawn in _last:
        if known is result:
            return drawn
    drawn = _drawn(result)
    _last[:] = [(result, drawn)]
    return drawn


def _drawn(result: TrialResult) -> TrialGround:
    shapes = [
        result.boundary,
        *(one.outline for one in result.zones),
        *(one.outline for one in result.strips),
    ]
    boundary, *others = reproject(np.array(shapes, dtype=np.object_), LONLAT, result.epsg)
    west, south, east, north = boundary.bounds

    def local(shape: shapely.Geometry) -> Area:
        def moved(xy: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
            return np.column_stack([xy[:, 0] - west, north - xy[:, 1]])

        return cast(Area, shapely.transform(shape, moved))

    zones = tuple(map(local, others[: len(result.zones)]))
    strips = tuple(map(local, others[len(result.zones) :]))
    px_m = max((east - west) / _WIDE_PX, (north - south) / _HIGH_PX)
    whole = local(boundary)
    return TrialGround(
        drawing=TrialDrawing(
            west_m=west,
            north_m=north,
            wide_m=east - west,
            high_m=north - south,
            px_m=px_m,
            boundary=whole,
            zones=zones,
            blocks=(),
            unsprayed=(),
            strips=(),
            dashed=None,
            spots=(),
            names_above=_are_above(result),
        ),
        strips=strips,
        is_treated=tuple(one.treatment == "treated" for one in result.strips),
        beside=cast(Area, shapely.difference(whole, shapely.union_all(strips))),
        names=_names(result, strips),
        cells=cells_of(result, boundary),
    )


def _names(result: TrialResult, strips: tuple[Area, ...]) -> tuple[PairName, ...]:
    """Find where the name of each pair stands."""
    of_pair: dict[int, list[Area]] = {}
    for one, shape in zip(result.strips, strips, strict=True):
        of_pair.setdefault(one.pair, []).append(shape)
    along = np.array(name_shift(result))
    found = []
    for pair, shapes in of_pair.items():
        corners = shapely.get_coordinates(shapes)
        if len(corners) == 0:
            continue
        reach = corners @ along
        middle = shapely.get_coordinates(shapely.centroid(shapely.union_all(shapes)))[0]
        end = middle + along * (reach.max() - middle @ along)
        found.append(PairName(text=f"S{pair}", x=float(end[0]), y=float(end[1])))
    return tuple(found)


def _are_above(result: TrialResult) -> bool:
    """Say whether names stand above strips, not on their left."""
    x, y = name_shift(result)
    return abs(y) >= abs(x)


def apart(names: tuple[PairName, ...], size_m: float) -> list[PairName]:
    """Leave out names that would run into the one before, at a size of letters. [m].

    Parameters
    ----------
    names : tuple of PairName
        In the order of the pairs, which lie side by side.
    size_m : float
    """
    found: list[PairName] = []
    for one in names:
        wide, high = size_em((one.text,))
        last = found[-1] if found else None
        if last is None or abs(one.x - last.x) >= wide * size_m or abs(one.y - last.y) >= high * size_m:
            found.append(one)
    return found


def name_shift(result: TrialResult) -> tuple[float, float]:
    """Give the way from the end of a pair to its name, as a unit of length, y southwards.

    Parameters
    ----------
    result : TrialResult
    """
    turn = np.radians(result.heading_deg)
    x, y = float(np.sin(turn)), float(-np.cos(turn))
    upright = abs(y) >= abs(x)
    if (upright and y > 0) or (not upright and x > 0):
        x, y = -x, -y
    return x, y
