"""Sunrise and sunset in UTC from place and day.

It knows the sun and no clock of a farm; what the times mean for spraying is decided elsewhere.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.evidence import number

Floats = npt.NDArray[np.float64]
Days = npt.NDArray[np.int64]

_DAY_H = 24  # eq. hours of a day
_EPOCH_DAY = date(1970, 1, 1).toordinal()  # method: hours in UTC are counted from here, as those of weather
_J2000_DAY = date(2000, 1, 1).toordinal() + 0.5  # eq. noon of 1 January 2000
_DEG_H = 15  # eq. degrees that the earth turns in an hour


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SunTimes:
    """Sunrise and sunset of each day in hours since 1970 in UTC, shape of the days.

    In polar night both are the moment of noon (the day has no length), in polar day they lie 24 hours apart.
    """

    rise_utc_h: Floats
    set_utc_h: Floats

    @property
    def never_sets(self) -> npt.NDArray[np.bool_]:
        """Days of polar day."""
        return np.asarray(self.set_utc_h - self.rise_utc_h >= _DAY_H)


def sun_times(latitude_deg: float, longitude_deg: float, day: npt.ArrayLike) -> SunTimes:
    """Sunrise and sunset around the noon of each day.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        North and east are positive. [deg]
    day : array_like
        Day numbers (`date.toordinal()`) of the place's own calendar: sunrise and sunset may fall on the day
        before or after by UTC.

    Returns
    -------
    SunTimes
        [h]

    Notes
    -----
    Declination and equation of time by the low-precision formulas of almanacs, from memory; the sun's upper
    edge on the horizon with usual refraction. Within two minutes of a library up to 60 degrees.

    Examples
    --------
    >>> sun = sun_times(42.03, -93.63, [date(2026, 6, 21).toordinal()])
    >>> [round(float(h) % 24, 1) for h in (sun.rise_utc_h[0], sun.set_utc_h[0])]  # 5:40 and 20:53 there
    [10.7, 1.9]
    """
    days = np.asarray(day, dtype=np.float64)
    if not -90 <= latitude_deg <= 90:  # eq. no place beyond the poles
        raise ValueError(f"latitude_deg must be within -90..90, got {latitude_deg}")
    noon_h = 0.5 * _DAY_H - longitude_deg / _DEG_H  # by the mean sun
    declination, lead_h = _declination_and_lead(days + noon_h / _DAY_H - _J2000_DAY)
    latitude = np.radians(latitude_deg)
    above = np.sin(np.radians(number("passes.sunrise_elevation_deg"))) - np.sin(latitude) * np.sin(
        declination
    )
    flat = np.maximum(np.cos(latitude) * np.cos(declination), np.finfo(np.float64).tiny)
    half_h = np.degrees(np.arccos(np.clip(above / flat, -1.0, 1.0))) / _DEG_H
    noon_utc_h = (days - _EPOCH_DAY) * _DAY_H + noon_h - lead_h
    return SunTimes(rise_utc_h=noon_utc_h - half_h, set_utc_h=noon_utc_h + half_h)


def _declination_and_lead(since_2000_d: Floats) -> tuple[Floats, Floats]:
    """Declination of the sun [rad], and how far the true sun runs ahead of the mean one [h]."""
    mean_deg = 280.460 + 0.9856474 * since_2000_d  # eq. mean longitude, almanac
    anomaly = np.radians(357.528 + 0.9856003 * since_2000_d)  # eq. mean anomaly, almanac
    # eq. ecliptic longitude and obliquity, almanac
    ecliptic = np.radians(mean_deg + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    tilt = np.radians(23.439 - 0.0000004 * since_2000_d)  # eq. obliquity, almanac
    declination = np.arcsin(np.sin(tilt) * np.sin(ecliptic))
    ascension_deg = np.degrees(np.arctan2(np.cos(tilt) * np.sin(ecliptic), np.cos(ecliptic)))
    lead_deg = (mean_deg - ascension_deg + 180) % 360 - 180  # eq. brought within half a turn
    return np.asarray(declination), np.asarray(lead_deg / _DEG_H)
