"""What the steps of this room hand to each other. Values only."""

import math
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import StripTreatment
from zoning.words import Said

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tracks:
    """The combine's passes: for each point the number of its pass (-1: none), its way along it, its heading.

    Points of one pass follow each other in the order of driving, which is that of the file unless its times
    or tracks tell better. `heading_deg` is clockwise from grid north.
    """

    number: Ints
    along_m: Floats
    heading_deg: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Lag:
    """How far what was measured lags behind the place, over what the terminal has corrected already.

    In seconds where points have a time, else in points. `likeness` is the correlation of passes side by side
    at that lag, `likeness_before` without it. Where it cannot be told, `amount` is 0 and `why` says so.
    """

    amount: float
    unit: Literal["s", "points"]
    likeness: float
    likeness_before: float
    why: Said | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCount:
    """One rule of cleaning: its code (a key of `cleaning.RULES`), how many points it took, of how many."""

    code: str
    removed: int
    before: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cleaned:
    """The points after cleaning: every point is still there, with the rule that took it.

    `yield_bu_ac` is at the standard moisture, after the lag, NaN where it cannot be had. `removed_by` is 0
    for a point that is kept, else the place in `rules` counted from 1.
    """

    yield_bu_ac: Floats
    moisture_frac: Floats
    removed_by: Ints
    rules: tuple[RuleCount, ...]
    tracks: Tracks
    lag: Lag
    notes: tuple[Said, ...] = ()

    @property
    def kept(self) -> Bools:
        """Which points are kept."""
        return np.asarray(self.removed_by == 0)


# Why a point that is kept does not count in a pair; 0 counts.
NotCounted = Literal[
    "counts",
    "removed",
    "no strip",
    "off centre",
    "strip end",
    "change",
    "headland",
    "no zone",
    "no partner",
    "across",
]
NOT_COUNTED: tuple[NotCounted, ...] = get_args(NotCounted)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """Where each point lies: arrays of shape (n,).

    `pair` and `zone` are 0 where there is none; `is_treated` is what was really sprayed there; `why` is the
    place in `NOT_COUNTED`.
    """

    pair: Ints
    zone: Ints
    is_treated: Bools
    along_m: Floats  # along the strips' heading, so that strips side by side share it
    why: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class StripSeen:
    """One strip as laid, and what became of it: the share of its ground that was sprayed, its yield."""

    pair: int
    treatment: StripTreatment
    sprayed_frac: float
    points: int
    passes: int
    mean_bu_ac: float  # NaN where no point counts


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePart:
    """What one pair says of one zone: the difference over the length that both of its strips have there."""

    pair: int
    zone: int
    length_m: float
    points: int
    treated_bu_ac: float
    untreated_bu_ac: float

    @property
    def difference_bu_ac(self) -> float:
        """Treated less untreated. [bu/ac]."""
        return self.treated_bu_ac - self.untreated_bu_ac


@dataclass(frozen=True, slots=True, kw_only=True)
class PairSeen:
    """One pair: treated less untreated over all ground that both strips share, or why it does not count."""

    pair: int
    length_m: float
    points: int
    treated_bu_ac: float
    untreated_bu_ac: float
    moisture_difference_frac: float  # NaN where no moisture
    why_not: Said | None = None

    @property
    def difference_bu_ac(self) -> float:
        """Treated less untreated. [bu/ac]."""
        return self.treated_bu_ac - self.untreated_bu_ac


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """All pairs of a field, and the parts of each by zone."""

    strips: tuple[StripSeen, ...]
    pairs: tuple[PairSeen, ...]
    parts: tuple[ZonePart, ...]
    notes: tuple[Said, ...] = ()

    @property
    def counted(self) -> tuple[PairSeen, ...]:
        """The pairs that count."""
        return tuple(one for one in self.pairs if one.why_not is None)


Told = Literal["paid", "did not pay", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """What a response must bring, and what one brings: net = price x (response - break-even).

    `cost_usd_ac` is what a treated acre costs in all; tracks, where the pass makes them, are crop lost.
    """

    price_usd_bu: float
    cost_usd_ac: float
    tracks_bu_ac: float

    @property
    def break_even_bu_ac(self) -> float:
        """The response that just pays, infinite where a bushel brings nothing. [bu/ac]."""
        if self.price_usd_bu <= 0:
            return math.inf
        return self.cost_usd_ac / self.price_usd_bu + self.tracks_bu_ac

    def net_usd_ac(self, response_bu_ac: float) -> float:
        """Net return of an acre that responds so. [USD/ac]."""
        return self.price_usd_bu * (response_bu_ac - self.tracks_bu_ac) - self.cost_usd_ac


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """What the pairs say: the mean difference with its 90 % interval, and whether it paid.

    `sd_bu_ac` is that of the pairs' differences, NaN with one pair, 0 where they are all alike; interval and
    chance then rest on the pooled SD (`from_pooled_sd`). `chance_pays` is the chance that the mean response
    is above break-even, None without money, with nothing known beforehand. `relabelled_p` is the share of all
    ways to label the strips of each pair that differ at least as much (two-sided). `pairs_needed` is how many
    pairs like these would tell, None where they tell already, or no number that a farm lays would.
    """

    pairs: int
    mean_bu_ac: float
    sd_bu_ac: float
    se_bu_ac: float
    low_bu_ac: float
    high_bu_ac: float
    p_two_sided: float
    relabelled_p: float
    from_pooled_sd: bool
    money: Money | None
    chance_pays: float | None
    told: Told | None
    pairs_needed: int | None
    se_to_learn_bu_ac: float  # with the SD drawn towards the pooled one, for what is believed next year


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneResponse:
    """What one zone returned: as seen, and drawn towards the field as far as zones differ by chance alone.

    `told` is by the interval of the drawn one; None without money.
    """

    zone: int
    pairs: int
    length_m: float
    seen_bu_ac: float
    mean_bu_ac: float
    se_bu_ac: float
    low_bu_ac: float
    high_bu_ac: float
    chance_pays: float | None
    told: Told | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ByZone:
    """Responses of zones; `differ_p` is the chance of such differences where zones respond alike, or NaN.

    `differ` is whether zones may be called different at one in twenty. `zone_sd_bu_ac`, `pair_sd_bu_ac` and
    `rest_sd_bu_ac` are the estimated SDs of zones, of pairs and of what is left within a pair and zone of
    mean length; NaN where they cannot be told apart. What zones returned counts that these are not known.
    """

    zones: tuple[ZoneResponse, ...]
    zone_sd_bu_ac: float
    pair_sd_bu_ac: float
    rest_sd_bu_ac: float
    differ_p: float
    differ: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Spatial:
    """How alike neighbours are after the strips' means: how many free observations the points are worth.

    `morans_i` is of the residuals within strips, `worth_points` the number of independent ones that would
    give the mean the same certainty. It never narrows what the pairs say.
    """

    points: int
    morans_i: float
    range_m: float
    worth_points: float
    note: Said
