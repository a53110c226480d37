"""What keeping an offer costs, in CPU seconds and bytes a field of the made region; run by hand.

PYTHONPATH=tests/made python tests/benchmarks/bench_kept.py [REGION] [FIELDS]

Without REGION a region of FIELDS quarter sections is made in a temporary folder. The least of ten times of a
step counts, then the mean over the fields.
"""

import os

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[threads] = "1"  # before numpy is imported: waiting threads would count as work

import sys  # noqa: E402
import tempfile  # noqa: E402
import time  # noqa: E402
from collections import defaultdict  # noqa: E402
from collections.abc import Callable  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402

from made_region import TODAY, made_region  # noqa: E402

from zoning import field, once_read  # noqa: E402
from zoning.farm.kept import files, made_of  # noqa: E402
from zoning.farm.kept.codec import digest, from_bytes, to_bytes  # noqa: E402
from zoning.settings.read import load  # noqa: E402

TIMES = 10


def best_ms(step: Callable[[], Any]) -> float:
    """Give the least CPU time of a step."""
    taken = []
    for _ in range(TIMES):
        once_read.forget()
        begin = time.process_time()
        step()
        taken.append(time.process_time() - begin)
    return 1e3 * min(taken)


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as scratch:
        count = int(sys.argv[2]) if len(sys.argv) > 2 else 5
        farm = Path(sys.argv[1]) if len(sys.argv) > 1 else made_region(Path(scratch) / "region", count).farm
        kept = Path(scratch) / "kept.npz"
        sums: dict[str, float] = defaultdict(float)
        folders = sorted(path.parent for path in farm.glob("*/field.toml"))[:count]
        for folder in folders:
            settings = load(folder)
            offer = field.offer(folder, today=TODAY)
            run = field.run_of(field.alone(offer), offer.provenance)
            for name, thing in (("offer", offer), ("plan", run)):
                data = to_bytes(thing)
                sums[f"{name}: write [ms]"] += best_ms(lambda thing=thing: to_bytes(thing))
                sums[f"{name}: read [ms]"] += best_ms(lambda data=data: from_bytes(data))
                sums[f"{name}: hash [ms]"] += best_ms(lambda thing=thing: digest(thing))
                sums[f"{name}: onto the disk [ms]"] += best_ms(
                    lambda thing=thing: files.keep(kept, {}, thing)
                )
                sums[f"{name}: size [kB]"] += len(data) / 1e3
            sums["what it is made of [ms]"] += best_ms(
                lambda settings=settings: made_of.made_of(settings, today=TODAY, seed=0, measured=True)
            )
        for name, value in sums.items():
            print(f"{name:28} {value / len(folders):8.2f}")


if __name__ == "__main__":
    main()
