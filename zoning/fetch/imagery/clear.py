"""How much of a field a scene shows, by the classes of its mask. Arrays in, shares out.

Counted as the readers of images will see it later: clear classes, away from clouds and their shadows.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import rasterio.features

from zoning.fetch.imagery.pixels import Frame, Patch
from zoning.inputs import area
from zoning.inputs.given import Area
from zoning.inputs.images import masks
from zoning.settings.model import ImageProduct

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """Shares of a field: `seen` can be used, `cloud` is cloud or its shadow, `data` is in the scene."""

    seen: float
    cloud: float
    data: float


def inside(ground: Area, epsg: int, frame: Frame) -> Bools:
    """Say which pixels have their middle in a field; of a very small field, those that it touches."""
    shape = area.reproject(ground, epsg, frame.wkt)
    for touched in (False, True):
        found = rasterio.features.rasterize(
            [(shape, 1)], out_shape=frame.shape, transform=frame.transform, all_touched=touched
        )
        if found.any():
            break
    return np.asarray(found, dtype=bool)


def shares(patch: Patch, within: Bools, product: ImageProduct) -> Shares:
    """Count the pixels of a field by what its mask says.

    Parameters
    ----------
    patch : Patch
        The mask around the field; 0 beyond the scene.
    within : ndarray of bool
        The field's pixels.
    product : str
        Which product's classes they are.

    Examples
    --------
    >>> from affine import Affine
    >>> frame = Frame(wkt="", transform=Affine.scale(20, -20), shape=(1, 6))
    >>> classes = np.array([[9, 4, 4, 4, 4, 4]], dtype=np.uint8)  # a cloud, then 60 m that are too near
    >>> found = shares(Patch(frame=frame, values=classes), np.ones((1, 6), dtype=bool), "sentinel-2 l2a")
    >>> round(found.seen, 3), round(found.cloud, 3), found.data
    (0.333, 0.167, 1.0)
    """
    meant = masks.of_product(product)
    cloud = np.isin(patch.values, meant.cloud) & (patch.values != 0)
    seen = is_clear(patch, product)
    count = max(1, int(within.sum()))
    return Shares(
        seen=float((seen & within).sum() / count),
        cloud=float((cloud & within).sum() / count),
        data=float(((patch.values != 0) & within).sum() / count),
    )


def is_clear(patch: Patch, product: ImageProduct) -> Bools:
    """Say which pixels are of a clear class, and not within a product's margin of a cloud or its shadow."""
    meant = masks.of_product(product)
    cloud = np.isin(patch.values, meant.cloud) & (patch.values != 0)
    good = np.isin(patch.values, meant.clear) & (patch.values != 0)
    if not cloud.any():
        return np.asarray(good)
    from scipy.ndimage import distance_transform_edt  # late: it is slow to import

    side_m = np.sqrt(abs(patch.frame.transform.determinant))
    return np.asarray(good & (distance_transform_edt(~cloud) * side_m > meant.margin_m))
