"""The stage of one plant from what is seen on it: the definitions that counts in the field rest on.

A field or zone is at a stage when half of its plants are. Counting plants is not done here.
"""

from dataclasses import dataclass
from typing import Literal

from zoning.evidence import number

PlantStage = Literal["before R1", "R1", "R2", "R3", "R4", "R5"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantSeen:
    """What is seen on the main stem of one plant.

    The top nodes are the uppermost ones with a fully developed leaf: flowers count at the two uppermost, pods
    and seeds at the four uppermost. `pod_below_mm` is the longest pod lower down, which decides nothing; it
    is asked so that a pod seen there is not taken for one at the top. [mm]
    """

    flower_anywhere: bool
    flower_at_top_two: bool
    pod_at_top_four_mm: float = 0.0
    pod_below_mm: float = 0.0
    seed_at_top_four_mm: float = 0.0


def plant_stage(seen: PlantSeen) -> PlantStage:
    """Name the stage of one plant, up to R5.

    Parameters
    ----------
    seen : PlantSeen
        What is seen on the plant.

    Returns
    -------
    str
        "before R1", or "R1" ... "R5" (R5 stands for R5 or later).

    Examples
    --------
    Flowers from top to bottom, and pods of 8 mm, but only low on the stem:

    >>> plant_stage(PlantSeen(flower_anywhere=True, flower_at_top_two=True, pod_below_mm=8))
    'R2'

    References
    ----------
    Fehr and Caviness 1977, "Stages of soybean development", as restated by university extension services.
    """
    if seen.seed_at_top_four_mm >= number("stage.r5_seed_mm"):
        return "R5"
    if seen.pod_at_top_four_mm >= number("stage.r4_pod_mm"):
        return "R4"
    if seen.pod_at_top_four_mm >= number("stage.r3_pod_mm"):
        return "R3"
    if seen.flower_at_top_two:
        return "R2"
    return "R1" if seen.flower_anywhere else "before R1"
