"""What is said of a farm with more fields than a screen has room for: counts, the best fields, the sprayers.

Gives values, tables and lines of a plan; prints nothing.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import fsum

from zoning.plan import FarmPlan, Plan, PlanPass, decided
from zoning.show.calendar_rows import busiest
from zoning.show.calendar_rows import hours as hours_of
from zoning.show.figures import NONE, Units, day, days, hours, plain, whole
from zoning.show.layout import Table
from zoning.words import Said

MANY = 40  # fields: a screen has room for no more
FIRST = 10  # fields, zones or passes that stand for many
NAMED = 12  # names in a sentence
_NAME = 24  # letters of a sprayer's name


def is_many(farm: FarmPlan) -> bool:
    """Whether a farm has more fields than a screen has room for."""
    return len(farm.plans) > MANY


def several(names: Sequence[str], between: str = ", ", most: int = NAMED) -> str:
    """Join names; of many the first, and how many more there are.

    Examples
    --------
    >>> several(["a", "b", "c"]), several(["a", "b", "c", "d"], most=2)
    ('a, b, c', 'a, b and 2 more')
    """
    if len(names) <= most:
        return between.join(names)
    return Said("many.more", named=between.join(names[:most]), count=whole(len(names) - most)).text


def by_return(plan: Plan) -> tuple[int, float, float]:
    """Give the rank of a field: the best return first, then the nearest to a pass, last without money."""
    totals = plan.totals
    if totals is None:
        return 1, 0.0, 0.0
    nearest = totals.nearest_net_usd
    return 0, -totals.net_usd, -nearest if nearest is not None else 0.0


def _first_r3(plan: Plan) -> tuple[bool, date]:
    likely = [zone.window.r3_likely for zone in plan.zones if zone.window is not None]
    return not likely, min(likely, default=date.max)


def first_fields(farm: FarmPlan) -> tuple[str, list[Plan]]:
    """Choose the fields that stand for all, those with the most at stake, and say which they are."""
    if any(plan.totals is not None for plan in farm.plans):
        chosen = sorted(farm.plans, key=by_return)[:FIRST]
        return Said("many.by_return", count=len(chosen)).text, chosen
    chosen = sorted(farm.plans, key=_first_r3)[:FIRST]
    return Said("many.by_date", count=len(chosen)).text, chosen


def counts(farm: FarmPlan) -> list[str]:
    """Say how many fields are sprayed whole, in part and not at all, and when R3 is likely."""
    found = Counter(decided.in_a_word(plan) for plan in farm.plans)
    told = [
        Said(f"many.{action}", count=whole(found[action])).text
        for action in ("spray", "part", "skip", "none")
        if found[action]
    ]
    lines = [Said("many.fields", fields=whole(len(farm.plans)), counts=", ".join(told)).text]
    likely = [zone.window.r3_likely for plan in farm.plans for zone in plan.zones if zone.window is not None]
    if likely:
        lines.append(Said("many.r3", days=days(min(likely), max(likely))).text)
    return lines


@dataclass(slots=True, kw_only=True)
class Rig:
    """The work of one sprayer, or of several: acres, whole loads, first and last day, spray hours.

    `late` are passes that end after their due day, `planned_h` the hours up to the last day in use.
    """

    name: str
    fields: int = 0
    passes: int = 0
    area_ac: float = 0.0
    loads: int = 0
    late: int = 0
    first: date = date.max
    last: date = date.min
    used_h: float = 0.0
    planned_h: float = 0.0

    def add(self, one: PlanPass) -> None:
        """Add a pass."""
        self.passes += 1
        self.area_ac += one.area_ac
        self.loads += one.loads
        self.late += one.due is not None and one.last_day > one.due
        self.first, self.last = min(self.first, one.day), max(self.last, one.last_day)


def rigs(farm: FarmPlan) -> list[Rig]:
    """Add up the passes of each sprayer that makes any, in the order of their names."""
    found: dict[str, Rig] = {}
    for plan in farm.plans:
        for one in plan.passes:
            found.setdefault(one.sprayer, Rig(name=one.sprayer)).add(one)
        for name in {one.sprayer for one in plan.passes}:
            found[name].fields += 1
    for name, known in hours_of(farm).items():
        used = [number for number, one in known.items() if sum(one.used_h) > 0]
        if name in found and used:
            rows = [one for number, one in known.items() if number <= max(used)]
            found[name].used_h = fsum(h for one in rows for h in one.used_h)
            found[name].planned_h = fsum(h for one in rows for h in one.planned_h)
    return [found[name] for name in sorted(found, key=_by_number)]


def _by_number(name: str) -> tuple[list[tuple[int, str]], str]:
    """Order names as people do: rig 2 before rig 10."""
    parts = re.findall(r"(\d{1,9})|(\D+)", name)
    return [(int(number) if number else -1, letters.casefold()) for number, letters in parts], name


def all_rigs(farm: FarmPlan, every: Sequence[Rig]) -> Rig:
    """Add up the work of all sprayers."""
    whole_farm = Rig(name="all", fields=sum(bool(plan.passes) for plan in farm.plans))
    for plan in farm.plans:
        for one in plan.passes:
            whole_farm.add(one)
    whole_farm.used_h = fsum(one.used_h for one in every)
    whole_farm.planned_h = fsum(one.planned_h for one in every)
    return whole_farm


def rig_table(farm: FarmPlan, shown: Sequence[Rig], every: Sequence[Rig]) -> Table:
    """Give the work of some sprayers as a table, with a last row that adds up all of them."""
    written = Units(metric=farm.units == "metric")
    head = (
        *("sprayer", "in fields", "passes", f"area {written.area_unit}", "loads", "hours", "of"),
        *("first day", "over by", "late"),
    )
    rows = [
        (
            plain(one.name, _NAME),
            whole(one.fields),
            whole(one.passes),
            written.area(one.area_ac),
            whole(one.loads),
            *((hours(one.used_h), hours(one.planned_h)) if one.planned_h else (NONE, NONE)),
            day(one.first),
            day(one.last),
            str(one.late or NONE),
        )
        for one in (*shown, all_rigs(farm, every))
    ]
    return Table(head, tuple(rows))


def sprayers(farm: FarmPlan) -> tuple[list[str], Table]:
    """Give the work of the sprayers as a table, of many that of the busiest, and say what it is."""
    every = rigs(farm)
    named = busiest(farm)
    shown = [one for one in every if one.name in named] if len(every) > len(named) else every
    told = {"count": len(shown), "all": len(every)}
    said = Said("many.busiest", **told) if len(shown) < len(every) else Said("many.by_sprayer")
    below = [Said("many.hours").text] if any(one.planned_h for one in shown) else []
    below += [Said("many.late").text] if any(one.late for one in every) else []
    return [said.text, *below], rig_table(farm, shown, every)
