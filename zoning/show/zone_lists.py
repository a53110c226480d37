"""Zones of a farm that are told of one by one: left out though they would pay, and sprayed already.

Gives lines of a plan; of many zones the largest, and how many more there are.
"""

from collections.abc import Sequence
from math import fsum

from zoning.plan import FarmPlan, LeftOut
from zoning.show.figures import Units, plain, whole
from zoning.show.many import FIRST, MANY, is_many
from zoning.show.table import is_done
from zoning.words import Said


def left_out(farm: FarmPlan) -> list[str]:
    """Say which zones would pay and are in no pass, and why; zones of a field with one reason in a line."""
    return _of_zones("schedule.left_out", farm.left_out, farm)


def had_theirs(farm: FarmPlan) -> list[str]:
    """Say which zones were sprayed already, and when."""
    done = [(plan.field, zone) for plan in farm.plans for zone in plan.zones if is_done(zone)]
    rows = [LeftOut(field=name, zone=it.zone, area_ac=it.area_ac, why=it.reason) for name, it in done]
    return _of_zones("schedule.had_theirs", rows, farm)


def _of_zones(code: str, rows: Sequence[LeftOut], farm: FarmPlan) -> list[str]:
    written = Units(metric=farm.units == "metric")
    together: dict[tuple[str, str], list[LeftOut]] = {}
    for one in rows:
        together.setdefault((one.field, one.why.text), []).append(one)
    told, more = _largest(together, FIRST if is_many(farm) else MANY)
    lines = []
    for field, why in told:
        those = together[field, why]
        zones = f"zone{'s' if len(those) > 1 else ''} {', '.join(str(one.zone) for one in those)}"
        area = f"{written.area(sum(one.area_ac for one in those))} {written.area_unit}"
        said = Said("schedule.left_out_zone", field=plain(field, 30), zones=zones, area=area, why=plain(why))
        lines.append(f"  {said.text}")
    if more:
        area = f"{written.area(fsum(one.area_ac for one in more))} {written.area_unit}"
        lines.append(f"  {Said('many.more_zones', zones=whole(len(more)), area=area).text}")
    return [Said(code).text, *lines] if lines else []


def _largest(
    together: dict[tuple[str, str], list[LeftOut]], most: int
) -> tuple[list[tuple[str, str]], list[LeftOut]]:
    """Choose the lines that are told, the largest in their order, and give the zones of the others."""
    by_area = sorted(together, key=lambda key: -fsum(one.area_ac for one in together[key]))
    kept = set(by_area[:most])
    rest = [one for key in by_area[most:] for one in together[key]]
    return [key for key in together if key in kept], rest
