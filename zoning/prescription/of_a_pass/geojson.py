"""passes/P1/P1_0714.geojson: the map of a pass by RFC 7946, for programs that read neither of the others.

Longitude and latitude on WGS 84, exterior rings counter-clockwise, holes clockwise, no `crs`. What the file
says of itself stands beside its features as foreign members (RFC, 6.1). The polygons are those of
the operator's set.
"""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from shapely import Polygon
from shapely.geometry import mapping

from zoning import units
from zoning.inputs.area import geodesic_ac
from zoning.passes.pass_map import MapPart
from zoning.plan import SCHEMA_VERSION, Plan, PlanPass
from zoning.prescription.about import about_pass
from zoning.prescription.as_json.twins import Json, number
from zoning.prescription.of_a_pass.each_pass import stem, write_each
from zoning.prescription.polygons import edges_match
from zoning.prescription.rates import rate_of

_DECIMALS = 9  # 0.1 mm; the RFC advises against more, and 7 could close a narrow place


def properties(part: MapPart, metric: bool) -> Json:
    """Give rate, action and area of one polygon; metric figures beside the US ones on a metric farm.

    Examples
    --------
    >>> east = MapPart(outline=shapely.box(-95.39, 44.30, -95.38, 44.31), rate_gal_ac=15.0)
    >>> properties(east, metric=False)
    {'rate_gal_ac': 15.0, 'action': 'spray', 'area_ac': 219.098088}
    """
    area_ac = geodesic_ac(part.outline)
    rates = {"rate_gal_ac": rate_of(part.rate_gal_ac, metric=False)}
    areas = {"area_ac": number(area_ac, "area_ac")}
    if metric:
        rates["rate_l_ha"] = rate_of(part.rate_gal_ac, metric=True)
        areas["area_ha"] = number(units.ha_from_ac(area_ac), "area_ha")
    return {**rates, "action": "spray" if part.rate_gal_ac > 0 else "off", **areas}


def outlines(polygons: Sequence[Polygon]) -> npt.NDArray[np.object_]:
    """Turn rings as the RFC wants them and cut coordinates to nine decimals.

    A corner that two polygons share stays shared, for both copies are cut alike. Where cutting would break a
    polygon or open an edge, every digit stays.
    """
    turned = np.asarray(shapely.orient_polygons(list(polygons)), dtype=object)
    cut = shapely.transform(turned, lambda lonlat: np.round(lonlat, _DECIMALS) + 0.0)
    good = shapely.is_valid(cut).all() and (shapely.area(cut) > 0).all() and edges_match(list(cut))
    return np.asarray(cut if good else turned, dtype=object)


def as_text(plan: Plan, one: PlanPass) -> str:
    """Give the text of a pass's file, one line for each feature; the same plan, the same text."""
    metric = plan.units == "metric"
    shapes = outlines([part.outline for part in one.map.parts])
    features = [
        {"type": "Feature", "properties": properties(part, metric), "geometry": mapping(outline)}
        for part, outline in zip(one.map.parts, shapes, strict=True)
    ]
    head: dict[str, Any] = {"type": "FeatureCollection", "schema_version": SCHEMA_VERSION}
    # A member `crs` had a meaning in an older standard, and would confuse readers: the RFC fixes the CRS.
    head |= {key: value for key, value in about_pass(plan, one).items() if key != "crs"}
    head |= {"pass": one.number, "bbox": [float(edge) for edge in shapely.total_bounds(shapes)]}
    members = [f"{_json(key)}: {_json(value)}" for key, value in head.items()]
    rows = ",\n".join(_json(feature) for feature in features)
    return "{\n" + ",\n".join(members) + f',\n"features": [\n{rows}\n]\n}}\n'


def _json(thing: object) -> str:
    return json.dumps(thing, ensure_ascii=False, allow_nan=False)


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write one GeoJSON file for each pass; names of the files, as `write_each` gives them."""
    return write_each(plan, folder, lambda one: {f"{stem(one)}.geojson": as_text(plan, one).encode()})
