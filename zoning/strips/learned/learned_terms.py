"""What is believed after the harvest, and how well was forecast. Values only."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.inputs.season_book import BookRow
from zoning.returns.terms import Mixture
from zoning.settings.model import Pressure
from zoning.stage.past_seasons import StageBias
from zoning.strips.terms import Told
from zoning.words import Said

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Belief:
    """The response of one pressure class next season: before the own trials, and after all of them.

    `data_mean_bu_ac` and `data_sd_bu_ac` say what the trials tell of a next season in that class. The three
    densities are on `response_bu_ac`, for the picture.
    """

    pressure: Pressure
    before: Mixture
    after: Mixture
    before_mean_bu_ac: float
    before_sd_bu_ac: float
    data_mean_bu_ac: float
    data_sd_bu_ac: float
    after_mean_bu_ac: float
    after_sd_bu_ac: float
    chance_before: float | None  # that it is above break-even; None without money
    chance_after: float | None
    response_bu_ac: Floats
    before_density: Floats
    data_density: Floats
    after_density: Floats


Judgement = Literal["right", "wrong", "cannot tell", "not tested"]


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedZone:
    """A decision of the plan by what came of it.

    `action` is the plan's, `sprayed_frac` what was really sprayed of the zone. The forecast is the plan's for
    the pass, None where it had none. `net_usd_ac` is what spraying returned or would have returned there by
    the strips, with its 90 % interval; None where no strip tells.
    """

    zone: int
    action: Literal["spray", "skip"]
    sprayed_frac: float
    forecast_net_usd_ac: float | None
    forecast_chance: float | None
    net_usd_ac: float | None
    net_low_usd_ac: float | None
    net_high_usd_ac: float | None
    chance_pays: float | None
    told: Told | None
    judgement: Judgement
    said: Said
    response_bu_ac: float | None = None
    response_se_bu_ac: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliabilityBin:
    """Zones whose forecast chance lay between `low` and `high`: mean forecast, and how many really paid."""

    low: float
    high: float
    zones: int
    seasons: int
    mean_forecast: float
    paid_frac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonBook:
    """All seasons of a farm: rows, how reliable chances were, how far off R3 was.

    `brier` is the mean squared error of the chances, `brier_of_mean` that of always saying the mean; None
    without outcomes.
    """

    rows: tuple[BookRow, ...] = ()
    reliability: tuple[ReliabilityBin, ...] = ()
    brier: float | None = None
    brier_of_mean: float | None = None
    biases: tuple[StageBias, ...] = ()
    notes: tuple[Said, ...] = ()
