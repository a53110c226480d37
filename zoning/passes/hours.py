"""Spray hours to plan with where no hourly weather is given: a published triple of field days.

It is a planning figure and is marked as one; it knows neither this year's weather nor halves of a day.
"""

import numpy as np

from zoning.evidence import numbers
from zoning.passes.half_days import HoursFrom
from zoning.units import per_day_from_per_week

SOURCE: HoursFrom = "planning triple"


def planning_hours_per_day(quantile_frac: float) -> float:
    """Spray hours a day that a share of seasons falls short of.

    Parameters
    ----------
    quantile_frac : float
        0.5 plans with a usual season, less with a poorer one. [0-1]

    Returns
    -------
    float
        Averaged over all days, fit or not. [h]

    Notes
    -----
    Days fit for field work a week (a poor, a usual and a good week in July) x spray hours on such a day / 7,
    interpolated between the quantiles at which the three weeks are taken to lie, and held outside them.

    Examples
    --------
    >>> round(planning_hours_per_day(0.5), 1)  # 5.7 days a week x 6 h
    4.9

    References
    ----------
    USDA-NASS Iowa crop progress, days suitable for fieldwork, July and August 2019-2020
    """
    days_a_week = numbers("passes.field_days_per_week")
    hours = [
        per_day_from_per_week(float(days) * float(hours))
        for days, hours in zip(days_a_week, numbers("passes.spray_hours_per_field_day"), strict=True)
    ]
    return float(np.interp(quantile_frac, numbers("passes.planning_quantiles_frac"), hours))
