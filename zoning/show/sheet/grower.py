"""Page 1 of the sheet, for the grower: the decision, the money, the zones and why. Values and words only."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from zoning.plan import Plan, PlanWalk, Scouted
from zoning.show import check_strips, money
from zoning.show.figures import NONE, Units, day, days, dollars, full_day, plain
from zoning.show.page.zone_rows import in_order
from zoning.show.panels import MINUS
from zoning.show.report import BACKGROUND, below_table, pass_doubt, pass_line, schedule_line
from zoning.show.sheet import maps, zone_table
from zoning.show.sheet.look import ROOM, high, key, paper, sentence
from zoning.show.since_told import since_lines
from zoning.show.table import headline
from zoning.words import amounts

_MOST_SEEN = 8  # lines of what was seen on the first page
# Of page 1, all in points: the map, and what else stands there beside lines of text.
_MAP_WIDE_PT, _MAP_LEAST_PT, _MAP_MOST_PT = 312.0, 155.0, 275.0
_HEADING_PT, _ROW_PT, _FIXED_PT, _GAP_PT = 19.0, 10.8, 122.0, 15.0
_STEP_PT = 10


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
        "seen": list(_seen(plan, in_full=True)),
        "seen_short": list(_seen(plan, in_full=False)),
        "most_seen": _MOST_SEEN,
        "walks": [_walk(one, plan) for one in plan.walks],
        "bill": list(map(sentence, [*money.turn_lines(plan), *money.bill_lines(plan), *_strips(plan)])),
        "notes": list(_notes(plan)),
        "made_from": _made_from(plan),
        "cautions": [sentence(plain(one)) for one in _cautions(plan)],
    }
    found["passes_beside"] = _has_room_beside(found, ROOM[paper(plan.country)][0])
    room = _MAP_WIDE_PT, _map_high(found, ROOM[paper(plan.country)], maps.aspect(plan))
    return found | {"map": maps.of_field(plan, room).as_object()}


def _map_high(found: dict[str, Any], room: tuple[float, float], aspect: float) -> float:
    """Give the height of the map: the largest that costs the page no more than it has. [points].

    The wider the map, the higher what stands beside it.
    """

    def needs(high_pt: float) -> float:
        return max(high_pt, _beside(found, room[0] - min(high_pt * aspect, _MAP_WIDE_PT)))

    left = max(room[1] - _taken(found, room[0]), needs(_MAP_LEAST_PT))
    steps = range(int(_MAP_MOST_PT), int(_MAP_LEAST_PT), -_STEP_PT)
    return next((float(high_pt) for high_pt in steps if needs(high_pt) <= left), _MAP_LEAST_PT)


def _has_room_beside(found: dict[str, Any], wide_pt: float) -> bool:
    """Tell whether the passes beside the map cost less of the page than below it."""

    def costs(where: bool) -> float:
        asked = found | {"passes_beside": where}
        beside = max(_MAP_LEAST_PT, _beside(asked, wide_pt - _MAP_LEAST_PT))
        return beside + _taken(asked, wide_pt)

    return costs(True) <= costs(False)


def _taken(found: dict[str, Any], wide_pt: float) -> float:
    """Estimate the height of all but the map and what stands beside it. [points]."""
    texts = [*found["money"], *found["since"], *found["below"], *found["decided"], *found["walks"]]
    texts += [*found["bill"], *found["cautions"], found["made_from"], found["decision"] * 2]
    texts += [f"{one['zones']} {one['text']}" for one in found["why"]]
    texts += [] if found["passes_beside"] else _of_passes(found)
    sections = 2 + sum(bool(found[name]) for name in ("decided", "walks", "bill", "cautions"))
    rows = len(found["table"]["rows"])
    return high(texts, wide_pt) + sections * _HEADING_PT + rows * _ROW_PT + _FIXED_PT


def _beside(found: dict[str, Any], wide_pt: float) -> float:
    """Estimate the height of what stands beside the map. [points]."""
    seen = found["seen_short"][:_MOST_SEEN]
    passes = _of_passes(found) if found["passes_beside"] else []
    legend = [*found["keys"], *found["marks"], *found["map_notes"]]
    return high([*seen, *passes], wide_pt - _GAP_PT) + _ROW_PT * len(legend) + (_HEADING_PT if seen else 0.0)


def _of_passes(found: dict[str, Any]) -> list[str]:
    return [f"{one['line']}; {one['doubt']}" for one in found["passes"]]


def _cautions(plan: Plan) -> tuple[str, ...]:
    """Give the cautions where somebody is to spray; the first of all stands at the foot of every page."""
    return plan.cautions[1:] if any(zone.action == "spray" for zone in plan.zones) else ()


def _since(plan: Plan) -> Iterator[str]:
    if plan.since is not None:
        yield sentence(plain(plan.since.text))
    yield from map(sentence, since_lines(plan))


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


def _strips(plan: Plan) -> list[str]:
    strips = check_strips.line(plan)
    return ["; ".join([strips, *check_strips.off_time(plan)])] if strips else []


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


def _seen(plan: Plan, *, in_full: bool) -> Iterator[str]:
    """Say what was seen, places that are alike together, the newest first; in full with what was noted."""
    alike: dict[tuple[date, str], list[int]] = {}
    for one in plan.scouting:
        text = _of_place(one) if in_full else plain(one.text)
        alike.setdefault((one.on, text), []).append(one.zone)
    for (on, text), zones in sorted(alike.items(), key=lambda item: item[0][0], reverse=True):
        numbers = sorted({zone for zone in zones if zone})
        at = amounts.zones(numbers) if numbers else "no zone"
        places = f" ({len(zones)} places)" if len(zones) > 1 else ""
        yield f"{day(on)}, {at}{places}: {text}"


def _of_place(one: Scouted) -> str:
    told = [one.text]
    if one.severity_pct is not None:
        told.append(f"{one.severity_pct:g} % of the leaf")
    told += [text for text in (one.stage, one.note) if text and text not in one.text]
    if one.observer:
        told.append(f"seen by {one.observer}")
    return plain("; ".join(told))


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
