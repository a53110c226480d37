"""From the [money] settings to the grower's own price and the costs that are still avoidable.

What is billed per visit, or for the whole field, is not here: it belongs to the passes.
"""

from math import isfinite

from zoning.returns.terms import Terms
from zoning.settings.model import Money


def terms(money: Money, pass_usd_ac: float | None = None) -> Terms:
    """Read prices, avoidable costs per treated acre and the rule from the settings.

    Parameters
    ----------
    money : Money
        The [money] section.
    pass_usd_ac : float, optional
        What the own machine costs per acre (its cost an hour over its acres an hour); used where [money] has
        no `pass`. [USD/ac]

    Returns
    -------
    Terms
        Costs times the grower's share of cost, price net of haul times the share of grain; a product that is
        already bought costs nothing more; a pass billed for the whole field costs nothing per treated acre.

    Raises
    ------
    ValueError
        When neither the settings nor the caller say what the pass costs.

    Examples
    --------
    >>> money = Money(grain_price="10.40 USD/bu", product="19 USD/ac", adjuvant="2 USD/ac")
    >>> round(cost_usd_ac(terms(money, pass_usd_ac=9)), 2)
    30.0
    """
    per_pass_usd_ac = money.pass_usd_ac if money.pass_usd_ac is not None else pass_usd_ac
    if per_pass_usd_ac is None:
        raise ValueError("what the pass costs is neither in [money] nor given by the caller")
    share = money.share_of_cost_frac
    return Terms(
        price_usd_bu=money.share_of_grain_frac * (money.grain_price_usd_bu - money.haul_usd_bu),
        grain_price_usd_bu=money.grain_price_usd_bu,
        haul_usd_bu=money.haul_usd_bu,
        share_of_grain_frac=money.share_of_grain_frac,
        product_usd_ac=0.0 if money.product_already_bought else share * money.product_usd_ac,
        adjuvant_usd_ac=share * money.adjuvant_usd_ac,
        foliar_feed_usd_ac=share * money.foliar_feed_usd_ac,
        pass_usd_ac=0.0 if money.billed == "field" else share * per_pass_usd_ac,
        water_usd_gal=share * money.water_usd_gal,
        rule=money.rule,
        min_net_usd_ac=money.min_net_usd_ac,
        min_chance_frac=money.min_chance_frac,
        loss_weight=money.loss_weight,
    )


def cost_usd_ac(terms: Terms, volume_gal_ac: float | None = None) -> float:
    """Avoidable cost of a treated acre, the carrier's water included; tracks and visits not [USD/ac].

    A volume that is None or not finite is not known and costs no water.
    """
    gal_ac = volume_gal_ac if volume_gal_ac is not None and isfinite(volume_gal_ac) else 0.0
    water_usd_ac = terms.water_usd_gal * gal_ac
    return (
        terms.product_usd_ac
        + terms.adjuvant_usd_ac
        + terms.foliar_feed_usd_ac
        + terms.pass_usd_ac
        + water_usd_ac
    )


def needed_response_bu_ac(terms: Terms, cost_usd_ac: float, track_loss_bu_ac: float) -> float:
    """Response at which a treated acre just pays; infinite where a bushel brings nothing.

    Parameters
    ----------
    terms : Terms
        For the price.
    cost_usd_ac : float
        From `cost_usd_ac`. [USD/ac]
    track_loss_bu_ac : float
        Crop pressed down by this pass. [bu/ac]

    Returns
    -------
    float
        cost / price + track loss. [bu/ac]
    """
    if terms.price_usd_bu <= 0:
        return float("inf")
    return cost_usd_ac / terms.price_usd_bu + track_loss_bu_ac
