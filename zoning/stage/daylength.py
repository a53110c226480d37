"""Daylength from latitude and date.

One function for every convention: the elevation of the sun's centre at which the day begins is an argument.
It does not know which convention a stage model wants.
"""

from datetime import date

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Days = npt.NDArray[np.int64]

_NUMPY_DAY_0 = date(1970, 1, 1).toordinal()  # method: numpy counts its days from here


def numpy_dates(day: Days) -> npt.NDArray[np.datetime64]:
    """Turn day numbers (`date.toordinal()`) into numpy dates, same shape."""
    return (np.asarray(day) - _NUMPY_DAY_0).astype("datetime64[D]")


def ordinal(when: npt.NDArray[np.datetime64]) -> Days:
    """Turn numpy dates into day numbers (`date.toordinal()`), same shape."""
    return when.astype("datetime64[D]").astype(np.int64) + _NUMPY_DAY_0


def day_of_year(day: Days) -> Days:
    """Day of the year of day numbers, 1 January = 1, same shape.

    Examples
    --------
    >>> int(day_of_year(np.array([date(2026, 6, 21).toordinal()]))[0])
    172
    """
    when = numpy_dates(day)
    return np.asarray((when - when.astype("datetime64[Y]")).astype(np.int64) + 1)


def daylength_h(latitude_deg: float, doy: npt.ArrayLike, elevation_deg: float = 0.0) -> Floats:
    """Hours for which the sun's centre stands above an elevation.

    Parameters
    ----------
    latitude_deg : float
        South is negative. [deg]
    doy : array_like
        Day of the year, 1 January = 1.
    elevation_deg : float
        0 the geometric day, -0.833 sunrise to sunset as almanacs print it, -6 civil twilight. [deg]

    Returns
    -------
    ndarray
        Shape of `doy`; 0 in polar night, 24 in polar day. [h]

    Notes
    -----
    Goudriaan and van Laar 1978.

    Examples
    --------
    >>> round(float(daylength_h(42.0, 172)), 3)
    15.065
    """
    latitude = np.radians(latitude_deg)
    # eq. Goudriaan and van Laar 1978: declination of the sun
    tilt = np.sin(np.radians(23.45))
    # eq. Goudriaan and van Laar 1978: shortest day ten days before 1 January
    declination = -np.arcsin(tilt * np.cos(2 * np.pi * (np.asarray(doy, dtype=np.float64) + 10) / 365))
    above = np.sin(np.radians(elevation_deg)) - np.sin(latitude) * np.sin(declination)
    half_day = np.arccos(np.clip(above / (np.cos(latitude) * np.cos(declination)), -1, 1))
    return np.asarray(24 / np.pi * half_day)  # eq. 2 pi of hour angle = 24 h
