"""From the inputs to what the zones are drawn on, and from the drawn zones to the zones of an offer."""

from collections.abc import Sequence

from zoning.inputs import area
from zoning.inputs.given import FieldInputs
from zoning.offers.offered import OfferedZone
from zoning.settings.model import Settings
from zoning.sprayer import smallest
from zoning.stage.counted import SpotStage
from zoning.words import Said
from zoning.zones.doubts import zones_said
from zoning.zones.quality import Quality
from zoning.zones.zoning import Footprint, Ground, Limits, Zone, Zoning


def ground_of(given: FieldInputs) -> Ground:
    """Take from the inputs what the zones are drawn on."""
    return Ground(
        grid=given.grid,
        inside=given.inside,
        fit=given.fit,
        block_of_cell=given.block_of_cell,
        block_outlines=tuple(block.outline for block in given.blocks),
    )


def limits_of(settings: Settings, given: FieldInputs) -> Limits:
    """Say how many zones a block may have and how small they may be: for the user and for the machine."""
    # of several sprayers the plan uses the first
    machine_ac = max((smallest.smallest_zone_ac(one) for one in settings.sprayers[:1]), default=0.0)
    return Limits(
        max_zones_per_block=settings.zones.max_zones_per_block,
        min_area_ac=max(settings.zones.min_area_ac, machine_ac),
        footprint=_footprint(settings, given),
    )


def _footprint(settings: Settings, given: FieldInputs) -> Footprint | None:
    """Say which rectangle the first sprayer can treat by itself, and how it lies."""
    if not settings.sprayers:
        return None
    across_m, along_m = smallest.footprint(settings.sprayers[0])
    return Footprint(across_m=across_m, along_m=along_m, heading_deg=given.heading.deg)


def offered(
    zoning: Zoning, given: FieldInputs, stages: Sequence[SpotStage | None]
) -> tuple[OfferedZone, ...]:
    """Give the zones with their place, size and stage; `stages` has one entry for each zone."""
    return tuple(_offered(zone, given, stage) for zone, stage in zip(zoning.zones, stages, strict=True))


def _offered(zone: Zone, given: FieldInputs, spot: SpotStage | None) -> OfferedZone:
    block = given.blocks[zone.block]
    outline = area.to_lonlat(zone.outline, given.grid.epsg)
    return OfferedZone(
        zone=zone.number,
        name=zone.name,
        kept=zone.kept,
        block=block.name,
        outline=outline,
        outline_m=zone.outline,
        area_ac=area.geodesic_ac(outline),
        planted=block.planted,
        maturity_group=block.maturity_group,
        stage=spot.draws if spot is not None else None,
        spot=spot,
    )


def doubts(quality: Quality | None, zones: Sequence[OfferedZone], given: FieldInputs) -> tuple[Said, ...]:
    """Say which zones should not be trusted too far, where they were measured."""
    if quality is None:
        return ()
    return zones_said(quality, [block.name for block in given.blocks], [_called(one) for one in zones])


def _called(one: OfferedZone) -> str:
    return f"{one.zone} ({one.name})" if one.name else str(one.zone)


def undated(zones: Sequence[OfferedZone]) -> tuple[Said, ...]:
    """Say once in which blocks R3 is not known; without it nothing can be priced."""
    blocks = dict.fromkeys(one.block for one in zones if one.stage is None)
    return (Said("offers.no_dates", blocks=", ".join(blocks)),) if blocks else ()
