"""What was seen in the field, as page 1 of the sheet tells it: in full, or short by zone. Words only."""

from datetime import date

from zoning.plan import Plan, Scouted
from zoning.show.figures import day, plain
from zoning.words import amounts

_THINGS = 3  # of one zone in short
_On = tuple[date, str]


def in_full(plan: Plan) -> list[str]:
    """Say what was seen with all that was noted, places that are alike together, the newest first."""
    alike: dict[_On, list[int]] = {}
    for one in plan.scouting:
        alike.setdefault((one.on, _of_place(one)), []).append(one.zone)
    newest = sorted(alike.items(), key=lambda item: item[0][0], reverse=True)
    return [f"{day(on)}, {_at(zones)}{_places(len(zones))}: {text}" for (on, text), zones in newest]


def by_zone(plan: Plan) -> list[str]:
    """Say in a line for each zone what was seen there, zones that are alike together, the newest first."""
    of_zone: dict[int, dict[_On, int]] = {}
    for one in sorted(plan.scouting, key=lambda one: one.on, reverse=True):
        things = of_zone.setdefault(one.zone, {})
        thing = one.on, plain(one.text)
        things[thing] = things.get(thing, 0) + 1
    alike: dict[tuple[_On, ...], list[int]] = {}
    for zone in sorted(of_zone):
        alike.setdefault(tuple(of_zone[zone]), []).append(zone)
    newest = sorted(alike.items(), key=lambda item: item[0][0][0], reverse=True)
    return [_line(things, zones, of_zone) for things, zones in newest]


def _line(things: tuple[_On, ...], zones: list[int], of_zone: dict[int, dict[_On, int]]) -> str:
    told = [
        f"{text} ({day(on)}{_places(sum(of_zone[zone][on, text] for zone in zones), ', ', '')})"
        for on, text in things[:_THINGS]
    ]
    more = len(things) - _THINGS
    told += [f"{more} more"] if more > 0 else []
    at = _at(zones)
    return f"{at[:1].upper()}{at[1:]}: {'; '.join(told)}"


def _at(zones: list[int]) -> str:
    numbers = sorted({zone for zone in zones if zone})
    return amounts.zones(numbers) if numbers else "no zone"


def _places(count: int, before: str = " (", after: str = ")") -> str:
    return f"{before}{count} places{after}" if count > 1 else ""


def _of_place(one: Scouted) -> str:
    told = [one.text]
    if one.severity_pct is not None:
        told.append(f"{one.severity_pct:g} % of the leaf")
    told += [text for text in (one.stage, one.note) if text and text not in one.text]
    if one.observer:
        told.append(f"seen by {one.observer}")
    return plain("; ".join(told))
