"""How much of the response is left when a crop is sprayed at a stage other than mid R3.

A curve gives the share for a stage position: 3.0 is the day on which R3 begins, 3.5 its middle, 4.0 the day
on which R4 begins. Two columns: crops without disease (low), crops in which disease is building (responding).
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from zoning.evidence import named, number, numbers
from zoning.returns.sources import Curve
from zoning.returns.terms import Floats

MID_R3_POSITION = 3.5  # eq. stage position: 3 + half of R3
_STAGES_IN_CURVE = 6  # method: R1 ... R6; outside them no share is supported


@dataclass(frozen=True, slots=True, eq=False)
class Effect:
    """Share of the response that is left, for each draw and day; arrays of shape (draws, days).

    Where `supported` is False, before R1 or after R6, the shares are 0.
    """

    low_frac: Floats
    responding_frac: Floats
    supported: npt.NDArray[np.bool_]


@cache
def points(curve: Curve) -> tuple[Floats, Floats, Floats, Floats]:
    """Give the corners of both columns of a curve: positions and shares of low, then of responding."""
    if curve == "practice":
        outer = named("returns.curve_practice_outer")
        a_stage_off = number("returns.practice_price_at_r3_usd_bu") / number(
            "returns.practice_price_a_stage_off_usd_bu"
        )
        share = np.array([outer["r1"], a_stage_off, 1, a_stage_off, outer["r5"], outer["r6"]])
        position = numbers("returns.curve_practice_positions")
        return position, share, position, share
    low = np.vstack([numbers("returns.curve_low_early"), numbers("returns.curve_low_late")])
    responding = numbers("returns.curve_responding")
    return low[:, 0], low[:, 1], responding[:, 0], responding[:, 1]


def at(curve: Curve, position: npt.ArrayLike) -> tuple[Floats, Floats]:
    """Shares of the low and of the responding response at a stage position; 0 before R1 and after R6.

    Parameters
    ----------
    curve : {"published", "practice"}
        Which curve.
    position : array
        Stage position: k + the part of stage k that has passed; NaN where not supported. [1]

    Notes
    -----
    Published: by stage means of Mueller and Robertson 2010, Iowa State University ICM News; after R3 and
    where disease is building, assumptions. Practice: common practice, no source.

    Examples
    --------
    >>> [round(float(share), 2) for share in at("published", 2.5)]
    [0.96, 0.9]
    >>> [round(float(share), 3) for share in at("practice", 4.5)]
    [0.523, 0.523]
    """
    where = np.nan_to_num(np.asarray(position, dtype=np.float64))  # 0 lies before R1
    low_at, low, responding_at, responding = points(curve)
    return (
        np.interp(where, low_at, low, left=0, right=0),
        np.interp(where, responding_at, responding, left=0, right=0),
    )


def positions(begin_day: Floats, days: npt.ArrayLike) -> Floats:
    """Stage position of each draw on each day; NaN before R1 and after R6.

    Parameters
    ----------
    begin_day : array, shape (draws, 7)
        Days on which R1 ... R7 begin, rising in each row. [day number]
    days : array, shape (days,)
        A whole day number stands for the beginning of that day. [day number]

    Returns
    -------
    array, shape (draws, days)

    Examples
    --------
    >>> positions(np.array([[0.0, 4, 10, 20, 30, 40, 60]]), [3, 15, 50]).tolist()
    [[1.75, 3.5, nan]]
    """
    begin = np.ascontiguousarray(begin_day.T[:_STAGES_IN_CURVE])
    when = np.asarray(days, dtype=np.float64)[:, None]
    # eq. p = k + (t - R_k) / (R_k+1 - R_k): every stage that is over adds 1, the running one its passed part
    position = np.ones((when.size, begin.shape[1]))
    passed = np.empty_like(position)
    for first, following in pairwise(begin):
        np.subtract(when, first, out=passed)
        passed /= np.maximum(following - first, np.finfo(np.float64).eps)
        position += np.clip(passed, 0, 1, out=passed)
    position[(when < begin[0]) | (when > begin[-1])] = np.nan
    return position.T


def effect(curve: Curve, begin_day: Floats, days: npt.ArrayLike) -> Effect:
    """Share of the response that is left in each draw on each day.

    Parameters
    ----------
    curve : {"published", "practice"}
        Which curve.
    begin_day : array, shape (draws, 7)
        Days on which R1 ... R7 begin. [day number]
    days : array, shape (days,)
        Days of spraying. [day number]

    Returns
    -------
    Effect
        Arrays of shape (draws, days).
    """
    position = positions(begin_day, days).T  # as it lies in memory: turning an array takes longer than this
    low, responding = at(curve, position)
    return Effect(low.T, responding.T, ~np.isnan(position).T)
