"""Plans for a made region, by the rooms of `zoning` and by plainer rules, and what they truly return.

Every plan is carried out by the same sprayers in the same hours; the truth is asked only to score, and by who
says that they know it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from pathlib import Path

import numpy as np
import numpy.typing as npt
from made_region import TrueRegion
from made_region_truth import Sprayed, TrueQuarter
from shapely import contains_xy, unary_union

from zoning import field as one_field
from zoning.offers.choose import choose, limits_of, longest
from zoning.offers.offered import Choice, Offer
from zoning.passes.half_days import HALVES
from zoning.passes.problem import Visit, VisitPart
from zoning.seen import gather
from zoning.stage.draws import StageDraws

Floats = npt.NDArray[np.float64]
Plans = list[list[Sprayed]]  # of each field


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Offered:
    """A region, and what the planner makes of its fields."""

    region: TrueRegion
    offers: tuple[Offer, ...]

    @property
    def acres(self) -> float:
        """Acres of all fields."""
        return sum(field.area_ac for field in self.region.fields)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Ground of one field that one visit is to spray: not before a half-day, and not once R5 has begun."""

    field: int
    zones: tuple[int, ...]
    not_before: int  # half-days from today's morning on
    too_late: int
    hours_h: float
    rigs: tuple[int, ...]  # those that may come; who is done first does


def offered(region: TrueRegion, seed: int = 0) -> Offered:
    """Make the offers of all fields."""
    folders = [region.farm / field.name for field in region.fields]
    seen = gather(folders, today=region.today, clock=None, seed=seed)

    def of(folder: Path) -> Offer:
        return one_field.offer(folder, today=region.today, seed=seed, seen=seen)

    return Offered(region=region, offers=tuple(of(folder) for folder in folders))


def true_usd(of: Offered, plans: Plans) -> float:
    """What the plans of all fields truly return."""
    return sum(field.return_usd(plan) for field, plan in zip(of.region.fields, plans, strict=True))


def sprayed_frac(of: Offered, plans: Plans) -> float:
    """Share of the acres that are sprayed."""
    acres = 0.0
    for field, plan in zip(of.region.fields, plans, strict=True):
        # acres are what a cost of 1 USD on each of them would come to
        free = replace(field.money, price_usd_bu=0.0, product_usd_ac=-1.0, adjuvant_usd_ac=0.0)
        free = replace(free, pass_usd_ac=0.0, per_visit_usd=0.0)
        acres += replace(field, money=free).return_usd(plan)
    return acres / of.acres


# -- what is to be done ------------------------------------------------------------------------------------


def chosen_jobs(of: Offered, visits: Sequence[Sequence[Visit]], *, own_rig: bool) -> list[Job]:
    """State visits as jobs, as they follow each other; with the sprayer that was chosen or with any."""
    jobs: list[tuple[int, int, Job]] = []
    for number, of_field in enumerate(visits):
        names = [choice.options.machine.name for choice in of.offers[number].choices]
        for visit in of_field:
            rigs = (names.index(visit.sprayer),) if own_rig else tuple(range(len(names)))
            job = Job(
                field=number,
                zones=visit.zones,
                not_before=_slot(of, visit.parts[0]),
                too_late=_too_late(of, number),
                hours_h=sum(part.hours_h for part in visit.parts),
                rigs=rigs,
            )
            jobs.append((job.not_before, _slot(of, visit.parts[-1]), job))
    # of two that begin in one half-day, the one that runs on comes last
    return [job for *_, job in sorted(jobs, key=lambda one: one[:2])]


def _slot(of: Offered, part: VisitPart) -> int:
    return 2 * (part.day - of.region.today.toordinal()) + HALVES.index(part.half)


def together(of: Offered, *, knowing: bool = False) -> list[Job]:
    """The planner's own: zones, and one schedule over all fields; or, knowing what each will return."""
    found = choose(_choices(of, knowing), limits_of(of.offers[0]), extras=False)
    return chosen_jobs(of, [one.visits for one in found.schedule.chosen], own_rig=True)


def each_alone(of: Offered, *, knowing: bool = False) -> list[Job]:
    """The planner's zones and days as if each field had the sprayers to itself; then whoever is first."""
    visits = []
    for one in _choices(of, knowing):
        (chosen,) = choose([one], limits_of(of.offers[0]), extras=False).schedule.chosen
        visits.append(chosen.visits)
    return chosen_jobs(of, visits, own_rig=False)


@lru_cache(maxsize=2)
def _choices(of: Offered, knowing: bool) -> list[tuple[Choice, ...]]:
    if not knowing:
        return [one.choices for one in of.offers]
    return [_with_truth(one, field) for one, field in zip(of.offers, of.region.fields, strict=True)]


def _with_truth(offer: Offer, field: TrueQuarter) -> tuple[Choice, ...]:
    """Price each zone of a field as it will really return."""
    days = offer.choices[0].options.problem.days
    net = np.empty((len(offer.zones), days.size))
    inside = [contains_xy(zone.outline, *field.ground.lonlat) for zone in offer.zones]
    for at, day in enumerate(days):
        of_cells = field.ground.area_ac * field.net_usd_ac(float(day) + 0.5)
        net[:, at] = [of_cells[cells].sum() for cells in inside]
    net /= np.array([[zone.area_ac] for zone in offer.zones])
    found = []
    for choice in offer.choices:
        problem = choice.options.problem
        priced = np.repeat(net[:, :, np.newaxis], len(problem.volumes_gal_ac), axis=2)
        known = replace(problem, net_usd_ac=priced, worth_it=priced > 0, min_net_usd_ac=0.0)
        found.append(replace(choice, options=replace(choice.options, problem=known)))
    return tuple(found)


def whole_or_none(of: Offered) -> list[Job]:
    """Each field whole on its best day where the planner's own mean pays, else not at all."""
    jobs = []
    for number, one in enumerate(of.offers):
        problem = one.choices[0].options.problem
        gain = np.einsum("z,zdv->dv", problem.area_ac, problem.net_usd_ac)
        best = np.unravel_index(int(np.nan_to_num(gain, nan=-np.inf).argmax()), gain.shape)
        if gain[best] > problem.per_visit_usd + problem.min_net_usd_ac * problem.area_ac.sum():
            jobs.append(_whole(of, number, int(problem.days[best[0]])))
    return sorted(jobs, key=lambda job: job.not_before)


def every_field(of: Offered) -> list[Job]:
    """Each field whole on its forecast day of R3, whatever it returns."""
    days = [_mean_day(one, "R3") for one in of.offers]
    return sorted((_whole(of, at, day) for at, day in enumerate(days)), key=lambda job: job.not_before)


def _stages(offer: Offer) -> list[StageDraws]:
    return [zone.dated for zone in offer.zones]


def _mean_day(offer: Offer, stage: str) -> int:
    """Mean forecast day of a stage, by acres."""
    days = [float(one.of(stage).mean()) for one in _stages(offer)]
    return round(float(np.average(days, weights=[zone.area_ac for zone in offer.zones])))


def _too_late(of: Offered, number: int) -> int:
    """The label ends at R5: that of the crop as it stands, in the block that comes last."""
    last = max(float(block.begin_day[4]) for block in of.region.fields[number].blocks)
    return int(2 * (last - of.region.today.toordinal()))


def _whole(of: Offered, number: int, day: int) -> Job:
    choices = of.offers[number].choices
    machine, problem = choices[0].options.machine, choices[0].options.problem
    area_ac = float(problem.area_ac.sum())
    return Job(
        field=number,
        zones=problem.zones,
        not_before=max(0, 2 * (day - of.region.today.toordinal())),
        too_late=_too_late(of, number),
        hours_h=machine.set_up_h + problem.travel_h + area_ac / max(machine.acres_per_hour),
        rigs=tuple(range(len(choices))),
    )


# -- and what is done --------------------------------------------------------------------------------------


def planned_hours(of: Offered) -> Floats:
    """Hours of each half-day that the planner counts on, the same for each sprayer."""
    of_fields = (one.choices[0].options.machine.hours for one in of.offers)
    hours = reduce(longest, of_fields)  # fields look ahead differently far
    days = of.region.today.toordinal() + np.arange(60)
    return np.asarray(hours.of(days).reshape(-1))


def true_hours(of: Offered) -> Floats:
    """Hours of each half-day that the weather really gives."""
    return np.asarray(of.region.weather.spray_hours_h(of.region.today).reshape(-1))


def carried_out(of: Offered, jobs: Sequence[Job], hours_h: Floats) -> Plans:
    """Spray job after job, each by the sprayer that is done first; what comes too late is left."""
    plans: Plans = [[] for _ in of.offers]
    left = [hours_h.copy() for _ in of.offers[0].choices]
    for visit, job in enumerate(jobs):
        done = [(_worked(left[rig], job), rig) for rig in job.rigs]
        in_time = [one for one in done if one[0] and max(one[0]) < job.too_late]
        if not in_time:
            continue
        used, rig = min(in_time, key=lambda one: (max(one[0]), one[1]))
        for slot, hour in used.items():
            left[rig][slot] -= hour
        left[rig][: max(used)] = 0.0  # nobody goes back in time
        zones = {zone.zone: zone.outline for zone in of.offers[job.field].zones}
        today = of.region.today.toordinal()
        days = tuple((today + (slot + 0.5) / 2, hour / job.hours_h) for slot, hour in used.items())
        outline = unary_union([zones[zone] for zone in job.zones])
        plans[job.field].append(Sprayed(outline=outline, days=days, visit=visit))
    return plans


def _worked(left_h: Floats, job: Job) -> dict[int, float]:
    """Hours that a job takes of each half-day; empty where there are too few."""
    used, needed = {}, job.hours_h
    for slot in range(job.not_before, left_h.size):
        if left_h[slot] > 1e-9:
            used[slot] = min(needed, float(left_h[slot]))
            needed -= used[slot]
            if needed <= 1e-9:
                return used
    return {}
