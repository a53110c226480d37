"""What past seasons tell of the stage model in a field and a variety: how far off R3 was, with shrinkage."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class StageBias:
    """How much earlier (-) or later (+) than the model R3 came, of one field or variety, with shrinkage."""

    kind: Literal["field", "variety"]
    name: str
    seasons: int
    seen_d: float  # mean of what was seen less what was forecast
    shrunk_d: float
    sd_d: float
