"""The spray hours of a field's horizon: its hourly weather held against usual limits and the label's."""

import numpy as np
import numpy.typing as npt

from zoning.offers.basis import Basis, Rig
from zoning.passes.half_days import HalfDays
from zoning.passes.hours.ahead import Futures, HoursGiven, half_days_of
from zoning.passes.hours.limits import limits_of
from zoning.stage.years import season_end
from zoning.words import Said


def spray_days(
    days: npt.NDArray[np.int64], draws: int, basis: Basis, rig: Rig
) -> tuple[HalfDays, tuple[Said, ...]]:
    """Give the spray hours of every half-day, to plan with and in every weather future.

    Parameters
    ----------
    days : ndarray of int
        The horizon, day after day. [day number]
    draws : int
        Of the stage forecast: future i is the weather of draw i.
    basis : Basis
        For the weather and its years.
    rig : Rig
        For the limits of the label.

    Returns
    -------
    (HalfDays, tuple of Said)
        The hours, and what they rest on.
    """
    settings, given, label = basis.settings, basis.given, rig.product
    limits = limits_of(
        wind_height_m=settings.weather.wind_height_m,
        max_wind_mph=label.max_wind_mph,
        droplet=label.droplet,
        rainfast_h=label.rainfast_h,
    )
    weather = HoursGiven(
        hourly=given.hourly,
        forecast=given.hourly_forecast,
        latitude_deg=given.latitude_deg,
        longitude_deg=given.longitude_deg,
        limits=limits,
    )
    last_planted = max(block.planted for block in given.blocks)
    futures = Futures(
        draws=draws,
        seed=basis.seed,
        quantile_frac=settings.schedule.hours_quantile_frac,
        season=season_end(last_planted, given.latitude_deg).year,
        years=basis.weather_years,
    )
    return half_days_of(int(days[0]), days.size, weather, futures)
