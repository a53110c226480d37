"""Tiny field folders for the tests of this room: made by value, so that every expected number is known."""

import json
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import rasterio
from affine import Affine
from shapely import box, to_geojson
from shapely.geometry.base import BaseGeometry

from zoning.inputs.area import reproject
from zoning.inputs.grid import Grid
from zoning.settings.model import Settings
from zoning.settings.read import load

EPSG = 32615
# A field of 400 m x 300 m in UTM zone 15 north; invented, in southwestern Minnesota.
WEST, SOUTH, EAST, NORTH = 309_000.0, 4_908_000.0, 309_400.0, 4_908_300.0
FIELD = box(WEST, SOUTH, EAST, NORTH)
GRID = Grid.covering((WEST, SOUTH, EAST, NORTH), EPSG, 10.0)
TODAY = date(2026, 7, 8)
FARM = "season = 2026\nname = 'Test'\n"


class Folder:
    """A field folder that a test fills."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.toml = "name = 'Field'\nmaturity_group = 1.9\n"
        (path / "field").mkdir(parents=True)
        (path / "farm.toml").write_text(FARM)

    @property
    def field(self) -> Path:
        return self.path / "field"

    def add(self, text: str) -> None:
        self.toml += text + "\n"

    def shapes(
        self, name: str, shapes: list[BaseGeometry], columns: list[dict[str, object]] | None = None
    ) -> None:
        """Write shapes given in UTM as GeoJSON."""
        columns = columns or [{} for _ in shapes]
        features = [
            {
                "type": "Feature",
                "properties": row,
                "geometry": json.loads(to_geojson(reproject(shape, EPSG, 4326))),
            }
            for shape, row in zip(shapes, columns, strict=True)
        ]
        (self.field / name).write_text(json.dumps({"type": "FeatureCollection", "features": features}))

    def settings(self) -> Settings:
        (self.field / "field.toml").write_text(self.toml)
        return load(self.field)

    def image(self, name: str, bands: np.ndarray, **profile: object) -> None:
        write_image(self.field / name, bands, **profile)


def write_image(
    path: Path,
    bands: np.ndarray,
    *,
    crs: object = f"EPSG:{EPSG}",
    transform: Affine | None = None,
    mask: np.ndarray | None = None,
    tags: tuple[float, float] | None = None,
    **profile: object,
) -> None:
    """Write a GeoTIFF; without a transform it covers the field with 50 m to spare, 10-m pixels."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if transform is None:
        transform = Affine(10, 0, WEST - 50, 0, -10, NORTH + 50)
    count, height, width = bands.shape
    with rasterio.open(
        path,
        "w",
        driver="GTiff",
        height=height,
        width=width,
        count=count,
        dtype=bands.dtype,
        crs=crs,
        transform=transform,
        **profile,
    ) as target:
        target.write(bands)
        if mask is not None:
            target.write_mask(mask)
        if tags is not None:
            target.scales = (tags[0],) * count
            target.offsets = (tags[1],) * count


def weather_rows(first: date, last: date, *, tmin: float = 12.0, tmax: float = 26.0) -> list[str]:
    """Rows date,tmin_c,tmax_c,rain_mm of even weather."""
    days = (last - first).days + 1
    return [f"{first + timedelta(days=day)},{tmin},{tmax},1.5" for day in range(days)]
