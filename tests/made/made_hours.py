"""Hourly weather made for tests: fair hours throughout, to be changed where a test wants it."""

from datetime import UTC, date, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

import numpy as np

from zoning.inputs.given import Hourly
from zoning.passes.hours.limits import HourLimits, limits_of

CHICAGO = ZoneInfo("America/Chicago")
LATITUDE, LONGITUDE = 44.3, -95.4
NAMES = ("utc_h", "day", "hour", "temp_c", "rh_pct", "wind_m_s", "rain_mm")
# 3 m/s at the boom = 6.7 mph; 22 C and 60 % = delta T 4.9
FAIR = {"temp_c": 22.0, "rh_pct": 60.0, "wind_m_s": 3.0, "rain_mm": 0.0}


def hours(first: date, days: int, clock: tzinfo = CHICAGO, **values: float) -> Hourly:
    """Every hour of some days by a clock, all alike."""
    begins = datetime(first.year, first.month, first.day, tzinfo=clock).astimezone(UTC)
    last = first + timedelta(days)
    ends = datetime(last.year, last.month, last.day, tzinfo=clock).astimezone(UTC)
    count = round((ends - begins).total_seconds() / 3600)
    local = [(begins + timedelta(hours=n)).astimezone(clock) for n in range(count)]
    return Hourly(
        utc_h=begins.timestamp() / 3600 + np.arange(count),
        day=np.array([one.toordinal() for one in local], dtype=np.int64),
        hour=np.array([one.hour for one in local], dtype=np.int64),
        **{name: np.full(count, value) for name, value in (FAIR | values).items()},
    )


def those(hourly: Hourly, which: np.ndarray) -> Hourly:
    """Some of the hours."""
    return Hourly(**{name: getattr(hourly, name)[which] for name in NAMES})


def together(*parts: Hourly) -> Hourly:
    """Hours one after the other."""
    return Hourly(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in NAMES})


def at(hourly: Hourly, on: date, hour: int) -> int:
    """Row of an hour by the clock; the first where the clock shows it twice."""
    return int(np.flatnonzero((hourly.day == on.toordinal()) & (hourly.hour == hour))[0])


def usual_limits(
    wind_height_m: float = 2.0,
    max_wind_mph: float | None = None,
    droplet: str = "",
    rainfast_h: float | None = None,
) -> HourLimits:
    """Limits of a label that says nothing, unless told."""
    return limits_of(
        wind_height_m=wind_height_m, max_wind_mph=max_wind_mph, droplet=droplet, rainfast_h=rainfast_h
    )
