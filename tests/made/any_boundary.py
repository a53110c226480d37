"""Boundaries drawn for properties: the ground that is meant, and its file in any format and CRS.

Shapes are drawn in metres around a place; what a file must give is worked out here by shapely and pyproj.
"""

import json
import math
from dataclasses import dataclass
from pathlib import Path

import fiona
import numpy as np
import shapely
from hypothesis import strategies as st
from pyproj import Transformer
from shapely import MultiPolygon, Point, Polygon, affinity, box, unary_union
from shapely.geometry import mapping

PLACES = st.sampled_from(
    [(-95.38, 44.31), (-60.2, -32.4), (0.0001, 0.0001), (-0.0001, 51.0), (11.99999, -0.00001), (-179.9, 10.0),
     (179.9, -35.0), (-96.0, 69.9), (15.0, -69.9), (-90.0, 42.0)]
)  # fmt: skip
FORMATS = ("geojson", "gpkg", "shp")
_DRIVERS = {"geojson": "GeoJSON", "gpkg": "GPKG", "shp": "ESRI Shapefile"}


@dataclass(frozen=True)
class Drawn:
    """A boundary in metres around a place; `kind` says what is odd about it."""

    lon: float
    lat: float
    shape: Polygon | MultiPolygon
    kind: str

    def __repr__(self) -> str:
        return f"<{self.kind} at {self.lon}, {self.lat}: {self.shape.wkt[:300]}>"

    @property
    def utm(self) -> str:
        return f"EPSG:{(32600 if self.lat >= 0 else 32700) + int((self.lon + 180) // 6) + 1}"

    def crs(self, name: str) -> str:
        """Give one of the CRSs in which it may be written."""
        return {"lonlat": "EPSG:4326", "utm": self.utm, "web": "EPSG:3857"}[name]

    def to(self, crs: str) -> Polygon | MultiPolygon:
        own = f"+proj=aeqd +lat_0={self.lat} +lon_0={self.lon} +datum=WGS84 +units=m"
        convert = Transformer.from_crs(own, crs, always_xy=True)
        return shapely.transform(
            self.shape, lambda xy: np.column_stack(convert.transform(xy[:, 0], xy[:, 1]))
        )


_SIZES = st.sampled_from([30.0, 400.0, 1500.0]) | st.floats(30, 1500)


@st.composite
def _blobs(draw: st.DrawFn) -> Polygon:
    corners = draw(st.integers(3, 40))
    radius = draw(_SIZES)
    shares = draw(st.lists(st.floats(0.3, 1.2), min_size=corners, max_size=corners))
    angles = np.arange(corners) * 2 * math.pi / corners
    return Polygon(np.column_stack([np.cos(angles), np.sin(angles)]) * radius * np.array(shares)[:, None])


@st.composite
def any_boundary(draw: st.DrawFn) -> Drawn:
    """Draw a boundary: plain, with holes and parts, or drawn badly but with ground in it."""
    lon, lat = draw(PLACES)
    kind = draw(st.sampled_from(list(_KINDS)))
    return Drawn(lon, lat, _KINDS[kind](draw(_blobs()), draw(_SIZES)), kind)


def _bow_tie(blob: Polygon, size: float) -> Polygon:
    return Polygon([(-size, -size), (size, size), (size, -size), (-size, size)])


def _hole(blob: Polygon, size: float) -> Polygon:
    inner = affinity.scale(blob, 0.3, 0.3, origin=(0, 0))
    return Polygon(blob.exterior, [inner.exterior])


def _parts(blob: Polygon, size: float) -> MultiPolygon:
    east = blob.bounds[2] - blob.bounds[0] + 20
    return MultiPolygon([blob, affinity.translate(blob, east, 0), box(east * 3, 0, east * 3 + size, size)])


def _spike(blob: Polygon, size: float) -> Polygon:
    corners = list(blob.exterior.coords)
    return Polygon([*corners[:-1], (corners[-2][0] + size, corners[-2][1]), corners[-2]])


_KINDS = {
    "plain": lambda blob, size: blob,
    "clockwise": lambda blob, size: blob.reverse(),
    "box": lambda blob, size: box(-size, -size, size, size),
    "sliver": lambda blob, size: box(-size, 0, size, 3),
    "hole": _hole,
    "parts": _parts,
    "touching in a corner": lambda blob, size: MultiPolygon([box(0, 0, size, size), box(-size, -size, 0, 0)]),
    "on each other": lambda blob, size: MultiPolygon(
        [box(0, 0, size, size), box(size / 2, 0, size * 2, size)]
    ),
    "the same twice": lambda blob, size: MultiPolygon([blob, blob]),
    "corners twice": lambda blob, size: Polygon(np.repeat(np.array(blob.exterior.coords), 3, axis=0)),
    "many corners": lambda blob, size: Point(0, 0).buffer(size, quad_segs=200),
    "bow-tie": _bow_tie,
    "spike": _spike,
}


def write(drawn: Drawn, path: Path, crs: str) -> Path:
    """Write it by its ending; GeoJSON with all the digits that a number has."""
    shape = drawn.to(crs)
    if path.suffix == ".geojson":
        parts = [{"type": "Feature", "properties": {}, "geometry": mapping(shape)}]
        path.write_text(json.dumps({"type": "FeatureCollection", "features": parts}), "utf-8")
        return path
    path.unlink(missing_ok=True)
    kind = "Polygon" if path.suffix == ".shp" else shape.geom_type
    schema = {"geometry": kind, "properties": {"name": "str:20"}}
    with fiona.open(path, "w", driver=_DRIVERS[path.suffix[1:]], crs=crs, schema=schema) as file:
        file.write({"geometry": mapping(shape), "properties": {"name": "é made"}})
    return path


def ground(drawn: Drawn, crs: str, epsg: int) -> Polygon | MultiPolygon:
    """Work out the ground that a file in a CRS gives, in a plane: edges are straight in the file's CRS."""
    convert = Transformer.from_crs(crs, epsg, always_xy=True)
    step = 10 if "4326" not in crs else 1e-4
    parts = [  # ring by ring: of one that crosses itself the library would lose ground on the way
        Polygon(
            shapely.segmentize(one.exterior, step), [shapely.segmentize(hole, step) for hole in one.interiors]
        )
        for one in shapely.get_parts(drawn.to(crs))
    ]
    flat = shapely.transform(parts, lambda xy: np.column_stack(convert.transform(xy[:, 0], xy[:, 1])))
    return unary_union(shapely.make_valid(flat, method="structure", keep_collapsed=False))
