"""What is asked of every field of a farm, and what comes back of one. Values only; they go to any worker."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Literal

from zoning.errors import InputError
from zoning.offers.offered import Choice
from zoning.passes.problem import Chosen, Limits
from zoning.passes.schedule.skipped import HourWorth
from zoning.plan import FarmPlan, Plan, PlanPass
from zoning.settings.model import Sprayer
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """The same for every field.

    `counts` names the farm's table of counts, which is kept on disk; empty while it is being gathered.
    """

    farm: Path  # absolute, as every worker sees it
    today: date | None
    clock: date | None
    seed: int
    recompute: bool = False  # take nothing that is kept
    pictures: bool = False  # map, page and PDF too
    counts: str = ""
    hearsay: Mapping[str, str] = field(default_factory=dict)  # digests of what a field hears; see `hearsay`


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldOffered:
    """What the farm's schedule needs to know of a field; the offer itself is kept on disk.

    `offer` names what it was made of: another offer has another name. `choices` are empty where there is
    nothing to choose.
    """

    offer: str
    today: date
    level: Literal[1, 2, 3]
    choices: tuple[Choice, ...]
    sprayers: tuple[Sprayer, ...]
    limits: Limits


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ToSettle:
    """A field whose passes are chosen; `chosen` is None where there was nothing to choose."""

    folder: Path
    offer: str
    chosen: Chosen | None
    hours: HourWorth | None
    schedule: Literal["alone", "farm"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldSettled:
    """The plan of a field without what only its own page needs; the whole one is kept on disk under `key`."""

    key: str
    plan: Plan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ToWrite:
    """A field whose plan is ready, with its passes as the whole farm's plan has them."""

    folder: Path
    key: str
    passes: tuple[PlanPass, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcome:
    """What came of one field: a plan and the files written, or the fault that stopped it.

    The plan has no `what_if` and no `pictures`: those are in the field's own files only.
    """

    field: str  # name of its folder
    plan: Plan | None = None
    files: tuple[str, ...] = ()
    fault: InputError | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FarmRun:
    """What came of every field of a farm, in the order of their folders, and the plan of those that came.

    `stays` says what was left in `out` where no field came through, None where that was replaced.
    """

    outcomes: tuple[Outcome, ...]
    plan: FarmPlan
    stays: Said | None = None

    @property
    def plans(self) -> tuple[Plan, ...]:
        """The plans that were made."""
        return tuple(one.plan for one in self.outcomes if one.plan is not None)

    @property
    def failures(self) -> tuple[tuple[str, InputError], ...]:
        """Field and fault of each field that failed."""
        return tuple((one.field, one.fault) for one in self.outcomes if one.fault is not None)
