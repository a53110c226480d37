"""passes/P1/P1_0714.gpkg: the map of a pass as OGC GeoPackage 1.3, with one layer and one rate column.

One rate column only, in the farm's unit, so that no program takes the wrong one. What the file says of itself
stands in the layer's description and, key by key, in the metadata tables. The polygons are those of the
operator's set.
"""

from pathlib import Path

from zoning.plan import Plan, PlanPass
from zoning.prescription import geopackage
from zoning.prescription.about import about_pass
from zoning.prescription.of_a_pass import geojson
from zoning.prescription.of_a_pass.each_pass import stem, write_each
from zoning.prescription.styles import ours, with_styles

LAYER = "prescription"


def columns(metric: bool) -> dict[str, str]:
    """Columns of the layer and their types, in order.

    Examples
    --------
    >>> columns(metric=True)
    {'rate_l_ha': 'float', 'action': 'str', 'area_ha': 'float'}
    """
    rate, area = ("rate_l_ha", "area_ha") if metric else ("rate_gal_ac", "area_ac")
    return {rate: "float", "action": "str", area: "float"}


def as_bytes(plan: Plan, one: PlanPass) -> bytes:
    """Give the file of a pass; the same plan, the same bytes."""
    metric = plan.units == "metric"
    rows = [(part.outline, geojson.properties(part, metric)) for part in one.map.parts]
    layer = geopackage.Layer(name=LAYER, shape="Polygon", kinds=columns(metric), rows=rows)
    made = geopackage.as_bytes([layer], about_pass(plan, one), plan.today, tags=True)
    look = ours.rates(plan, one, next(iter(layer.kinds)))
    return with_styles(made, {LAYER: look}, plan.today)


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write one GeoPackage for each pass; names of the files, as `write_each` gives them."""
    return write_each(plan, folder, lambda one: {f"{stem(one)}.gpkg": as_bytes(plan, one)})
