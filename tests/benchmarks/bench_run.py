"""How long a user waits: run by hand, `python tests/benchmarks/bench_run.py`.

Cold starts of the command as the shell makes them: `sprayworth run` on a copy of the demo field with three
planting dates, and `sprayworth --help`. Wall time, and the most memory that the command and the processes
it starts hold at one time (sampled from /proc, a shared page counted once; Linux only). One line a run.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
RUNS = 5
EVERY_S = 0.03  # reading the sizes more often would slow down what is timed
COMMAND = "from cli.main import main; main()"


def family(pid: int) -> list[int]:
    """A process and all that came of it."""
    try:
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
    except OSError:
        return []
    return [pid, *(one for child in children for one in family(int(child)))]


def held_kb(pid: int) -> int:
    """Memory of one process, pages that it shares with others by its share. [kB]"""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()
    except OSError:
        return 0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:"))


def once(arguments: list[str]) -> tuple[float, float]:
    """Wall time [s] and most memory [MB] of one command."""
    most_kb = 0
    began = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-c", COMMAND, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    while process.poll() is None:
        most_kb = max(most_kb, sum(held_kb(one) for one in family(process.pid)))
        time.sleep(EVERY_S)
    took_s = time.perf_counter() - began
    if process.returncode:
        raise SystemExit(f"{arguments} ended with {process.returncode}")
    return took_s, most_kb / 1024


def main() -> None:
    """Print one line a run."""
    os.environ["PYTHONPATH"] = str(ROOT)
    with tempfile.TemporaryDirectory() as folder:
        farm = Path(folder) / "farm"
        shutil.copytree(
            ROOT / "demo_fields" / "heron_slough", farm, ignore=shutil.ignore_patterns("out*", "strips")
        )
        cases = {
            "run three_dates": ["run", str(farm / "three_dates"), "--quiet"],
            "--help": ["--help"],
        }
        for name, arguments in cases.items():
            for number in range(1, RUNS + 1):
                took_s, most_mb = once(arguments)
                print(f"{name}, {number} of {RUNS}: {took_s:.2f} s, at most {most_mb:.0f} MB")


if __name__ == "__main__":
    main()
