"""One further layer on the field's grid: elevation, soil, a past yield."""

from dataclasses import replace

import numpy as np

from zoning import units
from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs import files, image_file, raster
from zoning.inputs.given import Layer
from zoning.inputs.imagery import Ground, Read, check_covers
from zoning.inputs.of_use import judged
from zoning.settings.model import Layer as LayerSetting
from zoning.settings.model import Settings
from zoning.words import Said


def layer(settings: Settings, place: int, ground: Ground) -> Read:
    """Read one [[layer]] on the grid; "yield" comes in bu/ac whatever its unit.

    Raises
    ------
    InputError
        As `imagery.picture`; and when a yield has no unit or cannot be in its unit.
    """
    wanted = settings.layers[place - 1]
    key = f"layer[{place}]"
    path = files.find(settings, f"{key}.file", wanted.file)
    if wanted.use == "yield" and not wanted.unit:
        mend = 'Add unit = "bu/ac" or unit = "t/ha".'
        raise InputError("a yield needs its unit", where=settings.where(key), mend=mend, code=SETTINGS)
    image_file.told(path, wanted.file, (wanted.band,))
    request = raster.Wanted(
        bands=(wanted.band,), combine=lambda parts: parts, scale=wanted.scale, offset=wanted.offset
    )
    warped = raster.onto_grid(path, wanted.file, ground.grid, request)
    values = units.bu_ac_from_t_ha(1) * warped.values if wanted.unit == "t/ha" else warped.values
    found = Layer(name=wanted.name, values=values, file=wanted.file, day=None, clear_frac=0.0)
    check_covers(warped, wanted.file, ground)
    tagged = (Said("inputs.image_tagged", file=wanted.file),) if warped.tagged else ()
    read = judged(found, ground, tagged)
    if wanted.use == "yield" and read.layer is not None:
        _plausible(wanted, read.layer)
    return replace(read, paths=(path,))


def _plausible(wanted: LayerSetting, found: Layer) -> None:
    middle = float(np.nanmedian(found.values))
    if not 0 < middle <= number("inputs.yield_highest_bu_ac"):
        what = f"a yield of {middle:.4g} bu/ac in the middle of the field cannot be"
        raise InputError(what, where=wanted.file, mend=f'Check unit = "{wanted.unit}", scale and offset.')
