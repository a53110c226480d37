"""Cells of a raster or of a grid against what another file says of the same ground."""

import numpy as np

from zoning.evidence import number
from zoning.file_checks.of_polygons.polygons import FloatArray


def off_frac(values: FloatArray, expected: FloatArray) -> float:
    """Give the share of the cells that differ, of those of which something is expected; 0 where nothing is.

    Examples
    --------
    >>> expected = np.array([15.0, 15.0, 0.0, np.nan])
    >>> off_frac(np.array([15.0, 10.0, np.nan, 3.0]), expected) == 2 / 3
    True
    """
    known = np.isfinite(expected)
    if not known.any():
        return 0.0
    near = number("file_checks.value_off_frac") * np.maximum(np.abs(expected[known]), 1.0)
    with np.errstate(invalid="ignore"):
        same = np.abs(values[known] - expected[known]) <= near
    return float((~same).mean())
