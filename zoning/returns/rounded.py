"""The response of an option in whole steps of 1/20 bu/ac, and what its draws say.

Everyone computes with the same rounded draws: the search, the settlement, the page. As whole numbers they
fit into 32 bits without a loss, their sums are exact in any order, and a draw pays from one step on.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import floor, inf, isfinite
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from zoning.returns.costs import needed_response_bu_ac
from zoning.returns.curve import Effect, effect
from zoning.returns.rule import wanted
from zoning.returns.sources import Curve
from zoning.returns.terms import Floats, Terms
from zoning.stage.draws import StageDraws

STEPS_PER_BU = 20  # method: draws are rounded to 1/20 bu/ac

Split = tuple[Floats, Floats]
Steps = npt.NDArray[np.float32]
_Bushels = TypeVar("_Bushels", Floats, float)


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """The shares of an `Effect`, shape (days, draws), and the days that are offered, shape (days,)."""

    low_frac: npt.NDArray[np.float32]
    responding_frac: npt.NDArray[np.float32]
    offered: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Sums:
    """Sums over the draws of one option, exact; arrays of shape (days,) or more of them together.

    `draws` is how many there are; `paying` how many of them bring a net return above 0; `steps` is the sum
    of all and `paying_steps` that of those that pay, the latter counted under the rule "cautious" only.
    """

    draws: Floats | float
    steps: Floats
    paying: Floats
    paying_steps: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """What the draws say of an option; arrays of the shape of the sums. [bu/ac, USD/ac, 1, whether]."""

    response_bu_ac: Floats
    net_usd_ac: Floats
    chance_frac: Floats
    passes_rule: npt.NDArray[np.bool_]


def sprayed_response(split: Split, stage: Effect, factor: float) -> Floats:
    """Response after stage and factors, rounded to 0.05 bu/ac; shape (draws, days) [bu/ac].

    Parameters
    ----------
    split : (low, responding)
        From `mixture.split_draws`, each of shape (draws,). [bu/ac]
    stage : Effect
        Shares left, shape (draws, days).
    factor : float
        Share left by carrier volume and poor ground. [1]

    Examples
    --------
    >>> half = Effect(np.full((1, 1), 0.5), np.zeros((1, 1)), np.ones((1, 1), dtype=bool))
    >>> sprayed_response((np.array([1.33]), np.array([3.0])), half, 1.0).tolist()  # .665
    [[0.65]]
    """
    return in_bushels(steps_of(split, shares_of(stage), factor))


def in_bushels(steps: Steps) -> Floats:
    """Turn steps, shape (days, draws), into a response of shape (draws, days) [bu/ac]."""
    return steps.T.astype(np.float64) / STEPS_PER_BU


def shares_of(stage: Effect) -> Shares:
    """Lay the shares out for speed; a day is offered if at least half of its draws are supported."""
    return Shares(
        np.ascontiguousarray(stage.low_frac.T, dtype=np.float32),
        np.ascontiguousarray(stage.responding_frac.T, dtype=np.float32),
        np.count_nonzero(stage.supported, axis=0) * 2 >= stage.supported.shape[0],
    )


@lru_cache(maxsize=64)  # method: blocks remembered, since a field is priced with tracks, without, by source
def shares_on(curve: Curve, stage: StageDraws, days: tuple[int, ...]) -> Shares:
    """Give the shares of a block on some days, once."""
    return shares_of(effect(curve, stage.begin_day, days))


def steps_of(split: Split, shares: Shares, factor: float) -> Steps:
    """Response after stage and factors in whole steps, shape (days, draws)."""
    scale = factor * STEPS_PER_BU
    low, responding = ((part * scale).astype(np.float32) for part in split)
    steps = low * shares.low_frac
    steps += responding * shares.responding_frac
    np.rint(steps, out=steps)
    return steps


def sums_of(steps: Steps, least_step: float, rule: str) -> Sums:
    """Add up the draws of one option.

    Parameters
    ----------
    steps : Steps
        From `steps_of`.
    least_step : float
        From `least_paying_step`.
    rule : {"expected", "chance", "cautious"}
        The last is the only one that looks at the gain.
    """
    is_paying = steps >= least_step
    paying = np.add.reduce(is_paying.view(np.int8), axis=1, dtype=np.int32)  # twice as fast as to count them
    every = np.add.reduce(steps, axis=1, dtype=np.float64)
    gaining = np.add.reduce(steps * is_paying, axis=1, dtype=np.float64) if rule == "cautious" else every
    return Sums(float(steps.shape[1]), every, paying.astype(np.float64), gaining)


def figures_of(sums: Sums, terms: Terms, cost_usd_ac: float, track_loss_bu_ac: Floats | float) -> Figures:
    """Turn sums into figures, here and nowhere else.

    Parameters
    ----------
    sums : Sums
        From `sums_of`.
    terms : Terms
        Price and rule.
    cost_usd_ac : float
        Avoidable cost of a treated acre. [USD/ac]
    track_loss_bu_ac : array
        Crop pressed down by this pass. [bu/ac]
    """

    def mean_usd_ac(steps: Floats, some: Floats | float) -> Floats:
        gain = terms.price_usd_bu * (steps / STEPS_PER_BU - some * track_loss_bu_ac)
        return np.asarray((gain - some * cost_usd_ac) / sums.draws)

    chance = sums.paying / sums.draws
    net = mean_usd_ac(sums.steps, sums.draws)
    gain = mean_usd_ac(sums.paying_steps, sums.paying)
    return Figures(sums.steps / (sums.draws * STEPS_PER_BU), net, chance, wanted((net, chance, gain), terms))


def least_paying_step(terms: Terms, cost_usd_ac: float, track_loss_bu_ac: float) -> float:
    """Smallest whole step of the response whose net return is above 0; infinite where none is.

    Examples
    --------
    >>> from zoning.returns.costs import terms
    >>> from zoning.settings.model import Money
    >>> at_10 = terms(Money(grain_price="10 USD/bu", product="20 USD/ac"), pass_usd_ac=10)
    >>> least_paying_step(at_10, 30, 0.0)  # at 60 steps, 3 bu/ac, nothing is left
    61
    """
    needed = needed_response_bu_ac(terms, cost_usd_ac, track_loss_bu_ac) * STEPS_PER_BU
    if not isfinite(needed) or needed + 1 == needed:  # so much that single steps no longer count
        return inf
    # judged step by step with the arithmetic of the draws, since `needed` itself has been rounded
    step = floor(needed) - 1
    while net_usd_ac(step / STEPS_PER_BU, terms, cost_usd_ac, track_loss_bu_ac) <= 0:
        step += 1
    return step


def net_usd_ac(
    response_bu_ac: _Bushels, terms: Terms, cost_usd_ac: float, track_loss_bu_ac: float
) -> _Bushels:
    """Net return of a sprayed acre, same shape as the response [USD/ac]."""
    return terms.price_usd_bu * (response_bu_ac - track_loss_bu_ac) - cost_usd_ac
