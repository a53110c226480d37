"""What every option of a zone returns in each draw of its stages, the response averaged out.

A count tells of the stages and nothing of the response, so only the stages may be weighed; a draw's own
response would look like knowledge. Chooses nothing; visits belong to the passes.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.returns.costs import cost_usd_ac
from zoning.returns.curve import effect
from zoning.returns.factors import volume_frac, yield_frac
from zoning.returns.mixture import split_draws
from zoning.returns.rounded import net_usd_ac
from zoning.returns.terms import Floats, Terms, ZoneCase

Days = npt.NDArray[np.int64]
_RESPONSES = 64  # method: responses, evenly over their ranks, that stand for all where a chance is asked for


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ByStage:
    """Options of a zone in each draw of its stages; arrays of shape (draws, options).

    `day` has shape (options,). `net_usd_ac` is the mean net return of a sprayed acre, own wheel tracks
    included; `chance_frac` the chance of a net above 0 and `loss_usd_ac` the mean of what is lost below 0,
    both without options under the rule "expected", which asks for neither. `terms` hold the rule.
    """

    day: Days
    net_usd_ac: Floats
    chance_frac: Floats
    loss_usd_ac: Floats
    terms: Terms


def by_stage(
    case: ZoneCase,
    days: Days,
    volumes_gal_ac: Sequence[float],
    terms: Sequence[Terms],
    is_open: npt.NDArray[np.bool_],
) -> ByStage:
    """Say what every open option returns in each draw of the stages.

    Parameters
    ----------
    case : ZoneCase
        The zone.
    days : array of int, shape (days,)
        Days of spraying. [day number]
    volumes_gal_ac : sequence of float
        Carrier volumes; empty where there is no sprayer. [gal/ac]
    terms : sequence of Terms
        One for each volume; they hold one rule.
    is_open : array of bool, shape (days, volumes)
        Options that label and stage allow.

    Returns
    -------
    ByStage
        Volumes that cost the same and cover alike on the same days stand once. Nothing is rounded.

    Examples
    --------
    The mean over the draws is what `price.price` says, but for its rounding.

    >>> from zoning.returns.costs import terms
    >>> from zoning.returns.draws import response_draws
    >>> from zoning.returns.sources import pooled
    >>> from zoning.settings.model import Money
    >>> from zoning.stage.draws import StageDraws
    >>> draws = response_draws(pooled("seen"), seed=1, field="a", zone=1, draws=8)
    >>> stage = StageDraws(np.tile([0.0, 3, 13, 22, 29, 44, 62], (8, 1)))
    >>> zone = ZoneCase(zone=1, area_ac=40, mixture=pooled("seen"), response_draws_bu_ac=draws, stage=stage,
    ...     curve="published", expected_yield_bu_ac=58, track_loss_bu_ac=0, volume_matters=False)
    >>> money = terms(Money(grain_price="10 USD/bu", product="19 USD/ac"), pass_usd_ac=9)
    >>> found = by_stage(zone, np.array([17]), (15.0, 20.0), (money, money), np.ones((1, 2), dtype=bool))
    >>> found.net_usd_ac.shape, round(float(found.net_usd_ac.mean()), 1)
    ((8, 1), 17.4)
    """
    volumes: tuple[float | None, ...] = tuple(volumes_gal_ac) or (None,)
    ground_frac = yield_frac(case.expected_yield_bu_ac)
    seen: dict[tuple[float, float, Terms, bytes], tuple[Days, Floats, Floats, Floats]] = {}
    for column, (volume, of_volume) in enumerate(zip(volumes, terms, strict=True)):
        factor, cost = ground_frac * volume_frac(volume, case.volume_matters), cost_usd_ac(of_volume, volume)
        key = (factor, cost, of_volume, is_open[:, column].tobytes())
        if key not in seen:
            when = days[is_open[:, column]]
            seen[key] = (when, *_by_stage(case, when, (factor, cost), of_volume))
    day, net, share, loss = (np.concatenate(parts, axis=-1) for parts in zip(*seen.values(), strict=True))
    return ByStage(day=day, net_usd_ac=net, chance_frac=share, loss_usd_ac=loss, terms=terms[0])


def _by_stage(
    case: ZoneCase, days: Days, option: tuple[float, float], terms: Terms
) -> tuple[Floats, Floats, Floats]:
    """Mean net, chance above 0 and mean loss below 0 of one volume, each (draws, days)."""
    factor, cost = option
    stage = effect(case.curve, case.stage.begin_day, days)
    split = split_draws(case.mixture, case.response_draws_bu_ac)

    def net(low_bu_ac: float, responding_bu_ac: float) -> Floats:
        response = factor * (low_bu_ac * stage.low_frac + responding_bu_ac * stage.responding_frac)
        return net_usd_ac(response, terms, cost, case.track_loss_bu_ac)

    mean = net(float(split[0].mean()), float(split[1].mean()))
    if terms.rule == "expected":
        return mean, mean[:, :0], mean[:, :0]
    some = _evenly(case.response_draws_bu_ac)
    share, loss = np.zeros_like(mean), np.zeros_like(mean)
    for draw in some:
        of_draw = net(float(split[0][draw]), float(split[1][draw]))
        share += (of_draw > 0) / len(some)
        loss += np.maximum(-of_draw, 0) / len(some)
    return mean, share, loss


def _evenly(response_bu_ac: Floats) -> Days:
    """Pick draws evenly over the ranks of the response."""
    order = np.argsort(response_bu_ac, kind="stable")
    wanted = min(_RESPONSES, len(order))
    return np.asarray(order[((np.arange(wanted) + 0.5) * len(order) / wanted).astype(np.int64)])
