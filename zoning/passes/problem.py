"""What the schedule is asked and what it answers. Values only."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.passes.half_days import Half, HalfDays

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldProblem:
    """One field's options with one sprayer, priced.

    Zones stand in one order throughout. `net_usd_ac` (zones, days, volumes) is the expected net return of a
    sprayed acre *without* wheel tracks and without what is billed per visit or per field; NaN where the
    option is not allowed or not supported. `worth_it` (same shape) is what the rule says of it at that cost:
    tracks are for the visit to pay, and are nobody's where they are driven anyway. `swath_area_ac` (swaths,
    zones) is the area of each zone on each swath of the boom along the heading; `track_loss_usd_ac` (zones,)
    is the worth of the crop pressed down on a driven acre, 0 where tracks exist. `block_of_zone` indexes
    blocks in the order in which they reach R3. Where another pass goes over the whole field anyway
    (`goes_anyway`) there is one visit; it takes every zone along, whatever the rule says of each, where that
    spares more than it loses and `may_fill_up` is True. `travel_h` is the way to the field, for each visit.
    `no_spray_ac` is ground of the field in no zone, which a bill for the whole field counts too.
    Where the morning returns more, `afternoon_less_usd_ac` (shape of `net_usd_ac`) is what an acre sprayed in
    a visit that begins after noon brings less; None where the halves of a day are alike.
    """

    field: str
    zones: tuple[int, ...]
    block_of_zone: tuple[int, ...]
    area_ac: Floats
    days: npt.NDArray[np.int64]
    volumes_gal_ac: tuple[float, ...]
    net_usd_ac: Floats
    worth_it: npt.NDArray[np.bool_]
    swath_area_ac: Floats
    track_loss_usd_ac: Floats
    bill_usd_ac: float  # a pass billed for the whole field: per acre of the field, each visit; else 0
    pass_usd_ac: float  # what a treated acre is billed; inside net_usd_ac; needed for the minimum bill
    per_visit_usd: float
    minimum_bill_usd: float
    min_net_usd_ac: float = 0.0  # what a sprayed acre must bring beyond all that spraying it costs
    ferry_usd: float = 0.0  # the part of per_visit_usd that brings the sprayer to the farm
    goes_anyway: bool = False
    split_load_usd: float = 0.0  # of a visit to some zones of the field only: a load of their own
    may_fill_up: bool = False
    travel_h: float = 0.0
    afternoon_less_usd_ac: Floats | None = None
    no_spray_ac: float = 0.0

    @property
    def field_ac(self) -> float:
        """The acres that a bill for the whole field counts."""
        return float(self.area_ac.sum()) + self.no_spray_ac


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Machine:
    """One sprayer as the schedule sees it: what it does at each carrier volume it can reach, and when."""

    name: str
    acres_per_hour: tuple[float, ...]  # for each volume of the problem; filling included
    acres_per_load: tuple[float, ...]
    set_up_h: float  # of each visit
    hours: HalfDays
    hub: str = "home"
    fill_h: float = 0.0  # of one load, inside acres_per_hour; 0 where it is not known


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldOptions:
    """One field as the farm's schedule sees it: a problem for each sprayer that may spray it.

    A field is sprayed by one of them. `machines` are their places in `FarmProblem.machines`; not every
    machine reaches the same volumes, so its `acres_per_hour` in this field stand in `machine_here`.
    """

    problems: tuple[FieldProblem, ...]
    machines: tuple[int, ...]
    machine_here: tuple[Machine, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FarmProblem:
    """The fields of a farm, and the sprayers whose hours they share."""

    fields: tuple[FieldOptions, ...]
    machines: tuple[Machine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """When the solver may stop: within a share of the bound, or after so many nodes. Never on the clock."""

    gap_frac: float
    nodes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPart:
    """What a visit does in one half-day; set-up and the way are in the hours of the first."""

    day: int
    half: Half
    hours_h: float
    loads: float  # begun and finished; parts of one where a load runs on into the next half-day


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One pass: one visit to one field with one tank mix and one carrier volume."""

    number: int
    sprayer: str
    day: int
    last_day: int
    half: Half
    volume_gal_ac: float
    zones: tuple[int, ...]
    area_ac: float
    loads: int
    visit_costs_usd: float
    parts: tuple[VisitPart, ...] = ()  # in order; only half-days in which work is done


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The chosen passes of one field.

    `value_usd` is recomputed exactly for the chosen passes (tracks once per swath and season, costs per
    visit); `estimate_usd` is what the search added up. `driven_off_ac` is the skipped area that is driven
    with the boom off and `driven_off_usd` the crop lost there. `place` is that of the sprayer's problem among
    those of the field.
    """

    field: str
    visits: tuple[Visit, ...]
    value_usd: float
    estimate_usd: float
    driven_off_ac: float
    driven_off_usd: float
    place: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Schedule:
    """One schedule for all fields of a farm, and how good it is.

    `chosen` has one entry for each field. `value_usd` is their sum by the search's own account: tracks in
    full for each visit, `min_net` taken off, volumes that count as equal not yet settled. `bound_usd` is what
    no schedule can exceed; `gap_frac` is what lies between, as a share of the bound. `solver` is "exact"
    where the search found the plan (`gap_frac` says how near it came), or "greedy" where the node limit came
    before any plan of its own that is better. `hour_usd` has for each machine an
    array (days, 2): what one more spray hour in that half-day would be worth; `used_h` likewise what the plan
    uses. `first_day` is that of the rows. `worth_usd` says of "an extra sprayer" and "filling in half the
    time", by machine name, what each would add at most; empty where nobody asked. `field_usd` is what each
    field adds to `value_usd`. `every_set` is False where not all sets of the zones of a field were weighed:
    `bound_usd` is then that of those that were.
    """

    chosen: tuple[Chosen, ...]
    value_usd: float
    bound_usd: float
    gap_frac: float
    nodes: int
    solver: Literal["exact", "greedy"]
    first_day: int
    hour_usd: tuple[Floats, ...]
    used_h: tuple[Floats, ...]
    worth_usd: Mapping[tuple[str, str], float]
    field_usd: tuple[float, ...] = ()
    every_set: bool = True
