"""The money of a what-if: terms and costs at other figures, and the zones reckoned with them.

What an acre costs and what the draws say of it is worked out by the returns room, as in the plan.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from zoning.passes.what_if.asked import Action, Figures, Steps, WhatIf, WhatIfZone
from zoning.returns.costs import cost_usd_ac, needed_response_bu_ac
from zoning.returns.price import net_usd_ac, range_of
from zoning.returns.rounded import STEPS_PER_BU, figures_of, in_bushels, least_paying_step, sums_of
from zoning.returns.terms import Terms

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

_SLACK = 1e-9  # method: rounding of floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """What a sprayed acre of a zone returns, `track_loss_bu_ac` counted; `wanted` by the rule."""

    net_mean_usd_ac: float
    chance_frac: float
    break_even_response_bu_ac: float
    wanted: bool
    track_loss_bu_ac: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Money:
    """A what-if at some figures. Arrays have one entry for each zone."""

    what_if: WhatIf
    figures: Figures
    forced: Mapping[int, Action]

    @cached_property
    def price_usd_bu(self) -> float:
        """The grower's own share of the price, haul taken off."""
        return self.what_if.share_of_grain_frac * (self.figures.grain_price_usd_bu - self.what_if.haul_usd_bu)

    @cached_property
    def terms(self) -> tuple[Terms, ...]:
        """Prices, costs and rule at each carrier volume."""
        return tuple(self._terms(volume) for volume in range(len(self.what_if.volumes)))

    def _terms(self, volume: int) -> Terms:
        one, figures, share = self.what_if.volumes[volume], self.figures, self.what_if.share_of_cost_frac
        product, pass_ = one.terms.product_usd_ac, one.terms.pass_usd_ac
        if self.what_if.product_counts and figures.product_usd_ac != self.what_if.base.product_usd_ac:
            product = share * figures.product_usd_ac
        if self.what_if.pass_counts == "treated" and figures.pass_usd_ac != self.what_if.base.pass_usd_ac:
            pass_ = share * (figures.pass_usd_ac + one.pass_more_usd_ac)
        return replace(
            one.terms,
            price_usd_bu=self.price_usd_bu,
            grain_price_usd_bu=figures.grain_price_usd_bu,
            product_usd_ac=product,
            pass_usd_ac=pass_,
            rule=figures.rule,
            min_net_usd_ac=figures.min_net_usd_ac,
            min_chance_frac=figures.min_chance_frac,
        )

    @cached_property
    def cost_usd_ac(self) -> tuple[float, ...]:
        """Avoidable cost of a treated acre at each carrier volume."""
        volumes = self.what_if.volumes
        return tuple(
            cost_usd_ac(terms, one.volume_gal_ac) for terms, one in zip(self.terms, volumes, strict=True)
        )

    @cached_property
    def area_ac(self) -> Floats:
        """Areas of the zones."""
        return np.array([one.area_ac for one in self.what_if.zones])

    @cached_property
    def loss_bu_ac(self) -> Floats:
        """Crop that wheel tracks press down on a driven acre."""
        return np.array([one.track_loss_bu_ac for one in self.what_if.zones])

    @cached_property
    def on_swaths_ac(self) -> Floats:
        """Area of each zone on each group of swaths, shape (groups, zones)."""
        on = np.zeros((len(self.what_if.swaths), len(self.what_if.zones)))
        for row, group in enumerate(self.what_if.swaths):
            for place, area_ac in group:
                on[row, place] = area_ac
        return on

    @cached_property
    def fixed(self) -> tuple[Action | None, ...]:
        """What the user, or else the plan, decided of each zone; None where the figures decide."""
        return tuple(self._fixed(one) for one in self.what_if.zones)

    def _fixed(self, one: WhatIfZone) -> Action | None:
        if one.visit < 0 or self.steps(one) is None:
            return "skip"
        return self.forced.get(one.zone, one.stands)

    def steps(self, one: WhatIfZone) -> Steps | None:
        """Give the response of a zone by the source that is asked, shape (days, draws)."""
        return one.steps.get(self.figures.source)

    @cached_property
    def visit_bu(self) -> tuple[Floats | None, ...]:
        """Give the bushels that each zone gains in its visit in each draw, tracks not taken off."""
        return tuple(self._visit_bu(one) for one in self.what_if.zones)

    def _visit_bu(self, one: WhatIfZone) -> Floats | None:
        steps = self.steps(one)
        if steps is None or one.visit < 0:
            return None
        of_days = in_bushels(steps[: one.visit_days].astype(np.float32)).T
        return np.asarray(one.area_ac * np.mean(of_days, axis=0))

    @cached_property
    def mean_bu(self) -> Floats:
        """Give the mean of `visit_bu`; 0 where there is none."""
        return np.array([0.0 if bushels is None else float(bushels.mean()) for bushels in self.visit_bu])

    def anyway_frac(self, taken: Bools) -> Floats:
        """Share of each zone on swaths that the other zones of a set make the machine drive."""
        on = self.on_swaths_ac
        others = ((on > 0) & taken).sum(axis=1)[:, np.newaxis] - ((on > 0) & taken)
        shared_ac = np.where(others > 0, on, 0).sum(axis=0)
        none = np.zeros(len(taken))
        return np.asarray(np.divide(shared_ac, self.area_ac, out=none, where=self.area_ac > 0))

    def tracks_bu(self, taken: Bools, beside: Bools) -> float:
        """Bushels pressed down on the swaths that a set makes the machine drive, and `beside` does not."""
        holds = self.on_swaths_ac > 0
        driven = (holds & taken).any(axis=1) & ~(holds & beside).any(axis=1)
        return float((self.on_swaths_ac[driven] @ self.loss_bu_ac).sum())

    def visit_costs_usd(self, taken: Bools) -> float:
        """Cost of entering the field to spray some zones: per visit, bill, top-up to the minimum, load."""
        one = self.what_if
        area_ac = float(self.area_ac[taken].sum())
        by_field = one.pass_counts == "field"
        field_usd = one.share_of_cost_frac * self.figures.pass_usd_ac * one.field_ac if by_field else 0.0
        billed = field_usd + max(terms.pass_usd_ac for terms in self.terms) * area_ac
        is_part = one.goes_anyway and area_ac < float(self.area_ac.sum()) - _SLACK
        top_up = max(one.minimum_bill_usd - billed, 0.0)
        return one.per_visit_usd + field_usd + top_up + (one.split_load_usd if is_part else 0.0)

    def returned(self, place: int, anyway_frac: float) -> Reckoned | None:
        """Reckon a zone with its own tracks, or, where it is not wanted, with those that are avoidable."""
        loss_bu_ac = self.what_if.zones[place].track_loss_bu_ac
        if self.steps(self.what_if.zones[place]) is None:
            return None
        found = self._reckoned(place, loss_bu_ac)
        if not found.wanted and loss_bu_ac * anyway_frac > 0:
            return self._reckoned(place, loss_bu_ac * (1 - anyway_frac))
        return found

    @cached_property
    def _known(self) -> dict[tuple[int, float], Reckoned]:
        return {}

    def _reckoned(self, place: int, loss_bu_ac: float) -> Reckoned:
        """Reckon a zone, once for each loss that is asked about."""
        if (place, loss_bu_ac) not in self._known:
            one = self.what_if.zones[place]
            terms, cost = self.terms[one.volume], self.cost_usd_ac[one.volume]
            row = self._judged_on(one).astype(np.float32)
            least_step = least_paying_step(terms, cost, loss_bu_ac)
            figures = figures_of(sums_of(row, least_step, terms.rule), terms, cost, loss_bu_ac)
            self._known[place, loss_bu_ac] = Reckoned(
                net_mean_usd_ac=float(figures.net_usd_ac[0]),
                chance_frac=float(figures.chance_frac[0]),
                break_even_response_bu_ac=needed_response_bu_ac(terms, cost, loss_bu_ac),
                wanted=bool(figures.passes_rule[0]),
                track_loss_bu_ac=loss_bu_ac,
            )
        return self._known[place, loss_bu_ac]

    def range_usd_ac(self, place: int, found: Reckoned) -> tuple[float, float]:
        """Give the 80 % range of what a sprayed acre of a zone returns."""
        one = self.what_if.zones[place]
        response_bu_ac = self._judged_on(one)[0].astype(np.float64) / STEPS_PER_BU
        terms, cost = self.terms[one.volume], self.cost_usd_ac[one.volume]
        return range_of(net_usd_ac(response_bu_ac, terms, cost, found.track_loss_bu_ac))

    def _judged_on(self, one: WhatIfZone) -> Steps:
        return one.steps[self.figures.source][one.judged_on : one.judged_on + 1]
