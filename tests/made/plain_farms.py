"""The best schedule of a small farm by plain loops: every visit is simulated load by load, every plan tried.

Written apart from the code under test: no arrays over half-days, no rows, no solver.
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

TINY = 1e-9


@dataclass(frozen=True, slots=True)
class Trip:
    """One visit: hours in each half-day it touches (slot: hours), and what it brings by itself."""

    first: int
    last: int
    zones: tuple
    volume: int
    work: tuple  # ((slot, hours), ...); a slot between first and last belongs to it whole
    value: float

    @property
    def begin(self):
        return self.work[0][0]

    @property
    def end(self):
        return self.work[-1][0]

    @property
    def days(self):
        return set(range(self.begin // 2, self.end // 2 + 1))


def half_days(machine, first_day, days):
    """Hours of each half-day, as a plain list."""
    return [
        float(h) for day in range(first_day, first_day + days) for h in machine.hours.of(np.array([day]))[0]
    ]


def loads_of(area, machine, volume):
    """Hours of each load, the last one sized short."""
    full = machine.acres_per_load[volume] / machine.acres_per_hour[volume]
    total = area / machine.acres_per_hour[volume]
    loads = []
    while total > full + TINY:
        loads.append(full)
        total -= full
    return [*loads, total]


def ways(area, problem, machine, volume, hours, start):
    """Every way to begin a visit in a half-day: lists of (slot, hours)."""
    if machine.acres_per_hour[volume] <= 0 or hours[start] <= 0:
        return
    loads = loads_of(area, machine, volume)
    before = machine.set_up_h + problem.travel_h
    if before + sum(loads) <= hours[start] + TINY:
        yield [(start, before + sum(loads))]
    full = machine.acres_per_load[volume] / machine.acres_per_hour[volume]
    for count in range(1, len(loads)):
        if before + sum(loads[:count]) <= hours[start] + TINY:
            yield go_on(hours, [(start, before + sum(loads[:count]))], 0.0, loads[count:], full)
    if before + loads[0] > hours[start] + TINY:
        under_way = before + loads[0] - hours[start]
        yield go_on(hours, [(start, hours[start])], under_way, loads[1:], full)


def go_on(hours, done, under_way, loads, full):
    """Simulate the half-days after the first one; None where the visit is not over in three days."""
    begin = done[0][0]
    loads = list(loads)
    for slot in range(begin + 1, min(len(hours), 2 * (begin // 2) + 6)):
        left = hours[slot]
        if left <= 0:
            continue
        while left > TINY and (under_way > 0 or loads):
            if under_way <= 0:
                if loads[0] > left + TINY and full <= hours[slot] + TINY:
                    break  # the next load waits for the next half-day
                under_way = loads.pop(0)
            step = min(left, under_way)
            left, under_way = left - step, under_way - step
            if under_way < TINY:
                under_way = 0.0
        done.append((slot, hours[slot] - left))
        if under_way <= 0 and not loads:
            return done
    return None


def trips(problem, machine, first_day, days, least=TINY):
    """Every visit to a field with a sprayer that is worth more than nothing (or `least`) by itself."""
    hours = half_days(machine, first_day, days)
    zones = range(len(problem.zones))
    scale = problem.area_ac / problem.swath_area_ac.sum(axis=0)
    field_bill = problem.bill_usd_ac * sum(problem.area_ac)
    sets = itertools.chain.from_iterable(itertools.combinations(zones, n) for n in range(1, len(zones) + 1))
    for chosen in sets:
        area = sum(problem.area_ac[z] for z in chosen)
        everything = len(chosen) == len(zones)
        crop = sum(
            swath[z] * scale[z] * problem.track_loss_usd_ac[z]
            for swath in problem.swath_area_ac
            if any(swath[c] > 0 for c in chosen)
            for z in zones
        )
        bill = field_bill + problem.pass_usd_ac * area
        costs = problem.per_visit_usd + field_bill + max(0.0, problem.minimum_bill_usd - bill) + crop
        costs += problem.min_net_usd_ac * area
        if problem.goes_anyway and not everything:
            costs += problem.split_load_usd
        filled = problem.goes_anyway and problem.may_fill_up and everything and problem.split_load_usd > 0
        blocks = [problem.block_of_zone[z] for z in chosen]
        for volume, start in itertools.product(range(len(problem.volumes_gal_ac)), range(len(hours))):
            for way in ways(area, problem, machine, volume, hours, start):
                if way is None:
                    continue
                gain = worth(problem, chosen, volume, (first_day, way), filled)
                if gain is not None and gain - costs > least:
                    yield Trip(min(blocks), max(blocks), chosen, volume, tuple(way), gain - costs)


def worth(problem, chosen, volume, when, filled):
    """Mean over the days under way of what the zones return; None where a day is not open to one of them."""
    first_day, way = when
    under_way = [first_day + slot for slot in range(way[0][0] // 2, way[-1][0] // 2 + 1)]
    gain = 0.0
    for zone, day in itertools.product(chosen, under_way):
        if day not in problem.days:
            return None
        at = zone, list(problem.days).index(day), volume
        if not math.isfinite(problem.net_usd_ac[at]) or not (problem.worth_it[at] or filled):
            return None
        net = problem.net_usd_ac[at]
        if way[0][0] % 2 and problem.afternoon_less_usd_ac is not None:
            net -= problem.afternoon_less_usd_ac[at]
        gain += net * problem.area_ac[zone] / len(under_way)
    return gain


def choices(problem, machine, first_day, days):
    """Every set of up to three visits to a field by one sprayer; of those with the same hours the best."""
    every = list(trips(problem, machine, first_day, days))
    best = {}
    most = 1 if problem.goes_anyway else 3
    spans = {}
    for trip in every:  # the best visit for each footprint
        key = trip.first, trip.last, trip.work
        if key not in spans or trip.value > spans[key].value:
            spans[key] = trip
    singles = list(spans.values())

    def add(chosen, begin):
        for at in range(begin, len(singles)):
            trip = singles[at]
            if any(clash(trip, other) for other in chosen):
                continue
            now = [*chosen, trip]
            key = frozenset(one.work for one in now)
            value = sum(one.value for one in now)
            if key not in best or value > best[key][0]:
                best[key] = value, tuple(now)
            if len(now) < most:
                add(now, at + 1)

    add([], 0)
    return [(value, now) for value, now in best.values()]


def clash(one, other):
    return not (one.last < other.first or other.last < one.first) or bool(one.days & other.days)


def can_follow(works, hours):
    """Whether one sprayer can do all: in a half-day first what ran in, then the rest, then what runs on."""
    for slot in range(len(hours)):
        ran_in = [work for work in works if work[0][0] < slot <= work[-1][0]]
        runs_on = [work for work in works if work[0][0] <= slot < work[-1][0]]
        if len(ran_in) > 1 or len(runs_on) > 1:
            return False
        here = [work for work in works if work[0][0] <= slot <= work[-1][0]]
        through = [work for work in ran_in if work in runs_on]
        if through and len(here) > 1:
            return False
        clock = sum(dict(work).get(slot, 0.0) for work in here)
        if clock > hours[slot] + 1e-7:
            return False
    return True


def best_plan(farm):
    """Give the most that a farm's fields bring together, and the plan: {field: (machine, visits)}."""
    spans = [problem.days for field in farm.fields for problem in field.problems]
    first_day = min(int(days[0]) for days in spans)
    days = max(int(days[-1]) for days in spans) - first_day + 1
    hours = [half_days(machine, first_day, days) for machine in farm.machines]
    options = []
    for field in farm.fields:
        mine = []
        for problem, at, here in zip(field.problems, field.machines, field.machine_here, strict=True):
            found = choices(problem, here, first_day, days)
            alone = [(v, at, now) for v, now in found if can_follow([t.work for t in now], hours[at])]
            mine += alone
        options.append(sorted(mine, key=lambda one: -one[0]))
    later = [0.0]
    for mine in reversed(options):
        later.append(later[-1] + (mine[0][0] if mine else 0.0))
    later.reverse()
    best = [0.0, {}]

    def search(at, value, works, plan):
        if value > best[0] + TINY:
            best[:] = value, dict(plan)
        if at == len(options) or value + later[at] <= best[0] + TINY:
            return
        for gain, machine, now in options[at]:
            if value + gain + later[at + 1] <= best[0] + TINY:
                break
            together = works[machine] + [trip.work for trip in now]
            if can_follow(together, hours[machine]):
                works[machine], before = together, works[machine]
                search(at + 1, value + gain, works, plan | {at: (machine, now)})
                works[machine] = before
        search(at + 1, value, works, plan)

    search(0, 0.0, [[] for _ in farm.machines], {})
    return best[0], best[1]
