"""What a response is worth: the grower's price, and what a treated acre cost by the plan's own rule."""

from collections.abc import Sequence
from math import isfinite

from zoning.returns import costs
from zoning.returns.terms import CostLine, Terms
from zoning.settings.model import Settings, Sprayer
from zoning.sprayer.reach import Reach, nearest, reach
from zoning.strips.terms import Money
from zoning.units import h_from_min


def money_of(
    settings: Settings,
    volume_gal_ac: float | None,
    tracks_bu_ac: float,
    *,
    sprayer: Sprayer | None = None,
) -> Money | None:
    """Give price and cost of a treated acre, as they count after the fact.

    Parameters
    ----------
    settings : Settings
        Of any level.
    volume_gal_ac : float or None
        Carrier that was sprayed; None where nobody wrote it down. Then water and an adjuvant by share of the
        tank cost 0, and the own machine's pace is that of its slowest volume. [gal/ac]
    tracks_bu_ac : float
        Crop that the pass pressed down on a driven acre, 0 where tracks existed. Untreated strips are driven
        too, boom off, so the difference of strips does not hold it. [bu/ac]
    sprayer : Sprayer, optional
        That made the pass; else the first of the settings.

    Returns
    -------
    Money or None
        None where the settings have no [money], or do not say what the pass costs.

    Notes
    -----
    The cost is the one that was still avoidable when it was decided, as in the plan: what had been bought,
    and driving where another pass went anyway, would have been spent without the pass as well, so that it
    says nothing for or against it. A bill for the visit or for the whole field is no cost of an acre, there
    as here. So forecast and outcome are the same sum. `lines_of` lists what is left out, too.

    Examples
    --------
    >>> from pathlib import Path
    >>> from zoning.settings.model import Money as Prices
    >>> prices = Prices.model_validate({"grain_price": "10 USD/bu", "product": "20 USD/ac",
    ...     "pass": "9 USD/ac", "product_already_bought": False})
    >>> settings = Settings(name="a", maturity_group=2.4, money=prices, folder=Path("a"))
    >>> round(money_of(settings, None, 0.5).break_even_bu_ac, 2)
    3.4
    """
    terms = terms_of(settings, volume_gal_ac, sprayer)
    if terms is None:
        return None
    return Money(
        price_usd_bu=terms.price_usd_bu,
        cost_usd_ac=costs.cost_usd_ac(terms, volume_gal_ac),
        tracks_bu_ac=tracks_bu_ac,
    )


def lines_of(
    settings: Settings, volume_gal_ac: float | None, *, sprayer: Sprayer | None = None
) -> tuple[CostLine, ...]:
    """List what a treated acre cost; the counted lines sum to `Money.cost_usd_ac`.

    Parameters
    ----------
    settings, volume_gal_ac, sprayer
        As for `money_of`.
    """
    terms = terms_of(settings, volume_gal_ac, sprayer)
    return () if terms is None else costs.lines(terms, volume_gal_ac)


def terms_of(settings: Settings, volume_gal_ac: float | None, sprayer: Sprayer | None = None) -> Terms | None:
    """Read prices and costs with a sprayer at a volume: its bill, and its hours where there is none.

    Parameters
    ----------
    settings, volume_gal_ac, sprayer
        As for `money_of`.
    """
    money = settings.money
    if money is None:
        return None
    sprayer = sprayer or next(iter(settings.sprayers), None)
    bill_usd_ac = None if sprayer is None else sprayer.pass_usd_ac
    at = None if sprayer is None else _at(sprayer, _volumes_gal_ac(settings, volume_gal_ac))
    if sprayer is not None and at is not None:
        return costs.terms(
            money,
            sprayer.machine_usd_h / at.acres_per_hour,
            bill_usd_ac=bill_usd_ac,
            filling_usd_ac=sprayer.machine_usd_h * h_from_min(sprayer.fill_min) / at.acres_per_load,
        )
    if bill_usd_ac is None and money.pass_usd_ac is None and not money.goes_anyway:
        return None
    return costs.terms(money, bill_usd_ac=bill_usd_ac)


def _volumes_gal_ac(settings: Settings, volume_gal_ac: float | None) -> Sequence[float]:
    if volume_gal_ac is not None and isfinite(volume_gal_ac) and volume_gal_ac > 0:
        return (volume_gal_ac,)
    return settings.carrier.volumes_gal_ac


def _at(sprayer: Sprayer, volumes_gal_ac: Sequence[float]) -> Reach | None:
    """Say what a sprayer does at its slowest volume; one that it cannot hold was sprayed all the same."""
    found = reach(sprayer, volumes_gal_ac)
    reached = [one for one in found if one.reachable] or [nearest(sprayer, one) for one in found]
    return min(
        (one for one in reached if one.acres_per_hour > 0), key=lambda one: one.acres_per_hour, default=None
    )
