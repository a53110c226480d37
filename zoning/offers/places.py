"""What makes the zones of a field differ: scouted pressure, expected yield, wheel tracks, canopy.

Prices nothing.
"""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from math import inf

import numpy as np

from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs.given import Sighting
from zoning.offers.basis import Basis
from zoning.offers.offered import OfferedZone
from zoning.offers.sightings import speaking
from zoning.plan import SOURCES
from zoning.returns import rain
from zoning.returns.draws import response_draws
from zoning.returns.factors import volume_matters, yield_frac
from zoning.returns.favourable import WeatherClass, weather_class
from zoning.returns.flips import Damage
from zoning.returns.reasons import Driver
from zoning.returns.remarks import codes
from zoning.returns.response import Place, chain, mixture_for
from zoning.returns.sources import RainClass, curve_for, sources
from zoning.returns.terms import ZoneCase
from zoning.returns.tracks import entries, is_late, loss_frac
from zoning.settings.model import Response, Source
from zoning.stage.draws import StageDraws
from zoning.units import date_from_day
from zoning.words import Said
from zoning.zones.zoning import Bools, Zone, Zoning

# All zones of a block ask for the same weather, before and after it is divided.
_weather_class = lru_cache(maxsize=4)(weather_class)  # method: blocks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """A piece of ground that has one response: what it is called, in which block it lies, and when R3 comes.

    `zone` names it to the draws of the response: ground of one zone has the same luck.
    """

    zone: int
    block: int
    area_ac: float
    stage: StageDraws
    expected_yield_bu_ac: float


def with_cases(zones: tuple[OfferedZone, ...], basis: Basis, zoning: Zoning) -> tuple[OfferedZone, ...]:
    """Give every zone its case, under the chosen response source and under the others."""
    seen = speaking(basis.given.sightings, zoning.number_of_cell, basis.given.grid, zoning.part_of_cell)
    drawn = zip(zones, zoning.zones, strict=True)
    return tuple(_with_case(one, zone, seen.get(zone.number), basis, zoning) for one, zone in drawn)


def case_of(spot: Spot, place: Place, source: Source, basis: Basis) -> ZoneCase:
    """Say what the response of a piece of ground is under one response source."""
    response, rig = basis.response, basis.rig
    mixture = mixture_for(source, response, place)
    draws = spot.stage.begin_day.shape[0]
    effects, canopy = basis.settings.effects, basis.settings.canopy
    closed = rig is not None and volume_matters(place.counted_pressure, canopy, rig.sprayer.kind)
    return ZoneCase(
        zone=spot.zone,
        area_ac=spot.area_ac,
        mixture=mixture,
        response_draws_bu_ac=response_draws(
            mixture, seed=basis.seed, field=basis.settings.name, zone=spot.zone, draws=draws
        ),
        curve=curve_for(source, response),
        stage=spot.stage,
        expected_yield_bu_ac=spot.expected_yield_bu_ac if effects.poor_ground else inf,
        track_loss_bu_ac=_track_loss_bu_ac(spot, basis),
        volume_matters=closed and effects.carrier,
    )


def _with_case(
    offered: OfferedZone, zone: Zone, seen: Sighting | None, basis: Basis, zoning: Zoning
) -> OfferedZone:
    mine = zoning.number_of_cell == zone.number
    spot = Spot(
        zone=zone.number,
        block=zone.block,
        area_ac=offered.area_ac,
        stage=offered.dated,
        expected_yield_bu_ac=expected_yield_bu_ac(zone.block, mine, basis),
    )
    place = place_of(spot, seen, basis.contrast.of(mine), basis)
    can_be_asked = sources(basis.response)
    by_source: dict[Source, ZoneCase | None] = {
        source: case_of(spot, place, source, basis) if source in can_be_asked else None for source in SOURCES
    }
    source = basis.response.source
    even = replace(place, canopy_sd=0.0, wet_sd=0.0)
    moved = mixture_for(source, basis.response, even) != mixture_for(source, basis.response, place)
    driver = Driver(
        source=source,
        pressure=place.counted_pressure,
        seen_on=seen.on if seen else None,
        cause=place.cause,
        open_rows=place.counted_pressure != place.pressure and place.cause != "other",
        seen_pct=place.seen_pct,
        severity_pct=place.severity_pct,
        disease=place.disease,
        resisted=place.resisted,
        metric=basis.settings.units == "metric",
    )
    return replace(
        offered,
        case=by_source[source],
        driver=driver,
        cases_by_source=by_source,
        chain=chain(source, basis.response, place),
        track_entries=_track_entries(spot, basis),
        plain_case=case_of(spot, even, source, basis) if moved else None,
        damage=_damage(place, basis.response),
    )


def _damage(place: Place, response: Response) -> Damage | None:
    """Say what a severity near R6 would mean there.

    None where the product does not mend what is wrong, or the source does not ask for a severity.
    """
    is_mended = place.cause != "other" and not place.resisted and place.efficacy_frac > 0
    if not is_mended or place.expected_yield_bu_ac == inf or response.source == "practice series":
        return None
    return Damage(source=response.source, response=response, place=place)


def place_of(spot: Spot, seen: Sighting | None, contrast_sd: tuple[float, float], basis: Basis) -> Place:
    """Say what moves the response there.

    Parameters
    ----------
    spot : Spot
    seen : Sighting or None
        What a scout saw there; then weather, canopy and history have no say.
    contrast_sd : tuple of float
        How much denser and wetter it is than its block. [SD of the block]
    basis : Basis

    Raises
    ------
    InputError
        When a severity is given, and no expected yield of which it could take a share.
    """
    of_block = _of_block(spot.block, spot.stage, basis)
    if seen is None:
        canopy_sd, wet_sd = contrast_sd
        place = replace(
            of_block, canopy_sd=canopy_sd, wet_sd=wet_sd, expected_yield_bu_ac=spot.expected_yield_bu_ac
        )
    else:
        place = replace(
            of_block,
            pressure=seen.pressure,
            cause=seen.cause,
            scouted=True,
            seen_pct=seen.severity_pct,
            severity_pct=None,
            disease=seen.disease or of_block.disease,
            expected_yield_bu_ac=spot.expected_yield_bu_ac,
        )
    is_severe = place.seen_pct is not None or place.severity_pct is not None
    if spot.expected_yield_bu_ac == inf and is_severe:
        raise InputError(
            "expected_yield is missing, and a severity takes a share of it",
            where="field.toml",
            mend='Add expected_yield = "58 bu/ac" (your figure), or a yield layer.',
            code=SETTINGS,
        )
    return place


@lru_cache(maxsize=4)  # method: blocks remembered: all of their cells begin with the same
def _of_block(block: int, stage: StageDraws, basis: Basis) -> Place:
    """Say what moves the response on all ground of a block: product, season, history, the user's word."""
    settings, response = basis.settings, basis.response
    planted, r3_day = basis.given.blocks[block].planted, _r3_day(stage)
    work = _working_groups(basis)
    return Place(
        pressure=response.pressure,
        severity_pct=response.severity_pct,
        disease=response.disease,
        efficacy_frac=response.efficacy_frac,
        groups=len(work or ()),
        resisted=work is not None and not work,
        rain=_rain(planted, r3_day, basis),
        weather=_weather(r3_day, basis),
        rating=settings.variety_rating,
        after_soybean="soy" in settings.previous_crop.casefold(),
        open_rows=settings.canopy == "open",
        is_late=is_late(planted, basis.given.latitude_deg, "returns.late_planting_after"),
        effects=settings.effects,
    )


def _working_groups(basis: Basis) -> list[str] | None:
    """List the modes of action that the disease here does not resist; None where no product is known."""
    product = basis.settings.product
    if product is None:
        return None
    groups, resistant = codes(product.groups), codes(basis.response.resistant)
    return [group for group in groups if group not in resistant] if groups else None  # NC has no number


def _rain(planted: date, r3_day: float, basis: Basis) -> RainClass:
    """Rain from planting to R3, or to the last day that is known."""
    return rain.rain_class(basis.given.weather, planted, _rain_until(r3_day, basis))


def _rain_until(r3_day: float, basis: Basis) -> date:
    weather = basis.given.weather
    if weather is None or not weather.day.size:
        return date_from_day(r3_day)
    return date_from_day(min(r3_day, float(weather.day[-1])))


def _weather(r3_day: float, basis: Basis) -> WeatherClass:
    return _weather_class(basis.given.hourly, r3_day, basis.today.toordinal())[0]


def _track_entries(spot: Spot, basis: Basis) -> tuple[str, ...]:
    if basis.rig is None:
        return ()
    planted = basis.given.blocks[spot.block].planted
    return entries(basis.rig.sprayer, basis.settings.row_spacing_m, planted, basis.given.latitude_deg)


def _track_loss_bu_ac(spot: Spot, basis: Basis) -> float:
    """Crop pressed down on a driven acre; needs a yield only where new tracks are made."""
    if basis.rig is None:
        return 0.0
    planted = basis.given.blocks[spot.block].planted
    row_spacing_m = basis.settings.row_spacing_m
    loss = loss_frac(basis.rig.sprayer, row_spacing_m, planted, basis.given.latitude_deg)
    if loss > 0 and spot.expected_yield_bu_ac == inf:
        raise InputError(
            "expected_yield is missing, and this pass presses new wheel tracks into the crop",
            where="field.toml",
            mend='Add expected_yield = "58 bu/ac" (your figure), or a yield layer.',
            code=SETTINGS,
        )
    return loss * spot.expected_yield_bu_ac if loss > 0 else 0.0


def expected_yield_bu_ac(block: int, mine: Bools, basis: Basis) -> float:
    """Mean of the yield layer over some cells, else the block's, else the field's; infinite if not known."""
    layer = basis.given.yield_bu_ac
    if layer is not None:
        known = layer[mine & ~np.isnan(layer)]
        if known.size:
            return float(known.mean())
    of_block = basis.given.blocks[block].expected_yield_bu_ac
    field = basis.settings.expected_yield_bu_ac
    return next((one for one in (of_block, field) if one is not None), inf)


def alike(zones: tuple[OfferedZone, ...]) -> tuple[Said, ...]:
    """Say of each block with several zones that nothing makes their responses differ, where that is so."""
    kinds = defaultdict(list)
    for one in zones:
        if one.case is not None:
            ground_frac = yield_frac(one.case.expected_yield_bu_ac)
            kinds[one.block].append((one.case.mixture, ground_frac, one.case.track_loss_bu_ac))
    return tuple(
        Said("zones.one_response", block=block)
        for block, of_zone in kinds.items()
        if len(of_zone) > 1 and len(set(of_zone)) == 1
    )


def not_known(zones: tuple[OfferedZone, ...], basis: Basis) -> tuple[Said, ...]:
    """Say once of each thing that moves the response that it was asked for, and nothing said it."""
    said = []
    if any(one.case is not None and one.case.expected_yield_bu_ac == inf for one in zones):
        said.append(Said("offers.no_yield"))
    if basis.settings.effects.rain and basis.response.source == "pooled trials":
        # a severity says more than the season does, and takes its place
        asked = [
            one
            for one in zones
            if one.driver and (one.driver.seen_pct, one.driver.severity_pct) == (None, None)
        ]
        r3_day = {one.block: _r3_day(one.case.stage) for one in asked if one.case is not None}
        blocks = [
            one.name
            for one in basis.given.blocks
            if one.name in r3_day
            and rain.is_missing(basis.given.weather, one.planted, _rain_until(r3_day[one.name], basis))
        ]
        if blocks:
            years = number("returns.rain_least_years")
            said.append(Said("offers.rain_not_known", blocks=", ".join(blocks), years=years))
    return tuple(said)


def _r3_day(stage: StageDraws) -> float:
    return float(np.median(stage.of("R3")))
