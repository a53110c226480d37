"""What is known after harvest, after reading: the combine's points and the ground of the trial. Values."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning.inputs.given import Area, Strip
from zoning.settings.harvest import ROLES as ROLES  # what a column of a combine's file may be
from zoning.words import Said

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class YieldPoints:
    """What a combine wrote down, as it was read: arrays of shape (n,), in the order of the file.

    Nothing is left out but rows that name another field or another crop, and they are counted in a note: a
    cell that is empty or impossible is NaN, a point without a place too, and points outside the field have
    `is_inside` False. Where the times jump about, the points are put in the order of their times.
    `row` is the line (CSV) or the shape (shapefile, GeoPackage) of a point, as a person counts. Places are in
    the plane of the field's grid. A file gives `flow_kg_s` (wet mass) or `yield_bu_ac` (dry at the standard
    moisture where `is_dry`, else wet); the other one is NaN throughout. What it does not give is NaN
    throughout too; `track` is -1 and `is_header_up` False there. `time_s` counts from the first point.
    `columns` and `units` say for each role which column was read and in what unit; `file` is how the user
    calls it.
    """

    file: str
    epsg: int
    row: Ints
    east_m: Floats
    north_m: Floats
    time_s: Floats
    flow_kg_s: Floats
    yield_bu_ac: Floats
    moisture_frac: Floats
    speed_m_s: Floats
    distance_m: Floats
    swath_m: Floats
    interval_s: Floats
    track: Ints
    is_header_up: Bools
    is_inside: Bools
    is_dry: bool
    harvested: tuple[date, ...]  # days of the points, sorted; empty where the file has no time
    columns: Mapping[str, str]
    units: Mapping[str, str]
    notes: tuple[Said, ...] = ()

    @property
    def count(self) -> int:
        """How many points there are."""
        return len(self.row)


StripSource = Literal["design", "as-applied", "drawn"]
TreatedSource = Literal["as-applied", "done", "drawn"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrialGround:
    """Where strips lie and what was really sprayed; all shapes in the plane of the field's grid.

    `strips` are pairs as they were laid, `source` says by whom. `treated` is the ground that was sprayed with
    the product, `treated_source` who says so: the machine's own file, done.csv together with the design, or
    the person who drew the strips. `zones` are the outlines of the plan's zones by number (a single zone 1
    where there is no plan). `crop` is what was planted and stands; `header_m` the combine's header. `step_m`
    is how far a change of treatment is blurred along the track, `headland_m` how wide the headland is.
    """

    strips: tuple[Strip, ...]
    source: StripSource
    width_m: float
    heading_deg: float  # of the strips, clockwise from grid north
    treated: Area
    treated_source: TreatedSource
    treated_on: tuple[date, ...]
    zones: Mapping[int, Area]
    crop: Area
    header_m: float
    step_m: float
    headland_m: float
    files: Mapping[str, str]  # name and SHA-256 of each file that was read
    zones_id: str | None = None  # of the plan that the zones are of, where their file says so
    notes: tuple[Said, ...] = ()
