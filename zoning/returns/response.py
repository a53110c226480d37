"""Where the expected yield response comes from: published trials, a practice series, or the grower's own.

Each source gives a `Mixture`: the response at its best stage. Stage, carrier volume, poor ground act later.
"""

from dataclasses import dataclass
from typing import Literal

from zoning.evidence import named, number, numbers
from zoning.returns.mixture import exceedance, from_parts, mean, quantile, sd, update
from zoning.returns.terms import Mixture, Part
from zoning.settings.model import Pressure, Response, Source

__all__ = [
    "Curve", "Disease", "Place", "RainClass", "curve_for", "exceedance", "mean", "mixture_for", "own_trials",
    "pooled", "practice", "quantile", "sd", "severity", "sources", "with_modifiers",
]  # fmt: skip

Curve = Literal["published", "practice"]
Disease = Literal["frogeye", "rust"]
RainClass = Literal["above", "normal", "below"]

_OTHER_CAUSE = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """What moves the response of one zone.

    `cause` is "other" where scouting blames roots, stems, hail or water: that counts as low pressure.
    `groups` is the number of modes of action in the product, 0 where it is not known.
    """

    pressure: Pressure
    cause: str = ""
    groups: int = 0
    rain: RainClass = "normal"


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
    >>> round(mean(pooled("unknown")), 2), round(sd(pooled("unknown")), 2)
    (1.6, 1.75)
    >>> round(mean(pooled("seen")), 2)
    4.54
    """
    kind = "seen" if pressure == "seen" else "pooled"
    weights = numbers("returns.seen_weights" if kind == "seen" else f"returns.pooled_weights_{pressure}")
    return from_parts(weights.tolist(), numbers(f"returns.{kind}_parts_bu_ac").tolist())


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
    >>> round(mean(own_trials(3.4, 0.6, 4, "unknown")), 2)
    3.22
    """
    year_sd = number("returns.own_trials_year_sd_bu_ac")
    return update(pooled(pressure), mean_bu_ac, se_bu_ac**2 + year_sd**2 / years)


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
    return Mixture(
        tuple(
            Part(
                weight=part.weight,
                low_bu_ac=part.low_bu_ac,
                responding_bu_ac=part.responding_bu_ac * factor,
                sd_bu_ac=part.sd_bu_ac,
            )
            for part in mixture.parts
        )
    )


def sources(response: Response) -> tuple[Source, ...]:
    """Name the sources that can be asked: own trials only with their mean and standard error."""
    always: tuple[Source, ...] = ("pooled trials", "practice series")
    own = response.mean_bu_ac is not None and response.se_bu_ac is not None
    return (*always, "own trials") if own else always


def curve_for(source: Source, response: Response) -> Curve:
    """Choose the stage curve of a source: the setting's for the chosen source, its own for each other."""
    if source == response.source:
        return response.stage_curve
    return "practice" if source == "practice series" else "published"


def mixture_for(source: Source, response: Response, place: Place) -> Mixture:
    """Response of one zone under one source.

    Modes of action and rain act on pooled trials only: own trials and the practice series were made with the
    products and in the seasons of the farm, so they already hold both (assumption).

    Parameters
    ----------
    source : {"pooled trials", "practice series", "own trials"}
        Any of `sources(response)`, not only the chosen one.
    response : Response
        The settings, for the grower's own figures.
    place : Place
        What moves the response of the zone.

    Raises
    ------
    ValueError
        When own trials are asked for without their mean and standard error.
    """
    pressure: Pressure = "low" if place.cause == _OTHER_CAUSE else place.pressure
    if source == "practice series":
        return practice(pressure, place.cause)
    if source == "pooled trials":
        return with_modifiers(pooled(pressure), place.groups, place.rain)
    if response.mean_bu_ac is None or response.se_bu_ac is None:
        raise ValueError("own trials have no mean and standard error; ask sources() first")
    return own_trials(response.mean_bu_ac, response.se_bu_ac, response.years or 1, pressure)
