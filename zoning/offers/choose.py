"""The passes of one field, held to the user's rule once wheel tracks are in the sum.

The search adds up means; "chance" and "cautious" look at the draws. So the zones that the search sprays are
judged again, with their tracks, and where the rule refuses one the search is run again without that option.
"""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.offers.judged import Judged, judged_together, option_of
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import Chosen, Visit
from zoning.passes.schedule import alone
from zoning.returns.price import price


def choose(zones: tuple[OfferedZone, ...], options: Options) -> Chosen:
    """Choose the passes of a field that has the sprayer to itself.

    Parameters
    ----------
    zones : tuple of OfferedZone
        With their cases.
    options : Options
        What they may choose from.

    Returns
    -------
    Chosen
        Every zone in it is worth it by the rule at the cost that is still avoidable.

    Notes
    -----
    Under the rule "expected", and where no tracks are made, the search is exact and nothing is judged again.
    """
    problem = options.problem
    while True:
        chosen = alone(problem, options.machine)
        refused = _refused(zones, options, chosen.visits)
        if not refused:
            return chosen
        worth_it = problem.worth_it.copy()
        for row, (visit, there) in refused.items():
            worth_it[row] &= _wanted(there, options)
            first, last = np.searchsorted(problem.days, [visit.day, visit.last_day])
            worth_it[row, first : last + 1, there.column] = False
        problem = replace(problem, worth_it=worth_it)


def _refused(
    zones: tuple[OfferedZone, ...], options: Options, visits: tuple[Visit, ...]
) -> dict[int, tuple[Visit, Judged]]:
    """Find the sprayed zones that the rule refuses, by row."""
    if options.terms[0].rule == "expected" or not options.problem.track_loss_usd_ac.any():
        return {}
    visit_of = {zone: visit for visit in visits for zone in visit.zones}
    sprayed = {row: visit_of[one.zone] for row, one in enumerate(zones) if one.zone in visit_of}
    asked = {
        row: (case, option_of(visit, options))
        for row, visit in sprayed.items()
        if (case := zones[row].case) is not None
    }
    judged = judged_together(asked, options)
    return {row: (sprayed[row], there) for row, there in judged.items() if not there.returned.worth_it}


def _wanted(there: Judged, options: Options) -> npt.NDArray[np.bool_]:
    """Options at which the rule wants a zone with the tracks that count for it, shape (days, volumes)."""
    priced = price([there.case], options.priced.days, options.priced.volumes_gal_ac, options.terms)
    return np.asarray(priced.passes_rule[0], dtype=np.bool_)
