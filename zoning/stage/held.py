"""What was plainly seen holds in every draw: a stage that most plants had reached has begun, and the reverse.

Counts move R3 through `posterior`; R1, R2, R4 and R5 follow the model's intervals and could contradict what
stood in the field, which the label's latest stage must not. R3 itself is not touched here.
"""

from collections.abc import Sequence

import numpy as np

from zoning.evidence import number, numbers
from zoning.inputs.given import PLANT_STAGES, AtOrPast, Tally
from zoning.stage.daylength import Floats
from zoning.stage.draws import StageDraws
from zoning.stage.likelihood import CountRules, Visit


def limits(visits: Sequence[Visit], rules: CountRules) -> tuple[Floats, Floats]:
    """Days before which and after which each stage up to R5 cannot begin, by what was plainly seen.

    A stage has begun when half of the plants are there. It is plain where the share that was seen lies
    `stage.plain_se` standard errors from a half, n plants telling as much as n / design effect.

    Parameters
    ----------
    visits : sequence of Visit
        To one place; notes and pod lengths are never plain.
    rules : CountRules
        For the design effect.

    Returns
    -------
    not_before, not_after : ndarray
        Shape (5,), day numbers; -inf and inf where nothing was plain.

    Examples
    --------
    >>> from zoning.stage.likelihood import count_rules
    >>> seen = Visit(day=100.0, seen=Tally((0, 0, 2, 18, 0, 0)))
    >>> before, after = limits([seen], count_rules())
    >>> before.tolist(), after.tolist()
    ([-inf, -inf, -inf, 100.0, 100.0], [100.0, 100.0, 100.0, inf, inf])
    """
    stages = len(PLANT_STAGES) - 1
    not_before, not_after = np.full(stages, -np.inf), np.full(stages, np.inf)
    for visit in visits:
        for stage, (there, of) in _reached(visit).items():
            # eq. share - 1/2 against its standard error at one half, 1/2 x sqrt(design effect / n)
            off = (there / of - 0.5) / (0.5 * np.sqrt(rules.design_effect / of))
            if off >= number("stage.plain_se"):
                not_after[: stage + 1] = np.minimum(not_after[: stage + 1], visit.day)
            elif off <= -number("stage.plain_se"):
                not_before[stage:] = np.maximum(not_before[stage:], visit.day)
    return not_before, not_after


def _reached(visit: Visit) -> dict[int, tuple[int, int]]:
    """Count the plants at or past each stage that a visit speaks of, and all its plants."""
    if isinstance(visit.seen, AtOrPast):
        return {PLANT_STAGES.index(visit.seen.stage) - 1: (visit.seen.k, visit.seen.n)}
    if isinstance(visit.seen, Tally):
        plants = visit.seen.plants
        return {stage: (sum(plants[stage + 1 :]), sum(plants)) for stage in range(len(plants) - 1)}
    return {}


def hold(stages: StageDraws, not_before: Floats, not_after: Floats) -> StageDraws:
    """Keep R1, R2, R4 and R5 of every draw inside what was seen, in their order and around R3.

    R3 and its length of 5-15 d come first; R6 and R7 move along with R5.

    Parameters
    ----------
    stages : StageDraws
    not_before, not_after : ndarray
        As from `limits`.
    """
    if not (np.isfinite(not_before).any() or np.isfinite(not_after).any()):
        return stages
    shortest = number("stage.shortest_interval_d")
    least, most = numbers("stage.r3_to_r4_range_d")
    r1, r2, r3, r4, r5, r6, r7 = stages.begin_day.T
    # where counts contradict each other, the later limit wins
    r1, r2, _, r4, held_r5 = (
        np.maximum(np.minimum(day, last), first)
        for day, first, last in zip((r1, r2, r3, r4, r5), not_before, not_after, strict=True)
    )
    r2 = np.minimum(np.maximum(r2, r1 + shortest), r3 - shortest)
    r1 = np.minimum(r1, r2 - shortest)
    r4 = np.clip(r4, r3 + least, r3 + most)
    held_r5 = np.maximum(held_r5, r4 + shortest)
    later = held_r5 - r5
    return StageDraws(np.stack([r1, r2, r3, r4, held_r5, r6 + later, r7 + later], axis=1))
