"""Days and seconds of a day written as [planting] reads them. Knows no file."""

from datetime import date

import numpy as np
import numpy.typing as npt

from zoning.inputs.grid import Floats

_DAY_ZERO = date(1970, 1, 1).toordinal()
_NOON_S = 43_200.0


def written(days: npt.NDArray[np.int64], of_day_s: Floats) -> tuple[str, ...]:
    """Write moments on the farm's clock.

    Parameters
    ----------
    days : ndarray of int, shape (n,)
        `date.toordinal()`, 0 where the day is not known.
    of_day_s : ndarray of float, shape (n,) or (0,)
        Second of the day; NaN, or nothing, where no time is known. Where only some have a time, the others
        are at noon, as a date alone is.

    Returns
    -------
    tuple of str
        "" where the day is not known.

    Examples
    --------
    >>> days = np.array([date(2026, 5, 6).toordinal(), 0])
    >>> written(days, np.array([3600.0, np.nan])), written(days, np.zeros(0))
    (('2026-05-06T01:00:00', ''), ('2026-05-06', ''))
    """
    is_day = (days > 0).tolist()
    since: npt.NDArray[np.datetime64] = (days - _DAY_ZERO).astype("datetime64[D]")
    if not np.isfinite(of_day_s).any():
        return _known(np.datetime_as_string(since).tolist(), is_day)
    ms = np.round(np.where(np.isfinite(of_day_s), of_day_s, _NOON_S) * 1000).astype(np.int64)
    stamps = since.astype("datetime64[ms]") + ms.astype("timedelta64[ms]")
    has_parts = bool((ms[days > 0] % 1000).any())
    return _known(np.datetime_as_string(stamps, unit="ms" if has_parts else "s").tolist(), is_day)


def _known(texts: list[str], is_known: list[bool]) -> tuple[str, ...]:
    return tuple(text if known else "" for text, known in zip(texts, is_known, strict=True))
