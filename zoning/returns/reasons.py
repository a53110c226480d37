"""Why a zone is sprayed or skipped, in words: what was expected, what was needed, what made the difference.

Holds for a zone on its own; that a zone pays but no visit reaches it is for the passes to say.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import numpy as np

from zoning.evidence import number, numbers
from zoning.returns.factors import volume_frac, yield_frac
from zoning.returns.mixture import mean
from zoning.returns.own import observation
from zoning.returns.response import Place, mixture_for
from zoning.returns.sources import pooled
from zoning.returns.terms import Terms, ZoneCase, ZoneReturn
from zoning.settings.model import Pressure, Response, Source
from zoning.units import kg_ha_from_bu_ac, usd_ha_from_usd_ac
from zoning.words import Said

_DIGITS = 1  # method: digits behind the point for bu/ac
_CENTS = 2  # method: digits behind the point for cents
_WHITE_MOLD = ("white mold", "white mould", "sclerotinia")


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """What moved the response of a zone, as far as its `ZoneCase` does not say.

    `seen_on` is the day of the sighting, None where the pressure is the setting's; `cause` is "other" where
    scouting blames something that a foliar fungicide does not mend. `open_rows`: open rows at R3 are why the
    pressure counts as low. `seen_pct` is the severity that was seen, `severity_pct` a forecast near R6,
    `resisted` that the disease resists the product. `metric` says what is printed.
    """

    source: Source
    pressure: Pressure
    seen_on: date | None = None
    cause: str = ""
    open_rows: bool = False
    seen_pct: float | None = None
    severity_pct: float | None = None
    disease: str = ""
    resisted: bool = False
    metric: bool = False


def reason(settled: ZoneReturn, case: ZoneCase, driver: Driver, terms: Terms) -> Said:
    """Say why the rule sprays or skips a zone, with the input behind it.

    Parameters
    ----------
    settled : ZoneReturn
        The zone at its pass, or at the best option it had.
    case : ZoneCase
        What it was priced from.
    driver : Driver
        Pressure, and where it is known from.
    terms : Terms
        For the rule.

    Returns
    -------
    Said
        Code `returns.spray`, or `returns.skip`, `.toss_up`, `.chance_low`, `.cautious`, `.no_value`.
    """
    because = _because(driver)
    words = _numbers(settled, driver)
    if settled.worth_it:
        return Said("returns.spray", because=because, **words)
    if terms.price_usd_bu <= 0:
        return Said("returns.no_value", grain_usd_bu=terms.grain_price_usd_bu, haul_usd_bu=terms.haul_usd_bu)
    if settled.net_mean_usd_ac <= 0:
        but = _what_would_flip(settled, case, driver)
        return Said("returns.skip", because=f"{because}, but {but}" if but else because, **words)
    if settled.net_mean_usd_ac <= terms.min_net_usd_ac:
        per = usd_ha_from_usd_ac if driver.metric else float
        net, least = per(settled.net_mean_usd_ac), per(terms.min_net_usd_ac)
        return Said(
            "returns.toss_up",
            because=because,
            net=net,
            min_net=least,
            cents=_CENTS if round(net) == round(least) else 0,  # whole dollars, where they tell them apart
            area="ha" if driver.metric else "ac",
            **words,
        )
    if terms.rule == "chance":
        return Said(
            "returns.chance_low",
            because=because,
            chance=settled.chance_frac,
            min_chance=terms.min_chance_frac,
            **words,
        )
    return Said("returns.cautious", because=because, weight=terms.loss_weight, **words)


def _because(driver: Driver) -> str:
    pressure = _of_pressure(driver)
    told = driver.resisted and driver.cause != "other" and driver.source != "practice series"
    return f"{pressure}, {Said('returns.resisted').text}" if told else pressure


def _of_pressure(driver: Driver) -> str:
    seen_on = f"{driver.seen_on:%b} {driver.seen_on.day}" if driver.seen_on else ""
    if driver.cause == "other":
        code = "returns.other_cause_seen" if seen_on else "returns.other_cause"
        return Said(code, on=seen_on).text
    if driver.source == "practice series" and driver.pressure != "low":
        return Said("returns.practice").text
    if driver.seen_pct is not None and seen_on:
        seen = {"percent": driver.seen_pct, "disease": driver.disease, "on": seen_on}
        return Said("returns.severity_seen", **seen).text
    if driver.severity_pct is not None:
        return Said("returns.severity_set", percent=driver.severity_pct, disease=driver.disease).text
    if driver.pressure == "seen":
        return Said("returns.lesions_seen" if seen_on else "returns.lesions_set", on=seen_on).text
    if seen_on:
        return Said("returns.pressure_seen", pressure=driver.pressure, on=seen_on).text
    if driver.open_rows:
        return Said("returns.open_rows", source=driver.source).text
    code = "returns.pressure_unknown" if driver.pressure == "unknown" else "returns.pressure_set"
    return Said(code, pressure=driver.pressure, source=driver.source).text


def _numbers(settled: ZoneReturn, driver: Driver) -> dict[str, object]:
    """Give what is expected and needed, with one digit more where they would print alike."""
    per = kg_ha_from_bu_ac if driver.metric else float
    expect, needs = per(settled.response_mean_bu_ac), per(settled.break_even_response_bu_ac)
    digits = 0 if driver.metric else _DIGITS
    if f"{expect:.{digits}f}" == f"{needs:.{digits}f}":
        digits += 1
    return {"expect": expect, "needs": needs, "digits": digits, "unit": "kg/ha" if driver.metric else "bu/ac"}


def _what_would_flip(settled: ZoneReturn, case: ZoneCase, driver: Driver) -> str:
    """Name the one input without which the pass would pay, or nothing where no single one is enough."""
    expect, needs = settled.response_mean_bu_ac, settled.break_even_response_bu_ac
    ground = yield_frac(case.expected_yield_bu_ac)
    per = kg_ha_from_bu_ac if driver.metric else float
    unit, digits = ("kg/ha", 0) if driver.metric else ("bu/ac", _DIGITS)
    if ground < 1 and expect > needs * ground:
        return Said("returns.yield_low", expected=per(case.expected_yield_bu_ac), unit=unit).text
    if expect > needs - case.track_loss_bu_ac:
        return Said("returns.tracks", loss=per(case.track_loss_bu_ac), unit=unit, digits=digits).text
    left = _stage_frac(settled, case)
    if left < 1 and expect > needs * left:
        return Said(_stage_code(settled.day, case), left=100 * left).text  # eq. percent
    return ""


def _stage_code(day: int, case: ZoneCase) -> str:
    """Early before the early day of R3, late after the likely one of R4; between them R3 is only not sure."""
    early_quantile = numbers("stage.window_quantiles")[0]
    if day < float(np.quantile(case.stage.of("R3"), early_quantile)):
        return "returns.stage_early"
    late = day > float(np.median(case.stage.of("R4")))
    return "returns.stage_late" if late else "returns.stage_unsure"


def _stage_frac(settled: ZoneReturn, case: ZoneCase) -> float:
    """Share of the response at its best stage that is left on the day."""
    best = (
        mean(case.mixture)
        * yield_frac(case.expected_yield_bu_ac)
        * volume_frac(settled.volume_gal_ac, case.volume_matters)
    )
    return settled.response_mean_bu_ac / best if best > 0 else 1.0


def source_note(response: Response, place: Place, *, metric: bool = False) -> Said:
    """Say what the chosen source expects at mid R3, held against the published mean.

    Parameters
    ----------
    response : Response
        The settings.
    place : Place
        For the pressure class of the setting.
    metric : bool
        Whether kg/ha is printed.
    """
    expected_bu_ac = mean(mixture_for(response.source, response, place))
    published_bu_ac = number("returns.published_mean_bu_ac")
    per, unit, digits = (kg_ha_from_bu_ac, "kg/ha", 0) if metric else (float, "bu/ac", _DIGITS)
    told: dict[str, object] = {
        "expected": per(expected_bu_ac),
        "published": per(published_bu_ac),
        "times": expected_bu_ac / published_bu_ac,
        "before": per(mean(pooled(place.pressure))),
        "unit": unit,
        "digits": digits,
        "more": 2 * digits,  # the published mean is known to one digit more
    }
    if response.source == "own trials":
        return _own_note(response, place.pressure, told, per)
    code = "returns.source_pooled" if response.source == "pooled trials" else "returns.source_practice"
    return Said(code, **told)


def _own_note(
    response: Response, pressure: Pressure, told: dict[str, object], per: Callable[[float], float]
) -> Said:
    """Say what the own trials are: as they were typed, or else as the strips taught them."""
    if response.is_typed:
        mean_bu_ac, se_bu_ac = response.mean_bu_ac or 0.0, response.se_bu_ac or 0.0
        trials, years = response.trials or 1, response.years or 1
        named = {"trials": trials, "years": f"{years} year{'s' if years > 1 else ''}"}
        return Said("returns.source_own", mean=per(mean_bu_ac), se=per(se_bu_ac), **named, **told)
    seen = observation(response.learned, pressure)
    other = Said("learned.other_ground", other=seen.other, pressure=pressure).text if seen.other else ""
    return Said(
        "learned.source",
        trials=f"{seen.trials} trial{'s' if seen.trials > 1 else ''}",
        seasons=f"{seen.seasons} season{'s' if seen.seasons > 1 else ''}",
        other=other,
        pressure=pressure,
        mean=per(seen.mean_bu_ac),
        se=per(seen.se_bu_ac),
        **told,
    )


def stopped(target: str) -> Said | None:
    """Say why no return is reckoned for the target of the product, or None where it is.

    Parameters
    ----------
    target : str
        From the label settings.

    Examples
    --------
    >>> stopped("leaf diseases") is None
    True
    >>> stopped("White mold").code
    'returns.white_mold'
    """
    named = target.strip().lower()
    return Said("returns.white_mold") if any(name in named for name in _WHITE_MOLD) else None
