"""How long the sums behind `scout` take beside a run's own work: `python tests/benchmarks/bench_scout.py`."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from timeit import default_timer

from zoning import field, scout

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"


def best_of_three(work: Callable[[Path], object], folder: Path) -> float:
    times = []
    for _ in range(3):
        start = default_timer()
        work(folder)
        times.append(default_timer() - start)
    return min(times)


if __name__ == "__main__":
    today = date(2026, 7, 8)
    for name in ("three_dates", "level_eighty"):
        whole = best_of_three(lambda at: scout.rank(at, today=today, seed=0, clock=today), DEMO / name)
        own = best_of_three(lambda at: field.offer(at, today=today), DEMO / name)
        print(f"{name}: scout {whole:.2f} s, of it the run's own work {own:.2f} s")
