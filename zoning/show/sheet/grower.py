"""Page 1 of the sheet, for the grower: the decision, the money, the zones and why. Values and words only."""

from collections.abc import Iterator
from typing import Any

from zoning.plan import Plan, PlanWalk
from zoning.show import money
from zoning.show.figures import NONE, Units, day, days, dollars, full_day, plain
from zoning.show.page.zone_rows import in_order
from zoning.show.panels import MINUS
from zoning.show.report import BACKGROUND, below_table, pass_doubt, pass_line, schedule_line
from zoning.show.sheet import bill, maps, seen, zone_table
from zoning.show.sheet.look import ROOM, key, paper, sentence
from zoning.show.since_told import changes, how_many
from zoning.show.table import headline
from zoning.words import amounts

_MOST_CHANGED = 4  # things that are told of zones
# The maps from which page 1 takes the largest that it has room for: widths, of that of the text.
_MAP_WIDE_FRAC = (0.58, 0.5, 0.46, 0.34, 0.28)
_HIGH = 1.2  # no map is higher than this much of its width


def page(plan: Plan) -> dict[str, Any]:
    """Give what stands on the first page, and what a further one takes over where it is too much.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    dict
        For JSON; all texts are for people, none is markup.
    """
    zones = in_order(plan.zones)
    keys, marks, notes = maps.field_keys(plan)
    found: dict[str, Any] = {
        "field": plain(plan.field, 60),
        "farm": plain(plan.farm, 60),
        "day": full_day(plan.today),
        "decision": sentence(headline(plan)),
        "money": [sentence(line) for line in money.field_lines(plan)],
        "since": list(_since(plan)),
        "numbers": list(_numbers(plan)),
        "map_alt": _alt(plan),
        "keys": [key(one) for one in keys],
        "marks": [{"kind": kind, "text": text} for kind, text in marks],
        "map_notes": notes,
        "passes": list(_passes(plan)),
        "table": zone_table.table(plan, zones),
        "below": below_table(plan),
        "why": zone_table.reasons(plan, zones),
        "decided": list(_decided(plan)),
        "seen": seen.in_full(plan),
        "seen_short": seen.by_zone(plan),
        "walks": [_walk(one, plan) for one in plan.walks],
        "turns": [sentence(line) for line in money.turn_lines(plan)],
        "bill": bill.bill(plan),
        "strips": bill.strips(plan),
        "strips_short": bill.strips_short(plan),
        "notes": list(_notes(plan)),
        "made_from": _made_from(plan),
        "cautions": [sentence(plain(one)) for one in _cautions(plan)],
    }
    wide_pt, _ = ROOM[paper(plan.country)]
    sizes = [(share * wide_pt, _HIGH * share * wide_pt) for share in _MAP_WIDE_FRAC]
    return found | {"maps": [maps.of_field(plan, size).as_object() for size in sizes]}


def _cautions(plan: Plan) -> tuple[str, ...]:
    """Give the cautions where somebody is to spray; the first of all stands at the foot of every page."""
    return plan.cautions[1:] if any(zone.action == "spray" for zone in plan.zones) else ()


def _since(plan: Plan) -> Iterator[str]:
    """Say what changed, each thing once: what the passes do names the zones now sprayed and skipped."""
    if plan.since is None:
        return
    yield sentence(plain(plan.since.text))
    if not plan.since_zones:
        return
    told = ("since.zone_sprayed", "since.zone_skipped") if plan.since.code == "since.changed" else ()
    changed = changes(plan)
    alike: dict[str, list[int]] = {}
    for zone, whats in changed.items():
        if what := "; ".join(one.text for one in whats if one.code not in told):
            alike.setdefault(what, []).append(zone)
    if not alike and changed:
        return  # all is told
    lines = [f"{amounts.zones(zones)}: {what}" for what, zones in alike.items()]
    more = len(lines) - _MOST_CHANGED
    lines = [*lines[:_MOST_CHANGED], *(["the others on page.html"] if more > 0 else [])]
    count = sentence(how_many(len(changed), str(plan.since.values["today"])))
    yield f"{count}: {'; '.join(lines)}" if lines else count


def _numbers(plan: Plan) -> Iterator[dict[str, str]]:
    """Give the four numbers; a plan without money has its ground and its dates."""
    written = Units(metric=plan.units == "metric")
    unit, totals = written.area_unit, plan.totals
    if totals is None:
        count = len(plan.zones)
        yield _number("zone" if count == 1 else "zones", str(count), "")
        yield _number("field", f"{written.area(plan.area_ac)} {unit}", "")
    else:
        share = f"{100 * totals.spray_ac / plan.area_ac:.0f} % of the field"
        yield _number("spray", f"{written.area(totals.spray_ac)} {unit}", share)
        yield _number("skip", f"{written.area(totals.skip_ac)} {unit}", "")
        sprayed = any(zone.action == "spray" for zone in plan.zones)
        span = f"{dollars(totals.net_p10_usd)} to {dollars(totals.net_p90_usd)}"
        yield _number("expected net", dollars(totals.net_usd), span if sprayed else "nothing is sprayed")
    likely = [zone.window.r3_likely for zone in plan.zones if zone.window]
    counted = [zone.zone for zone in plan.zones if zone.window and not zone.provisional]
    on = days(min(likely), max(likely)) if likely else NONE
    of = f"counted in {amounts.zones(counted)}, else provisional"
    if len(counted) == len(plan.zones):
        of = "counted"
    elif len(counted) > 6:
        of = f"counted in {len(counted)} of {len(plan.zones)} zones, else provisional"
    yield _number("R3 likely", on, "" if not likely else of if counted else "provisional, not counted")


def _number(name: str, value: str, detail: str) -> dict[str, str]:
    return {"name": name, "value": value, "detail": detail}


def _alt(plan: Plan) -> str:
    """Say in words what the map shows."""
    said = [f"Map of {plain(plan.field, 60)}, grid north up, with {len(plan.zones)} zones."]
    for action in ("spray", "skip"):
        zones = [str(zone.zone) for zone in plan.zones if zone.action == action]
        if zones:
            said.append(f"{sentence(action)}: {', '.join(zones)}.")
    return " ".join(said)


def _passes(plan: Plan) -> Iterator[dict[str, str]]:
    for one in plan.passes:
        yield {"line": sentence(pass_line(plan, one)), "doubt": pass_doubt(one)}
    if plan.level > 2:
        yield {"line": sentence(schedule_line(plan)), "doubt": ""}


def _notes(plan: Plan) -> Iterator[str]:
    """Give the doubts of the plan, without those that are the same on every farm."""
    for note in plan.notes:
        if not note.code.startswith(BACKGROUND):
            yield sentence(plain(note.text))


def _decided(plan: Plan) -> Iterator[str]:
    """Say what the user decided and why, where the reason of the zone does not say it."""
    written = Units(metric=plan.units == "metric")
    for zone in plan.zones:
        own = zone.override
        if own is None or own.reason in zone.reason.text:
            continue
        rate = "" if own.rate_gal_ac is None else f"{written.rate(own.rate_gal_ac)} {written.rate_unit}"
        wanted = ", ".join(part for part in (own.action or "", rate) if part)
        on = f" on {day(own.decided_on)}" if own.decided_on else ""
        line = f"Zone {zone.zone}: {wanted}, decided{on}: {plain(own.reason)}"
        yield line if own.refused is None else f"{line}; not followed: {plain(own.refused.text)}"


def _walk(one: PlanWalk, plan: Plan) -> str:
    """Say where to go and look, by when, and what it is worth."""
    informs = [zone for zone in one.informs if zone != one.zone]
    also = f", also tells of {amounts.zones(informs)}" if informs else ""
    at = f"{one.lat:.5f}, {one.lon:.5f}".replace("-", MINUS)
    return (
        f"Go and look in zone {one.zone} at {at} by {one.day:%A}, {day(one.day)}: "
        f"{one.plants} plants, worth {dollars(one.usd)}{also}"
    )


def _made_from(plan: Plan) -> str:
    """Say what the zones and dates rest on, with the days where there are any."""
    layers = plan.quality.layers if plan.quality else ()
    told = [f"{plain(one.name, 40)}{'' if one.used else ' (to check)'}" for one in layers]
    kinds = (("count", "stage counts"), ("pressure", "disease scouting"))
    for kind, name in kinds:
        on = [one.on for one in plan.scouting if one.kind == kind]
        if on:
            told.append(f"{name} {days(min(on), max(on))}")
    if plan.source is not None:
        told.append(f"response: {plan.source}")
    return ", ".join(told)
