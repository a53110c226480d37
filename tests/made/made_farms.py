"""Small farms drawn at random: up to four fields, three days, one or two sprayers, hours short."""

import numpy as np
from made_problems import problem

from zoning.passes.half_days import HalfDays
from zoning.passes.problem import FarmProblem, FieldOptions, Machine

FIRST_DAY, DAYS = 200, 3


def half_days_of(hours):
    """The same hours in every future."""
    hours = np.asarray(hours, dtype=float)
    source = ("forecast",) * len(hours)
    return HalfDays(first_day=FIRST_DAY, planned_h=hours, futures_h=hours[np.newaxis], source=source)


def made_machines(rng, volumes, hubs):
    """One or two sprayers, sometimes alike, each of its own hub or all of one."""
    machines = []
    alike = rng.random() < 0.4
    for at in range(int(rng.integers(1, 3))):
        hub = f"hub {at}" if hubs else "home"
        if at and alike:
            first = machines[0]
            paces, loads, set_up, hours = (
                first.acres_per_hour,
                first.acres_per_load,
                first.set_up_h,
                first.hours,
            )
        else:
            paces = tuple(sorted(rng.uniform(40, 100, volumes), reverse=True))
            loads = tuple(sorted(rng.uniform(15, 60, volumes), reverse=True))
            set_up = float(rng.uniform(0, 0.3))
            hours = half_days_of(rng.uniform(0.2, 1.6, (DAYS, 2)) * (rng.random((DAYS, 2)) < 0.75))
        machines.append(
            Machine(
                name=f"rig {at}",
                acres_per_hour=paces,
                acres_per_load=loads,
                set_up_h=set_up,
                hours=hours,
                hub=hub,
            )
        )
    return tuple(machines)


def made_field(rng, name, volumes):
    """Up to three zones in up to three blocks, with or without tracks, bills, another pass."""
    zones = int(rng.integers(1, 4))
    blocks = int(rng.integers(1, zones + 1))
    block = tuple(sorted([*range(blocks), *rng.integers(0, blocks, zones - blocks)]))
    net = rng.normal(7, 6, (zones, DAYS, volumes))
    net[rng.random(net.shape) < 0.1] = np.nan
    swaths = rng.uniform(0, 10, (4, zones)) * (rng.random((4, zones)) < 0.6)
    anyway = bool(rng.random() < 0.15)
    return problem(
        net,
        rng.uniform(10, 90, zones),
        field=name,
        block_of_zone=block,
        worth_it=np.nan_to_num(net, nan=-1) > 0.2,
        swath_area_ac=np.vstack([swaths, np.full((1, zones), 0.5)]),
        track_loss_usd_ac=rng.uniform(0, 3, zones) * (rng.random() < 0.5),
        per_visit_usd=0.0 if anyway else float(rng.uniform(0, 80)),
        pass_usd_ac=9.0,
        minimum_bill_usd=0.0 if anyway else float(rng.choice([0, 300.0])),
        min_net_usd_ac=float(rng.choice([0, 1.0])),
        travel_h=float(rng.uniform(0, 0.4)),
        goes_anyway=anyway,
        split_load_usd=40.0 * anyway,
        may_fill_up=bool(rng.random() < 0.5),
        afternoon_less_usd_ac=np.full(net.shape, 1.0) if rng.random() < 0.3 else None,
    )


def made_farm(seed):
    """A farm; its fields may be sprayed by the sprayers of their hub."""
    rng = np.random.default_rng(seed)
    volumes, hubs = int(rng.integers(1, 4)), bool(rng.random() < 0.3)
    machines = made_machines(rng, volumes, hubs)
    fields = []
    for at in range(int(rng.integers(1, 5))):
        one = made_field(rng, f"field {at}", volumes)
        who = (int(rng.integers(0, len(machines))),) if hubs else tuple(range(len(machines)))
        fields.append(
            FieldOptions(
                problems=(one,) * len(who), machines=who, machine_here=tuple(machines[m] for m in who)
            )
        )
    return FarmProblem(fields=tuple(fields), machines=machines)
