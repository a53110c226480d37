"""Ground of a plan that is not simply a zone: swath cells, no-spray ground, check strips."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
import numpy.typing as npt
from shapely import Polygon

from zoning.inputs.given import Area, HeadingSource, NoSprayKind, StripTreatment


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTreatment:
    """What the machine is to treat where it follows its swaths instead of the zones.

    No run of treated or untreated cells inside a swath is shorter than `least_run_m`. `parts` are single
    polygons in EPSG:4326 that cover the field, each with the pass that treats it, 0 where none does.
    `differs_frac` is the share of the field that gets another action than its zone.
    """

    heading_deg: float
    heading_source: HeadingSource
    swath_m: float
    step_m: float
    least_run_m: float
    treated_ac: float
    differs_frac: float
    parts: tuple[tuple[Area, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNoSpray:
    """Ground inside the boundary that is in no zone and gets rate 0; `outline` is in EPSG:4326.

    `source` is the file that it comes from. Zones and no-spray ground are together a valid coverage of the
    field.
    """

    kind: NoSprayKind
    source: str
    outline: Area
    area_ac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Ground of a field that is treated alike; `outline` is in EPSG:4326.

    `zone` is 0 for no-spray ground, `pair` 0 where no check strip lies; `pass_number` is the pass that
    sprays it, 0 where none does. `source` is the file of no-spray ground.
    """

    kind: Literal["zone", "strip", "setback", "dead ground"]
    outline: Area
    area_ac: float
    zone: int = 0
    pair: int = 0
    treatment: StripTreatment | None = None
    pass_number: int = 0
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStrip:
    """One check strip, over the whole length of the crop along the heading; `outline` is in EPSG:4326."""

    pair: int
    treatment: StripTreatment
    outline: Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStrips:
    """Check strips, so that the map can be tested at harvest.

    Each pair is two strips side by side over all zones that they cross: one is left untreated (driven, boom
    off), one is treated, where the label allows it. `pieces` cover the whole field: zones and no-spray
    ground, with the strips cut out of the zones. `untreated_ac` would have been sprayed, `treated_ac` would
    not; `cost_usd` is what both cost, beyond `Totals.net_usd`. `shows_frac` is the chance that so many pairs
    show a response of `shows_bu_ac`. `new_design` is the text for `file`, empty where it was read.
    """

    strips: tuple[PlanStrip, ...]
    pieces: tuple[Piece, ...]
    width_m: float
    untreated_ac: float
    treated_ac: float
    cost_usd: float
    shows_bu_ac: float
    shows_frac: float
    seed: int
    file: str
    new_design: str

    @property
    def pairs(self) -> int:
        """How many pairs there are."""
        return len({one.pair for one in self.strips})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A layer of the field as a picture: cells in the plane of the field's UTM grid, north up.

    `shades` runs from 1 (`low`) to 255 (`high`) in even steps, 0 where there is nothing.
    """

    name: str
    day: date | None
    shades: npt.NDArray[np.uint8]
    low: float
    high: float
    west_m: float
    north_m: float
    cell_m: float
