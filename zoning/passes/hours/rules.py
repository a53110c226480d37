"""Which hours may be sprayed by wind, inversion, rain and ground, all rules that take an hour out, cautions.

An hour of which something is not known is out: it is never read as dry or calm. Whether to spray is decided
by the label and the operator at the field, not here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from zoning.evidence import number, numbers
from zoning.inputs.given import Hourly
from zoning.passes.hours.limits import HourLimits
from zoning.passes.hours.sun import sun_times
from zoning.passes.hours.wet_bulb import delta_t_c, dew_point_c
from zoning.units import m_s_from_mph

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Days = npt.NDArray[np.int64]

# In the order in which they are told; the first that holds is the main reason.
RULES = ("not_known", "inversion", "rain", "rain_after", "wet_ground", "calm", "windy", "hot", "dry_air")
CAUTIONS = (
    *("strong_wind", "delta_t_low", "delta_t_marginal", "delta_t_high", "hot_and_dry", "heat", "dew"),
    "beside_a_limit",
)
_LAST_HOUR = 23  # eq. hours of a day count from 0
_DAY_H = 24  # eq. hours of a day


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """Every hour of some days, without a gap between them, and what holds it back.

    `hourly` has a row for each hour, NaN where the file had none. `out` says by rule, `cautions` by caution
    for which hours it holds; shape (hours,) each. A caution takes no hour out.
    """

    hourly: Hourly
    out: Mapping[str, Flags]
    cautions: Mapping[str, Flags]
    wind_mph: Floats  # at boom height
    delta_t_c: Floats
    asks_rain: bool  # False where the limits ask for none

    @property
    def usable(self) -> Flags:
        """Hours that no rule takes out."""
        return np.asarray(~np.logical_or.reduce(list(self.out.values())))

    def why(self, hour: int) -> tuple[str, ...]:
        """All rules that take one hour out."""
        return tuple(rule for rule in RULES if self.out[rule][hour])

    def cautions_at(self, hour: int) -> tuple[str, ...]:
        """All cautions of one hour."""
        return tuple(one for one in CAUTIONS if self.cautions[one][hour])


def whole_days(hourly: Hourly) -> Hourly:
    """Give every hour from the first day's midnight to the last one's a row, NaN where the file has none.

    The clock of an hour without a row is that of the row before it.

    Examples
    --------
    >>> begins = np.array([5.0, 8.0])
    >>> some = Hourly(
    ...     utc_h=begins, day=np.array([719163, 719163]), hour=np.array([5, 8]), temp_c=begins, rh_pct=begins,
    ...     wind_m_s=begins, rain_mm=begins,
    ... )
    >>> whole = whole_days(some)
    >>> whole.hour.size, whole.temp_c[4:9].tolist()
    (24, [nan, 5.0, nan, nan, 8.0])
    """
    if hourly.utc_h.size == 0:
        return hourly
    first_h = hourly.utc_h[0] - int(hourly.hour[0])
    last_h = hourly.utc_h[-1] + (_LAST_HOUR - int(hourly.hour[-1]))
    utc_h = first_h + np.arange(round(float(last_h - first_h)) + 1)
    row = np.rint(hourly.utc_h - first_h).astype(np.int64)
    # by the farm's clock, as hours since day number 0
    ahead_h = hourly.day * _DAY_H + hourly.hour - hourly.utc_h
    before = np.maximum(np.searchsorted(hourly.utc_h, utc_h, side="right") - 1, 0)
    local_h = np.rint(utc_h + ahead_h[before]).astype(np.int64)
    values = {}
    for name in ("temp_c", "rh_pct", "wind_m_s", "rain_mm"):
        values[name] = np.full(utc_h.size, np.nan)
        values[name][row] = getattr(hourly, name)
    return Hourly(utc_h=utc_h, day=local_h // _DAY_H, hour=local_h % _DAY_H, **values)


def wind_at_boom_frac(height_m: float) -> float:
    """Wind at boom height as a share of that at another height over short grass.

    Parameters
    ----------
    height_m : float
        Where it was measured; below half a metre it is taken as half a metre. [m]

    Notes
    -----
    u_2 = u_z ln(67.8 x 2 - 5.42) / ln(67.8 z - 5.42), the logarithmic profile of FAO-56, from memory.

    Examples
    --------
    >>> round(wind_at_boom_frac(10), 3), wind_at_boom_frac(2)
    (0.748, 1.0)
    """
    slope, shift = numbers("passes.wind_profile").tolist()
    boom, measured = (
        np.log(slope * height - shift) for height in (number("passes.boom_height_m"), max(height_m, 0.5))
    )
    return float(boom / measured)


def judge(hourly: Hourly, latitude_deg: float, longitude_deg: float, limits: HourLimits) -> Judged:
    """Hold every hour against the limits.

    Parameters
    ----------
    hourly : Hourly
        May have gaps; those count as not known.
    latitude_deg, longitude_deg : float
        For the sun. [deg]
    limits : HourLimits
        What is held against them.

    Returns
    -------
    Judged
        All rules that take an hour out, not only the first. An hour that reaches into the inversion window is
        in it as a whole.
    """
    here = _everywhere(hourly, limits)
    whole = here.whole
    sun = sun_times(latitude_deg, longitude_deg, here.days)
    rise, sets = sun.rise_utc_h[here.day_of_hour], sun.set_utc_h[here.day_of_hour]
    never_sets = sun.never_sets[here.day_of_hour]
    return Judged(
        hourly=whole,
        out={"inversion": _inversion(whole, rise, sets, limits) & ~never_sets, **here.out},
        cautions={**here.cautions, "dew": _dew(here, rise, sets) & ~never_sets},
        wind_mph=here.wind_mph,
        delta_t_c=here.drought_c,
        asks_rain=limits.rainfast_h is not None,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Everywhere:
    """What hours are held against wherever they are: all but the sun. `moist` and `calm` are of dew."""

    whole: Hourly
    days: Days
    day_of_hour: Days
    out: Mapping[str, Flags]
    cautions: Mapping[str, Flags]
    wind_mph: Floats
    drought_c: Floats
    moist: Flags
    calm: Flags


@lru_cache(maxsize=4)  # method: records remembered
def _everywhere(hourly: Hourly, limits: HourLimits) -> _Everywhere:
    """Hold hours against all that is the same for every field that shares them."""
    whole = whole_days(hourly)
    wind_mph = whole.wind_m_s / m_s_from_mph(1.0) * wind_at_boom_frac(limits.wind_height_m)
    moist_pct, near_c, _, windy_mph = numbers("passes.dew").tolist()
    with np.errstate(invalid="ignore"):  # what is not known compares as False, and is out as not known
        out = {
            "calm": wind_mph < limits.wind_least_mph,
            "windy": wind_mph > limits.wind_most_mph,
            "hot": whole.temp_c > (np.inf if limits.temp_most_c is None else limits.temp_most_c),
            "dry_air": whole.rh_pct < (-np.inf if limits.rh_least_pct is None else limits.rh_least_pct),
        }
        drought_c = delta_t_c(whole.temp_c, whole.rh_pct)
        cautions = _cautions(whole, wind_mph, drought_c, limits)
        near_dew = whole.temp_c - dew_point_c(whole.temp_c, whole.rh_pct) <= near_c
        moist, calm = (whole.rh_pct >= moist_pct) | near_dew, wind_mph <= windy_mph
    rain, after, wet, doubt = _rain(whole.rain_mm, limits)
    known = np.isfinite(whole.temp_c) & np.isfinite(whole.rh_pct) & np.isfinite(whole.wind_m_s)
    out |= {"rain": rain, "rain_after": after, "wet_ground": wet, "not_known": ~known | doubt}
    days, day_of_hour = np.unique(whole.day, return_inverse=True)
    return _Everywhere(
        whole=whole,
        days=days,
        day_of_hour=day_of_hour,
        out=out,
        cautions=cautions,
        wind_mph=wind_mph,
        drought_c=drought_c,
        moist=moist,
        calm=calm,
    )


def _inversion(whole: Hourly, rise: Floats, sets: Floats, limits: HourLimits) -> Flags:
    if limits.before_sunset_h is None:
        return np.zeros(whole.utc_h.size, dtype=bool)
    mixed = (whole.utc_h >= rise + limits.after_sunrise_h) & (
        whole.utc_h + 1 <= sets - limits.before_sunset_h
    )
    return np.asarray(~mixed)


def _rain(rain_mm: Floats, limits: HourLimits) -> tuple[Flags, Flags, Flags, Flags]:
    """Rain in the hour, rain too soon after it, ground wet from before, and what is not known of it."""
    none = np.zeros(rain_mm.size, dtype=bool)
    if limits.rainfast_h is None:
        return none, none, none, none
    unknown = np.isnan(rain_mm)
    falls = np.nan_to_num(rain_mm) >= number("passes.rain_least_mm")
    after = round(np.ceil(limits.rainfast_h))
    # past the last hour nothing is known
    soon = _within(np.append(falls, np.zeros(after, dtype=bool)), after)[: rain_mm.size]
    doubt = unknown | _within(np.append(unknown, np.ones(after, dtype=bool)), after)[: rain_mm.size]
    if limits.wet_ground_mm is None:
        return falls, soon, none, doubt
    past = round(number("passes.wet_ground_h"))
    fallen_mm = _before(np.nan_to_num(rain_mm), past)
    unseen = _before(unknown.astype(np.float64), past) + np.maximum(past - np.arange(rain_mm.size), 0)
    wet = fallen_mm > limits.wet_ground_mm
    return falls, soon, wet, doubt | ((unseen > 0) & ~wet)


def _within(flags: Flags, hours: int) -> Flags:
    """Whether a flag is up in the `hours` hours after each."""
    up = np.concatenate(([0], np.cumsum(flags)))
    at = np.arange(flags.size)
    return np.asarray(up[np.minimum(at + 1 + hours, flags.size)] - up[at + 1] > 0)


def _before(amount: Floats, hours: int) -> Floats:
    """Sum over the `hours` hours before each."""
    total = np.concatenate(([0.0], np.cumsum(amount)))
    at = np.arange(amount.size)
    return np.asarray(total[at] - total[np.maximum(at - hours, 0)])


def _cautions(whole: Hourly, wind_mph: Floats, drought_c: Floats, limits: HourLimits) -> dict[str, Flags]:
    low_c, marginal_c = numbers("passes.delta_t_ideal_c").tolist()
    high_c = number("passes.delta_t_high_c")
    beside = number("passes.delta_t_beside_c")
    dry_pct, warm_c = numbers("passes.hot_and_dry").tolist()
    return {
        "strong_wind": (wind_mph > limits.wind_caution_mph) & (wind_mph <= limits.wind_most_mph),
        "delta_t_low": drought_c < low_c,
        "delta_t_marginal": (drought_c >= marginal_c) & (drought_c <= high_c),
        "delta_t_high": drought_c > high_c,
        "hot_and_dry": (whole.rh_pct < dry_pct) & (whole.temp_c > warm_c),
        "heat": whole.temp_c > number("passes.heat_c"),
        "beside_a_limit": np.minimum(np.abs(drought_c - marginal_c), np.abs(drought_c - high_c)) <= beside,
    }


def _dew(here: _Everywhere, rise: Floats, sets: Floats) -> Flags:
    """Leaves are likely wet with dew: moist air from before sunset until some hours after sunrise.

    Wind dries them after sunrise.
    """
    _, _, until_h, _ = numbers("passes.dew").tolist()
    dark = (here.whole.utc_h < rise) | (here.whole.utc_h + 1 > sets)
    early = (here.whole.utc_h < rise + until_h) & here.calm
    return np.asarray(here.moist & (dark | early))
