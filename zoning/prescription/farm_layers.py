"""farm.parquet, farm.gpkg and farm.csv: all fields of a farm in one file, for maps and tables of it.

GeoParquet 1.1.0, GeoPackage 1.3 and a plain table. Columns are those of zones.gpkg, with farm, field and
run before them. geopandas and pyarrow are imported only when a farm is written.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import shapely

from zoning.plan import FarmPlan
from zoning.prescription import geopackage
from zoning.prescription.about import about_farm
from zoning.prescription.as_json.twins import number
from zoning.prescription.geopackage import Layer, Row
from zoning.prescription.polygons import CRS
from zoning.prescription.styles import ours, with_styles

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

PARQUET, GEOPACKAGE, TABLE = "farm.parquet", "farm.gpkg", "farm.csv"
_WHOSE = {"farm": "str", "field": "str", "run_id": "str"}
_PLACE = ("lon", "lat")


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
    """Columns of farm.parquet and farm.csv and their types, in order; without shape and place.

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


def _csv(zones: Layer) -> str:
    """Give the zones as a table, with a place inside each instead of its shape."""
    inside = shapely.point_on_surface([place for place, _ in zones.rows])
    table = io.StringIO()
    rows = csv.writer(table, lineterminator="\n")
    rows.writerow([*zones.kinds, *_PLACE])
    for (_, row), point in zip(zones.rows, inside, strict=True):
        place = [number(value, name) for value, name in zip((point.x, point.y), _PLACE, strict=True)]
        rows.writerow([*(_cell(row.get(name)) for name in zones.kinds), *place])
    return table.getvalue()


def _cell(value: Any) -> Any:
    return str(value).lower() if isinstance(value, bool) else value


def write(farm: FarmPlan, folder: Path) -> tuple[str, ...]:
    """Write farm.parquet, farm.gpkg and farm.csv.

    Parameters
    ----------
    farm : FarmPlan
    folder : Path
        Existing folder.

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
    (folder / TABLE).write_bytes(_csv(zones).encode())
    return (PARQUET, GEOPACKAGE, TABLE)
