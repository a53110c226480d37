"""From an offer and the chosen passes to the plan. Every figure is one reduction of the zone's own draws."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np

from zoning.offers import no_spray, swaths_treated
from zoning.offers.bill import bill
from zoning.offers.by_source import BySource, by_source
from zoning.offers.check_strips import laid as check_strips
from zoning.offers.check_strips.swaths import through
from zoning.offers.choose import as_sprayed
from zoning.offers.judged import Judged, judged, option_of
from zoning.offers.notes import money_notes, walk_notes
from zoning.offers.offered import Offer, OfferedZone, Options, told_on
from zoning.offers.overrides import volumes_of, with_overrides
from zoning.offers.pass_maps import with_maps
from zoning.offers.planned_passes import planned_passes, with_sheets
from zoning.offers.provenance import with_inputs, zones_id
from zoning.offers.what_if import what_if
from zoning.offers.whole_field import WholeField, whole_field
from zoning.offers.zone_money import reckoned
from zoning.passes.driven import driven_anyway_frac
from zoning.passes.problem import Chosen, Visit
from zoning.passes.schedule.skipped import HourWorth, why_skipped
from zoning.plan import Action, BlockZones, Plan, PlanStrips, PlanTreatment, PlanZone, Totals, ZoneMoney
from zoning.returns import reasons
from zoning.returns.price import best_option
from zoning.returns.steps import KINDS
from zoning.returns.terms import ZoneCase
from zoning.stage.forecast import window
from zoning.units import date_from_day
from zoning.words import Said, cautions


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Decided:
    """One zone decided.

    `visit` is the pass that sprays it, None where it is skipped; `money` is at that pass or at the best
    option that it had, None where it had none; `shared_usd` is what its wheel tracks cost beyond those in
    `money`, and `own_usd` what it adds to the field by itself; both 0 where it is skipped. `by_rule` is what
    the rule says of it there.
    """

    visit: Visit | None
    money: ZoneMoney | None
    from_to: tuple[int, int] | None
    why: Said
    own_usd: float = 0.0
    shared_usd: float = 0.0
    by_rule: Action = "skip"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Asked:
    """One zone to be decided: its row in the arrays of the options, and what the passes mean for it."""

    row: int
    zone: OfferedZone
    case: ZoneCase
    driver: reasons.Driver
    visit: Visit | None
    why_not_visited: Said | None
    anyway_frac: float  # that other sprayed zones make the machine drive
    is_forced: bool  # the user wants it sprayed


def settle(
    offer: Offer,
    chosen: Chosen | None,
    *,
    schedule: Literal["alone", "farm"] = "alone",
    hours: HourWorth | None = None,
) -> Plan:
    """Make the plan of a field.

    Parameters
    ----------
    offer : Offer
        The field's zones and priced options.
    chosen : Chosen or None
        Its passes; None at level 1.
    schedule : str
        "farm" where other fields share the sprayers.
    hours : HourWorth, optional
        What one more hour of its sprayer would be worth to the farm.

    Returns
    -------
    Plan
        At level 1 with windows only, at level 2 with returns and actions, at level 3 with passes.
    """
    decided: tuple[_Decided | None, ...] = (None,) * len(offer.zones)
    money: tuple[Said, ...] = ()
    options = offer.options
    if options is not None and chosen is not None:
        offer = replace(offer, zones=as_sprayed(offer.zones, chosen))
        decided = _decide(offer.zones, options, chosen, hours)
        own_usd = sum(one.own_usd for one in decided if one is not None)
        shared_usd = sum(one.shared_usd for one in decided if one is not None)
        money = money_notes(offer, options, chosen, own_usd, shared_usd)
    has_passes = chosen is not None and offer.level > 2
    unpriced = offer.why_no_options or Said("offers.stage_only")
    zones = tuple(
        _plan_zone(one, what, has_passes, unpriced) for one, what in zip(offer.zones, decided, strict=True)
    )
    by_rule = [one.by_rule if one is not None else None for one in decided]
    zones, overridden = with_overrides(zones, by_rule, offer, chosen)
    treatment, strips, told = (
        _switched(offer, chosen, zones) if chosen is not None and has_passes else (None, None, ())
    )
    passes = planned_passes(offer, chosen, zones) if chosen and has_passes else ()
    whole = whole_field(offer.zones, options, chosen) if options and chosen else None
    plan = Plan(
        **told_on(offer),
        run_id=with_inputs(offer.provenance, check_strips.new_inputs(strips)).run_id,
        zones_id=zones_id([one.outline_m for one in offer.zones]),
        schedule=schedule,
        zones=zones,
        passes=passes,
        totals=_totals(zones, whole, options, chosen) if whole and options and chosen else None,
        notes=(*offer.notes, *overridden, *walk_notes(offer), *money, *told),
        cautions=cautions(offer.country),
        blocks=_blocks(offer),
        treatment=treatment,
        strips=strips,
        no_spray=no_spray.planned(offer.no_spray, offer.epsg),
        volumes_gal_ac=volumes_of(offer),
        source=next((one.driver.source for one in offer.zones if one.driver is not None), None),
        iso_grid=offer.settings.files.iso_grid if offer.settings is not None else 0,
        what_if=what_if(offer, chosen, whole, zones) if whole and chosen else None,
    )
    return with_sheets(with_maps(plan), offer, chosen)


def _switched(
    offer: Offer, chosen: Chosen, zones: tuple[PlanZone, ...]
) -> tuple[PlanTreatment | None, PlanStrips | None, tuple[Said, ...]]:
    """Give swath cells and check strips, where the machine does not simply follow the zones; and notes."""
    treatment = None
    notes: tuple[Said, ...] = ()
    if offer.swath_ground is not None and any(one.pass_number for one in zones):
        treatment = swaths_treated.planned(offer.swath_ground, zones, offer.no_spray)
        notes = (swaths_treated.said(treatment),)
    laid, of_strips = check_strips.laid(offer, chosen)
    notes += of_strips
    if laid is None or offer.options is None:
        return treatment, None, notes
    strips = check_strips.planned(laid, offer, offer.options, chosen, zones)
    if treatment is not None:
        treatment = through(treatment, strips, laid.design.strips, offer)
    return treatment, strips, notes


def _decide(
    zones: tuple[OfferedZone, ...], options: Options, chosen: Chosen, hours: HourWorth | None
) -> tuple[_Decided, ...]:
    visit_of = {zone: visit for visit in chosen.visits for zone in visit.zones}
    why_not = why_skipped(options.problem, options.machine, chosen, hours)
    sprayed = np.array([one.zone in visit_of for one in zones], dtype=np.bool_)
    anyway_frac = driven_anyway_frac(options.problem, sprayed)
    sources = by_source(zones, options)
    decided = []
    for row, one in enumerate(zones):
        if one.case is None or one.driver is None:
            raise ValueError(f"zone {one.zone} has options but no case")
        asked = _Asked(
            row=row,
            zone=one,
            case=one.case,
            driver=one.driver,
            visit=visit_of.get(one.zone),
            why_not_visited=why_not.get(one.zone),
            anyway_frac=float(anyway_frac[row]),
            is_forced=options.decided is not None and one.zone in options.decided.forced,
        )
        decided.append(_decide_one(asked, sources[row], options))
    return tuple(decided)


def _decide_one(asked: _Asked, sources: BySource, options: Options) -> _Decided:
    """Judge one zone at its pass, or else at the best option it had."""
    visit = asked.visit
    option = option_of(visit, options) if visit else best_option(options.priced, asked.row)
    if option is None:
        why = asked.zone.closed_by or Said("offers.no_day")
        return _Decided(visit=None, money=None, from_to=None, why=why)
    there = judged(asked.case, option, asked.anyway_frac, options)
    made_anyway_bu_ac = asked.case.track_loss_bu_ac - there.case.track_loss_bu_ac
    made_anyway_usd_ac = made_anyway_bu_ac * there.terms.price_usd_bu
    of_zone = reckoned(asked.zone, asked.row, there, sources, options, is_sprayed=visit is not None)
    return _Decided(
        visit=visit,
        money=of_zone.money,
        from_to=of_zone.from_to,
        why=_why(asked, there),
        own_usd=there.returned.net_mean_usd_ac * asked.case.area_ac if visit else 0.0,
        shared_usd=made_anyway_usd_ac * asked.case.area_ac if visit else 0.0,
        by_rule="spray" if there.returned.worth_it else "skip",
    )


def _why(asked: _Asked, there: Judged) -> Said:
    """Say why a zone is sprayed or skipped: by itself, because of its neighbours, or because of the pass."""
    by_itself = reasons.reason(there.returned, there.case, asked.driver, there.terms)
    if asked.visit is None and there.returned.worth_it:
        return asked.why_not_visited or by_itself
    if asked.visit is not None and not there.returned.worth_it and not asked.is_forced:
        return Said("offers.pass_returns_more", why=by_itself.text)
    if there.case is not asked.case:
        return Said("offers.driven_anyway", share=100 * asked.anyway_frac, why=by_itself.text)
    return by_itself


def _plan_zone(one: OfferedZone, decided: _Decided | None, has_passes: bool, unpriced: Said) -> PlanZone:
    if one.stage is None:
        unpriced = Said("offers.no_stage")
    visit = decided.visit if decided is not None else None
    passed = visit if has_passes else None
    days = decided.from_to if decided is not None else None
    return PlanZone(
        zone=one.zone,
        block=one.block,
        outline=one.outline,
        area_ac=one.area_ac,
        planted=one.planted,
        maturity_group=one.maturity_group,
        window=window(one.stage) if one.stage is not None else None,
        spray_from=date_from_day(days[0]) if days else None,
        spray_by=date_from_day(days[1]) if days else None,
        action=None if decided is None else "skip" if visit is None else "spray",
        rate_gal_ac=passed.volume_gal_ac if passed else None,
        pass_number=passed.number if passed else None,
        spray_on=_date(passed.day) if passed else None,
        provisional=not one.counted,
        money=decided.money if decided is not None else None,
        reason=decided.why if decided is not None else unpriced,
        name=one.name,
        sprayed_on=one.sprayed_on,
    )


def _blocks(offer: Offer) -> tuple[BlockZones, ...]:
    agreement = {one.block: one for one in offer.quality.agreement} if offer.quality else {}
    return tuple(
        BlockZones(
            block=division.block,
            zones=held.chosen,
            supported=division.zones[-1],
            held_out=tuple(zip(held.tried, held.explained_frac, strict=True)),
            kept=tuple(zip(division.zones, division.kept_frac, strict=False)),
            agreement=agreement.get(held.block),
        )
        for division, held in zip(offer.divisions, offer.held_out, strict=True)
    )


def _date(day: int) -> date:
    return date_from_day(float(day))


def _totals(zones: tuple[PlanZone, ...], whole: WholeField, options: Options, chosen: Chosen) -> Totals:
    """Sum the field; the net return is the passes' own value, every driven swath and every visit once."""
    sprayed = [one for one in zones if one.action == "spray"]
    return Totals(
        spray_ac=sum(one.area_ac for one in sprayed),
        skip_ac=sum(one.area_ac for one in zones if one.action == "skip"),
        net_usd=chosen.value_usd,
        visit_costs_usd=sum(visit.visit_costs_usd for visit in chosen.visits),
        carrier_gal=sum(one.area_ac * (one.rate_gal_ac or 0) for one in sprayed),
        net_p10_usd=whole.net_p10_usd,
        net_p90_usd=whole.net_p90_usd,
        chance_pays=whole.chance_pays,
        break_even_price_usd_bu=whole.break_even_price_usd_bu,
        perfect_information_usd=whole.perfect_information_usd,
        rests_on_frac=_rests_on([one for one in zones if one.zone in whole.zones]),
        costs=bill(options, chosen),
        flips=whole.flips,
        nearest_net_usd=whole.net_mean_usd if whole.zones and not chosen.visits else None,
        net_draws_usd=whole.net_usd if chosen.visits else None,
    )


def _rests_on(zones: Sequence[PlanZone]) -> dict[str, float]:
    """Say how much of the sizes of all steps of some zones is of each kind of evidence, by area."""
    sizes: dict[str, float] = {}
    for one in zones:
        for step in one.money.steps if one.money is not None else ():
            sizes[step.kind] = sizes.get(step.kind, 0.0) + one.area_ac * abs(step.change_bu_ac)
    total = sum(sizes.values())
    return {kind: sizes[kind] / total for kind in reversed(KINDS) if sizes.get(kind, 0.0) > 0}
