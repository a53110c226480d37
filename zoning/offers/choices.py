"""What each sprayer that may come offers a field: its zones priced with that sprayer. Chooses none."""

from dataclasses import replace
from datetime import date

from zoning.offers import pricing
from zoning.offers.basis import basis_of, led_by
from zoning.offers.offered import Choice, Offer, OfferedZone
from zoning.offers.spots import Known
from zoning.settings.model import Settings
from zoning.zones.zoning import Zoning


def choices(
    zones: tuple[OfferedZone, ...], settings: Settings, known: Known, zoning: Zoning, when: tuple[date, int]
) -> tuple[Choice, ...]:
    """Price the zones of a field with each of its sprayers.

    Parameters
    ----------
    zones : tuple of OfferedZone
        As drawn, without cases.
    settings : Settings
        Of level 2 or 3, with the sprayers that may come.
    known : Known
        What is known of the field, and the years of its weather.
    zoning : Zoning
        The cells of the zones.
    when : tuple of date and int
        Today, and the seed of the draws.

    Returns
    -------
    tuple of Choice
        In the order of the sprayers; one where there is none.
    """
    today, seed = when
    found = []
    for place in range(max(1, len(settings.sprayers)) if settings.level > 2 else 1):
        basis = basis_of(led_by(settings, place), known.given, today, seed)
        basis = replace(basis, weather_years=known.made.weather_years)
        priced, options, notes = pricing.priced(zones, basis, zoning, today)
        sprayer = basis.rig.sprayer if basis.rig is not None else None
        found.append(Choice(sprayer=sprayer, zones=priced, options=options, notes=notes))
    return tuple(found)


def with_choice(offer: Offer, place: int) -> Offer:
    """Give the offer as one of its sprayers makes it.

    Parameters
    ----------
    offer : Offer
    place : int
        Of the sprayer among `offer.choices`; an offer without choices is given back as it is.
    """
    if not offer.choices:
        return offer
    choice = offer.choices[place]
    ground = offer.swath_ground
    if ground is not None and choice.sprayer is not None:
        ground = replace(ground, sprayer=choice.sprayer)
    return replace(
        offer,
        zones=choice.zones,
        options=choice.options,
        notes=(*offer.of_field, *choice.notes),
        swath_ground=ground,
    )
