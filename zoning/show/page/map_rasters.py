"""Cells under the page's map: the layers that taught the zones, and the likely day of R3, as palette PNG."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning import colours
from zoning.plan import Picture, Plan
from zoning.show.figures import day, of_day, plain
from zoning.show.page.drawing import Drawing
from zoning.show.page.palette_png import MOST, data_uri
from zoning.show.page.themes import date_classes
from zoning.words import Said

_CLASSES = MOST - 1
_LAST = 255  # the highest shade
_MOST_CELLS = 300  # a side: finer than a screen shows
MOST_PICTURES = 4
_DAYS = "r3-days"


@dataclass(frozen=True, slots=True)
class RasterName:
    """What a picture is called on its box, and what its legend says where no theme's does."""

    key: str
    name: str
    legend: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RasterImage:
    """A picture under the map: its place in local metres, and its address."""

    key: str
    uri: str
    x: float
    y: float
    wide_m: float
    high_m: float


def shade_classes(shades: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """Put shades 1 to 255 into even classes 1 to 25; 0 stays nothing.

    Examples
    --------
    >>> shade_classes(np.array([[0, 1, 128, 255]], dtype=np.uint8)).tolist()
    [[0, 1, 13, 25]]
    """
    found = 1 + (shades.astype(np.int64) - 1) * _CLASSES // _LAST
    return np.where(shades == 0, 0, found).astype(np.uint8)


def palette() -> list[str]:
    """Give the colours of the classes, low to high: dark is more."""
    return [colours.ramp(colours.INDEX, at / (_CLASSES - 1)) for at in range(_CLASSES)]


def _layer(place: int) -> str:
    return f"layer-{place}"


def raster_names(plan: Plan) -> tuple[RasterName, ...]:
    """Name the pictures that the page can show under its map."""
    names = [_name(place, one) for place, one in enumerate(plan.pictures[:MOST_PICTURES])]
    if any(zone.window is not None for zone in plan.zones):
        names.append(RasterName(_DAYS, Said("field_map.r3_days").text))
    return tuple(names)


def _name(place: int, one: Picture) -> RasterName:
    name, ends = plain(of_day(one.name), 40), {"low": f"{one.low:.3g}", "high": f"{one.high:.3g}"}
    told = Said("field_map.picture", name=name, **ends)
    if one.day is not None and one.day.isoformat() not in one.name:
        told = Said("field_map.picture_of", name=name, day=day(one.day), **ends)
    return RasterName(_layer(place), name, told.text)


def _thinned(shades: npt.NDArray[np.uint8]) -> tuple[npt.NDArray[np.uint8], int]:
    """Take every n-th cell where a picture has more than a screen shows; and n."""
    step = -(-max(shades.shape) // _MOST_CELLS)
    return shades[step // 2 :: step, step // 2 :: step], step


def _of_layer(place: int, one: Picture, ground: Drawing) -> RasterImage:
    shades, step = _thinned(one.shades)
    side = one.cell_m * step
    return RasterImage(
        key=_layer(place),
        uri=data_uri(shade_classes(shades), palette()),
        x=one.west_m - ground.west_m,
        y=ground.north_m - one.north_m,
        wide_m=shades.shape[1] * side,
        high_m=shades.shape[0] * side,
    )


def _days(plan: Plan, ground: Drawing) -> RasterImage | None:
    """Draw the likely day of R3 of each zone into cells: each is of the zone in which its middle lies."""
    runs = date_classes(plan)
    if not runs:
        return None
    # imported late: slow, and whoever writes a plan's files has it already
    from rasterio import Affine
    from rasterio.features import rasterize

    side, (west, north), shape = _grid(plan, ground)
    classes = [
        (outline, 1 + next(at for at, (first, last, _) in enumerate(runs) if first <= when <= last))
        for outline, zone in zip(ground.zones, plan.zones, strict=True)
        if zone.window is not None and (when := zone.window.r3_likely)
    ]
    to_m = Affine(side, 0, west, 0, side, north)
    cells = rasterize(classes, out_shape=shape, transform=to_m, fill=0, dtype="uint8")
    return RasterImage(
        key=_DAYS,
        uri=data_uri(cells, [colour for _, _, colour in runs]),
        x=west,
        y=north,
        wide_m=shape[1] * side,
        high_m=shape[0] * side,
    )


def _grid(plan: Plan, ground: Drawing) -> tuple[float, tuple[float, float], tuple[int, int]]:
    """Give side, corner and shape of the grid of the pictures, or of one of the plan's cells."""
    if plan.pictures:
        one = plan.pictures[0]
        step = -(-max(one.shades.shape) // _MOST_CELLS)
        shape = (-(-one.shades.shape[0] // step), -(-one.shades.shape[1] // step))
        return one.cell_m * step, (one.west_m - ground.west_m, ground.north_m - one.north_m), shape
    side = max(plan.cell_m, ground.wide_m / _MOST_CELLS, ground.high_m / _MOST_CELLS)
    return side, (0.0, 0.0), (int(-(-ground.high_m // side)), int(-(-ground.wide_m // side)))


def raster_images(plan: Plan, ground: Drawing) -> tuple[RasterImage, ...]:
    """Give the pictures that the page can show under its map, the first layers and the days of R3."""
    return tuple(_all(plan, ground))


def _all(plan: Plan, ground: Drawing) -> Iterator[RasterImage]:
    for place, one in enumerate(plan.pictures[:MOST_PICTURES]):
        yield _of_layer(place, one, ground)
    days = _days(plan, ground)
    if days is not None:
        yield days
