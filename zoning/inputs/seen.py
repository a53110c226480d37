"""What scouts saw at a place, after reading: pressure, counts of plants, notes and photos. Values only."""

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

Disease = Literal["frogeye", "rust", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """One row of scouting.csv: a pressure class seen at a place, in grid coordinates.

    `severity_pct` is the leaf area with lesions as it was seen that day, None where nobody wrote it down.
    Two rows that differ in nothing but who wrote what beside it say the same.
    """

    on: date
    east_m: float
    north_m: float
    pressure: Literal["low", "unknown", "medium", "high", "seen"]
    cause: str
    severity_pct: float | None = None
    note: str = field(default="", compare=False)
    photo: str = field(default="", compare=False)  # name of a picture
    observer: str = field(default="", compare=False)
    source: str = field(default="", compare=False)  # file and line, for people

    @property
    def disease(self) -> Disease:
        """The leaf disease that the cause names; "" for none, for several, and for one denied."""
        words = "".join(sign if sign.isalpha() else " " for sign in self.cause.lower()).split()
        text = " ".join(words).replace("frog eye", "frogeye")
        found: list[Disease] = [one for one in ("frogeye", "rust") if one in text.split()]
        return found[0] if len(found) == 1 and not {"no", "not"} & set(words) else ""


# What one plant can be at; the last class is R5 or later.
PLANT_STAGES = ("before R1", "R1", "R2", "R3", "R4", "R5")


@dataclass(frozen=True, slots=True)
class Tally:
    """How many plants stood at each stage, in the order of `PLANT_STAGES`."""

    plants: tuple[int, int, int, int, int, int]


@dataclass(frozen=True, slots=True)
class AtOrPast:
    """How many of `n` plants stood at or past one stage ("R1" ... "R5")."""

    stage: str
    k: int
    n: int


@dataclass(frozen=True, slots=True)
class PodLength:
    """The longest pod at the four uppermost nodes with a fully developed leaf, in mm."""

    longest_mm: float


@dataclass(frozen=True, slots=True)
class StagedNote:
    """One stage for the place as a whole, as somebody noted it (of `PLANT_STAGES`)."""

    stage: str


Seen = Tally | AtOrPast | PodLength | StagedNote


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """What a scout saw of the stage at a place, in grid coordinates.

    `source` is file and line, for people; `observer` is empty where nobody is named.
    """

    on: date
    east_m: float
    north_m: float
    seen: Seen
    source: str
    observer: str = ""
    stage: str = field(default="", compare=False)  # as it was written
    note: str = field(default="", compare=False)
    photo: str = field(default="", compare=False)  # name of a picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A note or a photo of a place, in grid coordinates, without count or pressure: it weighs nothing."""

    on: date
    east_m: float
    north_m: float
    note: str
    photo: str
    observer: str = ""
    source: str = field(default="", compare=False)
