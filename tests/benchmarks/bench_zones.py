"""Zones of quarter sections against the straightforward chain; run by hand: `python` with this file.

a: survey fields of 64 ha at 10 m, four layers, one to four blocks; the chain clusters the whole field.
d: 10,000 of them on two processes of one thread each; the fields differ by seed, 25 in turn.

The timed step is the choice of the number of zones, tidying, outlines and zonal means. Measuring the zones is
timed apart. Quality stands beside the times: shares of variance against clusters that nobody cleaned, inside
the same blocks and across them.
"""

import os
import statistics
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import numpy as np
import shapely

sys.path[:0] = [str(Path(__file__).parents[1] / "made"), str(Path(__file__).parent)]

from made_survey_fields import survey_field  # noqa: E402
from made_zoned import survey_ground, zoned_survey  # noqa: E402
from straightforward import chain  # noqa: E402

from zoning.field import measure_here  # noqa: E402
from zoning.zones.delineate import delineate  # noqa: E402
from zoning.zones.zoning import Limits  # noqa: E402

ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_WAIT_POLICY": "PASSIVE"}
FIELDS, CHAINED, MANY, RUNS = 20, 5, 10_000, 5
MOST = (3, 6)  # zones a block: the usual setting, and the most there is


def limits(most: int) -> Limits:
    """The usual smallest zone, and this many zones a block at most."""
    return Limits(max_zones_per_block=most, min_area_ac=1.0)


def cpu_ms(work: Callable[[], object]) -> float:
    """CPU time of one run. [ms]."""
    start = time.process_time()
    work()
    return 1000 * (time.process_time() - start)


def case_a() -> None:
    """Time and judge every field, at both settings.

    The chain runs on the first fields only, in turn with ours, so that both meet the same noise;
    the least of several runs counts.
    """
    fields = [survey_field(seed) for seed in range(FIELDS)]
    grounds = [survey_ground(field) for field in fields]
    ours = np.full((len(MOST), FIELDS), np.inf)
    chained = np.full(CHAINED, np.inf)
    for _ in range(RUNS):
        for at, (one, ground) in enumerate(zip(fields, grounds, strict=True)):
            if at < CHAINED:
                stack = np.stack(list(one.layers.values()), -1)
                chained[at] = min(
                    chained[at], 1000 * sum(chain(stack, ground.grid.cell_m, one.inside).cpu_s.values())
                )
            for row, most in enumerate(MOST):
                took = cpu_ms(partial(delineate, one.layers, ground, limits(most), seed=1))
                ours[row, at] = min(ours[row, at], took)
    print(f"chain, mean of {CHAINED} fields: {chained.mean():.0f} ms CPU")
    blocks = np.array([len(ground.block_outlines) for ground in grounds])
    for row, most in enumerate(MOST):
        by_blocks = {count: chained.mean() / ours[row, blocks == count].mean() for count in np.unique(blocks)}
        print(
            f"at most {most} zones a block: {ours[row].mean():.1f} ms (most {ours[row].max():.1f}); "
            f"{chained.mean() / ours[row].mean():.0f}x; by blocks "
            + ", ".join(f"{count}: {ratio:.0f}x" for count, ratio in by_blocks.items())
        )
        judge(most)


def judge(most: int) -> None:
    """Print what the zones explain and of how many patches they are, field by field, and the worst."""
    losses, patches, totals, strata, smallest, measured = [], [], [], [], [], []
    for seed in range(FIELDS):
        found = zoned_survey(seed, limits(most))
        start = time.process_time()
        quality = measure_here(found, seed=1)()
        measured.append(1000 * (time.process_time() - start))
        parts = [shapely.get_parts(zone.outline) for zone in found.zoning.zones]
        losses.append(quality.uncleaned_frac - quality.explained_frac)
        strata.append(quality.unconstrained_frac - quality.uncleaned_frac)
        patches.append(max(len(one) for one in parts))
        totals.append(sum(len(one) for one in parts))
        smallest.append(min(float(shapely.area(one).min()) for one in parts))
    print(
        f"  explained below uncleaned clusters in the same blocks: mean {np.mean(losses):.3f}, "
        f"most {max(losses):.3f}; below those, what the blocks cost against clusters across them: "
        f"mean {np.mean(strata):.3f}, most {max(strata):.3f}"
    )
    print(
        f"  patches: most {max(patches)} a zone, {max(totals)} a field; "
        f"smallest {min(smallest) / 4046.856:.2f} ac; measuring takes {statistics.mean(measured):.0f} ms"
    )


def some(seeds: range) -> float:
    """Zone fields of some seeds, one after the other, and say how long the zoning took. [s]."""
    made = [(field, survey_ground(field)) for field in map(survey_field, range(25))]
    start = time.perf_counter()
    for seed in seeds:
        field, ground = made[seed % len(made)]
        delineate(field.layers, ground, limits(3), seed=seed)
    return time.perf_counter() - start


def case_d() -> None:
    """Zone many fields on two processes; making them is not timed."""
    with ProcessPoolExecutor(2) as pool:
        halves = [range(MANY // 2), range(MANY // 2, MANY)]
        took = max(pool.map(some, halves))
    print(f"{MANY:,} fields on two processes: {took:.0f} s")


if __name__ == "__main__":
    if any(os.environ.get(name) != value for name, value in ONE_THREAD.items()):
        # libraries read this when they are loaded, so the benchmark starts itself again
        os.execve(sys.executable, [sys.executable, *sys.argv], os.environ | ONE_THREAD)
    for case in sys.argv[1:] or ("a", "d"):
        {"a": case_a, "d": case_d}[case]()
