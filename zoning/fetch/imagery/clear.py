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
from zoning.inputs.images.averaged import at
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
    >>> frame = Frame(wkt="EPSG:32615", transform=Affine(20, 0, 5e5, 0, -20, 49e5), shape=(1, 6))
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

    far_m = distance_transform_edt(~cloud, sampling=_sides_m(patch.frame))
    return np.asarray(good & (far_m > meant.margin_m))


def _sides_m(frame: Frame) -> tuple[float, float]:
    """Give how far it is on the ground from one row to the next, and from one column, in whole cm.

    Scenes may lie in degrees, or in a plane that is stretched far from the equator.

    Examples
    --------
    >>> from affine import Affine
    >>> _sides_m(Frame(wkt="EPSG:32615", transform=Affine(20, 0, 5e5, 0, -20, 49e5), shape=(9, 9)))
    (20.0, 20.0)
    >>> _sides_m(Frame(wkt="EPSG:4326", transform=Affine(2e-4, 0, -95, 0, -2e-4, 44), shape=(9, 9)))
    (22.22, 16.04)
    """
    row, column = frame.shape[0] / 2, frame.shape[1] / 2
    three = ((column, row), (column, row + 1), (column + 1, row))
    corners = np.array([at(frame.transform, *one) for one in three])
    lon, lat = area.moved(corners[:, 0], corners[:, 1], frame.wkt, area.LONLAT)
    east, north = area.moved(lon, lat, area.LONLAT, area.utm_epsg(float(lon[0]), float(lat[0])))
    down_m, along_m = np.hypot(east[1:] - east[0], north[1:] - north[0]).round(2).tolist()
    return down_m, along_m
