"""How long a farm's schedule takes and how good it is. Run as a program; no test depends on it.

Invented farms: 14 days in two halves, 30 % of the half-days lost, 0.9-2.7 h in the others, windows of 5-9
days, 10 and 20 gal/ac at 90.6 and 69.6 ac/h, at 10 gal/ac 0.70-0.97 of the response, fields of 20-80 ac.
"""

import argparse
import time
from dataclasses import replace

import numpy as np

from zoning.passes.half_days import HalfDays
from zoning.passes.problem import FarmProblem, FieldOptions, FieldProblem, Limits, Machine
from zoning.passes.schedule.farm import schedule

DAYS = 14
SIZES = {"40": (40, 1, 1), "400": (400, 8, 1), "4000": (4000, 20, 4)}  # fields, hubs, sprayers a hub


def made_field(rng: np.random.Generator, name: str) -> FieldProblem:
    """A field of three zones in one to three blocks, each with a window of its own."""
    blocks = int(rng.choice([1, 2, 3], p=[0.6, 0.25, 0.15]))
    block = np.sort(np.concatenate([np.arange(blocks), rng.integers(0, blocks, 3 - blocks)]))
    area = rng.uniform(20, 80) * rng.dirichlet(np.full(3, 4.0))
    best_day = rng.uniform(-2, DAYS - 4) + np.cumsum(rng.uniform(2, 6, blocks)) - 4
    since = np.arange(DAYS) - best_day[block, np.newaxis]
    half = rng.uniform(2.5, 4.5)
    share = np.where(np.abs(since) <= half, 1 - 0.3 * (since / half) ** 2, np.nan)
    gain = rng.uniform(30, 65, (3, 1)) * rng.uniform(0.85, 1.15, (3, 1)) * share
    at_10 = rng.uniform(0.70, 0.97)
    net = np.stack([at_10 * gain, gain], axis=-1) - 30
    return FieldProblem(
        field=name,
        zones=(1, 2, 3),
        block_of_zone=tuple(block.tolist()),
        area_ac=area,
        days=np.arange(DAYS),
        volumes_gal_ac=(10.0, 20.0),
        net_usd_ac=net,
        worth_it=np.nan_to_num(net, nan=-1) > 0,
        swath_area_ac=area[np.newaxis],
        track_loss_usd_ac=np.zeros(3),
        bill_usd_ac=0.0,
        pass_usd_ac=9.0,
        per_visit_usd=30.0,
        minimum_bill_usd=0.0,
        travel_h=rng.uniform(0.05, 0.25),
    )


def made_farm(fields: int, hubs: int, sprayers: int, seed: int) -> FarmProblem:
    """A farm whose fields belong to hubs, each with sprayers that are alike."""
    rng = np.random.default_rng(seed)
    machines = []
    for hub in range(hubs):
        hours = rng.uniform(0.9, 2.7, (DAYS, 2)) * (rng.random((DAYS, 2)) > 0.3)
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
        problem = made_field(rng, f"field {place + 1}")
        mine = range(place % hubs * sprayers, (place % hubs + 1) * sprayers)
        here = tuple(machines[at] for at in mine)
        options.append(FieldOptions(problems=(problem,) * sprayers, machines=tuple(mine), machine_here=here))
    return FarmProblem(fields=tuple(options), machines=tuple(machines))


def main() -> None:
    """Print gap and seconds."""
    asked = argparse.ArgumentParser()
    asked.add_argument("sizes", nargs="*", default=["40", "400"])
    asked.add_argument("--gap", type=float, default=0.001)
    asked.add_argument("--nodes", type=int, default=2000)
    asked.add_argument("--seeds", type=int, default=1)
    asked.add_argument("--extras", action="store_true")
    args = asked.parse_args()
    for size in args.sizes:
        for seed in range(args.seeds):
            farm = made_farm(*SIZES[size], seed)
            begin, busy = time.perf_counter(), time.process_time()
            plan = schedule(farm, Limits(gap_frac=args.gap, nodes=args.nodes), extras=args.extras)
            took, busy = time.perf_counter() - begin, time.process_time() - busy
            print(
                f"{size:>5} fields, seed {seed}: {took:6.1f} s ({busy:.1f} s of work), "
                f"gap {100 * plan.gap_frac:.3f} %, "
                f"{plan.nodes} nodes, {plan.value_usd:,.0f} USD, {plan.solver}",
                flush=True,
            )


if __name__ == "__main__":
    main()
