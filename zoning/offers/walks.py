"""What a field gives to weigh walks with, and the walks of a plan: where a count is worth the way.

Ranks nothing over a farm; who may enter a field, and when, is told from outside.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
import shapely

from zoning.evidence import number
from zoning.inputs import done
from zoning.offers.offered import Offer, OfferedZone
from zoning.passes.entering import first_day
from zoning.passes.walk import Walk, WalkZone, most_usd, weigh
from zoning.plan import PlanWalk
from zoning.returns.by_stage import ByStage, by_stage
from zoning.settings.model import Settings
from zoning.units import date_from_day
from zoning.words import Said

INFORMED_USD_AC = 0.05  # method: a gain that prints as 0.0 informs no decision
_MOST = 3  # walks of a plan: more places are a tour and no advice
# drawn counts may gain a little more than a whole knowledge of the stages: their sample is another
_SAMPLES_APART = 2


def may_enter(settings: Settings, today: date) -> tuple[int | None, Said | None]:
    """Say from which day on a field may be walked, None where nobody can say, and what keeps people out."""
    return first_day(done.of_field(settings), settings.product, today)


def walk_zones(offer: Offer, enter_day: int | None, field: str) -> list[WalkZone]:
    """Give the dated zones of a field to be weighed; zones with the same options share them.

    Parameters
    ----------
    offer : Offer
        Of the field.
    enter_day : int or None
        From which day on somebody may walk there, as from `may_enter`. [day number]
    field : str
        The name under which its places go, other than that of any field beside it.
    """
    shared: dict[tuple[object, ...], ByStage] = {}
    return [
        WalkZone(
            spot=replace(zone.spot, place=replace(zone.spot.place, field=field)),
            area_ac=zone.area_ac,
            options=_options(offer, row, shared),
            first_day=enter_day,
        )
        for row, zone in enumerate(offer.zones)
        if zone.spot is not None
    ]


def _options(offer: Offer, row: int, shared: dict[tuple[object, ...], ByStage]) -> ByStage | None:
    case, options = offer.zones[row].case, offer.options
    decided = (offer.decisions or {}).get(offer.zones[row].zone)
    if case is None or options is None or (decided is not None and decided.action == "skip"):
        return None  # no count changes what is done there
    is_open = ~np.isnan(options.priced.net_usd_ac[row])
    key = (
        id(case.stage),
        case.mixture,
        case.curve,
        case.expected_yield_bu_ac,
        case.track_loss_bu_ac,
        case.volume_matters,
        is_open.tobytes(),
    )
    if key not in shared:
        priced = options.priced
        shared[key] = by_stage(case, priced.days, priced.volumes_gal_ac, options.terms, is_open)
    return shared[key]


def inside(zone: OfferedZone) -> tuple[float, float]:
    """Longitude and latitude of a place well inside a zone."""
    place = shapely.Point(shapely.maximum_inscribed_circle(zone.outline).coords[0])
    place = place if zone.outline.contains(place) else zone.outline.representative_point()
    return round(place.x, 5), round(place.y, 5)


def of_plan(offer: Offer, seed: int) -> tuple[PlanWalk, ...]:
    """Give the walks of a field that gain more than the way costs, the best first; none without money.

    Parameters
    ----------
    offer : Offer
        With the options of the sprayer that stands first, as `sprayworth scout` weighs them.
    seed : int
        Of the counts that are drawn.

    Returns
    -------
    tuple of PlanWalk
        What `sprayworth scout` says of the field by itself. What a count tells of other fields of the farm is
        left out: that would be weighed among all of them.
    """
    if offer.settings is None or offer.options is None:
        return ()
    enter_day, _ = may_enter(offer.settings, offer.today)
    zones = walk_zones(offer, enter_day, offer.field)
    least_usd = number("passes.walk_worth_usd")
    if _SAMPLES_APART * most_usd(zones) < least_usd:
        return ()
    dated = [one for one in offer.zones if one.spot is not None]
    found = [
        _walk(dated, row, walk)
        for row, walk in enumerate(weigh(zones, seed))
        if walk is not None and walk.day is not None and (walk.usd or 0.0) > least_usd
    ]
    return tuple(sorted(found, key=lambda one: (-one.usd, one.zone))[:_MOST])


def _walk(zones: Sequence[OfferedZone], row: int, walk: Walk) -> PlanWalk:
    if walk.day is None or walk.plants is None or walk.usd is None:
        raise ValueError("a walk that changes nothing has no place in a plan")
    lon, lat = inside(zones[row])
    return PlanWalk(
        zone=zones[row].zone,
        lon=lon,
        lat=lat,
        day=date_from_day(float(walk.day)),
        plants=walk.plants,
        usd=walk.usd,
        informs=tuple(zones[at].zone for at, usd_ac in walk.informs if usd_ac >= INFORMED_USD_AC),
    )
