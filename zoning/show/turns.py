"""What would turn a decision, in words: "from 18.47 $/bu, at a cost below 11 $/ac". Computes nothing."""

from collections.abc import Collection, Sequence

from zoning.returns.terms import Flip
from zoning.show.figures import HIGHEST_PRICE_USD_BU, Units, day, whole
from zoning.units import date_from_day
from zoning.words import Said


def turns(flips: Sequence[Flip], written: Units, *, is_sprayed: bool, only: Collection[str] = ()) -> str:
    """Say what would turn a decision, one figure after the other.

    Parameters
    ----------
    flips : sequence of Flip
    written : Units
        Of the farm.
    is_sprayed : bool
        Whether the decision is to spray.
    only : collection of str, optional
        Names of the flips that are wanted; all where it is empty.

    Returns
    -------
    str
        Empty where nothing turns it.

    Examples
    --------
    >>> flips = (Flip(name="price", value=18.472), Flip(name="response", value=2.9))
    >>> turns(flips, Units(metric=False), is_sprayed=False)
    'from 18.47 $/bu or with 2.9 bu/ac'
    """
    said = [_turn(one, written, is_sprayed).text for one in flips if not only or one.name in only]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} or {said[-1]}" if said else ""


def _turn(one: Flip, written: Units, is_sprayed: bool) -> Said:
    if one.name == "price" and one.value > HIGHEST_PRICE_USD_BU:
        highest = f"{written.price(HIGHEST_PRICE_USD_BU)} {written.price_unit}"
        return Said("money.no_price", value=highest)
    value = {
        "price": lambda: f"{written.price(one.value)} {written.price_unit}",
        "cost": lambda: f"{whole(written.net(one.value))} {written.net_unit}",
        "response": lambda: f"{written.response(one.value)} {written.response_unit}",
        "day": lambda: day(date_from_day(one.value)),
        "tracks": lambda: f"{written.response(one.value)} {written.response_unit}",
        "severity": lambda: f"{whole(one.value)} %",
    }[one.name]()
    return Said(f"money.{'skip' if is_sprayed else 'spray'}_{one.name}", value=value)
