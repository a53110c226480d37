"""From draws of R1, R3 and R5 to all seven stages, in their order.

R2 and R4 lie in published or assumed proportions between them, R6 and R7 follow by published means. No
weather, no errors of the model: those are in what comes in.
"""

import numpy as np

from zoning.chance import normals
from zoning.evidence import number, numbers
from zoning.stage.daylength import Floats
from zoning.stage.draws import StageDraws


def r2_day(r1_day: Floats, r3_day: Floats, habit: str) -> Floats:
    """Begin of R2: between R1 and R3 as the mean intervals are; in determinate types right after R1.

    Examples
    --------
    >>> float(r2_day(np.array([180.0]), np.array([193.0]), "indeterminate")[0])
    183.0
    """
    if habit == "determinate":
        return r1_day + number("stage.determinate_r1_to_r2_d")
    to_r2_d, to_r3_d = number("stage.r1_to_r2_mean_d"), number("stage.r2_to_r3_mean_d")
    return r1_day + to_r2_d / (to_r2_d + to_r3_d) * (r3_day - r1_day)


def r4_day(r3_day: Floats, r5_day: Floats) -> Floats:
    """Begin of R4, held in the range that is known of R3.

    Examples
    --------
    >>> r4_day(np.array([190.0, 190.0]), np.array([210.0, 196.0])).round(1).tolist()
    [201.0, 195.0]
    """
    least, most = numbers("stage.r3_to_r4_range_d")
    return r3_day + np.clip(number("stage.r3_to_r4_share_of_r3_to_r5") * (r5_day - r3_day), least, most)


def _interval_d(name: str, standard: Floats) -> Floats:
    """Draws of a published interval: its mean, part of its printed range as SD, held inside that range."""
    least, most = numbers(f"stage.{name}_range_d")
    sd_d = number("stage.range_share_as_sd") * (most - least)
    return np.asarray(np.clip(number(f"stage.{name}_mean_d") + sd_d * standard, least, most))


def all_stages(r1_day: Floats, r3_day: Floats, r5_day: Floats, habit: str, seed: int) -> StageDraws:
    """Put the draws of seven stages side by side.

    Parameters
    ----------
    r1_day, r3_day, r5_day : ndarray
        Shape (draws,). R3 leads: a draw of R1 that comes too close to it, or after it, is moved forward.
    habit : str
        "indeterminate" or "determinate".
    seed : int
        The lengths of R5 and R6 are a matter of the season: their draws are shared by all fields.
    """
    draws = len(r3_day)
    r1_day = np.minimum(r1_day, r3_day - number("stage.shortest_r1_to_r3_d"))
    r6_day = r5_day + _interval_d("r5_to_r6", normals(seed, draws, "stage", "R5 to R6"))
    r7_day = r6_day + _interval_d("r6_to_r7", normals(seed, draws, "stage", "R6 to R7"))
    r2, r4 = r2_day(r1_day, r3_day, habit), r4_day(r3_day, r5_day)
    return StageDraws(np.stack([r1_day, r2, r3_day, r4, r5_day, r6_day, r7_day], axis=1))
