"""Zones and no-spray ground as single polygons that cover the field with no gap and no overlap.

Works in longitude and latitude (EPSG:4326) and never moves a vertex: what was a valid coverage stays one.
Opens no file.
"""

import hashlib
from collections.abc import Sequence

import shapely
from shapely import MultiPolygon

from zoning.inputs.area import geodesic_ac
from zoning.passes.coverage import edges_match as edges_match
from zoning.passes.ground import single_parts
from zoning.plan import Area, PassMap, Plan

CRS = "EPSG:4326"
_ID_LETTERS = 16
_ID_DECIMALS = 7  # of a degree: about a centimetre
_AREA_TOLERANCE = 1e-4  # of the field's area
_PASSED: list[Plan] = []  # the plan that `check_cover` let through last


def many(area: Area) -> MultiPolygon:
    """Give an area as several polygons, be it only one: a layer holds one kind of geometry."""
    return MultiPolygon(single_parts(area))


def check_cover(plan: Plan) -> None:
    """Refuse zones and no-spray ground that overlap, leave gaps at an edge, or do not add up to the field.

    Each format of a plan asks; a plan never changes, so the one that passed last is not measured again.

    Raises
    ------
    ValueError
        A fault of ours: no file of such a plan may reach a machine.
    """
    if any(one is plan for one in _PASSED):
        return
    for zone in plan.zones:
        if zone.outline.is_empty or not zone.outline.is_valid:
            raise ValueError(f"zone {zone.zone} of {plan.field} is not a valid polygon")
    for one in plan.no_spray:
        if one.outline.is_empty or not one.outline.is_valid:
            raise ValueError(f"{one.kind} of {plan.field} ({one.source}) is not a valid polygon")
    ground = [one.outline for one in plan.no_spray]
    _refuse_unless_cover([*(zone.outline for zone in plan.zones), *ground], "zones", plan)
    if plan.treatment is not None:
        _refuse_unless_cover([part for part, _ in plan.treatment.parts], "swath cells", plan)
    for each in plan.passes:
        _refuse_unless_cover([part.outline for part in each.map.parts], f"map of pass {each.number}", plan)
    _PASSED[:] = [plan]


def _refuse_unless_cover(outlines: Sequence[Area], what: str, plan: Plan) -> None:
    """Raise ValueError where outlines, no-spray ground among them, are no coverage of the field."""
    whose = f"the {what}{' and no-spray ground' if plan.no_spray else ''} of {plan.field}"
    if not shapely.is_valid(list(outlines)).all() or not edges_match(outlines):
        raise ValueError(f"{whose} overlap or their edges do not match")
    sum_ac = sum(geodesic_ac(outline) for outline in outlines)
    field_ac = geodesic_ac(plan.boundary)
    if abs(sum_ac - field_ac) > _AREA_TOLERANCE * field_ac:
        raise ValueError(f"{whose} add up to {sum_ac} ac, the field has {field_ac} ac")


def map_id(one: PassMap) -> str:
    """Name a map by its polygons and rates: the same name, the same map, within a centimetre.

    Examples
    --------
    >>> from zoning.plan import MapPart
    >>> west, east = shapely.box(0, 0, 1, 1), shapely.box(1, 0, 2, 1)
    >>> maps = [
    ...     PassMap(parts=(MapPart(outline=west, rate_gal_ac=rate), MapPart(outline=east, rate_gal_ac=0.0)))
    ...     for rate in (15.0, 15.0, 20.0)
    ... ]
    >>> map_id(maps[0]) == map_id(maps[1]), map_id(maps[0]) == map_id(maps[2])
    (True, False)
    """
    rows = []
    for part in one.parts:
        corners = shapely.get_coordinates(shapely.normalize(part.outline))
        rows.append(f"{part.rate_gal_ac:.3f} {corners.round(_ID_DECIMALS).tolist()}")
    return hashlib.sha256("\n".join(sorted(rows)).encode("ascii")).hexdigest()[:_ID_LETTERS]
