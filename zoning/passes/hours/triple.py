"""Spray hours to plan with where no hourly weather is given: a published triple of field days.

It is a planning figure and is marked as one; it knows neither this year's weather nor halves of a day. Its
futures are sampled, so that a poor week is followed by any other.
"""

import numpy as np
import numpy.typing as npt

from zoning import chance
from zoning.evidence import numbers
from zoning.passes.half_days import HALVES, HoursFrom
from zoning.units import per_day_from_per_week

Floats = npt.NDArray[np.float64]
SOURCE: HoursFrom = "planning triple"
WEEK_D = 7  # eq. days of a week


def planning_hours_per_day(quantile_frac: float | Floats) -> Floats:
    """Spray hours a day that a share of seasons falls short of.

    Parameters
    ----------
    quantile_frac : float or array
        0.5 plans with a usual season, less with a poorer one. [0-1]

    Returns
    -------
    float or array
        Averaged over all days, fit or not. [h]

    Notes
    -----
    Days fit for field work a week (a poor, a usual and a good week in July) x spray hours on such a day / 7,
    interpolated between the quantiles at which the three weeks are taken to lie, and held outside them.

    Examples
    --------
    >>> planning_hours_per_day(np.array([0.1, 0.5])).round(1).tolist()  # 3.5 days a week x 4 h, 5.7 x 6 h
    [2.0, 4.9]

    References
    ----------
    USDA-NASS Iowa crop progress, days suitable for fieldwork, July and August 2019-2020
    """
    days_a_week = numbers("passes.field_days_per_week")
    hours = [
        per_day_from_per_week(float(days) * float(hours))
        for days, hours in zip(days_a_week, numbers("passes.spray_hours_per_field_day"), strict=True)
    ]
    return np.asarray(np.interp(quantile_frac, numbers("passes.planning_quantiles_frac"), hours))


def triple_week_h(draws: int, seed: int, week: int) -> Floats:
    """Spray hours of one week in every future, by the planning triple; shape (draws, 7).

    Parameters
    ----------
    draws, seed, week : int
        How many futures; seed and week make them again, whatever other weeks are asked for.

    Notes
    -----
    The quantiles of the futures are spread evenly over 0 to 1 and dealt out at random, so that their
    distribution is that of `planning_hours_per_day`. So many days of the week are fit as the triple says at
    that quantile, which ones is left to chance; the last is fit for a part of its hours only.

    Examples
    --------
    >>> week_h = triple_week_h(512, 0, 0)
    >>> bool(abs(np.quantile(week_h.sum(axis=1), 0.5) - 7 * planning_hours_per_day(0.5)) < 0.1)
    True
    """
    rng = chance.generator(seed, "spray hours", week)
    quantile_frac = (rng.permutation(draws) + 0.5) / draws
    at = numbers("passes.planning_quantiles_frac")
    fit_d = np.interp(quantile_frac, at, numbers("passes.field_days_per_week"))
    total_h = WEEK_D * planning_hours_per_day(quantile_frac)
    rank = np.argsort(rng.random((draws, WEEK_D)), axis=1)
    part = np.clip(fit_d[:, np.newaxis] - rank, 0.0, 1.0)
    return np.asarray((total_h / fit_d)[:, np.newaxis] * part)


def in_halves(day_h: Floats) -> Floats:
    """Share the hours of days evenly between their halves: a further axis of 2."""
    return np.repeat(day_h[..., np.newaxis] / len(HALVES), len(HALVES), axis=-1)
