"""What was read of a field after harvest, what its strips say, and what is learned. Values only."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from zoning.inputs.given import FieldInputs
from zoning.inputs.harvest.given import TrialGround, YieldPoints
from zoning.inputs.season_book import BookRow
from zoning.plan.trial import TrialZone
from zoning.returns.terms import CostLine
from zoning.settings.learned import LearnedTrial
from zoning.settings.model import Settings
from zoning.strips.learned.learned_terms import Belief, JudgedZone, SeasonBook
from zoning.strips.terms import ByZone, Cleaned, Money, Paired, Placed, Response, Spatial
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Known:
    """Everything that was read of a field after harvest."""

    settings: Settings
    today: date
    season: int
    given: FieldInputs
    points: YieldPoints
    points_files: Mapping[str, str]  # name and SHA-256
    ground: TrialGround

    @property
    def folder(self) -> str:
        """Name of the field's folder, by which learned.toml and season.csv call it."""
        return self.settings.folder.resolve().name

    @property
    def ground_epsg(self) -> int:
        """The plane of all shapes."""
        return self.given.grid.epsg


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """What the strips say."""

    cleaned: Cleaned
    placed: Placed
    paired: Paired
    money: Money | None
    costs: tuple[CostLine, ...]
    response: Response | None
    by_zone: ByZone | None
    spatial: Spatial | None
    mean_yield_bu_ac: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Learned:
    """What came of the plan's decisions, and what is kept of the season.

    `trials` and `rows` are all of the farm; `others` hashes those that this harvest found there, so that the
    same harvest judged again is the same. `plan` names the plan that was judged and its run_id.
    """

    zones: tuple[TrialZone, ...]
    judged: tuple[JudgedZone, ...]
    trials: tuple[LearnedTrial, ...]
    beliefs: tuple[Belief, ...]
    rows: tuple[BookRow, ...]
    book: SeasonBook
    plan: Mapping[str, str]
    others: str
    notes: tuple[Said, ...]
