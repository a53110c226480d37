"""What comes after the schedule costs a field: `python tests/benchmarks/bench_settled.py [FIELDS]`.

On a made region of FIELDS quarter sections (20 unless said), each with its sprayers to itself: CPU seconds of
its plan, of its walks, of all files without map, page and PDF, and of these three; the mean over the fields
of the best of three rounds. Then the wall time of a result that takes the place of another, with the CPU
seconds of the same: what is left is waiting for the disk.
"""

import os

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "made")]

from made_region import TODAY, made_region  # noqa: E402

from zoning import field  # noqa: E402
from zoning.offers import walks  # noqa: E402
from zoning.offers.choices import with_choice  # noqa: E402
from zoning.offers.choose import choose, limits_of  # noqa: E402
from zoning.offers.offered import Offer  # noqa: E402
from zoning.passes.problem import Chosen  # noqa: E402
from zoning.plan import Plan  # noqa: E402
from zoning.seen import gather  # noqa: E402
from zoning.show import map as field_map  # noqa: E402
from zoning.show import page, sheet  # noqa: E402

T = TypeVar("T")
ROUNDS = 3
MOST_S = {"plan": 0.02, "walks": 0.02, "files": 0.045, "map, page and PDF": 0.5}


@dataclass(frozen=True)
class Ready:
    """A field that only waits for its plan: its offer, and the passes that were chosen."""

    folder: Path
    offer: Offer
    chosen: Chosen | None


def ready(folders: list[Path]) -> list[Ready]:
    """Offer every field, and choose its passes as if it had its sprayers to itself."""
    seen = gather(folders, today=TODAY, clock=None, seed=0)
    found = []
    for folder in folders:
        offer = field.offer(folder, today=TODAY, seen=seen, measured_by=field.measure_here)
        together = choose([offer.choices], limits_of(offer)) if offer.choices else None
        chosen = together.schedule.chosen[0] if together is not None else None
        found.append(Ready(folder, with_choice(offer, chosen.place) if chosen else offer, chosen))
    return found


def one_round(fields: list[Ready]) -> dict[str, list[float]]:
    """CPU seconds of each step for each field, and seconds of waiting."""
    took: dict[str, list[float]] = {}

    def timed(name: str, do: Callable[[], T]) -> T:
        began_s, began_cpu_s = time.perf_counter(), time.process_time()
        done = do()
        took.setdefault(name, []).append(time.process_time() - began_cpu_s)
        took.setdefault(f"{name}, wall", []).append(time.perf_counter() - began_s)
        return done

    for one in fields:
        plan: Plan = timed("plan", lambda one=one: field.settle(one.offer, one.chosen, schedule="farm"))
        plan = replace(plan, walks=timed("walks", lambda one=one: walks.of_plan(one.offer, 0)))
        result = field.run_of(plan, one.offer.provenance)
        timed("files", lambda one=one, result=result: field.write(result, one.folder / "out", pictures=False))
        with tempfile.TemporaryDirectory() as to:
            timed("map, page and PDF", lambda plan=plan, to=Path(to): drawn(plan, to))
    return took


def drawn(plan: Plan, to: Path) -> None:
    """Write what is drawn and set."""
    field_map.write(plan, to / "map.png")
    page.write(plan, to / "page.html")
    sheet.write(plan, to / "sheet.pdf")


def main() -> None:
    """Make the region, then measure."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    with tempfile.TemporaryDirectory() as folder:
        region = made_region(Path(folder) / "region", fields=count, seed=1)
        fields = ready(sorted(path.parent for path in region.farm.glob("*/field.toml")))
        one_round(fields[:3])  # loads libraries
        rounds = [one_round(fields) for _ in range(ROUNDS)]  # from the second on, files replace files
    mean_s = {name: min(float(np.mean(each[name])) for each in rounds) for name in rounds[0]}
    for name, most_s in MOST_S.items():
        print(f"{name:18s} {1000 * mean_s[name]:7.1f} ms, {mean_s[name] / most_s:5.0%} of what it may take")
    waits_s = mean_s["files, wall"] - mean_s["files"]
    print(f"files: {1000 * mean_s['files, wall']:.1f} ms of wall time, {1000 * waits_s:.1f} ms of it waiting")


if __name__ == "__main__":
    main()
