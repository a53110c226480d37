"""What a field's options are made from, checked once: whatever a level needs is there. Values only."""

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from zoning.inputs.given import FieldInputs, Sprayed
from zoning.offers.contrast import Contrast, contrast_of
from zoning.settings.model import Money, Product, Response, Settings, Sprayer

# A field is weighed with each of its sprayers: its canopy is compared once.
_contrast_of = lru_cache(maxsize=1)(contrast_of)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """What would spray, and what it would spray. Two halves of level 3: neither comes without the other.

    The sprayer has tracks where an earlier pass left them, or where another pass makes them anyway.
    """

    sprayer: Sprayer
    product: Product


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Basis:
    """Inputs of a field, and the parts of its settings that levels 2 and 3 cannot do without.

    The sprayer that is weighed stands first in `settings`; `rig` is None at level 2. `weather_years` are the
    past years whose weather the draws of the stages take, in their order.
    """

    settings: Settings
    money: Money
    response: Response
    rig: Rig | None
    given: FieldInputs
    contrast: Contrast
    today: date
    seed: int
    weather_years: tuple[int, ...] = ()


def left_tracks(sprayer: Sprayer, given: FieldInputs) -> Sprayed | None:
    """Find the last pass of this machine over the whole field in this crop; None from the air, or without."""
    if sprayer.kind != "ground":
        return None
    name = sprayer.name.casefold()
    over_all = [one for one in given.sprayed if one.sprayer.casefold() == name and not one.zones]
    return max(over_all, key=lambda one: one.end, default=None)


def led_by(settings: Settings, place: int) -> Settings:
    """Put one of several sprayers first: it is the one that is weighed.

    Parameters
    ----------
    settings : Settings
    place : int
        Of the sprayer, from 0.
    """
    if place == 0:
        return settings
    first = settings.sprayers[place]
    others = (one for one in settings.sprayers if one is not first)
    return settings.model_copy(update={"sprayers": (first, *others)})


def basis_of(settings: Settings, given: FieldInputs, today: date, seed: int) -> Basis:
    """Take the settings apart for pricing; several sprayers: the first.

    Raises
    ------
    ValueError
        When the settings are of level 1 or contradict their own level: a fault of ours.
    """
    if settings.money is None or settings.response is None:
        raise ValueError("levels 2 and 3 need the money and response settings")
    rig = None
    if settings.level == 3:
        if settings.product is None or not settings.sprayers:
            raise ValueError("level 3 needs the product settings and a sprayer")
        sprayer = settings.sprayers[0]
        # whatever tracks another pass makes are made anyway
        if settings.money.goes_anyway or left_tracks(sprayer, given) is not None:
            sprayer = sprayer.model_copy(update={"tracks_exist": True})
        rig = Rig(sprayer=sprayer, product=settings.product)
    return Basis(
        settings=settings,
        money=settings.money,
        response=settings.response,
        rig=rig,
        given=given,
        contrast=_contrast_of(given),
        today=today,
        seed=seed,
    )
