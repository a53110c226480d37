"""One image of the canopy on the field's grid, with what is doubtful about it said.

Knows bands, clouds and reflectance; the pixels are moved in `raster`, several dates put together in
`dates_of_images`.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import numpy.typing as npt

from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import dates, files
from zoning.inputs.given import Layer
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.images import bare, dead, image_file, masks, raster, reflectance
from zoning.inputs.images.indices import BANDS, NEEDS_REFLECTANCE, index
from zoning.settings.model import Imagery, Settings
from zoning.words import Said

Bools = npt.NDArray[np.bool_]

_DATE_FIRST = re.compile(r"(\d{4}-\d{2}-\d{2}|\d{8})(?!\d)")
_LIKE_DATE = re.compile(r"(\d{4}-\d{2}-\d{2}|(?:19|20)\d{6})(?!\d)")  # other eight digits may number it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """The grid and which of its cells lie inside the boundary."""

    grid: Grid
    inside: Bools


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Read:
    """What one file, or several, gave: a layer, or none where it is of no use, and what is to be said.

    `looks` are the images in it that tell bare ground from canopy.
    """

    layer: Layer | None
    notes: tuple[Said, ...]
    paths: tuple[Path, ...] = ()
    looks: tuple[dead.Look, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """The index of one image on the whole grid, NaN where it is not clear.

    `water` and `bare` are cells of the field without a canopy, where it `tells_bare` ground at all; `places`
    are the [[imagery]] that it came from, counted from 1; `pixel_m` is the side of a pixel on the ground.
    """

    file: str
    day: date | None
    values: Floats
    water: Bools
    bare: Bools
    tells_bare: bool
    pixel_m: float
    places: tuple[int, ...]
    notes: tuple[Said, ...]
    paths: tuple[Path, ...]

    @property
    def seen(self) -> Bools:
        """Where it shows the ground, be it canopy or not."""
        return np.isfinite(self.values) | self.water | self.bare

    @property
    def look(self) -> dead.Look | None:
        """What it tells of bare ground; None where that, or its day, is not known."""
        if self.day is None or not self.tells_bare:
            return None
        return dead.Look(day=self.day, file=self.file, seen=self.seen, no_canopy=self.water | self.bare)

    @property
    def canopy(self) -> Floats:
        """The index where there is a canopy, else NaN."""
        return np.where(self.water | self.bare, np.nan, self.values)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Source:
    """How one image is read: its bands by name, and its mask."""

    path: Path
    wanted: Imagery
    bands: Mapping[str, int]
    mask: masks.Mask | None
    mask_path: Path | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Shot:
    """The index and the bands on the grid, NaN where not clear."""

    values: Floats
    bands: Mapping[str, Floats]
    warped: raster.Warped


def day_of(settings: Settings, place: int) -> date | None:
    """Say of which day an image is: by its setting, else by the name of its file, which must be there."""
    wanted = settings.imagery[place - 1]
    path = files.find(settings, f"imagery[{place}].file", wanted.file)
    return wanted.on or day_in_name(path.name)


def picture(settings: Settings, place: int, ground: Ground) -> Picture:
    """Read one [[imagery]] as its vegetation index on the grid.

    Parameters
    ----------
    settings : Settings
        Of the field.
    place : int
        Which image, counted from 1 as in "imagery[1]".
    ground : Ground
        Where it goes.

    Raises
    ------
    InputError
        When the image cannot be used at all: no file, no CRS, elsewhere, no data in the field, raw counts.
        An image that is all cloud has no finite value.
    """
    wanted = settings.imagery[place - 1]
    key = f"imagery[{place}]"
    path = files.find(settings, f"{key}.file", wanted.file)
    mask_path = files.find(settings, f"{key}.mask", wanted.mask_file) if wanted.mask_file else None
    bands = _bands(wanted, settings.where(f"{key}.bands"))
    tags = image_file.told(path, wanted.file, tuple(bands.values()))
    source = _Source(
        path=path,
        wanted=wanted,
        bands=bands,
        mask=masks.mask_of(wanted, path, mask_path),
        mask_path=mask_path,
    )
    day = wanted.on or day_in_name(path.name)
    shot, is_reflectance, notes = _converted(source, tags, ground)
    if day is None and (like := _LIKE_DATE.match(path.name)):
        notes.append(Said("inputs.image_no_day", file=wanted.file, text=like[1]))
    if shot.warped.tagged:
        notes.append(Said("inputs.image_tagged", file=wanted.file))
    if np.isfinite(shot.values[ground.inside]).any() and float(np.nanmedian(shot.values[ground.inside])) < 0:
        notes.append(Said("inputs.index_negative", file=wanted.file, name=wanted.index))
    water = dry = np.zeros(ground.grid.shape, dtype=bool)
    tells_bare = False
    if is_reflectance and "red" in bands:
        without = bare.no_canopy(shot.bands["red"], shot.bands["nir"], ground.inside)
        water, dry, tells_bare = without.water, without.bare, not without.too_much
        if without.too_much:
            notes.append(Said("inputs.image_bare", file=wanted.file, percent=100 * without.frac))
    return Picture(
        file=wanted.file,
        day=day,
        values=shot.values,
        water=water,
        bare=dry,
        tells_bare=tells_bare,
        pixel_m=shot.warped.pixel_m,
        places=(place,),
        notes=tuple(notes),
        paths=(path, mask_path) if mask_path else (path,),
    )


def _converted(source: _Source, tags: image_file.Told, ground: Ground) -> tuple[_Shot, bool, list[Said]]:
    """Read an image, judge its reflectance, and read it again where its offset had been applied before."""
    file, name = source.wanted.file, source.wanted.index
    used = reflectance.conversion(source.wanted, tags)
    notes: list[Said] = []
    while True:
        shot = _shot(source, used, ground.grid)
        inside = {band: values[ground.inside] for band, values in shot.bands.items()}
        check_covers(shot.warped, file, ground)
        if not np.isfinite(inside["nir"]).any():
            return shot, False, notes
        nir = float(np.nanmedian(inside["nir"]))
        if name in NEEDS_REFLECTANCE and nir > number("inputs.reflectance_highest_frac"):
            what = f"{name} needs reflectance from 0 to 1, but the near infrared is about {nir:.4g}"
            mend = "Set scale (and offset) in [[imagery]]; 0.0001 is usual."
            raise InputError(what, where=file, mend=mend)
        reflectance.check_offset(nir, used, file)
        found = reflectance.judged(inside, used, file)
        notes.extend(found.notes)
        if found.other is None:
            return shot, found.is_reflectance, notes
        used = found.other


def _shot(source: _Source, used: reflectance.Conversion, grid: Grid) -> _Shot:
    wanted, names = source.wanted, tuple(source.bands)

    def combine(parts: Sequence[Floats]) -> Sequence[Floats]:
        if used.product:  # count 0 of a band is no measurement
            parts = [np.where(part == used.offset, np.nan, part) for part in parts]
        # the first number says where there are data, which an index of bands below 0 does not
        known = np.where(np.isfinite(sum(parts)), parts[0], np.nan)
        return (known, *parts[1:], index(wanted.index, dict(zip(names, parts, strict=True))))

    request = raster.Wanted(
        bands=tuple(source.bands.values()),
        combine=combine,
        scale=used.scale,
        offset=used.offset,
        mask_path=source.mask_path,
        mask_file=wanted.mask_file or "",
        mask_band=wanted.mask_band,
        keep=source.mask.clear if source.mask else (),
    )
    warped = raster.onto_grid(source.path, wanted.file, grid, request)
    cloudy = masks.near_cloud(source.mask, grid) if source.mask else np.zeros(grid.shape, dtype=bool)
    *bands, values = (np.where(cloudy, np.nan, one) for one in (warped.values, *warped.others))
    return _Shot(values=values, bands=dict(zip(names, bands, strict=True)), warped=warped)


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
    """List the bands that the index needs, and red where it is named: it tells soil from canopy."""
    needed = BANDS[wanted.index]
    lacking = [band for band in needed if band not in wanted.bands]
    if lacking:
        what = (
            f"{wanted.index} needs the bands {' and '.join(needed)}, but {' and '.join(lacking)} is not named"
        )
        mend = "Name it with its number in bands, as { red = 1, rededge = 2, nir = 3 }."
        raise InputError(what, where=where, mend=mend, code=SETTINGS)
    return {band: wanted.bands[band] for band in dict.fromkeys((*needed, "red")) if band in wanted.bands}


def check_covers(warped: raster.Warped, file: str, ground: Ground) -> None:
    """Refuse an image without data inside the field."""
    if not (warped.covered & ground.inside).any():
        mend = "Check that it is of this field, and its nodata value."
        raise InputError("the image has no data inside the field", where=file, mend=mend)
