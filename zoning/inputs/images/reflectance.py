"""Counts of public satellite products as reflectance, and whether reflectance can be what it claims.

Numbers in, numbers and doubts out; opens no file.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from zoning.errors import InputError
from zoning.evidence import number, numbers
from zoning.inputs.grid import Floats
from zoning.inputs.images.image_file import Told
from zoning.inputs.images.indices import index
from zoning.settings.model import ImageProduct, Imagery
from zoning.words import Said

SENTINEL_2: Final = "sentinel-2 l2a"
LANDSAT: Final = "landsat c2 l2"


@dataclass(frozen=True, slots=True)
class Conversion:
    """Reflectance = count x `scale` + `offset`; `source` is what says so.

    "guess": nothing says whether the counts of this product hold its offset; "settled": the numbers did.
    """

    scale: float
    offset: float
    source: Literal["user", "product", "guess", "settled"]
    product: ImageProduct = ""

    def of(self, counts: Floats) -> Floats:
        """Convert counts.

        Examples
        --------
        >>> landsat = Conversion(0.0000275, -0.2, "product", LANDSAT)
        >>> landsat.of(np.array([8727.0, 23636.0])).round(4).tolist()
        [0.04, 0.45]
        """
        return counts * self.scale + self.offset


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What the numbers of an image say about its conversion.

    `other` is the conversion to read it with again, if any; `is_reflectance` whether limits for reflectance
    may be laid on it.
    """

    other: Conversion | None = None
    is_reflectance: bool = False
    notes: tuple[Said, ...] = ()


def conversion(wanted: Imagery, tags: Told) -> Conversion:
    """Say how the counts of an image become reflectance.

    Parameters
    ----------
    wanted : Imagery
        With a product, its own scale and offset; else those of the settings.
    tags : Told
        What the file says, where the settings name no baseline.

    Notes
    -----
    The offset goes with the baseline of the processor, not with the day: older days were processed again.

    Examples
    --------
    >>> from zoning.settings.model import ImageProduct, Imagery
    >>> base = {"file": "x.tif", "bands": {"red": 1, "nir": 2}, "index": "NDVI", "product": SENTINEL_2}
    >>> conversion(Imagery(**base, baseline="05.10"), Told()).offset
    -0.1
    >>> conversion(Imagery(**base, baseline="02.14"), Told()).offset
    0.0
    """
    if wanted.product == LANDSAT:
        scale, offset = number("inputs.landsat_scale"), number("inputs.landsat_offset")
        return Conversion(scale, offset, "product", LANDSAT)
    if wanted.product != SENTINEL_2:
        return Conversion(wanted.scale, wanted.offset, "user")
    scale = number("inputs.sentinel2_scale")
    usual = scale * number("inputs.sentinel2_offset_counts")
    baseline = float(wanted.baseline) if wanted.baseline else None
    if baseline is None and tags.offset_counts is not None:
        return Conversion(scale, scale * tags.offset_counts, "product", SENTINEL_2)
    baseline = tags.baseline if baseline is None else baseline
    if baseline is None:
        return Conversion(scale, usual, "guess", SENTINEL_2)
    has_offset = baseline >= number("inputs.sentinel2_offset_baseline")
    return Conversion(scale, usual if has_offset else 0.0, "product", SENTINEL_2)


def check_offset(nir: float, used: Conversion, file: str) -> None:
    """Refuse an offset of the user's that leaves no reflectance: most likely it is in counts.

    Parameters
    ----------
    nir : float
        What the near infrared is in the middle. [0-1]
    used : Conversion
    file : str
        As the user calls it.
    """
    if used.source != "user" or used.offset == 0 or 0 < nir <= number("inputs.reflectance_highest_frac"):
        return
    what = (
        f"reflectance lies from 0 to 1, but with scale {used.scale:g} and offset {used.offset:g} the near "
        f"infrared is about {nir:.4g}"
    )
    mend = "Give offset as reflectance, after scale: counts of -1000 at a scale of 0.0001 are -0.1."
    raise InputError(what, where=file, mend=mend)


def judged(bands: Mapping[str, Floats], used: Conversion, file: str) -> Judged:
    """Judge a conversion by the reflectance that it gave.

    Parameters
    ----------
    bands : mapping of str to ndarray of float64, shape (cells,)
        Reflectance by name of the band, NaN where not clear; "nir" at least.
    used : Conversion
        That gave it.
    file : str
        As the user calls it.

    Returns
    -------
    Judged
        With a conversion to read again with only where a product's offset had been applied already.

    Raises
    ------
    InputError
        When a product's counts are so small that they are reflectance already.
    """
    nir = _median(bands["nir"])
    counts = (nir - used.offset) / used.scale
    if used.product and counts <= number("inputs.reflectance_highest_frac"):
        what = f"{used.product} holds counts, but the near infrared is about {counts:.2g}"
        mend = "It is reflectance already: take product out of this [[imagery]]."
        raise InputError(what, where=file, mend=mend)
    negative = negative_frac(bands)
    passes = fits(bands, 0.0)
    plausible = passes is True or (passes is None and bool(used.product))
    if used.product == SENTINEL_2 and used.offset < 0 and used.source != "settled":
        return _of_offset(bands, used, file)
    if negative > number("inputs.negative_reflectance_most_frac"):
        return Judged(notes=(Said("inputs.image_negative", file=file, percent=100 * negative),))
    return Judged(is_reflectance=plausible, notes=_doubts(bands, used, file))


def _of_offset(bands: Mapping[str, Floats], used: Conversion, file: str) -> Judged:
    """Find out whether the offset of a product had been applied before."""
    negative = negative_frac(bands)
    passes, without = fits(bands, 0.0), fits(bands, -used.offset)
    # a pond may be below 0; where the canopy is right, so is the offset
    applied = negative > number("inputs.negative_reflectance_most_frac") and passes is not True
    if used.source == "guess":
        applied |= passes is not True and without is True
    if applied:
        said = Said("inputs.image_offset_applied", file=file, percent=100 * negative)
        return Judged(other=replace(used, offset=0.0, source="settled"), notes=(said,))
    if used.source == "guess" and (passes is not True or without is True):
        return Judged(
            is_reflectance=passes is not False, notes=(Said("inputs.image_offset_guessed", file=file),)
        )
    return Judged(is_reflectance=passes is not False, notes=_doubts(bands, used, file))


def _doubts(bands: Mapping[str, Floats], used: Conversion, file: str) -> tuple[Said, ...]:
    """Say where red over vegetation is not what it must be, and whether an offset would mend it."""
    counts_of_ten_thousand = bool(np.isclose(used.scale, number("inputs.sentinel2_scale")))
    usual = number("inputs.sentinel2_scale") * number("inputs.sentinel2_offset_counts")
    highest = float(numbers("inputs.vegetation_red_frac")[1])
    if used.offset == 0 and counts_of_ten_thousand and used.source != "settled":
        red = _red_over_vegetation(bands, usual)
        if red is not None and red - usual > highest and fits(bands, usual):
            return (Said("inputs.image_offset_missing", file=file, red=red - usual, other=red),)
    red = _red_over_vegetation(bands, 0.0)
    if used.product and red is not None and not fits(bands, 0.0):
        return (Said("inputs.image_red_doubtful", file=file, red=red),)
    return ()


def fits(bands: Mapping[str, Floats], more: float = 0.0) -> bool | None:
    """Say whether reflectance with `more` added can be right; None where no vegetation tells.

    Examples
    --------
    >>> canopy = {"red": np.full(9, 0.04), "nir": np.full(9, 0.45)}
    >>> fits(canopy), fits(canopy, 0.1), fits(canopy, -0.1)
    (True, False, False)
    """
    green = _vegetation(bands, more)
    if green is None:
        return None
    lowest, highest = numbers("inputs.vegetation_red_frac")
    few = number("inputs.negative_reflectance_few_frac")
    there = {name: band[green] + more for name, band in bands.items()}
    return bool(lowest <= np.median(there["red"]) <= highest and negative_frac(there) < few)


def _red_over_vegetation(bands: Mapping[str, Floats], more: float) -> float | None:
    green = _vegetation(bands, more)
    return None if green is None else float(np.median(bands["red"][green] + more))


def _vegetation(bands: Mapping[str, Floats], more: float) -> npt.NDArray[np.bool_] | None:
    """Find vegetation by reflectance with `more` added; None where red is unknown or there is too little."""
    if "red" not in bands:
        return None
    red, nir = bands["red"] + more, bands["nir"] + more
    green = index("NDVI", {"nir": nir, "red": red}) > number("inputs.vegetation_ndvi")
    known = np.isfinite(red) & np.isfinite(nir)
    if green.sum() < number("inputs.vegetation_least_frac") * max(1, known.sum()):
        return None
    return np.asarray(green)


def negative_frac(bands: Mapping[str, Floats]) -> float:
    """Give the share of pixels of which a band lies below 0."""
    negative = np.logical_or.reduce([band < 0 for band in bands.values()])
    known = np.logical_or.reduce([np.isfinite(band) for band in bands.values()])
    return float(negative.sum() / max(1, known.sum()))


def _median(values: Floats) -> float:
    known = values[np.isfinite(values)]
    return float(np.median(known)) if len(known) else 0.0
