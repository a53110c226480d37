"""Points that count -> one difference a pair: treated less untreated, piece by piece side by side."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from zoning.inputs.given import Strip
from zoning.inputs.harvest.given import TrialGround, YieldPoints
from zoning.strips.paired.cut_apart import cut_apart
from zoning.strips.paired.pieces import Beside, Pieces, pieces_of
from zoning.strips.paired.placed import bins_of, strip_of
from zoning.strips.paired.why_not import notes_of, why_not
from zoning.strips.terms import (
    NOT_COUNTED,
    Bools,
    Cleaned,
    Ints,
    Paired,
    PairSeen,
    Placed,
    StripSeen,
    ZonePart,
)
from zoning.words import Said

_NOTHING = float("nan")
_BESIDE = [NOT_COUNTED.index("counts"), NOT_COUNTED.index("no partner")]


def paired(points: YieldPoints, cleaned: Cleaned, placed: Placed, ground: TrialGround) -> Paired:
    """Compare the strips of each pair where they lie side by side in one zone and were treated differently.

    Parameters
    ----------
    points : YieldPoints
    cleaned : Cleaned
    placed : Placed
        Of the same points.
    ground : TrialGround

    Returns
    -------
    Paired
        A pair that does not count keeps its place, with `why_not`. Which strip is the treated one is what was
        sprayed, not what was laid; where they were swapped, a note says so.

    Notes
    -----
    The way is cut into pieces as long as the header is wide. In each piece and zone the mean of the treated
    points stands against that of the untreated ones; a piece weighs by its length, and where it lies in two
    zones, by the smaller of the shares that the points of either strip have there. So each strip is compared
    with ground of its own zone and place only, however many points either has.
    """
    strip = strip_of(points, ground)
    counts = placed.why == 0
    seen = tuple(
        _strip_seen(one, counts & (strip == place), cleaned, ground)
        for place, one in enumerate(ground.strips)
    )
    bins = bins_of(placed, ground)
    pairs: list[PairSeen] = []
    parts: list[ZonePart] = []
    notes: list[Said] = []
    for pair in sorted({one.pair for one in ground.strips}):
        here = placed.pair == pair
        pieces = _pieces(here, bins, cleaned, placed, ground.header_m)
        why = why_not(pair, float(pieces.length_m.sum()), placed, ground, seen)
        pairs.append(_pair_seen(pair, pieces, why))
        if why is None:
            parts += _parts(pair, pieces)
            notes += notes_of(pair, _swapped_frac(here & counts, strip, placed, ground), seen)
    counted = [one.pair for one in pairs if one.why_not is None]
    of_cut, is_mixed = cut_apart(points, cleaned, placed, counted)
    if is_mixed:
        mixed = Said("trial_ground.pair_cut_apart")
        pairs, parts = [replace(one, why_not=one.why_not or mixed) for one in pairs], []
    notes += of_cut
    return Paired(strips=seen, pairs=tuple(pairs), parts=tuple(parts), notes=tuple(notes))


def wetter_frac(pairs: Sequence[PairSeen]) -> float | None:
    """Give how much wetter treated strips were, as the mean of the pairs that count; None where nobody knows.

    Parameters
    ----------
    pairs : sequence of PairSeen

    Examples
    --------
    >>> pair = PairSeen(pair=1, length_m=300, points=200, treated_bu_ac=60, untreated_bu_ac=58,
    ...     moisture_difference_frac=0.01)
    >>> wetter_frac([pair, replace(pair, moisture_difference_frac=float("nan"))]), wetter_frac([])
    (0.01, None)
    """
    told = [one.moisture_difference_frac for one in pairs if one.why_not is None]
    known = [one for one in told if np.isfinite(one)]
    return float(np.mean(known)) if known else None


def _strip_seen(strip: Strip, here: Bools, cleaned: Cleaned, ground: TrialGround) -> StripSeen:
    crop = shapely.intersection(strip.outline, ground.crop)
    sprayed = shapely.intersection(crop, ground.treated)
    return StripSeen(
        pair=strip.pair,
        treatment=strip.treatment,
        sprayed_frac=float(sprayed.area / crop.area) if crop.area > 0 else 0.0,
        points=int(here.sum()),
        passes=len(np.unique(cleaned.tracks.number[here])),
        mean_bu_ac=float(cleaned.yield_bu_ac[here].mean()) if here.any() else _NOTHING,
    )


def _pieces(here: Bools, bins: Ints, cleaned: Cleaned, placed: Placed, piece_m: float) -> Pieces:
    which = here & np.isin(placed.why, _BESIDE)
    beside = Beside(
        zone=placed.zone[which],
        piece=bins[which],
        is_treated=placed.is_treated[which],
        counts=placed.why[which] == 0,
        yield_bu_ac=cleaned.yield_bu_ac[which],
        moisture_frac=cleaned.moisture_frac[which],
    )
    return pieces_of(beside, piece_m)


def _pair_seen(pair: int, pieces: Pieces, why: Said | None) -> PairSeen:
    treated_bu_ac, untreated_bu_ac = _means(pieces)
    moist = pieces.only(np.asarray(np.isfinite(pieces.moisture_frac).all(axis=1)))
    apart = moist.moisture_frac[:, 0] - moist.moisture_frac[:, 1]
    return PairSeen(
        pair=pair,
        length_m=float(pieces.length_m.sum()),
        points=int(pieces.points.sum()),
        treated_bu_ac=treated_bu_ac,
        untreated_bu_ac=untreated_bu_ac,
        moisture_difference_frac=float(np.average(apart, weights=moist.length_m)) if len(apart) else _NOTHING,
        why_not=why,
    )


def _parts(pair: int, pieces: Pieces) -> list[ZonePart]:
    found = []
    for zone in np.unique(pieces.zone).tolist():
        mine = pieces.only(np.asarray(pieces.zone == zone))
        treated_bu_ac, untreated_bu_ac = _means(mine)
        part = ZonePart(
            pair=pair,
            zone=zone,
            length_m=float(mine.length_m.sum()),
            points=int(mine.points.sum()),
            treated_bu_ac=treated_bu_ac,
            untreated_bu_ac=untreated_bu_ac,
        )
        found.append(part)
    return found


def _means(pieces: Pieces) -> tuple[float, float]:
    """Give the mean yields of treated and untreated, by length. [bu/ac]."""
    if not len(pieces.length_m):
        return _NOTHING, _NOTHING
    treated, untreated = np.average(pieces.yield_bu_ac, axis=0, weights=pieces.length_m)
    return float(treated), float(untreated)


def _swapped_frac(here: Bools, strip: Ints, placed: Placed, ground: TrialGround) -> float:
    """Share of the points that were treated otherwise than laid."""
    laid = np.array([one.treatment == "treated" for one in ground.strips])[strip[here]]
    return float(np.mean(laid != placed.is_treated[here])) if here.any() else 0.0
