"""How long 50,000 points take from the file to an answer, and how much memory.

Run it by hand: PYTHONPATH=tests/made python tests/benchmarks/bench_harvest_chain.py
Budget: 5 s and 300 MB for reading, cleaning and judging. Times are CPU times, the best of three; the
yardstick is the standard library's csv module reading the same file into numbers. Memory is the peak of a
fresh process, imports included (Linux).
"""

import csv
import multiprocessing
import re
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from made_chain import break_even
from made_harvests import Harvest, as_csv, made

from zoning.inputs.harvest.given import TrialGround
from zoning.inputs.harvest.points.asked import Asked
from zoning.inputs.harvest.points.read import read
from zoning.strips.answer.by_zone import by_zone
from zoning.strips.answer.response import response
from zoning.strips.answer.spatial import spatial
from zoning.strips.cleaned.cleaning import clean
from zoning.strips.paired.pairs import paired
from zoning.strips.paired.placed import place

REPEATS = 3
FIELD = {"pairs": 6, "length_m": 1520.0, "interval_s": 1.0, "effect_bu_ac": 3.0, "turns": "told"}


def asked(ground: TrialGround, epsg: int) -> Asked:
    """What the command asks of a file where nothing is set."""
    return Asked(
        epsg=epsg,
        boundary=ground.crop,
        field=("made",),
        columns={},
        units={},
        moisture_frac=None,
        yields="",
        is_metric=False,
        time_zone="",
        header_m=ground.header_m,
    )


def steps(path: Path, ground: TrialGround, epsg: int) -> dict[str, float]:
    """CPU seconds of each step."""
    taken_s: dict[str, float] = {}

    def timed(name: str, call: Callable[[], Any]) -> Any:
        start_s = time.process_time()
        found = call()
        taken_s[name] = time.process_time() - start_s
        return found

    points = timed("read", lambda: read(path, path.name, asked(ground, epsg)))
    cleaned = timed("clean", lambda: clean(points, ground.header_m))
    placed = timed("place", lambda: place(points, cleaned, ground))
    pairs = timed("pair", lambda: paired(points, cleaned, placed, ground))

    def judge() -> None:
        found = response(pairs.counted, break_even(3.0))
        by_zone(pairs.parts, found, break_even(3.0))
        spatial(points, cleaned, placed)

    timed("judge", judge)
    return taken_s


def straightforward_s(path: Path) -> float:
    """CPU seconds of the yardstick."""
    start_s = time.process_time()
    with path.open(newline="") as file:
        rows = [[float(cell) if cell else 0.0 for cell in row[1:-1]] for row in list(csv.reader(file))[1:]]
    assert rows
    return time.process_time() - start_s


def peak_mb() -> float:
    """Most that this process ever held; ru_maxrss would count its parent too."""
    status = Path("/proc/self/status").read_text()
    return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) / 1024


def memory_mb(path: Path, ground: TrialGround, epsg: int) -> tuple[float, float]:
    """Peak of this process before and after."""
    before_mb = peak_mb()
    steps(path, ground, epsg)
    return before_mb, peak_mb()


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        harvest: Harvest = made(5, **FIELD)
        path = as_csv(harvest, Path(folder) / "points.csv")
        ground, epsg = harvest.ground, harvest.points.epsg
        tries = [steps(path, ground, epsg) for _ in range(REPEATS)]
        best = {name: min(one[name] for one in tries) for name in tries[0]}
        whole_s = sum(best.values())
        yardstick_s = min(straightforward_s(path) for _ in range(REPEATS))
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            before_mb, after_mb = pool.apply(memory_mb, (path, ground, epsg))
        print(f"{harvest.points.count:,} points, {path.stat().st_size / 1e6:.1f} MB")
        print("  " + ", ".join(f"{name} {taken_s:.2f} s" for name, taken_s in best.items()))
        print(f"  together {whole_s:.2f} s, {whole_s / yardstick_s:.1f} times the csv module reading it")
        print(f"  peak {after_mb:.0f} MB, of which {before_mb:.0f} MB before the first step")


if __name__ == "__main__":
    main()
