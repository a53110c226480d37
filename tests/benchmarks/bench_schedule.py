"""How long a farm's schedule takes and how good it is. Run as a program; no test depends on it.

Invented farms: 14 days in two halves, 30 % of the half-days lost, 0.9-2.7 h in the others, 10 and 20 gal/ac
at 90.6 and 69.6 ac/h, fields of 20-80 ac with three zones (--zones) in one to three blocks. What a day is
worth:

as priced   by the program's own stage curve, R3 known to 1.8 d (counted) or 3.8 d, 2.5-5.5 bu/ac at its best,
            10 gal/ac with all or nine tenths of it; hours are short where less than 1 of --hours is given
steep       windows of 5-9 days at whose edges 30 % of the gain is lost, 10 gal/ac with 0.70-0.97 of it: days
            and volumes differ by more than they do in a field, and few plans are nearly alike
"""

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from zoning.offers.choose import choose
from zoning.offers.offered import Choice
from zoning.offers.parts import joined, parts
from zoning.passes.half_days import HalfDays
from zoning.passes.problem import FarmProblem, FieldOptions, FieldProblem, Limits, Machine, Schedule
from zoning.passes.schedule.farm import schedule
from zoning.returns.curve import effect

Price = Callable[[np.random.Generator, np.ndarray], np.ndarray]  # of the blocks of the zones

DAYS, DRAWS = 14, 256
FROM_R3 = np.array([-13.0, -10.0, 0.0, 9.0, 18.0, 33.0, 51.0])  # days on which R1 ... R7 begin
SIZES = {
    "40": (40, 1, 1),
    "400": (400, 8, 1),
    "2000": (2000, 20, 3),
    "4000": (4000, 20, 4),
}  # fields, hubs, sprayers a hub


def as_priced(rng: np.random.Generator, block: np.ndarray) -> np.ndarray:
    """Net return of zones on each day at both volumes, by the stage curve [USD/ac]."""
    blocks = block.max() + 1
    r3 = rng.uniform(-6, DAYS - 4) + np.cumsum([0, *rng.uniform(3, 9, blocks - 1)])
    off = rng.normal(0, rng.choice([1.8, 3.8]), (DRAWS, 1))
    shares = [
        effect("published", day + off + FROM_R3, np.arange(DAYS)).responding_frac.mean(axis=0) for day in r3
    ]
    gain = 10.40 * rng.uniform(2.5, 5.5) * rng.uniform(0.75, 1.25, (block.size, 1)) * np.array(shares)[block]
    return np.stack([rng.choice([0.9, 1.0]) * gain, gain], axis=-1) - 30


def steep(rng: np.random.Generator, block: np.ndarray) -> np.ndarray:
    """Net return of zones on each day at both volumes, in short steep windows [USD/ac]."""
    blocks = block.max() + 1
    best_day = rng.uniform(-2, DAYS - 4) + np.cumsum(rng.uniform(2, 6, blocks)) - 4
    since = np.arange(DAYS) - best_day[block, np.newaxis]
    half = rng.uniform(2.5, 4.5)
    share = np.where(np.abs(since) <= half, 1 - 0.3 * (since / half) ** 2, np.nan)
    gain = rng.uniform(30, 65, (block.size, 1)) * rng.uniform(0.85, 1.15, (block.size, 1)) * share
    return np.stack([rng.uniform(0.70, 0.97) * gain, gain], axis=-1) - 30


def made_field(rng: np.random.Generator, name: str, priced: Price, zones: int) -> FieldProblem:
    """A field whose zones are in one to three blocks."""
    blocks = int(rng.choice([1, 2, 3], p=[0.6, 0.25, 0.15]))
    block = np.sort(np.concatenate([np.arange(blocks), rng.integers(0, blocks, zones - blocks)]))
    area = rng.uniform(20, 80) * rng.dirichlet(np.full(zones, 4.0))
    net = priced(rng, block)
    return FieldProblem(
        field=name,
        zones=tuple(range(1, zones + 1)),
        block_of_zone=tuple(block.tolist()),
        area_ac=area,
        days=np.arange(DAYS),
        volumes_gal_ac=(10.0, 20.0),
        net_usd_ac=net,
        worth_it=np.nan_to_num(net, nan=-1) > 0,
        swath_area_ac=area[np.newaxis],
        track_loss_usd_ac=np.zeros(zones),
        bill_usd_ac=0.0,
        pass_usd_ac=9.0,
        per_visit_usd=30.0,
        minimum_bill_usd=0.0,
        travel_h=rng.uniform(0.05, 0.25),
    )


def made_farm(
    size: tuple[int, int, int], seed: int, priced: Price, hours_frac: float = 1.0, zones: int = 3
) -> FarmProblem:
    """A farm whose fields belong to hubs, each with sprayers that are alike."""
    fields, hubs, sprayers = size
    rng = np.random.default_rng(seed)
    machines = []
    for hub in range(hubs):
        hours = hours_frac * rng.uniform(0.9, 2.7, (DAYS, 2)) * (rng.random((DAYS, 2)) > 0.3)
        of_hub = HalfDays(
            first_day=0, planned_h=hours, futures_h=hours[np.newaxis], source=("forecast",) * DAYS
        )
        first = Machine(
            name="",
            acres_per_hour=(90.6, 69.6),
            acres_per_load=(100.0, 50.0),
            set_up_h=1 / 6,
            hours=of_hub,
            hub=f"hub {hub + 1}",
            fill_h=1 / 3,
        )
        machines += [replace(first, name=f"{hub + 1}.{at + 1}") for at in range(sprayers)]
    options = []
    for place in range(fields):
        problem = made_field(rng, f"field {place + 1}", priced, zones)
        mine = range(place % hubs * sprayers, (place % hubs + 1) * sprayers)
        here = tuple(machines[at] for at in mine)
        options.append(FieldOptions(problems=(problem,) * sprayers, machines=tuple(mine), machine_here=here))
    return FarmProblem(fields=tuple(options), machines=tuple(machines))


def by_parts(farm: FarmProblem, limits: Limits, extras: bool) -> Schedule:
    """The schedule of a farm, part by part as a farm's run does it."""
    sys.path.insert(0, str(Path(__file__).parents[1] / "made"))
    from made_whole import options_of, zone_of

    from zoning.returns.mixture import from_parts

    base = options_of((zone_of(1, from_parts([1.0], [[4.0, 0.0]]), 40.0),))
    fields = [
        tuple(
            Choice(sprayer=None, zones=(), options=replace(base, problem=problem, machine=here), notes=())
            for problem, here in zip(field.problems, field.machine_here, strict=True)
        )
        for field in farm.fields
    ]
    apart = parts(fields)
    return joined(
        [choose([fields[at] for at in part.fields], limits, extras=extras) for part in apart], apart
    ).schedule


def main() -> None:
    """Print gap and seconds."""
    asked = argparse.ArgumentParser()
    asked.add_argument("sizes", nargs="*", default=["40", "400"])
    asked.add_argument("--gap", type=float, default=0.001)
    asked.add_argument("--nodes", type=int, default=2000)
    asked.add_argument("--seeds", type=int, default=1)
    asked.add_argument("--extras", action="store_true")
    asked.add_argument("--steep", action="store_true")
    asked.add_argument("--hours", type=float, default=1.0, help="share of the usual spray hours")
    asked.add_argument("--zones", type=int, default=3, help="of each field, 3 or more")
    asked.add_argument("--parts", action="store_true", help="hub by hub, as a farm's run does it")
    args = asked.parse_args()
    chosen = by_parts if args.parts else lambda farm, limits, extras: schedule(farm, limits, extras=extras)
    for size in args.sizes:
        for seed in range(args.seeds):
            farm = made_farm(SIZES[size], seed, steep if args.steep else as_priced, args.hours, args.zones)
            begin, busy = time.perf_counter(), time.process_time()
            plan = chosen(farm, Limits(gap_frac=args.gap, nodes=args.nodes), args.extras)
            took, busy = time.perf_counter() - begin, time.process_time() - busy
            print(
                f"{size:>5} fields, seed {seed}: {took:6.1f} s ({busy:.1f} s of work), "
                f"gap {100 * plan.gap_frac:.3f} %, "
                f"{plan.nodes} nodes, {plan.value_usd:,.0f} USD, {plan.solver}, "
                f"{sum(used.sum() for used in plan.used_h):,.0f} h in use",
                flush=True,
            )


if __name__ == "__main__":
    main()
