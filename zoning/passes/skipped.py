"""Why a zone that would pay is in no visit of the plan: one sentence each.

Zones that pay on no day are not spoken of here: that reason is the returns room's.
"""

import numpy as np
import numpy.typing as npt

from zoning.passes.driven import driven, swath_loss_usd
from zoning.passes.problem import Chosen, FieldProblem, Machine
from zoning.passes.visits import longest_visit_d, runs_for_d, visit_costs_usd, worth_over_days
from zoning.words import Said

Floats = npt.NDArray[np.float64]


def why_skipped(problem: FieldProblem, machine: Machine, chosen: Chosen) -> dict[int, Said]:
    """Say of each skipped zone that the rule would spray on some day why it is skipped.

    Parameters
    ----------
    problem, machine
        What `zoning.passes.schedule.schedule` was given.
    chosen : Chosen
        What it answered for this problem.

    Returns
    -------
    dict of int to Said
        By zone number; zones that are sprayed, or that pay on no day, are not in it.
    """
    taken = {zone for visit in chosen.visits for zone in visit.zones}
    worth = worth_over_days(problem)
    reasons = {}
    for index, zone in enumerate(problem.zones):
        if zone not in taken and np.isfinite(worth[0, index]).any():
            reasons[zone] = _reason(problem, machine, chosen, worth[:, index], index)
    return reasons


def _reason(problem: FieldProblem, machine: Machine, chosen: Chosen, worth_usd: Floats, index: int) -> Said:
    """Choose the reason: too long a visit, the crop on the way, the costs of a visit, or the other visits."""
    area = problem.area_ac[index : index + 1]
    days = longest_visit_d()
    fits = [
        float(runs_for_d(machine, volume, area)[0]) <= days for volume in range(len(problem.volumes_gal_ac))
    ]
    if not any(on and np.isfinite(worth_usd[0, :, volume]).any() for volume, on in enumerate(fits)):
        return Said("passes.visit_too_long", days=days, hours=machine.hours_per_day)
    for visit in chosen.visits:
        day = int(np.searchsorted(problem.days, visit.day))
        volume = problem.volumes_gal_ac.index(visit.volume_gal_ac)
        if np.isfinite(worth_usd[visit.last_day - visit.day, day, volume]):
            return Said("passes.left_out_of_visit", number=visit.number)
    only = np.arange(len(problem.zones)) == index
    tracks = float(driven(problem, only[np.newaxis])[0] @ swath_loss_usd(problem))
    best = float(worth_usd[0].max()) - tracks
    costs = float(visit_costs_usd(problem, area)[0])
    if best <= costs:
        return Said("passes.visit_costs", usd=best, cost_usd=costs)
    return Said("passes.only_another_day")
