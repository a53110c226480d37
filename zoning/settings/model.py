"""The settings of one field, merged from farm.toml and field.toml, frozen, in internal units.

Names here carry the unit; the key that the user writes is the alias, without it. What is read but not yet
used by any step is listed in `RECORDED_ONLY`, and `check` says so.
"""

from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, field_validator

from zoning import units
from zoning.words import Said


def _quantity(suffix: str) -> BeforeValidator:
    return BeforeValidator(lambda text: units.parse(text, suffix))


Usd = Annotated[float, _quantity("usd")]
UsdBu = Annotated[float, _quantity("usd_bu")]
UsdAc = Annotated[float, _quantity("usd_ac")]
UsdGal = Annotated[float, _quantity("usd_gal")]
UsdH = Annotated[float, _quantity("usd_h")]
BuAc = Annotated[float, _quantity("bu_ac")]
GalAc = Annotated[float, _quantity("gal_ac")]
Gal = Annotated[float, _quantity("gal")]
Ac = Annotated[float, _quantity("ac")]
M = Annotated[float, _quantity("m")]
Mph = Annotated[float, _quantity("mph")]
Psi = Annotated[float, _quantity("psi")]
Stage = Literal["R1", "R2", "R3", "R4", "R5", "R6", "R7"]
Pressure = Literal["low", "unknown", "medium", "high", "seen"]
Source = Literal["pooled trials", "practice series", "own trials"]
Index = Literal["NDVI", "NDRE", "GNDVI", "OSAVI", "CIre", "EVI2", "MSAVI2"]


class Part(BaseModel):
    """A section of the settings: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=False)


class WeatherFiles(Part):
    """[weather]: which files hold the weather, and how their columns are called."""

    daily: str = "weather.csv"
    columns: dict[str, str] = {}  # ours -> theirs: date, tmin_c or tmin_f, tmax_c or tmax_f, rain_mm or rain_in
    hourly: str | None = None
    forecast: str | None = None
    wind_height_m: M = Field(alias="wind_height", default="10 m", validate_default=True, gt=0, le=100)


class Money(Part):
    """[money]: prices, costs and the rule; makes level 2 together with [response]."""

    grain_price_usd_bu: UsdBu = Field(alias="grain_price", gt=0.5, le=60)
    product_usd_ac: UsdAc = Field(alias="product", ge=0, le=500)
    adjuvant_usd_ac: UsdAc = Field(alias="adjuvant", default="0 USD/ac", validate_default=True, ge=0, le=100)
    foliar_feed_usd_ac: UsdAc = Field(
        alias="foliar_feed", default="0 USD/ac", validate_default=True, ge=0, le=200
    )
    pass_usd_ac: UsdAc | None = Field(alias="pass", default=None, ge=0, le=200)
    billed: Literal["treated", "field"] = "treated"
    product_already_bought: bool = False
    share_of_grain_frac: float = Field(alias="share_of_grain", default=1.0, gt=0, le=1)
    share_of_cost_frac: float = Field(alias="share_of_cost", default=1.0, ge=0, le=1)
    per_visit_usd: Usd = Field(alias="per_visit", default="0 USD", validate_default=True, ge=0)
    minimum_bill_usd: Usd = Field(alias="minimum_bill", default="0 USD", validate_default=True, ge=0)
    water_usd_gal: UsdGal = Field(alias="water", default="0 USD/gal", validate_default=True, ge=0, le=5)
    haul_usd_bu: UsdBu = Field(alias="haul", default="0 USD/bu", validate_default=True, ge=0, le=10)
    loss_weight: float = Field(default=2.0, ge=1, le=20)
    rule: Literal["expected", "chance", "cautious"] = "expected"
    min_chance_frac: float = Field(alias="min_chance", default=0.5, ge=0, le=1)
    min_net_usd_ac: UsdAc = Field(alias="min_net", default="0 USD/ac", validate_default=True, ge=0, le=500)


class Product(Part):
    """[product]: from the label in hand, never from us; complete, it is a part of level 3."""

    name: str
    groups: tuple[str, ...]
    dose: str
    max_dose: str
    min_carrier_ground_gal_ac: GalAc = Field(alias="min_carrier_ground", gt=0, le=100)
    min_carrier_air_gal_ac: GalAc | None = Field(alias="min_carrier_air", default=None, gt=0, le=100)
    aerial_allowed: bool = False
    drone_allowed: bool = False
    droplet: str = ""
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

    volumes_gal_ac: tuple[GalAc, ...] = Field(
        alias="volumes", default=("10 gal/ac", "15 gal/ac", "20 gal/ac"), validate_default=True, min_length=1
    )


class Sprayer(Part):
    """[[sprayer]]: one machine; with a complete [product] it makes level 3."""

    name: str
    kind: Literal["ground", "aerial", "drone"] = "ground"
    boom_m: M = Field(alias="boom", gt=0, le=60)
    sections: int = Field(default=1, ge=1, le=200)
    nozzle_spacing_m: M | None = Field(alias="nozzle_spacing", default=None, gt=0, le=2)
    nozzle: str | None = None
    pressure_psi: tuple[Psi, Psi] | Psi | None = Field(alias="pressure", default=None)
    duty_frac: tuple[float, float] | None = Field(alias="duty", default=None)
    speed_mph: tuple[Mph, Mph] = Field(alias="speed")
    efficiency_frac: float = Field(alias="efficiency", default=0.85, gt=0, le=1)
    tank_gal: Gal = Field(alias="tank", gt=0, le=5000)
    fill_min: float = Field(gt=0, le=240)
    set_up_min: float = Field(default=20, ge=0, le=600)
    road_speed_mph: Mph = Field(alias="road_speed", default="20 mph", validate_default=True, gt=0)
    base: tuple[float, float] | None = None
    hub: str = "home"
    rate_lag_s: float = Field(default=4, gt=0, le=30)
    section_lag_s: float = Field(default=0.5, gt=0, le=30)
    injection: bool = False
    tracks_exist: bool | None = None
    machine_usd_h: UsdH = Field(alias="machine", default="0 USD/h", validate_default=True, ge=0)
    ferry_usd: Usd = Field(alias="ferry", default="0 USD", validate_default=True, ge=0)


class Response(Part):
    """[response]: where the expected yield response comes from; no silent default."""

    source: Source
    mean_bu_ac: BuAc | None = Field(alias="mean", default=None, ge=-20, le=40)
    se_bu_ac: BuAc | None = Field(alias="se", default=None, gt=0, le=20)
    trials: int | None = Field(default=None, ge=1, le=10_000)
    years: int | None = Field(default=None, ge=1, le=100)
    pressure: Pressure = "unknown"
    stage_curve: Literal["published", "practice"] = "published"


class Schedule(Part):
    """[schedule]: how far ahead to plan, and how many spray hours to count on."""

    horizon_d: int = Field(default=21, ge=1, le=120)
    hours_quantile_frac: float = Field(alias="hours_quantile", default=0.3, gt=0, lt=1)
    notice_d: int = Field(default=0, ge=0, le=60)
    lead_time_d: int = Field(default=0, ge=0, le=90)


class Files(Part):
    """[files]: recorded for the formats of a later part."""

    iso_grid: Literal[0, 1, 2] = 0


class Harvest(Part):
    """[harvest]: recorded for the strips of a later part."""

    header_m: M | None = Field(alias="header", default=None, gt=0, le=20)


class CheckStrips(Part):
    """[check_strips]: recorded for the strips of a later part."""

    pairs: int = Field(default=4, ge=0, le=20)


class Boundary(Part):
    """[boundary]."""

    file: str = "boundary.geojson"


class Planting(Part):
    """[planting]: a file of polygons, points or passes, or one date for the whole field."""

    file: str | None = None
    on: date | None = Field(alias="date", default=None)
    date_column: str = "planted"
    emerged_column: str = "emerged"
    group_column: str = "maturity_group"
    variety_column: str = "variety"
    yield_column: str = "expected_yield"  # text with its unit, as "58 bu/ac"


class Imagery(Part):
    """[[imagery]]: one GeoTIFF; the date of the image stands first in its name, or in `date`."""

    file: str
    bands: dict[str, int]
    scale: float = 1.0
    offset: float = 0.0
    index: Index
    on: date | None = Field(alias="date", default=None)
    mask_file: str | None = Field(alias="mask", default=None)  # a band file on its own grid
    mask_band: int | None = None  # or a band of the same file
    mask_keep: tuple[int, ...] = (0,)  # mask values that mean clear ground


class Layer(Part):
    """[[layer]]: one more GeoTIFF; `use` says what for."""

    name: str
    file: str
    band: int = Field(default=1, ge=1)
    scale: float = 1.0
    offset: float = 0.0
    use: Literal["zones", "yield"] = "zones"
    unit: Literal["", "bu/ac", "t/ha"] = ""


class Zones(Part):
    """[zones]."""

    max_zones_per_block: int = Field(default=3, ge=1, le=6)
    cell_m: M = Field(alias="cell", default="10 m", validate_default=True, ge=1, le=100)
    min_area_ac: Ac = Field(alias="min_area", default="1 ac", validate_default=True, gt=0, le=100)
    file: str | None = None


class Setback(Part):
    """[[setback]]: recorded for the prescriptions of a later part."""

    file: str
    width_m: M | None = Field(alias="width", default=None, gt=0, le=1000)


class Scouting(Part):
    """[[scouting]]."""

    file: str = "scouting.csv"


class Settings(Part):
    """Everything that farm.toml and field.toml say about one field.

    `level` is 1 (where and when), 2 (and whether) or 3 (and how); `missing` says what the next levels need.
    `origin` names the file and line of every key that was given, as "farm.toml:12".
    """

    name: str
    farm_name: str = ""
    country: str = "US"
    units: Literal["us", "metric"] = "us"
    season: int | None = Field(default=None, ge=1950, le=2200)
    as_of: date | None = None
    time_zone: str = ""
    crop: Literal["soybean"] = "soybean"
    maturity_group: float = Field(ge=-2, le=10)
    habit: Literal["indeterminate", "determinate"] = "indeterminate"
    variety: str = ""
    variety_rating: Literal["", "susceptible", "moderate", "resistant"] = ""
    previous_crop: str = ""
    canopy: Literal["", "closed", "open"] = ""
    drought: bool = False
    wheat_follows: bool = False
    expected_yield_bu_ac: BuAc | None = Field(alias="expected_yield", default=None, gt=0, le=200)
    row_spacing_m: M = Field(alias="row_spacing", default="30 in", validate_default=True, gt=0, le=2)
    heading_deg: float = Field(default=0.0, ge=0, lt=360)

    boundary: Boundary = Boundary()
    planting: Planting = Planting()
    imagery: tuple[Imagery, ...] = ()
    layers: tuple[Layer, ...] = Field(alias="layer", default=())
    zones: Zones = Zones()
    setbacks: tuple[Setback, ...] = Field(alias="setback", default=())
    scouting: tuple[Scouting, ...] = ()

    weather: WeatherFiles = WeatherFiles()
    money: Money | None = None
    product: Product | None = None
    carrier: Carrier = Carrier()
    sprayers: tuple[Sprayer, ...] = Field(alias="sprayer", default=())
    response: Response | None = None
    schedule: Schedule = Schedule()
    files: Files = Files()
    harvest: Harvest = Harvest()
    check_strips: CheckStrips = CheckStrips()

    folder: Path = Field(exclude=True)
    farm_folder: Path | None = Field(default=None, exclude=True)
    level: Literal[1, 2, 3] = 1
    missing: tuple[Said, ...] = Field(default=(), exclude=True)
    origin: dict[str, str] = Field(default={}, exclude=True)

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    @field_validator("maturity_group", mode="before")
    @classmethod
    def _group_from_roman(cls, value: object) -> object:
        return {"000": -2.0, "00": -1.0}.get(value, value) if isinstance(value, str) else value
