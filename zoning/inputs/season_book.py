"""season.csv of a farm: what was forecast and what came, a row for each zone of each season."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

FILE = "season.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """One zone of one season in the farm's season.csv; what is not known is None or "".

    `r3_forecast` is the model's likely day before any count, `r3_seen` the day after all counts, both of the
    zone's block; each with its SD. `chance_paid` is how sure the strips are that the pass paid there.
    """

    season: int
    field: str  # name of its folder
    zone: int
    block: str
    variety: str
    maturity_group: float
    planted: date
    r3_forecast: date | None
    r3_forecast_sd_d: float | None
    r3_seen: date | None
    r3_seen_sd_d: float | None
    action: Literal["spray", "skip", ""]
    sprayed: bool | None
    chance_pays: float | None
    net_usd_ac: float | None
    response_bu_ac: float | None
    response_se_bu_ac: float | None
    chance_paid: float | None
