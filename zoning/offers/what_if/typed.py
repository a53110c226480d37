"""Prices and costs as they were typed, before the grower's share: the figures that may be moved."""

from dataclasses import dataclass
from typing import Literal

from zoning.offers.offered import Offer, Options
from zoning.settings.model import Money, Sprayer


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """Prices and costs as typed, before the grower's share; without settings those of the terms."""

    options: Options
    money: Money | None
    sprayer: Sprayer | None

    @classmethod
    def of(cls, offer: Offer, options: Options) -> "Typed":
        """Read what was typed, where there are settings."""
        settings = offer.settings
        sprayers = settings.sprayers if settings is not None else ()
        named = (one for one in sprayers if one.name == options.machine.name)
        return cls(
            options=options,
            money=settings.money if settings is not None else None,
            sprayer=next(named, next(iter(sprayers), None)),
        )

    @property
    def share_of_cost_frac(self) -> float:
        """The part of all costs that the grower bears."""
        return self.money.share_of_cost_frac if self.money is not None else 1.0

    @property
    def product_usd_ac(self) -> float:
        """The price of the product, bought already or not."""
        if self.money is not None:
            return self.money.product_usd_ac
        terms = self.options.terms[0]
        return terms.product_usd_ac + terms.spent.product_usd_ac

    @property
    def product_counts(self) -> bool:
        """Whether the product is still to be bought."""
        if self.money is not None:
            return not self.money.product_already_bought
        return not self.options.terms[0].spent.product_usd_ac

    @property
    def pass_counts(self) -> Literal["treated", "field", "no"]:
        """By which acres the pass is billed, if it is a cost of this decision at all."""
        problem = self.options.problem
        if problem.goes_anyway:
            return "no"
        by_field = self.money is not None and self.money.billed == "field"
        is_billed = not self.options.terms[0].own_machine
        return "field" if problem.bill_usd_ac > 0 or (by_field and is_billed) else "treated"

    def pass_usd_ac(self, column: int) -> float:
        """Give what a pass costs: its bill, or what the own machine costs at one volume."""
        terms, share = self.options.terms[column], self.share_of_cost_frac
        if self.money is not None and not terms.own_machine:
            own = self.sprayer.pass_usd_ac if self.sprayer is not None else None
            return own if own is not None else self.money.pass_usd_ac or 0.0
        own_usd_ac = terms.pass_usd_ac + terms.spent.pass_usd_ac + self.options.problem.bill_usd_ac
        return own_usd_ac / share if share > 0 else 0.0
