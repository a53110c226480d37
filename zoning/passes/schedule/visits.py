"""What a visit costs and what its zones are worth, by the days on which it is under way.

Which visits there are to choose from stands in `columns`, how they share the season in `schedule`.
"""

import numpy as np
import numpy.typing as npt

from zoning.passes.half_days import Half
from zoning.passes.problem import FieldProblem
from zoning.passes.schedule.patterns import longest_visit_d

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

MOST_TRIED = 12  # method: zones up to which all their sets are tried; beyond, zones are dropped one by one
_SLACK = 1e-9  # method: rounding of floats


def visit_costs_usd(problem: FieldProblem, area_ac: Floats) -> Floats:
    """Costs of entering a field to spray an area: per visit, whole-field bill, top-up to the minimum, load.

    Parameters
    ----------
    problem : FieldProblem
        Its costs are used.
    area_ac : ndarray of float
        Sprayed area of each visit. [ac]

    Returns
    -------
    ndarray of float, shape of `area_ac`
        What is billed per treated acre is not in it, because it is in the net return of each acre. [USD]
    """
    field_bill = problem.bill_usd_ac * problem.field_ac
    billed = field_bill + problem.pass_usd_ac * area_ac
    top_up = np.clip(problem.minimum_bill_usd - billed, 0, None)
    return np.asarray(problem.per_visit_usd + field_bill + top_up + split_load_usd(problem, area_ac))


def split_load_usd(problem: FieldProblem, area_ac: Floats) -> Floats:
    """Cost of a load of its own: where another pass goes anyway and not every zone gets this one too.

    Parameters
    ----------
    problem : FieldProblem
        One field.
    area_ac : ndarray of float
        Sprayed area of each visit. [ac]
    """
    is_part = area_ac < float(problem.area_ac.sum()) - _SLACK
    return np.where(is_part & problem.goes_anyway, problem.split_load_usd, 0.0)


def worth_over_days(problem: FieldProblem, half: Half = "AM") -> Floats:
    """Worth of spraying each zone in a visit that is under way for some days: the mean over these days.

    Parameters
    ----------
    problem : FieldProblem
        One field.
    half : {"AM", "PM"}
        When the visit begins.

    Returns
    -------
    ndarray of float, shape (longest visit, zones, days, volumes)
        Row n is a visit of n + 1 days that begins on the day. -inf where a day of it is not allowed, not
        worth it by the rule, or past the horizon. [USD]
    """
    return _over_days(problem, problem.worth_it, half)


def allowed_over_days(problem: FieldProblem, half: Half = "AM") -> Floats:
    """As `worth_over_days`, whatever the rule says of a zone: -inf only where label or stage forbid it."""
    return _over_days(problem, np.ones_like(problem.worth_it), half)


def _over_days(problem: FieldProblem, wanted: Bools, half: Half) -> Floats:
    net_usd_ac = problem.net_usd_ac
    if half == "PM" and problem.afternoon_less_usd_ac is not None:
        net_usd_ac = net_usd_ac - problem.afternoon_less_usd_ac
    offered = wanted & np.isfinite(net_usd_ac)
    one = np.where(offered, net_usd_ac * problem.area_ac[:, np.newaxis, np.newaxis], -np.inf)
    worth = np.full((longest_visit_d(), *one.shape), -np.inf)
    for extra in range(min(len(worth), len(problem.days))):
        starts = len(problem.days) - extra
        days = [one[:, step : step + starts] for step in range(extra + 1)]
        unbroken = problem.days[extra:] - problem.days[:starts] == extra
        worth[extra, :, :starts] = np.where(unbroken[:, np.newaxis], sum(days) / len(days), -np.inf)
    return worth


def least_usd(problem: FieldProblem) -> Floats:
    """Give what each zone must bring beyond all that spraying it costs, shape (zones,) [USD]."""
    return problem.min_net_usd_ac * problem.area_ac
