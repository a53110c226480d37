"""Setbacks and dead ground that somebody drew: shapes, and the distance to keep from them.

Cuts nothing; that is `crop`.
"""

import math
from dataclasses import dataclass
from pathlib import Path

import shapely
from shapely.geometry.base import BaseGeometry

from zoning.errors import InputError, raise_all
from zoning.inputs import files, vector
from zoning.inputs.given import Area, NoSprayKind
from zoning.inputs.ground import kept_zones
from zoning.inputs.ground.boundary import mended, polygons_of
from zoning.settings.model import DeadGround, Setback

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


def setback(wanted: Setback, path: Path, epsg: int) -> Drawn:
    """Read one [[setback]].

    Parameters
    ----------
    wanted : Setback
    path : Path
        Of its file.
    epsg : int
        The plane of the field's grid.

    Returns
    -------
    Drawn
        The ground within the distance to keep; without one the polygons as they are.

    Raises
    ------
    InputError
        What `vector.read` refuses, and a point or a line without a width to keep.
    """
    layer = vector.read(path, wanted.file, layer="setbacks")
    if wanted.width_m is None:
        vector.only_polygons(layer, "Give width, the distance to keep from it, or draw polygons.")
        outline = _whole(layer, epsg)
    else:
        outline = _around(layer, epsg, wanted.width_m)
    return Drawn(kind="setback", source=wanted.file, outline=outline)


def dead_ground(wanted: DeadGround, path: Path, epsg: int) -> Drawn:
    """Read one [[dead_ground]]; as `setback`, but only polygons are of use.

    Raises
    ------
    InputError
        What `vector.read` refuses, and what is no polygon.
    """
    layer = vector.read(path, wanted.file, layer=DEAD_LAYER)
    vector.only_polygons(layer, "Save the dead ground as polygons.")
    return Drawn(kind="dead ground", source=wanted.file, outline=_whole(layer, epsg))


def kept(path: Path, epsg: int) -> Drawn | None:
    """Read the dead ground that was left out when the zones were kept: nobody asks the images again.

    Parameters
    ----------
    path : Path
        Of the kept zones.
    epsg : int
        The plane of the field's grid.
    """
    if not vector.has_layer(path, DEAD_LAYER):
        return None
    layer = vector.read(path, kept_zones.FILE, layer=DEAD_LAYER)
    return Drawn(kind="dead ground", source=kept_zones.FILE, outline=_whole(layer, epsg), is_kept=True)


def _around(layer: vector.Vector, epsg: int, width_m: float) -> Area:
    """Give the ground within a distance of shapes of any kind."""
    mend = "Save it as points, lines or polygons."
    faults = [
        InputError(f"shape {one.number} is a {one.shape.geom_type}", where=layer.file, mend=mend)
        for one in layer.features
        if one.shape.geom_type == "GeometryCollection"
    ]
    raise_all(files.at_most(faults, layer.file))
    shapes = layer.projected(epsg)
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
