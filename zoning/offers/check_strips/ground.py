"""Ground of a field cut by check strips: what belongs to which zone, and to which strip."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from zoning.evidence import number
from zoning.inputs.given import Area, Strip
from zoning.inputs.ground.boundary import faces_of
from zoning.passes.ground import union

_Shapes = npt.NDArray[np.object_]
_Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """Ground that lies in one outline, and in one strip or in none; None stands for no strip."""

    outline: Area
    place: int  # of the outline that it was cut from
    strip: Strip | None


def cut(outlines: Sequence[Area], strips: Sequence[Strip], crop: Sequence[bool]) -> tuple[Cut, ...]:
    """Cut outlines along the edges of strips.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
        A valid coverage of the field. [m]
    strips : sequence of Strip
        They do not overlap, and may reach beyond the field.
    crop : sequence of bool
        Whether an outline is crop; strips do not cut what is not.

    Returns
    -------
    tuple of Cut
        A valid coverage of the same ground, outline by outline: first what is in no strip. An outline that a
        strip crosses gives one `Cut` for each strip; corners that its neighbours got are put in. A crumb that
        the edge of a strip cuts off an outline stays with what is beside it.

    Examples
    --------
    >>> field = [shapely.box(0, 0, 10, 30)]
    >>> strip = Strip(pair=1, treatment="untreated", outline=shapely.box(-5, 10, 15, 20))
    >>> [(one.outline.area, one.strip is strip) for one in cut(field, [strip], [True])]
    [(200.0, False), (100.0, True)]
    """
    edges = shapely.boundary([*outlines, *(one.outline for one in strips)])
    faces = faces_of(edges)
    inner = shapely.point_on_surface(faces)
    place = owner(inner, outlines)
    in_strip = owner(inner, [one.outline for one in strips])
    in_strip[~np.asarray(crop, dtype=np.bool_)[place]] = -1
    _keep_crumbs(faces, place, in_strip)
    found = place >= 0
    keys = sorted(set(zip(place[found].tolist(), in_strip[found].tolist(), strict=True)))
    return tuple(
        Cut(
            outline=union(list(faces[(place == here) & (in_strip == strip)])),
            place=here,
            strip=None if strip < 0 else strips[strip],
        )
        for here, strip in keys
    )


def _keep_crumbs(faces: _Shapes, place: _Ints, in_strip: _Ints) -> None:
    """Put patches too small for a row of their own on the other side of the edge that cut them off."""
    least_m2 = number("zones.crumb_m2")
    small = shapely.area(faces) < least_m2
    for crumb in np.flatnonzero(small & (place >= 0)):
        same = np.flatnonzero((place == place[crumb]) & (in_strip != in_strip[crumb]) & ~small)
        shared_m = shapely.length(shapely.intersection(faces[crumb].exterior, shapely.boundary(faces[same])))
        if shared_m.any():
            in_strip[crumb] = in_strip[same[shared_m.argmax()]]


def owner(inner: _Shapes, outlines: Sequence[Area]) -> _Ints:
    """Give the outline that holds each point, -1 where none does."""
    held = np.full(len(inner), -1, dtype=np.int64)
    if len(outlines):
        point, holder = shapely.STRtree(list(outlines)).query(inner, predicate="within")
        held[point] = holder
    return held
