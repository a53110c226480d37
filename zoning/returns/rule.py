"""The rule that turns net returns into spray or skip, and how far it is from the other answer."""

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
    gain = np.maximum(net_usd_ac, 0).mean(axis=0)
    return wanted((net_usd_ac.mean(axis=0), chance(net_usd_ac), gain), terms)


def wanted(figures: tuple[Floats, Floats, Floats], terms: Terms) -> npt.NDArray[np.bool_]:
    """Whether the rule says spray, from the figures it looks at.

    Parameters
    ----------
    figures : (mean, chance, gain)
        Mean net return, chance of one above 0, and the mean of the draws above 0 with the others as 0; the
        last is looked at under the rule "cautious" only. [USD/ac, 1, USD/ac]
    terms : Terms
        Holds the rule.

    Examples
    --------
    >>> from zoning.returns.costs import terms
    >>> from zoning.settings.model import Money
    >>> careful = terms(Money(grain_price="10 USD/bu", product="20 USD/ac", rule="cautious"), pass_usd_ac=9)
    >>> bool(wanted((np.array(4.0), np.array(0.6), np.array(9.0)), careful))  # loss 5: 9 - 2 x 5 < 0
    False
    """
    mean, share, gain = figures
    enough = mean > terms.min_net_usd_ac
    if terms.rule == "chance":
        return np.asarray(enough & (share >= terms.min_chance_frac))
    if terms.rule == "cautious":
        return np.asarray(enough & (gain - terms.loss_weight * (gain - mean) > 0))
    return np.asarray(enough)


def chance(net_usd_ac: Floats) -> Floats:
    """Share of the draws above 0, shape without the first axis [1].

    Examples
    --------
    >>> float(chance(np.array([-1.0, 0.0, 1.0, 2.0])))
    0.5
    """
    return np.asarray(np.count_nonzero(net_usd_ac > 0, axis=0) / net_usd_ac.shape[0])


def margin_usd_ac(net_usd_ac: Floats, terms: Terms) -> float:
    """Say what can be taken from every draw until the rule says skip; below 0 where it already does [USD/ac].

    The rule says spray exactly where less than that is taken.

    Parameters
    ----------
    net_usd_ac : array, shape (draws,)
        Net return of a sprayed acre in each draw. [USD/ac]
    terms : Terms
        Holds the rule.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from zoning.returns.costs import terms
    >>> from zoning.settings.model import Money
    >>> expected = terms(Money(grain_price="10 USD/bu", product="20 USD/ac"), pass_usd_ac=9)
    >>> net = np.array([-10.0, -10.0, 40.0, 40.0])
    >>> margin_usd_ac(net, expected), margin_usd_ac(net, replace(expected, rule="chance", min_chance_frac=1))
    (15.0, -10.0)
    """
    return min(float(net_usd_ac.mean()) - terms.min_net_usd_ac, spread_margin(net_usd_ac, terms))


def spread_margin(draws: Floats, terms: Terms) -> float:
    """Say what can be taken from every draw until the rule's part about the spread says skip, in their unit.

    That part asks how the draws lie about 0, so it is the same for dollars and for bushels.

    Parameters
    ----------
    draws : array, shape (draws,)
        Of a net return, or of a response less what it must not fall below.
    terms : Terms
        Holds the rule.

    Returns
    -------
    float
        Infinite under "expected", which knows no such part.
    """
    rising = np.sort(draws)
    count = rising.size
    if terms.rule == "chance":
        enough = np.arange(1, count + 1) / count >= terms.min_chance_frac
        if terms.min_chance_frac <= 0 or not enough.any():
            return float("inf") if terms.min_chance_frac <= 0 else float("-inf")
        return float(rising[count - 1 - int(enough.argmax())])
    if terms.rule == "cautious":
        return _balance(rising, terms.loss_weight)
    return float("inf")


def _balance(rising: Floats, weight: float) -> float:
    """Find the k at which the mean of (x - k) above 0 equals `weight` times that of (k - x) above 0."""
    count = rising.size
    below = np.arange(1, count + 1)  # how many draws are not above each draw
    fallen = np.cumsum(rising)
    left = fallen[-1] - fallen
    # eq. g(k) = sum of (x - k) above 0 - w sum of (k - x) above 0: straight between draws, falling
    at_draws = (left - (count - below) * rising) - weight * (below * rising - fallen)
    last = min(int(np.count_nonzero(at_draws >= 0)), count - 1)
    # eq. g(k) = 0 between two draws, `last` of them below k
    under = float(fallen[last - 1]) if last > 0 else 0.0
    return (float(fallen[-1]) - under + weight * under) / (count - last + weight * last)
