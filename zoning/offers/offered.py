"""What a field offers before the schedule is known. Values only."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from zoning.inputs.decisions import Decision
from zoning.inputs.given import Area, FieldInputs, Heading, NoSpray, StripDesign
from zoning.offers.provenance import Provenance
from zoning.passes.division import BlockDivision
from zoning.passes.problem import FieldProblem, Machine
from zoning.plan import Picture, Scouted
from zoning.returns.flips import Damage
from zoning.returns.reasons import Driver
from zoning.returns.response import Link
from zoning.returns.terms import CostLine, Priced, Terms, ZoneCase
from zoning.settings.model import Settings, Source, Sprayer
from zoning.sprayer.reach import Reach
from zoning.stage.counted import SpotStage
from zoning.stage.draws import StageDraws
from zoning.words import Said
from zoning.zones.quality import Quality
from zoning.zones.zoning import BlockQuality, Zoning


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OfferedZone:
    """One zone before the schedule: where it is, when its window is, and what its options are made of.

    `outline` is in EPSG:4326, `outline_m` the same in the field's UTM zone. `case` and `driver` are None at
    level 1; `cases_by_source` holds the zone under every response source, None where a source has no figures,
    and is empty at level 1. `chain` says link by link how the response of `case` comes about, and
    `track_entries` what its wheel tracks rest on; `plain_case` is `case` if canopy and wet ground told
    nothing, None where they moved nothing; `damage` is what a severity would cost there, None where none
    could make a pass pay. `stage` is None where no model gives a date; then there are no options either.
    `spot` is what further counts could still move, None where there is no date. `name` is what the person
    who drew the zone calls it, empty where we drew it. `kept` is the number under which done.csv speaks of
    its ground, 0 where that is its own. `afternoon` is the zone where a pass begins after noon, None where
    that makes no difference. `applied` counts this season's applications of the product, `sprayed_on` is the
    day of the last; `closed_by` says why these, or the days until product and applicator can be there, leave
    no further one, None where they do.
    """

    zone: int
    block: str
    outline: Area
    outline_m: Area
    area_ac: float
    planted: date
    maturity_group: float
    stage: StageDraws | None
    case: ZoneCase | None = None
    driver: Driver | None = None
    cases_by_source: Mapping[Source, ZoneCase | None] = field(default_factory=dict)
    spot: SpotStage | None = None
    name: str = ""
    kept: int = 0
    chain: tuple[Link, ...] = ()
    track_entries: tuple[str, ...] = ()
    plain_case: ZoneCase | None = None
    damage: Damage | None = None
    afternoon: "OfferedZone | None" = None
    applied: int = 0
    sprayed_on: date | None = None
    closed_by: Said | None = None

    @property
    def counted(self) -> bool:
        """Whether a count of its own pins the stage."""
        return self.spot is not None and self.spot.counted

    @property
    def dated(self) -> StageDraws:
        """The stage of a zone that has options."""
        if self.stage is None:
            raise ValueError(f"zone {self.zone} has no stage dates")
        return self.stage


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Decided:
    """What the user's decisions mean for the options of a field with one sprayer.

    `closed` has the shape of the options: those that may not be taken, whatever the rule says. `forced` are
    the zones that are to be in a pass, whatever it returns; each has an option that is open.
    """

    closed: npt.NDArray[np.bool_]
    forced: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Options:
    """The priced options of a field. `terms` has one entry for each volume of `priced`.

    At level 2 there is no sprayer: the one volume stands for "not known", and `machine` knows no limits.
    `spent_by_visit` is what coming to the field costs whatever is decided, `of_hours` what the spray hours of
    the machine rest on, `reaches` what it does at each volume. In `problem` stands what the user decided,
    `priced` knows nothing of it.
    """

    priced: Priced
    terms: tuple[Terms, ...]
    problem: FieldProblem
    machine: Machine
    spent_by_visit: tuple[CostLine, ...] = ()
    of_hours: tuple[Said, ...] = ()
    reaches: tuple[Reach, ...] = ()
    decided: Decided | None = None  # None: nobody decided anything


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Choice:
    """What one sprayer offers a field: its zones priced with it, and what is to be said of that.

    `sprayer` is None where none is given.
    """

    sprayer: Sprayer | None
    zones: tuple[OfferedZone, ...]
    options: Options
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SwathGround:
    """What swath cells are laid on, once it is known which zones are sprayed."""

    zoning: Zoning
    given: FieldInputs
    sprayer: Sprayer


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Offer:
    """A field's zones, windows and priced options.

    `choices` has one entry for each sprayer that may come; `zones`, `options` and some of the notes are
    those of one of them, the notes `of_field` of none. `options` is None at level 1; `why_no_options` then
    says what stops the returns, None where no money was given. `divisions` and `held_out` tell of each block
    how its number of zones was found; `quality` is None where nobody asked for it. `settings` are those of
    the field, with the sprayers that may come.
    """

    field: str
    farm: str
    units: Literal["us", "metric"]
    country: str
    level: Literal[1, 2, 3]
    today: date
    epsg: int
    boundary: Area
    area_ac: float
    zones: tuple[OfferedZone, ...]
    options: Options | None = None
    why_no_options: Said | None = None
    product: str
    notes: tuple[Said, ...]
    provenance: Provenance
    settings: Settings | None = None
    choices: tuple[Choice, ...] = ()
    of_field: tuple[Said, ...] = ()
    scouting: tuple[Scouted, ...] = ()
    divisions: tuple[BlockDivision, ...] = ()
    held_out: tuple[BlockQuality, ...] = ()
    quality: Quality | None = None
    no_spray: tuple[NoSpray, ...] = ()  # in the plane `epsg`
    heading: Heading | None = None  # in which the field is driven; None: not known
    strips: StripDesign | None = None  # check strips that are laid
    may_lay_strips: bool = True  # False: there is a design that is not to be replaced, though it is not used
    season: int = 0  # year of harvest
    cell_m: float = 10.0
    decisions: Mapping[int, Decision] | None = None  # of the user, by zone
    decisions_file: str = ""
    swath_ground: SwathGround | None = None  # where the operator's files are to follow the swaths
    pictures: tuple[Picture, ...] = ()  # of the layers that taught the zones
    varieties: frozenset[str] = frozenset()  # of its blocks: what other fields counted of these is heard here


def named_in(settings: Settings) -> dict[str, Any]:
    """Give the parts of an offer that stand in the settings as they are."""
    return {
        "field": settings.name,
        "farm": settings.farm_name,
        "units": settings.units,
        "country": settings.country,
        "product": settings.product.name if settings.product else "",
    }


def read_in(given: FieldInputs) -> dict[str, Any]:
    """Give the parts of an offer that were read and stand in it as they are."""
    return {
        "epsg": given.grid.epsg,
        "boundary": given.boundary_lonlat,
        "area_ac": given.area_ac,
        "heading": given.heading,
        "strips": given.strips,
        "cell_m": given.grid.cell_m,
    }


def told_on(offer: Offer) -> dict[str, Any]:
    """Give the parts of a plan that stand in the offer as they are."""
    names = ("field", "farm", "units", "country", "product", "today", "level", "epsg", "boundary", "area_ac")
    return {name: getattr(offer, name) for name in (*names, "cell_m", "scouting", "quality", "pictures")}
