"""What should be known about the dates and the money of a plan beside its zones. Decides nothing."""

from datetime import date

from zoning.evidence import number
from zoning.offers.offered import Offer, Options
from zoning.passes.half_days import HoursFrom
from zoning.passes.problem import Chosen
from zoning.returns.costs import cost_usd_ac
from zoning.returns.factors import volume_frac, yield_frac
from zoning.returns.mixture import mean
from zoning.returns.terms import ZoneCase
from zoning.stage.counted import walk_day
from zoning.units import date_from_day, ha_from_ac
from zoning.words import Said, amounts

# The notes that say where hours come from, and the source that each speaks of.
_CODE_OF: dict[str, HoursFrom] = {
    "hours.forecast": "forecast",
    "hours.past_years": "past years",
    "hours.one_past_year": "past years",
    "hours.triple": "planning triple",
}


def money_notes(
    offer: Offer, options: Options, chosen: Chosen, zones_usd: float, shared_usd: float
) -> tuple[Said, ...]:
    """Say what the planning hours are, and where money of the total is that no zone shows: they must add up.

    Parameters
    ----------
    offer : Offer
        For level and units.
    options : Options
        For the hours.
    chosen : Chosen
        The passes.
    zones_usd : float
        What the sprayed zones return by themselves. [USD]
    shared_usd : float
        Wheel tracks on sprayed ground that are in no zone's own net, because they are made anyway. [USD]
    """
    notes: list[Said] = []
    notes += _of_hours(options, chosen)
    for visit in chosen.visits:
        if visit.last_day > visit.day:
            days, last = visit.last_day - visit.day + 1, date_from_day(float(visit.last_day))
            notes.append(Said("offers.several_days", number=visit.number, days=days, last=last))
    if chosen.driven_off_usd >= 1:
        is_metric = offer.units == "metric"
        notes.append(
            Said(
                "offers.driven_off",
                area=ha_from_ac(chosen.driven_off_ac) if is_metric else chosen.driven_off_ac,
                unit="ha" if is_metric else "ac",
                usd=chosen.driven_off_usd,
            )
        )
    if shared_usd >= 1:
        notes.append(Said("offers.shared_tracks", usd=shared_usd))
    visits_usd = sum(visit.visit_costs_usd for visit in chosen.visits)
    middle_usd = zones_usd - shared_usd - chosen.driven_off_usd - visits_usd - chosen.value_usd
    if abs(middle_usd) >= 1:
        notes.append(Said("offers.middle_day", usd=middle_usd))
    difference_usd = chosen.value_usd - chosen.estimate_usd
    if abs(difference_usd) >= 1:
        notes.append(Said("offers.estimate_differs", usd=difference_usd))
    return tuple(notes)


def _of_hours(options: Options, chosen: Chosen) -> tuple[Said, ...]:
    """Say what the hours of the passes rest on; of a source that no pass uses nothing is said.

    Without a pass: what those of the days rest on on which one would pay, for they may be too few.
    """
    hours = options.machine.hours
    would_pay = options.problem.days[options.problem.worth_it.any(axis=(0, 2))]
    days = [part.day for visit in chosen.visits for part in visit.parts] or would_pay.tolist()
    rows = (day - hours.first_day for day in days)
    used = {hours.source[row] for row in rows if 0 <= row < len(hours.source)}
    codes = {code for code, source in _CODE_OF.items() if source in used}
    return tuple(
        note for note in options.of_hours if note.code in codes or (note.code not in _CODE_OF and used)
    )


def _may_pay(case: ZoneCase | None, options: Options | None) -> bool:
    """Whether a pass at the best stage would pay; where nothing is priced, dates are all there is."""
    if case is None or options is None:
        return True
    volumes: tuple[float | None, ...] = options.priced.volumes_gal_ac or (None,)
    best_bu_ac = mean(case.mixture) * yield_frac(case.expected_yield_bu_ac)
    return any(
        terms.price_usd_bu * best_bu_ac * volume_frac(volume, case.volume_matters)
        > cost_usd_ac(terms, volume) + terms.min_net_usd_ac
        for volume, terms in zip(volumes, options.terms, strict=True)
    )


def walk_notes(offer: Offer) -> tuple[Said, ...]:
    """Say which zones no count has pinned, and when to walk them: about a week before their R3 is likely.

    Where not even a pass in the middle of R3 would pay, no count is worth the way. Where money is known, the
    walks of the plan say where to go and what it is worth: a second day and number of plants would
    contradict them.
    """
    zones_by_day: dict[date, list[int]] = {}
    for one in offer.zones:
        day = walk_day(one.spot, offer.today)
        if day is not None and one.closed_by is None and _may_pay(one.case, offer.options):
            zones_by_day.setdefault(day, []).append(one.zone)
    if offer.options is not None and zones_by_day:
        every = sorted(zone for zones in zones_by_day.values() for zone in zones)
        return (Said("offers.unpinned", zones=amounts.zones(every)),)
    plants = number("stage.walk_plants")
    return tuple(
        Said("offers.walk", zones=amounts.zones(zones), day=day, plants=plants)
        for day, zones in sorted(zones_by_day.items())
    )
