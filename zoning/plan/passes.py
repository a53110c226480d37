"""The passes of a plan, each with the map that the machine follows and its load sheet."""

from dataclasses import dataclass, field
from datetime import date

from zoning.passes.loads.sheet import LoadSheet
from zoning.passes.pass_map import PassMap
from zoning.passes.problem import VisitPart


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPass:
    """One pass of the plan.

    `parts` say what is done in which half-day. `in_time_frac` is the share of weather futures in which it is
    over by `due`, the last day on which each of its zones still returns nearly what it can; None where no
    hours are known. `in_time_years`: how many past years these futures are, or 0.
    """

    number: int
    sprayer: str
    day: date
    half: str
    rate_gal_ac: float
    area_ac: float
    loads: int
    visit_costs_usd: float
    zones: tuple[int, ...]
    later_usd: tuple[float, ...]  # what it would return beyond what it does, 1, 2, ... days later
    parts: tuple[VisitPart, ...] = ()
    due: date | None = None
    order_by: date | None = None  # last day to order product, where it takes time to come
    call_by: date | None = None  # last day to call the applicator, who wants notice
    in_time_frac: float | None = None
    in_time_years: int = 0
    sheet: LoadSheet | None = None
    map: PassMap = field(default_factory=PassMap)

    @property
    def last_day(self) -> date:
        """The day on which it is over."""
        return date.fromordinal(self.parts[-1].day) if self.parts else self.day

    @property
    def hours_h(self) -> float:
        """Spray hours that it takes, set-up and the way to the field included."""
        return sum(part.hours_h for part in self.parts)
