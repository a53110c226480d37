"""Draws of the response of a zone. Seasons, fields and zones are shared as they are in nature.

Draw i is the same season everywhere, so zones that are sprayed in one season win and lose together.
"""

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from zoning.chance import normals
from zoning.evidence import named
from zoning.returns.mixture import sorted_draws
from zoning.returns.terms import Floats, Mixture


@lru_cache(maxsize=256)  # method: zones and kinds of cells remembered: priced by source and by sprayer
def response_draws(mixture: Mixture, *, seed: int, field: str, zone: int, draws: int) -> Floats:
    """Draw the response at its best stage.

    Parameters
    ----------
    mixture : Mixture
        Its distribution.
    seed : int
        Of the run.
    field : str
        Name of the field: its own draws depend on nothing else, so a new field changes no other's.
    zone : int
        Number of the zone within the field.
    draws : int
        How many.

    Returns
    -------
    array, shape (draws,)
        With the mixture's mean and SD, not to be written to: who asks for the same gets the same array.
        [bu/ac]

    Notes
    -----
    w = sqrt(share of year) Y + sqrt(share of field) F + sqrt(share of zone) Z is ranked, and the draw of
    rank r is the mixture's quantile at (r + 0.5)/draws.

    Examples
    --------
    >>> from zoning.returns.sources import pooled
    >>> drawn = response_draws(pooled("unknown"), seed=1, field="North", zone=1, draws=512)
    >>> round(float(drawn.mean()), 3)
    1.602
    """
    drawn = sorted_draws(mixture, draws)[_rank_of_zone(seed, field, zone, draws)]
    drawn.setflags(write=False)
    return drawn


@lru_cache(maxsize=64)  # method: zones remembered, whose responses differ by source and by kind of cell
def _rank_of_zone(seed: int, field: str, zone: int, draws: int) -> npt.NDArray[np.int64]:
    """Rank of each draw of a zone among its draws, from 0; shape (draws,)."""
    own = np.sqrt(named("returns.response_share")["zone"]) * normals(
        seed, draws, "response", "zone", field, zone
    )
    rank = np.empty(draws, dtype=np.int64)
    rank[np.argsort(_fortune_of_field(seed, field, draws) + own, kind="stable")] = np.arange(draws)
    rank.setflags(write=False)
    return rank


@lru_cache(maxsize=64)  # method: fields remembered, whose zones all share it
def _fortune_of_field(seed: int, field: str, draws: int) -> Floats:
    """Give what season and field do to all zones of a field, in SDs of a zone; shape (draws,)."""
    share = named("returns.response_share")
    season = np.sqrt(share["year"]) * normals(seed, draws, "response", "year")
    fortune = season + np.sqrt(share["field"]) * normals(seed, draws, "response", "field", field)
    fortune.setflags(write=False)
    return np.asarray(fortune)
