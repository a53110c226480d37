"""Which values of a quality mask mean clear ground, and the clouds of an image with their margin.

Around a cloud and its shadow lie thin edges that no mask marks, so their cells are left out too.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from zoning.evidence import number, numbers
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.images import raster
from zoning.inputs.images.reflectance import LANDSAT, SENTINEL_2
from zoning.settings.model import ImageProduct, Imagery

Bools = npt.NDArray[np.bool_]
Values = tuple[int, ...]

_VALUES = np.arange(2**16)  # a mask has 16 bits at most
_OWN = 2.0  # a scale other than 1 keeps out a scale in the file, which is meant for the other bands
_HALF = 0.5  # of a cell under cloud makes it one


@dataclass(frozen=True, slots=True)
class Mask:
    """The mask of one image: where it is, which values are clear, and which are widened by how far [m]."""

    path: Path
    file: str
    band: int
    clear: Values
    cloud: Values
    margin_m: float


def mask_of(wanted: Imagery, image: Path, mask_path: Path | None) -> Mask | None:
    """Say how the mask of an image is read, None where it has none.

    Parameters
    ----------
    wanted : Imagery
        Its settings.
    image, mask_path : Path
        The image, and the mask where that is a file of its own.
    """
    if mask_path is None and wanted.mask_band is None:
        return None
    clear = clear_values(wanted)
    return Mask(
        path=mask_path or image,
        file=wanted.mask_file or wanted.file,
        band=wanted.mask_band or 1,
        clear=clear,
        cloud=_cloud_values(wanted, clear),
        margin_m=_margin_m(wanted),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """What the values of a product's mask mean: clear ground, clouds, and how far around these [m]."""

    clear: Values
    cloud: Values
    margin_m: float


def of_product(product: ImageProduct) -> Meant:
    """Say what the values of a product's own mask mean.

    Examples
    --------
    >>> of_product(SENTINEL_2)
    Meant(clear=(4, 5), cloud=(3, 8, 9, 10), margin_m=60.0)
    """
    wanted = Imagery(file="mask", bands={"red": 1, "nir": 2}, index="NDVI", product=product)
    clear = clear_values(wanted)
    return Meant(clear=clear, cloud=_cloud_values(wanted, clear), margin_m=_margin_m(wanted))


def clear_values(wanted: Imagery) -> Values:
    """List the mask values that mean clear ground: as given, else as the product has them.

    Examples
    --------
    >>> from zoning.settings.model import ImageProduct, Imagery
    >>> base = {"file": "x.tif", "bands": {"red": 1, "nir": 2}, "index": "NDVI"}
    >>> clear_values(Imagery(**base, product=SENTINEL_2)), clear_values(Imagery(**base))
    ((4, 5), (0,))
    >>> water, cloud = 21824 | 1 << 7, 21824 | 1 << 3
    >>> found = clear_values(Imagery(**base, product=LANDSAT))
    >>> water in found, cloud in found
    (True, False)
    """
    if wanted.mask_bits:
        return _without(wanted.mask_bits)
    if "mask_keep" in wanted.model_fields_set:
        return wanted.mask_keep
    if wanted.product == SENTINEL_2:
        return _whole(numbers("inputs.sentinel2_clear_classes"))
    if wanted.product == LANDSAT:
        return _without(_whole(numbers("inputs.landsat_unclear_bits")))
    return wanted.mask_keep


def _cloud_values(wanted: Imagery, clear: Values) -> Values:
    """List the values around which cells are left out: clouds and shadows where a product tells them."""
    if wanted.product == SENTINEL_2:
        cloud = _whole(numbers("inputs.sentinel2_cloud_classes"))
    elif wanted.product == LANDSAT:
        bits = _whole(numbers("inputs.landsat_cloud_bits"))
        cloud = _whole(_VALUES[(_VALUES & _bits(bits)) > 0])
    else:
        cloud = _whole(_VALUES)
    return tuple(sorted(set(cloud) - set(clear)))


def _margin_m(wanted: Imagery) -> float:
    if wanted.mask_widen_m is not None:
        return wanted.mask_widen_m
    return number("inputs.cloud_margin_m") if wanted.product else 0.0


def _without(bits: Values) -> Values:
    return _whole(_VALUES[(_VALUES & _bits(bits)) == 0])


def _bits(bits: Values) -> int:
    return sum(1 << bit for bit in set(bits))


def _whole(values: npt.NDArray[np.floating | np.integer]) -> Values:
    return tuple(int(value) for value in values)


def near_cloud(mask: Mask, grid: Grid) -> Bools:
    """Say which cells lie within the margin of a cloud, from centre to centre.

    Clouds beyond the edge of the grid count as far as the margin reaches.
    """
    none = np.zeros(grid.shape, dtype=bool)
    around = int(np.ceil(mask.margin_m / grid.cell_m))
    if around == 0 or not mask.cloud:
        return none
    rows, columns = grid.shape
    size = (rows + 2 * around, columns + 2 * around)
    beyond = around * grid.cell_m
    wider = Grid(grid.epsg, grid.left_m - beyond, grid.top_m + beyond, grid.cell_m, size)

    def cloudy(parts: Sequence[Floats]) -> Sequence[Floats]:
        share = np.isin(np.nan_to_num(parts[0] / _OWN, nan=-1.0), mask.cloud).astype(np.float64)
        return [np.where(np.isfinite(parts[0]), share, np.nan)]

    # every value counts as clear here: it is the classes that are read, and they have no average
    wanted = raster.Wanted(
        bands=(mask.band,), combine=cloudy, scale=_OWN, mask_band=mask.band, keep=_whole(_VALUES)
    )
    cloud = raster.onto_grid(mask.path, mask.file, wider, wanted).values >= _HALF
    if not cloud.any():
        return none
    # imported late: no step before needs to wait for this library
    from scipy.ndimage import distance_transform_edt

    far_cells = np.asarray(distance_transform_edt(~cloud))
    return np.asarray(far_cells * grid.cell_m <= mask.margin_m)[around:-around, around:-around]
