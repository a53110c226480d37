"""What the schedule is asked and what it answers. Values only.

The solver that comes with the farm schedule has the same signature: problems in, one `Chosen` each out.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldProblem:
    """One field's options, priced.

    Zones stand in one order throughout. `net_usd_ac` (zones, days, volumes) is the expected net return of a
    sprayed acre *without* wheel tracks and without what is billed per visit or per field; NaN where the
    option is not allowed or not supported. `worth_it` (same shape) is what the rule says of it at that cost:
    tracks are for the visit to pay, and are nobody's where they are driven anyway. `swath_area_ac` (swaths,
    zones) is the area of each zone on each swath of the boom along the heading; `track_loss_usd_ac` (zones,)
    is the worth of the crop pressed down on a driven acre, 0 where tracks exist. `block_of_zone` indexes
    blocks in the order in which they reach R3. Where another pass goes over the whole field anyway
    (`goes_anyway`) there is one visit; it takes every zone along, whatever the rule says of each, where that
    spares more than it loses and `may_fill_up` is True.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One sprayer as the schedule sees it: what it does at each carrier volume it can reach."""

    name: str
    acres_per_hour: tuple[float, ...]  # for each volume of the problem; filling included
    acres_per_load: tuple[float, ...]
    set_up_h: float
    hours_per_day: float
    source_of_hours: str  # "planning triple" until hourly weather is given


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One pass: one visit to one field with one tank mix and one carrier volume."""

    number: int
    sprayer: str
    day: int
    last_day: int
    half: Literal["AM", "PM"]
    volume_gal_ac: float
    zones: tuple[int, ...]
    area_ac: float
    loads: int
    visit_costs_usd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The chosen passes of one field.

    `value_usd` is recomputed exactly for the chosen passes (tracks once per swath and season, costs per
    visit); `estimate_usd` is what the search added up. `driven_off_ac` is the skipped area that is driven
    with the boom off and `driven_off_usd` the crop lost there.
    """

    field: str
    visits: tuple[Visit, ...]
    value_usd: float
    estimate_usd: float
    driven_off_ac: float
    driven_off_usd: float
