"""Spray or skip by the user's rule, in closed form on a mixture; and which figure would turn it.

For the question without a field. A zone of a field is judged on its draws, by `rule` and `flips`.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from zoning.evidence import number
from zoning.returns.mixture import columns, exceedance, mean, normal_cdf, scores
from zoning.returns.price import NO_PRICE_PAYS
from zoning.returns.terms import Flip, Mixture
from zoning.returns.turning import turning

Verdict = Literal["spray", "skip", "toss_up", "chance_low", "cautious"]

_REACH_SD = 10.0  # method: a mean this many SDs above what is needed pays under any rule
_MOST_PCT = 100.0  # eq. a leaf area
_LEAST_USD_BU = 1e-6  # method: of the bracket of the price


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """How it is decided, as in [money]; left out, `min_chance_frac` and `loss_weight` ask for nothing."""

    name: Literal["expected", "chance", "cautious"] = "expected"
    min_net_usd_ac: float = 0.0
    min_chance_frac: float = 0.0
    loss_weight: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stake:
    """A price, a cost, and the response at the stage of spraying.

    `track_loss_bu_ac` is the crop that new wheel tracks take.
    """

    mixture: Mixture
    price_usd_bu: float
    cost_usd_ac: float
    track_loss_bu_ac: float = 0.0

    @property
    def needed_bu_ac(self) -> float:
        """Response at which the pass just pays."""
        return self.cost_usd_ac / self.price_usd_bu + self.track_loss_bu_ac

    @property
    def net_usd_ac(self) -> float:
        """Expected net return."""
        return self.price_usd_bu * (mean(self.mixture) - self.needed_bu_ac)


def verdict(stake: Stake, rule: Rule) -> Verdict:
    """Judge one stake.

    Parameters
    ----------
    stake : Stake
    rule : Rule

    Returns
    -------
    str
        "spray", or why not: "skip" where a loss is expected, "toss_up" where the net return is not above
        `min_net`, "chance_low" and "cautious" where only that rule says no.

    Examples
    --------
    >>> from zoning.returns.sources import pooled
    >>> stake = Stake(mixture=pooled("unknown"), price_usd_bu=10.4, cost_usd_ac=16)
    >>> verdict(stake, Rule()), verdict(stake, Rule(min_net_usd_ac=3))
    ('spray', 'toss_up')
    >>> verdict(stake, Rule(name="chance", min_chance_frac=0.5))
    'chance_low'
    """
    net_usd_ac = stake.net_usd_ac
    if net_usd_ac <= 0:
        return "skip"
    if net_usd_ac <= rule.min_net_usd_ac:
        return "toss_up"
    if rule.name == "chance" and exceedance(stake.mixture, stake.needed_bu_ac) < rule.min_chance_frac:
        return "chance_low"
    if rule.name == "cautious":
        gain_usd_ac = stake.price_usd_bu * gain_bu_ac(stake.mixture, stake.needed_bu_ac)
        loss_usd_ac = gain_usd_ac - net_usd_ac
        return "spray" if gain_usd_ac - rule.loss_weight * loss_usd_ac > 0 else "cautious"
    return "spray"


def gain_bu_ac(mixture: Mixture, needed_bu_ac: float) -> float:
    """Give the mean of what the response is above a threshold, 0 where it is below [bu/ac].

    Examples
    --------
    >>> from zoning.returns.terms import Part
    >>> part = Part(weight=1, low_bu_ac=2, responding_bu_ac=0, sd_bu_ac=0)
    >>> gain_bu_ac(Mixture((part,)), 1.5), gain_bu_ac(Mixture((part,)), 2.5)
    (0.5, 0.0)
    """
    weight, middle, spread = columns(mixture)
    score = scores(middle, needed_bu_ac, spread)
    # eq. E[max(0, D - b)] of a normal part = (m - b) Phi(z) + s phi(z), z = (m - b) / s
    density = np.exp(-0.5 * np.square(score)) / np.sqrt(2 * np.pi)
    return float(weight @ ((middle - needed_bu_ac) * normal_cdf(score) + spread * density))


def flips(
    stake: Stake, rule: Rule, at_severity: Callable[[float], Mixture] | None = None
) -> tuple[Flip, ...]:
    """Name what would turn the verdict, one figure at a time, everything else staying as it is.

    Parameters
    ----------
    stake : Stake
    rule : Rule
    at_severity : callable, optional
        The mixture at another severity near R6 [%]; None where the response comes from no severity.

    Returns
    -------
    tuple of Flip
        Price, cost, response (its mean, the spread staying) and severity; what cannot turn it is left out.

    Examples
    --------
    >>> from zoning.returns.sources import pooled
    >>> stake = Stake(mixture=pooled("unknown"), price_usd_bu=10.4, cost_usd_ac=30)
    >>> [(flip.name, round(flip.value, 2)) for flip in flips(stake, Rule())]
    [('price', 18.73), ('cost', 16.66), ('response', 2.88)]
    """
    expected_bu_ac = mean(stake.mixture)
    pays_usd_ac = stake.price_usd_bu * max(0.0, expected_bu_ac - stake.track_loss_bu_ac)
    reach_bu_ac = stake.needed_bu_ac + rule.min_net_usd_ac / stake.price_usd_bu
    reach_bu_ac += _REACH_SD * float(columns(stake.mixture)[2].max()) + abs(expected_bu_ac) + 1

    def sprays(other: Stake) -> bool:
        return verdict(other, rule) == "spray"

    def costs(cost_usd_ac: float) -> bool:  # turned round: a higher cost never turns skip into spray
        return sprays(replace(stake, cost_usd_ac=pays_usd_ac - cost_usd_ac))

    def responds(expected: float) -> bool:
        return sprays(replace(stake, mixture=_shifted(stake.mixture, expected - expected_bu_ac)))

    def pays(price_usd_bu: float) -> bool:
        return sprays(replace(stake, price_usd_bu=price_usd_bu))

    can_pay = expected_bu_ac - stake.track_loss_bu_ac > number("returns.least_response_bu_ac")
    saved_usd_ac = turning(costs, 0.0, pays_usd_ac)
    found: list[tuple[Literal["price", "cost", "response", "severity"], float | None]] = [
        ("price", turning(pays, _LEAST_USD_BU, NO_PRICE_PAYS) if can_pay else None),
        ("cost", None if saved_usd_ac is None else pays_usd_ac - saved_usd_ac),
        ("response", turning(responds, expected_bu_ac - reach_bu_ac, expected_bu_ac + reach_bu_ac)),
    ]
    if at_severity is not None:
        of = at_severity
        by_pct = turning(lambda pct: sprays(replace(stake, mixture=of(pct))), 0.0, _MOST_PCT)
        found.append(("severity", by_pct))
    return tuple(Flip(name=name, value=value) for name, value in found if value is not None)


def _shifted(mixture: Mixture, by_bu_ac: float) -> Mixture:
    return Mixture(tuple(replace(part, low_bu_ac=part.low_bu_ac + by_bu_ac) for part in mixture.parts))
