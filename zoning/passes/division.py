"""How many zones of a block the passes need: the fewest that keep nearly all that is to be had.

Knows shares only; what they are shares of is priced in `zoning.returns.cells`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from zoning.evidence import number


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockDivision:
    """What each number of zones in a block keeps of the return of a plan for every cell.

    `zones` are the numbers that the layers support, rising; `kept_frac` has one entry for each, or none where
    nothing is priced: then the layers alone decide.
    """

    block: str
    zones: tuple[int, ...]
    kept_frac: tuple[float, ...]
    chosen: int  # place among `zones`


def fewest_enough(zones: Sequence[int], kept_frac: Sequence[float]) -> int:
    """Choose the smallest number of zones that keeps enough.

    Parameters
    ----------
    zones : sequence of int
        Numbers of zones, rising.
    kept_frac : sequence of float
        What each keeps of the return of a plan for every cell.

    Returns
    -------
    int
        Its place in `zones`; if none keeps enough, that of the one that keeps the most, and of equals the
        fewest.

    Examples
    --------
    >>> fewest_enough([1, 2, 3], [0.80, 0.98, 1.00]), fewest_enough([1, 2], [0.5, 0.9])
    (1, 1)
    """
    enough = number("passes.kept_least_frac")
    for place, kept in enumerate(kept_frac):
        if kept >= enough:
            return place
    return max(range(len(zones)), key=lambda place: (kept_frac[place], -place))
