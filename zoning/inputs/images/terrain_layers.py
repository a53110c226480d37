"""The layers that an elevation gives on the field's grid: slope, the way it falls, wetness.

Reads the heights around the field too; what is reckoned from them is in `terrain`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from rasterio.windows import Window

from zoning.evidence import number
from zoning.inputs.given import Layer
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.images import raster, terrain
from zoning.inputs.images.averaged import Averaged, Drawn, Place
from zoning.inputs.images.imagery import Ground, Read
from zoning.inputs.images.of_use import judged
from zoning.settings.model import Layer as LayerSetting
from zoning.words import Said

_PERCENT = 100.0
_WETNESS = "wetness"
_WHOLE_MM = 3  # digits of the side of a square in metres


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heights:
    """Where heights in metres come from; `request` gives them as its second number."""

    path: Path
    wanted: LayerSetting
    request: raster.Wanted
    factor: float  # to metres


def layers(heights: Heights, ground: Ground, pixel_m: float, where: str) -> tuple[Read, ...]:
    """Derive what is wanted of an elevation, in the order slope, aspect, wetness.

    Parameters
    ----------
    heights : Heights
    ground : Ground
        The cells that it goes to.
    pixel_m : float
        Side of a pixel of the elevation.
    where : str
        The setting that wants it, for a fault.

    Raises
    ------
    InputError
        As `raster.onto_grid` and `terrain.wetness`.

    Notes
    -----
    Slope is in percent. Aspect is two layers, the slope to the east and to the north, so that flat ground
    faces nowhere and a slope that turns through north makes no step.
    """
    wanted = heights.wanted
    fine = around(ground.grid, pixel_m)
    warped = raster.onto_grid(heights.path, wanted.file, fine, heights.request)
    heights_m = warped.others[0] * heights.factor
    east, north = terrain.rise(heights_m, fine.cell_m)
    derived: dict[str, Floats] = {}
    if "slope" in wanted.terrain:
        derived["slope"] = _PERCENT * np.hypot(east, north)
    if "aspect" in wanted.terrain:
        derived |= {"aspect east": -_PERCENT * east, "aspect north": -_PERCENT * north}
    if "wetness" in wanted.terrain:
        derived[_WETNESS] = terrain.wetness(heights_m, fine.cell_m, where)
    *onto, steep = _onto(fine, ground.grid, [*derived.values(), np.hypot(east, north)])
    notes = _doubts(wanted, float(np.isfinite(heights_m).mean()), steep[ground.inside])
    found = []
    for name, values in zip(derived, onto, strict=True):
        layer = Layer(name=name, values=values, file=wanted.file, day=None, clear_frac=0.0)
        read = judged(layer, ground, notes, pixel_m=warped.pixel_m)
        if read.layer and name == _WETNESS:
            read = replace(read, layer=replace(read.layer, shows="wet high"))
        found.append(read)
        notes = ()
    return tuple(found)


def _doubts(wanted: LayerSetting, shown_frac: float, slopes: Floats) -> tuple[Said, ...]:
    """Say what is doubtful about heights: too steep to be metres, or too few around the field."""
    notes = []
    known = slopes[np.isfinite(slopes)]
    if known.size and float(np.median(known)) > number("inputs.terrain_steep_frac"):
        percent = _PERCENT * float(np.median(known))
        notes.append(Said("inputs.terrain_steep", file=wanted.file, percent=percent))
    if "wetness" in wanted.terrain and shown_frac < number("inputs.layer_well_seen_frac"):
        margin_m = number("inputs.terrain_margin_m")
        percent = _PERCENT * shown_frac
        notes.append(Said("inputs.terrain_cut", file=wanted.file, percent=percent, m=margin_m))
    return tuple(notes)


def around(grid: Grid, pixel_m: float) -> Grid:
    """Give the squares on which terrain is reckoned: the field's grid and a margin around it.

    Parameters
    ----------
    grid : Grid
    pixel_m : float
        Side of a pixel of the elevation: the squares are no smaller, so that nothing is made up.

    Examples
    --------
    >>> field = Grid(32615, 309000.0, 4908300.0, 10.0, (30, 40))
    >>> around(field, 1.0).cell_m, around(field, 30.0).cell_m, around(field, 1.0).shape
    (5.0, 30.0, (260, 280))
    """
    margin_m = number("inputs.terrain_margin_m")
    rows, columns = grid.shape
    height_m, width_m = rows * grid.cell_m, columns * grid.cell_m
    room_m = np.sqrt((height_m + 2 * margin_m) * (width_m + 2 * margin_m) / number("inputs.grid_most_cells"))
    side_m = round(max(pixel_m, number("inputs.terrain_finest_m"), float(room_m)), _WHOLE_MM)
    west, south = grid.left_m - margin_m, grid.top_m - height_m - margin_m
    bounds = (west, south, grid.left_m + width_m + margin_m, grid.top_m + margin_m)
    return Grid.covering(bounds, grid.epsg, side_m)


def _onto(fine: Grid, grid: Grid, layers: Sequence[Floats]) -> list[Floats]:
    """Bring numbers of squares onto cells, as the pixels of an image."""
    window = Window(0, 0, fine.shape[1], fine.shape[0])
    place = Place(fine.transform, fine.crs, window, grid)
    onto: Averaged | Drawn
    if place.longest < 1:
        onto = Averaged(place, window, grid, len(layers))
    else:
        onto = Drawn(fine, window, grid, len(layers))
    known = np.isfinite(layers[0])
    onto.add(window, known, [(np.nan_to_num(one), np.isfinite(one)) for one in layers])
    return onto.found()[1]
