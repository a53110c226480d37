"""Why a pair does not count, and what is to be known of one that does."""

from collections.abc import Sequence

import numpy as np

from zoning.evidence import number
from zoning.inputs.given import StripTreatment
from zoning.inputs.harvest.given import TrialGround
from zoning.strips.terms import NOT_COUNTED, NotCounted, Placed, StripSeen
from zoning.words import Said

_REASONS: dict[NotCounted, str] = {
    "off centre": "trial_ground.why_off_centre",
    "strip end": "trial_ground.why_strip_end",
    "change": "trial_ground.why_change",
    "headland": "trial_ground.why_headland",
    "no zone": "trial_ground.why_no_zone",
    "no partner": "trial_ground.why_no_partner",
    "across": "trial_ground.why_across",
}
_TREATMENTS: tuple[StripTreatment, StripTreatment] = ("treated", "untreated")


def why_not(
    pair: int, length_m: float, placed: Placed, ground: TrialGround, seen: Sequence[StripSeen]
) -> Said | None:
    """Say why a pair does not count; None where it does.

    Parameters
    ----------
    pair : int
    length_m : float
        That both strips have in common, of points that count. [m]
    placed : Placed
    ground : TrialGround
    seen : sequence of StripSeen
        All strips.
    """
    mine = [one for one in seen if one.pair == pair]
    lacking = [one for one in _TREATMENTS if one not in {strip.treatment for strip in mine}]
    if lacking:
        return Said("trial_ground.pair_alone", pair=pair, treatment=lacking[0])
    least_m = number("strips.pair_least_m")
    if length_m >= least_m:
        return None
    if length_m > 0:
        return Said("trial_ground.pair_short", pair=pair, m=length_m, least=least_m)
    if ground.header_m > ground.width_m + 2 * number("strips.header_over_m"):
        return Said("trial_ground.pair_header", pair=pair)
    otherwise = number("strips.laid_otherwise_frac")
    if all(one.sprayed_frac >= 1 - otherwise for one in mine):
        return Said("trial_ground.pair_sprayed", pair=pair)
    if all(one.sprayed_frac <= otherwise for one in mine):
        return Said("trial_ground.pair_dry", pair=pair)
    of_pair = placed.why[placed.pair == pair]
    counts = np.bincount(of_pair, minlength=len(NOT_COUNTED))
    most = max(_REASONS, key=lambda reason: int(counts[NOT_COUNTED.index(reason)]))
    if not counts[NOT_COUNTED.index(most)]:
        return Said("trial_ground.pair_empty", pair=pair)
    return Said("trial_ground.pair_no_points", pair=pair, reason=Said(_REASONS[most]).text)


def notes_of(pair: int, swapped_frac: float, seen: Sequence[StripSeen]) -> list[Said]:
    """Say where a pair that counts was sprayed otherwise than laid.

    Parameters
    ----------
    pair : int
    swapped_frac : float
        Share of its points that are treated otherwise than laid.
    seen : sequence of StripSeen
        All strips.
    """
    if swapped_frac == 1:
        return [Said("trial_ground.swapped", pair=pair)]
    otherwise = number("strips.laid_otherwise_frac")
    notes = []
    for one in seen:
        percent = 100 * one.sprayed_frac  # eq. a share in percent
        if one.pair == pair and one.treatment == "untreated" and one.sprayed_frac > otherwise:
            notes.append(Said("trial_ground.laid_dry", pair=pair, percent=percent))
        if one.pair == pair and one.treatment == "treated" and one.sprayed_frac < 1 - otherwise:
            notes.append(Said("trial_ground.laid_treated", pair=pair, percent=percent))
    return notes
