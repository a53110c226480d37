"""What was read of a field after harvest, and what its strips say. Values only."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from zoning.inputs.given import FieldInputs
from zoning.inputs.harvest.given import TrialGround, YieldPoints
from zoning.returns.terms import CostLine
from zoning.settings.model import Settings
from zoning.strips.terms import ByZone, Cleaned, Money, Paired, Placed, Response, Spatial


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
