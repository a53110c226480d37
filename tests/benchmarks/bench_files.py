"""What the files of a plan cost: run by hand, `python tests/benchmarks/bench_files.py [FIELDS]`.

First all files of the demo field with three planting dates, after its plan: CPU seconds a format, the mean of
ten writes, one line each, and their sum; map.png stands apart. Then prescriptions of FIELDS made fields
(1,000 unless said) on two processes: wall time, and the CPU seconds of both.
"""

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "made")]

from made_demo import TODAY, three_dates  # noqa: E402
from made_plans import Made, made_plan  # noqa: E402

from zoning import field  # noqa: E402
from zoning.plan import Plan  # noqa: E402
from zoning.prescription import formats  # noqa: E402
from zoning.prescription.as_json import plan_json  # noqa: E402
from zoning.prescription.of_a_pass import bundle  # noqa: E402
from zoning.show import load_sheet  # noqa: E402
from zoning.show import map as field_map  # noqa: E402

WRITES = 10
PROCESSES = 2
MOST_CPU_S = 0.15  # a field
MOST_WALL_S = 120.0  # 1,000 fields


def _sheets(plan: Plan, folder: Path) -> None:
    for name, text in load_sheet.texts(plan).items():
        (folder / name).write_text(text, encoding="utf-8")


def _json(plan: Plan, folder: Path) -> None:
    (folder / "plan.json").write_text(plan_json.as_text(plan_json.as_object(plan)), encoding="utf-8")


def steps() -> Iterator[tuple[str, Callable[[Plan, Path], object]]]:
    """List what is written, in its order; map.png is not part of the sum."""
    yield from ((one.name, one.write) for one in formats.FORMATS)
    yield "load sheets and records", _sheets
    yield "checksums", bundle.write_sums
    yield "plan.json", _json


def one_field(plan: Plan) -> None:
    """Print what each format costs."""
    total_s = 0.0
    for name, write in (*steps(), ("map.png (apart)", lambda one, to: field_map.write(one, to / "map.png"))):
        took_s = []
        for _ in range(WRITES + 1):  # the first one loads libraries
            with tempfile.TemporaryDirectory() as folder:
                for number in plan.passes:
                    (Path(folder) / "passes" / f"P{number.number}").mkdir(parents=True)
                if name == "checksums":
                    formats.write_all(plan, Path(folder))
                began = time.process_time()
                write(plan, Path(folder))
                took_s.append(time.process_time() - began)
        mean_s = float(np.mean(took_s[1:]))
        print(f"{name:26s} {1000 * mean_s:7.1f} ms, {mean_s / MOST_CPU_S:5.0%} of what a field may take")
        total_s += 0.0 if "apart" in name else mean_s
    print(f"{'together':26s} {1000 * total_s:7.1f} ms, {total_s / MOST_CPU_S:5.0%}")


def made(seed: int) -> Plan:
    """A field of about 80 ac in six to ten zones, of which each second one is sprayed."""
    rng = np.random.default_rng(seed)
    rows, columns = rng.integers(12, 17, size=2)
    middles = rng.uniform(0, 1, size=(int(rng.integers(6, 11)), 2)) * [rows, columns]
    row, column = np.mgrid[:rows, :columns]
    far = [(row - r) ** 2 + (column - c) ** 2 for r, c in middles]
    labels = np.unique(np.argmin(far, axis=0), return_inverse=True)[1].reshape(rows, columns) + 1
    plan = made_plan(Made(labels=labels, field=f"Field {seed}", simplify_m=30.0))
    return replace(plan, run_id=f"{seed:016x}")


def _written(seeds: range) -> float:
    """Write the prescriptions of some fields; CPU seconds of it."""
    took_s = 0.0
    for seed in seeds:
        plan = made(seed)
        with tempfile.TemporaryDirectory() as folder:
            began = time.process_time()
            formats.write_all(plan, Path(folder))
            bundle.write_sums(plan, Path(folder))
            took_s += time.process_time() - began
    return took_s


def many_fields(count: int) -> None:
    """Print what the prescriptions of many fields take on two processes."""
    shares = [range(at, count, PROCESSES) for at in range(PROCESSES)]
    began = time.perf_counter()
    with ProcessPoolExecutor(PROCESSES) as pool:
        took_s = sum(pool.map(_written, shares))
    wall_s = time.perf_counter() - began
    print(
        f"{count} fields on {PROCESSES} processes: {wall_s:.1f} s of wall time with making their plans, "
        f"{took_s:.1f} CPU s for their files, {1000 * took_s / count:.0f} ms each "
        f"({wall_s / count * 1000 / MOST_WALL_S:.0%} of what 1,000 may take)"
    )


def main() -> None:
    """Measure one field, then many."""
    with tempfile.TemporaryDirectory() as folder:
        plan = field.run(three_dates(Path(folder)), today=TODAY).plan
    one_field(plan)
    many_fields(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)


if __name__ == "__main__":
    main()
