"""What waiting costs: the expected net return of a zone day by day."""

import numpy as np
import numpy.typing as npt

from zoning.returns.terms import Delay, Floats


def delay(days: npt.ArrayLike, net_usd_ac: Floats, worth_it: npt.NDArray[np.bool_], first: int) -> Delay:
    """Follow the net return from one day on, for as long as every day can be sprayed.

    Parameters
    ----------
    days : array of int, shape (days,)
        Rising day numbers.
    net_usd_ac : array, shape (days,)
        Expected net return on each, at one carrier volume; NaN where the day is closed. [USD/ac]
    worth_it : array of bool, shape (days,)
        Whether the rule says spray on each.
    first : int
        Day to begin with, one of `days` that can be sprayed. [day number]

    Raises
    ------
    ValueError
        When the first day cannot be sprayed.

    Examples
    --------
    >>> later = delay([4, 5, 6, 8], np.array([9.0, 7.5, -1.0, 2.0]), np.array([True, True, False, True]), 4)
    >>> later.days, later.net_usd_ac, later.pays_until
    ((4, 5, 6), (9.0, 7.5, -1.0), 5)
    """
    when = np.asarray(days, dtype=np.int64)
    start = int(np.searchsorted(when, first))
    unbroken = (when[start:] - np.arange(when.size - start) == first) & np.isfinite(net_usd_ac[start:])
    length = int(np.argmin(np.append(unbroken, False)))
    if length == 0:
        raise ValueError(f"day {first} cannot be sprayed")
    paying = int(np.argmin(np.append(worth_it[start : start + length], False)))
    return Delay(
        days=tuple(int(day) for day in when[start : start + length]),
        net_usd_ac=tuple(float(net) for net in net_usd_ac[start : start + length]),
        pays_until=first + paying - 1 if paying else None,
    )
