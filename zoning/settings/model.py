"""The settings of one field, merged from farm.toml and field.toml, frozen, in internal units.

Names here carry the unit; the key that the user writes is the alias, without it. No file is read here and
no default stands here: what is assumed when a key is left out is an evidence entry (`settings.*`).
"""

import os
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from pydantic import ConfigDict, Field, field_validator

from zoning.settings.quantities import Ac, BuAc, Index, M, Part, Text, usual_count, usual_text
from zoning.settings.quantities import ImageProduct as ImageProduct
from zoning.settings.quantities import Pressure as Pressure
from zoning.settings.quantities import Source as Source
from zoning.settings.quantities import Stage as Stage
from zoning.settings.quantities import Terrain as Terrain
from zoning.settings.shared import Carrier as Carrier
from zoning.settings.shared import CheckStrips as CheckStrips
from zoning.settings.shared import Effects as Effects
from zoning.settings.shared import Files as Files
from zoning.settings.shared import Get as Get
from zoning.settings.shared import Harvest as Harvest
from zoning.settings.shared import Money as Money
from zoning.settings.shared import Product as Product
from zoning.settings.shared import Response as Response
from zoning.settings.shared import Schedule as Schedule
from zoning.settings.shared import Sprayer as Sprayer
from zoning.settings.shared import WeatherFiles as WeatherFiles
from zoning.words import Said

GROUPS_IN_WORDS = {"000": -2.0, "00": -1.0, "0": 0.0, "I": 1.0, "II": 2.0, "III": 3.0, "IV": 4.0, "V": 5.0}
GROUPS_IN_WORDS |= {"VI": 6.0, "VII": 7.0, "VIII": 8.0, "IX": 9.0, "X": 10.0}


class Boundary(Part):
    """[boundary]."""

    file: Text = "boundary.geojson"


class Planting(Part):
    """[planting]: a file of polygons, points or passes, or one date for the whole field."""

    file: Text | None = None
    on: date | None = Field(alias="date", default=None)
    date_column: str = "planted"
    emerged_column: str = "emerged"
    group_column: str = "maturity_group"
    variety_column: str = "variety"
    yield_column: str = "expected_yield"  # text with its unit, as "58 bu/ac"
    join_alike: bool | None = None  # None: where the blocks come from a planter's records


class Imagery(Part):
    """[[imagery]]: one GeoTIFF; the date of the image stands first in its name, or in `date`."""

    file: Text
    bands: dict[str, Annotated[int, Field(ge=1)]]
    scale: float = Field(default=1.0, gt=0)
    offset: float = 0.0
    index: Index
    on: date | None = Field(alias="date", default=None)
    mask_file: str | None = Field(alias="mask", default=None)  # a band file on its own grid
    mask_band: int | None = Field(default=None, ge=1)  # or a band of the same file
    mask_keep: tuple[int, ...] = (0,)  # mask values that mean clear ground
    mask_bits: tuple[Annotated[int, Field(ge=0, le=15)], ...] = ()  # or bits of which none may be set
    mask_widen_m: M | None = Field(alias="mask_widen", default=None, ge=0, le=1000)
    product: ImageProduct = ""  # then its own scale, offset and mask
    baseline: str = ""
    layer: Text | None = None  # images of one name become one layer; None: those of one index


class Layer(Part):
    """[[layer]]: one more GeoTIFF, or polygons with a column of numbers; `use` says what for."""

    name: Text
    file: Text
    band: int = Field(default=1, ge=1)
    column: str = ""  # of polygons
    scale: float = 1.0
    offset: float = 0.0
    use: Literal["zones", "yield", "check"] = "zones"
    unit: Literal["", "bu/ac", "t/ha", "m", "ft"] = ""  # of a yield, or of heights
    terrain: tuple[Terrain, ...] = ()  # what more layers its heights give
    wet: Literal["", "high", "low"] = ""  # which of its values are wet ground


class Zones(Part):
    """[zones]."""

    max_zones_per_block: int = Field(default=usual_count("max_zones_per_block"), ge=1, le=6)
    cell_m: M = Field(alias="cell", default=usual_text("cell"), validate_default=True, ge=1, le=100)
    min_area_ac: Ac = Field(
        alias="min_area", default=usual_text("min_area"), validate_default=True, gt=0, le=100
    )
    divide_by: Literal["returns", "layers"] = "returns"  # what says how many zones a block gets
    file: str | None = None  # zones that somebody drew: then nothing is clustered
    zone_column: str | None = None  # None: the one that is called zone, name or id
    bare_is_dead: bool = True  # large patches that the newest image shows bare or under water
    treatment: Literal["zones", "swath cells"] = "zones"  # what the sprayer's map is made of


class Guidance(Part):
    """[guidance]: the lines that the sprayer follows."""

    file: Text | None = None


class Setback(Part):
    """[[setback]]: what keeps its distance; without a width the polygons as they are drawn."""

    file: Text
    width_m: M | None = Field(alias="width", default=None, gt=0, le=1000)


class DeadGround(Part):
    """[[dead_ground]]: where the crop drowned, was hailed out or never came."""

    file: Text


class Neighbours(Part):
    """[neighbours]: hives, organic or sensitive crops, homes, schools around the field, by side."""

    north: str = ""
    east: str = ""
    south: str = ""
    west: str = ""


class Scouting(Part):
    """[[scouting]]."""

    file: str = "scouting.csv"


class Settings(Part):
    """Everything that farm.toml and field.toml say about one field.

    `level` is 1 (where and when), 2 (and whether) or 3 (and how); `missing` says what the next levels need.
    `origin` names the file and line of every key that was given, as "farm.toml:12", `given` what was
    typed there; both by the key in words, items of a list counted from 1: "sprayer[2].boom".
    `allow_unreachable` is an option of the command: a volume that no machine holds may be planned.
    """

    name: Text
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
    lodged: bool = False
    drought: bool = False
    wheat_follows: bool = False
    market: Literal["", "seed", "food grade", "contract", "organic"] = ""  # organic is refused
    irrigated: bool = False
    entrance: str = ""
    wires: str = ""
    contact: str = ""
    expected_yield_bu_ac: BuAc | None = Field(alias="expected_yield", default=None, gt=0, le=200)
    row_spacing_m: M = Field(
        alias="row_spacing", default=usual_text("row_spacing"), validate_default=True, gt=0, le=2
    )
    heading_deg: float | None = Field(default=None, ge=0, lt=360)

    boundary: Boundary = Boundary()
    planting: Planting = Planting()
    imagery: tuple[Imagery, ...] = ()
    layers: tuple[Layer, ...] = Field(alias="layer", default=())
    zones: Zones = Zones()
    guidance: Guidance = Guidance()
    setbacks: tuple[Setback, ...] = Field(alias="setback", default=())
    dead_ground: tuple[DeadGround, ...] = ()
    scouting: tuple[Scouting, ...] = ()
    neighbours: Neighbours = Neighbours()

    weather: WeatherFiles = WeatherFiles()
    get: Get = Get()
    money: Money | None = None
    product: Product | None = None
    carrier: Carrier = Carrier()
    sprayers: tuple[Sprayer, ...] = Field(alias="sprayer", default=())
    response: Response | None = None
    effects: Effects = Effects()
    schedule: Schedule = Schedule()
    files: Files = Files()
    harvest: Harvest = Harvest()
    check_strips: CheckStrips = CheckStrips()

    folder: Path = Field(exclude=True)
    farm_folder: Path | None = Field(default=None, exclude=True)
    level: Literal[1, 2, 3] = 1
    missing: tuple[Said, ...] = Field(default=(), exclude=True)
    origin: dict[str, str] = Field(default={}, exclude=True)
    given: dict[str, str] = Field(default={}, exclude=True)
    allow_unreachable: bool = Field(default=False, exclude=True)

    model_config = ConfigDict(arbitrary_types_allowed=True)

    @field_validator("maturity_group", mode="before")
    @classmethod
    def _group_from_roman(cls, value: object) -> object:
        return GROUPS_IN_WORDS.get(value.strip().upper(), value) if isinstance(value, str) else value

    def where(self, key: str) -> str:
        """Name file, line, key and what was typed, for a fault found later: `where` of an `InputError`.

        Parameters
        ----------
        key : str
            The key in words, items counted from 1, as "imagery[1].file".
        """
        place = self.origin.get(key, "field.toml")
        return f"{place}: {key} = {self.given[key]}" if key in self.given else f"{place}: {key}"

    def path(self, key: str, name: str) -> Path:
        """Find the file that a setting names: relative to the folder of the toml that names it.

        Parameters
        ----------
        key : str
            The key in words, items counted from 1, as "weather.daily".
        name : str
            The value of that key.

        Returns
        -------
        Path
            For a default that nobody typed: in the field's folder if it is there, else in the farm's. Typed
            with backslashes, as on Windows, it is found on other systems too.
        """
        own = _within(self.folder, name)
        if self.farm_folder is None:
            return own
        shared = _within(self.farm_folder, name)
        if key in self.origin:
            return shared if self.origin[key].startswith("farm.toml") else own
        return shared if shared.exists() and not own.exists() else own


def _within(folder: Path, name: str) -> Path:
    path = folder / name
    parted = folder / name.replace("\\", "/")
    return parted if "\\" in name and not os.path.lexists(path) else path
