"""The plan of a field: the frozen result. Files and pictures are made from them and nothing else.

A plan neither prints nor draws; `prescription.plan_json.as_object` gives the object that plan.json holds.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from zoning.inputs.given import Area as Area
from zoning.inputs.given import NoSprayKind as NoSprayKind
from zoning.passes.half_days import Half, HoursFrom
from zoning.passes.loads.sheet import LoadSheet as LoadSheet
from zoning.passes.problem import VisitPart as VisitPart
from zoning.returns.price import NO_PRICE_PAYS as NO_PRICE_PAYS
from zoning.returns.terms import CostLine, Delay, Flip, Step
from zoning.settings.model import Source
from zoning.stage.draws import Window
from zoning.words import Said
from zoning.zones.quality import Agreement, Quality

SCHEMA_VERSION = 1
SOURCES: tuple[Source, ...] = get_args(Source)  # in the order in which they are shown

Action = Literal["spray", "skip"]
ScoutedKind = Literal["count", "pressure"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceReturn:
    """What one response source says of a zone at the zone's best day under that source, visit costs apart."""

    action: Action
    net_usd_ac: float
    chance_pays: float
    needed_response_bu_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneMoney:
    """The money of one zone: if sprayed, at its pass; if skipped, at the best option it had.

    `steps` lead from the published mean to what is expected here; `rests_on_frac` says how much of their
    sizes is of each kind of evidence. `no_contrast_usd_ac` is the net return if canopy and wet ground told
    nothing of the pressure, None where they moved nothing. `flips` name what would turn the decision.
    """

    net_mean_usd_ac: float
    net_p10_usd_ac: float
    net_p90_usd_ac: float
    chance_pays: float
    break_even_price_usd_bu: float  # NO_PRICE_PAYS where no price pays
    break_even_response_bu_ac: float
    response_mean_bu_ac: float
    response_sd_bu_ac: float
    by_source: Mapping[Source, SourceReturn | None]
    perfect_information_usd_ac: float
    toss_up: bool
    no_contrast_usd_ac: float | None
    steps: tuple[Step, ...]
    rests_on_frac: Mapping[str, float]
    delay: Delay
    flips: tuple[Flip, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanZone:
    """One management zone with its window and what to do there.

    `outline` is in EPSG:4326; `money`, `action` are None at level 1; rate, pass and day are None where there
    is no pass; `window` is None where no model gives a date. `block` is the block's name.
    """

    zone: int
    block: str
    outline: Area
    area_ac: float
    planted: date
    maturity_group: float
    window: Window | None
    spray_from: date | None
    spray_by: date | None
    action: Action | None
    rate_gal_ac: float | None
    pass_number: int | None
    spray_on: date | None
    provisional: bool
    money: ZoneMoney | None
    reason: Said
    name: str = ""  # what the person who drew the zone calls it
    sprayed_on: date | None = None  # the last application of the product this season


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

    @property
    def last_day(self) -> date:
        """The day on which it is over."""
        return date.fromordinal(self.parts[-1].day) if self.parts else self.day

    @property
    def hours_h(self) -> float:
        """Spray hours that it takes, set-up and the way to the field included."""
        return sum(part.hours_h for part in self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scouted:
    """Something that was seen in the field: a count of plants, or how much disease.

    `zone` is the zone that it speaks for, 0 where it lies in none; `source` is file and line, empty where not
    known.
    """

    on: date
    lon: float  # EPSG:4326
    lat: float
    zone: int
    kind: ScoutedKind
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockZones:
    """How the number of zones of one block was found.

    Pairs of a number of zones and a share: `held_out` of the variance of cells that did not teach, `kept` of
    the net return of a plan for every cell; `kept` is empty where the layers alone decided. `supported` is
    the most zones that the layers tell apart.
    """

    block: str
    zones: int
    supported: int
    held_out: tuple[tuple[int, float], ...]
    kept: tuple[tuple[int, float], ...]
    agreement: Agreement | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTreatment:
    """What the machine is to treat where it follows its swaths instead of the zones.

    No run of treated or untreated cells inside a swath is shorter than `least_run_m`. `parts` are single
    polygons in EPSG:4326 that cover the field, each with the pass that treats it, 0 where none does.
    `differs_frac` is the share of the field that gets another action than its zone.
    """

    heading_deg: float
    heading_source: Literal["given", "planting", "edge"]
    swath_m: float
    step_m: float
    least_run_m: float
    treated_ac: float
    differs_frac: float
    parts: tuple[tuple[Area, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNoSpray:
    """Ground inside the boundary that is in no zone and gets rate 0; `outline` is in EPSG:4326.

    `source` is the file that it comes from. Zones and no-spray ground are together a valid coverage of the
    field.
    """

    kind: NoSprayKind
    source: str
    outline: Area
    area_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """Sums over the field; chance, range and value of knowing from the sum of all zones in each draw.

    Where nothing is sprayed, `net_usd` is 0 and the other figures of the return are those of the pass that
    comes nearest to paying; there `flips` name what would bring a first pass, else what would leave the
    passes together with no more than `min_net`. `costs` are the lines of the bill.
    """

    spray_ac: float
    skip_ac: float
    net_usd: float
    visit_costs_usd: float
    carrier_gal: float
    net_p10_usd: float
    net_p90_usd: float
    chance_pays: float
    break_even_price_usd_bu: float
    perfect_information_usd: float
    rests_on_frac: Mapping[str, float]
    costs: tuple[CostLine, ...]
    flips: tuple[Flip, ...]
    nearest_net_usd: float | None = None  # mean of the pass that comes nearest, where nothing is sprayed


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The whole plan of one field."""

    run_id: str
    zones_id: str
    field: str
    farm: str
    today: date
    epsg: int  # of the field's UTM grid
    units: Literal["us", "metric"]
    country: str
    level: Literal[1, 2, 3]
    boundary: Area  # EPSG:4326
    area_ac: float
    schedule: Literal["alone", "farm"]
    zones: tuple[PlanZone, ...]
    passes: tuple[PlanPass, ...]
    totals: Totals | None
    notes: tuple[Said, ...]
    cautions: tuple[str, ...]
    product: str
    scouting: tuple[Scouted, ...] = ()  # by day
    blocks: tuple[BlockZones, ...] = ()
    quality: Quality | None = None
    source: Source | None = None  # of the response; None at level 1
    treatment: PlanTreatment | None = None  # None: each pass treats its zones as they are
    no_spray: tuple[PlanNoSpray, ...] = ()

    @property
    def no_spray_ac(self) -> float:
        """Acres in no zone: `area_ac` less the zones."""
        return sum(one.area_ac for one in self.no_spray)


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
    schedule can exceed (not `every_set`: none of those weighed); all three are the search's own account.
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
