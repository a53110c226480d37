"""The direction in which a planter was driven, from its records. Knows places and times, and no settings."""

from collections.abc import Sequence
from datetime import datetime
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely

from zoning.evidence import number
from zoning.inputs.grid import Floats

Shapes = npt.NDArray[np.object_]
Angle = TypeVar("Angle", float, Floats)
_WOBBLE_M = 1.0  # a line that strays less than this from a straight one is straight
_NEXT = 4  # so many planters at once write their records by turns
_ROUNDS = 5  # of taking the mean around the mean; it moves by less than a hundredth of a degree after them


def off_deg(angle_deg: Angle, from_deg: float) -> Angle:
    """Give how far directions lie off another one, whichever end is driven to: -90 to below 90.

    Examples
    --------
    >>> off_deg(179.0, 2.0), off_deg(182.0, 2.0)
    (-3.0, 0.0)
    """
    return (angle_deg - from_deg + 90) % 180 - 90


def driven_deg(shapes: Shapes, stamps: Sequence[datetime]) -> float | None:
    """Direction in which most of the way was driven, whichever end was driven to.

    Parameters
    ----------
    shapes : ndarray of Point, MultiPoint, LineString or MultiLineString
        Records of a planter, in metres.
    stamps : sequence of datetime
        When each was made. Records of one time each are joined in time, other ones to the nearest.

    Returns
    -------
    float or None
        Clockwise from grid north, 0 to below 180; None where the records show no one direction. [degree]

    Notes
    -----
    Steps from record to record, and edges of passes, are weighed by their length and put into a histogram of
    one degree, smoothed. Its peak is the direction in which most of the way was driven; around it the mean of
    the doubled angles is taken, so that 1 and 179 degrees have 0 for a mean. The order of records of one
    time each does not matter, nor do records that stand twice.

    Examples
    --------
    >>> passes = shapely.linestrings([[(0, 0), (100, 100)], [(110, 100), (10, 0)]])
    >>> round(driven_deg(passes, [datetime(2026, 5, 6)] * 2), 3)
    45.0
    """
    kinds = shapely.get_type_id(shapes)
    are_lines = np.isin(kinds, (shapely.GeometryType.LINESTRING, shapely.GeometryType.MULTILINESTRING))
    steps = _along_lines(shapes[are_lines])
    if not are_lines.all():
        times = np.array(stamps, dtype="datetime64[us]").astype(np.int64)
        steps = np.vstack([steps, _between_points(shapes[~are_lines], times[~are_lines])])
    return _most_driven_deg(np.degrees(np.arctan2(*steps.T)) % 180, np.hypot(*steps.T))


def _along_lines(lines: Shapes) -> Floats:
    """Give the edges of the lines as steps east and north, shape (n, 2)."""
    straight = shapely.simplify(shapely.get_parts(lines), _WOBBLE_M, preserve_topology=False)
    at_m, line = shapely.get_coordinates(straight, return_index=True)
    return np.asarray(np.diff(at_m, axis=0)[line[1:] == line[:-1]]).reshape(-1, 2)


def _between_points(points: Shapes, times: npt.NDArray[np.int64]) -> Floats:
    """Give the steps between points of one pass east and north, shape (n, 2)."""
    at_m, row = shapely.get_coordinates(points, return_index=True)
    once = np.unique(np.column_stack([times[row], at_m]), axis=0)  # by time, then by place
    places = np.unique(at_m, axis=0)
    if len(places) < 2:
        return np.zeros((0, 2))
    if len(np.unique(times)) < len(places) / 2:
        steps = _to_nearest(places)
    else:
        step_m = float(np.median(np.hypot(*_shortest(once[:, 1:], 1).T)))
        least_m = number("inputs.azimuth_step_least_m")
        first = int(np.ceil(least_m / step_m)) if 0 < step_m < least_m else 1
        steps = _shortest(once[:, 1:], first)
    if not len(steps):  # too few records, all too near to one another to show a direction
        return np.zeros((0, 2))
    length_m = np.hypot(*steps.T)
    # a longer step leads from one pass, or from one run, to another
    return np.asarray(steps[length_m <= number("inputs.heading_step_most") * np.median(length_m)])


def _shortest(at_m: Floats, first: int) -> Floats:
    """Give the step from each record to the nearest of some of those after it, from `first` on."""
    count = len(at_m) - first
    steps = np.full((_NEXT, max(count, 0), 2), np.inf)
    for place in range(min(_NEXT, count)):
        lag = first + place
        steps[place, : len(at_m) - lag] = at_m[lag:] - at_m[:-lag]
    nearest = np.hypot(steps[..., 0], steps[..., 1]).argmin(axis=0)
    return np.asarray(np.take_along_axis(steps, nearest[np.newaxis, :, np.newaxis], axis=0)[0])


def _to_nearest(at_m: Floats) -> Floats:
    points = np.asarray(shapely.points(at_m), dtype=object)
    start, end = shapely.STRtree(points).query_nearest(points, exclusive=True, all_matches=False)
    return np.asarray(at_m[end] - at_m[start])


def _most_driven_deg(angle_deg: Floats, length_m: Floats) -> float | None:
    total_m = length_m.sum()
    if total_m <= 0:
        return None
    within_deg = number("inputs.heading_within_deg")
    histogram = np.bincount(angle_deg.astype(int) % 180, weights=length_m, minlength=180)
    reach = int(within_deg)
    around = np.concatenate([histogram[-reach:], histogram, histogram[:reach]])
    smooth = np.convolve(around, np.hanning(2 * reach + 3)[1:-1], mode="valid")
    found_deg = float(smooth.argmax()) + 0.5
    for _ in range(_ROUNDS):
        near = np.abs(off_deg(angle_deg, found_deg)) <= within_deg
        doubled = np.radians(2 * angle_deg[near])
        east, north = length_m[near] @ np.sin(doubled), length_m[near] @ np.cos(doubled)
        found_deg = float(np.degrees(np.arctan2(east, north)) / 2 % 180)
    near_m = length_m[np.abs(off_deg(angle_deg, found_deg)) <= within_deg].sum()
    return found_deg if near_m >= number("inputs.heading_least_frac") * total_m else None
