"""From the [money] settings to the grower's own price, the costs that are still avoidable, and their lines.

What is billed per visit, or for the whole field, is chosen on by the passes; its lines are here too.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, nan

from zoning.returns.terms import CostLine, Spent, Terms
from zoning.settings.model import Money, Sprayer

# Lines that go with driving over an acre, not with what is in the tank for it: another pass pays for them.
OF_DRIVING = frozenset({"pass", "machine", "filling", "water"})


def terms(
    money: Money,
    pass_usd_ac: float | None = None,
    *,
    bill_usd_ac: float | None = None,
    filling_usd_ac: float = 0.0,
) -> Terms:
    """Read prices, avoidable costs per treated acre and the rule from the settings.

    Parameters
    ----------
    money : Money
        The [money] section.
    pass_usd_ac : float, optional
        What the own machine costs per acre (its cost an hour over its acres an hour, filling included); used
        where there is no bill. [USD/ac]
    bill_usd_ac : float, optional
        The bill for this sprayer; wins over [money] `pass`. [USD/ac]
    filling_usd_ac : float
        The part of the own machine's cost that is its time to fill. [USD/ac]

    Returns
    -------
    Terms
        Costs times the grower's share of cost, price net of haul times the share of grain. What is already
        bought, and all that goes with driving where another pass goes over the field anyway, stands in
        `spent` instead; a pass billed for the whole field costs nothing per treated acre.

    Raises
    ------
    ValueError
        When neither the settings nor the caller say what the pass costs, and no other pass goes anyway.

    Examples
    --------
    >>> money = Money(grain_price="10.40 USD/bu", product="19 USD/ac", adjuvant="2 USD/ac")
    >>> round(cost_usd_ac(terms(money, pass_usd_ac=9)), 2)
    30.0
    >>> anyway = money.model_copy(update={"other_pass": "insecticide"})
    >>> round(cost_usd_ac(terms(anyway, pass_usd_ac=9)), 2)
    21.0
    """
    billed_usd_ac = bill_usd_ac if bill_usd_ac is not None else money.pass_usd_ac
    own_machine = billed_usd_ac is None and pass_usd_ac is not None
    per_pass_usd_ac = pass_usd_ac if own_machine else billed_usd_ac
    anyway = money.goes_anyway
    if per_pass_usd_ac is None and not anyway:
        raise ValueError("what the pass costs is neither in [money] nor given by the caller")
    by_field = money.billed == "field" and not own_machine
    share = money.share_of_cost_frac
    driving = {
        "pass_usd_ac": 0.0 if by_field and not anyway else share * (per_pass_usd_ac or 0.0),
        "filling_usd_ac": share * filling_usd_ac if own_machine else 0.0,
        "water_usd_gal": share * money.water_usd_gal,
    }
    in_tank = {
        "product_usd_ac": (share * money.product_usd_ac, money.product_already_bought),
        "adjuvant_usd_ac": (share * money.adjuvant_usd_ac, money.adjuvant_already_bought),
        "adjuvant_usd_gal": (share * money.adjuvant_usd_gal, money.adjuvant_already_bought),
        "foliar_feed_usd_ac": (share * money.foliar_feed_usd_ac, money.foliar_feed_already_bought),
    }
    bought = {name: cost for name, (cost, is_bought) in in_tank.items() if is_bought}
    counted = {name: 0.0 if is_bought else cost for name, (cost, is_bought) in in_tank.items()}
    counted |= dict.fromkeys(driving, 0.0) if anyway else driving
    return Terms(
        price_usd_bu=money.share_of_grain_frac * (money.grain_price_usd_bu - money.haul_usd_bu),
        grain_price_usd_bu=money.grain_price_usd_bu,
        haul_usd_bu=money.haul_usd_bu,
        share_of_grain_frac=money.share_of_grain_frac,
        rule=money.rule,
        min_net_usd_ac=money.min_net_usd_ac,
        min_chance_frac=money.min_chance_frac,
        loss_weight=money.loss_weight,
        own_machine=own_machine,
        spent=Spent(**bought, **(driving if anyway else {})),
        **counted,
    )


def cost_usd_ac(terms: Terms, volume_gal_ac: float | None = None) -> float:
    """Avoidable cost of a treated acre, the carrier's water included; tracks and visits not [USD/ac].

    A volume that is None or not finite is not known: water, and an adjuvant by share of the tank, cost 0.
    """
    gal_ac = _known_gal_ac(volume_gal_ac)
    return (
        terms.product_usd_ac
        + terms.adjuvant_usd_ac
        + terms.adjuvant_usd_gal * gal_ac
        + terms.foliar_feed_usd_ac
        + terms.pass_usd_ac
        + terms.water_usd_gal * gal_ac
    )


def _known_gal_ac(volume_gal_ac: float | None) -> float:
    return volume_gal_ac if volume_gal_ac is not None and isfinite(volume_gal_ac) else 0.0


def lines(terms: Terms, volume_gal_ac: float | None = None) -> tuple[CostLine, ...]:
    """List what a treated acre costs, line by line; see `zoning.words.bill` for the names.

    Parameters
    ----------
    terms : Terms
        The grower's own share of every cost.
    volume_gal_ac : float, optional
        Carrier, for water and an adjuvant by share of the tank. [gal/ac]

    Returns
    -------
    tuple of CostLine
        Only lines that cost something; `usd` is 0, as no acre is sprayed yet. The counted ones sum to
        `cost_usd_ac`. What is spent anyway follows as lines that do not count.

    Examples
    --------
    >>> money = Money(grain_price="10.40 USD/bu", product="19 USD/ac", water="0.02 USD/gal",
    ...     product_already_bought=True)
    >>> [(one.name, round(one.usd_ac, 2), one.counted) for one in lines(terms(money, pass_usd_ac=9), 15)]
    [('machine', 9.0, True), ('water', 0.3, True), ('product', 19.0, False)]
    """
    gal_ac = _known_gal_ac(volume_gal_ac)
    both = ((terms, True), (terms.spent, False))
    return tuple(
        CostLine(name=name, usd_ac=usd_ac, usd=0.0, counted=counted)
        for of, counted in both
        for name, usd_ac in _named(of, gal_ac, terms.own_machine)
        if usd_ac > 0
    )


def _named(of: Terms | Spent, gal_ac: float, own_machine: bool) -> Iterator[tuple[str, float]]:
    yield "product", of.product_usd_ac
    yield "adjuvant", of.adjuvant_usd_ac + of.adjuvant_usd_gal * gal_ac
    yield "foliar_feed", of.foliar_feed_usd_ac
    yield "machine" if own_machine else "pass", of.pass_usd_ac - of.filling_usd_ac
    yield "filling", of.filling_usd_ac
    yield "water", of.water_usd_gal * gal_ac


@dataclass(frozen=True, slots=True, kw_only=True)
class ByVisit:
    """What is billed for coming, the grower's own share; `bill_usd_ac` is per acre of the whole field.

    `ferry_usd` is a part of `per_visit_usd`.
    """

    bill_usd_ac: float
    per_visit_usd: float
    ferry_usd: float
    minimum_bill_usd: float
    split_load_usd: float


def by_visit(money: Money, sprayer: Sprayer | None) -> ByVisit:
    """Read what each visit costs; where another pass goes over the field anyway, only a load of its own.

    Parameters
    ----------
    money : Money
        The [money] section.
    sprayer : Sprayer or None
        Its own bill, minimum bill and ferry; None where there is none.
    """
    share = money.share_of_cost_frac
    if money.goes_anyway:
        return ByVisit(
            bill_usd_ac=0.0,
            per_visit_usd=0.0,
            ferry_usd=0.0,
            minimum_bill_usd=0.0,
            split_load_usd=share * money.split_load_usd,
        )
    own_bill, own_minimum = (sprayer.pass_usd_ac, sprayer.minimum_bill_usd) if sprayer else (None, None)
    bill_usd_ac = own_bill if own_bill is not None else money.pass_usd_ac
    ferry_usd = sprayer.ferry_usd if sprayer else 0.0
    return ByVisit(
        bill_usd_ac=share * (bill_usd_ac or 0.0) if money.billed == "field" else 0.0,
        per_visit_usd=share * (money.per_visit_usd + ferry_usd),
        ferry_usd=share * ferry_usd,
        minimum_bill_usd=share * (own_minimum if own_minimum is not None else money.minimum_bill_usd),
        split_load_usd=0.0,
    )


def spent_by_visit(money: Money, sprayer: Sprayer | None) -> tuple[CostLine, ...]:
    """List what coming to the field costs where another pass comes anyway: lines that do not count.

    Parameters
    ----------
    money : Money
        The [money] section; without `other_pass` there are no such lines.
    sprayer : Sprayer or None
        For its ferry.
    """
    if not money.goes_anyway:
        return ()
    spent = (("per_visit", money.per_visit_usd), ("ferry", sprayer.ferry_usd if sprayer else 0.0))
    share = money.share_of_cost_frac
    return tuple(
        CostLine(name=name, usd_ac=nan, usd=share * usd, counted=False) for name, usd in spent if usd > 0
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
