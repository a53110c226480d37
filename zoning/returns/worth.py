"""Does a pass pay, without a field: a price, a cost and a response in, a few figures out.

In closed form on the mixture, no draws; the day is a stage position, not a forecast.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from zoning.evidence import number, numbers
from zoning.returns.curve import MID_R3_POSITION, at
from zoning.returns.factors import yield_frac
from zoning.returns.mixture import exceedance, mean, sd, with_stage
from zoning.returns.price import NO_PRICE_PAYS
from zoning.returns.sources import Curve
from zoning.returns.terms import Flip, Mixture
from zoning.returns.verdict import Rule, Stake, Verdict, flips, gain_bu_ac, verdict
from zoning.units import bu_ac_from_t_ha

_PER_T = 1000  # eq. kg


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What `worth` is asked.

    `price_usd_bu` is what a bushel brings the grower, `cost_usd_ac` the avoidable cost of a treated acre;
    `stage_position` is 3.5 in the middle of R3. `at_severity` gives the response at another severity near R6
    [%], where it comes from one.
    """

    mixture: Mixture
    price_usd_bu: float
    cost_usd_ac: float
    expected_yield_bu_ac: float
    track_loss_bu_ac: float = 0.0
    curve: Curve = "published"
    stage_position: float = MID_R3_POSITION
    rule: Rule = field(default_factory=Rule)
    at_severity: Callable[[float], Mixture] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One price and one cost of the table around the answer.

    `net_at_usd_ac` is the net return should the response be this much: one for each of `Worth.responses`.
    """

    price_usd_bu: float
    cost_usd_ac: float
    net_usd_ac: float
    chance_frac: float
    break_even_response_bu_ac: float
    net_at_usd_ac: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What `worth` answers.

    `perfect_information_usd_ac` is the most that knowing the response beforehand can be worth. `table` has a
    row for each price and a column for each cost, both rising; the middle cell is the question itself.
    """

    verdict: Verdict
    response_mean_bu_ac: float
    response_sd_bu_ac: float
    net_usd_ac: float
    chance_frac: float
    break_even_response_bu_ac: float
    break_even_price_usd_bu: float  # 9999 where no price pays
    perfect_information_usd_ac: float
    flips: tuple[Flip, ...]
    responses_bu_ac: tuple[float, ...]
    table: tuple[tuple[Cell, ...], ...]


def worth(question: Question, *, metric: bool = False) -> Worth:
    """Answer one question.

    Parameters
    ----------
    question : Question
        Price above 0. [USD/bu]
    metric : bool
        Whether the responses of the table are round figures in kg/ha.

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
    >>> from zoning.returns.sources import pooled
    >>> asked = Question(
    ...     mixture=pooled("unknown"), price_usd_bu=10.4, cost_usd_ac=30, expected_yield_bu_ac=58
    ... )
    >>> answer = worth(asked)
    >>> answer.verdict, round(answer.net_usd_ac, 2), round(answer.break_even_response_bu_ac, 3)
    ('skip', -13.34, 2.885)
    """
    if question.price_usd_bu <= 0:
        raise ValueError("the price must be above 0")
    stake = _stake(question, question.mixture)
    at_severity = question.at_severity
    moved = None if at_severity is None else lambda pct: _stake(question, at_severity(pct)).mixture
    responses = responses_bu_ac(metric=metric)
    expected_bu_ac = mean(stake.mixture) - question.track_loss_bu_ac
    pays = expected_bu_ac > number("returns.least_response_bu_ac")
    bid_usd_bu = question.cost_usd_ac / expected_bu_ac if pays else NO_PRICE_PAYS
    return Worth(
        verdict=verdict(stake, question.rule),
        response_mean_bu_ac=mean(stake.mixture),
        response_sd_bu_ac=sd(stake.mixture),
        net_usd_ac=stake.net_usd_ac,
        chance_frac=exceedance(stake.mixture, stake.needed_bu_ac),
        break_even_response_bu_ac=stake.needed_bu_ac,
        break_even_price_usd_bu=min(bid_usd_bu, NO_PRICE_PAYS),
        perfect_information_usd_ac=perfect_information_usd_ac(
            stake.mixture, stake.needed_bu_ac, question.price_usd_bu
        ),
        flips=flips(stake, question.rule, moved),
        responses_bu_ac=responses,
        table=_table(stake, responses),
    )


def _stake(question: Question, mixture: Mixture) -> Stake:
    """Put a response at the stage of spraying, on that ground, at that price and cost."""
    low_frac, responding_frac = (float(share) for share in at(question.curve, question.stage_position))
    return Stake(
        mixture=with_stage(mixture, low_frac, responding_frac, yield_frac(question.expected_yield_bu_ac)),
        price_usd_bu=question.price_usd_bu,
        cost_usd_ac=question.cost_usd_ac,
        track_loss_bu_ac=question.track_loss_bu_ac,
    )


def responses_bu_ac(*, metric: bool) -> tuple[float, ...]:
    """Responses of the table of what if, rising; round in the unit that is shown [bu/ac].

    Examples
    --------
    >>> responses_bu_ac(metric=False)
    (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
    """
    if metric:
        return tuple(bu_ac_from_t_ha(kg / _PER_T) for kg in numbers("returns.table_responses_kg_ha").tolist())
    return tuple(numbers("returns.table_responses_bu_ac").tolist())


def _cell(stake: Stake, responses: Sequence[float]) -> Cell:
    return Cell(
        price_usd_bu=stake.price_usd_bu,
        cost_usd_ac=stake.cost_usd_ac,
        net_usd_ac=stake.net_usd_ac,
        chance_frac=exceedance(stake.mixture, stake.needed_bu_ac),
        break_even_response_bu_ac=stake.needed_bu_ac,
        net_at_usd_ac=tuple(stake.price_usd_bu * (bu_ac - stake.needed_bu_ac) for bu_ac in responses),
    )


def _table(stake: Stake, responses: Sequence[float]) -> tuple[tuple[Cell, ...], ...]:
    prices: list[float] = numbers("returns.sensitivity_price_frac").tolist()
    costs: list[float] = numbers("returns.sensitivity_cost_frac").tolist()
    cells = [
        _cell(
            replace(stake, price_usd_bu=stake.price_usd_bu * price, cost_usd_ac=stake.cost_usd_ac * cost),
            responses,
        )
        for price, cost in product(prices, costs)
    ]
    return tuple(tuple(cells[row : row + len(costs)]) for row in range(0, len(cells), len(costs)))


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
    sprayed_bu_ac = max(0.0, mean(mixture) - needed_bu_ac)
    return price_usd_bu * max(0.0, gain_bu_ac(mixture, needed_bu_ac) - sprayed_bu_ac)
