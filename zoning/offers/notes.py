"""What should be known about the money of a plan beside its zones. Decides nothing."""

from zoning.offers.offered import Offer, Options
from zoning.passes.problem import Chosen
from zoning.units import ha_from_ac
from zoning.words import Said


def money_notes(offer: Offer, options: Options, chosen: Chosen, shared_usd: float) -> tuple[Said, ...]:
    """Say what the planning hours are, and where money of the total is that no zone shows.

    Parameters
    ----------
    offer : Offer
        For level and units.
    options : Options
        For the hours.
    chosen : Chosen
        The passes.
    shared_usd : float
        Wheel tracks on sprayed ground that are in no zone's own net, because they are made anyway. [USD]
    """
    notes: list[Said] = []
    if chosen.visits and offer.level > 2:
        notes.append(Said("passes.planning_hours", hours=options.machine.hours_per_day))
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
    difference_usd = chosen.value_usd - chosen.estimate_usd
    if abs(difference_usd) >= 1:
        notes.append(Said("offers.estimate_differs", usd=difference_usd))
    return tuple(notes)
