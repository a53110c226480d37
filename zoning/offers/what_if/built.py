"""What the page may reckon again of a plan: zones with their draws, visits, and what money is made of."""

from collections.abc import Sequence
from dataclasses import replace

from zoning.offers.offered import Offer
from zoning.offers.what_if.typed import Typed
from zoning.offers.what_if.visits import Field, made_visit, visits_of
from zoning.offers.what_if.zones import swaths_of, zone_of
from zoning.offers.whole_field import WholeField
from zoning.passes.problem import Chosen
from zoning.passes.what_if import Figures, WhatIf, WhatIfVolume, judge
from zoning.plan import PlanZone


def what_if(offer: Offer, chosen: Chosen, whole: WholeField, zones: Sequence[PlanZone]) -> WhatIf:
    """Put together what may be reckoned again.

    Parameters
    ----------
    offer : Offer
        With options, and with its zones as their passes find them.
    chosen : Chosen
        The passes.
    whole : WholeField
        For the pass that comes nearest to paying, where there is none.
    zones : sequence of PlanZone
        Decided.

    Returns
    -------
    WhatIf
        At its own figures it is judged as the plan decided; `stands` is set where the figures would not.
    """
    options = offer.options
    if options is None:
        raise ValueError("a field without options has no money to reckon again")
    source = next(one.driver.source for one in offer.zones if one.driver is not None)
    field = Field(zones=offer.zones, options=options, source=source)
    visits, visit_of = visits_of(field, chosen, whole.nearest)
    problem, of_money = options.problem, Typed.of(offer, options)
    first = visits[0].column if visits else 0
    terms = options.terms[0]
    made = WhatIf(
        base=Figures(
            grain_price_usd_bu=terms.grain_price_usd_bu,
            product_usd_ac=of_money.product_usd_ac,
            pass_usd_ac=of_money.pass_usd_ac(first),
            source=source,
            rule=terms.rule,
            min_net_usd_ac=terms.min_net_usd_ac,
            min_chance_frac=terms.min_chance_frac,
        ),
        zones=tuple(zone_of(field, row, chosen, visits, visit_of.get(row, -1)) for row in range(len(zones))),
        visits=tuple(made_visit(field, one, place, visit_of) for place, one in enumerate(visits)),
        swaths=swaths_of(options),
        share_of_grain_frac=terms.share_of_grain_frac,
        haul_usd_bu=terms.haul_usd_bu,
        share_of_cost_frac=of_money.share_of_cost_frac,
        loss_weight=terms.loss_weight,
        product_counts=of_money.product_counts,
        pass_counts=of_money.pass_counts,
        field_ac=problem.field_ac,
        per_visit_usd=problem.per_visit_usd,
        minimum_bill_usd=problem.minimum_bill_usd,
        goes_anyway=problem.goes_anyway,
        split_load_usd=problem.split_load_usd,
        volumes=tuple(
            WhatIfVolume(
                terms=one,
                volume_gal_ac=field.volume(column),
                pass_more_usd_ac=of_money.pass_usd_ac(column) - of_money.pass_usd_ac(first),
            )
            for column, one in enumerate(options.terms)
        ),
    )
    return _as_planned(made, zones)


def _as_planned(made: WhatIf, zones: Sequence[PlanZone]) -> WhatIf:
    """Let actions stand that the user decided, or that the figures alone would not give."""
    stands = [one.action if _is_yours(one) else None for one in zones]
    while True:
        of_zones = zip(made.zones, stands, strict=True)
        made = replace(made, zones=tuple(replace(one, stands=action) for one, action in of_zones))
        answers = judge(made, made.base).zones
        other = [at for at, one in enumerate(zones) if answers[at].action != one.action]
        if not other:
            return made
        if any(stands[at] is not None for at in other):
            raise ValueError("a zone is sprayed that has no visit")
        for at in other:
            stands[at] = zones[at].action


def _is_yours(one: PlanZone) -> bool:
    return one.override is not None and one.override.action is not None and one.override.refused is None
