"""A plan as a GeoDataFrame, for notebooks and for whoever goes on working with the zones in Python.

The columns are those of the zones in zones.gpkg. Writes no file. geopandas is imported only when asked for,
because the commands do without it.
"""

from typing import TYPE_CHECKING

from zoning.plan import Plan
from zoning.prescription.plan_json import as_object, flat

if TYPE_CHECKING:
    from geopandas import GeoDataFrame


def frame(plan: Plan) -> "GeoDataFrame":
    """Give the zones of a plan, one row each, in EPSG:4326.

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
