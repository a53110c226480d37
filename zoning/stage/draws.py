"""The stage forecast of one block or zone: draws of the days on which R1 ... R7 begin."""

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
STAGES = ("R1", "R2", "R3", "R4", "R5", "R6", "R7")


@dataclass(frozen=True, slots=True, eq=False)
class StageDraws:
    """Days on which each stage begins, one row a draw.

    `begin_day` has shape (draws, 7), columns as `STAGES`, each row rising; day numbers as
    `units.day_from_date`. Draw i is the same season in every block, zone and field.
    """

    begin_day: Floats

    def of(self, stage: str) -> Floats:
        """Draws of the day on which one stage begins, shape (draws,)."""
        return self.begin_day[:, STAGES.index(stage)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """What people read of a forecast.

    R3 early, likely and late are the 10, 50 and 90 % quantiles of the day on which R3 begins; the window
    closes on the likely day on which R4 begins. `sd_d` is the SD of the R3 draws. [d]
    """

    r1: date
    r3_early: date
    r3_likely: date
    r3_late: date
    closes: date
    sd_d: float
