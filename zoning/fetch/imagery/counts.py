"""What the counts of a scene are: scale and offset as its item says, held against what canopy reflects.

Some public copies had their offset taken off already, and the flag that says so is wrong for a part of them:
believed blindly, a canopy's NDVI of 0.84 becomes 0.59, or 1.41. Arrays in, a conversion and doubts out.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from zoning.evidence import number
from zoning.fetch.imagery.scenes import Scene
from zoning.inputs.grid import Floats
from zoning.inputs.images import reflectance
from zoning.inputs.images.image_file import Told
from zoning.inputs.images.reflectance import LANDSAT, SENTINEL_2, Conversion
from zoning.settings.model import Imagery
from zoning.words import Said


def claimed(scene: Scene) -> Conversion:
    """Give scale and offset as the item says: of its bands, else by its flag and the baseline.

    Where bands say an offset and the flag says that it was taken off already, the flag goes first.

    Examples
    --------
    >>> from datetime import date
    >>> from zoning.fetch.imagery.scenes import Band
    >>> def scene(flag, offset):
    ...     red = Band(href="", scale=0.0001, offset=offset)
    ...     return Scene(name="S", day=date(2026, 7, 1), tile="T", made="", licence="",
    ...                  product=SENTINEL_2, bands={"red": red}, mask=Band(href=""), baseline=5.1,
    ...                  is_taken_off=flag)
    >>> [claimed(scene(*one)).offset for one in ((None, None), (None, -0.1), (True, -0.1), (None, 0.0))]
    [-0.1, -0.1, 0.0, 0.0]
    """
    red = scene.bands["red"]
    if scene.product == LANDSAT:
        scale, offset = number("inputs.landsat_scale"), number("inputs.landsat_offset")
        return Conversion(
            red.scale or scale, offset if red.offset is None else red.offset, "product", LANDSAT
        )
    usual = reflectance.conversion(_usual(scene), Told(baseline=scene.baseline))
    scale = red.scale or usual.scale
    if scene.is_taken_off:
        return Conversion(scale, 0.0, "product", SENTINEL_2)
    unsaid = usual.offset if np.isclose(scale, usual.scale) else 0.0
    return Conversion(scale, unsaid if red.offset is None else red.offset, "product", SENTINEL_2)


def _usual(scene: Scene) -> Imagery:
    return Imagery(file=scene.name, bands={"red": 1, "nir": 2}, index="NDVI", product="sentinel-2 l2a")


def settled(scene: Scene, bands: Mapping[str, Floats]) -> tuple[Conversion, tuple[Said, ...]]:
    """Settle a scene's offset by the reflectance of its canopy.

    Parameters
    ----------
    scene : Scene
    bands : mapping of str to ndarray of float64, shape (pixels,)
        Counts on clear ground of the field, NaN where there are none.

    Returns
    -------
    (Conversion, tuple of Said)
        As the item says, unless canopy could not reflect that and the other offset makes it right, or more
        than a few pixels in a hundred fall below 0.
    """
    told = claimed(scene)
    usual = number("inputs.sentinel2_scale") * number("inputs.sentinel2_offset_counts")
    if told.product != SENTINEL_2 or told.offset not in (0.0, usual):
        return told, ()
    other = replace(told, offset=usual if told.offset == 0 else 0.0, source="settled")
    fits, other_fits = (
        reflectance.fits({name: one.of(values) for name, values in bands.items()}) for one in (told, other)
    )
    below = reflectance.negative_frac({name: told.of(values) for name, values in bands.items()})
    many_below = told.offset < 0 and below > number("inputs.negative_reflectance_most_frac")
    if (fits is False and other_fits) or (many_below and fits is not True):
        code = "fetch.offset_taken_off" if told.offset < 0 else "fetch.offset_not_taken_off"
        return other, (Said(code, scene=scene.name),)
    if fits is False:
        return told, (Said("fetch.offset_doubtful", scene=scene.name),)
    return told, ()
