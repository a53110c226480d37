"""What a region costs: CPU seconds, wall time, memory and bytes of `sprayworth farm`, by its fields.

    PYTHONPATH=tests/made python tests/benchmarks/bench_region.py [FIELDS ...] [--workers 2] [--pictures]
        [--again] [--small] [--steps] [--seed 0] [--in FOLDER] [--runs 1]

For each number of fields (20, 200, 2,000 if none is given) a region is made and the command is run on it as
a shell would. CPU time is that of the command and of all processes that come of it. Memory is the most that
each process ever held (VmHWM), pages that it shares with others included. Then the slope of log CPU against
log fields, 1 where the cost is linear, and the cost of one more field beside what every run costs.

--again runs it once more with what the first run kept; --steps works here, in one process, and says what each
step takes; --runs counts the least CPU of several runs. Linux only. 2,000 fields take about 1.2 GB in FOLDER.
"""

import argparse
import ctypes
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from made_region import TODAY, made_region

ROOT = Path(__file__).parents[2]
COMMAND = "from cli.main import main; main()"
SIZES = (20, 200, 2000)
EVERY_S = 0.1  # reading more often would slow down what is timed
ONE_THREAD = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL")}
PR_SET_CHILD_SUBREAPER = 36
MB = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What one run of the command took."""

    fields: int
    cpu_s: float
    wall_s: float
    peak_mb: float  # of the command itself
    others_mb: tuple[float, ...]  # of each further process that held more than a shell does, the most first
    code: int


def adopt() -> None:
    """Become the parent of processes that the command leaves behind, so that their time is told us too."""
    ctypes.CDLL(None).prctl(PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0)


def children(pid: int) -> list[int]:
    """All that came of a process."""
    found = []
    for path in Path(f"/proc/{pid}/task").glob("*/children"):
        try:
            found += [int(one) for one in path.read_text(encoding="ascii").split()]
        except OSError:
            continue
    return [one for child in found for one in (child, *children(child))]


def peak_mb(pid: int) -> float:
    """Give the most memory that a process held until now."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text(encoding="ascii", errors="replace").splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("VmHWM:")) * 1024 / MB


def once(arguments: list[str], fields: int) -> Cost:
    """Run the command once, and wait for all that comes of it."""
    os.environ.update(ONE_THREAD | {"PYTHONPATH": str(ROOT)})
    peaks: dict[int, float] = {}
    began, usage = time.perf_counter(), os.times()
    process = subprocess.Popen([sys.executable, "-c", COMMAND, *arguments], stdout=subprocess.DEVNULL)
    while process.poll() is None:
        for pid in (process.pid, *children(process.pid)):
            peaks[pid] = max(peaks.get(pid, 0.0), peak_mb(pid))
        time.sleep(EVERY_S)
    wall_s = time.perf_counter() - began
    while children(os.getpid()):  # those that it left behind
        try:
            os.waitpid(-1, 0)
        except ChildProcessError:
            break
    now = os.times()
    cpu_s = now.children_user - usage.children_user + now.children_system - usage.children_system
    own_mb = peaks.pop(process.pid, 0.0)
    return Cost(
        fields=fields,
        cpu_s=cpu_s,
        wall_s=wall_s,
        peak_mb=own_mb,
        others_mb=tuple(sorted((mb for mb in peaks.values() if mb > 20), reverse=True)),
        code=process.returncode,
    )


def sizes(folder: Path) -> tuple[int, float]:
    """Give the number of files in a folder and what they hold. [MB]"""
    files = [path.stat().st_size for path in folder.rglob("*") if path.is_file()]
    return len(files), sum(files) / MB


def print_bytes(farm: Path, fields: int) -> None:
    """Print what lies in the folder of the farm, by the field."""
    of: dict[str, tuple[int, float]] = {}
    for path in farm.iterdir():
        if path.name.startswith("out") and path.is_dir():
            of[f"{path.name} of the farm"] = sizes(path)
        elif path.is_dir():
            for one in path.iterdir():
                kind = "out" if one.name.startswith("out") else "inputs"
                count, mb = sizes(one) if one.is_dir() else (1, one.stat().st_size / MB)
                before = of.get(kind, (0, 0.0))
                of[kind] = (before[0] + count, before[1] + mb)
    for name, (count, mb) in sorted(of.items()):
        print(f"    {name:22} {count / fields:7.1f} files, {1e3 * mb / fields:8.1f} kB a field")


def print_cost(name: str, one: Cost) -> None:
    """Print one run."""
    others = ", ".join(f"{mb:.0f}" for mb in one.others_mb[:6])
    ended = f"  ENDED WITH {one.code}" if one.code else ""
    print(
        f"{one.fields:6d} fields, {name}: {one.cpu_s:8.1f} CPU s ({one.cpu_s / one.fields:.3f} a field), "
        f"{one.wall_s:7.1f} s, at most {one.peak_mb:.0f} MB and in further processes {others} MB{ended}",
        flush=True,
    )


def print_slope(costs: list[Cost]) -> None:
    """Print how the cost grows."""
    fields = np.array([one.fields for one in costs], dtype=float)
    cpu_s = np.array([one.cpu_s for one in costs])
    slope = np.polyfit(np.log(fields), np.log(cpu_s), 1)[0]
    more, once_s = np.polyfit(fields, cpu_s, 1, w=1 / cpu_s)
    print(f"slope of log CPU against log fields {slope:.3f}; {more:.3f} CPU s a field and {once_s:.1f} a run")


def print_steps(farm: Path, fields: int, pictures: bool) -> None:
    """Run the farm in this process and print what each of its steps takes."""
    os.environ.update(ONE_THREAD)
    from zoning.farm import Watch, run

    steps: list[tuple[str, float]] = []
    watch = Watch(tell=lambda step: steps.append((step, time.process_time())))
    run(farm, today=TODAY, watch=watch, workers=1, pictures=pictures)
    steps.append(("", time.process_time()))
    for (name, began), (_, ended) in pairwise(steps):
        print(f"    {name:32} {ended - began:8.2f} CPU s, {(ended - began) / fields:.4f} a field")


def main() -> None:
    """Make the regions, run them, print."""
    asked = argparse.ArgumentParser()
    asked.add_argument("fields", type=int, nargs="*", default=SIZES)
    asked.add_argument("--workers", type=int, default=2)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--runs", type=int, default=1)
    for flag in ("--pictures", "--again", "--small", "--steps"):
        asked.add_argument(flag, action="store_true")
    asked.add_argument("--in", dest="within", type=Path, default=None)
    args = asked.parse_args()
    adopt()
    command = ["--workers", str(args.workers), "--quiet", *(["--pictures"] if args.pictures else [])]
    costs = []
    for fields in args.fields:
        with tempfile.TemporaryDirectory(dir=args.within) as folder:
            farm = Path(folder) / "region"
            made_region(farm, fields, args.seed, small=args.small)
            if args.steps:
                print(f"{fields:6d} fields, step by step")
                print_steps(farm, fields, args.pictures)
                continue
            found = []
            for _ in range(args.runs):
                for out in [farm / "out", farm / "out.kept", *farm.glob("q*/out"), *farm.glob("q*/strips")]:
                    shutil.rmtree(out, ignore_errors=True)
                found.append(once(["farm", str(farm), *command], fields))
            costs.append(min(found, key=lambda one: one.cpu_s))
            print_cost("all anew", costs[-1])
            if args.again:
                print_cost("once more", once(["farm", str(farm), *command], fields))
            print_bytes(farm, fields)
    if len(costs) > 1:
        print_slope(costs)


if __name__ == "__main__":
    main()
