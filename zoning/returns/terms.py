"""What the returns room is asked and what it answers. Values only."""

from dataclasses import dataclass, replace
from typing import Literal, Self

import numpy as np
import numpy.typing as npt

from zoning.stage.draws import StageDraws

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of the response: with chance `weight` the response at its best is N(low + responding, sd).

    `low_bu_ac` follows the stage curve of crops without disease, `responding_bu_ac` that of crops in which
    disease is building; modes of action and rain act on `responding_bu_ac` only. `frogeye` is True for the
    part in which that disease is building, on which variety and resistance act.
    """

    weight: float
    low_bu_ac: float
    responding_bu_ac: float
    sd_bu_ac: float
    frogeye: bool = False


@dataclass(frozen=True, slots=True)
class Mixture:
    """The response of a place at its best stage: a mixture of normal parts whose weights sum to 1."""

    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """Cost lines of a treated acre that are spent whatever is decided; named as those in `Terms`."""

    product_usd_ac: float = 0.0
    adjuvant_usd_ac: float = 0.0
    adjuvant_usd_gal: float = 0.0
    foliar_feed_usd_ac: float = 0.0
    pass_usd_ac: float = 0.0
    filling_usd_ac: float = 0.0
    water_usd_gal: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """Prices, the cost lines still avoidable per treated acre, and the rule.

    All costs are the grower's own share; `price_usd_bu` is the grower's share of the price net of haul, so
    that gain = price_usd_bu x bushels. Costs billed per visit or per field belong to `passes`. `spent` holds
    what is no part of the decision; a line stands either here or there.
    """

    price_usd_bu: float
    grain_price_usd_bu: float
    haul_usd_bu: float
    share_of_grain_frac: float
    product_usd_ac: float
    adjuvant_usd_ac: float
    foliar_feed_usd_ac: float
    pass_usd_ac: float  # 0 where the bill is for the whole field
    water_usd_gal: float
    rule: Literal["expected", "chance", "cautious"]
    min_net_usd_ac: float
    min_chance_frac: float
    loss_weight: float
    adjuvant_usd_gal: float = 0.0  # of an adjuvant that is a share of the tank: per gallon of carrier
    filling_usd_ac: float = 0.0  # the part of pass_usd_ac that is the own machine's time to fill
    own_machine: bool = False  # pass_usd_ac is what the own machine costs, not a bill
    spent: Spent = Spent()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ZoneCase:
    """What the returns room needs to price one zone.

    `response_draws_bu_ac` has shape (draws,): the response at its best stage, before stage, volume and yield
    factors. `track_loss_bu_ac` is the crop pressed down on an acre that is driven, 0 where tracks exist.
    `volume_matters` is True in a closed canopy with disease.
    """

    zone: int
    area_ac: float
    mixture: Mixture
    response_draws_bu_ac: Floats
    curve: Literal["published", "practice"]
    stage: StageDraws
    expected_yield_bu_ac: float
    track_loss_bu_ac: float
    volume_matters: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Priced:
    """Every option of every zone: zone x day x volume.

    Arrays have shape (zones, days, volumes). `net_usd_ac` is the expected net return of the zone if sprayed,
    its own wheel tracks included; `NaN` where the option is not supported by the stage curve.
    `chance_frac` is the share of draws above zero, `passes_rule` whether the rule says spray.
    """

    zones: tuple[int, ...]
    days: npt.NDArray[np.int64]
    volumes_gal_ac: tuple[float, ...]
    net_usd_ac: Floats
    chance_frac: Floats
    passes_rule: npt.NDArray[np.bool_]

    def without(self, closed: npt.NDArray[np.bool_]) -> Self:
        """Take out options; `closed` has a shape that stretches to (zones, days, volumes)."""
        return replace(
            self,
            net_usd_ac=np.where(closed, np.nan, self.net_usd_ac),
            chance_frac=np.where(closed, np.nan, self.chance_frac),
            passes_rule=self.passes_rule & ~closed,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ZoneReturn:
    """One zone at one day and volume, settled: every figure is a reduction of the rounded draws.

    `response_bu_ac` are the draws after stage, volume and yield factors, rounded to 0.05 bu/ac.
    """

    zone: int
    day: int
    volume_gal_ac: float | None
    response_bu_ac: Floats
    response_mean_bu_ac: float
    response_sd_bu_ac: float
    net_mean_usd_ac: float
    net_p10_usd_ac: float
    net_p90_usd_ac: float
    chance_frac: float
    break_even_response_bu_ac: float
    break_even_price_usd_bu: float  # 9999 where no price pays
    worth_it: bool  # by the rule


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step on the way from the published mean to what a zone is expected to gain.

    `name` is one of `zoning.words.returns`' steps; `evidence` names the entries behind it, empty where the
    user's own figures are; `kind` is the weakest kind among them ("yours" for the user's own). The changes of
    all steps of a zone sum to its expected response less its own wheel tracks.
    """

    name: str
    evidence: tuple[str, ...]
    kind: str
    change_bu_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One line of the bill, as the grower can hold it against paper.

    Where `counted` is False the money is spent whatever is decided, and is no part of the decision.
    """

    name: str
    usd_ac: float  # of a treated acre; NaN where it is billed by the visit
    usd: float
    counted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Flip:
    """What one figure would have to be for the other decision, everything else staying as it is."""

    name: Literal["price", "cost", "response", "day", "tracks", "severity"]
    value: float  # USD/bu, USD/ac, bu/ac, day number, bu/ac, %


@dataclass(frozen=True, slots=True, kw_only=True)
class Delay:
    """What waiting costs: the expected net return on each day at one carrier volume.

    `days` begin with the day of the pass (or the best day of a skipped zone), one after another.
    `pays_until` is the last of them up to which every day pays; None where the first does not.
    """

    days: tuple[int, ...]
    net_usd_ac: tuple[float, ...]
    pays_until: int | None
