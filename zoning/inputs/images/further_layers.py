"""One further layer on the field's grid, from a raster or polygons: elevation, soil, a past yield."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal

import numpy as np

from zoning import units
from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import files
from zoning.inputs.given import Layer
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.images import image_file, polygons, raster, terrain_layers
from zoning.inputs.images.imagery import Ground, Read, check_covers
from zoning.inputs.images.of_use import judged
from zoning.settings.layers import is_polygons
from zoning.settings.model import Layer as LayerSetting
from zoning.settings.model import Settings
from zoning.words import Said

# Written where nothing was measured, often without a word in the file; and what is too large to be measured.
_PLACEHOLDERS = (-9999.0, -99999.0, -32768.0)
_LARGEST = 1e30
FACTORS = {
    "": 1.0,
    "bu/ac": 1.0,
    "t/ha": units.bu_ac_from_t_ha(1),
    "m": 1.0,
    "ft": units.factor("ft", "m"),
}
Combine = Callable[[Sequence[Floats]], Sequence[Floats]]
_WET_END: dict[str, Literal["", "wet high", "wet low"]] = {"": "", "high": "wet high", "low": "wet low"}


def layers(settings: Settings, place: int, ground: Ground) -> tuple[Read, ...]:
    """Read one [[layer]] on the grid, and what its terrain says; "yield" comes in bu/ac whatever its unit.

    Raises
    ------
    InputError
        As `imagery.picture` and `polygons.onto_grid`; and when a yield has no unit or cannot be in its unit.
    """
    wanted = settings.layers[place - 1]
    path, warped = onto_grid(settings, place, ground.grid)
    if not is_polygons(wanted.file):
        check_covers(warped, wanted.file, ground)
    elif not (warped.covered & ground.inside).any():
        raise polygons.elsewhere(wanted.file)
    own = replace(_judged(wanted, ground, warped), paths=(path,))
    if not wanted.terrain or own.layer is None:  # of what is even, or not seen, nothing can be derived
        return (own,)
    heights = terrain_layers.Heights(
        path=path, wanted=wanted, request=_request(wanted, _measured(wanted)), factor=FACTORS[wanted.unit]
    )
    where = settings.where(f"layer[{place}].terrain")
    return own, *terrain_layers.layers(heights, ground, warped.pixel_m, where)


def onto_grid(settings: Settings, place: int, grid: Grid) -> tuple[Path, raster.Warped]:
    """Read one [[layer]] on any grid, unjudged: its numbers are the first of `others`, as the file has them.

    Raises
    ------
    InputError
        As `raster.onto_grid` and `polygons.onto_grid`; and when a yield has no unit.
    """
    wanted = settings.layers[place - 1]
    key = f"layer[{place}]"
    path = files.find(settings, f"{key}.file", wanted.file)
    if wanted.use == "yield" and not wanted.unit:
        mend = 'Add unit = "bu/ac" or unit = "t/ha".'
        raise InputError("a yield needs its unit", where=settings.where(key), mend=mend, code=SETTINGS)
    measured = _measured(wanted)
    if is_polygons(wanted.file):
        column = (wanted.column, settings.where(f"{key}.column"))
        named = (wanted.file, wanted.name)
        return path, polygons.onto_grid(path, column, named, grid, _scaled(wanted, measured))
    image_file.told(path, wanted.file, (wanted.band,))
    return path, raster.onto_grid(path, wanted.file, grid, _request(wanted, measured))


def _request(wanted: LayerSetting, measured: Combine) -> raster.Wanted:
    return raster.Wanted(bands=(wanted.band,), combine=measured, scale=wanted.scale, offset=wanted.offset)


def _scaled(wanted: LayerSetting, measured: Combine) -> Combine:
    """Scale numbers that do not come from the pixels of a raster, which is done there."""
    return lambda parts: measured([wanted.scale * part + wanted.offset for part in parts])


def _judged(wanted: LayerSetting, ground: Ground, warped: raster.Warped) -> Read:
    """Make a layer of what was read, and say what is doubtful about it."""
    measured, *held = warped.others
    found = Layer(
        name=wanted.name,
        values=measured * FACTORS[wanted.unit],
        file=wanted.file,
        day=None,
        clear_frac=0.0,
        shows=_WET_END[wanted.wet],
    )
    notes = [Said("inputs.image_tagged", file=wanted.file)] if warped.tagged else []
    notes += _said_placeholders(wanted, ground, held)
    may_be_even = wanted.use == "yield"
    if may_be_even:
        _plausible(wanted, found.values[ground.inside])
        found, of_yield = _possible(found, ground)
        notes += of_yield
    return judged(found, ground, tuple(notes), pixel_m=warped.pixel_m, may_be_even=may_be_even)


def _measured(wanted: LayerSetting) -> Combine:
    """Give what makes numbers of a band: as it is, without placeholders, and where each of them stands."""
    scale = wanted.scale or np.nan  # with a scale of 0 all values are alike, and none can be told
    placeholders = [scale * value + wanted.offset for value in _PLACEHOLDERS]
    most = _LARGEST * abs(scale)

    def combine(parts: Sequence[Floats]) -> Sequence[Floats]:
        band = parts[0]
        held = [band == value for value in placeholders] + [np.abs(band) >= most]
        if not any(one.any() for one in held):
            return (band, band, *(np.zeros_like(band) for _ in held))
        clean = np.where(np.logical_or.reduce(held), np.nan, band)
        known = np.where(np.isnan(band), np.nan, 0.0)  # a huge placeholder must not be averaged
        return (known, clean, *(one.astype(np.float64) for one in held))

    return combine


def _said_placeholders(wanted: LayerSetting, ground: Ground, held: Sequence[Floats]) -> list[Said]:
    """Say which values were taken for no data, and on how much of the field."""
    notes = []
    called = [f"{value:g}" for value in _PLACEHOLDERS] + [f"{_LARGEST:g} or more"]
    for value, frac in zip(called, held, strict=True):
        share = np.nan_to_num(frac[ground.inside]).mean()
        if share > 0:
            percent = 100 * float(share)
            notes.append(Said("inputs.layer_placeholder", file=wanted.file, value=value, percent=percent))
    return notes


def _possible(found: Layer, ground: Ground) -> tuple[Layer, list[Said]]:
    """Leave out cells with a yield that cannot be, as a monitor records them where it turns or starts."""
    most = number("inputs.yield_highest_bu_ac")
    wrong = ground.inside & ((found.values < 0) | (found.values > most))
    if not wrong.any():
        return found, []
    percent = 100 * float(wrong.sum() / ground.inside.sum())
    told = Said("inputs.yield_impossible", file=found.file, percent=percent)
    return replace(found, values=np.where(wrong, np.nan, found.values)), [told]


def _plausible(wanted: LayerSetting, values_bu_ac: Floats) -> None:
    if not np.isfinite(values_bu_ac).any():  # told as a layer that shows nothing
        return
    middle = float(np.nanmedian(values_bu_ac))
    if not 0 < middle <= number("inputs.yield_highest_bu_ac"):
        what = f"a yield of {middle:.4g} bu/ac in the middle of the field cannot be"
        raise InputError(what, where=wanted.file, mend=f'Check unit = "{wanted.unit}", scale and offset.')
