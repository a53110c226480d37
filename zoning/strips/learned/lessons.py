"""What to do better next season, from what kept this trial from telling more."""

from collections.abc import Iterator, Sequence

import numpy as np

from zoning.evidence import number
from zoning.inputs.harvest.given import TreatedSource
from zoning.strips.paired.pairs import wetter_frac
from zoning.strips.terms import Cleaned, Paired, Response
from zoning.words import Said
from zoning.words.amounts import zones as zones_named


def lessons(
    paired: Paired,
    response: Response | None,
    cleaned: Cleaned,
    zones: Sequence[int],
    treated_source: TreatedSource,
    *,
    zones_differ: bool = False,
) -> tuple[Said, ...]:
    """Say what to do better.

    Parameters
    ----------
    paired : Paired
    response : Response or None
    cleaned : Cleaned
    zones : sequence of int
        All zones of the field.
    treated_source : {"as-applied", "done", "drawn"}
        Who says what was sprayed.
    zones_differ : bool
        Whether zones were told apart: then it is their answers that more strips would sharpen.

    Examples
    --------
    >>> from zoning.strips.terms import Lag, Tracks
    >>> none = np.zeros(0)
    >>> tracks = Tracks(number=none.astype(int), along_m=none, heading_deg=none)
    >>> lag = Lag(amount=0, unit="s", likeness=0, likeness_before=0)
    >>> cleaned = Cleaned(yield_bu_ac=none, moisture_frac=none, removed_by=none.astype(int), rules=(),
    ...     tracks=tracks, lag=lag)
    >>> told = lessons(Paired(strips=(), pairs=(), parts=()), None, cleaned, [1, 2], "done")
    >>> [one.code for one in told]
    ['lessons.cross_zones', 'lessons.keep_file']
    """
    told = [_more_pairs(response, zones_differ)] if response and response.told == "cannot tell" else []
    return (*told, *_of_strips(paired, zones, treated_source), *_of_grain(paired, cleaned))


def _more_pairs(response: Response, zones_differ: bool) -> Said:
    if zones_differ:
        return Said("lessons.zones_by_themselves", pairs=response.pairs)
    if response.pairs_needed is None:
        return Said("lessons.too_close")
    return Said("lessons.more_pairs", needed=response.pairs_needed, pairs=response.pairs)


def _of_strips(paired: Paired, zones: Sequence[int], treated_source: TreatedSource) -> Iterator[Said]:
    counted = {one.pair for one in paired.counted}
    crossed = {part.zone for part in paired.parts if part.pair in counted}
    if left := sorted(set(zones) - crossed):
        yield Said("lessons.cross_zones", zones=zones_named(left))
    if lost := len(paired.pairs) - len(counted):
        yield Said("lessons.pairs_lost", lost=lost, laid=len(paired.pairs))
    if treated_source == "done":
        yield Said("lessons.keep_file")


def _of_grain(paired: Paired, cleaned: Cleaned) -> Iterator[Said]:
    wetter = wetter_frac(paired.pairs)
    if wetter is not None and wetter >= number("strips.wetter_frac"):
        yield Said("lessons.wetter", points=100 * wetter)  # eq. percent
    removed = float(np.mean(~cleaned.kept)) if len(cleaned.removed_by) else 0.0
    if removed > number("strips.much_removed_frac"):
        yield Said("lessons.calibrate", share=100 * removed)  # eq. percent
