"""farm.parquet and farm.gpkg: the zones of all fields of a farm in one file; with them goes farm.csv.

GeoParquet 1.1.0 and GeoPackage 1.3. Columns are those of zones.gpkg, with farm, field and run before them.
geopandas and pyarrow are imported only when a farm is written.
"""

import io
from collections.abc import Collection, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from zoning.plan import FarmPlan
from zoning.prescription import field_table, geopackage
from zoning.prescription.about import about_farm
from zoning.prescription.geopackage import Layer, Row
from zoning.prescription.polygons import CRS
from zoning.prescription.styles import ours, with_styles

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

PARQUET, GEOPACKAGE = "farm.parquet", "farm.gpkg"
_WHOSE = {"farm": "str", "field": "str", "run_id": "str"}


def layers(farm: FarmPlan) -> tuple[Layer, ...]:
    """Give the layers of all fields together, each row with its farm, field and run.

    Parameters
    ----------
    farm : FarmPlan
        With at least one field.
    """
    whose = [{"farm": farm.farm, "field": plan.field, "run_id": plan.run_id} for plan in farm.plans]
    of_fields = [geopackage.layers(plan) for plan in farm.plans]
    return tuple(
        Layer(
            name=same[0].name,
            shape=same[0].shape,
            kinds=_WHOSE | same[0].kinds,
            rows=[
                (place, {**row, **names})
                for names, layer in zip(whose, same, strict=True)
                for place, row in layer.rows
            ],
        )
        for same in zip(*of_fields, strict=True)
    )


def columns(metric: bool) -> dict[str, str]:
    """Columns of farm.parquet and their types, in order; without the shape.

    Examples
    --------
    >>> list(columns(metric=False))[:5]
    ['farm', 'field', 'run_id', 'zone', 'name']
    """
    return _WHOSE | geopackage.columns("zones", metric=metric)


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
    made = {
        name: ArrowExtensionArray(pa.array(_values(zones.rows, name, kind), kinds[kind]))
        for name, kind in zones.kinds.items()
    }
    whole = GeoDataFrame(made, geometry=[place for place, _ in zones.rows], crs=CRS)
    whole.attrs = dict(about)
    return whole


def _values(rows: Sequence[Row], name: str, kind: str) -> list[Any]:
    found = [row.get(name) for _, row in rows]
    if kind != "date":
        return found
    return [None if value is None else date.fromisoformat(value) for value in found]


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
