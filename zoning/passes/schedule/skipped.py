"""Why a zone that would pay is in no visit of the plan: one sentence each.

Zones that pay on no day are not spoken of here: that reason is the returns room's.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.passes.driven import driven, swath_loss_usd
from zoning.passes.problem import Chosen, FieldProblem, Machine, Schedule
from zoning.passes.schedule.columns import Calendar, Columns, every_visit
from zoning.passes.schedule.patterns import SLACK, longest_visit_d, patterns, work
from zoning.passes.schedule.visits import least_usd, visit_costs_usd, worth_over_days
from zoning.words import Said

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourWorth:
    """What one more hour of a sprayer would be worth to the farm, by day and half: `usd` has (days, 2)."""

    first_day: int
    usd: Floats

    def of(self, day: int, half: int) -> float:
        """Give it for one half-day; 0 where the plan does not reach."""
        row = day - self.first_day
        return float(self.usd[row, half]) if 0 <= row < len(self.usd) else 0.0


def hour_worth(plan: Schedule, machine: int) -> HourWorth:
    """Take from a farm's schedule what an hour of one of its sprayers is worth."""
    return HourWorth(first_day=plan.first_day, usd=plan.hour_usd[machine])


def why_skipped(
    problem: FieldProblem, machine: Machine, chosen: Chosen, hours: HourWorth | None = None
) -> dict[int, Said]:
    """Say of each skipped zone that the rule would spray on some day why it is skipped.

    Parameters
    ----------
    problem, machine
        What the passes were chosen from.
    chosen : Chosen
        What was answered for this problem.
    hours : HourWorth, optional
        Where the field shares the sprayer with others: what an hour is worth.

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
    calendar = Calendar(first_day=int(problem.days[0]), days=int(problem.days[-1] - problem.days[0]) + 1)
    visits = every_visit(problem, machine, calendar, losing_too=True)
    return {
        zone: _too_long(problem, machine, calendar, index)
        or _left_out(problem, chosen, worth[:, index], _own_usd(problem, chosen, index, worth[:, index]))
        or _short_of_hours(problem, chosen, visits.take(visits.zones[:, index]), (calendar, hours))
        or _pass_with_it(problem, visits, index)
        for index, zone in skipped.items()
    }


def _too_long(problem: FieldProblem, machine: Machine, calendar: Calendar, index: int) -> Said | None:
    """Say that no visit could hold the zone, begun and over on days on which it is worth it."""
    worth_usd = worth_over_days(problem)[:, index]
    hours_h = calendar.hours_h(machine)
    starts = np.repeat(2 * (problem.days - calendar.first_day), 2) + np.tile([0, 1], len(problem.days))
    day = np.repeat(np.arange(len(problem.days)), 2)
    for volume in range(len(problem.volumes_gal_ac)):
        asked = work(machine, volume, problem.area_ac[index : index + 1], problem.travel_h)
        wanted = np.repeat(np.isfinite(worth_usd[0, :, volume]), 2)
        for pattern in patterns(asked, hours_h, starts[wanted]) if asked is not None and wanted.any() else ():
            runs = pattern.runs[0]
            extra = (starts[wanted] % 2 + runs) // 2
            in_time = (runs >= 0) & (extra < longest_visit_d())
            if np.isfinite(worth_usd[extra[in_time], day[wanted][in_time], volume]).any():
                return None
    would_pay = np.isfinite(worth_usd[0]).any(axis=1)
    hours = float(machine.hours.of(problem.days[would_pay]).sum(axis=1).mean())
    if hours <= SLACK:
        return Said("passes.no_hours")
    return Said("passes.visit_too_long", days=longest_visit_d(), hours=hours)


def _own_usd(problem: FieldProblem, chosen: Chosen, index: int, worth_usd: Floats) -> float:
    """Give what a pass over the zone alone would return on its best day, were there hours enough for it.

    Tracks that the plan makes are there already and cost it nothing.
    """
    sets = np.zeros((2, len(problem.zones)), dtype=np.bool_)
    sets[0, [problem.zones.index(zone) for visit in chosen.visits for zone in visit.zones]] = True
    sets[1, index] = True
    made, own = driven(problem, sets)
    tracks_usd = float(swath_loss_usd(problem)[own & ~made].sum())
    [visit_usd] = visit_costs_usd(problem, problem.area_ac[index : index + 1])
    return float(worth_usd[0].max() - visit_usd - tracks_usd)


def _left_out(problem: FieldProblem, chosen: Chosen, worth_usd: Floats, own_usd: float) -> Said | None:
    """Say that a chosen visit could hold the zone and does better without it."""
    for visit in chosen.visits:
        day = int(np.searchsorted(problem.days, visit.day))
        volume = problem.volumes_gal_ac.index(visit.volume_gal_ac)
        if np.isfinite(worth_usd[visit.last_day - visit.day, day, volume]):
            if own_usd <= -0.5:  # below that it is told as nothing
                return Said("passes.own_pass_loses", number=visit.number, usd=-own_usd)
            return Said("passes.left_out_of_visit", number=visit.number)
    return None


def _short_of_hours(
    problem: FieldProblem, chosen: Chosen, visits: Columns, of_farm: tuple[Calendar, HourWorth | None]
) -> Said | None:
    """Say that a visit with the zone would pay, but that its hours bring more elsewhere."""
    calendar, hours = of_farm
    mine = visits.take(visits.value_usd > 0)
    if hours is None or not len(mine):
        return None
    usd = mine.value_usd + mine.zones @ least_usd(problem)
    usd_h = np.array(
        [
            max(hours.of(calendar.first_day + slot // 2, slot % 2) for slot in range(start, end + 1))
            for start, end in zip(mine.start.tolist(), mine.end.tolist(), strict=True)
        ]
    )
    best = int((mine.value_usd - usd_h * (mine.first_h + mine.last_h)).argmax())
    if usd_h[best] > 0.5:  # below that it is told as nothing
        return Said("passes.hours_elsewhere", usd=float(usd[best]), usd_h=float(usd_h[best]))
    # visits are whole: what others leave may be too little for one, though an hour more is worth nothing
    return None if chosen.visits else Said("passes.hours_taken", usd=float(usd[mine.value_usd.argmax()]))


def _pass_with_it(problem: FieldProblem, visits: Columns, index: int) -> Said:
    """Say what the best pass with this zone in it would return, where no fewer blocks return more."""
    best: dict[tuple[int, int, int], list[tuple[int, int, float]]] = {}
    rows = list(zip(visits.volume.tolist(), visits.start.tolist(), visits.end.tolist(), strict=True))
    spans = list(
        zip(visits.first_block.tolist(), visits.last_block.tolist(), visits.value_usd.tolist(), strict=True)
    )
    for key, span in zip(rows, spans, strict=True):
        best.setdefault(key, []).append(span)
    usd, beyond_usd = -np.inf, -np.inf
    for row in np.flatnonzero(visits.zones[:, index]).tolist():
        first, last, value = spans[row]
        inside = (other for a, b, other in best[rows[row]] if a >= first and b <= last)
        if value > beyond_usd and value >= max(inside):
            beyond_usd = value
            usd = value + float(least_usd(problem)[visits.zones[row]].sum())
    if usd <= 0:
        return Said("passes.pass_loses", usd=-usd) if np.isfinite(usd) else Said("passes.pass_without_it")
    if beyond_usd <= 0:
        return Said("passes.pass_below_min_net", usd=usd)
    return Said("passes.only_another_day")
