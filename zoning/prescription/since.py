"""One line on what changed since an earlier plan: what the machine does otherwise, for operator and grower.

Reads no file. What has moved in money alone is said only where the machine does the same.
"""

import math
from collections.abc import Iterator, Sequence
from datetime import date

from zoning import units
from zoning.plan import Plan, ZoneSince
from zoning.prescription.as_json import plan_json
from zoning.prescription.handed import Handed, HandedPass, of_object
from zoning.prescription.rates import rate_unit, short_unit
from zoning.words import Said

_LEAST_AC = 0.05  # less is not seen with one decimal
_LEAST_GAL = 0.5  # less is not seen without decimals
_LEAST_RATE_GAL_AC = 0.005  # half of the last decimal of the file
_Pair = tuple[HandedPass, HandedPass]  # before, now


def changed(before: Handed, plan: Plan) -> Said:
    """Say what a plan has the machine do otherwise than an earlier one.

    Parameters
    ----------
    before : Handed
        The earlier plan, as `zoning.prescription.handed.read` gives it.
    plan : Plan
        Of the same field.

    Returns
    -------
    Said
        One line.
    """
    return between(before, of_object(plan_json.as_object(plan)))


def between(before: Handed, now: Handed) -> Said:
    """Say what a plan has the machine do otherwise than an earlier one, both as plan.json tells them."""
    today = f"{_day(before.today)}, {before.today.year}"
    told = list(_told(before, now, metric=now.is_metric))
    if told:
        return Said("since.changed", today=today, what="; ".join(one.text for one in told))
    if round(before.net_usd) != round(now.net_usd):
        return Said("since.only_money", today=today, before_usd=before.net_usd, now_usd=now.net_usd)
    return Said("since.nothing", today=today)


def zones_before(before: Handed, plan: Plan) -> tuple[ZoneSince, ...]:
    """Give what an earlier plan said of each zone of a plan; none where it has other zones."""
    return before.of_zones if before.zones_id == plan.zones_id else ()


def _told(before: Handed, now: Handed, *, metric: bool) -> Iterator[Said]:
    """Say each change of what the machine does: passes, then zones, then the sums."""
    if before.is_metric != now.is_metric and before.passes and now.passes:
        yield Said("since.unit", before=rate_unit(before.is_metric), now=rate_unit(now.is_metric))
    same_zones = before.zones_id == now.zones_id
    pairs = _pairs(before.passes, now.passes, by_zones=same_zones)
    old, new = ([pair[place].number for pair in pairs] for place in (0, 1))
    for was, one in pairs:
        yield from _of_pass(was, one, metric=metric)
    for one in now.passes:
        if one.number not in new:
            yield Said("since.pass_new", number=one.number, day=_when(one))
    for was in before.passes:
        if was.number not in old:
            yield Said("since.pass_gone", number=was.number, day=_when(was))
    zones = list(_of_zones(before, now, pairs)) if same_zones else []
    yield from zones
    other = [one for was, one in pairs if _map_differs(was, one, same_zones=same_zones)]
    if other and not same_zones:
        yield Said("since.redrawn")
    if other and same_zones and not zones:
        yield from (Said("since.pass_edges", number=one.number) for one in other)
    yield from _of_strips(before.strips, now.strips)
    yield from _sums(before.passes, now.passes, metric=metric)


def _of_strips(before: tuple[int, int], now: tuple[int, int]) -> Iterator[Said]:
    """Say whether check strips came, went or lie elsewhere: another seed lays others."""
    if before[0] != now[0]:
        yield Said("since.strips", before=before[0], now=now[0])
    elif before != now:
        yield Said("since.strips_elsewhere")


def _pairs(before: Sequence[HandedPass], now: Sequence[HandedPass], *, by_zones: bool) -> list[_Pair]:
    """Put together what is one pass in both plans: that with most zones in common, else of one number."""
    alike = []
    for was in before:
        for one in now:
            common = len(set(was.zones) & set(one.zones)) if by_zones else int(was.number == one.number)
            if common:
                alike.append((-common, was.number != one.number, one.number, was.number, was, one))
    pairs: list[_Pair] = []
    for *_, was, one in sorted(alike, key=lambda each: each[:4]):
        if all(was is not old and one is not new for old, new in pairs):
            pairs.append((was, one))
    return sorted(pairs, key=lambda pair: pair[1].number)


def _of_pass(was: HandedPass, one: HandedPass, *, metric: bool) -> Iterator[Said]:
    if was.number != one.number:
        yield Said("since.pass_number", before=was.number, number=one.number)
    if (was.day, was.half) != (one.day, one.half):
        yield Said("since.pass_moved", number=one.number, before=_when(was), now=_when(one))
    if abs(was.rate_gal_ac - one.rate_gal_ac) > _LEAST_RATE_GAL_AC:
        of = units.l_ha_from_gal_ac if metric else float
        rates = {"before": f"{of(was.rate_gal_ac):.4g}", "now": f"{of(one.rate_gal_ac):.4g}"}
        yield Said("since.pass_rate", number=one.number, unit=short_unit(metric), **rates)
    if was.sprayer != one.sprayer:
        yield Said("since.pass_sprayer", number=one.number, before=was.sprayer, now=one.sprayer)
    if was.mix != one.mix and was.mix and one.mix:
        yield Said("since.pass_mix", number=one.number, before=was.mix, now=one.mix)


def _of_zones(before: Handed, now: Handed, pairs: Sequence[_Pair]) -> Iterator[Said]:
    """Say which zones are sprayed and were not, are not and were, or are in another pass."""
    was_in = {zone: one.number for one in before.passes for zone in one.zones}
    is_in = {zone: one.number for one in now.passes for zone in one.zones}
    becomes = {was.number: one.number for was, one in pairs}
    sprayed = [zone for zone in sorted(is_in) if zone not in was_in]
    skipped = [zone for zone in sorted(was_in) if zone not in is_in]
    if sprayed:
        yield Said("since.zones_sprayed", zones=_list(sprayed))
    if skipped:
        yield Said("since.zones_skipped", zones=_list(skipped))
    stay = [zone for zone in sorted(is_in) if zone in was_in and becomes.get(was_in[zone]) != is_in[zone]]
    for number in sorted({is_in[zone] for zone in stay}):
        yield Said(
            "since.zones_moved", number=number, zones=_list([zone for zone in stay if is_in[zone] == number])
        )


def _map_differs(was: HandedPass, one: HandedPass, *, same_zones: bool) -> bool:
    """Tell whether a pass follows another map; where that is not known, whether it may."""
    if was.map_id is None or one.map_id is None:
        return not same_zones or abs(was.area_ac - one.area_ac) > _LEAST_AC
    return was.map_id != one.map_id


def _sums(before: Sequence[HandedPass], now: Sequence[HandedPass], *, metric: bool) -> Iterator[Said]:
    """Say how much more or less is sprayed in all passes: ground, then spray mix."""
    by_map = all(one.treated_ac is not None for one in (*before, *now))

    def area_ac(one: HandedPass) -> float:
        return one.treated_ac if by_map and one.treated_ac is not None else one.area_ac

    more_ac, more_gal = (
        math.fsum(of(one) for one in now) - math.fsum(of(one) for one in before)
        for of in (area_ac, lambda one: area_ac(one) * one.rate_gal_ac)
    )
    if abs(more_ac) >= _LEAST_AC:
        amount = units.ha_from_ac(abs(more_ac)) if metric else abs(more_ac)
        code = "since.area_more" if more_ac > 0 else "since.area_less"
        yield Said(code, amount=amount, unit="ha" if metric else "ac")
    if abs(more_gal) >= _LEAST_GAL:
        amount = units.l_from_gal(abs(more_gal)) if metric else abs(more_gal)
        code = "since.mix_more" if more_gal > 0 else "since.mix_less"
        yield Said(code, amount=amount, unit="L" if metric else "gal")


def _list(zones: Sequence[int]) -> str:
    return ", ".join(str(zone) for zone in zones)


def _day(day: date) -> str:
    return f"{day:%b} {day.day}"


def _when(one: HandedPass) -> str:
    return f"{_day(one.day)} {one.half}"
