"""Vegetation indices from reflectance.

Numbers in, numbers out; which band is which is the caller's business.
"""

from collections.abc import Callable, Mapping

import numpy as np

from zoning.evidence import named, number
from zoning.inputs.grid import Floats

# What each index is made of; the near infrared first.
BANDS: dict[str, tuple[str, ...]] = {
    "NDVI": ("nir", "red"),
    "NDRE": ("nir", "rededge"),
    "GNDVI": ("nir", "green"),
    "OSAVI": ("nir", "red"),
    "CIre": ("nir", "rededge"),
    "EVI2": ("nir", "red"),
    "MSAVI2": ("nir", "red"),
}
NEEDS_REFLECTANCE = ("OSAVI", "EVI2", "MSAVI2")  # a soil term: raw counts give another index


def index(name: str, reflectance: Mapping[str, Floats]) -> Floats:
    """Compute a vegetation index.

    Parameters
    ----------
    name : str
        One of `BANDS`.
    reflectance : mapping of str to ndarray of float64
        The bands that `BANDS` names, equally shaped, NaN where unknown. [0-1]

    Returns
    -------
    ndarray of float64
        NaN where a band is unknown or the denominator is not above 0. [1]

    Notes
    -----
    NDVI, NDRE, GNDVI = (N - X) / (N + X) with red, red edge, green; CIre = N / E - 1 [4]_;
    OSAVI = (N - R) / (N + R + 0.16) [1]_; EVI2 = 2.5 (N - R) / (N + 2.4 R + 1) [2]_;
    MSAVI2 = (2 N + 1 - sqrt((2 N + 1)^2 - 8 (N - R))) / 2 [3]_.

    Examples
    --------
    >>> dense = {"nir": np.array([0.45]), "red": np.array([0.04])}
    >>> float(index("EVI2", dense)[0].round(6)), float(index("MSAVI2", dense)[0].round(6))
    (0.663001, 0.662772)

    References
    ----------
    .. [1] doi 10.1016/0034-4257(95)00186-7
    .. [2] Jiang et al. 2008, doi 10.1016/j.rse.2008.06.006
    .. [3] doi 10.1016/0034-4257(94)90134-1
    .. [4] doi 10.1078/0176-1617-00887
    """
    near, other = (np.asarray(reflectance[band], dtype=np.float64) for band in BANDS[name])
    with np.errstate(divide="ignore", invalid="ignore"):
        return _FORMULAS[name](near, other)


def _ratio(over: Floats, under: Floats) -> Floats:
    return np.where(under > 0, over / under, np.nan)


def _normalised(near: Floats, other: Floats) -> Floats:
    return _ratio(near - other, near + other)


def _osavi(near: Floats, red: Floats) -> Floats:
    return _ratio(near - red, near + red + number("inputs.osavi_soil_term"))


def _ci_red_edge(near: Floats, edge: Floats) -> Floats:
    return _ratio(near, edge) - 1


def _evi2(near: Floats, red: Floats) -> Floats:
    terms = named("inputs.evi2_terms")
    return _ratio(terms["gain"] * (near - red), near + terms["red"] * red + terms["soil"])


def _msavi2(near: Floats, red: Floats) -> Floats:
    twice = 2 * near + 1
    return (twice - np.sqrt(twice**2 - 8 * (near - red))) / 2


_FORMULAS: dict[str, Callable[[Floats, Floats], Floats]] = {
    "NDVI": _normalised,
    "NDRE": _normalised,
    "GNDVI": _normalised,
    "OSAVI": _osavi,
    "CIre": _ci_red_edge,
    "EVI2": _evi2,
    "MSAVI2": _msavi2,
}
