"""What chances and plans are worth, against seasons with a truth of their own; prints the tables.

Nothing here is fitted: `made_seasons` makes the truth, the rooms plan from what a planner would know, and the
truth scores both. Standard errors count seasons, not fields.

Run it by hand, about five minutes:
PYTHONPATH=tests/made OMP_NUM_THREADS=1 python tests/benchmarks/bench_value.py [seasons] [seed]
"""

import sys
import time

import numpy as np
from made_seasons import TrueField, made_seasons
from made_values import (
    Chances,
    Floats,
    Planned,
    at_forecast_r3,
    brier,
    chances,
    clairvoyant,
    clustered_se,
    each_block_at_r3,
    held,
    planned,
    range_holds,
    reliability,
    whole_field_or_none,
)

FIELDS_A_SEASON = 10
SEASONS = 400
SEED = 20261128  # of the truth
FURTHER_SEEDS = (1, 2)
PLANNER_SEED = 5
CALENDAR_DAYS = np.arange(190, 221)
WITHIN = 0.05
PRESSURES = ("unknown", "low", "medium", "high", "seen")


def print_chances(title: str, of: Chances) -> None:
    """Print the Brier score and both reliability tables of one set of chances."""
    usual = of.came.mean()
    print(f"\n{title}: {of.came.size} zones, came {usual:.3f}, foretold {of.foretold.mean():.3f}")
    print(f"  Brier {brier(of):.4f} (the overall share told to everyone: {usual * (1 - usual):.4f})")
    for name, edges in (("fifths of the zones", None), ("bands of the chance", np.linspace(0, 1, 6))):
        print(f"  {name:20} foretold   came    off    (se)   zones")
        for band in reliability(of, edges):
            off = band.came - band.foretold
            mark = "" if abs(off) <= WITHIN else f"  beyond {WITHIN}"
            line = f"{band.foretold:8.3f} {band.came:6.3f} {off:+6.3f} ({band.se:.3f}) {band.zones:7d}"
            print(f"  {'':20} {line}{mark}")


def print_ranges(plans: list[Planned], days: list[Floats]) -> None:
    """Print how often the truth lies inside the 80 % ranges."""
    of_zones, of_fields = zip(
        *(range_holds(one, day) for one, day in zip(plans, days, strict=True)), strict=True
    )
    inside, whole = np.concatenate(of_zones).mean(), np.mean(of_fields)
    print(f"\nInside the 80 % range: {inside:.3f} of the zones, {whole:.3f} of the fields sprayed whole")


def print_classes(plans: list[Planned], days: list[Floats]) -> None:
    """Print how far each pressure class is off, on stated days."""
    print("\nBy class: zones, mean response at its best (held, true), true SD, chance (held, came)")
    for pressure in PRESSURES:
        of_class, believed, true = [], [], []
        for plan, day in zip(plans, days, strict=True):
            is_of = np.array([zone.pressure == pressure for zone in plan.field.zones])
            of_class.append(np.where(is_of, day, np.nan))
            for case, zone, counts in zip(plan.cases, plan.field.zones, is_of, strict=True):
                if counts:
                    believed.append(case.response_draws_bu_ac.mean())
                    true.append(zone.gain_bu_ac + zone.saved_bu_ac)
        of = chances(plans, of_class)
        print(f"  {pressure:8}{of.came.size:6d}  {np.mean(believed):5.2f} {np.mean(true):5.2f}", end="")
        print(f"  {np.std(true):5.2f}  {of.foretold.mean():.3f} {of.came.mean():.3f}")


class Scores:
    """Values of several plans of the same fields, in USD per acre of the field."""

    def __init__(self, fields: list[TrueField]) -> None:
        self.fields = fields
        self.acres = np.array([one.area_ac.sum() for one in fields])
        self.season = np.array([one.season for one in fields])

    def of(self, days: list[Floats]) -> Floats:
        """What each field truly returns per acre."""
        worth = [one.value_usd(day) for one, day in zip(self.fields, days, strict=True)]
        return np.asarray(np.array(worth) / self.acres)

    def mean(self, usd_ac: Floats) -> tuple[float, float]:
        """Mean per acre and its standard error by season."""
        return float(np.average(usd_ac, weights=self.acres)), clustered_se(usd_ac, self.acres, self.season)

    def sprayed(self, days: list[Floats]) -> float:
        """Share of the acres that are sprayed."""
        treated = sum(
            float(one.area_ac[~np.isnan(day)].sum()) for one, day in zip(self.fields, days, strict=True)
        )
        return treated / float(self.acres.sum())


def print_values(scores: Scores, plans: dict[str, list[Floats]], ours: str) -> None:
    """Print what each plan returns, and how far ours is ahead."""
    worth = {name: scores.of(days) for name, days in plans.items()}
    best = scores.mean(worth["clairvoyant"])[0]
    print(f"\n{'':34} USD/ac   (se)  acres   share of clairvoyant   {ours} ahead by (se)")
    for name, days in plans.items():
        mean, se = scores.mean(worth[name])
        ahead, ahead_se = scores.mean(worth[ours] - worth[name])
        line = f"{name:34} {mean:6.2f} ({se:.2f})  {scores.sprayed(days):5.2f} {mean / best:12.2f}"
        print(f"{line} {ahead:25.2f} ({ahead_se:.2f})")


def calendar(scores: Scores) -> tuple[int, list[Floats]]:
    """Choose the one calendar day that turned out best for blankets: more than any grower could know."""
    days = {int(day): [np.full(len(one.zones), float(day)) for one in scores.fields] for day in CALENDAR_DAYS}
    best = max(days, key=lambda day: scores.mean(scores.of(days[day]))[0])
    return best, days[best]


def print_further(seasons: int) -> None:
    """Print the fifths again for truths of other seeds; chances only."""
    print("\nFifths of the zones on the forecast day of R3, other seeds: came - foretold (se)")
    for seed in FURTHER_SEEDS:
        fields = made_seasons(seasons, FIELDS_A_SEASON, seed)
        of = chances([held(one, PLANNER_SEED) for one in fields], [each_block_at_r3(one) for one in fields])
        bands = [f"{band.came - band.foretold:+.3f} ({band.se:.3f})" for band in reliability(of)]
        print(f"  seed {seed}: {'  '.join(bands)}   Brier {brier(of):.4f}")


def main() -> None:
    """Make the seasons, plan, score and print."""
    seasons = int(sys.argv[1]) if len(sys.argv) > 1 else SEASONS
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else SEED
    began = time.perf_counter()
    fields = made_seasons(seasons, FIELDS_A_SEASON, seed)
    print(f"{len(fields)} fields in {seasons} seasons, seed {seed}, planner's seed {PLANNER_SEED}")
    scores = Scores(fields)
    at_r3 = [each_block_at_r3(one) for one in fields]
    best_day, on_best_day = calendar(scores)
    blankets = {
        "blanket, field at forecast R3": [at_forecast_r3(one) for one in fields],
        "blanket, each block at R3": at_r3,
        f"blanket, best calendar day ({best_day})": on_best_day,
        "never": [np.full(len(one.zones), np.nan) for one in fields],
        "clairvoyant": [clairvoyant(one) for one in fields],
    }
    for off_bu_ac in (0.0, 1.0, -1.0):
        plans = [planned(one, PLANNER_SEED, off_bu_ac) for one in fields]
        ours = [one.day_of_zone for one in plans]
        print(f"\n== Mean response as the planner holds it {off_bu_ac:+.0f} bu/ac")
        print_chances("Every zone, on its block's forecast day of R3", chances(plans, at_r3))
        if not off_bu_ac:
            print_chances("Every zone, 10 days later", chances(plans, [day + 10 for day in at_r3]))
            print_classes(plans, at_r3)
            print_ranges(plans, at_r3)
        print_chances("Zones of the plan, on the day of the plan", chances(plans, ours))
        whole = {"whole field or none, by planner": [whole_field_or_none(one) for one in plans]}
        print_values(scores, {"zone plan": ours} | whole | blankets, "zone plan")
    print_further(seasons)
    print(f"\n{time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()
