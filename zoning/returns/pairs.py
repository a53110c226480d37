"""How many pairs of a sprayed and an unsprayed strip it takes to see a response, and what few pairs show.

A pair is the unit: points of a yield monitor within a strip are no replicates.
"""

import math
from typing import Literal

from zoning.evidence import number

Sides = Literal[1, 2]

LEAST_PAIRS = 2  # eq. one degree of freedom


def pair_sd_bu_ac() -> float:
    """SD of the difference within one pair of strips, over many farms; many single trials had less [bu/ac].

    Examples
    --------
    >>> pair_sd_bu_ac()
    3.5
    """
    return number("returns.pair_sd_bu_ac")


def power(
    pairs: int,
    difference_bu_ac: float,
    pair_sd_bu_ac: float,
    level_frac: float = 0.10,  # method: one trial in ten without a response may seem to show one
    sided: Sides = 1,
) -> float:
    """Chance that a paired trial shows a response that is there.

    Parameters
    ----------
    pairs : int
        Pairs of strips, at least 2.
    difference_bu_ac : float
        The true mean response. [bu/ac]
    pair_sd_bu_ac : float
        SD of the difference within one pair, above 0. [bu/ac]
    level_frac : float
        Chance that a trial without a response seems to show one. [1]
    sided : {1, 2}
        1: only a gain counts as shown; 2: a loss as well.

    Returns
    -------
    float
        [1]

    Raises
    ------
    ValueError
        With fewer than two pairs, or an SD or a level that cannot be.

    Notes
    -----
    Exact, by the noncentral t distribution with pairs - 1 degrees of freedom.

    Examples
    --------
    >>> round(power(2, 3, 3.5), 2), round(power(8, 3, 3.5), 2)
    (0.31, 0.84)
    """
    from scipy.special import stdtrit  # late: scipy is slow to import, and few commands ask

    _check(pairs, pair_sd_bu_ac, level_frac)
    free = pairs - 1
    # eq. t of the trial ~ noncentral t(n - 1, D sqrt(n) / sd)
    shift = difference_bu_ac * math.sqrt(pairs) / pair_sd_bu_ac
    least_t = float(stdtrit(free, 1 - level_frac / sided))
    shown = 1 - _chance_below(least_t, free, shift)
    return shown + _chance_below(-least_t, free, shift) if sided == 2 else shown


def _chance_below(score: float, free: int, shift: float) -> float:
    """Distribution function of the noncentral t; the library has no value where it is all but 0 or 1."""
    from scipy.special import nctdtr  # late: as above

    below = float(nctdtr(free, shift, score))
    if math.isnan(below):
        return 0.0 if shift > score else 1.0
    return below


def pairs_needed(
    difference_bu_ac: float,
    pair_sd_bu_ac: float,
    power_frac: float = 0.80,  # method: four trials of five shall show what is there
    level_frac: float = 0.10,  # method: one trial in ten without a response may seem to show one
    sided: Sides = 1,
) -> int:
    """Fewest pairs of strips that show a response with a given chance.

    Parameters
    ----------
    difference_bu_ac : float
        The mean response to be seen, above 0. [bu/ac]
    pair_sd_bu_ac : float
        SD of the difference within one pair, above 0. [bu/ac]
    power_frac : float
        The chance that is asked for, below 1. [1]
    level_frac, sided
        As in `power`.

    Returns
    -------
    int
        At least 2.

    Raises
    ------
    ValueError
        When the response is not above 0, or another figure cannot be.

    Examples
    --------
    >>> pairs_needed(3, 3.5), pairs_needed(3, 3.5, level_frac=0.05, sided=2)
    (8, 13)
    """
    if difference_bu_ac <= 0:
        raise ValueError("the response to be seen must be above 0")
    if not 0 < power_frac < 1:
        raise ValueError("the chance asked for must lie between 0 and 1")

    def shows(pairs: int) -> bool:
        return power(pairs, difference_bu_ac, pair_sd_bu_ac, level_frac, sided) >= power_frac

    enough = LEAST_PAIRS
    while not shows(enough):
        enough *= 2
    too_few = enough // 2  # not enough, or less than a trial has
    while enough - too_few > 1:
        half = (enough + too_few) // 2
        too_few, enough = (too_few, half) if shows(half) else (half, enough)
    return enough


def _check(pairs: int, pair_sd_bu_ac: float, level_frac: float) -> None:
    if pairs < LEAST_PAIRS:
        raise ValueError("a trial has at least two pairs")
    if pair_sd_bu_ac <= 0:
        raise ValueError("the SD of a pair must be above 0")
    if not 0 < level_frac < 1:
        raise ValueError("the level must lie between 0 and 1")
