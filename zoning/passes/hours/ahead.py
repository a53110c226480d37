"""Spray hours of the days to come: a forecast as given, past years beyond it, or the planning triple.

Where the hours of a record come from is decided elsewhere; so is what is sprayed in them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.given import Hourly
from zoning.passes.half_days import HalfDays, HoursFrom
from zoning.passes.hours import triple
from zoning.passes.hours.counts import DayCounts, by_day
from zoning.passes.hours.limits import HourLimits
from zoning.passes.hours.past import PastHours, past_hours, row_of_draw
from zoning.passes.hours.rules import judge
from zoning.words import Said

Floats = npt.NDArray[np.float64]
Days = npt.NDArray[np.int64]
_EPSILON = 1e-9  # method: less than this is no hour


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoursGiven:
    """Hourly weather of a place, as far as it is known, and what it is held against.

    `hourly` is the record up to today, past years included; `forecast` holds later hours. Either may be None.
    """

    hourly: Hourly | None
    forecast: Hourly | None
    latitude_deg: float
    longitude_deg: float
    limits: HourLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class Futures:
    """The weather futures: future i is the weather of draw i.

    `years` are the past years of the stage draws, in their order (`zoning.stage.years.Season.years`), empty
    where there are none; `season` is the year in which this season ends. The plan counts on the hours that
    a share of 1 - `quantile_frac` of the futures reach in a week.
    """

    draws: int
    seed: int
    quantile_frac: float
    season: int
    years: tuple[int, ...] = ()


@lru_cache(maxsize=4)  # method: records remembered
def joined(record: Hourly | None, forecast: Hourly | None) -> Hourly | None:
    """Put the hours of a forecast behind those of a record; where both know an hour, the record counts."""
    if record is None or forecast is None:
        return record or forecast
    last = record.utc_h[-1] if record.utc_h.size else -np.inf
    later = forecast.utc_h > last
    return Hourly(
        **{
            name: np.concatenate([getattr(record, name), getattr(forecast, name)[later]])
            for name in ("utc_h", "day", "hour", "temp_c", "rh_pct", "wind_m_s", "rain_mm")
        }
    )


def half_days_of(
    first_day: int, days: int, given: HoursGiven, futures: Futures
) -> tuple[HalfDays, tuple[Said, ...]]:
    """Spray hours of every half-day of a planning horizon, to plan with and in every future.

    Parameters
    ----------
    first_day, days : int
        The horizon: a day number, and how many days.
    given : HoursGiven
        Hourly weather. On days that the forecast (or the record of today) knows well enough its hours hold in
        every future. On all others each future takes the hours of its own past year, and where no past year
        is known those of the planning triple.
    futures : Futures
        How many, which years, how cautiously.

    Returns
    -------
    (HalfDays, tuple of Said)
        The hours, and what they rest on. Beyond the forecast `planned_h` is the mean of a half-day over the
        futures x the quantile of the week's total / its mean, weeks of seven days from the first such day
        on: what is planned for a week is reached in a share of 1 - quantile of the futures.

    Examples
    --------
    >>> from zoning.passes.hours.limits import limits_of
    >>> limits = limits_of(wind_height_m=10, max_wind_mph=None, droplet="", rainfast_h=None)
    >>> none = HoursGiven(hourly=None, forecast=None, latitude_deg=44, longitude_deg=-95, limits=limits)
    >>> futures = Futures(draws=512, seed=0, quantile_frac=0.3, season=2026)
    >>> half_days, notes = half_days_of(date(2026, 7, 8).toordinal(), 14, none, futures)
    >>> half_days.source[0], round(float(half_days.planned_h.sum()) / 14, 1)
    ('planning triple', 3.1)
    """
    day = first_day + np.arange(days)
    known = _counts(given, joined(given.hourly, given.forecast))
    covered = _covered(known, day)
    beyond = day[~covered]
    whole_weeks = np.concatenate([beyond, day[-1] + 1 + np.arange(-beyond.size % triple.WEEK_D)])
    past = past_hours(_counts(given, given.hourly), whole_weeks, futures.season)
    half_days = _put_together(
        first_day,
        tuple(covered.tolist()),
        known.usable_h[known.rows(day[covered])].tobytes(),
        (past.years, past.hours_h.tobytes()),
        futures,
    )
    notes = (*_forecast_notes(known, day, covered, given), *_beyond_notes(half_days, past, futures))
    return half_days, notes


@lru_cache(maxsize=32)  # method: weeks remembered
def _put_together(
    first_day: int,
    covered: tuple[bool, ...],
    known_h: bytes,
    past: tuple[tuple[int, ...], bytes],
    futures: Futures,
) -> HalfDays:
    """Put the hours of a horizon together, once for all fields whose hours are the same.

    Parameters
    ----------
    first_day : int
    covered : tuple of bool
        Which days are known well enough.
    known_h : bytes
        Hours of these, float64, shape (covered days, 2).
    past : (tuple of int, bytes)
        Past years, and their hours of the whole weeks beyond, float64, shape (years, days, 2).
    futures : Futures
    """
    here = np.array(covered, dtype=np.bool_)
    days, beyond = here.size, int((~here).sum())
    weeks_d = beyond + -beyond % triple.WEEK_D
    years = past[0]
    past_h = np.frombuffer(past[1]).reshape(len(years), weeks_d, 2)
    source: HoursFrom = "past years" if years else triple.SOURCE
    beyond_h = _beyond(years, past_h, weeks_d, futures)
    planned_h, futures_h = np.zeros((days, 2)), np.zeros((futures.draws, days, 2))
    planned_h[here] = np.frombuffer(known_h).reshape(-1, 2)
    futures_h[:, here] = planned_h[here]
    planned_h[~here] = _planned(beyond_h, futures.quantile_frac, source)[:beyond]
    futures_h[:, ~here] = beyond_h[:, :beyond]
    for shared in (planned_h, futures_h):
        shared.setflags(write=False)
    return HalfDays(
        first_day=first_day,
        planned_h=planned_h,
        futures_h=futures_h,
        source=tuple("forecast" if one else source for one in covered),
        past_years=_years_taken(years, futures),
    )


def _counts(given: HoursGiven, hourly: Hourly | None) -> DayCounts:
    if hourly is None:
        return DayCounts(first_day=0, usable_h=np.zeros((0, 2)), hours_h=np.zeros(0), unknown_h=np.zeros(0))
    return by_day(judge(hourly, given.latitude_deg, given.longitude_deg, given.limits))


def _covered(known: DayCounts, day: Days) -> npt.NDArray[np.bool_]:
    """Days of which nearly every hour is known."""
    rows = known.rows(day)
    if known.hours_h.size == 0:
        return rows >= 0
    few = known.unknown_h[rows] <= number("passes.hours_unknown_most_frac") * known.hours_h[rows]
    return (rows >= 0) & few


def _beyond(years: tuple[int, ...], past_h: Floats, days: int, futures: Futures) -> Floats:
    """Hours of every future on whole weeks, shape (draws, days, 2)."""
    if days == 0:
        return np.zeros((futures.draws, 0, 2))
    if years:
        return past_h[row_of_draw(years, futures.years, futures.draws)]
    weeks = [triple.triple_week_h(futures.draws, futures.seed, week) for week in range(days // triple.WEEK_D)]
    return triple.in_halves(np.concatenate(weeks, axis=1))


def _years_taken(years: tuple[int, ...], futures: Futures) -> int:
    """Count the past years whose hours any future takes: with few years of stage dates these may be fewer."""
    return len(set(row_of_draw(years, futures.years, futures.draws).tolist())) if years else 0


def _planned(futures_h: Floats, quantile_frac: float, source: HoursFrom) -> Floats:
    """Hours to plan with, shape (days, 2): the mean, scaled to the quantile of the week's total."""
    planned_h = futures_h.mean(axis=0)
    for first in range(0, len(planned_h), triple.WEEK_D):
        week = slice(first, first + triple.WEEK_D)
        if source == triple.SOURCE:  # its days are alike but for chance
            planned_h[week] = planned_h[week].mean()
        total_h = futures_h[:, week].sum(axis=(1, 2))
        mean_h = float(total_h.mean())
        # the lower of two values, so that the share holds also where few years repeat
        reached_h = float(np.quantile(total_h, quantile_frac, method="inverted_cdf"))
        planned_h[week] *= reached_h / mean_h if mean_h > _EPSILON else 0.0
    return np.asarray(planned_h)


def _forecast_notes(
    known: DayCounts, day: Days, covered: npt.NDArray[np.bool_], given: HoursGiven
) -> Iterator[Said]:
    for hourly in (given.hourly, given.forecast):
        for what, values in (("wind", hourly.wind_m_s), ("rain", hourly.rain_mm)) if hourly else ():
            if values.size and not np.isfinite(values).any():
                yield Said(
                    "hours.no_column", what=what, file="forecast" if hourly is given.forecast else "file"
                )
    if covered.any():
        yield Said(
            "hours.forecast",
            first=date.fromordinal(int(day[covered][0])),
            last=date.fromordinal(int(day[covered][-1])),
        )
        gaps = int(known.unknown_h[known.rows(day[covered])].sum())
        if gaps:
            yield Said("hours.forecast_gaps", hours=gaps)
    if given.forecast is None:
        return
    touched = day[~covered & np.isin(day, given.forecast.day)]
    if touched.size:
        first = date.fromordinal(int(touched[0]))
        yield Said("hours.forecast_days_unknown", days=touched.size, first=first)


def _beyond_notes(half_days: HalfDays, past: PastHours, futures: Futures) -> Iterator[Said]:
    places = [place for place, source in enumerate(half_days.source) if source != "forecast"]
    if not places:
        return
    first = date.fromordinal(int(half_days.days[places[0]]))
    percent = (1 - futures.quantile_frac) * 100  # eq. percent
    if past.dropped:
        yield Said("hours.years_dropped", years=_named(past.dropped))
    if not past.years:
        a_day_h = half_days.planned_h[places].sum() / len(places)
        yield Said("hours.triple", first=first, hours=a_day_h, percent=percent)
        return
    if len(past.years) == 1:
        yield Said("hours.one_past_year", first=first, year=past.years[0])
    else:
        told = {"count": len(past.years), "years": _named(past.years), "percent": percent}
        yield Said("hours.past_years", first=first, **told)
    lacking = tuple(year for year in futures.years if year not in past.years)
    if lacking:
        yield Said("hours.years_lacking", years=_named(lacking))
    if any(past.gaps_h):
        yield Said("hours.past_gaps", hours=sum(past.gaps_h))


def _named(years: tuple[int, ...]) -> str:
    return ", ".join(str(year) for year in years)
