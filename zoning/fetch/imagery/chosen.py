"""Which days are kept: the clearest, of equally clear ones the newest. Numbers in, days out."""

from collections.abc import Mapping
from datetime import date

from zoning.evidence import number
from zoning.fetch.imagery.clear import Shares


def days(looked: Mapping[date, Shares], most: int) -> tuple[date, ...]:
    """Choose days by how much of the field they show.

    Parameters
    ----------
    looked : mapping of date to Shares
    most : int
        Keep as many at most.

    Returns
    -------
    tuple of date
        In the order of time. Where no day shows enough to be used beside others, the clearest one, if it
        shows enough to be used alone.

    Examples
    --------
    >>> def seen(frac): return Shares(seen=frac, cloud=1 - frac, data=1.0)
    >>> june = [date(2026, 6, day) for day in (1, 6, 11, 16)]
    >>> [one.day for one in days(dict(zip(june, map(seen, (0.98, 0.3, 1.0, 0.984)))), 2)]
    [11, 16]
    >>> days(dict(zip(june, map(seen, (0.4, 0.7, 0.6, 0.1)))), 2)
    (datetime.date(2026, 6, 6),)
    >>> days({june[0]: seen(0.4)}, 2)
    ()
    """
    # whole percent: a single pixel does not make one day better than another
    ranked = sorted(looked, key=lambda day: (round(100 * looked[day].seen), day), reverse=True)
    good = [day for day in ranked if looked[day].seen >= number("inputs.layer_well_seen_frac")]
    alone = [day for day in ranked[:1] if looked[day].seen >= number("inputs.layer_least_seen_frac")]
    return tuple(sorted((good or alone)[:most]))
