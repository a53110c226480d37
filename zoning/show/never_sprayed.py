"""What is said of the ground of a field that is never sprayed: setbacks, and where the crop is dead.

Draws nothing and prints nothing; gives words of plans.
"""

import math
from collections.abc import Sequence

from zoning.plan import NoSprayKind, Plan
from zoning.show.figures import Units
from zoning.words import Said

_LITTLE = "0.0"  # what a little ground would be rounded to
_KINDS: dict[NoSprayKind, str] = {"setback": "setbacks", "dead ground": "dead"}  # in the order in which told


def on_map(kind: NoSprayKind) -> str:
    """Give the word that stands on such ground on the map."""
    return Said(f"zones.map_{_KINDS[kind]}").text


def of_legend(plan: Plan, *, with_area: bool) -> str:
    """Give the line of a map's legend."""
    if not with_area:
        return Said("zones.never_sprayed_here").text
    written = Units(metric=plan.units == "metric")
    area = f"{_area(plan.no_spray_ac, written)} {written.area_unit}"
    return Said("zones.never_sprayed_legend", area=area, kinds=", ".join(_areas([plan]))).text


def line(plans: Sequence[Plan]) -> str:
    """Give the line below a table of zones or fields; "" where there is no such ground."""
    areas_ac = _areas(plans)
    if not areas_ac:
        return ""
    written = Units(metric=plans[0].units == "metric")
    whole = f"{_area(math.fsum(areas_ac.values()), written)} {written.area_unit}"
    told = [
        name if len(areas_ac) == 1 else f"{name} {_area(area_ac, written)}"
        for name, area_ac in areas_ac.items()
    ]
    return Said("zones.never_sprayed", area=whole, kinds=", ".join(told)).text


def _areas(plans: Sequence[Plan]) -> dict[str, float]:
    """Give the acres of each kind that there is, by its name."""
    found: dict[str, float] = {}
    for kind, code in _KINDS.items():
        of_kind = [one.area_ac for plan in plans for one in plan.no_spray if one.kind == kind]
        if of_kind:
            found[Said(f"zones.kind_{code}").text] = math.fsum(of_kind)
    return found


def _area(area_ac: float, written: Units) -> str:
    area = written.area(area_ac)
    return "<0.1" if area == _LITTLE else area
