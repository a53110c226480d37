"""Whether one tally is of plants of two ages: a replanted or thickened stand has no one date.

It compares two ages with one under the same spread of plants and intervals; it decides nothing about the day.
"""

import numpy as np

from zoning.evidence import number
from zoning.inputs.given import PLANT_STAGES, Tally
from zoning.stage.daylength import Floats
from zoning.stage.likelihood import (
    STEP_D,
    CountRules,
    Expected,
    Visit,
    class_probabilities,
    stage_offsets_d,
)

_EVERY = 7  # method: every seventh step of the shifts is tried, 1.4 d
_MARGIN_SD = 4  # method: days are tried from so many plant SD before the first stage to after the last
_SHARES = 9  # method: number of shares of the older plants that are tried


def _log_mean_chance(plants: Floats, chances: Floats, design_effect: float) -> Floats:
    """Log of the mean likelihood over the sets (second axis); classes are the first axis, counts `plants`."""
    logs = np.tensordot(plants / design_effect, np.log(np.maximum(chances, np.finfo(float).tiny)), axes=1)
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.exp(logs - top).mean(axis=0)))


def _chances(classes: list[int], expected: Expected, rules: CountRules) -> tuple[Floats, Floats]:
    """Chance of each class, (classes, sets, days), and the days since R3 they stand for, youngest last."""
    offsets_d = stage_offsets_d(expected, rules)
    margin_d = _MARGIN_SD * rules.plant_sd_d
    last_d, first_d = float(offsets_d[-1].max()) + margin_d, float(offsets_d[0].min()) - margin_d
    since_r3_d = last_d - STEP_D * np.arange(int((last_d - first_d) / STEP_D) + 1, dtype=np.float64)
    found = class_probabilities(classes, since_r3_d, offsets_d, rules.plant_sd_d)
    sets = offsets_d.shape[1]
    kept = [np.broadcast_to(found[at], (sets, len(since_r3_d)))[:, ::_EVERY] for at in classes]
    return np.stack(kept), since_r3_d[::_EVERY]


def _split(plants: Floats, older: Floats) -> tuple[Floats, Floats]:
    """Give each class's plants to the ages by the chance that they are of the older."""
    of_older = np.rint(plants * older)
    return of_older, plants - of_older


def _tally(classes: list[int], plants: Floats) -> Tally:
    of_class = dict(zip(classes, plants.astype(int).tolist(), strict=True))
    before, r1, r2, r3, r4, r5 = (of_class.get(at, 0) for at in range(len(PLANT_STAGES)))
    return Tally((before, r1, r2, r3, r4, r5))


def two_peaks(visit: Visit, expected: Expected, rules: CountRules) -> tuple[Visit, Visit, float] | None:
    """Find two ages of plants in one tally.

    Parameters
    ----------
    visit : Visit
        Only a tally of plants by stage can show two ages.
    expected : Expected
        The model's days at the place; only its intervals are used.
    rules : CountRules
        Spread of plants and intervals, design effect.

    Returns
    -------
    tuple or None
        The older plants, the younger ones, each as a visit, and the older ones' share; None where one age
        explains the tally nearly as well, or the second age would have too few plants.

    Notes
    -----
    Each side takes its best days (and share); the interval deviations are averaged out. Two ages must lie so
    far apart that their mixture has two peaks: more than two SD for normals of one SD and alike in number.

    Examples
    --------
    >>> from zoning.stage.likelihood import count_rules
    >>> at = Expected(r1_day=192, r2_day=195, r3_day=205, r4_day=213, r5_day=219)
    >>> replanted = Visit(day=207.0, seen=Tally((0, 5, 5, 0, 10, 0)))
    >>> older, younger, share = two_peaks(replanted, at, count_rules())
    >>> older.seen.plants, younger.seen.plants, share
    ((0, 0, 0, 0, 10, 0), (0, 5, 5, 0, 0, 0), 0.5)
    """
    if not isinstance(visit.seen, Tally):
        return None
    least = number("stage.two_peaks_least_plants")
    tally = np.array(visit.seen.plants, dtype=np.float64)
    classes = [int(at) for at in np.flatnonzero(tally)]
    if len(classes) < 2 or tally.sum() < 2 * least or classes[-1] - classes[0] < 2:
        return None
    plants = tally[classes]
    chances, since_r3_d = _chances(classes, expected, rules)
    one = _log_mean_chance(plants, chances, rules.design_effect).max()
    most = (plants / rules.design_effect * np.log(plants / plants.sum())).sum()
    if most - one <= number("stage.two_peaks_log_ratio"):
        return None  # no explanation at all could be that much better
    # eq. two normals of one SD have two peaks from two SD apart on
    older, younger = np.nonzero(since_r3_d[:, None] - since_r3_d > 2 * rules.plant_sd_d)
    edge = least / plants.sum()
    shares = np.linspace(edge, 1 - edge, _SHARES)
    of_older, of_younger = chances[..., older], chances[..., younger]
    told = np.stack(
        [
            _log_mean_chance(plants, share * of_older + (1 - share) * of_younger, rules.design_effect)
            for share in shares
        ]
    )
    if told.max() - one <= number("stage.two_peaks_log_ratio"):
        return None
    best, pair = np.unravel_index(told.argmax(), told.shape)
    at_older = shares[best] * of_older[..., pair].mean(axis=1)
    at_younger = (1 - shares[best]) * of_younger[..., pair].mean(axis=1)
    parts = _split(plants, at_older / (at_older + at_younger))
    if min(part.sum() for part in parts) < least:
        return None
    older_part, younger_part = (Visit(day=visit.day, seen=_tally(classes, part)) for part in parts)
    return older_part, younger_part, float(parts[0].sum() / plants.sum())
