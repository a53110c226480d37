"""The passes of a farm, held to the user's rule once wheel tracks are in the sum.

The search adds up means; "chance" and "cautious" look at the draws. So the zones that the search sprays are
judged again, with their tracks, and where the rule refuses one the search is run again without that option.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from zoning.offers import forced
from zoning.offers.judged import Judged, judged_together, option_of
from zoning.offers.offered import Choice, Offer, OfferedZone, Options
from zoning.passes.half_days import HALVES, HalfDays
from zoning.passes.problem import (
    Chosen,
    FarmProblem,
    FieldOptions,
    FieldProblem,
    Limits,
    Machine,
    Schedule,
    Visit,
)
from zoning.returns.price import price
from zoning.settings.model import Schedule as Ahead

_Problems = list[list[FieldProblem]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Together:
    """One schedule for some fields, and the sprayers whose hours they share."""

    schedule: Schedule
    machines: tuple[Machine, ...]


def limits_of(offer: Offer | None) -> Limits:
    """Give the limits of the search that the settings of a field name, or else the usual ones."""
    ahead = offer.settings.schedule if offer is not None and offer.settings is not None else Ahead()
    return Limits(gap_frac=ahead.gap_frac, nodes=ahead.nodes)


def strictest(limits: Iterable[Limits]) -> Limits:
    """Give the limits of a farm's search: the smallest gap and the most nodes of any of its fields.

    Parameters
    ----------
    limits : iterable of Limits
        Of each field, in any order: what farm.toml says, or what its field.toml says. The usual ones where
        there is none.

    Examples
    --------
    >>> strictest([Limits(gap_frac=0.005, nodes=100), Limits(gap_frac=0.01, nodes=500)])
    Limits(gap_frac=0.005, nodes=500)
    """
    known = list(limits) or [limits_of(None)]
    return Limits(gap_frac=min(one.gap_frac for one in known), nodes=max(one.nodes for one in known))


def choose(fields: Sequence[Sequence[Choice]], limits: Limits, *, extras: bool = True) -> Together:
    """Choose the passes of all fields that share sprayers.

    Parameters
    ----------
    fields : sequence of sequences of Choice
        What each sprayer that may come offers each field.
    limits : Limits
        When the search may stop.
    extras : bool
        Work out what an extra sprayer or faster filling would be worth.

    Returns
    -------
    Together
        In its schedule `Chosen.place` says which of the field's choices it is. Every zone in it is worth it
        by the rule at the cost that is still avoidable.

    Notes
    -----
    Under the rule "expected", and where no tracks are made, the search is exact within its limits and nothing
    is judged again. Extras are worked out once, for the last search. A zone that the user wants sprayed is
    never refused; `forced.followed` says how it gets into a pass.
    """
    # imported late: no step before needs to wait for the solver's library
    from zoning.passes.schedule.farm import schedule, with_extras

    judges = any(may_refuse(choice) for choices in fields for choice in choices)
    machines = _machines(fields)

    def search(problems: _Problems, limits: Limits, *, extras: bool = False) -> Schedule:
        while True:
            farm = _farm(fields, problems, machines)
            found = schedule(farm, limits, extras=extras and not judges)
            again = False
            for of_field, choices, chosen in zip(problems, fields, found.chosen, strict=True):
                choice = choices[chosen.place]
                refused = _refused(choice, chosen)
                if refused:
                    of_field[chosen.place] = _without(refused, of_field[chosen.place], choice.options)
                    again = True
            if not again:
                return with_extras(farm, found) if extras and judges else found

    problems = [[forced.of_choice(choice) for choice in choices] for choices in fields]
    found = forced.followed(fields, search(problems, limits, extras=extras), limits, search)
    return Together(schedule=found, machines=tuple(machines.values()))


def shared(machine: Machine, number: int) -> object:
    """Give what fields that share a sprayer have in common; without a sprayer nothing is shared.

    Parameters
    ----------
    machine : Machine
        Of one choice of a field.
    number : int
        Of the field.
    """
    return machine.name or number


def _machines(fields: Sequence[Sequence[Choice]]) -> dict[object, Machine]:
    """List the sprayers: those of one name are one machine, whose hours its fields share."""
    machines: dict[object, Machine] = {}
    seen: set[tuple[object, int]] = set()
    for number, choices in enumerate(fields):
        for choice in choices:
            machine = choice.options.machine
            name = shared(machine, number)
            if (name, id(machine.hours)) in seen:
                continue
            seen.add((name, id(machine.hours)))
            known = machines.setdefault(name, machine)
            machines[name] = replace(known, hours=longest(known.hours, machine.hours))
    return machines


def _farm(
    fields: Sequence[Sequence[Choice]], problems: _Problems, machines: Mapping[object, Machine]
) -> FarmProblem:
    """State the problem of the farm."""
    place = {name: at for at, name in enumerate(machines)}
    asked = []
    for number, (choices, of_field) in enumerate(zip(fields, problems, strict=True)):
        here = tuple(choice.options.machine for choice in choices)
        places = tuple(place[shared(machine, number)] for machine in here)
        asked.append(FieldOptions(problems=tuple(of_field), machines=places, machine_here=here))
    return FarmProblem(fields=tuple(asked), machines=tuple(machines.values()))


def longest(one: HalfDays, other: HalfDays) -> HalfDays:
    """Give the hours in which a sprayer can work in one or the other of two fields, half-day by half-day.

    Parameters
    ----------
    one, other : HalfDays
        Hours of one sprayer in two fields. They differ where the fields look ahead differently far, where a
        label has limits of its own, and by their sun times. What a field lacks it lacks itself: in it no
        visit is longer than its own hours.

    Examples
    --------
    >>> from zoning.passes.half_days import even
    >>> longest(even(200, 2, 5.0), even(201, 2, 6.0)).planned_h.tolist()
    [[2.5, 2.5], [3.0, 3.0], [3.0, 3.0]]
    """
    if one is other:
        return one
    first, last = min(one.days[0], other.days[0]), max(one.days[-1], other.days[-1])
    days = np.arange(first, last + 1)
    both = [(hours, days - hours.first_day) for hours in (one, other)]
    futures = max(len(one.futures_h), len(other.futures_h))
    futures_h = np.zeros((futures, days.size, len(HALVES)))
    for hours, row in both:
        known = (row >= 0) & (row < len(hours.planned_h))
        futures_h[:, known] = np.maximum(futures_h[:, known], hours.futures_h[:, row[known]])
    known_by = [
        [hours.source[row[at]] for hours, row in both if 0 <= row[at] < len(hours.source)]
        for at in range(days.size)
    ]
    return HalfDays(
        first_day=int(first),
        planned_h=np.maximum(one.of(days), other.of(days)),
        futures_h=futures_h,
        source=tuple(found[0] if found else "no limit" for found in known_by),
        past_years=max(one.past_years, other.past_years),
    )


def _without(
    refused: dict[int, tuple[Visit, Judged]], problem: FieldProblem, options: Options
) -> FieldProblem:
    """Take the refused options out of a problem."""
    worth_it = problem.worth_it.copy()
    for row, (visit, there) in refused.items():
        worth_it[row] &= _wanted(there, options)
        first, last = np.searchsorted(problem.days, [visit.day, visit.last_day])
        worth_it[row, first : last + 1, there.column] = False
    return replace(problem, worth_it=worth_it)


def may_refuse(choice: Choice) -> bool:
    """Whether the rule may refuse a zone that the search sprays."""
    return choice.options.terms[0].rule != "expected" and bool(choice.options.problem.track_loss_usd_ac.any())


def _refused(choice: Choice, chosen: Chosen) -> dict[int, tuple[Visit, Judged]]:
    """Find the sprayed zones that the rule refuses, by row."""
    options = choice.options
    if not may_refuse(choice):
        return {}
    zones = as_sprayed(choice.zones, chosen)
    visit_of = {zone: visit for visit in chosen.visits for zone in visit.zones}
    sprayed = {row: visit_of[one.zone] for row, one in enumerate(zones) if one.zone in visit_of}
    asked = {
        row: (case, option_of(visit, options))
        for row, visit in sprayed.items()
        if (case := zones[row].case) is not None
    }
    decided = forced.forced_of(choice)
    stands = [row for row in asked if zones[row].zone in decided]
    judged = judged_together(asked, options, stands)
    return {
        row: (sprayed[row], there)
        for row, there in judged.items()
        if not there.returned.worth_it and row not in stands
    }


def as_sprayed(zones: tuple[OfferedZone, ...], chosen: Chosen) -> tuple[OfferedZone, ...]:
    """Give the zones as their passes find them: one that is begun after noon lacks what the morning gives."""
    late = {zone for visit in chosen.visits if visit.half == "PM" for zone in visit.zones}
    return tuple(one.afternoon if one.afternoon is not None and one.zone in late else one for one in zones)


def _wanted(there: Judged, options: Options) -> npt.NDArray[np.bool_]:
    """Options at which the rule wants a zone with the tracks that count for it, shape (days, volumes)."""
    priced = price([there.case], options.priced.days, options.priced.volumes_gal_ac, options.terms)
    return np.asarray(priced.passes_rule[0], dtype=np.bool_)
