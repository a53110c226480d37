"""The zones of a what-if with their draws, and the swaths that they share."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.offers.judged import option_of
from zoning.offers.offered import OfferedZone, Options
from zoning.offers.what_if.visits import Field, MayBe
from zoning.passes.driven import on_swaths_ac
from zoning.passes.problem import Chosen
from zoning.passes.what_if import Steps, WhatIfZone
from zoning.plan import SOURCES
from zoning.returns.price import best_option, steps_on
from zoning.returns.terms import ZoneCase
from zoning.settings.model import Source

_Rows = dict[Source, Steps]


def zone_of(field: Field, row: int, chosen: Chosen, visits: Sequence[MayBe], place: int) -> WhatIfZone:
    """Give a zone with its draws: on the days of its visit first, then on the day on which it is judged."""
    one = field.zones[row]
    visit = next((each for each in chosen.visits if one.zone in each.zones), None)
    option = option_of(visit, field.options) if visit else best_option(field.options.priced, row)
    bare = WhatIfZone(
        zone=one.zone,
        area_ac=one.area_ac,
        visit=place,
        judged_on=0,
        track_loss_bu_ac=one.case.track_loss_bu_ac if one.case is not None else 0.0,
        steps={},
    )
    if option is None:
        return replace(bare, visit=-1)
    judged = _rows(field, one, range(option[0], option[0] + 1), option[1])
    column = field.column(option[1])
    if place < 0 or visits[place].own_days:
        return replace(bare, steps=judged, volume=column)
    in_visit = visits[place]
    found = one.afternoon if in_visit.is_late and one.afternoon is not None else one
    days = in_visit.days
    of_visit = _rows(field, found, days, field.volume(in_visit.column))
    at = option[0] - in_visit.day
    if option[0] in days and all((of_visit[key][at] == judged[key][0]).all() for key in judged):
        return replace(bare, steps=of_visit, volume=column, visit_days=len(days), judged_on=at)
    both = {key: np.vstack([of_visit[key], judged[key]]) for key in judged}
    return replace(bare, steps=both, volume=column, visit_days=len(days), judged_on=len(days))


def _rows(field: Field, one: OfferedZone, days: range, volume_gal_ac: float | None) -> _Rows:
    """Give the response of a zone by each source that has figures, shape (days, draws)."""
    cases: dict[Source, ZoneCase | None] = {key: one.cases_by_source.get(key) for key in SOURCES}
    cases[field.source] = one.case
    return {
        key: _whole(steps_on(case, days, volume_gal_ac)) for key, case in cases.items() if case is not None
    }


def _whole(steps: npt.NDArray[np.float32]) -> Steps:
    least, most = np.iinfo(np.int16).min, np.iinfo(np.int16).max
    if steps.min() < least or steps.max() > most:
        raise ValueError("a response does not fit into 16 bits")
    return steps.astype(np.int16)


def swaths_of(options: Options) -> tuple[tuple[tuple[int, float], ...], ...]:
    """Group the swaths by the zones that lie on them; none where no wheel track counts."""
    problem = options.problem
    if not problem.track_loss_usd_ac.any():
        return ()
    groups: dict[bytes, npt.NDArray[np.float64]] = {}
    for on_ac, holds in zip(on_swaths_ac(problem), problem.swath_area_ac > 0, strict=True):
        if holds.any():
            groups[holds.tobytes()] = groups.get(holds.tobytes(), 0.0) + on_ac
    return tuple(
        tuple((int(place), float(on_ac[place])) for place in np.flatnonzero(on_ac))
        for on_ac in groups.values()
    )
