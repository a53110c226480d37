"""A plan as a GeoDataFrame, for notebooks and for whoever goes on working with the zones in Python.

The columns are those of the layers zones and scouting in zones.gpkg. Writes no file. geopandas is imported
only when asked for, because the commands do without it.
"""

from typing import TYPE_CHECKING

from shapely import Point

from zoning.plan import Plan
from zoning.prescription.as_json.plan_json import as_object, flat

if TYPE_CHECKING:
    from geopandas import GeoDataFrame


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
