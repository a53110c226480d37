"""farm.parquet and farm.gpkg: the zones of all fields of a farm in one file; with them goes farm.csv.

GeoParquet 1.1.0 and GeoPackage 1.3. Columns are those of zones.gpkg, with farm, field and run before them.
geopandas and pyarrow are imported only when a farm is written.
"""

import io
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from shapely import Point

from zoning.plan import Area, FarmPlan
from zoning.prescription import field_table, geopackage
from zoning.prescription.about import about_farm
from zoning.prescription.geopackage import Layer, Row
from zoning.prescription.polygons import CRS
from zoning.prescription.styles import ours, with_styles

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

PARQUET, GEOPACKAGE = "farm.parquet", "farm.gpkg"
_WHOSE = {"farm": "str", "field": "str", "run_id": "str"}


class Rows(Sequence[Row]):
    """The rows of a layer of many fields, kept by columns: a mapping for each would take the most memory."""

    def __init__(self, kinds: Mapping[str, str]) -> None:
        self.places: list[Area | Point] = []
        self.columns: dict[str, list[Any]] = {name: [] for name in kinds}

    def add(self, rows: Iterable[Row], same: Mapping[str, Any]) -> None:
        """Take rows; `same` stands in each of them."""
        for place, row in rows:
            self.places.append(place)
            for name, column in self.columns.items():
                column.append(same[name] if name in same else row.get(name))

    def __len__(self) -> int:
        return len(self.places)

    def __getitem__(self, at: Any) -> Any:
        return self.places[at], {name: column[at] for name, column in self.columns.items()}

    def __iter__(self) -> Iterator[Row]:
        names = tuple(self.columns)
        for place, values in zip(self.places, zip(*self.columns.values(), strict=True), strict=True):
            yield place, dict(zip(names, values, strict=True))


def layers(farm: FarmPlan) -> tuple[Layer, ...]:
    """Give the layers of all fields together, each row with its farm, field and run.

    Parameters
    ----------
    farm : FarmPlan
        With at least one field.
    """
    found: list[Layer] = []
    rows: list[Rows] = []
    for plan in farm.plans:
        whose = {"farm": farm.farm, "field": plan.field, "run_id": plan.run_id}
        own = geopackage.layers(plan)
        if not found:
            rows = [Rows({**_WHOSE, **layer.kinds}) for layer in own]
            found = [
                replace(layer, kinds={**_WHOSE, **layer.kinds}, rows=taken)
                for layer, taken in zip(own, rows, strict=True)
            ]
        for taken, layer in zip(rows, own, strict=True):
            taken.add(layer.rows, whose)
    return tuple(found)


def columns(metric: bool) -> dict[str, str]:
    """Columns of farm.parquet and their types, in order; without the shape.

    Examples
    --------
    >>> list(columns(metric=False))[:5]
    ['farm', 'field', 'run_id', 'zone', 'name']
    """
    return {**_WHOSE, **geopackage.columns("zones", metric=metric)}


def frame(zones: Layer, about: Mapping[str, str]) -> "GeoDataFrame":
    """Give the zones of all fields as one table, made column by column; types are those of Arrow."""
    import pyarrow as pa
    from geopandas import GeoDataFrame
    from pandas.arrays import ArrowExtensionArray

    kinds = {
        "str": pa.string(),
        "int32": pa.int32(),
        "float": pa.float64(),
        "date": pa.date32(),
        "bool": pa.bool_(),
    }
    rows = cast(Rows, zones.rows)
    made = {
        name: ArrowExtensionArray(pa.array(_values(rows.columns[name], kind), kinds[kind]))
        for name, kind in zones.kinds.items()
    }
    whole = GeoDataFrame(made, geometry=rows.places, crs=CRS)
    whole.attrs = dict(about)
    return whole


def _values(column: list[Any], kind: str) -> list[Any]:
    if kind != "date":
        return column
    return [None if value is None else date.fromisoformat(value) for value in column]


def _parquet(zones: Layer, about: Mapping[str, str]) -> bytes:
    made = io.BytesIO()
    frame(zones, about).to_parquet(made, index=False, schema_version="1.1.0", write_covering_bbox=True)
    return made.getvalue()


def write(farm: FarmPlan, folder: Path, pages: Collection[str] | None = None) -> tuple[str, ...]:
    """Write farm.parquet, farm.gpkg and farm.csv.

    Parameters
    ----------
    farm : FarmPlan
    folder : Path
        Existing folder.
    pages : collection of str, optional
        Folders of the fields that have a page; all of them if left out.

    Returns
    -------
    tuple of str
        Names of the files written; none of a farm of which no field was planned.

    Raises
    ------
    OSError
        When the disk refuses.
    """
    if not farm.plans:
        return ()
    about = about_farm(farm)
    tables = layers(farm)
    zones = next(layer for layer in tables if layer.name == "zones")
    (folder / PARQUET).write_bytes(_parquet(zones, about))
    made = geopackage.as_bytes(tables, about, farm.today, tags=True)
    (folder / GEOPACKAGE).write_bytes(with_styles(made, ours.of_layers(farm.plans), farm.today))
    return (PARQUET, GEOPACKAGE, *field_table.write(farm, folder, pages))
