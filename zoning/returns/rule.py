"""The rule that turns net returns into spray or skip."""

import numpy as np
import numpy.typing as npt

from zoning.returns.terms import Floats, Terms


def passes(net_usd_ac: Floats, terms: Terms) -> npt.NDArray[np.bool_]:
    """Whether the rule says spray.

    Parameters
    ----------
    net_usd_ac : array, shape (draws, ...)
        Net return of a sprayed acre in each draw, own wheel tracks included. [USD/ac]
    terms : Terms
        Holds the rule. Under every rule the mean must be above `min_net`; "chance" asks also for a share of
        draws above 0, "cautious" that the mean gain outweighs the mean loss `loss_weight` times.

    Returns
    -------
    array of bool, shape (...)

    Examples
    --------
    >>> from dataclasses import replace
    >>> from zoning.returns.costs import terms
    >>> from zoning.settings.model import Money
    >>> expected = terms(Money(grain_price="10 USD/bu", product="20 USD/ac"), pass_usd_ac=9)
    >>> net = np.array([-10.0, -10.0, 40.0])
    >>> bool(passes(net, expected)), bool(passes(net, replace(expected, rule="chance")))
    (True, False)
    """
    enough = net_usd_ac.mean(axis=0) > terms.min_net_usd_ac
    if terms.rule == "chance":
        return np.asarray(enough & (chance(net_usd_ac) >= terms.min_chance_frac))
    if terms.rule == "cautious":
        gain = np.maximum(net_usd_ac, 0).mean(axis=0)
        loss = np.maximum(-net_usd_ac, 0).mean(axis=0)
        return np.asarray(enough & (gain - terms.loss_weight * loss > 0))
    return np.asarray(enough)


def chance(net_usd_ac: Floats) -> Floats:
    """Share of the draws above 0, shape without the first axis [1].

    Examples
    --------
    >>> float(chance(np.array([-1.0, 0.0, 1.0, 2.0])))
    0.5
    """
    return np.asarray(np.count_nonzero(net_usd_ac > 0, axis=0) / net_usd_ac.shape[0])
