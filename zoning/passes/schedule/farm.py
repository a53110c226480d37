"""One schedule for all fields of a farm: zones into visits, visits onto sprayers, half-days and volumes.

A field by itself is the same question with one field and one sprayer.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.passes.half_days import HALVES
from zoning.passes.problem import Chosen, FarmProblem, FieldProblem, Limits, Machine, Schedule
from zoning.passes.schedule.columns import Calendar, by_day, every_visit
from zoning.passes.schedule.dealing import Taken, plan
from zoning.passes.schedule.hour_worth import Part, worth_usd
from zoning.passes.schedule.kinds import apart, calendar_of, kinds, machine_here, may_pay, offers_of
from zoning.passes.schedule.model import Offers, Sprayers, model
from zoning.passes.schedule.settled import Left, Pick, nothing, settle_ties, settled
from zoning.passes.schedule.solve import relax, solve
from zoning.passes.schedule.zone_sets import weighs_every_set

Floats = npt.NDArray[np.float64]


def schedule(farm: FarmProblem, limits: Limits, *, extras: bool = True) -> Schedule:
    """Choose the passes of all fields of a farm together.

    Parameters
    ----------
    farm : FarmProblem
        Fields with their options priced, and the sprayers whose hours they share.
    limits : Limits
        When the solver may stop: `gap_frac` for large farms, `nodes` for each of its models. Farms with few
        visits to choose from are solved to the end.
    extras : bool
        Work out what an extra sprayer or faster filling would be worth.

    Returns
    -------
    Schedule
        One entry in `chosen` for each field, in the order given.

    Notes
    -----
    A visit is inside one half-day, or runs on through the next usable ones in whole loads, at most three days
    in all. What a field's visits may be is said at `alone`; here they share the hours of the sprayers.
    The plan's value and gap are those of the search, before volumes that count as equal are settled.

    Examples
    --------
    Two fields of 40 ac and hours for one of them: the better one is sprayed.

    >>> from zoning.passes.half_days import even
    >>> machine = Machine(name="rig", acres_per_hour=(80.0,), acres_per_load=(80.0,), set_up_h=0.5,
    ...     hours=even(10, 1, 2.0))
    >>> def field(name, net):
    ...     problem = FieldProblem(
    ...         field=name, zones=(1,), block_of_zone=(0,), area_ac=np.array([40.0]), days=np.array([10]),
    ...         volumes_gal_ac=(15.0,), net_usd_ac=np.array([[[net]]]), worth_it=np.array([[[True]]]),
    ...         swath_area_ac=np.array([[40.0]]), track_loss_usd_ac=np.zeros(1), bill_usd_ac=0, pass_usd_ac=9,
    ...         per_visit_usd=60, minimum_bill_usd=0, travel_h=0.25)
    ...     return FieldOptions(problems=(problem,), machines=(0,), machine_here=(machine,))
    >>> from zoning.passes.problem import FieldOptions
    >>> farm = FarmProblem(fields=(field("one", 5.0), field("two", 6.0)), machines=(machine,))
    >>> plan = schedule(farm, Limits(gap_frac=0.001, nodes=1000))
    >>> [len(chosen.visits) for chosen in plan.chosen], round(plan.value_usd), round(plan.bound_usd)
    ([0, 1], 180, 180)
    """
    calendar = calendar_of(farm)
    alike = kinds(farm, calendar)
    offers = offers_of(farm, alike, calendar)
    asked = apart(offers)
    found = [plan(part, alike, limits) for part in asked]
    values = [sum(float(one.columns.value_usd.sum()) for one in part.taken) for part in found]
    value = sum(values)
    parts = [Part(offers=part, value_usd=usd) for part, usd in zip(asked, values, strict=True)]
    bound = max(value, sum(part.bound for part in found))
    hour_usd = {kind: worth for part in found for kind, worth in part.hour_usd.items()}
    field_usd = [0.0] * len(farm.fields)
    for one in (one for part in found for one in part.taken):
        field_usd[one.field] += float(one.columns.value_usd.sum())
    used, chosen = _settled(farm, calendar, [one for part in found for one in part.taken])
    hour_worth = [np.zeros((calendar.days, 2)) for _ in farm.machines]
    for kind, worth in hour_usd.items():
        for at in alike[kind].machines:
            hour_worth[at] = worth.reshape(calendar.days, 2)
    return Schedule(
        chosen=chosen,
        value_usd=value,
        bound_usd=bound,
        gap_frac=(bound - value) / bound if bound > 0 else 0.0,
        nodes=sum(part.nodes for part in found),
        solver="greedy" if any(part.solver == "greedy" for part in found) else "exact",
        first_day=calendar.first_day,
        hour_usd=tuple(hour_worth),
        used_h=used,
        worth_usd=worth_usd(farm, alike, parts) if extras else {},
        field_usd=tuple(field_usd),
        every_set=all(weighs_every_set(one) for field in farm.fields for one in field.problems),
    )


def with_extras(farm: FarmProblem, plan: Schedule) -> Schedule:
    """Work out for a schedule that is made what an extra sprayer or faster filling would be worth.

    Parameters
    ----------
    farm : FarmProblem
        What the schedule was made from.
    plan : Schedule
        Of this farm, by `schedule` with `extras` False.

    Returns
    -------
    Schedule
        As `schedule` gives it by itself with `extras` True.
    """
    calendar = calendar_of(farm)
    alike = kinds(farm, calendar)
    parts = [
        Part(offers=part, value_usd=sum(plan.field_usd[field] for field in {one.field for one in part}))
        for part in apart(offers_of(farm, alike, calendar))
    ]
    return replace(plan, worth_usd=worth_usd(farm, alike, parts))


def _settled(
    farm: FarmProblem, calendar: Calendar, taken: Sequence[Taken]
) -> tuple[tuple[Floats, ...], tuple[Chosen, ...]]:
    """Settle ties sprayer by sprayer and write the fields down; gives the hours used as well."""
    hours = [calendar.hours_h(machine) for machine in farm.machines]
    left = [Left(hours_h=hours_h.copy(), border=np.ones(hours_h.size)) for hours_h in hours]
    for one in taken:
        left[one.machine].use(one.columns, hours[one.machine])
    chosen = [nothing(field.problems[0]) for field in farm.fields]
    used = [np.zeros((calendar.days, 2)) for _ in farm.machines]
    for one in sorted(taken, key=lambda one: one.field):
        place, problem, machine = machine_here(farm, one.field, one.machine)
        in_order = one.columns.take(np.argsort(one.columns.start, kind="stable"))
        pick = Pick(problem=problem, machine=machine, taken=in_order, place=place)
        made = settled(settle_ties(pick, calendar, left[one.machine]), calendar)
        chosen[one.field] = made
        for visit in made.visits:
            for part in visit.parts:
                used[one.machine][part.day - calendar.first_day, HALVES.index(part.half)] += part.hours_h
    return tuple(used), tuple(chosen)


def alone(problem: FieldProblem, machine: Machine) -> Chosen:
    """Choose the passes of a field that has the sprayer to itself.

    Parameters
    ----------
    problem : FieldProblem
        A field with its options priced.
    machine : Machine
        The sprayer; its volumes are those of the problem.

    Returns
    -------
    Chosen
        No visit where none is worth its costs.

    Notes
    -----
    Every grouping of neighbouring blocks, in the order in which they reach R3, into at most three visits is
    weighed with every half-day, volume and way of running on; blocks may be left out. Highest expected net
    after visit costs wins. Among the volumes of the same visit (same blocks, same half-day), those less than
    0.50 USD per acre that they spray behind it count as equal: then 15 gal/ac is taken, or else the highest
    volume. Where another pass goes over the field anyway there is one visit: it goes once.
    The search charges each visit its own wheel tracks in full; `value_usd` charges each swath once.

    Examples
    --------
    >>> problem = FieldProblem(
    ...     field="home", zones=(1,), block_of_zone=(0,), area_ac=np.array([40.0]), days=np.array([10, 11]),
    ...     volumes_gal_ac=(15.0, 20.0), net_usd_ac=np.array([[[5.0, 5.0], [4.0, 4.0]]]),
    ...     worth_it=np.ones((1, 2, 2), dtype=bool), swath_area_ac=np.array([[40.0]]),
    ...     track_loss_usd_ac=np.zeros(1), bill_usd_ac=0, pass_usd_ac=9, per_visit_usd=60, minimum_bill_usd=0)
    >>> from zoning.passes.half_days import even
    >>> machine = Machine(name="rig", acres_per_hour=(78, 58.5), acres_per_load=(66.7, 50.0), set_up_h=1 / 3,
    ...     hours=even(10, 2, 3.0))
    >>> chosen = alone(problem, machine)
    >>> chosen.value_usd, chosen.visits[0].day, chosen.visits[0].volume_gal_ac
    (140.0, 10, 15.0)
    """
    if not may_pay(problem):
        return nothing(problem)
    calendar = Calendar(first_day=int(problem.days[0]), days=int(problem.days[-1] - problem.days[0]) + 1)
    hours_h = calendar.hours_h(machine)
    visits = by_day(every_visit(problem, machine, calendar))
    if not len(visits):
        return nothing(problem)
    offers = [Offers(field=0, kind=0, once=problem.goes_anyway, columns=visits)]
    asked = model(offers, [Sprayers(count=1, hours_h=np.full(hours_h.size, np.inf))])
    nodes = int(number("settings.nodes"))
    found = solve(asked, relax(asked), Limits(gap_frac=0.0, nodes=nodes))
    taken = visits.take(found.taken[: asked.visits])
    taken = taken.take(np.argsort(taken.start, kind="stable"))
    left = Left(hours_h=hours_h.copy(), border=np.ones(hours_h.size))
    left.use(taken, hours_h)
    pick = Pick(problem=problem, machine=machine, taken=taken)
    return settled(settle_ties(pick, calendar, left), calendar)
