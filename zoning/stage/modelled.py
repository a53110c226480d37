"""What the model says of one block, with its error kept apart, so that counts can move the error alone.

Makes neither: the days come from a stage model or the calendar, the errors from `spread`.
"""

from dataclasses import dataclass

import numpy as np

from zoning.evidence import number
from zoning.stage.daylength import Floats
from zoning.stage.draws import StageDraws
from zoning.stage.likelihood import Expected
from zoning.stage.sequence import all_stages, r2_day, r4_day
from zoning.stage.spread import Errors, Situation, model_sd_d, sd_factor


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Modelled:
    """One block in every draw: the model's days under the draw's weather, and the draw's errors.

    Arrays have shape (draws,); days are day numbers. `sd_d` is the SD that the error at R3 was drawn with.
    """

    r1_day: Floats
    r3_day: Floats
    r5_day: Floats
    errors: Errors
    sd_d: float
    habit: str
    seed: int

    def expected(self) -> Expected:
        """Average the model's own days over the weather to come."""
        r1_day, r3_day, r5_day = (float(np.mean(day)) for day in (self.r1_day, self.r3_day, self.r5_day))
        return Expected(
            r1_day=r1_day,
            r2_day=float(r2_day(np.array(r1_day), np.array(r3_day), self.habit)),
            r3_day=r3_day,
            r4_day=float(np.mean(r4_day(self.r3_day, self.r5_day))),
            r5_day=r5_day,
        )

    def stages(self, r3_error_d: Floats | None = None) -> StageDraws:
        """Put the draws of the seven stages together.

        Parameters
        ----------
        r3_error_d : ndarray, optional
            Errors at R3 as counts have moved them, shape (draws,); R1 follows as far as the two go together.
        """
        moved_d = np.zeros_like(self.r3_day) if r3_error_d is None else r3_error_d - self.errors.r3_d
        # eq. of a move at R3, R1 takes its regression on it: correlation x SD of R1 / SD of R3
        share = number("stage.r1_r3_error_correlation") * number("stage.r1_sd_d") / self.sd_d
        share *= sd_factor(self.habit)
        r3_day = self.r3_day + self.errors.r3_d + moved_d
        return all_stages(
            self.r1_day + self.errors.r1_d + share * moved_d,
            r3_day,
            r3_day + (self.r5_day - self.r3_day),
            self.habit,
            self.seed,
        )


def modelled(
    days: tuple[Floats, Floats, Floats], maturity_group: float, errors: Errors, situation: Situation
) -> Modelled:
    """Put a block's days of R1, R3 and R5 in every draw beside its errors."""
    r1_day, r3_day, r5_day = days
    return Modelled(
        r1_day=r1_day,
        r3_day=r3_day,
        r5_day=r5_day,
        errors=errors,
        sd_d=model_sd_d(maturity_group, situation.habit),
        habit=situation.habit,
        seed=situation.seed,
    )
