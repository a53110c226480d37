"""What is shown of check strips: patches and legend of the first map, a line of the report, the load sheet's.

Draws nothing and prints nothing; gives ground in metres, and words.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import shapely

from zoning import colours
from zoning.inputs.area import from_lonlat
from zoning.passes.check_strips import shows
from zoning.plan import Area, Piece, Plan, PlanPass, PlanStrips
from zoning.show.figures import Units, day, dollars, plain
from zoning.show.many import several
from zoning.words import Said

_LITTLE = "0.0"  # what a little ground would be rounded to


@dataclass(frozen=True, slots=True)
class StripPatch:
    """A check strip, or the part of one that is treated alike; `outline_m` in the plane of the plan.

    `dotted`: left untreated; `hatched`: no pass may treat it. `pass_number` is 0 where none does.
    """

    pair: int
    outline_m: Area
    fill: str
    dotted: bool
    hatched: bool
    pass_number: int = 0


def patches(plan: Plan) -> tuple[StripPatch, ...]:
    """Give the check strips as the first map shows them."""
    alike: dict[tuple[int, bool, int], list[Area]] = defaultdict(list)
    for one in _on_strips(plan.strips):
        key = one.pair, one.treatment == "untreated", one.pass_number
        alike[key].append(from_lonlat(one.outline, plan.epsg))
    return tuple(
        StripPatch(
            pair=pair,
            outline_m=cast(Area, shapely.union_all(outlines)),
            fill=_fill(plan, dry=dry, number=number),
            dotted=dry,
            hatched=not dry and number == 0,
            pass_number=number,
        )
        for (pair, dry, number), outlines in sorted(alike.items(), key=lambda item: item[0])
    )


def _on_strips(strips: PlanStrips | None) -> list[Piece]:
    return [one for one in strips.pieces if one.kind == "strip"] if strips is not None else []


def _fill(plan: Plan, *, dry: bool, number: int) -> str:
    if dry:
        return colours.WHITE
    rates = sorted({one.rate_gal_ac for one in plan.passes})
    mine = [one.rate_gal_ac for one in plan.passes if one.number == number]
    return colours.spray(rates.index(mine[0]), len(rates)) if mine else colours.SKIP


def legend(plan: Plan) -> tuple[tuple[str, bool, str], ...]:
    """Give fill, whether it is dotted, and text of each line of the map's legend; none without strips."""
    if plan.strips is None:
        return ()
    first = min((one.number for one in plan.passes), default=0)
    written = Units(metric=plan.units == "metric")
    dry = Said("strips.map_dry", area=_area(plan.strips.untreated_ac, written))
    treated = Said("strips.map_treated", area=_area(plan.strips.treated_ac, written))
    return (
        (colours.WHITE, True, dry.text),
        (_fill(plan, dry=False, number=first), False, treated.text),
    )


def notes(plan: Plan) -> tuple[str, ...]:
    """Say below the map what its strips are called, and what they cost."""
    if plan.strips is None:
        return ()
    count, cost = plan.strips.pairs, _cost(plan.strips.cost_usd)
    if count == 1:
        return (Said("strips.map_one", cost=cost).text,)
    return (Said("strips.map_pairs", pairs=count, cost=cost).text,)


def name(pair: int) -> str:
    """Give what a pair of strips is called on the map and the load sheet."""
    return f"S{pair}"


def pairs(strips: Sequence[StripPatch]) -> dict[str, Area]:
    """Give the ground of each pair by its name."""
    numbers = sorted({one.pair for one in strips})
    of_pair = ([one.outline_m for one in strips if one.pair == pair] for pair in numbers)
    return {
        name(pair): cast(Area, shapely.union_all(outlines))
        for pair, outlines in zip(numbers, of_pair, strict=True)
    }


def line(plan: Plan) -> str:
    """Say what the check strips cost in ground and money, and what they can show; "" where there are none."""
    strips = plan.strips
    if strips is None:
        return ""
    count, written = strips.pairs, Units(metric=plan.units == "metric")
    shown = _shown(count, (strips.shows_bu_ac, strips.shows_frac), written)
    return f"{_cost_line(_pairs(count), [plan], [strips], written)}; {shown}"


def off_time(plan: Plan) -> list[str]:
    """Say which skipped zones have their treated strips sprayed before even an early R3, by pass."""
    early = {zone.zone: zone.window.r3_early for zone in plan.zones if zone.window is not None}
    written = Units(metric=plan.units == "metric")
    lines = []
    for one in plan.passes:
        more_ac: dict[int, float] = defaultdict(float)
        for part in _on_strips(plan.strips):
            if part.pass_number == one.number and part.zone not in one.zones:
                more_ac[part.zone] += part.area_ac
        known = {
            zone for zone, area_ac in more_ac.items() if zone in early and written.area(area_ac) != _LITTLE
        }
        if zones := sorted(zone for zone in known if one.last_day < early[zone]):
            named = f"zone{'s' if len(zones) > 1 else ''} {', '.join(map(str, zones))}"
            lines.append(Said("strips.off_time", zones=named, number=one.number, day=day(one.day)).text)
    return lines


def farm_line(plans: Sequence[Plan]) -> str:
    """Say what the check strips of all fields cost, and what they show together; "" where there are none."""
    laid = [plan.strips for plan in plans if plan.strips is not None]
    if not laid:
        return ""
    written = Units(metric=plans[0].units == "metric")
    fields = Said("strips.fields", fields=len(laid)) if len(laid) > 1 else Said("strips.one_field")
    count = sum(one.pairs for one in laid)
    pairs_in = Said("strips.farm_pairs", pairs=_pairs(count), fields=fields.text).text
    shown = _shown(count, shows(count), written)
    return f"{_cost_line(pairs_in, plans, laid, written)}; {shown}"


def laid_line(plans: Sequence[Plan]) -> str:
    """Say in which fields this run laid strips, and that their file is to be kept; "" where in none."""
    new = [(plan.field, plan.strips.file) for plan in plans if plan.strips and plan.strips.new_design]
    if not new:
        return ""
    fields = several([plain(field) for field, _ in new])
    return Said("strips.laid", fields=fields, file=new[0][1]).text


def pass_area(plan: Plan, one: PlanPass) -> str:
    """Give the ground that a pass treats, check strips included; "" where that is what its zones have."""
    written = Units(metric=plan.units == "metric")
    treated = written.area(one.map.treated_ac)
    if plan.strips is None or treated == written.area(one.area_ac):
        return ""
    return f"{treated} {written.area_unit}"


def below_passes(passes: Sequence[tuple[Plan, PlanPass]]) -> list[str]:
    """Say below a table of passes what they treat with their check strips; nothing where that is the same."""
    told = [(plan, one, area) for plan, one in passes if (area := pass_area(plan, one))]
    if not told:
        return []
    unit = Units(metric=told[0][0].units == "metric").area_unit
    areas = [
        Said("strips.pass_in_table", field=plain(plan.field), number=one.number, area=area).text
        for plan, one, area in told
    ]
    return [Said("strips.pass_table", unit=unit, areas=several(areas)).text]


def _cost_line(pairs_said: str, plans: Sequence[Plan], laid: Sequence[PlanStrips], written: Units) -> str:
    said = Said("strips.line", pairs=pairs_said, **_costs(laid, written)).text
    known = [plan.totals.net_usd for plan in plans if plan.totals is not None]
    net_usd = math.fsum(known) - math.fsum(one.cost_usd for one in laid)
    return Said("strips.net", line=said, usd=dollars(net_usd)).text if known else said


def _shown(count: int, shown: tuple[float, float], written: Units) -> str:
    if count == 1:
        return Said("strips.shows_nothing").text
    response_bu_ac, chance_frac = shown
    response = f"{written.response(response_bu_ac, 0)} {written.response_unit}"
    return Said("strips.shows", pairs=count, response=response, trials=100 * chance_frac).text


def _pairs(count: int) -> str:
    return Said("strips.one").text if count == 1 else Said("strips.pairs", pairs=count).text


def _costs(laid: Sequence[PlanStrips], written: Units) -> dict[str, str]:
    return {
        "untreated": _area(math.fsum(one.untreated_ac for one in laid), written),
        "treated": _area(math.fsum(one.treated_ac for one in laid), written),
        "cost": _cost(math.fsum(one.cost_usd for one in laid)),
    }


def for_operator(plan: Plan, one: PlanPass) -> str:
    """Say what is done on the check strips that a pass meets; "" where it meets none."""
    met = [
        part for part in _on_strips(plan.strips) if part.zone in one.zones or part.pass_number == one.number
    ]
    numbers = sorted({part.pair for part in met})
    if not numbers:
        return ""
    dry_ac = math.fsum(part.area_ac for part in met if part.zone in one.zones and not part.pass_number)
    more_ac = math.fsum(part.area_ac for part in met if part.zone not in one.zones)
    written = Units(metric=plan.units == "metric")
    areas = {"dry": _area(dry_ac, written), "more": _area(more_ac, written)}
    return Said("strips.operator", which=_which(numbers), **areas).text


def _which(numbers: Sequence[int]) -> str:
    if len(numbers) > 1 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"{name(numbers[0])} to {name(numbers[-1])}"
    return ", ".join(name(number) for number in numbers)


def _cost(usd: float) -> str:
    if round(usd) == 0:
        return Said("strips.free").text
    return Said("strips.costs" if usd > 0 else "strips.brings", usd=dollars(abs(usd))).text


def _area(area_ac: float, written: Units) -> str:
    area = written.area(area_ac)
    return f"{'<0.1' if area == _LITTLE and area_ac > 0 else area} {written.area_unit}"
