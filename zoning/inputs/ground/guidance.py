"""Guidance lines that the operator follows: the direction in which a field is driven, and where.

Swaths are straight, so of a curved line only the direction of its ends is of use.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString

from zoning.errors import InputError, raise_all
from zoning.evidence import number
from zoning.inputs import files, vector
from zoning.inputs.given import Area
from zoning.inputs.grid import Floats
from zoning.inputs.planted.azimuth import off_deg
from zoning.inputs.reading import Reading
from zoning.words import Said

_LINES = ("LineString", "MultiLineString")


@dataclass(frozen=True, slots=True)
class Guidance:
    """What guidance lines say, in the plane of the field.

    `deg` is clockwise from grid north, 0 to below 180, or the end that is driven to where that is given;
    `through_m` is a place (east, north) on a line, None where lines are curved.
    """

    deg: float
    through_m: tuple[float, float] | None


@dataclass(frozen=True, slots=True, eq=False)
class _Lines:
    """Lines by their ends, shape (n, 2, 2); `off_m` is how far each strays from the straight way."""

    ends_m: Floats
    length_m: Floats
    off_m: Floats

    def only(self, kept: np.ndarray) -> "_Lines":
        return _Lines(self.ends_m[kept], self.length_m[kept], self.off_m[kept])

    @property
    def steps_m(self) -> Floats:
        return np.asarray(self.ends_m[:, 1] - self.ends_m[:, 0])

    @property
    def chord_m(self) -> Floats:
        return np.asarray(np.hypot(*self.steps_m.T))

    @property
    def deg(self) -> Floats:
        return np.asarray(np.degrees(np.arctan2(*self.steps_m.T)) % 180)


def read(reading: Reading, epsg: int, field: Area) -> Guidance | None:
    """Read the guidance lines of a field; None where the settings name none. Notes go to `reading`.

    Parameters
    ----------
    reading : Reading
    epsg : int
        The plane of the field's grid.
    field : Polygon or MultiPolygon
        In that plane.

    Raises
    ------
    InputError
        What `vector.read` refuses; shapes that are no lines, no line near the field, straight lines that run
        in several directions, and curved ones that all come back to where they begin.
    """
    file = reading.settings.guidance.file
    if file is None:
        return None
    found = vector.read(reading.path("guidance.file", file), file, layer="guidance")
    _only_lines(found)
    lines = _near(reading, found.projected(epsg), field, file)
    straight = lines.only(lines.off_m <= number("inputs.guidance_straight_m"))
    if len(straight.length_m):
        if len(straight.length_m) < len(lines.length_m):
            count = len(lines.length_m) - len(straight.length_m)
            reading.notes.append(Said("inputs.guidance_some_curved", count=count, file=file))
        deg = _common_deg(straight, file)
        through_m = tuple(straight.ends_m[straight.chord_m.argmax()].mean(axis=0).tolist())
        return Guidance(_as_given(reading, deg, file), through_m)
    return Guidance(_as_given(reading, _curved_deg(reading, lines, file), file), None)


def _only_lines(found: vector.Vector) -> None:
    mend = "Save the guidance lines as lines."
    faults = [
        InputError(f"shape {one.number} is a {one.shape.geom_type}, not a line", where=found.file, mend=mend)
        for one in found.features
        if one.shape.geom_type not in _LINES
    ]
    raise_all(files.at_most(faults, found.file))


def _near(reading: Reading, shapes: vector.Shapes, field: Area, file: str) -> _Lines:
    """Measure the lines that lie in the field or near it."""
    parts = _long(reading, shapely.get_parts(shapes), file)
    near_m = number("inputs.guidance_near_m")
    near = shapely.distance(parts, field) <= near_m
    if not near.any():
        what = f"no line lies within {near_m:g} m of the field"
        mend = "Name the file with the lines of this field, or take [guidance] out."
        raise InputError(what, where=file, mend=mend)
    if not near.all():
        count = int((~near).sum())
        reading.notes.append(Said("inputs.guidance_far", count=count, file=file, m=near_m))
    kept = parts[near]
    ends_m = np.stack([shapely.get_coordinates(shapely.get_point(kept, place)) for place in (0, -1)], axis=1)
    off_m = np.array([_off_m(line, LineString(ends)) for line, ends in zip(kept, ends_m, strict=True)])
    return _Lines(ends_m, shapely.length(kept), off_m)


def _long(reading: Reading, parts: vector.Shapes, file: str) -> vector.Shapes:
    """Leave out lines that are too short to tell a direction."""
    parts = parts[shapely.length(parts) > 0]
    least_m = number("inputs.guidance_least_m")
    long = shapely.length(parts) >= least_m
    if len(parts) and not long.any():
        what = f"its lines are shorter than {least_m:g} m and give no direction"
        raise InputError(what, where=file, mend="Draw one line from end to end of the field.")
    if not long.all():
        count = int((~long).sum())
        reading.notes.append(Said("inputs.guidance_short", count=count, file=file, m=least_m))
    return parts[long]


def _off_m(line: LineString, chord: LineString) -> float:
    """How far the corners of a line lie from the straight way between its ends."""
    return float(shapely.distance(shapely.points(shapely.get_coordinates(line)), chord).max())


def _common_deg(lines: _Lines, file: str) -> float:
    """Give the mean direction of straight lines, each by its length."""
    longest_deg = lines.deg[lines.chord_m.argmax()]
    apart_deg = off_deg(lines.deg, float(longest_deg))
    if (np.abs(apart_deg) > number("inputs.guidance_within_deg")).any():
        other_deg = lines.deg[np.abs(apart_deg).argmax()]
        what = f"its lines run at {longest_deg:.0f} and at {other_deg:.0f} degrees from north"
        mend = "Keep those along which the field is driven, and take out those of headlands."
        raise InputError(what, where=file, mend=mend)
    mean_deg = longest_deg + np.average(apart_deg, weights=lines.chord_m)
    return float(mean_deg % 180)


def _curved_deg(reading: Reading, lines: _Lines, file: str) -> float:
    """Give the direction between the ends of the longest curved line that leads from one end to another."""
    open_ended = lines.only(lines.chord_m >= number("inputs.guidance_chord_frac") * lines.length_m)
    if not len(open_ended.length_m):
        what = "its lines come back to where they begin, so they show no direction"
        mend = "Name a line along which the field is driven, or take [guidance] out."
        raise InputError(what, where=file, mend=mend)
    longest = int(open_ended.chord_m.argmax())
    deg = float(open_ended.deg[longest])
    off_m = float(open_ended.off_m[longest])
    reading.notes.append(Said("inputs.guidance_curved", file=file, m=off_m, deg=deg))
    return deg


def _as_given(reading: Reading, deg: float, file: str) -> float:
    """Point lines to the end that `heading_deg` names; say where it names another direction."""
    given_deg = reading.settings.heading_deg
    if given_deg is None:
        return deg
    apart_deg = abs(off_deg(given_deg, deg))
    if apart_deg > number("inputs.guidance_given_within_deg"):
        reading.notes.append(Said("inputs.guidance_not_as_given", given=given_deg, file=file, deg=deg))
    is_other_end = abs((given_deg - deg + 180) % 360 - 180) > 90
    return deg + 180 if is_other_end else deg
