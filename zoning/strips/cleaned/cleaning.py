"""Which points of a combine tell nothing, rule by rule, in the published order.

Cleaning knows no strips, and whatever it holds against each other lies on one pass: so it is blind to the
treatment. Every point stays, with the rule that took it.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.harvest.given import YieldPoints
from zoning.strips.cleaned.along import clock_s, places_of, runs_of
from zoning.strips.cleaned.coverage import new_ground_frac
from zoning.strips.cleaned.lag import apart, lag, shifted
from zoning.strips.cleaned.rules import RULES, Sheet, usual_frac
from zoning.strips.cleaned.tracks import driving_order, taken, tracks
from zoning.strips.cleaned.yields import measured, soybeans
from zoning.strips.terms import Cleaned, Lag, RuleCount, Tracks
from zoning.words import Said

Ints = npt.NDArray[np.int64]


def clean(points: YieldPoints, header_m: float) -> Cleaned:
    """Tell passes, take the lag out, work yields out, and say of each point which rule took it, if any.

    Parameters
    ----------
    points : YieldPoints
        n points as they were read.
    header_m : float
        Width of the combine's header. [m].

    Returns
    -------
    Cleaned
        n points in the order of `points`.

    Notes
    -----
    The order of rules follows G. C. Simbahan, A. Dobermann and J. L. Ping 2004, "Screening yield monitor data
    improves grain yield maps", Agronomy Journal 96:1091-1102.
    """
    first = _first_of_alike(points)
    if len(first) == points.count:
        return _cleaned(points, header_m)
    return _with_doubles(_cleaned(taken(points, first), header_m), first, points.count)


def _first_of_alike(points: YieldPoints) -> Ints:
    """Give the rows that repeat no earlier one in place, time and amount: a double would be a second pass.

    Without a time, rows that are alike may be a combine that stands, and stay.
    """
    rows = np.column_stack(
        (points.time_s, points.east_m, points.north_m, points.flow_kg_s, points.yield_bu_ac)
    )
    _, first = np.unique(np.nan_to_num(rows), axis=0, return_index=True)
    is_whole = np.isfinite(rows[:, : 2 + 1]).all(axis=1)
    return np.union1d(first, np.flatnonzero(~is_whole))


def _with_doubles(cleaned: Cleaned, first: Ints, count: int) -> Cleaned:
    """Put rows that repeat others back: the last rule takes them."""

    def spread(values: npt.NDArray[Any], rest: float) -> npt.NDArray[Any]:
        out = np.full(count, rest, dtype=values.dtype)
        out[first] = values
        return out

    doubles, rules, tracks_of = count - len(first), list(cleaned.rules), cleaned.tracks
    rules = [replace(one, before=one.before + doubles) for one in rules]
    rules[-1] = replace(rules[-1], removed=rules[-1].removed + doubles)
    return replace(
        cleaned,
        yield_bu_ac=spread(cleaned.yield_bu_ac, np.nan),
        moisture_frac=spread(cleaned.moisture_frac, np.nan),
        removed_by=spread(cleaned.removed_by, len(rules)),
        rules=tuple(rules),
        tracks=Tracks(
            number=spread(tracks_of.number, -1),
            along_m=spread(tracks_of.along_m, np.nan),
            heading_deg=spread(tracks_of.heading_deg, np.nan),
        ),
        notes=(*cleaned.notes, Said("cleaning.twice", rows=doubles)),
    )


def _cleaned(points: YieldPoints, header_m: float) -> Cleaned:
    """Clean points none of which repeats another."""
    order = _order(points, header_m)
    sheet, found = _sheet(taken(points, order), header_m)
    removed_by, counts = _screened(sheet)
    yield_bu_ac, moisture_frac = np.full((2, points.count), np.nan)
    yield_bu_ac[sheet.runs.at] = sheet.seen.yield_bu_ac
    moisture_frac[sheet.runs.at] = sheet.seen.moisture_frac
    back = np.argsort(order)
    passes = sheet.passes
    return Cleaned(
        yield_bu_ac=yield_bu_ac[back],
        moisture_frac=moisture_frac[back],
        removed_by=removed_by[back],
        rules=counts,
        tracks=Tracks(
            number=passes.number[back], along_m=passes.along_m[back], heading_deg=passes.heading_deg[back]
        ),
        lag=found,
        notes=(*sheet.seen.notes, *_notes(sheet)),
    )


def _order(points: YieldPoints, header_m: float) -> Ints:
    """Order of driving, passes by the time at which they begin: who cut ground first is asked of it."""
    order = driving_order(points)
    sorted_points = taken(points, order)
    passes = tracks(sorted_points, header_m)
    runs = runs_of(passes.number)
    begins_s = sorted_points.time_s[runs.at[runs.starts]]
    if not len(begins_s) or np.isnan(begins_s).any() or not (np.diff(begins_s) < 0).any():
        return order
    rank = np.argsort(np.argsort(begins_s, kind="stable"), kind="stable")
    numbers_before = np.maximum.accumulate(passes.number)  # a point on no pass goes with the one before it
    return np.asarray(order[np.argsort(rank[np.maximum(numbers_before, 0)], kind="stable")])


def _sheet(points: YieldPoints, header_m: float) -> tuple[Sheet, Lag]:
    passes = tracks(points, header_m)
    runs = runs_of(passes.number)
    places = places_of(points, runs.at)
    heading_deg = passes.heading_deg[runs.at]
    time_s = clock_s(points, runs)
    seen = measured(points, passes, runs, header_m, soybeans())
    found = lag(places, heading_deg, runs, seen, time_s)
    along = apart(runs, time_s)
    then = along + found.amount
    sheet = Sheet(
        points=points,
        passes=passes,
        runs=runs,
        seen=replace(
            seen,
            grain=shifted(seen.grain, along, runs, found.amount),
            moisture_frac=shifted(seen.moisture_frac, along, runs, found.amount),
        ),
        time_s=time_s,
        is_measured=(then >= along[runs.first]) & (then <= along[runs.last]),
        new_frac=new_ground_frac(places, heading_deg, runs, header_m),
        header_m=header_m,
    )
    return sheet, found


def _screened(sheet: Sheet) -> tuple[Ints, tuple[RuleCount, ...]]:
    removed_by = np.zeros(sheet.points.count, dtype=np.int64)
    counts = []
    for place, (code, rule) in enumerate(RULES.items(), start=1):
        left = removed_by == 0
        takes = rule(sheet, left) & left
        removed_by[takes] = place
        counts.append(RuleCount(code=code, removed=int(takes.sum()), before=int(left.sum())))
    return removed_by, tuple(counts)


def _notes(sheet: Sheet) -> Iterator[Said]:
    """Say what people should know of the passes and of what is twice in the file."""
    points, runs = sheet.points, sheet.runs
    if not points.count:
        return
    passes = len(runs.starts)
    if not passes:
        yield Said("cleaning.no_passes")
    elif not sheet.is_in_order:
        yield Said("cleaning.out_of_order")
    if passes and sheet.time_s is None:
        yield Said("cleaning.no_time")
    rows = np.column_stack(
        (points.east_m, points.north_m, points.flow_kg_s, points.yield_bu_ac, points.time_s)
    )
    if twice := points.count - len(np.unique(np.nan_to_num(rows), axis=0)):
        yield Said("cleaning.twice", rows=twice)
    of_pass = np.bincount(runs.which, minlength=passes)
    is_over = np.bincount(runs.which, sheet.new_frac, passes) <= number("strips.doubled_frac") * of_pass
    if again := int(np.sum(is_over & (of_pass >= number("strips.pass_least_points")))):
        yield Said("cleaning.again", passes=again)
    if passes and (usual := usual_frac(sheet.new_frac)) < number("strips.narrow_frac"):
        yield Said("cleaning.close", percent=100 * usual)  # eq. percent
