"""The outlines of check strips: from longitude and latitude to the plane of the field, clean polygons."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import area, files
from zoning.inputs.given import Strip
from zoning.inputs.strips.members import Row

_MEND = "Draw it again as one polygon, or lay new strips with --new-strips."
_LEAST_CORNERS = 4  # of a ring: a triangle that comes back to its start
_MOST = 500  # strips of a file: of more, each against each, nobody would wait for the answer


def placed(rows: Sequence[Row], epsg: int, where: str, faults: list[InputError]) -> tuple[Strip, ...]:
    """Bring strips to the plane of a field, and add what is wrong with their shapes to the faults.

    Parameters
    ----------
    rows : sequence of Row
    epsg : int
        The plane.
    where : str
        Name of the file.
    faults : list of InputError
        Grows by shapes that are no clean polygon and by strips that overlap.

    Returns
    -------
    tuple of Strip
        Those of which nothing is at fault, in the order of the file.
    """
    mine: list[InputError] = []
    drawn = [(row, _outline(row, epsg, where, mine)) for row in rows]
    clean = [(row, outline) for row, outline in drawn if outline is not None]
    mine += overlaps([(row.number, outline) for row, outline in clean], where)
    faults += files.at_most(mine, where)
    return tuple(
        Strip(pair=row.pair, treatment=row.treatment, outline=outline)
        for row, outline in clean
        if row.pair is not None and row.treatment is not None
    )


def _outline(row: Row, epsg: int, where: str, faults: list[InputError]) -> Polygon | None:
    lonlat, what = _polygon(row.geometry)
    if lonlat is None:
        faults.append(InputError(f"strip {row.number} {what}", where=where, mend=_MEND))
        return None
    outline = area.from_lonlat(lonlat, epsg)
    if not isinstance(outline, Polygon) or not np.isfinite(shapely.get_coordinates(outline)).all():
        faults.append(InputError(f"strip {row.number} lies far from the field", where=where, mend=_MEND))
        return None
    if not outline.is_valid or outline.area <= 0:
        reason = "crosses or touches itself" if outline.area > 0 else "has no area"
        faults.append(InputError(f"strip {row.number} {reason}", where=where, mend=_MEND))
        return None
    return outline


def _polygon(geometry: object) -> tuple[Polygon | None, str]:
    """Give the polygon of a GeoJSON geometry, or what is wrong with it."""
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if not isinstance(geometry, dict) or kind != "Polygon":
        return None, f"is {_named(kind)}, not a polygon"
    rings: list[np.ndarray] = []
    told = geometry.get("coordinates")
    listed: list[Any] = told if isinstance(told, list) and told else [()]
    for ring in listed:
        try:
            corners = np.array([[float(one[0]), float(one[1])] for one in ring])
        except (TypeError, ValueError, IndexError, KeyError, OverflowError):
            return None, "has corners that are no pairs of numbers"
        if len(corners) < _LEAST_CORNERS or (corners[0] != corners[-1]).any():
            return None, "is not closed: its last corner must be its first"
        rings.append(corners)
    whole = np.vstack(rings)
    if not np.isfinite(whole).all() or (np.abs(whole[:, 0]) > 180).any():
        return None, "lies nowhere on earth"
    if (np.abs(whole[:, 1]) > number("inputs.latitude_most_deg")).any():
        return None, "lies nowhere on earth that is farmed; GeoJSON has longitude first"
    return Polygon(rings[0], rings[1:]), ""


def _named(kind: object) -> str:
    return f"a {kind}" if isinstance(kind, str) else "without a shape"


def overlaps(drawn: Sequence[tuple[int, Polygon]], where: str) -> list[InputError]:
    """Name strips (number, outline) that lie over each other by more than rounding and a hand's shake."""
    if len(drawn) > _MOST:
        what = f"it holds {len(drawn)} strips, more than a field has room for"
        return [InputError(what, where=where, mend="Keep each strip once.")]
    shapes = np.array([outline for _, outline in drawn], dtype=object)
    first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    twice = first < second
    first, second = first[twice], second[twice]
    shared = shapely.intersection(shapes[first], shapes[second])
    deep = ~shapely.is_empty(shapely.buffer(shared, -number("inputs.strip_overlap_m") / 2))
    mend = "Move one of the two; strips of a pair lie side by side."
    return [
        InputError(f"strips {drawn[one][0]} and {drawn[other][0]} overlap", where=where, mend=mend)
        for one, other in sorted(zip(first[deep].tolist(), second[deep].tolist(), strict=True))
    ]
