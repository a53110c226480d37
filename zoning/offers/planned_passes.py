"""The passes of a plan: what they do in which half-day, until when they are due, their load sheets."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from zoning.inputs import area
from zoning.inputs.given import NoSpray
from zoning.offers.offered import Offer
from zoning.passes.following import Ground, not_followed
from zoning.passes.loads.filling import load_sheet
from zoning.passes.problem import Chosen, Visit
from zoning.passes.sections import SectionCover, section_cover
from zoning.plan import Area, Plan, PlanPass, PlanZone
from zoning.settings.model import Sprayer
from zoning.units import date_from_day
from zoning.words import Said


def planned_passes(offer: Offer, chosen: Chosen, zones: Sequence[PlanZone]) -> tuple[PlanPass, ...]:
    """Give the passes of a field, as yet without maps and load sheets.

    Parameters
    ----------
    offer : Offer
        As the sprayer that was chosen makes it.
    chosen : Chosen
    zones : sequence of PlanZone
        Decided.
    """
    return tuple(_pass(visit, offer, zones) for visit in chosen.visits)


def with_sheets(plan: Plan, offer: Offer, chosen: Chosen | None) -> Plan:
    """Give the passes of a plan their load sheets, for the ground that their maps treat.

    Parameters
    ----------
    plan : Plan
        With the maps of its passes.
    offer : Offer
        As the sprayer that was chosen makes it.
    chosen : Chosen or None
    """
    visits = chosen.visits if chosen is not None else ()
    visit_of = {visit.number: visit for visit in visits}
    made = [_with_sheet(one, visit_of[one.number], offer, plan) for one in plan.passes]
    passes = tuple(one for one, _ in made)
    doubts = tuple(doubt for _, doubts in made for doubt in doubts)
    return replace(plan, passes=passes, notes=(*plan.notes, *volume_notes(passes), *doubts))


def volume_notes(passes: Sequence[PlanPass]) -> tuple[Said, ...]:
    """Say which passes from the air spray less than is usual: their load sheets say it too."""
    return tuple(
        Said("offers.of_pass", number=one.number, why=note.text)
        for one in passes
        for note in (one.sheet.notes if one.sheet is not None else ())
        if note.code == "loads.little_by_air"
    )


def _pass(visit: Visit, offer: Offer, zones: Sequence[PlanZone]) -> PlanPass:
    mine = [one for one in zones if one.zone in visit.zones]
    day = date_from_day(float(visit.day))
    lead_time_d, notice_d = _ahead_d(offer)
    return PlanPass(
        number=visit.number,
        sprayer=visit.sprayer,
        day=day,
        half=visit.half,
        rate_gal_ac=visit.volume_gal_ac,
        area_ac=visit.area_ac,
        loads=visit.loads,
        visit_costs_usd=visit.visit_costs_usd,
        zones=visit.zones,
        later_usd=_later_usd(mine),
        parts=visit.parts,
        due=min((one.spray_by for one in mine if one.spray_by is not None), default=None),
        order_by=day - timedelta(days=lead_time_d) if lead_time_d else None,
        call_by=day - timedelta(days=notice_d) if notice_d else None,
    )


def _ahead_d(offer: Offer) -> tuple[int, int]:
    """Days that product and applicator want; 0 where none."""
    if offer.settings is None:
        return 0, 0
    return offer.settings.schedule.lead_time_d, offer.settings.schedule.notice_d


def _with_sheet(one: PlanPass, visit: Visit, offer: Offer, plan: Plan) -> tuple[PlanPass, tuple[Said, ...]]:
    """Work out the load sheet, and what of the map is not followed; nothing for an offer without settings."""
    if offer.settings is None or offer.options is None or not offer.options.reaches:
        return one, ()
    [at] = [each for each in offer.options.reaches if each.volume_gal_ac == visit.volume_gal_ac]
    [sprayer] = [each for each in offer.settings.sprayers if each.name == visit.sprayer]
    mine = [each for each in offer.zones if each.zone in visit.zones]
    parts_m = [(area.from_lonlat(part.outline, offer.epsg), part.rate_gal_ac) for part in one.map.parts]
    treated_ac, treated_m = None, [each.outline_m for each in mine]
    if plan.treatment is not None or plan.strips is not None or one.map.fitted is not None:
        treated_ac = one.map.treated_ac
        treated_m = [outline for outline, rate_gal_ac in parts_m if rate_gal_ac > 0]
    sheet = load_sheet(
        {each.zone: each.area_ac for each in mine},
        at,
        sprayer,
        offer.settings,
        treated_ac=treated_ac,
        applied=max(each.applied for each in mine),
    )
    sheet = replace(sheet, cover=_cover(offer, treated_m, sprayer))
    ground = Ground(
        parts=parts_m, crop=[each.outline_m for each in offer.zones], closed=_setbacks_m(offer.no_spray)
    )
    not_done, doubts = not_followed(ground, offer.heading, sprayer, at)
    # overage may make one more load
    one = replace(one, sheet=sheet, loads=sheet.loads, map=replace(one.map, not_followed=not_done))
    warned = [Said("prescription.readme_not_followed", why=said.text) for said in not_done]
    told = [Said("offers.of_pass", number=one.number, why=said.text) for said in (*warned, *doubts)]
    return one, tuple(told)


def _setbacks_m(no_spray: Sequence[NoSpray]) -> list[Area]:
    """Give what closes sections: setbacks do, dead ground does not."""
    return [one.outline for one in no_spray if one.kind == "setback"]


def _cover(offer: Offer, treated_m: Sequence[Area], sprayer: Sprayer) -> SectionCover | None:
    """Say what the sprayer's sections do along the edges."""
    if offer.heading is None:
        return None
    return section_cover(
        treated_m,
        [one.outline_m for one in offer.zones],
        _setbacks_m(offer.no_spray),
        offer.heading,
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
