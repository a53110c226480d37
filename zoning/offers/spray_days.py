"""The spray hours of a field's horizon: its hourly weather held against usual limits and the label's."""

from datetime import date, datetime

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import as_compared
from zoning.offers.basis import Basis, Rig
from zoning.passes.half_days import HalfDays
from zoning.passes.hours.ahead import Futures, HoursGiven, half_days_of
from zoning.passes.hours.limits import limits_for
from zoning.passes.hours.used import less_used, used_h
from zoning.stage.years import season_end
from zoning.units import h_from_min
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
        For the sprayer, whose hours of today may be used in part.

    Returns
    -------
    (HalfDays, tuple of Said)
        The hours, and what they rest on.
    """
    settings, given = basis.settings, basis.given
    weather = HoursGiven(
        hourly=given.hourly,
        forecast=given.hourly_forecast,
        latitude_deg=given.latitude_deg,
        longitude_deg=given.longitude_deg,
        limits=limits_for(settings),
    )
    last_planted = max(block.planted for block in given.blocks)
    futures = Futures(
        draws=draws,
        seed=basis.seed,
        quantile_frac=settings.schedule.hours_quantile_frac,
        season=season_end(last_planted, given.latitude_deg).year,
        years=basis.weather_years,
    )
    hours, notes = half_days_of(int(days[0]), days.size, weather, futures)
    left, of_today = _less_today(hours, basis, rig.sprayer.name)
    return left, (*notes, *of_today)


def _less_today(hours: HalfDays, basis: Basis, sprayer: str) -> tuple[HalfDays, tuple[Said, ...]]:
    """Take off what the sprayer has sprayed today, on whichever field; hours of the day gone by stay."""
    today = basis.today.toordinal()
    rows = [one for one in basis.given.made_today if as_compared(one.sprayer) == as_compared(sprayer)]
    if not rows or hours.first_day != today:
        return hours, ()
    # a pass of which the end is not known is over when its day is
    timed = [one for one in rows if one.start is not None and one.end.date() == basis.today]
    taken_h = used_h((_clock_h(one.start, basis.today), _clock_h(one.end, basis.today)) for one in timed)
    told = {"sprayer": sprayer, "day": basis.today}
    notes = [Said("hours.used_today", hours=float(taken_h.sum()), **told)] if timed else []
    if len(timed) < len(rows):
        notes.append(Said("hours.used_not_known", **told))
    return less_used(hours, today, taken_h), tuple(notes)


def _clock_h(moment: datetime | None, day: date) -> float:
    """Hours of the clock since the day began; 0 for what began before it."""
    if moment is None or moment.date() < day:
        return 0.0
    return h_from_min(moment.hour * 60 + moment.minute + moment.second / 60)
