"""What makes the zones of a field differ: scouted pressure, expected yield, wheel tracks, canopy."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from zoning.errors import SETTINGS, InputError
from zoning.inputs.given import FieldInputs, Sighting
from zoning.inputs.grid import Grid
from zoning.offers.offered import OfferedZone
from zoning.returns.draws import response_draws
from zoning.returns.factors import volume_matters, yield_frac
from zoning.returns.rain import rain_class
from zoning.returns.reasons import Driver
from zoning.returns.response import Place, curve_for, mixture_for, sources
from zoning.returns.terms import ZoneCase
from zoning.returns.tracks import loss_frac
from zoning.settings.model import Response, Settings, Source, Sprayer
from zoning.units import date_from_day
from zoning.words import Said
from zoning.zones.zoning import Zone, Zoning

ALL_SOURCES: tuple[Source, ...] = ("pooled trials", "practice series", "own trials")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """What the zones are priced on: settings and inputs of their field, and the chosen sprayer if any."""

    settings: Settings
    response: Response
    sprayer: Sprayer | None
    given: FieldInputs
    zoning: Zoning
    seed: int


def with_cases(zones: tuple[OfferedZone, ...], ground: Ground) -> tuple[OfferedZone, ...]:
    """Give every zone its case, under the chosen response source and under the others."""
    seen = last_sightings(ground.given.sightings, ground.zoning, ground.given.grid)
    drawn = zip(zones, ground.zoning.zones, strict=True)
    return tuple(_with_case(offered, zone, seen.get(zone.number), ground) for offered, zone in drawn)


def last_sightings(sightings: tuple[Sighting, ...], zoning: Zoning, grid: Grid) -> Mapping[int, Sighting]:
    """Find the sighting that speaks for each zone: the latest; of one day, the one that names the most.

    Returns
    -------
    mapping of int to Sighting
        By zone number; zones that nobody walked are not in it.
    """
    rank = ("unknown", "low", "medium", "high", "seen")
    latest: dict[int, Sighting] = {}
    for one in sightings:
        row = int((grid.top_m - one.north_m) // grid.cell_m)
        column = int((one.east_m - grid.left_m) // grid.cell_m)
        if not (0 <= row < grid.shape[0] and 0 <= column < grid.shape[1]):
            continue
        zone = int(zoning.number_of_cell[row, column])
        before = latest.get(zone)
        if zone and (
            before is None or (one.on, rank.index(one.pressure)) > (before.on, rank.index(before.pressure))
        ):
            latest[zone] = one
    return latest


def _with_case(offered: OfferedZone, zone: Zone, seen: Sighting | None, ground: Ground) -> OfferedZone:
    place = _place(offered, zone, seen, ground)
    expected_bu_ac = _expected_yield_bu_ac(zone, ground)
    track_loss_bu_ac = _track_loss_bu_ac(zone, expected_bu_ac, ground)
    response, sprayer = ground.response, ground.sprayer
    canopy = ground.settings.canopy

    def case(source: Source) -> ZoneCase:
        mixture = mixture_for(source, response, place)
        draws = response_draws(
            mixture,
            seed=ground.seed,
            field=ground.settings.name,
            zone=zone.number,
            draws=offered.stage.begin_day.shape[0],
        )
        return ZoneCase(
            zone=zone.number,
            area_ac=offered.area_ac,
            mixture=mixture,
            response_draws_bu_ac=draws,
            curve=curve_for(source, response),
            stage=offered.stage,
            expected_yield_bu_ac=expected_bu_ac,
            track_loss_bu_ac=track_loss_bu_ac,
            volume_matters=sprayer is not None and volume_matters(place.pressure, canopy, sprayer.kind),
        )

    can_be_asked = sources(response)
    by_source: dict[str, ZoneCase | None] = {
        source: case(source) if source in can_be_asked else None for source in ALL_SOURCES
    }
    driver = Driver(
        source=response.source,
        pressure=place.pressure,
        seen_on=seen.on if seen else None,
        cause=place.cause,
        metric=ground.settings.units == "metric",
    )
    return replace(offered, case=by_source[response.source], driver=driver, cases_by_source=by_source)


def _place(offered: OfferedZone, zone: Zone, seen: Sighting | None, ground: Ground) -> Place:
    """Say what moves the response of a zone; rain counts from planting to R3, or to the last day known."""
    planted, weather = ground.given.blocks[zone.block].planted, ground.given.weather
    until = float(np.median(offered.stage.of("R3")))
    if weather is not None and weather.day.size:
        until = min(until, float(weather.day[-1]))
    return Place(
        pressure=seen.pressure if seen else ground.response.pressure,
        cause=seen.cause if seen else "",
        groups=len(ground.settings.product.groups) if ground.settings.product else 0,
        rain=rain_class(weather, planted, date_from_day(until)),
    )


def _track_loss_bu_ac(zone: Zone, expected_bu_ac: float, ground: Ground) -> float:
    """Crop pressed down on a driven acre; needs a yield only where new tracks are made."""
    if ground.sprayer is None:
        return 0.0
    planted = ground.given.blocks[zone.block].planted
    row_spacing_m = ground.settings.row_spacing_m
    loss = loss_frac(ground.sprayer, row_spacing_m, planted, ground.given.latitude_deg)
    if loss > 0 and expected_bu_ac == inf:
        raise InputError(
            "expected_yield is missing, and this pass presses new wheel tracks into the crop",
            where="field.toml",
            mend='Add expected_yield = "58 bu/ac" (your figure), or a yield layer.',
            code=SETTINGS,
        )
    return loss * expected_bu_ac if loss > 0 else 0.0


def _expected_yield_bu_ac(zone: Zone, ground: Ground) -> float:
    """Mean of the yield layer in the zone, else the block's, else the field's; infinite where not known."""
    layer = ground.given.yield_bu_ac
    if layer is not None:
        values = layer[ground.zoning.number_of_cell == zone.number]
        known = values[~np.isnan(values)]
        if known.size:
            return float(known.mean())
    block = ground.given.blocks[zone.block].expected_yield_bu_ac
    field = ground.settings.expected_yield_bu_ac
    return next((one for one in (block, field) if one is not None), inf)


def alike(zones: tuple[OfferedZone, ...]) -> tuple[Said, ...]:
    """Say of each block with several zones that nothing makes their responses differ, where that is so."""
    by_block: dict[str, set[object]] = {}
    count: dict[str, int] = {}
    for one in zones:
        if one.case is None:
            continue
        makes_it = (one.case.mixture, yield_frac(one.case.expected_yield_bu_ac), one.case.track_loss_bu_ac)
        by_block.setdefault(one.block, set()).add(makes_it)
        count[one.block] = count.get(one.block, 0) + 1
    return tuple(
        Said("zones.one_response", block=block)
        for block, kinds in by_block.items()
        if count[block] > 1 and len(kinds) == 1
    )


def not_known(zones: tuple[OfferedZone, ...]) -> tuple[Said, ...]:
    """Say once that no expected yield was given, where it was asked for and nothing said it."""
    unknown = [one.zone for one in zones if one.case is not None and one.case.expected_yield_bu_ac == inf]
    return (Said("offers.no_yield"),) if unknown else ()
