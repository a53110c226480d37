"""A plan as a GeoDataFrame, for notebooks and for whoever goes on working with the zones in Python.

`layer_frame` is a layer of zones.gpkg, column by column; `frame` has all that plan.json says of zones. Writes
no file. geopandas is imported only when asked for, because the commands do without it.
"""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from shapely import Point

from zoning.plan import Plan
from zoning.prescription.as_json.plan_json import as_object, flat
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


def frame(plan: Plan) -> "GeoDataFrame":
    """Give the zones of a plan, one row each, in EPSG:4326; no-spray ground is in no zone and has no row.

    Parameters
    ----------
    plan : Plan
        One field's plan.

    Returns
    -------
    GeoDataFrame
        Indexed by zone number; units stand in the column names, dates are ISO 8601 text.
    """
    from geopandas import GeoDataFrame

    rows = [flat(row) for row in as_object(plan)["zones"]]
    outlines = [zone.outline for zone in plan.zones]
    return GeoDataFrame(rows, geometry=outlines, crs="EPSG:4326").set_index("zone")


def scouting_frame(plan: Plan) -> "GeoDataFrame":
    """Give what was seen in the field, one point a row, in EPSG:4326; without a row where nothing was.

    Parameters
    ----------
    plan : Plan
        One field's plan.

    Returns
    -------
    GeoDataFrame
        With `date` (ISO 8601 text), `zone`, `kind`, `text`, `stage`, `severity_pct`, `note`, `photo`,
        `observer` and `source`, by day.
    """
    from geopandas import GeoDataFrame

    rows = [
        {
            "date": one.on.isoformat(),
            "zone": one.zone,
            "kind": one.kind,
            "text": one.text,
            "stage": one.stage,
            "severity_pct": one.severity_pct,
            "note": one.note,
            "photo": one.photo,
            "observer": one.observer,
            "source": one.source,
        }
        for one in plan.scouting
    ]
    places = [Point(one.lon, one.lat) for one in plan.scouting]
    columns = ["date", "zone", "kind", "text", "stage", "severity_pct", "note", "photo", "observer", "source"]
    return GeoDataFrame(rows, columns=columns, geometry=places, crs="EPSG:4326")
