"""The visits that may be made when figures are moved, and which zones stand by which.

A zone that the plan skips stands by the pass of the plan in which it returns most, where a pass of its own
would not return more; else by one that the plan does not make.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from zoning.offers.judged import Option
from zoning.offers.offered import OfferedZone, Options
from zoning.passes.problem import Chosen, Visit
from zoning.passes.schedule.patterns import longest_visit_d
from zoning.passes.schedule.visits import visit_costs_usd
from zoning.passes.what_if import WhatIfVisit
from zoning.returns.costs import cost_usd_ac
from zoning.returns.price import best_option
from zoning.settings.model import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class MayBe:
    """A visit that may be made: `number` 0 where the plan does not make it."""

    number: int
    day: int
    last_day: int
    column: int
    is_late: bool = False  # begun after noon
    own_days: bool = False  # each zone on its own best day

    @property
    def days(self) -> range:
        """On which the visit is under way."""
        return range(self.day, self.last_day + 1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """What is asked of; `zones` as their passes find them."""

    zones: tuple[OfferedZone, ...]
    options: Options
    source: Source

    def volume(self, column: int) -> float | None:
        """Give the carrier volume of a column; None where none is known [gal/ac]."""
        volumes = self.options.priced.volumes_gal_ac
        return volumes[column] if volumes else None

    def column(self, volume_gal_ac: float | None) -> int:
        """Find the column of a carrier volume."""
        volumes = self.options.priced.volumes_gal_ac
        return 0 if volume_gal_ac is None else volumes.index(volume_gal_ac)


def visits_of(field: Field, chosen: Chosen, nearest: Visit | None) -> tuple[list[MayBe], dict[int, int]]:
    """List the visits that may be made, and the place of its visit for the row of each zone that has one.

    Where the plan makes none, the first is the pass that comes nearest to paying.
    """
    made = [_of_plan(field, visit, visit.number) for visit in chosen.visits]
    if nearest is not None and not made:
        made = [_of_plan(field, nearest, 0)]
    by_number = {zone: place for place, visit in enumerate(chosen.visits) for zone in visit.zones}
    visit_of = {row: by_number[one.zone] for row, one in enumerate(field.zones) if one.zone in by_number}
    anyway = field.options.problem.goes_anyway
    alone: list[tuple[int, int, int]] = []  # column, day, row
    for row in range(len(field.zones)):
        option = best_option(field.options.priced, row)
        if row in visit_of or option is None:
            continue
        usd, place = max(
            ((_worth_usd(field, row, one), -at) for at, one in enumerate(made)), default=(-np.inf, 0)
        )
        if np.isfinite(usd) and (anyway or usd >= _alone_usd(field, row, option)):
            visit_of[row] = -place
        elif not anyway:
            alone.append((field.column(option[1]), option[0], row))
    for together in _near(sorted(alone)):
        visit_of |= {row: len(made) for _, _, row in together}
        column, day, _ = together[0]
        made.append(MayBe(number=0, day=day, last_day=together[-1][1], column=column, own_days=True))
    return made, visit_of


def _of_plan(field: Field, visit: Visit, number: int) -> MayBe:
    return MayBe(
        number=number,
        day=visit.day,
        last_day=visit.last_day,
        column=field.options.problem.volumes_gal_ac.index(visit.volume_gal_ac),
        is_late=visit.half == "PM",
    )


def _worth_usd(field: Field, row: int, one: MayBe) -> float:
    """Say what a zone would bring in a visit, the costs of coming apart; -inf where it is closed."""
    problem = field.options.problem
    at = slice(*np.searchsorted(problem.days, [one.day, one.last_day + 1]))
    net_usd_ac = problem.net_usd_ac[row, at, one.column]
    if one.is_late and problem.afternoon_less_usd_ac is not None:
        net_usd_ac = net_usd_ac - problem.afternoon_less_usd_ac[row, at, one.column]
    usd = float(net_usd_ac.mean() * problem.area_ac[row])
    return usd if np.isfinite(usd) else -np.inf


def _alone_usd(field: Field, row: int, option: Option) -> float:
    """Say what a visit to a zone alone would bring on its best day."""
    problem = field.options.problem
    day = int(np.searchsorted(problem.days, option[0]))
    net_usd_ac = problem.net_usd_ac[row, day, field.column(option[1])]
    [visit_usd] = visit_costs_usd(problem, problem.area_ac[row : row + 1])
    return float(net_usd_ac * problem.area_ac[row] - visit_usd)


def _near(alone: Sequence[tuple[int, int, int]]) -> Iterator[list[tuple[int, int, int]]]:
    """Put zones together whose best days one visit could span, at one volume."""
    group: list[tuple[int, int, int]] = []
    for one in alone:
        if group and (one[0] != group[0][0] or one[1] - group[0][1] >= longest_visit_d()):
            yield group
            group = []
        group.append(one)
    if group:
        yield group


def made_visit(field: Field, one: MayBe, place: int, visit_of: dict[int, int]) -> WhatIfVisit:
    """Give a visit with its zones and costs."""
    volume = field.volume(one.column)
    return WhatIfVisit(
        number=one.number,
        day=one.day,
        last_day=one.last_day,
        rate_gal_ac=volume,
        zones=tuple(zone.zone for row, zone in enumerate(field.zones) if visit_of.get(row) == place),
        cost_usd_ac=cost_usd_ac(field.options.terms[one.column], volume),
        volume=one.column,
        own_days=one.own_days,
    )
