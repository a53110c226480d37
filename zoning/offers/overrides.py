"""What the user decided, beside what the rule says: in the zones of a plan, once its passes are chosen."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from zoning.inputs.decisions import Decision
from zoning.offers.offered import Offer, OfferedZone, Options
from zoning.passes.problem import Chosen
from zoning.passes.schedule.skipped import why_skipped
from zoning.plan import Action, Override, PlanZone
from zoning.words import Said, amounts

_OF_HOURS = ("passes.no_hours", "passes.visit_too_long")  # reasons that hold whatever a zone returns


def volumes_of(offer: Offer) -> tuple[float, ...]:
    """Give the carrier volumes that the label and one of the sprayers allow, the lowest first [gal/ac]."""
    options = [one.options for one in offer.choices] or [one for one in (offer.options,) if one is not None]
    return tuple(sorted({volume for one in options for volume in one.priced.volumes_gal_ac}))


def with_overrides(
    zones: tuple[PlanZone, ...], by_rule: Sequence[Action | None], offer: Offer, chosen: Chosen | None
) -> tuple[tuple[PlanZone, ...], tuple[Said, ...]]:
    """Give the zones of a plan with what the user decided for them.

    Parameters
    ----------
    zones : tuple of PlanZone
        As the passes leave them.
    by_rule : sequence of Action or None
        What the rule says of each by itself; None where there is no money.
    offer : Offer
        With the decisions.
    chosen : Chosen or None
        Its passes; None at level 1.

    Returns
    -------
    tuple of PlanZone
        A zone whose decision is followed has it as its reason, the rule's own words behind it.
    tuple of Said
        Which decisions are followed, and why others are not.
    """
    if not offer.decisions:
        return zones, ()
    options = offer.options
    why_not = why_skipped(options.problem, options.machine, chosen) if options and chosen else {}
    made, notes, followed = [], list[Said](), list[int]()
    for row, (zone, one) in enumerate(zip(zones, offer.zones, strict=True)):
        decision = offer.decisions.get(zone.zone)
        if decision is None:
            made.append(zone)
            continue
        refused = _refused(zone, decision, by_rule[row], (one, options, row))
        if refused is not None and refused.code == "decisions.no_hours":
            refused = _of_hours(why_not.get(zone.zone), options, chosen) or refused
        if refused is None:
            followed.append(zone.zone)
        else:
            notes.append(
                Said("decisions.not_followed", zone=zone.zone, reason=decision.reason, why=refused.text)
            )
        made.append(
            replace(
                zone,
                override=Override(
                    action=decision.action,
                    rate_gal_ac=decision.rate_gal_ac,
                    reason=decision.reason,
                    decided_on=decision.decided_on,
                    computed=by_rule[row],
                    refused=refused,
                ),
                reason=_reason(zone, decision, one, offer) if refused is None else zone.reason,
            )
        )
    if followed:
        notes.insert(0, Said("decisions.followed", file=offer.decisions_file, zones=amounts.zones(followed)))
    return tuple(made), tuple(notes)


def _refused(
    zone: PlanZone,
    decision: Decision,
    by_rule: Action | None,
    of: tuple[OfferedZone, Options | None, int],
) -> Said | None:
    """Say why a decision is not followed; None where it is."""
    one, options, row = of
    if zone.action is None or options is None:
        return Said("decisions.no_money")
    if decision.action == "skip" or zone.action == "spray":
        return None
    if not np.isfinite(options.problem.net_usd_ac[row]).any():
        return one.closed_by or Said("offers.no_day")
    if decision.action == "spray":
        return Said("decisions.no_hours")
    return Said("decisions.other_volume") if by_rule == "spray" else Said("decisions.not_sprayed")


def _of_hours(why_not: Said | None, options: Options | None, chosen: Chosen | None) -> Said | None:
    """Say more closely why no pass goes over a zone that is to be sprayed."""
    if why_not is not None and why_not.code in _OF_HOURS:
        return why_not
    once = options is not None and options.problem.goes_anyway
    return Said("decisions.one_pass") if once and chosen is not None and chosen.visits else None


def _reason(zone: PlanZone, decision: Decision, one: OfferedZone, offer: Offer) -> Said:
    """Give the decision as the reason of a zone; one that had its pass keeps saying so."""
    if one.closed_by is not None:
        return zone.reason
    told = {"reason": decision.reason, "why": zone.reason.text}
    if decision.action == "skip":
        return Said("decisions.skip", **told)
    rate = decision.rate_gal_ac
    volume = "" if rate is None else amounts.rate(rate, is_metric=offer.units == "metric")
    if decision.action is None:
        return Said("decisions.rate", rate=volume, **told)
    return Said("decisions.spray", rate=Said("decisions.at_rate", rate=volume).text if volume else "", **told)
