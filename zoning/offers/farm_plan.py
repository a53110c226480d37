"""From the settled plans of a farm's fields, and their one schedule, to the farm's plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from zoning.offers.choose import Together
from zoning.passes.half_days import HALVES
from zoning.passes.problem import Limits, Machine, Schedule
from zoning.passes.treated import DONE
from zoning.plan import FarmPlan, HalfDayUse, LeftOut, Plan, WorthOf
from zoning.returns.price import range_of
from zoning.returns.rule import chance
from zoning.settings.model import Sprayer
from zoning.sprayer import travel
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Settled:
    """One field of the farm that could be planned, and the sprayers that its settings name."""

    folder: str
    plan: Plan
    sprayers: tuple[Sprayer, ...]


def farm_plan(
    farm: str,
    fields: Sequence[Settled],
    together: Together,
    limits: Limits,
    *,
    today: date | None,
    lost_usd: float = 0.0,
) -> FarmPlan:
    """Put the plan of a farm together.

    Parameters
    ----------
    farm : str
        What the farm is called.
    fields : sequence of Settled
        In the order of their folders; none where no field could be planned.
    together : Together
        Their schedule.
    limits : Limits
        What the search was allowed.
    today : date, optional
        The day, where no field says it.
    lost_usd : float
        What the schedule counts (`Schedule.field_usd`) for fields that are not among `fields`, because their
        plans could not be written.

    Notes
    -----
    Value and bound are those of `fields`: the visits to the others keep their hours, and with these no
    schedule of `fields` exceeds the bound.
    """
    plans = tuple(one.plan for one in fields)
    schedule, first = together.schedule, plans[0] if plans else None
    day = first.today if first is not None else today
    if day is None:
        raise ValueError("no day to plan on: give today or clock")
    passes = [one for plan in plans for one in plan.passes]
    return FarmPlan(
        farm=farm,
        today=day,
        units=first.units if first is not None else "us",
        country=first.country if first is not None else "",
        folders=tuple(one.folder for one in fields),
        plans=plans,
        hours=_hours(together, plans) if passes else (),
        **_search(schedule, lost_usd),
        nodes=schedule.nodes,
        solver=schedule.solver,
        every_set=schedule.every_set,
        gap_limit_frac=limits.gap_frac,
        node_limit=limits.nodes,
        worth=tuple(
            WorthOf(change=change, sprayer=sprayer, usd=usd)
            for (change, sprayer), usd in schedule.worth_usd.items()
            if sprayer  # a field without a sprayer shares none, and none can be added to it
        ),
        left_out=tuple(out for one in fields for out in _left_out(one)),
        notes=_notes(fields),
        order_by=min((one.order_by for one in passes if one.order_by is not None), default=None),
        call_by=min((one.call_by for one in passes if one.call_by is not None), default=None),
        **_range(plans),
    )


def _search(schedule: Schedule, lost_usd: float) -> dict[str, float]:
    """Give value, bound and gap without what fields bring that are not in the plan."""
    value_usd, bound_usd = schedule.value_usd - lost_usd, schedule.bound_usd - lost_usd
    apart_usd = bound_usd - value_usd
    gap_frac = apart_usd / abs(bound_usd) if apart_usd > 0 and bound_usd else 0.0
    return {
        "value_usd": value_usd,
        "bound_usd": bound_usd,
        "gap_frac": gap_frac if lost_usd else schedule.gap_frac,
    }


def _range(plans: Sequence[Plan]) -> dict[str, float]:
    """Add up what the fields return season by season: draw i is the same season in each of them."""
    totals = [plan.totals for plan in plans if plan.totals is not None]
    draws = [one.net_draws_usd for one in totals if one.net_draws_usd is not None]
    if not draws or len({len(one) for one in draws}) > 1:
        return {}
    together = np.sum(draws, axis=0)
    low, high = range_of(together)
    return {"net_p10_usd": low, "net_p90_usd": high, "chance_pays": float(chance(together))}


def _notes(fields: Sequence[Settled]) -> tuple[Said, ...]:
    """Say what is known of the ways: a sprayer without a base has none."""
    sprayers = {sprayer.name: sprayer for one in fields if one.plan.passes for sprayer in one.sprayers}
    return travel.notes(tuple(sprayers.values()))


def _left_out(one: Settled) -> list[LeftOut]:
    """List the zones that the rule would spray and that no pass takes, and that have not had theirs."""
    return [
        LeftOut(field=one.plan.field, zone=zone.zone, area_ac=zone.area_ac, why=zone.reason)
        for zone in one.plan.zones
        if zone.action == "skip" and zone.reason.code.startswith("passes.") and zone.reason.code not in DONE
    ]


def _hours(together: Together, plans: Sequence[Plan]) -> tuple[HalfDayUse, ...]:
    """List every half-day of every sprayer, up to the last that is used or on which a window is open."""
    schedule = together.schedule
    last = [one.last_day for plan in plans for one in plan.passes]
    last += [zone.window.closes for plan in plans for zone in plan.zones if zone.window is not None]
    asked = max(last).toordinal() + 1 - schedule.first_day
    days = min(asked, *(len(one) for one in schedule.used_h))
    return tuple(
        _use(machine, schedule.first_day + row, half, (used_h[row, half], hour_usd[row, half]))
        for machine, used_h, hour_usd in zip(
            together.machines, schedule.used_h, schedule.hour_usd, strict=True
        )
        if machine.name
        for row in range(days)
        for half in range(len(HALVES))
    )


def _use(machine: Machine, day: int, half: int, of: tuple[float, float]) -> HalfDayUse:
    row = day - machine.hours.first_day
    used_h, hour_usd = of
    return HalfDayUse(
        sprayer=machine.name,
        day=date.fromordinal(day),
        half=HALVES[half],
        planned_h=float(machine.hours.of(np.array([day]))[0, half]),
        used_h=float(used_h),
        hour_usd=float(hour_usd),
        source=machine.hours.source[row] if 0 <= row < len(machine.hours.source) else "no limit",
    )
