"""Run every demo farm twenty times with one, two, three and four workers: is each byte the same?

python tests/trust/same_bytes.py [--runs 20] [--workers 1 2 3 4] [--farms heron_slough ...]

Each run in surroundings of its own: seed of hashes, locale, threads, time zone, umask, path, order of files.
With map, page and PDF of each field. Prints a line a farm; ends with 1 if a byte differs. Takes half an hour.
"""

import argparse
import subprocess
import sys
import tempfile
from itertools import islice, product
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "made")]

from read_results import half_written, results  # noqa: E402
from surroundings import PROCESSES, RUNS, copied, worked  # noqa: E402

DEMO = ROOT / "demo_fields"


def inputs_of(farm: Path, into: Path) -> Path:
    """Copy what git has of a demo farm: not what a run put there."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=farm, capture_output=True, text=True, check=True)
    for name in filter(None, listed.stdout.split("\0")):
        (into / name).parent.mkdir(parents=True, exist_ok=True)
        (into / name).write_bytes((farm / name).read_bytes())
    return into


def one_run(farm: Path, scratch: Path, number: int, workers: int) -> dict[str, str]:
    """Run a copy of a farm in the surroundings of this number; give the hash of each file."""
    process, run = next(islice(product(PROCESSES, RUNS), number % 20, None))
    with tempfile.TemporaryDirectory(dir=scratch) as root:
        place = copied(farm, Path(root) / run["folder"], number)
        arguments = ["farm", str(place), "--workers", str(workers), "--pictures", "--quiet"]
        rest = {"zone": run["zone"], "umask": run["umask"], "cwd": root, "seed": number}
        worked([{"arguments": arguments, **rest}], process)
        left = half_written(place)
        if left:
            raise AssertionError(f"half written: {left}")
        return results(place)


def main() -> int:
    """Run, compare, print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--runs", type=int, default=20)
    asked.add_argument("--workers", type=int, nargs="+", default=[1, 2, 3, 4])
    asked.add_argument(
        "--farms", nargs="+", default=sorted(path.parent.name for path in DEMO.glob("*/farm.toml"))
    )
    given = asked.parse_args()
    wrong = 0
    with tempfile.TemporaryDirectory() as scratch:
        for name in given.farms:
            farm = inputs_of(DEMO / name, Path(scratch) / "inputs" / name)
            first: dict[str, str] = {}
            other = set()
            for number, workers in product(range(given.runs), given.workers):
                found = one_run(farm, Path(scratch), number, workers)
                first = first or found
                other |= {file for file in found.keys() | first.keys() if found.get(file) != first.get(file)}
            runs = given.runs * len(given.workers)
            said = f"{len(other)} FILES DIFFER: {sorted(other)[:5]}" if other else "every byte the same"
            print(f"{name}: {runs} runs, {len(first)} files: {said}", flush=True)
            wrong += len(other)
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
