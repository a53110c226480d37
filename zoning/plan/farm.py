"""The plan of a farm: one schedule for the fields that could be planned."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from zoning.passes.half_days import Half, HoursFrom
from zoning.plan.field import Plan
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfDayUse:
    """One half-day of one sprayer: hours to plan with, hours in use, and what one more would be worth."""

    sprayer: str
    day: date
    half: Half
    planned_h: float
    used_h: float
    hour_usd: float
    source: HoursFrom


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthOf:
    """What a change would add to the farm's plan, at most: `change` is one of the schedule's words."""

    change: str
    sprayer: str
    usd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A zone that would pay and is in no pass, and why."""

    field: str
    zone: int
    area_ac: float
    why: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class FarmPlan:
    """The whole plan of a farm: one schedule for the fields that could be planned.

    `folders` stand beside `plans`. `gap_frac` is how far `value_usd` may lie below `bound_usd`, which no
    schedule can exceed (not `every_set`: none of those weighed); all three are the search's own account, for
    the fields in `plans`: where one could not be written, its visits keep their hours.
    `gap_limit_frac` and `node_limit` are what it was allowed. No `hours` where no field reaches a pass.
    """

    farm: str
    today: date
    units: Literal["us", "metric"]
    country: str
    folders: tuple[str, ...]
    plans: tuple[Plan, ...]
    hours: tuple[HalfDayUse, ...]
    value_usd: float
    bound_usd: float
    gap_frac: float
    nodes: int
    solver: Literal["exact", "greedy"]
    gap_limit_frac: float
    node_limit: int
    worth: tuple[WorthOf, ...]
    left_out: tuple[LeftOut, ...]
    notes: tuple[Said, ...]
    order_by: date | None = None  # last day to order product for the first pass
    call_by: date | None = None  # last day to call the applicator for the first pass
    every_set: bool = True
    # of the fields that are sprayed, added up season by season; None where nothing is, or draws differ
    net_p10_usd: float | None = None
    net_p90_usd: float | None = None
    chance_pays: float | None = None
