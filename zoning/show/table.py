"""The table that a run prints: one row a zone, and one row a field for a farm.

Strings in, strings out of a plan; prints nothing and colours nothing.
"""

from collections.abc import Sequence
from datetime import date

from zoning.passes.treated import DONE
from zoning.plan import Plan, PlanZone, decided
from zoning.show.figures import NONE, Units, chance, day, days, dollars, plain, signed, whole
from zoning.show.layout import REASON, ZONE, Table
from zoning.show.money import turn_line
from zoning.show.turns import turns
from zoning.words import Said

_NAME_WIDTH = 14
COUNTED = "*"  # behind the likely day of a zone in which a count pins the dates
_HOURS_ELSEWHERE = (
    "passes.hours_elsewhere",
    "passes.hours_taken",
)  # reasons why a zone that pays is left out


def _when(zone: PlanZone) -> dict[str, str]:
    window = zone.window
    counted = "" if window is None or zone.provisional else COUNTED
    return {
        "planted": day(zone.planted),
        "R3 early": day(window.r3_early if window else None),
        "R3 likely": day(window.r3_likely if window else None) + counted,
        "R3 late": day(window.r3_late if window else None),
        "closes": day(window.closes if window else None),
    }


def _whether(zone: PlanZone, written: Units) -> dict[str, str]:
    """Decision and money of a zone; "-" throughout where there is no return."""
    money = zone.money
    net = None if money is None else signed(written.net(money.net_mean_usd_ac))
    spread = None
    if money is not None:
        low, high = written.net(money.net_p10_usd_ac), written.net(money.net_p90_usd_ac)
        spread = f"{signed(low)} to {signed(high)}"
    return {
        "spray from": day(zone.spray_from),
        "spray by": day(zone.spray_by),
        "action": f"{zone.action or NONE}{decided.MARK if decided.followed([zone]) else ''}",
        f"rate {written.rate_unit}": written.rate(zone.rate_gal_ac),
        f"net {written.net_unit}": net or NONE,
        "80 % range": spread or NONE,
        "chance that it pays": chance(money.chance_pays) if money else NONE,
        f"break-even {written.price_unit}": written.price(money.break_even_price_usd_bu) if money else NONE,
    }


def _row(zone: PlanZone, plan: Plan) -> dict[str, str]:
    written = Units(metric=plan.units == "metric")
    row = {
        ZONE: str(zone.zone),
        "block": plain(zone.block, _NAME_WIDTH),
        f"area {written.area_unit}": written.area(zone.area_ac),
        **_when(zone),
    }
    if plan.level > 1:
        whether = _whether(zone, written)
        if plan.level == 2:
            del whether[f"rate {written.rate_unit}"]
        row |= whether
    named = f"{plain(zone.name, _NAME_WIDTH)}: " if zone.name else ""  # somebody else drew it
    return row | {REASON: named + _why(zone, plan)}


def _why(zone: PlanZone, plan: Plan) -> str:
    """Give the reason, and of a skipped zone what would turn it; of zones that are alike it is said once."""
    first = next(one.zone for one in plan.zones if _told(one) == _told(zone))
    return why(zone, plan) if first == zone.zone else Said("money.as_zone", zone=first).text


def why(zone: PlanZone, plan: Plan) -> str:
    """Give the reason for what is done on a zone, and of a skipped zone what would turn it."""
    reason = plain(zone.reason.text)
    turned = turn_line(zone, Units(metric=plan.units == "metric")) if zone.action == "skip" else ""
    return f"{reason}; {turned}" if turned else reason


def _told(zone: PlanZone) -> tuple[object, ...]:
    """Give what two zones have in common that are told of together; without returns all blocks are alike."""
    return (zone.reason, zone.action, zone.block if zone.action else "")


def table(plan: Plan) -> Table:
    """Give the zones of a plan as a table of strings.

    Parameters
    ----------
    plan : Plan
        Level 1 gets dates only, level 2 also money, level 3 also the rate.

    Returns
    -------
    Table
        Units stand in the head; dates by the name of the month; money in whole dollars.
    """
    rows = [_row(zone, plan) for zone in plan.zones]
    return Table(tuple(rows[0]), tuple(tuple(row.values()) for row in rows))


def _r3(plan: Plan) -> str:
    likely = [zone.window.r3_likely for zone in plan.zones if zone.window]
    return days(min(likely), max(likely)) if likely else NONE


def _sprays(plan: Plan) -> tuple[float, float]:
    """Give the sprayed and the skipped area. [ac]."""
    return (plan.totals.spray_ac, plan.totals.skip_ac) if plan.totals else (0.0, 0.0)


def headline(plan: Plan) -> str:
    """Give the decision on a field and the money at stake, in one sentence.

    That most of the ground does not pay is said only where it is true.
    """
    written = Units(metric=plan.units == "metric")
    area = f"{written.whole_area(plan.area_ac)} {written.area_word}"
    if plan.totals is None:
        zones = f"{len(plan.zones)} zone{'s' if len(plan.zones) > 1 else ''} on {area}"
        r3 = _r3(plan)
        return f"{zones}; zones only" if r3 == NONE else f"{zones}, R3 likely {r3}; zones and dates only"
    spray_ac, skip_ac = _sprays(plan)
    done_ac = sprayed_already_ac(plan)
    done = f"{written.whole_area(done_ac)} of {area} were sprayed already"
    zoned = f"{written.whole_area(plan.area_ac - plan.no_spray_ac)} {written.area_word}"
    skip = f"{done}, skip the rest" if done_ac else f"skip all {zoned}"
    if not any(zone.action == "spray" for zone in plan.zones):
        if any(one.override.computed == "spray" for one in decided.followed(plan.zones) if one.override):
            return f"{skip}{Said('decisions.headline', zones=decided.numbers(plan.zones)).text}"
        would = turns(plan.totals.flips, written, is_sprayed=False, only=("price", "response"))
        nearest = plan.totals.nearest_net_usd
        if nearest is not None and nearest > 0 and not plan.totals.flips:  # its zones say what is in the way
            expected = f"a pass would be worth it, expected net {dollars(nearest)}"
            elsewhere = any(zone.reason.code in _HOURS_ELSEWHERE for zone in plan.zones)
            but = "its hours go to other fields" if elsewhere else "none can be made"
            return f"{skip}: {expected}, but {but}"
        if all(is_done(zone) for zone in plan.zones):
            return f"skip all {zoned}: sprayed already"
        if not plan.totals.rests_on_frac:  # no zone has an option that could be priced
            return f"{skip}: no pass can be made"
        sentence = f"{skip}: no pass is worth it"
        if nearest is not None:
            sentence += f", the nearest is expected to net {dollars(nearest)}"
        return f"{sentence}; one would be worth it {would}" if would else sentence
    visits = f" in {len(plan.passes)} pass{'es' if len(plan.passes) > 1 else ''}" if plan.passes else ""
    of_user = decided.numbers(plan.zones)
    of_user = Said("decisions.headline", zones=of_user).text if of_user else ""
    sentence = (
        f"spray {written.whole_area(spray_ac)} of {area}{visits}, expected net {dollars(plan.totals.net_usd)}"
    )
    if 2 * (skip_ac - done_ac - left_out_ac(plan)) > plan.area_ac:
        sentence += f"; most of these {written.area_word} do not pay for a pass"
    return f"{sentence}; {done}{of_user}" if done_ac else f"{sentence}{of_user}"


def is_done(zone: PlanZone) -> bool:
    """Tell whether a zone is skipped because it has had its pass."""
    return zone.reason.code in DONE


def left_out_ac(plan: Plan) -> float:
    """Add up the ground of a field that pays by itself and yet is in no pass. [ac]."""
    return sum(
        zone.area_ac
        for zone in plan.zones
        if zone.action == "skip" and zone.reason.code.startswith("passes.") and not is_done(zone)
    )


def sprayed_already_ac(plan: Plan) -> float:
    """Add up the ground of a field that has had its pass. [ac]."""
    return sum(zone.area_ac for zone in plan.zones if is_done(zone))


def summary(plan: Plan) -> str:
    """Give one line for a field, as the farm command prints it while it works.

    Examples are in the tests: a plan is too long for one here.
    """
    first = [one.day for one in plan.passes]
    when = f", first pass {day(min(first))}" if first else ""
    return f"{plain(plan.field, 30)}: {headline(plan)}{when}"


def farm_table(plans: Sequence[Plan], shown: Sequence[Plan] | None = None) -> Table:
    """Give the fields of a farm, or those that are named, as a table; a last row adds up all of them."""
    written = Units(metric=bool(plans) and plans[0].units == "metric")
    unit = written.area_unit
    head = (
        "field",
        f"area {unit}",
        "zones",
        "R3 likely",
        f"spray {unit}",
        f"skip {unit}",
        "passes",
        "first pass",
    )
    rows = [_farm_row(plan, written) for plan in (plans if shown is None else shown)]
    known = [plan.totals for plan in plans if plan.totals is not None]
    total = (
        "all",
        written.area(sum(plan.area_ac for plan in plans)),
        whole(sum(len(plan.zones) for plan in plans)),
        NONE,
        written.area(sum(totals.spray_ac for totals in known)) if known else NONE,
        written.area(sum(totals.skip_ac for totals in known)) if known else NONE,
        whole(sum(len(plan.passes) for plan in plans)),
        _first([one.day for plan in plans for one in plan.passes]),
        dollars(sum(totals.net_usd for totals in known)) if known else NONE,
    )
    return Table((*head, "net $"), (*rows, total))


def _first(days_of_passes: Sequence[date]) -> str:
    return day(min(days_of_passes)) if days_of_passes else NONE


def _farm_row(plan: Plan, written: Units) -> tuple[str, ...]:
    spray_ac, skip_ac = _sprays(plan)
    return (
        plain(plan.field, 30),
        written.area(plan.area_ac),
        str(len(plan.zones)),
        _r3(plan),
        written.area(spray_ac) if plan.totals else NONE,
        written.area(skip_ac) if plan.totals else NONE,
        str(len(plan.passes)) if plan.level > 2 else NONE,
        _first([one.day for one in plan.passes]),
        dollars(plan.totals.net_usd) if plan.totals else NONE,
    )
