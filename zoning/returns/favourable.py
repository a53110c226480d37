"""Whether the weather around R3 favoured leaf disease, by the one rule that could be verified.

The rule of the mid-Atlantic advisory: a day is favourable by its mean temperature and its humid hours. It
tells little: most places meet it, and few of those respond. Knows nothing of money or stage.
"""

from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.evidence import named, number
from zoning.inputs.given import Hourly
from zoning.returns.terms import Floats

WeatherClass = Literal["favourable", "unfavourable", "unknown"]

_HOURS_OF_A_DAY = 24  # eq. hours of a day


def weather_class(hourly: Hourly | None, r3_day: float, today_day: float) -> tuple[WeatherClass, int, int]:
    """Class of the weather from two weeks before R3 to two weeks after it, as far as it has come.

    Parameters
    ----------
    hourly : Hourly or None
        Temperature and relative humidity. [C, %]
    r3_day : float
        Likely first day of R3. [date.toordinal()]
    today_day : float
        Later hours are not looked at. [date.toordinal()]

    Returns
    -------
    weather_class : {"favourable", "unfavourable", "unknown"}
        "favourable" with at least 2 favourable days within 7 days; "unfavourable" where there cannot have
        been as many, whatever the unknown days were; else, and in the first week, "unknown".
    favourable_days, known_days : int
        Days around R3 that were favourable, and days of which it is known whether they were.

    Notes
    -----
    Mehl, Holshouser and Zhou, Virginia Tech advisory 2019; Zhou 2018, abstract of the American
    Phytopathological Society: 20 of 21 places met the rule, and 7 of 21 responded to a spray.

    Examples
    --------
    >>> weather_class(None, 739800, 739805)
    ('unknown', 0, 0)
    """
    rule, least = named("returns.favourable_rule"), named("returns.favourable_least_known")
    first = int(r3_day // 1 - rule["reach_d"])
    last = int(min(r3_day // 1 + rule["reach_d"], today_day // 1))
    if hourly is None or last < first:
        return "unknown", 0, 0
    days = np.arange(first, last + 1)
    favourable, known = _judged(hourly, days)
    counted, told = int(favourable.sum()), int(known.sum())
    week_d = int(rule["week_d"])
    if _within(favourable, week_d) >= rule["days"]:
        return "favourable", counted, told
    may_be = favourable | (~known & (days < today_day // 1))  # today is not over: that is no gap
    is_told = told >= least["days"] and _within(may_be, week_d) < rule["days"]
    return ("unfavourable" if is_told else "unknown"), counted, told


def odds_of_response(weather: WeatherClass) -> float:
    """Give how much likelier this weather was where a spray brought a response than where none came [1].

    Examples
    --------
    >>> [round(odds_of_response(weather), 3) for weather in ("favourable", "unfavourable", "unknown")]
    [1.016, 0.889, 1.0]
    """
    if weather == "unknown":
        return 1.0
    counts, added = named("returns.favourable_counts"), number("returns.favourable_added_sites")
    met, responded, others = counts["met"], counts["responded"], counts["sites"] - counts["responded"]
    # eq. P(weather | response) / P(weather | none), all that responded having met the rule
    of_responding, of_others = responded, met - responded
    if weather == "unfavourable":
        of_responding, of_others = responded - of_responding, others - of_others
    return (of_responding + added) / (responded + 2 * added) / ((of_others + added) / (others + 2 * added))


def _judged(
    hourly: Hourly, days: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Judge each day: whether it was favourable, and whether that is known; an unknown day is not favourable.

    Missing hours are neither humid nor dry: a day is known where they could not turn the judgement.
    """
    rule, least = named("returns.favourable_rule"), named("returns.favourable_least_known")
    inside = (hourly.day >= days[0]) & (hourly.day <= days[-1])
    at = hourly.day[inside] - days[0]
    temp_c, rh_pct = hourly.temp_c[inside], hourly.rh_pct[inside]

    def in_day(mask: npt.NDArray[np.bool_], weight: Floats | None = None) -> Floats:
        chosen = weight[mask] if weight is not None else None
        return np.bincount(at[mask], weights=chosen, minlength=days.size).astype(np.float64)

    has_temp, has_rh = np.isfinite(temp_c), np.isfinite(rh_pct)
    hours, humid_h = in_day(has_temp), in_day(has_rh & (rh_pct >= rule["rh_pct"]))
    with np.errstate(invalid="ignore"):
        mean_c = in_day(has_temp, temp_c) / hours
    has_mean = hours >= least["hours"]
    mild = has_mean & (mean_c >= rule["low_c"]) & (mean_c <= rule["high_c"])
    humid = humid_h >= rule["hours"]
    missing_h = np.maximum(_HOURS_OF_A_DAY - in_day(has_rh), 0)
    not_humid = humid_h + missing_h < rule["hours"]
    return mild & humid, (has_mean & ~mild) | (mild & (humid | not_humid)) | not_humid


def _within(favourable: npt.NDArray[np.bool_], week_d: int) -> int:
    """Most favourable days within as many days in a row."""
    total = np.concatenate(([0], np.cumsum(favourable)))
    reach = np.minimum(np.arange(favourable.size) + week_d, favourable.size)
    return int((total[reach] - total[:-1]).max(initial=0))
