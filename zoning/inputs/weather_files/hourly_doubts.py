"""Hourly weather that is read but cannot be right: times of another zone, wind of another unit, rare hours.

Judged by the hours themselves, over at least some days; what is not sure enough is let through.
"""

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from zoning.errors import InputError
from zoning.evidence import number, numbers
from zoning.inputs.given import Hourly
from zoning.inputs.grid import Floats, frozen
from zoning.words import Said

_HOURS = 24  # of a day
_DEG_H = 15  # degrees of longitude to an hour of the sun
_LATE = 12  # more hours late than this are called early


def of_clock(hourly: Hourly, file: str, longitude_deg: float) -> InputError | None:
    """Give the fault of hours whose temperature peaks at a time of day at which it cannot.

    Parameters
    ----------
    hourly : Hourly
        What was read.
    file : str
        How the user calls it.
    longitude_deg : float
        East positive; for the sun's own time. [deg]

    Notes
    -----
    The warmest time is that of a wave of 24 hours through the temperatures less their mean over a day around
    them, so that a front that passes does not move it. Too few days, or a wave too small to tell, are let
    through, and so is a shift of an hour or two.
    """
    temp_c, at_h = _swing_c(hourly)
    if temp_c.size < number("inputs.judged_days_least_d") * _HOURS:
        return None
    solar_h = (at_h + longitude_deg / _DEG_H) % _HOURS
    wave = 2 * np.mean(temp_c * np.exp(2j * np.pi * solar_h / _HOURS))
    if abs(wave) < number("inputs.judged_swing_least_c"):
        return None
    warmest_h = float(np.angle(wave) * _HOURS / (2 * np.pi)) % _HOURS
    first, usual, last = numbers("inputs.warmest_hour_h").tolist()
    if first <= warmest_h <= last:
        return None
    late_h = round((warmest_h - usual + _LATE) % _HOURS - _LATE)
    by_clock = math.floor(warmest_h + _ahead_of_sun_h(hourly, longitude_deg)) % _HOURS
    what = (
        f"by the farm's clock it is warmest there at about {by_clock:02d}:00, so its times are probably in "
        f"another zone; {'earlier' if late_h > 0 else 'later'} by about {abs(late_h)} hours would fit"
    )
    mend = (
        "Write the zone behind each time, as 2026-07-06T10:00Z, or correct time_zone; hours are those of 24, "
        "not twice 12."
    )
    return InputError(what, where=file, mend=mend)


def of_wind(hourly: Hourly, file: str) -> InputError | None:
    """Give the fault of wind so strong on average that its unit must be another."""
    wind_m_s = hourly.wind_m_s[np.isfinite(hourly.wind_m_s)]
    if wind_m_s.size < number("inputs.judged_days_least_d") * _HOURS:
        return None
    mean_m_s = float(wind_m_s.mean())
    if mean_m_s <= number("inputs.wind_mean_most_m_s"):
        return None
    what = f"its wind is {mean_m_s:.0f} m/s on average, so it is probably in another unit"
    return InputError(
        what, where=file, mend="Call the column wind_km_h or wind_mph, by the unit that it is in."
    )


def of_step(hourly: Hourly, file: str) -> Said | None:
    """Say that only every second, third ... hour is known."""
    known = np.isfinite(hourly.temp_c) & np.isfinite(hourly.rh_pct)
    steps = np.rint(np.diff(hourly.utc_h[known])).astype(np.int64)
    if steps.size == 0:
        return None
    usual = int(np.bincount(steps).argmax())
    if usual < 2 or (steps == usual).mean() < number("inputs.step_least_frac"):
        return None
    return Said("inputs.hourly_step", file=file, unknown=usual - 1, step=usual)


@lru_cache(maxsize=8)
def _swing_c(hourly: Hourly) -> tuple[Floats, Floats]:
    """Temperatures less the mean of the day around them, and when, in hours in UTC; whole days only."""
    known = np.isfinite(hourly.temp_c)
    utc_h, temp_c = hourly.utc_h[known], hourly.temp_c[known]
    if utc_h.size == 0:
        return np.zeros(0), np.zeros(0)
    first = np.floor(utc_h[0])
    at = np.floor(utc_h - first).astype(np.int64)
    row = np.full(int(at[-1]) + 1, np.nan)
    row[at] = temp_c
    step = int(np.bincount(np.maximum(np.diff(at), 1)).argmax()) if at.size > 1 else 1
    sparse = row[::step] if step > 1 and (at % step == at[0] % step).all() else row
    step = step if sparse is not row else 1
    each = _HOURS // step
    if sparse.size <= each or _HOURS % step:
        return np.zeros(0), np.zeros(0)
    # half of the first and of the last hour, so that the window is centred
    weights: npt.NDArray[np.float64] = np.ones(each + 1) / each
    weights[[0, -1]] /= 2
    mean_c = np.convolve(sparse, weights, mode="valid")
    inner = sparse[each // 2 : each // 2 + mean_c.size] - mean_c
    when = first + step * (each // 2 + np.arange(mean_c.size)) + 0.5
    whole = np.isfinite(inner)
    # as many as there would be if every hour were known, so that sparse hours count as much
    return frozen(np.repeat(inner[whole], step)), frozen(np.repeat(when[whole], step))


def _ahead_of_sun_h(hourly: Hourly, longitude_deg: float) -> float:
    """How far the farm's clock runs ahead of the sun."""
    ahead_h = (hourly.hour - hourly.utc_h) % _HOURS
    return float(np.median(ahead_h)) - longitude_deg / _DEG_H
