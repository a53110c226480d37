"""What the strips of a field said after harvest: the frozen result behind report, page, picture and PDF."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import Area, StripTreatment
from zoning.inputs.harvest.given import StripSource, TreatedSource
from zoning.returns.terms import CostLine
from zoning.settings.learned import LearnedTrial
from zoning.strips.learned.learned_terms import Belief, JudgedZone, SeasonBook
from zoning.strips.terms import ByZone, Lag, PairSeen, Response, RuleCount, Spatial, StripSeen
from zoning.words import Said

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialStrip:
    """One strip on the map; `outline` is in EPSG:4326, `seen` says what became of it."""

    outline: Area
    seen: StripSeen

    @property
    def pair(self) -> int:
        """Its pair."""
        return self.seen.pair

    @property
    def treatment(self) -> StripTreatment:
        """As it was laid."""
        return self.seen.treatment


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialZone:
    """One zone on the map; `outline` is in EPSG:4326."""

    zone: int
    block: str
    outline: Area
    area_ac: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrialPoints:
    """The combine's points: arrays of shape (n,), in the order of the file.

    `removed_by` is 0 for a point that was kept, else the place of the rule in `TrialResult.rules` counted
    from 1. `pair` is 0 for a point that counts in none. Places are in the plane of the field's grid.
    """

    row: Ints
    east_m: Floats
    north_m: Floats
    yield_bu_ac: Floats
    moisture_frac: Floats
    removed_by: Ints
    pair: Ints
    zone: Ints
    is_treated: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrialResult:
    """The trial of one field in one season: what the pass returned, where, and what is believed now.

    `run_id` is the hash of everything that it was made of. `response` and all after it are None or empty
    where no pair counts; `notes` say why.
    """

    run_id: str
    version: str
    field: str
    folder: str  # name of the field's folder
    farm: str
    season: int
    today: date
    epsg: int
    units: Literal["us", "metric"]
    country: str
    boundary: Area  # EPSG:4326
    area_ac: float
    heading_deg: float
    file: str  # of the combine's points
    harvested: tuple[date, ...]
    sprayed_on: tuple[date, ...]
    strip_source: StripSource
    treated_source: TreatedSource
    product: str
    header_m: float
    strip_width_m: float
    zones: tuple[TrialZone, ...]
    strips: tuple[TrialStrip, ...]
    treated: Area  # EPSG:4326
    points: TrialPoints
    rules: tuple[RuleCount, ...]
    lag: Lag
    mean_yield_bu_ac: float  # of the points that are kept
    pairs: tuple[PairSeen, ...]
    response: Response | None
    by_zone: ByZone | None
    spatial: Spatial | None
    costs: tuple[CostLine, ...]
    judged: tuple[JudgedZone, ...]
    beliefs: tuple[Belief, ...]
    trials: tuple[LearnedTrial, ...]  # of the farm, with this one
    book: SeasonBook
    lessons: tuple[Said, ...]
    notes: tuple[Said, ...]
    columns: tuple[tuple[str, str, str], ...]  # role, column, unit
