"""Does a pass pay, without a field: a price, a cost and a response in, a few figures out.

In closed form on the mixture, no draws; the day is a stage position, not a forecast.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from zoning.evidence import number, numbers
from zoning.returns.curve import MID_R3_POSITION, at
from zoning.returns.factors import yield_frac
from zoning.returns.mixture import columns, exceedance, mean, normal_cdf, scores, sd, with_stage
from zoning.returns.price import NO_PRICE_PAYS
from zoning.returns.response import Curve
from zoning.returns.terms import Mixture


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What `worth` is asked.

    `price_usd_bu` is what a bushel brings the grower, `cost_usd_ac` the avoidable cost of a treated acre;
    `stage_position` is 3.5 in the middle of R3.
    """

    mixture: Mixture
    price_usd_bu: float
    cost_usd_ac: float
    expected_yield_bu_ac: float
    track_loss_bu_ac: float = 0.0
    curve: Curve = "published"
    stage_position: float = MID_R3_POSITION


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell of the table around the answer."""

    price_usd_bu: float
    cost_usd_ac: float
    net_usd_ac: float
    chance_frac: float
    break_even_response_bu_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What `worth` answers.

    `perfect_information_usd_ac` is the most that knowing the response beforehand can be worth. `table` has a
    row for each price and a column for each cost, both rising; the middle cell is the question itself.
    """

    response_mean_bu_ac: float
    response_sd_bu_ac: float
    net_usd_ac: float
    chance_frac: float
    break_even_response_bu_ac: float
    break_even_price_usd_bu: float  # 9999 where no price pays
    perfect_information_usd_ac: float
    table: tuple[tuple[Cell, ...], ...]


def worth(question: Question) -> Worth:
    """Answer one question.

    Parameters
    ----------
    question : Question
        Price above 0. [USD/bu]

    Returns
    -------
    Worth

    Raises
    ------
    ValueError
        When the price is not above 0.

    Notes
    -----
    Chance and value of information of a normal response: Paul et al. 2011, Phytopathology 101:1122-1132
    (chance of no loss), here summed over the parts of the mixture.

    Examples
    --------
    >>> from zoning.returns.response import pooled
    >>> asked = Question(
    ...     mixture=pooled("unknown"), price_usd_bu=10.4, cost_usd_ac=30, expected_yield_bu_ac=58
    ... )
    >>> answer = worth(asked)
    >>> round(answer.net_usd_ac, 2), round(answer.break_even_response_bu_ac, 3)
    (-13.34, 2.885)
    """
    if question.price_usd_bu <= 0:
        raise ValueError("the price must be above 0")
    low_frac, responding_frac = (float(share) for share in at(question.curve, question.stage_position))
    ground = yield_frac(question.expected_yield_bu_ac)
    mixture = with_stage(question.mixture, low_frac, responding_frac, ground)
    middle = _cell(question, mixture)
    expected_bu_ac = mean(mixture) - question.track_loss_bu_ac
    pays = expected_bu_ac > number("returns.least_response_bu_ac")
    bid_usd_bu = question.cost_usd_ac / expected_bu_ac if pays else NO_PRICE_PAYS
    return Worth(
        response_mean_bu_ac=mean(mixture),
        response_sd_bu_ac=sd(mixture),
        net_usd_ac=middle.net_usd_ac,
        chance_frac=middle.chance_frac,
        break_even_response_bu_ac=middle.break_even_response_bu_ac,
        break_even_price_usd_bu=min(bid_usd_bu, NO_PRICE_PAYS),
        perfect_information_usd_ac=perfect_information_usd_ac(
            mixture, middle.break_even_response_bu_ac, question.price_usd_bu
        ),
        table=_table(question, mixture),
    )


def _cell(question: Question, mixture: Mixture) -> Cell:
    needed_bu_ac = question.cost_usd_ac / question.price_usd_bu + question.track_loss_bu_ac
    return Cell(
        price_usd_bu=question.price_usd_bu,
        cost_usd_ac=question.cost_usd_ac,
        net_usd_ac=question.price_usd_bu * (mean(mixture) - needed_bu_ac),
        chance_frac=exceedance(mixture, needed_bu_ac),
        break_even_response_bu_ac=needed_bu_ac,
    )


def _table(question: Question, mixture: Mixture) -> tuple[tuple[Cell, ...], ...]:
    prices: Sequence[float] = numbers("returns.sensitivity_price_frac").tolist()
    costs: Sequence[float] = numbers("returns.sensitivity_cost_frac").tolist()
    return tuple(
        tuple(
            _cell(
                replace(
                    question,
                    price_usd_bu=question.price_usd_bu * price,
                    cost_usd_ac=question.cost_usd_ac * cost,
                ),
                mixture,
            )
            for cost in costs
        )
        for price in prices
    )


def perfect_information_usd_ac(mixture: Mixture, needed_bu_ac: float, price_usd_bu: float) -> float:
    """Most that knowing the response before deciding can be worth [USD/ac].

    Parameters
    ----------
    mixture : Mixture
        Response at the stage of spraying.
    needed_bu_ac : float
        Break-even response, wheel tracks included. [bu/ac]
    price_usd_bu : float
        What a bushel brings. [USD/bu]
    """
    weight, middle, spread = columns(mixture)
    score = scores(middle, needed_bu_ac, spread)
    # eq. E[max(0, D - b)] of a normal part = (m - b) Phi(z) + s phi(z), z = (m - b) / s
    density = np.exp(-0.5 * np.square(score)) / np.sqrt(2 * np.pi)
    gain_bu_ac = float(weight @ ((middle - needed_bu_ac) * normal_cdf(score) + spread * density))
    sprayed_bu_ac = max(0.0, mean(mixture) - needed_bu_ac)
    return price_usd_bu * max(0.0, gain_bu_ac - sprayed_bu_ac)
