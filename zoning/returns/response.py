"""The response that is expected in one place: a source, moved by what is known of the place, link by link.

Each link says what moved the response, on which evidence, and what its mean is afterwards, so that every
number can be followed back to the published mean. Stage, carrier volume and poor ground act later.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import inf

import numpy as np

from zoning.evidence import named, number, numbers
from zoning.returns.favourable import WeatherClass, odds_of_response
from zoning.returns.mixture import with_odds
from zoning.returns.outlook import Rating, from_severity, severity_near_r6
from zoning.returns.own import move_of
from zoning.returns.sources import (
    Disease,
    RainClass,
    pooled,
    practice,
    severity,
    sources,
    times,
    with_modifiers,
)
from zoning.returns.terms import Mixture
from zoning.settings.model import Effects, Pressure, Response, Source

_OTHER_CAUSE = "other"

_Move = tuple[str, tuple[str, ...], Callable[[Mixture], Mixture]]  # name, entries, what it does


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """What moves the response of one piece of ground.

    `cause` is "other" where scouting blames roots, stems, hail or water: that counts as low pressure,
    whatever else is known. `scouted`: somebody was in this zone, so weather, canopy and history have no say.
    `seen_pct` is the severity that was seen, in percent of leaf area, `severity_pct` a forecast near R6.
    `groups` is how many modes of action in the product work here, `resisted` that none works on the disease.
    `canopy_sd` and `wet_sd` say how much denser and wetter it is than its own planting block, in SD of the
    block. `effects` are the user's switches.
    """

    pressure: Pressure
    cause: str = ""
    scouted: bool = False
    seen_pct: float | None = None
    severity_pct: float | None = None
    disease: Disease = "frogeye"
    efficacy_frac: float = 0.0
    groups: int = 0
    resisted: bool = False
    rain: RainClass = "normal"
    weather: WeatherClass = "unknown"
    rating: Rating = ""
    after_soybean: bool = False
    open_rows: bool = False
    is_late: bool = False
    canopy_sd: float = 0.0
    wet_sd: float = 0.0
    expected_yield_bu_ac: float = inf
    effects: Effects = field(default_factory=Effects)

    @property
    def counted_pressure(self) -> Pressure:
        """The class that counts: another cause is low; so are open rows where nothing else is known."""
        if self.cause == _OTHER_CAUSE:
            return "low"
        is_open = self.open_rows and self.effects.open_rows
        return "low" if is_open and not self.scouted and self.pressure == "unknown" else self.pressure


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One thing that moved the response: its name, the entries behind it, and the response afterwards."""

    name: str
    evidence: tuple[str, ...]
    mixture: Mixture


def mixture_for(source: Source, response: Response, place: Place) -> Mixture:
    """Response of one place under one source: the last link of its `chain`."""
    return _mixture_for(source, response, _as_asked(source, place))


def _as_asked(source: Source, place: Place) -> Place:
    """Leave out of a place what does not move its response under a source: more places are alike then."""
    pooled_only = source == "pooled trials"
    return replace(
        place,
        groups=place.groups if pooled_only else 0,
        rain=place.rain if pooled_only else "normal",
        is_late=place.is_late and pooled_only,
        expected_yield_bu_ac=place.expected_yield_bu_ac if _asks_for_yield(place) else inf,
    )


@lru_cache(maxsize=4096)  # method: places remembered, since cells of many yields have the same response
def _mixture_for(source: Source, response: Response, place: Place) -> Mixture:
    return chain(source, response, place)[-1].mixture


def _asks_for_yield(place: Place) -> bool:
    """Whether the expected yield moves the response at its best stage: a severity takes a share of it."""
    is_severe = place.seen_pct is not None or place.severity_pct is not None
    return is_severe or place.effects.yield_potential == "falling"


def chain(source: Source, response: Response, place: Place) -> tuple[Link, ...]:
    """Say link by link what the response of one place under one source is.

    Modes of action, rain and late planting act on pooled trials only: own trials and the practice series were
    made with the products and in the seasons of the farm, so they already hold them (assumption).

    Parameters
    ----------
    source : {"pooled trials", "practice series", "own trials"}
        Any of `sources(response)`, not only the chosen one.
    response : Response
        The settings, for the grower's own figures.
    place : Place
        What moves the response there.

    Returns
    -------
    tuple of Link
        What changes nothing is left out, but for the first: the source itself.

    Raises
    ------
    ValueError
        When own trials are asked for, and none were typed or learned.

    Examples
    --------
    >>> from zoning.returns.mixture import mean
    >>> links = chain("pooled trials", Response(source="pooled trials"), Place(pressure="high", groups=2))
    >>> [(link.name, round(mean(link.mixture), 2)) for link in links]
    [('parts', 1.6), ('pressure', 2.9), ('modes_of_action', 3.19)]
    """
    if source not in sources(response):
        raise ValueError(f"there are no {source}; ask sources() first")
    links: list[Link] = []
    for name, evidence, move in _moves(source, response, place):
        before = links[-1].mixture if links else pooled("unknown")
        after = move(before)
        if not links or after != before:
            links.append(Link(name=name, evidence=evidence, mixture=after))
    return tuple(links)


def _moves(source: Source, response: Response, place: Place) -> Iterator[_Move]:
    if source == "practice series":
        entries = ("returns.practice_parts_bu_ac", "returns.practice_weights", "returns.practice_cost_usd_ac")
        yield "practice", entries, lambda _: practice("unknown")
        pressure = place.counted_pressure
        yield "pressure", _weights("low"), lambda _: practice(pressure, place.cause)
    else:
        yield "parts", _weights("unknown"), lambda _: pooled("unknown")
        yield from _disease(place)
        if source == "own trials":
            yield "own_trials", *move_of(response, place.counted_pressure)
        else:
            yield from _product_and_season(place)
    if place.effects.morning:
        yield "morning", ("returns.morning_bu_ac",), _in_the_morning


def _weights(pressure: Pressure) -> tuple[str, ...]:
    kind = "seen" if pressure == "seen" else "pooled"
    weights = "returns.seen_weights" if pressure == "seen" else f"returns.pooled_weights_{pressure}"
    return f"returns.{kind}_parts_bu_ac", weights


def _disease(place: Place) -> Iterator[_Move]:
    """Say how much disease is expected: a severity, or else a class; and what nobody's eyes have told."""
    pressure = place.counted_pressure
    if place.cause != _OTHER_CAUSE and (place.seen_pct is not None or place.severity_pct is not None):
        yield _of_severity(place)
        return
    yield "pressure", _weights(pressure), lambda _: pooled(pressure)
    if place.resisted:
        yield "resisted", ("returns.pooled_parts_bu_ac",), _resisted
    if place.scouted or place.cause == _OTHER_CAUSE:
        return
    if pressure == "unknown":  # a class that the user gave holds what the user knows of the field
        yield from _unscouted(place)
    if place.effects.zone_contrast:
        for name, entry, by_sd in (
            ("canopy", "returns.contrast_canopy_odds", place.canopy_sd),
            ("wet_ground", "returns.contrast_wet_odds", place.wet_sd),
        ):
            most = number("returns.contrast_most_sd")
            yield name, (entry,), _odds(number(entry) ** min(most, max(-most, by_sd)))


def _unscouted(place: Place) -> Iterator[_Move]:
    """Let weather, history and variety speak for a field in which nobody looked."""
    effects = place.effects
    if effects.favourable_days and place.weather != "unknown":
        yield (
            "favourable_days",
            ("returns.favourable_rule", "returns.favourable_counts", "returns.favourable_added_sites"),
            _odds(odds_of_response(place.weather)),
        )
    if effects.previous_crop and place.after_soybean:
        yield "previous_crop", ("returns.after_soybean_odds",), _odds(number("returns.after_soybean_odds"))
    if effects.variety and place.rating:
        odds = named("returns.variety_odds")[place.rating]
        yield (
            "variety",
            ("returns.variety_odds",),
            lambda one: with_odds(one, odds, lambda part: part.frogeye),
        )


def _of_severity(place: Place) -> _Move:
    """Reckon the damage of a disease: from what was seen and may become of it, or else as forecast."""
    efficacy = 0.0 if place.resisted else place.efficacy_frac
    entries = ("returns.severity_loss_frac_per_pct", "settings.efficacy")
    if place.seen_pct is not None:
        points = severity_near_r6(place.seen_pct, place.rating, place.weather, place.disease)
        seen = from_severity(place.expected_yield_bu_ac, points, efficacy, place.disease)
        return "severity_seen", (*entries, "returns.severity_growth_logit"), lambda _: seen
    stated = severity(place.expected_yield_bu_ac, place.severity_pct or 0.0, efficacy, place.disease)
    return "severity", entries, lambda _: stated


def _product_and_season(place: Place) -> Iterator[_Move]:
    """Add what pooled trials do not hold of this product, this season and this ground."""
    effects = place.effects
    if place.seen_pct is None and place.severity_pct is None:
        groups = place.groups if effects.modes_of_action else 0
        yield (
            "modes_of_action",
            ("returns.two_groups_factor",),
            lambda one: with_modifiers(one, groups, "normal"),
        )
        rain = place.rain if effects.rain else "normal"
        yield "rain", ("returns.rain_factor",), lambda one: with_modifiers(one, 0, rain)
    if place.is_late:
        late = named("returns.late_planting_factor")[effects.late_planting]
        yield "late_planting", ("returns.late_planting_factor",), lambda one: times(one, late)
    if effects.yield_potential == "falling" and np.isfinite(place.expected_yield_bu_ac):
        expected_bu_ac, gain_bu_ac = numbers("returns.yield_potential_points").T
        at = float(np.interp(place.expected_yield_bu_ac, expected_bu_ac, gain_bu_ac))
        left = at / number("returns.published_mean_bu_ac")
        yield "yield_potential", ("returns.yield_potential_points",), lambda one: times(one, left)


def _odds(odds: float) -> Callable[[Mixture], Mixture]:
    """Multiply the odds of a response to disease."""
    return lambda mixture: with_odds(mixture, odds, lambda part: part.responding_bu_ac != 0)


def _resisted(mixture: Mixture) -> Mixture:
    """Leave only the response of crops without disease where the product does not work on the disease."""
    low_bu_ac, sd_bu_ac = numbers("returns.pooled_parts_bu_ac")[0].tolist()
    none = replace(mixture.parts[0], low_bu_ac=low_bu_ac, responding_bu_ac=0.0, sd_bu_ac=sd_bu_ac)
    return Mixture(tuple(replace(none, weight=one.weight) if one.frogeye else one for one in mixture.parts))


def _in_the_morning(mixture: Mixture) -> Mixture:
    more = number("returns.morning_bu_ac")
    return Mixture(tuple(replace(part, low_bu_ac=part.low_bu_ac + more) for part in mixture.parts))
