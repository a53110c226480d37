"""What is seen on the leaves at R3 as a distribution of what there will be near R6, and what a spray saves.

The severity of the day is never put into the damage formula as it stands: disease may spread or stop. No
figure of that spread could be verified in a publication, so all of them are assumptions.
"""

import math
from collections.abc import Sequence
from functools import cache
from statistics import NormalDist
from typing import Literal

import numpy as np

from zoning.evidence import named, number, numbers
from zoning.returns.favourable import WeatherClass
from zoning.returns.terms import Floats, Mixture, Part

Rating = Literal["", "susceptible", "moderate", "resistant"]

# method: shares of the distribution, each by its mean; the rare worst case has a share of its own
_WEIGHTS = (0.25, 0.3, 0.25, 0.15, 0.05)  # method: as above
_IN_A_SHARE = 10  # method: values that such a mean is taken over

_WHOLE_PCT = 100.0  # eq. per cent


def severity_near_r6(
    seen_pct: float,
    rating: Rating,
    weather: WeatherClass,
    disease: Literal["frogeye", "rust"] = "frogeye",
) -> tuple[tuple[float, float], ...]:
    """Distribution of the severity near R6, if nothing is sprayed, from what was seen about R3.

    Parameters
    ----------
    seen_pct : float
        Leaf area with lesions in the upper and middle canopy, as scouted, 0 to 100. [%]
    rating : {"", "susceptible", "moderate", "resistant"}
        Of the variety against this disease; "" where it is not known.
    weather : {"favourable", "unfavourable", "unknown"}
        As `zoning.returns.favourable.weather_class` gives it.
    disease : {"frogeye", "rust"}
        Which severity a severe attack ends at.

    Returns
    -------
    tuple of (weight, severity)
        A few points in rising order. [1, %]

    Notes
    -----
    The severity grows along a logistic curve towards that of a severe attack: the logit of its share of that
    severity rises from R3 to R6 by a normal amount, its mean by rating and weather, its SD by rating. Below
    what a scout can see the smallest visible severity is taken, so "nothing seen" means little, not none.

    Examples
    --------
    >>> [round(pct) for _, pct in severity_near_r6(2, "susceptible", "favourable")]
    [9, 19, 27, 34, 38]
    >>> [round(pct, 1) for _, pct in severity_near_r6(0, "", "unknown")]
    [0.2, 0.7, 1.8, 4.3, 10.9]
    """
    most_pct = named("returns.severity_most_pct")[disease]
    from_pct = min(max(seen_pct, number("returns.severity_least_seen_pct")), _WHOLE_PCT)
    # eq. K = most + (100 - most) S / 100: what is diseased already comes on top of what a severe attack takes
    end_pct = most_pct + (_WHOLE_PCT - most_pct) * from_pct / _WHOLE_PCT
    name = rating or "unknown"
    mean = named("returns.severity_growth_logit")[name]
    mean += named("returns.severity_growth_weather_logit")[weather]
    sd = named("returns.severity_growth_sd_logit")[name]
    # eq. S6 = K / (1 + (K - S3) / S3 exp(-(growth + SD z)))
    healthy = (end_pct - from_pct) / from_pct
    ends_pct = end_pct / (1 + healthy * np.exp(-(mean + sd * _scores())))
    return tuple(zip(_WEIGHTS, ends_pct.mean(axis=1).tolist(), strict=True))


def from_severity(
    attainable_bu_ac: float,
    points: Sequence[tuple[float, float]],
    efficacy_frac: float,
    disease: Literal["frogeye", "rust"],
) -> Mixture:
    """Response at its best stage where the severity near R6 is a distribution.

    Parameters
    ----------
    attainable_bu_ac : float
        Yield without the disease. [bu/ac]
    points : sequence of (weight, severity)
        As `severity_near_r6` gives it. [1, %]
    efficacy_frac : float
        Share of the severity that the product prevents; 0 for one that the population resists. [1]
    disease : {"frogeye", "rust"}
        Whose damage coefficient holds.

    Returns
    -------
    Mixture
        A part for each point: the low response of crops without disease, and beside it the loss avoided.

    Notes
    -----
    Avoided loss = attainable yield x loss per 1 % severity x severity x efficacy. Frogeye leaf spot: Barro et
    al. 2023, Plant Disease 107:3422-3429. Asian rust: Dalla Lana et al. The SD of a part is that of the low
    response and, beside it, a share of the avoided loss; the spread of the severity is between the parts.

    Examples
    --------
    >>> [round(part.responding_bu_ac, 3) for part in from_severity(60, [(1, 20)], 0.6, "frogeye").parts]
    [3.672]
    """
    low_bu_ac, low_sd_bu_ac = numbers("returns.pooled_parts_bu_ac")[0].tolist()
    loss_frac_per_pct = named("returns.severity_loss_frac_per_pct")[disease]
    parts = []
    for weight, severity_pct in points:
        avoided_bu_ac = attainable_bu_ac * loss_frac_per_pct * severity_pct * efficacy_frac
        parts.append(
            Part(
                weight=weight,
                low_bu_ac=low_bu_ac,
                responding_bu_ac=avoided_bu_ac,
                sd_bu_ac=math.hypot(low_sd_bu_ac, number("returns.severity_response_cv") * avoided_bu_ac),
            )
        )
    return Mixture(tuple(parts))


@cache
def _scores() -> Floats:
    """Values of a standard normal variable, a row for each share, equally likely within it."""
    normal = NormalDist()
    ends = np.cumsum((0.0, *_WEIGHTS))
    inside = (np.arange(_IN_A_SHARE) + 0.5) / _IN_A_SHARE
    chances = ends[:-1, None] + np.diff(ends)[:, None] * inside
    return np.array([[normal.inv_cdf(float(chance)) for chance in row] for row in chances])
