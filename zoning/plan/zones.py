"""The zones of a plan: where, when, what is done there and what it returns."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from zoning.inputs.given import Area
from zoning.returns.terms import Delay, Flip, Step
from zoning.settings.model import Source
from zoning.stage.draws import Window
from zoning.words import Said
from zoning.zones.quality import Agreement

SOURCES: tuple[Source, ...] = get_args(Source)  # in the order in which they are shown

Action = Literal["spray", "skip"]


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
class Override:
    """What the user decided for a zone, and what stands beside it.

    `action` and `rate_gal_ac` are what was asked for, None where only the other was. `computed` is what the
    rule says of the zone by itself. `refused` says why it is not followed, None where it is.
    """

    action: Action | None
    rate_gal_ac: float | None
    reason: str
    decided_on: date | None
    computed: Action | None
    refused: Said | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneSince:
    """What an earlier plan of the same zones said of one: what it was, not what it is."""

    zone: int
    r3_likely: date | None
    spray_on: date | None
    action: Action | None
    rate_gal_ac: float | None


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
    override: Override | None = None  # what the user decided, where somebody did


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
