"""Water, bare and drowned ground of an image of reflectance: cells that are no canopy.

Numbers in, cells out. Only for reflectance: uncalibrated images have no absolute limit.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.grid import Floats
from zoning.inputs.images.indices import index

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NoCanopy:
    """Cells that are left out, and which share of the seen ones has no canopy.

    Both are empty where `too_much` is True: then the image is one of bare soil.
    """

    water: Bools
    bare: Bools
    frac: float
    too_much: bool


def no_canopy(red: Floats, nir: Floats, inside: Bools) -> NoCanopy:
    """Find the cells that are water, and those that are bare or drowned.

    Parameters
    ----------
    red, nir : ndarray of float64, shape (rows, columns)
        Reflectance, NaN where not clear. [0-1]
    inside : ndarray of bool, same shape
        Cells of the field.

    Examples
    --------
    >>> red, nir = np.full((1, 5), 0.04), np.array([[0.4, 0.4, 0.4, 0.4, 0.03]])
    >>> no_canopy(red, nir, np.ones((1, 5), dtype=bool)).water.tolist()
    [[False, False, False, False, True]]
    """
    ndvi = index("NDVI", {"red": red, "nir": nir})
    dark = np.isfinite(red) & np.isfinite(nir) & (red + nir <= 0)  # water may reflect nothing at all
    seen = inside & (np.isfinite(ndvi) | dark)
    water = seen & (dark | (ndvi < number("inputs.water_ndvi")))
    bare = seen & ~water & (ndvi < number("inputs.bare_ndvi"))
    frac = float((water | bare).sum() / max(1, seen.sum()))
    too_much = frac > number("inputs.bare_most_frac")
    if too_much:
        water, bare = np.zeros_like(water), np.zeros_like(bare)
    return NoCanopy(water=water, bare=bare, frac=frac, too_much=too_much)
