"""What check strips cost beyond the plan's net return, and which pass treats a zone that the plan skips."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import Chosen, FieldProblem, Visit
from zoning.passes.schedule.visits import split_load_usd, visit_costs_usd
from zoning.plan import Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class StripGrounds:
    """The ground on which check strips change what is done, in acres by the number of its zone.

    `untreated_ac` would have been sprayed, `treated_ac` would not. `driven_ac` is the ground of strips that
    nobody would drive otherwise. `visit_of` has the pass of each sprayed zone, and of each skipped one the
    pass that treats its strips, if any.
    """

    untreated_ac: Mapping[int, float]
    treated_ac: Mapping[int, float]
    driven_ac: Mapping[int, float]
    visit_of: Mapping[int, Visit]


def grounds(pieces: Iterable[Piece], chosen: Chosen, visit_of: Mapping[int, Visit]) -> StripGrounds:
    """Add up the ground on which check strips change what is done.

    Parameters
    ----------
    pieces : iterable of Piece
        Of the field, cut along its strips.
    chosen : Chosen
        The passes of the field.
    visit_of : mapping of int to Visit
        As in `StripGrounds`.

    Notes
    -----
    A strip on which a sprayed zone lies is driven anyway, all along. Of the others both of a pair are driven
    where one is treated.
    """
    sprayed = {zone for visit in chosen.visits for zone in visit.zones}
    strips = [one for one in pieces if one.kind == "strip"]
    anyway = {(one.pair, one.treatment) for one in strips if one.zone in sprayed and one.area_ac > 0}
    treated = {one.pair for one in strips if one.pass_number}
    untreated_ac: dict[int, float] = defaultdict(float)
    treated_ac: dict[int, float] = defaultdict(float)
    driven_ac: dict[int, float] = defaultdict(float)
    for one in strips:
        if one.zone in sprayed and not one.pass_number:
            untreated_ac[one.zone] += one.area_ac
        elif one.zone not in sprayed and one.pass_number:
            treated_ac[one.zone] += one.area_ac
        if one.pair in treated and (one.pair, one.treatment) not in anyway:
            driven_ac[one.zone] += one.area_ac
    return StripGrounds(
        untreated_ac=dict(untreated_ac),
        treated_ac=dict(treated_ac),
        driven_ac=dict(driven_ac),
        visit_of=visit_of,
    )


def pass_for(row: int, zone: OfferedZone, chosen: Chosen, options: Options) -> Visit | None:
    """Give the pass that treats the check strips of a zone that the plan skips.

    Parameters
    ----------
    row : int
        Of the zone in the arrays of the options.
    zone : OfferedZone
    chosen : Chosen
        The passes of the field.
    options : Options
        With the sprayer that was taken.

    Returns
    -------
    Visit or None
        Of the passes that find the zone open, the one at which it returns most. None where none does: the
        label, an earlier application or the stage closes it on a day of each.
    """
    if zone.closed_by is not None:
        return None
    nets = [(net_usd_ac(row, visit, options), visit) for visit in chosen.visits]
    open_ = [one for one in nets if np.isfinite(one[0])]
    return max(open_, key=lambda one: one[0])[1] if open_ else None


def net_usd_ac(row: int, visit: Visit, options: Options) -> float:
    """Give what a sprayed acre of a zone returns in a pass, without wheel tracks [USD/ac].

    Parameters
    ----------
    row : int
        Of the zone in the arrays of the options.
    visit : Visit
    options : Options

    Returns
    -------
    float
        The mean over the days of the pass, as the schedule counts it; NaN where the zone is closed on one.
    """
    problem = options.problem
    column = problem.volumes_gal_ac.index(visit.volume_gal_ac)
    under_way = (problem.days >= visit.day) & (problem.days <= visit.last_day)
    if under_way.sum() <= visit.last_day - visit.day:
        return float("nan")  # a day of it is not priced
    net = problem.net_usd_ac[row, under_way, column]
    if visit.half == "PM" and problem.afternoon_less_usd_ac is not None:
        net = net - problem.afternoon_less_usd_ac[row, under_way, column]
    return float(net.mean())


def cost_usd(options: Options, chosen: Chosen, on: StripGrounds) -> float:
    """Sum what check strips cost beyond the plan's net return; below 0 where treating skipped ground pays.

    Parameters
    ----------
    options : Options
        With the sprayer that was taken.
    chosen : Chosen
        The passes of the field.
    on : StripGrounds

    Returns
    -------
    float
        [USD]

    Notes
    -----
    An untreated acre of a sprayed zone loses what the grain of its response brings, less what a boom that is
    off saves: what is in the tank and, where it is billed by the treated acre, the pass. The own machine is
    driven all the same. A treated acre of a skipped zone costs as much as it returns below nothing. Crop is
    pressed down for the strips only where nobody would drive otherwise. Where a minimum bill is not reached,
    fewer treated acres raise its top-up.
    """
    problem = options.problem
    row_of = {zone: row for row, zone in enumerate(problem.zones)}
    more_ac = dict.fromkeys((visit.number for visit in chosen.visits), 0.0)
    lost_usd = 0.0
    for zone, ac in on.untreated_ac.items():
        visit = on.visit_of[zone]
        lost_usd += ac * (net_usd_ac(row_of[zone], visit, options) + _not_saved_usd_ac(visit, options))
        more_ac[visit.number] -= ac
    for zone, ac in on.treated_ac.items():
        visit = on.visit_of[zone]
        lost_usd -= ac * net_usd_ac(row_of[zone], visit, options)
        more_ac[visit.number] += ac
    tracks_usd = sum(ac * float(problem.track_loss_usd_ac[row_of[zone]]) for zone, ac in on.driven_ac.items())
    top_up_usd = sum(_top_up_usd(problem, visit, more_ac[visit.number]) for visit in chosen.visits)
    return lost_usd + tracks_usd + top_up_usd


def _not_saved_usd_ac(visit: Visit, options: Options) -> float:
    """Give the part of the cost of a treated acre that driving over it with the boom off costs as well."""
    terms = options.terms[options.problem.volumes_gal_ac.index(visit.volume_gal_ac)]
    return terms.pass_usd_ac - terms.filling_usd_ac if terms.own_machine else 0.0


def _top_up_usd(problem: FieldProblem, visit: Visit, more_ac: float) -> float:
    """Give what a pass costs more for coming where it treats more acres; a load of its own stays as it is."""
    area_ac = np.array([visit.area_ac, visit.area_ac + more_ac])
    before_usd, after_usd = visit_costs_usd(problem, area_ac) - split_load_usd(problem, area_ac)
    return float(after_usd - before_usd)
