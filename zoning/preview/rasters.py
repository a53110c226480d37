"""Pictures of images and further layers: the file's own pixels, the field's outline and its surroundings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np
import shapely

from zoning.inputs import area, files, vector
from zoning.inputs.grid import Floats, Grid
from zoning.inputs.images import further_layers, imagery, raster
from zoning.inputs.images.indices import BANDS
from zoning.preview.drawn import amount
from zoning.preview.known import Known
from zoning.preview.picture import Bools, Bounds, Cells, Key, Picture, Shape
from zoning.settings.layers import is_polygons
from zoning.settings.model import Layer as LayerSetting

_ACROSS = 420  # squares of the longer side of a picture at most: it has no more dots
_NOISE = 64 * float(np.finfo(np.float32).eps)  # share of a number that adding up on squares may change
_ENDS = (1.0, 99.0)  # percentiles in the field that the colours end with
_DERIVED = {
    "slope": ("slope", "%"),
    "aspect east": ("slope to the east (below 0: to the west)", "%"),
    "aspect north": ("slope to the north (below 0: to the south)", "%"),
    "wetness": ("wetness: high is wet", ""),
}
_YIELD_UNIT = "bu/ac"


def pictures(known: Known) -> Iterator[Picture]:
    """Draw every image and every further layer, those that an elevation gives too."""
    for place in range(1, len(known.settings.imagery) + 1):
        yield from known.attempt(partial(_image, known, place))
    for place in range(1, len(known.settings.layers) + 1):
        yield from known.attempt(partial(_layer, known, place))
        if known.settings.layers[place - 1].terrain:
            yield from known.attempt(partial(_derived, known, place))


# -- images --------------------------------------------------------------------------------------------------


def _image(known: Known, place: int) -> Sequence[Picture]:
    wanted = known.settings.imagery[place - 1]
    path = files.find(known.settings, f"imagery[{place}].file", wanted.file)
    day = imagery.day_of(known.settings, place)
    name = f"{day}" if day else path.stem
    what = f"{wanted.index} of {day:%B} {day.day}, {day.year}" if day else f"{wanted.index}, day not known"
    extent = raster.extent(path, wanted.file)
    about, is_far = known.placed(known.blank("03_imagery", wanted.file, name, what), extent.outline)
    if is_far:
        return [about]
    grid = squares(known.bounds_m, known.edge.epsg, extent.pixel_m)
    picture = imagery.picture(known.settings, place, known.ground(grid))
    first = wanted.bands[BANDS[wanted.index][0]]
    plain = raster.Wanted(bands=(first,), combine=lambda parts: parts)
    covered = raster.onto_grid(path, wanted.file, grid, plain).covered
    hidden = covered & np.isnan(picture.values)
    pixels = Pixels(picture.values, grid, wanted.index, hidden)
    return [_of_cells(known, _with_edge(about, extent, known), pixels)]


# -- layers --------------------------------------------------------------------------------------------------


def _layer(known: Known, place: int) -> Sequence[Picture]:
    wanted = known.settings.layers[place - 1]
    path = files.find(known.settings, f"layer[{place}].file", wanted.file)
    what = f"{wanted.name}, {wanted.column}" if wanted.column else wanted.name
    blank = known.blank("04_layer", wanted.file, wanted.name, what)
    if is_polygons(wanted.file):
        return [_polygons(known, place, path, blank)]
    extent = raster.extent(path, wanted.file)
    about, is_far = known.placed(blank, extent.outline)
    if is_far:
        return [about]
    grid = squares(known.bounds_m, known.edge.epsg, extent.pixel_m)
    _, warped = further_layers.onto_grid(known.settings, place, grid)
    return [_of_cells(known, _with_edge(about, extent, known), _numbers(wanted, warped, grid))]


def _polygons(known: Known, place: int, path: Path, blank: Picture) -> Picture:
    wanted = known.settings.layers[place - 1]
    found = vector.read(path, wanted.file, layer=wanted.name)
    about, is_far = known.placed(blank, shapely.GeometryCollection(list(found.lonlat)))
    if is_far:
        return about
    grid = squares(known.bounds_m, known.edge.epsg, 0.0)
    _, warped = further_layers.onto_grid(known.settings, place, grid)
    shapes = [Shape(outline=one, width=0.6) for one in found.projected(known.edge.epsg)]
    return _of_cells(known, replace(about, shapes=tuple(shapes)), _numbers(wanted, warped, grid))


def _derived(known: Known, place: int) -> Sequence[Picture]:
    """Draw what an elevation gives, on the cells of a run."""
    wanted = known.settings.layers[place - 1]
    ground = known.ground(known.grid)
    _, *derived = further_layers.layers(known.settings, place, ground)
    found = []
    for read in derived:
        if read.layer is None:
            continue
        layer = read.layer
        what, unit = _DERIVED[layer.name]
        about = known.blank("04_layer", f"{layer.name}, from {wanted.file}", layer.name, what)
        pixels = Pixels(layer.values, ground.grid, unit, shown=ground.inside)
        found.append(_of_cells(known, about, pixels))
    return found


# -- both ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Pixels:
    """Numbers on squares, and what they are; `hidden` and `shown` as of `Cells`."""

    values: Floats
    grid: Grid
    unit: str
    hidden: Bools | None = None
    shown: Bools | None = None


def _numbers(wanted: LayerSetting, warped: raster.Warped, grid: Grid) -> Pixels:
    is_height = wanted.unit in ("m", "ft") or wanted.terrain
    unit = _YIELD_UNIT if wanted.use == "yield" else "m" if is_height else ""
    return Pixels(warped.others[0] * further_layers.FACTORS[wanted.unit], grid, unit)


def _of_cells(known: Known, about: Picture, pixels: Pixels) -> Picture:
    """Colour numbers by those in the field, and say how much of it they show."""
    inside = known.ground(pixels.grid).inside
    of_field = pixels.values[inside]
    known_there = of_field[np.isfinite(of_field)]
    here = known_there if known_there.size else pixels.values[np.isfinite(pixels.values)]
    low, high = (float(one) for one in np.percentile(here, _ENDS)) if here.size else (0.0, 1.0)
    line = "it shows nothing of the field"
    if known_there.size:
        least, most = float(known_there.min()), float(known_there.max())
        words = " to ".join(amount(one, most - least) for one in (least, most))
        if most - least <= _NOISE * abs(most):
            low = high = most
            words = f"{amount(most, 0.0)} everywhere"
        unit = f" {pixels.unit}" if pixels.unit and pixels.unit not in about.lines[0] else ""
        shown = 100 * known_there.size / max(1, of_field.size)
        line = f"{words}{unit} in the field; it shows {shown:.0f} % of the field"
    cells = Cells(
        values=pixels.values,
        grid=pixels.grid,
        low=low,
        high=high,
        unit=pixels.unit,
        hidden=pixels.hidden,
        shown=pixels.shown,
    )
    return replace(about, lines=(*about.lines, line)[:3], cells=cells)


def squares(bounds_m: Bounds, epsg: int, pixel_m: float) -> Grid:
    """Give squares of the size of a file's pixels over what is seen, or larger ones where they are many.

    Examples
    --------
    >>> [squares((0.0, 0.0, 840.0, 420.0), 32615, side_m).shape for side_m in (10.0, 0.1)]
    [(42, 84), (210, 420)]
    """
    west, south, east, north = bounds_m
    side_m = max(pixel_m, max(east - west, north - south) / _ACROSS)
    return Grid.covering(bounds_m, epsg, round(side_m, 3))


def _with_edge(about: Picture, extent: raster.Extent, known: Known) -> Picture:
    """Show where a file ends, as far as that is seen."""
    seen = area.to_lonlat(shapely.box(*known.bounds_m), known.edge.epsg)
    ends = shapely.intersection(extent.outline.exterior, seen)
    if ends.is_empty:
        return about
    line = Shape(outline=area.reproject(ends, area.LONLAT, known.edge.epsg), dashed=True, width=1.4)
    return replace(about, shapes=(line,), keys=(Key(text="edge of the file", form="--"),))
