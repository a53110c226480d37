"""Why a zone that would pay is in no visit of the plan: one sentence each.

Zones that pay on no day are not spoken of here: that reason is the returns room's.
"""

import numpy as np
import numpy.typing as npt

from zoning.passes.problem import Chosen, FieldProblem, Machine
from zoning.passes.visits import Visits, best_visits, least_usd, longest_visit_d, runs_for_d, worth_over_days
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
    skipped = {
        index: zone
        for index, zone in enumerate(problem.zones)
        if zone not in taken and np.isfinite(worth[0, index]).any()
    }
    if not skipped:
        return {}
    visits = best_visits(problem, machine)
    return {
        zone: _in_the_way(problem, machine, chosen, worth[:, index], index)
        or _pass_with_it(problem, visits, index)
        for index, zone in skipped.items()
    }


def _in_the_way(
    problem: FieldProblem, machine: Machine, chosen: Chosen, worth_usd: Floats, index: int
) -> Said | None:
    """Say that no visit could hold the zone, or that a chosen one could and does better without it."""
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
    return None


def _pass_with_it(problem: FieldProblem, visits: Visits, index: int) -> Said:
    """Say what the best pass with this zone in it would return."""
    with_it = np.where(visits.zones[..., index], visits.value_usd, -np.inf)
    best = np.unravel_index(int(with_it.argmax()), with_it.shape)
    beyond_usd = float(with_it[best])
    usd = beyond_usd + float(least_usd(problem)[visits.zones[best]].sum())
    if usd <= 0:
        return Said("passes.pass_loses", usd=-usd) if np.isfinite(usd) else Said("passes.pass_without_it")
    if beyond_usd <= 0:
        return Said("passes.pass_below_min_net", usd=usd)
    return Said("passes.only_another_day")
