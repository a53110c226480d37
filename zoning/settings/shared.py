"""The sections that a farm's fields share: weather, money, product, sprayers, response, schedule.

A field may have its own; then they stand in its field.toml. Names carry the unit, the alias is what is typed.
"""

from typing import Literal

from pydantic import Field

from zoning.settings.learned import LearnedTrial
from zoning.settings.quantities import (
    BuAc,
    Gal,
    GalAc,
    M,
    Moisture,
    Mph,
    Part,
    Pressure,
    Pressures,
    Share,
    Source,
    Speed,
    Stage,
    Text,
    Usd,
    UsdAc,
    UsdBu,
    UsdGal,
    UsdH,
    Volume,
    usual,
    usual_count,
    usual_text,
    usual_texts,
)


class WeatherFiles(Part):
    """[weather]: which files hold the weather, and how their columns are called."""

    daily: str = "weather.csv"
    columns: dict[str, str] = Field(default={})  # ours, as tmin_c or tmin_f -> the name in the file
    hourly: str | None = None
    hourly_columns: dict[str, str] = Field(default={})
    forecast: str | None = None
    hourly_forecast: str | None = None
    wind_height_m: M = Field(
        alias="wind_height", default=usual_text("wind_height"), validate_default=True, gt=0, le=100
    )


class Get(Part):
    """[get]: which open services `sprayworth get` asks; None: the first of its tables."""

    catalog: Text | None = None
    collection: Text | None = None
    weather: Text | None = None
    hourly_forecast: Text | None = None


class Money(Part):
    """[money]: prices, costs and the rule; makes level 2 together with [response]."""

    grain_price_usd_bu: UsdBu = Field(alias="grain_price", gt=0.5, le=60)
    product_usd_ac: UsdAc = Field(alias="product", ge=0, le=500)
    adjuvant_usd_ac: UsdAc = Field(alias="adjuvant", default="0 USD/ac", validate_default=True, ge=0, le=100)
    adjuvant_price_usd_gal: UsdGal | None = Field(alias="adjuvant_price", default=None, ge=0, le=1000)
    adjuvant_frac: float = Field(default=0.0, ge=0, le=1)  # of the tank, where it is typed as a share
    foliar_feed_usd_ac: UsdAc = Field(
        alias="foliar_feed", default="0 USD/ac", validate_default=True, ge=0, le=200
    )
    pass_usd_ac: UsdAc | None = Field(alias="pass", default=None, ge=0, le=200)
    billed: Literal["treated", "field"] = "treated"
    other_pass: str = ""  # what goes over the whole field anyway
    split_load_usd: Usd = Field(alias="split_load", default="0 USD", validate_default=True, ge=0, le=10_000)
    product_already_bought: bool = False
    adjuvant_already_bought: bool = False
    foliar_feed_already_bought: bool = False
    share_of_grain_frac: float = Field(alias="share_of_grain", default=1.0, gt=0, le=1)
    share_of_cost_frac: float = Field(alias="share_of_cost", default=1.0, ge=0, le=1)
    per_visit_usd: Usd = Field(alias="per_visit", default="0 USD", validate_default=True, ge=0, le=10_000)
    minimum_bill_usd: Usd = Field(
        alias="minimum_bill", default="0 USD", validate_default=True, ge=0, le=10_000
    )
    water_usd_gal: UsdGal = Field(alias="water", default="0 USD/gal", validate_default=True, ge=0, le=5)
    haul_usd_bu: UsdBu = Field(alias="haul", default="0 USD/bu", validate_default=True, ge=0, le=10)
    loss_weight: float = Field(default=usual("loss_weight"), ge=1, le=20)
    rule: Literal["expected", "chance", "cautious"] = "expected"
    min_chance_frac: float = Field(alias="min_chance", default=usual("min_chance"), ge=0, le=1)
    min_net_usd_ac: UsdAc = Field(alias="min_net", default="0 USD/ac", validate_default=True, ge=0, le=500)

    @property
    def goes_anyway(self) -> bool:
        """Whether another pass goes over the whole field anyway."""
        return bool(self.other_pass.strip())

    @property
    def adjuvant_usd_gal(self) -> float:
        """Cost of an adjuvant that is a share of the tank, per gallon of carrier."""
        return self.adjuvant_frac * (self.adjuvant_price_usd_gal or 0.0)


class Product(Part):
    """[product]: from the label in hand, never from us; complete, it is a part of level 3."""

    name: Text
    groups: tuple[Text, ...] = Field(min_length=1)
    dose: Text
    max_dose: Text
    min_carrier_ground_gal_ac: GalAc = Field(alias="min_carrier_ground", gt=0, le=100)
    min_carrier_air_gal_ac: GalAc | None = Field(alias="min_carrier_air", default=None, gt=0, le=100)
    aerial_allowed: bool = False
    drone_allowed: bool = False
    droplet: str = ""
    adjuvant: str = ""  # what goes into the tank: on an acre, or a share of the mix
    foliar_feed: str = ""
    hay_grazing_d: int | None = Field(default=None, ge=0, le=365)
    groups_used: tuple[str, ...] = ()
    pre_harvest_interval_d: int = Field(ge=0, le=365)
    re_entry_h: float = Field(ge=0, le=720)
    max_applications: int = Field(ge=1, le=10)
    latest_stage: Stage
    max_wind_mph: Mph = Field(alias="max_wind", gt=0, le=40)
    rainfast_h: float | None = Field(default=None, ge=0, le=72)
    target: str = ""


class Carrier(Part):
    """[carrier]: the volumes that may be chosen from."""

    volumes_gal_ac: tuple[Volume, ...] = Field(
        alias="volumes", default=usual_texts("volumes"), validate_default=True, min_length=1
    )


class Sprayer(Part):
    """[[sprayer]]: one machine; with a complete [product] it makes level 3."""

    name: Text
    kind: Literal["ground", "aerial", "drone"] = "ground"
    boom_m: M = Field(alias="boom", gt=0, le=60)
    sections: int = Field(default=1, ge=1, le=200)
    nozzle_spacing_m: M | None = Field(alias="nozzle_spacing", default=None, gt=0, le=2)
    nozzle: Text | None = None
    pressure_psi: Pressures = Field(alias="pressure", default=None)
    duty_frac: tuple[Share, Share] | None = Field(alias="duty", default=None)
    speed_mph: tuple[Speed, Speed] = Field(alias="speed")
    efficiency_frac: float = Field(alias="efficiency", default=usual("efficiency"), gt=0, le=1)
    tank_gal: Gal = Field(alias="tank", gt=0, le=5000)
    overage_gal: Gal = Field(alias="overage", default="0 gal", validate_default=True, ge=0, le=500)
    fill_min: float = Field(gt=0, le=240)
    set_up_min: float = Field(default=usual("set_up"), ge=0, le=600)
    road_speed_mph: Mph = Field(
        alias="road_speed", default=usual_text("road_speed"), validate_default=True, gt=0, le=100
    )
    base: tuple[float, float] | None = None
    hub: str = "home"
    rate_lag_s: float = Field(default=usual("rate_lag"), gt=0, le=30)
    section_lag_s: float = Field(default=usual("section_lag"), gt=0, le=30)
    injection: bool = False
    tracks_exist: bool | None = None
    pass_usd_ac: UsdAc | None = Field(alias="pass", default=None, ge=0, le=200)  # wins over [money]
    minimum_bill_usd: Usd | None = Field(alias="minimum_bill", default=None, ge=0, le=10_000)
    machine_usd_h: UsdH = Field(alias="machine", default="0 USD/h", validate_default=True, ge=0, le=5000)
    ferry_usd: Usd = Field(alias="ferry", default="0 USD", validate_default=True, ge=0, le=10_000)


class Response(Part):
    """[response]: where the expected yield response comes from; no silent default.

    `learned` is what stands in learned.toml; the reader fills it in. The file's own hash says what it was, so
    it is not among the settings of a run.
    """

    source: Source
    mean_bu_ac: BuAc | None = Field(alias="mean", default=None, ge=-10, le=20)
    se_bu_ac: BuAc | None = Field(alias="se", default=None, gt=0, le=10)
    trials: int | None = Field(default=None, ge=1, le=10_000)
    years: int | None = Field(default=None, ge=1, le=100)
    pressure: Pressure = "unknown"
    severity_pct: float | None = Field(default=None, ge=0, le=100)  # near R6, if nothing is sprayed
    disease: Literal["frogeye", "rust"] = "frogeye"
    efficacy_frac: float = Field(alias="efficacy", default=usual("efficacy"), ge=0, le=1)
    resistant: tuple[str, ...] = ()  # modes of action that the disease's population here resists
    stage_curve: Literal["published", "practice"] = "published"
    learned: tuple[LearnedTrial, ...] = Field(default=(), exclude=True)

    @property
    def is_typed(self) -> bool:
        """Whether mean and standard error of own trials were typed: they win over what was learned."""
        return self.mean_bu_ac is not None and self.se_bu_ac is not None


class Effects(Part):
    """[effects]: what may move the response, each with a switch."""

    modes_of_action: bool = True
    rain: bool = True
    favourable_days: bool = True
    variety: bool = True
    previous_crop: bool = True
    open_rows: bool = True
    zone_contrast: bool = True
    poor_ground: bool = True
    carrier: bool = True
    late_planting: Literal["neutral", "less", "more"] = "neutral"
    yield_potential: Literal["constant", "falling"] = "constant"
    morning: bool = False


class Schedule(Part):
    """[schedule]: how far ahead to plan, how many spray hours to count on, and when the solver may stop."""

    horizon_d: int = Field(default=usual_count("horizon"), ge=1, le=120)
    hours_quantile_frac: float = Field(alias="hours_quantile", default=usual("hours_quantile"), gt=0, lt=1)
    notice_d: int = Field(default=0, ge=0, le=60)
    lead_time_d: int = Field(default=0, ge=0, le=90)
    gap_frac: float = Field(alias="gap", default=usual("gap"), ge=0, le=0.1)
    nodes: int = Field(default=usual_count("nodes"), ge=1, le=10_000_000)


class Files(Part):
    """[files]: choices of what the operator's files hold."""

    iso_grid: Literal[0, 1, 2] = 0


class Harvest(Part):
    """[harvest]: what the combine is like, and how its file of points is read."""

    header_m: M | None = Field(alias="header", default=None, gt=0, le=20)
    file: Text | None = None
    moisture_frac: Moisture | None = Field(alias="moisture", default=None, gt=0, le=0.5)
    yields: Literal["", "dry", "wet"] = ""
    columns: dict[str, str] = Field(default={})  # what a column is -> its name in the file
    units: dict[str, str] = Field(default={})  # what a column is -> its unit


class CheckStrips(Part):
    """[check_strips]: none are laid unless asked for, because they cost money."""

    pairs: int = Field(default=0, ge=0, le=20)
