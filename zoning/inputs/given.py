"""What is known of a field, after reading: tables, and layers on one grid. Values only; no files here."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

import numpy as np
import numpy.typing as npt
from shapely import MultiPolygon, Polygon

from zoning.inputs.grid import Floats, Grid
from zoning.inputs.seen import PLANT_STAGES as PLANT_STAGES
from zoning.inputs.seen import AtOrPast as AtOrPast
from zoning.inputs.seen import Count as Count
from zoning.inputs.seen import Disease as Disease
from zoning.inputs.seen import PodLength as PodLength
from zoning.inputs.seen import Remark as Remark
from zoning.inputs.seen import Seen as Seen
from zoning.inputs.seen import Sighting as Sighting
from zoning.inputs.seen import StagedNote as StagedNote
from zoning.inputs.seen import Tally as Tally
from zoning.words import Said

Area = Polygon | MultiPolygon


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """Part of a field planted on one day (or run of days) with one variety.

    `planted` is the median planting day of the block; `expected_yield_bu_ac` is None where nothing says.
    `outline` is in the CRS of the field's grid; the outlines of a field's blocks are a valid coverage of the
    field's boundary (no gap, no overlap, shared edges have the same vertices).
    """

    name: str
    planted: date
    emerged: date | None
    maturity_group: float
    variety: str
    expected_yield_bu_ac: float | None
    outline: Area
    area_ac: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """A layer on the field's grid; NaN outside the boundary and where nothing was seen.

    `shows` says what its high values mean: a dense canopy, wet ground, or dry ground ("wet low").
    """

    name: str
    values: Floats
    file: str
    day: date | None
    clear_frac: float
    shows: Literal["", "canopy", "wet high", "wet low"] = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GivenZone:
    """A zone that somebody else drew: what they call it, and its ground in the CRS of the grid.

    The outlines of a field's given zones are a valid coverage of its boundary. `kept` is the number that the
    zone had when a part of the field was sprayed, and keeps; 0 where it has none.
    """

    name: str
    outline: Area
    kept: int = 0


NoSprayKind = Literal["setback", "dead ground"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NoSpray:
    """Ground inside the boundary that is in no zone and gets rate 0: a setback, or where the crop is dead.

    `outline` is in the CRS of the field's grid; `source` is the file that it comes from. No-spray ground and
    blocks are together a valid coverage of the field.
    """

    kind: NoSprayKind
    source: str
    outline: Area
    area_ac: float


StripTreatment = Literal["treated", "untreated"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strip:
    """One check strip of a pair, over the whole length of the crop along the heading.

    `outline` is in the CRS of the field's grid. What the plan does with a zone that it crosses is not its
    affair: the treated strip is sprayed where the label allows it, the untreated one is driven, boom off.
    """

    pair: int
    treatment: StripTreatment
    outline: Polygon


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripDesign:
    """The check strips of a season, as laid once and written down."""

    season: int
    width_m: float
    heading_deg: float
    seed: int
    strips: tuple[Strip, ...]
    laid_on: date | None = None  # where the file says it


HeadingSource = Literal["given", "guidance", "planting", "edge"]


@dataclass(frozen=True, slots=True)
class Heading:
    """The direction in which the field is driven, clockwise from grid north, and what says so.

    `through_m` is a place (east, north) on the middle of a swath, where guidance lines say so; else the first
    swath lies along the field's edge.
    """

    deg: float
    source: HeadingSource
    through_m: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weather:
    """Daily weather, sorted, one row a day at most; rows after `today` are not in it.

    `day` holds `date.toordinal()`. Missing or refused values are NaN; rain is NaN throughout if no column
    was given. `forecast_until` is the last day of a forecast file's rows, which may lie after today, or None.
    """

    day: npt.NDArray[np.int64]
    tmin_c: Floats
    tmax_c: Floats
    rain_mm: Floats
    forecast_until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hourly:
    """Hourly weather up to the end of today, or a forecast; sorted, at most one row an hour.

    `day` holds `date.toordinal()` and `hour` 0 to 23 of the farm's clock at which the hour begins; `utc_h` is
    the same moment in hours since 1970 in UTC, so that neither a skipped nor a doubled hour of that clock is
    lost. An hour without a row, and a NaN, is not known: never dry, never calm.
    """

    utc_h: Floats
    day: npt.NDArray[np.int64]
    hour: npt.NDArray[np.int64]
    temp_c: Floats
    rh_pct: Floats
    wind_m_s: Floats
    rain_mm: Floats


def as_compared(name: str) -> str:
    """Give a name of a product or sprayer as it is compared: whatever its capitals and spaces.

    Examples
    --------
    >>> as_compared(" Ground  Rig") == as_compared("ground rig")
    True
    """
    return " ".join(name.split()).casefold()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sprayed:
    """One pass over a field that is over; `end` is on the farm's clock.

    `sprayer` is empty where nobody named it, `zones` where the whole field was sprayed. The rest is what
    somebody wrote down: None or empty where nobody did. `wind` and `temperature` are as typed; `source` says
    what the row rests on.
    """

    field: str
    end: datetime
    product: str
    sprayer: str = ""
    zones: str = ""
    pass_number: int | None = None  # in the plan of its day
    start: datetime | None = None
    half: str = ""
    rate_gal_ac: float | None = None
    loads: float | None = None
    area_ac: float | None = None
    wind: str = ""
    temperature: str = ""
    applicator: str = ""
    source: str = ""

    @property
    def on(self) -> date:
        """The day of it: a pass that ends with the day is of that day."""
        return (self.end - timedelta(microseconds=1)).date()

    @property
    def zone_numbers(self) -> frozenset[int]:
        """The zones that were sprayed; none where it was the whole field."""
        words = self.zones.replace(",", " ").replace(";", " ").replace("+", " ").split()
        return frozenset(int(word) for word in words)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldInputs:
    """Everything that was read for one field.

    `boundary` is the boundary without what is `no_spray`, in the CRS of `grid`; `area_ac` and
    `boundary_lonlat` (EPSG:4326) are of the whole field. `inside` is True for cells whose centre lies inside
    `boundary`; `block_of_cell` is the index into `blocks`, -1 outside. `fit` is `inside` less an inner
    buffer: only these cells teach the clustering. Blocks stand in the order of their planting day (ties:
    north to south, then west to east).
    """

    boundary: Area
    boundary_lonlat: Area
    area_ac: float
    latitude_deg: float
    longitude_deg: float
    grid: Grid
    inside: npt.NDArray[np.bool_]
    fit: npt.NDArray[np.bool_]
    blocks: tuple[Block, ...]
    block_of_cell: npt.NDArray[np.int16]
    layers: tuple[Layer, ...]
    yield_bu_ac: Floats | None
    weather: Weather | None
    sightings: tuple[Sighting, ...]
    counts: tuple[Count, ...]
    notes: tuple[Said, ...]
    check_layers: tuple[Layer, ...] = ()  # never clustered: zones are judged on them
    given_zones: tuple[GivenZone, ...] = ()  # then nothing is clustered
    heading: Heading = Heading(0.0, "edge")
    hourly: Hourly | None = None
    hourly_forecast: Hourly | None = None  # hours after those of `hourly`, which may lie after today
    sprayed: tuple[Sprayed, ...] = ()  # in this crop, up to today
    made_today: tuple[Sprayed, ...] = ()  # on any field of the farm
    blocks_drawn: bool = True  # False: made from a planter's records
    no_spray: tuple[NoSpray, ...] = ()
    strips: StripDesign | None = None  # of this season
    remarks: tuple[Remark, ...] = ()
    files: Mapping[str, str]  # name relative to the farm or field folder -> SHA-256
