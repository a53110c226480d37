"""The rules of cleaning, one by one, and what they look at; they know no strips."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from zoning.evidence import number, numbers
from zoning.inputs.harvest.given import YieldPoints
from zoning.strips.cleaned.along import Runs, runs_of
from zoning.strips.cleaned.neighbours import differs_from_neighbours, doubled, far_from_pass, speed_steps
from zoning.strips.cleaned.yields import Measured
from zoning.strips.terms import Tracks
from zoning.units import m_s_from_mph

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """What rules look at, for the points in the order of driving.

    Arrays of shape (m,) are for the points of passes (`runs.at`).
    """

    points: YieldPoints
    passes: Tracks
    runs: Runs
    seen: Measured  # after the lag
    time_s: Floats | None
    is_measured: Bools  # whether, after the lag, anything was measured for the place
    new_frac: Floats
    header_m: float

    @property
    def is_in_order(self) -> bool:
        """Whether at least half of the points lie on passes of more than a few points, or on one pass."""
        few = self.runs.last - self.runs.first + 1 < number("strips.pass_least_points")
        return len(self.runs.starts) < 2 or bool(np.mean(few) < 0.5)

    def spread(self, flags: Bools) -> Bools:
        """Turn flags of points on passes into flags of all points."""
        out = np.zeros(self.points.count, dtype=np.bool_)
        out[self.runs.at] = flags
        return out

    def left(self, left: Bools) -> tuple[Runs, Ints]:
        """Give the passes of points that are left, and the place of each among the points of passes."""
        runs = runs_of(self.passes.number, left)
        return runs, np.searchsorted(self.runs.at, runs.at)


# A rule takes the sheet and which points are left, and says which of all points it would take.
Rule = Callable[[Sheet, Bools], Bools]


def _outside(sheet: Sheet, left: Bools) -> Bools:
    return ~sheet.points.is_inside


def _header_up(sheet: Sheet, left: Bools) -> Bools:
    return sheet.points.is_header_up


def _stray(sheet: Sheet, left: Bools) -> Bools:
    return sheet.passes.number < 0


def _ends(sheet: Sheet, left: Bools) -> Bools:
    """Seconds from both ends of the pass; metres at a usual speed where no time is known."""
    way, least = sheet.time_s, number("strips.pass_end_s")
    if way is None:
        way = sheet.passes.along_m[sheet.runs.at]
        least *= m_s_from_mph(number("strips.usual_speed_mph"))
    runs = sheet.runs
    is_end = (way - way[runs.first] < least) | (way[runs.last] - way < least)
    return sheet.spread(is_end | ~sheet.is_measured)


def _no_yield(sheet: Sheet, left: Bools) -> Bools:
    return ~sheet.spread(np.isfinite(sheet.seen.yield_bu_ac))


def _speed(sheet: Sheet, left: Bools) -> Bools:
    low, high = m_s_from_mph(1.0) * numbers("strips.speed_mph")
    speed_m_s = sheet.seen.speed_m_s
    return sheet.spread((speed_m_s < low) | (speed_m_s > high))


def _speed_step(sheet: Sheet, left: Bools) -> Bools:
    runs, place = sheet.left(left & sheet.spread(np.isfinite(sheet.seen.speed_m_s)))
    out = np.zeros(len(sheet.runs.at), dtype=np.bool_)
    if sheet.seen.is_speed_given:
        out[place] = speed_steps(sheet.seen.speed_m_s[place], runs)
    return sheet.spread(out)


def _far(sheet: Sheet, left: Bools, values: Floats) -> Bools:
    runs, place = sheet.left(left)
    out = np.zeros(len(sheet.runs.at), dtype=np.bool_)
    out[place] = far_from_pass(values[place], runs)
    return sheet.spread(out)


def _flow(sheet: Sheet, left: Bools) -> Bools:
    return _far(sheet, left, sheet.seen.grain)


def _distance(sheet: Sheet, left: Bools) -> Bools:
    return _far(sheet, left, sheet.points.distance_m[sheet.runs.at])


def _moisture(sheet: Sheet, left: Bools) -> Bools:
    low, high = numbers("strips.moisture_range_frac")
    values = sheet.seen.moisture_frac
    return sheet.spread((values < low) | (values > high)) | _far(sheet, left, values)


def _narrow(sheet: Sheet, left: Bools) -> Bools:
    least = number("strips.narrow_frac")
    is_cut = sheet.new_frac <= number("strips.doubled_frac")
    part = (sheet.new_frac < least * usual_frac(sheet.new_frac)) & ~is_cut
    return sheet.spread(part | (sheet.seen.swath_m < least * sheet.header_m))


def _limits(sheet: Sheet, left: Bools) -> Bools:
    low, high = numbers("strips.yield_range_bu_ac")
    values = sheet.seen.yield_bu_ac
    return sheet.spread((values < low) | (values > high))


def _local(sheet: Sheet, left: Bools) -> Bools:
    runs, place = sheet.left(left)
    out = np.zeros(len(sheet.runs.at), dtype=np.bool_)
    out[place] = differs_from_neighbours(sheet.seen.yield_bu_ac[place], sheet.passes.along_m[runs.at], runs)
    return sheet.spread(out)


def _short(sheet: Sheet, left: Bools) -> Bools:
    runs, place = sheet.left(left)
    along_m = sheet.passes.along_m[runs.at]
    out = np.zeros(len(sheet.runs.at), dtype=np.bool_)
    is_short = along_m[runs.last] - along_m[runs.first] < number("strips.pass_least_m")
    out[place] = is_short | (not sheet.is_in_order)
    return sheet.spread(out)


def _doubled(sheet: Sheet, left: Bools) -> Bools:
    out = sheet.spread(sheet.new_frac <= number("strips.doubled_frac"))
    at = np.flatnonzero(left & ~out)
    out[at] |= doubled(sheet.points.east_m[at], sheet.points.north_m[at])
    return out


def usual_frac(new_frac: Floats) -> float:
    """Give the share of the header that usually cuts standing crop, passes over cut ground left out.

    Examples
    --------
    >>> usual_frac(np.array([0.9, 0.9, 1.0, 0.0, 0.0, 0.0]))
    0.9
    """
    standing = new_frac[new_frac > number("strips.doubled_frac")]
    return float(np.median(standing)) if len(standing) else 1.0


# Each rule by its code, in their order; its sentence is `cleaning.<code>`. The order of the kinds (header,
# ends, outliers of what was measured, limits, neighbours, short and doubled) is published; see the docs.
RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "outside": _outside,
        "header_up": _header_up,
        "stray": _stray,
        "ends": _ends,
        "no_yield": _no_yield,
        "speed": _speed,
        "speed_step": _speed_step,
        "moisture": _moisture,
        "flow": _flow,
        "distance": _distance,
        "narrow": _narrow,
        "limits": _limits,
        "local": _local,
        "short": _short,
        "doubled": _doubled,
    }
)
