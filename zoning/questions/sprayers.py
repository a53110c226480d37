"""What each sprayer of a farm can do at each carrier volume: machine and label together."""

from dataclasses import replace
from itertools import combinations
from pathlib import Path

from zoning.evidence import number
from zoning.passes.label import allowed_volumes
from zoning.settings.fleet import Fleet, load_fleet
from zoning.settings.keys import keys
from zoning.settings.model import Product, Sprayer
from zoning.show.sprayers import Able, AtVolume, Pair, SprayersAnswer
from zoning.sprayer import travel
from zoning.sprayer.capacity import driving_ac_h
from zoning.sprayer.reach import Reach, nozzle_at, reach
from zoning.sprayer.remedies import by_pressure
from zoning.sprayer.smallest import footprint, rate_footprint, smallest_rate_zone_ac, smallest_zone_ac, step_m
from zoning.sprayer.turndown import most_ratio, one_speed_for
from zoning.units import per_min_from_per_h
from zoning.words import Said, cautions

_OF_GROUND = ("nozzle", "nozzle_spacing", "pressure", "tracks_exist")
_FORBIDDEN = ("passes.not_by_air", "passes.not_by_drone", "passes.no_air_minimum")


def sprayers_of(folder: Path) -> SprayersAnswer:
    """Say what the sprayers of a farm or of a field can do.

    Parameters
    ----------
    folder : Path
        A farm needs no fields, no product and no prices for this.

    Raises
    ------
    InputError
        Code 2, where a sprayer cannot be.
    """
    fleet = load_fleet(folder)
    return SprayersAnswer(
        name=fleet.name or fleet.farm_name,
        metric=fleet.units == "metric",
        droplet=None if fleet.product is None else fleet.product.droplet,
        min_area_ac=fleet.zones.min_area_ac,
        steps=number("sprayer.steps_in_a_zone"),
        sprayers=tuple(_able(one, fleet.carrier.volumes_gal_ac, fleet.product) for one in fleet.sprayers),
        notes=_notes(fleet),
    )


def _notes(fleet: Fleet) -> tuple[Said, ...]:
    said = []
    if not fleet.sprayers:
        asked = [key.name for key in keys().values() if key.table == "sprayer" and key.kind == "asked"]
        said.append(Said("sprayer.none_given", asked=", ".join(asked), ground=", ".join(_OF_GROUND)))
    if fleet.product is None:
        said.append(Said("sprayer.no_label"))
    if not fleet.volumes_given:
        said.append(Said("sprayer.usual_volumes"))
    if fleet.fields_apart:
        said.append(Said("sprayer.fields_apart", fields=", ".join(fleet.fields_apart)))
    said += travel.notes(fleet.sprayers)
    said.append(Said("sprayer.caution", caution=cautions(fleet.country)[0]))
    return tuple(said)


def _able(sprayer: Sprayer, volumes_gal_ac: tuple[float, ...], product: Product | None) -> Able:
    reaches = reach(sprayer, volumes_gal_ac)
    volumes = tuple(_at_volume(sprayer, at, product) for at in reaches)
    top_mph = sprayer.speed_mph[1]
    forbidden = (said for at in volumes for said in at.refused if said.code in _FORBIDDEN)
    return Able(
        sprayer=sprayer,
        volumes=volumes,
        on_off_m=footprint(sprayer),
        on_off_ac=smallest_zone_ac(sprayer),
        on_off_step_m=step_m(top_mph, sprayer.section_lag_s),
        rate_m=rate_footprint(sprayer),
        rate_ac=smallest_rate_zone_ac(sprayer),
        rate_step_m=step_m(top_mph, sprayer.rate_lag_s),
        most_ratio=most_ratio(sprayer),
        pairs=_pairs(sprayer, reaches),
        forbidden=next(forbidden, None),
    )


def _at_volume(sprayer: Sprayer, at: Reach, product: Product | None) -> AtVolume:
    by_label = None if product is None else _label_reason(product, sprayer, at)
    at_slowest = spraying_min = None
    if at.slowest_mph is not None and at.speed_mph is not None:
        _, psi, duty = nozzle_at(sprayer, at.volume_gal_ac, at.slowest_mph)
        at_slowest = duty if psi is None else psi
        driving = driving_ac_h(at.speed_mph, sprayer.boom_m, sprayer.efficiency_frac)
        spraying_min = at.acres_per_load / per_min_from_per_h(driving)
    return AtVolume(
        reach=at,
        at_slowest=at_slowest,
        spraying_min=spraying_min,
        label_allows=None if product is None else by_label is None,
        refused=tuple(said for said in (at.why_not, by_label) if said is not None),
        would_do=None if at.reachable else by_pressure(sprayer, at.volume_gal_ac),
    )


def _label_reason(product: Product, sprayer: Sprayer, at: Reach) -> Said | None:
    """Say why the label refuses a volume, whatever the machine reaches."""
    _, reasons = allowed_volumes(product, sprayer, (replace(at, why_not=None),))
    return next(iter(reasons), None)


def _pairs(sprayer: Sprayer, reaches: tuple[Reach, ...]) -> tuple[Pair, ...]:
    """Pair the volumes that are reached, smaller first."""
    reached = {at.volume_gal_ac: at for at in reaches if at.reachable}
    return tuple(
        Pair(low=reached[low], high=reached[high], speeds_mph=one_speed_for(sprayer, low, high))
        for low, high in combinations(sorted(reached), 2)
    )
