"""Wet bulb, delta T and dew point from air temperature and relative humidity.

At sea level; the air pressure is not asked. What the figures mean for spraying is decided elsewhere.
"""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def wet_bulb_c(temp_c: npt.ArrayLike, rh_pct: npt.ArrayLike) -> Floats:
    """Wet bulb temperature.

    Parameters
    ----------
    temp_c : array_like
        Air temperature; the formula was fitted for -20 to 50. [C]
    rh_pct : array_like
        Relative humidity; fitted for 5 to 99. [%]

    Returns
    -------
    ndarray
        Within 0.7 C of the psychrometric value up to 35 C, within 1 C up to 40 C. [C]

    Examples
    --------
    >>> round(float(wet_bulb_c(20, 50)), 1)
    13.7

    References
    ----------
    R. Stull, "Wet-bulb temperature from relative humidity and air temperature", J. Appl. Meteor. Climatol.
    50, 2267-2269, 2011
    """
    temp, rh = np.asarray(temp_c, dtype=np.float64), np.asarray(rh_pct, dtype=np.float64)
    # eq. 1 of Stull 2011
    wet = temp * np.arctan(0.151977 * np.sqrt(rh + 8.313659)) + np.arctan(temp + rh)
    wet = wet - np.arctan(rh - 1.676331) - 4.686035  # eq. 1 of Stull 2011
    return np.asarray(wet + 0.00391838 * rh**1.5 * np.arctan(0.023101 * rh))  # eq. 1 of Stull 2011


def delta_t_c(temp_c: npt.ArrayLike, rh_pct: npt.ArrayLike) -> Floats:
    """Delta T: air temperature less wet bulb, never below 0.

    Examples
    --------
    >>> round(float(delta_t_c(30, 30)), 1)
    11.6
    """
    return np.asarray(np.maximum(np.asarray(temp_c) - wet_bulb_c(temp_c, rh_pct), 0.0))


def dew_point_c(temp_c: npt.ArrayLike, rh_pct: npt.ArrayLike) -> Floats:
    """Dew point.

    Notes
    -----
    Magnus formula over water, from memory.

    Examples
    --------
    >>> round(float(dew_point_c(30, 50)), 2)
    18.45
    """
    temp, rh = np.asarray(temp_c, dtype=np.float64), np.asarray(rh_pct, dtype=np.float64)
    # eq. Magnus over water: a = 17.625, b = 243.04 C
    part = np.log(rh / 100) + 17.625 * temp / (243.04 + temp)
    return np.asarray(243.04 * part / (17.625 - part))  # eq. Magnus over water
