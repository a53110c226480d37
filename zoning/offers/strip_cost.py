"""What check strips cost beyond the plan's net return, and which pass treats a zone that the plan skips."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from zoning.inputs.given import StripTreatment
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import Chosen, FieldProblem, Visit
from zoning.passes.schedule.visits import split_load_usd, visit_costs_usd


@dataclass(frozen=True, slots=True, kw_only=True)
class StripAcres:
    """One check strip, and how much of each zone lies on it, by the zone's number."""

    pair: int
    treatment: StripTreatment
    ac_of: Mapping[int, float]


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


def cost_usd(
    strips: Sequence[StripAcres], options: Options, chosen: Chosen, visit_of: Mapping[int, Visit]
) -> float:
    """Sum what check strips cost beyond the plan's net return; below 0 where treating skipped ground pays.

    Parameters
    ----------
    strips : sequence of StripAcres
        Both strips of each pair.
    options : Options
        Terms and the problem.
    chosen : Chosen
        The passes of the field.
    visit_of : mapping of int to Visit
        For zones that the plan skips: the pass that treats their strips, see `pass_for`. A zone that is
        missing stays untreated on both strips.

    Returns
    -------
    float
        [USD]

    Notes
    -----
    An untreated acre of a sprayed zone loses what the grain of its response brings, less what a boom that is
    off saves: what is in the tank and, where it is billed by the treated acre, the pass. The own machine is
    driven all the same. A treated acre of a skipped zone loses what it returns less than nothing. Crop is
    pressed down for the strips only where no sprayed zone lies on their swath; else the plan counts it. Where
    a minimum bill is not reached, fewer treated acres raise its top-up.
    """
    if not chosen.visits:
        return 0.0
    row_of = {zone: row for row, zone in enumerate(options.problem.zones)}
    sprayed = {zone: visit for visit in chosen.visits for zone in visit.zones}
    more_ac = dict.fromkeys((visit.number for visit in chosen.visits), 0.0)
    lost_usd = 0.0
    for strip in strips:
        if strip.treatment == "untreated":
            for zone, ac, visit in _on(strip, sprayed):
                net = net_usd_ac(row_of[zone], visit, options)
                lost_usd += ac * (net + _not_saved_usd_ac(visit, options))
                more_ac[visit.number] -= ac
        else:
            for zone, ac, visit in _on(strip, visit_of):
                lost_usd -= ac * net_usd_ac(row_of[zone], visit, options)
                more_ac[visit.number] += ac
    tracks_usd = sum(
        ac * float(options.problem.track_loss_usd_ac[row_of[zone]])
        for strip in _driven_for(strips, sprayed, visit_of)
        for zone, ac in strip.ac_of.items()
    )
    top_up_usd = sum(_top_up_usd(options.problem, visit, more_ac[visit.number]) for visit in chosen.visits)
    return lost_usd + tracks_usd + top_up_usd


def _on(strip: StripAcres, visits: Mapping[int, Visit]) -> Iterator[tuple[int, float, Visit]]:
    for zone, ac in strip.ac_of.items():
        if zone in visits:
            yield zone, ac, visits[zone]


def _not_saved_usd_ac(visit: Visit, options: Options) -> float:
    """Give the part of the cost of a treated acre that driving over it with the boom off costs as well."""
    terms = options.terms[options.problem.volumes_gal_ac.index(visit.volume_gal_ac)]
    return terms.pass_usd_ac - terms.filling_usd_ac if terms.own_machine else 0.0


def _driven_for(
    strips: Sequence[StripAcres], sprayed: Mapping[int, Visit], visit_of: Mapping[int, Visit]
) -> Iterator[StripAcres]:
    """Give the strips on no sprayed zone, of pairs that are treated: only as strips are they driven."""
    pairs = {one.pair for one in strips if one.treatment == "treated" and any(_on(one, visit_of))}
    for strip in strips:
        if strip.pair in pairs and not any(ac > 0 for _, ac, _ in _on(strip, sprayed)):
            yield strip


def _top_up_usd(problem: FieldProblem, visit: Visit, more_ac: float) -> float:
    """Give what a pass costs more for coming where it treats more acres; a load of its own stays as it is."""
    area_ac = np.array([visit.area_ac, visit.area_ac + more_ac])
    before_usd, after_usd = visit_costs_usd(problem, area_ac) - split_load_usd(problem, area_ac)
    return float(after_usd - before_usd)
