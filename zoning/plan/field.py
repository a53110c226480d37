"""The plan of one field."""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import Area
from zoning.passes.what_if import WhatIf
from zoning.plan.ground import Picture, PlanNoSpray, PlanStrips, PlanTreatment
from zoning.plan.passes import PlanPass
from zoning.plan.zones import BlockZones, PlanZone, ZoneSince
from zoning.returns.terms import CostLine, Flip
from zoning.settings.model import Source
from zoning.words import Said
from zoning.zones.quality import Quality

ScoutedKind = Literal["count", "pressure", "note"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scouted:
    """Something that was seen in the field: a count of plants, how much disease, or a note or photo alone.

    `zone` is the zone that it speaks for, 0 where it lies in none; `source` is file and line, empty where not
    known. `stage`, `note`, `photo` (the name of a picture) and `observer` are as written down.
    """

    on: date
    lon: float  # EPSG:4326
    lat: float
    zone: int
    kind: ScoutedKind
    text: str
    source: str = ""
    stage: str = ""
    severity_pct: float | None = None
    note: str = ""
    photo: str = ""
    observer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanWalk:
    """Where a count is worth the walk: the place to stand, the day, and what it gains on average.

    `plants` is how many to stage; `informs` are the zones whose decision it may change.
    """

    zone: int
    lon: float  # EPSG:4326
    lat: float
    day: date
    plants: int
    usd: float
    informs: tuple[int, ...]


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
    # what the passes return in each draw: the same season in every field; None where nothing is sprayed
    net_draws_usd: npt.NDArray[np.float64] | None = dataclasses.field(default=None, compare=False, repr=False)


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
    strips: PlanStrips | None = None  # check strips; None where there are none
    since: Said | None = None  # what changed since an earlier plan; None where nobody named one
    cell_m: float = 10.0  # of the field's grid
    iso_grid: Literal[0, 1, 2] = 0  # what the ISO 11783-10 files hold: 0 polygons, 1 or 2 that type of grid
    volumes_gal_ac: tuple[float, ...] = ()  # carrier volumes that label and sprayer allow; empty without them
    what_if: WhatIf | None = dataclasses.field(default=None, compare=False)  # None at level 1
    pictures: tuple[Picture, ...] = dataclasses.field(default=(), compare=False)  # of layers
    walks: tuple[PlanWalk, ...] = ()  # the best first
    since_zones: tuple[ZoneSince, ...] = ()  # of the plan of `since`, if of the same zones

    @property
    def no_spray_ac(self) -> float:
        """Acres in no zone: `area_ac` less the zones."""
        return sum(one.area_ac for one in self.no_spray)
