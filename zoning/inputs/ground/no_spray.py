"""Setbacks and dead ground that somebody drew: shapes, and the distance to keep from them.

Cuts nothing; that is `crop`.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import shapely
from shapely.geometry.base import BaseGeometry

from zoning.errors import InputError, raise_all
from zoning.inputs import files, vector
from zoning.inputs.given import Area, NoSprayKind
from zoning.inputs.ground import kept_zones
from zoning.inputs.ground.boundary import mended, polygons_of
from zoning.settings.model import Settings

FindPath = Callable[[str, str], Path]
DEAD_LAYER = "dead_ground"  # of zones.gpkg, and so of kept zones
_ARC_M = 0.01  # a round edge is made of chords, which lie no further inside the distance to keep than this


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """Ground that is not to be sprayed, in the CRS of the grid; it may reach beyond the field.

    `is_kept` is ground that was dead when a part of the field was sprayed: it is left out whatever its size.
    """

    kind: NoSprayKind
    source: str
    outline: Area
    is_kept: bool = False


def of_settings(settings: Settings, epsg: int, path_of: FindPath) -> tuple[Drawn, ...]:
    """Read every [[setback]] and every [[dead_ground]].

    Parameters
    ----------
    settings : Settings
        Of the field.
    epsg : int
        The plane of its grid.
    path_of : callable
        Finds the file of a key, and remembers that it was used.

    Raises
    ------
    InputError
        Every fault of every file: what `vector.read` refuses; a point or a line without a width to keep; dead
        ground that is no polygon.
    """
    faults: list[InputError] = []
    found: list[Drawn] = []
    for place, setback in enumerate(settings.setbacks, 1):
        key = f"setback[{place}]"
        try:
            layer = vector.read(path_of(f"{key}.file", setback.file), setback.file, layer="setbacks")
            outline = _setback(layer, epsg, setback.width_m)
            found.append(Drawn(kind="setback", source=setback.file, outline=outline))
        except InputError as fault:
            faults.append(fault)
    for place, dead in enumerate(settings.dead_ground, 1):
        try:
            path = path_of(f"dead_ground[{place}].file", dead.file)
            layer = vector.read(path, dead.file, layer=DEAD_LAYER)
            vector.only_polygons(layer, "Save the dead ground as polygons.")
            found.append(Drawn(kind="dead ground", source=dead.file, outline=_whole(layer, epsg)))
        except InputError as fault:
            faults.append(fault)
    raise_all(faults)
    return tuple(found)


def kept(path: Path, epsg: int) -> tuple[Drawn, ...]:
    """Read the dead ground that was left out when the zones were kept: nobody asks the images again.

    Parameters
    ----------
    path : Path
        Of the kept zones.
    epsg : int
    """
    if not vector.has_layer(path, DEAD_LAYER):
        return ()
    layer = vector.read(path, kept_zones.FILE, layer=DEAD_LAYER)
    outline = _whole(layer, epsg)
    return (Drawn(kind="dead ground", source=kept_zones.FILE, outline=outline, is_kept=True),)


def _setback(layer: vector.Vector, epsg: int, width_m: float | None) -> Area:
    """Give the ground within the distance to keep; polygons without one are taken as they are."""
    shapes = layer.projected(epsg)
    if width_m is None:
        vector.only_polygons(layer, "Give width, the distance to keep from it, or draw polygons.")
        return _whole(layer, epsg)
    faults = [
        InputError(f"shape {one.number} is a {one.shape.geom_type}", where=layer.file, mend=mend)
        for one in layer.features
        if one.shape.geom_type == "GeometryCollection"
        for mend in ("Save it as points, lines or polygons.",)
    ]
    raise_all(files.at_most(faults, layer.file))
    ground = [_plain(one, layer.file, row.number) for one, row in zip(shapes, layer.features, strict=True)]
    step_rad = math.acos(max(1 - _ARC_M / width_m, 0)) * 2
    chords = math.ceil(math.pi / 2 / step_rad)  # of a quarter of a circle
    return polygons_of(shapely.union_all(shapely.buffer(ground, width_m, quad_segs=chords)))


def _plain(drawn: BaseGeometry, file: str, count: int) -> BaseGeometry:
    return mended(drawn, file, count) if drawn.geom_type.endswith("Polygon") else drawn


def _whole(layer: vector.Vector, epsg: int) -> Area:
    shapes = layer.projected(epsg)
    parts = [mended(one, layer.file, row.number) for one, row in zip(shapes, layer.features, strict=True)]
    return polygons_of(shapely.union_all(parts))
