"""Does a pass pay? From price, cost and response alone, under each source, with what belongs beside it."""

from dataclasses import dataclass, replace
from math import isfinite

from zoning.evidence import number
from zoning.questions.bet import Bet
from zoning.returns.curve import MID_R3_POSITION
from zoning.returns.mixture import mean, sd
from zoning.returns.pairs import pair_sd_bu_ac, pairs_needed
from zoning.returns.price import NO_PRICE_PAYS
from zoning.returns.reasons import stopped
from zoning.returns.response import mixture_for
from zoning.returns.sources import curve_for, sources
from zoning.returns.terms import Flip, Mixture
from zoning.returns.worth import Question, Worth, worth
from zoning.settings.model import Source
from zoning.words import Said

# The middle of each stage as a position on the stage curve.
_MIDDLE = {name: MID_R3_POSITION + step for step, name in enumerate(("R1", "R2", "R3", "R4", "R5"), start=-2)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """A response: what is expected, and how far it may lie from that."""

    mean_bu_ac: float
    sd_bu_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnTrials:
    """What was believed in the middle of R3 before the own trials, what they say, and what is believed now.

    The SD of the trials is how far their mean may lie from the next season's response.
    """

    before: Belief
    trials: Belief
    after: Belief


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What `worth` answers; nothing but `stopped` where no return is reckoned.

    `practice_mean_bu_ac` is what the practice series expects in the middle of R3, `published_mean_bu_ac` what
    trials had. `strip_pairs` is how many pairs show the needed response, None where none or too many would.
    """

    stopped: Said | None = None
    chosen: Worth | None = None
    by_source: dict[Source, Worth | None]
    own: OwnTrials | None = None
    published_mean_bu_ac: float
    practice_mean_bu_ac: float
    strip_pairs: int | None = None


def answer_of(bet: Bet) -> Answer:
    """Answer under the chosen source, and under each other beside it.

    Parameters
    ----------
    bet : Bet

    Returns
    -------
    Answer
        With white mold as target: why no return is reckoned, and nothing else.
    """
    published = number("returns.published_mean_bu_ac")
    practice = mean(mixture_for("practice series", bet.response, bet.place))
    why = stopped(bet.target)
    if why is not None:
        return Answer(stopped=why, by_source={}, published_mean_bu_ac=published, practice_mean_bu_ac=practice)
    named: tuple[Source, ...] = ("pooled trials", "practice series", "own trials")
    asked = sources(bet.response)
    by_source = {one: _worth(bet, one) if one in asked else None for one in named}
    chosen = by_source[bet.response.source]
    if chosen is None:
        raise AssertionError("the chosen source was not asked")
    return Answer(
        chosen=chosen,
        by_source=by_source,
        own=_own_trials(bet) if "own trials" in asked else None,
        published_mean_bu_ac=published,
        practice_mean_bu_ac=practice,
        strip_pairs=strip_pairs(chosen.break_even_response_bu_ac),
    )


def _worth(bet: Bet, source: Source) -> Worth:
    is_chosen = source == bet.response.source
    moves = bet.place.severity_pct is not None and source != "practice series"
    answer = worth(
        Question(
            mixture=mixture_for(source, bet.response, bet.place),
            price_usd_bu=bet.price_usd_bu,
            cost_usd_ac=bet.cost_usd_ac,
            expected_yield_bu_ac=bet.expected_yield_bu_ac,
            track_loss_bu_ac=bet.track_loss_bu_ac,
            curve=bet.curve if is_chosen else curve_for(source, bet.response),
            stage_position=_MIDDLE[bet.stage],
            rule=bet.rule,
            at_severity=(lambda pct: _at_severity(bet, source, pct)) if moves else None,
        ),
        metric=bet.metric,
    )
    return _at_the_elevator(answer, bet.share_of_grain_frac)


def _at_the_elevator(answer: Worth, share_of_grain_frac: float) -> Worth:
    """Turn what a bushel brings the grower into the price at the elevator, in every figure."""

    def bid(price_usd_bu: float) -> float:
        return min(NO_PRICE_PAYS, price_usd_bu / share_of_grain_frac)

    prices = (Flip(name="price", value=bid(one.value)) for one in answer.flips if one.name == "price")
    return replace(
        answer,
        break_even_price_usd_bu=bid(answer.break_even_price_usd_bu),
        flips=(
            *(one for one in prices if one.value < NO_PRICE_PAYS),
            *(one for one in answer.flips if one.name != "price"),
        ),
        table=tuple(
            tuple(replace(cell, price_usd_bu=bid(cell.price_usd_bu)) for cell in row) for row in answer.table
        ),
    )


def _at_severity(bet: Bet, source: Source, severity_pct: float) -> Mixture:
    return mixture_for(source, bet.response, replace(bet.place, severity_pct=severity_pct))


def _own_trials(bet: Bet) -> OwnTrials:
    """Compare what is believed of this place without the own trials and with them, in the middle of R3."""
    response = bet.response
    if response.mean_bu_ac is None or response.se_bu_ac is None:
        raise AssertionError("own trials without their mean and standard error")
    before = mixture_for("pooled trials", response, replace(bet.place, groups=0))
    season_sd = number("returns.own_trials_year_sd_bu_ac")
    about_next = (response.se_bu_ac**2 + season_sd**2 / (response.years or 1)) ** 0.5
    return OwnTrials(
        before=_belief(before),
        trials=Belief(mean_bu_ac=response.mean_bu_ac, sd_bu_ac=about_next),
        after=_belief(mixture_for("own trials", response, bet.place)),
    )


def _belief(mixture: Mixture) -> Belief:
    return Belief(mean_bu_ac=mean(mixture), sd_bu_ac=sd(mixture))


def strip_pairs(response_bu_ac: float) -> int | None:
    """Count the pairs of strips that would show a response four times in five; None where that is no trial.

    Examples
    --------
    >>> strip_pairs(3.0), strip_pairs(0.0), strip_pairs(0.1)
    (8, None, None)
    """
    if not isfinite(response_bu_ac) or response_bu_ac <= 0:
        return None
    pairs = pairs_needed(response_bu_ac, pair_sd_bu_ac())
    return pairs if pairs <= number("returns.most_pairs_shown") else None
