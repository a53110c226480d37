"""From an offer and the chosen passes to the plan. Every figure is one reduction of the zone's own draws."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from zoning.offers.offered import Offer, OfferedZone, Options
from zoning.offers.provenance import zones_id
from zoning.passes.driven import driven_anyway_frac
from zoning.passes.problem import Chosen, Visit
from zoning.passes.skipped import why_skipped
from zoning.plan import Plan, PlanPass, PlanZone, SourceReturn, Totals, ZoneMoney
from zoning.returns import reasons
from zoning.returns.price import best_option, price, settle, spray_window
from zoning.returns.terms import ZoneCase, ZoneReturn
from zoning.stage.forecast import window
from zoning.units import date_from_day, ha_from_ac
from zoning.words import Said, cautions


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Decided:
    """One zone decided: its pass if it has one, and what it returns there or at the best option it had."""

    visit: Visit | None
    settled: ZoneReturn | None
    from_to: tuple[int, int] | None
    why: Said


def settle_offer(offer: Offer, chosen: Chosen | None) -> Plan:
    """Make the plan of a field.

    Parameters
    ----------
    offer : Offer
        The field's zones and priced options.
    chosen : Chosen or None
        Its passes; None at level 1.

    Returns
    -------
    Plan
        At level 1 with windows only, at level 2 with returns and actions, at level 3 with passes.
    """
    options = offer.options
    decided: Mapping[int, _Decided] = {}
    if options is not None and chosen is not None:
        decided = _decide(offer.zones, options, chosen)
    zones = tuple(_plan_zone(one, decided.get(one.zone), options, offer) for one in offer.zones)
    visits = chosen.visits if chosen is not None and offer.level > 2 else ()
    return Plan(
        run_id=offer.provenance.run_id,
        zones_id=zones_id([one.outline_m for one in offer.zones]),
        field=offer.field,
        farm=offer.farm,
        today=offer.today,
        epsg=offer.epsg,
        units=offer.units,
        country=offer.country,
        level=offer.level,
        boundary=offer.boundary,
        area_ac=offer.area_ac,
        schedule="alone",
        zones=zones,
        passes=tuple(_plan_pass(one) for one in visits),
        totals=_totals(zones, chosen) if chosen is not None else None,
        notes=(*offer.notes, *_notes(zones, chosen, offer)),
        cautions=cautions(offer.country),
        product=offer.product,
    )


def _decide(zones: tuple[OfferedZone, ...], options: Options, chosen: Chosen) -> dict[int, _Decided]:
    visit_of = {zone: visit for visit in chosen.visits for zone in visit.zones}
    not_visited = why_skipped(options.problem, options.machine, chosen)
    anyway_frac = driven_anyway_frac(
        options.problem, np.array([zone in visit_of for zone in options.problem.zones], dtype=np.bool_)
    )
    decided = {}
    for row, one in enumerate(zones):
        if one.case is None or one.driver is None:
            raise ValueError(f"zone {one.zone} has options but no case")
        visit = visit_of.get(one.zone)
        column, settled, case = _settled(one.case, row, (visit, float(anyway_frac[row])), options)
        if settled is None:
            decided[one.zone] = _Decided(visit=None, settled=None, from_to=None, why=Said("offers.no_day"))
            continue
        lost_usd_ac = (case.track_loss_bu_ac - one.case.track_loss_bu_ac) * options.terms[column].price_usd_bu
        by_day = options.priced.net_usd_ac[row, :, column] - lost_usd_ac
        why = reasons.reason(settled, case, one.driver, options.terms[column])
        if visit is None and settled.worth_it:
            why = not_visited.get(one.zone, why)
        elif case is not one.case:
            why = Said("offers.driven_anyway", share=100 * anyway_frac[row], why=why.text)
        decided[one.zone] = _Decided(
            visit=visit, settled=settled, from_to=spray_window(by_day, options.priced.days), why=why
        )
    return decided


def _settled(
    case: ZoneCase, row: int, where: tuple[Visit | None, float], options: Options
) -> tuple[int, ZoneReturn | None, ZoneCase]:
    """Settle a zone at its pass (a pass of several days: at its middle), else at its best option.

    Where the rule does not want the zone with all of its own wheel tracks, it is judged at the cost that is
    still avoidable: tracks on ground that the other zones make the machine drive anyway are none of it.
    """
    visit, anyway_frac = where
    volumes = options.priced.volumes_gal_ac
    if visit is not None:
        day = (visit.day + visit.last_day) // 2
        volume = visit.volume_gal_ac if volumes else None
    else:
        best = best_option(options.priced, row)
        if best is None:
            return 0, None, case
        day, volume = best
    column = volumes.index(volume) if volume is not None else 0
    settled = settle(case, day, volume, options.terms[column])
    if not settled.worth_it and case.track_loss_bu_ac * anyway_frac > 0:
        case = replace(case, track_loss_bu_ac=case.track_loss_bu_ac * (1 - anyway_frac))
        settled = settle(case, day, volume, options.terms[column])
    return column, settled, case


def _plan_zone(one: OfferedZone, decided: _Decided | None, options: Options | None, offer: Offer) -> PlanZone:
    visit = decided.visit if decided is not None else None
    passed = visit if offer.level > 2 else None
    money = None
    if decided is not None and decided.settled is not None and options is not None:
        money = _money(decided.settled, _by_source(one, options))
    days = decided.from_to if decided is not None else None
    return PlanZone(
        zone=one.zone,
        block=one.block,
        outline=one.outline,
        area_ac=one.area_ac,
        planted=one.planted,
        maturity_group=one.maturity_group,
        window=window(one.stage),
        spray_from=date_from_day(days[0]) if days else None,
        spray_by=date_from_day(days[1]) if days else None,
        action=None if decided is None else ("spray" if visit is not None else "skip"),
        rate_gal_ac=passed.volume_gal_ac if passed else None,
        pass_number=passed.number if passed else None,
        spray_on=_date(passed.day) if passed else None,
        provisional=True,  # until a count pins the stage; counts come with a later part
        money=money,
        reason=decided.why if decided is not None else Said("offers.stage_only"),
    )


def _date(day: int) -> date:
    return date_from_day(float(day))


def _money(settled: ZoneReturn, by_source: Mapping[str, SourceReturn | None]) -> ZoneMoney:
    return ZoneMoney(
        net_mean_usd_ac=settled.net_mean_usd_ac,
        net_p10_usd_ac=settled.net_p10_usd_ac,
        net_p90_usd_ac=settled.net_p90_usd_ac,
        chance_pays=settled.chance_frac,
        break_even_price_usd_bu=settled.break_even_price_usd_bu,
        break_even_response_bu_ac=settled.break_even_response_bu_ac,
        response_mean_bu_ac=settled.response_mean_bu_ac,
        response_sd_bu_ac=settled.response_sd_bu_ac,
        by_source=by_source,
    )


def _by_source(one: OfferedZone, options: Options) -> dict[str, SourceReturn | None]:
    """Say what each response source would do with the zone on the best day that the label leaves open."""
    row = options.priced.zones.index(one.zone)
    open_days = options.priced.days[~np.isnan(options.priced.net_usd_ac[row]).all(axis=1)]
    answers: dict[str, SourceReturn | None] = {}
    for source, case in (one.cases_by_source or {}).items():
        best = None
        if case is not None and open_days.size:
            priced = price([case], open_days, options.priced.volumes_gal_ac, options.terms)
            best = best_option(priced, 0)
        if case is None or best is None:
            answers[source] = None
            continue
        column = options.priced.volumes_gal_ac.index(best[1]) if best[1] is not None else 0
        there = settle(case, best[0], best[1], options.terms[column])
        answers[source] = SourceReturn(
            action="spray" if there.worth_it else "skip",
            net_usd_ac=there.net_mean_usd_ac,
            chance_pays=there.chance_frac,
            needed_response_bu_ac=there.break_even_response_bu_ac,
        )
    return answers


def _plan_pass(visit: Visit) -> PlanPass:
    return PlanPass(
        number=visit.number,
        sprayer=visit.sprayer,
        day=_date(visit.day),
        half=visit.half,
        rate_gal_ac=visit.volume_gal_ac,
        area_ac=visit.area_ac,
        loads=visit.loads,
        visit_costs_usd=visit.visit_costs_usd,
        zones=visit.zones,
    )


def _totals(zones: tuple[PlanZone, ...], chosen: Chosen) -> Totals:
    """Sum the field; the net return is the passes' own value, every driven swath and every visit once."""
    sprayed = [one for one in zones if one.action == "spray"]
    return Totals(
        spray_ac=sum(one.area_ac for one in sprayed),
        skip_ac=sum(one.area_ac for one in zones if one.action == "skip"),
        net_usd=chosen.value_usd,
        visit_costs_usd=sum(visit.visit_costs_usd for visit in chosen.visits),
        carrier_gal=sum(one.area_ac * (one.rate_gal_ac or 0) for one in sprayed),
    )


def _notes(zones: tuple[PlanZone, ...], chosen: Chosen | None, offer: Offer) -> tuple[Said, ...]:
    if chosen is None or offer.options is None:
        return ()
    notes = []
    if chosen.visits and offer.level > 2:
        notes.append(Said("passes.planning_hours", hours=offer.options.machine.hours_per_day))
    if chosen.driven_off_usd >= 1:
        metric = offer.units == "metric"
        area = ha_from_ac(chosen.driven_off_ac) if metric else chosen.driven_off_ac
        unit = "ha" if metric else "ac"
        notes.append(Said("offers.driven_off", area=area, unit=unit, usd=chosen.driven_off_usd))
    in_zones = sum(
        one.area_ac * one.money.net_mean_usd_ac for one in zones if one.action == "spray" and one.money
    )
    visits_usd = sum(visit.visit_costs_usd for visit in chosen.visits)
    shared_usd = in_zones - visits_usd - chosen.driven_off_usd - chosen.value_usd
    if shared_usd >= 1:
        notes.append(Said("offers.shared_tracks", usd=shared_usd))
    difference = chosen.value_usd - chosen.estimate_usd
    if abs(difference) >= 1:
        notes.append(Said("offers.estimate_differs", usd=difference))
    return tuple(notes)
