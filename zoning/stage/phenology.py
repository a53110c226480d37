"""From daily temperatures to the days of emergence, R1, R3 and R5: the stage models, one function each.

A model sees one crop in several weathers at once (rows) and answers with one day a row; the days themselves
are columns, added up with cumulative sums. Errors, draws and missing weather are not its business.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Protocol

import numpy as np
import numpy.typing as npt

from zoning.evidence import number, numbers
from zoning.stage.daylength import Floats, day_of_year, daylength_h

Rows = npt.NDArray[np.int64]


class Planted(Protocol):
    """What a stage model needs to know of a crop: a block of a field, or anything that has these."""

    @property
    def name(self) -> str:
        """Name for people."""

    @property
    def planted(self) -> date:
        """Planting day."""

    @property
    def emerged(self) -> date | None:
        """Observed emergence; None where nobody looked."""

    @property
    def maturity_group(self) -> float:
        """Relative maturity group, 000 = -2, 00 = -1."""

    @property
    def variety(self) -> str:
        """Variety, or empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coefficients:
    """How one maturity group develops. td = thermal days, ptd = photothermal days."""

    critical_daylength_h: float
    daylength_slope_per_h: float
    planting_to_emergence_td: float
    emergence_to_r1_ptd: float
    r1_to_r3_ptd: float
    r1_to_r5_ptd: float
    post_r1_daylength_shift_h: float
    cool_night_threshold_c: float
    cool_night_slope_per_c: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weathers:
    """One season's days in several weathers: arrays of shape (weathers, days), or (days,) where alike.

    `vegetative` and `reproductive` are the daily temperature responses, 0-1, `emergence_heat_c_d` the heat
    above the base of emergence; NaN where temperatures are missing. `first_day` is the day number of the
    first column.
    """

    first_day: int
    tmin_c: Floats
    emergence_heat_c_d: Floats
    vegetative: Floats
    reproductive: Floats
    daylength_h: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dates:
    """Days on which stages begin, shape (weathers,); NaN where the weather ends before."""

    emergence_day: Floats
    r1_day: Floats
    r3_day: Floats
    r5_day: Floats


def coefficients(maturity_group: float) -> Coefficients:
    """Coefficients of a maturity group, interpolated linearly between whole groups.

    Raises
    ------
    ValueError
        For a group outside 000 (-2) to X (10).

    Examples
    --------
    >>> round(coefficients(2.5).critical_daylength_h, 3)
    13.495
    """
    groups = numbers("stage.coefficient_groups")
    if not groups[0] <= maturity_group <= groups[-1]:
        raise ValueError(f"maturity group {maturity_group} is outside {groups[0]:g} to {groups[-1]:g}")

    def at_group(name: str) -> float:
        if name == "planting_to_emergence_td":  # one value for all groups
            return number("stage.planting_to_emergence_td")
        return float(np.interp(maturity_group, groups, numbers(f"stage.{name}")))

    return Coefficients(**{field.name: at_group(field.name) for field in fields(Coefficients)})


def hourly_c(tmin_c: Floats, tmax_c: Floats) -> Floats:
    """24 temperatures of each day, a cosine between its extremes; a last axis of 24 is added; in C."""
    # eq. T(h) = mean + half range x cos(2 pi (h + 0.5) / 24)
    wave = np.cos(2 * np.pi * (np.arange(24) + 0.5) / 24)
    mean, half_range = (tmax_c + tmin_c) / 2, (tmax_c - tmin_c) / 2
    return np.asarray(mean[..., None] + half_range[..., None] * wave)


def temperature_response(hour_c: Floats, cardinal_c: Floats) -> Floats:
    """Trapezoid response of each temperature: 0 outside, 1 between the two middle cardinals."""
    least, full_from, full_to, most = cardinal_c
    rising, falling = (hour_c - least) / (full_from - least), (most - hour_c) / (most - full_to)
    return np.asarray(np.clip(np.minimum(rising, falling), 0, 1))


def photoperiod_response(daylength: Floats, critical_h: float, slope_per_h: float) -> Floats:
    """Progress left by long days, 0-1."""
    return np.clip(1 - slope_per_h * (daylength - critical_h), 0, 1)


def cool_night_response(tmin_c: Floats, threshold_c: float, slope_per_c: float) -> Floats:
    """Progress left by cool nights, 0-1."""
    return np.maximum(0, 1 - slope_per_c * np.maximum(0, threshold_c - tmin_c))


def weathers(first_day: int, tmin_c: Floats, tmax_c: Floats, latitude_deg: float) -> Weathers:
    """Prepare daily temperatures for the models, once for all blocks.

    Parameters
    ----------
    first_day : int
        Day number of the first column.
    tmin_c, tmax_c : ndarray
        Shape (weathers, days); NaN where missing. [C]
    latitude_deg : float
        South is negative. [deg]
    """
    hours = hourly_c(tmin_c, tmax_c)
    doy = day_of_year(first_day + np.arange(tmin_c.shape[1]))
    return Weathers(
        first_day=first_day,
        tmin_c=tmin_c,
        emergence_heat_c_d=np.maximum(hours - number("stage.emergence_base_c"), 0).mean(axis=-1),
        vegetative=temperature_response(hours, numbers("stage.vegetative_temperature_c")).mean(axis=-1),
        reproductive=temperature_response(hours, numbers("stage.reproductive_temperature_c")).mean(axis=-1),
        daylength_h=daylength_h(latitude_deg, doy, number("stage.sun_elevation_deg")),
    )


def _crossing(rate: Floats, start: Rows, need: float) -> Floats:
    """Column, with its fraction, in which the sum of `rate` from column `start` on reaches `need`."""
    row = np.arange(len(rate))
    total = np.concatenate([np.zeros((len(rate), 1)), np.cumsum(rate, axis=1)], axis=1)
    inside = start < rate.shape[1]
    target = np.where(inside, total[row, np.minimum(start, rate.shape[1])] + need, np.nan)
    reached = total[:, 1:] >= target[:, None]
    column = reached.argmax(axis=1)
    found = reached.any(axis=1)
    part = (target - total[row, column]) / np.where(found, rate[row, column], 1)
    # method: a sum that is full exactly at midnight still belongs to the day that filled it
    part = np.minimum(part, 1 - 1e-9)
    return np.where(found, column + part, np.nan)


def _next_day(column: Floats, columns: int) -> Rows:
    """First whole column after an event; past the last column where there was none."""
    return np.where(np.isnan(column), columns, np.floor(column) + 1).astype(np.int64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Photoperiod:
    """How daylength slows the crop after R1."""

    critical_daylength_h: float
    slope_per_h: float


def _dates(season: Weathers, crop: Planted, emergence: Floats, after_r1: _Photoperiod) -> Dates:
    """Add up the phases from emergence (columns with their fractions) on; each starts on the next day."""
    its = coefficients(crop.maturity_group)
    columns = season.reproductive.shape[1]
    before = photoperiod_response(season.daylength_h, its.critical_daylength_h, its.daylength_slope_per_h)
    cool = cool_night_response(season.tmin_c, its.cool_night_threshold_c, its.cool_night_slope_per_c)
    to_r1 = season.reproductive * before * cool
    r1 = _crossing(to_r1, _next_day(emergence, columns), its.emergence_to_r1_ptd)
    slowed = photoperiod_response(season.daylength_h, after_r1.critical_daylength_h, after_r1.slope_per_h)
    from_r1 = _next_day(r1, columns)
    return Dates(
        emergence_day=season.first_day + emergence,
        r1_day=season.first_day + r1,
        r3_day=season.first_day + _crossing(season.reproductive * slowed, from_r1, its.r1_to_r3_ptd),
        r5_day=season.first_day + _crossing(season.reproductive * slowed, from_r1, its.r1_to_r5_ptd),
    )


def _emergence(season: Weathers, crop: Planted, rate: Floats, need: float) -> Floats:
    """Column of emergence: as it was seen, else when `rate` has added up to `need` from planting on."""
    rows = len(rate)
    if crop.emerged is not None:
        return np.full(rows, float(crop.emerged.toordinal() - season.first_day))
    return _crossing(rate, np.full(rows, crop.planted.toordinal() - season.first_day), need)


def jones_boote(season: Weathers, crop: Planted) -> Dates:
    """Photothermal model of Jones, Boote, Grimm and Piper with generic coefficients of the maturity group.

    Progress from planting to emergence follows temperature; to R1 temperature, daylength and cool nights;
    after R1 temperature and daylength. The planting day counts; each phase starts on the day after the one
    before. An observed emergence replaces the first phase.

    Returns
    -------
    Dates
        Day numbers with the part of the day at which the sum is full, shape (weathers,).

    Notes
    -----
    Jones et al. 1991; Grimm et al. 1993, Crop Sci. 33:137-144; Piper et al. 1996, Crop Sci. 36:1606-1614;
    coefficients Boote et al. 1998. Whole-day starts, geometric daylength and the place of the cool-night
    factor are inferred and were chosen on published plots.
    """
    its = coefficients(crop.maturity_group)
    emergence = _emergence(season, crop, season.vegetative, its.planting_to_emergence_td)
    shifted_h = its.critical_daylength_h - its.post_r1_daylength_shift_h
    after_r1 = _Photoperiod(critical_daylength_h=shifted_h, slope_per_h=its.daylength_slope_per_h)
    return _dates(season, crop, emergence, after_r1)


def jones_boote_kantolic(season: Weathers, crop: Planted) -> Dates:
    """`jones_boote` with slower emergence in cool soil, and long days that slow the crop more after R1.

    Emergence takes heat above a base instead of thermal days. After R1 the critical daylength is that of
    before R1 and the slope is steeper by one factor for all groups, so that the way from R1 to R3 shortens
    faster with later planting. Everything else is `jones_boote`.

    Notes
    -----
    Emergence: Setiyono et al. 2007, doi:10.1016/j.fcr.2006.07.011, as parameterised in Matthews et al. 2022,
    doi:10.1093/insilicoplants/diab032. That long days go on slowing the crop after flowering: Kantolic and
    Slafer 2007, Annals of Botany 99:925-933. The factor is the one number fitted to published plots.
    """
    its = coefficients(crop.maturity_group)
    emergence = _emergence(season, crop, season.emergence_heat_c_d, number("stage.planting_to_emergence_c_d"))
    slope_per_h = number("stage.post_r1_slope_factor") * its.daylength_slope_per_h
    after_r1 = _Photoperiod(critical_daylength_h=its.critical_daylength_h, slope_per_h=slope_per_h)
    return _dates(season, crop, emergence, after_r1)


StageModel = Callable[[Weathers, Planted], Dates]
MODELS: Mapping[str, StageModel] = {
    "jones-boote": jones_boote,
    "jones-boote-kantolic": jones_boote_kantolic,
}
