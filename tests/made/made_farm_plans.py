"""Farm plans made by hand, and by seed, for the tests of what people and programs see of a farm.

A pass is a list of parts; the hours in use are added up from the parts, so that they agree.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

import numpy as np
from made_plans import Made, made_plan
from shapely import affinity

from zoning.offers.pass_maps import with_maps
from zoning.plan import FarmPlan, HalfDayUse, LeftOut, Plan, PlanPass, VisitPart, WorthOf
from zoning.words import Said, cautions

TODAY = date(2026, 7, 1)  # a Wednesday
RIG, HIRED = "ground rig", "hired rig"
PLANNED_H = {"AM": 2.0, "PM": 3.0}


@dataclass(frozen=True)
class MadePass:
    """One pass: `parts` are (days from today, half, hours, loads)."""

    zones: tuple[int, ...]
    parts: tuple[tuple[int, str, float, float], ...]
    sprayer: str = RIG
    rate_gal_ac: float = 15.0
    due_d: int | None = None  # days from today
    in_time_frac: float | None = None


def part(day: int, half: str, hours_h: float, loads: float) -> VisitPart:
    """A part on a day from today."""
    return VisitPart(day=TODAY.toordinal() + day, half=half, hours_h=hours_h, loads=loads)


def with_passes(plan: Plan, passes: Sequence[MadePass]) -> Plan:
    """The same field with other passes; its sprayed zones are those of the passes."""
    area = {zone.zone: zone.area_ac for zone in plan.zones}
    made = []
    for number, one in enumerate(passes, start=1):
        parts = tuple(part(*each) for each in one.parts)
        made.append(
            PlanPass(
                number=number,
                sprayer=one.sprayer,
                day=date.fromordinal(parts[0].day),
                half=parts[0].half,
                rate_gal_ac=one.rate_gal_ac,
                area_ac=sum(area[zone] for zone in one.zones),
                loads=round(sum(each.loads for each in parts)),
                visit_costs_usd=36.5,
                zones=one.zones,
                later_usd=(-12.4, -50.0),
                parts=parts,
                due=None if one.due_d is None else TODAY + timedelta(days=one.due_d),
                in_time_frac=one.in_time_frac,
            )
        )
    of_zone = {zone: one for one in made for zone in one.zones}
    zones = []
    for zone in plan.zones:
        its = of_zone.get(zone.zone)
        zones.append(
            replace(
                zone,
                pass_number=its and its.number,
                spray_on=its and its.day,
                rate_gal_ac=its and its.rate_gal_ac,
            )
        )
    return with_maps(replace(plan, zones=tuple(zones), passes=tuple(made), schedule="farm", today=TODAY))


def hours_of(
    plans: Sequence[Plan], sources: Mapping[str, Sequence[str]], worth_usd: Mapping[tuple, float]
) -> tuple[HalfDayUse, ...]:
    """Every half-day of every sprayer, in use as the passes say; `sources` has one word a day."""
    used: dict[tuple[str, int, str], float] = defaultdict(float)
    for plan in plans:
        for one in plan.passes:
            for each in one.parts:
                used[one.sprayer, each.day, each.half] += each.hours_h
    rows = []
    for sprayer, words in sources.items():
        for index, source in enumerate(words):
            day = TODAY + timedelta(days=index)
            for half in ("AM", "PM"):
                in_use = used[sprayer, day.toordinal(), half]
                rows.append(
                    HalfDayUse(
                        sprayer=sprayer,
                        day=day,
                        half=half,
                        planned_h=max(PLANNED_H[half], in_use),
                        used_h=in_use,
                        hour_usd=worth_usd.get((sprayer, index, half), 0.0),
                        source=source,
                    )
                )
    return tuple(rows)


def farm_of(plans: Sequence[Plan], sources: Mapping[str, Sequence[str]], **wanted: object) -> FarmPlan:
    """A farm of some fields."""
    whole = FarmPlan(
        farm="Heron Slough",
        today=TODAY,
        units=plans[0].units if plans else "us",
        country="US",
        folders=tuple(plan.field.lower().replace(" ", "_") for plan in plans),
        plans=tuple(plans),
        hours=hours_of(plans, sources, {(RIG, 6, "AM"): 212.4}),
        value_usd=4321.5,
        bound_usd=4324.2,
        gap_frac=0.00062,
        nodes=31,
        solver="exact",
        gap_limit_frac=0.001,
        node_limit=2000,
        worth=(
            WorthOf(change="an extra sprayer", sprayer=RIG, usd=640.2),
            WorthOf(change="filling in half the time", sprayer=RIG, usd=75.0),
        ),
        left_out=(),
        notes=(Said("sprayer.no_base", sprayers="rig"),),
        order_by=TODAY + timedelta(days=2),
        call_by=TODAY,
    )
    return replace(whole, **wanted)


def small_farm(units: str = "us") -> FarmPlan:
    """Three fields, three passes, two sprayers; R3 likely Jul 8 to 17 in blocks A, Jul 17 to 26 in B.

    Pass 1 of Three Dates runs from Jul 6 PM to Jul 7 AM, pass 2 is on Jul 14 AM; the hired rig does North
    forty on Jul 7 PM. Nothing is sprayed on Gravel.
    """
    told = {"units": units, "farm": "Heron Slough"}
    three = made_plan(
        Made(
            labels=[[1, 2], [3, 3]], block_of_zone={1: "A", 2: "A", 3: "B"}, pass_of_zone={1: 1, 3: 2}, **told
        )
    )
    north = made_plan(Made(labels=[[1, 1, 1]], pass_of_zone={1: 1}, field="North forty", **told))
    gravel = made_plan(Made(labels=[[1, 1]], pass_of_zone={}, field="Gravel", **told))
    plans = [
        with_passes(
            three,
            [
                MadePass((1,), ((5, "PM", 2.5, 1.6), (6, "AM", 1.5, 1.4)), due_d=10, in_time_frac=0.83),
                MadePass((3,), ((13, "AM", 1.2, 2.0),), rate_gal_ac=20.0, due_d=19, in_time_frac=1.0),
            ],
        ),
        with_passes(north, [MadePass((1,), ((6, "PM", 1.0, 1.0),), sprayer=HIRED)]),
        with_passes(gravel, []),
    ]
    words = {
        RIG: ["forecast"] * 7 + ["past years"] * 14,
        HIRED: ["planning triple"] * 21,
    }
    left = (LeftOut(field="Three Dates", zone=2, area_ac=0.4, why=Said("passes.only_another_day")),)
    plans = [replace(plan, cautions=cautions("US")) for plan in plans]
    return farm_of(plans, words, left_out=left)


def part_done() -> FarmPlan:
    """The small farm with zone 3 of Three Dates sprayed two days ago and zone 2 sixteen days ago."""
    farm = small_farm()
    ago_d = {2: 16, 3: 2}
    three = farm.plans[0]
    zones = tuple(
        replace(zone, sprayed_on=TODAY - timedelta(days=ago_d[zone.zone])) if zone.zone in ago_d else zone
        for zone in three.zones
    )
    return replace(farm, plans=(replace(three, zones=zones), *farm.plans[1:]))


def bare_farm(fields: int = 3, level: int = 3) -> FarmPlan:
    """A farm on which no pass is made."""
    plans = [
        with_passes(
            made_plan(Made(labels=[[1, 2]], level=level, pass_of_zone={}, field=f"Field {index + 1}")), []
        )
        for index in range(fields)
    ]
    empty = {"value_usd": 0.0, "bound_usd": 0.0, "gap_frac": 0.0, "worth": (), "notes": ()}
    return farm_of(plans, {}, order_by=None, call_by=None, **empty)


NAMES = (
    "Ditch eighty",
    "Home quarter",
    "Long bottom",
    "North forty",
    "Old orchard",
    "Ridge",
    "School section",
)


def seeded_farm(seed: int, fields: int = 5, days: int = 21, sprayers: int = 1, units: str = "us") -> FarmPlan:
    """A farm of many fields with passes on whatever days; the same seed, the same farm."""
    chance = np.random.default_rng(seed)
    rigs = [RIG, HIRED, "drone", *(f"rig {number}" for number in range(4, sprayers + 1))][:sprayers]
    plans = []
    for index in range(fields):
        name = f"{NAMES[index % len(NAMES)]}{f' {index // len(NAMES) + 1}' if index >= len(NAMES) else ''}"
        blocks = {1: "A", 2: "A", 3: "B" if chance.random() < 0.4 else "A"}
        first = date(2026, 4, 21) + timedelta(days=int(chance.integers(0, 12)))
        plan = made_plan(
            Made(
                labels=[[1, 1, 2], [3, 3, 3]],
                block_of_zone=blocks,
                pass_of_zone={1: 1, 3: 2},
                first_planted=first,
                field=name,
                cell_m=120,
                units=units,
            )
        )
        passes = []
        for zones in ((1, 2), (3,)) if chance.random() < 0.5 else ((1, 3),) if chance.random() < 0.8 else ():
            start = int(chance.integers(0, days - 2))
            half = str(chance.choice(["AM", "PM"]))
            parts = [(start, half, round(float(chance.uniform(0.4, 2.0)), 2), 2.0)]
            if chance.random() < 0.4:
                later = (start, "PM") if half == "AM" else (start + 1, "AM")
                parts.append((*later, round(float(chance.uniform(0.4, 2.0)), 2), 1.0))
            passes.append(
                MadePass(
                    zones,
                    tuple(parts),
                    sprayer=rigs[int(chance.integers(0, sprayers))],
                    rate_gal_ac=float(chance.choice([10.0, 15.0, 20.0])),
                    due_d=start + int(chance.integers(0, 6)),
                    in_time_frac=round(float(chance.uniform(0.3, 1.0)), 3),
                )
            )
        plans.append(with_passes(plan, passes))
    sources = {rig: (["forecast"] * 7 + ["past years"] * days)[:days] for rig in rigs}
    left = tuple(
        LeftOut(
            field=plan.field,
            zone=zone.zone,
            area_ac=zone.area_ac,
            why=Said("passes.left_out_of_visit", number=1),
        )
        for plan in plans[::3]
        for zone in plan.zones
        if zone.pass_number is None
    )
    plans = [replace(plan, cautions=cautions("US")) for plan in plans]
    return farm_of(plans, sources, left_out=left)


def spread(farm: FarmPlan, apart_deg: float = 0.02, a_row: int = 10) -> FarmPlan:
    """The same farm with its fields beside each other, a row after the other, instead of on one spot."""
    plans = []
    for index, plan in enumerate(farm.plans):
        right, down = (index % a_row) * apart_deg, (index // a_row) * apart_deg
        moved = partial(affinity.translate, xoff=right, yoff=-down)
        zones = tuple(replace(zone, outline=moved(zone.outline)) for zone in plan.zones)
        plans.append(replace(plan, boundary=moved(plan.boundary), zones=zones))
    return replace(farm, plans=tuple(plans))
