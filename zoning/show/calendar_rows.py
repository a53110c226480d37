"""What a calendar of the farm shows, as values: its days, a row for each field or block, hours a day.

The calendar of letters and the picture are both made from these; lays out and draws nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from string import ascii_lowercase

from zoning.passes.half_days import HALVES, HoursFrom
from zoning.plan import FarmPlan, Plan, PlanPass, PlanZone

_LEAST_D = 14  # days that a calendar has at least
_MOST_D = 21  # and at most, unless a pass lies later
_SOON_D = 7  # something that soon: the calendar begins today
MOST_SPRAYERS = 12  # whose hours one sheet has room for
_BACK_D = 14  # what was sprayed within so many days is shown too


@dataclass(frozen=True, slots=True)
class Mark:
    """A pass in one half-day; `pm` is 0 before noon, 1 from noon on."""

    day: int
    pm: int
    number: int
    rate_gal_ac: float
    sprayer: str


@dataclass(frozen=True, slots=True)
class Row:
    """Blocks of one field that have the same days.

    `window` are the day numbers from R3 likely to the day on which it closes, `near_best` those between spray
    from and spray by, of any of its zones, `sprayed` those on which a zone last had the product. `blocks` is
    empty where it speaks for the whole field.
    """

    field: str
    blocks: tuple[str, ...]
    window: frozenset[int]
    near_best: frozenset[int]
    marks: tuple[Mark, ...]
    sprayed: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class DayHours:
    """Spray hours of one sprayer on one day: to plan with and in use, AM and PM."""

    planned_h: tuple[float, float]
    used_h: tuple[float, float]
    source: HoursFrom


def _run_of_days(first: date | None, last: date | None) -> range:
    """Day numbers from the first to the last, both included; none where one is not known."""
    if first is None or last is None:
        return range(0)
    return range(first.toordinal(), last.toordinal() + 1)


def _window(zone: PlanZone) -> range:
    window = zone.window
    return range(0) if window is None else _run_of_days(window.r3_likely, window.closes)


def marks_of(one: PlanPass) -> tuple[Mark, ...]:
    """List the half-days of a pass."""
    halves = [(part.day, HALVES.index(part.half)) for part in one.parts]
    if not halves:
        halves = [(one.day.toordinal(), 1 if one.half == HALVES[1] else 0)]
    return tuple(Mark(day, pm, one.number, one.rate_gal_ac, one.sprayer) for day, pm in halves)


def passes_at(row: Row) -> dict[tuple[int, int], list[Mark]]:
    """Give the passes of a row by day number and half (0 AM, 1 PM)."""
    found: dict[tuple[int, int], list[Mark]] = {}
    for mark in row.marks:
        found.setdefault((mark.day, mark.pm), []).append(mark)
    return found


def _union(runs: Iterable[range]) -> frozenset[int]:
    return frozenset(day for run in runs for day in run)


def _rows_of(plan: Plan) -> list[Row]:
    """Give a row for each block of a field, those with the same days as one."""
    names = list(dict.fromkeys(zone.block for zone in plan.zones))
    together: dict[tuple[frozenset[int], frozenset[int], tuple[Mark, ...], frozenset[int]], list[str]] = {}
    for name in names:
        zones = [zone for zone in plan.zones if zone.block == name]
        numbers = {zone.zone for zone in zones}
        here = [one for one in plan.passes if numbers & set(one.zones)]
        days = (
            _union(map(_window, zones)),
            _union(_run_of_days(zone.spray_from, zone.spray_by) for zone in zones),
            tuple(mark for one in here for mark in marks_of(one)),
            frozenset(zone.sprayed_on.toordinal() for zone in zones if zone.sprayed_on is not None),
        )
        together.setdefault(days, []).append(name)
    alone = len(together) == 1
    return [Row(plan.field, () if alone else tuple(blocks), *days) for days, blocks in together.items()]


def rows(farm: FarmPlan) -> tuple[Row, ...]:
    """Give the rows of a calendar, fields in the order of the plan.

    Parameters
    ----------
    farm : FarmPlan

    Returns
    -------
    tuple of Row
        Blocks of a field that have the same days and passes share one.
    """
    return tuple(row for plan in farm.plans for row in _rows_of(plan))


def period(farm: FarmPlan, shown: Sequence[Row]) -> range:
    """Choose the days of a calendar: two to three weeks, and every pass inside.

    It begins today, or where nothing happens in the coming week on the first day on which something does; but
    what was sprayed in the last two weeks lies inside.
    """
    today = farm.today.toordinal()
    passes = [mark.day for row in shown for mark in row.marks]
    ahead = [day for row in shown for day in row.window | row.near_best if day >= today]
    first = min([*passes, *ahead], default=today)
    if today <= first <= today + _SOON_D:
        first = today
    last = min(max(ahead, default=first), first + _MOST_D - 1)
    end = max(last, first + _LEAST_D - 1, *passes) + 1
    done = [day for row in shown for day in row.sprayed if today - _BACK_D <= day <= today]
    return range(min([first, *done]), end)


def hours(farm: FarmPlan) -> dict[str, dict[int, DayHours]]:
    """Give the spray hours of each sprayer by day number, sprayers in the order of the plan."""
    found: dict[str, dict[int, DayHours]] = {}
    for use in farm.hours:
        day, days = use.day.toordinal(), found.setdefault(use.sprayer, {})
        known = days.get(day, DayHours((0.0, 0.0), (0.0, 0.0), use.source))
        planned, used = list(known.planned_h), list(known.used_h)
        planned[HALVES.index(use.half)] += use.planned_h
        used[HALVES.index(use.half)] += use.used_h
        days[day] = DayHours((planned[0], planned[1]), (used[0], used[1]), known.source)
    return found


def sprayers(farm: FarmPlan) -> tuple[str, ...]:
    """Name the sprayers whose hours are known, in the order of the plan."""
    return tuple(dict.fromkeys(use.sprayer for use in farm.hours))


def busiest(farm: FarmPlan) -> tuple[str, ...]:
    """Choose the sprayers that one sheet has room for: all, or of many those with the most hours in use.

    Parameters
    ----------
    farm : FarmPlan

    Returns
    -------
    tuple of str
        In the order of the plan; of equally busy ones the first.
    """
    every = sprayers(farm)
    if len(every) <= MOST_SPRAYERS:
        return every
    used_h: dict[str, float] = dict.fromkeys(every, 0.0)
    for use in farm.hours:
        used_h[use.sprayer] += use.used_h
    taken = set(sorted(every, key=lambda rig: -used_h[rig])[:MOST_SPRAYERS])
    return tuple(rig for rig in every if rig in taken)


def letters(farm: FarmPlan) -> dict[str, str]:
    """Give each sprayer a letter by which its passes are told apart; nothing where one makes them all.

    Where there are more sprayers than letters, the busiest have one.
    """
    busy = {one.sprayer for plan in farm.plans for one in plan.passes}
    if len(busy) < 2:
        return {}
    among = sprayers(farm) if len(busy) <= len(ascii_lowercase) else busiest(farm)
    ordered = [rig for rig in among if rig in busy]
    ordered += sorted(busy - set(sprayers(farm)))
    return dict(zip(ordered, ascii_lowercase, strict=False))
