"""Whether the strips of a pair were cut alike: one soon after the other, by one combine."""

from collections.abc import Sequence

import numpy as np

from zoning.evidence import number
from zoning.inputs.harvest.given import YieldPoints
from zoning.returns.pairs import LEAST_PAIRS
from zoning.strips.terms import Cleaned, Floats, Ints, Placed
from zoning.words import Said


def cut_apart(
    points: YieldPoints, cleaned: Cleaned, placed: Placed, pairs: Sequence[int]
) -> tuple[tuple[Said, ...], bool]:
    """Say which pairs compare strips that were cut far apart in time, or by two combines.

    Parameters
    ----------
    points : YieldPoints
    cleaned : Cleaned
    placed : Placed
        Of the same points.
    pairs : sequence of int
        Those that count.

    Returns
    -------
    notes : tuple of Said
    is_mixed : bool
        Whether that is so of all pairs, and always the treated strip the earlier one, or always the later:
        then what differs by the cut cannot be told from what the treatment did, and no pair tells anything.
        Two pairs may be so by chance.

    Notes
    -----
    What a combine is off by is alike on strips that it cuts one after the other, and falls out of their
    difference. That of another combine, or of another day, does not. Another combine begins where the time of
    the file goes back by more than a pass takes.
    """
    if not np.isfinite(points.time_s).any():
        return (), False
    combine = _combine(points.time_s, cleaned.tracks.number)
    found: dict[int, bool] = {}  # pair -> whether its treated strip was cut first
    for pair in pairs:
        here = (placed.pair == pair) & (placed.why == 0) & np.isfinite(points.time_s)
        sides = [here & placed.is_treated, here & ~placed.is_treated]
        if not all(one.any() for one in sides):
            continue
        at_s, other_s = (float(np.median(points.time_s[one])) for one in sides)
        is_late = abs(at_s - other_s) > number("strips.cut_apart_s")
        shares = [np.bincount(combine[one], minlength=combine.max() + 1) / one.sum() for one in sides]
        if is_late or np.minimum(*shares).sum() < 0.5:  # most of one strip by another combine than the other
            order = at_s - other_s if is_late else shares[0].argmax() - shares[1].argmax()
            found[pair] = bool(order < 0)
    if not found:
        return (), False
    is_mixed = len(found) == len(pairs) > LEAST_PAIRS and len(set(found.values())) == 1
    return (Said("trial_ground.cut_apart", pairs=", ".join(map(str, found))),), is_mixed


def _combine(time_s: Floats, track: Ints) -> Ints:
    """Give each point the number of its stretch of the file, each written by one combine."""
    of_pass = np.flatnonzero((track >= 0) & np.isfinite(time_s))
    begins, ends = np.full((2, track.max(initial=-1) + 1), np.nan)
    np.fmin.at(begins, track[of_pass], time_s[of_pass])
    np.fmax.at(ends, track[of_pass], time_s[of_pass])
    took = (ends - begins)[np.isfinite(begins)]
    usual_s = float(np.median(took)) if len(took) else 0.0
    known = np.flatnonzero(np.isfinite(time_s))
    number_of = np.zeros(len(time_s), dtype=np.int64)
    number_of[known[1:]] = np.cumsum(np.diff(time_s[known]) < -usual_s)
    return number_of
