"""A layer of zones.gpkg as a GeoDataFrame, for notebooks and for whoever goes on working with it in Python.

Writes no file. geopandas is imported only when asked for, because the commands do without it.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from zoning.plan import Plan
from zoning.prescription.geopackage import Row, layers

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

KINDS = {"int32": "Int32", "float": "float64", "str": "object", "bool": "boolean", "date": "datetime64[s]"}


def layer_frame(plan: Plan, layer: str) -> "GeoDataFrame":
    """Give a layer of zones.gpkg as a table: its columns, in their order, and the shape of each row.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    layer : str
        Such as `zones`, `passes`, `check_strips`.

    Returns
    -------
    GeoDataFrame
        In EPSG:4326; units stand in the column names. What is not known is missing: NaT, NaN, NA or None. A
        layer that the file would not have, as nothing is in it, is a table without rows.
    """
    found = next(one for one in layers(plan) if one.name == layer)
    return table(found.rows, found.kinds)


def table(rows: Sequence[Row], kinds: Mapping[str, str]) -> "GeoDataFrame":
    """Give rows as a table whose columns have always the same types, whatever is in them."""
    from geopandas import GeoDataFrame
    from pandas import Series

    columns = {
        name: Series([row.get(name) for _, row in rows], dtype=KINDS[kind]) for name, kind in kinds.items()
    }
    return GeoDataFrame(columns, geometry=[place for place, _ in rows], crs="EPSG:4326")
