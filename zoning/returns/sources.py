"""Where the expected yield response comes from: published trials, a practice series, or the grower's own.

Each source gives a `Mixture`: the response at its best stage. What is known of a place moves it in
`response`; stage, carrier volume and poor ground act later.
"""

from dataclasses import replace
from functools import cache
from typing import Literal

from zoning.evidence import named, number, numbers
from zoning.returns.mixture import from_parts, update
from zoning.returns.terms import Mixture, Part
from zoning.settings.model import Pressure, Response, Source

Curve = Literal["published", "practice"]
Disease = Literal["frogeye", "rust"]
RainClass = Literal["above", "normal", "below"]

_OTHER_CAUSE = "other"


@cache
def pooled(pressure: Pressure) -> Mixture:
    """Response in published trials, by pressure class.

    Parameters
    ----------
    pressure : {"low", "unknown", "medium", "high", "seen"}
        "seen": lesions at or before R3 on a susceptible variety in wet weather.

    Returns
    -------
    Mixture
        First part low only, the others responding. [bu/ac]

    Notes
    -----
    Shaped on Kandel et al. 2021, doi 10.1094/PDIS-07-20-1578-RE, whose mean over 240 trials is 1.64 bu/ac;
    the weights are assumptions.

    Examples
    --------
    >>> from zoning.returns.mixture import mean, sd
    >>> round(mean(pooled("unknown")), 2), round(sd(pooled("unknown")), 2)
    (1.6, 1.75)
    >>> round(mean(pooled("seen")), 2)
    4.54
    """
    kind = "seen" if pressure == "seen" else "pooled"
    weights = numbers("returns.seen_weights" if kind == "seen" else f"returns.pooled_weights_{pressure}")
    return from_parts(weights.tolist(), numbers(f"returns.{kind}_parts_bu_ac").tolist(), frogeye_last=True)


@cache
def practice(pressure: Pressure, cause: str = "") -> Mixture:
    """Response in a series of practice: common practice, no source; the shape is an assumption.

    Parameters
    ----------
    pressure : {"low", "unknown", "medium", "high", "seen"}
        Moves it only where "low": then the pooled response to low pressure holds.
    cause : str
        "other": counts as low.

    Examples
    --------
    >>> from zoning.returns.mixture import mean
    >>> round(mean(practice("high")), 3)
    4.345
    >>> practice("high", "other") == pooled("low")
    True
    """
    if pressure == "low" or cause == _OTHER_CAUSE:
        return pooled("low")
    parts = numbers("returns.practice_parts_bu_ac").tolist()
    return from_parts(numbers("returns.practice_weights").tolist(), parts)


def own_trials(mean_bu_ac: float, se_bu_ac: float, years: int, pressure: Pressure) -> Mixture:
    """Pooled response, moved by the mean of the grower's own trials.

    Parameters
    ----------
    mean_bu_ac, se_bu_ac : float
        Mean of the own trials and its standard error. [bu/ac]
    years : int
        Seasons they come from: few seasons say less about the next one.
    pressure : {"low", "unknown", "medium", "high", "seen"}
        Pressure class of the zone.

    Notes
    -----
    The mean errs about the response of the next season with variance se^2 + year SD^2 / years.

    Examples
    --------
    >>> from zoning.returns.mixture import mean
    >>> round(mean(own_trials(3.4, 0.6, 4, "unknown")), 2)
    3.22
    """
    return updated(pooled(pressure), mean_bu_ac, se_bu_ac, years)


def updated(prior: Mixture, mean_bu_ac: float, se_bu_ac: float, years: int) -> Mixture:
    """Move what is believed of a place by the grower's own trials; see `own_trials`."""
    year_sd = number("returns.own_trials_year_sd_bu_ac")
    return update(prior, mean_bu_ac, se_bu_ac**2 + year_sd**2 / years)


def severity(
    attainable_bu_ac: float, severity_pct: float, efficacy_frac: float, disease: Disease = "frogeye"
) -> Mixture:
    """Response where the severity near R6, if nothing were sprayed, is stated.

    Parameters
    ----------
    attainable_bu_ac : float
        Yield without the disease. [bu/ac]
    severity_pct : float
        Forecast of the leaf area diseased near R6; not what is seen at R3. [%]
    efficacy_frac : float
        Share of the severity that the product prevents; 0 for one that the population resists. [1]
    disease : {"frogeye", "rust"}
        Whose damage coefficient holds.

    Notes
    -----
    avoided loss = attainable yield x loss per 1 % severity x severity x efficacy. Frogeye leaf spot: Barro et
    al. 2023, Plant Disease 107:3422-3429. It responds beside the low response of crops without disease.

    Examples
    --------
    >>> from zoning.returns.mixture import mean
    >>> round(mean(severity(60, 20, 0.6)), 3)
    4.372
    """
    loss_frac = named("returns.severity_loss_frac_per_pct")[disease] * severity_pct
    return Mixture(
        (
            Part(
                weight=1.0,
                low_bu_ac=float(numbers("returns.pooled_parts_bu_ac")[0, 0]),
                responding_bu_ac=attainable_bu_ac * loss_frac * efficacy_frac,
                sd_bu_ac=number("returns.severity_sd_bu_ac"),
            ),
        )
    )


def with_modifiers(mixture: Mixture, groups: int, rain: RainClass) -> Mixture:
    """Let modes of action and rain act on the responding means; the low ones and all SDs stay.

    Parameters
    ----------
    mixture : Mixture
        Response before.
    groups : int
        Modes of action in the product; two or more count.
    rain : {"above", "normal", "below"}
        Rain from planting to date against past years.

    Notes
    -----
    Two or more groups: 3.0 % against 2.7 %, Kandel et al. 2021, doi 10.1094/PDIS-07-20-1578-RE.
    Rain: sizes assumed.
    """
    factor = named("returns.rain_factor")[rain] * (number("returns.two_groups_factor") if groups >= 2 else 1)
    return times(mixture, factor)


def times(mixture: Mixture, factor: float) -> Mixture:
    """Multiply the responding means; the low ones and all SDs stay.

    Examples
    --------
    >>> [part.responding_bu_ac for part in times(pooled("seen"), 0.5).parts]
    [0.0, 2.75]
    """
    return Mixture(
        tuple(replace(part, responding_bu_ac=part.responding_bu_ac * factor) for part in mixture.parts)
    )


def sources(response: Response) -> tuple[Source, ...]:
    """Name the sources that can be asked: own trials only where some were typed, or learned from strips."""
    always: tuple[Source, ...] = ("pooled trials", "practice series")
    return (*always, "own trials") if response.is_typed or response.learned else always


def curve_for(source: Source, response: Response) -> Curve:
    """Choose the stage curve of a source: the setting's for the chosen source, its own for each other."""
    if source == response.source:
        return response.stage_curve
    return "practice" if source == "practice series" else "published"
