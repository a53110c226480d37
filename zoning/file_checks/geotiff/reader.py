"""A raster, read once from its bytes: where it lies, what it says of itself, and its first band."""

import warnings
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import PurePosixPath
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from affine import Affine
from shapely import MultiPolygon, Polygon

from zoning.evidence import number
from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.formats import Field
from zoning.file_checks.geopackage.reader import Layer
from zoning.file_checks.of_polygons.polygons import FloatArray, Row

BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Raster:
    """One GeoTIFF.

    `crs` is None where it has none, `values` the first band as numbers, `tags` what it says of itself,
    `styles` the files beside it that colour it, with their content. `field` and `zones` are those of the
    plan beside it.
    """

    name: str
    crs: Any
    to_crs: Affine
    values: FloatArray
    nodata: float | None
    bands: int
    layout: str
    overviews: int
    has_colours: bool
    unit: str
    tags: Mapping[str, str]
    styles: Mapping[str, bytes]
    field: Field = None
    zones: Layer | None = None

    @property
    def stem(self) -> str:
        """Name without ending."""
        return PurePosixPath(self.name).stem

    @cached_property
    def has_value(self) -> BoolArray:
        """Which cells hold a number that is not the one for nothing."""
        finite = np.isfinite(self.values)
        return finite if self.nodata is None else finite & (self.values != self.nodata)

    @property
    def can_be_laid(self) -> bool:
        """Say whether it can be laid on a field: its place is known and its rows run along the map's."""
        straight = self.to_crs.b == 0 and self.to_crs.d == 0
        return self.crs is not None and straight and self.to_crs.a != 0 and self.to_crs.e != 0

    def own(self, shape: Polygon | MultiPolygon) -> Any:
        """Give a shape in degrees in the raster's own coordinates."""
        turned = _to_own(self.crs)
        return shapely.transform(shape, lambda at: np.column_stack(turned.transform(at[:, 0], at[:, 1])))

    def drawn(self, shapes: list[tuple[Any, float]], fill: float, *, touched: bool = False) -> FloatArray:
        """Draw shapes in the raster's own coordinates into its cells."""
        from rasterio.features import rasterize

        good = [(shape, value) for shape, value in shapes if shape.is_valid and not shape.is_empty]
        if not good:
            return np.full(self.values.shape, fill)
        size = self.values.shape
        return np.asarray(
            rasterize(
                good, out_shape=size, transform=self.to_crs, fill=fill, all_touched=touched, dtype="float64"
            )
        )

    @cached_property
    def is_beside(self) -> BoolArray | None:
        """Which cells lie wholly outside the field; None where that cannot be told."""
        if self.field is None or not self.can_be_laid:
            return None
        own = self.own(self.field)
        if not np.isfinite(own.bounds).all():
            return None
        return np.asarray(self.drawn([(own, 1.0)], 0.0, touched=True) == 0)

    @cached_property
    def expected(self) -> FloatArray | None:
        """What the plan beside says of each cell, NaN outside its zones; None where it says nothing."""
        if self.zones is None or not self.can_be_laid:
            return None
        said = _said(self)
        if said is None:
            return None
        rows = [Row(one.row, () if one.geometry is None else one.geometry.rings) for one in self.zones.shapes]
        shapes = [(self.own(row.shape), value) for row, value in zip(rows, said, strict=True) if row.shape]
        if not all(np.isfinite(shape.bounds).all() for shape, _ in shapes):
            return None
        return self.drawn(shapes, np.nan)


# Name of a raster -> the columns of the plan's zones that it shows, by the end of its unit.
_SHOWN = {
    "zone": {"": "zone"},
    "net_return": {"/ac": "net_usd_ac_mean", "/ha": "net_usd_ha_mean"},
    "r3_day": {"year": "stage_r3_likely"},
}


def _said(raster: Raster) -> list[float] | None:
    """Give the value of each zone that a raster of this name shows, NaN where it has none."""
    columns = _SHOWN.get(raster.stem, {})
    name = next((column for end, column in columns.items() if raster.unit.endswith(end)), None)
    if name is None or raster.zones is None or name not in raster.zones.values:
        return None
    values = raster.zones.values[name]
    if raster.stem == "r3_day":
        days = [_day(value) for value in values]
        first = min((day for day in days if day is not None), default=None)
        if first is None:
            return None
        day_0 = date(first.year, 1, 1).toordinal() - 1
        return [np.nan if day is None else float(day.toordinal() - day_0) for day in days]
    return [float(value) if isinstance(value, int | float) else np.nan for value in values]


def _day(value: object) -> date | None:
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        return None


def _to_own(crs: Any) -> Any:
    """Lead from degrees to the raster's own coordinates."""
    from pyproj import Transformer

    return Transformer.from_crs("EPSG:4326", crs.to_wkt(), always_xy=True)


def _known(crs: Any) -> Any:
    """Give a coordinate system, None where it has no way to degrees."""
    from pyproj.exceptions import ProjError
    from rasterio.errors import CRSError

    if not crs:
        return None
    try:
        _to_own(crs)
    except (ProjError, CRSError):
        return None
    return crs


def read(name: str, data: bytes, styles: Mapping[str, bytes]) -> Raster:
    """Read the file.

    Raises
    ------
    UnreadableError
        When GDAL cannot read it, it leads to another place, or it has more cells than any field.
    """
    import rasterio
    from rasterio.errors import RasterioError
    from rasterio.io import MemoryFile

    try:
        # Warnings of the library are for programmers: what they tell is told by the rules.
        with warnings.catch_warnings(), rasterio.Env(GDAL_PAM_ENABLED="NO"):
            warnings.simplefilter("ignore")
            with MemoryFile(data, ext=".tif") as file, file.open(driver="GTiff") as dataset:
                return replace(_read(dataset), name=name, styles=styles)
    except RasterioError as error:
        raise UnreadableError("tiff_broken") from error
    except (
        ValueError,
        TypeError,
        SystemError,
        MemoryError,
    ) as error:  # numbers in its header that fit nothing
        raise UnreadableError("tiff_broken") from error


def _read(dataset: Any) -> Raster:
    if dataset.tags(
        ns="OVERVIEWS"
    ):  # the library would open whatever it names, an address of the network too
        raise UnreadableError("tiff_elsewhere")
    most = number("file_checks.most_cells")
    count = max(dataset.width * dataset.height, _at_once(dataset))
    if count > most:
        raise UnreadableError("tiff_too_large", count=count, most=int(most))
    if dataset.dtypes[0].startswith("complex"):
        raise UnreadableError("tiff_broken")
    colours = _has_colours(dataset)
    return Raster(
        name="",
        crs=_known(dataset.crs),
        to_crs=dataset.transform,
        values=dataset.read(1).astype(np.float64),
        nodata=None if dataset.nodata is None else float(dataset.nodata),
        bands=dataset.count,
        layout=dataset.tags(ns="IMAGE_STRUCTURE").get("LAYOUT", ""),
        overviews=len(dataset.overviews(1)),
        has_colours=colours,
        unit=dataset.units[0] or "",
        tags=dataset.tags(),
        styles={},
    )


def _at_once(dataset: Any) -> int:
    """Count the cells of all bands that one block holds: it can only be unpacked whole."""
    height, width = dataset.block_shapes[0]
    return int(height * width * (dataset.count if dataset.interleaving.name == "pixel" else 1))


def _has_colours(dataset: Any) -> bool:
    try:
        return bool(dataset.colormap(1))
    except ValueError:
        return False
