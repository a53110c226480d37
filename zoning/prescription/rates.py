"""Rates as files hold them: in the unit of the farm, two decimals, rounded up. Writes no file."""

import math

from zoning import units

_NAMES = {False: ("US gal/ac", "gal/ac", "RATE_GPA"), True: ("L/ha", "L/ha", "RATE_LHA")}  # by is it metric


def hundredths_up(rate: float) -> float:
    """Round a rate to the two decimals of the file, upwards: the file never falls below a label's minimum.

    Examples
    --------
    >>> hundredths_up(93.53956), hundredths_up(15.0), hundredths_up(12.344)
    (93.54, 15.0, 12.35)
    """
    return math.ceil(round(rate * 100, 6)) / 100


def rate_of(rate_gal_ac: float, *, metric: bool) -> float:
    """Give a rate as the farm reads it, in whole hundredths, rounded up: US gal/ac or L/ha.

    Examples
    --------
    >>> rate_of(10.0, metric=False), rate_of(10.0, metric=True)
    (10.0, 93.54)
    """
    return hundredths_up(units.l_ha_from_gal_ac(rate_gal_ac) if metric else rate_gal_ac)


def rate_unit(metric: bool) -> str:
    """Name the unit of the rates for people: which gallon it is must be said.

    Examples
    --------
    >>> rate_unit(metric=False)
    'US gal/ac'
    """
    return _NAMES[metric][0]


def short_unit(metric: bool) -> str:
    """Name the same unit where there is little room.

    Examples
    --------
    >>> short_unit(metric=False)
    'gal/ac'
    """
    return _NAMES[metric][1]


def rate_column(metric: bool) -> str:
    """Name the column of rates in a shapefile, with its unit.

    Examples
    --------
    >>> rate_column(metric=False)
    'RATE_GPA'
    """
    return _NAMES[metric][2]
