"""What each sprayer that may come offers a field: its zones priced with that sprayer. Chooses none."""

from dataclasses import replace
from datetime import date

from zoning.offers import pricing
from zoning.offers.basis import Basis, basis_of, led_by
from zoning.offers.offered import Choice, Offer, OfferedZone, Options
from zoning.offers.spots import Known
from zoning.settings.model import Settings, Sprayer
from zoning.words import Said
from zoning.zones.zoning import Zoning

_Priced = tuple[tuple[OfferedZone, ...], Options, tuple[Said, ...]]


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
        In the order of the sprayers; one where there is none. Those that are alike but for their names share
        their zones and arrays: these are priced once.
    """
    today, seed = when
    found, of_alike = [], dict[Sprayer | None, _Priced]()
    for place in range(max(1, len(settings.sprayers)) if settings.level > 2 else 1):
        basis = basis_of(led_by(settings, place), known.given, today, seed)
        basis = replace(basis, weather_years=known.made.weather_years)
        sprayer, unnamed = _sprayer(basis), _unnamed(basis)
        if unnamed not in of_alike or _names(of_alike[unnamed]):
            of_alike[unnamed] = pricing.priced(zones, basis, zoning, today)
        with_cases, options, doubts = of_alike[unnamed]
        if sprayer is not None:
            options = replace(options, machine=replace(options.machine, name=sprayer.name))
        notes = (*pricing.notes(with_cases, options, basis, zoning), *doubts)
        found.append(Choice(sprayer=sprayer, zones=with_cases, options=options, notes=notes))
    return tuple(found)


def _sprayer(basis: Basis) -> Sprayer | None:
    return basis.rig.sprayer if basis.rig is not None else None


def _unnamed(basis: Basis) -> Sprayer | None:
    """Give the sprayer with no name: sprayers that are equal then are priced alike.

    Where something was sprayed today the name stays, as it says whose hours of today are used.
    """
    sprayer = _sprayer(basis)
    if sprayer is None or basis.given.made_today:
        return sprayer
    return sprayer.model_copy(update={"name": ""})


def _names(priced: _Priced) -> bool:
    """Whether something that is said of options names their sprayer: then they are no other's."""
    _, options, doubts = priced
    return any(options.machine.name in one.values.values() for one in (*doubts, *options.of_hours))


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
