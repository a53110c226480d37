"""Images of the canopy and further layers on the field's grid, with what is doubtful about each said.

Knows bands, dates and clouds; the pixels are moved in `raster`.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
import numpy.typing as npt

from zoning import units
from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import dates, files, raster
from zoning.inputs.given import Layer
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.indices import BANDS, NEEDS_REFLECTANCE, index
from zoning.settings.model import Imagery, Settings
from zoning.settings.model import Layer as LayerSetting
from zoning.words import Said

_SAMPLE = 10_000  # pixels of a strip that are enough for a median
_DATE_FIRST = re.compile(r"(\d{4}-\d{2}-\d{2}|\d{8})(?!\d)")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """The grid and which of its cells lie inside the boundary."""

    grid: Grid
    inside: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Read:
    """What one file gave: a layer, or none where it is of no use, and what is to be said about it."""

    layer: Layer | None
    notes: tuple[Said, ...]
    paths: tuple[Path, ...] = ()


def image(settings: Settings, place: int, ground: Ground, today: date) -> Read:
    """Read one [[imagery]] as its vegetation index on the grid.

    Parameters
    ----------
    settings : Settings
        Of the field.
    place : int
        Which image, counted from 1 as in "imagery[1]".
    ground : Ground
        Where it goes.
    today : date
        An image taken later is not used.

    Raises
    ------
    InputError
        When the image cannot be used at all: no file, no CRS, elsewhere, all cloud, raw counts.
    """
    wanted = settings.imagery[place - 1]
    key = f"imagery[{place}]"
    path = files.find(settings, f"{key}.file", wanted.file)
    mask_path = files.find(settings, f"{key}.mask", wanted.mask_file) if wanted.mask_file else None
    day = wanted.on or day_in_name(path.name)
    if day is not None and day > today:
        return Read(layer=None, notes=(Said("inputs.image_later", file=wanted.file, day=day, today=today),))
    bands = _bands(wanted, settings.where(f"{key}.bands"))
    check = _Check()

    def combine(parts: Sequence[Floats]) -> Sequence[Floats]:
        named = dict(zip(bands, parts, strict=True))
        check.add(named["nir"], parts)
        return (index(wanted.index, named),)

    warped = raster.onto_grid(
        path,
        wanted.file,
        ground.grid,
        raster.Wanted(
            bands=tuple(bands.values()),
            combine=combine,
            scale=wanted.scale,
            offset=wanted.offset,
            mask_path=mask_path,
            mask_file=wanted.mask_file or "",
            mask_band=wanted.mask_band,
            keep=wanted.mask_keep,
        ),
    )
    notes = check.notes(wanted.file)
    nir = check.nir_median()
    if wanted.index in NEEDS_REFLECTANCE and nir > number("inputs.reflectance_highest_frac"):
        what = f"{wanted.index} needs reflectance from 0 to 1, but the near infrared is about {nir:.4g}"
        mend = "Set scale (and offset) in [[imagery]]; 0.0001 is usual."
        raise InputError(what, where=wanted.file, mend=mend)
    name = f"{wanted.index} {day}" if day else wanted.index
    layer = Layer(name=name, values=warped.values, file=wanted.file, day=day, clear_frac=0.0)
    read = _judged(layer, warped, ground, notes)
    if read.layer is not None and float(np.nanmedian(read.layer.values)) < 0:
        read = replace(read, notes=(*read.notes, Said("inputs.index_negative", file=wanted.file, name=name)))
    return replace(read, paths=(path, mask_path) if mask_path else (path,))


def layer(settings: Settings, place: int, ground: Ground) -> Read:
    """Read one [[layer]] on the grid; "yield" comes in bu/ac whatever its unit.

    Raises
    ------
    InputError
        As `image`; and when a yield has no unit or cannot be in its unit.
    """
    wanted = settings.layers[place - 1]
    key = f"layer[{place}]"
    path = files.find(settings, f"{key}.file", wanted.file)
    if wanted.use == "yield" and not wanted.unit:
        mend = 'Add unit = "bu/ac" or unit = "t/ha".'
        raise InputError("a yield needs its unit", where=settings.where(key), mend=mend, code=SETTINGS)
    request = raster.Wanted(
        bands=(wanted.band,), combine=lambda parts: parts, scale=wanted.scale, offset=wanted.offset
    )
    warped = raster.onto_grid(path, wanted.file, ground.grid, request)
    values = units.bu_ac_from_t_ha(1) * warped.values if wanted.unit == "t/ha" else warped.values
    found = Layer(name=wanted.name, values=values, file=wanted.file, day=None, clear_frac=0.0)
    read = _judged(found, warped, ground, ())
    if wanted.use == "yield" and read.layer is not None:
        _plausible(wanted, read.layer)
    return replace(read, paths=(path,))


def day_in_name(name: str) -> date | None:
    """Find the date that stands first in a file's name.

    Examples
    --------
    >>> day_in_name("2026-06-28_canopy.tif"), day_in_name("canopy_2026.tif")
    (datetime.date(2026, 6, 28), None)
    """
    match = _DATE_FIRST.match(name)
    if match is None:
        return None
    try:
        return dates.day(match[1])
    except ValueError:
        return None


def _bands(wanted: Imagery, where: str) -> dict[str, int]:
    needed = BANDS[wanted.index]
    lacking = [band for band in needed if band not in wanted.bands]
    if lacking:
        what = (
            f"{wanted.index} needs the bands {' and '.join(needed)}, but {' and '.join(lacking)} is not named"
        )
        mend = "Name it with its number in bands, as { red = 1, rededge = 2, nir = 3 }."
        raise InputError(what, where=where, mend=mend, code=SETTINGS)
    return {band: wanted.bands[band] for band in needed}


def _judged(found: Layer, warped: raster.Warped, ground: Ground, notes: tuple[Said, ...]) -> Read:
    """Cut a layer to the boundary, refuse it when it shows nothing, drop it when it is of no use."""
    cells = max(1, int(ground.inside.sum()))
    covered = float((warped.covered & ground.inside).sum()) / cells
    values = np.where(ground.inside, found.values, np.nan)
    seen = float(np.isfinite(values).sum()) / cells
    if covered == 0:
        mend = "Check that it is of this field, and its nodata value."
        raise InputError("the image has no data inside the field", where=found.file, mend=mend)
    if seen == 0:
        mend = "Take an image of another day, or check mask_keep."
        raise InputError("the whole field is under cloud, by its mask", where=found.file, mend=mend)
    said = list(notes)
    if warped.tagged:
        said.append(Said("inputs.image_tagged", file=found.file))
    kept: Layer | None = Layer(
        name=found.name, values=values, file=found.file, day=found.day, clear_frac=seen
    )
    if seen < number("inputs.layer_least_seen_frac"):
        said.append(Said("inputs.layer_mostly_empty", file=found.file, percent=100 * seen))
        kept = None
    elif _constant(values):
        said.append(Said("inputs.layer_constant", file=found.file, name=found.name))
        kept = None
    elif seen < number("inputs.layer_well_seen_frac"):
        said.append(Said("inputs.layer_partly_empty", file=found.file, percent=100 * (1 - seen)))
    return Read(layer=kept, notes=tuple(said))


def _constant(values: Floats) -> bool:
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    return high - low <= number("inputs.layer_constant_spread_frac") * max(abs(low), abs(high))


def _plausible(wanted: LayerSetting, found: Layer) -> None:
    middle = float(np.nanmedian(found.values))
    if not 0 < middle <= number("inputs.yield_highest_bu_ac"):
        what = f"a yield of {middle:.4g} bu/ac in the middle of the field cannot be"
        raise InputError(what, where=wanted.file, mend=f'Check unit = "{wanted.unit}", scale and offset.')


class _Check:
    """Gathers over the strips of an image what tells raw counts and a doubled offset."""

    def __init__(self) -> None:
        self.nir_medians: list[float] = []
        self.negative, self.pixels = 0, 0

    def add(self, nir: Floats, parts: Sequence[Floats]) -> None:
        known = nir[np.isfinite(nir)]
        if len(known):
            self.nir_medians.append(float(np.median(known[:: 1 + len(known) // _SAMPLE])))
        self.negative += int(np.logical_or.reduce([part < 0 for part in parts]).sum())
        self.pixels += len(known)

    def nir_median(self) -> float:
        return float(np.median(self.nir_medians)) if self.nir_medians else 0.0

    def notes(self, file: str) -> tuple[Said, ...]:
        share = self.negative / max(1, self.pixels)
        if share > number("inputs.negative_reflectance_most_frac"):
            return (Said("inputs.image_negative", file=file, percent=100 * share),)
        return ()
