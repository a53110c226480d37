"""The passes of a plan: what they do in which half-day, until when they are due, their load sheets."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from zoning.inputs import area
from zoning.offers.offered import Offer
from zoning.passes.loads.filling import load_sheet
from zoning.passes.loads.sheet import LoadSheet
from zoning.passes.problem import Chosen, Visit
from zoning.passes.sections import SectionCover, section_cover
from zoning.plan import Area, PlanPass, PlanTreatment, PlanZone
from zoning.settings.model import Sprayer
from zoning.units import date_from_day
from zoning.words import Said


def planned_passes(
    offer: Offer, chosen: Chosen, zones: Sequence[PlanZone], treatment: PlanTreatment | None
) -> tuple[PlanPass, ...]:
    """Give the passes of a field.

    Parameters
    ----------
    offer : Offer
        As the sprayer that was chosen makes it.
    chosen : Chosen
    zones : sequence of PlanZone
        Decided.
    treatment : PlanTreatment or None
        What the machine is to treat, where it does not follow the zones.
    """
    return tuple(_pass(visit, offer, zones, treatment) for visit in chosen.visits)


def volume_notes(passes: Sequence[PlanPass]) -> tuple[Said, ...]:
    """Say which passes from the air spray less than is usual: their load sheets say it too."""
    return tuple(
        Said("offers.of_pass", number=one.number, why=note.text)
        for one in passes
        for note in (one.sheet.notes if one.sheet is not None else ())
        if note.code == "loads.little_by_air"
    )


def _pass(visit: Visit, offer: Offer, zones: Sequence[PlanZone], treatment: PlanTreatment | None) -> PlanPass:
    mine = [one for one in zones if one.zone in visit.zones]
    day = date_from_day(float(visit.day))
    lead_time_d, notice_d = _ahead_d(offer)
    sheet = _sheet(visit, offer, mine, treatment)
    return PlanPass(
        number=visit.number,
        sprayer=visit.sprayer,
        day=day,
        half=visit.half,
        rate_gal_ac=visit.volume_gal_ac,
        area_ac=visit.area_ac,
        loads=sheet.loads if sheet is not None else visit.loads,  # overage may make one more
        visit_costs_usd=visit.visit_costs_usd,
        zones=visit.zones,
        later_usd=_later_usd(mine),
        parts=visit.parts,
        due=min((one.spray_by for one in mine if one.spray_by is not None), default=None),
        order_by=day - timedelta(days=lead_time_d) if lead_time_d else None,
        call_by=day - timedelta(days=notice_d) if notice_d else None,
        sheet=sheet,
    )


def _ahead_d(offer: Offer) -> tuple[int, int]:
    """Days that product and applicator want; 0 where none."""
    if offer.settings is None:
        return 0, 0
    return offer.settings.schedule.lead_time_d, offer.settings.schedule.notice_d


def _sheet(
    visit: Visit, offer: Offer, mine: Sequence[PlanZone], treatment: PlanTreatment | None
) -> LoadSheet | None:
    """Work out the load sheet; None for an offer that was made without settings."""
    if offer.settings is None or offer.options is None or not offer.options.reaches:
        return None
    [at] = [one for one in offer.options.reaches if one.volume_gal_ac == visit.volume_gal_ac]
    [sprayer] = [one for one in offer.settings.sprayers if one.name == visit.sprayer]
    treated_ac, treated_m = None, [one.outline_m for one in offer.zones if one.zone in visit.zones]
    if treatment is not None:
        parts = [outline for outline, number in treatment.parts if number == visit.number]
        treated_ac = math.fsum(area.geodesic_ac(outline) for outline in parts)
        treated_m = [area.from_lonlat(outline, offer.epsg) for outline in parts]
    sheet = load_sheet(
        {one.zone: one.area_ac for one in mine},
        at,
        sprayer,
        offer.settings,
        treated_ac=treated_ac,
        applied=max(one.applied for one in offer.zones if one.zone in visit.zones),
    )
    return replace(sheet, cover=_cover(offer, treated_m, sprayer))


def _cover(offer: Offer, treated_m: Sequence[Area], sprayer: Sprayer) -> SectionCover | None:
    """Say what the sprayer's sections do along the edges; setbacks close them, dead ground does not."""
    if offer.heading is None:
        return None
    return section_cover(
        treated_m,
        [one.outline_m for one in offer.zones],
        [one.outline for one in offer.no_spray if one.kind == "setback"],
        offer.heading.deg,
        sprayer.boom_m,
        sprayer.sections,
    )


def _later_usd(zones: Sequence[PlanZone]) -> tuple[float, ...]:
    """Add up what the zones of a pass return less, or more, with each day that it is later."""
    of_zones = [
        one.area_ac * (np.array(one.money.delay.net_usd_ac[1:]) - one.money.delay.net_usd_ac[0])
        for one in zones
        if one.money is not None and one.money.delay is not None
    ]
    length = min((len(one) for one in of_zones), default=0)
    return tuple(float(sum(one[day] for one in of_zones)) for day in range(length))
