"""How long the passes of a field take to plan. Run as a program; no test depends on it."""

import time

import numpy as np

from zoning.passes.half_days import even
from zoning.passes.problem import FieldProblem, Machine
from zoning.passes.schedule.farm import alone


def field(blocks: int, zones_a_block: int, days: int, tracks: bool) -> FieldProblem:
    """An invented field: the best day of a block is two days after that of the one before it."""
    rng = np.random.default_rng(blocks)
    zones = blocks * zones_a_block
    block = np.repeat(np.arange(blocks), zones_a_block)
    since = np.arange(days) - 2.0 * block[:, np.newaxis] - 3
    net = 12 - 0.25 * since**2 + rng.normal(0, 2, (zones, 1))
    net = np.repeat(net[:, :, np.newaxis], 3, axis=2)
    return FieldProblem(
        field=f"{blocks} blocks x {zones_a_block} zones, {days} days, {'new' if tracks else 'no'} tracks",
        zones=tuple(range(1, zones + 1)),
        block_of_zone=tuple(int(at) for at in block),
        area_ac=rng.uniform(5, 40, zones),
        days=np.arange(days),
        volumes_gal_ac=(10.0, 15.0, 20.0),
        net_usd_ac=net,
        worth_it=net > 0,
        swath_area_ac=rng.uniform(0.1, 1, (40, zones)),
        track_loss_usd_ac=np.full(zones, 1.0 if tracks else 0.0),
        bill_usd_ac=0.0,
        pass_usd_ac=9.0,
        per_visit_usd=60.0,
        minimum_bill_usd=0.0,
    )


def main() -> None:
    """Print milliseconds for a few sizes."""
    machine = Machine(
        name="rig",
        acres_per_hour=(98.0, 78.0, 58.5),
        acres_per_load=(100.0, 66.7, 50.0),
        set_up_h=1 / 3,
        hours=even(0, 400, 3.1),
    )
    for size in (
        (3, 2, 21, True),
        (6, 3, 21, True),
        (6, 3, 21, False),
        (20, 1, 21, True),
        (20, 3, 120, True),
    ):
        problem = field(*size)
        begin = time.perf_counter()
        chosen = alone(problem, machine)
        took_ms = 1000 * (time.perf_counter() - begin)
        print(f"{problem.field:>50}: {took_ms:7.1f} ms, {len(chosen.visits)} visits")


if __name__ == "__main__":
    main()
