"""What the plan of a whole region is worth, against the truth of made regions and against plainer plans.

    PYTHONPATH=tests/made python tests/benchmarks/bench_region_value.py [REGIONS] [FIELDS] [--seed 0]
        [--counted 0 0.1 ...] [--wetter -9] [--trials]

Each region is one season of one hub: FIELDS fields that share two sprayers. The planner sees the files; the
truth comes from `made_region_truth`. It is not fitted to the value of a plan, but it was changed after some
figures had been seen: the mean day of R3 was set so that the planner's forecast is neither early nor late,
nights of wet seasons were made damp, and scouts may find disease weeks before R3. All of it favours the
planner.

Every plan is carried out by the same sprayers, once in the hours that the planner counts on and once in those
that the weather really gives. Figures are USD for each acre of the region, sprayed or not, with the standard
error over regions, because fields of a season share its weather.

--trials tells the planner of own trials with 3.6 bu/ac, about twice what is true on average: what a wrong
belief costs. --wetter takes seasons only that are wetter than so many standard deviations, in which spraying
pays and hours are short. Eight regions of thirty fields take some minutes.
"""

import os

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy is imported

import argparse
import tempfile
from collections.abc import Callable
from functools import partial
from itertools import count, islice
from pathlib import Path

import numpy as np
from made_region import made_region
from made_region_values import (
    Job,
    Offered,
    carried_out,
    each_alone,
    every_field,
    offered,
    planned_hours,
    sprayed_frac,
    together,
    true_hours,
    true_usd,
    whole_or_none,
)
from made_seasons import season_of

OURS = "zones, one schedule"
RULES: dict[str, Callable[[Offered], list[Job]]] = {
    OURS: together,
    "zones, each field for itself": each_alone,
    "whole or not, by its mean": whole_or_none,
    "every field whole at R3": every_field,
    "one schedule, truth known": partial(together, knowing=True),
    "each for itself, truth known": partial(each_alone, knowing=True),
}
BOUND, NOTHING = "clairvoyant, no limit of hours", "nothing"
HOURS = {"planned": planned_hours, "real": true_hours}
Row = dict[str, tuple[float, float]]  # rule -> USD/ac, share sprayed


def of_region(of: Offered) -> dict[str, Row]:
    """Score every rule in one region."""
    rows: dict[str, Row] = {name: {NOTHING: (0.0, 0.0)} for name in HOURS}
    bound = sum(field.clairvoyant_usd() for field in of.region.fields) / of.acres
    for rule, jobs_of in RULES.items():
        jobs = jobs_of(of)
        for name, hours_of in HOURS.items():
            plans = carried_out(of, jobs, hours_of(of))
            rows[name][rule] = (true_usd(of, plans) / of.acres, sprayed_frac(of, plans))
    for row in rows.values():
        row[BOUND] = (bound, float("nan"))
    return rows


def seeds(first: int, regions: int, wetter: float) -> list[int]:
    """List the next seeds whose season is wetter than that, in standard deviations."""
    every = (seed for seed in count(first) if season_of(np.random.default_rng([seed, 1]), seed).wet > wetter)
    return list(islice(every, regions))


def se(values: np.ndarray) -> float:
    """Standard error of a mean over regions."""
    return float(values.std(ddof=1) / np.sqrt(values.size)) if values.size > 1 else float("nan")


def print_table(rows: list[Row], hours: str, counted: float) -> None:
    """Print what every rule returned, and how far ours is ahead."""
    usd = {rule: np.array([row[rule][0] for row in rows]) for rule in rows[0]}
    print(f"\n{len(rows)} regions, {counted:.0%} of the fields counted, {hours} hours")
    print(f"{'':32} USD/ac   (se)  sprayed   ours ahead by (se)")
    for rule, values in usd.items():
        ahead = usd[OURS] - values
        share = np.mean([row[rule][1] for row in rows])
        print(
            f"{rule:32} {values.mean():6.2f} ({se(values):.2f}) {share:8.2f}"
            f" {ahead.mean():14.2f} ({se(ahead):.2f})"
        )


def main() -> None:
    """Make regions, plan, score, print."""
    asked = argparse.ArgumentParser()
    asked.add_argument("regions", type=int, nargs="?", default=8)
    asked.add_argument("fields", type=int, nargs="?", default=30)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--wetter", type=float, default=-9.0)
    asked.add_argument("--counted", type=float, nargs="+", default=(0.0, 0.1))
    asked.add_argument("--trials", action="store_true")
    args = asked.parse_args()
    told = "own trials of 3.6 bu/ac" if args.trials else "published trials, as the truth is"
    print(f"The planner is told of {told}. Each region, USD/ac in planned hours:")
    for counted in args.counted:
        rows: dict[str, list[Row]] = {name: [] for name in HOURS}
        for seed in seeds(args.seed, args.regions, args.wetter):
            with tempfile.TemporaryDirectory() as folder:
                region = made_region(
                    Path(folder) / "region",
                    args.fields,
                    seed,
                    fields_a_hub=args.fields,
                    counted=counted,
                    pooled=not args.trials,
                )
                found = of_region(offered(region))
            for name, row in found.items():
                rows[name].append(row)
            each = "  ".join(f"{one[0]:6.2f}" for one in found["planned"].values())
            cost = region.fields[0].money.cost_usd_ac
            print(f"  seed {seed}, wet {region.season.wet:+.1f}, {cost:.0f} USD/ac: {each}", flush=True)
        for name in HOURS:
            print_table(rows[name], name, counted)


if __name__ == "__main__":
    main()
