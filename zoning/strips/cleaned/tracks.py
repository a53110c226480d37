"""Points -> passes of the combine: cut at gaps, where the header is up, and where the direction turns."""

from dataclasses import fields, replace

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.harvest.given import YieldPoints
from zoning.strips.cleaned.along import LEFT, Places, Runs, places_of, runs_of
from zoning.strips.terms import Tracks

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


def tracks(points: YieldPoints, header_m: float) -> Tracks:
    """Tell the passes of the combine apart.

    A pass ends where the header is up, where the file begins another track, where the combine was away in
    time or place, and where its direction turns. Directions are taken over about a header and a half, so
    that a place that is off by a step turns nothing. A single place far off the way between the points before
    and after it is on no pass, and ends none.

    Parameters
    ----------
    points : YieldPoints
        n points, in the order of driving (`driving_order`).
    header_m : float
        Width of the header. [m].

    Returns
    -------
    Tracks
        n numbers from 0 on in the order of driving, -1 with the header up, without a place or far off; ways
        [m]; headings [degrees], NaN where a pass is one place.
    """
    at = np.flatnonzero(~points.is_header_up & np.isfinite(points.east_m) & np.isfinite(points.north_m))
    numbers = np.full(points.count, -1, dtype=np.int64)
    if len(at):
        at = at[~_is_stray(places_of(points, at), header_m)]
        cut = _breaks(points, at, header_m)
        _cut_turns(places_of(points, at), cut, header_m)
        numbers[at] = np.concatenate(([0], np.cumsum(cut)))
    runs = runs_of(numbers)
    along_m, heading_deg = np.full((2, points.count), np.nan)
    along_m[runs.at], heading_deg[runs.at] = _ways(places_of(points, runs.at), runs, header_m)
    return Tracks(number=numbers, along_m=along_m, heading_deg=heading_deg)


def driving_order(points: YieldPoints) -> Ints:
    """Put the points in the order in which they were driven: that of the file, unless time tells better.

    A file may be sorted by something else, or hold two combines. Of file, time and track, with time within
    it, the order counts whose points follow each other closest; the file's own where it is not much worse.
    """
    as_read = np.arange(points.count, dtype=np.int64)
    orders = [as_read]
    has_time = bool(np.isfinite(points.time_s).any())
    if has_time:
        orders.append(np.argsort(points.time_s, kind="stable"))
    if (points.track >= 0).any():
        orders.append(np.lexsort((points.time_s if has_time else as_read, points.track)))
    steps = [_usual_step_m(places_of(points, order)) for order in orders]
    best = int(np.argmin(steps))
    return orders[best] if steps[best] < 0.5 * steps[0] else as_read


def taken(points: YieldPoints, order: Ints) -> YieldPoints:
    """Give the points in another order."""
    arrays = {
        one.name: getattr(points, one.name)[order]
        for one in fields(points)
        if isinstance(getattr(points, one.name), np.ndarray)
    }
    return replace(points, **arrays)


def _usual_step_m(place: Places) -> float:
    steps = np.abs(np.diff(place))
    steps = steps[steps > 0]  # NaN goes too
    return float(np.median(steps)) if len(steps) else 0.0


def _gap_m(place: Places, header_m: float) -> float:
    """Give the least distance between points that ends a pass."""
    by_steps = max(number("strips.pass_gap_steps") * _usual_step_m(place), header_m / 2)
    return min(by_steps, number("strips.pass_gap_headers") * header_m)


def _is_stray(place: Places, header_m: float) -> Bools:
    """Tell places that are a detour of more than a header on a way that goes on past them."""
    out = np.zeros(len(place), dtype=np.bool_)
    step, past = np.diff(place), place[2:] - place[:-2]
    detour_m = np.abs(step[:-1]) + np.abs(step[1:]) - np.abs(past)
    here = np.arange(len(past))
    before, after = step[np.maximum(here - 1, 0)], step[np.minimum(here + 2, len(past))]
    turned = np.minimum(_angle(past, before), _angle(past, after))
    goes_on = turned < np.deg2rad(number("strips.turn_deg"))
    out[1:-1] = (detour_m > header_m) & (np.abs(past) <= _gap_m(place, header_m)) & goes_on
    return out


def _breaks(points: YieldPoints, at: Ints, header_m: float) -> Bools:
    """Whether a pass ends between a point and the next; shape (m - 1,)."""
    place, time_s = places_of(points, at), points.time_s[at]
    cut = np.abs(np.diff(place)) > _gap_m(place, header_m)
    step_s = np.diff(time_s)
    if (step_s > 0).any():
        cut |= (step_s < 0) | (step_s > number("strips.pass_gap_steps") * np.median(step_s[step_s > 0]))
    cut |= np.diff(points.track[at]) != 0
    return np.asarray(cut | (np.diff(np.cumsum(points.is_header_up)[at]) > 0))


def _cut_turns(place: Places, cut: Bools, header_m: float) -> None:
    """Cut passes where the way before a point and the way after it go elsewhere; changes `cut`."""
    usual_m = _usual_step_m(place)
    if not usual_m:
        return
    window_m = max(number("strips.turn_window_headers") * header_m, 2 * usual_m)
    before, after = _way(place[::-1], window_m, usual_m)[::-1] * -1, _way(place, window_m, usual_m)
    turned = np.abs(np.angle(after * np.conj(before), deg=True)) > number("strips.turn_deg")  # NaN is not
    edges = np.flatnonzero(np.diff(np.concatenate(([False], turned, [False])).astype(np.int8)))
    for first, last in zip(edges[::2], edges[1::2] - 1, strict=True):
        steps = slice(max(first - 1, 0), last + 1)
        if (last - first + 1) * usual_m < window_m / 2 or cut[steps].any():
            continue  # a place that is off, or ended already
        way = np.diff(place[steps.start : steps.stop + 1])
        # the step with which steps before it go on as before, and steps after it as afterwards
        on, off = (_angle(way, one) * np.abs(way) for one in (before[first], after[last]))
        cut[steps.start + int(np.argmin(np.cumsum(on) - on + np.sum(off) - np.cumsum(off)))] = True


def _angle(way: Places, other: Places | complex) -> Floats:
    return np.asarray(np.abs(np.angle(way * np.conj(other))))


def _way(place: Places, window_m: float, usual_m: float) -> Places:
    """From each point to the first later one that lies as far away as the window; NaN where none does."""
    out = np.full(len(place), complex(np.nan))
    waiting = np.arange(len(place))
    most = int(np.ceil(window_m / usual_m)) * 3  # method: a pass is not followed through longer stops
    for ahead in range(1, most + 1):
        waiting = waiting[waiting + ahead < len(place)]
        way = place[waiting + ahead] - place[waiting]
        is_far = np.abs(way) >= window_m
        out[waiting[is_far]] = way[is_far]
        waiting = waiting[~is_far]
    return out


def _ways(place: Places, runs: Runs, header_m: float) -> tuple[Floats, Floats]:
    """Way along the pass [m] and heading [degrees] of the points of passes."""
    usual_m = _usual_step_m(place)
    window_m = number("strips.turn_window_headers") * header_m
    half = max(1, round(window_m / 2 / usual_m)) if usual_m else 1
    here = np.arange(len(place))
    chord = place[np.minimum(here + half, runs.last)] - place[np.maximum(here - half, runs.first)]
    whole = place[runs.last] - place[runs.first]
    is_still = np.abs(chord) < min(window_m, usual_m) / 2
    chord = _filled(np.where(is_still, np.nan, chord), runs)
    chord = np.where(np.isnan(chord), whole, chord)
    length = np.abs(chord)
    unit = np.divide(chord, length, out=np.full(len(place), complex(np.nan)), where=length > 0)
    step = np.real(np.diff(place, prepend=place[:1]) * np.conj(unit))
    way = np.cumsum(np.where(runs.is_step & np.isfinite(step), step, 0.0))
    full_circle = 360  # eq. degrees
    heading_deg = np.angle(LEFT * np.conj(unit), deg=True) % full_circle  # clockwise from north
    return np.asarray(way - way[runs.first]), np.asarray(heading_deg)


def _filled(values: Places, runs: Runs) -> Places:
    """Give points without a value that of the last one before it on the pass, else of the first after it."""
    here = np.arange(len(values))
    before = np.maximum.accumulate(np.where(np.isnan(values), -1, here))
    after = np.minimum.accumulate(np.where(np.isnan(values), len(values), here)[::-1])[::-1]
    source = np.where(before >= runs.first, before, np.where(after <= runs.last, after, here))
    return np.asarray(values[source])
