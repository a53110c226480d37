"""How often strips are fooled, by the whole way from a combine's points: prints the tables of the docs.

Run it by hand: PYTHONPATH=tests/made python tests/benchmarks/bench_never_fooled.py [RUNS]
A thousand runs take about six minutes on one core.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from made_chain import Seen, break_even, seen
from made_harvests import made
from wrong_ways import WAYS, interval_by_points

EFFECTS_BU_AC = (0.0, 2.0, 4.0)
FIELD = {"interval_s": 2.0, "length_m": 300.0, "zones": 2}


@dataclass(frozen=True, slots=True)
class Run:
    """What is kept of one field: intervals as (mean, low, high), the p of each way, and what was claimed."""

    by_pairs: tuple[float, float, float]
    by_points: tuple[float, float, float]
    p: dict[str, float]
    points: int
    pairs: int
    told: str | None
    differ: bool
    of_zones: tuple[tuple[float, float, str | None], ...]  # low, high, told


def run(seed: int, effect_bu_ac: float) -> Run | None:
    """Judge a field of 3 to 6 pairs, with break-even at the truth; None where fewer than two pairs count."""
    one: Seen = seen(
        made(seed, effect_bu_ac=effect_bu_ac, pairs=3 + seed % 4, **FIELD), break_even(effect_bu_ac)
    )
    found, zones = one.response, one.by_zone
    if found is None or zones is None or found.from_pooled_sd:
        return None
    return Run(
        by_pairs=(found.mean_bu_ac, found.low_bu_ac, found.high_bu_ac),
        by_points=interval_by_points(one),
        p={name: way(one) for name, way in WAYS.items()},
        points=int((one.placed.why == 0).sum()),
        pairs=found.pairs,
        told=found.told,
        differ=zones.differ,
        of_zones=tuple((zone.low_bu_ac, zone.high_bu_ac, zone.told) for zone in zones.zones),
    )


def runs(count: int, effect_bu_ac: float, first: int = 10_000) -> list[Run]:
    found = [run(seed, effect_bu_ac) for seed in range(first, first + count)]
    return [one for one in found if one is not None]


def percent(found: list[Run], is_so: Callable[[Run], bool]) -> str:
    return f"{100 * np.mean([is_so(one) for one in found]):.1f}"


def tell_ways(found: list[Run]) -> None:
    """Print how often each way finds, at one in twenty, a response that is not there."""
    print(
        f"{len(found)} fields, {np.median([one.points for one in found]):.0f} points that count as a median"
    )
    for name in WAYS:
        print(f"  {name}: {percent(found, lambda one, name=name: one.p[name] < 0.05)} %")
    narrow = np.median([(one.by_points[2] - one.by_points[1]) for one in found])
    wide = np.median([(one.by_pairs[2] - one.by_pairs[1]) for one in found])
    print(f"  width of 90 % intervals, median: {narrow:.1f} by points, {wide:.1f} by pairs")
    holds = percent(found, lambda one: one.by_points[1] <= 0 <= one.by_points[2])
    print(f"  90 % intervals that hold the truth: {holds} % by points")


def tell_rates(found: list[Run], effect_bu_ac: float) -> None:
    """Print what the right way claims where the truth lies at break-even."""
    zones = [zone for one in found for zone in one.of_zones]
    bias = np.array([one.by_pairs[0] - effect_bu_ac for one in found])
    holds = percent(found, lambda one: one.by_pairs[1] <= effect_bu_ac <= one.by_pairs[2])
    print(
        f"effect {effect_bu_ac:g} bu/ac, {len(found)} fields: "
        f"interval holds it {holds} %, "
        f"mean error {bias.mean():+.2f} (SE {bias.std() / np.sqrt(len(bias)):.2f}), "
        f"paid {percent(found, lambda one: one.told == 'paid')} %, "
        f"did not pay {percent(found, lambda one: one.told == 'did not pay')} %, "
        f"zones differ {percent(found, lambda one: one.differ)} %; of zones: "
        f"interval holds it {100 * np.mean([low <= effect_bu_ac <= high for low, high, _ in zones]):.1f} %, "
        f"paid {100 * np.mean([told == 'paid' for *_, told in zones]):.1f} %"
    )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    for effect_bu_ac in EFFECTS_BU_AC:
        found = runs(count if not effect_bu_ac else count // 3, effect_bu_ac)
        if not effect_bu_ac:
            tell_ways(found)
        tell_rates(found, effect_bu_ac)


if __name__ == "__main__":
    main()
