"""The bill of a field once its passes are chosen: every line once, so that it can be held against paper.

What the sprayed acres gain (price x response) less the counted lines is `Chosen.value_usd`.
"""

from collections.abc import Iterator
from math import nan

import numpy as np

from zoning.offers.offered import Options
from zoning.passes.driven import driven, on_swaths_ac
from zoning.passes.problem import Chosen, FieldProblem, Visit
from zoning.passes.schedule.visits import split_load_usd
from zoning.returns.costs import OF_DRIVING, lines
from zoning.returns.terms import CostLine
from zoning.words.bill import COST_LINES

_SLACK_USD = 1e-9  # method: rounding of floats
_DIGITS = 9  # method: rounding of floats
_Amount = tuple[str, bool, float, float]  # name, counted, USD, acres that it goes by: NaN where by none


def bill(options: Options, chosen: Chosen) -> tuple[CostLine, ...]:
    """List every cost of a field's plan.

    Parameters
    ----------
    options : Options
        What the passes were chosen from: terms and the problem.
    chosen : Chosen
        The chosen passes.

    Returns
    -------
    tuple of CostLine
        In the order of `zoning.words.bill.COST_LINES`, which says what each `name` is called; what is counted
        first. `usd` is the sum over the plan, the grower's own share. `usd_ac` is that of a treated acre (the
        mean over them where visits differ in volume), NaN where a line does not go by the treated acre.
        Lines that cost nothing are left out. Where nothing is sprayed: the lines of a treated acre at the
        last of the volumes, with a `usd` of 0.

    Notes
    -----
    Lines that do not count are what is spent whatever is decided: bought product for the sprayed acres, the
    other pass over the whole field.
    """
    if not chosen.visits:
        volumes = options.priced.volumes_gal_ac
        return lines(options.terms[-1], volumes[-1] if volumes else None)
    sums: dict[tuple[str, bool], tuple[float, float]] = {}
    for name, counted, usd, acres in _of_all(options, chosen):
        before_usd, before_ac = sums.get((name, counted), (0.0, 0.0))
        sums[name, counted] = before_usd + usd, before_ac + acres
    return tuple(
        CostLine(name=name, usd_ac=_plain(usd / sums[name, counted][1]), usd=usd, counted=counted)
        for counted in (True, False)
        for name in COST_LINES
        if (usd := sums.get((name, counted), (0.0, 0.0))[0]) > _SLACK_USD
    )


def _plain(usd_ac: float) -> float:
    """Take the dust of floats off a price, so that 19 USD/ac reads as typed."""
    return round(usd_ac, _DIGITS)


def _of_all(options: Options, chosen: Chosen) -> Iterator[_Amount]:
    """Every line of every visit, and the wheel tracks of the season."""
    problem = options.problem
    for visit in chosen.visits:
        column = problem.volumes_gal_ac.index(visit.volume_gal_ac)
        volume = visit.volume_gal_ac if options.priced.volumes_gal_ac else None
        for line in lines(options.terms[column], volume):
            # the other pass drives over the whole field
            acres = problem.field_ac if line.name in OF_DRIVING and not line.counted else visit.area_ac
            yield line.name, line.counted, line.usd_ac * acres, acres
        yield from _of_visit(problem, visit)
    for line in options.spent_by_visit:
        yield line.name, line.counted, line.usd, nan
    yield from _of_tracks(problem, chosen)


def _of_visit(problem: FieldProblem, visit: Visit) -> Iterator[_Amount]:
    """Take the costs of one visit apart; what is left over is the top-up to the minimum bill."""
    parts_usd = {
        "pass_field": problem.bill_usd_ac * problem.field_ac,
        "per_visit": problem.per_visit_usd - problem.ferry_usd,
        "ferry": problem.ferry_usd,
        "split_load": float(split_load_usd(problem, np.array([visit.area_ac]))[0]),
    }
    parts_usd["minimum_bill"] = visit.visit_costs_usd - sum(parts_usd.values())
    for name, usd in parts_usd.items():
        yield name, True, usd, nan


def _of_tracks(problem: FieldProblem, chosen: Chosen) -> Iterator[_Amount]:
    """Crop pressed down once per swath and season: where it is sprayed, and where the boom is off."""
    taken = {zone for visit in chosen.visits for zone in visit.zones}
    sprayed = np.array([zone in taken for zone in problem.zones], dtype=np.bool_)
    swaths = driven(problem, sprayed[np.newaxis])[0]
    on_sprayed_ac = np.where(sprayed, on_swaths_ac(problem)[swaths].sum(axis=0), 0)
    yield "tracks_sprayed", True, float(on_sprayed_ac @ problem.track_loss_usd_ac), float(on_sprayed_ac.sum())
    yield "tracks_off", True, chosen.driven_off_usd, nan
